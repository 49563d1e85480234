"""Strain-corrected flat width of a curved flange: each place of the edge is a piece of an annulus.

Signed curvature kappa of the bend tangent line in plan [1/mm]: kappa > 0 convex web edge (the flange shrinks),
kappa < 0 concave edge or hole (it stretches), 0 straight. s runs along the formed mid-surface from that line.

        web        | bend        off(s)  formed plan distance outward from the line
    ---------------+--.__        y(s)    flat distance outward from the same line
                   |     \\       Rm      mid-surface bend radius = R + t/2
                   0      | s    a, L    bend angle, straight length beyond the bend

    off(s) = Rm sin(s/Rm) on the bend, then goes on with slope cos a
    eps_th = ln((1 + kappa off)/(1 + kappa y)),   dy/ds = exp(-eps_s),   t = t0 exp(-eps_s - eps_th)
    sig_s  = (sig/eps)(eps_s + k eps_th)/(1 - k^2), sig_th with the indices swapped,  k = R/(1 + R), R the r-value
    eps^2  = [(1 - k)(eps_s^2 + eps_th^2) + k (eps_s + eps_th)^2]/(1 - k^2)
    d((1 + kappa off) t sig_s)/ds = t sig_th kappa off'(s),   sig_s = 0 at the free edge,   y(0) = 0

Total-strain plasticity with normal anisotropy in plane stress: Hill, The Mathematical Theory of Plasticity (1950),
ch. XII; Marciniak, Duncan & Hu, Mechanics of Sheet Metal Forming (2002). Membrane only: the bend enters as geometry
and as the shift of its neutral axis. The web is held and the ring is complete; near free ends and jumps of curvature
the curvature must be smoothed first (`smooth_curvature`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEAST_PRESTRAIN = 2e-4  # moves the width by 0.003 mm against 0.002; steeper secants only cost steps at the held line
SQUARE_DEG = 1e-9
BEND_STEPS, STRAIGHT_STEPS = 12, 8  # within 3e-5 mm of eight times as many, bends of 30 to 84 deg on radii from 15 mm
MOST_TRIES = 25
NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)


@dataclass(frozen=True, eq=False)
class Development:
    """The flat flange at each station; arrays of one shape.

    width                 bend tangent line to cut edge, square to the line, in the flat [mm]
    edge_strain           true hoop strain of the free edge's mid-surface, + stretched [-]
    edge_thickness_ratio  formed over sheet thickness at the free edge [-]
    converged             the numbers stand; where False they are the closed form's guess, or NaN as below
    folds                 the formed flange runs through its own centre of curvature (1 + kappa off <= 0): NaN
    closes                the flat edge would shrink to a point or past it (1 + kappa y <= 0): NaN
    """

    width: Array
    edge_strain: Array
    edge_thickness_ratio: Array
    converged: Mask
    folds: Mask
    closes: Mask


@dataclass(frozen=True, eq=False)
class Ring:
    """Formed geometry at the stations: kappa [1/mm], mid-surface bend radius [mm], angle [rad], straight length [mm],
    and k = R/(1 + R) of the sheet [-]; arrays of one shape."""

    kappa: Array
    mid_radius: Array
    angle: Array
    straight: Array
    k: Array

    @classmethod
    def of(
        cls, kappa: ArrayLike, mid_radius: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike, k: ArrayLike
    ) -> Ring:
        """Stations broadcast to one shape; the angle in degrees from flat."""
        given = (kappa, mid_radius, np.radians(angle_deg), straight, k)
        return cls(*(np.array(a, float) for a in np.broadcast_arrays(*given)))

    @property
    def arc(self) -> Array:
        """Mid-surface length of the bend [mm]."""
        return self.mid_radius * self.angle

    @property
    def length(self) -> Array:
        """Mid-surface length of bend and straight part [mm]."""
        return self.arc + self.straight

    def offset(self, s: Array) -> tuple[Array, Array]:
        """off(s) [mm] and off'(s) [-] at s along the mid-surface [mm]; the stations are the last axes of s."""
        turned = np.minimum(s, self.arc) / self.mid_radius
        beyond = np.maximum(s - self.arc, 0.0)
        return self.mid_radius * np.sin(turned) + beyond * np.cos(self.angle), np.cos(turned)

    @property
    def reach(self) -> Array:
        """off at the free edge [mm]."""
        return self.offset(self.length)[0]

    @property
    def folds(self) -> Mask:
        """True where 1 + kappa off <= 0 anywhere: off is least or greatest at the edge or where the bend is square."""
        crest = self.mid_radius * np.sin(np.minimum(self.angle, np.pi / 2))
        return (1.0 + self.kappa * self.reach <= 0.0) | (1.0 + self.kappa * crest <= 0.0)


