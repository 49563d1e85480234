"""Flanges set by hand: how far, how far past, with what, until when, and whether the bend still stands it.

A bend that is closed further by hand yields at the moment that it was bent with, so it comes back by the closed form's undercut
(`mechanics.springback`, pure bending without the pad's pressure): pushed to target + past it comes to the target. One that is opened is
bent the other way, yields earlier than it was bent (Bauschinger) and comes back by less: at most by as much, how much is not known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from ribwright.mechanics import tolerance as law
from ribwright.stages.gauges import best_gauge
from ribwright.stages.hand_list import CLOSE, OPEN, Beyond, Move, Target, Where
from ribwright.stages.hand_room import Room, bend_room
from ribwright.stages.plan import Plan
from ribwright.stages.undercut import undercut

NO_CURVE = "not known: no flow curve for this temper"
NO_ROOT = "not known: the closed form has no answer"
OPENED = "not known: a bend turned back yields earlier than it was bent (Bauschinger); at most {:.1f} deg"
PUSHED = "closed form of pure bending, 1.5 deg rms off a section model; no formed part was compared"
ON_BLOCK = "dead blow mallet over the form block"
PAST_WALL = (
    "hand seamer with smooth jaws; the block's wall, at {:.1f} deg, stops the flange short of what it must be pushed to, so clamp the web "
    "on the block with this bend standing free just past the block's edge, and turn it a little at a time along its length"
)
SEAMER = "hand seamer with smooth jaws, the part held on the block"
IN_RECESS = "dead blow mallet and a fibre drift, over the block's recess"
OUT_OF_RECESS = "fibre drift from the flange's open side, the part held on the block"
ON_THE_BLOCK = (ON_BLOCK, SEAMER, IN_RECESS, OUT_OF_RECESS)
OFF_BLOCK = "Set it on the block: a flange set off the block bows the web."
CLAMPED = "Keep the web clamped flat up to the bend: a flange set with its web free bows the web."
EDGES = "No steel edge on the bend; jaws padded: a scratch or a nick starts a crack."
NOT_PROVED = "the gauge's uncertainty is as wide as the tolerance: no reading proves it"
NO_UNCERTAINTY = "no gauge of known uncertainty: no reading proves it"
NO_LIMITS = "the drawing's tolerance is not in the part file: ask before you stop short of the drawing's angle"


BEYOND = "beyond"
WALL_DEG = 0.5  # what a protractor on a wall is read to


@dataclass(frozen=True)
class Spot:
    """A flange at one place: angle where it stands and the drawing's [deg], limits of the angle itself (None: no tolerance), expanded
    uncertainty and gauge it was, or would be, read with."""

    along: float | None
    stands: float
    nominal: float
    limits: tuple[float, float] | None
    u: float | None
    gauge: str

    @property
    def turn(self) -> float:
        """What brings it to the drawing's angle [deg], + closed."""
        return self.nominal - self.stands


def angle_moves(
    plan: Plan, where: Where, spots: Sequence[tuple[Spot, bool]], why: str, source: str
) -> Iterator[Move | Beyond]:
    """The moves of one flange from its places in rising `along`, each with whether it needs one: neighbours that go the same way are one
    move; places whose bend does not stand it are beyond hands."""

    def fate(row: tuple[Spot, bool]) -> str:
        spot, needs = row
        if not needs:
            return ""
        return BEYOND if room_of(plan, where, spot).over else CLOSE if spot.turn > 0.0 else OPEN

    for what, rows in groupby(spots, fate):
        group = [spot for spot, _ in rows]
        if what == BEYOND:
            yield _beyond(plan, where, group)
        elif what:
            yield _move(plan, where, group, why, source)


def room_of(plan: Plan, where: Where, spot: Spot) -> Room:
    """What is left of the bend's strain when a place is set to the drawing's angle."""
    return bend_room(plan.job, radius_of(plan, where), spot.nominal, spot.stands, spot.turn)


def radius_of(plan: Plan, where: Where) -> float:
    """The drawing's inside bend radius of an edge or hole [mm]."""
    part = plan.job.part
    if "hole" in where:
        return next(h.bend_radius for h in part.holes if h.name == where["hole"])
    return part.flanges[part.edge(where["edge"]).flange or ""].bend_radius


def past_of(plan: Plan, where: Where, spot: Spot) -> tuple[float | None, float | None, str]:
    """(how far past [deg], at most so far [deg], what that is from or why it is not known)."""
    under = undercut(plan.job, radius_of(plan, where), np.array([spot.nominal]))
    if not under.known:
        return None, None, NO_CURVE
    if not under.good.all():
        return None, None, NO_ROOT
    back = float(under.deg[0])
    if spot.turn < 0.0:
        return None, back, OPENED.format(back)
    return back, back, PUSHED


