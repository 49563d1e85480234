"""Level sections of the block and the volume between them."""

from __future__ import annotations

from math import pi, radians, sin, tan

import numpy as np
import pytest

from building import RandomPart, box, job_of
from random_blocks import RandomBlock
from ribwright.geometry.offset import mitred
from ribwright.stages import section
from ribwright.stages.blank import make_blank
from ribwright.stages.block import Block, make_block
from ribwright.stages.recess import Recess, profile
from ribwright.stages.section import Walls, reach

SQUARE = '[block]\nundercut = "none"\n'


def block_of(text: str) -> Block:
    job = job_of(text)
    return make_block(job, make_blank(job))


def _polygon_area(p: np.ndarray) -> float:
    x, y = p.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)


def test_the_rounding_is_an_arc_and_the_wall_goes_on_along_its_tangent() -> None:
    """At the end of the arc of 97 deg the reach is R sin w; 10 mm further down it has gone back by 10 cot w."""
    w, r = np.radians([97.0]), np.array([3.0])
    end = 3.0 * (1 - np.cos(w[0]))
    assert reach(w, r, 0.0) == pytest.approx(0.0)
    assert reach(w, r, 3.0) == pytest.approx(3.0)
    assert reach(w, r, end) == pytest.approx(3 * sin(w[0]))
    assert reach(w, r, end + 10) == pytest.approx(3 * sin(w[0]) + 10 / tan(w[0]))


def test_a_block_without_flange_is_a_prism() -> None:
    block = block_of(box(flanges=(False,) * 4))
    assert block.volume == pytest.approx(200 * 100 * block.height, rel=1e-12)


def test_square_walls_without_undercut_have_the_volume_of_the_hand_formula() -> None:
    """Rectangle a b of the drawing inset by t to the wall; the rounding, x = sqrt(2 R z - z^2) inside z = R:
    V = H a b - integral of (a b - (a - 2 q)(b - 2 q)), q = R - x, with int q = R^2 (1 - pi/4), int q^2 = R^3 (5/3 - pi/2).
    """
    block = block_of(box(w=200, h=100, radius=3, t=1) + SQUARE)
    a, b, r = 198.0, 98.0, 3.0
    q, qq = r**2 * (1 - pi / 4), r**3 * (5 / 3 - pi / 2)
    assert block.volume == pytest.approx(block.height * a * b - 2 * (a + b) * q + 4 * qq, rel=1e-11)


def test_an_open_box_is_a_frustum_under_its_rounding() -> None:
    """Walls of 60 deg below the rounding: a prismatoid from the section at the rounding's end to the foot."""
    block = block_of(box(angle=60, width=12) + SQUARE)
    w, h = radians(60), block.height
    top = 3 * (1 - np.cos(w))
    inset = 4 * tan(w / 2)

    def sides(z: float) -> np.ndarray:
        x = 3 * sin(w) + (z - top) / tan(w)
        return np.array([200.0, 100.0]) - 2 * inset + 2 * x

    frustum = (h - top) / 6 * sum(k * sides(z).prod() for k, z in ((1, top), (4, (top + h) / 2), (1, h)))
    phi = np.linspace(0, w, 20001)
    rows = [(200 - 2 * inset + 6 * s) * (100 - 2 * inset + 6 * s) * 3 * s for s in np.sin(phi)]
    assert block.volume == pytest.approx(frustum + np.trapezoid(rows, phi), rel=1e-8)


@pytest.mark.parametrize("seed", range(6))
def test_the_area_of_a_section_is_that_of_fine_chords_through_the_mitred_walls(seed: int) -> None:
    """Independent: the points of the offset machinery, chord error 0.00002 mm, at the foot and in the rounding."""
    block = block_of(RandomPart(seed).text())
    for z in (0.0, 0.7, block.height):
        pieces, good = mitred([wall.line(z) for wall in block.walls.loops[0]], 2e-5)
        assert good
        assert block.walls.area(z) == pytest.approx(_polygon_area(np.concatenate(pieces)), rel=5e-7)


@pytest.mark.parametrize("seed", range(6))
def test_the_foot_is_the_last_section(seed: int) -> None:
    block = block_of(RandomPart(seed).text())
    corners = [s.start for s in block.walls.at(block.height)[0].spans]
    for p in corners:
        assert np.min(np.hypot(*(block.feet[0] - p).T)) < 1e-6


