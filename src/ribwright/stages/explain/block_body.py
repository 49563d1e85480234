"""Numbers of the block as a body: outline and foot, height, clearance, radii, volume and areas, pins, material."""

from __future__ import annotations

from math import ceil, pi

from ribwright.features.laid import LaidEdge
from ribwright.stages.block import HEIGHT_STEP_MM, drop_of
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_undercut import KEPT, SETBACK
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, always, between, constant
from ribwright.stages.pins import FIT_UNKNOWN
from ribwright.stages.recess import RECESS_FLOOR_MM, profile

OUTLINE = "R_block tan((a + u)/2) outward of the bend tangent line, where web face and wall meet before rounding"
HEIGHT = "H = up to the next 1/16 in of: drop of the loaded flange + clearance, or deepest recess + 6 mm"
SECTIONS = "integral over the depth z of the exact area of the level section at z, by Gauss between the depths where a rounding ends"
GEOMETRY = "geometry of plane and ruled walls"
TRADE = "common practice, from memory"


def _point(case: Case) -> Told:
    foot = "foot" in case.path
    axis = "xy"[int(case.caught[-1])]
    low, high = case.plan.block.edge_radius
    inputs = (
        Input("R_block", "block radius, least and largest", f"{low:.6g} to {high:.6g}", "mm", "block.undercut"),
        case.number("H", "block height", "block.height_mm", "mm"),
    )
    words = f"The drawn line set over: {OUTLINE}" + (f"; then {SETBACK} inward at the foot" if foot else "")
    return Told(
        f"{axis} of a point of the block's {'foot at the table' if foot else 'outline at the web face'}.",
        "solved",
        f"{words}; walls mitred at the corners.",
        inputs,
        KEPT,
        "chords within 0.02 mm",
        case.plan.block.closed_up,
        compared="outline and foot of straight walls against their exact distance; no block was measured",
    )


def _flanged(case: Case) -> list[LaidEdge]:
    return [e for loop in case.plan.blank.laid for e in loop.edges if e.flange]


def _needed(case: Case) -> Told:
    drops = [(drop_of(case.plan.job, e, case.plan.blank), e.edge.name) for e in _flanged(case)]
    drop, edge = max(drops, default=(0.0, "no flanged edge"))
    deepest = max((r.depth for r in case.plan.block.recesses), default=0.0)
    why = f"edge {edge}: (R_block + t/2)(1 - cos w) + L sin w - t/2 + (t/2)|cos w|, w = a + u"
    inputs = (
        between("drop", "how far the loaded flange hangs below the web face", drop, "mm", why),
        case.number("c", "clearance to the table", "block.flange_clearance_mm", "mm"),
        between("deepest", "deepest recess, 0 without one", deepest, "mm", "block.recesses"),
        constant("floor", "wood left under a recess", RECESS_FLOOR_MM if deepest else 0.0, "mm", TRADE),
    )
    again = evaluated(lambda drop, c, deepest, floor: max(drop + c, deepest + floor), inputs)
    return Told(
        "Height the block needs, before it is rounded up.",
        "formula",
        "max(drop + c, deepest + floor)",
        inputs,
        TRADE,
        "flanges that turn down over the block",
        again=again,
    )


def _height(case: Case) -> Told:
    inputs = (
        case.number("h", "height needed", "block.height_unrounded_mm", "mm"),
        constant("step", "1/16 in", HEIGHT_STEP_MM, "mm", "project decision"),
    )
    again = evaluated(lambda h, step: ceil(h / step - 1e-9) * step, inputs)
    return Told("Height of the block from table to web face.", "rounded", HEIGHT, inputs, TRADE, again=again)


def _clearance(case: Case) -> Told:
    fact = case.plan.job.catalogue.practice["flange_clearance"]
    own = case.fact("c", "clearance", fact, "practice.flange_clearance", "mm")
    return Told(
        "From the end of the formed flange to the table.",
        "fact",
        inputs=(own,),
        source=f"{fact.source} ({fact.standing()})",
    )


