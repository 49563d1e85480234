"""The forecast: at each place along the contour what the flange does under the pressure that acts and after release.

    prepare    places, undercut as the block has it there, the walks of the section model that are needed (values first, then bands)
    (somebody runs the walks, in any order, as many as there is time for)
    forecast   the answer from what was run; what was not is said

With the closed form there are no walks. Nothing here was compared with a real formed part.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from ribwright.mechanics.hardening import necking_strain
from ribwright.stages import forecast_quick as by_formula
from ribwright.stages.develop import hill_k
from ribwright.stages.finding import Predicted
from ribwright.stages.forecast_ask import CLOSED_FORM, SECTION, Acting, Ask, acting
from ribwright.stages.forecast_quick import Quick
from ribwright.stages.forecast_section import (
    WITHIN_DEG,
    YIELDS_AGAIN,
    YIELDS_AGAIN_SAID,
    Bands,
    Effect,
    Read,
    Walk,
    asked_of,
    bands,
    closed_read,
    corrected,
    end_of,
    in_the_hand,
    is_closed,
    less,
    lever,
    open_sd,
    read_walk,
    shuts,
    yields_again_of,
)
from ribwright.stages.forecast_spread import (
    RING,
    WEAKER,
    Spread,
    angle_sd,
    own_misses,
    pads_of,
    ring_of,
    spread_of,
    unverified,
    value_walk,
)
from ribwright.stages.learning import Correction
from ribwright.stages.one_section import flange_of
from ribwright.stages.places import Key, Place, places_of, whole_ring
from ribwright.stages.plan import Plan
from ribwright.stages.scatter import PRESSURE
from ribwright.stages.sheet_laws import JobLaw, law_of
from ribwright.stages.springback import solved_of
from ribwright.stages.taught import curvature_of
from ribwright.stages.undercut import THICKNESS_COV, Z90

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed

CONVERGED, STUCK, CANCELLED, NECKS, FOLDS, UNKNOWN = (
    "converged", "not-converged", "cancelled", "would-neck", "folds", "not-known",
)  # fmt: skip
WORST_FIRST = (CANCELLED, STUCK, FOLDS, NECKS, UNKNOWN)
Seat = tuple[Key, float]


@dataclass(frozen=True)
class Seated:
    """A place on the block: undercut and wall angle there [deg], and the seat that equal sections share."""

    place: Place
    undercut: float
    wall: float

    @property
    def seat(self) -> Seat:
        """What the section depends on."""
        return self.place.unlike, round(self.undercut, 6)

    @property
    def ring(self) -> Seat | None:
        """Of a place that is taken as straight: the seat of the whole ring."""
        return None if self.place.ring is None else (self.place.ring, round(self.undercut, 6))


@dataclass(frozen=True, eq=False)
class Prepared:
    """What is to be forecast. `walks` by seat, and by (seat, what is changed) for the bands; empty with the closed form. `rings`:
    whole rings of places that are taken as straight, by their own seats."""

    plan: Plan
    ask: Ask
    acting: Acting
    law: JobLaw
    seated: tuple[Seated, ...]
    walks: dict[tuple[Seat, str], Walk]
    spreads: dict[Seat, tuple[Spread, ...]]
    rings: dict[Seat, Spread]


@dataclass(frozen=True)
class Shape:
    """The section itself, under load: gap under the web beside the bend, at the wall and over the block's edge, least thickness
    over the bend [mm]; greatest residual stress after release [MPa]; angle after release while still on the block [deg]; of the
    layers that had yielded, the share that yields again as the sheet is let go, and the most plastic strain that adds."""

    web_lift: float
    wall_gap: float
    crown_gap: float
    thickness: float
    residual: float | None
    on_block: float | None
    again_share: float | None
    again_strain: float | None


@dataclass(frozen=True, eq=False)
class Station:
    """The forecast of one place. Angles from flat [deg], lengths mm. None: not known, or not computed (`outcome` says).

    left_open    wall angle less angle under load
    radius       inside, released; None for a flange that is not bent
    strain, thickness     of the free edge, as formed; `blank_*` those that the flat blank was developed with
    quick        the closed form's answer, also beside a section
    unverified   why the models are not proven here
    """

    seated: Seated
    closes: bool | None
    loaded: Predicted | None
    released: Predicted | None
    springback: Predicted | None
    left_open: Predicted | None
    radius: Predicted | None
    strain: Predicted | None
    thickness: Predicted | None
    blank_strain: float | None
    blank_thickness: float | None
    shape: Shape | None
    quick: Quick | None
    unverified: tuple[str, ...]
    outcome: str

    @property
    def place(self) -> Place:
        """Where it is."""
        return self.seated.place


@dataclass(frozen=True, eq=False)
class Forecast:
    """Every place, in the order of the blank's edges, then the holes; `outcome` the worst of theirs."""

    ask: Ask
    acting: Acting
    law: JobLaw
    stations: tuple[Station, ...]
    outcome: str

    @property
    def worst(self) -> Station | None:
        """The place that stands farthest from its drawn angle after release."""
        known = [s for s in self.stations if s.released is not None]
        return max(known, key=lambda s: abs(off_drawing(s)), default=None)


