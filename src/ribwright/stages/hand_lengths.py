"""What is done by hand to webs, edges, roots and holes, and what cannot be: the moves of everything but the flange's angle.

Setting an angle takes other things with it, since the arc of the bend is kept: mold line, width, radius (`mechanics.tolerance`). What comes
inside with the angle gets no move of its own. Metal that is not there cannot be put back: a narrow flange, a hole that is too large or
stands elsewhere, a bend that is too tight, a thin sheet are for a person to decide.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, radians

import numpy as np

from ribwright.mechanics import flute, hand_bend
from ribwright.mechanics import tolerance as law
from ribwright.stages.found import THICKNESS, Found, Judged
from ribwright.stages.hand_angles import EDGES, radius_of, stop_band
from ribwright.stages.hand_list import BRING, HOLE, ROOT, TRIM, WEB, Beyond, Look, Move, Where
from ribwright.stages.hand_room import Room, bend_limit, edge_room, moved_bend_room, room
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

Turned = Callable[[Where, float | None], float]  # how far a flange is set at a place [deg]
Row = Move | Beyond | Look
MEASURED = "measured outside the drawing's tolerance"
FLUTING = "fluting pliers on the edge of the high side, dead blow mallet on a flat plate"
FILE = "file, then a deburring tool along the edge"
MALLET = "dead blow mallet and a fibre drift along the root, the part on its block"
REAMER = "reamer or round file, the part backed up"
GONE = "metal that is missing cannot be put back by hand"
TIGHT = "opening a bend that is too tight leaves the strain it took"
SOURCE = "common practice"
ALONG = "File along the edge, never across it: a scratch across starts a crack. The edge cuts: mind your hands."


def length_row(plan: Plan, j: Judged, turned: Turned) -> Row:
    """What becomes of one judged characteristic, other than an angle, that does not stand inside."""
    f = j.found
    if f.quantity == "web_flatness":
        return web_row(plan, f, j.limits)
    if f.quantity == THICKNESS:
        return _beyond(f, "thickness is the sheet's own: hands do not give it back")
    if f.quantity == "hole_position":
        return _beyond(f, "a hole that has drifted stays where it is")
    if f.quantity == "hole_diameter":
        return _hole(plan, j)
    where = owner_of(f)
    if not where:
        return Look(f.quantity, place_of(f), None, "Measured of a whole loop: measure at which edge it stands off.")
    return _edge(plan, j, where, turned)


def owner_of(f: Found) -> Where:
    """{"edge"} or {"hole"} of a finding's place; {} of a corner or a loop."""
    return {k: str(f.where[k]) for k in ("edge", "hole") if k in f.where}


def place_of(f: Found) -> Where:
    """The same, or {"corner"}, {"loop"}."""
    return owner_of(f) or {k: f.where[k] for k in ("corner", "loop") if k in f.where}


def named(where: Where) -> str:
    """'upper', 'L1', 'rear/upper'."""
    if "corner" in where:
        return "/".join(map(str, where["corner"]))
    return str(where.get("edge", where.get("hole", "web")))


def along_of(f: Found) -> float | None:
    """Its place along the edge as typed [mm]."""
    at = f.where.get("along_mm")
    return None if at is None else float(at)


def carried(plan: Plan, f: Found, turn: float) -> float:
    """How far setting the flange by `turn` [deg] takes a mold line, width or radius with it [mm]."""
    where = owner_of(f)
    if turn == 0.0 or not where or not _flanged(plan, where):
        return 0.0
    radius, t = radius_of(plan, where), plan.job.t
    angle = _angle(plan, where, along_of(f))
    if f.quantity == "bend_radius":
        return float(law.radius_per_degree(radius, t, angle)) * turn
    if "hole" in where or (f.quantity == "contour" and _line(plan) == "bend-tangent-line"):
        return 0.0
    reach = 0.0 if f.quantity == "contour" and _line(plan) == "inside-mold-line" else t
    return float(law.setback_per_radian(radius, t, reach, angle)) * radians(turn)


def _line(plan: Plan) -> str:
    return plan.job.part.line


