"""The head of a file of measurements: `# key = value` lines that say of what, by whom, when, with what.

    # units = in                 of bare numbers; must be there
    # part = Q7-2301-1           must be there; revision, hand, serial, lot
    # gauge = G-02, G-05         ids of the shop's gauges
    # by = W. Heron              and date = 2031-03-12
    # press = P1                 pressure = 700 psi
    # undercut = 4.5             of the block it was formed on, where it is one; block, packet (fingerprint)
    # template = pins            or hand: how the template was held that gaps were felt under
    # what = part                or blank; state = as pressed, or set by hand
    # points = scan.ply          or image = photo.png: the file beside this one; face = outer or inner; uncertainty = 0.03 mm
    # holes_from = P1            or origin

Nothing is guessed: a file without units or part is refused. A key without a value says nothing, as in a form that was not filled in.
Faults are collected for the reader of the rest.
"""

from __future__ import annotations

import re
from datetime import date as day

from ribwright.adapters.csv_table import comments
from ribwright.adapters.plain_words import ONE_LINE, one_line
from ribwright.errors import Fault, UnitError, nearest
from ribwright.features.inspected import AS_PRESSED, BLANK, BY_HAND, INNER, ON_PINS, OUTER, PART, SET_BY_HAND, Said
from ribwright.units import angle_deg, length_mm, pressure_mpa

UNITS = ("in", "mm")
WORDS = ("part", "revision", "hand", "serial", "lot", "by", "press", "block", "packet", "holes_from", "points", "image")
CHOICES = {
    "what": (PART, BLANK),
    "state": (AS_PRESSED, SET_BY_HAND),
    "template": (ON_PINS, BY_HAND),
    "face": (OUTER, INNER),
}
KEYS = (*WORDS, *CHOICES, "units", "gauge", "date", "pressure", "undercut", "uncertainty")
LONGEST = 200  # characters of a value
FINEST, COARSEST = 1e-4, 5.0  # uncertainty of a point [mm]
MOST_PRESSURE, MOST_UNDERCUT = 200.0, 45.0
FINGERPRINT = re.compile(r"[0-9a-f]{16}")


def read_head(text: str, file: str, faults: list[Fault]) -> Said | None:
    """What the head says; None where units or part are missing. `faults` gains everything wrong with it."""
    typed = comments(text, KEYS, file, faults)
    for key, value in typed.items():
        if len(value) > LONGEST:
            faults.append(Fault(file, key, f"{len(value)} characters", f"{LONGEST} at the most"))
        elif not one_line(value):
            faults.append(Fault(file, key, ascii(value), f"words {ONE_LINE}"))
    typed = {k: v for k, v in typed.items() if v and len(v) <= LONGEST and one_line(v)}
    units, part = typed.get("units", ""), typed.get("part", "")
    if units not in UNITS:
        allowed = 'a line "# units = in" or "# units = mm": nothing is guessed'
        faults.append(Fault(file, "units", repr(units) if units else "nothing", allowed))
    if not part:
        faults.append(Fault(file, "part", "nothing", 'a line "# part = NUMBER": whose measurements these are'))
    choices = {k: _choice(typed, k, file, faults) for k in CHOICES if k in typed}
    packet = typed.get("packet", "")
    if packet and not FINGERPRINT.fullmatch(packet):
        faults.append(Fault(file, "packet", repr(packet), "the 16 digits of the packet's fingerprint, 0-9 and a-f"))
    pressure = _number(typed, "pressure", (0.0, MOST_PRESSURE), 'like "700 psi" or "5 MPa"', file, faults)
    undercut = _number(typed, "undercut", (-MOST_UNDERCUT, MOST_UNDERCUT), "degrees, like 4.5", file, faults)
    spread = _number(typed, "uncertainty", (FINEST, COARSEST), 'a length with its unit, like "0.03 mm"', file, faults)
    when = _date(typed.get("date", ""), file, faults)
    if units not in UNITS or not part:
        return None
    plain = {k: typed.get(k, "") for k in WORDS}
    gauges = tuple(g.strip() for g in typed.get("gauge", "").split(",") if g.strip())
    return Said(
        units=units, gauges=gauges, date=when, pressure_mpa=pressure, undercut_deg=undercut, uncertainty=spread,
        typed=typed, **plain, **{k: v for k, v in choices.items() if v},
    )  # fmt: skip


def _choice(typed: dict[str, str], key: str, file: str, faults: list[Fault]) -> str:
    if typed[key] in CHOICES[key]:
        return typed[key]
    faults.append(
        Fault(file, key, repr(typed[key]), "one of " + ", ".join(CHOICES[key]), nearest(typed[key], CHOICES[key]))
    )
    return ""


def _number(
    typed: dict[str, str], key: str, limits: tuple[float, float], allowed: str, file: str, faults: list[Fault]
) -> float | None:
    """A number with its unit in the unit of the key: MPa, degrees or mm."""
    if key not in typed:
        return None
    read = {"pressure": pressure_mpa, "undercut": angle_deg, "uncertainty": length_mm}[key]
    try:
        value = read(typed[key])
    except UnitError:
        value = None
    if value is None or not limits[0] <= value <= limits[1]:
        faults.append(Fault(file, key, repr(typed[key]), f"{allowed}, {limits[0]:g} to {limits[1]:g}"))
        return None
    return float(value)


def _date(typed: str, file: str, faults: list[Fault]) -> str:
    if not typed:
        return ""
    try:
        return day.fromisoformat(typed).isoformat()
    except ValueError:
        faults.append(Fault(file, "date", repr(typed), "a day like 2031-03-12"))
        return ""
