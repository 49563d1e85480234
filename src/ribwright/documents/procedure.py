"""The steps at the press, each caution standing before the step it belongs to."""

from __future__ import annotations

from ribwright.documents.layout import Piece, caution, listed
from ribwright.documents.readings import reading
from ribwright.stages.finding import has_stop
from ribwright.stages.lift_off import LiftOff
from ribwright.stages.plan import Plan
from ribwright.stages.setup import Setup

DEFERS = (
    "The shop's procedures, the press's manual and licensed practice come first. "
    "Where this card says otherwise, they rule."
)
TABLE = "Nothing loose on the table: no tool, stop block or offcut. Shims full-area and fastened."
SCRAP = "First piece on scrap of the same sheet and thickness, then measure before a real blank."
CLEAR = "Guards closed, hands clear, everybody clear, before the ram moves."
RATED = "The rated pressure is never exceeded and cannot be overridden here"
STOP = "Stop on any leak, tilt or noise. Take the pressure off before you look."
VOID = "A finding stops this job. Do not press; this card is for planning only."
LIFTS = {
    "lifts": "lift it straight up",
    "slides": "slide it off, it does not lift straight up",
    "trapped": "it hooks under the block all round: see the findings before pressing",
}

Row = tuple[str, str]  # ("step" or "caution", words)


def procedure(plan: Plan, s: Setup, width: float) -> tuple[Piece, ...]:
    """Numbered steps and cautions. A caution stays with the step after it."""
    pieces: list[Piece] = []
    number = 0
    for kind, words in steps(plan, s):
        if kind == "caution":
            done = caution(words, width, indent=6.0)
            pieces.append(Piece(done.height, done.items, keep=True))
        else:
            number += 1
            pieces += listed(str(number), words, width)
    return tuple(pieces)


def steps(plan: Plan, s: Setup) -> list[Row]:
    """What to do, in order, as ("step" | "caution", sentence); the last row is a step."""
    pins = len(plan.block.pins)
    turned = f"turned {s.turned_deg:g} deg" if s.turned_deg else "as drawn"
    side = plan.job.part.side_up or "heel face up, flanges turn down"
    on_pins = f"on all {pins} pins" if pins else "to its marks, there are no pins"
    rows: list[Row] = [("caution", VOID)] if has_stop(plan.findings) else []
    return [
        *rows,
        (
            "step",
            "Compare part number, revision and hand on this card, on the block's label and on the blank; sheets of one packet "
            "carry one fingerprint.",
        ),
        ("step", _gauge(s)),
        ("caution", TABLE),
        ("step", f"Clean the table. Set the block in the middle under the pad, {turned}, seated over its full area."),
        ("step", f"Lay the blank {on_pins}, {side}. Look that its edge lies as the template says all round."),
        *(("step", f"Lay the loose ring {r.name} over its hole.") for r in plan.block.rings),
        ("caution", SCRAP),
        ("caution", CLEAR),
        ("step", "Bring the pad down onto the blank without pressure."),
        ("caution", f"{RATED}.{_never(s)}"),
        ("caution", STOP),
        ("step", "Do not pump: clear the stop first." if has_stop(plan.findings) else _pump(s)),
        ("step", f"Take the pressure off fully, raise the ram, take the part off: {_off(plan.block.lift)}."),
        ("step", "Measure a flange. One that is not closed at the reading to pump to is reported, not pumped further."),
        ("step", "Write down pressure reached, dwell and hits."),
    ]


def _gauge(s: Setup) -> str:
    gauge = s.press.gauge
    if gauge is None:
        return f"Press {s.press.id} has no gauge in the shop file: do not press."
    due = f"due {gauge.due}" if gauge.due else "due date not typed in"
    return f"Gauge of press {s.press.id}: {due}, check before use; it must read zero without pressure."


def _never(s: Setup) -> str:
    if s.press.gauge is None or s.gauge_limit_mpa is None:
        return ""
    return f" Never past {reading(s.gauge_limit_mpa, s.press.gauge.reads)[0]} on the gauge: {s.gauge_limit_by}."


def _pump(s: Setup) -> str:
    gauge = s.press.gauge
    if gauge is None or s.pump_gauge_mpa is None or s.gauge_mpa is None:
        return "No reading to pump to is known: do not press until it is."
    to, near = reading(s.pump_gauge_mpa, gauge.reads)[0], reading(s.gauge_mpa, gauge.reads)[0]
    return f"Pump slowly to {to}. The last flange should close near {near}. Dwell and hits by the shop's practice."


def _off(lift: LiftOff) -> str:
    return LIFTS.get(lift.how, lift.how)
