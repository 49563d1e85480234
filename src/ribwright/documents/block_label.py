"""The label to cut out and stick on the block: large type, what must never be mixed up, proof boxes, go or no go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ribwright.documents.entry_table import all_or_named, fine_length, named
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    HEAVY,
    Piece,
    capped,
    gap,
    heading,
    prose,
    rectangle,
    shifted,
    shrunk,
    small,
    stacked,
)
from ribwright.documents.lean_words import lean_words
from ribwright.documents.lettering import text_width
from ribwright.documents.lift_words import off_words
from ribwright.documents.page import Item, Line, Stroke, Text
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_length, show_pressure

WIDE = 4 * MM_PER_IN  # frame; no larger than 4 x 5 in: it must go on a narrow foot or in a pocket
INSIDE = 4.0
CUT = Stroke(0.35, 0.0, (3.0, 1.5))
MOST_TILTS = 2
WHERE = "It goes in a pocket tied to the block; stamp the tool number and UP on the block itself."
GO = (
    "GO: every box of the proof filled and signed, edge and wall unhurt, no light past the template, pins tight. Anything "
    "else is NO GO: take the block off the table."
)


def label_pieces(plan: Plan, identity: Identity, width: float, high: float) -> list[Piece]:
    """The label in its dashed frame, alone on a page `high` [mm] high."""
    inner = WIDE - 2 * INSIDE
    body = stacked(_lines(plan, identity, inner))
    frame_high = body.height + 2 * INSIDE
    frame = rectangle(0.0, -frame_high, WIDE, frame_high, CUT)
    size = " x ".join(show_length(v, identity.first) for v in (WIDE, frame_high))
    said = [*small(f"Cut out along the dashed line: {size}.", width), *prose(WHERE, width)]
    label = Piece(frame_high + 2.0, (frame, *shifted(body.items, INSIDE, -INSIDE)))
    page = stacked(
        [heading("Label for the block", width), *said, gap(2.0), label, gap(2.0), *prose(GO, WIDE, 11.0, "bold")]
    )
    return [replace(page, height=high)]


def hand_words(identity: Identity) -> str:
    """Which hand the block is for, as it stands on label and drawing."""
    return "HAND: none on the drawing" if identity.hand == "none" else f"{identity.hand.upper()} HAND"


def both_words(plan: Plan) -> str:
    """Whether the block serves the opposite hand too, in two words."""
    return {"mirror-image": "YES, as it stands", "turned-over": "YES, turned over", "": "NO"}[
        plan.making.reversible.how
    ]


def _lines(plan: Plan, identity: Identity, width: float) -> list[Piece]:
    first, m = identity.first, plan.block.material
    limit = f"PAD NOT ABOVE {show_pressure(m.pressure_limit_mpa, first)}" if m else "PRESSURE LIMIT NOT KNOWN"
    of = f"Limit of {m.name} ({m.id})." if m else "Name a block material in shop.toml."
    return [
        _head(identity, width),
        _number(identity, width),
        _hand(identity, width),
        *_capped(f"Opposite hand: {both_words(plan)}, see drawing.", width, 10.5, 1),
        _up(identity, width),
        *(p for line in _tilts(plan) for p in _capped(line, width, 13.0, 1, "bold")),
        *_capped(limit, width, 13.0, 1, "bold"),
        *_capped(of, width, 9.0, 1),
        *(p for line, most in _facts(plan, identity) for p in _capped(line, width, 9.5, most)),
        *prose(f"fingerprint {identity.fingerprint}", width, 9.0, "mono"),
        gap(0.8),
        _boxes(("proved by", "date"), width),
    ]


def _capped(text: str, width: float, size_pt: float, most: int, font: str = "regular") -> list[Piece]:
    """At most that many lines, so that the label stays small whatever names people give."""
    return [p for line in capped(text, size_pt, width, font, most) for p in prose(line, width, size_pt, font)]


def _head(identity: Identity, width: float) -> Piece:
    """FORM BLOCK, and a frame to write the tool's number in."""
    box = 44.0
    items: list[Item] = [
        rectangle(width - box, -11.0, box, 11.0, HEAVY),
        Text(width - box + 1.5, -3.6, "Tool no.", 9.0),
        Text(0.0, -7.5, "FORM BLOCK", 16.0, "bold"),
    ]
    return Piece(12.0, tuple(items))