def closed_form_width(
    kappa: ArrayLike, mid_radius: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike, k: ArrayLike = 0.5
) -> tuple[Array, Mask]:
    """Flat width y of the mid-surface [mm] with sig_s = 0 everywhere, and the mask `closes`; k = R/(1 + R) [-].

    (1 + kappa y)^(1+k) = 1 + (1+k) kappa Integral_0^S (1 + kappa off)^k ds,   S = Rm a + L

    Exact on the straight part of a 90 degree flange, where off' = 0 leaves nothing for sig_s to balance; else an
    estimate (0.5 mm off on a 60 degree flange of edge strain 0.7). Smooth through kappa = 0, where y = S. NaN where it
    closes.
    """
    return _closed(Ring.of(kappa, mid_radius, angle_deg, straight, k))


def ode_width(
    kappa: ArrayLike,
    mid_radius: ArrayLike,
    angle_deg: ArrayLike,
    straight: ArrayLike,
    k: ArrayLike = 0.5,
    *,
    n: ArrayLike = 0.2,
    prestrain: ArrayLike = 0.002,
) -> Development:
    """Flat width of the mid-surface with radial equilibrium; see the module's equations.

    Secant modulus sig/eps = K (eps^2 + eps_r^2)^((n-1)/2); K cancels, eps_r = max(prestrain, 2e-4). The equation is
    run from the free edge (eps_s = -k eps_th) to the line by fourth-order Runge-Kutta steps, and the flat edge is
    moved by secants until y(0) = 0. Not converged: radial tension beyond necking (Considere), or no root in 25 tries.
    """
    ring = Ring.of(np.broadcast_arrays(kappa, n, prestrain)[0], mid_radius, angle_deg, straight, k)
    width, converged, closes = _ode(ring, n, prestrain)
    return _answer(ring, width, converged, closes)


def develop(
    kappa: ArrayLike,
    mid_radius: ArrayLike,
    angle_deg: ArrayLike,
    straight: ArrayLike,
    k: ArrayLike = 0.5,
    *,
    n: ArrayLike = 0.2,
    prestrain: ArrayLike = 0.002,
    shift: ArrayLike = 0.0,
) -> Development:
    """Flat width w = y - shift of a curved flange [mm]; shift = (1/2 - Kf) t a for a neutral axis at Kf t from inside.

    y is the closed form where the flange is square (within 1e-9 deg), else the equation's. Edge strain and thickness
    are those of the edge cut at w, so on a hole they are ln(formed rim/cut hole).
    """
    ring = Ring.of(np.broadcast_arrays(kappa, n, prestrain)[0], mid_radius, angle_deg, straight, k)
    y, closes = _closed(ring)
    converged = ~closes
    oblique = np.abs(np.degrees(ring.angle) - 90.0) >= SQUARE_DEG
    if np.any(oblique):
        run, run_converged, _ = _ode(ring, n, prestrain)
        y, converged = np.where(oblique, run, y), np.where(oblique, run_converged, converged)
    return _answer(ring, y - np.asarray(shift, float), converged, closes)


