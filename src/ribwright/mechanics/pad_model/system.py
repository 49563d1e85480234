"""Pad, sheet and tools as one energy of one list of unknowns.

Unknowns: where the nodes of the rubber are, how far the ram has come, and x, y, theta of the nodes of the sheet. The ram
either stands at a stroke (a stiff spring draws it there) or pushes with a pressure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.contact import Touch, surface_points, touch_profile
from ribwright.mechanics.pad_model.mesh import PadMesh
from ribwright.mechanics.pad_model.profile import Profile
from ribwright.mechanics.pad_model.sheet_contact import Beside, beside, touch_sheet
from ribwright.mechanics.pad_model.rubber import Rubber, area_slopes, energies, pressures, respond

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

RAM_SPRING = 1e5  # N/mm per mm of length: draws the ram to its stroke within a hair
WEB = 1e3  # [mm] the web goes on level before the first node
REACH = 3.0  # [mm] a point that changes side of the sheet within this distance has gone through it


@dataclass(frozen=True, eq=False)
class SheetForces:
    """Energy [N] of the sheet and its contact with the block; on elements force (m, 6), stiffness (m, 6, 6); on nodes force
    (n, 3), stiffness (n, 3, 3); order x, y, theta."""

    energy: float
    force: Array
    stiffness: Array
    node_force: Array
    node_stiffness: Array


class Sheet(Protocol):
    """A strip of sheet over the block that remembers what it went through until its last `commit`."""

    half: float  # of its thickness [mm]
    lengths: Array  # (n - 1,) of its elements, unstrained [mm]
    held: NDArray[np.bool_]  # (n, 3)

    def rest(self) -> Array: ...

    def energy(self, q: Array) -> float: ...

    def respond(self, q: Array) -> SheetForces: ...

    def commit(self, q: Array) -> Sheet: ...


@dataclass(frozen=True, eq=False)
class Duals:
    """Stresses that the stiffness believes in: of the elements (m,), of the surface points on tools and on sheet (5 e,)."""

    rubber: Array
    tools: Array
    sheet: Array


@dataclass(frozen=True, eq=False)
class System:
    """A press section: what is pressed, and the unknown behind every value (-1: held)."""

    mesh: PadMesh
    rubber: Rubber
    profile: Profile
    sheet: Sheet
    width: float  # of the ram in the half section [mm]
    ids: Ints  # (n, 2) of the rubber's nodes
    sheet_ids: Ints  # (s, 3)
    ram: int
    size: int
    wall: float = 0.0  # stiffness of the soft walls [MPa/mm]
    pressure: float = 0.0  # of the ram [MPa]
    stroke: float | None = None  # [mm] where the ram is drawn to, instead of the pressure

    # ---- unknowns and places
    def rubber_at(self, x: Array) -> Array:
        """Nodes of the rubber, (n, 2)."""
        return np.asarray(self.mesh.quads.nodes + np.append(x, 0.0)[self.ids])

    def sheet_at(self, x: Array) -> Array:
        """Nodes of the sheet, (s, 3)."""
        return np.asarray(self.sheet.rest() + np.append(x, 0.0)[self.sheet_ids])

    def ram_pressure(self, x: Array) -> float:
        """Force of the ram over its width [MPa]."""
        return self.pressure if self.stroke is None else RAM_SPRING * (self.stroke + x[self.ram]) / self.width

    def line(self, q: Array) -> Array:
        """The sheet's middle line for the rubber: its nodes, and the web on to the middle of the block."""
        return np.vstack([[q[0, 0] - WEB, q[0, 1], 0.0], q])

    # ---- energy
    def touches(self, at: Array, q: Array, duals: Duals | None = None) -> tuple[Touch, Touch]:
        """Surface of the rubber on the tools and on the sheet."""
        a, b = at[self.mesh.edges[:, 0]], at[self.mesh.edges[:, 1]]
        return (
            touch_profile(self.profile, a, b, self.wall, duals and duals.tools),
            touch_sheet(self.line(q), np.append(WEB, self.sheet.lengths), self.sheet.half, a, b, self.wall, duals and duals.sheet),
        )

    def sides(self, x: Array) -> Beside:
        """On which side of the sheet the surface points are."""
        at = self.rubber_at(x)
        points = surface_points(at[self.mesh.edges[:, 0]], at[self.mesh.edges[:, 1]])
        return beside(self.line(self.sheet_at(x)), points)

    def energy(self, x: Array, before: Beside) -> float:
        """Of everything [N]; infinite where rubber is inside out or has gone through the sheet."""
        at = self.rubber_at(x)
        e = energies(self.mesh.quads, self.rubber, at).sum()
        if not np.isfinite(e):
            return float("inf")
        now = self.sides(x)
        if ((now.side * before.side < 0) & (np.minimum(now.far, before.far) < REACH)).any():
            return float("inf")
        q = self.sheet_at(x)
        return float(e + self._ram_energy(x) + self.sheet.energy(q) + sum(t.energy.sum() for t in self.touches(at, q)))

    def _ram_energy(self, x: Array) -> float:
        if self.stroke is None:
            return float(self.pressure * self.width * x[self.ram])
        return float(0.5 * RAM_SPRING * (self.stroke + x[self.ram]) ** 2)

    def tangent(self, x: Array, duals: Duals) -> tuple[float, Array, Any]:
        """Energy, its gradient (size,), its second derivative (sparse) with the stresses of `duals`."""
        at, q = self.rubber_at(x), self.sheet_at(x)
        r, s = respond(self.mesh.quads, self.rubber, at, duals.rubber), self.sheet.respond(q)
        tools, on_sheet = self.touches(at, q, duals)
        edge_ids = self.ids[self.mesh.edges].reshape(-1, 4)
        line_ids = np.vstack([[-1, -1, -1], self.sheet_ids])
        parts = [
            (self.ids[self.mesh.quads.quads].reshape(-1, 8), r.force, r.stiffness),
            (np.hstack([self.sheet_ids[:-1], self.sheet_ids[1:]]), s.force, s.stiffness),
            (self.sheet_ids, s.node_force, s.node_stiffness),
            (edge_ids[tools.edge], tools.force, tools.stiffness),
            (
                np.hstack([edge_ids[on_sheet.edge], line_ids[on_sheet.segment], line_ids[on_sheet.segment + 1]]),
                on_sheet.force,
                on_sheet.stiffness,
            ),
        ]
        energy = r.energy.sum() + s.energy + tools.energy.sum() + on_sheet.energy.sum() + self._ram_energy(x)
        slope, stiff = _gather(parts, self.size, self.ram, self._ram_slope(x), 0.0 if self.stroke is None else RAM_SPRING)
        return float(energy), slope, stiff

    def _ram_slope(self, x: Array) -> float:
        return self.pressure * self.width if self.stroke is None else RAM_SPRING * (self.stroke + x[self.ram])

    # ---- stresses a step should believe in
    def duals(self, x: Array, step: Array | None = None) -> Duals:
        """The stresses at x or, with a step, what they come to along it to first order."""
        at, q = self.rubber_at(x), self.sheet_at(x)
        rubber = pressures(self.mesh.quads, self.rubber, at)
        touches = self.touches(at, q)
        values = [t.pressure for t in touches]
        if step is not None:
            moved = np.append(step, 0.0)
            d_at, d_q = moved[self.ids], np.vstack([np.zeros(3), moved[self.sheet_ids]])
            flow = area_slopes(self.mesh.quads, at) * d_at[self.mesh.quads.quads].reshape(-1, 8)
            rubber = rubber + self.rubber.mean_stiffness / self.mesh.quads.area * flow.sum(1)
            for i, t in enumerate(touches):
                d = d_at[self.mesh.edges[t.edge]].reshape(-1, 4)
                if i == 1:
                    d = np.hstack([d, d_q[t.segment], d_q[t.segment + 1]])
                values[i] = np.maximum(values[i] - t.rise * (t.slope * d).sum(1), 0.0)
        out = [np.zeros(5 * len(self.mesh.edges)) for _ in touches]
        for o, t, v in zip(out, touches, values, strict=True):
            o[t.index] = v
        return Duals(rubber, *out)

    def pushed(self, pressure: float, wall: float) -> System:
        """With the ram pushing [MPa]."""
        return replace(self, pressure=pressure, stroke=None, wall=wall)

    def drawn(self, stroke: float, wall: float) -> System:
        """With the ram drawn to a stroke [mm]."""
        return replace(self, stroke=stroke, wall=wall)

    def committed(self, x: Array) -> System:
        """With the sheet remembering what it went through up to x."""
        return replace(self, sheet=self.sheet.commit(self.sheet_at(x)))


