"""Numbers of the press: ratings, pad, area, available pressure, ram force, gauge readings, routine."""

from __future__ import annotations

import numpy as np

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_body import on_limit
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, constant
from ribwright.stages.setup import Setup
from ribwright.units import MPA_PER_PSI

GAUGE = "reading = ram force/ram area"
PUMP = "least of (upper end of the band x pressure area, limit force)/ram area and the reading never to pass"
LIMIT = "least of the gauge's own limit, rated pressure x pressure area/ram area, rated force/ram area"
FORCE_GAUGE = "a gauge that reads the ram's force, in date"
PRESS = "statics, force = pressure x area"
LEAST = "least of F_r, p_r A and what the gauge may show (g A_ram, or g_F)"
RATING = "a rating is never passed"


def setup(case: Case) -> Setup:
    """The set-up; a number under `setup` has one."""
    assert case.plan.setup is not None
    return case.plan.setup


def press_key(case: Case, symbol: str, name: str, key: str, unit: str) -> Input:
    """A key of the press."""
    return case.typed(symbol, name, f"{case.world.press}.{key}", unit)


def _ratings(case: Case) -> tuple[Input, ...]:
    """Force, rated pressure, and what the gauge may show: a pressure with the ram area behind it, or a force."""
    gauge = setup(case).press.gauge
    rows = (
        press_key(case, "F_r", "rated force", "force_n", "N"),
        press_key(case, "p_r", "rated pressure", "rated_pressure_mpa", "MPa"),
    )
    force_gauge = setup(case).press.force_gauge
    if force_gauge is not None:
        return (*rows, press_key(case, "g_F", "gauge limit, a force", "force_gauge.limit_n", "N"))
    if gauge is None:
        return rows
    return (
        *rows,
        press_key(case, "g", "gauge limit", "gauge.limit_mpa", "MPa"),
        press_key(case, "A_ram", "ram area", "gauge.ram_area_mm2", "mm2"),
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
        "thickness_mm": "thickness of the pad, of a stack all its layers",
        "shore_a": "hardness of the pad, Shore A; of a stack the layer next to the work",
    }[which]
    if which == "size_mm":
        own = Input("size", name, case.value, "mm", f"shop file: press[{setup(case).press.id}].pad.size")
        return Told(f"{'Length' if case.index == 0 else 'Width'} of the pad in plan.", "typed", inputs=(own,))
    return Told(
        f"{name.capitalize()}.", "typed", inputs=(press_key(case, which[0], name, f"pad.{which}", units[which]),)
    )


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


def _least_force(
    A: float, F_r: float, p_r: float, g: float = np.inf, A_ram: float = 1.0, g_F: float = np.inf
) -> float:  # fmt: skip
    return min(F_r, p_r * A, g * A_ram, g_F)


def _limit_force(case: Case) -> Told:
    inputs = (*_ratings(case), _area_input(case))
    return Told(
        "Reading never to pass, a force.",
        "formula",
        LEAST,
        inputs,
        PRESS,
        RATING,
        True,
        again=evaluated(_least_force, inputs),
    )


def _spread(case: Case) -> Told:
    x, y = setup(case).press.pad.size_mm
    where = f"shop file: press[{setup(case).press.id}].pad.size"
    inputs = (
        case.number("p", "pressure while the pad bears on the block alone", "setup.available_pressure_mpa", "MPa"),
        _area_input(case),
        Input("X", "length of the pad", x, "mm", where),
        Input("Y", "width of the pad", y, "mm", where),
    )
    return Told(
        "Least that a loose pad may give at the same ram force, if it spreads until it bears on the table too.",
        "formula",
        "p A/(X Y)",
        inputs,
        PRESS,
        "a loose pad",
        again=evaluated(lambda p, A, X, Y: p * A / (X * Y), inputs),
    )


def _same_force(case: Case) -> Told:
    own = case.number("F", "ram force", "setup.ram_force_n", "N")
    what = "Gauge reading at which the last flange should close, or the last bead be filled, a force."
    return Told(what, "formula", "the ram's force", (own,), PRESS, FORCE_GAUGE, again=float(own.value))


def _pump_gauge_force(case: Case) -> Told:
    inputs = (
        case.number("F", "ram force to pump to", "setup.pump_to_force_n", "N"),
        case.number("F_max", "force never to pass", "setup.never_past_force_n", "N"),
    )
    again = evaluated(lambda F, F_max: min(F, F_max), inputs)
    return Told(
        "Gauge reading to pump to, a force.", "formula", "min(F, F_max)", inputs, PRESS, FORCE_GAUGE, again=again
    )


def _routine(case: Case) -> Told:
    key = case.caught[0]
    what, unit = {"dwell_s": ("How long the pressure is held.", "s"), "hits": ("How often it is pressed.", "")}[key]
    own = press_key(case, key[0], what.rstrip("."), f"routine.{key}", unit)
    return Told(what, "typed", inputs=(own,), validity="the shop's own choice; nothing is taken where it is silent")


