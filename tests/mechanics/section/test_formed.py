"""What is measured on a section: lift, gaps, each on its own side of the block."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section.formed import look, yields_again
from ribwright.mechanics.section.model import Flange, press_through, strip_of
from ribwright.mechanics.section.strip import at_rest
from ribwright.mechanics.sheet_law import sheet_law

SOFT = sheet_law(72400.0, 0.33, Swift(330.0, 0.2, 0.00065), share=0.5, limit=35.0)


@pytest.mark.parametrize("wall", [75.0, 90.0, 100.0, 115.0])
def test_a_long_flange_off_an_undercut_wall_is_off_the_wall_and_its_web_is_not_lifted(wall: float) -> None:
    """Past 90 deg the wall runs back under the web face; a flange there stands beside the wall, however long it is."""
    f = Flange(SOFT, 1.0, 3.0, wall, 40.0)
    s, off = strip_of(f), 0.07
    a, arc = np.radians(wall), f.arc()
    turned = a * np.clip(s.arc / arc, 0.0, 1.0)
    # mid-surface on the block, half a thickness out; the flange past its bend shifted off the wall
    middle = f.radius + f.t / 2
    past = np.maximum(s.arc - arc, 0.0)
    x = np.where(s.arc < 0.0, s.arc, middle * np.sin(turned) + past * np.cos(a))
    y = np.where(s.arc < 0.0, f.t / 2, middle * np.cos(turned) - f.radius - past * np.sin(a))
    away = off * np.clip((past - f.t) / 20.0, 0.0, 1.0)[:, None]  # growing so slowly that it hardly stretches the sheet
    q = np.stack([x, y, -turned], axis=1) + away * np.array([np.sin(a), np.cos(a), 0.0])
    seen = look(s, replace(at_rest(s), q=q))
    assert seen.wall_gap == pytest.approx(off, abs=1e-4)
    assert seen.lift < 0.02  # what the volume kept takes off the inner half at the bend's beginning


def test_thick_soft_sheet_yields_again_as_it_is_let_go_from_a_high_pressure_and_not_from_a_low_one() -> None:
    """By the law's own account of its plastic strain; 1.6 mm over R 2.4."""
    low, high = (press_through(Flange(SOFT, 1.6, 2.4, 91.0, 12.0), (p,)).points[0] for p in (3.5, 70.0))
    assert low.released is not None
    assert high.released is not None
    least = yields_again(low.loaded, low.released)
    assert least is not None
    assert least.most < 2e-4  # a layer or two at the skin: a fifth of what is said
    again = yields_again(high.loaded, high.released)
    assert again is not None
    assert 2e-4 < again.most < 0.02
    assert 0.02 < again.share < 0.3
    # on the block already, before it is taken away, hardly less
    assert high.on_block is not None
    part = yields_again(high.loaded, high.on_block)
    assert part is not None
    assert 0.0 < part.most <= again.most
    assert yields_again(replace(high.loaded, plastic=None), high.released) is None
