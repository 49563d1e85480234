"""Quantities as people write them, turned into mm, N, MPa, mm2, kg, s, deg C and degrees, and back into words.

Every factor is exact by definition: 1 in = 25.4 mm, 1 lbf = 0.45359237 kg x 9.80665 m/s2
(NIST Special Publication 811, 2008, appendix B). A value that cannot be read raises `UnitError`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Literal

from ribwright.errors import UnitError

Unit = Literal["in", "mm"]

MM_PER_IN = 25.4
N_PER_LBF = 4.4482216152605
MPA_PER_PSI = N_PER_LBF / MM_PER_IN**2
N_PER_SHORT_TON = 2000 * N_PER_LBF
N_PER_LONG_TON = 2240 * N_PER_LBF
N_PER_METRIC_TON = 9806.65

LENGTHS = {"in": MM_PER_IN, "mm": 1.0, "cm": 10.0, "m": 1000.0, "ft": 12 * MM_PER_IN}
FORCES = {
    "N": 1.0,
    "kN": 1000.0,
    "lbf": N_PER_LBF,
    "short ton": N_PER_SHORT_TON,
    "long ton": N_PER_LONG_TON,
    "metric ton": N_PER_METRIC_TON,
}
PRESSURES = {
    "psi": MPA_PER_PSI,
    "ksi": 1000 * MPA_PER_PSI,
    "MPa": 1.0,
    "kPa": 1e-3,
    "bar": 0.1,
    "N/mm2": 1.0,
}
AREAS = {"in2": MM_PER_IN**2, "mm2": 1.0, "cm2": 100.0, "m2": 1e6, "ft2": (12 * MM_PER_IN) ** 2}
DENSITIES = {
    "kg/m3": 1.0,
    "g/cm3": 1000.0,
    "lb/in3": 0.45359237e9 / MM_PER_IN**3,
    "lb/ft3": 0.45359237e9 / (12 * MM_PER_IN) ** 3,
}
MASSES = {"kg": 1.0, "g": 1e-3, "lb": 0.45359237, "oz": 0.45359237 / 16}
TIMES = {"s": 1.0, "min": 60.0, "h": 3600.0, "day": 86400.0}
ANGLES = {"deg": 1.0, "arcmin": 1 / 60}

# other spellings of the same unit; a plain "ton" is not among them on purpose
SPELLINGS = {
    **dict.fromkeys(("inch", "inches", '"', "''", "″", "”"), "in"),
    **dict.fromkeys(("feet", "foot", "'", "′"), "ft"),
    **dict.fromkeys(("short tons", "short tonf", "us ton", "us tons"), "short ton"),
    **dict.fromkeys(("long tons", "long tonf", "uk ton", "uk tons"), "long ton"),
    **dict.fromkeys(("metric tons", "metric tonf", "tonne", "tonnes", "tf"), "metric ton"),
    **dict.fromkeys(("in^2", "in²", "sq in"), "in2"),
    **dict.fromkeys(("mm^2", "mm²"), "mm2"),
    **dict.fromkeys(("cm^2", "cm²"), "cm2"),
    **dict.fromkeys(("N/mm^2", "N/mm²"), "N/mm2"),
    **dict.fromkeys(("degree", "degrees", "°"), "deg"),
    **dict.fromkeys(("sec", "second", "seconds"), "s"),
    **dict.fromkeys(("minute", "minutes"), "min"),
    **dict.fromkeys(("hr", "hour", "hours"), "h"),
    "days": "day",
}

DENSITY_WORDS = 'a density like "700 kg/m3", "44 lb/ft3" or "0.098 lb/in3"'
LENGTH_WORDS = 'a length like 0.625, "0.625 in", "1 1/16 in", "12-3-5 ft-in-8ths" or "15.9 mm"'
ANGLE_WORDS = 'an angle in degrees like 90 or "0.1 deg"'

# [0-9], not \d: the latter also takes digits of other scripts
_DECIMAL = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
_QUANTITY = re.compile(
    rf"(?P<sign>[-+]?)(?:(?:(?P<whole>[0-9]+)[ -]+)?(?P<num>[0-9]+)/(?P<den>[0-9]+)|(?P<dec>{_DECIMAL}))"
    r"\s*(?P<unit>[^0-9\s.,/].*)?"
)
_EIGHTHS = re.compile(r"(?P<sign>-?)(?P<ft>[0-9]+)-(?P<inch>[0-9]+)-(?P<eighth>[0-7]) *ft-in-8ths")
_GAUGE = re.compile(r"(?<![a-z])(ga|gauge|gage|swg|awg|bwg|sheet metal gauge)\b|^#|^no\.? *[0-9]", re.IGNORECASE)


def length_mm(value: object, default_unit: Unit | None = None) -> float:
    """A length in mm. A bare number, or a string without unit, is in `default_unit`; without one it is refused.

    >>> length_mm("1 1/16 in"), length_mm("12-3-5 ft-in-8ths"), length_mm(0.5, "in")
    (26.9875, 3749.675, 12.7)
    """
    if isinstance(value, str) and (hit := _EIGHTHS.fullmatch(value.strip())):
        return _feet_inches_eighths(value, hit)
    if isinstance(value, str) and _GAUGE.search(value.strip()):
        raise UnitError(repr(value), 'the thickness itself, like "0.032 in": a gauge number names no one thickness')
    return _quantity(value, LENGTHS, LENGTH_WORDS, default_unit)


def angle_deg(value: object) -> float:
    """An angle in degrees; a bare number is degrees."""
    return _quantity(value, ANGLES, ANGLE_WORDS, "deg")


def force_n(value: object) -> float:
    """A force in N. A plain "ton" is refused: three different forces go by that name."""
    words = 'a force like "400 short ton", "3600 kN" or "800000 lbf"'
    if isinstance(value, str) and re.search(r"[0-9]\s*(tons?|tonf)$", value.strip(), re.IGNORECASE):
        raise UnitError(repr(value), 'which ton: "short ton" (2000 lbf), "long ton" (2240 lbf) or "metric ton"')
    return _quantity(value, FORCES, words)


def pressure_mpa(value: object) -> float:
    """A pressure in MPa."""
    return _quantity(value, PRESSURES, 'a pressure like "781 psi", "7 MPa" or "70 bar"')


def area_mm2(value: object) -> float:
    """An area in mm2."""
    return _quantity(value, AREAS, 'an area like "60 in2", "387 cm2" or "38700 mm2"')


def density_kg_m3(value: object) -> float:
    """A density in kg/m3."""
    return _quantity(value, DENSITIES, DENSITY_WORDS)


def mass_kg(value: object) -> float:
    """A mass in kg."""
    return _quantity(value, MASSES, 'a mass like "2.5 kg" or "5 lb"')


def time_s(value: object) -> float:
    """A time span in s."""
    return _quantity(value, TIMES, 'a time like "25 min", "10 s" or "2 h"')


def temperature_c(value: object) -> float:
    """A temperature in degrees Celsius, from C, F or K."""
    words = 'a temperature like "495 C" or "920 F"'
    number = _quantity(value, {"C": 1.0, "F": 1.0, "K": 1.0}, words)
    unit = str(value).strip().lstrip("-+0123456789. ").removeprefix("°").upper()[:1]
    to_celsius: dict[str, Callable[[float], float]] = {"F": lambda f: (f - 32) / 1.8, "K": lambda k: k - 273.15}
    return to_celsius.get(unit, lambda c: c)(number)


def show_length(mm: float, first: Unit = "in") -> str:
    """Both units, the shop's first: '0.625 in (15.88 mm)'. Sixteenths and the like keep their fourth decimal: 0.1875 in."""
    inch, metric = f"{plain(mm / MM_PER_IN, _decimals(mm / MM_PER_IN))} in", f"{plain(mm, 2)} mm"
    return f"{inch} ({metric})" if first == "in" else f"{metric} ({inch})"


