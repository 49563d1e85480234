"""Residuals as a sum of random effects: the likelihood of their sizes, and what each effect is, by linear algebra alone.

    e_i = sum_j A_ij z_j + h_i c_p(i) + eps_i         z_j, c_p ~ N(0, 1),  eps_i ~ N(0, D_i),  A = Z S,  h = g tau

z are the effects that pieces share (shop, alloy, flange, block, lot), c that of a piece on its own places, eps of a place and of the gauge.
With R = diag(D) + h h' within each piece and K = A A' + R:

    K^-1 = R^-1 - R^-1 A M^-1 A' R^-1,    M = I + A' R^-1 A           (Woodbury; R^-1 by Sherman and Morrison, piece by piece)
    log L = -(e' K^-1 e + log det K + n log 2 pi)/2
    d log L/d log S_c = sum over effects j of the kind c of (E[z_j^2] - 1)        (Fisher's identity)

Searle, Casella & McCulloch, Variance Components (1992), ch. 6 and 7 for mixed models (recalled).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dtrtri

Array = NDArray[np.float64]
Index = NDArray[np.intp]
SHARED, FLANGE, LOT, PIECE, PLACE = range(5)  # sizes that are learned, each a factor on what was forecast
SIZES = 5
LEAST_VARIANCE = 1e-12  # deg^2: a place and gauge without any error would leave nothing to weigh
FIXED = -1  # a size that is not learned: the block as cut


@dataclass(frozen=True, eq=False)
class Sample:
    """Observations sorted by piece.

    e      residuals (n,) [deg]
    z      (n, q) what one standard deviation of each effect adds to each residual [deg], at the forecast's own sizes
    kind   (q,) which size each effect has: SHARED, FLANGE, LOT or FIXED
    g      (n,) what one standard deviation of its piece adds [deg]
    place  (n,) variance of a place [deg^2]; `gauge` (n,) of measuring [deg^2]
    piece  (n,) which piece, 0, 0, 1, ...; `starts` (P,) where each begins
    """

    e: Array
    z: Array
    kind: Index
    g: Array
    place: Array
    gauge: Array
    piece: Index
    starts: Index


@dataclass(frozen=True, eq=False)
class Weights:
    """How far each is believed, 1 as a normal one is: observations (n,), pieces (P,), effects (q,)."""

    place: Array
    piece: Array
    effect: Array


@dataclass(frozen=True, eq=False)
class Solution:
    """The effects at given sizes.

    a       (n, q) Z S;  `noise` (n,) D;  `tau2` (P,) squared sd of each piece, over its weight
    ra      (n, q) R^-1 A;  `corner` (q, q) C, inverse of M's Cholesky factor;  `half` (q, n) C A' R^-1
    alpha   (n,) K^-1 e;  `mean` (q,) of z;  `spread` (q,) variances of z
    inverse (n,) diagonal of K^-1
    """

    a: Array
    noise: Array
    tau2: Array
    ra: Array
    corner: Array
    half: Array
    alpha: Array
    mean: Array
    spread: Array
    inverse: Array
    log_likelihood: float


def by_piece(s: Sample, x: Array) -> Array:
    """Sums over the observations of each piece."""
    return np.asarray(np.add.reduceat(x, s.starts, axis=0))


def solve(s: Sample, theta: Array, w: Weights) -> Solution:
    """`theta` (SIZES,) logarithms of the factors on the sizes."""
    factor = np.exp(theta)
    per_effect = np.where(s.kind == FIXED, 1.0, factor[np.maximum(s.kind, 0)]) / np.sqrt(w.effect)
    a = s.z * per_effect
    noise = (s.place * factor[PLACE] ** 2 + s.gauge + LEAST_VARIANCE) / w.place
    tau2 = factor[PIECE] ** 2 / w.piece
    over = s.g / noise
    room = 1.0 + tau2 * by_piece(s, s.g * over)
    share = tau2 / room
    ra = a / noise[:, None] - over[:, None] * (share[:, None] * by_piece(s, over[:, None] * a))[s.piece]
    re = s.e / noise - over * (share * by_piece(s, over * s.e))[s.piece]
    m = a.T @ ra
    m.flat[:: len(m) + 1] += 1.0
    lower = np.linalg.cholesky(m)
    # M >= I, so its factor may be inverted; a triangular solve of many columns waits for threads on a busy machine
    corner = dtrtri(lower, lower=1)[0]
    half = corner @ ra.T
    mean = corner.T @ (half @ s.e)
    alpha = re - ra @ mean
    inverse = 1.0 / noise - share[s.piece] * over**2 - np.sum(half**2, axis=0)
    log_det = np.sum(np.log(noise)) + np.sum(np.log(room)) + 2.0 * np.sum(np.log(np.diagonal(lower)))
    likelihood = -0.5 * (float(s.e @ alpha) + log_det + len(s.e) * np.log(2.0 * np.pi))
    return Solution(
        a, noise, tau2, ra, corner, half, alpha, mean, np.sum(corner**2, axis=0), inverse, float(likelihood)
    )  # fmt: skip


def squared(s: Sample, f: Solution) -> tuple[Array, Array, Array]:
    """Expected squares of the noises over their own variances (n,), of the pieces (P,) and of the effects (q,): 1 where they are as wide
    as they were taken."""
    noises = f.noise * f.alpha**2 + 1.0 - f.noise * f.inverse
    room = by_piece(s, s.g**2 / f.noise)
    seen = room / (1.0 + f.tau2 * room)  # g' R^-1 g
    lost = np.sum(np.add.reduceat(f.half * s.g, s.starts, axis=1) ** 2, axis=0)
    pieces = f.tau2 * (by_piece(s, s.g * f.alpha) ** 2 - seen + lost) + 1.0
    return noises, pieces, f.mean**2 + f.spread


def slopes(s: Sample, theta: Array, w: Weights, f: Solution, squares: tuple[Array, Array, Array]) -> Array:
    """d log L/d theta (SIZES,); `squares` as `squared` gives them."""
    _, pieces, effects = squares
    out = np.zeros(SIZES)
    for kind in (SHARED, FLANGE, LOT):
        mine = s.kind == kind
        out[kind] = np.sum(effects[mine] - 1.0)
    out[PIECE] = np.sum(pieces - 1.0)
    out[PLACE] = np.sum(s.place * np.exp(2.0 * theta[PLACE]) / w.place * (f.alpha**2 - f.inverse))
    return out


def information(s: Sample, theta: Array, w: Weights, f: Solution) -> Array:
    """Average of the observed and the expected information on theta (SIZES, SIZES): v_k' K^-1 v_l/2, v_k = dK/dtheta_k alpha.

    Gilmour, Thompson & Cullis, Biometrics 51 (1995) 1440 (recalled).
    """
    v = np.zeros((SIZES, len(s.e)))
    on = f.a.T @ f.alpha
    for kind in (SHARED, FLANGE, LOT):
        mine = s.kind == kind
        v[kind] = 2.0 * f.a[:, mine] @ on[mine]
    v[PIECE] = 2.0 * s.g * (f.tau2 * by_piece(s, s.g * f.alpha))[s.piece]
    v[PLACE] = 2.0 * s.place * np.exp(2.0 * theta[PLACE]) / w.place * f.alpha
    over = s.g / f.noise
    share = f.tau2 / (1.0 + f.tau2 * by_piece(s, s.g * over))
    rv = v.T / f.noise[:, None] - over[:, None] * (share[:, None] * by_piece(s, over[:, None] * v.T))[s.piece]
    seen = f.half @ v.T
    return np.asarray(0.5 * (v @ rv - seen.T @ seen))


def block_of_inverse(s: Sample, f: Solution, rows: Index) -> Array:
    """K^-1 between some observations (k, k)."""
    over = s.g / f.noise
    share = f.tau2 / (1.0 + f.tau2 * by_piece(s, s.g * over))
    same = s.piece[rows][:, None] == s.piece[rows][None, :]
    own = np.diag(1.0 / f.noise[rows]) - same * share[s.piece[rows]] * np.outer(over[rows], over[rows])
    return np.asarray(own - f.half[:, rows].T @ f.half[:, rows])


def weights_on(f: Solution) -> Array:
    """(q, n): what each residual adds to the mean of each standardised effect."""
    return np.asarray(f.corner.T @ f.half)
