"""Rubber against block, table, container and sheet: soft walls, one energy, no friction.

Each edge of the rubber's surface carries five points; a point that is a depth d inside an obstacle costs k d^2/2 for
each mm of the edge's present length, so k d is a pressure. The present length matters: with the unstrained length a
stretched edge would be pushed in deeper and under high pressure would pay to stretch for ever.

Against the sheet the distance is to its inner face, less its thickness t: the outer face where it is, the free edge a
quarter round, and inside a gap narrower than t is shut. Without that, rubber of no thickness creeps in between two soft walls, sheet
and block, and lifts the flange. k d^2/2 is divided by 1 - d/t, so that no pressure pushes rubber through the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.profile import Profile

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

# the free edge of a thin sheet must not slip between two points
_AT, _WEIGHT = np.polynomial.legendre.leggauss(5)
PLACES, SHARES = 0.5 + 0.5 * _AT, 0.5 * _WEIGHT
REACH = 3.0  # [mm] a point that changes side of the sheet within this distance has gone through it


@dataclass(frozen=True, eq=False)
class Line:
    """The sheet as the rubber meets it: x, y, theta of its nodes on the middle surface (n, 3), how long its inner face is between them
    (n - 1,), its thickness [mm].

    The lengths are those of the tangents at the ends of a segment's cubic. With the unstrained ones the inner face of a sharp bend
    would run in loops; they stand still while a balance is looked for."""

    nodes: Array
    lengths: Array
    t: float

    def inner(self) -> Array:
        """x, y, theta of the nodes' places on the inner face."""
        th = self.nodes[:, 2]
        return self.nodes + 0.5 * self.t * np.column_stack([np.sin(th), -np.cos(th), np.zeros_like(th)])


@dataclass(frozen=True, eq=False)
class Beside:
    """Distance of the surface points from the sheet's inner face (n,) [mm] and side: +1 left, -1 right, 0 beyond the free edge."""

    far: Array
    side: Ints


@dataclass(frozen=True, eq=False)
class Touch:
    """Contact of every surface point, n = 5 e points on e edges.

    energy [N]; pressure on tools and sheet (n,) [MPa], how either rises with depth (n, 2) [MPa/mm]; slopes of the gaps (n, 4),
    (n, 10) in the edge's ends and in x, y, theta of a segment's nodes; segment of the sheet or -1 (n,), place on it (n,); span the
    length of surface a point stands for (n,) [mm]; forces and stiffness on edges (e, 4) and on edge and segment (n, 10).
    """

    energy: float
    on_tools: Array
    on_sheet: Array
    rise: Array
    tool_slope: Array
    sheet_slope: Array
    segment: Ints
    along: Array
    span: Array
    tool_force: Array
    tool_stiffness: Array
    sheet_force: Array
    sheet_stiffness: Array


def contact_energy(at: Array, edges: Ints, profile: Profile, line: Line, k: float) -> tuple[float, Beside]:
    """Energy of all contact [N] with the rubber's nodes at (n, 2), and where its surface is beside the sheet."""
    from ribwright.mechanics.pad_model.contact_kernel import surface_energy

    n = len(PLACES) * len(edges)
    far, side = np.zeros(n), np.zeros(n, np.int64)
    lines, arcs = profile.rows()
    e = surface_energy(at, edges, PLACES, SHARES, k, lines, arcs, line.inner(), line.lengths, line.t, far, side)
    return float(e), Beside(far, side)


def went_through(before: Beside, now: Beside) -> bool:
    """Whether a surface point has changed from one face of the sheet to the other without going round its free edge."""
    return bool(((now.side * before.side < 0) & (np.minimum(now.far, before.far) < REACH)).any())


def touch(
    at: Array, edges: Ints, profile: Profile, line: Line, k: float, held: tuple[Array, Array] | None = None
) -> Touch:
    """All contact with its forces and stiffness; `held`: pressures on tools and sheet that the stiffness believes in."""
    from ribwright.mechanics.pad_model.contact_kernel import surface_touch

    e, n = len(edges), len(PLACES) * len(edges)
    lines, arcs = profile.rows()
    none = np.full(n, np.nan)
    h = held or (none, none)
    z = np.zeros
    p_tools, p_sheet, rise, s4, s10 = z(n), z(n), z((n, 2)), z((n, 4)), z((n, 10))
    segment, along, span = np.full(n, -1), z(n), z(n)
    f4, k4, f10, k10 = z((e, 4)), z((e, 4, 4)), z((n, 10)), z((n, 10, 10))
    total = surface_touch(
        at, edges, PLACES, SHARES, k, lines, arcs, line.inner(), line.lengths, line.t, h[0], h[1],
        p_tools, p_sheet, rise, s4, s10, segment, along, span, f4, k4, f10, k10,
    )  # fmt: skip
    on = np.flatnonzero(segment >= 0)
    _to_middle(line, segment[on], f10, k10, s10, on)
    return Touch(float(total), p_tools, p_sheet, rise, s4, s10, segment, along, span, f4, k4, f10, k10)


def _to_middle(line: Line, segment: Ints, force: Array, stiff: Array, slope: Array, on: Ints) -> None:
    """Forces (n, 10), stiffness (n, 10, 10) and slopes (n, 10) of rows `on` from places on the inner face to the middle surface."""
    turn = np.broadcast_to(np.eye(10), (len(on), 10, 10)).copy()
    half, f, k = 0.5 * line.t, force[on], stiff[on]
    bend = np.zeros((len(on), 2))
    for e, col in ((0, 4), (1, 7)):
        th = line.nodes[segment + e, 2]
        c, s = half * np.cos(th), half * np.sin(th)
        turn[:, col, col + 2], turn[:, col + 1, col + 2] = c, s
        bend[:, e] = -f[:, col] * s + f[:, col + 1] * c
    k = np.matmul(np.swapaxes(turn, 1, 2), np.matmul(k, turn))
    k[:, 6, 6] += bend[:, 0]
    k[:, 9, 9] += bend[:, 1]
    force[on], stiff[on] = np.matmul(f[:, None], turn)[:, 0], k
    slope[on] = np.matmul(slope[on][:, None], turn)[:, 0]