@pytest.mark.parametrize("seed", [0, 11, *(pytest.param(n, marks=pytest.mark.slow) for n in (2, 5))])
def test_the_integral_does_not_depend_on_how_finely_it_is_taken(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    walls = block_of(RandomBlock(seed).text()).walls
    rough = walls.volume
    fine = np.polynomial.legendre.leggauss(16)
    monkeypatch.setattr(section, "GAUSS", fine)
    monkeypatch.setattr(section, "GAUSS_SHORT", fine)
    assert Walls(walls.loops, walls.height).volume == pytest.approx(rough, rel=2e-8)


@pytest.mark.parametrize("seed", range(3))
def test_volume_does_not_depend_on_unit_pose_or_hand(seed: int) -> None:
    part = RandomPart(seed)
    volumes = [
        block_of(part.text(**how)).volume
        for how in ({}, {"turn": 0.7}, {"mirror": True}, {"scale": 25.4, "units": "in"})
    ]
    assert volumes == pytest.approx([volumes[0]] * 4, rel=1e-9)


def test_a_bevel_s_fitted_wall_is_the_solved_one() -> None:
    job = job_of(box(angle='[[0, 84], ["30 %", 91], ["end", 97]]', material="2024-T3"))
    block = make_block(job, make_blank(job))
    wall = block.walls.loops[0][0]
    s = np.linspace(0, 200, 41)
    solved = section.undercut_along(job, wall.edge, s)
    w, radius = wall.at(s)
    assert np.degrees(w) == pytest.approx(solved.wall, abs=1e-9)
    assert radius == pytest.approx(solved.radius, abs=1e-9)


def test_the_slope_of_a_wall_is_the_derivative_of_its_points() -> None:
    job = job_of(box(angle='[[0, 84], ["30 %", 91], ["end", 97]]', material="2024-T3"))
    wall = make_block(job, make_blank(job)).walls.loops[0][0]
    s = np.array([10.0, 55.0, 70.0, 190.0])
    for z in (0.5, 3.0, 12.0):
        _, v = wall.speed(s, z)
        h = 1e-4
        assert v == pytest.approx((wall.speed(s + h, z)[0] - wall.speed(s - h, z)[0]) / (2 * h), abs=1e-6)


# ---------------------------------------------------------------- recesses


def _recess(wall: float, diameter: float = 40.0, depth: float = 9.0, vent: float = 3.0) -> Recess:
    return Recess("L", (0.0, 0.0), diameter, 0.0, depth, 3.0, wall, (0.0, 0.0, 0.0), 0.0, (wall, wall, wall), vent)


@pytest.mark.parametrize(("wall", "diameter"), [(30, 40), (48, 40), (90, 40), (96, 40), (48, 12), (95, 11)])
def test_a_recess_takes_the_volume_of_its_discs(wall: float, diameter: float) -> None:
    """Independent: the meridian as points, summed as thin truncated cones. A steep cone ends at its vent."""
    p = profile(_recess(wall, diameter), 15.0)
    phi = np.linspace(0, p.turned, 40001)
    r = np.concatenate([p.start[0] - p.radius * np.sin(phi), [p.wall[0]]])
    z = np.concatenate([p.radius * (1 - np.cos(phi)), [p.wall[1]]])
    discs = pi / 3 * np.sum(np.diff(z) * (r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2))
    assert p.volume == pytest.approx(discs + pi * p.vent**2 * (15.0 - p.wall[1]), rel=1e-7)
    assert p.wall[1] <= 9.0 + 1e-12
    assert p.wall[0] >= p.vent - 1e-12


def test_the_rim_of_a_recess_starts_on_the_tangent_circle_and_meets_the_wall_plane_in_the_face() -> None:
    recess = _recess(48)
    p = profile(recess, 15.0)
    (ra, za), (rb, zb) = p.rim, p.wall
    in_face = ra + za * (ra - rb) / (zb - za)
    assert 2 * in_face == pytest.approx(recess.diameter)
    assert tan(radians(48)) == pytest.approx((zb - za) / (ra - rb))


HOLE = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 50\ncut_diameter = 38\nbend_angle = 45\n'
    'bend_radius = 3\n[[hole]]\nname = "P"\nkind = "tooling"\nat = [20, 50]\ndiameter = 5\npin_fit = 0.1\n'
)


def test_recess_vent_and_pin_hole_are_cut_from_the_volume() -> None:
    block = block_of(box() + HOLE)
    cut = block.walls.volume - block.volume
    recess = profile(block.recesses[0], block.height)
    assert cut == pytest.approx(recess.volume + pi * 4.9**2 / 4 * block.height)
    assert 2 * recess.vent == pytest.approx(3.175)
