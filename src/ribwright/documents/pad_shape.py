"""The half section of a press for drawing: block, table, container, pad and sheet; plain numbers in mm as the pad model has them.

x from the middle of the block, y up from the table. The sheet's own numbers begin where the bend begins on the web, on the block's
web face: `origin` brings them here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.page import Pair

if TYPE_CHECKING:
    from ribwright.mechanics.pad_model.answer import PadRun
    from ribwright.mechanics.pad_model.press import PadPress
    from ribwright.mechanics.section.formed import Formed
    from ribwright.mechanics.section.model import Flange

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
SAME = 0.01  # of a pressure: what belongs to one state of the pad


@dataclass(frozen=True)
class Box:
    """A window on the section [mm]."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def size(self) -> Pair:
        """(width, height)."""
        return self.x1 - self.x0, self.y1 - self.y0


def origin(f: Flange, p: PadPress) -> Pair:
    """Where the bend begins on the block's web face."""
    return p.block_half - f.radius * float(np.tan(np.radians(f.wall) / 2.0)), p.block_height


def block_ring(f: Flange, p: PadPress) -> list[Pair]:
    """The half block as a closed ring: middle, web face, rounded edge, wall, foot."""
    (x, y), w = origin(f, p), float(np.radians(f.wall))
    turned = np.linspace(0.0, w, 25)
    edge = [(x + f.radius * float(np.sin(a)), y + f.radius * (float(np.cos(a)) - 1.0)) for a in turned]
    foot = p.block_half + p.block_height * float(np.cos(w) / np.sin(w))
    return [(0.0, 0.0), (0.0, y), *edge, (foot, 0.0)]


def faces(formed: Formed, f: Flange, p: PadPress) -> tuple[Array, Array]:
    """Inner and outer face of the sheet (n, 2) each, in the section of the press."""
    at = np.array(origin(f, p))
    return formed.inner + at, formed.outer + at


def grid_lines(run: PadRun) -> tuple[list[Array], list[Array]]:
    """The pad's elements as lines: those that stood upright in the unstrained pad, and those that lay level, each (m, 2). The
    elements come column by column, so their corners say how many nodes a column has."""
    tall = int(run.quads[0, 1] - run.quads[0, 0])
    nodes = run.nodes.reshape(-1, tall, 2)
    return list(nodes), list(nodes.transpose(1, 0, 2))


def thinned(lines: list[Array], least: float) -> list[Array]:
    """Of neighbouring lines those at least `least` [mm] apart on average; the first and the last are kept."""
    kept = [lines[0]]
    for line in lines[1:-1]:
        apart = float(np.hypot(*(line - kept[-1]).T).mean())
        if apart >= least and float(np.hypot(*(lines[-1] - line).T).mean()) >= least:
            kept.append(line)
    return [*kept, lines[-1]]


def pad_ring(run: PadRun) -> list[Pair]:
    """The pad's outline: bottom, side, top, middle."""
    upright, level = grid_lines(run)
    parts = [level[0], upright[-1][1:], level[-1][-2::-1], upright[0][-2:0:-1]]
    return [(float(x), float(y)) for part in parts for x, y in part]


def one_state(run: PadRun) -> bool:
    """Whether the pad as it lies and the sheet of the last point are of one moment: not where the run ended past that point."""
    return bool(run.points) and abs(float(run.path[-1, 1]) / run.points[-1].pressure - 1.0) < SAME


def whole_window(p: PadPress, run: PadRun) -> Box:
    """What is drawn of the whole press: of a wide block and a wide pad what lies about the block's edge."""
    far = max(2.5 * p.block_height, 1.1 * p.thickness)
    most = max(float(run.nodes[:, 0].max()), p.half_width)
    return Box(max(p.block_half - far, 0.0), 0.0, min(most, p.block_half + far), float(run.nodes[:, 1].max()))


def near_window(f: Flange, p: PadPress, shown: list[Array]) -> Box:
    """The bend and all of the flange, in the states `shown` (n, 2) each."""
    (x, y), long = origin(f, p), f.arc() + f.straight
    points = np.vstack(shown)
    points = points[points[:, 0] >= x]
    right = float(points[:, 0].max(initial=x)) + 0.3 * long
    low = max(min(float(points[:, 1].min(initial=y)), y) - 0.15 * long, -0.1 * long)
    return Box(x - 0.5 * long, low, right, max(float(points[:, 1].max(initial=y)), y) + 0.3 * long)
