"""The decision rule, by an example reckoned by hand, and as a law over random limits, values and uncertainties.

By hand (ISO 14253-1's rule, from memory; no worked example of the standard is open): a size of 20.000 with -0.020/+0.020, measured with
U = 0.004. Proved inside from 19.984 to 20.016; proved outside under 19.976 and over 20.024; between them nobody can tell.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright.mechanics.tolerance import CANNOT_TELL, INSIDE, OUTSIDE, expanded_mean, verdict

LO, HI, U = 19.980, 20.020, 0.004


@pytest.mark.parametrize(
    ("measured", "guarded", "simple"),
    [
        (20.000, INSIDE, INSIDE),
        (19.9841, INSIDE, INSIDE),
        (20.0159, INSIDE, INSIDE),
        (19.9839, CANNOT_TELL, INSIDE),
        (20.0161, CANNOT_TELL, INSIDE),
        (20.0199, CANNOT_TELL, INSIDE),
        (20.0201, CANNOT_TELL, OUTSIDE),
        (19.9761, CANNOT_TELL, OUTSIDE),
        (20.0241, OUTSIDE, OUTSIDE),
        (19.9759, OUTSIDE, OUTSIDE),
    ],
)
def test_the_example_by_hand(measured: float, guarded: str, simple: str) -> None:
    assert verdict(measured, LO, HI, U, "guarded") == guarded
    assert verdict(measured, LO, HI, U, "simple") == simple


@pytest.mark.parametrize(("n", "t"), [(2, 13.97), (3, 4.53), (4, 3.31), (5, 2.87), (6, 2.65), (11, 2.28)])
def test_few_readings_are_widened_by_the_factors_of_the_guide(n: int, t: float) -> None:
    """JCGM 100:2008 table G.2, 95.45 % (from memory, two decimals)."""
    values = np.arange(n, dtype=float)
    assert expanded_mean(values) == pytest.approx(t * np.std(values, ddof=1) / np.sqrt(n), rel=2e-3)


length = st.floats(-50, 50)


@given(length, st.floats(0, 5), st.floats(0, 5), length, st.floats(0, 3), st.floats(-1, 1))
def test_a_proof_holds_for_every_true_value_that_the_uncertainty_leaves(
    nominal: float, minus: float, plus: float, measured: float, u: float, share: float
) -> None:
    lo, hi = nominal - minus, nominal + plus
    true = measured + share * u
    found = verdict(measured, lo, hi, u, "guarded")
    if found == INSIDE:
        assert lo - 1e-9 <= true <= hi + 1e-9
    if found == OUTSIDE:
        assert true < lo + 1e-9 or true > hi - 1e-9


@given(length, st.floats(0.01, 5), st.floats(0, 1))
def test_a_tolerance_under_the_uncertainty_is_never_proved(nominal: float, half: float, share: float) -> None:
    u = half * (1.01 + share)
    assert verdict(nominal + share * half, nominal - half, nominal + half, u, "guarded") == CANNOT_TELL


@given(length, st.floats(0.1, 5), length, st.floats(0, 0.05))
def test_a_surer_gauge_never_takes_a_proof_back(nominal: float, half: float, measured: float, u: float) -> None:
    rough = verdict(measured, nominal - half, nominal + half, u, "guarded")
    fine = verdict(measured, nominal - half, nominal + half, u / 2, "guarded")
    assert fine == rough or rough == CANNOT_TELL