def stop_band(
    limits: tuple[float, float] | None, u: float | None, decision: str
) -> tuple[float | None, float | None, str]:
    """(least, most) that the gauge must read to stop, or (None, None, why not). By the guarded rule the limits are drawn in by the gauge's
    uncertainty."""
    if limits is None:
        return None, None, NO_LIMITS
    if decision != "guarded":
        return *limits, ""
    if u is None:
        return None, None, NO_UNCERTAINTY
    low, high = law.guarded(*limits, u)
    return (None, None, NOT_PROVED) if low > high else (low, high, "")


def stop_words(target: float, low: float | None, high: float | None, why: str, gauge: str) -> str:
    """'Stop at 90 deg: G-02 reads 89.1 to 90.9 deg.'"""
    if low is None or high is None:
        return f"Stop at {target:.4g} deg: {why}."
    return f"Stop at {target:.4g} deg: {gauge or 'the gauge'} reads {low:.4g} to {high:.4g} deg."


def _move(plan: Plan, where: Where, group: Sequence[Spot], why: str, source: str) -> Move:
    worst = max(group, key=lambda s: abs(s.turn))
    tight = max((room_of(plan, where, s) for s in group), key=lambda r: r.after)
    best, u = best_gauge(plan.job.shop, "flange_angle")
    gauge, sure = (worst.gauge, worst.u) if worst.u is not None else (best.id if best else worst.gauge, u)
    low, high, unproved = stop_band(worst.limits, sure, plan.job.shop.rules.decision)
    past, most, past_why = past_of(plan, where, worst)
    alongs = [s.along for s in group if s.along is not None]
    tool = _tool(plan, where, worst, past)
    return Move(
        CLOSE if worst.turn > 0.0 else OPEN,
        where,
        worst.turn,
        "deg",
        worst.stands,
        worst.nominal,
        tool,
        stop_words(worst.nominal, low, high, unproved, gauge),
        why,
        source,
        _recheck(where),
        worst.along,
        min(alongs, default=None),
        max(alongs, default=None),
        tuple((s.along, s.turn) for s in group if s.along is not None),
        low,
        high,
        gauge,
        past,
        most,
        past_why,
        tight,
        cautions=(OFF_BLOCK if tool in ON_THE_BLOCK else CLAMPED, EDGES),
        targets=tuple(_target(plan, where, s, sure) for s in group if s.along is not None),
    )  # fmt: skip


def _target(plan: Plan, where: Where, spot: Spot, sure: float | None) -> Target:
    """One place with its own numbers; `sure` the uncertainty of the gauge where the reading has none."""
    low, high, _ = stop_band(spot.limits, spot.u if spot.u is not None else sure, plan.job.shop.rules.decision)
    past, _, _ = past_of(plan, where, spot)
    assert spot.along is not None
    return Target(spot.along, spot.stands, spot.nominal, low, high, None if past is None else spot.nominal + past)


def _recheck(where: Where) -> tuple[str, ...]:
    if "hole" in where:
        name = where["hole"]
        return (f"bend angle of {name}", f"bend and rim of {name} with a magnifying glass", "web flatness")
    name = where["edge"]
    return (f"bend angle of {name}", f"bend of {name} with a magnifying glass", f"contour of {name}", "web flatness")


def _tool(plan: Plan, where: Where, spot: Spot, past: float | None) -> str:
    closes = spot.turn > 0.0
    if "hole" in where:
        return IN_RECESS if closes else OUT_OF_RECESS
    if not closes:
        return SEAMER
    wall = _wall(plan, where["edge"], spot.along)
    if past is None or wall is None or spot.nominal + past <= wall + WALL_DEG:
        return ON_BLOCK
    return PAST_WALL.format(wall)


def _wall(plan: Plan, edge: str, along: float | None) -> float | None:
    """Angle of the block's wall at a place of an edge [deg]."""
    e = next((x for x in plan.block.edges if x.edge == edge), None)
    if e is None:
        return None
    order = np.argsort(e.along)
    at = float(np.mean(e.along)) if along is None else along
    return float(np.interp(at, e.along[order], e.under.wall[order]))


def _beyond(plan: Plan, where: Where, group: Sequence[Spot]) -> Beyond:
    spot = max(group, key=lambda s: room_of(plan, where, s).after)
    r = room_of(plan, where, spot)
    assert r.limit is not None
    why = (
        f"setting it by {abs(spot.turn):.1f} deg would bring the bend to {100 * r.after:.1f} % of accumulated strain, limit "
        f"{100 * r.limit:.1f} %: {r.by}"
    )
    alongs = [s.along for s in group if s.along is not None]
    start, end = min(alongs, default=None), max(alongs, default=None)
    return Beyond("flange_angle", where, spot.along, spot.stands, "deg", why, off=-spot.turn, start=start, end=end)
