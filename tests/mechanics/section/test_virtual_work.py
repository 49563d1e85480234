"""The strip's forces are the virtual work of one field of moves: those of an energy where the sheet is elastic, and those of fluid on the
faces and the cut edge by the volume they sweep. A sheet wholly in fluid is only made smaller by it."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from mechanics.section.test_balance import KINDS
from ribwright.mechanics.flow_curve import Voce
from ribwright.mechanics.section.balance import STIFF, out_of_balance
from ribwright.mechanics.section.band import ROW
from ribwright.mechanics.section.faces import squeezed
from ribwright.mechanics.section.loads import HAIR, gap
from ribwright.mechanics.section.model import Flange, strip_of
from ribwright.mechanics.section.strip import Strip, at_rest
from ribwright.mechanics.sheet_law import sheet_law

Array = NDArray[np.float64]
ELASTIC = Voce(1e6, 0.0, 1.0)
# elastic with the volume kept: then the law has an energy with any stress through the sheet
RUBBERY = sheet_law(70000.0, 0.5, ELASTIC)
kinds = pytest.mark.parametrize("kind", KINDS)


def shaped(s: Strip, seed: int = 0) -> Array:
    """Bent about its block, stretched unevenly, smooth."""
    r = np.random.default_rng(seed)
    arc, q = s.arc, at_rest(s).q
    share = np.clip((arc + 1.0) / (3.5 * s.wall + 2.0), 0.0, 1.0)
    q[:, 2] = -1.2 * (3.0 * share**2 - 2.0 * share**3)
    waves = r.uniform(0.3, 1.0, 2)
    for e, long in enumerate(np.diff(arc)):
        th, at = 0.5 * (q[e, 2] + q[e + 1, 2]), 0.5 * (arc[e] + arc[e + 1])
        stretch = long * (1.0 + 0.03 * np.sin(waves[0] * at))
        shear = long * 0.005 * np.sin(waves[1] * at)
        q[e + 1, :2] = q[e, :2] + [stretch * np.cos(th) - shear * np.sin(th), stretch * np.sin(th) + shear * np.cos(th)]
    return q


def left_over(s: Strip, q: Array, pressure: float, block: float) -> Array:
    rest, n = at_rest(s), len(s.arc)
    force = np.zeros((n, 3))
    assert out_of_balance(
        s.case(), s.law.row(), s.law.points(), *s.gauss(), s.arc, block, pressure, q, q, rest.history, rest.history.copy(),
        np.zeros(n), force, np.zeros((3 * n, ROW)), np.zeros((n - 1, 2)), np.zeros((n - 1, s.layers)),
    )  # fmt: skip
    return force


def hoop(s: Strip, x: Array, flat: Array) -> tuple[Array, Array]:
    """(hoop stretch, flat radius), both 1 on a straight edge."""
    if s.axis is None:
        return np.ones_like(x), np.ones_like(x)
    return (s.axis + s.sign * x) / (s.axis + s.sign * flat), s.axis + s.sign * flat


def kept(l: Array, k: Array, thick: Array, hoop_by_z: Array | float = 0.0) -> Array:
    """z that has the volume `thick` between it and the mid-surface; `hoop_by_z` the share [1/mm] that the hoop stretch grows by with z."""
    z = 2.0 * thick / (l + np.sqrt(l * l - 2.0 * k * thick))
    for _ in range(4):
        miss = l * z + (l * hoop_by_z - k) * z**2 / 2 - k * hoop_by_z * z**3 / 3 - thick
        z = z - miss / ((l - k * z) * (1.0 + hoop_by_z * z))
    return np.asarray(z)


def energy(s: Strip, q: Array) -> float:
    """Of layers, shear and the block's penalty, from Hooke's law and the places of the inner face."""
    zeta, weight = s.gauss()
    long, th, k = np.diff(s.arc), (q[1:, 2] + q[:-1, 2]) / 2, np.diff(q[:, 2]) / np.diff(s.arc)
    d = np.diff(q[:, :2], axis=0) / long[:, None]
    l, g = d[:, 0] * np.cos(th) + d[:, 1] * np.sin(th), d[:, 1] * np.cos(th) - d[:, 0] * np.sin(th)
    h, flat = hoop(s, (q[1:, 0] + q[:-1, 0]) / 2, (s.arc[1:] + s.arc[:-1]) / 2)
    z = zeta * s.t
    along = 0.5 * np.log(l[:, None] ** 2 - 2.0 * k[:, None] * z / h[:, None])
    across = np.zeros_like(along)
    if s.axis is not None:
        across = np.log((h * flat)[:, None] - s.sign * np.sin(th)[:, None] * z) - np.log(flat)[:, None]
    e, nu = s.law.e, s.law.nu
    layers = e / (1 - nu**2) * (along**2 + across**2 + 2 * nu * along * across) / 2
    total = ((layers @ weight * s.t + 0.5 * 5 / 6 * e / (2 + 2 * nu) * s.t * g**2) * long * flat).sum()
    stiff, hair = STIFF * e / s.t, HAIR * s.t
    for i in range(len(q)):
        lo, hi = max(i - 1, 0), min(i + 1, len(q) - 1)
        wide = s.arc[hi] - s.arc[lo]
        at, here = hoop(s, q[i : i + 1, 0], s.arc[i : i + 1])
        l_i = np.hypot(*(q[hi, :2] - q[lo, :2])) / wide
        depth = -kept(l_i, (q[hi, 2] - q[lo, 2]) / wide, -s.t / 2 / at)[0]
        out = gap(q[i, 0] + depth * np.sin(q[i, 2]), q[i, 1] - depth * np.cos(q[i, 2]), s.radius, s.wall)[0]
        root = np.hypot(out, hair)
        area = wide / 2 * here[0]
        total -= 0.25 * stiff * area * (out * (root - out) + hair**2 * np.arcsinh(out / hair))
    return float(total)


@kinds
@pytest.mark.parametrize("seed", range(3))
def test_an_elastic_sheet_s_forces_are_the_slopes_of_its_energy_and_the_block_s(kind: str, seed: int) -> None:
    """Along a random move; the block's push lies on the inner face of a sheet that thins and thickens."""
    s = strip_of(Flange(RUBBERY, 1.0, 3.0, 90.0, 6.0, web=6.0, **KINDS[kind]), fine=0.3)  # type: ignore[arg-type]
    q = shaped(s, seed)
    move = np.random.default_rng(seed).normal(size=q.shape)
    force = left_over(s, q, 0.0, 1.0)
    soft = left_over(s, q, 0.0, 0.0)
    climb = (energy(s, q + 1e-6 * move) - energy(s, q - 1e-6 * move)) / 2e-6
    assert np.abs(force - soft).max() > 1.0  # the block does push
    assert (force * move).sum() == pytest.approx(climb, rel=1e-7)


