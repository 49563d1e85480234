"""What is measured on a section: lift, gaps, each on its own side of the block."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section.formed import look
from ribwright.mechanics.section.model import Flange, strip_of
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
