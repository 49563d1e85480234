"""Where a flange's width or angle breaks so sharply that its free edge has a corner there: a column of the mesh stands on such a place,
and no smooth line is put across it.

The corner is read off the strain-corrected strip, w its flat width and d the inset, between a break's station and its neighbours:

    turn = arctan((w - d)' after) - arctan((w - d)' before)     not counting the turn of the drawn line itself
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.values import FREE, FormedMesh
from ribwright.stages.blank import Blank, RunStrip

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
# a smooth line across a corner of 1 deg misses it by 0.0075 mm with nodes 2 mm apart, within a cut line's fit of 0.01; of 2 deg by 0.013
SHARP = np.radians(1.0)
NEAR = 0.25  # of an element: a node this near stands on the place


def sharp_stations(blank: Blank, strip: RunStrip, i: int) -> Ints:
    """The run's stations (k,) at which edge i has a corner in its free edge, in travel order."""
    mine = np.flatnonzero(strip.at.edge == i)
    s, y = strip.at.s[mine], (strip.strip.flat_width - strip.at.inset)[mine]
    found = []
    for b in blank.laid[strip.loop].edges[i].breaks():
        k = int(np.argmin(np.abs(s - b)))
        if 0 < k < len(s) - 1 and abs(s[k] - b) < 1e-3:
            before, after = np.arctan(np.diff(y[k - 1 : k + 2]) / np.diff(s[k - 1 : k + 2]))
            if abs(after - before) > SHARP:
                found.append(mine[k])
    return np.array(found, dtype=np.int64)


def sharp_nodes(blank: Blank, m: FormedMesh) -> Mask:
    """Nodes (N,) of flanges' free edges that stand on such a corner."""
    out = np.zeros(len(m.nodes), bool)
    free = {int(p): c.nodes[(c.kind == FREE) & (c.place == p)] for c in m.loops for p in np.unique(c.place)}
    first = np.cumsum([0, *(len(x.edges) for x in blank.laid)])
    for strip in blank.strips:
        for i in strip.run.edges:
            nodes = free.get(int(first[strip.loop]) + i, np.zeros(0, np.int64))
            for k in sharp_stations(blank, strip, i):
                at = strip.at.tangent[k] + strip.strip.flat_width[k] * strip.at.across[k]
                far = np.hypot(*(m.start[nodes] - at).T)
                if len(nodes) and far.min() < NEAR * m.size:
                    out[nodes[int(np.argmin(far))]] = True
    return out


def between(nodes: Ints, sharp: Mask) -> list[Ints]:
    """A stretch of a boundary, nodes (m,), cut at its corners into smooth ones that share their end nodes; a closed one (its last
    node its first) then begins at a corner."""
    if nodes[0] == nodes[-1]:
        at = np.flatnonzero(sharp[nodes[:-1]])
        if not len(at):
            return [nodes]
        turned = np.roll(nodes[:-1], -int(at[0]))
        nodes = np.append(turned, turned[0])
    inner = (np.flatnonzero(sharp[nodes[1:-1]]) + 1).tolist()
    return [nodes[a : b + 1] for a, b in itertools.pairwise([0, *inner, len(nodes) - 1])]


def chained(lines: Iterable[Array]) -> Array:
    """Lines (m, 2), each from where the one before it ends, as one."""
    every = list(lines)
    return np.concatenate([every[0], *(x[1:] for x in every[1:])])


__all__ = ["between", "chained", "sharp_nodes", "sharp_stations"]