def smooth_curvature(
    s: ArrayLike,
    kappa_cells: ArrayLike,
    length_scale: ArrayLike,
    closed: bool = False,
    kinks: Sequence[tuple[float, float]] = (),
) -> Array:
    """Curvature that the hoop strain feels at each station: kappa convolved with exp(-|u|/l)/(2 l), (m + 1,) [1/mm].

    s             stations along the bend tangent line, rising, (m + 1,) [mm]; on a closed run the last is the first
    kappa_cells   curvature between neighbouring stations, (m,) [1/mm]; exact for curvature constant in each cell
    length_scale  l at each station, (m + 1,) or one number [mm]; 0.35 of the flat width fits trials of whole rings
    closed        the run wraps round; else the curvature is zero beyond both ends
    kinks         (s [mm], turn [rad]) of joins that are not quite smooth: turn times the kernel
    """
    s, cells = np.asarray(s, float), np.asarray(kappa_cells, float)
    l = np.broadcast_to(np.asarray(length_scale, float), s.shape)[:, None]
    period = s[-1] - s[0] if closed else np.inf
    smooth = np.diff(_kernel_integral(s[None, :] - s[:, None], l, period), axis=1) @ cells
    for at, turn in kinks:
        smooth = smooth + turn * _kernel(at - s, l[:, 0], period)
    return smooth


def _kernel(u: Array, l: Array, period: float) -> Array:
    """exp(-|u|/l)/(2 l), summed over all images a period apart."""
    far = np.exp(-period / l)
    return (np.exp(-np.abs(u) / l) + np.exp(-(period - np.abs(u)) / l)) / (2.0 * l * (1.0 - far))


def _kernel_integral(u: Array, l: Array, period: float) -> Array:
    """Integral of `_kernel` from 0 to u, |u| <= period."""
    near = -np.exp(-np.minimum(np.abs(u) / l, 60.0))  # nothing is left beyond, and tiny numbers are slow
    if np.isfinite(period):
        near = (np.exp(-(period - np.abs(u)) / l) + near) / (1.0 - np.exp(-period / l))
    return np.sign(u) * (1.0 + near) / 2.0


def _closed(ring: Ring) -> tuple[Array, Mask]:
    """`closed_form_width` of a ring."""
    integral = _integral(ring)
    x = (1.0 + ring.k) * ring.kappa * integral
    closes = np.asarray(x <= -1.0)
    x = np.where(closes, 0.0, x)
    z = np.log1p(x) / (1.0 + ring.k)
    y = integral * _ratio(np.log1p(x), x) * _ratio(np.expm1(z), z)
    return np.where(closes, np.nan, y), closes


def _ratio(top: Array, bottom: Array) -> Array:
    """top/bottom of two functions that go to 0 together with ratio 1."""
    zero = bottom == 0.0
    return np.where(zero, 1.0, top / np.where(zero, 1.0, bottom))


def _integral(ring: Ring) -> Array:
    """Integral of (1 + kappa off)^k over bend and straight part [mm], Gauss points on each."""
    x = (NODES + 1.0).reshape(-1, *[1] * ring.kappa.ndim) / 2.0
    w = WEIGHTS.reshape(x.shape) / 2.0
    total = np.zeros(ring.kappa.shape)
    for start, span in ((np.zeros_like(ring.arc), ring.arc), (ring.arc, ring.straight)):
        off, _ = ring.offset(start + span * x)
        total = total + span * np.sum(w * np.maximum(1.0 + ring.kappa * off, 0.0) ** ring.k, axis=0)
    return total


def _answer(ring: Ring, width: Array, converged: Mask, closes: Mask) -> Development:
    """Strain and thickness of the edge cut at `width`, with no number where the flange folds or closes."""
    flat = 1.0 + ring.kappa * width
    closes = closes | (flat <= 0.0)
    bad = closes | ring.folds
    formed = np.where(bad, 1.0, 1.0 + ring.kappa * ring.reach)
    strain = np.where(bad, np.nan, np.log(formed) - np.log(np.where(bad, 1.0, flat)))
    thinning = np.exp(-(1.0 - ring.k) * strain)  # uniaxial: eps_t = -eps_th/(1 + R)
    return Development(np.where(bad, np.nan, width), strain, thinning, converged & ~bad, ring.folds, closes)


Law = tuple[Array, Array]  # n, eps_r
Place = tuple[Array, Array]  # ln(1 + kappa off), kappa off'/(1 + kappa off)
Step = tuple[Array, Place, Place, Place]  # h, start, middle, end


