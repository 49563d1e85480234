"""Findings of the press that carry a number: pressure, pad, table, daylight, stroke, strength of the block."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_body import on_limit
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place, between
from ribwright.stages.explain.judged import NOTHING, Inputs, Judged, On, keys, same
from ribwright.stages.web_hold import WebHold, web_holds


def _on_demand(place: Place) -> Keys:
    return on.pressure(place.world)


def _demand(end: str) -> Inputs:
    def inputs(case: Case) -> tuple[Input, ...]:
        assert case.plan.setup is not None
        i = next(k for k, r in enumerate(case.plan.setup.reached) if alike(r.flange.where, case.row["where"]))
        return (
            case.number("p", "pressure this flange asks for", f"setup.flanges[{i}].needed_pressure_mpa.{end}", "MPa"),
        )

    return inputs


def alike(a: dict[str, object], b: dict[str, object]) -> bool:
    """Whether two places are the same edge or hole."""
    return all(a.get(k) == b.get(k) for k in ("edge", "hole"))


def _released(case: Case) -> tuple[Input, ...]:
    assert case.plan.setup is not None
    rows = enumerate(case.plan.setup.reached)
    i, r = next((k, r) for k, r in rows if alike(r.flange.where, case.row["where"]))
    return (
        case.number("a_r", "released angle", f"setup.flanges[{i}].released_deg.value", "deg"),
        between("a", "bend angle of the drawing there", r.flange.angle, "deg", "part file: bend_angle"),
    )


def _from(path: str, symbol: str, name: str, unit: str) -> Inputs:
    return lambda case: (case.number(symbol, name, path, unit),)


def _press(key: str, symbol: str, name: str) -> Inputs:
    return lambda case: (case.typed(symbol, name, f"{case.world.press}.{key}", "mm"),)


def _on_press(*names: str, more: Keys = ()) -> On:
    return lambda place: (*on.press(place.world, *names), *more)


def _over(case: Case) -> tuple[Input, ...]:
    """Size of the smallest throw pad and the block's extent on the axis where it reaches past least."""
    s = case.plan.setup
    assert s is not None
    rows = [
        ((size - e) / 2, size, e)
        for x in s.press.pad.stack
        if x.role == "throw"
        for size, e in zip(x.size_mm, s.place.extent, strict=True)
    ]
    _, size, extent = min(rows, key=lambda r: abs(r[0] - case.value))
    return (
        Input("X", "size of the throw pad", size, "mm", f"shop file: press[{s.press.id}].pads.size"),
        between("w", "extent of the block as it stands", extent, "mm", "block.outline_mm and block.foot_mm"),
    )


def _held(case: Case) -> tuple[Input, ...]:
    """Thickness of the held pad as the container's row has it."""
    return (
        case.number("proud", "pad past the rim", "setup.container.pad_proud_mm", "mm"),
        case.number("C", "depth of the container", "setup.container.depth_mm", "mm"),
    )


def _late(case: Case) -> tuple[Input, ...]:
    """The largest pressure asked for among the flanges that close while the pad does not spread."""
    s = case.plan.setup
    assert s is not None
    assert s.spread_pressure is not None
    rows = [
        (r.demand.need.value, i)
        for i, r in enumerate(s.reached)
        if r.closes and r.demand and r.demand.need.value > s.spread_pressure
    ]
    path = f"setup.flanges[{max(rows)[1]}].needed_pressure_mpa.value"
    return (case.number("p", "largest pressure asked for", path, "MPa"),)


def _on_container(place: Place) -> Keys:
    return (*on.laid_up(place.world), *on.press(place.world, "container_depth_mm", "table_mm"))


_height = _from("block.height_mm", "H", "block height", "mm")


def _shallow(case: Case) -> tuple[Input, ...]:
    fact = case.plan.job.catalogue.practice["pad_to_block_height"]
    return case.fact("c", "pad thickness over block height", fact, "practice.pad_to_block_height"), *_height(case)


def _hold(case: Case) -> WebHold:
    s = case.plan.setup
    assert s is not None
    rows = web_holds(case.plan.job, case.plan.blank, s.pump_pressure or s.available, s.closes_at_least)
    return next(h for h in rows if h.edge == case.row["where"]["edge"])


def _web(case: Case) -> tuple[Input, ...]:
    return (
        between(
            "b",
            "width of the web there",
            _hold(case).web,
            "mm",
            "bend tangent lines, drawn lines and holes of the part",
        ),
    )


