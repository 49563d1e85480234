"""Which effects a residual is taken to be made of, and how large each is before anything was measured.

    forecast's sd of      is shared out, as variance, among
    the model             what the shop has on every part, what an alloy in its temper has, what a flange has     SHARES_MODEL
    the block as cut      each block its own
    a piece               what a lot has, what a piece has, what a place on it has                                SHARES_PIECE

so that the sum is the forecast's own. The shares are a choice of ours; how large each kind really is is learned (`bias.fit`). A richer
model lets the shop's and the alloy's share change with the springback forecast, the pressure, R/t or the edge's curvature.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.bias.marginal import FIXED, FLANGE, LOT, SHARED, Index, Sample

Array = NDArray[np.float64]
SHARES_MODEL = (0.35, 0.35, 0.3)  # shop, alloy and temper, flange
SHARES_PIECE = (0.4, 0.4, 0.2)  # lot, piece, place
HANDS, HANDS_SHARE = 0.5, 0.5  # deg; our estimate: the forecast's causes leave it out
OFFSET, SPRINGBACK, PRESSURE, RATIO, CURVATURE = "offset", "springback", "pressure", "R/t", "curvature"
RICHER = (SPRINGBACK, PRESSURE, RATIO, CURVATURE)
SHARE_OF_SPRINGBACK = 0.25  # one sd of a bias in proportion to the springback: our choice


@dataclass(frozen=True, eq=False)
class Conditions:
    """What residuals depend on, arrays (n,), as in `shop_bias.Measured`: the forecast's standard deviations [deg], the conditions, ids."""

    model: Array
    tooling: Array
    piece: Array
    springback: Array
    pressure: Array
    ratio: Array
    curvature: Array
    alloy: Index
    flange: Index
    lot: Index
    block: Index


def retold(model: Array, piece: Array) -> tuple[Array, Array]:
    """The forecast's standard deviations of what is the same on every piece and of what differs [deg], with what hands, seat and press add
    from piece to piece taken out of the first: HANDS, at most HANDS_SHARE of its variance. The sum of squares stays."""
    hands = np.minimum(HANDS**2, HANDS_SHARE * model**2)
    return np.sqrt(model**2 - hands), np.sqrt(piece**2 + hands)


def terms(c: Conditions, names: tuple[str, ...]) -> list[Array]:
    """What one sd of each term of the shared bias adds to each residual [deg], the offset first."""
    both = SPRINGBACK in names
    out = [c.model * np.sqrt(0.5) if both else c.model]
    if both:
        out.append(SHARE_OF_SPRINGBACK * np.sqrt(0.5) * c.springback)
    if PRESSURE in names:
        out.append(SHARE_OF_SPRINGBACK * c.springback * np.log(c.pressure / 20.0))
    if RATIO in names:
        out.append(0.5 * c.model * np.log(c.ratio / 3.0))
    if CURVATURE in names:
        out.append(0.5 * c.model * np.clip(100.0 * c.curvature, -3.0, 3.0))
    return out


def spans(names: tuple[str, ...]) -> int:
    """How many of the terms differ from alloy to alloy: offset and springback; slopes are the shop's."""
    return 2 if SPRINGBACK in names else 1


@dataclass(frozen=True, eq=False)
class Columns:
    """The effects of a sample in order: what kind each is of, and which id (-1: the shop)."""

    names: tuple[str, ...]
    alloys: int
    flanges: int
    blocks: int
    lots: int

    def kind(self) -> Index:
        shared = len(self.names) + spans(self.names) * self.alloys
        return np.repeat([SHARED, FLANGE, FIXED, LOT], [shared, self.flanges, self.blocks, self.lots])

    def loads(self, c: Conditions, tail: float) -> Array:
        """(n, q) what one sd of each effect adds to each residual [deg]; an id of -1 has none of those seen."""
        shop, alloy, flange = np.sqrt(SHARES_MODEL)
        felt = terms(c, self.names)
        parts = [shop * tail * np.column_stack(felt)]
        parts += [_by_id(alloy * tail * t, c.alloy, self.alloys) for t in felt[: spans(self.names)]]
        parts.append(_by_id(flange * tail * c.model, c.flange, self.flanges))
        parts.append(_by_id(c.tooling, c.block, self.blocks))
        parts.append(_by_id(np.sqrt(SHARES_PIECE[0]) * tail * c.piece, c.lot, self.lots))
        return np.concatenate(parts, axis=1)

    def unseen(self, c: Conditions) -> tuple[Array, Array, Array, Array]:
        """Variances [deg^2] (n,) of what has an id of -1: of the shared bias, flange, block and lot."""
        _, alloy, flange = SHARES_MODEL
        felt = terms(c, self.names)[: spans(self.names)]
        return (
            np.where(c.alloy < 0, alloy * np.sum(np.square(felt), axis=0), 0.0),
            np.where(c.flange < 0, flange * c.model**2, 0.0),
            np.where(c.block < 0, c.tooling**2, 0.0),
            np.where(c.lot < 0, SHARES_PIECE[0] * c.piece**2, 0.0),
        )


def _by_id(load: Array, ids: Index, count: int) -> Array:
    out = np.zeros((len(load), count))
    rows = np.flatnonzero(ids >= 0)
    out[rows, ids[rows]] = load[rows]
    return out


def sample(residual: Array, gauge: Array, c: Conditions, serial: Index, columns: Columns, tail: float) -> Sample:
    """The residuals [deg] with their effects; `serial` (n,) 0 to P - 1 must not fall."""
    return Sample(
        residual,
        columns.loads(c, tail),
        columns.kind(),
        np.sqrt(SHARES_PIECE[1]) * tail * c.piece,
        SHARES_PIECE[2] * (tail * c.piece) ** 2,
        gauge**2,
        serial,
        np.flatnonzero(np.diff(serial, prepend=-1)),
    )
