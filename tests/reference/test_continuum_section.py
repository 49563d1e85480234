"""The strip model of a flange against a continuum of the same sheet, solved by CalculiX. Long: run by `make slow`.

Both are models: the same sheet, block and uniform pressure, isotropic hardening. So what is held here is the mechanics of
the strip; nothing is compared with a real part. `continuum.csv` keeps the figures of every case, most of them too long
to be run each time; `cd tests && python -m reference.continuum_record NAME...` makes its rows anew. The continuum's own
miss: 2024-O at 35 MPa gave 1.85 and 1.87 deg on two meshes; 2024-T3 at 14 MPa 7.29 and 7.14 with a contact of 5e4 and
2e5 N/mm3, 7.11 with 5e5; no second mesh of it was finished.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from reference import continuum_bending
from reference.continuum_beside import flange
from reference.continuum_case import CASES, HARD_2024, SHEET_6061, SOFT_2024, Sheet
from reference.continuum_record import recorded, row
from reference.continuum_section import CCX, MISSING, solve
from ribwright.mechanics.section.model import closing_pressure, press_through

pytestmark = [pytest.mark.reference, pytest.mark.slow]
with_ccx = pytest.mark.skipif(CCX is None, reason=MISSING)
FIRST = (
    "t3-r3-14",
    "t3-r3-35",
    "t3-r1.2-14",
    "6061-r3-14",
    "o-r2.4-14",
    "o-r2.4-35",
    "o-r2.4-35-fine",
    "hole-35",
    "disc-40-14",
)
KEPT = {name: recorded()[name] for name in FIRST}  # the rest in test_continuum_rows
THIN = [name for name in KEPT if CASES[name].radius >= 2.5 * CASES[name].thickness]
STRAIGHT = [name for name in THIN if not CASES[name].around]
CURVED = [name for name in THIN if CASES[name].around]
ANEW = ("t3-r3-14", "disc-40-14")


@cache
def ours(name: str) -> dict[str, float]:
    """A case by the strip, in the words of the continuum's table."""
    case = CASES[name]
    f = flange(case)
    point = press_through(f, (case.pressure,), edge=False).points[-1]
    assert point.on_block is not None
    assert point.released is not None
    out = {
        "loaded_deg": point.loaded.angle,
        "springback_deg": point.loaded.angle - point.on_block.angle,
        "springback_block_away_deg": point.loaded.angle - point.released.angle,
        "web_lift_mm": point.loaded.lift,
        "wall_gap_mm": point.loaded.wall_gap,
        "formed_inside_radius_mm": point.loaded.inside_radius or np.nan,
        "thinnest_mm": point.loaded.thickness,
    }
    if f.axis is not None:
        rim = f.axis + f.sign * point.loaded.x[-1]
        out["edge_hoop_strain"] = math.log(rim / (f.axis + f.sign * (f.arc() + f.straight)))
    return out


@with_ccx
@pytest.mark.anew
@pytest.mark.parametrize(
    ("sheet", "thickness", "inside", "moment", "lost"),
    [(HARD_2024, 1.0, 3.0, 0.02, 0.04), (SOFT_2024, 0.8, 2.4, 0.02, 0.04), (SHEET_6061, 1.0, 3.0, 0.02, 0.04)],
    ids=lambda v: v.name if isinstance(v, Sheet) else None,
)
def test_a_continuum_bent_by_couples_alone_bends_as_layer_theory_says(sheet, thickness, inside, moment, lost):
    """Couple at the curvature taken within 2 %, curvature lost on letting go within 4 %: the set-up is sound (R/t 3)."""
    bent = continuum_bending.solve(sheet, thickness, inside)
    theory = continuum_bending.layer_moment(sheet, thickness, bent["curvature"])
    assert bent["moment_n"] == pytest.approx(theory, rel=moment)
    stiffness = sheet.youngs / (1 - sheet.poisson**2) * thickness**3 / 12
    assert bent["curvature"] - bent["free_curvature"] == pytest.approx(theory / stiffness, rel=lost)


@with_ccx
@pytest.mark.anew
@pytest.mark.parametrize("name", ANEW)
def test_the_continuum_still_gives_what_its_table_says(name):
    """Within the continuum's own miss: 0.15 deg, 3 % of the closing pressure."""
    new = {k: float(v) for k, v in row(name, solve(CASES[name])).items() if k != "name" and v}
    kept = KEPT[name]
    for key in ("loaded_deg", "springback_deg", "springback_block_away_deg"):
        assert new[key] == pytest.approx(kept[key], abs=0.15), key
    assert new["closing_mpa"] == pytest.approx(kept["closing_mpa"], rel=0.03)


@pytest.mark.parametrize("name", STRAIGHT)
def test_a_straight_flange_springs_back_by_the_strip_as_by_the_continuum(name):
    """R/t 3, three sheets, 14 and 35 MPa: within 0.12 deg, on the block and off it; loaded within 0.06."""
    a, b = ours(name), KEPT[name]
    assert a["loaded_deg"] == pytest.approx(b["loaded_deg"], abs=0.06)
    assert a["springback_deg"] == pytest.approx(b["springback_deg"], abs=0.12)
    assert a["springback_block_away_deg"] == pytest.approx(b["springback_block_away_deg"], abs=0.12)


@pytest.mark.parametrize("name", STRAIGHT)
def test_a_pressed_section_has_the_shape_of_the_continuum(name):
    """Under load the sheet rides on the same shoulders: web lift within 0.0055 mm, gap at the wall within 0.0045 mm, thinnest place
    thinner by 0.1 to 1.2 %, inside radius smaller by 1.4 to 2.8 %, which is not explained."""
    a, b = ours(name), KEPT[name]
    assert -0.0005 < a["web_lift_mm"] - b["web_lift_mm"] < 0.0055
    assert abs(a["wall_gap_mm"] - b["wall_gap_mm"]) < 0.0045
    assert -0.0125 < a["thinnest_mm"] / b["thinnest_mm"] - 1.0 < 0.0
    assert -0.029 < a["formed_inside_radius_mm"] / b["formed_inside_radius_mm"] - 1.0 < 0.0


@pytest.mark.parametrize("name", sorted(KEPT))
def test_a_flange_closes_at_the_pressure_of_the_continuum(name):
    """Within half a degree of the wall: 1.5 %, curved flanges and R/t 1.5 included."""
    kept = KEPT[name].get("closing_mpa")
    found = closing_pressure(flange(CASES[name]), CASES[name].pressure)
    assert (found is None) == (kept is None)
    if kept is not None:
        assert found == pytest.approx(kept, rel=0.015)


@pytest.mark.parametrize("name", CURVED)
def test_a_curved_flange_springs_back_and_stretches_as_the_continuum(name):
    """Shrink and stretch flange round an axis: hoop strain of the edge within 0.2 %, springback within 0.2 deg."""
    a, b = ours(name), KEPT[name]
    assert a["edge_hoop_strain"] == pytest.approx(b["edge_hoop_strain"], rel=0.002)
    assert a["springback_deg"] == pytest.approx(b["springback_deg"], abs=0.2)


@pytest.mark.parametrize("name", [n for n in KEPT if n not in THIN])
def test_a_sharp_bend_springs_back_by_the_strip_as_by_the_continuum(name):
    """R/t 1.5: as the continuum with six elements through the thickness within 0.3 deg; its coarser row is 0.55 off that itself
    (test_continuum_rows)."""
    a, b = ours(name), recorded()[f"{name}-fine"]
    for key in ("springback_deg", "springback_block_away_deg"):
        assert a[key] == pytest.approx(b[key], abs=0.3), key
