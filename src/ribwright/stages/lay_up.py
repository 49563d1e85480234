"""What lies between table and platen, bottom first, and how the rim of a container comes down on it."""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.shop.shop import Press
from ribwright.stages.block import Block
from ribwright.stages.job import Job


@dataclass(frozen=True)
class Layer:
    """One thing of the lay-up between table and platen, bottom first. thickness [mm] or None where it is not known;
    `kind` says what to draw: table, bolster, block, blank, ring, plate, throw, pad, diaphragm, platen."""

    what: str
    thickness: float | None
    note: str = ""
    kind: str = ""


@dataclass(frozen=True)
class Container:
    """How the pad sits in its container [mm]. `proud`: pad standing out past the rim, negative: pad lies back in it.
    `rim_above`: rim above what it comes down on when the pad touches the blank; negative: it lands first; None: the table
    goes into the opening and the rim lands on nothing."""

    depth: float
    proud: float
    rim_above: float | None


def lay_up(job: Job, block: Block, press: Press) -> tuple[Layer, ...]:
    """Bottom first, pads with the layer next to the work first."""
    what = block.material.name if block.material else "material not chosen"
    rows = [Layer("press table", None, "clean, nothing loose on it", "table")]
    if press.bolster:
        rows.append(Layer("bolster", press.bolster.thickness_mm, "full-area under the block, fastened", "bolster"))
    rows.append(Layer("form block", block.height, f"{what}; pins up, seated full-area", "block"))
    rows.append(Layer("blank", job.t, f"{job.part.sheet.material}, on all pins, marked side up", "blank"))
    rows += [Layer(f"loose ring {r.name}", None, "over the hole flange that turns up", "ring") for r in block.rings]
    if press.routine.cover_plate:
        rows.append(Layer("cover plate", None, f"{press.routine.cover_plate} (shop's choice)", "plate"))
    if press.kind == "fluid":
        return (*rows, Layer("diaphragm", press.pad.thickness_mm, "fluid pressure, the same everywhere", "diaphragm"))
    return (*rows, *_pads(press), Layer("platen", None, f"press {press.id}", "platen"))


def _pads(press: Press) -> list[Layer]:
    held = "in its container" if press.pad.held == "container" else "loose, nothing holds its sides"
    layers, pads = [], [x for x in press.pad.stack if x.role == "pad"]
    for x in press.pad.stack:
        hard = f"{x.shore_a:g} Shore A"
        if x.role == "throw":
            layers.append(Layer("throw pad", x.thickness_mm, f"{hard}, laid on the blank, all of it covered", "throw"))
        else:
            name = "pad" if len(pads) == 1 else f"pad {pads.index(x) + 1} of {len(pads)}"
            layers.append(Layer(name, x.thickness_mm, f"{hard}, {held}", "pad"))
    return layers


def height_of(layers: tuple[Layer, ...]) -> float:
    """All that has a known thickness, stacked [mm]; rings and cover plate are left out."""
    return sum(x.thickness or 0.0 for x in layers)


def container_of(press: Press, layers: tuple[Layer, ...]) -> Container | None:
    """None where the shop file gives no depth, or nothing is held in a container."""
    depth = press.container_depth_mm
    if depth is None or press.kind == "fluid" or press.pad.held != "container":
        return None
    opening = press.pad.size_mm
    landing = [press.table_mm] + ([press.bolster.size_mm] if press.bolster else [])
    enters = [all(a <= b for a, b in zip(size, opening, strict=True)) for size in landing]
    if enters[0]:
        rim = None
    else:
        # the rim comes down on the table, or on a bolster that is too wide for the opening
        base = press.bolster.thickness_mm if press.bolster and not enters[1] else 0.0
        rim = height_of(layers) - base - depth
    return Container(depth, press.pad.held_mm - depth, rim)
