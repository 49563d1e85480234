"""What the bench needs to make the block: saw zones, cover plate, one block for both hands or not, stock."""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.stages.blank import Blank
from ribwright.stages.block import Block
from ribwright.stages.block_stock import BlockStock, block_stock
from ribwright.stages.cover_plate import CoverPlate, cover_plate
from ribwright.stages.job import Job
from ribwright.stages.reversible import Reversible, reversible
from ribwright.stages.zones import Zone, zones_of


@dataclass(frozen=True, eq=False)
class Making:
    """All of it, for the block in its chosen material."""

    zones: tuple[Zone, ...]
    plate: CoverPlate
    reversible: Reversible
    stock: BlockStock


def making_of(job: Job, blank: Blank, block: Block) -> Making:
    """Everything the bench needs besides the block itself."""
    plate = cover_plate(job, block)
    return Making(zones_of(job, block), plate, reversible(job, blank, block), block_stock(job, block, plate))