def _radii(case: Case) -> Told:
    low, _ = case.plan.block.edge_radius
    largest = case.path.endswith("max")
    rows = tuple(
        between(
            "R_block",
            f"block radius of {e.edge}",
            float((max if largest else min)(e.under.radius)),
            "mm",
            "block.undercut",
        )
        for e in case.plan.block.edges
    ) or (constant("R_block", "no flanged edge", 0.0, "mm"),)
    words = f"{'largest' if largest else 'least'} R_block = (R + t/2) a/(a + u) - t/2 along the contour"
    return Told(
        "Radius of the block's edge at the web face.",
        "formula",
        words,
        rows,
        KEPT,
        "a bend formed fully over the block",
        low > 0 or not case.plan.block.edges,
        compared="no formed part was compared",
        again=(max if largest else min)(float(r.value) for r in rows),
    )


def _bearing(case: Case) -> Told:
    holes = sum(pi * r.diameter**2 / 4 for r in case.plan.block.recesses)
    inputs = (
        case.number("A", "web face", "block.face_area_mm2", "mm2"),
        between("A_recesses", "openings of the recesses", holes, "mm2", "block.recesses: pi d^2/4"),
    )
    again = evaluated(lambda A, A_recesses: A - A_recesses, inputs)
    return Told("Web face that the pad bears on.", "formula", "A - A_recesses", inputs, GEOMETRY, again=again)


def _face(case: Case) -> Told:
    points = sum(len(p) for p in case.plan.block.outlines)
    return Told(
        "Area of the web face inside its outline, cutouts taken off.",
        "geometry",
        "area of the closed outline, (1/2) sum (x dy - y dx)",
        (between("n", "points of the outlines", points, "", "block.outline_mm"),),
        GEOMETRY,
        "chords within 0.02 mm",
    )


def _volume(case: Case) -> Told:
    block = case.plan.block
    cut = sum(profile(r, block.height).volume for r in block.recesses)
    bored = sum(pi * p.diameter**2 / 4 * block.height for p in block.pins)
    grooves = sum(g.volume for g in block.grooves)
    inputs = (
        case.number("H", "block height", "block.height_mm", "mm"),
        between("V_walls", "between the walls, from web face to foot", block.walls.volume, "mm3", SECTIONS),
        between("V_recesses", "recesses with their vents", cut, "mm3", "meridians turned about the hole's axis, exact"),
        between("V_pins", "pin holes, through the block", bored, "mm3", "block.pins: pi d^2/4 H"),
        between("V_grooves", "grooves", grooves, "mm3", "block.grooves, and those of flutes down the walls"),
    )
    again = evaluated(
        lambda H, V_walls, V_recesses, V_pins, V_grooves: V_walls - V_recesses - V_pins - V_grooves, inputs
    )
    return Told(
        "Volume of the finished block: rounding, undercut, recesses, grooves and pin holes are cut.",
        "solved",
        "V_walls - V_recesses - V_pins - V_grooves",
        inputs,
        "geometry of rounded edges and ruled walls",
        "walls that meet at every corner at every depth",
        block.closed_up,
        compared="solids of 60 random blocks by a solid kernel: within 3.0e-5. No block was weighed or measured.",
        again=again,
    )


def _pin(case: Case) -> Told:
    pin, which = case.plan.block.pins[case.index], case.caught[1]
    hole = next(h for h in case.plan.job.part.holes if h.name == pin.name)
    key = f"part.holes[{pin.name}]"
    if which == "slot_mm":
        slot = case.typed("slot", "slot", f"{key}.slot", "mm")
        return Told("Length of the hole's slot beyond its diameter; 0 is round.", "typed", inputs=(slot,))
    d = case.typed("D", "tooling hole", f"{key}.diameter", "mm")
    if which == "hole_diameter_mm":
        return Told("Diameter of the tooling hole that the pin goes into.", "typed", inputs=(d,))
    fit = (
        constant("fit", "fit, none typed in", FIT_UNKNOWN, "mm", "project decision")
        if hole.pin_fit is None
        else case.typed("fit", "fit on diameter", f"{key}.pin_fit", "mm")
    )
    return Told(
        "Diameter of the locating pin.",
        "formula",
        "D - fit",
        (d, fit),
        TRADE,
        again=evaluated(lambda D, fit: D - fit, (d, fit)),
    )


