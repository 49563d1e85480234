"""Quantities as people write them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright import units
from ribwright.errors import UnitError

LENGTHS = [
    ("0.040 in", 1.016),
    ("1 1/16 in", 26.9875),
    ("1-1/16 in", 26.9875),
    ("3/16 in", 4.7625),
    ('3/32"', 2.38125),
    ("12-3-5 ft-in-8ths", (12 * 12 + 3 + 5 / 8) * 25.4),
    ("-0-0-4 ft-in-8ths", -12.7),
    ("1.0 mm", 1.0),
    ("2.5cm", 25.0),
    ("0.3 m", 300.0),
    ("2 ft", 609.6),
    ("-.5 inch", -12.7),
    ("+1e1 mm", 10.0),
    ("1.0 MM", 1.0),
]


@pytest.mark.parametrize(("typed", "mm"), LENGTHS)
def test_a_length_reads_as_the_shop_writes_it(typed, mm):
    assert units.length_mm(typed) == pytest.approx(mm, abs=1e-9)


def test_a_bare_number_is_in_the_unit_of_the_file():
    assert units.length_mm(0.625, "in") == pytest.approx(15.875, abs=1e-12)
    assert units.length_mm(16, "mm") == 16
    assert units.length_mm("3/16", "in") == pytest.approx(4.7625, abs=1e-12)


REFUSED_LENGTHS = [
    ("20 gauge", "thickness"),
    ("20 ga", "thickness"),
    ("20ga", "thickness"),
    ("#40", "thickness"),
    ("0,040 in", "decimal point"),
    ("1/0 in", "a length like"),
    ("1 furlong", "units: in, mm"),
    ("12-12-5 ft-in-8ths", "0 to 11"),
    ("", "a length like"),
    ("in", "a length like"),
    ("nan in", "a length like"),
    ("1e999 in", "finite"),
    (True, "a length like"),
    (None, "a length like"),
    ([1.0], "a length like"),
    (math.nan, "finite"),
    (-math.inf, "finite"),
    (10**400, "a length like"),
]


@pytest.mark.parametrize(("typed", "allowed"), REFUSED_LENGTHS)
def test_a_length_that_cannot_be_read_is_refused_with_what_is_allowed(typed, allowed):
    with pytest.raises(UnitError, match="found") as error:
        units.length_mm(typed, "in")
    assert allowed in error.value.allowed


def test_a_bare_number_without_a_file_unit_is_refused():
    for typed in (0.5, "0.5"):
        with pytest.raises(UnitError, match="without a unit"):
            units.length_mm(typed)


# factors from NIST SP 811 (2008), appendix B.8, six or more figures as printed there
PUBLISHED = [
    (units.force_n, "1 lbf", 4.448222),
    (units.force_n, "1 short ton", 8896.443),  # ton-force (2000 lbf) = 8.896443 kN
    (units.force_n, "1 long ton", 2240 * 4.448222),
    (units.force_n, "1 metric ton", 9806.65),  # ton-force, metric = 9.80665 kN
    (units.force_n, "1 kN", 1000),
    (units.pressure_mpa, "1 psi", 6.894757e-3),
    (units.pressure_mpa, "1 ksi", 6.894757),
    (units.pressure_mpa, "1 bar", 0.1),
    (units.pressure_mpa, "1000 kPa", 1.0),
    (units.pressure_mpa, "7 MPa", 7.0),
    (units.area_mm2, "1 in2", 645.16),
    (units.area_mm2, "1 cm2", 100),
    (units.mass_kg, "1 lb", 0.45359237),
    (units.density_kg_m3, "1 g/cm3", 1000),
    (units.density_kg_m3, "1 lb/in3", 27679.90),
    (units.density_kg_m3, "1 lb/ft3", 16.01846),
    (units.time_s, "25 min", 1500),
    (units.temperature_c, "212 F", 100),
    (units.temperature_c, "495 °C", 495),
    (units.temperature_c, "273.15 K", 0),
    (units.angle_deg, "0.1 deg", 0.1),
    (units.angle_deg, 90, 90),
    (units.angle_deg, "30 arcmin", 0.5),
]


@pytest.mark.parametrize(("read", "typed", "value"), PUBLISHED)
def test_factors_are_the_published_ones(read, typed, value):
    assert read(typed) == pytest.approx(value, rel=3e-7, abs=1e-9)


@pytest.mark.parametrize("typed", ["150 ton", "150 tons", "150 tonf", "150ton"])
def test_a_plain_ton_is_asked_which_ton(typed):
    with pytest.raises(UnitError, match="which ton"):
        units.force_n(typed)


@pytest.mark.parametrize(
    ("read", "typed"),
    [
        (units.force_n, 400),
        (units.pressure_mpa, 781.0),
        (units.area_mm2, "60"),
        (units.time_s, 25),
        (units.pressure_mpa, "7 mPa"),
        (units.pressure_mpa, "7 in"),
        (units.force_n, "3,000 short ton"),
        (units.angle_deg, "5 mm"),
        (units.force_n, True),
    ],
)
def test_a_quantity_without_its_own_unit_is_refused(read, typed):
    with pytest.raises(UnitError):
        read(typed)


@given(st.floats(-1e4, 1e4, allow_nan=False))
def test_inches_and_millimetres_say_the_same_length(inches):
    assert units.length_mm(inches, "in") == pytest.approx(units.length_mm(inches * 25.4, "mm"), abs=1e-9)


@given(st.integers(0, 5000))
def test_every_sixty_fourth_reads_back_from_its_fraction(parts):
    mm = parts / 64 * 25.4
    shown = units.show_fraction(mm)
    assert shown is not None
    assert units.length_mm(shown) == pytest.approx(mm, abs=1e-9)


def test_a_length_that_is_no_fraction_has_none():
    assert units.show_fraction(0.040 * 25.4) is None
    assert units.show_fraction(1.0625 * 25.4) == "1 1/16 in"
    assert units.show_fraction(-0.5 * 25.4) == "-1/2 in"
    assert units.show_fraction(0.0) == "0 in"
    assert units.show_fraction(0.1875 * 25.4, denom=8) is None


def test_paper_shows_both_units_with_the_shop_s_first():
    assert units.show_length(15.875) == "0.625 in (15.88 mm)"
    assert units.show_length(15.875, "mm") == "15.88 mm (0.625 in)"
    assert units.show_length(-0.001) == "0.000 in (0.00 mm)"
    assert units.show_pressure(units.pressure_mpa("781 psi")) == "781 psi (5.38 MPa)"
    assert units.show_pressure(7.0, "mm") == "7.00 MPa (1015 psi)"
    assert units.show_force(units.force_n("150 short ton")) == "150 short ton (1334 kN)"
    assert units.show_force(50e3, "mm") == "50.0 kN (5.6 short ton)"
    assert units.show_angle(3.24) == "3.2 deg"


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (25.4 / 8, "0.125 in (3.18 mm)"),
        (-25.4 / 8, "-0.125 in (-3.18 mm)"),
        (25.4 * 5 / 8, "0.625 in (15.88 mm)"),
        (25.4 * 7 / 8, "0.875 in (22.23 mm)"),
        (25.4 * 1.0625, "1.0625 in (26.99 mm)"),
        (3.1749, "0.125 in (3.17 mm)"),
        (-0.0001, "0.000 in (0.00 mm)"),
    ],
)
def test_a_half_is_rounded_away_from_zero_whatever_bits_stand_under_it(mm, words):
    assert units.show_length(mm) == words


def test_every_sixteenth_rounds_as_it_does_by_hand():
    from decimal import ROUND_HALF_UP, Decimal

    for k in range(-640, 641):
        exact = Decimal(k) * Decimal("25.4") / 16
        by_hand = exact.quantize(Decimal("0.01"), ROUND_HALF_UP) + 0
        assert f"({by_hand:.2f} mm)".replace("-0.00", "0.00") in units.show_length(25.4 * k / 16)
