"""What the hand on the pump reads, as it stands on a card: in the unit on the gauge's face, never rounded up past a limit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import floor

from ribwright.documents.layout import NumberBox, split_units
from ribwright.stages.setup import Setup
from ribwright.units import FORCES, PRESSURES, Unit, show_pressure

DIGITS = {"psi": 0, "ksi": 3, "MPa": 2, "N/mm2": 2, "kPa": 0, "bar": 1}
DIGITS |= {"N": 0, "kN": 0, "lbf": 0, "short ton": 1, "long ton": 1, "metric ton": 1}
UNITS = {**PRESSURES, **FORCES}


@dataclass(frozen=True)
class Face:
    """What the press's gauge says, in MPa for a gauge that reads pressure, in N for one that reads the ram's force.

    `close` when the last flange should close, `pump` to pump to, `limit` never to pass; None where there is no such
    reading. `kind`: "pressure" or "force".
    """

    reads: str
    due: str
    kind: str
    close: float | None
    pump: float | None
    limit: float | None
    limit_by: str


def face(s: Setup) -> Face | None:
    """The gauge of the set-up's press with its readings; None for a press without gauge."""
    gauge, force = s.press.gauge, s.press.force_gauge
    if gauge is not None:
        readings = (s.gauge_mpa, s.pump_gauge_mpa, s.gauge_limit_mpa)
        return Face(gauge.reads, gauge.due, "pressure", *readings, s.gauge_limit_by)
    if force is not None:
        readings = (s.gauge_force, s.pump_gauge_force, s.gauge_limit_force)
        return Face(force.reads, force.due, "force", *readings, s.gauge_limit_by)
    return None


def reading(value: float, reads: str) -> tuple[str, str]:
    """('3895 psi', '26.86 MPa'): what the gauge's face shows, rounded down, and the same in the other unit. `value` in MPa,
    or in N where the face reads a force.

    >>> reading(34.5, "bar")
    ('345.0 bar', '34.50 MPa')
    """
    unit = reads if reads in UNITS else "psi"
    if unit in FORCES:
        return _down(value, unit), _down(value, "short ton" if unit in ("N", "kN") else "kN")
    other = "MPa" if unit in ("psi", "ksi", "bar", "kPa") else "psi"
    return _down(value, unit), _down(value, other)


def band_words(low: float, high: float, first: Unit) -> str:
    """'871 to 1301 psi (6.01 to 8.97 MPa)': a band of pressures [MPa] in both units."""
    lows, highs = split_units(show_pressure(low, first)), split_units(show_pressure(high, first))
    main, other = (f"{a.split(' ')[0]} to {b}" for a, b in zip(lows, highs, strict=True))
    return f"{main} ({other})"


def press_numbers(s: Setup | None, stopped: bool = False) -> tuple[NumberBox, ...]:
    """Press, reading to pump to, reading at which the flanges should close, reading never to pass. `stopped`: a finding
    stops the job, and a void card carries no reading to pump to."""
    boxes = _press_numbers(s)
    return stopped_numbers(boxes) if stopped else boxes


def _press_numbers(s: Setup | None) -> tuple[NumberBox, ...]:
    if s is None:
        words = "No press was named: this card carries no reading to pump to. Name one with --press."
        return (NumberBox("PRESS", "none named", words),)
    gauge = face(s)
    if gauge is None:
        words = f"Press {s.press.id} has no gauge in the shop file: there is no reading to pump to. Do not press."
        return (NumberBox(f"PRESS {s.press.id}", "no gauge", words, s.press.source, True),)
    capped = s.needed is not None and s.needed.high > s.available * (1 + 1e-9)
    to_by = "at the limit: the 90 % band goes past it" if capped else "top of the 90 % band"
    due = f"gauge due {gauge.due}: check before use" if gauge.due else "gauge due date not typed in"
    return (
        NumberBox("PRESS", s.press.id, s.press.name, due, share=0.9),
        _box("PUMP TO, gauge", gauge.pump, gauge.reads, to_by, 1.1),
        _box("should close at", gauge.close, gauge.reads, "by the closed form", 1.0),
        _box("NEVER PAST", gauge.limit, gauge.reads, f"by: {gauge.limit_by}", 1.1, loud=True),
    )


def stopped_numbers(boxes: tuple[NumberBox, ...]) -> tuple[NumberBox, ...]:
    """The boxes without a reading to pump to."""
    void = {"PUMP TO, gauge": "DO NOT PUMP", "should close at": "-"}
    return tuple(
        replace(b, value=void[b.label], under="", by="a finding stops the job") if b.label in void else b for b in boxes
    )


def _box(label: str, read: float | None, reads: str, by: str, share: float, loud: bool = False) -> NumberBox:
    value, under = reading(read, reads) if read is not None else ("not known", "no flow curve for this temper")
    return NumberBox(label, value, under, by, loud, share)


def _down(si: float, unit: str) -> str:
    digits = DIGITS[unit]
    # 1e-6: a limit typed as 5000 psi stays 5000 after its way through MPa
    value = floor(si / UNITS[unit] * 10**digits + 1e-6) / 10**digits
    return f"{value:.{digits}f} {unit}"
