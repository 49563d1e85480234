"""Numbers of the undercut along the contour: the undercut and its band, wall angle, block radius, setback of the foot."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, hypot, radians, sqrt, tan

import numpy as np

from ribwright.stages.answers import BLOCK_ANGLE_STEP, BLOCK_SETBACK_STEP_IN, round_to
from ribwright.stages.block import BlockEdge
from ribwright.stages.explain import by_section
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import UNKNOWN, Case, Family, Place, between, constant
from ribwright.stages.undercut import FORMULA_SD_DEG, MODULUS_COV, THICKNESS_COV, Z90, undercut
from ribwright.units import MM_PER_IN

SOURCE = "Marciniak, Duncan & Hu, Mechanics of Sheet Metal Forming (2002), ch. 6"
MOMENT = "M = (2/sqrt 3)^(n+1) K t^(n+2) / (2^(n+1) (n+2) (R_block + t/2)^n)"
UNDERCUT = (
    f"u = 12 M A / (E' t^3), A = (R + t/2) a, R_block + t/2 = A/(a + u), solved together; {MOMENT}, E' = E/(1 - nu^2)"
)
SPRINGBACK = f"sb = 12 M A / (E' t^3), A = (R + t/2) a, {MOMENT}, E' = E/(1 - nu^2)"
RADIUS = "R_block = (R + t/2) a/(a + u) - t/2"
SETBACK = "setback = -H cot(a + u)"
SCATTER = "c^2 = k_cov^2 + ((1 - n) c_t)^2 + c_E^2"
BAND = (
    "90 %: u -+ 1.645 sd, sd^2 = (c u)^2 + (1.5 deg)^2, c^2 = k_cov^2 + ((1 - n) 0.02)^2 + 0.0125^2: scatter of strength, thickness "
    "and modulus of the sheet, and the formula's own miss"
)
BACK_BAND = BAND.replace("u -+", "-+").replace("(c u)", "(c sb)")
COMPARED = "945 points of a section model on synthetic sheet: 1.5 deg rms off, which is in the band. No formed part was compared."
VALID = "a bend formed fully over the block; pressure does not enter"
KEPT = "the arc of the bend keeps its length"


@dataclass(frozen=True)
class Bend:
    """What a place of the block is solved for: bend radius and angle with their keys, and the path of the block's radius."""

    radius: Input
    angle: Input
    radius_path: str
    edge: str = ""
    owner: str = ""
    along: float = 0.0


def edge_row(case: Case) -> tuple[BlockEdge, int]:
    """The block's edge of the number's row, and which of its places."""
    left = case.index
    for e in case.plan.block.edges:
        if left < len(e.along):
            return e, left
        left -= len(e.along)
    raise IndexError(case.path)


def edge_bend(case: Case) -> Bend:
    """The bend of the edge at the number's place."""
    e, i = edge_row(case)
    key = f"part.flanges[{case.world.flange_of(e.edge)}]"
    return Bend(
        case.typed("R", "inside bend radius, as released", f"{key}.bend_radius", "mm"),
        case.along("a", "bend angle here", float(e.angle[i]), f"{key}.bend_angle", "deg"),
        f"block.undercut[{case.index}].edge_radius_mm",
        e.edge,
        e.edge,
        float(e.along[i]),
    )


def sheet_inputs(case: Case) -> tuple[Input, ...]:
    """K, n, E and nu of the sheet as formed."""
    m = case.plan.job.formed
    assert m is not None
    assert m.hardening is not None
    h = m.hardening
    standing = f"estimated by {h.rule}" if h.status == "estimated" else h.status
    why = f"material {m.name}: {h.source}" + ("" if standing in h.source else f" ({standing})")
    key = "secondary_modulus_mpa" if "secondary_modulus_mpa" in m.facts else "youngs_modulus_mpa"
    where = case.material_path("hardening")
    return (
        Input("K", "strength coefficient", h.k_mpa, "MPa", why, f"inputs.{where}.k_mpa"),
        Input("n", "hardening exponent", h.n, "", "the same record", f"inputs.{where}.n"),
        case.fact(
            "E",
            "modulus for unloading" + (", the secondary one of clad sheet" if key[0] == "s" else ""),
            m.facts[key],
            case.material_path(f"facts[{key}]"),
            "MPa",
        ),
        case.fact("nu", "Poisson's ratio", m.facts["poisson"], case.material_path("facts[poisson]")),
    )


