"""How a traced piece lay, and whether it is this part: the first rough laying, with its questions.

A piece that fits a mirror image, another size, or nothing is asked about and nothing is measured on it. A blank that goes on its
drawing two ways is laid the way that is turned least, and that is said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError
from ribwright.features.inspected import INNER, Measured
from ribwright.geometry.lay_outline import Laying, area_middle, layings
from ribwright.stages.seen_lines import SeenLines
from ribwright.units import MM_PER_IN

Array = NDArray[np.float64]
SLIP = 0.06  # of 25.4: how near to it a size must be off to be called a slip of units
SIZE = 0.08  # of the drawn size: further off it is another part
OFF_MM, OFF_SHARE = 2.0, 0.008  # rms off the drawing: beyond both, of its size, it is another part
BETTER = 0.5  # a mirror image that fits so much better is asked about
CLEARLY = 0.3  # mm: below it nothing is told apart by its rms
ALIKE = 1.5  # layings within so much of each other are one as good as the other


@dataclass(frozen=True, eq=False)
class Laid:
    """The rough way onto the drawing, and what is to be said of it."""

    way: Laying
    notes: tuple[str, ...] = ()


def laid_rings(lines: SeenLines, rings: tuple[Array, ...], measured: Measured) -> Laid:
    """Lay traced outlines (the outer one first) on the drawn lines. InputError with the question where they are not this piece's."""
    seen, drawn = rings[0], lines.rings[0]
    if len(seen) < 20:
        raise _asked(measured, f"an outline of {len(seen)} points", "the whole outline of the piece")
    share = float(np.sqrt(abs(area_middle(seen)[0]) / abs(area_middle(drawn)[0])))
    for k, what in ((MM_PER_IN, "too large"), (1.0 / MM_PER_IN, "too small")):
        if abs(share / k - 1.0) < SLIP:
            allowed = (
                "places of the marks in the unit that the head says: are they inches given as mm, or mm as inches?"
            )
            raise _asked(measured, f"an outline {max(share, 1 / share):.1f} times {what}", allowed)
    (w, h), (w_drawn, h_drawn) = np.ptp(seen, axis=0), np.ptp(drawn, axis=0)
    size = f"{w:.1f} x {h:.1f} mm as it lay, the drawing's {w_drawn:.1f} x {h_drawn:.1f} mm"
    if abs(share - 1.0) > SIZE:
        raise _asked(
            measured,
            f"an outline of {size}",
            f"{_kind(measured)}: is it another part, {_other(measured)}, or are the marks' places wrong?",
        )
    openings = np.array([area_middle(r)[1] for r in rings[1:]]).reshape(-1, 2)
    holes = np.array([h.hole.at for h in lines.holes]).reshape(-1, 2)
    ways = layings(seen, drawn, openings, holes)
    right = [w for w in ways if not w.mirrored]
    flipped = [w for w in ways if w.mirrored]
    best = right[0]
    if flipped and best.rms > CLEARLY and flipped[0].rms < BETTER * best.rms:
        other = "outer" if measured.said.face == INNER else "inner"
        allowed = f"is it the other hand, or was it pictured from its {other} face? Then the head says face = {other}"
        raise _asked(measured, "an outline that fits only the mirror image of the drawing", allowed)
    far = max(OFF_MM, OFF_SHARE * float(np.hypot(*np.ptp(drawn, axis=0))))
    if best.rms > far:
        found = f"an outline {best.rms:.1f} mm off the drawing, rms, where it fits best"
        raise _asked(measured, found, f"{_kind(measured)}: is it another part, or {_other(measured)}?")
    alike = [w for w in right if w.rms < max(ALIKE * best.rms, CLEARLY)]
    notes: tuple[str, ...] = ()
    if len(alike) > 1:
        best = min(alike, key=lambda w: abs(w.turn))
        notes = (
            f"The outline goes on its drawing {len(alike)} ways as well; it is laid the way that is turned least from the marks.",
        )
    return Laid(best, notes)


def _kind(measured: Measured) -> str:
    return f"the {'cut blank' if measured.said.what == 'blank' else 'formed part'} {measured.said.part}"


def _other(measured: Measured) -> str:
    blank, part = "the cut blank (what = blank)", "the formed part (what = part)"
    return part if measured.said.what == "blank" else blank


def _asked(measured: Measured, found: str, allowed: str) -> InputError:
    return InputError([Fault(measured.file, "the outline", found, allowed)])
