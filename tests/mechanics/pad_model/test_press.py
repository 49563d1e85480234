"""A flange under a pad: pressed, let go, refused. A light section of few elements; how fine the real ones are is docs/section_pad.md's.

Nothing here was compared with a formed part.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from pad_pressed import FLANGE, NEVER_YIELDS, PRESS
from ribwright.mechanics.pad_model import answer
from ribwright.mechanics.pad_model.line_kernel import profile_gap
from ribwright.mechanics.pad_model.press import SINK, _turn_wanted, faults, press_pad, system_for
from ribwright.mechanics.pad_model.rubber import areas, corners, neo_hookean, rubber_of
from ribwright.mechanics.section.model import closing_pressure, press_through, strip_of


@cache
def pressed() -> answer.PadRun:
    return press_pad(FLANGE, replace(PRESS, allowed_strain=0.02), (4.0, 8.0))


def test_every_pressure_asked_for_is_answered_exactly() -> None:
    run = pressed()
    assert run.outcome == answer.REACHED
    assert [p.pressure for p in run.points] == pytest.approx([4.0, 8.0], rel=1e-9)
    assert run.reached == pytest.approx(8.0)
    for p in run.points:
        assert p.force == pytest.approx(p.pressure * PRESS.half_width)
        assert p.strain == pytest.approx(p.stroke / PRESS.thickness)


def test_the_ram_goes_down_and_its_pressure_and_the_flange_with_it() -> None:
    stroke, pressure, _, angle, stretch = pressed().path.T
    assert (np.diff(stroke) > 0.0).all()
    assert (np.diff(pressure) > 0.0).all()
    assert angle[0] == pytest.approx(0.0, abs=1e-9)
    assert (np.diff(angle[angle < 85.0]) > 0.0).all()
    assert stretch[0] == pytest.approx(1.0)


def test_the_flange_closes_where_the_path_says_and_springs_back() -> None:
    run = pressed()
    assert run.closing is not None
    assert float(np.interp(run.closing, run.path[:, 1], run.path[:, 3])) == pytest.approx(89.5, abs=0.1)
    for p in run.points:
        assert p.closed
        assert p.released is not None
        assert p.on_block is not None
        assert 0.2 < p.loaded.angle - p.released.angle < 2.0


def test_a_pad_takes_more_pressure_to_close_a_flange_than_a_fluid_does() -> None:
    even = closing_pressure(FLANGE, 10.0)
    assert even is not None
    closing = pressed().closing
    assert closing is not None
    assert closing - even > 0.5 * PRESS.rubber.shear  # what the rubber itself takes


def test_on_the_closed_flange_the_rubber_pushes_about_as_the_ram_does() -> None:
    last = pressed().points[-1]
    assert last.on_flange == pytest.approx(8.0, abs=PRESS.rubber.shear)
    on = last.along > FLANGE.arc()
    lengths = np.gradient(last.along)
    assert float(np.average(last.pressure_along[on], weights=lengths[on])) == pytest.approx(last.on_flange, rel=0.02)


def test_a_released_flange_stands_about_where_an_even_pressure_leaves_it() -> None:
    even = press_through(FLANGE, (8.0,)).points[-1].released
    ours = pressed().points[-1].released
    assert even is not None
    assert ours is not None
    assert ours.angle == pytest.approx(
        even.angle, abs=1.0
    )  # models of the same sheet; elements of the pad are coarse here


def test_the_pad_keeps_its_volume_and_stays_out_of_the_tools() -> None:
    run = pressed()
    system = system_for(FLANGE, PRESS)
    before, after = system.mesh.quads.area, areas(run.nodes[run.quads])
    assert after.sum() == pytest.approx(before.sum() * (1.0 - 8.0 / PRESS.rubber.bulk), rel=5e-4)
    assert (after > 0.0).all()
    gaps = np.array([profile_gap(*system.profile.rows(), *at)[0] for at in run.nodes[system.mesh.edges].mean(1)])
    assert (gaps < 0.0).sum() > 5
    assert np.median(gaps[gaps < 0.0]) == pytest.approx(
        -SINK, rel=0.5
    )  # as deep as a soft wall gives way to the ram's pressure


def test_a_pad_squeezed_by_more_than_it_may_be_says_up_to_which_pressure_it_was_not() -> None:
    run = pressed()
    assert answer.TOO_SHALLOW in run.findings
    assert run.allowed is not None
    assert float(np.interp(run.allowed, run.path[:, 1], run.path[:, 0])) <= 0.02 * PRESS.thickness
    assert run.allowed < 8.0


def test_a_sheet_that_never_yields_comes_back_flat() -> None:
    run = press_pad(NEVER_YIELDS, PRESS, (4.0,))
    point = run.points[0]
    assert point.loaded.angle > 15.0
    assert point.released is not None
    assert point.released.angle == pytest.approx(0.0, abs=1e-2)


def test_without_release_only_the_loaded_flange_is_answered() -> None:
    run = press_pad(NEVER_YIELDS, PRESS, (1.0,), release=False)
    assert run.points[0].released is run.points[0].on_block is None


def test_asking_to_stop_leaves_what_was_found_so_far() -> None:
    shares: list[float] = []

    def on_step(share: float) -> bool:
        shares.append(share)
        return len(shares) < 6

    run = press_pad(NEVER_YIELDS, PRESS, (4.0,), on_step=on_step)
    assert run.outcome == answer.CANCELLED
    assert run.points == ()
    assert len(run.path) == 6
    assert all(0.0 <= s <= 1.0 for s in shares)


def test_a_hard_pad_on_a_weak_press_leaves_the_flange_open_and_says_so() -> None:
    run = press_pad(FLANGE, replace(PRESS, rubber=rubber_of(90.0)), (3.0,))
    assert run.outcome == answer.REACHED
    assert run.findings == (answer.TOO_HARD,)
    assert not run.points[0].closed
    assert run.closing is None
    even = closing_pressure(FLANGE, 3.0)
    assert even is not None  # a fluid of that pressure would close it


def test_a_loose_pad_that_is_squeezed_out_before_the_pressure_is_there_is_spent() -> None:
    loose = replace(PRESS, thickness=8.0, half_width=40.0, contained=False, rubber=neo_hookean(0.5))
    run = press_pad(FLANGE, loose, (30.0,))
    assert run.outcome == answer.SPENT
    assert answer.TOO_SHALLOW in run.findings
    assert run.reached < 30.0
    assert run.path[-1, 0] <= 0.6 * 8.0


@pytest.mark.parametrize(
    ("flange", "press", "said"),
    [
        (FLANGE, replace(PRESS, half_width=42.0), answer.FOULS),
        (FLANGE, replace(PRESS, block_height=10.0), answer.ON_TABLE),
        (replace(FLANGE, axis=200.0), PRESS, answer.NOT_MODELLED),
        (replace(FLANGE, friction=0.1), PRESS, answer.NOT_MODELLED),
        (FLANGE, replace(PRESS, rubber=rubber_of(100.0)), answer.NO_MODULUS),
    ],
)
def test_what_cannot_be_pressed_is_refused_before_it_is(flange, press, said: str) -> None:
    run = press_pad(flange, press, (4.0,))
    assert run.outcome == answer.REFUSED
    assert said in run.findings
    assert run.steps == 0
    assert run.points == ()


def test_a_block_too_tall_for_the_pad_is_said_and_pressed_all_the_same() -> None:
    assert faults(FLANGE, replace(PRESS, thickness=14.0)) == (answer.TOO_TALL,)
    assert faults(FLANGE, replace(PRESS, thickness=30.0, allowed_strain=0.2)) == (answer.TOO_TALL,)
    assert faults(FLANGE, PRESS) == ()


def test_the_shops_own_modulus_wins_over_the_hardness() -> None:
    assert rubber_of(60.0).shear == pytest.approx(1.20, abs=0.005)
    assert rubber_of(60.0, 1.5).shear == pytest.approx(1.5)
    assert np.isinf(rubber_of(101.0).shear)
    assert rubber_of(101.0, 8.0).shear == pytest.approx(8.0)


def test_a_short_flange_is_not_stepped_finer_than_a_long_one_of_the_same_bend() -> None:
    """Its straight part has far smaller elements; no bend passes over them."""
    short, long = (strip_of(replace(FLANGE, straight=s * FLANGE.t, web=20.0)) for s in (4.5, 30.0))
    assert np.diff(short.arc).min() < 0.6 * np.diff(long.arc).min()
    assert _turn_wanted(short) == pytest.approx(_turn_wanted(long))


def test_a_soft_pad_folds_over_a_sheet_that_will_not_bend_and_the_run_says_from_where() -> None:
    loose = replace(PRESS, thickness=30.0, contained=False, rubber=neo_hookean(0.6))
    run = press_pad(NEVER_YIELDS, loose, (1.4,), release=False)
    assert run.findings == (answer.FOLDED,)
    assert run.closing is None
    assert run.lost == run.folded
    assert run.folded is not None
    assert 0.0 < run.folded < run.reached
    mesh = system_for(NEVER_YIELDS, loose).mesh.quads
    next_step = float(run.path[run.path[:, 1] > run.folded][0, 1])
    whole, through = (press_pad(NEVER_YIELDS, loose, (p,), release=False).nodes for p in (run.folded, next_step))
    assert corners(mesh, whole).min() > 0.0 >= corners(mesh, through).min()
    assert pressed().folded is pressed().lost is None


@pytest.mark.slow
def test_a_run_that_finds_no_balance_after_the_rubber_folded_says_that_it_was_the_fold() -> None:
    run = press_pad(NEVER_YIELDS, replace(PRESS, rubber=neo_hookean(0.3)), (6.0,), release=False)
    assert run.outcome == answer.FOLDS
    assert run.folded is not None
    assert run.folded < run.reached < 6.0
