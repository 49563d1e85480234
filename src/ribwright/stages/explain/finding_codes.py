"""A row for each code of finding that carries a number: what its value and limit are, how they come about, what moves them.

A new code with a value needs its row here; a test names the code that has none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import expm1, sin

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_body import on_limit
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place, between

On = Callable[[Place], Keys]
Inputs = Callable[[Case], tuple[Input, ...]]


@dataclass(frozen=True)
class Judged:
    """What value and limit of a code are. `least`: the limit is a lower one. `again` takes the inputs' values in order."""

    value: str
    limit: str
    on_value: On
    on_limit: On
    least: bool = False
    origin: str = "formula"
    formula: str = ""
    inputs: Inputs | None = None
    again: Callable[..., float] | None = None
    limit_origin: str = "fact"
    limit_formula: str = ""
    limit_inputs: Inputs | None = None
    limit_again: Callable[..., float] | None = None


def keys(*patterns: str) -> On:
    """The same keys at every place."""
    return lambda _: patterns


NOTHING: On = keys()


def _own(case_or_place: Place, end: str) -> str:
    """Path in `inputs` of a key of the finding's flange or hole."""
    where = case_or_place.row["where"]
    if "flange" in where:
        return f"part.flanges[{where['flange']}].{end}"
    return f"part.holes[{where.get('hole', '')}].{end}"


def _radius(case: Case) -> tuple[Input, ...]:
    return (case.typed("R", "inside bend radius", _own(case, "bend_radius"), "mm"),)


def _same(x: float) -> float:
    return x


def _on_radius(place: Place) -> Keys:
    return (_own(place, "bend_radius"), *on.DRAWN)


ON_TABLE = keys(*on.THICKNESS, *on.SHEET, "*materials[*].bend_row", "radius_table.rows*", "radius_table.least*", "radius_table.multiples", "shop.rules.minimum_radius")
ON_TURN = keys(*on.DRAWN, *on.FLANGES)
ON_CORNER = keys(*on.SHAPE)
ON_PLACES = keys(*on.SHAPE, "part.holes*")
ON_GAP = keys("practice.hole_to_bend.value", *on.THICKNESS)
ON_LAYING = keys(*on.BLANK)
ON_TOLERANCE = keys("part.tolerance.flange_angle")


def _on_strain(place: Place) -> Keys:
    where = place.row["where"]
    if "hole" in where:
        return (f"part.holes[{where['hole']}].*", *on.THICKNESS, *on.DEVELOPED)
    return (*on.SHAPE, *on.DEVELOPED)


def _limit_on(*facts: str) -> On:
    return keys(*on.SHEET, *(f"*materials[*].facts[{f}].value" for f in facts))


def _hole_strain(case: Case) -> tuple[Input, ...]:
    i = next(k for k, h in enumerate(case.plan.blank.holes) if h.hole.name == case.row["where"]["hole"])
    return (case.number("eps", "true strain of the rim", f"blank.holes[{i}].edge_strain"),)


def _edge_strain(case: Case) -> tuple[Input, ...]:
    """The strain at the finding's place, from the strip's stations; a hole's rim has one strain."""
    where = case.row["where"]
    if "hole" in where:
        return _hole_strain(case)
    strip, i = case.plan.blank.strip_of(where["edge"])
    mine = [k for k in range(len(strip.at.edge)) if strip.at.edge[k] == i]
    k = min(mine, key=lambda k: abs(float(strip.at.along[k]) - where["along_mm"]))
    return (between("eps", "true strain of the free edge there", float(strip.strip.edge_strain[k]), "", "strip of the edge, as blank.edges"),)


def _width(case: Case) -> tuple[Input, ...]:
    flange = case.world.flange_of(case.row["where"]["edge"])
    return (case.along("b", "flange width there", case.value, f"part.flanges[{flange}].width", "mm"),)


def _on_demand(place: Place) -> Keys:
    return on.pressure(place.world)


def _demand(end: str) -> Inputs:
    def inputs(case: Case) -> tuple[Input, ...]:
        assert case.plan.setup is not None
        i = next(k for k, d in enumerate(case.plan.setup.demands) if d.where == case.row["where"] or _alike(d.where, case.row["where"]))
        return (case.number("p", "pressure this flange asks for", f"setup.flanges[{i}].needed_pressure_mpa.{end}", "MPa"),)

    return inputs


