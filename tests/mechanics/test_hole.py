"""Laws of a flanged lightening hole, and of the exact blanks of simple surfaces."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.mechanics import annulus, bending, developable, hole

TANGENT, RADIUS, THICKNESS = 50.8, 2.3, 0.64
ANGLES = [30.0, 45.0, 60.0, 90.0, 100.0]
METHODS = ["handbook", "strain-corrected"]


def flat_width(method: str, angle: float, length: float) -> float:
    if method == "handbook":
        return float(bending.bend_allowance("k-factor", RADIUS, THICKNESS, angle, 0.45)) + length
    shift = 0.05 * THICKNESS * np.radians(angle)
    return float(annulus.develop(-2 / TANGENT, RADIUS + THICKNESS / 2, angle, length, shift=shift).width)


def outline_of_rim(angle: float, length: float) -> np.ndarray:
    """Every corner of the rim in (radius, depth below the heel face), built from the two faces point by point, (2, 2)."""
    a, centre = np.radians(angle), np.array([TANGENT / 2, RADIUS + THICKNESS])
    out, along = np.array([-np.sin(a), -np.cos(a)]), np.array([-np.cos(a), np.sin(a)])
    return np.array([centre + r * out + length * along for r in (RADIUS, RADIUS + THICKNESS)])


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("length", [0.0, 4.0])
def test_rim_and_height_are_those_of_the_two_faces_drawn(angle: float, length: float) -> None:
    corners = outline_of_rim(angle, length)
    opening = hole.rim_diameter(TANGENT, RADIUS, THICKNESS, angle, length)
    assert float(opening) == pytest.approx(2 * corners[:, 0].min())
    assert float(hole.flange_height(RADIUS, THICKNESS, angle, length)) == pytest.approx(corners[:, 1].max())
    middle = hole.rim_diameter_mid(TANGENT, RADIUS, THICKNESS, angle, length)
    assert float(middle) == pytest.approx(2 * corners[:, 0].mean())


@pytest.mark.parametrize("angle", ANGLES)
def test_a_typed_rim_or_height_gives_the_straight_part_back(angle: float) -> None:
    height = float(hole.flange_height(RADIUS, THICKNESS, angle, 4.0))
    assert hole.straight_from_height(RADIUS, THICKNESS, angle, height) == pytest.approx(4.0)
    rim = float(hole.rim_diameter(TANGENT, RADIUS, THICKNESS, angle, 4.0))
    straight = hole.straight_from_rim(TANGENT, RADIUS, THICKNESS, angle, rim)
    assert straight == (None if angle == 90 else pytest.approx(4.0))


def test_a_flange_lower_than_its_bend_has_a_negative_straight_part() -> None:
    bend_alone = float(hole.flange_height(RADIUS, THICKNESS, 45, 0.0))
    straight = hole.straight_from_height(RADIUS, THICKNESS, 45, bend_alone - 0.1)
    assert straight is not None
    assert straight < 0


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("angle", ANGLES)
def test_a_typed_cut_gives_the_straight_part_back(method: str, angle: float) -> None:
    wanted = flat_width(method, angle, 3.7)
    straight = hole.straight_from_width(lambda x: np.array([flat_width(method, angle, v) for v in x]), wanted)
    assert straight == pytest.approx(3.7, abs=1e-8)


def test_a_cut_inside_the_bend_leaves_no_flange() -> None:
    assert hole.straight_from_width(lambda x: np.array([flat_width("handbook", 90, v) for v in x]), 2.0) is None


def test_the_search_keeps_clear_of_flanges_that_cannot_be_developed() -> None:
    # beyond some height the flat of a 90 degree flange round a 30 mm circle would close; the search starts above it
    def width(length: np.ndarray) -> np.ndarray:
        return annulus.develop(-1 / 15, 1.5, 90, length).width

    wanted = 13.0
    assert np.isnan(width(np.array([wanted]))).all()
    straight = hole.straight_from_width(width, wanted)
    assert straight is not None
    assert width(np.array([straight]))[0] == pytest.approx(wanted, abs=1e-7)


def test_a_hole_flange_strains_like_the_concave_edge_of_its_tangent_circle() -> None:
    d = annulus.develop(-2 / TANGENT, RADIUS + THICKNESS / 2, 45, 4.0)
    cut, rim = TANGENT - 2 * float(d.width), hole.rim_diameter_mid(TANGENT, RADIUS, THICKNESS, 45, 4.0)
    assert float(d.edge_strain) == pytest.approx(float(hole.edge_strain(cut, rim)), abs=1e-12)
    assert float(d.edge_thickness_ratio) == pytest.approx(float(hole.edge_thickness_ratio(d.edge_strain)), abs=1e-12)


def test_a_square_sharp_wall_is_the_closed_form_of_the_ring() -> None:
    for r0, wall in ((20.0, 25.0), (17.0, 25.0)):
        height = float(hole.wall_height(r0, wall))
        width, _ = annulus.closed_form_width(-1 / wall, 1e-9, 90, height)
        assert wall - float(width) == pytest.approx(r0, abs=1e-6)


def test_a_real_wall_lies_between_thickness_kept_and_length_kept() -> None:
    r0 = np.array([12.0, 18.0, 24.0])
    area, uniaxial, length = (hole.wall_height(r0, 25.0, keep) for keep in ("area", "uniaxial", "length"))
    assert ((area < uniaxial) & (uniaxial < length)).all()


def test_a_wall_taller_than_any_hole_would_give_starts_from_no_hole() -> None:
    assert [float(hole.cut_radius(30.0, 25.0, keep)) for keep in ("uniaxial", "area", "length")] == [0.0, 0.0, 0.0]


# ---------------------------------------------------------------- exact blanks


def lengths(points: np.ndarray) -> np.ndarray:
    return np.linalg.norm(np.diff(points, axis=0), axis=1)


def area(points: np.ndarray) -> float:
    """Area of the triangles of a (m, n, 2) patch of points."""
    a, b, c, d = points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]

    def twice(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.abs(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])

    return float((twice(b - a, c - a).sum() + twice(c - a, d - a).sum()) / 2)


def on_cylinder(q: np.ndarray, z: np.ndarray) -> np.ndarray:
    return np.stack([12.0 * np.cos(q), 12.0 * np.sin(q), z], -1)


def on_cone(q: np.ndarray, slant: np.ndarray) -> np.ndarray:
    h = np.radians(20.0)
    return np.stack([slant * np.sin(h) * np.cos(q), slant * np.sin(h) * np.sin(q), slant * np.cos(h)], -1)


def test_unrolled_cylinders_and_cones_keep_every_length() -> None:
    # exact for developable surfaces; chords of a fine curve stand for its length, so the miss falls with their square
    way = np.linspace(0.0, 1.0, 200_001)
    q, rise = 2.0 * way, 10.0 + 5.0 * np.sin(3.0 * way)
    formed, flat = lengths(on_cylinder(q, rise)).sum(), lengths(developable.unroll_cylinder(12.0, q, rise)).sum()
    assert flat == pytest.approx(formed, rel=1e-9)
    formed, flat = lengths(on_cone(q, rise)).sum(), lengths(developable.unroll_cone(20.0, q, rise)).sum()
    assert flat == pytest.approx(formed, rel=1e-9)


def test_unrolled_cylinders_and_cones_keep_every_area() -> None:
    # area elements by hand: r dq dz on the cylinder, l sin(h) dq dl on the cone
    q, rise = np.meshgrid(np.linspace(0.0, 2.0, 40_001), [4.0, 9.0], indexing="ij")
    assert area(developable.unroll_cylinder(12.0, q, rise)) == pytest.approx(12.0 * 2.0 * 5.0, rel=1e-9)
    assert area(developable.unroll_cone(20.0, q, rise)) == pytest.approx(
        np.sin(np.radians(20.0)) * 2.0 * (81 - 16) / 2, rel=1e-9
    )


def test_a_spherical_cap_keeps_its_area_or_its_meridians_but_not_both() -> None:
    for phi in (20.0, 60.0, 90.0):
        kept_area = float(developable.cap_blank_radius(50.0, phi))
        assert np.pi * kept_area**2 == pytest.approx(2 * np.pi * 50.0**2 * (1 - np.cos(np.radians(phi))))
        assert float(developable.cap_blank_radius(50.0, phi, "length")) == pytest.approx(50.0 * np.radians(phi))
        assert kept_area < float(developable.cap_blank_radius(50.0, phi, "length"))


def test_a_cup_without_corner_radius_is_a_disc_and_a_wall() -> None:
    assert float(developable.cup_area(50.0, 30.0, 0.0)) == pytest.approx(np.pi * 25**2 + np.pi * 50 * 30)