@kinds
@pytest.mark.parametrize("edge", [True, False])
def test_the_pressure_does_the_work_of_the_volume_that_outer_face_and_cut_edge_sweep(kind: str, edge: bool) -> None:
    """Faces at the places that the kept volume puts them, moved a little, smoothly. 240 elements: within 0.1 %."""
    s = strip_of(Flange(RUBBERY, 1.0, 3.0, 90.0, 6.0, web=6.0, **KINDS[kind]), fine=3.0, edge=edge)  # type: ignore[arg-type]
    q, p, eps = shaped(s), 3.0, 1e-6
    x = s.arc - s.arc[0]
    move = np.stack([0.3 * x * np.sin(0.3 * x), 0.2 * x * np.cos(0.4 * x), 0.1 * x * np.cos(0.2 * x)], 1)

    def boundary(at: Array) -> Array:
        """Outer face from the web on, then the cut edge down to the inner face."""
        l = np.hypot(*(np.gradient(at[:, i], s.arc) for i in (0, 1)))
        k = np.gradient(at[:, 2], s.arc)
        n = np.stack([-np.sin(at[:, 2]), np.cos(at[:, 2])], 1)
        half = s.t / 2 / hoop(s, at[:, 0], s.arc)[0]
        by_z = 0.0 if s.axis is None else n[:, 0] * s.sign / (s.axis + s.sign * at[:, 0])
        outer = at[:, :2] + kept(l, k, half, by_z)[:, None] * n
        inner = at[-1, :2] + kept(l, k, -half, by_z)[-1] * n[-1]
        return np.vstack([outer, inner[None]]) if edge else outer

    a, b = boundary(q - eps * move), boundary(q + eps * move)
    way, mid = np.diff(a + b, axis=0) / 2, (b - a)[1:] / 2 + (b - a)[:-1] / 2
    radius = 1.0 if s.axis is None else s.axis + s.sign * (a + b)[:, 0] / 2
    radius = radius if s.axis is None else (radius[1:] + radius[:-1]) / 2
    swept = (radius * (way[:, 0] * mid[:, 1] - way[:, 1] * mid[:, 0])).sum() / (2 * eps)
    done = ((left_over(s, q, p, 0.0) - left_over(s, q, 0.0, 0.0)) * move)[1:].sum()
    assert done == pytest.approx(p * swept, rel=1e-3)


