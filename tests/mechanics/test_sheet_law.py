"""Laws of the sheet's law: what a sheet must do whatever its constants, and the same law written a second way.

Nothing here was compared with a test of a real sheet in reversed bending: none was found.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from law_in_six import elastic, follow, hill
from ribwright.mechanics.flow_curve import FlowCurve, Swift, Table, Voce
from ribwright.mechanics.law_kernel import respond
from ribwright.mechanics.sheet_law import (
    ALUMINIUM_LIMIT,
    KINEMATIC_BAND,
    KINEMATIC_SHARE,
    SheetLaw,
    back_stress,
    isotropic,
    r_along,
    scaled,
    sheet_law,
)

Array = NDArray[np.float64]
SWIFT, VOCE = Swift(690.0, 0.16, 0.0131), Voce(150.0, 120.0, 15.0)
TABLE = Table(np.array([0.0, 0.002, 0.02, 0.1, 0.3]), np.array([145.0, 160.0, 190.0, 260.0, 320.0]))
CURVES = {"swift": SWIFT, "voce": VOCE, "table": TABLE}
E, NU = 72400.0, 0.33

curves = st.one_of(
    st.builds(
        lambda y, n, e0: Swift(y / e0**n, n, e0), st.floats(50, 900), st.floats(0.05, 0.5), st.floats(1e-4, 0.03)
    ),
    st.builds(Voce, st.floats(50, 600), st.floats(0, 300), st.floats(2, 60)),
    st.just(TABLE),
)
laws = st.builds(
    lambda e, nu, curve, r, share: sheet_law(e, nu, curve, r, share),
    st.floats(4e4, 2.2e5), st.floats(0.25, 0.38), curves, st.floats(0.4, 2.0), st.floats(0, 1),
)  # fmt: skip
strains = st.tuples(st.floats(-0.15, 0.15), st.floats(-0.15, 0.15))
paths = st.lists(strains, min_size=1, max_size=4)
through_the_sheet = st.floats(-140.0, 0.0)


class Sheet:
    """One point of a sheet, followed; `stress`, `slopes` and `history` are those of the last step."""

    def __init__(self, law: SheetLaw, through: float = 0.0) -> None:
        self.law, self.through = law, through
        self.history = np.zeros(6)
        self.history[5] = float(law.curve.stress(np.zeros(())))
        self.at = -law.nu * through / law.e * np.ones(2)  # under the stress through it alone
        self.stress, self.slopes = np.zeros(2), np.zeros((2, 2))

    def look(self, along: float, across: float, guess: float = 0.0) -> tuple[Array, Array, Array, bool]:
        """(stresses, slopes, new history, solved) without going there; `guess`: plastic strain that an earlier look left."""
        now = np.zeros(6)
        now[4] = self.history[4] + guess
        a, b, d11, d12, d21, d22, solved = respond(
            self.law.row(), self.law.points(), along, across, self.through, self.history, now
        )
        return np.array([a, b]), np.array([[d11, d12], [d21, d22]]), now, solved

    def go(self, along: float, across: float, steps: int = 1) -> Sheet:
        start = self.at
        for share in np.linspace(0.0, 1.0, steps + 1)[1:]:
            self.at = start + share * (np.array([along, across]) - start)
            self.stress, self.slopes, self.history, solved = self.look(*self.at)
            assert solved
        return self

    def pull(self, along: float) -> Sheet:
        """Taken to a strain along, the stress across left at nothing."""
        across = self.at[1]
        for _ in range(60):
            stress, slopes, _, _ = self.look(along, across)
            if abs(stress[1]) < 1e-9:
                break
            across -= stress[1] / slopes[1, 1]
        return self.go(along, across)


# ---------------------------------------------------------------- plain tension


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("r", [0.5, 1.0, 1.8])
@pytest.mark.parametrize("kind", CURVES)
def test_plain_tension_follows_the_flow_curve_whatever_the_kinematic_share_and_r(
    kind: str, r: float, share: float
) -> None:
    for sign in (1.0, -1.0):
        sheet = Sheet(sheet_law(E, NU, CURVES[kind], r, share))
        for along in np.linspace(0.0, 0.25, 12)[1:]:
            sheet.pull(sign * along)
            p = sheet.history[4]
            assert sign * sheet.stress[0] == pytest.approx(float(CURVES[kind].stress(np.asarray(p))), rel=1e-9)
            assert sign * sheet.history[0] == pytest.approx(p, rel=1e-9)  # p is the plastic strain of tension
            assert along == pytest.approx(p + sign * sheet.stress[0] / E, rel=1e-9)


@pytest.mark.parametrize("r", [0.4, 0.57, 1.0, 1.77])
def test_width_narrows_r_times_as_much_as_thickness_in_tension(r: float) -> None:
    sheet = Sheet(sheet_law(E, NU, SWIFT, r, 0.5)).pull(0.12)
    width = sheet.history[1]
    thickness = -sheet.history[0] - width  # volume is kept
    assert width / thickness == pytest.approx(r, rel=1e-9)


def test_a_table_of_a_curve_s_own_points_gives_the_curve_s_stresses() -> None:
    p = np.concatenate([[0.0], np.geomspace(1e-4, 0.4, 400)])
    table = Table(p, SWIFT.stress(p))
    a = Sheet(sheet_law(E, NU, SWIFT, 0.8, 0.5)).go(0.05, -0.02, 20).go(-0.01, 0.03, 20)
    b = Sheet(sheet_law(E, NU, table, 0.8, 0.5)).go(0.05, -0.02, 20).go(-0.01, 0.03, 20)
    np.testing.assert_allclose(b.stress, a.stress, rtol=2e-4)


# ---------------------------------------------------------------- plane strain, Hill


@pytest.mark.parametrize("r", [0.5, 1.0, 2.0])
def test_bending_of_wide_sheet_yields_in_the_limit_at_hill_s_plane_strain_stress(r: float) -> None:
    """Hill (1950): sigma = Y (1 + r)/sqrt(1 + 2 r), 2/sqrt3 Y for r = 1; a perfectly plastic sheet, elastic strain forgotten."""
    sheet = Sheet(sheet_law(E, NU, Voce(250.0, 0.0, 1.0), r)).go(0.2, 0.0, 400)
    assert sheet.stress[0] == pytest.approx(250.0 * (1 + r) / np.sqrt(1 + 2 * r), rel=1e-6)
    assert sheet.stress[1] / sheet.stress[0] == pytest.approx(r / (1 + r), rel=1e-3)


def test_wide_sheet_first_yields_below_that_by_its_elastic_poisson_ratio() -> None:
    """Elastic plane strain: sigma_2 = nu sigma_1, so Y = sigma_1 sqrt(1 - nu + nu^2)."""
    sheet, y = Sheet(sheet_law(E, NU, Voce(250.0, 0.0, 1.0))), 250.0
    first = y / np.sqrt(1 - NU + NU**2) * (1 - NU**2) / E
    assert sheet.look(first * (1 - 1e-9), 0.0)[2][4] == 0.0
    assert sheet.look(first * (1 + 1e-6), 0.0)[2][4] > 0.0


SIX = [
    (SWIFT, 0.6, 0.0, 0.0), (VOCE, 1.0, 0.5, -70.0), (SWIFT, 1.5, 1.0, 0.0), (VOCE, 0.6, 0.0, -70.0),
    (SWIFT, 1.0, 0.5, -70.0), (VOCE, 1.5, 1.0, 0.0),
]  # fmt: skip


@pytest.mark.parametrize(("curve", "r", "share", "through"), SIX)
def test_the_law_is_hill_s_in_six_components_integrated_as_rates(
    curve: FlowCurve, r: float, share: float, through: float
) -> None:
    """Miss up to 0.6 MPa in 200 steps a piece of a path with sharp turns, and ten times less in ten times as many: first order."""
    law = sheet_law(E, NU, curve, r, share)
    rng = np.random.default_rng(SIX.index((curve, r, share, through)))
    path = rng.uniform(-0.04, 0.04, (3, 2))
    along, across, p = follow(law, path, through)
    miss = []
    for steps in (200, 2000):
        sheet = Sheet(law, through)
        for point in path:
            sheet.go(*point, steps)
        miss.append(float(np.max(np.abs(sheet.stress - [along, across]))))
        assert sheet.history[4] == pytest.approx(p, rel=1e-3)
    assert miss[0] < 0.8
    assert miss[1] < max(0.15 * miss[0], 1e-3)


@settings(deadline=None)
@given(st.floats(0.4, 2.0), st.floats(0, np.pi), st.floats(0.5, 3.0))
def test_hill_s_measure_with_one_r_is_the_same_in_every_direction_of_the_sheet(
    r: float, turn: float, ratio: float
) -> None:
    """The reference's own ground: turned stresses of the sheet measure alike, so axes 1 and 2 may be any."""
    c, s = np.cos(turn), np.sin(turn)
    spin = np.array([[c, -s], [s, c]])
    turned = spin @ np.diag([1.0, ratio]) @ spin.T
    x = np.array([turned[0, 0], turned[1, 1], 0.0, 0.0, 0.0, turned[0, 1]])
    y = np.array([1.0, ratio, 0.0, 0.0, 0.0, 0.0])
    assert x @ hill(r) @ x == pytest.approx(y @ hill(r) @ y, rel=1e-9)
    assert y @ hill(r) @ y == pytest.approx(1 + ratio**2 - 2 * r / (1 + r) * ratio, rel=1e-9)


