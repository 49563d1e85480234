"""The cut lines of the three methods over each other, and how far each lies from the strain-corrected one.

`aside` of a method: places about STEP_MM apart on its cut line, each with the nearest place of the strain-corrected line and the way
from there, so that a picture can draw the difference larger than it is.
"""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np

from ribwright.documents.views.blank_view import loops_of
from ribwright.documents.views.plain import Array, box_of, number, rounded
from ribwright.stages.agreement import CHORD, apart
from ribwright.stages.blank import Blank
from ribwright.stages.develop import HANDBOOK, INVERSE, STRAIN_CORRECTED

STEP_MM = 1.0
LETTERS = {HANDBOOK: "H", STRAIN_CORRECTED: "S", INVERSE: "B"}


def methods_view(blanks: dict[str, Blank | None], tolerance: float, stands: str) -> dict[str, Any]:
    """Blanks by method, None for a method without an answer; `tolerance` the shop's [mm], `stands` the method that the plan went by.
    The strain-corrected one is always there."""
    reference = blanks[STRAIN_CORRECTED]
    assert reference is not None
    made = {name: blank for name, blank in blanks.items() if blank is not None}
    return {
        "stands": stands,
        "reference": STRAIN_CORRECTED,
        "tolerance_mm": number(tolerance),
        "methods": [_method(name, blanks[name], reference) for name in blanks],
        "apart": [_pair(a, b, made[a], made[b]) for a, b in combinations(made, 2)],
        "box": box_of(*(b.outline.points for b in made.values())),
    }


def _method(name: str, blank: Blank | None, reference: Blank) -> dict[str, Any]:
    if blank is None:
        return {"method": name, "letter": LETTERS[name], "answered": False, "loops": [], "aside": [], "size": None}
    aside = [] if blank is reference else [_aside(a, b) for a, b in zip(_rings(blank), _rings(reference), strict=True)]
    return {
        "method": name,
        "letter": LETTERS[name],
        "answered": True,
        "loops": loops_of(blank),
        "aside": aside,
        "size": rounded(blank.size),
    }


def _pair(a: str, b: str, one: Blank, other: Blank) -> dict[str, Any]:
    """How far two methods lie apart at every edge and hole, the farthest first."""
    rows = [{"kind": x.kind, "name": x.name, "mm": number(x.mm), "at": rounded(x.at)} for x in apart(one, other)]
    return {"between": [a, b], "rows": rows}


def _rings(blank: Blank) -> list[Array]:
    return [np.array(loop.path.chords(CHORD)) for loop in blank.loops]


def _aside(mine: Array, reference: Array) -> dict[str, Any]:
    """Places of a ring (n, 2): `foot` on the reference, `off` from there."""
    import shapely

    line = shapely.LinearRing(reference)
    p = shapely.get_coordinates(shapely.segmentize(shapely.LinearRing(mine), STEP_MM))[:-1]
    foot = shapely.get_coordinates(
        shapely.line_interpolate_point(line, shapely.line_locate_point(line, shapely.points(p)))
    )
    return {"foot": rounded(foot), "off": rounded(p - foot)}
