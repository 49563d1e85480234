"""A row for each code of finding that carries a number: what its value and limit are, how they come about, what moves them.

A new code with a value needs its row here; a test names the code that has none.
"""

from __future__ import annotations

from math import expm1, sin

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place, between
from ribwright.stages.explain.finding_codes_beads import BEAD_CODES
from ribwright.stages.explain.finding_codes_circles import CIRCLE_CODES
from ribwright.stages.explain.finding_codes_flutes import FLUTE_CODES
from ribwright.stages.explain.finding_codes_forecast import FORECAST_CODES
from ribwright.stages.explain.finding_codes_inspect import INSPECT_CODES
from ribwright.stages.explain.finding_codes_notch import NOTCH_CODES
from ribwright.stages.explain.finding_codes_pad import PAD_CODES
from ribwright.stages.explain.finding_codes_press import PRESS_CODES
from ribwright.stages.explain.joggles import JOGGLE_CODES
from ribwright.stages.explain.judged import NOTHING, Inputs, Judged, On, keys, same
from ribwright.stages.explain.strain_judged import STRAIN_CODES


def _own(case_or_place: Place, end: str) -> str:
    """Path in `inputs` of a key of the finding's flange or hole."""
    where = case_or_place.row["where"]
    if "flange" in where:
        return f"part.flanges[{where['flange']}].{end}"
    return f"part.holes[{where.get('hole', '')}].{end}"


def _radius(case: Case) -> tuple[Input, ...]:
    return (case.typed("R", "inside bend radius", _own(case, "bend_radius"), "mm"),)


def _on_radius(place: Place) -> Keys:
    return (_own(place, "bend_radius"), *on.DRAWN)


EDGE_STRAIN = "strip of the edge, as blank.edges"
ON_TABLE = keys(
    *on.THICKNESS,
    *on.SHEET,
    "*materials[*].bend_row",
    "radius_table.rows*",
    "radius_table.least*",
    "radius_table.multiples",
    "shop.rules.minimum_radius",
    "then_radius_tables*",
    "shop.rules.then_radius",
)
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
    return (
        between(
            "eps",
            "true strain of the free edge there",
            float(strip.strip.edge_strain[k]),
            "",
            EDGE_STRAIN,
        ),
    )


def _width(case: Case) -> tuple[Input, ...]:
    flange = case.world.flange_of(case.row["where"]["edge"])
    return (case.along("b", "flange width there", case.value, f"part.flanges[{flange}].width", "mm"),)


def _corner_of(case: Case) -> tuple[Input, ...]:
    a, b = case.row["where"]["corner"]
    j = next(j for joins in case.plan.blank.joins for j in joins if (j.before, j.after) == (a, b))
    return (case.thickness, between("turn", "turn of the corner in plan", j.turn, "rad", f"drawn lines {a} and {b}"))


def _edges_of(case: Case, which: str) -> tuple[Input, ...]:
    """Undercut and upper end, or what is left, of the finding's edge, where it is worst; of a hole what is left."""
    if "hole" in case.row["where"]:
        return (_hole_left(case),)
    rows = [
        (i, r) for i, r in enumerate(case.world.answer["block"]["undercut"]) if r["edge"] == case.row["where"]["edge"]
    ]
    if which == "left":
        i = max(rows, key=lambda r: abs(r[1]["remaining_angle_deg"]))[0]
        return (case.number("left", "remaining angle", f"block.undercut[{i}].remaining_angle_deg", "deg"),)
    i = max(rows, key=lambda r: r[1]["deg"]["high"] - r[1]["deg"]["value"])[0]
    base = f"block.undercut[{i}].deg"
    return case.number("high", "upper end of the band", f"{base}.high", "deg"), case.number(
        "u", "undercut", f"{base}.value", "deg"
    )


def _hole_left(case: Case) -> Input:
    name, block = case.row["where"]["hole"], case.world.answer["block"]
    path = next(f"block.{k}[{i}]" for k in ("recesses", "rings") for i, r in enumerate(block[k]) if r["name"] == name)
    return case.number("left", "remaining angle", f"{path}.remaining_angle_deg", "deg")


def _tolerance(case: Case) -> tuple[Input, ...]:
    low, high = case.plan.job.part.tolerance["flange_angle"]
    words = "part file: tolerance.flange_angle"
    return Input("minus", "tolerance downwards", low, "deg", words), Input(
        "plus", "tolerance upwards", high, "deg", words
    )


def _on_undercut(place: Place) -> Keys:
    if "hole" in place.row["where"]:
        return (f"part.holes[{place.row['where']['hole']}].*", *on.UNDERCUT)
    return (
        *on.section(place.world, place.row["where"]["edge"]),
        *on.UNDERCUT,
        f"{place.world.edge_path(place.row['where']['edge'])}.*",
    )


def _hole_gap(case: Case) -> tuple[Input, ...]:
    fact = case.plan.job.catalogue.practice["hole_to_bend"]
    return case.fact("c", "distance over thickness", fact, "practice.hole_to_bend"), case.thickness


