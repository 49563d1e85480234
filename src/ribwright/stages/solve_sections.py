"""The section model asked about every flange of a part: undercut, what moves it, and the pressure that closes it.

1. One place of each flange, the one with the shortest straight part and the sharpest curve, is closed: the governing pressure and
   with it the pressure to pump to. 2. These places are solved at that pressure: the block's undercut u with which the released
   flange stands at its angle, two or three runs each. 3. Their closing pressures are taken again on the solved walls; where the
   pressure to pump to moves by more than 0.5 %, 2 is done again, beginning from what was found. 4. At the pressure so settled the
   place least like the hardest of its flange is solved, then every other unlike section, looked for between these two
   (`section_guess`). 5. At the most undercut place of each flange every cause of scatter is run once; at its other places, and for
   another flange of much the same section, the same share of the undercut is taken.

A flange for which the model stops is left to the closed form, with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ribwright.shop.shop import Press
from ribwright.stages import undercut as closed
from ribwright.stages.crew import Crew
from ribwright.stages.job import Job
from ribwright.stages.one_section import close, flange_of, press_and_release, released
from ribwright.stages.places import Key, Place, felt_by, unlike, whole_ring
from ribwright.stages.scatter import Variant, variants
from ribwright.stages.section_guess import Guess, first_guess, guess_between, quick_deg, unlike_by
from ribwright.stages.section_miss import FLUTED, RING_STOPPED, Miss, fluted, misses, unverified
from ribwright.stages.sections import Moved, Sections, Solved
from ribwright.stages.sheet_laws import JobLaw
from ribwright.stages.stack import MODEL
from ribwright.stages.undercut import Z90

Array = NDArray[np.float64]
NEAR_DEG, RUNS = 0.25, 8  # a run that misses by less is corrected by the slope instead of run again; runs at most
LEAST_SLOPE, MOST_SLOPE = 0.2, 2.0
WIDE_DEG = 1.0  # runs end up to 0.02 deg off by their steps: a slope is taken of two that are no less apart
SAME_PRESSURE, SAME_DEG = 0.005, 0.1
ALIKE = 0.1  # by `unlike_by`: sections so much alike share their runs of scatter
ROUNDS = 4
STOPPED = "the section model stopped before it was formed"
NO_UNDERCUT = "the section model found no undercut that brings it to its angle"
NOT_CLOSED = "the section model did not close it under any pressure of the trade"
NO_EDGE = "no block edge keeps its arc at the undercut that the section model asks for"
TELLING_DEG = 1.0  # an undercut under this is no measure of the top place's
LEAST_LIKE, MOST_LIKE = 0.25, 2.0  # share of its scatter that another place takes


@dataclass(frozen=True)
class Spot:
    """One unlike section solved: undercut and slope, loaded angle [deg]; `why` it was not, or ""."""

    deg: float
    slope: float
    loaded: float
    runs: int
    why: str = ""


@dataclass(frozen=True)
class Closing:
    """What pressure the flanges ask for at the sheet [MPa], by owner, at the place that asks most; infinite: not closed."""

    at: dict[str, tuple[Place, float]] = field(default_factory=dict)

    @property
    def most(self) -> float:
        """The largest finite one; 0 where none is."""
        return max((p for _, p in self.at.values() if np.isfinite(p)), default=0.0)


def solve_sections(
    job: Job,
    known: JobLaw,
    places: tuple[Place, ...],
    press: Press,
    pump_to: Callable[[float], float],
    crew: Crew,
) -> Sections:
    """The sections of a job on a press. `pump_to(closing pressure at the sheet [MPa])`: the pressure that the press is then pumped
    to [MPa], or that a stronger one would have to be."""
    owners = _by_owner(places)
    hardest = {name: max(rows, key=_hardness) for name, rows in owners.items()}
    guess = {p.unlike: first_guess(job, p) for p in hardest.values()}
    closing = close_hardest(job, known, hardest, guess, crew)
    runs, pressure = len(guess), pump_to(closing.most)
    spots: dict[Key, Spot] = {}
    for n in range(ROUNDS):
        spots = _solve(job, known, hardest.values(), pressure, guess, crew)
        guess = {key: Guess(s.deg, s.slope) if not s.why else guess[key] for key, s in spots.items()}
        closing = close_hardest(job, known, hardest, guess, crew)
        runs += sum(s.runs for s in spots.values()) + len(guess)
        wanted = pump_to(closing.most)
        if abs(wanted / pressure - 1.0) <= SAME_PRESSURE or n == ROUNDS - 1:
            break
        pressure = wanted
    more = _solve_rest(job, known, owners, hardest, spots, pressure, crew)
    runs += sum(s.runs for s in more.values())
    spots |= more
    fixed = _at_fixed(job, known, owners, spots, pressure, crew)
    runs += len(fixed)
    spots = {key: _through(s, fixed.get(key)) for key, s in spots.items()}
    tops = {name: _top(rows, spots) for name, rows in owners.items() if not _why(job, rows, spots, closing.at[name][1])}
    like = {name: _like(job, p, tops.values(), spots) for name, p in tops.items()}
    moved = _moved_at(job, known, like, spots, pressure, crew)
    runs += sum(len(rows) for rows in moved.values())
    opens, more_runs = _whole_rings(job, known, {name: owners[name] for name in tops}, spots, pressure, crew)
    runs += more_runs
    flanges = {
        name: _solved(
            job, known, rows, spots, closing.at[name], like.get(name), moved, opens.get(name), press, pressure
        )
        for name, rows in owners.items()
    }
    return Sections(pressure, flanges, known.defaults, runs)


def close_hardest(
    job: Job, known: JobLaw, hardest: Mapping[str, Place], guess: Mapping[Key, Guess], crew: Crew
) -> Closing:
    """Closing pressure of each flange at its hardest place, on a block with these undercuts."""
    keys = {p.unlike: p for p in hardest.values()}
    found = crew.run("closing pressures", [partial(close, job, known, p, guess[k].deg) for k, p in keys.items()])
    by_key = dict(zip(keys, found, strict=True))
    return Closing({name: (p, by_key[p.unlike]) for name, p in hardest.items()})


def _hardness(p: Place) -> float:
    """Which place of a flange asks for most pressure: 1/s^2 of the straight part, more for what the curve adds."""
    return (1.0 + (0.0 if p.axis is None else 30.0 * p.straight / p.axis)) / p.straight**2


def _by_owner(places: tuple[Place, ...]) -> dict[str, tuple[Place, ...]]:
    rows: dict[str, list[Place]] = {}
    for p in places:
        rows.setdefault(p.owner, []).append(p)
    return {name: tuple(r) for name, r in rows.items()}


# ---------------------------------------------------------------- undercut


def _solve(
    job: Job, known: JobLaw, places: Iterable[Place], pressure: float, guess: Mapping[Key, Guess], crew: Crew
) -> dict[Key, Spot]:
    keys = unlike(tuple(places))
    found = crew.run("undercut", [partial(_spot, job, known, p, pressure, guess[k]) for k, p in keys.items()])
    return dict(zip(keys, found, strict=True))


def _solve_rest(
    job: Job, known: JobLaw, owners: Mapping[str, tuple[Place, ...]], hardest: Mapping[str, Place], spots: Mapping[Key, Spot],
    pressure: float, crew: Crew,
) -> dict[Key, Spot]:  # fmt: skip
    """The sections that `spots` has not: of each flange the place least like the hardest one, then those between the two."""
    solved = dict(spots)
    others = {name: max(rows, key=lambda p: unlike_by(job, hardest[name], p)) for name, rows in owners.items()}

    def begin(p: Place, *ends: Place) -> Guess:
        found = [(q, solved[q.unlike]) for q in ends]
        if any(s.why for _, s in found):
            return first_guess(job, p)
        first, last = ((q, Guess(s.deg, s.slope)) for q, s in (found[0], found[-1]))
        return guess_between(job, p, first, last)

    # its slope is its own: it may lie far from the hardest one's
    guess = {p.unlike: Guess(begin(p, hardest[name]).deg) for name, p in others.items()}
    solved |= _solve(job, known, (p for p in others.values() if p.unlike not in solved), pressure, guess, crew)
    left = [(name, p) for name, rows in owners.items() for p in rows if p.unlike not in solved]
    guess = {p.unlike: begin(p, hardest[name], others[name]) for name, p in left}
    solved |= _solve(job, known, (p for _, p in left), pressure, guess, crew)
    return {key: s for key, s in solved.items() if key not in spots}


def _spot(job: Job, known: JobLaw, place: Place, pressure: float, first: Guess) -> Spot:
    """Secant from the guess until a run misses by little; the rest by the slope, which is close to 1 and hardly changes. Where no
    slope is known and the guess was good, a run beside it tells the slope."""
    u, slope = first.deg, first.slope or 1.0
    tried: list[tuple[float, float, float]] = []
    for n in range(1, RUNS + 1):
        angle, loaded = press_and_release(job, known, place, u, pressure)
        if angle is None:
            near = next((t for t in tried if abs(t[1]) < NEAR_DEG), None)
            return Spot(u, 1.0, np.nan, n, STOPPED) if near is None else _settled(near, slope, n)
        tried.append((u, angle - place.unlike[0], loaded))
        (low, a, _), (high, b, _) = min(tried), max(tried)
        wide = high - low >= 0.99 * WIDE_DEG  # (u + w) - u may round to less than w
        if high - low > 1e-3 and (wide or first.slope is None):
            slope = float(np.clip((b - a) / (high - low), LEAST_SLOPE, MOST_SLOPE))
        best = min(tried, key=lambda t: abs(t[1]))
        near_enough = abs(best[1]) < NEAR_DEG
        if near_enough and (wide or first.slope is not None):
            return _settled(best, slope, n)
        u = best[0] + WIDE_DEG if near_enough else u - float(np.clip(tried[-1][1] / slope, -15.0, 15.0))
        u = max(u, -place.angle / 2)
    return Spot(u, slope, np.nan, RUNS, NO_UNDERCUT)


def _settled(run: tuple[float, float, float], slope: float, runs: int) -> Spot:
    """From a run (undercut, miss, angle under load) that misses by little."""
    u, miss, loaded = run
    return Spot(u - miss / slope, slope, loaded - miss / slope, runs)


def _at_fixed(
    job: Job, known: JobLaw, owners: Mapping[str, tuple[Place, ...]], spots: Mapping[Key, Spot], pressure: float, crew: Crew
) -> dict[Key, tuple[float, float]]:  # fmt: skip
    """(undercut, error of the released angle) of each section on the block as the part file asks for it, where that is not
    the solved one."""
    from ribwright.stages.springback import least_largest

    mode, wanted = job.part.block_undercut, {}
    for rows in owners.values():
        good = [(p, spots[p.unlike]) for p in rows if not spots[p.unlike].why]
        hole = "hole" in rows[0].where
        if not good or mode == "varying" or (hole and mode != "none"):
            continue
        u = 0.0
        if mode == "constant-per-edge":
            u = least_largest(np.array([s.deg for _, s in good]), np.array([s.slope for _, s in good]))
        wanted.update({p.unlike: (p, u) for p, s in good if abs(s.deg - u) > 2 * NEAR_DEG})
    found = crew.run(
        "block as cut", [partial(press_and_release, job, known, p, u, pressure) for p, u in wanted.values()]
    )
    return {
        key: (u, angle - key[0])
        for (key, (_, u)), (angle, _) in zip(wanted.items(), found, strict=True)
        if angle is not None
    }


def _through(s: Spot, fixed: tuple[float, float] | None) -> Spot:
    """The spot with the slope that gives the run on the block as cut exactly; its bend angle is where its own run stands."""
    if fixed is None or s.why:
        return s
    u, left = fixed
    return Spot(s.deg, float(np.clip(left / (u - s.deg), LEAST_SLOPE, MOST_SLOPE)), s.loaded, s.runs)


# ---------------------------------------------------------------- scatter


def _top(rows: tuple[Place, ...], spots: Mapping[Key, Spot]) -> Place:
    return max(rows, key=lambda p: spots[p.unlike].deg)


def _like(job: Job, top: Place, tops: Iterable[Place], spots: Mapping[Key, Spot]) -> Place:
    """The most undercut of the places that are much the same section as this one."""
    mine = (p for p in tops if p.radius == top.radius and unlike_by(job, top, p) <= ALIKE)
    return max(mine, key=lambda p: spots[p.unlike].deg)


def _moved_at(
    job: Job, known: JobLaw, tops: Mapping[str, Place], spots: Mapping[Key, Spot], pressure: float, crew: Crew
) -> dict[Key, tuple[tuple[Variant, float], ...]]:  # fmt: skip
    """At each of these sections every cause with what its step does to the released angle [deg]. The run that the
    others are held against goes on to the pressure of the cause "pressure"."""
    from ribwright.mechanics.section.standing import with_web

    keys = {p.unlike: p for p in tops.values()}
    asked: list[tuple[Key, tuple[Variant, ...]]] = []
    jobs: list[Callable[[], tuple[float | None, ...]]] = []
    for key, p in keys.items():
        u = spots[key].deg
        rows = variants(job, known, p, u, pressure)
        higher = tuple(v for v in rows if v.pressure > pressure)
        asked.append((key, higher))
        jobs.append(partial(released, flange_of(job, known, p, u), (pressure, *(v.pressure for v in higher))))
        for v in rows:
            if v.pressure <= pressure:
                asked.append((key, (v,)))
                jobs.append(partial(released, with_web(v.flange), (v.pressure,)))
    found = crew.run("scatter", jobs)
    base: dict[Key, float | None] = {}
    out: dict[Key, list[tuple[Variant, float]]] = {key: [] for key in keys}
    for (key, causes), angles in zip(asked, found, strict=True):
        if key not in base:  # the first of a section
            base[key], angles = angles[0], angles[1:]
        middle = base[key]
        for cause, angle in zip(causes, angles, strict=True):
            if angle is not None and middle is not None:
                out[key].append((cause, angle - middle))
    return {key: tuple(rows) for key, rows in out.items()}


def _whole_rings(
    job: Job, known: JobLaw, owners: Mapping[str, tuple[Place, ...]], spots: Mapping[Key, Spot], pressure: float, crew: Crew
) -> tuple[dict[str, Array], int]:  # fmt: skip
    """By how much the places of edges that are taken as straight would stand more open as whole rings on the block as solved [deg],
    and how many runs that took: one at the sharpest place of an edge, the others by what springback feels of their curve. 0 where a
    place is no such edge's, NaN where the model stopped on the ring."""
    rings = {
        name: max((p for p in rows if p.ring is not None), key=lambda p: felt_by(job, whole_ring(p)))
        for name, rows in owners.items()
        if any(p.ring is not None for p in rows)
    }
    once = {(p.ring, spots[p.unlike].deg): p for p in rings.values()}
    found = crew.run(
        "whole rings",
        [partial(press_and_release, job, known, whole_ring(p), u, pressure) for (_, u), p in once.items()],
    )
    came_out = dict(zip(once, found, strict=True))
    gaps: dict[str, Array] = {}
    for name, p in rings.items():
        angle, _ = came_out[p.ring, spots[p.unlike].deg]
        most = np.nan if angle is None else max(p.unlike[0] - angle, 0.0)
        share = [0.0 if q.ring is None else felt_by(job, whole_ring(q)) for q in owners[name]]
        gaps[name] = most * np.array(share) / max(felt_by(job, whole_ring(p)), 1e-9)
    return gaps, len(once)


