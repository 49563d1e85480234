"""One flange in section, asked and answered: pressed through a list of pressures, released at each, the block taken away.

    sheet flat on the web face -> log ramp of pressure -> at each pressure asked for: look, release, look, take the block away, look

The ramp grows by 1.12 up to 1.6 times the closing pressure and by 1.35 beyond; other ramps end within 0.05 deg (docs/SECTION.md has
the study). Nothing here was compared with a real formed part.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.section.formed import Formed, fitted_angle, look
from ribwright.mechanics.section.mesh import strip_nodes
from ribwright.mechanics.section.strip import LAYERS, State, Strip, at_rest, press, taken_off
from ribwright.mechanics.sheet_law import SheetLaw

Array = NDArray[np.float64]
FIRST, SLOW, FAST, SLOW_TO = 0.05, 1.12, 1.35, 1.6  # of the closing pressure; growth of a step; until where
RELEASE = (0.7, 0.5, 0.35, 0.22, 0.13, 0.07, 0.03, 0.01, 0.0)  # of the pressure
# layers of a bend under so many thicknesses: 12 are within 0.03 deg of 60 from R/t 2.4 up, at 1.5 they are 0.11 off and 16 are 0.02
# (docs/SECTION.md)
SHARP, SHARP_LAYERS = 2.5, 16
WITHIN_DEG = 0.5  # a flange this close to the wall's angle counts as closed
CLOSING = 1.71  # of M/s^2
CONVERGED, STUCK, CANCELLED = "converged", "not-converged", "cancelled"


@dataclass(frozen=True)
class Flange:
    """One place of a flange over its block. Lengths mm, angles deg.

    t sheet; radius of the block's edge; wall angle of the block's wall from flat (bend angle plus undercut); straight: the flat
    part past the bend, up to the cut edge; axis: plan radius of the bend's beginning on the web (None: straight edge), sign +1
    where the flange lies outside it (convex edge: shrinks), -1 inside (concave edge, flanged hole: stretches); web: how much of
    the web is modelled (None: chosen); friction with the block.
    """

    law: SheetLaw
    t: float
    radius: float
    wall: float
    straight: float
    axis: float | None = None
    sign: float = 1.0
    web: float | None = None
    friction: float = 0.0

    def arc(self) -> float:
        """Mid-surface arc of the bend [mm]."""
        return (self.radius + self.t / 2.0) * float(np.radians(self.wall))

    def rim_radius(self) -> float | None:
        """Flat radius of the cut edge [mm]."""
        return None if self.axis is None else self.axis + self.sign * (self.arc() + self.straight)


@dataclass(frozen=True, eq=False)
class Point:
    """One pressure [MPa]: the section under it, released on the block, and after the block is taken away. `released` None:
    not asked for, or the model stopped; `outcome` one of CONVERGED, STUCK, CANCELLED."""

    pressure: float
    loaded: Formed
    on_block: Formed | None
    released: Formed | None
    outcome: str


@dataclass(frozen=True, eq=False)
class Pressed:
    """A flange taken through pressures. `ramp` (m, 2): every pressure settled at and the angle under it [MPa, deg];
    `closing` the estimate that scaled the ramp [MPa]; `newtons` steps taken in all."""

    flange: Flange
    points: tuple[Point, ...]
    ramp: Array
    closing: float
    newtons: int
    outcome: str


def plastic_moment(f: Flange) -> float:
    """M [N] of the sheet bent to the block's radius, by the flow curve, no elastic core: int 2/sqrt3 sigma(2/sqrt3 z/rho) z dz."""
    z, w = np.polynomial.legendre.leggauss(20)
    z, w = (z + 1) * f.t / 4, w * f.t / 4
    c = 2 / np.sqrt(3)
    return float(2 * np.sum(w * z * c * f.law.curve.stress(c * z / (f.radius + f.t / 2))))


def closing_estimate(f: Flange) -> float:
    """1.71 M/s^2 [MPa], fitted on straight 90 deg flanges; here only the scale of the ramp."""
    return CLOSING * plastic_moment(f) / f.straight**2


def strip_of(f: Flange, fine: float = 1.0, layers: int | None = None, through: bool = True, edge: bool = True) -> Strip:
    """The strip that stands for a flange. The web reaches 6 bend radii and half as far again as the flange is long, and no further
    than the middle of a disc. `layers` None: as many as the bend asks for."""
    web = f.web or 1.5 * max(4.0 * (f.radius + f.t), f.straight + f.arc())
    if f.axis is not None and f.sign > 0:
        web = min(web, 0.9 * f.axis)
    arc = strip_nodes(web, f.arc(), f.straight, f.t, fine)
    wall = float(np.radians(f.wall))
    asked = layers or (LAYERS if f.radius >= SHARP * f.t else SHARP_LAYERS)
    return Strip(f.law, arc, f.t, f.radius, wall, f.axis, f.sign, f.friction, asked, through, edge)


