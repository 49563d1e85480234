"""Numbers of the pressure that closes the flanges: what each asks for, and which one governs."""

from __future__ import annotations

from math import hypot, radians, tan

import numpy as np

from ribwright.features.part import Hole
from ribwright.mechanics import pad
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.blank_edges import FAA, SETBACK
from ribwright.stages.explain.block_undercut import MOMENT, moment, sheet_inputs
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between, constant
from ribwright.stages.explain.paths import named
from ribwright.stages.pressure import Demand, governing
from ribwright.stages.undercut import THICKNESS_COV, Z90, undercut

NEEDED = f"p = 1.71 M/s^2 + k G; {MOMENT}; fluid pressure: no pad term"
GENT = "G = E/3, E = 0.0981 (56 + 7.62336 S)/(0.137505 (254 - 2.54 S))"
SOURCE = "1.71 and k: fits to section models of straight 90 deg flanges; G: Gent, Rubber Chem. Technol. 31 (1958) 896, from memory"
VALID = "straight 90 deg flanges, s longer than the thickness; pads of 60 to 90 Shore A"
BAND = (
    "90 %: p -+ 1.645 sd, sd^2 = (0.04 pC)^2 + (c pC)^2 + (G sd_k)^2, c^2 = k_cov^2 + ((n + 2) 0.02)^2: scatter of the fits "
    "and of the sheet"
)
COMPARED = "188 cases and 29 curves of section models of this project's method; no formed part was compared"


def demand(case: Case) -> tuple[Demand, str]:
    """The demand that the number tells of, and the path of its row."""
    s = case.plan.setup
    assert s is not None
    if "flanges[" in case.path:
        return s.demands[case.index], f"setup.flanges[{case.index}]"
    worst = governing(s.demands)
    assert worst is not None
    return worst, f"setup.flanges[{s.demands.index(worst)}]"


def _bend(case: Case, d: Demand) -> tuple[float, float, Input, Hole | None]:
    """(R, a, R as an input, hole) of a demand's flange."""
    if "hole" in d.where:
        hole = next(h for h in case.plan.job.part.holes if h.name == d.where["hole"])
        key = f"part.holes[{hole.name}].bend_radius"
        return hole.bend_radius, hole.bend_angle, case.typed("R", "bend radius", key, "mm"), hole
    edge = str(d.where["edge"])
    strip, i = case.plan.blank.strip_of(edge)
    mine = np.flatnonzero(strip.at.edge == i)
    j = mine[int(np.argmin(strip.at.leg[mine]))]
    key = f"part.flanges[{case.world.flange_of(edge)}].bend_radius"
    assert strip.run.flange is not None
    return strip.run.flange.bend_radius, float(strip.at.angle[j]), case.typed("R", "bend radius", key, "mm"), None


def _moment_inputs(case: Case, d: Demand, row: str) -> tuple[Input, ...]:
    """K, n, t, the block's radius and the straight part."""
    radius, angle, typed, _ = _bend(case, d)
    rb = float(undercut(case.plan.job, radius, np.array([angle])).radius[0])
    k, n, _, _ = sheet_inputs(case)
    why = f"(R + t/2) a/(a + u) - t/2 with R {float(typed.value):g} mm ({typed.come_from}), a {angle:g} deg, u solved"
    return (
        k,
        n,
        case.thickness,
        between("R_block", "block radius", rb, "mm", why),
        case.number("s", "straight part of the flange", f"{row}.straight_mm", "mm"),
    )


def closing(K: float, n: float, t: float, R_block: float, s: float) -> float:
    """pC [MPa]."""
    return 1.71 * moment(K, n, t, R_block) / s**2


def pad_inputs(case: Case) -> tuple[Input, ...]:
    """S, k and G of the pad; nothing under fluid pressure."""
    s = case.plan.setup
    assert s is not None
    if s.press.kind == "fluid":
        return ()
    shore = s.press.pad.shore_a
    fit = pad.pad_coefficient(shore)
    return (
        case.typed("S", "hardness, Shore A", f"{case.world.press}.pad.shore_a"),
        between(
            "k",
            "pad coefficient: 2.2 at 60, 1.5 at 90 Shore A, linear between, held outside",
            float(fit.k),
            "",
            "fit to section models",
        ),
        between(
            "G",
            f"shear modulus of the pad, {GENT}",
            float(pad.shear_modulus(shore).shear_mpa),
            "MPa",
            "Gent (1958), from memory",
        ),
    )


def _term(S: float) -> float:
    k = 2.2 + (min(max(S, 60.0), 90.0) - 60.0) / 30.0 * (1.5 - 2.2)
    return k * 0.0981 * (56 + 7.62336 * S) / (0.137505 * (254 - 2.54 * S)) / 3


def _needed(case: Case) -> Told:
    d, row = demand(case)
    inputs, rubber = _moment_inputs(case, d, row), pad_inputs(case)
    again = evaluated(closing, inputs) + (_term(float(rubber[0].value)) if rubber else 0.0)
    what = "Pressure at the ram at which this flange closes to within 0.5 deg of its loaded limit."
    if "flanges[" not in case.path:
        what = f"Pressure at which the last flange closes to within 0.5 deg of its loaded limit: {named(case.world.answer, row)} governs."
    outside = f"; here outside: {d.unverified}" if d.unverified else ""
    return Told(
        what, "formula", NEEDED, (*inputs, *rubber), SOURCE, VALID + outside, not d.unverified, BAND, COMPARED, again
    )