def _number(identity: Identity, width: float) -> Piece:
    text, size = shrunk(f"{identity.number} rev {identity.revision}", 24.0, width, "bold", 12.0)
    return Piece(10.5, (Text(0.0, -8.4, text, size, "bold"),))


def _hand(identity: Identity, width: float) -> Piece:
    """The hand in a heavy frame."""
    words = hand_words(identity)
    box = text_width(words, 14.0, "bold") + 6.0
    return Piece(9.5, (rectangle(0.0, -8.5, box, 8.0, HEAVY), Text(3.0, -6.2, words, 14.0, "bold")))


def _up(identity: Identity, width: float) -> Piece:
    """The side that lies up with its arrow."""
    x = 2.5
    items: list[Item] = [Line(x, -8.0, x, -0.8, HEAVY), Line(x, -0.8, x - 1.8, -3.6, HEAVY)]
    items.append(Line(x, -0.8, x + 1.8, -3.6, HEAVY))
    items.append(Text(x + 5.0, -4.0, "WEB FACE UP", 12.0, "bold"))
    blank, size = shrunk(f"blank: {identity.side_up}", 9.5, width - x - 5.0)
    items.append(Text(x + 5.0, -8.0, blank, size))
    return Piece(9.5, tuple(items))


def _facts(plan: Plan, identity: Identity) -> list[tuple[str, int]]:
    """What stands in the lower part of the label, with how many lines each may take."""
    block, first = plan.block, identity.first
    pins: dict[str, list[str]] = {}
    for p in plan.making.stock.pins:
        pins.setdefault(fine_length(p.diameter, first).partition(" (")[0], []).extend(p.names)
    of_size = "; ".join(f"{len(n)} x Ø {d}: {named(n, 6)}" for d, n in pins.items()) or "none"
    out = [(f"Pins ({len(block.pins)}): {of_size}.", 2)]
    out += [(words, 2) for words in vent_words(plan, first)]
    out += [
        (f"Height {_one(block.height, first)}. Edge radius {_radius(plan, first)}.", 1),
        (f"Part off: {off_words(plan)}.", 2),
    ]
    return out


def vent_words(plan: Plan, first: Unit) -> list[str]:
    """'Vent Ø 0.125 in through each recess floor (3): L1, L2, L3.', one sentence for each size."""
    sizes: dict[str, list[str]] = {}
    for r in plan.block.recesses:
        if r.vent_diameter > 0:
            sizes.setdefault(_one(r.vent_diameter, first), []).append(r.name)
    return [f"Vent Ø {d} through each recess floor ({len(names)}): {named(names, 6)}." for d, names in sizes.items()]


def _tilts(plan: Plan) -> list[str]:
    if not all(e.under.known for e in plan.block.edges):
        return ["WALL: lean not known for this temper"]
    zones = plan.making.zones
    if not zones:
        return ["WALL: no flanged edge"]
    if len(zones) > MOST_TILTS:
        return [f"WALL {lean_words(zones[0].tilt)} to {lean_words(zones[-1].tilt)}: drawing"]
    all_of = [e.edge for e in plan.block.edges]
    return [f"WALL {lean_words(z.tilt)}: {all_or_named(z.edges, all_of)}" for z in zones]


def _radius(plan: Plan, first: Unit) -> str:
    if not plan.block.edges:
        return "none"
    return " to ".join(dict.fromkeys(_one(v, first) for v in plan.block.edge_radius))


def _boxes(words: Sequence[str], width: float) -> Piece:
    """Frames in a row to write in, each with its words in print that reads from a step away."""
    high, wide = 11.0, width / len(words)
    items: list[Item] = []
    for i, text in enumerate(words):
        shown, size = shrunk(text, 9.5, wide - 3.0)
        items += [rectangle(i * wide, -high, wide, high), Text(i * wide + 1.5, -3.8, shown, size)]
    return Piece(high + 1.5, tuple(items))


def _one(mm: float, first: Unit) -> str:
    return show_length(mm, first).partition(" (")[0]