def _alike(a: dict[str, object], b: dict[str, object]) -> bool:
    return all(a.get(k) == b.get(k) for k in ("edge", "hole"))


def _from(path: str, symbol: str, name: str, unit: str) -> Inputs:
    return lambda case: (case.number(symbol, name, path, unit),)


def _press(key: str, symbol: str, name: str) -> Inputs:
    return lambda case: (case.typed(symbol, name, f"{case.world.press}.{key}", "mm"),)


def _on_press(*names: str, more: Keys = ()) -> On:
    return lambda place: (*on.press(place.world, *names), *more)


def _corner_of(case: Case) -> tuple[Input, ...]:
    a, b = case.row["where"]["corner"]
    j = next(j for joins in case.plan.blank.joins for j in joins if (j.before, j.after) == (a, b))
    return (case.thickness, between("turn", "turn of the corner in plan", j.turn, "rad", f"drawn lines {a} and {b}"))


def _edges_of(case: Case, which: str) -> tuple[Input, ...]:
    """Undercut and upper end, or what is left, of the finding's edge, where it is worst."""
    rows = [(i, r) for i, r in enumerate(case.world.answer["block"]["undercut"]) if r["edge"] == case.row["where"]["edge"]]
    if which == "left":
        i = max(rows, key=lambda r: abs(r[1]["remaining_angle_deg"]))[0]
        return (case.number("left", "remaining angle", f"block.undercut[{i}].remaining_angle_deg", "deg"),)
    i = max(rows, key=lambda r: r[1]["deg"]["high"] - r[1]["deg"]["value"])[0]
    base = f"block.undercut[{i}].deg"
    return case.number("high", "upper end of the band", f"{base}.high", "deg"), case.number("u", "undercut", f"{base}.value", "deg")


def _tolerance(case: Case) -> tuple[Input, ...]:
    low, high = case.plan.job.part.tolerance["flange_angle"]
    words = "part file: tolerance.flange_angle"
    return Input("minus", "tolerance downwards", low, "deg", words), Input("plus", "tolerance upwards", high, "deg", words)


def _on_undercut(place: Place) -> Keys:
    return (*on.section(place.world, place.row["where"]["edge"]), *on.UNDERCUT, f"{place.world.edge_path(place.row['where']['edge'])}.*")


def _hole_gap(case: Case) -> tuple[Input, ...]:
    fact = case.plan.job.catalogue.practice["hole_to_bend"]
    return case.fact("c", "distance over thickness", fact, "practice.hole_to_bend"), case.thickness


def _practice(key: str, symbol: str) -> Inputs:
    return lambda case: (case.fact(symbol, key.replace("_", " "), case.plan.job.catalogue.practice[key], f"practice.{key}", "mm"),)


def _shallow(case: Case) -> tuple[Input, ...]:
    fact = case.plan.job.catalogue.practice["pad_to_block_height"]
    return case.fact("c", "pad thickness over block height", fact, "practice.pad_to_block_height"), *_height(case)


_height = _from("block.height_mm", "H", "block height", "mm")
_stretched = Judged(
    "Engineering strain of the free edge where it is worst", "stretch the temper takes", _on_strain, _limit_on("stretch_limit"),
    formula="exp(eps) - 1", inputs=_edge_strain, again=expm1,
)  # fmt: skip
_rim = Judged(
    "Engineering strain of the hole's rim", "stretch a hole's edge takes", _on_strain, _limit_on("hole_edge_limit"),
    formula="exp(eps) - 1", inputs=_edge_strain, again=expm1,
)  # fmt: skip


def _shrunk(fact: str, words: str) -> Judged:
    return Judged(
        "Engineering strain that the free edge must gather where it is worst", words, _on_strain, _limit_on(fact),
        formula="1 - exp(eps)", inputs=_edge_strain, again=lambda eps: -expm1(eps),
    )  # fmt: skip


def _radius_against(words: str) -> Judged:
    return Judged("Inside bend radius of the part", words, _on_radius, ON_TABLE, True, "typed", inputs=_radius, again=_same)


