"""What the hand on the pump reads, as it stands on a card: in the unit on the gauge's face, never rounded up past a limit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor

from ribwright.documents.layout import NumberBox, split_units
from ribwright.stages.bead_demand import BeadDemand
from ribwright.stages.setup import Setup
from ribwright.units import FORCES, PRESSURES, Unit, show_pressure

PUMP_TO, CLOSES = "PUMP TO, on the gauge", "should close, on the gauge"
FILLS = "bead filled, on the gauge"
DIGITS = {"psi": 0, "ksi": 3, "MPa": 2, "N/mm2": 2, "kPa": 0, "bar": 1}
DIGITS |= {"N": 0, "kN": 0, "lbf": 0, "short ton": 1, "long ton": 1, "metric ton": 1}
UNITS = {**PRESSURES, **FORCES}
# what a hand reads off a face from where it stands at the pump
STEPS = {"psi": 50.0, "ksi": 0.05, "MPa": 0.2, "N/mm2": 0.2, "kPa": 200.0, "bar": 2.0}
STEPS |= {"N": 10_000.0, "kN": 10.0, "lbf": 2000.0, "short ton": 1.0, "long ton": 1.0, "metric ton": 1.0}
FINER = (1.0, 0.2, 0.1, 0.02, 0.01)  # of a step, for a small gauge or readings close together
LEAST_STEPS = 20.0  # of the limit, so that rounding down gives away no more than a twentieth


@dataclass(frozen=True)
class Face:
    """What the press's gauge says on paper, in MPa for a gauge that reads pressure, in N for one that reads the ram's force,
    in steps that a hand can read (`in_steps`).

    `close` when the last flange should close, or the last bead be filled, `pump` to pump to, `limit` never to pass; None where
    there is no such reading. `kind`: "pressure" or "force". `pump_by`: why the reading to pump to is what it is.
    """

    reads: str
    due: str
    kind: str
    close: float | None
    pump: float | None
    limit: float | None
    limit_by: str
    pump_by: str = ""


@dataclass(frozen=True)
class Steps:
    """Readings in steps of a gauge's face, in the unit given. `held`: the one to pump to was held a step below the limit."""

    close: float | None
    pump: float | None
    limit: float | None
    step: float
    held: bool


def face(s: Setup) -> Face | None:
    """The gauge of the set-up's press with its readings; None for a press without gauge."""
    gauge, force = s.press.gauge, s.press.force_gauge
    if gauge is not None:
        return _face(gauge.reads, gauge.due, "pressure", s, (s.gauge_mpa, s.pump_gauge_mpa, s.never_past_mpa))
    if force is not None:
        return _face(force.reads, force.due, "force", s, (s.gauge_force, s.pump_gauge_force, s.never_past_force))
    return None


def at_limit(s: Setup) -> bool:
    """Whether the last flange or bead needs more than the press gives, though no more than a pressure is told to
    (`pressure.within`): the press pumps to its limit, and there is no reading at which that flange closes or that bead is filled."""
    return s.needed is not None and s.needed.value > s.available * (1 + 1e-9)


def last_one(s: Setup) -> str:
    """'last flange', or 'last bead' where a bead asks for more than every flange."""
    return "last bead" if isinstance(s.governed, BeadDemand) else "last flange"


def _face(reads: str, due: str, kind: str, s: Setup, readings: tuple[float | None, ...]) -> Face:
    close, pump, limit = readings
    if at_limit(s):
        close = None
    unit = reads if reads in UNITS else "psi"
    done = in_steps(close, pump, limit, unit)
    past = s.needed is not None and s.needed.high > s.available * (1 + 1e-9)
    past = past or (pump is not None and limit is not None and pump > limit * (1 + 1e-9))
    by = "at the limit: the 90 % band goes past it" if past else "top of the 90 % band"
    if done.held:
        by += f"; {done.step:g} {unit} below NEVER PAST"
    to, most, near = (None if x is None else x * UNITS[unit] for x in (done.pump, done.limit, done.close))
    return Face(reads, due, kind, near, to, most, s.never_past_by, by)