def press_through(
    f: Flange,
    pressures: tuple[float, ...],
    release: bool = True,
    fine: float = 1.0,
    layers: int | None = None,
    through: bool = True,
    edge: bool = True,
    on_step: Callable[[float], bool] | None = None,
) -> Pressed:
    """Press the flange through rising `pressures` [MPa] > 0, and release at each.

    `on_step(share done)` may answer False to stop; points not reached are left out and the outcome is CANCELLED. A walk that
    cannot go on ends with a point whose outcome is STUCK and what was reached.
    """
    s, pc = strip_of(f, fine, layers, through, edge), closing_estimate(f)
    state, ramp, newtons = at_rest(s), [(0.0, 0.0)], 0
    points: list[Point] = []
    steps = list(_ramp(pc, pressures))
    for i, (p, asked) in enumerate(steps):
        if on_step is not None and not on_step(i / len(steps)):
            return Pressed(f, tuple(points), np.array(ramp), pc, newtons + state.newtons, CANCELLED)
        state = press(s, state, p)
        if not state.settled:
            points.append(Point(p, look(s, state), None, None, STUCK))
            return Pressed(f, tuple(points), np.array(ramp), pc, newtons + state.newtons, STUCK)
        ramp.append((p, fitted_angle(s, state)))
        if asked:
            point, spent = _let_go(s, state) if release else (Point(p, look(s, state), None, None, CONVERGED), 0)
            points.append(point)
            newtons += spent
    stuck = any(x.outcome == STUCK for x in points)
    return Pressed(f, tuple(points), np.array(ramp), pc, newtons + state.newtons, STUCK if stuck else CONVERGED)


def _ramp(pc: float, pressures: tuple[float, ...]) -> Iterator[tuple[float, bool]]:
    """(pressure, asked for) in rising order."""
    p = FIRST * pc
    for goal in pressures:
        while p * (SLOW if p < SLOW_TO * pc else FAST) ** 0.5 < goal:
            yield p, False
            p *= SLOW if p < SLOW_TO * pc else FAST
        yield goal, True
        p = goal * (SLOW if goal < SLOW_TO * pc else FAST)


def _let_go(s: Strip, state: State) -> tuple[Point, int]:
    now = replace(state, over=0.0, newtons=0)
    for share in RELEASE:
        now = press(s, now, share * state.pressure)
        if not now.settled:
            return Point(state.pressure, look(s, state), None, None, STUCK), now.newtons
    off = taken_off(s, now)
    if not off.settled:
        return Point(state.pressure, look(s, state), look(s, now), None, STUCK), off.newtons
    return Point(state.pressure, look(s, state), look(s, now), look(s, off), CONVERGED), off.newtons


def closing_pressure(f: Flange, most: float, within: float = WITHIN_DEG, fine: float = 1.0) -> float | None:
    """Least uniform pressure [MPa] at which the flange stands within `within` deg of the wall's angle under load; None: more
    than `most`, or the model stopped before."""
    s, pc = strip_of(f, fine), closing_estimate(f)
    state, before = at_rest(s), at_rest(s)
    for p, _ in _ramp(pc, (most,)):
        before, state = state, press(s, state, p)
        if not state.settled:
            return None
        if fitted_angle(s, state) >= f.wall - within:
            return _between(s, before, state, f.wall - within)
    return None


def _between(s: Strip, low: State, high: State, angle: float) -> float:
    """The pressure between two settled states at which `angle` is reached, to 0.2 %."""
    while high.pressure - low.pressure > 2e-3 * high.pressure:
        mid = press(s, replace(low, over=0.0), 0.5 * (low.pressure + high.pressure))
        if not mid.settled:
            break
        low, high = (low, mid) if fitted_angle(s, mid) >= angle else (mid, high)
    return high.pressure


@dataclass(frozen=True, eq=False)
class Undercut:
    """The undercut [deg] that lets the flange stand at its angle, and the last run; `left` the released angle less the wanted
    one [deg]. `outcome` STUCK: no undercut was found; `deg` is then the best so far."""

    deg: float
    left: float
    run: Pressed
    outcome: str


def solve_undercut(
    on: Callable[[float], Flange], angle: float, pressure: float, first: float, tolerance: float = 0.02, runs: int = 8
) -> Undercut:
    """Undercut u with which the flange `on(u)`, pressed to `pressure` [MPa] and let go, stands at `angle` [deg].

    Secant from `first` [deg]; the released angle less u hardly changes with u, so 2 or 3 runs do. Where the flange is not
    closed by the pressure it follows the wall no further and there may be none: STUCK.
    """
    tried: list[tuple[float, float]] = []
    u = first
    best: Undercut | None = None
    for _ in range(runs):
        run = press_through(on(u), (pressure,))
        end = run.points[-1] if run.points else None
        if end is None or end.released is None:
            return best or Undercut(u, np.nan, run, STUCK)
        miss = end.released.angle - angle
        if best is None or abs(miss) < abs(best.left):
            best = Undercut(u, miss, run, CONVERGED if abs(miss) <= tolerance else STUCK)
        if abs(miss) <= tolerance:
            return best
        tried.append((u, miss))
        slope = 1.0
        if len(tried) > 1:
            (a, ma), (b, mb) = tried[-2:]
            slope = (mb - ma) / (b - a) if b != a else 1.0
        u = u - float(np.clip(miss / (slope if slope > 0.2 else 1.0), -15.0, 15.0))
        u = max(u, -angle / 2)
    assert best is not None
    return best
