"""Numbers of the pressure that closes the flanges: what each asks for, and which one governs."""

from __future__ import annotations

from math import hypot, radians, tan

import numpy as np

from ribwright.features.part import Hole
from ribwright.mechanics import pad
from ribwright.stages.bead_demand import BeadDemand
from ribwright.stages.blank import RunStrip
from ribwright.stages.explain import beads, by_section
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.blank_edges import FAA, SETBACK
from ribwright.stages.explain.block_undercut import MOMENT, moment, sheet_inputs
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between, constant
from ribwright.stages.explain.paths import named
from ribwright.stages.pads import layers_near
from ribwright.stages.pressure import Demand, Flange, governing
from ribwright.stages.reach import Reach
from ribwright.stages.undercut import THICKNESS_COV, Z90

NEEDED = f"p = 1.71 M/s^2 + kG, kG what the pad itself takes; {MOMENT}"
GENT = "G = E/3, E = 0.0981 (56 + 7.62336 S)/(0.137505 (254 - 2.54 S))"
RUBBER = f"k 2.2 at 60, 1.5 at 90 Shore A, linear between, held outside; {GENT}, or the shop's own G"
OWN_G = "shear modulus, the shop's own"
SOURCE = "1.71 and k: fits to section models of straight 90 deg flanges; G: Gent, Rubber Chem. Technol. 31 (1958) 896, from memory"
VALID = "straight 90 deg flanges, s longer than the thickness; pads of 60 to 90 Shore A"
BAND = (
    "90 %: p -+ 1.645 sd, sd^2 = (0.04 pC)^2 + (c pC)^2 + s_kG^2, c^2 = k_cov^2 + ((n + 2) 0.02)^2: scatter of the fits "
    "and of the sheet; of a stack of pads, besides, from its softest layer alone to its hardest"
)
COMPARED = "188 cases and 29 curves of section models of this project's method; no formed part was compared"


def reach(case: Case) -> tuple[Reach, str]:
    """What the set-up says of the number's flange, and the path of its row."""
    s = case.plan.setup
    assert s is not None
    if "flanges[" in case.path:
        return s.reached[case.index], f"setup.flanges[{case.index}]"
    worst = governing(s.demands)
    assert worst is not None
    i = next(i for i, r in enumerate(s.reached) if r.demand is worst)
    return s.reached[i], f"setup.flanges[{i}]"


def demand(case: Case) -> tuple[Demand, str]:
    """The demand that the number tells of, and the path of its row."""
    found, row = reach(case)
    assert found.demand is not None
    return found.demand, row


def _bend(case: Case, d: Demand | Flange) -> tuple[float, float, Input, Hole | None]:
    """(R, a, R as an input, hole) of a flange."""
    if "hole" in d.where:
        hole = next(h for h in case.plan.job.part.holes if h.name == d.where["hole"])
        key = f"part.holes[{hole.name}].bend_radius"
        return hole.bend_radius, hole.bend_angle, case.typed("R", "bend radius", key, "mm"), hole
    edge, (strip, j) = str(d.where["edge"]), _station(case, d)
    key = f"part.flanges[{case.world.flange_of(edge)}].bend_radius"
    assert strip.run.flange is not None
    return strip.run.flange.bend_radius, float(strip.at.angle[j]), case.typed("R", "bend radius", key, "mm"), None


def _station(case: Case, d: Demand | Flange) -> tuple[RunStrip, int]:
    """The station of the run where the flange of an edge asks most."""
    strip, i = case.plan.blank.strip_of(str(d.where["edge"]))
    mine = np.flatnonzero(strip.at.edge == i)
    along = d.where["along_mm"]
    assert isinstance(along, float)
    return strip, int(mine[int(np.argmin(np.abs(strip.at.along[mine] - along)))])


def typed_radius(case: Case) -> Input:
    """R of the number's flange."""
    return _bend(case, reach(case)[0].flange)[2]


def _moment_inputs(case: Case, d: Demand, row: str) -> tuple[Input, ...]:
    """K, n, t, the block's radius and the straight part."""
    _, angle, typed, _ = _bend(case, d)
    rb = d.mid_radius - case.plan.job.t / 2
    k, n, _, _ = sheet_inputs(case)
    why = f"(R + t/2) a/(a + u) - t/2 with R {float(typed.value):g} mm ({typed.come_from}), a {angle:g} deg, u the undercut as cut"
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


def pad_input(case: Case) -> Input:
    """kG, the pad's own share; 0 under fluid pressure."""
    return case.number("kG", "what the pad itself takes", "setup.pad_share_mpa", "MPa")