def _practice(key: str, symbol: str) -> Inputs:
    return lambda case: (
        case.fact(symbol, key.replace("_", " "), case.plan.job.catalogue.practice[key], f"practice.{key}", "mm"),
    )


def _inset(case: Case) -> tuple[Input, ...]:
    fact = case.plan.job.catalogue.practice["cover_plate_margin"]
    return (case.fact("inset", "usual inset", fact, "practice.cover_plate_margin", fact.unit),)


def _chance(case: Case) -> tuple[Input, ...]:
    where = case.row["where"]
    place = next(k for k in ("edge", "hole", "loop") if k in where)
    rows = case.world.answer["tolerances"]
    i = next(
        i for i, r in enumerate(rows) if r["quantity"] == where["tolerance"] and r["where"].get(place) == where[place]
    )
    return (case.number("chance", "chance of the first piece", f"tolerances[{i}].chance_inside.first_piece"),)


def _on_chance(place: Place) -> Keys:
    """Least over all places: any of them may govern."""
    return on.forecast(str(place.row["where"]["tolerance"]), place.world)


_stretched = Judged(
    "Engineering strain of the free edge where it is worst",
    "stretch the temper takes",
    _on_strain,
    _limit_on("stretch_limit"),
    formula="exp(eps) - 1",
    inputs=_edge_strain,
    again=expm1,
)
_rim = Judged(
    "Engineering strain of the hole's rim",
    "stretch a hole's edge takes",
    _on_strain,
    _limit_on("hole_edge_limit"),
    formula="exp(eps) - 1",
    inputs=_edge_strain,
    again=expm1,
)


def _shrunk(fact: str, words: str) -> Judged:
    return Judged(
        "Engineering strain that the free edge must gather where it is worst",
        words,
        _on_strain,
        _limit_on(fact),
        formula="1 - exp(eps)",
        inputs=_edge_strain,
        again=lambda eps: -expm1(eps),
    )


def _radius_against(words: str) -> Judged:
    return Judged(
        "Inside bend radius of the part", words, _on_radius, ON_TABLE, True, "typed", inputs=_radius, again=same
    )


_by_rule = Judged(
    "Diameter that the relief rule gives",
    "",
    keys(*on.RELIEF, *on.FLANGES),
    NOTHING,
    origin="fact",
    formula="max(factor R, least drill)",
)
_laying = Judged(
    "Largest distance of the wrongly laid blank's edge from where it should lie",
    "distance that nobody overlooks",
    ON_LAYING,
    keys("practice.wrong_laying_visible.value"),
    True,
    "geometry",
    "outline moved by the wrong laying, looked at every 5 mm",
    limit_inputs=_practice("wrong_laying_visible", "seen"),
    limit_again=same,
)
_gap = Judged(
    "Rim of the hole, or line of the cutout, to the nearest bend tangent line or edge; negative: into it",
    "distance that keeps it in shape",
    ON_PLACES,
    ON_GAP,
    True,
    "geometry",
    "distance from the centre to the line, less radius and half a slot",
    limit_formula="c t",
    limit_inputs=_hole_gap,
    limit_again=lambda c, t: c * t,
)
_past_square = Judged(
    "How far the most closed flange turns past square",
    "square",
    ON_TURN,
    NOTHING,
    formula="largest bend angle - 90 deg",
    origin="geometry",
    limit_origin="constant",
)