# ---------------------------------------------------------------- slopes and steps


@settings(max_examples=150, deadline=None)
@given(laws, paths, strains, through_the_sheet)
def test_slopes_are_the_differences_of_stresses_wherever_a_path_ends(
    law: SheetLaw, path: list[tuple[float, float]], step: tuple[float, float], through: float
) -> None:
    sheet = Sheet(law, through)
    for point in path:
        sheet.go(*point, 5)
    at = sheet.at + 0.05 * np.array(step)
    _, slopes, _, solved = sheet.look(*at)
    assert solved
    h = 1e-7
    for j in range(2):
        d = np.zeros(2)
        d[j] = h
        up, down = sheet.look(*(at + d)), sheet.look(*(at - d))
        grown = [x[2][4] - sheet.history[4] for x in (down, up)]
        pieces = law.curve.p if isinstance(law.curve, Table) else np.zeros(1)
        if (grown[0] > 0.0) != (grown[1] > 0.0) or len(set(np.searchsorted(pieces, [down[2][4], up[2][4]]))) > 1:
            return  # just at yield, or at a corner of the table, there are two slopes
        np.testing.assert_allclose(slopes[:, j], (up[0] - down[0]) / (2 * h), atol=2e-4 * law.e)


@settings(deadline=None)
@given(laws, paths, strains)
def test_slopes_are_symmetric_where_hardening_is_isotropic(
    law: SheetLaw, path: list[tuple[float, float]], step: tuple[float, float]
) -> None:
    sheet = Sheet(isotropic(law))
    for point in path:
        sheet.go(*point, 3)
    _, slopes, _, _ = sheet.look(*(sheet.at + np.array(step)))
    assert slopes[0, 1] == pytest.approx(slopes[1, 0], abs=1e-6 * law.e)