def show_fraction(mm: float, denom: int = 64) -> str | None:
    """'1 1/16 in' when the length is within 0.0005 in of a fraction with that denominator, else None."""
    inches = abs(mm) / MM_PER_IN
    parts = round(inches * denom)
    if abs(inches - parts / denom) > 0.0005:
        return None
    whole, rest = divmod(parts, denom)
    shrink = math.gcd(rest, denom)
    words = [str(whole)] * (whole > 0 or rest == 0) + [f"{rest // shrink}/{denom // shrink}"] * (rest > 0)
    return f"{'-' if mm < 0 < parts else ''}{' '.join(words)} in"


def show_pressure(mpa: float, first: Unit = "in") -> str:
    """'781 psi (5.38 MPa)', or the other way round for a shop that works in mm."""
    psi = mpa / MPA_PER_PSI
    imperial, metric = f"{plain(psi, 0 if abs(psi) >= 100 else 1)} psi", f"{plain(mpa, 2)} MPa"
    return f"{imperial} ({metric})" if first == "in" else f"{metric} ({imperial})"


def show_mass(kg: float, first: Unit = "in") -> str:
    """'4.2 lb (1.9 kg)', or the other way round for a shop that works in mm."""
    imperial, metric = (f"{plain(v, 1 if v >= 1 else 2)} {w}" for v, w in ((kg / MASSES["lb"], "lb"), (kg, "kg")))
    return f"{imperial} ({metric})" if first == "in" else f"{metric} ({imperial})"