# ---------------------------------------------------------------- one flange


def _why(job: Job, rows: tuple[Place, ...], spots: Mapping[Key, Spot], closing: float) -> str:
    """Why the closed form has to answer for a flange; "" where the model did."""
    if not np.isfinite(closing):
        return NOT_CLOSED
    found = next((spots[p.unlike].why for p in rows if spots[p.unlike].why), "")
    if found:
        return found
    radii = [
        float(closed.kept_arc_radius(p.radius, job.t, np.array(p.angle), np.array(spots[p.unlike].deg))) for p in rows
    ]
    return NO_EDGE if min(radii) <= 0.0 else ""


def _alike(deg: Array, top: float) -> Array:
    """How much of the top place's scatter each place takes: as its undercut [deg] to the top's. Where that is small, springback and
    what the pressure closes in cancel, the quotient says nothing, and each takes all of it."""
    return np.clip(deg / top, LEAST_LIKE, MOST_LIKE) if top >= TELLING_DEG else np.ones_like(deg)


def _moved(cause: Variant, change: float, like: Array) -> Moved:
    """A cause at the places of a flange: its step's `change` of the released angle [deg] there is `like` (m,) of the top place's."""
    mean = change * like if cause.leans else None
    return Moved(cause.name, cause.kind, cause.source, abs(change) / cause.weight * like, mean=mean)


