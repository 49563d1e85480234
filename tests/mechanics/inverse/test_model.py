"""What the inverse answer must obey whatever the part: where it began, how it lies, which units, and what it says when it cannot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from formed_rings import edge_width, part_of_ring, ring, section, straight
from ribwright.mechanics.flow_curve import Swift, Voce
from ribwright.mechanics.inverse.hill import Anisotropy
from ribwright.mechanics.inverse.model import (
    ANSWERED,
    FOLDED,
    STOPPED,
    WOULD_NECK,
    Blank,
    FormedSheet,
    Friction,
    flat_of,
    held_corners,
)
from ribwright.mechanics.sheet_law import sheet_law

Array = NDArray[np.float64]
K, N, E0 = 330.0, 0.2, 1e-4
SHEET = Blank(sheet_law(70000.0, 0.33, Swift(K, N, E0)), 1.0, Anisotropy.normal(1.0))
ROLLED = replace(SHEET, anisotropy=Anisotropy(0.6, 0.9, 1.4))


def arc(sign: float = -1.0, h: float = 3.0) -> FormedSheet:
    """Half a ring: a curved flange with two free ends."""
    f = ring(sign, 40, 12, 80, h)
    return part_of_ring(f, len(section(12, 80, h).s), 0.5)


def turned(f: FormedSheet, angle: float, shift: tuple[float, float] = (0.0, 0.0)) -> FormedSheet:
    c, s = np.cos(angle), np.sin(angle)
    r = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return replace(
        f,
        nodes=f.nodes @ r + [*shift, 0.0],
        normals=f.normals @ r,
        along=f.along @ r,
        start=f.start @ r[:2, :2] + shift,
    )


def mirrored(f: FormedSheet) -> FormedSheet:
    flip = np.array([1.0, -1.0, 1.0])
    return replace(
        f, nodes=f.nodes * flip, normals=f.normals * flip, along=f.along * flip, start=f.start * flip[:2],
        triangles=np.ascontiguousarray(f.triangles[:, [0, 2, 1]]),
    )  # fmt: skip


@pytest.mark.parametrize("kf", [0.5, 0.42])
@pytest.mark.parametrize("angle", [30.0, 90.0, 105.0])
def test_a_straight_flange_is_its_bend_allowance_and_its_leg(kf: float, angle: float) -> None:
    f = straight(14.0, angle, 30.0, 2.0, kf=kf)
    far = replace(f, start=f.start * [1.0, 1.08])  # a start 8 % too wide
    a = flat_of(far, ROLLED)
    width = np.radians(angle) * (3.0 + kf) + 14.0
    assert a.outcome == ANSWERED
    np.testing.assert_allclose(a.places[:, 1].max(), width, atol=1e-9)
    np.testing.assert_allclose(a.places, f.start, atol=1e-9)
    assert np.abs(a.strains.major).max() < 1e-9
    np.testing.assert_allclose(a.strains.thickness, 1.0, atol=1e-9)


def test_three_starts_end_at_one_blank() -> None:
    f = arc()
    rng = np.random.default_rng(4)
    radius = np.linalg.norm(f.start, axis=1)
    wider = f.start * np.where(f.held, 1.0, (40.0 - 0.8 * (40.0 - radius)) / radius)[:, None]
    shaken = f.start + np.where(f.held[:, None], 0.0, rng.uniform(-0.4, 0.4, f.start.shape))
    places = [flat_of(replace(f, start=s), SHEET) for s in (f.start, wider, shaken)]
    assert [p.outcome for p in places] == [ANSWERED] * 3
    for p in places[1:]:
        assert np.abs(p.places - places[0].places).max() < 1e-6


def test_a_part_turned_moved_or_mirrored_has_the_same_blank() -> None:
    f = arc()
    plain = flat_of(f, SHEET)
    other = turned(f, 0.7, (300.0, -120.0))
    there = flat_of(other, SHEET)
    expected = turned(replace(f, start=plain.places), 0.7, (300.0, -120.0)).start
    np.testing.assert_allclose(there.places, expected, atol=1e-6)
    np.testing.assert_allclose(there.strains.major, plain.strains.major, atol=1e-6)
    flipped = flat_of(mirrored(f), SHEET)
    np.testing.assert_allclose(flipped.places, plain.places * [1.0, -1.0], atol=1e-6)


def test_a_part_twice_the_size_has_a_blank_twice_the_size() -> None:
    f = arc()
    one, two = (
        flat_of(f, SHEET),
        flat_of(replace(f, nodes=2 * f.nodes, start=2 * f.start), replace(SHEET, thickness=2.0)),
    )
    np.testing.assert_allclose(two.places, 2 * one.places, atol=1e-5)
    np.testing.assert_allclose(two.strains.thickness, 2 * one.strains.thickness, atol=1e-6)


def test_stress_in_another_unit_changes_nothing() -> None:
    f = arc()
    psi = replace(SHEET, law=sheet_law(70000.0 * 145.0, 0.33, Swift(K * 145.0, N, E0)))
    np.testing.assert_allclose(flat_of(f, psi).places, flat_of(f, SHEET).places, atol=1e-6)


def test_equal_ratios_have_no_rolling_direction() -> None:
    f = arc()
    one = flat_of(f, replace(SHEET, anisotropy=Anisotropy(0.8, 0.8, 0.8)))
    other = flat_of(f, replace(SHEET, anisotropy=Anisotropy(0.8, 0.8, 0.8, 35.0)))
    np.testing.assert_allclose(other.places, one.places, atol=1e-6)
    np.testing.assert_allclose(np.abs(np.sum(other.strains.direction * one.strains.direction, axis=1)), 1.0, atol=1e-3)


def test_the_rolling_direction_turned_with_the_part_changes_nothing() -> None:
    f = arc()
    one = flat_of(f, ROLLED)
    other = flat_of(
        turned(f, np.radians(50.0)), replace(ROLLED, anisotropy=replace(ROLLED.anisotropy, rolling_deg=50.0))
    )
    np.testing.assert_allclose(other.places, turned(replace(f, start=one.places), np.radians(50.0)).start, atol=1e-6)
    plain = flat_of(f, replace(SHEET, anisotropy=Anisotropy.normal(0.95)))
    assert np.abs(one.places - plain.places).max() > 0.05  # the direction does matter


def test_rolling_across_with_the_ratios_changed_over_is_the_same_sheet() -> None:
    # the flow curve is that of a test piece along the rolling direction, so the other one's is the same sheet's across it
    f = arc(1.0)
    r0, r45, r90 = 0.6, 0.9, 1.4
    p22 = float(Anisotropy(r0, r45, r90).compliance()[1, 1])
    curve = Swift(K * p22 ** (-(1.0 + N) / 2.0), N, E0 * np.sqrt(p22))
    across = Blank(sheet_law(70000.0, 0.33, curve), 1.0, Anisotropy(r90, r45, r0, 90.0))
    regular = 0.002
    one = flat_of(f, ROLLED, rungs=(0.2, 0.02, regular))
    other = flat_of(f, across, rungs=(0.2, 0.02, regular * np.sqrt(p22)))
    assert one.outcome == other.outcome == ANSWERED
    np.testing.assert_allclose(other.places, one.places, atol=1e-6)


def test_turning_a_ring_of_rolled_sheet_by_a_quarter_gives_it_back() -> None:
    f = ring(-1, 30, 10, 90, 3.0)
    a = flat_of(f, ROLLED)
    rows = len(section(10, 90, 3.0).s)
    w = edge_width(a.places, 30.0, rows)
    half = len(w) // 2
    np.testing.assert_allclose(w[:half], w[half:], atol=1e-6)  # two-fold
    assert np.ptp(w) > 0.1  # and eared


def test_volume_is_kept() -> None:
    f = arc(1.0)
    a = flat_of(f, SHEET)
    at, flat = f.nodes[f.triangles], a.places[f.triangles]
    formed = np.linalg.norm(np.cross(at[:, 1] - at[:, 0], at[:, 2] - at[:, 0]), axis=1) / 2 * f.allowance
    d, e = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    area = (d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]).sum() / 2
    # strains are means over the edges of a triangle: thickness times area is kept in the sum, not in each
    assert (formed * a.strains.thickness).sum() == pytest.approx(area, rel=2e-3)


@pytest.mark.parametrize(
    "curve", [Voce(120.0, 180.0, 12.0), Swift(330.0, 0.0, 1e-4)], ids=["voce", "perfectly plastic"]
)
def test_other_flow_curves_are_answered(curve: Voce | Swift) -> None:
    a = flat_of(arc(1.0), replace(SHEET, law=sheet_law(70000.0, 0.33, curve)), thinning=False)
    assert a.outcome == ANSWERED
    assert a.residual < 1e-6


def test_a_web_rubbed_hard_is_a_web_held() -> None:
    f = ring(-1, 30, 8, 90, 3.0, web=12.0)
    held, rubbed, loose = flat_of(f, SHEET), flat_of(f, SHEET, Friction(50.0)), flat_of(f, SHEET, Friction(0.5))
    assert held.outcome == rubbed.outcome == loose.outcome == ANSWERED
    assert np.abs(rubbed.places - held.places)[f.held].max() < 0.1
    slid = [np.linalg.norm(a.places - f.start, axis=1)[f.held].max() for a in (rubbed, loose)]
    assert slid[1] > 2 * slid[0]
    # a hole's flange pulls metal out of the web: it came from further out
    line = f.held & (np.linalg.norm(f.nodes[:, :2], axis=1) < 30.0 + 1e-6)
    assert (np.linalg.norm(loose.places[line], axis=1) > 30.0).all()


def test_the_largest_strains_are_not_read_near_a_held_corner() -> None:
    f = arc()
    a = flat_of(f, SHEET)
    rows = len(section(12, 80, 3.0).s)
    ends = [0, len(f.nodes) - rows]
    np.testing.assert_array_equal(np.flatnonzero(held_corners(f.triangles, f.held)), ends)
    assert not a.counted[np.isin(f.triangles, ends).any(axis=1)].any()
    middle = f.nodes[f.triangles].mean(axis=1)
    far = np.min([np.linalg.norm(middle - f.nodes[e], axis=1) for e in ends], axis=0) > 4.0
    assert a.counted[far & ~np.isin(f.triangles, ends).any(axis=1)].all()
    whole = ring(-1, 30, 8, 90, 3.0)
    assert not held_corners(whole.triangles, whole.held).any()


def test_past_necking_is_said_and_the_blank_is_that_of_the_sheet_as_it_is() -> None:
    # a stretch flange with free ends, its edge pulled past n; the same part with more hardening is answered
    f = arc()
    hard = replace(SHEET, law=sheet_law(70000.0, 0.33, Swift(K, 0.05, E0)))
    assert flat_of(f, SHEET).outcome == ANSWERED
    a = flat_of(f, hard)
    b = flat_of(f, hard, thinning=False)
    assert a.outcome == WOULD_NECK
    assert not a.thinned
    assert a.strains.major[a.counted].max() > 0.05  # Considere
    assert b.outcome == ANSWERED
    np.testing.assert_array_equal(a.places, b.places)


def test_a_start_turned_inside_out_is_put_right() -> None:
    f = arc()
    over = f.start.copy()
    over[~f.held] = 60.0 * over[~f.held] / np.linalg.norm(over[~f.held], axis=1)[:, None]
    a = flat_of(replace(f, start=over), SHEET)
    np.testing.assert_allclose(a.places, flat_of(f, SHEET).places, atol=1e-6)


def test_a_hole_whose_flat_would_close_is_no_blank() -> None:
    # R 18, L 8, 90 deg: the closed form has no hole left
    a = flat_of(ring(-1, 18, 8, 90, 2.0), SHEET)
    assert a.outcome in (FOLDED, STOPPED)
    assert flat_of(ring(-1, 18, 5, 90, 2.0), SHEET).outcome in (ANSWERED, WOULD_NECK)


def test_a_triangle_without_area_is_said() -> None:
    f = arc()
    nodes = f.nodes.copy()
    nodes[f.triangles[10, 0]] = nodes[f.triangles[10, 1]]
    a = flat_of(replace(f, nodes=nodes), SHEET)
    assert a.outcome == FOLDED
    assert a.steps == 0
    assert np.isnan(a.strains.major).all()


def test_a_search_that_cannot_end_says_so() -> None:
    # eps_r far under what the hardening can bear, and no rung before it
    f = arc(h=2.0)
    flat = replace(SHEET, law=sheet_law(70000.0, 0.33, Swift(K, 0.0, E0)))
    a = flat_of(f, flat, rungs=(1e-7,))
    assert a.outcome == STOPPED
    assert a.residual > 1e-6
    assert flat_of(f, flat).outcome in (ANSWERED, WOULD_NECK)


def test_nothing_to_find_is_answered_at_once() -> None:
    f = straight(10.0, 90.0, 6.0, 3.0)
    a = flat_of(replace(f, held=np.ones(len(f.nodes), bool)), SHEET)
    assert a.outcome == ANSWERED
    np.testing.assert_array_equal(a.places, f.start)
    assert (a.strains.thickness == 1.0).all()
