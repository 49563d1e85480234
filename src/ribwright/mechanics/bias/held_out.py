"""What the rest says of a group that was held out: by the blocks of K^-1, without fitting again.

    e_B - E[e_B | rest] = (K^-1_BB)^-1 alpha_B,   its covariance C_B = (K^-1_BB)^-1

Rasmussen & Williams, Gaussian Processes for Machine Learning (2006), eq. 5.10 to 5.12 for blocks of one (recalled). Sizes and weights stay
those of all the data. Of each group the mean residual is judged: by the density of Student's t that has the middle 90 % of the normal, so
that one gross outlier does not choose the model, and by whether it lies within 1.645 sd. The group is held against the scatter of pieces
and places that are believed: a low weight of its own does not widen the band.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from ribwright.mechanics.bias.fit import FREEDOM, T90, Best, Rules
from ribwright.mechanics.bias.marginal import PIECE, PLACE, Index, Sample, block_of_inverse

Array = NDArray[np.float64]
Z90 = 1.645


@dataclass(frozen=True, eq=False)
class HeldOut:
    """Off (G,) the mean residual of each group less what the rest said of it, its standard deviation (G,) [deg]."""

    off: Array
    sd: Array

    @property
    def log_score(self) -> float:
        """Sum of the logarithms of the densities."""
        f, scale = FREEDOM, self.sd / T90
        z2 = (self.off / scale) ** 2
        const = gammaln((f + 1.0) / 2.0) - gammaln(f / 2.0) - 0.5 * np.log(f * np.pi)
        return float(np.sum(const - np.log(scale) - 0.5 * (f + 1.0) * np.log1p(z2 / f)))

    @property
    def coverage(self) -> float:
        """Share of the groups within the band; NaN without any."""
        return float(np.mean(np.abs(self.off) <= Z90 * self.sd)) if len(self.off) else float("nan")


def held_out(s: Sample, best: Best, rules: Rules, group: Index) -> HeldOut:
    """Each group of observations (n,), 0 to G - 1, left out in turn."""
    tail2 = rules.tail**2
    f, factor = best.solution, np.exp(2.0 * best.theta)
    place = s.place * factor[PLACE] / tail2 + s.gauge
    piece = factor[PIECE] / tail2
    count = np.bincount(s.piece)
    off, sd = [], []
    for name in range(int(group.max()) + 1):
        rows = np.flatnonzero(group == name)
        cov = np.linalg.inv(block_of_inverse(s, f, rows))
        off.append(float(np.mean(cov @ f.alpha[rows])))
        mine = s.piece[rows]
        whole = np.bincount(mine, minlength=len(count))[mine] == count[mine]
        same = (mine[:, None] == mine[None, :]) & whole[:, None]
        load = same * np.outer(s.g[rows], s.g[rows])
        own = np.mean(np.diag(f.noise[rows]) + load * f.tau2[mine][:, None])
        believed = np.mean(np.diag(place[rows]) + load * piece)
        sd.append(float(np.sqrt(max(np.mean(cov) - own, 0.0) + believed)))
    return HeldOut(np.array(off), np.array(sd))
