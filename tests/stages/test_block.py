"""The form block: outline, undercut, foot, recesses, lift-off."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import box, job_of
from ribwright.mechanics.springback import released_bend
from ribwright.shop.sheet import Hardening
from ribwright.stages.blank import make_blank
from ribwright.stages.block import Block, make_block
from ribwright.stages.job import Job
from ribwright.stages.undercut import kept_arc_radius, released


def block_of(text: str) -> tuple[Job, Block]:
    job = job_of(text)
    return job, make_block(job, make_blank(job))


def test_the_block_s_radius_keeps_the_released_arc() -> None:
    """CONTRACT: (R_block + t/2)(a + u) = (R + t/2) a."""
    _, block = block_of(box())
    e = block.edges[0]
    arc = (e.under.radius + 0.5) * np.radians(e.under.wall)
    assert np.allclose(arc, 3.5 * np.radians(90))


def test_undercut_solves_its_two_equations_together() -> None:
    job, block = block_of(box(material="2024-O"))
    h = job.formed.hardening
    e_prime = job.formed.springback_modulus() / (1 - job.formed.number("poisson") ** 2)
    u, rb = np.radians(block.edges[0].under.deg[0]), block.edges[0].under.radius[0]
    m = (2 / 3**0.5) ** (h.n + 1) * h.k_mpa / (2 ** (h.n + 1) * (h.n + 2) * (rb + 0.5) ** h.n)
    assert u == pytest.approx(12 * m * 3.5 * np.pi / 2 / e_prime, rel=1e-9)


def test_the_outline_puts_the_released_mold_line_on_the_drawing() -> None:
    """The outline lies (R + t) tan(a/2) - R_block tan((a + u)/2) inside the outside mold line."""
    _, block = block_of(box(w=200, h=100))
    e = block.edges[0]
    inside = 4 * np.tan(np.radians(45)) - e.under.radius[0] * np.tan(np.radians(e.under.wall[0] / 2))
    assert block.outlines[0][:, 1].min() == pytest.approx(inside)
    assert block.outlines[0][:, 1].max() == pytest.approx(100 - inside)


def test_the_foot_lies_inside_by_height_times_the_tangent_of_the_undercut() -> None:
    """For a square flange the setback is H tan(u)."""
    _, block = block_of(box())
    e = block.edges[0]
    assert e.setback[0] == pytest.approx(block.height * np.tan(np.radians(e.under.deg[0])))
    assert block.feet[0][:, 1].min() - block.outlines[0][:, 1].min() == pytest.approx(e.setback[0])


def test_taller_flange_needs_a_higher_block() -> None:
    assert block_of(box(width=25))[1].height > block_of(box(width=12))[1].height


def test_stronger_sheet_needs_more_undercut() -> None:
    soft, hard = (block_of(box(material=m))[1].edges[0].under.deg[0] for m in ("2024-O", "2024-T3"))
    assert hard > 2 * soft


def test_clad_sheet_springs_back_by_its_secondary_modulus() -> None:
    job = job_of(box(material="2024-T3 clad"))
    primary = {k: v for k, v in job.formed.facts.items() if k != "secondary_modulus_mpa"}
    stiff = replace(job, formed=replace(job.formed, facts=primary))
    u = [make_block(j, make_blank(j)).edges[0].under.deg[0] for j in (job, stiff)]
    assert u[0] > u[1] * 1.05


def test_no_strength_needs_no_undercut() -> None:
    job = job_of(box())
    weak = replace(job, formed=replace(job.formed, hardening=Hardening("swift", 1e-6, 0.2, 0.001, 0.5, "law", "shop")))
    assert make_block(weak, make_blank(weak)).edges[0].under.deg[0] < 1e-6


def test_the_band_holds_the_formula_s_own_error() -> None:
    e = block_of(box())[1].edges[0].under
    assert e.high[0] - e.deg[0] >= 1.645 * 1.5
    assert 0 <= e.low[0] <= e.deg[0]


def test_constant_undercut_leaves_equal_angles_at_both_ends_of_a_bevel() -> None:
    text = box(angle="[[0, 84], [200, 97]]", flanges=(True, False, False, False))
    e = block_of(text + '[block]\nundercut = "constant-per-edge"\n')[1].edges[0]
    assert np.ptp(e.under.deg) == 0
    assert e.remaining[0] == pytest.approx(-e.remaining[-1], abs=1e-6)
    assert np.abs(e.remaining).max() > 0.01


def test_the_constant_of_an_edge_leaves_the_least_largest_error_of_all_constants() -> None:
    text = box(angle='[[0, 80], ["40 %", 99], ["end", 86]]', flanges=(True, False, False, False), material="2024-T3")
    job, block = block_of(text + '[block]\nundercut = "constant-per-edge"\n')
    e = block.edges[0]
    angles = np.linspace(80.0, 99.0, 191)

    def largest(u: float) -> float:
        return float(np.max(np.abs(released(job, 3.0, angles, np.full(len(angles), u)).left)))

    chosen = float(e.under.deg[0])
    assert largest(chosen) == pytest.approx(np.abs(e.remaining).max(), abs=1e-9)
    assert all(largest(chosen) < largest(chosen + d) for d in (-0.5, -0.05, -0.005, 0.005, 0.05, 0.5))


@pytest.mark.parametrize("material", ["2024-O", "2024-T3", "304 annealed"])
@pytest.mark.parametrize("undercut", [0.0, 1.0, 4.0])
def test_a_block_cut_to_some_undercut_releases_the_angle_that_pure_bending_says(material: str, undercut: float) -> None:
    """Independent: bend to wall angle and block radius, then 1/rho_f = 1/rho - 12 M/(E' t^3) at constant arc length."""
    job = job_of(box(material=material))
    out = released(job, 3.0, np.array([90.0]), np.array([undercut]))
    h = job.formed.hardening
    rb = kept_arc_radius(3.0, 1.0, np.array([90.0]), np.array([undercut]))
    bend = released_bend(
        h.k_mpa, h.n, job.formed.springback_modulus(), job.formed.number("poisson"), rb, 1.0, 90.0 + undercut
    )
    assert out.angle == pytest.approx(bend.angle_deg, abs=1e-9)
    assert out.left == pytest.approx(bend.angle_deg - 90.0, abs=1e-9)
    assert out.low < out.angle < out.high <= 90.0 + undercut


def test_the_undercut_that_was_solved_leaves_nothing() -> None:
    e = block_of(box(angle='[[0, 84], ["end", 97]]'))[1].edges[0]
    assert np.abs(e.remaining).max() < 1e-9
    assert np.allclose(e.out.angle, e.angle)


def test_stations_stand_at_every_row_of_the_angles_table() -> None:
    e = block_of(box(angle='[[0, 84], [37, 95], ["end", 90]]', flanges=(True, False, False, False)))[1].edges[0]
    assert np.isclose(e.along, 37.0).any()
    assert e.angle.max() == pytest.approx(95.0)
    assert (e.along[0], e.along[-1]) == (0.0, 200.0)
    assert np.all(np.diff(e.along) > 0)


def test_without_undercut_recesses_too_are_cut_to_the_drawn_angle_and_say_what_they_leave() -> None:
    text = box() + HOLE.format(turn="down")
    free, none = block_of(text)[1].recesses[0], block_of(text + '[block]\nundercut = "none"\n')[1].recesses[0]
    assert none.wall_angle == 45.0
    assert free.wall_angle > 45.0
    assert free.remaining == pytest.approx(0.0, abs=1e-9)
    assert none.remaining < -0.5
    assert none.released[0] == pytest.approx(45.0 + none.remaining)


def test_for_a_temper_without_flow_curve_what_is_left_is_not_known() -> None:
    job = job_of(box())
    job = replace(job, formed=replace(job.formed, hardening=None))
    e = make_block(job, make_blank(job)).edges[0]
    assert np.isnan(e.remaining).all()
    assert np.isnan(e.out.angle).all()


def test_undercut_none_cuts_square_walls_and_says_what_angle_is_left() -> None:
    e = block_of(box() + '[block]\nundercut = "none"\n')[1].edges[0]
    assert np.all(e.under.deg == 0)
    assert np.all(e.setback < 1e-12)
    assert e.remaining[0] < -0.5


def test_open_flanges_lift_and_closed_ones_all_round_are_trapped() -> None:
    assert block_of(box(angle=84))[1].lift.how == "lifts"
    assert block_of(box(angle=97))[1].lift.how == "trapped"


def test_two_closed_flanges_facing_each_other_slide_off_along_them() -> None:
    lift = block_of(box(angle=97, flanges=(True, False, True, False)))[1].lift
    assert lift.how == "slides"
    assert abs(lift.direction[0]) == pytest.approx(1.0)


def test_volume_is_that_of_the_frustum_less_its_rounded_edges() -> None:
    """Independent: top and foot are rectangles, so the volume is a prismatoid's."""
    _, block = block_of(box(w=200, h=100))
    a, b = (np.ptp(block.outlines[0], axis=0), np.ptp(block.feet[0], axis=0))
    m = (a + b) / 2
    solid = block.height / 6 * (a.prod() + 4 * m.prod() + b.prod())
    w, r = np.radians(block.edges[0].under.wall[0]), block.edge_radius[0]
    phi = np.linspace(0, w, 20001)
    z = r * (1 - np.cos(phi))
    # how far the rounded wall lies inside the plane one, and the ring that takes off the rectangle of the plane ones
    q = r * np.tan(w / 2) + z / np.tan(w) - r * np.sin(phi)
    sides = a + 2 * z[:, None] / np.tan(w)
    ring = sides.prod(axis=1) - (sides - 2 * q[:, None]).prod(axis=1)
    assert block.volume == pytest.approx(solid - np.trapezoid(ring, z), rel=1e-7)


HOLE = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 50\ncut_diameter = 38\nbend_angle = 45\n'
    'bend_radius = 3\nturn = "{turn}"\n'
)


