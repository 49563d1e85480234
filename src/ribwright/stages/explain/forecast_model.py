"""Predicted numbers of a forecast: angles, springback, radius, free edge, with the ends of their bands."""

from __future__ import annotations

from math import exp, expm1

from ribwright.stages.develop import hill_k
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, between
from ribwright.stages.explain.forecast_place import HELD, ROW, SOLVER, VALID, on_forecast, seat_inputs, station
from ribwright.stages.explain.setup_pressure import COMPARED
from ribwright.stages.explain.setup_reach import OWN, STRIP, TURNS
from ribwright.stages.forecast_answer import split_limit
from ribwright.stages.forecast_section import MODEL

WHAT = {
    "angle_loaded_deg": "Angle of the flange under pressure, from flat, of the line from one thickness past the bend to the free edge",
    "angle_released_deg": "Angle of the flange in the hand: pressure gone, part off the block",
    "closed_form_loaded_deg": "Angle under pressure by the quick formula",
    "closed_form_released_deg": "Released angle by the quick formula",
    "springback_deg": "Angle given back: under load less released",
    "left_open_deg": "What is missing to the block's wall under load; negative: turned past it",
    "formed_radius_mm": "Inside radius of the released bend",
    "edge_strain": "True hoop strain of the released free edge, of the mid-surface",
    "edge_thickness_mm": "Thickness of the free edge",
    "split_margin": "Room to the limit at which the free edge splits, as a share of the limit",
}
SECTION_FORMULA = {
    "angle_loaded_deg": SOLVER,
    "angle_released_deg": SOLVER,
    "formed_radius_mm": f"{SOLVER}; circle fitted to the inner face over the middle of the bend",
    "edge_strain": f"{SOLVER}; ln of the free edge's plan radius over its flat one",
}
QUICK_FORMULA = {
    "angle_loaded_deg": TURNS,
    "angle_released_deg": "springback of a closed bend in proportion to the turned angle; an open flange's bow straightens besides",
    "formed_radius_mm": "(R + t/2) a/phi - t/2: the released arc is the drawing's",
    "edge_strain": "ln((A + s (rho sin phi + L cos phi))/(A + s (arc + L))), rho of the kept arc, A plan radius of the bend's "
    "beginning, s = 1 convex, -1 concave",
}
SECTION_BAND = (
    "value -+ 1.645 sqrt(sum of (effect of one standard deviation)^2 + (the model's own)^2): thickness, strength, n, modulus, kinematic "
    "share, pressure, edge of the block, R-value, friction and the pad's share changed one at a time; about the value moved by what "
    "friction of 0.1 does, which can only lie to one side (0 in the value)"
)
QUICK_BAND = "bands of springback formula, sheet, closing pressure and pad, as of the set-up"


def _by_quick(case: Case) -> bool:
    quick = case.world.inputs.get("forecast.model") == "closed-form"
    return quick or case.caught[1].startswith("closed_form")


def _formula(case: Case, name: str) -> str:
    plain = name.replace("closed_form_", "angle_")
    return QUICK_FORMULA[plain] if _by_quick(case) else SECTION_FORMULA[plain]


def _modelled(case: Case) -> Told:
    """A number read off a model, or an end of its band."""
    name, end = case.caught[1], case.caught[2]
    quick = _by_quick(case)
    value = {"value": "", "low": ", lower end of the 90 % band", "high": ", upper end of the 90 % band"}[end]
    inputs = seat_inputs(case)
    if end != "value":
        inputs = (case.number("x", "the value itself", f"{station(case)}.{name}.value", _unit(name)), *inputs)
    band = QUICK_BAND if quick else SECTION_BAND
    why = str(case.row["unverified"]) if not quick else ""
    return Told(
        f"{WHAT[name]}{value}.",
        "solved",
        _formula(case, name) if end == "value" else band,
        inputs,
        OWN if quick else MODEL,
        (VALID + (f"; here: {why}" if why else "")) if not quick else "straight 90 deg flanges; elsewhere unverified",
        not why if not quick else None,
        band if end == "value" else "",
        f"{COMPARED}; {STRIP}" if quick else HELD,
    )


def _unit(name: str) -> str:
    return "deg" if name.endswith("_deg") else "mm" if name.endswith("_mm") else ""


