"""The pad lifted off: without rubber the release is the strip's own, and nothing is left that holds the sheet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pad_pressed import FLANGE, PRESS
from ribwright.mechanics.pad_model import press as pressing
from ribwright.mechanics.pad_model.release import let_go
from ribwright.mechanics.pad_model.sheet import PressedStrip, laid_flat
from ribwright.mechanics.section.model import press_through, strip_of
from ribwright.mechanics.section.strip import State, at_rest, press

ORIGIN = np.array([30.0, 19.0])


def under_even_pressure(mpa: float) -> tuple[PressedStrip, np.ndarray]:
    """FLANGE pressed by a fluid, as the pad's release takes it."""
    strip = strip_of(FLANGE)
    state: State = at_rest(strip)
    for p in mpa * 1.12 ** np.arange(-40, 1):
        state = press(strip, state, float(p))
        assert state.settled
    sheet = laid_flat(strip, ORIGIN)
    q = state.q + np.append(ORIGIN, 0.0)
    even = np.full(len(strip.arc) - 1, mpa)
    return replace(sheet, state=state, outer=even, inner=state.push, faces=state.q), q


def test_from_under_an_even_pressure_the_release_is_the_strips_own() -> None:
    known = press_through(FLANGE, (8.0,)).points[-1]
    on_block, off = let_go(*under_even_pressure(8.0))
    assert on_block is not None
    assert off is not None
    assert known.on_block is not None
    assert known.released is not None
    assert on_block.angle == pytest.approx(known.on_block.angle, abs=0.1)
    assert off.angle == pytest.approx(known.released.angle, abs=0.1)


def test_nothing_holds_a_released_sheet() -> None:
    _, off = let_go(*under_even_pressure(8.0))
    assert off is not None
    yields = 76.0 * FLANGE.t**2 / 4.0
    assert np.abs(off.moment).max() < 1e-4 * yields


def test_a_flat_sheet_that_was_never_pressed_stays_flat() -> None:
    sheet = laid_flat(strip_of(FLANGE), ORIGIN)
    on_block, off = let_go(sheet, sheet.rest())
    assert on_block is not None
    assert off is not None
    assert on_block.angle == pytest.approx(0.0, abs=0.1)  # the hair by which it was laid into the block
    assert off.angle == pytest.approx(0.0, abs=1e-3)


@pytest.mark.slow
def test_lifting_the_pad_step_by_step_leaves_the_flange_that_letting_go_leaves(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pressures down to nothing, then the ram drawn up off the sheet; what is left is let go. Accepted: 0.02 deg."""
    last = []
    look_at = pressing._point
    monkeypatch.setattr(pressing, "_point", lambda f, p, at, release: (last.append(at), look_at(f, p, at, release))[1])
    known = pressing.press_pad(FLANGE, PRESS, (8.0,)).points[0].released
    monkeypatch.setattr(pressing, "TURN_MOST", 50.0)  # springing back may be quick
    at, size, shear = last[0], 2.0, PRESS.rubber.shear
    while at.pressure > 0.002:
        wall = max(at.pressure, shear) / pressing.SINK
        if at.pressure > 0.4:
            to = at.system.pushed(0.8 * at.pressure, wall)
        else:
            give = at.pressure * at.system.width / pressing.RAM_SPRING
            to = at.system.drawn(at.stroke + give - 0.2, wall)
        at = pressing._go(replace(at, gone=None), to, size, [0, 0])
        assert at is not None
    lifted = let_go(at.system.sheet, at.system.sheet_at(at.x))[1]
    assert lifted is not None
    assert known is not None
    assert lifted.angle == pytest.approx(known.angle, abs=0.02)
