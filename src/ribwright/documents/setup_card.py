"""The set-up card: what to pump to and never past, the lay-up, the room there is, the procedure with its cautions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ribwright.documents.computed import computed
from ribwright.documents.entry_table import whole
from ribwright.documents.identity import Identity
from ribwright.documents.job_card import told_once
from ribwright.documents.layout import (
    Column,
    NumberBox,
    Piece,
    beside,
    caution,
    content_width,
    fill_boxes,
    gap,
    heading,
    listed,
    number_boxes,
    sheet_document,
    split_units,
    table,
)
from ribwright.documents.page import Document
from ribwright.documents.press_pictures import plan_view, side_view
from ribwright.documents.pressure_reason import pressure_reason, where_words
from ribwright.documents.procedure import DEFERS, procedure
from ribwright.documents.readings import band_words, press_numbers
from ribwright.documents.routine import routine_boxes
from ribwright.documents.what_closes import what_closes
from ribwright.stages.finding import Finding
from ribwright.stages.plan import Plan
from ribwright.stages.setup import Setup
from ribwright.units import Unit, show_force, show_length, show_pressure

STEM, TITLE = "set-up-card", "Set-up card"
LOG = ("gauge reached", "dwell", "hits", "operator", "date")
TOOL = ("tool no. on the job card", "tool no. on the block: compare", "blank's label: compare")
PAD_TO_BLOCK = 3.0  # times the block's height, where the catalogue says nothing

OPEN = "pressure-short"
# warnings a press hand must read before the ram moves (the table of what closes says `pressure-marginal`);
# tests/documents holds that each is a code of the checks
AT_THE_PRESS = frozenset({
    "pad-margin-small", "pad-shallow", "block-crush", "block-near-crush", "no-press-gauge", "wrong-laying-seen",
    "container-shallow", "container-lands", "throw-pad-small", "loose-pad-spreads", "pins-missing", "trapped",
    "no-release", "shrink-wrinkles", "stretch-near-limit", "hole-edge-near-limit", "joggle-not-set",
    "bead-may-not-fill",
})  # fmt: skip


def document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The set-up card on "letter" or "a4". ValueError for a plan without a press."""
    s = plan.setup
    if s is None:
        raise ValueError("a set-up card needs a press")
    width = content_width(paper)
    pieces = [
        number_boxes(press_numbers(s, bool(identity.stops)), width, 23.0),
        _pressures(s, identity.first, width),
        *_troubles(plan, width),
        *what_closes(plan, s, identity.first, width),
        *_pictures(plan, s, identity.first, width),
        *_room(plan, s, identity.first, width),
        heading("Procedure", width),
        replace(caution(DEFERS, width), keep=True),
        replace(fill_boxes(TOOL, width, 10.0, (1.0, 1.0, 1.0)), keep=True),
        routine_boxes(s, width),
        *procedure(plan, s, width),
        *_log(width),
        *pressure_reason(plan, s, identity.first, width),
        *computed(plan, width, "Pump to", "Never past"),
    ]
    return sheet_document(STEM, identity, TITLE, paper, pieces)


def _pressures(s: Setup, first: Unit, width: float) -> Piece:
    """Pressure on the sheet: needed, available; force of the ram."""
    have, have_under = split_units(show_pressure(s.available, first))
    if s.needed is None or s.governed is None:
        need = NumberBox("pressure needed, on the pad", "not known", "I do not know for this temper", share=1.3)
    else:
        value, under = split_units(show_pressure(s.needed.value, first))
        band = band_words(s.needed.low, s.needed.high, first)
        by = f"governed by {where_words(s.governed.where, first)}"
        if s.governed.unverified:
            by += f"; unverified: {s.governed.unverified}"
        need = NumberBox("pressure needed, on the pad", value, f"{under}\n90 %: {band}", by, share=1.5)
    if s.at_force is None:
        force = NumberBox("ram force to close", "not known")
    else:
        value, under = split_units(show_force(s.at_force, first))
        force = NumberBox("ram force to close", value, under, "pressure needed x area")
    area = f"on {s.area_is}"
    boxes = (
        need,
        NumberBox("pressure available, on the pad", have, have_under, f"limited by: {s.limit_by}, {area}"),
        force,
    )
    return number_boxes(boxes, width, 16.0)


def _troubles(plan: Plan, width: float) -> list[Piece]:
    """Every stop, and the warnings that matter at the press. What stays open is said once: the table under it says how far."""
    told = told_once([f for f in plan.findings if f.code != OPEN and _matters(f)])
    short = [f for f in plan.findings if f.code == OPEN]
    if short:
        names = ", ".join(" ".join(f"{k} {v}" for k, v in f.where.items() if k != "along_mm") for f in short)
        told.insert(0, ("STOP", f"This press cannot close {names}. The table below says how far each stays open."))
    if not told:
        return []
    pieces = [heading("Findings for this set-up", width)]
    for severity, say in told:
        pieces += listed(severity, say, width, indent=14.0)
    return [*pieces, gap(1.0)]


