"""The steps at the press, each caution standing before the step it belongs to."""

from __future__ import annotations

from typing import Any

from ribwright.documents.facing import facing
from ribwright.documents.layout import Piece, caution, listed
from ribwright.documents.lift_words import off_words
from ribwright.documents.readings import at_limit, face, last_one, reading
from ribwright.documents.what_sets import steps_by_hand
from ribwright.stages.bead_demand import BeadDemand
from ribwright.stages.finding import has_stop
from ribwright.stages.pads import is_loose
from ribwright.stages.plan import Plan
from ribwright.stages.setup import Setup
from ribwright.units import show_length, show_time

DEFERS = (
    "The shop's procedures, the press's manual and licensed practice come first. "
    "Where this card says otherwise, they rule."
)
TABLE = "Nothing loose on the table: no tool, stop block or offcut. Shims full-area and fastened."
SCRAP = "First piece on scrap of the same sheet and thickness, then measure before a real blank."
CLEAR = "Guards closed, hands clear, everybody clear, before the ram moves."
LOOSE = "A loose pad can be squeezed out sideways. Nobody beside the press while it has pressure."
RATED = "The rated pressure is never exceeded and cannot be overridden here"
STOP = "Stop on any leak, tilt or noise. Take the pressure off before you look."
VOID = "A finding stops this job. Do not press; this card is for planning only."

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
    side = plan.job.part.side_up or facing(plan.job.part).pressed
    on_pins = f"on all {pins} pins" if pins else "to its marks, there are no pins"
    rows: list[Row] = [("caution", VOID)] if has_stop(plan.findings) else []
    return [
        *rows,
        (
            "step",
            "Compare part number, revision, hand and tool no. on this card, on the block's label and on the blank; sheets of one packet "
            "carry one fingerprint.",
        ),
        ("step", _gauge(s)),
        ("caution", TABLE),
        ("step", _set_block(s, plan.job.shop.units or plan.job.part.units)),
        ("step", f"Lay the blank {on_pins}, {side}. Look that its edge lies as the template says all round."),
        *(("step", f"Lay the loose ring {r.name} over its hole.") for r in plan.block.rings),
        *_on_top(s),
        ("caution", SCRAP),
        ("caution", CLEAR),
        *([("caution", LOOSE)] if is_loose(s.press) else []),
        ("step", f"Bring the {_rubber(s)} down onto the blank without pressure."),
        ("caution", f"{RATED}.{_never(s)}"),
        ("caution", STOP),
        ("step", "Do not pump: clear the stop first." if has_stop(plan.findings) else _pump(s)),
        (
            "step",
            f"Take the pressure off fully, raise the ram, take the part off: {off_words(plan)}.",
        ),
        *_between_hits(s),
        *_by_hand(s),
        (
            "step",
            f"Measure a flange{_target(plan)}. One that is not closed at the reading to pump to is reported, not pumped further.",
        ),
        ("step", "Write down the gauge reading reached, dwell and hits."),
    ]


def _rubber(s: Setup) -> str:
    return "diaphragm" if s.press.kind == "fluid" else "pad"


def _set_block(s: Setup, first: Any) -> str:
    turned = f"turned {s.turned_deg:g} deg" if s.turned_deg else "as drawn"
    bolster = " and fasten the bolster" if s.press.bolster else ""
    moved = [
        f"{show_length(abs(d), first)} {way[0] if d > 0 else way[1]}"
        for d, way in zip(s.place.at, (("right", "left"), ("up", "down")), strict=True)
        if abs(d) >= 0.5
    ]
    said = f"under the {_rubber(s)}, {turned}, seated over its full area"
    if not moved:
        return f"Clean the table{bolster}. Set the block in the middle {said}."
    return (
        f"Clean the table{bolster}. Set the block {said}. It does not lie in the middle: move its middle from the table's, as "
        f"the picture lies, {' and '.join(moved)}."
    )


def _on_top(s: Setup) -> list[Row]:
    routine, rows = s.press.routine, []
    if routine.lubricant:
        rows.append(("step", f"Lubricant, shop's choice: {routine.lubricant}."))
    if routine.cover_plate:
        if s.beads:
            rows.append(
                ("caution", "The cover plate must be open over every bead: under a closed plate no bead is pressed.")
            )
        rows.append(("step", f"Cover plate, shop's choice: {routine.cover_plate}."))
    if any(x.role == "throw" for x in s.press.pad.stack) and s.press.kind != "fluid":
        rows.append(("step", "Lay the throw pad in the middle on the blank; it covers all of it."))
    return rows


