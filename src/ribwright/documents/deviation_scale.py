"""How large a part and its deviations are drawn on one picture: round scales, and bars that say them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ribwright.documents.block_plan_view import SCALES
from ribwright.documents.layout import SMALL_PT
from ribwright.documents.page import Item, Line, Stroke, Text
from ribwright.stages.found import Judged
from ribwright.units import MM_PER_IN, Unit

LONGEST = 9.0  # of a deviation on the page, where the part is wide enough [mm]
SHORTEST = 4.0
SHARE = 0.45  # of the part's least width
GROSS = 3.0  # tolerances: a deviation past so many is cut off, or it alone would be seen
TIMES = (500.0, 200.0, 100.0, 50.0, 40.0, 25.0, 20.0, 15.0, 10.0, 8.0, 5.0, 4.0, 2.5, 2.0, 1.0, 0.5, 0.2, 0.1)
STEPS = (1.0, 0.5, 0.2)
BAR = Stroke(0.4)


@dataclass(frozen=True)
class Drawn:
    """The part is drawn 1 : `smaller`, its deviations `times` their size and no longer than `longest` on the page [mm]."""

    smaller: float
    times: float
    longest: float

    @property
    def reach(self) -> float:
        """Largest deviation that is drawn whole [mm]."""
        return self.longest / self.times


def drawn_of(
    size: tuple[float, float], least: float, room: tuple[float, float], judged: Sequence[Judged], allowed: float
) -> Drawn:
    """The largest round scales at which a part of `size`, `least` wide where it is narrowest, lies in `room` [mm], and the deviations of
    its sides do not meet. `allowed`: the widest tolerance that is drawn [mm], 0 for none."""
    fitting = max(size[0] / room[0], size[1] / room[1])
    smaller = next((s for s in SCALES if s >= fitting), float(np.ceil(fitting / 10) * 10))
    longest = min(LONGEST, max(SHORTEST, SHARE * least / smaller))
    return Drawn(smaller, times_of(judged, allowed, longest), longest)


def times_of(judged: Sequence[Judged], allowed: float, longest: float = LONGEST) -> float:
    """How many times as large deviations are drawn. By the largest one with its uncertainty, or the tolerance where that is larger;
    past GROSS tolerances one is cut off."""
    most = max((abs(j.found.off) + (j.found.u or 0.0) for j in judged), default=0.0)
    reach = max(allowed, min(most, GROSS * allowed) if allowed > 0 else most)
    return next((k for k in TIMES if k * reach <= longest), TIMES[-1])


def bars(drawn: Drawn, first: Unit, x: float, y: float) -> tuple[Item, ...]:
    """Two bars beside each other from (x, y): a length of the part, and a deviation, each with its true size in both units."""
    part, deviation = _round(60.0 * drawn.smaller, first), _round(18.0 / drawn.times, first)
    long, short = part / drawn.smaller, deviation * drawn.times
    near = x + max(long, 46.0) + 12.0
    return (
        *_bar(x, y, long, f"part 1:{drawn.smaller:g}, {_both(part, first)}"),
        *_bar(near, y, short, f"deviations drawn {drawn.times:g} times their size: {_both(deviation, first)}"),
    )


def _bar(x: float, y: float, long: float, words: str) -> tuple[Item, ...]:
    ends = [Line(x + a, y - 1.2, x + a, y + 1.2, BAR) for a in (0.0, long)]
    return (Line(x, y, x + long, y, BAR), *ends, Text(x, y - 4.6, words, SMALL_PT))


def _round(most: float, first: Unit) -> float:
    """The largest length of 1, 2 or 5 times a power of ten of the unit that is no longer than `most` [mm]."""
    k = MM_PER_IN if first == "in" else 1.0
    ten = 10.0 ** np.ceil(np.log10(most / k))
    return float(next(s * p for p in (ten, ten / 10, ten / 100) for s in STEPS if s * p <= most / k + 1e-9) * k)


def _both(mm: float, first: Unit) -> str:
    inch, metric = f"{mm / MM_PER_IN:.3g} in", f"{mm:.3g} mm"
    return f"{inch} ({metric})" if first == "in" else f"{metric} ({inch})"
