"""Pad, sheet and tools as one energy of one list of unknowns.

Unknowns: where the nodes of the rubber are, how far the ram has come, and x, y, theta of the nodes of the sheet. The ram
either stands at a stroke (a stiff spring draws it there) or pushes with a pressure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.contact import Beside, Line, Touch, contact_energy, touch, went_through
from ribwright.mechanics.pad_model.mesh import PadMesh
from ribwright.mechanics.pad_model.profile import Profile
from ribwright.mechanics.pad_model.rubber import Response, Rubber, energy, respond
from ribwright.mechanics.pad_model.sheet import PressedStrip, SheetForces

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

RAM_SPRING = 1e5  # N/mm per mm of length: draws the ram to its stroke within a hair
MOVE, ROTATE, LEVER = 3.0, 0.3, 5.0  # [mm], rad a step moves a value at most; [mm] that make a turn a move
WEB = 1e3  # [mm] the web goes on level before the sheet's first node


@dataclass(frozen=True, eq=False)
class Duals:
    """Stresses that the stiffness believes in: of the elements (m,), of the surface points on tools and on the sheet (n,)."""

    rubber: Array
    tools: Array
    sheet: Array

    def towards(self, other: Duals, part: float) -> Duals:
        """A part of the way to others."""
        return Duals(*(
            (1.0 - part) * a + part * b
            for a, b in ((self.rubber, other.rubber), (self.tools, other.tools), (self.sheet, other.sheet))
        ))  # fmt: skip


@dataclass(frozen=True, eq=False)
class Tangent:
    """At one list of unknowns: energy [N] without the sheet's, gradient and second derivative (sparse) of the whole, and the parts."""

    energy: float
    slope: Array
    stiffness: Any
    rubber: Response
    sheet: SheetForces
    touch: Touch


