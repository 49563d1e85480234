"""Takes the zigzag out of a line of mesh nodes: every second node in, the others out.

    p_i -> (-p_(i-2) + 4 p_(i-1) + 10 p_i + 4 p_(i+1) - p_(i+2))/16

What alternates from node to node is gone, what is a cubic in the count of nodes stays as it is: a circle of m nodes moves by
(pi/m)^4 of its radius, and (2 pi/m)^2/2 of a zigzag across it is left.
Shapiro, Rev. Geophys. 8 (1970) 359.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def levelled(p: Array, closed: bool) -> Array:
    """Nodes (m, 2) without their zigzag; of an open line the two at each end stay, of a closed one (its first node not
    repeated) all move. Under five nodes: as they are. An odd closed line has no whole zigzag; it is treated alike."""
    if len(p) < 5:
        return p
    a, b, c, d = (np.roll(p, k, axis=0) for k in (2, 1, -1, -2))
    out = (4.0 * (b + c) + 10.0 * p - a - d) / 16.0
    if not closed:
        out[:2], out[-2:] = p[:2], p[-2:]
    return np.asarray(out)
