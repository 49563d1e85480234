"""Numbers of the press: ratings, area, available pressure, ram force, gauge readings, room for block and pad."""

from __future__ import annotations

import numpy as np

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_body import on_limit
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between, constant
from ribwright.stages.setup import Setup
from ribwright.units import MPA_PER_PSI

GAUGE = "reading = ram force/ram area"
PUMP = "least of (upper end of the band x pressure area, limit force)/ram area and the gauge limit"
LIMIT = "least of the gauge's own limit, rated pressure x pressure area/ram area, rated force/ram area"
PRESS = "statics, force = pressure x area"
RATING = "a rating is never passed"


def setup(case: Case) -> Setup:
    """The set-up; a number under `setup` has one."""
    assert case.plan.setup is not None
    return case.plan.setup


def _key(case: Case, symbol: str, name: str, key: str, unit: str) -> Input:
    return case.typed(symbol, name, f"{case.world.press}.{key}", unit)


def _ratings(case: Case) -> tuple[Input, ...]:
    """Force, rated pressure, gauge limit and ram area; without a gauge the last two are out of reach."""
    gauge = setup(case).press.gauge
    rows = (
        _key(case, "F_r", "rated force", "force_n", "N"),
        _key(case, "p_r", "rated pressure", "rated_pressure_mpa", "MPa"),
    )
    if gauge is None:
        return rows
    return (
        *rows,
        _key(case, "g", "gauge limit", "gauge.limit_mpa", "MPa"),
        _key(case, "A_ram", "ram area", "gauge.ram_area_mm2", "mm2"),
    )


def _area_input(case: Case) -> Input:
    return case.number("A", "pressure area", "setup.pressure_area_mm2", "mm2")


def _rated(case: Case) -> Told:
    force = case.path.endswith("force_n")
    own = _ratings(case)[0 if force else 1]
    what = "Rated force of the press." if force else "Rated pressure of the pad."
    return Told(what, "typed", inputs=(own,), source=setup(case).press.source, validity=RATING, inside=True)


def _typed_pad(case: Case) -> Told:
    which = case.path.removeprefix("setup.pad.").split("[")[0]
    units = {"size_mm": "mm", "thickness_mm": "mm", "shore_a": ""}
    name = {
        "size_mm": "plan size of the pad",
        "thickness_mm": "thickness of the pad",
        "shore_a": "hardness of the pad, Shore A",
    }[which]
    if which == "size_mm":
        own = Input("size", name, case.value, "mm", f"shop file: press[{setup(case).press.id}].pad.size")
        return Told(f"{'Length' if case.index == 0 else 'Width'} of the pad in plan.", "typed", inputs=(own,))
    return Told(f"{name.capitalize()}.", "typed", inputs=(_key(case, which[0], name, f"pad.{which}", units[which]),))


def _area(case: Case) -> Told:
    s = setup(case)
    x, y = s.press.pad.size_mm
    where = f"shop file: press[{s.press.id}].pad.size"
    opening = (Input("X", "length of the opening", x, "mm", where), Input("Y", "width of the opening", y, "mm", where))
    if s.press.pad.held == "loose" and s.press.kind != "fluid":
        inputs = (*opening, case.number("A_block", "web face the pad bears on", "block.bearing_area_mm2", "mm2"))
        again = evaluated(lambda X, Y, A_block: min(A_block, X * Y), inputs)
        return Told(
            "Area that the ram's force acts on.",
            "formula",
            "loose pad: min(A_block, X Y)",
            inputs,
            PRESS,
            "a loose pad",
            again=again,
        )
    return Told(
        "Area that the ram's force acts on.",
        "formula",
        "X Y, the opening of the container, whatever lies under it",
        opening,
        PRESS,
        "a pad held in a container, or fluid",
        again=evaluated(lambda X, Y: X * Y, opening),
    )


def _available(case: Case) -> Told:
    inputs = (*_ratings(case), _area_input(case))

    def most(F_r: float, p_r: float, A: float, g: float = np.inf, A_ram: float = 1.0) -> float:
        return min(F_r, p_r * A, g * A_ram) / A

    return Told(
        "Largest pressure this press may give.",
        "formula",
        "least of F_r, p_r A and g A_ram, over A",
        inputs,
        PRESS,
        RATING,
        True,
        again=evaluated(most, inputs),
    )


def _ram_force(case: Case) -> Told:
    inputs = (case.number("p", "needed pressure", "setup.needed_pressure_mpa.value", "MPa"), _area_input(case))
    return Told(
        "Ram force at the needed pressure.",
        "formula",
        "F = p A",
        inputs,
        PRESS,
        band="as the needed pressure's",
        again=evaluated(lambda p, A: p * A, inputs),
    )


