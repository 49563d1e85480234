"""One door to springback: the closed form without sections, the section model's places with them. No model is run here."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from building import box, job_of
from ribwright.stages import springback, undercut
from ribwright.stages.blank import make_blank
from ribwright.stages.block import make_block
from ribwright.stages.sections import MODEL, Moved
from ribwright.stages.springback import Bends, least_largest
from ribwright.stages.zones import zones_of
from stages.sectioned import by_hand

PLACES = {"south": ([20.0, 90.0, 180.0], [4.0, 9.0, 5.0])}
AT = np.array([0.0, 20.0, 55.0, 90.0, 135.0, 200.0])
U = np.array([4.0, 4.0, 6.5, 9.0, 7.0, 5.0])


def _south(**more: object):  # type: ignore[no-untyped-def]
    job = by_hand(job_of(box()), PLACES, **more)
    return job, Bends("south", 3.0, np.full(len(AT), 90.0), AT)


def test_the_undercut_runs_straight_between_the_places_and_is_held_outside() -> None:
    job, bends = _south()
    got = springback.undercut_of(job, bends)
    assert got.deg == pytest.approx(U)
    assert got.wall == pytest.approx(90.0 + U)
    assert (got.radius + 0.5) * got.wall == pytest.approx(3.5 * 90.0)
    assert got.model == MODEL


def test_at_the_solved_undercut_nothing_is_left_and_off_it_the_slope_times_the_difference() -> None:
    job, bends = _south(slope=np.full(3, 0.9))
    assert springback.released_of(job, bends, U).left == pytest.approx(0.0)
    assert springback.released_of(job, bends, U - 2.0).left == pytest.approx(-1.8)
    out = springback.released_of(job, bends, U)
    assert np.all(out.low < out.angle)
    assert np.all(out.high <= 90.0 + U)


def test_the_band_of_the_undercut_is_that_of_the_released_angle_over_the_slope() -> None:
    job, bends = _south(slope=np.full(3, 0.8))
    under, out = springback.undercut_of(job, bends), springback.released_of(job, bends, U)
    assert (under.high - under.deg) * 0.8 == pytest.approx(out.angle - out.low)
    assert (under.high - under.deg) == pytest.approx(1.645 * np.hypot(0.5, 0.1 * U) / 0.8)


@pytest.mark.parametrize("mean", [-0.4, 0.4, -3.0])
def test_what_lies_to_one_side_alone_moves_the_middle_of_the_band_and_not_the_answer(mean: float) -> None:
    job, bends = _south(moved=(Moved("friction", "model", "made up", np.full(3, 0.5), mean=np.full(3, mean)),))
    plain, _ = _south()
    under, out = springback.undercut_of(job, bends), springback.released_of(job, bends, U)
    assert under.deg == pytest.approx(springback.undercut_of(plain, bends).deg)
    assert out.angle == pytest.approx(90.0)
    half = 1.645 * 0.5
    assert out.low == pytest.approx(min(90.0 + mean - half, 90.0))
    assert out.high == pytest.approx(max(90.0 + mean + half, 90.0))
    # more open by friction: more undercut is needed
    assert under.high == pytest.approx(np.maximum(U - mean + half, U))
    assert under.low == pytest.approx(np.minimum(U - mean - half, U))


def test_a_flange_that_the_model_left_is_the_closed_forms_to_the_last_digit() -> None:
    job, bends = _south(why_quick="it stopped")
    plain = job_of(box())
    for of in (job, plain):
        got, there = springback.undercut_of(of, bends), undercut.undercut(plain, 3.0, bends.angle)
        assert np.array_equal(got.deg, there.deg)
        assert got.model == undercut.MODEL
    assert springback.quick_of(job, bends) is None


@given(
    st.lists(st.tuples(st.floats(0.0, 15.0), st.floats(0.2, 2.0)), min_size=1, max_size=7),
)
def test_the_one_undercut_leaves_the_least_largest_error(rows: list[tuple[float, float]]) -> None:
    deg, slope = (np.array(x) for x in zip(*rows, strict=True))
    best = float(np.max(np.abs(slope * (least_largest(deg, slope) - deg))))
    tried = np.linspace(deg.min(), deg.max(), 2001)
    errors = np.max(np.abs(slope * (tried[:, None] - deg)), axis=1)
    assert best <= float(np.min(errors)) + 1e-9


def test_the_block_is_cut_to_the_solved_undercut_and_its_lines_and_walls_agree() -> None:
    job = by_hand(job_of(box()), PLACES | {"east": ([10.0, 90.0], [3.0, 8.0])})
    block = make_block(job, make_blank(job))
    south = next(e for e in block.edges if e.edge == "south")
    assert set(PLACES["south"][0]) <= set(np.round(south.along, 6))
    assert south.under.deg == pytest.approx(np.interp(south.along, *PLACES["south"]))
    assert south.quick is not None
    assert block.undercut_pressure == 12.0
    # the wall at its foot stands where the setback says, square to the straight drawn line y = 0
    wall = next(w for w in block.walls.loops[0] if w.edge.edge.name == "south")
    s = south.along if not wall.edge.edge.turned else wall.edge.curve.length - south.along
    top = wall.edge.tangent_inset(s) - south.under.radius * np.tan(np.radians(south.under.wall) / 2)
    assert wall.inset(s, block.height) == pytest.approx(top + south.setback, abs=1e-9)
    # plane walls between level sections: the volume by fine slices of the drawn levels
    depths = (np.arange(400) + 0.5) * block.height / 400
    assert block.walls.volume == pytest.approx(
        float(np.mean([block.walls.area(z) for z in depths])) * block.height, rel=1e-5
    )


def test_the_slope_of_a_wall_that_leans_unevenly_is_that_of_its_line() -> None:
    job = by_hand(job_of(box(angle='[[0, 84], ["end", 96]]')), PLACES)
    block = make_block(job, make_blank(job))
    wall = next(w for w in block.walls.loops[0] if w.edge.edge.name == "south")
    s = np.array([7.0, 33.0, 71.0, 120.0, 163.0, 188.0])
    for z in (0.3, 2.0, 10.0):
        h = 1e-3
        ahead, behind = wall.speed(s + h, z)[0], wall.speed(s - h, z)[0]
        assert wall.speed(s, z)[1] == pytest.approx((ahead - behind) / (2 * h), abs=1e-5)


def test_the_saw_zones_of_an_unevenly_leaning_edge_cover_it_once_and_say_what_each_tilt_leaves() -> None:
    job = by_hand(job_of(box()), PLACES)
    block = make_block(job, make_blank(job))
    pieces = sorted(
        ((s, z.tilt) for z in zones_of(job, block) for s in z.stretches if s.edge == "south"), key=lambda p: p[0].start
    )
    assert len(pieces) > 2
    assert pieces[0][0].start == 0.0
    assert pieces[-1][0].end == pytest.approx(200.0)
    for (a, _), (b, _) in pairwise(pieces):
        assert b.start == pytest.approx(a.end)
    for s, tilt in pieces:
        along = np.linspace(s.start, s.end, 50)
        left = tilt - np.interp(along, *PLACES["south"])
        assert s.remaining is not None
        assert s.remaining[0] <= float(np.min(left)) + 1e-9
        assert s.remaining[1] >= float(np.max(left)) - 1e-9
        assert max(map(abs, s.remaining)) <= 0.5 + 1e-9