def _flanged(plan: Plan, where: Where) -> bool:
    part = plan.job.part
    if "hole" in where:
        return next((h.kind == "lightening" for h in part.holes if h.name == where["hole"]), False)
    return part.edge(where["edge"]).flange is not None


def _angle(plan: Plan, where: Where, along: float | None) -> float:
    """The drawing's bend angle at a place [deg]."""
    if "hole" in where:
        return next(h.bend_angle for h in plan.job.part.holes if h.name == where["hole"])
    strip, i = plan.blank.strip_of(where["edge"])
    laid = plan.blank.laid[strip.loop].edges[i]
    at = laid.drawn.length / 2 if along is None else along
    return float(laid.angle(laid.at(np.array([at])))[0])


def _beyond(f: Found, why: str) -> Beyond:
    return Beyond(f.quantity, place_of(f), along_of(f), f.value, f.unit, why, off=f.off)


# ---------------------------------------------------------------- edges and roots


def _edge(plan: Plan, j: Judged, where: Where, turned: Turned) -> Row:
    f = j.found
    goes = carried(plan, f, turned(where, along_of(f)))
    stands, limits = f.value + goes, j.limits
    assert limits is not None
    if goes != 0.0 and limits[0] <= stands <= limits[1]:
        return Look(
            f.quantity, where, along_of(f), "It comes inside with the angle: measure it again when that is set."
        )
    if f.quantity == "contour":
        return _contour(plan, j, where, stands)
    if f.quantity == "bend_radius":
        if stands < f.nominal:
            return _beyond(f, TIGHT)
        return _moved(plan, j, ROOT, stands, MALLET, _root_room(plan, where, stands, f.nominal))
    if stands < f.nominal:
        return _beyond(f, GONE)
    return _moved(plan, j, TRIM, stands, FILE)


def _contour(plan: Plan, j: Judged, where: Where, stands: float) -> Row:
    """+ metal outside the line. A bend line that stands outside is struck back to the block; one that stands inside would have to be
    straightened and bent anew further out."""
    if not _flanged(plan, where):
        return _beyond(j.found, GONE) if stands < 0.0 else _moved(plan, j, TRIM, stands, FILE)
    if stands < 0.0:
        return _beyond(j.found, "the bend stands inside the line: no hand moves it out")
    r = moved_bend_room(plan.job, radius_of(plan, where), _angle(plan, where, along_of(j.found)))
    if r.over:
        assert r.limit is not None
        return _beyond(
            j.found,
            f"bringing the bend in straightens part of it again: {100 * r.after:.1f} % of accumulated strain, limit "
            f"{100 * r.limit:.1f} %: {r.by}",
        )
    return _moved(plan, j, BRING, stands, MALLET, r)


def _root_room(plan: Plan, where: Where, stands: float, nominal: float) -> Room:
    now = float(hand_bend.own_strain(stands, plan.job.t))
    return room(now, float(hand_bend.own_strain(nominal, plan.job.t)) - now, *bend_limit(plan.job))


def _moved(plan: Plan, j: Judged, what: str, stands: float, tool: str, r: Room | None = None) -> Row:
    """A move that brings a length to its nominal."""
    f, first = j.found, _first(plan)
    if r is not None and r.over:
        assert r.limit is not None
        return _beyond(
            f, f"it would bring the bend to {100 * r.after:.1f} % strain, limit {100 * r.limit:.1f} %: {r.by}"
        )
    low, high, why = stop_band(j.limits, f.u, plan.job.shop.rules.decision)
    where, along = place_of(f), along_of(f)
    name = named(where)
    goes = stands - f.value
    said = (
        MEASURED if goes == 0.0 else f"{MEASURED}; setting the angle moves it by {goes:+.2f} mm, which is reckoned in"
    )
    words = {"contour": "contour", "flange_width": "width", "bend_radius": "bend radius", "hole_diameter": "diameter"}
    again = [f"{'length of the slot' if 'of' in f.where else words[f.quantity]} of {name}"]
    again += [f"the bend of {name} with a magnifying glass", f"bend angle of {name}"] if what in (ROOT, BRING) else []
    again += [f"the edge of {name} smooth, no nick"] if what in (TRIM, HOLE) else []
    return Move(
        what,
        where,
        f.nominal - stands,
        "mm",
        stands,
        f.nominal,
        tool,
        _stop(f.nominal, low, high, why, f.gauge, first),
        said,
        SOURCE,
        tuple(again),
        along,
        along,
        along,
        () if along is None else ((along, f.nominal - stands),),
        low,
        high,
        f.gauge,
        room=r,
        cautions=(ALONG,) if what in (TRIM, HOLE) else (EDGES,),
    )  # fmt: skip


