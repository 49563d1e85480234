"""Numbers of the undercut along the contour: the undercut and its band, wall angle, block radius, setback of the foot."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np

from ribwright.features.part import Hole
from ribwright.stages.answers import BLOCK_ANGLE_STEP, BLOCK_SETBACK_STEP_IN, round_to
from ribwright.stages.block import BlockEdge, Recess
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import UNKNOWN, Case, Family, Place, between, constant
from ribwright.stages.undercut import FORMULA_SD_DEG, MODULUS_COV, THICKNESS_COV, Z90, undercut
from ribwright.units import MM_PER_IN

SOURCE = "Marciniak, Duncan & Hu, Mechanics of Sheet Metal Forming (2002), ch. 6"
MOMENT = "M = (2/sqrt 3)^(n+1) K t^(n+2) / (2^(n+1) (n+2) (R_block + t/2)^n)"
UNDERCUT = f"u = 12 M A / (E' t^3), A = (R + t/2) a, R_block + t/2 = A/(a + u), solved together; {MOMENT}, E' = E/(1 - nu^2)"
RADIUS = "R_block = (R + t/2) a/(a + u) - t/2"
SETBACK = "setback = -H cot(a + u)"
BAND = (
    "90 %: u -+ 1.645 sd, sd^2 = (c u)^2 + (1.5 deg)^2, c^2 = k_cov^2 + ((1 - n) 0.02)^2 + 0.0125^2: scatter of strength, thickness "
    "and modulus of the sheet, and the formula's own miss"
)
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


def edge_row(case: Case) -> tuple[BlockEdge, int]:
    """The block's edge of the number's row, and which of its places."""
    left = case.index
    for e in case.plan.block.edges:
        if left < len(e.along):
            return e, left
        left -= len(e.along)
    raise IndexError(case.path)


def _bend(case: Case) -> Bend:
    e, i = edge_row(case)
    key = f"part.flanges[{case.world.flange_of(e.edge)}]"
    return Bend(
        case.typed("R", "inside bend radius, as released", f"{key}.bend_radius", "mm"),
        case.along("a", "bend angle here", float(e.angle[i]), f"{key}.bend_angle", "deg"),
        f"block.undercut[{case.index}].edge_radius_mm", e.edge,
    )  # fmt: skip


def _recess_bend(case: Case) -> Bend:
    key = f"part.holes[{recess(case).name}]"
    return Bend(
        case.typed("R", "inside bend radius", f"{key}.bend_radius", "mm"), case.typed("a", "bend angle", f"{key}.bend_angle", "deg"),
        f"block.{case.caught[0]}[{case.index}].edge_radius_mm",
    )  # fmt: skip


def recess(case: Case) -> Recess:
    """The recess or ring of the number's row."""
    return (case.plan.block.recesses if case.caught[0] == "recesses" else case.plan.block.rings)[case.index]


def sheet_inputs(case: Case) -> tuple[Input, ...]:
    """K, n, E and nu of the sheet as formed."""
    m = case.plan.job.formed
    assert m is not None and m.hardening is not None
    h = m.hardening
    standing = f"estimated by {h.rule}" if h.status == "estimated" else h.status
    why = f"material {m.name}: {h.source}" + ("" if standing in h.source else f" ({standing})")
    key = "secondary_modulus_mpa" if "secondary_modulus_mpa" in m.facts else "youngs_modulus_mpa"
    where = case.material_path("hardening")
    return (
        Input("K", "strength coefficient", h.k_mpa, "MPa", why, f"inputs.{where}.k_mpa"),
        Input("n", "hardening exponent", h.n, "", "the same record", f"inputs.{where}.n"),
        case.fact("E", "modulus for unloading" + (", the secondary one of clad sheet" if key[0] == "s" else ""), m.facts[key], case.material_path(f"facts[{key}]"), "MPa"),
        case.fact("nu", "Poisson's ratio", m.facts["poisson"], case.material_path("facts[poisson]")),
    )  # fmt: skip


def known(case: Case) -> bool:
    """Whether flow curve and modulus of the temper are known."""
    m = case.plan.job.formed
    return bool(m and m.hardening and m.springback_modulus() is not None and m.number("poisson") is not None)


def moment(K: float, n: float, t: float, R_block: float) -> float:
    """Bending moment per width [N]."""
    return (2 / sqrt(3)) ** (n + 1) * K * t ** (n + 2) / (2 ** (n + 1) * (n + 2) * (R_block + t / 2) ** n)


def _again(K: float, n: float, E: float, nu: float, R: float, t: float, a: float, R_block: float) -> float:
    arc = (R + t / 2) * radians(a)
    return degrees(12 * moment(K, n, t, R_block) * arc / (E / (1 - nu**2) * t**3))


