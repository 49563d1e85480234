"""One case of the grid of benchmarks/pad.py as fine as it is really run, to 70 MPa. Nothing here was compared with a formed part."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from pad_pressed import SOFT
from ribwright.mechanics.pad_model import answer, press
from ribwright.mechanics.pad_model.press import PadPress, press_pad, sizes
from ribwright.mechanics.pad_model.rubber import rubber_of
from ribwright.mechanics.section.model import Flange, press_through

pytestmark = pytest.mark.slow
FLANGE = Flange(SOFT, 1.6, 4.8, 90.0, 16.0 - 6.4)
PAD = PadPress(rubber_of(60.0), 100.0, 70.0, 40.0, 25.0)
PRESSURES = (3.5, 7.0, 14.0, 35.0, 70.0)


def released(run: answer.PadRun) -> np.ndarray:
    """Angles [deg] at every pressure."""
    assert run.outcome == answer.REACHED
    return np.array([p.released.angle for p in run.points if p.released is not None])


@cache
def as_it_is() -> np.ndarray:
    return released(press_pad(FLANGE, PAD, PRESSURES))


def test_steps_half_as_long_leave_the_same_flange(monkeypatch: pytest.MonkeyPatch) -> None:
    """The method has no ram speed: what could hang on the way is the length of the steps. Accepted: 0.2 deg."""
    known = as_it_is()
    monkeypatch.setattr(press, "TURN", 0.5 * press.TURN)
    monkeypatch.setattr(press, "STROKE_MOST", 0.5 * press.STROKE_MOST)
    monkeypatch.setattr(press, "SLOW", press.SLOW**0.5)
    monkeypatch.setattr(press, "FAST", press.FAST**0.5)
    np.testing.assert_allclose(released(press_pad(FLANGE, PAD, PRESSURES)), known, atol=0.2)


def test_smaller_elements_of_the_rubber_leave_the_same_flange() -> None:
    """Accepted: 0.2 deg."""
    bend, rest = sizes(FLANGE, PAD)
    finer = replace(PAD, bend_size=0.7 * bend, rest_size=0.7 * rest)
    np.testing.assert_allclose(released(press_pad(FLANGE, finer, PRESSURES)), as_it_is(), atol=0.2)


def test_an_even_pressure_on_the_strip_leaves_about_the_same_flange() -> None:
    """Both have the same sheet and block; only how it is pressed differs. Accepted: 0.5 deg."""
    even = [p.released.angle for p in press_through(FLANGE, PRESSURES).points if p.released is not None]
    np.testing.assert_allclose(as_it_is(), even, atol=0.5)