def _gauge(case: Case) -> Told:
    inputs = (
        case.number("F", "ram force", "setup.ram_force_n", "N"),
        _key(case, "A_ram", "ram area", "gauge.ram_area_mm2", "mm2"),
    )
    return Told(
        "Gauge reading at which the last flange should close.",
        "formula",
        GAUGE,
        inputs,
        PRESS,
        "a gauge in the ram line, in date",
        band="as the needed pressure's",
        again=evaluated(lambda F, A_ram: F / A_ram, inputs),
    )


def _gauge_limit(case: Case) -> Told:
    inputs = (*_ratings(case), _area_input(case))

    def least(F_r: float, p_r: float, g: float, A_ram: float, A: float) -> float:
        return min(g, p_r * A / A_ram, F_r / A_ram)

    return Told("Reading never to pass.", "formula", LIMIT, inputs, PRESS, RATING, True, again=evaluated(least, inputs))


def _pump_force(case: Case) -> Told:
    inputs = (
        case.number("p_high", "upper end of the band", "setup.needed_pressure_mpa.high", "MPa"),
        _area_input(case),
        *_ratings(case),
    )

    def force(p_high: float, A: float, F_r: float, p_r: float, g: float = np.inf, A_ram: float = 1.0) -> float:
        return min(p_high * A, F_r, p_r * A, g * A_ram)

    return Told(
        "Ram force to pump to: the upper end of the band, never past a rating.",
        "formula",
        "least of p_high A, F_r, p_r A and g A_ram",
        inputs,
        PRESS,
        RATING,
        True,
        again=evaluated(force, inputs),
    )


def _pump_pressure(case: Case) -> Told:
    inputs = (case.number("F", "ram force to pump to", "setup.pump_to_force_n", "N"), _area_input(case))
    return Told(
        "Pressure on the pad when pumped to.",
        "formula",
        "p = F/A",
        inputs,
        PRESS,
        RATING,
        True,
        again=evaluated(lambda F, A: F / A, inputs),
    )


def _pump_gauge(case: Case) -> Told:
    inputs = (
        case.number("F", "ram force to pump to", "setup.pump_to_force_n", "N"),
        _key(case, "A_ram", "ram area", "gauge.ram_area_mm2", "mm2"),
        case.number("g_max", "gauge limit", "setup.gauge_limit_mpa", "MPa"),
    )
    again = evaluated(lambda F, A_ram, g_max: min(F / A_ram, g_max), inputs)
    return Told("Gauge reading to pump to.", "formula", PUMP, inputs, PRESS, RATING, True, again=again)


def _psi(case: Case) -> Told:
    path = case.path.replace("_psi", "_mpa")
    inputs = (
        case.number("p", "the same in MPa", path, "MPa"),
        constant("psi", "one psi", MPA_PER_PSI, "MPa", "NIST Special Publication 811 (2008), appendix B"),
    )
    return Told(
        "The reading in the unit of many gauges; the cards round it down.",
        "formula",
        "p/psi",
        inputs,
        "NIST Special Publication 811 (2008)",
        "exact",
        True,
        again=evaluated(lambda p, psi: p / psi, inputs),
    )


def _extent(case: Case, size: tuple[float, float], key: str) -> tuple[Input, ...]:
    p = np.concatenate([case.plan.block.outlines[0], case.plan.block.feet[0]])
    where = f"shop file: press[{setup(case).press.id}].{key}"
    return (
        Input("X", f"length of the {key.split('.')[0]}", size[0], "mm", where),
        Input("Y", f"width of the {key.split('.')[0]}", size[1], "mm", where),
        between("w", "extent of the block in x", float(np.ptp(p[:, 0])), "mm", "block.outline_mm and block.foot_mm"),
        between("h", "extent of the block in y", float(np.ptp(p[:, 1])), "mm", "block.outline_mm and block.foot_mm"),
    )


def _lying(X: float, Y: float, w: float, h: float) -> tuple[float, float]:
    straight, turned = min((X - w) / 2, (Y - h) / 2), min((X - h) / 2, (Y - w) / 2)
    return (turned, 90.0) if turned > straight + 5e-10 else (straight, 0.0)


def _margin(case: Case) -> Told:
    press, pad = setup(case).press, "pad" in case.path
    inputs = _extent(case, press.pad.size_mm if pad else press.table_mm, "pad.size" if pad else "table")
    what = f"Least distance from the block to the edge of the {'pad' if pad else 'table'}; negative is overhang."
    words = "larger of min((X - w)/2, (Y - h)/2) and, turned a quarter, min((X - h)/2, (Y - w)/2)"
    again = evaluated(lambda **v: _lying(**v)[0], inputs)
    return Told(what, "formula", words, inputs, "geometry", "block centred under the ram", again=again)


