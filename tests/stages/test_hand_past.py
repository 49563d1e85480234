"""How far past a flange is set, held against a strip of layers that is bent, let go and bent by hand (tests/hand_strip.py)."""

from __future__ import annotations

import numpy as np
import pytest

from hand_strip import Strip
from ribwright.mechanics import springback

PLANE = 2.0 / np.sqrt(3.0)
K, N, E, NU = 330.0, 0.2, 72400.0, 0.33
T = 1.0
MODULUS = E / (1 - NU**2)


def strip(share: float) -> Strip:
    """Sheet of K, n in plane strain: S = (2/sqrt 3)^(n+1) K p^n."""
    return Strip(T, MODULUS, PLANE ** (N + 1) * K, N, share)


def pressed(radius: float, angle: float, released: float, share: float) -> tuple[Strip, float]:
    """A bend of the arc (R + t/2) a that was bent so far that it comes off at `released` [deg], and its arc."""
    arc = (radius + T / 2) * np.radians(angle)
    low, high = released, released + 25.0
    for _ in range(40):
        s = strip(share)
        s.to(np.radians((low + high) / 2) / arc)
        s.let_go()
        low, high = ((low + high) / 2, high) if np.degrees(s.c * arc) < released else (low, (low + high) / 2)
    return s, arc


def let_go_from(s: Strip, arc: float, angle: float) -> float:
    """The angle [deg] that it comes to when pushed to `angle` by hand."""
    t = s.copy()
    t.to(np.radians(angle) / arc)
    t.let_go()
    return float(np.degrees(t.c * arc))


@pytest.mark.parametrize("radius", [2.0, 4.0])
@pytest.mark.parametrize("off", [1.0, 4.0])
def test_a_flange_closed_by_hand_to_target_and_past_comes_to_the_target(radius: float, off: float) -> None:
    """Miss accepted: 5 % of `past`, as the closed form leaves the elastic core out (1.7 % in the moment) and steps are finite."""
    s, arc = pressed(radius, 90.0, 90.0 - off, 0.0)
    past = float(springback.undercut(K, N, E, NU, radius, T, 90.0).undercut_deg)
    assert let_go_from(s, arc, 90.0 + past) == pytest.approx(90.0, abs=0.05 * past)


@pytest.mark.parametrize("share", [0.0, 0.25, 0.5])
@pytest.mark.parametrize("off", [1.0, 4.0])
def test_a_flange_opened_by_hand_comes_back_by_less_than_the_bound_however_it_hardens(share: float, off: float) -> None:
    """Opened to the target less `past_most` it never stays short of the target, by more than the same 5 %; pushed just to the target it
    stays closed. Half of the growth kinematic is what the records take; all of it is no sheet: its layers flow back when let go."""
    s, arc = pressed(4.0, 90.0, 90.0 + off, share)
    most = float(springback.undercut(K, N, E, NU, 4.0, T, 90.0).undercut_deg)
    assert let_go_from(s, arc, 90.0 - most) <= 90.0 + 0.05 * most
    assert let_go_from(s, arc, 90.0) > 90.0
