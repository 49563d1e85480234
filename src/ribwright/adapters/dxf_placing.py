"""Lines of a block mapped to where the block is put in: moved, turned, mirrored, scaled; squeezed, a circle becomes an ellipse."""

from __future__ import annotations

from math import ceil, hypot, pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.adapters.dxf_curves import ELLIPSE_POINTS, as_piece, steps
from ribwright.adapters.dxf_entities import NotRead
from ribwright.features.drawn_lines import ARC, CIRCLE, CURVE, Piece
from ribwright.geometry.curve import Arc

Array = NDArray[np.float64]
# of the largest of the numbers that must be equal, or of which one must be 0
SAME = 1e-9


def placed(pieces: list[Piece], matrix: Any) -> list[Piece]:
    """The pieces by the library's 4 x 4 `matrix` (points are rows). NotRead when it tilts them or makes a line of them."""
    if not pieces:
        return []
    m = np.array(list(matrix.rows()), float)
    flat, shift = m[:2, :2], m[3, :2]
    size = float(np.abs(m[:3, :3]).max())
    if not np.all(np.isfinite(m)) or abs(np.linalg.det(flat)) <= SAME * size * size:
        raise NotRead("a block put in without width or height, or on edge")
    if max(abs(m[0, 2]), abs(m[1, 2]), abs(m[2, 0]), abs(m[2, 1])) > 1e-6 * size:
        raise NotRead("a block put in tilted")
    if not _keeps_circles(flat):
        pieces = [_squeezable(p) for p in pieces]
    mapped = np.array([p for piece in pieces for p in piece.points], float) @ flat + shift
    rows = [(float(x), float(y)) for x, y in mapped.tolist()]
    out, i = [], 0
    for piece in pieces:
        n = len(piece.points)
        here = Piece(piece.kind, tuple(rows[i : i + n]), piece.layer, piece.source)
        # what was squeezed inside may be round again
        out.append(as_piece(mapped[i : i + n], piece.layer, piece.source) if piece.kind == CURVE else here)
        i += n
    return out


def _keeps_circles(flat: Array) -> bool:
    """Turned, mirrored, scaled alike along x and y."""
    (a, b), (c, d) = flat
    size = max(hypot(a, b), hypot(c, d))
    return abs(hypot(a, b) - hypot(c, d)) <= SAME * size and abs(a * c + b * d) <= SAME * size * size


def _squeezable(piece: Piece) -> Piece:
    """A circle or an arc as dense points on it, which may be mapped in any way."""
    if piece.kind == CIRCLE:
        (x, y), (px, py) = piece.points
        arc = Arc((x, y), hypot(px - x, py - y), float(np.arctan2(py - y, px - x)), 2 * pi)
    elif piece.kind == ARC:
        try:
            arc = Arc.through(*piece.points)
        except (ValueError, ZeroDivisionError):  # flat, or without size
            return piece
    else:
        return piece
    n = max(16, ceil(ELLIPSE_POINTS * abs(arc.sweep) / (2 * pi)))
    points = [(float(x), float(y)) for x, y in arc.point(arc.length * steps(n))]
    # the ends as they are drawn: others meet them there
    ends = (piece.points[0], piece.points[-1]) if piece.kind == ARC else (points[0], points[0])
    return Piece(CURVE, (ends[0], *points[1:-1], ends[1]), piece.layer, piece.source)
