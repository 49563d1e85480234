"""Sets of input keys that numbers depend on: what a family puts together. Rather a key too many than one too few."""

from __future__ import annotations

from ribwright.stages.explain.causes import World

Keys = tuple[str, ...]
THICKNESS: Keys = ("part.sheet.thickness",)
SHEET: Keys = ("part.sheet.material", "part.sheet.formed_in")
BEND_RULE: Keys = ("shop.rules.bend_allowance", "shop.rules.k_factor")
R_VALUE: Keys = (*SHEET, "*materials[*].facts[r0]*", "*materials[*].facts[r45]*", "*materials[*].facts[r90]*",
                 "*materials[*].facts[r_value]*")  # fmt: skip
FLOW: Keys = (*SHEET, "*materials[*].hardening*")
SPRING: Keys = (*FLOW, "*materials[*].facts[youngs_modulus_mpa]*", "*materials[*].facts[secondary_modulus_mpa]*",
                "*materials[*].facts[poisson]*", "*materials[*].facts[k_cov]*")  # fmt: skip
RELIEF: Keys = ("part.corners*", "relief_rule*", "shop.rules.corner_relief")
FLANGES: Keys = ("part.flanges[*", *THICKNESS)
SHAPE: Keys = ("part.outer*", "part.cutouts*", "part.line", *FLANGES, *RELIEF)
DEVELOPED: Keys = (*BEND_RULE, *R_VALUE, *FLOW, "method")
BLANK: Keys = (*SHAPE, *DEVELOPED, "part.holes*", "part.trim")
UNDERCUT: Keys = (*THICKNESS, *SPRING, "part.block_undercut")
CLEARANCE: Keys = ("practice.flange_clearance.value",)
BLOCK: Keys = (*SHAPE, *DEVELOPED, "part.holes*", *UNDERCUT, *CLEARANCE)
BLOCK_MATERIAL: Keys = ("shop.block_materials*", "block_materials*")


def section(world: World, edge: str) -> Keys:
    """The flange's section at an edge; where it varies along the edge, the edge's own length too."""
    flange = world.flange_of(edge)
    own = (f"part.flanges[{flange}].*", f"{world.edge_path(edge)}.flange", *THICKNESS)
    return (*own, *SHAPE) if world.varies(edge) else own


def pressure(world: World) -> Keys:
    """What the pressure that closes the flanges depends on."""
    return (*SHAPE, *DEVELOPED, "part.holes*", *SPRING, f"{world.press}.pad.shore_a", f"{world.press}.kind", "press")


def press(world: World, *keys: str) -> Keys:
    """Keys of the press that is named, and which one that is."""
    return ("press", *(f"{world.press}.{k}" for k in keys))


def area(world: World) -> Keys:
    """Pressure area: the container's opening, or the block's face under a loose pad."""
    loose = world.inputs.get(f"{world.press}.pad.held") == "loose"
    return (*press(world, "pad.size_mm", "pad.held", "kind"), *(BLOCK if loose else ()))


def rating(world: World) -> Keys:
    """What limits the ram."""
    return (*area(world), *press(world, "force_n", "rated_pressure_mpa", "gauge*"))
