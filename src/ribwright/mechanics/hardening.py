"""Flow curve of a sheet: sigma = K (eps_0 + eps)^n, true stress against true plastic strain (Swift, 1952)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def flow_stress(k_mpa: ArrayLike, n: ArrayLike, prestrain: ArrayLike, strain: ArrayLike) -> Array:
    """sigma = K (eps_0 + eps)^n [MPa] at plastic strain eps >= 0 [-]; eps_0 the prestrain [-]."""
    total = np.asarray(prestrain, float) + np.asarray(strain, float)
    return np.asarray(k_mpa, float) * total ** np.asarray(n, float)


def prestrain_from_yield(yield_mpa: ArrayLike, k_mpa: ArrayLike, n: ArrayLike) -> Array:
    """eps_0 = (Fty/K)^(1/n) [-], so that the curve starts at the yield stress; n > 0."""
    return (np.asarray(yield_mpa, float) / np.asarray(k_mpa, float)) ** (1.0 / np.asarray(n, float))


def necking_strain(n: ArrayLike, prestrain: ArrayLike) -> Array:
    """Uniaxial true plastic strain at greatest load, n - eps_0, at least 0 [-] (Considere: d sigma/d eps = sigma)."""
    return np.maximum(np.asarray(n, float) - np.asarray(prestrain, float), 0.0)