@settings(deadline=None)
@given(laws, strains, st.integers(2, 30))
def test_tension_is_the_same_in_one_step_as_in_many(law: SheetLaw, step: tuple[float, float], many: int) -> None:
    goal = step[0]
    once, often = Sheet(law).pull(goal), Sheet(law)
    for share in np.linspace(0, 1, many + 1)[1:]:
        often.pull(share * goal)
    np.testing.assert_allclose(once.stress, often.stress, atol=1e-7 * law.e)
    np.testing.assert_allclose(once.history[:2], often.history[:2], atol=1e-8)


@settings(max_examples=200, deadline=None)
@given(laws, st.lists(st.tuples(st.floats(-0.6, 0.6), st.floats(-0.6, 0.6)), min_size=1, max_size=4), through_the_sheet)
def test_every_step_is_solved_and_lies_on_or_inside_the_yield_measure(
    law: SheetLaw, path: list[tuple[float, float]], through: float
) -> None:
    sheet = Sheet(law, through)
    for along, across in path:
        sheet.go(along, across)
        x = sheet.stress - through - sheet.history[2:4]
        k = np.sqrt(x @ x - 2 * law.r / (1 + law.r) * x[0] * x[1])
        assert k <= sheet.history[5] * (1 + 1e-8)
        wanted = float(law.curve.stress(np.asarray(sheet.history[4])))
        wanted -= law.back * (1 - np.exp(-sheet.history[4] / law.back_strain))
        assert sheet.history[5] == pytest.approx(wanted, rel=1e-9)