def _band(case: Case) -> Told:
    d, row = demand(case)
    low = case.path.endswith("low")
    s = case.plan.setup
    m = case.plan.job.formed
    assert s is not None
    assert m is not None
    cov = m.facts.get("k_cov")
    rubber = s.press.kind != "fluid"
    shore = s.press.pad.shore_a
    inputs = (
        case.number("p", "needed pressure", f"{row}.needed_pressure_mpa.value", "MPa"),
        case.number("pC", "closing pressure", f"{row}.closing_pressure_mpa", "MPa"),
        sheet_inputs(case)[1],
        case.fact("k_cov", "scatter of the strength", cov, case.material_path("facts[k_cov]"))
        if cov
        else constant("k_cov", "scatter of the strength, not known", 0.06),
        constant("c_t", "scatter of the thickness", THICKNESS_COV, why="tolerance of thin sheet over two, from memory"),
        constant("s_C", "scatter of the closing fit", pad.CLOSING_SCATTER, why="188 cases of a section model"),
        between(
            "G",
            "shear modulus of the pad",
            float(pad.shear_modulus(shore).shear_mpa) if rubber else 0.0,
            "MPa",
            "Gent (1958), from memory",
        ),
        between(
            "sd_k",
            "scatter of the pad coefficient",
            float(pad.pad_coefficient(shore).sd) if rubber else 0.0,
            "",
            "29 curves of a section model",
        ),
    )

    def end(p: float, pC: float, n: float, k_cov: float, c_t: float, s_C: float, G: float, sd_k: float) -> float:
        half = Z90 * hypot(s_C * pC, G * sd_k, hypot(k_cov, (n + 2) * c_t) * pC)
        return max(p - half, 0.0) if low else p + half

    return Told(
        f"{'Lower' if low else 'Upper'} end of the 90 % band of the needed pressure.",
        "formula",
        ("max(p - z sd, 0)" if low else "p + z sd") + ", z = 1.645, sd^2 = (s_C pC)^2 + (c pC)^2 + (G sd_k)^2",
        inputs,
        SOURCE,
        VALID,
        not d.unverified,
        BAND,
        COMPARED,
        evaluated(end, inputs),
    )


def _closing(case: Case) -> Told:
    d, row = demand(case)
    inputs = _moment_inputs(case, d, row)
    return Told(
        "Uniform pressure on the flange that closes it to within 0.5 deg.",
        "formula",
        f"pC = 1.71 M/s^2; {MOMENT}",
        inputs,
        SOURCE,
        VALID + (f"; here outside: {d.unverified}" if d.unverified else ""),
        not d.unverified,
        "fit: 4 %, worst -31 % at s = t",
        COMPARED,
        evaluated(closing, inputs),
    )


def _straight(case: Case) -> Told:
    d, _ = demand(case)
    what = "Straight part of the flange, end of the bend to free edge, where it is shortest."
    _, angle, typed, hole = _bend(case, d)
    if hole is not None:
        name, size = hole.given or ("", 0.0)
        given = Input(name, f"the size that was typed, {name}", size, "mm", f"part file: hole[{hole.name}].{name}")
        return Told(
            what,
            "solved",
            "Solved so that the size that was typed comes out.",
            (typed, given),
            "geometry of a flange round a circle",
        )
    edge = str(d.where["edge"])
    strip, i = case.plan.blank.strip_of(edge)
    mine = np.flatnonzero(strip.at.edge == i)
    j = mine[int(np.argmin(strip.at.leg[mine]))]
    key = f"part.flanges[{case.world.flange_of(edge)}]"
    inputs = (
        case.along("b", "flange width", float(strip.at.width[j]), f"{key}.width", "mm"),
        typed,
        case.thickness,
        case.along("a", "bend angle", angle, f"{key}.bend_angle", "deg"),
    )
    return Told(
        what,
        "formula",
        f"s = b - setback, {SETBACK}",
        inputs,
        FAA,
        "bends under 180 deg",
        again=evaluated(lambda b, R, t, a: b - (R + t) * tan(radians(a) / 2), inputs),
    )


def _along(case: Case) -> Told:
    _, row = demand(case)
    least = case.number("s", "its straight part, the shortest of the edge", f"{row}.straight_mm", "mm")
    return Told(
        "Where on the edge the flange is shortest, from its start as typed.",
        "geometry",
        "place of the least straight part",
        (least,),
        "stations of the run",
    )


def _own(place: Place) -> Keys:
    """A row's own flange: its section, the sheet and the pad."""
    row, world = place.row, place.world
    if "hole" in row:
        return (f"part.holes[{row['hole']}].*", *on.THICKNESS, *on.DEVELOPED)
    return (*on.section(world, row["edge"]), f"{world.edge_path(row['edge'])}.*")


def _on_closing(place: Place) -> Keys:
    return (*_own(place), *on.SPRING)


def _on_need(place: Place) -> Keys:
    return (*_on_closing(place), *on.press(place.world, "pad.shore_a", "kind"))


FAMILIES = (
    Family("setup.needed_pressure_mpa.value", lambda p: on.pressure(p.world), _needed),
    Family("setup.needed_pressure_mpa.(low|high)", lambda p: on.pressure(p.world), _band),
    Family("setup.flanges[*].needed_pressure_mpa.value", _on_need, _needed),
    Family("setup.flanges[*].needed_pressure_mpa.(low|high)", _on_need, _band),
    Family("setup.flanges[*].closing_pressure_mpa", _on_closing, _closing),
    Family("setup.flanges[*].straight_mm", _own, _straight),
    Family("setup.governed_by.along_mm", lambda p: on.pressure(p.world), _along),
    Family("setup.flanges[*].along_mm", lambda p: (*on.SHAPE, *on.DEVELOPED), _along),
)
