"""The pad lifted off: the rubber's push on every node of the sheet fades away, turning with the sheet.

An even pressure in its place would close a flange that the pad has left open. Lifting the pad itself, step by step, came to the
same released angles within 0.01 deg (docs/section_pad.md).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.sheet import PressedStrip
from ribwright.mechanics.section.formed import Formed, look
from ribwright.mechanics.section.strip import State, taken_off

Array = NDArray[np.float64]

FADE = (0.8, 0.6, 0.45, 0.3, 0.2, 0.1, 0.05, 0.02, 0.0)
NEWTONS, CUTS, TOLERANCE = 25, 12, 1e-6  # of yield stress times thickness
TURN, MOVE = 0.2, 3.0  # rad, mm: the most one step moves a node
WIDE = 5  # diagonals on either side: two neighbours of three unknowns each


def let_go(sheet: PressedStrip, q: Array) -> tuple[Formed | None, Formed | None]:
    """The sheet pressed at q (n, 3), without the pad: on the block, and after the block is taken away; None: did not settle."""
    push = sheet.total(sheet.respond(q))  # the rubber's, in balance with sheet and block
    c, s = np.cos(q[:, 2]), np.sin(q[:, 2])
    own = np.stack([c * push[:, 0] + s * push[:, 1], -s * push[:, 0] + c * push[:, 1], push[:, 2]], 1)
    outer, share = sheet.outer, 1.0
    fades, tries = list(reversed(FADE)), 0
    while fades:
        there = _balance(replace(sheet, outer=outer * fades[-1]), q, own * fades[-1])
        if there is not None:
            q, share = there, fades.pop()
            sheet = sheet.commit(q, outer * share, 0.0)
        elif (tries := tries + 1) > CUTS:
            return None, None
        else:
            fades.append(0.5 * (share + fades[-1]))
    state: State = replace(sheet.state, gone=None, over=0.0, pressure=0.0)
    off = taken_off(sheet.strip, state)
    return look(sheet.strip, state), look(sheet.strip, off) if off.settled else None


def _balance(sheet: PressedStrip, q: Array, own: Array) -> Array | None:
    """Positions at which sheet and block are in balance with forces `own` (n, 3) along and across every node."""
    from scipy.linalg import solve_banded

    yield_force = float(sheet.strip.law.curve.stress(np.zeros(()))) * sheet.strip.t
    for _ in range(NEWTONS):
        r = sheet.respond(q)
        c, s = np.cos(q[:, 2]), np.sin(q[:, 2])
        fx, fy = c * own[:, 0] - s * own[:, 1], s * own[:, 0] + c * own[:, 1]
        left = sheet.total(r) - np.stack([fx, fy, own[:, 2]], 1)
        left[0] = 0.0
        if not r.solved or not np.isfinite(left).all():
            return None
        if np.abs(left).max() < TOLERANCE * yield_force:
            return q
        ab = _banded(r.force.shape[0] + 1, r.stiffness, r.node_stiffness, np.stack([fy, -fx], 1))
        way = solve_banded((WIDE, WIDE), ab, -left.ravel()).reshape(-1, 3)
        far = max(float(np.abs(way[:, 2]).max()) / TURN, float(np.abs(way[:, :2]).max()) / MOVE, 1.0)
        q = q + way / far
    return None


def _banded(n: int, elements: Array, nodes: Array, turning: Array) -> Array:
    """The stiffness by diagonals (11, 3 n); `turning` (n, 2): d(-force)/d theta of forces that turn with the sheet."""
    ab = np.zeros((2 * WIDE + 1, 3 * n))
    node = nodes.copy()
    node[:, :2, 2] += turning
    for i in range(3):
        for j in range(3):
            ab[WIDE + i - j, j::3] += node[:, i, j]
    for i in range(6):
        for j in range(6):
            ab[WIDE + i - j, j : 3 * (n - 1) + j : 3] += elements[:, i, j]
    for k in range(3):  # the first node is held
        for other in range(6):
            if abs(k - other) <= WIDE:
                ab[WIDE + other - k, k] = ab[WIDE + k - other, other] = 0.0
        ab[WIDE, k] = 1.0
    return ab