def _gather(
    parts: list[tuple[Ints, Array, Array]], size: int, ram: int, ram_slope: float, ram_spring: float
) -> tuple[Array, Any]:
    from scipy.sparse import coo_matrix

    slope = np.zeros(size + 1)
    rows, cols, values = [np.array([ram])], [np.array([ram])], [np.array([ram_spring])]
    for index, force, stiff in parts:
        i = np.where(index < 0, size, index)
        slope += np.bincount(i.ravel(), force.ravel(), size + 1)
        width = i.shape[1]
        rows.append(np.repeat(i, width, axis=1).ravel())
        cols.append(np.tile(i, (1, width)).ravel())
        values.append(stiff.ravel())
    slope[ram] += ram_slope
    r, c, v = np.concatenate(rows), np.concatenate(cols), np.concatenate(values)
    kept = (r < size) & (c < size)
    return slope[:size], coo_matrix((v[kept], (r[kept], c[kept])), shape=(size, size)).tocsc()


def system_of(mesh: PadMesh, rubber: Rubber, profile: Profile, sheet: Sheet, width: float) -> System:
    """Number the unknowns: the plane of symmetry keeps its x, the top of the pad moves down as one and slides freely."""
    n = len(mesh.quads.nodes)
    free = np.ones((n, 2), bool)
    free[mesh.middle, 0] = False
    free[mesh.top, 1] = False
    ids = np.full((n, 2), -1)
    ids[free] = np.arange(free.sum())
    ram = int(free.sum())
    ids[mesh.top, 1] = ram
    loose = ~sheet.held
    sheet_ids = np.full(loose.shape, -1)
    sheet_ids[loose] = ram + 1 + np.arange(loose.sum())
    return System(mesh, rubber, profile, sheet, width, ids, sheet_ids, ram, ram + 1 + int(loose.sum()))