def _place(case: Case) -> Told:
    axis = int(case.caught[-1])
    name = str(case.row["name"])
    own = Input("xy"[axis], "place in part coordinates", case.value, "mm", f"part file: hole[{name}].at")
    return Told(f"{'xy'[axis]} of the centre of {name}, in part coordinates.", "typed", inputs=(own,))


def _limit(case: Case) -> Told:
    m = case.plan.block.material
    assert m is not None
    own = Input("p_block", m.name, m.pressure_limit_mpa, "MPa", f"{m.id}: {m.source} ({m.status})")
    return Told(
        "Pressure that the block material stands. The first material that stands the pressure pumped to is taken.",
        "fact",
        inputs=(own,),
        source=f"{m.source} ({m.status})",
    )


def _slides(case: Case) -> Told:
    lift, axis = case.plan.block.lift, "xyz"[case.index]
    inputs = (
        Input("comes off", "how the part comes off", lift.how, "", "block.comes_off"),
        between(
            "past", "how far the most closed flange turns past square", lift.past_square, "deg", "bend angles as drawn"
        ),
    )
    return Told(
        f"{axis} of the direction in which the released part comes off its block, a unit vector; all 0 where none is open.",
        "geometry",
        "straight up where v . m >= 0 for the outward normal m at every point of every flange; else the steepest v that keeps it",
        inputs,
        GEOMETRY,
        "flanges as drawn, the twist of a bevel included; what springs open is not counted",
        compared="flange points moved through the block's walls, in the tests of lift-off; no part was taken off a real block",
    )


def on_limit(place: Place) -> Keys:
    """The material follows from the pressure it must stand."""
    more = (*on.pressure(place.world), *on.rating(place.world), *on.BLOCK) if place.world.inputs.get("press") else ()
    return (*on.BLOCK_MATERIAL, *more)


FAMILIES = (
    Family("block.(outline|foot)_mm[*][*]", always(*on.BLOCK), _point),
    Family("block.cutouts[*].(outline|foot)_mm[*][*]", always(*on.BLOCK), _point),
    Family("block.height_mm", always(*on.BLOCK), _height),
    Family("block.height_unrounded_mm", always(*on.BLOCK), _needed),
    Family("block.flange_clearance_mm", always(*on.CLEARANCE), _clearance),
    Family("block.edge_radius_mm", always(*on.SHAPE, *on.UNDERCUT), _radii),
    Family("block.edge_radii_mm.(min|max)", always(*on.SHAPE, *on.UNDERCUT), _radii),
    Family("block.slide_direction[*]", always(*on.BLOCK), _slides),
    Family("block.volume_mm3", always(*on.BLOCK, *on.FLUTES, "practice.recess_vent.value"), _volume),
    Family("block.face_area_mm2", always(*on.BLOCK), _face),
    Family("block.bearing_area_mm2", always(*on.BLOCK), _bearing),
    Family("block.pins[*].(diameter_mm|hole_diameter_mm|slot_mm)", lambda p: (f"part.holes[{p.row['name']}].*",), _pin),
    Family(
        "block.(pins|recesses|rings|cover_plate.cutouts|cover_plate.pin_holes)[*].at_mm[*]",
        lambda p: (f"part.holes[{p.row['name']}].at",),
        _place,
    ),
    Family("block.material.pressure_limit_mpa", on_limit, _limit),
)