_by_rule = Judged(
    "Diameter that the relief rule gives", "", keys(*on.RELIEF, *on.FLANGES), NOTHING, origin="fact", formula="max(factor R, least drill)"
)
_laying = Judged(
    "Largest distance of the wrongly laid blank's edge from where it should lie", "distance that nobody overlooks", ON_LAYING,
    keys("practice.wrong_laying_visible.value"), True, "geometry", "outline moved by the wrong laying, looked at every 5 mm",
    limit_inputs=_practice("wrong_laying_visible", "seen"), limit_again=_same,
)  # fmt: skip
_gap = Judged(
    "Rim of the hole, or line of the cutout, to the nearest bend tangent line or edge; negative: into it", "distance that keeps it in shape",
    ON_PLACES, ON_GAP, True, "geometry", "distance from the centre to the line, less radius and half a slot",
    limit_formula="c t", limit_inputs=_hole_gap, limit_again=lambda c, t: c * t,
)  # fmt: skip
_past_square = Judged(
    "How far the most closed flange turns past square", "square", ON_TURN, NOTHING, formula="largest bend angle - 90 deg",
    origin="geometry", limit_origin="constant",
)  # fmt: skip

CODES: dict[str, Judged] = {
    "bend-radius-unknown": _radius_against("no entry in the table"),
    "bend-radius": _radius_against("radius under which the shop's table does not go, for temper and thickness"),
    "bend-radius-in-range": _radius_against("radius to meet by the shop's table, for temper and thickness"),
    "flange-step": Judged("Largest jump of width or inset where two flanges go on into each other", "step that forming takes", ON_CORNER, NOTHING, False, "geometry", "difference of the two sections at the join", limit_origin="constant"),
    "corner-overlap": Judged("How far the two flanges lie over each other without relief", "overlap that forming takes", ON_CORNER, NOTHING, False, "formula", "2 t |sin(turn/2)|", _corner_of, lambda t, turn: 2 * t * abs(sin(turn / 2)), limit_origin="constant"),
    "relief-misses-corner": Judged("Diameter of the relief hole", "diameter that holds the meeting of the tangent lines", keys(*on.RELIEF, *on.FLANGES), keys(*on.RELIEF), True, "typed", limit_origin="formula", limit_formula="2 set-back"),
    "relief-small": Judged("Diameter of the relief hole as drawn", "diameter by the shop's rule", keys("part.corners*"), keys(*on.RELIEF, *on.FLANGES), True, "typed", limit_formula="max(factor R, least drill)"),
    "relief-by-rule": _by_rule,
    "flange-end-relief": Judged("Turn of the drawn line where the flange ends", "turn from which the web does not go on beside the flange", ON_CORNER, NOTHING, True, "geometry", "angle between the two drawn lines at the join", limit_origin="constant", limit_formula="common practice"),
    "flat-overlap": Judged("Area that two flat strips share", "area that counts as none", keys(*on.BLANK), NOTHING, False, "geometry", "intersection of the two strips in the flat", limit_origin="constant"),
    "stretch-limit": _stretched,
    "stretch-near-limit": _stretched,
    "hole-edge-limit": _rim,
    "hole-edge-near-limit": _rim,
    "shrink-limit": _shrunk("shrink_fluted_limit", "gather that flutes side by side take up"),
    "shrink-wrinkles": _shrunk("shrink_limit", "gather that pad and metal take without flutes"),
    "strain-limit-unknown": Judged("Engineering strain of the edge", "none is known", _on_strain, NOTHING, formula="|exp(eps) - 1|", inputs=_edge_strain, again=lambda eps: abs(expm1(eps))),
    "flange-too-short": Judged("Flange width", "setback, where the bend ends", ON_TURN, ON_TURN, True, "typed", inputs=_width, again=_same, limit_origin="formula", limit_formula="(R + t) tan(a/2)"),
    "pressure-short": Judged("Pressure this flange asks for", "pressure this press gives", _on_demand, lambda p: on.rating(p.world), formula="p = 1.71 M/s^2 + k G", inputs=_demand("value"), again=_same, limit_origin="formula", limit_formula="limit force over pressure area", limit_inputs=_from("setup.available_pressure_mpa", "p", "pressure available", "MPa"), limit_again=_same),
    "pressure-marginal": Judged("Upper end of the band of the pressure this flange asks for", "pressure this press gives", _on_demand, lambda p: on.rating(p.world), formula="p + 1.645 sd", inputs=_demand("high"), again=_same, limit_origin="formula", limit_formula="limit force over pressure area", limit_inputs=_from("setup.available_pressure_mpa", "p", "pressure available", "MPa"), limit_again=_same),
    "hole-in-bend": Judged(_gap.value, "none may reach into the bend", ON_PLACES, NOTHING, True, "geometry", _gap.formula, limit_origin="constant"),
    "hole-near-bend": _gap,
    "sheet-not-standard": Judged("Sheet thickness as typed", "nearest standard sheet", keys(*on.THICKNESS), keys(*on.THICKNESS), False, "typed", inputs=lambda case: (case.thickness,), again=_same),
    "trapped": _past_square,
    "slides-off": _past_square,
    "wrong-laying": _laying,
    "wrong-laying-seen": _laying,
    "closed-section": Judged("Largest bend angle of the flange", "angle past which a flange folds back under the web", lambda p: (_own(p, "bend_angle"),), NOTHING, False, "typed", limit_origin="constant"),
    "pad-overhang": Judged("Pad past the block; negative: overhang", "no overhang", _on_press("pad.size_mm", more=on.BLOCK), NOTHING, True, formula="least distance from block to pad edge", inputs=_from("setup.pad_margin_mm", "m", "pad past the block", "mm"), again=_same, limit_origin="constant"),
    "pad-margin-small": Judged("Pad past the block", "block height", _on_press("pad.size_mm", more=on.BLOCK), keys(*on.BLOCK), True, formula="least distance from block to pad edge", inputs=_from("setup.pad_margin_mm", "m", "pad past the block", "mm"), again=_same, limit_origin="formula", limit_formula="block height: common practice", limit_inputs=_height, limit_again=_same),
    "table-overhang": Judged("Table past the block; negative: overhang", "no overhang", _on_press("table_mm", more=on.BLOCK), NOTHING, True, formula="least distance from block to table edge", inputs=_from("setup.table_margin_mm", "m", "table past the block", "mm"), again=_same, limit_origin="constant"),
    "daylight-short": Judged("Block, sheet and pad on top of each other", "daylight of the press", _on_press("pad.thickness_mm", more=on.BLOCK), _on_press("daylight_mm"), formula="H + t + pad", inputs=_from("setup.stack_mm", "stack", "stack", "mm"), again=_same, limit_origin="typed", limit_inputs=_press("daylight_mm", "D", "daylight"), limit_again=_same),
    "stroke-short": Judged("Way the ram must come down", "stroke of the ram", _on_press("pad.thickness_mm", "daylight_mm", more=on.BLOCK), _on_press("stroke_mm"), formula="daylight - stack", inputs=_from("setup.daylight_margin_mm", "way", "daylight left", "mm"), again=_same, limit_origin="typed", limit_inputs=_press("stroke_mm", "S", "stroke"), limit_again=_same),
    "pad-shallow": Judged("Thickness of the pad", "pad thickness that is usual for this block", _on_press("pad.thickness_mm"), keys(*on.BLOCK, "practice.pad_to_block_height.value"), True, "typed", inputs=_press("pad.thickness_mm", "P", "pad thickness"), again=_same, limit_formula="c H", limit_inputs=_shallow, limit_again=lambda c, h: c * h),
    "block-crush": Judged("Pressure on the pad when pumped to", "pressure that the block material stands", lambda p: (*on.pressure(p.world), *on.rating(p.world)), on_limit, formula="F/A", inputs=_from("setup.pump_to_pressure_mpa", "p", "pressure pumped to", "MPa"), again=_same, limit_inputs=_from("setup.block_pressure_limit_mpa", "p_block", "block limit", "MPa"), limit_again=_same),
    "undercut-leaves-angle": Judged("Largest angle that the fixed undercut leaves on this edge", "tolerance of the drawing", _on_undercut, ON_TOLERANCE, formula="|u - u_solved|", inputs=lambda case: _edges_of(case, "left"), again=abs, limit_origin="typed", limit_inputs=_tolerance, limit_again=min),
    "band-over-tolerance": Judged("Upper half of the undercut's 90 % band", "tolerance of the drawing", _on_undercut, ON_TOLERANCE, formula="high - u", inputs=lambda case: _edges_of(case, "band"), again=lambda high, u: high - u, limit_origin="typed", limit_inputs=_tolerance, limit_again=min),
}  # fmt: skip