def _stop(target: float, low: float | None, high: float | None, why: str, gauge: str, first: Unit) -> str:
    at = f"Stop at {show_length(target, first)}"
    if low is None or high is None:
        return f"{at}: {why}."
    return f"{at}: {gauge or 'the gauge'} reads {show_length(low, first)} to {show_length(high, first)}."


def _first(plan: Plan) -> Unit:
    unit = plan.job.shop.units or plan.job.part.units
    return "in" if unit == "in" else "mm"


# ---------------------------------------------------------------- holes and the web


def _hole(plan: Plan, j: Judged) -> Row:
    """A drilled hole, the length of its slot, or the relief of a corner."""
    f = j.found
    hole = next((h for h in plan.job.part.holes if h.name == f.where.get("hole")), None)
    if hole is not None and hole.kind == "lightening":
        return _beyond(f, "the rim of a flanged hole follows its flange's angle and the hole as cut")
    return _beyond(f, GONE) if f.value > f.nominal else _moved(plan, j, HOLE, f.value, REAMER)


def web_row(plan: Plan, f: Found, limits: tuple[float, float] | None) -> Row:
    """The web flattened: how much its longest flanges must gather for it, and whether the edge still takes that."""
    bow, first = abs(f.value), _first(plan)
    _, high, why = stop_band(limits, f.u, plan.job.shop.rules.decision)
    most = high if high is not None and high >= 0.0 else None
    stop = (
        f"Stop when no more than {show_length(most, first)} shows under it, part free on a flat plate."
        if most is not None
        else f"Stop when it lies flat: {why or 'the gauge is too coarse to prove it'}."
    )
    height, length = _height(plan), max(plan.block.face_size)
    r, gather = None, None
    if height > 0.0:
        strain = float(hand_bend.bow_strain(bow, length, height))
        must = float(hand_bend.bow_gather(bow, length, height))
        rules = plan.fluting.rules
        each = float(flute.gather(rules.width, rules.depth))
        gather = (must, max(ceil(must / each - 1e-9), 1))
        r = edge_room(plan.job, "shrink_fluted_limit", _shrunk(plan), strain)
        if r.over:
            assert r.limit is not None
            return _beyond(
                f,
                f"the flange's edge would be shrunk by {100 * r.after:.1f} %, limit {100 * r.limit:.1f} %: {r.by}",
            )
    return Move(
        WEB,
        {"loop": "web"},
        -bow,
        "mm",
        bow,
        0.0,
        FLUTING,
        stop,
        MEASURED,
        "common practice, from builders' logs of ribs",
        ("web flatness", "every bend angle", "hole positions", "flutes clear of rivets"),
        low=None if most is None else 0.0,
        high=most,
        gauge=f.gauge,
        room=r,
        gather=gather,
        cautions=(
            "Look which way it bows first: where the flanges stand on the hollow side they are too short, and fluting makes it worse; "
            "then take flutes out or stretch the edge.",
        ),
    )  # fmt: skip


def _height(plan: Plan) -> float:
    """The tallest flange of the outer loop, mid-thickness of the web to its free edge [mm]; 0 without flanges."""
    rows: Sequence[float] = [
        float(np.max(s.at.width * np.sin(np.radians(s.at.angle)))) for s in plan.blank.strips if s.loop == 0
    ]
    return max(max(rows, default=0.0) - plan.job.t / 2.0, 0.0)


def _shrunk(plan: Plan) -> float:
    """The most that an edge of the outer loop has been shrunk by forming [-]."""
    rows = [
        -float(np.min(np.expm1(s.strip.edge_strain[s.strip.good])))
        for s in plan.blank.strips
        if s.loop == 0 and s.strip.good.any()
    ]
    return max([0.0, *rows])
