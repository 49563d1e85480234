"""The inverse blank against a study's rings, textbook limits of flanged holes and shapes that unfold.

Sources. Rings: this project's feasibility study of blank development (see `test_blank_rings`), K 330 MPa, n 0.2, prestrain 0.002, t 1,
inside radius 3, neutral axis in the middle, held to the equation of `annulus` instead of the study's own triangles. B1 to B3, E1, E4, E5,
E7: closed forms with chosen inputs, worked out from geometry and volume (Marciniak, Duncan & Hu, Mechanics of Sheet Metal Forming, 2002,
for the free edge in uniaxial tension). None of it is a measured part.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from formed_rings import edge_width, grid, ring, section, straight
from ribwright.mechanics.annulus import closed_form_width, ode_width
from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.hole import wall_height
from ribwright.mechanics.inverse.hill import Anisotropy
from ribwright.mechanics.inverse.model import ANSWERED, Blank, Flat, FormedSheet, Friction, flat_of
from ribwright.mechanics.sheet_law import sheet_law

Array = NDArray[np.float64]
LAW = sheet_law(70000.0, 0.33, Swift(330.0, 0.2, 1e-12))  # the prestrain is the last eps_r
SHEET = Blank(LAW, 1.0, Anisotropy.normal(1.0))
RINGS = [
    (-1, 30, 10, 90),
    (-1, 30, 15, 60),
    (-1, 60, 20, 90),
    (-1, 300, 20, 90),
    (1, 30, 20, 90),
    (1, 60, 15, 60),
    (1, 300, 10, 90),
]


def width_of(flat: Flat, radius: float, length: float, angle: float, h: float, least_rows: int = 3) -> Array:
    return edge_width(flat.places, radius, len(section(length, angle, h, least_rows=least_rows).s))


@pytest.mark.parametrize(("sign", "r", "length", "angle"), RINGS)
def test_a_ring_is_as_wide_as_equilibrium_of_its_section_says(sign: int, r: float, length: float, angle: float) -> None:
    equation = ode_width(sign / r, 3.5, angle, length)
    assert equation.converged
    flat = flat_of(ring(sign, r, length, angle, 2.0), SHEET)
    assert flat.outcome == ANSWERED
    assert flat.thinned
    w = width_of(flat, r, length, angle, 2.0)
    assert np.ptp(w) < 1e-8  # the same all round
    np.testing.assert_allclose(w, float(equation.width), atol=0.02)  # worst 0.011, stretch R 30 L 10


@pytest.mark.parametrize(
    ("sign", "r", "length", "angle", "miss"), [(-1, 60, 20, 90, 0.008), (-1, 30, 15, 60, 0.05), (1, 60, 15, 60, 0.008)]
)
def test_the_sheets_own_thickness_costs_little(sign: int, r: float, length: float, angle: float, miss: float) -> None:
    # 0.006, 0.045 and 0.001 mm off
    flat = flat_of(ring(sign, r, length, angle, 2.0), SHEET, thinning=False)
    w = width_of(flat, r, length, angle, 2.0)
    np.testing.assert_allclose(w, float(ode_width(sign / r, 3.5, angle, length).width), atol=miss)


def test_the_ratio_r_widens_a_stretch_flange_as_the_study_found() -> None:
    # stretch R 60, L 20, 90 deg, r 0.5, 1, 1.5; the study's triangles, to 0.01 mm
    for r, wide in ((0.5, 27.39), (1.0, 28.53), (1.5, 29.31)):
        flat = flat_of(ring(-1, 60, 20, 90, 2.0), replace(SHEET, anisotropy=Anisotropy.normal(r)))
        np.testing.assert_allclose(width_of(flat, 60, 20, 90, 2.0), wide, atol=0.015)


@pytest.mark.parametrize(("sign", "r", "length", "angle"), [(-1, 30, 10, 90), (1, 30, 20, 90), (-1, 30, 15, 60)])
def test_smaller_triangles_come_to_the_equation(sign: int, r: float, length: float, angle: float) -> None:
    exact = float(ode_width(sign / r, 3.5, angle, length).width)
    miss = [
        abs(
            width_of(flat_of(ring(sign, r, length, angle, h, least_rows=rows), SHEET), r, length, angle, h, rows).mean()
            - exact
        )
        for h, rows in ((4.0, 2), (2.0, 4), (1.0, 8))
    ]
    assert miss[2] < max(0.35 * miss[1], 0.003)
    assert miss[2] < max(0.12 * miss[0], 0.003)


def hole(kept: str = "uniaxial") -> tuple[Flat, FormedSheet, int]:
    """Wall of radius 25 without a bend, as tall as a hole of radius 20 gives."""
    height = float(wall_height(20.0, 25.0, kept))  # type: ignore[arg-type]
    f = ring(-1, 25, height, 90, 1.0, mid_radius=0.0)
    return flat_of(f, SHEET), f, len(section(height, 90, 1.0, 0.0).s)


def test_b1_b2_b3_e5_a_hole_of_40_opened_to_50() -> None:
    # B3: heights 4.7410, 4.5, 5.0 of uniaxial, area kept, length kept
    assert float(wall_height(20.0, 25.0)) == pytest.approx(4.7410, abs=5e-5)
    flat, f, rows = hole()
    assert flat.outcome == ANSWERED
    rim = np.linalg.norm(flat.places[rows - 1 :: rows], axis=1)
    np.testing.assert_allclose(rim, 20.0, rtol=2e-4)  # E5
    assert np.log(25.0 / rim.mean()) == pytest.approx(0.2231, abs=3e-4)  # B1
    beside = np.isin(f.triangles, np.arange(rows - 1, len(f.nodes), rows)).sum(axis=1) == 2
    edge = np.log(25.0 / rim.mean())
    middle = np.log(np.linalg.norm(f.nodes[f.triangles[beside]].mean(axis=1)[:, :2], axis=1) / 25.0)
    assert np.abs(middle).max() < 1e-2
    # B2: t = t0 sqrt(d0/D) = 0.8944 at the edge itself; the triangles there have their middle a third of a row away
    assert flat.strains.thickness[beside].mean() == pytest.approx(np.exp(-edge / 2), rel=0.01)
    # the real one lies between area kept and length kept
    inside = [np.linalg.norm(hole(k)[0].places[:, :2], axis=1).min() for k in ("area", "length")]
    assert inside[0] > 20.0 > inside[1]


@pytest.mark.parametrize(("kf", "allowance"), [(0.33, 5.5418), (0.4, 5.7177), (0.5, 5.9690)])
def test_e1_bend_allowance(kf: float, allowance: float) -> None:
    # R 3, t 1.6, 90 deg
    f = straight(10.0, 90.0, 12.0, 2.0, kf=kf, mid_radius=3.8, thickness=1.6)
    flat = flat_of(f, replace(SHEET, thickness=1.6))
    assert flat.places[:, 1].max() - 10.0 == pytest.approx(allowance, abs=1e-4)


def test_e4_a_cup_has_the_area_and_is_not_flattened_by_it() -> None:
    # mid-surface d 50, h 30, r 6: area 6255.36, so a sheet drawn at its own thickness would be 89.24 across. Pressed without a blank
    # holder the wall shrinks round and thickens: the blank is the equation's, 3 mm more in radius; its volume is the cup's
    f = ring(1, 19, 24, 90, 1.0, mid_radius=6.0, least_rows=12)
    at = f.nodes[f.triangles]
    area = np.linalg.norm(np.cross(at[:, 1] - at[:, 0], at[:, 2] - at[:, 0]), axis=1) / 2
    assert area.sum() + np.pi * 19**2 == pytest.approx(6255.36, rel=1e-3)
    flat = flat_of(f, SHEET)
    assert flat.outcome == ANSWERED
    rows = len(section(24, 90, 1.0, 6.0, 12).s)
    wide = edge_width(flat.places, 19.0, rows)
    np.testing.assert_allclose(wide, float(closed_form_width(1 / 19, 6.0, 90, 24.0)[0]), atol=0.03)
    assert 19.0 + wide.mean() - 89.244 / 2 == pytest.approx(3.2, abs=0.1)
    volume = (area * f.allowance * flat.strains.thickness).sum()
    assert volume == pytest.approx(np.pi * ((19 + wide.mean()) ** 2 - 19**2), rel=2e-3)


def cone(half_deg: float, near: float, far: float, turn_deg: float) -> tuple[FormedSheet, Array]:
    """A patch of a cone with its flat places; facets between rulings, so it unfolds as it is. The first ruling is held."""
    half = np.radians(half_deg)
    columns, rows = 15, 7
    i, j = np.divmod(np.arange(columns * rows), rows)
    phi, along = np.radians(turn_deg) * i / (columns - 1), near + (far - near) * j / (rows - 1)
    out = np.column_stack([np.cos(phi), np.sin(phi)])
    nodes = np.column_stack([out * (along * np.sin(half))[:, None], -along * np.cos(half)])
    normals = np.column_stack([out * np.cos(half), np.full(len(i), np.sin(half))])
    step = 2 * np.arcsin(np.sin(half) * np.sin(np.radians(turn_deg) / (columns - 1) / 2))
    flat = np.column_stack([along * np.cos(step * i), along * np.sin(step * i)])
    triangles = grid(rows, columns, closed=False)[:, [0, 2, 1]]
    none = np.zeros((len(triangles), 3))
    return FormedSheet(nodes, normals, triangles, none, np.ones(len(triangles)), i == 0, flat), flat


@pytest.mark.parametrize("half_deg", [25.0, 60.0])
def test_e7_a_cone_unfolds_with_all_its_lengths(half_deg: float) -> None:
    f, flat = cone(half_deg, 20.0, 45.0, 100.0)
    bent = flat + np.where(f.held[:, None], 0.0, 0.3 * np.sin(flat))
    a = flat_of(replace(f, start=bent), SHEET)
    assert a.outcome == ANSWERED
    np.testing.assert_allclose(a.places, flat, atol=1e-7)
    assert np.abs(a.strains.major).max() < 1e-9


def test_e7_a_cylinder_unfolds_with_all_its_lengths() -> None:
    f = straight(0.0, 100.0, 30.0, 2.0, mid_radius=20.0)
    facet = replace(f, allowance=np.ones_like(f.allowance))
    a = flat_of(facet, SHEET)
    rows = int((f.nodes[:, 0] == 0.0).sum())
    chord = 2 * 20.0 * np.sin(np.radians(100.0) / (rows - 1) / 2) * (rows - 1)
    np.testing.assert_allclose(a.places[:, 1].max(), chord, atol=1e-9)
    np.testing.assert_allclose(a.places[:, 0], f.nodes[:, 0], atol=1e-9)
    assert np.abs(a.strains.major).max() < 1e-9


def test_e7_a_cap_of_a_sphere_lies_between_area_kept_and_length_kept() -> None:
    # R 50, 40 deg: area kept 2 R sin(20 deg) = 34.202, arc 34.907
    radius, angle, rings = 50.0, np.radians(40.0), 12
    points, normals = [[0.0, 0.0, 0.0]], [[0.0, 0.0, 1.0]]
    for k in range(1, rings + 1):
        p = angle * k / rings
        for m in range(6 * k):
            q = 2 * np.pi * m / (6 * k)
            n = [np.sin(p) * np.cos(q), np.sin(p) * np.sin(q), np.cos(p)]
            normals.append(n)
            points.append([radius * n[0], radius * n[1], radius * (n[2] - 1)])
    nodes, n = np.array(points), np.array(normals)
    from scipy.spatial import Delaunay

    reach = np.linalg.norm(nodes[:, :2], axis=1)
    start = nodes[:, :2] * np.where(reach > 0, radius * np.arccos(n[:, 2]) / np.maximum(reach, 1e-12), 1.0)[:, None]
    t = Delaunay(start).simplices.astype(np.int64)
    d, e = start[t[:, 1]] - start[t[:, 0]], start[t[:, 2]] - start[t[:, 0]]
    area = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    t[area < 0] = t[area < 0][:, [0, 2, 1]]
    t = t[np.abs(area) > 1e-6]
    middle = np.arange(len(nodes)) < 7  # rubbed lightly so that it stays where it is
    f = FormedSheet(nodes, n, t, np.zeros((len(t), 3)), np.ones(len(t)), middle, start)
    a = flat_of(f, SHEET, Friction(1e-4))
    assert a.outcome == ANSWERED
    rim = np.linalg.norm(a.places, axis=1).max()
    assert 2 * radius * np.sin(angle / 2) < rim < radius * angle