def known(case: Case) -> bool:
    """Whether flow curve and modulus of the temper are known."""
    m = case.plan.job.formed
    return bool(m and m.hardening and m.springback_modulus() is not None and m.number("poisson") is not None)


def moment(K: float, n: float, t: float, R_block: float) -> float:
    """Bending moment per width [N]."""
    return (2 / sqrt(3)) ** (n + 1) * K * t ** (n + 2) / (2 ** (n + 1) * (n + 2) * (R_block + t / 2) ** n)


def springback(K: float, n: float, E: float, nu: float, R: float, t: float, a: float, R_block: float) -> float:
    """Angle given back [deg] by a bend drawn with R and a that is bent on a block of radius R_block."""
    arc = (R + t / 2) * radians(a)
    return degrees(12 * moment(K, n, t, R_block) * arc / (E / (1 - nu**2) * t**3))


def undercut_of(case: Case, bend: Bend) -> Told:
    what = "How far past the part's angle the block turns the sheet, so that it springs back to the drawing."
    if not known(case):
        return Told(what, "constant", f"{UNKNOWN}: no undercut is given", (bend.radius,), SOURCE, VALID, False)
    mode = case.plan.job.part.block_undercut
    if mode == "none":
        return _not_undercut(case, what)
    modelled = by_section.solved_there(case, bend.owner)
    if modelled is not None:
        taken = by_section.what_it_takes(case, sheet_inputs(case), bend.radius, bend.angle)
        return by_section.undercut(case, modelled, taken, mode if bend.edge else "varying", what)
    if bend.edge and mode == "constant-per-edge":
        return _one_for_the_edge(case, bend, what)
    inputs = (
        *sheet_inputs(case),
        bend.radius,
        case.thickness,
        bend.angle,
        case.number("R_block", "block radius", bend.radius_path, "mm"),
    )
    solved = float(inputs[-1].value) > 0
    return Told(
        what,
        "formula",
        UNDERCUT,
        inputs,
        SOURCE,
        VALID,
        solved,
        BAND,
        COMPARED,
        evaluated(springback, inputs) if solved else None,
    )


def _not_undercut(case: Case, what: str) -> Told:
    rule = case.typed("rule", "undercut asked for", "part.block_undercut")
    words = "0, as the part file asks: the flange springs open by all of its springback"
    return Told(what, "typed", words, (rule,), band=BAND, again=0.0)


def _one_for_the_edge(case: Case, bend: Bend, what: str) -> Told:
    """The one undercut of an edge, from the springback at its least and its greatest bend angle."""
    e, i = edge_row(case)
    first = case.index - i
    ends = []
    for word, k in (("least", int(np.argmin(e.angle))), ("greatest", int(np.argmax(e.angle)))):
        row, short = f"block.undercut[{first + k}]", word[:1]
        ends += [
            case.number(f"a_{short}", f"{word} bend angle of the edge", f"{row}.bend_angle_deg", "deg"),
            case.number(f"R_block_{short}", "block radius there", f"{row}.edge_radius_mm", "mm"),
        ]
    inputs = (
        *sheet_inputs(case),
        bend.radius,
        case.thickness,
        *ends,
        case.typed("rule", "undercut asked for", "part.block_undercut"),
    )

    def half(
        K: float, n: float, E: float, nu: float, R: float, t: float,
        a_l: float, R_block_l: float, a_g: float, R_block_g: float, rule: str,
    ) -> float:  # fmt: skip
        least, greatest = ((a_l, R_block_l), (a_g, R_block_g))
        return (springback(K, n, E, nu, R, t, *least) + springback(K, n, E, nu, R, t, *greatest)) / 2

    words = (
        "u = (sb(a_l) + sb(a_g))/2, one for the edge: the errors left at its least and its greatest angle are equal and "
        f"opposite; {SPRINGBACK}, solved together with R_block = (R + t/2) a/(a + u) - t/2"
    )
    closed = all(float(x.value) > 0 for x in ends)
    again = evaluated(half, inputs) if closed else None
    return Told(what, "formula", words, inputs, SOURCE, VALID, closed, BAND, COMPARED, again)


def _edge_undercut(case: Case) -> Told:
    return undercut_of(case, edge_bend(case))