@pytest.mark.parametrize(("nu", "miss"), [(0.5, 1e-9), (0.33, 2e-3)])
@pytest.mark.parametrize(("axis", "sign"), [(None, 1.0), (30.0, 1.0), (30.0, -1.0)])
def test_a_flat_sheet_wholly_in_fluid_is_in_balance_with_its_change_of_volume_alone(
    axis: float | None, sign: float, nu: float, miss: float
) -> None:
    """On a flat block that pushes back as the fluid would, so that the same pressure, nearly twice the yield stress, stands on both
    faces and the cut edge; elements of any length. With Poisson's ratio 0.33 but for 0.2 % of the pressure: the push enters the change
    of volume by the flat area. Round an axis a couple p t^2/8 per length is left: a face's hoop stretch is taken as the mid-surface's."""
    law, p = sheet_law(70000.0, nu, Voce(80.0, 0.0, 1.0)), 150.0
    arc = -4.0 + 12.0 * np.linspace(0.0, 1.0, 25) ** 1.3
    s = Strip(law, arc, 1.0, 3.0, 0.0, axis, sign)
    held = 1.0 + nu if axis is None else 1.0  # plane strain keeps it from growing along the flange
    less = np.exp(-(1.0 - 2.0 * nu) * held * p / law.e)
    push = p * less if axis is None else p * less**2  # of flat area
    stiff, hair = STIFF * law.e / s.t, HAIR * s.t
    sunk = push / stiff - hair**2 * stiff / (4.0 * push)
    q = np.zeros((len(arc), 3))
    q[:, 0] = arc * less if axis is None else sign * ((axis + sign * arc) * less - axis)
    q[:, 1] = s.t / 2 * p / push - sunk
    force = left_over(s, q, p, 1.0)[1:]
    np.testing.assert_allclose(force[:, :2], 0.0, atol=miss * p * (axis or 1.0))
    couple = 0.0 if axis is None else p * s.t**2 / 8 * np.diff(arc).max()
    np.testing.assert_allclose(force[:, 2], 0.0, atol=miss * p * (axis or 1.0) + 1.01 * couple)


@kinds
def test_held_loads_on_the_faces_work_as_the_sheet_thins(kind: str) -> None:
    """Their forces are the slopes of pressure z_o - push z_i over the flat area, and their slopes are the differences of the forces."""
    s = strip_of(Flange(RUBBERY, 1.0, 3.0, 90.0, 6.0, web=6.0, **KINDS[kind]), fine=0.3)  # type: ignore[arg-type]
    q, e, push, pressure = shaped(s), 10, 80.0, 15.0
    long, flat_x = s.arc[e + 1] - s.arc[e], 0.5 * (s.arc[e] + s.arc[e + 1])

    def forces(ends: Array) -> tuple[Array, Array]:
        force, slope = np.zeros(6), np.zeros((6, 6))
        squeezed(s.case(), ends, long, flat_x, push, pressure, force, slope)
        return force, slope

    def potential(ends: Array) -> float:
        a, b = ends[:3], ends[3:]
        th, k = (a[2] + b[2]) / 2, np.array([(b[2] - a[2]) / long])
        l = np.array([((b[0] - a[0]) * np.cos(th) + (b[1] - a[1]) * np.sin(th)) / long])
        h, flat = hoop(s, np.array([(a[0] + b[0]) / 2]), np.array([flat_x]))
        z_o, z_i = (kept(l, k, side * s.t / 2 / h) for side in (1.0, -1.0))
        return float(((pressure * z_o - push * z_i) * long * flat)[0])

    here = q[e : e + 2].ravel()
    force, slope = forces(here)
    for j, d in enumerate(1e-6 * np.eye(6)):
        climb = (potential(here + d) - potential(here - d)) / 2e-6
        assert force[j] == pytest.approx(climb, abs=1e-6 * np.abs(force).max())
        numeric = (forces(here + d)[0] - forces(here - d)[0]) / 2e-6
        np.testing.assert_allclose(slope[:, j], numeric, atol=1e-6 * np.abs(slope).max())