def _available(case: Case) -> Told:
    inputs = (*_ratings(case), _area_input(case))

    def most(A: float, **ratings: float) -> float:
        return _least_force(A, **ratings) / A

    return Told(
        "Largest pressure this press may give.",
        "formula",
        f"{LEAST}, over A",
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
        press_key(case, "A_ram", "ram area", "gauge.ram_area_mm2", "mm2"),
    )
    return Told(
        "Gauge reading at which the last flange should close, or the last bead be filled.",
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


def _never_past(case: Case) -> Told:
    """The gauge limit, or what the block stands on the pad as a reading, where that is less."""
    force = case.path.endswith("force_n")
    limit = "setup.gauge_limit_force_n" if force else "setup.gauge_limit_mpa"
    inputs = [case.number("g", "gauge limit", limit, "N" if force else "MPa"), _area_input(case)]
    if not force:
        inputs.append(press_key(case, "A_ram", "ram area", "gauge.ram_area_mm2", "mm2"))
    if case.plan.setup is not None and case.plan.setup.block_limit is not None:
        inputs.append(case.number("p_block", "block limit", "setup.block_pressure_limit_mpa", "MPa"))

    def least(g: float, A: float, A_ram: float = 1.0, p_block: float = np.inf) -> float:
        return min(g, p_block * A / A_ram)

    told = tuple(inputs)
    formula = "least of g and p_block A" if force else "least of g and p_block A/A_ram"
    return Told("Reading never to pass.", "formula", formula, told, PRESS, RATING, True, again=evaluated(least, told))


def _pump_force(case: Case) -> Told:
    # by the section model the block was cut for a pressure, and that is the one to pump to
    cut_for = ("pressure that the block is cut for", "block.undercut_pressure_mpa")
    top = ("upper end of the band", "setup.needed_pressure_mpa.high")
    inputs = (
        case.number("p_high", *(top if case.plan.job.sections is None else cut_for), "MPa"),
        _area_input(case),
        *_ratings(case),
    )

    def force(p_high: float, A: float, **ratings: float) -> float:
        return min(p_high * A, _least_force(A, **ratings))

    return Told(
        "Ram force to pump to: the upper end of the band, never past a rating.",
        "formula",
        f"p_high A, at most {LEAST}",
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
        press_key(case, "A_ram", "ram area", "gauge.ram_area_mm2", "mm2"),
        case.number("g_max", "reading never to pass", "setup.never_past_gauge_mpa", "MPa"),
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


def _block_limit(case: Case) -> Told:
    own = case.number("p_block", "limit of the block material", "block.material.pressure_limit_mpa", "MPa")
    return Told(
        "Pressure the block material stands.",
        "fact",
        inputs=(own,),
        source=case.plan.block.material.source if case.plan.block.material else "",
    )


def _on_reading(place: Place) -> Keys:
    return (*on.pressure(place.world), *on.rating(place.world))


def _on_pump(place: Place) -> Keys:
    return (*_on_reading(place), *on_limit(place))


def _on_limit_reading(place: Place) -> Keys:
    return on.rating(place.world)


FAMILIES = (
    Family(
        "setup.press.(rated_force_n|rated_pressure_mpa)",
        lambda p: on.press(p.world, "force_n", "rated_pressure_mpa"),
        _rated,
    ),
    Family("setup.pad.size_mm[*]", lambda p: on.press(p.world, "pad.size_mm"), _typed_pad),
    Family("setup.pad.(thickness_mm|shore_a)", lambda p: on.press(p.world, "pad.*"), _typed_pad),
    Family("setup.pressure_area_mm2", lambda p: on.area(p.world), _area),
    Family("setup.available_pressure_mpa", _on_limit_reading, _available),
    Family("setup.available_if_pad_spreads_mpa", lambda p: (*on.rating(p.world), *on.area(p.world)), _spread),
    Family("setup.ram_force_n", _on_reading, _ram_force),
    Family("setup.gauge_mpa", _on_reading, _gauge),
    Family("setup.gauge_limit_mpa", _on_limit_reading, _gauge_limit),
    Family("setup.gauge_limit_psi", _on_limit_reading, _psi),
    Family(
        "setup.(never_past_gauge_mpa|never_past_force_n)", lambda p: (*_on_limit_reading(p), *on_limit(p)), _never_past
    ),
    Family("setup.never_past_gauge_psi", lambda p: (*_on_limit_reading(p), *on_limit(p)), _psi),
    Family("setup.pump_to_force_n", _on_reading, _pump_force),
    Family("setup.pump_to_pressure_mpa", _on_reading, _pump_pressure),
    Family("setup.pump_to_gauge_mpa", _on_pump, _pump_gauge),
    Family("setup.gauge_force_n", _on_reading, _same_force),
    Family("setup.pump_to_gauge_force_n", _on_pump, _pump_gauge_force),
    Family("setup.gauge_limit_force_n", _on_limit_reading, _limit_force),
    Family("setup.gauge_psi", _on_reading, _psi),
    Family("setup.pump_to_gauge_psi", _on_pump, _psi),
    Family("setup.block_pressure_limit_mpa", on_limit, _block_limit),
    Family("setup.(dwell_s|hits)", lambda p: on.press(p.world, "routine*"), _routine),
)
