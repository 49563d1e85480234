"""Laws of the angle a pressure reaches, and an independent strip: the same sheet integrated from its free edge."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ribwright.mechanics import closing, pad, springback

# n, K [MPa], t, R, straight part [mm]: soft and hard, thin and thick, wide and narrow flanges
STRIPS = [
    (0.2, 330, 0.8, 2.4, 12.8),
    (0.16, 690, 0.8, 2.4, 12.8),
    (0.16, 690, 1.6, 4.8, 9.6),
    (0.21, 410, 1.0, 3.0, 4.0),
]
WALL = 93.0
SHEETS = {
    "straight": st.floats(1.0, 40.0),
    "mid_radius": st.floats(0.5, 12.0),
    "wall_deg": st.floats(20.0, 110.0),
    "n": st.floats(0.05, 0.4),
}


def integrated(p: float, m: float, rho: float, s: float, n: float) -> float:
    """Angle [deg] of a strip under a pressure that follows it: exact chord, from the free edge inward, no closed form.

    State: place and direction over arc length. Ends on the block, where the moment is the block's, or at the tangent line.
    """
    length = rho * np.radians(WALL) + s

    def run(_: float, y: np.ndarray) -> list[float]:
        chord2 = y[0] ** 2 + y[1] ** 2
        return [np.cos(y[2]), np.sin(y[2]), (p * chord2 / 2 / m) ** (1 / n) / rho]

    def on_block(_: float, y: np.ndarray) -> float:
        return float(p * (y[0] ** 2 + y[1] ** 2) / 2 - m)

    on_block.terminal = True  # type: ignore[attr-defined]
    done = solve_ivp(run, (0.0, length), [0.0, 0.0, 0.0], events=on_block, rtol=1e-9, atol=1e-12)
    return float(np.degrees(done.y[2, -1] + (length - done.t[-1]) / rho))


@pytest.mark.parametrize(("n", "k", "t", "r", "s"), STRIPS)
def test_the_closed_form_is_the_strip_integrated_from_its_free_edge(n, k, t, r, s):
    """Within half a degree at the same share of the strip's own closing pressure."""
    rho, m = r + t / 2, float(springback.power_law_moment(k, n, r, t))
    own = brentq(lambda p: integrated(p, m, rho, s, n) - WALL, 0.5 * m / s**2, 5 * m / s**2)
    for share in (0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 0.97):
        form = float(closing.turned_angle(share, s, rho, WALL, n))
        assert form == pytest.approx(integrated(share * own, m, rho, s, n), abs=0.5)


@pytest.mark.parametrize(("n", "k", "t", "r", "s"), STRIPS)
def test_the_strip_itself_closes_near_the_fitted_closing_pressure(n, k, t, r, s):
    """1.71 M/s^2 was fitted to other models; this strip knows nothing of it. Miss accepted: 5 % (4 % is the fit's scatter)."""
    rho, m = r + t / 2, float(springback.power_law_moment(k, n, r, t))
    own = brentq(lambda p: integrated(p, m, rho, s, n) - WALL, 0.5 * m / s**2, 5 * m / s**2)
    assert own == pytest.approx(float(pad.closing_pressure(m, s)), rel=0.05)


@given(**SHEETS, shares=st.lists(st.floats(0.0, 3.0), min_size=2, max_size=12))
def test_more_pressure_never_opens_a_flange(straight, mid_radius, wall_deg, n, shares):
    phi = closing.turned_angle(np.sort(shares), straight, mid_radius, wall_deg, n)
    assert (np.diff(phi) >= -1e-9).all()
    assert (phi >= 0).all()
    assert (phi <= wall_deg).all()


@given(**SHEETS, share=st.floats(0.0, 3.0))
def test_a_flange_reaches_its_wall_exactly_when_it_closes(straight, mid_radius, wall_deg, n, share):
    phi = float(closing.turned_angle(share, straight, mid_radius, wall_deg, n))
    assert (phi == wall_deg) == (share >= 1.0) or phi == pytest.approx(wall_deg, abs=1e-6)


@given(**SHEETS)
def test_no_pressure_turns_nothing_and_the_pieces_of_the_curve_meet(straight, mid_radius, wall_deg, n):
    assert float(closing.turned_angle(0.0, straight, mid_radius, wall_deg, n)) == 0.0
    # where the sheet first lies on the block: c = L
    length = mid_radius * np.radians(wall_deg) + straight
    first = ((n + 2) * straight / (2 * length)) ** 2
    for share in (first, 1.0):
        if share <= 1.0:
            below, above = closing.turned_angle(
                [share * (1 - 1e-9), share * (1 + 1e-9)], straight, mid_radius, wall_deg, n
            )
            assert above == pytest.approx(below, abs=1e-4)


@given(**SHEETS, p=st.floats(0.1, 20.0), kg=st.floats(0.0, 8.0), pc=st.floats(0.05, 10.0))
def test_a_pad_that_resists_in_proportion_leaves_the_flange_no_further_open(
    straight, mid_radius, wall_deg, n, p, kg, pc
):
    least = float(closing.turned_angle((p - kg) / pc, straight, mid_radius, wall_deg, n))
    most = float(closing.turned_against_pad(p, kg, pc, straight, mid_radius, wall_deg, n))
    free = float(closing.turned_angle(p / pc, straight, mid_radius, wall_deg, n))
    assert least <= most + 1e-9 <= free + 2e-9


def test_without_a_pad_both_ways_of_counting_it_are_the_same():
    for share in (0.2, 0.6, 0.95, 1.3):
        one = float(closing.turned_against_pad(share, 0.0, 1.0, 12.0, 3.0, 92.0, 0.18))
        assert one == pytest.approx(float(closing.turned_angle(share, 12.0, 3.0, 92.0, 0.18)), abs=1e-9)


def test_a_wide_flange_at_a_tenth_of_its_pressure_hardly_bends():
    assert float(closing.turned_angle(0.1, 12.8, 2.8, 90.0, 0.16)) < 0.1


@pytest.mark.parametrize("share", [0.02, 0.1, 0.3, 0.6, 0.9, 0.99])
@pytest.mark.parametrize("n", [0.1, 0.16, 0.25])
def test_the_free_part_springs_back_as_its_moment_and_not_as_its_curvature(share: float, n: float) -> None:
    """The strip's moment along its length integrated by hand: plastic curvature M^(1/n), elastic release M, root to edge."""
    s, rho, wall = 14.0, 3.5, 98.0
    length, c = rho * np.radians(wall) + s, float(closing.free_length(share, s, n))
    x = np.linspace(0.0, min(c, length), 200_001)  # from the free edge
    moment = np.minimum((x / c) ** 2, 1.0)
    on_block = max(length - c, 0.0) / rho
    turned = np.degrees(on_block + np.trapezoid(moment ** (1 / n), x) / rho)
    given_back = np.degrees(on_block + np.trapezoid(moment, x) / rho)
    assert float(closing.turned_angle(share, s, rho, wall, n)) == pytest.approx(turned, abs=1e-6)
    besides = float(closing.straightens_besides(share, s, rho, wall, n))
    assert turned + besides == pytest.approx(given_back, abs=1e-6)
    assert besides > 0