def _ode(ring: Ring, n: ArrayLike, prestrain: ArrayLike) -> tuple[Array, Mask, Mask]:
    """(width, converged, closes) with equilibrium; the closed form's width where it did not converge."""
    guess, closes = _closed(ring)
    bad = ring.folds | closes
    safe = replace(ring, kappa=np.where(bad, 0.0, ring.kappa))
    law = (np.asarray(n, float), np.maximum(np.asarray(prestrain, float), LEAST_PRESTRAIN))
    width, converged = _shoot(safe, law, np.where(bad, ring.length, guess))
    return np.where(converged, width, guess), converged & ~bad, closes


def _shoot(ring: Ring, law: Law, width: Array) -> tuple[Array, Mask]:
    """Flat edge at which y(0) = 0, by secants at all stations together, and where that was found."""
    steps, tolerance = _steps(ring), 1e-8 * (1.0 + ring.length)
    with np.errstate(all="ignore"):  # a station that leaves the range turns NaN and ends as not converged
        miss, sound = _flat_start(ring, law, steps, width)
        move = -miss
        for _ in range(MOST_TRIES):
            if np.all((np.abs(miss) <= tolerance) | ~np.isfinite(miss)):
                break
            new, sound = _flat_start(ring, law, steps, width + move)
            slope = np.where(move == 0.0, 1.0, (new - miss) / np.where(move == 0.0, 1.0, move))
            slope = np.where(np.isfinite(slope) & (np.abs(slope) > 0.05), slope, 1.0)
            width, miss, move = width + move, new, np.where(np.abs(new) <= tolerance, 0.0, -new / slope)
    return width, sound & (np.abs(miss) <= tolerance)


def _steps(ring: Ring) -> list[Step]:
    """(h, start, middle, end) of every step from the free edge back to the line; none straddles the end of the bend."""
    steps: list[Step] = []
    for top, span, count in ((ring.length, ring.straight, STRAIGHT_STEPS), (ring.arc, ring.arc, BEND_STEPS)):
        h = -span / count
        places = [_place(ring, top + h * i / 2) for i in range(2 * count + 1)]
        steps += [(h, places[2 * i], places[2 * i + 1], places[2 * i + 2]) for i in range(count)]
    return steps


def _place(ring: Ring, s: Array) -> Place:
    off, slope = ring.offset(s)
    return np.log1p(ring.kappa * off), ring.kappa * slope / (1.0 + ring.kappa * off)


def _flat_start(ring: Ring, law: Law, steps: list[Step], width: Array) -> tuple[Array, Mask]:
    """y(0) when the flat edge lies at `width`, and where the sheet stayed short of necking."""
    y = width
    es = -ring.k * (np.log1p(ring.kappa * ring.reach) - np.log1p(ring.kappa * y))
    sound = np.ones(y.shape, bool)
    for h, start, middle, end in steps:
        y1, e1, stiff = _slopes(ring, law, start, y, es)
        y2, e2, _ = _slopes(ring, law, middle, y + h / 2 * y1, es + h / 2 * e1)
        y3, e3, _ = _slopes(ring, law, middle, y + h / 2 * y2, es + h / 2 * e2)
        y4, e4, _ = _slopes(ring, law, end, y + h * y3, es + h * e3)
        y, es = y + h / 6 * (y1 + 2 * (y2 + y3) + y4), es + h / 6 * (e1 + 2 * (e2 + e3) + e4)
        sound &= stiff > 0.0
    return y, sound


def _slopes(ring: Ring, law: Law, place: Place, y: Array, es: Array) -> tuple[Array, Array, Array]:
    """(dy/ds, d eps_s/ds, d(t sig_s)/d eps_s); the last over the secant modulus, <= 0 past necking.

    Equilibrium with the derivatives g_s, g_th of t sig_s: g_s eps_s' + g_th eps_th' = turn t (sig_th - sig_s).
    """
    k, (n, eps_r), (formed, turn) = ring.k, law, place
    flat = ring.kappa * y
    et = formed - np.log1p(flat)
    dy = np.exp(-es)
    det = turn - ring.kappa * dy / (1.0 + flat)
    p, q = es + k * et, et + k * es  # sig_s and sig_th but for their common factor
    c = (n - 1.0) / (es * p + et * q + (1.0 - k * k) * eps_r**2)
    gs, gt = 1.0 - p + c * p * p, k - p + c * p * q
    return dy, (turn * (q - p) - gt * det) / gs, gs