def _turned(case: Case) -> Told:
    inputs = _extent(case, setup(case).press.pad.size_mm, "pad.size")
    again = evaluated(lambda **v: _lying(**v)[1], inputs)
    return Told(
        "Turn of the block on the table that leaves most pad round it.",
        "formula",
        "0 or 90, whichever leaves the larger margin",
        inputs,
        "geometry",
        again=again,
    )


def _stack(case: Case) -> Told:
    inputs = (
        case.number("H", "block height", "block.height_mm", "mm"),
        case.thickness,
        _key(case, "P", "pad thickness", "pad.thickness_mm", "mm"),
    )
    again = evaluated(lambda H, t, P: H + t + P, inputs)
    return Told(
        "Block, sheet and pad on top of each other.",
        "formula",
        "H + t + P",
        inputs,
        "geometry",
        "shims and rings not counted",
        again=again,
    )


def _daylight(case: Case) -> Told:
    inputs = (_key(case, "D", "daylight", "daylight_mm", "mm"), case.number("stack", "stack", "setup.stack_mm", "mm"))
    again = evaluated(lambda D, stack: D - stack, inputs)
    return Told(
        "Daylight left over the stack: what the ram comes down.",
        "formula",
        "D - stack",
        inputs,
        "geometry",
        again=again,
    )


def _block_limit(case: Case) -> Told:
    own = case.number("p_block", "limit of the block material", "block.material.pressure_limit_mpa", "MPa")
    return Told(
        "Pressure the block material stands.",
        "fact",
        inputs=(own,),
        source=case.plan.block.material.source if case.plan.block.material else "",
    )


def _layer(case: Case) -> Told:
    what = str(case.row["what"])
    if what == "form block":
        own = case.number("H", "block height", "block.height_mm", "mm")
    elif what == "blank":
        own = case.thickness
    else:
        own = _key(case, "P", "pad thickness", "pad.thickness_mm", "mm")
    return Told(
        f"Thickness of the {what} in the lay-up.",
        "formula",
        "the same number",
        (own,),
        "geometry",
        again=float(own.value),
    )


def _on_reading(place: Place) -> Keys:
    return (*on.pressure(place.world), *on.rating(place.world))


def _on_limit_reading(place: Place) -> Keys:
    return on.rating(place.world)


def _on_stack(place: Place) -> Keys:
    return (*on.BLOCK, *on.press(place.world, "pad.thickness_mm", "daylight_mm"))


FAMILIES = (
    Family(
        "setup.press.(rated_force_n|rated_pressure_mpa)",
        lambda p: on.press(p.world, "force_n", "rated_pressure_mpa"),
        _rated,
    ),
    Family("setup.pad.size_mm[*]", lambda p: on.press(p.world, "pad.size_mm"), _typed_pad),
    Family("setup.pad.(thickness_mm|shore_a)", lambda p: on.press(p.world, f"pad.{p.caught[0]}"), _typed_pad),
    Family("setup.pressure_area_mm2", lambda p: on.area(p.world), _area),
    Family("setup.available_pressure_mpa", _on_limit_reading, _available),
    Family("setup.ram_force_n", _on_reading, _ram_force),
    Family("setup.gauge_mpa", _on_reading, _gauge),
    Family("setup.gauge_limit_mpa", _on_limit_reading, _gauge_limit),
    Family("setup.gauge_limit_psi", _on_limit_reading, _psi),
    Family("setup.pump_to_force_n", _on_reading, _pump_force),
    Family("setup.pump_to_pressure_mpa", _on_reading, _pump_pressure),
    Family("setup.pump_to_gauge_mpa", _on_reading, _pump_gauge),
    Family("setup.(gauge_psi|pump_to_gauge_psi)", _on_reading, _psi),
    Family("setup.turned_deg", lambda p: (*on.BLOCK, *on.press(p.world, "pad.size_mm", "table_mm")), _turned),
    Family(
        "setup.(pad|table)_margin_mm", lambda p: (*on.BLOCK, *on.press(p.world, "pad.size_mm", "table_mm")), _margin
    ),
    Family("setup.daylight_margin_mm", _on_stack, _daylight),
    Family("setup.stack_mm", _on_stack, _stack),
    Family("setup.block_pressure_limit_mpa", on_limit, _block_limit),
    Family("setup.lay_up[*].thickness_mm", _on_stack, _layer),
)
