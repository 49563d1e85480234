"""Numbers of the blank by balance, told: what is solved on the formed mesh, what it takes, where each number is read off it."""

from __future__ import annotations

from math import log
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.develop import DEFAULT, INVERSE
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.at_station import PLACE, Spot
from ribwright.stages.explain.causes import World
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, between
from ribwright.stages.flat_holes import FlatHole

if TYPE_CHECKING:
    from ribwright.stages.blank_inverse import FreeEdge, InverseBlank

BALANCE = (
    "sum t A sigma grad N = 0 at every node of the formed mid-surface; over its triangles, sigma of the logarithmic strain from flat to "
    "formed by Hill's 1948 measure and the flow curve, web held; solved for the nodes' flat places"
)
SOURCE = "flat blank by balance of the formed mid-surface, docs/INVERSE.md"
VALID = "one step from flat to formed, membrane, web held; no wrinkles, nothing read within four thicknesses of a held corner"
COMPARED = "the equation of whole rings (0.011 mm), unfolding and volumes known exactly, docs/INVERSE.md; no formed part was compared"
NEAREST = "the chord of the mesh's free edge nearest this place"


def by_balance(case: Case) -> bool:
    """The blank is the inverse one."""
    return case.plan.blank.method == INVERSE


def keys(world: World) -> Keys:
    """What every number of a blank by balance hangs on: the whole part, for all of it is in balance together. By default the inverse
    blank may stand, and whether it does hangs on the whole part too."""
    if world.method not in (INVERSE, DEFAULT):
        return ()
    return (*on.BLANK, *on.SPRING, "part.sheet.grain", "*materials[*].hardening*", *on.AGREEMENT)


def sheet(case: Case) -> tuple[Input, ...]:
    """Flow curve, r in the directions taken, size of the mesh."""
    # compiled code: only a blank by balance loads it
    from ribwright.stages.blank_inverse import anisotropy_for, law_for

    job, made = case.plan.job, answer(case)
    ratio, law = anisotropy_for(job), law_for(job)
    triangles = 0 if made.meshed.mesh is None else len(made.meshed.mesh.triangles)
    stress = float(law.curve.stress(np.asarray(0.1)))
    along = "along, 45 deg from and across the grain" if ratio.r0 != ratio.r45 or ratio.r0 != ratio.r90 else "mean"
    return (
        case.thickness,
        *(
            between(name, f"R-value, {along}", value, "", "the sheet's R-values, 1 where none is known")
            for name, value in (("r0", ratio.r0), ("r45", ratio.r45), ("r90", ratio.r90))
        ),
        between("flow", "yield stress at strain 0.1", stress, "MPa", "the sheet's flow curve, or a middling one"),
        between("triangles", "triangles of the mesh", triangles, "", "docs/MESH.md"),
    )  # fmt: skip


def answer(case: Case) -> InverseBlank:
    """What the inverse method answered."""
    assert case.plan.inverse is not None
    return case.plan.inverse


def flat_width(case: Case, section: tuple[Input, ...], what: str) -> Told:
    """Where a station's normal meets the new cut edge."""
    formula = f"{BALANCE}; flat width = from the bend tangent line, square to it, to the smooth line through the free edge's nodes"
    return Told(
        what, "solved", formula, (*section, *sheet(case)), SOURCE, f"{VALID}. {PLACE}", _thinned(case), compared=COMPARED
    )  # fmt: skip


def edge_strain(case: Case, s: Spot, edge: str) -> Told:
    """ln of formed over flat length of the nearest chord; evaluated again where the place is a station."""
    e = next(e for e in answer(case).edges if (e.kind, e.name) == ("edge", edge))
    arc = s.strip.at.arc[s.mine]
    k = int(np.argmin(np.abs(arc - s.arc)))
    j = nearest_chord(e)[k]
    inputs = _chord(e, int(j))
    at_station = abs(float(arc[k]) - s.arc) < 1e-9
    return Told(
        "True strain of the free edge along itself, mid-surface: + stretched, - gathered.",
        "formula",
        "edge strain = ln(formed/flat), " + NEAREST,
        (*inputs, *sheet(case)),
        f"{SOURCE}: {BALANCE}",
        f"{VALID}. {PLACE}",
        _thinned(case),
        compared=COMPARED,
        again=evaluated(lambda formed, flat: log(formed / flat), inputs) if at_station else None,
    )


def nearest_chord(e: FreeEdge) -> NDArray[np.int64]:
    """Which chord of the free edge each station of its edge reads its strain from, as `inverse_cut`."""
    middle = (e.flat[1:] + e.flat[:-1]) / 2.0
    return np.asarray(np.linalg.norm(e.at[:, None] - middle[None], axis=2).argmin(axis=1), np.int64)


def _chord(e: FreeEdge, j: int) -> tuple[Input, Input]:
    return (
        between("formed", "length of the chord as formed", float(e.formed[j]), "mm", "drawn formed shape"),
        between("flat", "length of the same chord in the flat", float(e.laid[j]), "mm", "solved"),
    )


def cut_diameter(case: Case, h: FlatHole, section: tuple[Input, ...], what: str) -> Told:
    """Twice the mean distance of the free edge's nodes from the hole's centre."""
    e = next(e for e in answer(case).edges if (e.kind, e.name) == ("hole", h.hole.name))
    radius = np.linalg.norm(e.flat[:-1] - np.array(h.hole.at), axis=1)
    r = between("r", "mean distance of the flat nodes of the rim from the centre", float(radius.mean()), "mm", "solved")
    return Told(
        what,
        "formula",
        "cut = 2 r",
        (r, *section, *sheet(case)),
        f"{SOURCE}: {BALANCE}",
        f"{VALID}; a round cut: with r in three directions the flat rim is not quite one",
        _thinned(case),
        compared=COMPARED,
        again=evaluated(lambda r: 2 * r, (r,)),
    )


def point(case: Case, what: str, chord: str) -> Told:
    """A point of the cut line."""
    inputs = (*sheet(case), case.typed("trim", "trim", "part.trim", "mm"))
    formula = f"{BALANCE}; smooth line through the boundary's nodes, free edges set outward by the trim, true lines and arcs fitted to it"
    return Told(what, "solved", formula, inputs, SOURCE, f"{VALID}; {chord}", _thinned(case), compared=COMPARED)


def _thinned(case: Case) -> bool | None:
    """Inside: found with its own thinning."""
    flat = answer(case).flat
    return None if flat is None else flat.thinned