def _difference(case: Case) -> Told:
    """springback = loaded - released, left open = wall - loaded; ends of the bands as of a modelled number."""
    name, end = case.caught[1], case.caught[2]
    if end != "value" and name == "springback_deg":
        return _end(case)
    row = station(case)
    loaded_end = {"value": "value", "low": "high", "high": "low"}[end]
    phi = case.number("phi", "angle under load", f"{row}.angle_loaded_deg.{loaded_end}", "deg")
    if name == "springback_deg":
        other = case.number("out", "released angle", f"{row}.angle_released_deg.value", "deg")
        inputs: tuple[Input, ...] = (phi, other)
        again, words = evaluated(lambda phi, out: phi - out, inputs), "phi - out"
    else:
        other = case.number("w", "wall of the block", f"{row}.wall_angle_deg", "deg")
        inputs = (other, phi)
        again, words = evaluated(lambda w, phi: w - phi, inputs), "w - phi"
    return Told(f"{WHAT[name]}.", "formula", words, inputs, "definition", band=_band_words(case), again=again)


def _band_words(case: Case) -> str:
    return QUICK_BAND if _by_quick(case) else SECTION_BAND


def _end(case: Case) -> Told:
    name, end = case.caught[1], case.caught[2]
    x = case.number("x", "the value itself", f"{station(case)}.{name}.value", _unit(name))
    return Told(
        f"{WHAT[name]}, {'lower' if end == 'low' else 'upper'} end of the 90 % band.",
        "solved",
        _band_words(case),
        (x, *seat_inputs(case)),
        MODEL if not _by_quick(case) else OWN,
        compared=HELD,
    )


def _thickness(case: Case) -> Told:
    if case.caught[2] != "value":
        return _end(case)
    k = hill_k(case.plan.job)
    inputs = (
        case.thickness,
        case.number("e", "hoop strain of the free edge", f"{station(case)}.edge_strain.value"),
        between("r", "plastic strain ratio of the sheet", k / (1 - k), "", "material record: r_value, or r0, r45, r90; else 1"),
    )  # fmt: skip
    return Told(
        f"{WHAT['edge_thickness_mm']}: it is pulled or pushed along itself only.",
        "formula",
        "t exp(-e/(1 + r))",
        inputs,
        "uniaxial tension of a normally anisotropic sheet (Hill 1948)",
        "a free edge that does not wrinkle",
        band="2 % of the sheet's own thickness and the band of the strain",
        compared="an exact ring to 1e-9; no formed part",
        again=evaluated(lambda t, e, r: t * exp(-e / (1 + r)), inputs),
    )


def _split(case: Case) -> Told:
    end = {"value": "value", "low": "high", "high": "low"}[case.caught[2]]
    hole = "hole" in case.row
    limit = split_limit(case.plan, hole)
    assert limit is not None
    inputs = (
        between("limit", "engineering strain at which the edge splits", limit, "", "material record: "
                + ("hole_edge_limit" if hole else "stretch_limit")),
        case.number("e", "true hoop strain of the free edge", f"{station(case)}.edge_strain.{end}"),
    )  # fmt: skip
    return Told(
        f"{WHAT['split_margin']}.",
        "formula",
        "(limit - (exp(e) - 1))/limit",
        inputs,
        "definition; the limit from the material record",
        band="that of the strain; the limit's own scatter is not known",
        again=evaluated(lambda limit, e: (limit - expm1(e)) / limit, inputs),
    )


NAMES = (
    "angle_loaded_deg|angle_released_deg|closed_form_loaded_deg|closed_form_released_deg|formed_radius_mm|edge_strain"
)
FAMILIES = (
    Family(f"{ROW}.({NAMES}).(value|low|high)", on_forecast, _modelled),
    Family(f"{ROW}.(springback_deg|left_open_deg).(value|low|high)", on_forecast, _difference),
    Family(f"{ROW}.(edge_thickness_mm).(value|low|high)", on_forecast, _thickness),
    Family(
        f"{ROW}.(split_margin).(value|low|high)",
        lambda p: (
            *on_forecast(p),
            "*materials[*].facts[stretch_limit].value",
            "*materials[*].facts[hole_edge_limit].value",
        ),
        _split,
    ),
)