def _holding(case: Case) -> tuple[Input, ...]:
    h, practice = _hold(case), case.plan.job.catalogue.practice
    return (
        case.fact(
            "c",
            "what rubs the web over the pull, from which it holds",
            practice["web_hold_ratio"],
            "practice.web_hold_ratio",
        ),
        between(
            "sigma",
            "stress of the sheet at the free edge's strain",
            h.stress,
            "MPa",
            "flow curve of the material record",
        ),
        case.thickness,
        between("w", "flat width of the flange", h.flat_width, "mm", "as blank.edges"),
        between("R", "radius of the bend tangent line over a flat width either way", h.radius, "mm", "drawn line"),
        case.fact("mu", "friction over both faces", practice["web_friction"], "practice.web_friction"),
        between(
            "p",
            "pressure that closes it at the least, no more than it is pumped to",
            h.pressure,
            "MPa",
            "as setup.flanges",
        ),
    )


PRESS_CODES: dict[str, Judged] = {
    "container-shallow": Judged(
        "Thickness of the held pad",
        "depth of the container",
        _on_container,
        _on_container,
        formula="proud + C",
        inputs=_held,
        again=lambda proud, c: proud + c,
        limit_origin="typed",
        limit_inputs=_from("setup.container.depth_mm", "C", "depth of the container", "mm"),
        limit_again=same,
    ),
    "container-lands": Judged(
        "Rim above what it comes down on when the pad touches the blank; negative: it lands first",
        "the pad first",
        _on_container,
        NOTHING,
        True,
        formula="stack - B - C",
        inputs=_from("setup.container.rim_above_mm", "rim", "rim above", "mm"),
        again=same,
        limit_origin="constant",
    ),
    "throw-pad-small": Judged(
        "How far the throw pad reaches past the block, where least",
        "block height, which the flat flanges reach out about",
        lambda p: (*on.placed(p.world), *on.press(p.world, "pad.layers*")),
        keys(*on.BLOCK),
        True,
        formula="(X - w)/2",
        inputs=_over,
        again=lambda x, w: (x - w) / 2,
        limit_origin="formula",
        limit_formula="block height",
        limit_inputs=_height,
        limit_again=same,
    ),
    "loose-pad-spreads": Judged(
        "Least pressure under a loose pad that spreads",
        "largest pressure asked for by a flange that closes only while it does not",
        lambda p: (*on.rating(p.world), *on.area(p.world)),
        lambda p: on.reached(p.world),
        True,
        formula="p A/(X Y)",
        inputs=_from("setup.available_if_pad_spreads_mpa", "p", "pressure if the pad spreads", "MPa"),
        again=same,
        limit_origin="formula",
        limit_formula="p = 1.71 M/s^2 + kG",
        limit_inputs=_late,
        limit_again=same,
    ),
    "off-centre": Judged(
        "Distance of the load from the ram's axis",
        "off-centre limit of the press",
        lambda p: on.placed(p.world),
        lambda p: on.press(p.world, "off_centre_limit_mm"),
        formula="sqrt((lx + x)^2 + (ly + y)^2)",
        inputs=_from("setup.off_centre_mm", "off", "load off the ram's axis", "mm"),
        again=same,
        limit_origin="typed",
        limit_inputs=_from("setup.press.off_centre_limit_mm", "limit", "off-centre limit", "mm"),
        limit_again=same,
    ),
    "pressure-short": Judged(
        "Pressure this flange asks for",
        "pressure this press gives",
        _on_demand,
        lambda p: on.rating(p.world),
        formula="p = 1.71 M/s^2 + kG",
        inputs=_demand("value"),
        again=same,
        limit_origin="formula",
        limit_formula="limit force over pressure area",
        limit_inputs=_from("setup.available_pressure_mpa", "p", "pressure available", "MPa"),
        limit_again=same,
    ),
    "pressure-marginal": Judged(
        "Upper end of the band of the pressure this flange asks for",
        "pressure this press gives",
        _on_demand,
        lambda p: on.rating(p.world),
        formula="p + 1.645 sd",
        inputs=_demand("high"),
        again=same,
        limit_origin="formula",
        limit_formula="limit force over pressure area",
        limit_inputs=_from("setup.available_pressure_mpa", "p", "pressure available", "MPa"),
        limit_again=same,
    ),
    "undercut-past-press": Judged(
        "Pressure that the undercut is solved for",
        "pressure this press gives",
        lambda p: on.reached(p.world),
        lambda p: on.rating(p.world),
        formula="p = what the last flange or bead needs",
        inputs=_from("block.undercut_pressure_mpa", "p", "pressure that the block is cut for", "MPa"),
        again=same,
        limit_origin="formula",
        limit_formula="limit force over pressure area",
        limit_inputs=_from("setup.available_pressure_mpa", "p", "pressure available", "MPa"),
        limit_again=same,
    ),
    "flange-comes-off-open": Judged(
        "How far the released angle of a flange that stays open is from the drawing's",
        "tolerance of the drawing",
        lambda p: (*on.reached(p.world), "part.tolerance.*flange_angle"),
        keys("part.tolerance.*flange_angle"),
        formula="|a_r - a|",
        inputs=_released,
        again=lambda a_r, a: abs(a_r - a),
        limit_origin="typed",
    ),
    "pad-overhang": Judged(
        "Pad past the block; negative: overhang",
        "no overhang",
        lambda p: on.placed(p.world),
        NOTHING,
        True,
        formula="least distance from block to pad edge",
        inputs=_from("setup.pad_margin_mm", "m", "pad past the block", "mm"),
        again=same,
        limit_origin="constant",
    ),
    "pad-margin-small": Judged(
        "Pad past the block",
        "block height",
        lambda p: on.placed(p.world),
        keys(*on.BLOCK),
        True,
        formula="least distance from block to pad edge",
        inputs=_from("setup.pad_margin_mm", "m", "pad past the block", "mm"),
        again=same,
        limit_origin="formula",
        limit_formula="block height: common practice",
        limit_inputs=_height,
        limit_again=same,
    ),
    "table-overhang": Judged(
        "Table past the block; negative: overhang",
        "no overhang",
        lambda p: on.placed(p.world),
        NOTHING,
        True,
        formula="least distance from block to table edge",
        inputs=_from("setup.table_margin_mm", "m", "table past the block", "mm"),
        again=same,
        limit_origin="constant",
    ),
    "daylight-short": Judged(
        "Block, sheet and pad on top of each other",
        "daylight of the press",
        lambda p: on.laid_up(p.world),
        _on_press("daylight_mm"),
        formula="sum of the lay-up",
        inputs=_from("setup.stack_mm", "stack", "stack", "mm"),
        again=same,
        limit_origin="typed",
        limit_inputs=_press("daylight_mm", "D", "daylight"),
        limit_again=same,
    ),
    "stroke-short": Judged(
        "Way the ram must come down",
        "stroke of the ram",
        lambda p: on.laid_up(p.world),
        _on_press("stroke_mm"),
        formula="daylight - stack",
        inputs=_from("setup.daylight_margin_mm", "way", "daylight left", "mm"),
        again=same,
        limit_origin="typed",
        limit_inputs=_press("stroke_mm", "S", "stroke"),
        limit_again=same,
    ),
    "pad-shallow": Judged(
        "Thickness of the pad",
        "pad thickness that is usual for this block",
        _on_press("pad.thickness_mm"),
        keys(*on.BLOCK, "practice.pad_to_block_height.value"),
        True,
        "typed",
        inputs=_press("pad.thickness_mm", "P", "pad thickness"),
        again=same,
        limit_formula="c H",
        limit_inputs=_shallow,
        limit_again=lambda c, h: c * h,
    ),
    "block-crush": Judged(
        "Pressure on the pad when pumped to",
        "pressure that the block material stands",
        lambda p: (*on.pressure(p.world), *on.rating(p.world)),
        on_limit,
        formula="F/A",
        inputs=_from("setup.pump_to_pressure_mpa", "p", "pressure pumped to", "MPa"),
        again=same,
        limit_inputs=_from("setup.block_pressure_limit_mpa", "p_block", "block limit", "MPa"),
        limit_again=same,
    ),
}
PRESS_CODES["web-narrow-may-slide"] = Judged(
    "Width of the web behind the bend tangent line, straight inward to where it ends, less what holes take",
    "web that would hold the flange's pull: ratio x pull over what rubs a square millimetre of web",
    keys(*on.SHAPE, "part.holes*"),
    lambda p: (
        *on.SHAPE,
        *on.DEVELOPED,
        *on.SPRING,
        *on.pressure(p.world),
        "practice.web_friction.value",
        "practice.web_hold_ratio.value",
    ),
    True,
    "formula",
    formula="distance between lines",
    inputs=_web,
    again=same,
    limit_origin="formula",
    limit_formula="c sigma t w/(R mu p)",
    limit_inputs=_holding,
    limit_again=lambda c, sigma, t, w, radius, mu, p: c * sigma * t * w / (radius * mu * p),
)
PRESS_CODES["block-near-crush"] = PRESS_CODES["block-crush"]
