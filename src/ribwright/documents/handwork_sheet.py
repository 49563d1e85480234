"""The hand-finishing list as a bench sheet: moves in their order with boxes to tick and sign, each caution before its move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ribwright.documents.edge_ends import Ends, ends_of
from ribwright.documents.entry_table import entry_table, whole
from ribwright.documents.hand_picture import LEGEND, hand_picture, letter_of
from ribwright.documents.handwork_words import (
    DECIDE_FIRST,
    FROM_FORECAST,
    FROM_MEASURED,
    HANDS,
    SHOPS_RULE,
    STRAINS,
    beyond_words,
    gather_words,
    head,
    look_rows,
    past_words,
    room_words,
    stands_words,
    stop_words,
    title_of,
)
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    BODY_PT,
    THIN,
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
    prose,
    rectangle,
    sheet_document,
    small,
    stacked,
)
from ribwright.documents.page import Document, Text
from ribwright.stages.hand_list import ORDER_RULE, ORDER_SOURCE, HandList, Move
from ribwright.stages.plan import Plan
from ribwright.units import Unit

STEM = "hand-finishing"
BOXES = 0.33  # share of the width for the boxes to sign
BENCH_ROWS = 3  # moves that the bench adds


def document(
    plan: Plan, identity: Identity, paper: str, hands: HandList, piece: Sequence[str] = ("", "", "", "")
) -> Document:
    """The list on `paper` ("letter" or "a4"). `piece`: serial number, lot, block and date of what was measured, "" to be filled in."""
    width, first, ends = content_width(paper), identity.first, ends_of(plan)
    pieces = [
        *_head(hands, piece, width),
        *_beyond(hands, first, ends, width),
        *_look(hands, first, ends, width),
        *_plan(plan, hands, width),
        *_moves(hands, first, ends, width),
        *_bench(width),
        *_sign_off(hands, width),
    ]
    return sheet_document(STEM, identity, title_of(hands), paper, pieces)


def _head(hands: HandList, piece: Sequence[str], width: float) -> list[Piece]:
    minutes = "not known" if hands.minutes is None else f"{hands.minutes:g} min"
    by = "shop.toml, measuring again included" if hands.minutes is not None else "not all in [times] of shop.toml"
    boxes = (
        NumberBox("MOVES", str(len(hands.moves)), "", "forecast" if hands.expected else "measured"),
        NumberBox("MINUTES", minutes, "", by),
        NumberBox(
            "NOT BY HAND",
            str(len(hands.beyond)),
            "",
            "a person decides before any move" if hands.beyond else "",
            share=1.2,
        ),
    )
    out = [number_boxes(boxes, width, 14.0), *prose(FROM_FORECAST if hands.expected else FROM_MEASURED, width)]
    labels = ("serial no.", "lot of sheet", "block no.", "measured on" if any(piece) else "date")
    out += [gap(1.0), fill_boxes(labels, width, 10.0, filled=piece)]
    return out


def _moves(hands: HandList, first: Unit, ends: Ends, width: float) -> list[Piece]:
    out = [heading("When, and in which order", width)]
    out += [p for say in hands.when for p in listed("-", say, width, indent=4.0)]
    out += [*listed("-", f"Order: {ORDER_RULE}", width, indent=4.0), *small(f"Order: {ORDER_SOURCE}.", width, 4.0)]
    if not hands.moves:
        return [*out, gap(1.5)]
    begun = [*small(SHOPS_RULE, width), gap(1.2), _allowed(hands, width), caution(HANDS, width)]
    out += [heading("Moves", width), *(replace(p, keep=True) for p in begun)]
    before: tuple[str, ...] = ()
    for m in hands.moves:
        new = [c for c in m.cautions if c not in before]
        out += [replace(caution(c, width, indent=6.0), keep=True) for c in new]
        before = m.cautions
        out.append(_move(m, first, ends, width))
    return [*out, *small(STRAINS, width), gap(1.0)]


def _allowed(hands: HandList, width: float) -> Piece:
    """To be signed before the first move; empty until then."""
    named = prose(
        f"Rework may be allowed by: {hands.allowed_by}. No move before it is signed here.", width, font="bold"
    )
    return stacked([*named, gap(0.8), fill_boxes(("allowed by", "signature", "date"), width, 10.0, (1.6, 1.6, 0.8))])


def _move(m: Move, first: Unit, ends: Ends, width: float) -> Piece:
    """What to do on the left; on the right what to write down, and a box to tick for each thing that is measured again."""
    left = (1.0 - BOXES) * width - 4.0
    said = head(m, first, ends)
    told = [stands_words(m, first), f"Tool: {m.tool}.", past_words(m), gather_words(m, first), stop_words(m)]
    rows = _numbered(m.order, f"{said[0].upper()}{said[1:]}.", left)
    rows += [p for t in told if t for p in prose(t, left, indent=6.0)]
    rows += [p for t in (room_words(m), f"Why: {m.why}.") if t for p in small(t, left, 6.0)]
    right = [
        fill_boxes(("stands", "passes", "ends at"), BOXES * width, 9.0),
        fill_boxes(("done by", "date"), BOXES * width, 9.0),
        *(_tick(words, BOXES * width) for words in m.recheck),
    ]
    return stacked([beside((0.0, rows), (left + 4.0, right)), gap(2.0)])


def _numbered(number: int, text: str, width: float) -> list[Piece]:
    """The move in bold, its number hanging to its left."""
    first, *rest = prose(text, width, font="bold", indent=6.0)
    y = -0.75 * first.height
    return [replace(first, items=(Text(0.0, y, str(number), BODY_PT, "bold"), *first.items)), *rest]


def _tick(words: str, width: float) -> Piece:
    """A box to tick and what is measured again."""
    side = 3.0
    text = stacked(prose(words, width, BODY_PT, indent=side + 2.0))
    return replace(text, items=(*text.items, rectangle(0.0, -0.6 - side, side, side, THIN)))


def _beyond(hands: HandList, first: Unit, ends: Ends, width: float) -> list[Piece]:
    """What no hand puts right, before everything that a hand does."""
    if not hands.beyond:
        return []
    out = [heading("Not by hand: scrap, or a person decides", width)]
    if hands.moves:
        out.append(replace(caution(DECIDE_FIRST, width), keep=True))
    for k, b in enumerate(hands.beyond):
        out += listed(letter_of(k), beyond_words(b, first, ends), width, indent=7.0)
    return [*out, fill_boxes(("decision", "by", "date"), width, 10.0, (2.0, 1.0, 1.0)), gap(1.0)]


def _look(hands: HandList, first: Unit, ends: Ends, width: float) -> list[Piece]:
    if not hands.look:
        return []
    rows = look_rows(hands.look, first, ends)
    told = [p for what, say in rows for p in listed("-", f"{what}. {say}", width, indent=4.0)]
    return [heading("Look before you move", width), *told, gap(1.0)]


def _plan(plan: Plan, hands: HandList, width: float) -> list[Piece]:
    """Where it is; nothing where there is nothing to be marked."""
    if not (hands.moves or hands.beyond):
        return []
    return [*whole([heading("Where", width), hand_picture(plan, hands, width), *small(LEGEND, width)]), gap(1.0)]


def _bench(width: float) -> list[Piece]:
    """Rows for what the bench finds."""
    columns = [
        Column("", 0.3),
        Column("place", 1.6),
        Column("stands", 0.8),
        Column("move and tool", 2.0),
        Column("ends at", 0.8),
        Column("passes", 0.6),
        Column("by", 0.7),
    ]
    rows = [["+"]] * BENCH_ROWS
    words = "Each pass counts, to and fro: write it down. No move that a person has not allowed."
    return list(
        whole(
            [
                heading("Found at the bench", width),
                *small(words, width),
                *entry_table(columns, rows, width, len(columns) - 1),
                gap(1.0),
            ]
        )
    )


def _sign_off(hands: HandList, width: float) -> list[Piece]:
    again = "Then all of it again by the inspection sheet; this list accepts nothing."
    boxes = fill_boxes(("measured again by", "gauges", "date"), width, 11.0)
    return list(whole([heading("Re-inspection", width), *prose(again, width), boxes]))
