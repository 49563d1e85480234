"""A strip of sheet over a block, and what it went through: the compiled walk with names on its numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.law_kernel import HISTORY
from ribwright.mechanics.section.walk import advance
from ribwright.mechanics.sheet_law import SheetLaw

Array = NDArray[np.float64]
TOUCH = 1e-6  # of half the thickness: the flat blank is laid this far into the block, so that it is felt at once
LAYERS = 12


@dataclass(frozen=True, eq=False)
class Strip:
    """One sheet over one block. `arc` (N,): flat x of the nodes [mm], 0 where the bend begins on the web; the first is held.

    Thickness `t`, `radius` of the block's edge [mm]; `wall` [rad] from flat; `axis` [mm] flat radius of the bend's beginning about
    the part's axis, None in plane strain; `sign` +1: the flange lies outside it (convex edge), -1: inside (hole).
    `friction` with the block; `layers` equal layers through the thickness; `through` False leaves out what the block's push does as
    the sheet thins and what a stress through it does to its volume, `edge` False the pressure on the cut edge.
    """

    law: SheetLaw
    arc: Array
    t: float
    radius: float
    wall: float
    axis: float | None = None
    sign: float = 1.0
    friction: float = 0.0
    layers: int = LAYERS
    through: bool = True
    edge: bool = True

    def case(self) -> Array:
        """The numbers that the compiled walk takes."""
        ring = self.axis is not None
        return np.array(
            [
                self.t,
                self.radius,
                self.wall,
                self.axis or 0.0,
                self.sign,
                self.friction,
                float(ring),
                float(self.through),
                float(self.edge),
            ]
        )

    def layer_rule(self) -> tuple[Array, Array]:
        """(zeta, weight) of the layers as shares of the thickness, zeta from -1/2 on the block's side.

        Equal layers, not Gauss points: stress has kinks where the elastic core ends and where layers yield back, which equal layers
        find sooner (docs/SECTION.md). They are spread so that an elastic sheet has its bending stiffness: sum w zeta^2 = 1/12.
        """
        n = self.layers
        middle = (np.arange(n) + 0.5) / n - 0.5
        return middle / np.sqrt(1.0 - 1.0 / n**2) if n > 1 else middle, np.full(n, 1.0 / n)


@dataclass(frozen=True, eq=False)
class State:
    """Where the sheet is and what it remembers. q (N, 3): x, y [mm], theta [rad]; history (N - 1, layers, 6); push of the
    block (N,) [MPa]; moment [N], normal force [N/mm] of the elements; stress (N - 1, layers) [MPa]; pressure [MPa];
    `settled` False: the walk stopped here; commits and Newton steps so far."""

    q: Array
    history: Array
    push: Array
    moment: Array
    normal: Array
    stress: Array
    pressure: float
    settled: bool
    commits: int = 0
    newtons: int = 0
    gone: Array | None = None
    over: float = 0.0


def at_rest(s: Strip) -> State:
    """The flat blank lying on the block's web face."""
    n, m = len(s.arc), s.layers
    q = np.zeros((n, 3))
    q[:, 0], q[:, 1] = s.arc, s.t / 2.0 * (1.0 - TOUCH)
    history = np.zeros((n - 1, m, HISTORY))
    history[..., 5] = float(s.law.curve.stress(np.zeros(())))
    return State(q, history, np.zeros(n), np.zeros(n - 1), np.zeros(n - 1), np.zeros((n - 1, m)), 0.0, True)


def press(s: Strip, state: State, pressure: float, block: float = 1.0) -> State:
    """The strip taken to `pressure` [MPa] from where it is; `block` 0: the block is taken away."""
    q, history, push = state.q.copy(), state.history.copy(), state.push.copy()
    gone = np.zeros_like(q) if state.gone is None else state.gone.copy()
    zeta, weight = s.layer_rule()
    out, stress = np.zeros((len(s.arc) - 1, 2)), np.zeros_like(state.stress)
    ok, reached, over, commits, newtons = advance(
        s.case(), s.law.row(), s.law.points(), zeta, weight, s.arc, block, state.pressure, pressure,
        q, history, push, gone, state.over, out, stress,
    )  # fmt: skip
    return State(
        q,
        history,
        push,
        out[:, 0],
        out[:, 1],
        stress,
        reached,
        ok,
        state.commits + commits,
        state.newtons + newtons,
        gone,
        over,
    )


def taken_off(s: Strip, state: State) -> State:
    """The block taken away from under a sheet without pressure."""
    return replace(press(s, replace(state, over=0.0), state.pressure, block=0.0), pressure=state.pressure)