def test_a_hole_flange_with_the_others_is_a_recess_and_against_them_a_ring() -> None:
    down, up = (block_of(box() + HOLE.format(turn=t))[1] for t in ("down", "up"))
    assert [r.name for r in down.recesses] == ["L"]
    assert not down.rings
    assert [r.name for r in up.rings] == ["L"]
    assert not up.recesses
    assert down.recesses[0].wall_angle > 45
    assert down.recesses[0].diameter < 50


def test_a_cutout_without_flanges_is_no_window_in_the_block() -> None:
    """The pad would push the sheet's edge into it; a flanged cutout needs its wall."""
    head, tail = box().split("[flange.f]")
    edges = ", ".join(
        f'{{ name = "c{i}", to = {p}{{on}} }}' for i, p in enumerate(([120, 40], [120, 70], [80, 70], [80, 40]))
    )
    cutout = '[[cutout]]\nname = "C"\nstart = [80, 40]\nedge = [ ' + edges + " ]\n[flange.f]"
    plain = block_of(head + cutout.replace("{on}", "") + tail)[1]
    flanged = block_of(head + cutout.replace("{on}", ', flange = "g"') + tail + FLANGE_G)[1]
    assert len(plain.outlines) == 1
    assert len(flanged.outlines) == 2
    assert flanged.face_area < plain.face_area


FLANGE_G = "[flange.g]\nwidth = 9\nbend_angle = 90\nbend_radius = 3\n"
