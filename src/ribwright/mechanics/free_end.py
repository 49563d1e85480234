"""How much of the hoop strain of a curved flange is left near a free end, as at a notch.

A flange that is cut through is free of hoop stress at the cut. With u the distance from the cut along the bend tangent line and w
the flat width of the flange, the free edge keeps the share F(u/w) of the strain that the whole ring would have there; between two
cuts the shares multiply. The table is that of the blank by balance (mechanics/inverse) on a petal of 2024-O, 0.64 mm, flange 12.7 mm
wide on a convex contour of 19 mm radius (petals 20, 25, 30 and 45 mm long, shrink 41 % of the whole ring); a contour of 60 mm
and concave ones keep less at the same place, by up to 0.12. So the strain of a petal is rather told too large than too small.
Held by tests/stages/test_notch_strain.py. Held against it at 60, 75, 90 and 100 deg; not looked at outside these.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
# u/w and F
TABLE = (
    (0.0, 0.0), (0.25, 0.005), (0.4, 0.06), (0.5, 0.14), (0.6, 0.25), (0.7, 0.37), (0.85, 0.55), (1.0, 0.66), (1.15, 0.73),
    (1.4, 0.82), (1.9, 0.91), (2.35, 0.96), (2.8, 0.985), (3.8, 1.0),
)  # fmt: skip


def kept(share: ArrayLike) -> Array:
    """F at u/w (n,): 0 at the cut, 1 from 3.8 widths on; rising."""
    from scipy.interpolate import PchipInterpolator

    x, y = np.array(TABLE).T
    return np.asarray(PchipInterpolator(x, y)(np.clip(share, 0.0, x[-1])))


def kept_between(arc: Array, width: Array, gaps: tuple[tuple[float, float], ...], total: float, closed: bool) -> Array:
    """Share of the whole ring's hoop strain at places `arc` (n,) along a run with flat width (n,), cut out between the two ends
    of every gap (from, to), arc lengths rising [mm]; 0 inside a gap. The nearest cut on either side counts. On a closed run of
    length `total` [mm] that is sought all round."""
    turns = (-total, 0.0, total) if closed else (0.0,)
    before, after = np.full(len(arc), np.inf), np.full(len(arc), np.inf)
    inside = np.zeros(len(arc), bool)
    for a, b in ((a + turn, b + turn) for a, b in gaps for turn in turns):
        inside |= (arc > a) & (arc < b)
        before = np.where(arc >= b, np.minimum(before, arc - b), before)
        after = np.where(arc <= a, np.minimum(after, a - arc), after)
    return np.where(inside, 0.0, kept(before / width) * kept(after / width))