def off_drawing(s: Station) -> float:
    """Released angle less the drawing's [deg]; negative: open."""
    return s.released.value - s.place.angle if s.released is not None else float("nan")


def prepare(plan: Plan, ask: Ask) -> Prepared:
    """Everything a forecast needs before the first walk. ValueError without a press and without a pressure."""
    job, act, law = plan.job, acting(plan.setup, ask.pressure), law_of(plan.job)
    seated = tuple(_seated(plan, p, ask.undercut) for p in places_of(job, plan.blank))
    walks: dict[tuple[Seat, str], Walk] = {}
    spreads: dict[Seat, tuple[Spread, ...]] = {}
    rings: dict[Seat, Spread] = {}
    if ask.model != CLOSED_FORM and law.law is not None:
        for s in seated:
            walks.setdefault((s.seat, ""), value_walk(flange_of(job, law, s.place, s.undercut), act))
        for s in _spread_places(seated):
            if s.seat not in spreads:
                rows = spread_of(job, law, s.place, s.undercut, act)
                spreads[s.seat] = tuple(x for x in rows if x.name != RING)
                walks |= {(s.seat, x.name): x.walk for x in spreads[s.seat]}
        # a straight section has one seat all along an edge, its ring many
        for s in seated:
            ring = ring_of(job, law, s.place, s.undercut, act)
            if ring is not None and s.ring is not None:
                rings[s.ring] = ring
                walks[s.ring, RING] = ring.walk
    return Prepared(plan, ask, act, law, seated, walks, spreads, rings)


def forecast(p: Prepared, found: Mapping[tuple[Seat, str], Pressed], cancelled: bool = False) -> Forecast:
    """The answer from the walks that were run."""
    quick = tuple(by_formula.quick(p.plan.job, s.place, s.undercut, p.acting) for s in p.seated)
    if p.ask.model == CLOSED_FORM:
        rows = tuple(_by_formula(p, s, q) for s, q in zip(p.seated, quick, strict=True))
    else:
        rows = tuple(_by_section(p, s, q, found, cancelled) for s, q in zip(p.seated, quick, strict=True))
    outcomes = {s.outcome for s in rows} | ({CANCELLED} if cancelled else set()) | _blank_outcomes(p.plan)
    worst = next((o for o in WORST_FIRST if o in outcomes), CONVERGED)
    return Forecast(p.ask, p.acting, p.law, rows, worst)


def _seated(plan: Plan, place: Place, given: float | None) -> Seated:
    u = undercut_of_block(plan, place) if given is None else given
    return Seated(place, u, place.angle + u)


def undercut_of_block(plan: Plan, place: Place) -> float:
    """The undercut that the plan's block has at a place [deg]."""
    if "hole" in place.where:
        cuts = (*plan.block.recesses, *plan.block.rings)
        return next(float(r.undercut[0]) for r in cuts if r.name == place.owner)
    edge = next(e for e in plan.block.edges if e.edge == place.owner)
    order = np.argsort(edge.along)
    return float(np.interp(place.along, edge.along[order], edge.under.deg[order]))


