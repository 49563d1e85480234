"""Numbers of the notches of a blank: as typed, where they stand on the drawn line, and where they interrupt it."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Told
from ribwright.stages.explain.family import Case, Family, always, between
from ribwright.stages.notches import LaidNotch

GEOMETRY = "geometry of the drawn lines"
WORDS = {
    "along": "Middle of the notch, arc length along its edge as typed.",
    "width": "Width of the notch in the web, between its two parallel sides.",
    "depth": "Depth of the notch from the drawn line to its floor, at its middle.",
    "corner_radius": "Radius of the two corners of its floor.",
    "flange_gap": "How far before each side of the notch its flange ends, along the drawn line.",
}


def _of(case: Case) -> LaidNotch:
    return case.plan.blank.notches[case.index]


def _typed(case: Case) -> Told:
    n, key = _of(case), case.caught[1]
    typed = n.along if key == "along" else float(getattr(n.notch, key))
    inputs = (
        between("x", f"{key} of notch {n.number}", typed, "mm", f"part file: notch.{'at' if key == 'along' else key}"),
    )
    origin = "geometry" if key == "along" else "typed"
    formula = "x, or its share of the edge's length" if key == "along" else ""
    return Told(WORDS[key], origin, formula, inputs, GEOMETRY, again=typed if case.value else None)


def _at(case: Case) -> Told:
    n, axis = _of(case), int(case.caught[1])
    inputs = (between("along", "middle of the notch along its edge", n.along, "mm", "blank.notches"),)
    words = "the drawn line at this arc length"
    return Told(f"{'xy'[axis]} of the middle of the notch on the drawn line.", "geometry", words, inputs, GEOMETRY)


def _open(case: Case) -> Told:
    n = _of(case)
    assert n.cut is not None
    inputs = (
        between("along", "middle of the notch along its edge", n.along, "mm", "blank.notches"),
        between("w", "width of the notch", n.notch.width, "mm", "part file: notch.width"),
        between("gap", "flange gap", n.notch.flange_gap if n.flanged else 0.0, "mm", "part file: notch.flange_gap"),
    )
    words = (
        "where a side of the notch meets the bend tangent line (the drawn line of an edge without flange), and the gap from there on; "
        "along -/+ (w/2 + gap) on a straight edge"
    )
    return Told("Where the notch interrupts its edge, arc length as typed.", "geometry", words, inputs, GEOMETRY)


FAMILIES = (
    Family("blank.notches[*].(along|width|depth|corner_radius|flange_gap)_mm", always(*on.DRAWN, *on.NOTCHES), _typed),
    Family("blank.notches[*].at_mm[*]", always(*on.DRAWN, *on.NOTCHES), _at),
    Family("blank.notches[*].open_mm.(from|to)", always(*on.SHAPE), _open),
)