def in_steps(close: float | None, pump: float | None, limit: float | None, unit: str) -> Steps:
    """Readings [MPa or N] for paper, in `unit`: to pump to and never past rounded down to a readable step, the one to pump
    to at least a step below never past, where it should close rounded up to the step but never past the one to pump to. The
    step is made finer on a small gauge, and where the readings lie too close together for it.

    >>> in_steps(4310 * 0.006894757, 4998 * 0.006894757, 4998 * 0.006894757, "psi")
    Steps(close=4350.0, pump=4900.0, limit=4950.0, step=50.0, held=True)
    """
    near, to, most = (None if x is None else x / UNITS[unit] for x in (close, pump, limit))
    if most is None:
        return Steps(near, to, None, 0.0, False)
    # no finer than what is printed
    steps = [f * STEPS[unit] for f in FINER if f * STEPS[unit] >= 10.0 ** -DIGITS[unit] * (1 - 1e-9)]
    for step in steps:
        done = _in_steps(near, to, most, step)
        closes = near is None or done.pump is None or near <= done.pump + 1e-9
        if closes and most >= LEAST_STEPS * step:
            return done
    return _in_steps(near, to, most, steps[-1])


def _in_steps(close: float | None, pump: float | None, limit: float, step: float) -> Steps:
    # 1e-6: a limit typed as 5000 psi stays 5000 after its way through MPa
    most = floor(limit / step + 1e-6)
    if pump is None:
        return Steps(None if close is None else ceil(close / step - 1e-6) * step, None, most * step, step, False)
    want = floor(pump / step + 1e-6)
    to = max(min(want, most - 1), 0)
    near = None if close is None else min(ceil(close / step - 1e-6), to) * step
    return Steps(near, to * step, most * step, step, to < want)


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
    label = FILLS if isinstance(s.governed, BeadDemand) else CLOSES
    due = f"gauge due {gauge.due}: check before use" if gauge.due else "gauge due date not typed in"
    return (
        NumberBox("PRESS", s.press.id, s.press.name, due, share=0.75),
        _box(PUMP_TO, gauge.pump, gauge.reads, gauge.pump_by, 1.1),
        NumberBox(label, "no reading", f"the {last_one(s)} is at this press's limit", by_word(s), share=1.1)
        if at_limit(s)
        else _box(label, gauge.close, gauge.reads, by_word(s), 1.1),
        _box("NEVER PAST, on the gauge", gauge.limit, gauge.reads, f"by: {gauge.limit_by}", 1.1, loud=True),
    )


def stopped_numbers(boxes: tuple[NumberBox, ...]) -> tuple[NumberBox, ...]:
    """The boxes without a reading to pump to."""
    void = {PUMP_TO: "DO NOT PUMP", CLOSES: "-", FILLS: "-"}
    return tuple(
        replace(b, value=void[b.label], under="", by="a finding stops the job") if b.label in void else b for b in boxes
    )


def by_word(s: Setup) -> str:
    """Which model gave the pressure at which the last flange should close, or the last bead be filled."""
    if isinstance(s.governed, BeadDemand):
        return "by the strip over the groove"
    return "by the section model" if s.governed is not None and s.governed.by_model else "by the closed form"


def _box(label: str, read: float | None, reads: str, by: str, share: float, loud: bool = False) -> NumberBox:
    value, under = reading(read, reads) if read is not None else ("not known", "no flow curve for this temper")
    return NumberBox(label, value, under, by, loud, share)


def _down(si: float, unit: str) -> str:
    digits = DIGITS[unit]
    # 1e-6: a limit typed as 5000 psi stays 5000 after its way through MPa
    value = floor(si / UNITS[unit] * 10**digits + 1e-6) / 10**digits
    return f"{value:.{digits}f} {unit}"
