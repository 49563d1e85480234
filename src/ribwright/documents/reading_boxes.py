"""Boxes of the paper inspection sheet for what the file of measurements asks besides the drawing's characteristics: how the piece was
formed and the template held, and the gaps under the template at places of each edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ribwright.documents.edge_ends import ends_of, from_words
from ribwright.documents.entry_table import whole
from ribwright.documents.layout import Column, Piece, fill_boxes, gap, heading, shifted, small, table
from ribwright.documents.measuring_form import SHARES
from ribwright.features.inspected import AS_PRESSED, BY_HAND, ON_PINS, SET_BY_HAND, Said
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_pressure

LABEL = 0.27  # share of the width for an edge's name
TALL = 9.5  # room to write in [mm]
HOW = (
    "What the file of measurements asks at its head. Pressure: on the pad, as the set-up card's small print has it; where it is the "
    "gauge's reading, write GAUGE beside it. Packet: the fingerprint on the packet that the block was CUT from, or the block's undercut "
    "where it is one: of the block that stood in the press, not of a new plan."
)
GAPS = (
    "Template gaps, feeler under the template held as said above: + light under the template (metal inside the line), - the template "
    "rides on metal (outside it). Places are shares of the edge's length, counted from the end that is named."
)


def formed_boxes(first: Unit, width: float, said: Said | None = None) -> list[Piece]:
    """How the piece was formed and the template held: to be filled in, or as the file's head `said`."""
    rows = (
        ("press", "pressure on the pad, or gauge reading", f"state: {AS_PRESSED}, or {SET_BY_HAND}"),
        (
            "packet the block was cut from",
            "or undercut of the block, deg",
            f"template held on: {ON_PINS}, or by {BY_HAND}",
        ),
    )
    known: tuple[Sequence[str], ...] = (("", "", ""), ("", "", ""))
    if said is not None:
        pressure = "" if said.pressure_mpa is None else show_pressure(said.pressure_mpa, first)
        undercut = "" if said.undercut_deg is None else f"{said.undercut_deg:g}"
        known = ((said.press, pressure, said.state), (said.packet, undercut, said.template))
        known = tuple([x or "not said" for x in row] for row in known)
    under = [] if said is not None else [replace(p, keep=True) for p in (*small(HOW, width), gap(0.8))]
    boxes = [fill_boxes(labels, width, 10.5, filled=row) for labels, row in zip(rows, known, strict=True)]
    return [heading("How it was formed and held", width), *under, *whole(boxes), gap()]


def gap_boxes(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """A row an edge with a box for the gap at each of SHARES of its length, as the CSV form asks."""
    columns = [Column("edge", LABEL * 5 / (1 - LABEL), font="bold"), *(Column(f"{s} %", 1.0) for s in SHARES)]
    ends = ends_of(plan)
    head, *_ = table(columns, [[""] * len(columns)], width, 9.0)
    rows = [
        _row(e.edge.name, from_words(ends, e.edge.name), e.drawn.length, first, width, head)
        for loop in plan.blank.laid
        for e in loop.edges
    ]
    under = [replace(p, keep=True) for p in small(GAPS, width)]
    return [heading("Gaps under the template", width), *under, head, *whole(rows, 6), gap()]


def _row(name: str, counted: str, long: float, first: Unit, width: float, head: Piece) -> Piece:
    left = LABEL * width
    boxes = fill_boxes([f"{place(s * long / 100.0, first)}" for s in SHARES], width - left, TALL)
    words = table([Column("", 1.0, font="bold")], [[f"{name}\n{counted}"]], left - 2.0, 9.0)[1]
    items = (*words.items[:-1], *shifted(boxes.items, left, 0.0))
    return Piece(max(words.height, boxes.height), items, repeat=head)


def place(mm: float, first: Unit) -> str:
    """'at 1.403 in', as along an edge it is measured to."""
    return f"at {mm / MM_PER_IN:.2f} in" if first == "in" else f"at {mm:.1f} mm"
