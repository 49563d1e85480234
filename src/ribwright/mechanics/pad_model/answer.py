"""What pressing a flange with a rubber pad comes to, as values."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.section.formed import Formed
from ribwright.mechanics.section.model import Flange

Array = NDArray[np.float64]

# of the run
REACHED = "reached"  # every pressure asked for
STOPPED = "not-converged"  # at `reached` [MPa]; what was found before is there
SPENT = "pad-spent"  # squeezed to 60 % of its thickness before the pressure was there: no pad gives more
FOLDS = "rubber-folds"  # no balance any more after `reached`, a corner of an element inside out: rubber that touches itself is not modelled
CANCELLED = "cancelled"
REFUSED = "refused"  # by `findings`, before anything was pressed
# findings
TOO_HARD = "pad-too-hard"  # open at the last pressure, which would close it if nothing were lost in the rubber
TOO_SHALLOW = "pad-too-shallow"  # squeezed over the block by more than it may be
TOO_TALL = (
    "block-too-tall"  # the pad would be squeezed by more than it may be before it fills the space beside the block
)
FOULS = "flange-fouls-container"  # the flat blank reaches the container's wall
ON_TABLE = "flange-on-table"  # the formed flange is longer than the block is high
FOLDED = (
    "rubber-folds"  # after `folded` [MPa] a corner of an element is inside out: what comes then hangs on the elements
)
NO_MODULUS = (
    "pad-modulus-unknown"  # no finite shear modulus: harder than Gent's relation goes, and none of the shop's own
)
NOT_MODELLED = "not-modelled"  # a curved flange, friction: this is a plane section without friction


@dataclass(frozen=True, eq=False)
class PadPoint:
    """One ram pressure [MPa]: the ram's stroke [mm] and force [N per mm of length, half section], the sheet under load and after
    release (None: not asked for, or the release stopped).

    `along` (m,) [mm]: arc length on the flat sheet from the bend's beginning, the bend from 0 on; `pressure_along` (m,) [MPa] what the
    rubber pushes there with, over about one of its elements; `on_flange` its mean over the straight part. `stretch`: largest
    stretch in the rubber; `strain`: share of its thickness by which the pad is squeezed over the block. `closed`: the loaded angle
    is within 0.5 deg of the wall's.
    """

    pressure: float
    stroke: float
    force: float
    loaded: Formed
    on_block: Formed | None
    released: Formed | None
    along: Array
    pressure_along: Array
    on_flange: float
    stretch: float
    strain: float
    closed: bool


@dataclass(frozen=True, eq=False)
class PadRun:
    """A flange pressed through ram pressures.

    path (k, 5): stroke [mm], ram pressure, mean pressure on the straight part [MPa], angle [deg], largest stretch of every step;
    closing: ram pressure at which the flange closed, None where it did not; outcome one of REACHED, STOPPED, SPENT, FOLDS, CANCELLED,
    REFUSED; findings: words above; reached: the last ram pressure found [MPa]; allowed: the last one at which the pad was not squeezed
    by more than it may be, None: it never was, or that is not known [MPa]; folded: the ram pressure [MPa] from which on a corner of
    an element is inside out somewhere, None: nowhere; `lost` says what that takes; steps, factors: the work done. nodes (n, 2)
    and quads (m, 4): the pad as it lies at the last step, for a picture, x from the middle of the block, y from the table.
    """

    flange: Flange
    points: tuple[PadPoint, ...]
    path: Array
    closing: float | None
    outcome: str
    findings: tuple[str, ...]
    reached: float
    steps: int
    factors: int
    nodes: Array
    quads: NDArray[np.int64]
    allowed: float | None = None
    folded: float | None = None

    @property
    def lost(self) -> float | None:
        """The ram pressure [MPa] from which on the points are no forecast, the rubber having folded while the flange was open; None: they
        all are. A closed flange lies on its wall already. A closing found after a fold is none."""
        open_then = self.folded is not None and (self.closing is None or self.folded < self.closing)
        return self.folded if open_then else None