ANY_GUESS = st.one_of(st.floats(0.0, 0.6), st.floats(-14.0, -1.0).map(lambda e: 10.0**e))
STIFF_AND_WEAK = sheet_law(161284.0, 0.25, Swift(64.84197773255049, 0.0625, 0.015625), 1.0, 0.0)


@settings(max_examples=200, deadline=None)
@example(STIFF_AND_WEAK, [(0.0, 0.125), (0.0, 0.0)], (0.0, 0.125), 0.4)
@given(laws, paths, strains, ANY_GUESS)
def test_a_step_that_goes_nowhere_is_solved_and_stays_where_it_was_whatever_an_earlier_look_left(
    law: SheetLaw, path: list[tuple[float, float]], last: tuple[float, float], guess: float
) -> None:
    """The sheet stands on the yield surface, a rounding inside or outside: the plastic strain that is looked for is next to nothing."""
    sheet = Sheet(law)
    for point in [*path, last]:
        sheet.go(*point, 5)
    stress, _, now, solved = sheet.look(*sheet.at, guess)
    assert solved
    np.testing.assert_allclose(stress, sheet.stress, atol=1e-8 * law.e)
    np.testing.assert_allclose(now[:2], sheet.history[:2], atol=1e-9)


@settings(max_examples=200, deadline=None)
@given(laws, paths, strains, ANY_GUESS)
def test_where_the_search_begins_does_not_change_the_answer(
    law: SheetLaw, path: list[tuple[float, float]], step: tuple[float, float], guess: float
) -> None:
    sheet = Sheet(law)
    for point in path:
        sheet.go(*point, 5)
    at = sheet.at + 0.05 * np.array(step)
    bare, guessed = sheet.look(*at), sheet.look(*at, guess)
    assert bare[3]
    assert guessed[3]
    np.testing.assert_allclose(guessed[0], bare[0], atol=1e-9 * law.e)
    np.testing.assert_allclose(guessed[2][:2], bare[2][:2], atol=1e-9)


def test_a_strain_that_is_no_number_is_answered_unsolved() -> None:
    for bad in (np.nan, np.inf):
        assert not Sheet(sheet_law(E, NU, SWIFT)).look(bad, 0.0)[3]


# ---------------------------------------------------------------- what is strained is elastic and plastic; work


@settings(max_examples=60, deadline=None)
@given(laws, paths, through_the_sheet)
def test_strain_is_hooke_s_of_the_stress_and_the_plastic_strain(
    law: SheetLaw, path: list[tuple[float, float]], through: float
) -> None:
    sheet = Sheet(law, through)
    for point in path:
        sheet.go(*point, 4)
    full = np.array([*sheet.stress, through, 0, 0, 0])
    hooke = np.linalg.solve(elastic(law.e, law.nu), full)[:2]
    np.testing.assert_allclose(sheet.at, hooke + sheet.history[:2], atol=1e-10)


@settings(max_examples=60, deadline=None)
@given(laws, paths)
def test_a_closed_round_of_strain_costs_work(law: SheetLaw, path: list[tuple[float, float]]) -> None:
    """Work put in = elastic energy + plastic work, and plastic work less what the back stress keeps is k dp >= 0."""
    sheet = Sheet(law)
    work, spent, stiff = 0.0, 0.0, np.linalg.inv(np.array([[1, -law.nu], [-law.nu, 1]]) / law.e)
    for point in [*path, (0.0, 0.0)]:
        start = sheet.at.copy()
        for share in np.linspace(0, 1, 21)[1:]:
            s0, was, e0 = sheet.stress.copy(), sheet.history.copy(), sheet.at.copy()
            sheet.go(*(start + share * (np.array(point) - start)))
            work += 0.5 * (s0 + sheet.stress) @ (sheet.at - e0)
            gained = (sheet.stress - sheet.history[2:4]) @ (sheet.history[:2] - was[:2])
            assert gained == pytest.approx(sheet.history[5] * (sheet.history[4] - was[4]), rel=1e-6, abs=1e-9)
            spent += gained
    kept = 0.5 * sheet.history[:2] @ stiff @ sheet.history[:2]  # elastic energy left: the total strain is nothing again
    assert work >= kept + spent - 0.05 * spent - 1e-6
    assert spent >= 0.0