@dataclass(frozen=True, eq=False)
class System:
    """A press section: what is pressed, and the unknown behind every value (-1: held)."""

    mesh: PadMesh
    rubber: Rubber
    profile: Profile
    sheet: PressedStrip
    width: float  # of the ram in the half section [mm]
    ids: Ints  # (n, 2) of the rubber's nodes
    sheet_ids: Ints  # (s, 3)
    ram: int
    size: int
    wall: float = 0.0  # stiffness of the soft walls [MPa/mm]
    pressure: float = 0.0  # of the ram [MPa]
    stroke: float | None = None  # [mm] where the ram is drawn to, instead of the pressure
    drag: float = 0.0  # [MPa/mm] what holds the sheet back ...
    anchor: Array | None = None  # ... (s, 3) from its nodes' places here

    def rubber_at(self, x: Array) -> Array:
        """Nodes of the rubber, (n, 2)."""
        return np.asarray(self.mesh.quads.nodes + np.append(x, 0.0)[self.ids])

    def sheet_at(self, x: Array) -> Array:
        """Nodes of the sheet, (s, 3)."""
        return np.asarray(self.sheet.rest() + np.append(x, 0.0)[self.sheet_ids])

    def ram_pressure(self, x: Array) -> float:
        """Force of the ram over its width [MPa]."""
        return self._ram_slope(x) / self.width

    def line(self, q: Array) -> Line:
        """The sheet as the rubber meets it: its nodes, and the web on to the middle of the block."""
        return Line(
            np.vstack([[q[0, 0] - WEB, q[0, 1], 0.0], q]), np.append(WEB, self.sheet.inner_lengths), self.sheet.strip.t
        )

    def _ram_energy(self, x: Array) -> float:
        if self.stroke is None:
            return float(self.pressure * self.width * x[self.ram])
        return float(0.5 * RAM_SPRING * (self.stroke + x[self.ram]) ** 2)

    def _ram_slope(self, x: Array) -> float:
        return float(self.pressure * self.width if self.stroke is None else RAM_SPRING * (self.stroke + x[self.ram]))

    def _drag_weight(self) -> Array:
        """[N/mm2 per mm of length] on every node of the sheet, (s,)."""
        half = 0.5 * self.drag * self.sheet.lengths
        return np.append(half, 0.0) + np.append(0.0, half)

    def _drag_energy(self, q: Array) -> float:
        if self.anchor is None:
            return 0.0
        return float(0.5 * (self._drag_weight() * ((q - self.anchor)[:, :2] ** 2).sum(1)).sum())

    def beside(self, x: Array) -> Beside:
        """Where the rubber's surface is beside the sheet."""
        line = self.line(self.sheet_at(x))
        return contact_energy(self.rubber_at(x), self.mesh.edges, self.profile, line, self.wall)[1]

    def touching(self, x: Array) -> Touch:
        """All contact of the rubber at x."""
        return touch(self.rubber_at(x), self.mesh.edges, self.profile, self.line(self.sheet_at(x)), self.wall)

    def sound(self, x: Array, to: Array) -> bool:
        """Whether no rubber is inside out at `to`, and none has gone through the sheet from x to there."""
        inside = np.isfinite(energy(self.mesh.quads, self.rubber, self.rubber_at(to)))
        return bool(inside) and not went_through(self.beside(x), self.beside(to))

    def climb(self, x: Array, at: Tangent, move: Array, before: Beside) -> tuple[float, Beside]:
        """Change of the energy [N] from x to x + move; infinite where rubber is inside out or has gone through the sheet."""
        to = x + move
        nodes, q = self.rubber_at(to), self.sheet_at(to)
        e = energy(self.mesh.quads, self.rubber, nodes)
        if not np.isfinite(e):
            return float("inf"), before
        contact, now = contact_energy(nodes, self.mesh.edges, self.profile, self.line(q), self.wall)
        if went_through(before, now):
            return float("inf"), before
        was = self.sheet_at(x)
        whole = e + contact + self._ram_energy(to) - at.energy + self._drag_energy(q) - self._drag_energy(was)
        return float(whole + self.sheet.work(at.sheet, was, q)), now

    def tangent(self, x: Array, duals: Duals | None = None, stiffen: float = 0.0) -> Tangent:
        """Everything at x; the stiffness with the stresses of `duals`."""
        at, q = self.rubber_at(x), self.sheet_at(x)
        r = respond(self.mesh.quads, self.rubber, at, duals.rubber if duals else None)
        s = self.sheet.respond(q)
        metal = s.stiffness + stiffen * self.sheet.metric(q) if stiffen else s.stiffness
        t = touch(
            at, self.mesh.edges, self.profile, self.line(q), self.wall, (duals.tools, duals.sheet) if duals else None
        )
        edge_ids = self.ids[self.mesh.edges].reshape(-1, 4)
        line_ids = np.vstack([[-1, -1, -1], self.sheet_ids])
        on = np.flatnonzero(t.segment >= 0)
        parts = [
            (self.ids[self.mesh.quads.quads].reshape(-1, 8), r.force, r.stiffness),
            (np.hstack([self.sheet_ids[:-1], self.sheet_ids[1:]]), s.force, metal),
            (self.sheet_ids, s.node_force, s.node_stiffness),
            (edge_ids, t.tool_force, t.tool_stiffness),
            (self._touch_ids(t, edge_ids, line_ids, on), t.sheet_force[on], t.sheet_stiffness[on]),
        ]
        if self.anchor is not None:
            held = self._drag_weight()[:, None] * [1.0, 1.0, 0.0]
            parts.append((self.sheet_ids, held * (q - self.anchor), held[:, :, None] * np.eye(3)))
        slope, stiff = _gather(
            parts, self.size, self.ram, self._ram_slope(x), 0.0 if self.stroke is None else RAM_SPRING
        )
        return Tangent(float(r.energy.sum()) + t.energy + self._ram_energy(x), slope, stiff, r, s, t)

    def _touch_ids(self, t: Touch, edge_ids: Ints, line_ids: Ints, on: Ints) -> Ints:
        edge = on // (len(t.segment) // len(edge_ids))
        return np.hstack([edge_ids[edge], line_ids[t.segment[on]], line_ids[t.segment[on] + 1]])

    def duals(self, at: Tangent, move: Array | None = None) -> Duals:
        """The stresses at a place or, with a move, what they come to along it to first order."""
        t = at.touch
        rubber, tools, sheet = at.rubber.mean, t.on_tools, t.on_sheet
        if move is not None:
            moved = np.append(move, 0.0)
            flow = (at.rubber.area_slope * moved[self.ids[self.mesh.quads.quads].reshape(-1, 8)]).sum(1)
            rubber = rubber + self.rubber.mean_stiffness / self.mesh.quads.area * flow
            edge_ids = self.ids[self.mesh.edges].reshape(-1, 4)
            each = np.repeat(moved[edge_ids], len(t.segment) // len(edge_ids), axis=0)
            tools = np.maximum(tools - t.rise[:, 0] * (t.tool_slope * each).sum(1), 0.0)
            on = np.flatnonzero(t.segment >= 0)
            ids = self._touch_ids(t, edge_ids, np.vstack([[-1, -1, -1], self.sheet_ids]), on)
            sheet = sheet.copy()
            sheet[on] = np.maximum(sheet[on] - t.rise[on, 1] * (t.sheet_slope[on] * moved[ids]).sum(1), 0.0)
        return Duals(rubber, tools, sheet)

    def measures(self) -> tuple[Array, Array]:
        """Of every unknown (size,): the diagonal that a search adds where the energy does not rise (forces of G on its place), and
        the most that one step may move it."""
        g = self.rubber.shear
        weight, longest = np.full(self.size, g), np.full(self.size, MOVE)
        turning = self.sheet_ids[:, 2][self.sheet_ids[:, 2] >= 0]
        weight[turning], longest[turning] = LEVER**2 * g, ROTATE
        return weight, longest

    def pushed(self, pressure: float, wall: float) -> System:
        """With the ram pushing [MPa]."""
        return replace(self, pressure=pressure, stroke=None, wall=wall)

    def dragged(self, drag: float, x: Array) -> System:
        """With the sheet held back from where it is at x by `drag` [MPa/mm]; 0: free."""
        return replace(self, drag=drag, anchor=self.sheet_at(x) if drag > 0.0 else None)

    def drawn(self, stroke: float, wall: float) -> System:
        """With the ram drawn to a stroke [mm]."""
        return replace(self, stroke=stroke, wall=wall)


def _gather(
    parts: list[tuple[Ints, Array, Array]], size: int, ram: int, ram_slope: float, ram_spring: float
) -> tuple[Array, Any]:
    from scipy.sparse import csc_matrix

    from ribwright.mechanics.pad_model.gather_kernel import compress, spread

    count = sum(k.size for _, _, k in parts) + 1
    rows, cols, values, slope = np.empty(count, np.int64), np.empty(count, np.int64), np.empty(count), np.zeros(size)
    rows[0], cols[0], values[0], slope[ram] = ram, ram, ram_spring, ram_slope
    at = 1
    for index, force, stiff in parts:
        at = spread(index, stiff, force, at, rows, cols, values, slope)
    matrix = csc_matrix(compress(rows[:at], cols[:at], values[:at], size), shape=(size, size))
    matrix.has_sorted_indices = matrix.has_canonical_format = True
    return slope, matrix


def system_of(mesh: PadMesh, rubber: Rubber, profile: Profile, sheet: PressedStrip, width: float) -> System:
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
