"""Notches, flutes and beads on the inspection sheet: (what to measure, nominal, whose), on the blank and on the formed part.

Places and sizes are those of the drawing; only a tolerance of the detail's own counts, and a part file gives none, so they are judged by
the drawing.
"""

from __future__ import annotations

from ribwright.documents.entry_table import in_cell
from ribwright.stages.bead_shapes import bead_shapes
from ribwright.stages.flutes import DRAWN
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

Row = tuple[str, str, str, str, float]


def on_blank(plan: Plan, first: Unit) -> list[tuple[str, str]]:
    """(check, nominal): the cuts of notches, as long as the sheet is flat."""
    out = []
    for n in (n for n in plan.blank.notches if n.stands):
        name, wide = f"notch {n.number} on {n.notch.edge}", show_length(n.notch.width, first)
        out.append((f"{name}, at {show_length(n.along, first)}: width between the cuts, at its floor", in_cell(wide)))
        if n.notch.corner_radius > 0:
            out.append((f"{name}: radius of the floor's corners", in_cell(show_length(n.notch.corner_radius, first))))
    return out


def on_part(plan: Plan, first: Unit) -> list[Row]:
    """(balloon, what, nominal, owner, nominal [mm]) of every notch, drawn flute and bead."""
    return [*_notches(plan, first), *_flutes(plan, first), *_beads(plan, first)]


def _notches(plan: Plan, first: Unit) -> list[Row]:
    out = []
    for n in plan.blank.notches:
        at, d = show_length(n.along, first), n.notch
        sizes = [
            ("its middle along the edge", n.along),
            ("width in the web", d.width),
            ("depth from the drawn line", d.depth),
        ]
        out += [
            _row(d.balloon, f"notch {n.number} on {d.edge}: {what}\nat {at}", mm, f"notch[{n.number}]", first)
            for what, mm in sizes
        ]
    return out


def _flutes(plan: Plan, first: Unit) -> list[Row]:
    out = []
    for f in (f for run in plan.fluting.runs for f in run.flutes if f.by == DRAWN):
        balloon = plan.job.part.flutes[f.index - 1].balloon
        sizes = [
            ("its middle along the edge", f.along),
            ("width at the free edge", f.width),
            ("depth at the free edge", f.depth),
        ]
        at = show_length(f.along, first)
        out += [
            _row(balloon, f"flute {f.index} on {f.edge}: {what}\nat {at}", mm, f"flute[{f.index}]", first)
            for what, mm in sizes
        ]
    return out


def _beads(plan: Plan, first: Unit) -> list[Row]:
    out = []
    for s in bead_shapes(plan.job):
        ends = " to ".join(
            f"x {show_length(float(x), first)}, y {show_length(float(y), first)}" for x, y in (s.path[0], s.path[-1])
        )
        sizes = [("depth, depth gauge across it", s.bead.depth), ("width where it leaves the web", s.bead.width)]
        out += [
            _row(s.bead.balloon, f"bead {s.number}: {what}\n{ends}", mm, f"bead[{s.number}]", first)
            for what, mm in sizes
        ]
    return out


def _row(balloon: str, what: str, mm: float, owner: str, first: Unit) -> Row:
    return balloon, what, in_cell(show_length(mm, first)), owner, mm