def scatter_inputs(case: Case) -> tuple[Input, ...]:
    """What the band of a springback is made of."""
    m = case.plan.job.formed
    assert m is not None
    cov = m.facts.get("k_cov")
    return (
        sheet_inputs(case)[1],
        case.fact("k_cov", "scatter of the strength", cov, case.material_path("facts[k_cov]"))
        if cov
        else constant("k_cov", "scatter of the strength, not known", 0.06),
        constant("c_t", "scatter of the thickness", THICKNESS_COV, why="tolerance of thin sheet over two, from memory"),
        constant("c_E", "scatter of the modulus", MODULUS_COV, why="spread of published moduli"),
        constant("s_f", "the formula's own miss", FORMULA_SD_DEG, "deg", "a trial of 945 points on a section model"),
        constant("z", "90 % of a normal law", Z90),
    )


def half_band(back: float, n: float, k_cov: float, c_t: float, c_E: float, s_f: float, z: float) -> float:
    """Half the 90 % band of a springback [deg]."""
    c = sqrt(k_cov**2 + ((1 - n) * c_t) ** 2 + c_E**2)
    return z * hypot(c * back, s_f)


def band_of(case: Case, bend: Bend, radius: float, angle: float, u: float) -> Told:
    low = case.path.endswith("low")
    what = f"{'Lower' if low else 'Upper'} end of the 90 % band of the undercut; never under 0."
    if not known(case):
        return Told(what, "constant", f"{UNKNOWN}: no band is given", (bend.radius,), SOURCE, VALID, False)
    solved = by_section.solved_there(case, bend.owner)
    if solved is not None:
        return by_section.undercut_band(solved, bend.along, u, low, what)
    free = float(undercut(case.plan.job, radius, np.array([angle])).deg[0])
    inputs = (
        between("u", "undercut cut", u, "deg", "deg.value of this place"),
        between("u_solved", "undercut solved", free, "deg", UNDERCUT.partition(";")[0]),
        *scatter_inputs(case),
    )

    def end(u: float, u_solved: float, n: float, k_cov: float, c_t: float, c_E: float, s_f: float, z: float) -> float:
        half = half_band(u_solved, n, k_cov, c_t, c_E, s_f, z)
        return max(u + max(u_solved - half, 0.0) - u_solved, 0.0) if low else u + half

    words = "max(u - z sd, 0)" if low else "u + z sd"
    return Told(
        what,
        "formula",
        f"{words}, sd^2 = (c u_solved)^2 + s_f^2, {SCATTER}",
        inputs,
        SOURCE,
        VALID,
        None,
        BAND,
        COMPARED,
        evaluated(end, inputs),
    )


def _edge_band(case: Case) -> Told:
    e, i = edge_row(case)
    return band_of(case, edge_bend(case), float(edge_bend(case).radius.value), float(e.angle[i]), float(e.under.deg[i]))


def _wall(case: Case) -> Told:
    e, i = edge_row(case)
    inputs = (edge_bend(case).angle, case.number("u", "undercut", f"block.undercut[{case.index}].deg.value", "deg"))
    return Told(
        "Angle of the block's wall from the flat web face; outline, DXF and drawing use it unrounded.",
        "formula",
        "w = a + u",
        inputs,
        SOURCE,
        VALID,
        again=float(e.angle[i]) + float(inputs[1].value),
    )


def radius_of(case: Case, bend: Bend, u: Input) -> Told:
    inputs = (bend.radius, case.thickness, bend.angle, u)
    return Told(
        "Radius of the block's edge at the web face: smaller than the part's, for the bend opens as it springs back.",
        "formula",
        RADIUS,
        inputs,
        KEPT,
        VALID,
        float(case.value) > 0,
        compared="no formed part was compared",
        again=evaluated(lambda R, t, a, u: (R + t / 2) * a / (a + u) - t / 2, inputs),
    )


def _edge_radius(case: Case) -> Told:
    return radius_of(
        case, edge_bend(case), case.number("u", "undercut", f"block.undercut[{case.index}].deg.value", "deg")
    )


def _setback(case: Case) -> Told:
    inputs = (
        case.number("H", "block height", "block.height_mm", "mm"),
        case.number("w", "wall angle, a + u", f"block.undercut[{case.index}].wall_angle_deg", "deg"),
    )
    return Told(
        "How far the foot of the wall lies inside the web-face outline; negative is outside.",
        "formula",
        SETBACK,
        inputs,
        "geometry of a plane wall",
        "a plane wall from web face to table",
        again=evaluated(lambda H, w: -H / tan(radians(w)), inputs),
    )


