"""Laying measured places onto drawn ones: a turn and a shift in the plane, with the covariance of both.

    rows    r_i = w_i . (R(turn) p_i + shift - q_i),   w_i unit vectors: a round hole gives two rows, one along x and one along y, a
            slot one across its long axis, a place of an edge one along its normal
    fit     sum_i r_i^2 k_i -> min by Gauss-Newton with exact turns, k_i = 1/sd_i^2 where no other weight is given
    start   the turn of least squares between the points themselves, theta = atan2(sum p x q, sum p . q) about their means (Kabsch's
            solution in the plane; no scale)
    cov     (J^T K J)^-1 J^T K S K J (J^T K J)^-1, S = diag(sd^2): what the rows' own errors do to the move, whatever weights were taken;
            the law of propagation, JCGM 100:2008, 5.1.2, for independent rows; S as given for rows that err together (5.2.2)

Sources: W. Kabsch, Acta Cryst. A32 (1976) 922, and S. Umeyama, IEEE PAMI 13 (1991) 376, both from memory; held against a library's
solution in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEPS, SETTLED = 30, 1e-13
FLAT = 1e-12  # a direction that holds this much less than the best one is not held at all


@dataclass(frozen=True, eq=False)
class Move:
    """x' = R(turn) x + shift. `cov` (3, 3) of shift x, shift y [mm] and turn [rad] about `about`, a place of the drawing; `rms` of the
    rows and `left` (n,) what each row is left with [mm]; `held`: False where the rows leave a shift or the turn free."""

    turn: float
    shift: Array
    about: Array
    cov: Array
    rms: float
    left: Array
    held: bool = True

    def moved(self, points: Array) -> Array:
        """Points (n, 2) on the drawing."""
        return np.asarray(points @ turned(self.turn).T + self.shift)


def turned(angle: float) -> Array:
    """The matrix that turns by `angle` [rad]."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s], [s, c]])


def rigid(points: Array, targets: Array, weights: Array | None = None) -> tuple[float, Array]:
    """(turn [rad], shift (2,)) that lays points (n, 2) onto targets (n, 2), least squares with weights (n,); closed form, no mirror, no
    scale. With one point, or all in one place, the turn is 0."""
    k = np.ones(len(points)) if weights is None else weights
    middle, to = (k @ points) / k.sum(), (k @ targets) / k.sum()
    p, q = points - middle, targets - to
    sine, cosine = k @ (p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]), k @ np.einsum("ni,ni->n", p, q)
    angle = float(np.arctan2(sine, cosine)) if np.hypot(sine, cosine) > 0.0 else 0.0
    return angle, np.asarray(to - turned(angle) @ middle)


def register(
    points: Array, targets: Array, ways: Array, sd: Array, weights: Array | None = None, shared: Array | None = None
) -> Move:
    """The move of points (n, 2) onto targets (n, 2) looked at along unit `ways` (n, 2), with standard uncertainty `sd` (n,) of each row
    [mm]. `weights` (n,): another share than 1/sd^2 for each row. `shared` (n, n): covariance of the rows where they err together, in the
    place of sd^2 [mm2]. Rows that hold less than all three freedoms give the least move that
    serves them, `held` False and an unbounded covariance."""
    k = 1.0 / sd**2 if weights is None else weights
    angle, shift = rigid(points, targets, k)
    about = (k @ targets) / k.sum()
    # lengths of about the places' spread make turn and shift comparable
    size = max(float(np.sqrt(np.mean(np.sum((targets - about) ** 2, axis=1)))), 1e-9)
    scale = np.array([1.0, 1.0, 1.0 / size])
    jac, left = _rows(points, targets, ways, angle, shift, about)
    for _ in range(STEPS):
        a = (jac * scale).T @ ((jac * scale) * k[:, None])
        step = scale * (np.linalg.pinv(a, rcond=FLAT, hermitian=True) @ ((jac * scale).T @ (k * -left)))
        turn = turned(step[2])
        shift = turn @ (shift - about) + about + step[:2]
        angle += float(step[2])
        jac, left = _rows(points, targets, ways, angle, shift, about)
        if np.abs(step / scale).max() < SETTLED * size:
            break
    a = (jac * scale).T @ ((jac * scale) * k[:, None])
    held = bool(np.linalg.matrix_rank(a, tol=FLAT * np.abs(a).max(), hermitian=True) == 3)
    if held:
        gain = np.linalg.inv(a) @ ((jac * scale).T * k)
        each = (gain * sd**2) if shared is None else gain @ shared
        cov = each @ gain.T * np.outer(scale, scale)
    else:
        cov = np.diag([np.inf] * 3)
    return Move(angle, shift, about, np.asarray(cov), float(np.sqrt(np.mean(left**2))), left, held)


def _rows(points: Array, targets: Array, ways: Array, angle: float, shift: Array, about: Array) -> tuple[Array, Array]:
    """(J (n, 3), r (n,)) at a move; the turn's column is taken about `about`."""
    at = points @ turned(angle).T + shift
    arm = at - about
    jac = np.column_stack([ways, ways[:, 1] * arm[:, 0] - ways[:, 0] * arm[:, 1]])
    return jac, np.einsum("ni,ni->n", ways, at - targets)