def _spread_places(seated: tuple[Seated, ...]) -> list[Seated]:
    """Of each edge the two places whose sections are least alike; the one that it has."""
    out: list[Seated] = []
    for owner in dict.fromkeys(s.place.owner for s in seated):
        mine = [s for s in seated if s.place.owner == owner]
        pairs = [(_unlike(a, b), -i, -j) for i, a in enumerate(mine) for j, b in enumerate(mine) if i < j]
        _, i, j = max(pairs, default=(0.0, 0, 0))
        out += [mine[-i], mine[-j]]
    return out


def _unlike(a: Seated, b: Seated) -> float:
    """How unlike two sections of an edge are: hoop strain in hundredths, angle in 5 deg, straight part in tenths of itself."""
    bent, flat = (abs(x - y) for x, y in zip(_hoop(a), _hoop(b), strict=True))
    return 100.0 * bent + abs(a.place.angle - b.place.angle) / 5.0 + 10.0 * flat / max(_hoop(a)[1], _hoop(b)[1])


def _hoop(s: Seated) -> tuple[float, float]:
    """(about the hoop strain of the free edge, straight part [mm])."""
    p = s.place if s.place.ring is None else whole_ring(s.place)
    return 0.0 if p.axis is None else p.sign * p.straight / p.axis, p.straight


def _blank_outcomes(plan: Plan) -> set[str]:
    folds = any(bool(np.any(s.strip.folds)) for s in plan.blank.strips)
    return {FOLDS} if folds or any(h.outcome == "folds" for h in plan.blank.holes) else set()


def _of_blank(plan: Plan, place: Place) -> tuple[float | None, float | None]:
    """(hoop strain, thickness) of the free edge that the flat was developed with."""
    if "hole" in place.where:
        flat = next(h for h in plan.blank.holes if h.hole.name == place.owner)
        return flat.edge_strain, flat.edge_thickness
    strip, i = plan.blank.strip_of(place.owner)
    mine = np.flatnonzero(strip.at.edge == i)
    mine = mine[np.argsort(strip.at.along[mine])]
    along = strip.at.along[mine]
    e, t = (float(np.interp(place.along, along, v[mine])) for v in (strip.strip.edge_strain, strip.strip.thickness))
    return e, t


def _by_formula(p: Prepared, s: Seated, q: Quick | None) -> Station:
    blank, t = _of_blank(p.plan, s.place), p.plan.job.t
    if q is None:
        return _nothing(s, None, blank, UNKNOWN, (p.law.why_not,))
    strain = by_formula.edge_strain(q, s.place, t)
    k = hill_k(p.plan.job)
    thick = by_formula.edge_thickness(strain, t, k / (1 - k), Z90 * THICKNESS_COV)
    return Station(
        s, q.closes, q.loaded, q.released, by_formula.springback(q), by_formula.left_open(s.wall, q.loaded),
        by_formula.radius(q, s.place, t), strain, thick, *blank, None, q, (q.unverified,) if q.unverified else (),
        _necks(p, strain),
    )  # fmt: skip


def _nothing(
    s: Seated, q: Quick | None, blank: tuple[float | None, float | None], outcome: str, why: tuple[str, ...]
) -> Station:
    return Station(s, None, None, None, None, None, None, None, None, *blank, None, q, why, outcome)


def _by_section(
    p: Prepared, s: Seated, q: Quick | None, found: Mapping[tuple[Seat, str], Pressed], cancelled: bool
) -> Station:
    blank = _of_blank(p.plan, s.place)
    why = unverified(p.plan, p.law, s.place, p.acting)
    walk = p.walks.get((s.seat, ""))
    if walk is None:
        return _nothing(s, q, blank, UNKNOWN, (p.law.why_not,))
    pressed = found.get((s.seat, ""))
    middle = read_walk(walk, pressed)
    if middle is None:
        return _nothing(s, q, blank, CANCELLED if cancelled else STUCK, why)
    near = min(
        (x for x in p.seated if x.place.owner == s.place.owner and x.seat in p.spreads),
        key=lambda x: (x.seat != s.seat, _unlike(x, s)),
    )
    effects, whole = _effects(p, s, near.seat, found)
    closed = middle.loaded >= walk.flange.wall - WITHIN_DEG
    b = bands(
        middle,
        closed,
        effects,
        angle_sd(own_misses(p.plan, p.law, s.place, p.acting)),
        lever(end_of(walk, pressed), walk.flange),
        walk.flange.axis is not None,
        closed_read(walk, pressed),
        open_sd(walk),
    )
    learned = _learned(p, s, middle, effects) if closed else None
    b = b if learned is None else corrected(b, learned)
    outcome = _necks(p, b.strain) if whole or not cancelled else CANCELLED
    return _station(p, s, q, walk, pressed, b, blank, why, outcome)