def _gauge(s: Setup) -> str:
    gauge = face(s)
    if gauge is None:
        return f"Press {s.press.id} has no gauge in the shop file: do not press."
    due = f"due {gauge.due}" if gauge.due else "due date not typed in"
    return f"Gauge of press {s.press.id}: {due}, check before use; it must read zero without pressure."


def _never(s: Setup) -> str:
    gauge = face(s)
    if gauge is None or gauge.limit is None:
        return ""
    return f" Never past {reading(gauge.limit, gauge.reads)[0]} on the gauge: {gauge.limit_by}."


def _pump(s: Setup) -> str:
    gauge = face(s)
    how = "Pump slowly" if s.press.kind == "manual" else "Bring the press up slowly"
    if gauge is not None and gauge.pump is not None and at_limit(s):
        left = "filled" if isinstance(s.governed, BeadDemand) else "closed"
        last = f"The {last_one(s)} needs about all that this press gives: expect it not quite {left}."
        return f"{how} to {reading(gauge.pump, gauge.reads)[0]} on the gauge. {last} {_dwell(s)}"
    if gauge is None or gauge.pump is None or gauge.close is None:
        return "No reading to pump to is known: do not press until it is."
    to, near = reading(gauge.pump, gauge.reads)[0], reading(gauge.close, gauge.reads)[0]
    does = "be filled" if isinstance(s.governed, BeadDemand) else "close"
    return f"{how} to {to} on the gauge. The {last_one(s)} should {does} near {near} on the gauge. {_dwell(s)}"


def _dwell(s: Setup) -> str:
    """Dwell and hits as the shop file says them."""
    dwell, hits = s.press.routine.dwell_s, s.press.routine.hits
    said = [f"hold {show_time(dwell)}"] if dwell is not None else []
    said += [f"{hits} {'hit' if hits == 1 else 'hits'}"] if hits is not None else []
    left = [] if dwell is not None else ["dwell"]
    left += [] if hits is not None else ["hits"]
    given = f"Shop's choice: {', '.join(said)}. " if said else ""
    return (given + (f"{' and '.join(left).capitalize()} by the shop's practice." if left else "")).strip()


def _between_hits(s: Setup) -> list[Row]:
    """What to look for before the next hit, where the shop presses more than once."""
    if s.press.routine.hits == 1:
        return []
    look = "Between hits, pressure off: look for wrinkles and for a blank off its pins; with either, no further hit."
    return [("step", look)]


def _by_hand(s: Setup) -> list[Row]:
    """Steps of joggles that the press may not set."""
    names = steps_by_hand(s)
    words = f"Set by hand over the block with a fibre drift what does not lie in it: {', '.join(names)}."
    return [("step", words)] if names else []


def _target(plan: Plan) -> str:
    """': edge upper, 90 ± 1 deg, by G-02': the first flanged edge of the web, its angle, the drawing's tolerance where one was
    typed in, the shop's protractor."""
    edge = next((e for loop in plan.blank.laid for e in loop.edges if e.flange), None)
    if edge is None or edge.flange is None:
        return ""
    low, high = edge.flange.bend_angle.values[0], edge.flange.bend_angle.values[-1]
    part, name = plan.job.part, edge.edge.name
    owners = (f"edge.{name}.", f"flange.{edge.flange.name}.", "")
    limits = next((part.tolerance[k] for o in owners if (k := f"{o}flange_angle") in part.tolerance), None)
    angle = f"{low:g} deg" if low == high else f"{low:g} deg at its start, {high:g} at its end"
    within = ""
    if limits is not None:
        within = f", ± {limits[0]:g} deg" if limits[0] == limits[1] else f", - {limits[0]:g} / + {limits[1]:g} deg"
    tool = next((g.id for g in plan.job.shop.gauges if "protractor" in g.kind), None)
    return f": edge {name}, {angle}{within}" + (f", by {tool}" if tool else ", by a protractor")
