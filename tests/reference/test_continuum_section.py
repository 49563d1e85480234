"""The strip model of a flange against a continuum of the same sheet, solved by CalculiX. Long: run by `make slow`.

Both are models: the same sheet, the same block, the same uniform pressure, no friction. What is compared is the section
model's mechanics, nothing is compared with a real part. `continuum.csv` keeps the figures of cases too long to run here;
`python -m reference.continuum_record NAME...` from tests/ makes its rows anew.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from reference import continuum_bending
from reference.continuum_case import CASES, HARD_2024, SHEET_6061, SOFT_2024, Case, Sheet
from reference.continuum_section import CCX, MISSING, solve

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section.model import Flange, press_through
from ribwright.mechanics.sheet_law import sheet_law

pytestmark = [pytest.mark.reference, pytest.mark.slow]
with_ccx = pytest.mark.skipif(CCX is None, reason=MISSING)


def ours(case: Case) -> dict[str, float]:
    """The same flange by the strip, in the words of the continuum's answer."""
    s = case.sheet
    law = sheet_law(s.youngs, s.poisson, Swift(s.strength, s.exponent, s.first))
    wall = 90 + case.undercut
    straight = case.developed - np.radians(wall) * (case.radius + case.thickness / 2)
    axis = case.origin if case.around else None
    flange = Flange(law, case.thickness, case.radius, wall, straight, axis, float(case.sign), friction=case.friction)
    run = press_through(flange, (case.pressure,))
    point = run.points[-1]
    assert point.outcome == "converged" and point.on_block is not None and point.released is not None
    return {
        "loaded_deg": point.loaded.angle,
        "springback_deg": point.loaded.angle - point.on_block.angle,
        "springback_block_away_deg": point.loaded.angle - point.released.angle,
        "web_lift_mm": point.loaded.lift,
        "wall_gap_mm": point.loaded.wall_gap,
        "formed_inside_radius_mm": point.loaded.inside_radius or np.nan,
    }
