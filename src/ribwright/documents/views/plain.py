"""Numbers for drawing: plain lists rounded to 1e-4 mm, boxes, and the places that can be measured between."""

from __future__ import annotations

from math import atan, hypot
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ribwright.geometry.path import Path, Vertex

Array = NDArray[np.float64]
Place = dict[str, Any]
DIGITS = 4
SHARP = np.radians(5.0)  # a cut line that turns by more is at a corner


def rounded(points: ArrayLike, digits: int = DIGITS) -> list[Any]:
    """Points of any shape as nested lists, rounded; no minus before a zero."""
    return (np.asarray(points, dtype=float).round(digits) + 0.0).tolist()


def number(value: float | None) -> float | None:
    """One number, rounded; None for what is missing or not finite."""
    return None if value is None or not np.isfinite(value) else round(float(value), DIGITS) + 0.0


def box_of(*lines: ArrayLike) -> list[float]:
    """[left, bottom, right, top] of all points (n, 2) of the lines."""
    p = np.concatenate([np.asarray(x, dtype=float).reshape(-1, 2) for x in lines])
    return rounded([*p.min(axis=0), *p.max(axis=0)])


def place(kind: str, at: ArrayLike, *of: str) -> Place:
    """A place that can be measured from: what it is, of which edges or holes, where."""
    return {"kind": kind, "of": list(of), "at": rounded(at)}


def corners_of(path: Path) -> Array:
    """Where a closed path turns sharply (n, 2), in its order."""
    pairs = path.segments()
    out = []
    for i, (a, b) in enumerate(pairs):
        ends, starts = _heading(*pairs[i - 1])[1], _heading(a, b)[0]
        if abs((starts - ends + np.pi) % (2 * np.pi) - np.pi) > SHARP:
            out.append((a[0], a[1]))
    return np.array(out).reshape(-1, 2)


def _heading(a: Vertex, b: Vertex) -> tuple[float, float]:
    """Directions in which a segment starts and ends [rad]."""
    chord = float(np.arctan2(b[1] - a[1], b[0] - a[0])) if hypot(b[0] - a[0], b[1] - a[1]) > 0 else 0.0
    half = 2 * atan(a[2])
    return chord - half, chord + half


def nearest_name(at: Array, lines: list[tuple[str, Array]]) -> str:
    """The name of the line (name, points (m, 2)) that comes nearest to a place (2,)."""
    return min(lines, key=lambda row: float(np.min(np.hypot(*(row[1] - at).T))))[0]
