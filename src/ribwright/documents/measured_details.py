"""Rows of the inspection sheet for joggles, notches, beads and drawn flutes: their sizes as drawn and where they lie.

Only a tolerance of their own counts (`joggle[1].contour`): the drawing's general one is of another kind. Planned flutes are this plan's,
the drawing asks for none: none is measured.
"""

from __future__ import annotations

import numpy as np

from ribwright.documents.entry_table import in_cell
from ribwright.documents.measure import Measure
from ribwright.documents.notch_marks import standing
from ribwright.stages.bead_shapes import BeadShape, bead_shapes
from ribwright.stages.flutes import DRAWN, PlacedFlute
from ribwright.stages.joggles import steps
from ribwright.stages.notches import LaidNotch
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length


def detail_measures(plan: Plan, first: Unit) -> list[Measure]:
    """What to measure of them on the formed part, in the order of the part file's tables."""
    return [
        *(m for n in standing(plan) for m in _notch(n, first)),
        *(m for f in drawn_flutes(plan) for m in _flute(plan, f, first)),
        *_joggles(plan, first),
        *(m for s in bead_shapes(plan.job) for m in _bead(s, first)),
    ]


def notch_checks(plan: Plan, first: Unit) -> list[tuple[str, str]]:
    """(what, nominal) of the notches on the blank, before forming. Their depth is from the drawn line, which a flat flange hides: it is
    measured on the formed part."""
    out = []
    for n in standing(plan):
        what = f"notch {n.number} in {n.notch.edge}, {show_length(n.along, first)}:"
        if n.notch.corner_radius > 0.0:
            what += f" corners R {show_length(n.notch.corner_radius, first)}, no scratch;"
        out.append((f"{what} width", in_cell(show_length(n.notch.width, first))))
    return out


def drawn_flutes(plan: Plan) -> list[PlacedFlute]:
    """The flutes that the drawing has, in the order of their tables."""
    return sorted((f for f in plan.fluting.flutes if f.by == DRAWN), key=lambda f: f.index)


def _rows(owner: str, balloon: str, name: str, at: str, sizes: list[tuple[str, float]], first: Unit) -> list[Measure]:
    return [
        Measure(balloon, f"{name}: {what}\n{at}", in_cell(show_length(mm, first)), "contour", owner, True)
        for what, mm in sizes
    ]


def _notch(n: LaidNotch, first: Unit) -> list[Measure]:
    sizes = [
        ("middle, along the edge", n.along),
        ("width", n.notch.width),
        ("depth from the drawn line", n.notch.depth),
    ]
    if n.notch.corner_radius > 0.0:
        sizes.append(("corner radius", n.notch.corner_radius))
    if n.flanged and n.notch.flange_gap > 0.0:
        sizes.append(("gap from its side to the flange", n.notch.flange_gap))
    at = f"{show_length(n.along, first)} along"
    return _rows(f"notch[{n.number}]", n.notch.balloon, f"notch {n.number} in {n.notch.edge}", at, sizes, first)


def _flute(plan: Plan, f: PlacedFlute, first: Unit) -> list[Measure]:
    sizes = [
        ("middle, along the edge", f.along),
        ("width at the free edge", f.width),
        ("depth at the free edge", f.depth),
    ]
    at, balloon = f"{show_length(f.along, first)} along", plan.job.part.flutes[f.index - 1].balloon
    return _rows(f"flute[{f.index}]", balloon, f"flute {f.index} on {f.edge}", at, sizes, first)


def _joggles(plan: Plan, first: Unit) -> list[Measure]:
    """Depth of each joggle, and length of its steps."""
    every, out = steps(plan.job, plan.blank), []
    for n, j in enumerate(plan.job.part.joggles, 1):
        found = [s for s in every if s.number == n]
        spans = [f"{show_length(s.start, first)} to {show_length(s.end, first)} along" for s in found]
        sizes = [("depth, feeler under a straight edge", j.depth), ("length of the step", j.length)]
        at = ", ".join(spans) or "whole edge"
        out += _rows(f"joggle[{n}]", j.balloon, f"joggle {n} on {j.edge}", at, sizes, first)
    return out


def _bead(s: BeadShape, first: Unit) -> list[Measure]:
    """Depth half way, which says whether it is filled; width; how far its rim reaches."""
    sizes = [("depth half way, from a straight edge across it", s.bead.depth), ("width at the web", s.bead.width)]
    sizes.append(("overall length", s.length))
    ends = " to ".join(_point(p, first) for p in (s.path[0], s.path[-1]))
    return _rows(f"bead[{s.number}]", s.bead.balloon, s.name, f"middle {ends}", sizes, first)


def _point(p: np.ndarray, first: Unit) -> str:
    """'x 1.000, y 2.000 in': the shop's unit alone, the block drawing has both."""
    x, y = (show_length(float(v), first).partition(" (")[0] for v in p)
    return f"x {x}, y {y}"
