"""Shortest flanges against a table of this project's study of one flange in section (synthetic sheet, k = 2.0).

R = 3 t, 90 deg, pad of 60 Shore A with G = 1.20 MPa, widths in mm. Printed to 0.1 mm; miss accepted 0.06 mm.
"""

from __future__ import annotations

import pytest

from ribwright.mechanics import pad, springback

PRESSURES = (3.5, 7.0, 14.0, 35.0, 70.0)
K, G = 2.0, 1.20
TABLE = [
    ("2024-O", 330.0, 0.20, 0.8, (11.0, 7.0, 5.6, 4.6, 4.2)),
    ("2024-O", 330.0, 0.20, 1.6, (21.9, 14.0, 11.2, 9.2, 8.4)),
    ("2024-T3", 690.0, 0.16, 0.8, (14.9, 8.9, 6.8, 5.4, 4.7)),
    ("2024-T3", 690.0, 0.16, 1.6, (29.9, 17.9, 13.6, 10.7, 9.4)),
]


@pytest.mark.parametrize(("sheet", "k_mpa", "n", "t", "widths"), TABLE)
def test_the_shortest_flange_is_the_tables(sheet, k_mpa, n, t, widths):
    moment = springback.power_law_moment(k_mpa, n, 3 * t, t)
    for pressure, width in zip(PRESSURES, widths, strict=True):
        found = pad.shortest_flange(3 * t, t, 90.0, pad.shortest_straight(moment, pressure, K, G))
        assert float(found) == pytest.approx(width, abs=0.06), (sheet, t, pressure)


def test_60_shore_a_is_the_tables_modulus():
    assert float(pad.shear_modulus(60.0).shear_mpa) == pytest.approx(G, abs=0.01)


def test_the_one_flange_that_section_models_left_open_is_left_open():
    """2024-T3, t 1.6, R 4.8, flange 16 under 3.5 MPa: open; closed under 7 MPa."""
    moment, s = float(springback.power_law_moment(690.0, 0.16, 4.8, 1.6)), 16 - 4.8 - 1.6
    assert 3.5 < float(pad.closing_pressure(moment, s)) < 7.0
