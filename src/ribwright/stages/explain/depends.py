"""Sets of input keys that numbers depend on: what a family puts together. Rather a key too many than one too few."""

from __future__ import annotations

from ribwright.stages.explain.causes import World

Keys = tuple[str, ...]
THICKNESS: Keys = ("part.sheet.thickness",)
SHEET: Keys = ("part.sheet.material", "part.sheet.formed_in")
BEND_RULE: Keys = ("shop.rules.bend_allowance", "shop.rules.k_factor")


def _facts(*names: str) -> Keys:
    return tuple(f"*materials[*].facts[{n}].value" for n in names)


R_VALUE: Keys = (*SHEET, *_facts("r0", "r45", "r90", "r_value"))
FLOW: Keys = (*SHEET, "*materials[*].hardening", "*materials[*].hardening.n", "*materials[*].hardening.prestrain")
SPRING: Keys = (
    *FLOW,
    "*materials[*].hardening.k_mpa",
    *_facts("youngs_modulus_mpa", "secondary_modulus_mpa", "poisson", "k_cov"),
)
RULE: Keys = ("relief_rule.radius_factor", "relief_rule.least", "relief_rule.set_back_mm", "shop.rules.corner_relief")
RELIEF: Keys = ("part.corners*", *RULE)
FLANGES: Keys = ("part.flanges[*].width", "part.flanges[*].bend_angle", "part.flanges[*].bend_radius", *THICKNESS)
DRAWN: Keys = ("part.outer.edges*", "part.cutouts*.edges*", "part.joggles*")
NOTCHES: Keys = ("part.notches*",)
SHAPE: Keys = (*DRAWN, "part.line", *FLANGES, *RELIEF, *NOTCHES)
DEVELOPED: Keys = (*BEND_RULE, *R_VALUE, *FLOW, "method")
# whether the section model takes an edge that shrinks as a whole ring
RELIEVED: Keys = (
    "part.flanges[*].flutes",
    "part.flutes*",
    *NOTCHES,
    "*materials[*].facts[shrink_limit].value",
)
# what an edge must lose, where flutes may lie, and the flutes, grooves of the block among them
GATHER: Keys = (
    *SHAPE,
    *DEVELOPED,
    *(f"*materials[*].facts[{k}].value" for k in ("shrink_limit", "yield_mpa", "youngs_modulus_mpa")),
)
FLUTE_ROOM: Keys = (
    *SHAPE,
    "part.rivets*",
    "part.notches*",
    "part.joggles*",
    "part.flutes*",
    "practice.flute_end.value",
)
FLUTES: Keys = (
    *GATHER,
    *FLUTE_ROOM,
    "part.flanges[*].flutes",
    *(f"practice.flute_{k}.value" for k in ("width", "width_least", "depth", "depth_share", "depth_least", "land")),
    "radius_table.*",
    "then_radius_tables*",
    "shop.rules.then_radius",
    "*materials[*].bend_row",
    "shop.rules.minimum_radius",
)
AGREEMENT: Keys = ("shop.rules.blank_agreement_mm",)
BLANK: Keys = (*SHAPE, *DEVELOPED, "part.holes*", "part.trim")
UNDERCUT: Keys = (*THICKNESS, *SPRING, "part.block_undercut")
CLEARANCE: Keys = ("practice.flange_clearance.value",)
BLOCK: Keys = (*SHAPE, *DEVELOPED, "part.holes*", "part.beads*", *UNDERCUT, *CLEARANCE)
BLOCK_MATERIAL: Keys = ("shop.block_materials*", "block_materials*")


BEADS: Keys = (
    "part.beads*",
    "radius_table.*",
    "shop.rules.minimum_radius",
    *SHEET,
    "*materials[*].bend_row",
    *SPRING,
    *R_VALUE,
    "practice.bead_filled_gap.value",
    "practice.web_friction.value",
)


def forecast(quantity: str, world: World) -> Keys:
    """What the forecast of a characteristic, and its chance, depend on at whatever place is worst: with a press on what it reaches."""
    practice = (
        "block_angle_accuracy", "radius_gauge_step", "line_accuracy", "hole_location",
    )  # fmt: skip
    return (
        *BLOCK,
        *(f"practice.{k}.value" for k in practice),
        f"part.tolerance.*{quantity}",
        "shop.gauges*",
        "shop.rules.decision",
        *(reached(world) if world.inputs.get("press") else ()),
    )


def section(world: World, edge: str) -> Keys:
    """The flange's section at an edge; where it varies along the edge, the edge's own length too."""
    flange = world.flange_of(edge)
    keys = ("width", "bend_angle", "bend_radius")
    own = (*(f"part.flanges[{flange}].{k}" for k in keys), f"{world.edge_path(edge)}.flange", *THICKNESS)
    return (*own, *SHAPE) if world.varies(edge) else own


def walls(world: World) -> Keys:
    """The walls of all flanged edges, with the stations along those that change: the edges' own lengths too."""
    flanges = ("part.flanges[*].bend_angle", "part.flanges[*].bend_radius", "part.outer.edges*.flange")
    edges = {str(row["edge"]) for row in world.answer["block"]["undercut"]}
    drawn = DRAWN if any(world.varies(e) for e in edges) else ()
    return (*flanges, "part.cutouts*.edges*.flange", *UNDERCUT, *drawn)


def pressure(world: World) -> Keys:
    """What the pressure that closes the flanges depends on."""
    beads = (
        (*BEADS, "part.holes*")
        if "part.beads[1].width" in world.inputs or "part.beads[0].width" in world.inputs
        else ()
    )
    return (*SHAPE, *DEVELOPED, "part.holes*", *UNDERCUT, *rubber(world), *beads)


def rubber(world: World) -> Keys:
    """What the pad's own share depends on; of a stack the block's height says how many of its layers count."""
    stacked = f"{world.press}.pad.layers[0].shore_a" in world.inputs
    return (*press(world, "pad.shore_a", "pad.shear_modulus_mpa", "pad.layers*", "kind"), *(BLOCK if stacked else ()))


def press(world: World, *keys: str) -> Keys:
    """Keys of the press that is named, and which one that is."""
    return ("press", *(f"{world.press}.{k}" for k in keys))


def reached(world: World) -> Keys:
    """What the pressure that acts on the flanges depends on: the one asked for, as far as the press gives it."""
    return (*pressure(world), *rating(world))


def placed(world: World) -> Keys:
    """What decides where the block stands."""
    return (*BLOCK, *press(world, "pad.size_mm", "table_mm", "bolster*", "off_centre_limit_mm"))


def laid_up(world: World) -> Keys:
    """Heights of what lies between table and platen."""
    return (*BLOCK, *press(world, "kind", "pad.*", "bolster*", "daylight_mm"))


def area(world: World) -> Keys:
    """Pressure area: the container's opening, or the block's face under a loose pad."""
    loose = world.inputs.get(f"{world.press}.pad.held") == "loose"
    return (*press(world, "pad.size_mm", "pad.held", "kind"), *(BLOCK if loose else ()))


def rating(world: World) -> Keys:
    """What limits the ram."""
    return (
        *area(world),
        *press(
            world, "force_n", "rated_pressure_mpa", "gauge", "gauge.limit_mpa", "gauge.ram_area_mm2", "force_gauge*"
        ),
    )