def _rounded(case: Case) -> Told:
    angle = case.path.endswith("deg_rounded")
    path = f"block.undercut[{case.index}].{'deg.value' if angle else 'setback_mm'}"
    of = case.number("x", "the number before rounding", path, "deg" if angle else "mm")
    step = constant(
        "step", "step of the bench", BLOCK_ANGLE_STEP if angle else BLOCK_SETBACK_STEP_IN, "deg" if angle else "in"
    )
    again = round_to(float(of.value) / (1 if angle else MM_PER_IN), float(step.value))
    what = "The undercut as the bench sets it." if angle else "The setback as the bench measures it."
    return Told(what, "rounded", "nearest multiple of the step", (of, step), "project decision", again=again)


def closed_form(case: Case, bend: Bend) -> Told:
    """What the closed form would say where the section model answers."""
    inputs = (*sheet_inputs(case), bend.radius, case.thickness, bend.angle)

    def again(K: float, n: float, E: float, nu: float, R: float, t: float, a: float) -> float:
        return float(undercut(case.plan.job, R, np.array([a])).deg[0])

    return Told(
        "What the closed form says of the undercut here: the quick answer beside the section model's.",
        "formula",
        UNDERCUT,
        inputs,
        SOURCE,
        VALID,
        None,
        "",
        COMPARED,
        evaluated(again, inputs),
    )


def _edge_closed_form(case: Case) -> Told:
    return closed_form(case, edge_bend(case))


def _along(case: Case) -> Told:
    e, i = edge_row(case)
    length = abs(float(e.along[-1]) - float(e.along[0]))
    rows = (
        constant("i", "which place, as typed", i),
        constant("n", "places on the edge", len(e.along)),
        between("length", "length of the drawn edge", length, "mm", f"part file: web.edge[{e.edge}]"),
    )
    return Told(
        "Arc length from the start of the edge as typed.",
        "geometry",
        "even places along the edge: its two ends, one about every 25 mm where the bend angle changes, and those where the section "
        "model solved the undercut",
        rows,
        "project decision",
    )


def _angle(case: Case) -> Told:
    return Told("Bend angle of the part at this place, from flat.", "typed", inputs=(edge_bend(case).angle,))


def _pressure(case: Case) -> Told:
    s = case.plan.setup
    assert s is not None
    what = "Pressure on the pad that the section model solves the undercut for: the one the set-up is pumped to."
    if s.pump_pressure is None:
        path, name = "setup.needed_pressure_mpa.value", "needed pressure; this press does not give it"
        what = "Pressure on the pad that the section model solves the undercut for: the least that closes every flange."
    else:
        path, name = "setup.pump_to_pressure_mpa", "pressure pumped to"
    told = (
        (case.number("p", name, path, "MPa"),)
        if "setup" in case.world.answer
        else (case.typed("press", "press", "press"),)
    )
    words = "as the set-up, to 0.5 %: the closing pressures it follows from are taken again on the block as solved"
    return Told(what, "solved", words, told, by_section.SOURCE, by_section.VALID, compared=by_section.COMPARED)


def on_undercut(place: Place) -> Keys:
    """Keys that an edge's undercut depends on."""
    return (*on.section(place.world, str(place.row["edge"])), *on.UNDERCUT)


def _on_along(place: Place) -> Keys:
    edge = str(place.row["edge"])
    return (f"{place.world.edge_path(edge)}.*", f"part.flanges[{place.world.flange_of(edge)}].bend_angle")


ROW = "block.undercut[*]"
FAMILIES = (
    Family("block.undercut_pressure_mpa", lambda p: on.reached(p.world), _pressure),
    Family(f"{ROW}.along_mm", _on_along, _along),
    Family(f"{ROW}.bend_angle_deg", lambda p: on.section(p.world, str(p.row["edge"])), _angle),
    Family(f"{ROW}.deg.value", on_undercut, _edge_undercut),
    Family(f"{ROW}.deg.(low|high)", on_undercut, _edge_band),
    Family(f"{ROW}.closed_form_deg", on_undercut, _edge_closed_form),
    Family(f"{ROW}.wall_angle_deg", on_undercut, _wall),
    Family(f"{ROW}.setback_mm", lambda p: (*on.BLOCK, *on_undercut(p)), _setback),
    Family(f"{ROW}.edge_radius_mm", on_undercut, _edge_radius),
    Family(f"{ROW}.deg_rounded", on_undercut, _rounded),
    Family(f"{ROW}.setback_in_rounded", lambda p: (*on.BLOCK, *on_undercut(p)), _rounded),
)
