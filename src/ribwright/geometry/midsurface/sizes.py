"""How far apart nodes stand along a line: an even spacing, finer on tight curves and toward reliefs."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Curve

Array = NDArray[np.float64]
TURN = 0.2  # a column turns by no more than this [rad]
GROWTH = 0.35  # size grows by this much a mm away from a fine place
FINE = 8  # probes a column


def size_along(curve: Curve, size: float, fine: Sequence[tuple[float, float, float]] = ()) -> Callable[[Array], Array]:
    """Spacing wanted at s [mm]: `size`, less where the curve is tight and near the `fine` places (s, size there, how far that
    reaches)."""
    length = curve.length

    def wanted(s: Array) -> Array:
        kappa = np.abs(curve.curvature(np.clip(s, 0.0, length)))
        out = np.minimum(size, TURN / np.maximum(kappa, 1e-12))
        for at, least, reach in fine:
            out = np.minimum(out, least + GROWTH * np.maximum(np.abs(s - at) - reach, 0.0))
        return np.asarray(out)

    return wanted


def spaced(s0: float, s1: float, wanted: Callable[[Array], Array]) -> Array:
    """Places from s0 to s1 (n + 1,), n even, so that each gap takes the same share of the integral of 1/size.

    An even count and a symmetrical rule give a line read backwards the same places.
    """
    coarse = np.linspace(s0, s1, 129)
    probes = max(128, int(np.ceil((s1 - s0) / float(np.min(wanted(coarse))) * FINE)))
    s = np.linspace(s0, s1, 2 * ((probes + 1) // 2) + 1)
    density = 1 / wanted(s)
    count = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2 * np.diff(s))])
    n = max(2, 2 * int(np.ceil(count[-1] / 2 - 1e-6)))
    out = np.interp(np.linspace(0.0, count[-1], n + 1), count, s)
    out[0], out[-1] = s0, s1
    return np.asarray(out)
