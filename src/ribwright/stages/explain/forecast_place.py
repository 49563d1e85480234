"""Numbers of a forecast that are not predicted: where, on which wall, at what pressure, what the blank holds, what others measured."""

from __future__ import annotations

from typing import Any

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.forecast_answer import SAYS
from ribwright.stages.forecast_section import MODEL

OPTIONS: Keys = ("forecast.model", "forecast.pressure_mpa", "forecast.undercut_deg", "model")
ROW = "forecast.stations[*]"
SOLVER = (
    "geometrically exact strip, layers through the thickness, sheet law with hoop strain on curved edges, follower pressure, contact "
    "with the block: forces and moments of every node in balance (Newton), pressure raised in small steps, then let go, then the block "
    "taken away"
)
HELD = "a continuum section of general-purpose finite elements and exact solutions (docs/SECTION.md). " + SAYS
VALID = "radius at least twice the thickness, pads under 80 Shore A, soft sheet up to 35 MPa: elsewhere `unverified` says why"


def on_forecast(place: Place) -> Keys:
    """Everything that can move a predicted number."""
    sheet = ("*materials[*].hardening.kinematic_share", "*materials[*].facts[yield_mpa].value", *on.R_VALUE)
    return (*on.reached(place.world), *sheet, *on.RELIEVED, *OPTIONS)


def _on_where(place: Place) -> Keys:
    return (*on.SHAPE, *on.DEVELOPED, "part.holes*")


def _on_undercut(place: Place) -> Keys:
    return (*on_forecast(place), *_on_where(place))


def _on_pressure(place: Place) -> Keys:
    return (*on.reached(place.world), *OPTIONS)


def station(case: Case) -> str:
    """Path of the place that the number stands in."""
    return case.path[: case.path.index("]") + 1]


def pressure_input(case: Case) -> Input:
    """p of the forecast."""
    return case.number("p", "pressure that acts", "forecast.pressure_mpa", "MPa")


def seat_inputs(case: Case) -> tuple[Input, ...]:
    """Wall, pressure and the pad's share: what every number of a place is computed from besides the sheet."""
    row = station(case)
    return (
        case.number("a", "bend angle of the drawing", f"{row}.bend_angle_deg", "deg"),
        case.number("u", "undercut of the block here", f"{row}.undercut_deg", "deg"),
        case.thickness,
        pressure_input(case),
        case.number(
            "kG",
            "what the pad keeps where a flange closes, less while it is turned less",
            "forecast.pad_share_mpa",
            "MPa",
        ),
    )


def _pressure(case: Case) -> Told:
    given = case.world.inputs.get("forecast.pressure_mpa")
    if given is not None:
        p = case.typed("p", "pressure as given", "forecast.pressure_mpa", "MPa")
        return Told("Pressure of the forecast, as given on the command line.", "typed", inputs=(p,))
    s = case.plan.setup
    assert s is not None
    pumped = s.pump_pressure is not None
    name = "pressure the set-up pumps to" if pumped else "the most the press gives within its ratings"
    value = s.pump_pressure if s.pump_pressure is not None else s.available
    p = between("p", name, value, "MPa", "setup.pump_to_pressure_mpa" if pumped else "setup.available_pressure_mpa")
    return Told(
        f"Pressure of the forecast: {name}.", "formula", "the same number", (p,), "statics", again=float(p.value)
    )


def _share(case: Case) -> Told:
    fluid = case.value == 0.0
    kg = between("kG", "what the pad keeps for itself", case.value, "MPa", "setup.pad_share_mpa; none of a fluid")
    return Told(
        "Pressure that the pad keeps while it is drawn into the corner under an open flange."
        + (" A fluid keeps nothing." if fluid else ""),
        "formula",
        "k G, G of the pad from Shore A; 0 of a fluid",
        (kg,),
        "mechanics/pad.py: fits to pad models of straight flanges",
        "60 to 90 Shore A, straight 90 deg flanges",
        band="goes into the band of a flange whose closing is in doubt",
        compared="pad models of this project; no formed part",
        again=case.value,
    )


def _along(case: Case) -> Told:
    return Told(
        "Where the section is taken: arc length along the edge as typed.",
        "geometry",
        "ends of the edge's interior, extremes of straight part, bend angle and plan curvature, and evenly between",
        (case.number("a", "bend angle here", f"{station(case)}.bend_angle_deg", "deg"),),
        "choice of this project",
    )


def _angle(case: Case) -> Told:
    return Told(
        "Bend angle of the drawing at this place, from flat.",
        "geometry",
        "the flange's bend_angle, linear between the places of its table",
        (between("a", "bend angle", case.value, "deg", "part file: the flange's or hole's bend_angle"),),
        "part file",
    )


def _undercut(case: Case) -> Told:
    given = case.world.inputs.get("forecast.undercut_deg")
    if given is not None:
        u = case.typed("u", "undercut as given", "forecast.undercut_deg", "deg")
        return Told("Undercut of the block, as given on the command line, the same everywhere.", "typed", inputs=(u,))
    u = between("u", "the block's undercut", case.value, "deg", "block.undercut, of a hole block.recesses or rings")
    return Told(
        "Undercut that the block has at this place.",
        "geometry",
        "linear between the block's own places",
        (u,),
        "the block as `[block] undercut` asks for it",
    )


