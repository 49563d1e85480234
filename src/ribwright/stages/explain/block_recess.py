"""Numbers of the recesses and rings for hole flanges: undercut, diameters, depth, radius, wall."""

from __future__ import annotations

from math import cos, radians, sin, tan

from ribwright.features.part import Hole
from ribwright.stages.block import Recess
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_undercut import (
    KEPT,
    SOURCE,
    VALID,
    Bend,
    band_of,
    closed_form,
    radius_of,
    undercut_of,
)
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between


def recess(case: Case) -> Recess:
    """The recess or ring of the number's row."""
    return (case.plan.block.recesses if case.caught[0] == "recesses" else case.plan.block.rings)[case.index]


def recess_bend(case: Case) -> Bend:
    """The bend of the recess's hole flange."""
    key = f"part.holes[{recess(case).name}]"
    return Bend(
        case.typed("R", "inside bend radius", f"{key}.bend_radius", "mm"),
        case.typed("a", "bend angle", f"{key}.bend_angle", "deg"),
        f"block.{case.caught[0]}[{case.index}].edge_radius_mm",
        owner=recess(case).name,
    )


def _recess_undercut(case: Case) -> Told:
    r = recess(case)
    if case.path.endswith("closed_form_deg"):
        return closed_form(case, recess_bend(case))
    if case.path.endswith("value"):
        return undercut_of(case, recess_bend(case))
    bend = recess_bend(case)
    return band_of(case, bend, float(bend.radius.value), float(bend.angle.value), r.undercut[0])


def _recess_number(case: Case) -> Told:
    kind, which = case.caught[0], case.caught[2]
    base, r = f"block.{kind}[{case.index}]", recess(case)
    bend = recess_bend(case)
    u = case.number("u", "undercut", f"{base}.undercut_deg.value", "deg")
    if which == "edge_radius_mm":
        return radius_of(case, bend, u)
    if which == "wall_angle_deg":
        again = float(bend.angle.value) + float(u.value)
        return Told(
            "Angle of the recess's wall from the web face.",
            "formula",
            "w = a + u",
            (bend.angle, u),
            SOURCE,
            VALID,
            again=again,
        )
    w = case.number("w", "wall angle", f"{base}.wall_angle_deg", "deg")
    rb = case.number("R_block", "radius of the recess's rim", f"{base}.edge_radius_mm", "mm")
    flat = next(h for h in case.plan.blank.holes if h.hole.name == r.name)
    place = case.plan.blank.holes.index(flat)
    if which == "diameter_mm":
        inputs = (case.number("dt", "tangent circle", f"blank.holes[{place}].tangent_diameter_mm", "mm"), rb, w)
        return Told(
            "Where web face and wall of the recess meet, before rounding.",
            "formula",
            "d = dt - 2 R_block tan(w/2)",
            inputs,
            KEPT,
            VALID,
            again=evaluated(lambda dt, R_block, w: dt - 2 * R_block * tan(radians(w) / 2), inputs),
        )
    if which == "bottom_diameter_mm":
        inputs = (
            case.number("d", "diameter at the web face", f"{base}.diameter_mm", "mm"),
            case.number("depth", "depth", f"{base}.depth_mm", "mm"),
            w,
        )
        return Told(
            "Diameter of the recess at its bottom.",
            "formula",
            "max(d - 2 depth cot w, 0)",
            inputs,
            "geometry of a cone",
            VALID,
            again=evaluated(lambda d, depth, w: max(d - 2 * depth / tan(radians(w)), 0.0), inputs),
        )
    return _depth(case, flat.hole, float(flat.straight or 0.0), rb, w)


def _depth(case: Case, hole: Hole, straight: float, rb: Input, w: Input) -> Told:
    length = between(
        "L", "straight part of the hole's flange", straight, "mm", f"solved from the size typed for hole {hole.name}"
    )
    inputs = (rb, case.thickness, length, w, case.number("c", "clearance", "block.flange_clearance_mm", "mm"))

    def depth(R_block: float, t: float, L: float, w: float, c: float) -> float:
        q = radians(w)
        return (R_block + t / 2) * (1 - cos(q)) + L * sin(q) - t / 2 + t / 2 * abs(cos(q)) + c

    words = "(R_block + t/2)(1 - cos w) + L sin w - t/2 + (t/2)|cos w| + c"
    return Told(
        "How deep the recess goes below the web face: the loaded flange's drop and the clearance.",
        "formula",
        words,
        inputs,
        "geometry of the loaded flange",
        VALID,
        again=evaluated(depth, inputs),
    )


def on_recess(place: Place) -> Keys:
    """Keys that a recess's own numbers depend on."""
    hole = (f"part.holes[{place.row['name']}].*", *on.UNDERCUT)
    if any(k in place.path for k in ("depth", "bottom")):
        return (*hole, *on.DEVELOPED, *on.CLEARANCE)
    return hole


RECESS = "block.(recesses|rings)[*]"
FAMILIES = (
    Family(f"{RECESS}.undercut_deg.(value|low|high)", on_recess, _recess_undercut),
    Family(f"{RECESS}.closed_form_deg", on_recess, _recess_undercut),
    Family(
        f"{RECESS}.(diameter_mm|bottom_diameter_mm|depth_mm|edge_radius_mm|wall_angle_deg)", on_recess, _recess_number
    ),
)