def _learned(p: Prepared, s: Seated, middle: Read, effects: list[Effect]) -> Correction | None:
    """What the shop's book moves a place by that lies on its wall: what moved the block there, where the section model made it."""
    job, place = p.plan.job, s.place
    solved = solved_of(job, place.owner)
    if solved is not None:
        at = np.array([place.along])
        return None if solved.correction is None else solved.correction.at(solved.along, at)
    if job.learned is None:
        return None
    miss = angle_sd(own_misses(p.plan, p.law, place, p.acting))
    asked = asked_of(place.owner, place.radius / job.t, curvature_of(job, place.owner), middle, effects, miss)
    return job.learned.correction(SECTION, asked, p.acting.mpa)


def _station(
    p: Prepared, s: Seated, q: Quick | None, walk: Walk, pressed: Pressed | None, b: Bands,
    blank: tuple[float | None, float | None], why: tuple[str, ...], outcome: str,
) -> Station:  # fmt: skip
    point = end_of(walk, pressed)
    shape = None
    if point is not None:
        on = point.on_block
        turned = None if on is None else in_the_hand(walk.flange, on)
        again = yields_again_of(point)
        if again is not None and again.most > YIELDS_AGAIN:
            why = (*why, YIELDS_AGAIN_SAID)
        shape = Shape(
            point.loaded.lift, point.loaded.wall_gap, point.loaded.crown_gap, point.loaded.thickness,
            point.released.stress if point.released is not None else None, turned,
            None if again is None else again.share, None if again is None else again.most,
        )  # fmt: skip
    closes = point is not None and is_closed(point.loaded, walk.flange)
    return Station(
        s, closes, b.loaded, b.released, b.springback, by_formula.left_open(s.wall, b.loaded), b.radius, b.strain,
        b.thickness, *blank, shape, q, why, outcome,
    )  # fmt: skip


def _effects(
    p: Prepared, s: Seated, near: Seat, found: Mapping[tuple[Seat, str], Pressed]
) -> tuple[list[Effect], bool]:
    """What each change does at a place: the pad's share and the whole ring there, every other cause at the place `near`; whether
    all were run."""
    rows: list[Effect] = []
    asked = [(s.seat, s.seat, x, "") for x in pads_of(p.walks[s.seat, ""], p.acting)]
    asked += [(near, near, x, x.name) for x in p.spreads[near]]
    asked += [(s.seat, s.ring, p.rings[s.ring], RING)] if s.ring is not None else []
    opened = False
    for of, at, x, name in asked:
        own, other = found.get((of, "")), found.get((at, name))
        middle, moved = read_walk(p.walks[of, ""], own), read_walk(x.walk, other)
        if middle is not None and moved is not None:
            was, now = shuts(p.walks[of, ""], own), shuts(x.walk, other)
            opens = bool(was) and not now  # the other way it stays closed: nothing there is as large
            opened = opened or (x.name == WEAKER and not now)
            one_way = x.one_way or opens or (x.name == PRESSURE and opened)  # less pressure has its own row
            rows.append(Effect(x.name, less(moved, middle), x.sds, one_way, x.leans, x.kind))
    return rows, len(rows) == len(asked)


def _necks(p: Prepared, strain: Predicted) -> str:
    """The free edge is pulled along itself: past n - e0 it necks (Considere)."""
    h = p.plan.job.formed.hardening if p.plan.job.formed else None
    if h is None or not isfinite(strain.value):
        return CONVERGED
    return NECKS if strain.value > float(necking_strain(h.n, h.prestrain)) else CONVERGED