CODES: dict[str, Judged] = {
    "bend-radius-unknown": _radius_against("no entry in the table"),
    "bend-radius": _radius_against("radius under which the shop's table does not go, for temper and thickness"),
    "bend-radius-in-range": _radius_against("radius to meet by the shop's table, for temper and thickness"),
    "flange-step": Judged(
        "Largest jump of width or inset where two flanges go on into each other",
        "step that forming takes",
        ON_CORNER,
        NOTHING,
        False,
        "geometry",
        "difference of the two sections at the join",
        limit_origin="constant",
    ),
    "corner-overlap": Judged(
        "How far the two flanges lie over each other without relief",
        "overlap that forming takes",
        ON_CORNER,
        NOTHING,
        False,
        "formula",
        "2 t |sin(turn/2)|",
        _corner_of,
        lambda t, turn: 2 * t * abs(sin(turn / 2)),
        limit_origin="constant",
    ),
    "relief-misses-corner": Judged(
        "Diameter of the relief hole",
        "diameter that holds the meeting of the tangent lines",
        keys(*on.RELIEF, *on.FLANGES),
        keys(*on.RELIEF),
        True,
        "typed",
        limit_origin="formula",
        limit_formula="2 set-back",
    ),
    "relief-small": Judged(
        "Diameter of the relief hole as drawn",
        "diameter by the shop's rule",
        keys("part.corners*"),
        keys(*on.RELIEF, *on.FLANGES),
        True,
        "typed",
        limit_formula="max(factor R, least drill)",
    ),
    "relief-by-rule": _by_rule,
    "flange-end-relief": Judged(
        "Turn of the drawn line where the flange ends",
        "turn from which the web does not go on beside the flange",
        ON_CORNER,
        NOTHING,
        True,
        "geometry",
        "angle between the two drawn lines at the join",
        limit_origin="constant",
        limit_formula="common practice",
    ),
    "flat-overlap": Judged(
        "Area that two flat strips share",
        "area that counts as none",
        keys(*on.BLANK),
        NOTHING,
        False,
        "geometry",
        "intersection of the two strips in the flat",
        limit_origin="constant",
    ),
    "blank-by-balance": Judged(
        "Farthest the two blanks lie apart at this place",
        "how far the shop lets them",
        keys(*on.BLANK),
        keys(*on.AGREEMENT),
        False,
        "geometry",
        "largest distance of a point of either cut line from the other",
        limit_origin="typed",
        limit_inputs=lambda case: (case.typed("limit", "agreement asked for", on.AGREEMENT[0], "mm"),),
        limit_again=same,
    ),
    "stretch-limit": _stretched,
    "stretch-near-limit": _stretched,
    "hole-edge-limit": _rim,
    "hole-edge-near-limit": _rim,
    "shrink-limit": _shrunk("shrink_fluted_limit", "gather that flutes side by side take up"),
    "shrink-wrinkles": _shrunk("shrink_limit", "gather that pad and metal take without flutes"),
    "strain-limit-unknown": Judged(
        "Engineering strain of the edge",
        "none is known",
        _on_strain,
        NOTHING,
        formula="|exp(eps) - 1|",
        inputs=_edge_strain,
        again=lambda eps: abs(expm1(eps)),
    ),
    "flange-too-short": Judged(
        "Flange width",
        "setback, where the bend ends",
        ON_TURN,
        ON_TURN,
        True,
        "typed",
        inputs=_width,
        again=same,
        limit_origin="formula",
        limit_formula="(R + t) tan(a/2)",
    ),
    "hole-in-bend": Judged(
        _gap.value,
        "none may reach into the bend",
        ON_PLACES,
        NOTHING,
        True,
        "geometry",
        _gap.formula,
        limit_origin="constant",
    ),
    "hole-near-bend": _gap,
    "sheet-not-standard": Judged(
        "Sheet thickness as typed",
        "nearest standard sheet",
        keys(*on.THICKNESS),
        keys(*on.THICKNESS),
        False,
        "typed",
        inputs=lambda case: (case.thickness,),
        again=same,
    ),
    "trapped": _past_square,
    "slides-off": _past_square,
    "wrong-laying": _laying,
    "wrong-laying-seen": _laying,
    "pin-hole-tolerance": Judged(
        "Least that the drawing's tolerance takes off a pin hole's diameter",
        "hole less its pin",
        keys("part.tolerance.hole_diameter", *on.BLANK),
        ON_LAYING,
        False,
        "typed",
    ),
    "closed-section": Judged(
        "Largest bend angle of the flange",
        "angle past which a flange folds back under the web",
        lambda p: (_own(p, "bend_angle"),),
        NOTHING,
        False,
        "typed",
        limit_origin="constant",
    ),
    "undercut-leaves-angle": Judged(
        "Largest angle that the fixed undercut leaves on this edge",
        "tolerance of the drawing",
        _on_undercut,
        ON_TOLERANCE,
        formula="|u - u_solved|",
        inputs=lambda case: _edges_of(case, "left"),
        again=abs,
        limit_origin="typed",
        limit_inputs=_tolerance,
        limit_again=min,
    ),
    "band-over-tolerance": Judged(
        "Upper half of the undercut's 90 % band",
        "tolerance of the drawing",
        _on_undercut,
        ON_TOLERANCE,
        formula="high - u",
        inputs=lambda case: _edges_of(case, "band"),
        again=lambda high, u: high - u,
        limit_origin="typed",
        limit_inputs=_tolerance,
        limit_again=min,
    ),
    "tolerance-not-met-by-forecast": Judged(
        "Chance that the first piece lies inside the drawing's tolerance, at the place where it is least",
        "chance under which a warning is given: even odds, or nine in ten that neither first piece nor corrected block keeps",
        _on_chance,
        _on_chance,
        True,
        formula="as tolerances: chance_inside.first_piece",
        inputs=_chance,
        again=same,
        limit_origin="constant",
    ),
    "cover-plate-none": Judged(
        "Inset of the cover plate, if one could be drawn",
        "none",
        keys(*on.BLOCK, "practice.cover_plate_margin.value", "practice.cover_plate_pin_clearance.value"),
        NOTHING,
        formula="practice, or up to the next 1/32 in of R_block tan(w/2) where a bend lies deeper in the web face",
        inputs=_inset,
    ),
    **PRESS_CODES,
    **BEAD_CODES,
    **FORECAST_CODES,
    **STRAIN_CODES,
    **PAD_CODES,
    **JOGGLE_CODES,
    **NOTCH_CODES,
    **CIRCLE_CODES,
    **INSPECT_CODES,
    **FLUTE_CODES,
}