def _share(case: Case) -> Told:
    """1/(sum of f/(k G)) over the layers that count, one of them when there is one pad."""
    s = case.plan.setup
    assert s is not None
    what = "Share of the ram's pressure that the rubber itself takes before it bends any metal."
    if s.press.kind == "fluid":
        return Told(what, "constant", inputs=(constant("kG", "a fluid takes none", 0.0, "MPa"),))
    if not s.press.pad.layers:
        shore = case.typed("S", "hardness, Shore A", f"{case.world.press}.pad.shore_a")
        own = s.press.pad.shear_modulus_mpa
        measured = () if own is None else (case.typed("G", OWN_G, f"{case.world.press}.pad.shear_modulus_mpa", "MPa"),)
        again = _term(float(shore.value), own)
        return _told_share(what, "k G; " + RUBBER, (shore, *measured), s.share.unverified, again)
    rows, total = [], 0.0
    for i, (layer, part) in enumerate(layers_near(s.press.pad, s.block_height), 1):
        key = f"{case.world.press}.pad.layers[{i - 1}]"
        rows.append(case.typed(f"S{i}", f"hardness of layer {i}, next to the work first, Shore A", f"{key}.shore_a"))
        if layer.shear_modulus_mpa is not None:
            rows.append(case.typed(f"G{i}", OWN_G, f"{key}.shear_modulus_mpa", "MPa"))
        rows.append(
            between(f"f{i}", "its share of the depth of one block height", part, "", "thicknesses of the layers")
        )
        total += part / _term(layer.shore_a, layer.shear_modulus_mpa)
    words = "1/(kG) = sum of f_i/(k G)_i, layers in series within one block height of the work; " + RUBBER
    return _told_share(what, words, tuple(rows), s.share.unverified, 1 / total)


def _told_share(what: str, words: str, inputs: tuple[Input, ...], outside: tuple[str, ...], again: float) -> Told:
    valid = "pads of 60 to 90 Shore A (k), 20 to 80 (G)" + (f"; here outside: {', '.join(outside)}" if outside else "")
    return Told(
        what, "formula", words, inputs, SOURCE, valid, not outside, "goes into the needed pressure's", COMPARED, again
    )


def _term(S: float, own: float | None) -> float:
    """k G, G the shop's own or from the hardness."""
    k = 2.2 + (min(max(S, 60.0), 90.0) - 60.0) / 30.0 * (1.5 - 2.2)
    return k * (0.0981 * (56 + 7.62336 * S) / (0.137505 * (254 - 2.54 * S)) / 3 if own is None else own)


def _last(case: Case) -> bool:
    """Whether the number is that of a bead, which asks for more than every flange."""
    s = case.plan.setup
    return "flanges[" not in case.path and s is not None and isinstance(s.governed, BeadDemand)


def _needed(case: Case) -> Told:
    if _last(case):
        return beads.needed(case)
    d, row = demand(case)
    inputs, rubber = _moment_inputs(case, d, row), pad_input(case)
    again = evaluated(closing, inputs) + float(rubber.value)
    what = "Pressure at the ram at which this flange closes to within 0.5 deg of its loaded limit."
    if "flanges[" not in case.path:
        what = f"Pressure at which the last flange closes to within 0.5 deg of its loaded limit: {named(case.world.answer, row)} governs."
    outside = f"; here outside: {d.unverified}" if d.unverified else ""
    if d.by_model:
        rows = (case.number("pC", "closing pressure", f"{row}.closing_pressure_mpa", "MPa"), rubber)
        again = evaluated(lambda pC, kG: pC + kG, rows)
        source, compared = f"{by_section.SOURCE}; {SOURCE}", by_section.COMPARED
        words = by_section.VALID + outside
        return Told(
            what,
            "formula",
            "p = pC + kG, pC of the section model",
            rows,
            source,
            words,
            not d.unverified,
            BAND,
            compared,
            again,
        )
    return Told(
        what, "formula", NEEDED, (*inputs, rubber), SOURCE, VALID + outside, not d.unverified, BAND, COMPARED, again
    )


