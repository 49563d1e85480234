"""What the pressure on the pad does to each flange, by the section model: `stages.reach` with runs in place of its formulas.

One run a section, on the block as cut, up to the pressure p on the pad; it is let go only where the undercut's own run does not
answer that already. Under rubber an open flange feels p less a share that grows with its angle, k G where it closes
(`mechanics.pad.felt_pressure`), a closed one p. The band under load reads the run's own ramp at what the flange feels with the
closing pressure and the pad's share moved by their scatter, and takes the pad model's own miss besides. The shortest straight part
is found by closing shorter or longer flanges of the same section, pC ~ s^-m with m from the last two, until two agree to 1 %.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import pad
from ribwright.stages.blank import Blank
from ribwright.stages.crew import Crew
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.one_section import close, flange_of, let_go_under_pad
from ribwright.stages.pads import PadShare
from ribwright.stages.places import Place, at_length, places_of
from ribwright.stages.reach import WITHIN_DEG, Reach
from ribwright.stages.sections import MODEL
from ribwright.stages.sheet_laws import JobLaw
from ribwright.stages.springback import Bends, corrected_by, correction_at, released_of, solved_of
from ribwright.stages.undercut import Z90

Array = NDArray[np.float64]
SAME_LENGTH, LENGTHS = 0.01, 6
LONGEST = 40.0  # times the flange's own straight part: no longer one is tried


@dataclass(frozen=True, eq=False)
class Run:
    """A flange's run: `ramp` (m, 2) even pressure [MPa] and angle [deg] under load; the angles [deg] at what the flange feels
    under load and released, None where that was not asked for; shortest flat straight part that closes [mm], infinite for none;
    whether the model `stopped`."""

    ramp: Array
    loaded: float
    released: float | None
    shortest: float
    stopped: bool

    def angle(self, pressure: float, share: float, closed_deg: float, harder: float = 1.0) -> float:
        """Angle under load [deg] at a pad's pressure of which it keeps `share`, between the ramp's; of a flange that asks for `harder`
        times the pressure."""
        ramp, most = self.ramp[:, 0] * harder, max(pressure, 0.0)
        ramp, angles = np.append(ramp, max(most, ramp[-1])), np.append(self.ramp[:, 1], self.ramp[-1, 1])
        return (
            float(np.interp(pad.felt_pressure(most, share, ramp, angles, closed_deg), ramp, angles))
            if most > 0.0
            else 0.0
        )


def reached_by_model(
    job: Job, known: JobLaw, blank: Blank, rows: tuple[Reach, ...], share: PadShare, spread: float, crew: Crew
) -> tuple[Reach, ...]:
    """The rows with the model's angles and lengths where the model gave the closing pressure. `spread`: share of the pressure
    that is left if a loose pad spreads."""
    places = places_of(job, blank)
    asked = [(r, _place_of(job, places, r)) for r in rows]
    mine = [(_alike(r, p), r, p) for r, p in asked if p is not None]
    once = {key: (r, p) for key, r, p in reversed(mine)}
    found = crew.run("set-up", [partial(_run, job, known, r, p, share) for r, p in once.values()])
    runs = dict(zip(once, found, strict=True))
    made = {id(r): _reach(job, r, runs[key], p, share, spread) for key, r, p in mine}
    return tuple(made.get(id(r), r) for r in rows)


def _place_of(job: Job, places: tuple[Place, ...], r: Reach) -> Place | None:
    if r.demand is None or not r.demand.by_model:
        return None
    solved = solved_of(job, r.flange.owner)
    assert solved is not None
    own = [p for p in places if p.owner == r.flange.owner]
    return min(own, key=lambda p: abs(p.along - solved.closing_along))


def _alike(r: Reach, p: Place) -> tuple[object, ...]:
    """What a run hangs on: flanges that agree in it share one."""
    assert r.demand is not None
    return p.unlike, r.demand.wall, r.demand.pc, r.pressure, r.closes


def _run(job: Job, known: JobLaw, r: Reach, place: Place, share: PadShare) -> Run:
    from ribwright.mechanics.section.model import CONVERGED, press_through
    from ribwright.mechanics.section.standing import stands

    assert r.demand is not None
    u, sheet = r.demand.wall - r.flange.angle, r.pressure - share.mpa
    f = flange_of(job, known, place, u)
    let_go = not (r.closes and _as_cut(job, r))
    opens = not r.closes and share.mpa > 0.0
    whole = press_through(f, (r.pressure,), release=let_go and not opens)
    at = whole.points[-1] if whole.points else None
    if opens and at is not None and at.outcome == CONVERGED:
        under = let_go_under_pad(f, whole.ramp, r.pressure, (share.mpa,))
        at = None if under is None else under[0]
    short = _shortest(job, known, place, u, r.demand.pc, sheet)
    if at is None or at.outcome != CONVERGED or (let_go and at.released is None):
        return Run(whole.ramp, float("nan"), None, short, True)
    out = None if at.released is None else stands(f, at.released)
    return Run(whole.ramp, at.loaded.angle, out, short, False)


def _as_cut(job: Job, r: Reach) -> bool:
    """Whether the pressure is the one that the undercut was solved for."""
    return job.sections is not None and abs(job.sections.pressure / r.pressure - 1.0) < 1e-3


def _shortest(job: Job, known: JobLaw, place: Place, u: float, pc: float, sheet: float) -> float:
    """Shortest flat straight part [mm] that `sheet` [MPa] closes, from the flange's own closing pressure."""
    if sheet <= 0.0:
        return float("inf")
    tried, power, s = [(place.straight, pc)], 2.0, place.straight
    for _ in range(LENGTHS):
        before, s = s, s * (tried[-1][1] / sheet) ** (1.0 / power)
        if s > LONGEST * place.straight:
            return float("inf")
        if abs(s / before - 1.0) < SAME_LENGTH:
            return s
        found = close(job, known, at_length(place, s), u)
        if not np.isfinite(found):
            return float("inf")
        (a, pa), b = tried[-1], (s, found)
        tried.append(b)
        power = float(np.clip(-np.log(found / pa) / np.log(s / a), 0.5, 4.0))
    return s


