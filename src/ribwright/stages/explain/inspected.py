"""Numbers of an inspection: what was read off a file, how data was laid on the drawing, limits, and what hand work is asked for."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, always

FILE = "file of measurements"
PAPER = "nothing: it is what somebody measured"
ON_TOLERANCE = ("part.tolerance*",)
ON_DRAWN = (*on.SHAPE, "part.holes*", "part.sheet.thickness")
ON_TIMES = ("shop.hand_times*",)
ON_ROOM = (
    *on.SHAPE,
    *on.SPRING,
    "radius_table.*",
    "then_radius_tables*",
    "*materials[*].bend_row",
    "*materials[*].facts[*].value",
)
ON_MOVE = (*ON_DRAWN, *ON_TOLERANCE, "shop.gauges*", "shop.rules.decision")
OWN = "own strain of the bend, (t/2)/(R + t/2), with the angle at which it stands over the drawing's (mechanics/hand_bend)"
FIT = {
    "x_mm": "Move along x that lays the measured data on the drawing.",
    "y_mm": "Move along y that lays the measured data on the drawing.",
    "rotation_deg": "Turn, counter-clockwise, that lays the measured data on the drawing, before the move.",
    "rms_mm": "Root mean square of what was left, after the move, of that to which it was fitted.",
}
RESULT = {
    "value": "The characteristic as measured: mean of its readings, or what the points or the outline give at the place.",
    "uncertainty": "Expanded uncertainty (coverage factor 2) of the value: of the reading or its gauge, the scatter of the mean of several "
    "readings, the play of the pins or the fit, as root of the sum of squares.",
    "nominal": "What the drawing has for this characteristic at this place; 0 of a deviation.",
    "readings": "How many readings or points are behind the value.",
    "where.along_mm": "Where along the edge, from its start as typed.",
}
MOVE = {
    "order": "Place of the move in the list: the web first, then the flanges, then their edges.",
    "along_mm": "Where the move is largest, along the edge from its start as typed.",
    "from_mm": "First of the places that the move stands for, along the edge as typed.",
    "to_mm": "Last of the places that the move stands for, along the edge as typed.",
    "stop_at": "What the drawing has: where to stop.",
    "stop_low": "Least reading of the gauge at which the place is proved inside: the limit with the guard band of the shop's rule.",
    "stop_high": "Greatest reading of the gauge at which the place is proved inside.",
    "places[*].along_mm": "A place that the move stands for, along the edge as typed.",
    "places[*].amount": "How far that place is to be moved.",
    "places[*].stands": "Where that place stands, as measured.",
    "places[*].stop_at": "The drawing's angle at that place.",
    "places[*].stop_low": "Least reading of the gauge that proves that place inside.",
    "places[*].stop_high": "Greatest reading of the gauge that proves that place inside.",
    "places[*].push_to": "The angle to push that place to, so that it comes back to the drawing's: closed form of pure bending.",
    "gather_mm": "Length that the edge on the high side must lose so that the web lies flat: 8 f h/L.",
    "flutes": "Flutes of the usual size that take it.",
}
STRAIN = {
    "strain_now": "Strain of the outer fibre (or of the edge) where it stands: " + OWN + ".",
    "strain_after": "The same after the move: what one pass adds counts, to or fro.",
    "strain_limit": "What the accumulated strain is held against: the own strain of the least radius of the shop's table, "
    "or the edge limit of the record.",
    "passes_left": "Passes of this size that are left below the limit after the move.",
    "past": "How far past the target the flange is pushed so that it comes back to it: closed form of pure bending.",
    "past_most": "At most so far past the target: the closed form as an upper bound.",
}


def _fit(case: Case) -> Told:
    key = case.path.rsplit(".", 1)[1]
    return Told(
        FIT[key], "solved", "least squares of a rigid move in the plane of the web (closed form, weights from the stated uncertainties)",
        source="stages/found: Fit", compared="simulated parts of known move",
    )  # fmt: skip


def _result(case: Case) -> Told:
    key = case.path.split("].", 1)[1]
    origin = "geometry" if key in ("nominal", "where.along_mm") else "typed"
    by = case.row["by"]
    made = "solved" if key in ("value", "uncertainty") and by in ("points", "outline") else origin
    source = f"{FILE}, by {by}" if made != "geometry" else "the drawing, at that place"
    return Told(RESULT[key], made, source=source, compared=PAPER if made == "typed" else "")


def _deviation(case: Case) -> Told:
    i = case.caught[0]
    inputs = (
        case.number("y", "as measured", f"inspect.results[{i}].value", case.row["unit"]),
        case.number("n", "the drawing's", f"inspect.results[{i}].nominal", case.row["unit"]),
    )
    return Told("Measured less the drawing's.", "formula", "y - n", inputs, again=evaluated(lambda y, n: y - n, inputs))


def _limit(case: Case) -> Told:
    which = "least" if case.caught[1] == "low" else "greatest"
    inputs = (case.number("n", "the drawing's", f"inspect.results[{case.caught[0]}].nominal", case.row["unit"]),)
    return Told(
        f"The {which} value that the drawing allows.",
        "typed",
        "n and the tolerance of the part file",
        inputs,
        "part file: [tolerance]",
    )


def _station(case: Case) -> Told:
    words = {
        "along_mm": "Where along the edge, from its start as typed.",
        "deviation_mm": "How far the contour stands off the drawn line, + metal outside it.",
        "angle_deg": "The bend angle from flat, as measured.",
        "uncertainty": "Expanded uncertainty of the deviation; where there is none, of the angle.",
        "angle_uncertainty_deg": "Expanded uncertainty of the angle.",
    }
    return Told(
        words[case.path.rsplit(".", 1)[1]], "rounded", "the result of the same place under inspect.results", source=FILE
    )


def _drift(case: Case) -> Told:
    words = {
        "x_mm": "How far the hole lies off the drawing along x, after the fit.",
        "y_mm": "How far the hole lies off the drawing along y, after the fit.",
        "uncertainty_mm": "Expanded uncertainty of the larger of both.",
    }
    return Told(words[case.path.rsplit(".", 1)[1]], "solved", "measured centre, moved, less the drawing's", source=FILE)


def _count(case: Case) -> Told:
    what = case.path.rsplit(".", 1)[1].replace("_", " ")
    of = "Toleranced characteristics without a result" if what == "not measured" else f"Results with the verdict {what}"
    return Told(f"{of}.", "formula", "counted")


def _amount(case: Case) -> Told:
    i = case.caught[0]
    row = case.row
    if row["stands"] is None or row["stop_at"] is None:
        return Told("How far to move it.", "solved", "see the move's own words", source="stages/handwork")
    inputs = (
        case.number("s", "where to stop", f"inspect.handwork[{i}].stop_at", row["unit"]),
        case.number("m", "where it stands", f"inspect.handwork[{i}].stands", row["unit"]),
    )
    return Told(
        "How far to move it: of an angle, + closes the flange.",
        "formula",
        "s - m",
        inputs,
        again=evaluated(lambda s, m: s - m, inputs),
    )


def _move(case: Case) -> Told:
    key = case.path.split("].", 1)[1]
    if key.startswith("places["):
        key = "places[*]." + key.rsplit(".", 1)[1]
    return Told(MOVE[key], "geometry" if "along" in key or key.endswith("_mm") else "formula", source="stages/handwork")


def _strain(case: Case) -> Told:
    key = case.path.rsplit(".", 1)[1]
    compared = "nothing: strain to and fro is summed as the usual cautious measure; no formed part was compared"
    return Told(
        STRAIN[key],
        "formula",
        source=case.row["strain_by"] or case.row["past_why"] or "mechanics/hand_bend",
        compared=compared,
    )


def _stands(case: Case) -> Told:
    return Told("Where the place stands, as measured.", "typed", source=FILE, compared=PAPER)


def _minutes(case: Case) -> Told:
    return Told(
        "The shop's own minutes, for each place that the move stands for; measuring again in the sum.", "typed", "times of [times], added",
        source="shop.toml: [times]",
    )  # fmt: skip


def _beside(case: Case) -> Told:
    words = {
        "window_s": "Time after the quench in which the shop's specification lets it be straightened.",
        "along_mm": "Where along the edge, from its start as typed.",
        "from_mm": "Where along the edge it begins, from the edge's start as typed.",
        "to_mm": "Where along the edge it ends.",
        "off": "As measured less the drawing's.",
        "value": "As measured.",
        "chance": "Share of first pieces that need no move, by the forecast.",
    }
    return Told(
        words[case.path.rsplit(".", 1)[1]],
        "typed",
        source=FILE if "window" not in case.path else "shop.toml: [heat_treat]",
    )


def _on_gauge(place: Place) -> tuple[str, ...]:
    return (*ON_DRAWN, "shop.gauges*", "practice*")


FAMILIES = (
    Family("inspect.fit.(x_mm|y_mm|rotation_deg|rms_mm)", always(*ON_DRAWN), _fit),
    Family("inspect.results[*].(value|readings|where.along_mm)", always(*ON_DRAWN), _result),
    Family("inspect.results[*].uncertainty", _on_gauge, _result),
    Family("inspect.results[*].nominal", always(*ON_DRAWN), _result),
    Family("inspect.results[*].deviation", always(*ON_DRAWN), _deviation),
    Family("inspect.results[*].limits.(low|high)", always(*ON_DRAWN, *ON_TOLERANCE), _limit),
    Family(
        "inspect.stations[*].(along_mm|deviation_mm|angle_deg|uncertainty|angle_uncertainty_deg)", _on_gauge, _station
    ),
    Family("inspect.drifts[*].(x_mm|y_mm|uncertainty_mm)", _on_gauge, _drift),
    Family("inspect.counts.(inside|outside|cannot_tell|not_measured)", always(*ON_MOVE), _count),
    Family("inspect.handwork[*].amount", always(*ON_MOVE), _amount),
    Family("inspect.handwork[*].stands", always(*ON_MOVE), _stands),
    Family("inspect.handwork[*].minutes", always(*ON_MOVE, *ON_TIMES), _minutes),
    Family(
        "inspect.handwork[*].(strain_now|strain_after|strain_limit|passes_left|past|past_most)",
        always(*ON_MOVE, *ON_ROOM),
        _strain,
    ),
    Family("inspect.handwork[*].{*}", always(*ON_MOVE, *ON_ROOM), _move),
    Family("inspect.hand_finishing.minutes", always(*ON_MOVE, *ON_TIMES), _minutes),
    Family("inspect.hand_finishing.{*}", always(*ON_MOVE, "shop.heat_treat*"), _beside),
)
