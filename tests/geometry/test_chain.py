"""Pieces drawn one by one, in any order and direction, chain into the rings they were cut from; what does not close is named where."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.geometry.chain import SAME, Chains, chained

Array = np.ndarray


def star(n: int, rng: np.random.Generator, at: tuple[float, float] = (0.0, 0.0)) -> Array:
    """Corners (n, 2) of a polygon that goes round `at` once."""
    angle = np.sort(rng.uniform(0, 2 * np.pi, n)) + np.linspace(0, 1e-3, n)
    radius = rng.uniform(30, 100, n)
    return np.array(at) + np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


def sides(corners: Array) -> Array:
    """Ends (n, 2, 2) of a closed polygon's sides."""
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


def shuffled(ends: Array, rng: np.random.Generator) -> Array:
    """The same pieces in another order, about half of them the other way round."""
    ends = ends[rng.permutation(len(ends))]
    back = rng.random(len(ends)) < 0.5
    return np.where(back[:, None, None], ends[:, ::-1], ends)


def chain(ends: Array, tolerance: float = 0.01) -> Chains:
    return chained(ends, ends.mean(axis=1), np.hypot(*(ends[:, 1] - ends[:, 0]).T), tolerance)


def size(corners: Array) -> float:
    """Area of a polygon, whichever way round."""
    x, y = corners.T
    return abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2


@given(st.integers(0, 10_000), st.lists(st.integers(3, 40), min_size=1, max_size=4))
@settings(max_examples=60, deadline=None)
def test_polygons_cut_into_sides_come_back_whole_in_any_order_and_direction(seed: int, counts: list[int]) -> None:
    rng = np.random.default_rng(seed)
    polygons = [star(n, rng, (400.0 * i, 0.0)) for i, n in enumerate(counts)]
    ends = shuffled(np.concatenate([sides(p) for p in polygons]), rng)
    made = chain(ends)
    assert (made.gaps, made.branches, made.open, made.joined) == ((), (), (), ())
    assert sorted(len(r.pieces) for r in made.rings) == sorted(counts)
    areas = sorted(size(r.joints) for r in made.rings)
    assert areas == pytest.approx(sorted(size(p) for p in polygons), rel=1e-12)
    for ring in made.rings:
        for i, (piece, back) in enumerate(zip(ring.pieces, ring.turned, strict=True)):
            assert ends[piece][1 if back else 0] == pytest.approx(ring.joints[i], abs=1e-12)


@given(st.integers(0, 10_000), st.floats(0.02, 5.0))
@settings(max_examples=40, deadline=None)
def test_a_gap_is_named_with_its_place_and_size_and_closed_only_within_the_tolerance(seed: int, gap: float) -> None:
    rng = np.random.default_rng(seed)
    corners = star(9, rng)
    ends = sides(corners)
    way = (ends[0, 1] - ends[0, 0]) / np.hypot(*(ends[0, 1] - ends[0, 0]))
    if np.hypot(*(ends[0, 1] - ends[0, 0])) < 2 * gap or min(np.hypot(*(ends[:, 1] - ends[:, 0]).T)) < 3 * gap:
        return
    ends[0, 1] -= gap * way
    made = chain(shuffled(ends, rng), 0.01)
    (found,) = made.gaps
    assert found.size == pytest.approx(gap, rel=1e-9)
    assert {tuple(np.round(found.at, 6)), tuple(np.round(found.to, 6))} == {
        tuple(np.round(ends[0, 1], 6)),
        tuple(np.round(corners[1], 6)),
    }
    assert made.rings == ()
    wide = chain(ends, gap * 1.01)
    assert len(wide.rings) == 1
    assert [g.size for g in wide.joined] == pytest.approx([gap])
    middle = (ends[0, 1] + corners[1]) / 2
    assert np.min(np.hypot(*(wide.rings[0].joints - middle).T)) < 1e-12


@given(st.integers(0, 10_000), st.integers(1, 6))
@settings(max_examples=30, deadline=None)
def test_pieces_drawn_again_change_nothing_and_are_counted(seed: int, again: int) -> None:
    rng = np.random.default_rng(seed)
    ends = sides(star(12, rng))
    ends = ends[np.hypot(*(ends[:, 1] - ends[:, 0]).T) > 1.0]
    before = chain(ends)
    copies = ends[rng.integers(0, len(ends), again)]
    near = copies + rng.uniform(-0.003, 0.003, copies.shape)
    made = chain(np.concatenate([ends, copies[:, ::-1], near]))
    assert len(made.twice) == 2 * again
    assert {kept for kept, _ in made.twice} <= set(range(len(ends)))
    assert [len(r.pieces) for r in made.rings] == [len(r.pieces) for r in before.rings]
    assert made.gaps == before.gaps


def test_a_thousand_copies_of_one_line_are_one() -> None:
    ends = np.concatenate(
        [sides(np.array([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)])), np.tile([[[0.0, 0.0], [10.0, 0.0]]], (1000, 1, 1))]
    )
    made = chain(ends)
    assert len(made.twice) == 1000
    assert len(made.rings) == 1


def test_lines_without_length_are_dropped_and_counted() -> None:
    ends = np.concatenate([sides(np.array([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)])), [[[3.0, 3.0], [3.0, 3.0]]]])
    assert chain(ends).empty == (3,)


def test_a_line_that_branches_off_is_named_at_its_place() -> None:
    ends = np.concatenate([sides(np.array([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)])), [[[10.0, 0.0], [20.0, 5.0]]]])
    made = chain(ends)
    assert made.branches == (((10.0, 0.0), 3),)
    assert made.rings == ()


def test_where_two_ends_are_as_near_as_each_other_nothing_is_guessed() -> None:
    # three lines that end around one point, 0.5 apart from one another
    a = 0.5 * np.array([(0.0, 0.0), (1.0, 0.0), (0.5, 3**0.5 / 2)])
    ends = np.array([[p, 100 * (p - a.mean(axis=0)) + a.mean(axis=0)] for p in a])
    made = chain(ends, 1.0)
    assert made.joined == ()
    assert len(made.gaps) >= 1


def test_a_short_edge_is_kept_whole_when_the_tolerance_is_wider_than_it_is_long() -> None:
    corners = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 0.4), (100.0, 50.0), (0.0, 50.0)])
    made = chain(sides(corners), 1.0)
    assert len(made.rings[0].pieces) == 5
    assert made.joined == ()


def test_a_line_that_belongs_to_nothing_is_one_open_chain_with_its_own_two_ends() -> None:
    ends = np.concatenate([sides(np.array([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)])), [[[50.0, 0.0], [90.0, 0.0]]]])
    made = chain(ends)
    assert len(made.rings) == 1
    assert made.open == ((3,),)
    assert [(g.size, g.chain) for g in made.gaps] == [(40.0, 0)]


def test_a_closed_piece_is_a_ring_of_its_own() -> None:
    ends = np.array([[[5.0, 5.0], [5.0, 5.0]]])
    made = chained(ends, np.array([[9.0, 5.0]]), np.array([12.5]), 0.01)
    assert [(r.pieces.tolist(), r.joints.tolist()) for r in made.rings] == [([0], [[5.0, 5.0]])]


def test_ends_that_differ_by_the_rounding_of_a_file_are_one_point_without_a_word() -> None:
    ends = sides(np.array([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)]))
    ends[0, 1] += 0.5 * SAME
    made = chain(ends)
    assert len(made.rings) == 1
    assert made.joined == ()


def test_nothing_is_nothing() -> None:
    made = chain(np.zeros((0, 2, 2)))
    assert (made.rings, made.gaps, made.twice) == ((), (), ())