def _reach(job: Job, r: Reach, run: Run, place: Place, share: PadShare, spread: float) -> Reach:
    d = r.demand
    assert d is not None
    if run.stopped:
        return r  # the model stopped: the quick formulas' row stays
    loaded = _under_load(r, run, share, spread)
    short = place.leg * run.shortest / place.straight
    setback = None if r.shortest_flange is None else r.shortest_flange - (r.shortest_straight or 0.0)
    width = None if setback is None else (setback + short if np.isfinite(setback) else float("inf"))
    return replace(
        r,
        under_load=loaded,
        left_open=Predicted(d.wall - loaded.value, d.wall - loaded.high, d.wall - loaded.low, MODEL),
        released=_released(job, r, run, loaded),
        shortest_straight=short,
        shortest_flange=width,
        quick_shortest=r.shortest_straight,
    )


def _under_load(r: Reach, run: Run, share: PadShare, spread: float) -> Predicted:
    d = r.demand
    assert d is not None
    p, least, closed = r.pressure, r.pressure * spread, d.wall - WITHIN_DEG
    cov = Z90 * float(np.hypot(pad.CLOSING_SCATTER, d.cov))
    softer, stiffer = (float(np.hypot(Z90 * share.sd, abs(share.mpa - end))) for end in (share.least, share.most))
    value, own = run.loaded, 0.0 if r.closes or share.mpa <= 0.0 else Z90 * pad.OPEN_SD
    low_at = [run.angle(least, share.mpa, closed, 1 + cov), run.angle(least, share.mpa + stiffer, closed)]
    high_at = [run.angle(p, share.mpa, closed, 1 - cov), run.angle(p, max(share.mpa - softer, 0.0), closed)]
    # a loose pad that spreads brings it down once; sheet and rubber scatter from there
    spreads = value if least == p else min(run.angle(least, share.mpa, closed), value)
    less = [value - spreads, *(max(spreads - x, 0.0) for x in low_at), own]
    more = [*(max(x - value, 0.0) for x in high_at), own] if not r.closes else [0.0]
    low = max(value - float(np.linalg.norm([*less, WITHIN_DEG])), 0.0)
    return Predicted(value, low, min(value + float(np.linalg.norm(more)), max(value, d.wall)), MODEL)


def _released(job: Job, r: Reach, run: Run, loaded: Predicted) -> Predicted:
    f, d = r.flange, r.demand
    assert d is not None
    bends = Bends(f.owner, f.radius, np.array([f.angle]), np.array([f.along]))
    out = released_of(job, bends, np.array([d.wall - f.angle]))
    at, least, most = (float(x[0]) for x in (out.angle, out.low, out.high))
    value = at if r.closes and _as_cut(job, r) else run.released
    learned = correction_at(job, bends) if r.closes and not _as_cut(job, r) else None
    value = value if learned is None or value is None else value + float(learned.shift[0])
    assert value is not None
    turn = loaded.value / d.wall
    low = value - float(np.hypot((at - least) * turn, loaded.value - loaded.low))
    high = value + float(np.hypot((most - at) * turn, loaded.high - loaded.value))
    return Predicted(value, max(low, 0.0), high, corrected_by(job, bends, MODEL) if r.closes else MODEL)
