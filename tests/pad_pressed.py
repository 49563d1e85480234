"""A light press section: soft sheet, a small pad of few elements."""

from __future__ import annotations

from dataclasses import replace

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.pad_model.press import PadPress
from ribwright.mechanics.pad_model.rubber import rubber_of
from ribwright.mechanics.section.model import Flange
from ribwright.mechanics.sheet_law import sheet_law

SOFT = sheet_law(73800.0, 0.33, Swift(330.0, 0.2, (76.0 / 330.0) ** 5))  # a study's 2024-O
FLANGE = Flange(SOFT, 1.6, 2.4, 90.0, 12.0)
PRESS = PadPress(rubber_of(60.0), 60.0, 54.0, 30.0, 19.0, bend_size=2.0, rest_size=4.0)
NEVER_YIELDS = replace(FLANGE, law=replace(SOFT, curve=SOFT.curve.scaled(1e3)))
