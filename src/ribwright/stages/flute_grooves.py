"""Grooves in the block's walls that flutes are pressed into.

Each begins where the rounding of the block's edge ends and is as wide and deep as the flute where the flange's free edge lies under the
pad, `R_b (1 - cos w) + L sin w` below the web face (R_b block radius, w wall angle, L straight part of the flange). The sheet's
inner face takes the groove's shape.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.stages.block import Block
from ribwright.stages.flutes import Fluting, PlacedFlute
from ribwright.stages.groove import WallGroove, wall_groove, wall_of_edge

CLEAR = 1e-6  # a groove begins this far past the rounding [mm]


def groove_name(flute: PlacedFlute) -> str:
    """What its groove is called on drawings and in the solid."""
    return f"flute {flute.index} on {flute.edge}"


def with_grooves(block: Block, fluting: Fluting) -> Block:
    """The block with a groove for each inward flute; one that no groove can be cut for has none, a check says so."""
    made = (_groove(block, f) for f in fluting.flutes if f.turn == "down")
    return replace(block, grooves=(*block.grooves, *(g for g in made if g is not None)))


def _groove(block: Block, flute: PlacedFlute) -> WallGroove | None:
    edge = wall_of_edge(block.walls, flute.edge).edge
    s = float(np.clip(edge.at(np.array([flute.along])), 0.0, edge.curve.length)[0])
    angle, radius = (float(v[0]) for v in wall_of_edge(block.walls, flute.edge).at(np.array([s])))
    begins = radius * (1.0 - np.cos(angle)) + CLEAR
    at = begins + max(float(edge.leg(np.array([s]))[0]), 0.0) * np.sin(angle)
    try:
        return wall_groove(block.walls, groove_name(flute), flute.edge, s, begins, at, flute.width, flute.depth)
    except ValueError:
        return None
