"""The sheet of a pair: which folder holds which hand, one block or two with every reason, and how the blanks are told apart."""

from __future__ import annotations

from dataclasses import replace

from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    Column,
    Piece,
    content_width,
    gap,
    heading,
    listed,
    prose,
    sheet_document,
    table,
)
from ribwright.documents.page import Document, crossed_document
from ribwright.documents.pair_words import BLOCKS, HANDS, folders_of
from ribwright.stages.pair import Pair

STEM, TITLE = "pair", "Both hands"
COLUMNS = (
    Column("part number", 1.3, font="bold"),
    Column("hand", 0.9, font="bold"),
    Column("which", 0.9),
    Column("grain", 1.0),
    Column("folder", 1.2),
    Column("fingerprint", 1.4, font="mono"),
)
MARK = (
    "Write the number on each blank before it leaves the cutter, stamp it on each block, and never lay papers of both hands "
    "in one pocket."
)


def pair_sheet(pair: Pair, drawn: Identity, other: Identity, paper: str) -> Document:
    """One page of "letter" or "a4", headed by the hand drawn and crossed out where either hand is stopped."""
    small = "letter" if paper == "roll" else paper
    width = content_width(small)
    rows = [
        (
            i.number,
            "none drawn" if i.hand == "none" else i.hand.upper(),
            HANDS[k],
            i.grain,
            folder,
            i.fingerprint,
        )
        for k, (i, folder) in enumerate(zip((drawn, other), folders_of(drawn.number, other.number), strict=True))
    ]
    both = replace(drawn, number=f"{drawn.number} and {other.number}", hand="none")
    pieces: list[Piece] = [
        *table(COLUMNS, rows, width),
        gap(),
        *prose("The mirrored hand is the drawing's other one, x to -x. Each folder is a whole packet.", width),
        gap(),
        heading(BLOCKS[pair.how], width),
        *(p for why in pair.why for p in listed("-", why, width, indent=4.0)),
        gap(),
        heading("Blanks", width),
        *prose(pair.blank, width),
        *prose(MARK, width, font="bold"),
    ]
    document = sheet_document(STEM, both, TITLE, small, pieces)
    stops = (*drawn.stops, *other.stops)
    return crossed_document(document, stops[0]) if stops else document
