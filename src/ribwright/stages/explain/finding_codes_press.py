"""Findings of the press that carry a number: pressure, pad, table, daylight, stroke, strength of the block."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_body import on_limit
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place
from ribwright.stages.explain.judged import NOTHING, Inputs, Judged, On, keys, same


def _on_demand(place: Place) -> Keys:
    return on.pressure(place.world)


def _demand(end: str) -> Inputs:
    def inputs(case: Case) -> tuple[Input, ...]:
        assert case.plan.setup is not None
        i = next(
            k
            for k, d in enumerate(case.plan.setup.demands)
            if d.where == case.row["where"] or _alike(d.where, case.row["where"])
        )
        return (
            case.number("p", "pressure this flange asks for", f"setup.flanges[{i}].needed_pressure_mpa.{end}", "MPa"),
        )

    return inputs


def _alike(a: dict[str, object], b: dict[str, object]) -> bool:
    return all(a.get(k) == b.get(k) for k in ("edge", "hole"))


def _from(path: str, symbol: str, name: str, unit: str) -> Inputs:
    return lambda case: (case.number(symbol, name, path, unit),)


def _press(key: str, symbol: str, name: str) -> Inputs:
    return lambda case: (case.typed(symbol, name, f"{case.world.press}.{key}", "mm"),)


def _on_press(*names: str, more: Keys = ()) -> On:
    return lambda place: (*on.press(place.world, *names), *more)


_height = _from("block.height_mm", "H", "block height", "mm")


def _shallow(case: Case) -> tuple[Input, ...]:
    fact = case.plan.job.catalogue.practice["pad_to_block_height"]
    return case.fact("c", "pad thickness over block height", fact, "practice.pad_to_block_height"), *_height(case)


PRESS_CODES: dict[str, Judged] = {
    "pressure-short": Judged(
        "Pressure this flange asks for",
        "pressure this press gives",
        _on_demand,
        lambda p: on.rating(p.world),
        formula="p = 1.71 M/s^2 + k G",
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
    "pad-overhang": Judged(
        "Pad past the block; negative: overhang",
        "no overhang",
        _on_press("pad.size_mm", more=on.BLOCK),
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
        _on_press("pad.size_mm", more=on.BLOCK),
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
        _on_press("table_mm", more=on.BLOCK),
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
        _on_press("pad.thickness_mm", more=on.BLOCK),
        _on_press("daylight_mm"),
        formula="H + t + pad",
        inputs=_from("setup.stack_mm", "stack", "stack", "mm"),
        again=same,
        limit_origin="typed",
        limit_inputs=_press("daylight_mm", "D", "daylight"),
        limit_again=same,
    ),
    "stroke-short": Judged(
        "Way the ram must come down",
        "stroke of the ram",
        _on_press("pad.thickness_mm", "daylight_mm", more=on.BLOCK),
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