def _undercut_of(case: Case, bend: Bend) -> Told:
    what = "How far past the part's angle the block turns the sheet, so that it springs back to the drawing."
    if not known(case):
        return Told(what, "constant", f"{UNKNOWN}: no undercut is given", (bend.radius,), SOURCE, VALID, False)
    if bend.edge and case.plan.job.part.block_undercut != "varying":
        return _fixed(case, bend, what)
    inputs = (*sheet_inputs(case), bend.radius, case.thickness, bend.angle, case.number("R_block", "block radius", bend.radius_path, "mm"))
    solved = float(inputs[-1].value) > 0
    return Told(
        what, "formula", UNDERCUT, inputs, SOURCE, VALID, solved, BAND, COMPARED, evaluated(_again, inputs) if solved else None,
    )  # fmt: skip


def _fixed(case: Case, bend: Bend, what: str) -> Told:
    rule = case.typed("rule", "undercut asked for", "part.block_undercut")
    if rule.value == "none":
        return Told(what, "typed", "no undercut, as the part file asks: the flange springs back by all of it", (rule,), band=BAND)
    words = "middle of the least and the largest undercut that the edge's angles ask for: one tilt of the table for the edge"
    return Told(what, "formula", words, (rule, bend.radius, bend.angle, *sheet_inputs(case)), SOURCE, VALID, None, BAND, COMPARED)


def _edge_undercut(case: Case) -> Told:
    return _undercut_of(case, _bend(case))


def _band_of(case: Case, bend: Bend, radius: float, angle: float, u: float) -> Told:
    low = case.path.endswith("low")
    what = f"{'Lower' if low else 'Upper'} end of the 90 % band of the undercut; never under 0."
    if not known(case):
        return Told(what, "constant", f"{UNKNOWN}: no band is given", (bend.radius,), SOURCE, VALID, False)
    free = float(undercut(case.plan.job, radius, np.array([angle])).deg[0])
    m = case.plan.job.formed
    assert m is not None
    cov = m.facts.get("k_cov")
    inputs = (
        between("u", "undercut cut", u, "deg", "deg.value of this place"),
        between("u_solved", "undercut solved", free, "deg", UNDERCUT.partition(";")[0]),
        sheet_inputs(case)[1],
        case.fact("k_cov", "scatter of the strength", cov, case.material_path("facts[k_cov]")) if cov else constant("k_cov", "scatter of the strength, not known", 0.06),
        constant("c_t", "scatter of the thickness", THICKNESS_COV, why="tolerance of thin sheet over two, from memory"),
        constant("c_E", "scatter of the modulus", MODULUS_COV, why="spread of published moduli"),
        constant("s_f", "the formula's own miss", FORMULA_SD_DEG, "deg", "a trial of 945 points on a section model"),
        constant("z", "90 % of a normal law", Z90),
    )  # fmt: skip

    def end(u: float, u_solved: float, n: float, k_cov: float, c_t: float, c_E: float, s_f: float, z: float) -> float:
        c = sqrt(k_cov**2 + ((1 - n) * c_t) ** 2 + c_E**2)
        half = z * hypot(c * u_solved, s_f)
        return max(u + max(u_solved - half, 0.0) - u_solved, 0.0) if low else u + half

    words = "max(u - z sd, 0)" if low else "u + z sd"
    return Told(
        what, "formula", f"{words}, sd^2 = (c u_solved)^2 + s_f^2, c^2 = k_cov^2 + ((1 - n) c_t)^2 + c_E^2", inputs, SOURCE, VALID,
        None, BAND, COMPARED, evaluated(end, inputs),
    )  # fmt: skip


def _edge_band(case: Case) -> Told:
    e, i = edge_row(case)
    return _band_of(case, _bend(case), float(_bend(case).radius.value), float(e.angle[i]), float(e.under.deg[i]))


def _wall(case: Case) -> Told:
    e, i = edge_row(case)
    inputs = (_bend(case).angle, case.number("u", "undercut", f"block.undercut[{case.index}].deg.value", "deg"))
    return Told(
        "Angle of the block's wall from the flat web face; outline, DXF and drawing use it unrounded.",
        "formula", "w = a + u", inputs, SOURCE, VALID, again=float(e.angle[i]) + float(inputs[1].value),
    )  # fmt: skip