# ---------------------------------------------------------------- stress through the sheet


@settings(deadline=None)
@given(laws, st.floats(0.0, 300.0))
def test_a_pressure_on_all_faces_strains_evenly_and_yields_nothing(law: SheetLaw, pressure: float) -> None:
    even = -(1 - 2 * law.nu) * pressure / law.e
    stress, _, now, _ = Sheet(law, -pressure).look(even, even)
    np.testing.assert_allclose(stress, -pressure, atol=1e-9 * law.e)
    assert now[4] == 0.0


@settings(deadline=None)
@given(laws, paths, st.floats(-300.0, 300.0))
def test_a_pressure_on_all_faces_added_to_any_path_shifts_the_stresses_and_nothing_else(
    law: SheetLaw, path: list[tuple[float, float]], pressure: float
) -> None:
    bare, under = Sheet(law), Sheet(law, -pressure)
    even = -(1 - 2 * law.nu) * pressure / law.e
    for along, across in path:
        bare.go(along, across, 3)
    under.at = np.full(2, even)
    for along, across in path:
        under.go(along + even, across + even, 3)
    np.testing.assert_allclose(under.stress, bare.stress - pressure, atol=1e-6 * law.e)
    np.testing.assert_allclose(under.history[:5], bare.history[:5], atol=1e-5)


def test_pressure_through_the_sheet_brings_yield_in_tension_earlier_by_itself() -> None:
    """Mises and Tresca agree here: in the sheet sigma, through it -q, yields where sigma + q = Y."""
    sheet = Sheet(sheet_law(E, NU, Voce(150.0, 0.0, 1.0)), -40.0)
    even = (1 - 2 * NU) * 40.0 / E
    pure = 150.0 / E  # strain of plain tension at yield, from which the even part is taken
    stress, _, now, _ = sheet.look(pure * (1 + 1e-6) - even, -NU * pure * (1 + 1e-6) - even)
    assert now[4] > 0.0
    assert stress[0] == pytest.approx(110.0, rel=1e-5)
    assert stress[1] == pytest.approx(-40.0, rel=1e-5)


# ---------------------------------------------------------------- reversed loading


def reversed_yield(law: SheetLaw, strain: float) -> tuple[float, float]:
    """(stress pulled to, stress at which the sheet yields again when pushed back)."""
    sheet = Sheet(law).pull(strain)
    pulled, p = float(sheet.stress[0]), float(sheet.history[4])
    low, high = 0.0, 3.0 * pulled / law.e
    for _ in range(60):
        mid = 0.5 * (low + high)
        back = Sheet(law)
        back.history, back.at = sheet.history.copy(), sheet.at.copy()
        back.pull(strain - mid)
        low, high = (mid, high) if back.history[4] == p else (low, mid)
    return pulled, pulled - low * law.e


@pytest.mark.parametrize("kind", CURVES)
def test_a_sheet_that_hardens_isotropically_yields_backwards_at_the_stress_it_was_pulled_to(kind: str) -> None:
    pulled, back = reversed_yield(sheet_law(E, NU, CURVES[kind]), 0.04)
    assert back == pytest.approx(-pulled, rel=1e-6)


@pytest.mark.parametrize("share", [0.3, 0.5, 1.0])
@pytest.mark.parametrize("kind", CURVES)
def test_a_kinematic_sheet_yields_backwards_early_by_twice_its_back_stress(kind: str, share: float) -> None:
    law = sheet_law(E, NU, CURVES[kind], 1.0, share)
    pulled, back = reversed_yield(law, 0.06)
    p = 0.06 - pulled / E
    moved = law.back * (1 - np.exp(-p / law.back_strain))
    assert back == pytest.approx(-(pulled - 2 * moved), rel=1e-6)


def test_half_the_hardening_of_2024_t3_is_the_back_stress_its_mill_stretch_left() -> None:
    """MIL-HDBK-5J, 2024-T3 sheet: Fcy/Fty 0.83 along, Fty 47 ksi: (1 - 0.83)/2 Fty = 27.5 MPa. Miss 1 MPa."""
    assert back_stress(SWIFT, KINEMATIC_SHARE, ALUMINIUM_LIMIT) == pytest.approx(0.5 * (1 - 0.83) * 47 * 6.895, abs=1.0)


