"""A flange asked and answered: points, the ramp, closing pressure, undercut, stopping on the way.

None of this was compared with a real formed part.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section.model import (
    CANCELLED,
    CONVERGED,
    STUCK,
    Flange,
    closing_estimate,
    closing_pressure,
    plastic_moment,
    press_through,
    solve_undercut,
)
from ribwright.mechanics.sheet_law import sheet_law

T3 = sheet_law(72400.0, 0.33, Swift(690.0, 0.16, 0.0131), share=0.5, limit=35.0)
SOFT = sheet_law(72400.0, 0.33, Swift(330.0, 0.2, 0.00065), share=0.5, limit=35.0)
HARD = Flange(T3, 1.0, 3.0, 90.0, 12.0)


def test_every_pressure_asked_for_is_answered_in_order_with_the_ramp_between() -> None:
    run = press_through(HARD, (3.5, 7.0, 14.0))
    assert run.outcome == CONVERGED
    assert [p.pressure for p in run.points] == [3.5, 7.0, 14.0]
    assert np.all(np.diff(run.ramp[:, 0]) > 0)
    assert set(run.ramp[:, 0]) >= {0.0, 3.5, 7.0, 14.0}
    for p in run.points:
        assert p.outcome == CONVERGED
        assert p.on_block is not None
        assert p.released is not None
        assert p.released.angle < p.loaded.angle
        assert p.loaded.angle == pytest.approx(float(np.interp(p.pressure, *run.ramp.T)), abs=1e-9)


def test_a_higher_pressure_leaves_this_hard_sheet_less_springback() -> None:
    """2024-T3 1.0, R 3, as each of an earlier study's hard sheets; soft sheet turns up again at high pressure, so it is no law."""
    back = [90.0 - p.released.angle for p in press_through(HARD, (3.5, 7.0, 14.0, 35.0)).points if p.released]
    assert len(back) == 4
    assert back == sorted(back, reverse=True)


def test_a_stronger_sheet_springs_back_more_and_a_stiffer_one_less() -> None:
    def back(f: Flange) -> float:
        (point,) = press_through(f, (14.0,)).points
        assert point.released is not None
        return 90.0 - point.released.angle

    strong = replace(HARD, law=sheet_law(72400.0, 0.33, Swift(759.0, 0.16, 0.0131), share=0.5, limit=35.0))
    stiff = replace(HARD, law=replace(T3, e=1.1 * T3.e))
    assert back(strong) > back(HARD) + 0.3
    assert back(stiff) < back(HARD) - 0.3


def test_without_release_only_the_loaded_section_is_told() -> None:
    (point,) = press_through(HARD, (7.0,), release=False).points
    assert point.on_block is None
    assert point.released is None
    assert point.outcome == CONVERGED


def test_a_run_told_to_stop_keeps_what_it_has() -> None:
    seen: list[float] = []

    def step(done: float) -> bool:
        seen.append(done)
        return done < 0.7

    run = press_through(HARD, (1.0, 14.0), on_step=step)
    assert run.outcome == CANCELLED
    assert [p.pressure for p in run.points] == [1.0]
    assert seen == sorted(seen)
    assert 0.0 <= seen[0] < seen[-1] < 1.0


@pytest.mark.parametrize("law", [T3, SOFT], ids=["T3", "soft"])
def test_at_the_closing_pressure_the_flange_stands_half_a_degree_off_and_below_it_more(law: object) -> None:
    f = replace(HARD, law=law)
    p = closing_pressure(f, 20.0)
    assert p is not None
    assert p == pytest.approx(closing_estimate(f), rel=0.35)
    ramp = (0.95, 1.01)  # the ramp to them is another one: 1 %
    short, closed = (press_through(f, (k * p,), release=False).points[-1].loaded.angle for k in ramp)
    assert short < 89.5 <= closed


def test_a_press_too_weak_to_close_the_flange_gives_no_closing_pressure() -> None:
    assert closing_pressure(HARD, 0.5 * closing_estimate(HARD)) is None


@pytest.mark.parametrize("law", [T3, SOFT], ids=["T3", "soft"])
def test_the_undercut_found_lets_the_flange_stand_at_its_angle(law: object) -> None:
    def on(u: float) -> Flange:
        a = np.radians(90.0)
        radius = (3.0 + 0.5) * a / (a + np.radians(u)) - 0.5  # the released arc is kept
        return replace(HARD, law=law, radius=float(radius), wall=90.0 + u)

    found = solve_undercut(on, 90.0, 14.0, first=4.0)
    assert found.outcome == CONVERGED
    assert abs(found.left) <= 0.02
    again = press_through(on(found.deg), (14.0,)).points[-1].released
    assert again is not None
    assert again.angle == pytest.approx(90.0, abs=0.021)
    assert found.deg > 0.5


def test_an_undercut_that_no_block_gives_is_not_made_up() -> None:
    """A pressure that bends hardly anything: whatever the wall, the flange stands nowhere near 90 deg."""
    found = solve_undercut(lambda u: replace(HARD, wall=90.0 + u), 90.0, 0.2 * closing_estimate(HARD), first=4.0)
    assert found.outcome == STUCK
    assert abs(found.left) > 10.0


def test_the_plastic_moment_is_the_power_law_s() -> None:
    """int 2/sqrt3 sigma z dz over the thickness, sigma = K eps^n: 2 K' (1/rho)^n (t/2)^(n + 2)/(n + 2)."""
    k, n, t, r = 500.0, 0.2, 1.6, 2.8
    exact = 2 * (2 / 3**0.5) ** (n + 1) * k * (1 / (r + t / 2)) ** n * (t / 2) ** (n + 2) / (n + 2)
    f = Flange(sheet_law(72000.0, 0.33, Swift(k, n, 1e-12)), t, r, 90.0, 20.0)
    assert plastic_moment(f) == pytest.approx(exact, rel=1e-4)
    assert exact == pytest.approx(255.90, abs=0.01)  # the number worked out by hand for these inputs