def _solved(
    job: Job, known: JobLaw, rows: tuple[Place, ...], spots: Mapping[Key, Spot], closing: tuple[Place, float],
    top: Place | None, moved: Mapping[Key, tuple[tuple[Variant, float], ...]], opens: Array | None, press: Press,
    pressure: float,
) -> Solved:  # fmt: skip
    assert known.law is not None
    mine = [spots[p.unlike] for p in rows]
    deg, why = np.array([s.deg for s in mine]), _why(job, rows, spots, closing[1])
    quick = np.array([quick_deg(job, p) for p in rows])
    off: tuple[Miss, ...] = misses(known.law, job.t, rows[0].radius, closing[0].axis, pressure, press)
    causes = [Moved(m.name, MODEL, m.source, np.full(len(rows), m.sd)) for m in off]
    if top is not None:
        like = _alike(deg, spots[top.unlike].deg)
        causes += [_moved(v, change, like) for v, change in moved[top.unlike]]
    relieved: list[str] = []
    if opens is not None and not np.all(opens < SAME_DEG):  # a ring that stands no other way needs no word
        relieved = sorted({fluted(p.relieved) for p in rows if p.relieved})
    if opens is not None and np.isfinite(opens).all():
        causes.append(Moved(FLUTED, MODEL, "a run of the whole ring, neither fluted nor wrinkled", opens / Z90, True))
    elif opens is not None:
        relieved.append(RING_STOPPED)
    return Solved(
        np.array([p.along for p in rows]),
        np.array([p.angle for p in rows]),
        deg,
        np.array([s.slope for s in mine]),
        np.array([s.loaded for s in mine]),
        closing[1],
        closing[0].along,
        tuple(causes),
        quick,
        "; ".join(w for w in (unverified(off), *relieved) if w),
        why,
    )
