"""Numbers of the saw-table zones: tilt, setback of the foot it cuts, stretches, and the angle error left on each."""

from __future__ import annotations

from math import ceil, floor, radians, tan

import numpy as np

from ribwright.stages.answers import BLOCK_SETBACK_STEP_IN, round_to
from ribwright.stages.block import BlockEdge
from ribwright.stages.explain import by_section
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_undercut import (
    BACK_BAND,
    COMPARED,
    RADIUS,
    SOURCE,
    SPRINGBACK,
    VALID,
    sheet_inputs,
    springback,
)
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between, constant
from ribwright.stages.zones import Stretch
from ribwright.units import MM_PER_IN

STEP_KEY = "practice.saw_tilt_step"
PLANE = "geometry of a plane wall"
CUT = (
    "each stretch as long as one tilt serves it: no place of its wall is more than one step of the table from the tilt"
)


def _step(case: Case) -> Input:
    fact = case.plan.job.catalogue.practice["saw_tilt_step"]
    return case.fact("step", "step of the saw table", fact, STEP_KEY, "deg")


def _stretch(case: Case) -> tuple[Stretch, BlockEdge]:
    """The stretch of the number's row, or the first one of its zone, and the block's edge it lies on."""
    rest = [int(c) for c in case.caught if c.isdigit()][1:]
    stretch = case.plan.making.zones[case.index].stretches[rest[0] if rest else 0]
    return stretch, next(e for e in case.plan.block.edges if e.edge == stretch.edge)


def _along(e: BlockEdge, s: Stretch, values: np.ndarray) -> tuple[float, float]:
    """Least and greatest of a value over a stretch; between stations the wall runs straight."""
    inside = e.along[(e.along > s.start) & (e.along < s.end)]
    found = np.interp(np.array([s.start, *inside, s.end]), e.along, values)
    return float(np.min(found)), float(np.max(found))


def _tilt(case: Case) -> Told:
    s, e = _stretch(case)
    low, high = _along(e, s, e.under.wall - 90.0)
    why = f"block.undercut[{e.edge}]: wall_angle_deg - 90 over the zone's stretch {s.start:.6g} to {s.end:.6g} mm"
    inputs = (
        between("l", "least lean past square", low, "deg", why),
        between("g", "greatest lean past square", high, "deg", why),
        _step(case),
    )

    def tilt(l: float, g: float, step: float) -> float:  # noqa: E741
        least, most = ceil((g - step) / step - 1e-6), floor((l + step) / step + 1e-6)
        return min(max(round((l + g) / 2 / step), least), most) * step

    fact = case.plan.job.catalogue.practice["saw_tilt_step"]
    return Told(
        "Tilt of the table from square at which this zone is cut; positive leans the wall under the web face.",
        "rounded",
        "(l + g)/2 to the nearest step that lies within one step of both l and g",
        inputs,
        f"{fact.source} ({fact.standing()}); the rule is a project decision",
        "walls ruled from web face to foot; kerf and drift of the blade are not in it",
        again=evaluated(tilt, inputs),
    )


def _end(case: Case) -> Told:
    s, e = _stretch(case)
    start = case.path.endswith("from_mm")
    lean = float(np.interp(s.start if start else s.end, e.along, e.under.wall)) - 90.0
    rows = (
        between(
            "lean", "lean of the wall here, past square", lean, "deg", f"block.undercut[{e.edge}], between its places"
        ),
        between("length", "length of the drawn edge", float(np.ptp(e.along)), "mm", f"part file: edge {e.edge}"),
        _step(case),
    )
    words = (
        "the end of the edge"
        if s.whole
        else "where the wall is one step from the last tilt that served it, or the edge ends"
    )
    return Told(
        f"Where the stretch of this tilt {'begins' if start else 'ends'}, arc length along the edge as typed.",
        "geometry",
        f"{words}; {CUT}",
        rows,
        "project decision",
        "between its places the wall's lean runs straight along the edge",
    )