def test_a_steep_curve_with_all_its_hardening_in_the_back_stress_keeps_an_elastic_range() -> None:
    law = sheet_law(40000.0, 0.25, Swift(16600.0, 0.5, 1e-4), 2.0, 1.0)
    p = np.geomspace(1e-6, 1.0, 4000)
    left = law.curve.stress(p) - law.back * -np.expm1(-p / law.back_strain)
    assert left.min() > 0.05 * law.curve.stress(p)[left.argmin()]


def test_the_back_stress_is_never_over_its_limit_nor_its_share() -> None:
    assert KINEMATIC_BAND[0] < KINEMATIC_SHARE < KINEMATIC_BAND[1]
    rise = float(SWIFT.stress(np.asarray(0.02)) - SWIFT.stress(np.asarray(0.0)))
    for share in (0.0, *KINEMATIC_BAND, 1.0):
        assert back_stress(SWIFT, share) == pytest.approx(share * rise)
        assert back_stress(SWIFT, share, ALUMINIUM_LIMIT) == min(share * rise, ALUMINIUM_LIMIT)


@settings(deadline=None)
@given(laws, paths, st.floats(0.3, 3.0))
def test_a_sheet_scaled_in_stress_and_stiffness_carries_that_much_more_at_the_same_strains(
    law: SheetLaw, path: list[tuple[float, float]], factor: float
) -> None:
    big = scaled(law, factor)
    big = SheetLaw(law.e * factor, big.nu, big.r, big.curve, big.back, big.back_strain)
    a, b = Sheet(law), Sheet(big)
    for point in path:
        a.go(*point, 3)
        b.go(*point, 3)
    np.testing.assert_allclose(b.stress, factor * a.stress, atol=1e-7 * law.e)
    assert b.history[4] == pytest.approx(a.history[4], abs=1e-9)


# ---------------------------------------------------------------- r of a direction


ratios = st.floats(0.3, 3.0)


@settings(deadline=None)
@given(ratios, ratios, ratios)
def test_r_along_gives_back_the_three_measured_values_and_is_the_same_either_way_round(
    r0: float, r45: float, r90: float
) -> None:
    at = r_along(r0, r45, r90, np.array([0.0, 45.0, 90.0]))
    np.testing.assert_allclose(at, [r0, r45, r90], rtol=1e-9)
    turned = np.linspace(0, 90, 13)
    np.testing.assert_allclose(r_along(r0, r45, r90, -turned), r_along(r0, r45, r90, turned), rtol=1e-9)
    np.testing.assert_allclose(r_along(r0, r45, r90, 180.0 + turned), r_along(r0, r45, r90, turned), rtol=1e-9)
    np.testing.assert_allclose(r_along(r0, r45, r90, 90.0 - turned), r_along(r90, r45, r0, turned), rtol=1e-9)


@settings(deadline=None)
@given(ratios, st.floats(-360, 360))
def test_a_sheet_with_one_r_has_it_along_every_direction(r: float, degrees: float) -> None:
    assert float(r_along(r, r, r, degrees)) == pytest.approx(r, rel=1e-9)


@settings(deadline=None)
@given(ratios, ratios, ratios, st.floats(0, 90))
def test_r_along_is_the_strain_ratio_of_hill_s_flow_rule_in_tension_that_way(
    r0: float, r45: float, r90: float, degrees: float
) -> None:
    """Pulled along the direction, strain rates from the derivative of Hill's measure, turned back to it."""
    h, f = r0 / (1 + r0), r0 / (r90 * (1 + r0))  # G + H = 1
    g = 1 - h
    n = (r45 + 0.5) * (f + g)
    a = np.radians(degrees)
    c, s = np.cos(a), np.sin(a)
    x, y, xy = c * c, s * s, c * s
    e1, e2, e12 = g * x + h * (x - y), f * y + h * (y - x), n * xy  # tensor strain rates, common factor left out
    width = e1 * s * s + e2 * c * c - 2 * e12 * s * c
    thickness = -(e1 + e2)
    assert float(r_along(r0, r45, r90, degrees)) == pytest.approx(width / thickness, rel=1e-9)
