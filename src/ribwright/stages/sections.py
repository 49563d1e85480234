"""What the section model answered for a part at one pressure, as plain numbers: one row a flange, one entry a place.

`stages.solve_sections` makes it; a job that carries it is answered by it (`stages.springback`), one without by the closed form.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.learning import Correction, corrected_words

Array = NDArray[np.float64]
MODEL = "section model: layered strip over the block under uniform pressure, let go"


@dataclass(frozen=True, eq=False)
class Moved:
    """What one cause of scatter does to the released angle at each place: its standard deviation there (m,) [deg].

    kind    of `stages.stack`: "model", "tooling" or "piece"
    opens   it can only leave the flange more open, and counts on that side of the band alone
    mean    how far it moves the mean of the released angle off the answer (m,) [deg]; None: not at all
    """

    name: str
    kind: str
    source: str
    sd: Array
    opens: bool = False
    mean: Array | None = None


@dataclass(frozen=True, eq=False)
class Solved:
    """One flanged edge or hole at the places where its section was taken, arrays (m,) in rising `along` as typed [mm].

    deg       undercut that leaves the drawing's angle [deg]; `slope` how the released angle moves with the undercut [-]
    loaded    angle under the pressure on a block cut to `deg` [deg]
    closing   uniform pressure that brings the flange within 0.5 deg of the wall at its hardest place, `closing_along` [mm] as
              typed [MPa]; infinite where it was not reached
    moved     what moves the released angle, cause by cause
    quick     the closed form's undercut there [deg]
    unverified why the model was not checked for a flange like this; "" where it was
    why_quick "" or why the closed form answers for this flange instead: the arrays are then worthless
    correction what the shop's book moved it by; None: nothing
    """

    along: Array
    angle: Array
    deg: Array
    slope: Array
    loaded: Array
    closing: float
    closing_along: float
    moved: tuple[Moved, ...]
    quick: Array
    unverified: str = ""
    why_quick: str = ""
    correction: Correction | None = None

    @property
    def model(self) -> str:
        """The model's words, with what corrected it."""
        return MODEL if self.correction is None else corrected_words(MODEL, self.correction.pieces)

    def at(self, values: Array, along: Array) -> Array:
        """Values of the places, straight between them and held outside, at `along` as typed (n,) [mm]."""
        return np.interp(along, self.along, values)

    def causes(self, opens: bool) -> tuple[Moved, ...]:
        """What counts toward the open end of a band (`opens`), or toward the closed one."""
        return tuple(m for m in self.moved if opens or not m.opens)

    def mean(self, along: Array) -> Array:
        """How far the mean of the released angle at `along` (n,) lies off the answer [deg], moved by what lies to one side of it
        alone: negative, more open."""
        moved = (self.at(m.mean, along) for m in self.moved if m.mean is not None)
        return np.asarray(sum(moved, start=np.zeros(len(along))))

    def sd(self, along: Array, opens: bool) -> Array:
        """Standard deviation of the released angle about `mean` at `along` (n,) [deg] toward open (`opens`) or toward closed, causes
        taken as independent."""
        squares = (self.at(m.sd, along) ** 2 for m in self.causes(opens))
        return np.asarray(np.sqrt(sum(squares, start=np.zeros(len(along)))))


@dataclass(frozen=True, eq=False)
class Sections:
    """Every flange of the part at the pressure [MPa] that the block is cut for. `defaults`: what stood in for numbers that the
    sheet's record lacks; `runs` how often the model was run. `raw`: the same before the shop's book corrected it; None: it did not."""

    pressure: float
    flanges: dict[str, Solved] = field(default_factory=dict)
    defaults: tuple[str, ...] = ()
    runs: int = 0
    raw: Sections | None = None

    @property
    def left(self) -> tuple[tuple[str, str], ...]:
        """(edge or hole, reason) of the flanges that are left to the closed form."""
        return tuple((name, s.why_quick) for name, s in self.flanges.items() if s.why_quick)

    def of(self, owner: str) -> Solved | None:
        """The flange of an edge or hole as the model answered it; None where the closed form stands in."""
        found = self.flanges.get(owner)
        return None if found is None or found.why_quick else found