def _wall(case: Case) -> Told:
    inputs = seat_inputs(case)[:2]
    return Told(
        "Angle of the block's wall from flat: how far the flange is turned when it lies on it.",
        "formula",
        "w = a + u",
        inputs,
        "definition",
        again=evaluated(lambda a, u: a + u, inputs),
    )


def _off(case: Case) -> Told:
    row = station(case)
    inputs = (
        case.number("phi", "released angle", f"{row}.angle_released_deg.value", "deg"),
        case.number("a", "bend angle of the drawing", f"{row}.bend_angle_deg", "deg"),
    )
    return Told(
        "Released angle less the drawing's: negative is open, positive closed.",
        "formula",
        "phi - a",
        inputs,
        "definition",
        again=evaluated(lambda phi, a: phi - a, inputs),
    )


def _blank(case: Case) -> Told:
    strain = case.caught[1] == "strain"
    what = "True hoop strain" if strain else "Thickness"
    return Told(
        f"{what} of the free edge that the flat blank was developed with: the drawing's shape, no springback.",
        "geometry",
        "blank.edges and blank.holes, interpolated at this place",
        (case.number("a", "bend angle here", f"{station(case)}.bend_angle_deg", "deg"),),
        "the blank's method",
    )


SHAPES = {
    "web_lift_mm": "Largest gap under the web beside the bend, under load.",
    "wall_gap_mm": "Largest gap between sheet and wall of the block, under load.",
    "crown_gap_mm": "Largest gap between sheet and rounded edge of the block, under load.",
    "thickness_over_bend_mm": "Least thickness over the bend, under load.",
    "residual_stress_mpa": "Greatest stress left in the sheet after release, at any layer.",
    "angle_on_block_deg": "Angle when the pressure is gone and the part still sits on its block.",
    "yields_again_share": "Of the layers that had yielded under load, the share that yields again as the sheet is let go.",
    "yields_again_strain": "Most equivalent plastic strain that letting go adds in any layer; 0: what it gives back is elastic.",
}


def _shape(case: Case) -> Told:
    what = SHAPES[case.path.rpartition(".")[2]]
    return Told(what, "solved", SOLVER, seat_inputs(case), MODEL, VALID, band="none given", compared=HELD)


def _quick_off(case: Case) -> Told:
    rows = case.world.answer["forecast"]["stations"]
    both = [
        (r["closed_form_released_deg"]["value"], r["angle_released_deg"]["value"])
        for r in rows
        if r["closed_form_released_deg"] and r["angle_released_deg"] and r["closes"] and _shut(r)
    ]
    q, s = max(both, key=lambda x: abs(x[0] - x[1]))
    inputs = (
        between("q", "released angle by the quick formula, where it is farthest off", q, "deg", "forecast.stations"),
        between("s", "released angle by the section model there", s, "deg", "forecast.stations"),
    )
    return Told(
        "How far the quick formula was from the section model where it is farthest off, of the flanges that close by both; negative: too "
        "far open.",
        "formula",
        "q - s",
        inputs,
        "definition",
        again=evaluated(lambda q, s: q - s, inputs),
    )


def _shut(row: dict[str, Any]) -> bool:
    """Whether the quick formula has it on the wall."""
    return bool(row["closed_form_loaded_deg"]["value"] > row["wall_angle_deg"] - 1e-6)


def _measured(case: Case) -> Told:
    row = case.row
    return Told(
        f"Of what was reported for this alloy and temper: {row['process']}, '{row['said']}'. No number is computed from it.",
        "fact",
        inputs=(between("x", "figure of the source", case.value, "", "facts/measured.toml"),),
        source=row["source"],
        validity=f"not known: {', '.join(row['unknown'])}",
    )


def _elapsed(case: Case) -> Told:
    return Told(
        "Time this forecast took on this machine: the one number that differs when the same is asked again.",
        "solved",
        "clock at the end less clock at the start",
        (between("s", "seconds", case.value, "s", "this machine's clock"),),
        "this machine",
        compared="nothing",
    )


FAMILIES = (
    Family("forecast.pressure_mpa", _on_pressure, _pressure),
    Family("forecast.pad_share_mpa", lambda p: (*on.rubber(p.world), "press"), _share),
    Family("forecast.quick_formula_off_deg", on_forecast, _quick_off),
    Family("forecast.elapsed_s", on_forecast, _elapsed),
    Family(f"{ROW}.along_mm", _on_where, _along),
    Family(f"{ROW}.bend_angle_deg", _on_where, _angle),
    Family(f"{ROW}.undercut_deg", _on_undercut, _undercut),
    Family(f"{ROW}.wall_angle_deg", _on_undercut, _wall),
    Family(f"{ROW}.off_drawing_deg", on_forecast, _off),
    Family(f"{ROW}.blank_edge_(strain|thickness_mm)", _on_where, _blank),
    Family(
        f"{ROW}.(web_lift_mm|wall_gap_mm|crown_gap_mm|thickness_over_bend_mm|residual_stress_mpa|angle_on_block_deg"
        "|yields_again_share|yields_again_strain)",
        on_forecast, _shape,
    ),
    Family("forecast.measured[*].(springback_deg.min|springback_deg.max|thickness_mm|radius_mm)", lambda _: on.SHEET, _measured),
)  # fmt: skip
