"""The hand-finishing list of a part: from what was measured on it, or from the forecast before it is pressed.

A move is needed where the verdict is outside, and where nobody can tell but the measured value itself is past the drawing's limit.
Where the value stands inside the limit and only the gauge reaches over it, nothing is moved: it is measured again with a finer gauge.
Inside: nothing. Without a tolerance nobody can say whether, so it is looked at, not moved.

From the forecast a move is expected where the mean of the released angle lies past the drawing's tolerance (of a block with one undercut
for an edge, place by place; of a flange that the press leaves open, at its hardest place), where pad and metal do not take the shrink of
an edge and no flutes do, and where the press does not set the step of a joggle. Without a tolerance it is expected from `hand_set_least`
on. Where only the band reaches past the tolerance the share of first pieces that stay inside is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ribwright.features.part import Hole
from ribwright.stages.as_pressed import as_pressed, stays_open
from ribwright.stages.finding import Finding
from ribwright.stages.found import CANNOT_TELL, INSIDE, OUTSIDE, Judged
from ribwright.stages.gauges import best_gauge
from ribwright.stages.hand_angles import Spot, angle_moves
from ribwright.stages.hand_join import joined
from ribwright.stages.hand_lengths import MEASURED, Turned, along_of, carried, length_row, named, owner_of, place_of
from ribwright.stages.hand_list import (
    NOBODY,
    STEP,
    WRINKLES,
    Beyond,
    HandList,
    Look,
    Move,
    Where,
    all_minutes,
    in_order,
)
from ribwright.stages.hand_room import edge_room
from ribwright.stages.hand_when import when_of
from ribwright.stages.judged import plan_tolerances
from ribwright.stages.plan import Plan
from ribwright.stages.springback import solved_of
from ribwright.stages.stack import show_chance
from ribwright.stages.tolerances import allowed

Row = Move | Beyond | Look
ON_BLOCK_LEFT = "the block is cut to one undercut for the edge, which leaves this"
NO_UNDERCUT = "the block is cut without undercut, so the bend springs back by this"
LEFT_OPEN = "the press leaves this flange open; told at its hardest place, measure along it"
FINER = "The gauge reaches over the limit, the value stands inside it: measure again with a finer gauge, move nothing."
NO_TOLERANCE = "No tolerance in the part file: nobody can say whether it must be moved."


def handwork(plan: Plan, judged: Sequence[Judged]) -> HandList:
    """The list from what was measured."""
    rows: list[Row] = []
    for where, mine in _flanges(judged):
        spots = [(spot_of(j), needs_move(j)) for j in mine]
        rows += angle_moves(plan, where, spots, MEASURED, "the reading, and common practice for the move")
        rows += joined([_look(j) if looked_at(j) else None for j in mine])
    turned = _turned(rows, judged)
    for mine in _owners(judged, angles=False).values():
        rows += joined([_length(plan, j, turned) for j in mine])
    return _listed(plan, rows, expected=False)


def expected_handwork(plan: Plan) -> HandList:
    """The list from the forecast, before the press; of web bow and twist nothing is forecast."""
    rows: list[Row] = [*_wrinkles(plan), *_steps(plan), *_edges(plan), *_rims(plan)]
    moved = {tuple(r.where.items()) for r in rows if isinstance(r, Move | Beyond)}
    rows += [r for r in _uncertain(plan) if tuple(r.where.items()) not in moved]
    return _listed(plan, rows, expected=True)


def needs_move(j: Judged) -> bool:
    """Whether a hand must be laid on it: outside, or past the limit as read."""
    if j.verdict == OUTSIDE:
        return True
    return j.verdict == CANNOT_TELL and j.limits is not None and not j.limits[0] <= j.found.value <= j.limits[1]


def looked_at(j: Judged) -> bool:
    """Whether nobody can tell, and nothing says that it is past the limit."""
    return j.verdict == CANNOT_TELL and not needs_move(j)


def spot_of(j: Judged) -> Spot:
    """A judged angle as a place to set."""
    f = j.found
    return Spot(along_of(f), f.value, f.nominal, j.limits, f.u, f.gauge)


# ---------------------------------------------------------------- from what was measured


def _owners(judged: Sequence[Judged], angles: bool) -> dict[tuple[str, ...], list[Judged]]:
    """What was measured of each quantity and owner by rising place, in the order first measured."""
    by: dict[tuple[str, ...], list[Judged]] = {}
    for j in judged:
        if (j.found.quantity == "flange_angle") == angles:
            by.setdefault((j.found.quantity, str(place_of(j.found)), str(j.found.where.get("of", ""))), []).append(j)
    return {key: sorted(mine, key=lambda j: along_of(j.found) or 0.0) for key, mine in by.items()}


def _flanges(judged: Sequence[Judged]) -> Iterator[tuple[Where, list[Judged]]]:
    """The angles of each flange."""
    for mine in _owners(judged, angles=True).values():
        where = owner_of(mine[0].found)
        if where:
            yield where, mine


def _length(plan: Plan, j: Judged, turned: Turned) -> Row | None:
    """What becomes of one measured length; None: nothing."""
    if needs_move(j):
        return length_row(plan, j, turned)
    return _look(j) if looked_at(j) else _taken_out(plan, j, turned)


def _look(j: Judged) -> Look:
    f = j.found
    return Look(f.quantity, place_of(f), along_of(f), NO_TOLERANCE if j.limits is None else FINER)


def _turned(rows: Sequence[Row], judged: Sequence[Judged]) -> Turned:
    """How far the list sets a flange at a place: what the measured angle nearest to it is set by, 0 where that one stays."""
    read: dict[tuple[tuple[str, str], ...], list[tuple[float, float]]] = {}
    moved = {
        (tuple(m.where.items()), a): by for m in rows if isinstance(m, Move) and m.unit == "deg" for a, by in m.places
    }
    whole = {tuple(m.where.items()): m.amount or 0.0 for m in rows if isinstance(m, Move) and not m.places}
    for where, mine in _flanges(judged):
        key = tuple(where.items())
        for j in mine:
            at = along_of(j.found)
            by = whole.get(key, 0.0) if at is None else moved.get((key, at), 0.0)
            read.setdefault(key, []).append((0.0 if at is None else at, by))

    def turned(where: Where, along: float | None) -> float:
        near = read.get(tuple(where.items()), [])
        return min(near, key=lambda row: abs(row[0] - (along or 0.0)))[1] if near else 0.0

    return turned


def _taken_out(plan: Plan, j: Judged, turned: Turned) -> Look | None:
    """A length that stands inside and that setting the angle takes past its limit."""
    f = j.found
    if j.verdict != INSIDE or j.limits is None or f.quantity not in ("contour", "flange_width", "bend_radius"):
        return None
    goes = carried(plan, f, turned(owner_of(f), along_of(f)))
    if j.limits[0] <= f.value + goes <= j.limits[1]:
        return None
    say = f"Setting the angle moves it by {goes:+.2f} mm, past its limit: ask before the angle is set."
    return Look(f.quantity, owner_of(f), along_of(f), say)


# ---------------------------------------------------------------- from the forecast


def _edges(plan: Plan) -> Iterator[Row]:
    """The angles that the block as cut, or the press, leaves."""
    open_ = {r.flange.owner for r in stays_open(plan.setup)}
    for e in plan.block.edges:
        where = {"edge": e.edge}
        flange = plan.job.part.edge(e.edge).flange
        limits = allowed(plan.job.part, "flange_angle", f"edge.{e.edge}", f"flange.{flange}")
        if e.edge in open_:
            yield from _opened(plan, where, limits)
            continue
        solved = solved_of(plan.job, e.edge)
        off = e.remaining + (0.0 if solved is None else solved.mean(e.along))
        order = np.argsort(e.along)
        rows = [(float(e.along[i]), float(off[i]), float(e.angle[i])) for i in order if np.isfinite(off[i])]
        yield from _expected(plan, where, rows, limits, e.out.model)


def _rims(plan: Plan) -> Iterator[Row]:
    """The same of flanged holes."""
    open_ = {r.flange.owner for r in stays_open(plan.setup)}
    holes: dict[str, Hole] = {h.name: h for h in plan.job.part.holes}
    for r in (*plan.block.recesses, *plan.block.rings):
        where = {"hole": r.name}
        limits = allowed(plan.job.part, "flange_angle", f"hole.{r.name}")
        if r.name in open_:
            yield from _opened(plan, where, limits)
        elif np.isfinite(r.remaining):
            yield from _expected(plan, where, [(None, float(r.remaining), holes[r.name].bend_angle)], limits, r.model)


def _opened(plan: Plan, where: Where, limits: tuple[float, float] | None) -> Iterator[Row]:
    """A flange that the press leaves open."""
    pressed = as_pressed(plan.setup, named(where))
    if pressed is not None:
        along = None if "hole" in where else pressed.along
        row = [(along, pressed.off, pressed.reach.flange.angle)]
        released = pressed.reach.released
        yield from _expected(plan, where, row, limits, "" if released is None else released.model, LEFT_OPEN)


def _expected(
    plan: Plan,
    where: Where,
    rows: Sequence[tuple[float | None, float, float]],
    limits: tuple[float, float] | None,
    model: str,
    why: str = "",
) -> Iterator[Move | Beyond]:
    """Moves from (along, released angle less the drawing's, the drawing's)."""
    best, u = best_gauge(plan.job.shop, "flange_angle")
    least = plan.job.catalogue.practice["hand_set_least"].value
    low, high = (least, least) if limits is None else limits
    spots = []
    for along, off, angle in rows:
        own = None if limits is None else (angle - limits[0], angle + limits[1])
        spot = Spot(along, angle + off, angle, own, u, best.id if best else "")
        spots.append((spot, not -low <= off <= high))
    cut = NO_UNDERCUT if plan.job.part.block_undercut == "none" else ON_BLOCK_LEFT
    yield from angle_moves(plan, where, spots, f"forecast: {why or cut}", f"{model}; not compared with a formed part")


def _wrinkles(plan: Plan) -> Iterator[Row]:
    """Edges that must shrink more than pad and metal take, and that no flutes gather, once a run."""
    done: set[tuple[str, ...]] = set()
    for f in (x for x in plan.findings if x.code == "shrink-wrinkles"):
        edge = str(f.where["edge"])
        run = plan.fluting.run_of(edge)
        if run is not None and run.enough:
            say = "Flutes take the shrink: look between them, dress what is left from the middle of the curve to both ends."
            yield Look("edge_shrink", {"edge": edge}, None, say)
            continue
        names = (edge,) if run is None else run.edges
        if names not in done:
            done.add(names)
            yield _dressed(plan, f, edge, None if run is None else run.least - run.taken)


def _dressed(plan: Plan, f: Finding, edge: str, gather: float | None) -> Row:
    assert f.value is not None
    smooth = f.limit or 0.0
    r = edge_room(plan.job, "shrink_fluted_limit", smooth, f.value - smooth)
    if r.over:
        assert r.limit is not None
        why = f"the edge must shrink {100 * r.after:.1f} %, limit {100 * r.limit:.1f} %: {r.by}"
        return Beyond("edge_shrink", {"edge": edge}, float(f.where.get("along_mm", 0.0)), f.value, "strain", why)
    return Move(
        WRINKLES,
        {"edge": edge},
        gather,
        "mm",
        None,
        None,
        "fluting pliers or a shrinker, then a dead blow mallet over the form block",
        "Stop when the flange lies smooth between the flutes; no fold is hammered flat.",
        f"forecast: the edge must shrink {100 * f.value:.1f} %, more than pad and metal take by themselves",
        f.source,
        (f"bend angle of {edge}", "web flatness", f"the edge of {edge} with a magnifying glass"),
        float(f.where["along_mm"]) if "along_mm" in f.where else None,
        room=r,
        cautions=("A wrinkle that folds over is scrap: stop before it does.", "Pinch points: fingers clear of jaws."),
    )


def _steps(plan: Plan) -> Iterator[Row]:
    """Steps of joggles that the press does not set, or may not."""
    for f in plan.findings:
        if f.code not in ("joggle-not-set", "joggle-may-not-set"):
            continue
        where = {"edge": str(f.where["edge"])}
        along = float(f.where["along_mm"]) if "along_mm" in f.where else None
        if f.code == "joggle-may-not-set":
            yield Look("joggle", where, along, "The step may not lie in the block: look, and have a drift ready.")
            continue
        yield Move(
            STEP,
            where,
            None,
            "mm",
            None,
            None,
            "fibre drift and a dead blow mallet, over the block's step",
            "Stop when the step lies in the block; depth by feeler under a straight edge.",
            "forecast: the press gives less than the step takes to lie in the block",
            f.source,
            (f"depth of the joggle on {where['edge']}", "the step's two bends with a magnifying glass"),
            along,
        )


def _uncertain(plan: Plan) -> Iterator[Look]:
    """Flanges whose band reaches past the tolerance although their mean does not."""
    for row in plan_tolerances(plan):
        if row.quantity != "flange_angle" or row.stands != "no":
            continue
        where: Where = {k: str(row.where[k]) for k in ("edge", "hole") if k in row.where}
        along = row.where.get("along_mm")
        chance = row.chance_first
        share = "not known which share" if chance is None else show_chance(chance)
        say = f"The forecast's band reaches past the tolerance: {share} of first pieces inside. Measure before anything is set."
        yield Look("flange_angle", where, None if along is None else float(along), say, chance)


# ---------------------------------------------------------------- together


def _listed(plan: Plan, rows: Sequence[Row], expected: bool) -> HandList:
    moves = in_order(plan.job, (r for r in rows if isinstance(r, Move)))
    when = when_of(plan.job)
    return HandList(
        moves,
        tuple(r for r in rows if isinstance(r, Beyond)),
        tuple(r for r in rows if isinstance(r, Look)),
        when.say,
        when.window_s,
        all_minutes(plan.job, moves),
        plan.job.shop.rules.rework_by or NOBODY,
        expected,
    )