def _band(case: Case) -> Told:
    if _last(case):
        return beads.needed(case)
    d, row = demand(case)
    low = case.path.endswith("low")
    s = case.plan.setup
    m = case.plan.job.formed
    assert s is not None
    assert m is not None
    cov = m.facts.get("k_cov")
    fits = "25 curves of a section model at 60 Shore A, 4 at 90"
    inputs = (
        case.number("p", "needed pressure", f"{row}.needed_pressure_mpa.value", "MPa"),
        case.number("pC", "closing pressure", f"{row}.closing_pressure_mpa", "MPa"),
        sheet_inputs(case)[1],
        case.fact("k_cov", "scatter of the strength", cov, case.material_path("facts[k_cov]"))
        if cov
        else constant("k_cov", "scatter of the strength, not known", 0.06),
        constant("c_t", "scatter of the thickness", THICKNESS_COV, why="tolerance of thin sheet over two, from memory"),
        constant("s_C", "scatter of the closing fit", pad.CLOSING_SCATTER, why="188 cases of a section model"),
        pad_input(case),
        between("s_kG", "scatter of the pad's share, G sd_k", s.share.sd, "MPa", fits),
        between(
            "kG_end", _end_words(low), s.share.least if low else s.share.most, "MPa", "the pad's share as if alone"
        ),
    )

    def end(
        p: float, pC: float, n: float, k_cov: float, c_t: float, s_C: float, kG: float, s_kG: float, kG_end: float
    ) -> float:
        half = hypot(Z90 * hypot(s_C * pC, s_kG, hypot(k_cov, (n + 2) * c_t) * pC), kG - kG_end)
        return max(p - half, 0.0) if low else p + half

    return Told(
        f"{'Lower' if low else 'Upper'} end of the 90 % band of the needed pressure.",
        "formula",
        ("max(p - h, 0)" if low else "p + h")
        + ", h^2 = (1.645 sd)^2 + (kG - kG_end)^2, sd^2 = (s_C pC)^2 + (c pC)^2 + s_kG^2",
        inputs,
        SOURCE,
        VALID,
        not d.unverified,
        BAND,
        COMPARED,
        evaluated(end, inputs),
    )


def _end_words(low: bool) -> str:
    return f"{'softest' if low else 'hardest'} layer that counts, alone"


def _closing(case: Case) -> Told:
    d, row = demand(case)
    inputs = _moment_inputs(case, d, row)
    solved = by_section.solved_there(case, reach(case)[0].flange.owner)
    if d.by_model and solved is not None:
        return by_section.closing(case, solved, inputs)
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


def _quick(case: Case) -> Told:
    """What the closed form says, beside the section model's."""
    d, row = demand(case)
    inputs = _moment_inputs(case, d, row)
    return Told(
        "What the closed form says of the closing pressure: the quick answer beside the section model's.",
        "formula",
        f"pC = 1.71 M/s^2; {MOMENT}",
        inputs,
        SOURCE,
        VALID,
        None,
        "fit: 4 %, worst -31 % at s = t",
        COMPARED,
        evaluated(closing, inputs),
    )


def _straight(case: Case) -> Told:
    d = reach(case)[0].flange
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
    edge, (strip, j) = str(d.where["edge"]), _station(case, d)
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
    _, row = reach(case)
    least = case.number("s", "its straight part, the shortest of the edge", f"{row}.straight_mm", "mm")
    return Told(
        "Where on the edge the flange asks most pressure, from its start as typed: where it is shortest, or as the section model found.",
        "geometry",
        "place of the least straight part",
        (least,),
        "stations of the run",
    )


def own(place: Place) -> Keys:
    """A row's own flange: its section, the sheet and the pad."""
    row, world = place.row, place.world
    if "hole" in row:
        return (f"part.holes[{row['hole']}].*", *on.THICKNESS, *on.DEVELOPED)
    return (*on.section(world, row["edge"]), f"{world.edge_path(row['edge'])}.*")


def on_closing(place: Place) -> Keys:
    return (*own(place), *on.UNDERCUT)


def _on_need(place: Place) -> Keys:
    return (*on_closing(place), *on.rubber(place.world))


def _on_straight(place: Place) -> Keys:
    """By the section model the place is the one that asks most, which hangs on all that it takes."""
    return (*own(place), *by_section.keys(place.world))


def _on_along(place: Place) -> Keys:
    return (*on.SHAPE, *on.DEVELOPED, *by_section.keys(place.world))


FAMILIES = (
    Family("setup.pad_share_mpa", lambda p: on.rubber(p.world), _share),
    Family("setup.needed_pressure_mpa.value", lambda p: on.pressure(p.world), _needed),
    Family("setup.needed_pressure_mpa.(low|high)", lambda p: on.pressure(p.world), _band),
    Family("setup.flanges[*].needed_pressure_mpa.value", _on_need, _needed),
    Family("setup.flanges[*].needed_pressure_mpa.(low|high)", _on_need, _band),
    Family("setup.flanges[*].closing_pressure_mpa", on_closing, _closing),
    Family("setup.flanges[*].closed_form_closing_mpa", on_closing, _quick),
    Family("setup.flanges[*].straight_mm", _on_straight, _straight),
    Family("setup.governed_by.along_mm", lambda p: on.pressure(p.world), _along),
    Family("setup.flanges[*].along_mm", _on_along, _along),
)