def _matters(f: Finding) -> bool:
    return f.severity == "stop" or (f.severity == "warn" and f.code in AT_THE_PRESS)


def _pictures(plan: Plan, s: Setup, first: Unit, width: float) -> list[Piece]:
    left = 0.56 * width
    right = width - left - 6.0
    side = side_view(s, first, left)
    above = plan_view(s, plan.block, first, right, side.height - 2.0)
    rubber = "diaphragm" if s.press.kind == "fluid" else "pad"
    return [
        beside(
            (0.0, [heading("Lay-up", left), gap(1.0), side]),
            (left + 6.0, [heading(f"Block under the {rubber}", right), gap(1.0), above]),
        )
    ]


def _room(plan: Plan, s: Setup, first: Unit, width: float) -> list[Piece]:
    """Pad, table, daylight, stroke and block strength: what there is, what is wanted, what is left."""
    columns = (Column("what", 1.2), Column("there is", 1.05), Column("wanted", 1.75), Column("left", 1.2, font="bold"))
    rows = table(columns, list(_rows(plan, s, first)), width, 9.0)
    return [heading("Room and strength", width), *whole(rows, 25), gap(2.0)]


def _rows(plan: Plan, s: Setup, first: Unit) -> Iterable[tuple[str, str, str, str]]:
    block, press = plan.block, s.press

    def length(what: str, have: float, want: float, words: str) -> tuple[str, str, str, str]:
        short = f"SHORT by {show_length(want - have, first)}"
        return what, show_length(have, first), words, show_length(have - want, first) if have >= want else short

    at_least = show_length(block.height, first)
    yield length("pad past the block, least", s.pad_margin, block.height, f"{at_least}, the block's height (practice)")
    under = "bolster" if press.bolster else "table"
    yield length(f"{under} past the block, least", s.table_margin, 0.0, "0, nothing overhangs")
    if press.kind != "fluid":
        fact = plan.job.catalogue.practice.get("pad_to_block_height")
        times = fact.value if fact else PAD_TO_BLOCK
        want = times * block.height
        by = fact.standing() if fact else "common practice"
        words = f"{show_length(want, first)}, {times:g} x block height ({by})"
        yield length("pad depth", press.pad.thickness_mm, want, words)
    if s.container is not None:
        held = press.pad.held_mm
        yield length("container depth", s.container.depth, held, f"{show_length(held, first)}, the pad in it")
    rim = s.container.rim_above if s.container else None
    if rim is not None:
        yield length("rim clear of the table", rim, 0.0, "0 or more as the pad touches the blank")
    bolster = "bolster + " if press.bolster else ""
    yield length("daylight", press.daylight_mm, s.stack, f"{show_length(s.stack, first)}, {bolster}block + sheet + pad")
    travel = max(s.daylight_margin, 0.0)
    yield length("stroke", press.stroke_mm, travel, f"{show_length(travel, first)} to come down")
    if press.off_centre_limit_mm is not None:
        off, limit = s.place.off_centre, press.off_centre_limit_mm
        yield length("load off the ram's axis, most", limit, off, f"{show_length(off, first)}, as placed here")
    yield _strength(plan, s, first)


def _strength(plan: Plan, s: Setup, first: Unit) -> tuple[str, str, str, str]:
    material = plan.block.material
    what = f"block stands, on the pad ({material.name})" if material else "block stands, on the pad"
    if s.block_limit is None:
        return what, "not known", "not known", "not known"
    if s.pump_pressure is None:
        return what, show_pressure(s.block_limit, first), "no pressure is pumped to", "-"
    left = s.block_limit - s.pump_pressure
    words = f"{show_pressure(s.pump_pressure, first)} on the pad, as pumped to"
    short = f"SHORT by {show_pressure(-left, first)}"
    return what, show_pressure(s.block_limit, first), words, show_pressure(left, first) if left >= 0 else short


def _log(width: float) -> list[Piece]:
    """Boxes to write in, a row for the scrap piece, the first part and the last."""
    head = heading("What was done", width)
    rows = []
    for piece in ("scrap piece", "first part", "last part"):
        row = fill_boxes((piece, *LOG), width, 10.0, (0.8, 1.2, 0.8, 0.7, 1.3, 1.0))
        rows.append(Piece(row.height - 1.6, row.items, keep=piece != "last part"))
    return [head, replace(gap(0.8), keep=True), *rows, gap(1.0)]