def _radius_of(case: Case, bend: Bend, u: Input) -> Told:
    inputs = (bend.radius, case.thickness, bend.angle, u)
    return Told(
        "Radius of the block's edge at the web face: smaller than the part's, for the bend opens as it springs back.",
        "formula", RADIUS, inputs, KEPT, VALID, float(case.value) > 0, compared="no formed part was compared",
        again=evaluated(lambda R, t, a, u: (R + t / 2) * a / (a + u) - t / 2, inputs),
    )  # fmt: skip


def _edge_radius(case: Case) -> Told:
    return _radius_of(case, _bend(case), case.number("u", "undercut", f"block.undercut[{case.index}].deg.value", "deg"))


def _setback(case: Case) -> Told:
    inputs = (
        case.number("H", "block height", "block.height_mm", "mm"),
        case.number("w", "wall angle, a + u", f"block.undercut[{case.index}].wall_angle_deg", "deg"),
    )
    return Told(
        "How far the foot of the wall lies inside the web-face outline; negative is outside.",
        "formula", SETBACK, inputs, "geometry of a plane wall", "a plane wall from web face to table",
        again=evaluated(lambda H, w: -H / tan(radians(w)), inputs),
    )  # fmt: skip


def _remaining(case: Case) -> Told:
    e, i = edge_row(case)
    free = float(e.under.deg[i]) - float(e.remaining[i])
    inputs = (
        case.number("u", "undercut as cut", f"block.undercut[{case.index}].deg.value", "deg"),
        between("u_solved", "undercut this place asks for", free, "deg", UNDERCUT.partition(";")[0]),
    )
    return Told(
        "How far the released flange stands closed past the drawing when the undercut is fixed; negative is open.",
        "formula", "u - u_solved", inputs, SOURCE, VALID, compared=COMPARED, again=evaluated(lambda u, u_solved: u - u_solved, inputs),
    )  # fmt: skip


def _rounded(case: Case) -> Told:
    angle = case.path.endswith("deg_rounded")
    path = f"block.undercut[{case.index}].{'deg.value' if angle else 'setback_mm'}"
    of = case.number("x", "the number before rounding", path, "deg" if angle else "mm")
    step = constant("step", "step of the bench", BLOCK_ANGLE_STEP if angle else BLOCK_SETBACK_STEP_IN, "deg" if angle else "in")
    again = round_to(float(of.value) / (1 if angle else MM_PER_IN), float(step.value))
    what = "The undercut as the bench sets it." if angle else "The setback as the bench measures it."
    return Told(what, "rounded", "nearest multiple of the step", (of, step), "project decision", again=again)


def _along(case: Case) -> Told:
    e, i = edge_row(case)
    length = abs(float(e.along[-1]) - float(e.along[0]))
    rows = (
        constant("i", "which place, as typed", i), constant("n", "places on the edge", len(e.along)),
        between("length", "length of the drawn edge", length, "mm", f"part file: web.edge[{e.edge}]"),
    )  # fmt: skip
    return Told(
        "Arc length from the start of the edge as typed.", "geometry",
        "even places along the edge: its two ends, and one about every 25 mm where the bend angle changes", rows, "project decision",
    )  # fmt: skip


def _angle(case: Case) -> Told:
    return Told("Bend angle of the part at this place, from flat.", "typed", inputs=(_bend(case).angle,))


def _tilt(case: Case) -> Told:
    edge = str(case.row["edges"][0])
    first = next(i for i, r in enumerate(case.world.answer["block"]["undercut"]) if r["edge"] == edge)
    wall = case.number("w", "wall angle of its edges", f"block.undercut[{first}].wall_angle_deg", "deg")
    step = constant("step", "step of the bench", BLOCK_ANGLE_STEP, "deg")
    return Told(
        "Tilt of the table at which these edges are cut, past square.", "rounded", "w - 90, to the nearest step", (wall, step),
        "project decision", again=round_to(float(wall.value) - 90.0, BLOCK_ANGLE_STEP),
    )  # fmt: skip


# ------------------------------------------------------------ recesses and rings


def _recess_undercut(case: Case) -> Told:
    r = recess(case)
    if case.path.endswith("value"):
        return _undercut_of(case, _recess_bend(case))
    bend = _recess_bend(case)
    return _band_of(case, bend, float(bend.radius.value), float(bend.angle.value), r.undercut[0])


