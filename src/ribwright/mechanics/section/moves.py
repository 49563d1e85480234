"""How a sheet's nodes move, as changes of stretch, shear and slope: what Newton's steps and guesses are taken in.

A step laid out in x and y stretches a sheet that turns, by the square of the turn, and a sheet is stiff along itself: half a degree
too much at once and Newton's method is lost. Laid out in stretches and slopes, and the elements then put end to end from the
held node, a turn costs nothing. `way` (N, 3): change of stretch and shear of an element in the row of its second node, of the
slope in the node's own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]


@compiled
def strains_of(arc: Array, q: Array, step: Array, way: Array) -> None:
    """What a small step of the nodes (N, 3) is as changes of stretch and shear of the elements and of the slopes: `way` (N, 3),
    an element's in the row of its second node."""
    way[0, 0] = way[0, 1] = 0.0
    way[0, 2] = step[0, 2]
    for e in range(len(arc) - 1):
        long, th = arc[e + 1] - arc[e], 0.5 * (q[e, 2] + q[e + 1, 2])
        c, s = np.cos(th), np.sin(th)
        dx, dy = (q[e + 1, 0] - q[e, 0]) / long, (q[e + 1, 1] - q[e, 1]) / long
        sx, sy = (step[e + 1, 0] - step[e, 0]) / long, (step[e + 1, 1] - step[e, 1]) / long
        turn = 0.5 * (step[e, 2] + step[e + 1, 2])
        way[e + 1, 0] = c * sx + s * sy + (c * dy - s * dx) * turn
        way[e + 1, 1] = c * sy - s * sx - (c * dx + s * dy) * turn
        way[e + 1, 2] = step[e + 1, 2]


@compiled
def strains_between(arc: Array, q: Array, new: Array, way: Array) -> None:
    """The same between two positions far apart."""
    way[0, 0] = way[0, 1] = 0.0
    way[0, 2] = new[0, 2] - q[0, 2]
    for e in range(len(arc) - 1):
        long = arc[e + 1] - arc[e]
        for side, at in ((-1.0, q), (1.0, new)):
            th = 0.5 * (at[e, 2] + at[e + 1, 2])
            c, s = np.cos(th), np.sin(th)
            dx, dy = (at[e + 1, 0] - at[e, 0]) / long, (at[e + 1, 1] - at[e, 1]) / long
            if side < 0.0:
                way[e + 1, 0], way[e + 1, 1] = -(c * dx + s * dy), -(c * dy - s * dx)
            else:
                way[e + 1, 0] += c * dx + s * dy
                way[e + 1, 1] += c * dy - s * dx
        way[e + 1, 2] = new[e + 1, 2] - q[e + 1, 2]


@compiled
def moved(arc: Array, q: Array, way: Array, share: float, to: Array) -> None:
    """Nodes `to` (N, 3) that `share` of `way` leads to from `q`: slopes first, then the elements laid end to end, so that a sheet
    that turns is not stretched by the step. `to` may be `q`."""
    x, y, th0 = q[0, 0], q[0, 1], q[0, 2]
    x0, y0, was = x, y, th0
    to[0, 0], to[0, 1], to[0, 2] = x, y, th0 + share * way[0, 2]
    for e in range(len(arc) - 1):
        long = arc[e + 1] - arc[e]
        x1, y1, th1 = q[e + 1, 0], q[e + 1, 1], q[e + 1, 2]
        th = 0.5 * (was + th1)
        c, s = np.cos(th), np.sin(th)
        dx, dy = (x1 - x0) / long, (y1 - y0) / long
        l, g = c * dx + s * dy + share * way[e + 1, 0], c * dy - s * dx + share * way[e + 1, 1]
        th += 0.5 * share * (way[e, 2] + way[e + 1, 2])
        c, s = np.cos(th), np.sin(th)
        x, y = x + long * (l * c - g * s), y + long * (l * s + g * c)
        to[e + 1, 0], to[e + 1, 1], to[e + 1, 2] = x, y, th1 + share * way[e + 1, 2]
        x0, y0, was = x1, y1, th1
