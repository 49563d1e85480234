"""The sheet under the pad: the strip of `mechanics.section`, loaded by rubber instead of a pressure."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.section.strip import State, Strip, at_rest

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SheetForces:
    """On elements force (m, 6) [N/mm, N], stiffness (m, 6, 6); on nodes, by the block, force (n, 3), stiffness (n, 3, 3); order x, y,
    theta; the state that goes with them."""

    force: Array
    stiffness: Array
    node_force: Array
    node_stiffness: Array
    state: State
    solved: bool


@dataclass(frozen=True, eq=False)
class PressedStrip:
    """A strip over its block that remembers what it went through until its last commit.

    `origin` [mm]: where the bend begins on the block's top, in the section of the press. While a balance is looked for, what pushes on
    the faces for the stress through the sheet, `outer` (n - 1,) and `inner` (n,) [MPa], and the faces' distances, those of the sheet at
    `faces` (n, 3), stand still: so there is an energy. `seen` brings them up to what was found. The first node is held.
    """

    strip: Strip
    state: State
    origin: Array
    outer: Array
    inner: Array
    faces: Array
    numbers: tuple[Array, Array, Array, Array, Array]  # of the strip, as the compiled element takes them

    @property
    def lengths(self) -> Array:
        """Of the elements, unstrained [mm]."""
        return np.diff(self.strip.arc)

    @property
    def inner_lengths(self) -> Array:
        """Of the elements on the inner face, as they were at the last commit [mm]: in a sharp bend far less than in the middle."""
        x, y, th = self.state.q.T
        half = 0.5 * self.strip.t
        chord = np.hypot(np.diff(x + half * np.sin(th)), np.diff(y - half * np.cos(th)))
        return np.asarray(np.maximum(chord, 0.02 * self.lengths))

    @property
    def held(self) -> NDArray[np.bool_]:
        """Values that do not move, (n, 3)."""
        out = np.zeros((len(self.strip.arc), 3), bool)
        out[0] = True
        return out

    def rest(self) -> Array:
        """x, y, theta of the flat blank on the block (n, 3), in the section of the press."""
        return at_rest(self.strip).q + np.append(self.origin, 0.0)

    def respond(self, q: Array) -> SheetForces:
        """Forces and stiffness with the nodes at q (n, 3) from the last commit on."""
        from ribwright.mechanics.pad_model.sheet_kernel import strip_forces

        s, was = self.strip, self.state
        n, m, z = len(s.arc), len(s.arc) - 1, np.zeros
        f, k, fn, kn = z((m, 6)), z((m, 6, 6)), z((n, 3)), z((n, 3, 3))
        now, push, out, stress = was.history.copy(), z(n), z((m, 2)), np.empty_like(was.stress)
        local = np.ascontiguousarray(q - np.append(self.origin, 0.0))
        solved = strip_forces(
            *self.numbers, s.arc, self.outer, local, self.faces, was.history, self.inner,
            now, push, f, k, fn, kn, out, stress,
        )  # fmt: skip
        state = State(local, now, push, out[:, 0], out[:, 1], stress, was.pressure, True, was.commits, was.newtons)
        return SheetForces(f, k, fn, kn, state, bool(solved))

    def total(self, forces: SheetForces) -> Array:
        """Force on every value of the nodes (n, 3)."""
        return forces.node_force + _added(forces)

    def work(self, forces: SheetForces, q: Array, to: Array) -> float:
        """Work [N] against the sheet and the block from q, where `forces` hold, straight to `to`: of the metal by Simpson's rule, of
        the block exactly.

        The law has no energy of its own to ask for; over one step of the search its work is one.
        """
        from ribwright.mechanics.pad_model.sheet_kernel import block_climb

        way = to - q
        ends = [_added(forces)]
        for share in (0.5, 1.0):
            there = self.respond(q + share * way)
            if not there.solved:
                return float("inf")
            ends.append(_added(there))
        metal = float(((ends[0] + 4.0 * ends[1] + ends[2]) * way).sum() / 6.0)
        s, origin = self.strip, np.append(self.origin, 0.0)
        return metal + float(block_climb(self.numbers[0], s.law.e, s.arc, self.faces, q - origin, to - origin))

    def metric(self, q: Array) -> Array:
        """Elastic stiffness of the elements (m, 6, 6) against stretch and bending alone: what plastic tangents fall short of."""
        s, l = self.strip, self.lengths
        plane = s.law.e / (1.0 - s.law.nu**2)
        th = 0.5 * (q[1:, 2] + q[:-1, 2])
        c, sn, z = np.cos(th) / l, np.sin(th) / l, np.zeros_like(l)
        stretch = np.stack([-c, -sn, z, c, sn, z], 1)
        bend = np.stack([z, z, -1.0 / l, z, z, 1.0 / l], 1)
        return np.asarray(
            (l * plane * s.t)[:, None, None] * stretch[:, :, None] * stretch[:, None, :]
            + (l * plane * s.t**3 / 12.0)[:, None, None] * bend[:, :, None] * bend[:, None, :]
        )

    def seen(self, q: Array, outer: Array) -> PressedStrip:
        """With pushes and faces as they are at q (n, 3) under `outer` (n - 1,) [MPa]; nothing is remembered."""
        state = self.respond(q).state
        return replace(self, outer=outer, inner=state.push, faces=state.q)

    def commit(self, q: Array, outer: Array, pressure: float) -> PressedStrip:
        """Remember q as gone through, under `outer` (n - 1,) [MPa] and a ram pressure [MPa]."""
        state = self.respond(q).state
        state = replace(state, pressure=pressure, commits=self.state.commits + 1)
        return replace(self, state=state, outer=outer, inner=state.push, faces=state.q)


def _added(forces: SheetForces) -> Array:
    """Forces of the elements on the nodes (n, 3)."""
    out = np.zeros_like(forces.node_force)
    out[:-1] += forces.force[:, :3]
    out[1:] += forces.force[:, 3:]
    return out


def laid_flat(strip: Strip, origin: Array) -> PressedStrip:
    """The flat blank on its block."""
    numbers = (strip.case(), strip.law.row(), strip.law.points(), *strip.layer_rule())
    rest, n = at_rest(strip), len(strip.arc)
    return PressedStrip(strip, rest, origin, np.zeros(n - 1), np.zeros(n), rest.q, numbers)