def _recess_number(case: Case) -> Told:
    kind, which = case.caught[0], case.caught[2]
    base, r = f"block.{kind}[{case.index}]", recess(case)
    bend = _recess_bend(case)
    u = case.number("u", "undercut", f"{base}.undercut_deg.value", "deg")
    if which == "edge_radius_mm":
        return _radius_of(case, bend, u)
    if which == "wall_angle_deg":
        again = float(bend.angle.value) + float(u.value)
        return Told("Angle of the recess's wall from the web face.", "formula", "w = a + u", (bend.angle, u), SOURCE, VALID, again=again)
    w = case.number("w", "wall angle", f"{base}.wall_angle_deg", "deg")
    rb = case.number("R_block", "radius of the recess's rim", f"{base}.edge_radius_mm", "mm")
    flat = next(h for h in case.plan.blank.holes if h.hole.name == r.name)
    place = case.plan.blank.holes.index(flat)
    if which == "diameter_mm":
        inputs = (case.number("dt", "tangent circle", f"blank.holes[{place}].tangent_diameter_mm", "mm"), rb, w)
        return Told(
            "Where web face and wall of the recess meet, before rounding.", "formula", "d = dt - 2 R_block tan(w/2)", inputs, KEPT, VALID,
            again=evaluated(lambda dt, R_block, w: dt - 2 * R_block * tan(radians(w) / 2), inputs),
        )  # fmt: skip
    if which == "bottom_diameter_mm":
        inputs = (case.number("d", "diameter at the web face", f"{base}.diameter_mm", "mm"), case.number("depth", "depth", f"{base}.depth_mm", "mm"), w)
        return Told(
            "Diameter of the recess at its bottom.", "formula", "max(d - 2 depth cot w, 0)", inputs, "geometry of a cone", VALID,
            again=evaluated(lambda d, depth, w: max(d - 2 * depth / tan(radians(w)), 0.0), inputs),
        )  # fmt: skip
    return _depth(case, flat.hole, float(flat.straight or 0.0), rb, w)


def _depth(case: Case, hole: Hole, straight: float, rb: Input, w: Input) -> Told:
    length = between("L", "straight part of the hole's flange", straight, "mm", f"solved from the size typed for hole {hole.name}")
    inputs = (rb, case.thickness, length, w, case.number("c", "clearance", "block.flange_clearance_mm", "mm"))

    def depth(R_block: float, t: float, L: float, w: float, c: float) -> float:
        q = radians(w)
        return (R_block + t / 2) * (1 - cos(q)) + L * sin(q) - t / 2 + t / 2 * abs(cos(q)) + c

    words = "(R_block + t/2)(1 - cos w) + L sin w - t/2 + (t/2)|cos w| + c"
    return Told(
        "How deep the recess goes below the web face: the loaded flange's drop and the clearance.", "formula", words, inputs,
        "geometry of the loaded flange", VALID, again=evaluated(depth, inputs),
    )  # fmt: skip


def _on_undercut(place: Place) -> Keys:
    return (*on.section(place.world, str(place.row["edge"])), *on.UNDERCUT)


def _on_along(place: Place) -> Keys:
    edge = str(place.row["edge"])
    return (f"{place.world.edge_path(edge)}.*", f"part.flanges[{place.world.flange_of(edge)}].bend_angle")


def _on_recess(place: Place) -> Keys:
    hole = (f"part.holes[{place.row['name']}].*", *on.THICKNESS, *on.SPRING)
    if any(k in place.path for k in ("depth", "bottom")):
        return (*hole, *on.DEVELOPED, *on.CLEARANCE)
    return hole


ROW = "block.undercut[*]"
RECESS = "block.(recesses|rings)[*]"
FAMILIES = (
    Family(f"{ROW}.along_mm", _on_along, _along),
    Family(f"{ROW}.bend_angle_deg", lambda p: on.section(p.world, str(p.row["edge"])), _angle),
    Family(f"{ROW}.deg.value", _on_undercut, _edge_undercut),
    Family(f"{ROW}.deg.(low|high)", _on_undercut, _edge_band),
    Family(f"{ROW}.wall_angle_deg", _on_undercut, _wall),
    Family(f"{ROW}.setback_mm", lambda p: (*on.BLOCK, *_on_undercut(p)), _setback),
    Family(f"{ROW}.edge_radius_mm", _on_undercut, _edge_radius),
    Family(f"{ROW}.remaining_angle_deg", _on_undercut, _remaining),
    Family(f"{ROW}.deg_rounded", _on_undercut, _rounded),
    Family(f"{ROW}.setback_in_rounded", lambda p: (*on.BLOCK, *_on_undercut(p)), _rounded),
    Family("block.zones[*].tilt_deg", lambda p: tuple(k for e in p.row["edges"] for k in on.section(p.world, e)) + on.UNDERCUT, _tilt),
    Family(f"{RECESS}.undercut_deg.(value|low|high)", _on_recess, _recess_undercut),
    Family(f"{RECESS}.(diameter_mm|bottom_diameter_mm|depth_mm|edge_radius_mm|wall_angle_deg)", _on_recess, _recess_number),
)