def _setback(case: Case) -> Told:
    inputs = (
        case.number("H", "block height", "block.height_mm", "mm"),
        case.number("T", "tilt of the table", f"block.zones[{case.index}].tilt_deg", "deg"),
    )
    return Told(
        "How far inside the web face the saw at this tilt brings the foot; negative is outside.",
        "formula",
        "setback = H tan T",
        inputs,
        PLANE,
        "a plane wall from web face to table",
        again=evaluated(lambda H, T: H * tan(radians(T)), inputs),
    )


def _rounded(case: Case) -> Told:
    of = case.number("x", "the setback before rounding", f"block.zones[{case.index}].setback_mm", "mm")
    inputs = (of, constant("step", "step of the bench", BLOCK_SETBACK_STEP_IN, "in"))
    return Told(
        "The setback as the bench measures it.",
        "rounded",
        "nearest multiple of the step",
        inputs,
        "project decision",
        again=round_to(float(of.value) / MM_PER_IN, BLOCK_SETBACK_STEP_IN),
    )


def _remaining(case: Case) -> Told:
    s, e = _stretch(case)
    least = case.path.endswith("min")
    low, high = _along(e, s, e.angle)
    a = high if least else low
    flange = f"part.flanges[{case.world.flange_of(e.edge)}]"
    what = (
        f"{'Least' if least else 'Greatest'} angle error that the tilt leaves on this stretch: released angle less the "
        "drawing's. Positive is closed, negative open."
    )
    solved = by_section.solved_there(case, e.edge)
    if solved is not None:
        words, inside = by_section.valid(solved)
        tilt = case.number("T", "tilt of the table", f"block.zones[{case.index}].tilt_deg", "deg")
        worst = "least" if least else "greatest"
        formula = f"{worst} of slope (90 + T - a - u_solved) over the stretch, straight between its places"
        source, compared = by_section.SOURCE, by_section.COMPARED
        return Told(what, "solved", formula, (tilt,), source, words, inside, by_section.BAND, compared)
    inputs = (
        *sheet_inputs(case),
        case.typed("R", "inside bend radius, as released", f"{flange}.bend_radius", "mm"),
        case.thickness,
        case.along(
            "a", f"{'greatest' if least else 'least'} bend angle of the stretch", a, f"{flange}.bend_angle", "deg"
        ),
        case.number("T", "tilt of the table", f"block.zones[{case.index}].tilt_deg", "deg"),
    )

    def left(K: float, n: float, E: float, nu: float, R: float, t: float, a: float, T: float) -> float:
        block = (R + t / 2) * a / (90 + T) - t / 2
        return 90 + T - a - springback(K, n, E, nu, R, t, a, block)

    return Told(
        what,
        "formula",
        f"u - sb with u = 90 + T - a, {RADIUS}; {SPRINGBACK}",
        inputs,
        SOURCE,
        VALID,
        None,
        BACK_BAND,
        COMPARED,
        evaluated(left, inputs),
    )


def on_zones(place: Place) -> Keys:
    """What edges are cut together follows from the walls of all of them."""
    return (*on.walls(place.world), f"{STEP_KEY}.value")


def _on_end(place: Place) -> Keys:
    return (*on_zones(place), *on.DRAWN)


ZONE = "block.zones[*]"
FAMILIES = (
    Family(f"{ZONE}.tilt_deg", on_zones, _tilt),
    Family(f"{ZONE}.setback_mm", lambda p: (*on.BLOCK, *on_zones(p)), _setback),
    Family(f"{ZONE}.setback_in_rounded", lambda p: (*on.BLOCK, *on_zones(p)), _rounded),
    Family(f"{ZONE}.stretches[*].(from_mm|to_mm)", _on_end, _end),
    Family(f"{ZONE}.stretches[*].remaining_deg.(min|max)", on_zones, _remaining),
)