def show_force(newton: float, first: Unit = "in") -> str:
    """'150 short ton (1334 kN)', or the other way round for a shop that works in mm."""
    tons, kn = newton / N_PER_SHORT_TON, newton / 1000
    imperial = f"{plain(tons, 0 if abs(tons) >= 100 else 1)} short ton"
    metric = f"{plain(kn, 0 if abs(kn) >= 100 else 1)} kN"
    return f"{imperial} ({metric})" if first == "in" else f"{metric} ({imperial})"


def show_time(seconds: float) -> str:
    """'5 s', '2 min' or '1.5 h'."""
    for unit, factor in (("h", 3600.0), ("min", 60.0)):
        if seconds >= factor:
            return f"{seconds / factor:g} {unit}"
    return f"{seconds:g} s"


def show_angle(deg: float, digits: int = 1) -> str:
    """'3.2 deg'."""
    return f"{plain(deg, digits)} deg"


def _decimals(inches: float) -> int:
    """4 for a length that is exact to four decimals and not to three, like 3/16 in; else 3."""
    exact = [abs(inches * k - round(inches * k)) < 1e-4 for k in (1e3, 1e4)]
    return 4 if exact[1] and not exact[0] else 3


def plain(value: float, digits: int) -> str:
    """A number with so many decimals, halves away from zero: 0.125 in is 3.18 mm, whatever the binary fraction under
    3.175; no minus before a zero."""
    if not math.isfinite(value):
        return str(value)
    step = 10.0**digits
    # the slack lifts what is a half but for the last bits of the float
    up = math.floor(abs(value) * step * (1 + 1e-12) + 0.5 + 1e-9)
    return f"{math.copysign(up / step, value) + 0.0 if up else 0.0:.{digits}f}"


def _feet_inches_eighths(text: str, hit: re.Match[str]) -> float:
    feet, inches, eighths = (int(hit[k]) for k in ("ft", "inch", "eighth"))
    if inches > 11:
        raise UnitError(repr(text), "inches from 0 to 11 in feet-inches-eighths")
    size = (12 * feet + inches + eighths / 8) * MM_PER_IN
    return -size if hit["sign"] else size


def _quantity(value: object, factors: dict[str, float], words: str, default: str | None = None) -> float:
    """`value` times the factor of its unit. `default` is the unit of a bare number; None refuses one."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise UnitError(_shown(value), words)
    number, unit = _split(value, words) if isinstance(value, str) else (_real(value, words), "")
    if not unit and default is None:
        raise UnitError(f"{_shown(value)} without a unit", words)
    factor = _factor(unit or str(default), factors)
    if factor is None:
        raise UnitError(repr(value), f"{words} (units: {', '.join(factors)})")
    if not math.isfinite(number * factor):
        raise UnitError(_shown(value), words)
    return number * factor


def _shown(value: object) -> str:
    """The value as the file's person would write it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    text = repr(value) if isinstance(value, str | float) or not isinstance(value, int) else _digits(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _digits(value: int) -> str:
    # Python refuses to print integers of thousands of digits
    return str(value) if abs(value) < 10**60 else "a number of more than 60 digits"


def _real(value: float, words: str) -> float:
    try:
        number = float(value)
    except OverflowError:
        raise UnitError(_shown(value), words) from None
    if not math.isfinite(number):
        raise UnitError(str(number), f"{words}, finite")
    return number


def _split(text: str, words: str) -> tuple[float, str]:
    """(number, unit as typed) of a string such as '1 1/16 in'."""
    if re.search(r"[0-9],[0-9]", text):
        raise UnitError(repr(text), f"{words}: a decimal point and no commas")
    hit = _QUANTITY.fullmatch(text.strip())
    if hit is None or len(text) > 60 or (hit["den"] and int(hit["den"]) == 0):
        raise UnitError(_shown(text), words)
    if hit["dec"]:
        size = float(hit["dec"])
    else:
        size = int(hit["whole"] or 0) + int(hit["num"]) / int(hit["den"])
    return _real(-size if hit["sign"] == "-" else size, words), (hit["unit"] or "").strip()


def _factor(unit: str, factors: dict[str, float]) -> float | None:
    """Factor of a unit as typed. Wholly upper or lower case is taken as meant; `mPa` is not `MPa`."""
    unit = re.sub(r"\s+", " ", unit)
    unit = SPELLINGS.get(unit, SPELLINGS.get(unit.lower(), unit))
    unit = unit.removeprefix("°") if len(unit) > 1 else unit
    if unit in factors:
        return factors[unit]
    if unit not in (unit.lower(), unit.upper()):
        return None
    return next((f for name, f in factors.items() if name.lower() == unit.lower()), None)
