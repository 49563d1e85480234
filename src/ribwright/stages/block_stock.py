"""What to saw the block from: slab, boards to laminate, pins, cover plate, rings. Rough sizes by common practice.

    rough length, width   finished + saw allowance, up to the next 1/4 in (5 mm in a metric shop)
    boards                height / board thickness, rounded up; the stack is planed to the height
    pin length            below: the block's height; web: the sheet; above: one diameter, rounded
    ring thickness        deepest recess of the rings + the floor left under a recess
Screws, dowels and glue are the shop's: none is made up here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from ribwright.stages.block import Block
from ribwright.stages.cover_plate import CoverPlate, mm
from ribwright.stages.job import Job
from ribwright.stages.recess import RECESS_FLOOR_MM
from ribwright.units import MM_PER_IN

Pair = tuple[float, float]
METRIC_STEP_MM = 5.0


@dataclass(frozen=True)
class PinStock:
    """Pins of one diameter, lengths mm: in the block, through the web, standing proud of it."""

    names: tuple[str, ...]
    diameter: float
    below: float
    web: float
    above: float

    @property
    def length(self) -> float:
        """Whole length [mm]."""
        return self.below + self.web + self.above


@dataclass(frozen=True)
class BlockStock:
    """Sizes along x and y of the part and the height, mm; kg.

    boards None: the shop file gives no board thickness. weight None: it gives no density, or there is no volume.
    plate None: no cover plate. ring None: no loose ring.
    """

    finished: tuple[float, float, float]
    rough: Pair
    allowance: float
    allowance_by: str
    boards: int | None
    board: float | None
    weight: float | None
    pins: tuple[PinStock, ...]
    plate: Pair | None
    ring: float | None

    @property
    def stack(self) -> float | None:
        """Height of the laminated boards before planing [mm]."""
        return None if self.boards is None or self.board is None else self.boards * self.board

    @property
    def grain_along(self) -> str:
        """The part's direction in which the slab is longest: where a material has a grain, it runs that way."""
        return "x" if self.finished[0] >= self.finished[1] else "y"


def block_stock(job: Job, block: Block, plate: CoverPlate) -> BlockStock:
    """What the block is made from, in the block's material."""
    m = block.material
    fact = job.catalogue.practice["block_saw_allowance"]
    own = m.allowance_mm if m is not None else None
    allowance = mm(fact) if own is None else own
    by = f"{fact.source} ({fact.standing()})" if own is None else "the shop file"
    points = np.concatenate([*block.outlines[:1], *block.feet[:1]])
    size = (float(np.ptp(points[:, 0])), float(np.ptp(points[:, 1])))
    inches = (job.shop.units or job.part.units) == "in"
    board = m.board_thickness_mm if m is not None else None
    covered = None
    if len(plate.outline):
        w, h = np.ptp(plate.outline, axis=0)
        covered = (rough(float(w), allowance, inches), rough(float(h), allowance, inches))
    return BlockStock(
        (*size, block.height),
        (rough(size[0], allowance, inches), rough(size[1], allowance, inches)),
        allowance,
        by,
        None if board is None else ceil(block.height / board - 1e-9),
        board,
        None if m is None or m.density_kg_m3 is None else m.density_kg_m3 * block.volume * 1e-9,
        _pins(job, block),
        covered,
        max(r.depth for r in block.rings) + RECESS_FLOOR_MM if block.rings else None,
    )


def rough(size: float, allowance: float, inches: bool) -> float:
    """A sawing size [mm]: finished plus allowance, up to the next 1/4 in or 5 mm."""
    step = MM_PER_IN / 4 if inches else METRIC_STEP_MM
    return ceil((size + allowance) / step - 1e-9) * step


def _pins(job: Job, block: Block) -> tuple[PinStock, ...]:
    alike: dict[float, list[str]] = {}
    for p in block.pins:
        alike.setdefault(round(p.diameter, 4), []).append(p.name)
    return tuple(PinStock(tuple(names), d, block.height, job.t, d) for d, names in sorted(alike.items()))
