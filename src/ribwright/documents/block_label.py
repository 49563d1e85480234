"""The label to cut out and stick on the block: large type, what must never be mixed up, proof boxes, go or no go."""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.documents.block_zones import lean_words
from ribwright.documents.entry_table import fine_length, named
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
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Item, Line, Stroke, Text
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length, show_pressure

WIDE = 178.0  # frame [mm]
INSIDE = 5.0
CUT = Stroke(0.35, 0.0, (3.0, 1.5))
MOST_TILTS = 4
GO = (
    "GO: every box filled and signed, edge and wall unhurt, no light past the template, pins tight. Anything else is NO GO: "
    "take the block off the table."
)
VENT = (
    "Recess: see that trapped air can get out of it, by a small hole through its floor or a groove (common practice; its "
    "size is the shop's)."
)


def label_pieces(plan: Plan, identity: Identity, width: float) -> list[Piece]:
    """Heading with the size of the frame, then the label in its dashed frame, kept on one page."""
    wide = min(width, WIDE)
    inner = wide - 2 * INSIDE
    body = stacked(_lines(plan, identity, inner))
    high = body.height + 2 * INSIDE
    frame = rectangle(0.0, -high, wide, high, CUT)
    size = " x ".join(show_length(v, identity.first) for v in (wide, high))
    where = "It goes on the foot face, or in a pocket tied to the block; never on the web face."
    said = small(f"Cut out along the dashed line: {size}. {where}", width)
    label = Piece(high + 2.0, (frame, *shifted(body.items, INSIDE, -INSIDE)))
    return [heading("Label to stick on the block", width), stacked([*said, gap(1.0), label])]


def hand_words(identity: Identity) -> str:
    """Which hand the block is for, as it stands on label and drawing."""
    return "NOT HANDED" if identity.hand == "none" else f"{identity.hand.upper()} HAND"


def _lines(plan: Plan, identity: Identity, width: float) -> list[Piece]:
    first, m = identity.first, plan.block.material
    limit = f"PAD PRESSURE NOT ABOVE {show_pressure(m.pressure_limit_mpa, first)}" if m else "PRESSURE LIMIT NOT KNOWN"
    of = f"Limit of the block's material: {m.name} ({m.id})." if m else "Name a block material in shop.toml."
    planned = ""
    if plan.setup is not None and plan.setup.pump_pressure is not None:
        planned = (
            f" Planned: {show_pressure(plan.setup.pump_pressure, first)} on the pad of press {plan.setup.press.id}."
        )
    rows = [
        _head(identity, width),
        _number(identity, width),
        *_capped(identity.title, width, 11.0, 1),
        _hand(identity, width),
        *prose(limit, width, 15.0, "bold"),
        *_capped(of + planned, width, 10.5, 2),
        gap(1.0),
        *(p for line, most in _facts(plan, identity) for p in _capped(line, width, 11.0, most)),
        *prose(f"fingerprint {identity.fingerprint}", width, 11.0, "mono"),
        gap(1.5),
        *_proof(plan, first, width),
        *prose(GO, width, 12.0, "bold"),
    ]
    return rows


def _capped(text: str, width: float, size_pt: float, most: int) -> list[Piece]:
    """At most that many lines, so that the label stays on its page whatever names people give."""
    return [p for line in capped(text, size_pt, width, "regular", most) for p in prose(line, width, size_pt)]


def _head(identity: Identity, width: float) -> Piece:
    """FORM BLOCK, and a frame to write the tool's number in."""
    box = 70.0
    items: list[Item] = [
        rectangle(width - box, -13.0, box, 13.0, HEAVY),
        Text(width - box + 1.5, -3.8, "Tool no.", 9.0),
    ]
    items.append(Text(0.0, -8.5, "FORM BLOCK", 24.0, "bold"))
    return Piece(14.5, tuple(items))


def _number(identity: Identity, width: float) -> Piece:
    text, size = shrunk(f"{identity.number} rev {identity.revision}", 26.0, width, "bold", 12.0)
    return Piece(12.0, (Text(0.0, -9.2, text, size, "bold"),))


def _hand(identity: Identity, width: float) -> Piece:
    """The hand in a heavy frame, and the side that lies up with its arrow."""
    words = hand_words(identity)
    box = text_width(words, 18.0, "bold") + 8.0
    items: list[Item] = [rectangle(0.0, -11.0, box, 10.0, HEAVY), Text(4.0, -8.4, words, 18.0, "bold")]
    x = box + 8.0
    items += [Line(x, -10.5, x, -1.5, HEAVY), Line(x, -1.5, x - 2.2, -4.8, HEAVY), Line(x, -1.5, x + 2.2, -4.8, HEAVY)]
    up, size = shrunk(f"WEB FACE UP. Blank: {identity.side_up}", 12.0, width - x - 6.0, "bold")
    items.append(Text(x + 6.0, -8.0, up, size, "bold"))
    return Piece(14.0, tuple(items))


def _facts(plan: Plan, identity: Identity) -> list[tuple[str, int]]:
    """What stands in the middle of the label, with how many lines each may take."""
    block, first, both = plan.block, identity.first, plan.making.reversible
    pins: dict[str, list[str]] = {fine_length(p.diameter, first): [] for p in plan.making.stock.pins}
    for p in plan.making.stock.pins:
        pins[fine_length(p.diameter, first)] += list(p.names)
    of_size = "; ".join(f"{len(n)} x Ø {d}: {named(n, 6)}" for d, n in pins.items()) or "none"
    serves = {
        "mirror-image": "Serves both hands: its own mirror image.",
        "turned-over": "Serves the opposite hand turned over.",
        "": "Never turn it over: only one face is a web face.",
    }[both.how]
    out = [
        (f"Pins ({len(block.pins)}): {of_size}", 3),
        (f"Walls, from square: {_tilts(plan)}", 3),
        (f"Height {show_length(block.height, first)}. Edge radius {_radius(plan, first)}.", 2),
        (f"Sheet: {identity.material}, {identity.thickness}.", 1),
        (f"{serves} Part {block.lift.how}{_direction(plan)}.", 2),
    ]
    return [*out, (VENT, 2)] if block.recesses else out


def _direction(plan: Plan) -> str:
    if plan.block.lift.how != "slides":
        return " off" if plan.block.lift.how == "lifts" else " on its block: see the block drawing"
    x, y, z = plan.block.lift.direction
    return f" off along ({x:.2f}, {y:.2f}, {z:.2f})"


def _tilts(plan: Plan) -> str:
    if not all(e.under.known for e in plan.block.edges):
        return "springback not known for this temper"
    zones = plan.making.zones
    if not zones:
        return "no flanged edge"
    if len(zones) > MOST_TILTS:
        return f"{lean_words(zones[0].tilt)} to {lean_words(zones[-1].tilt)}, {len(zones)} zones: block drawing"
    return "; ".join(f"{lean_words(z.tilt)}: {named(z.edges, 5)}" for z in zones)


def _radius(plan: Plan, first: Unit) -> str:
    low, high = plan.block.edge_radius
    if not plan.block.edges:
        return "none"
    return show_length(low, first) if high - low < 5e-3 else f"{show_length(low, first)} to {show_length(high, first)}"


def _proof(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Boxes to fill by hand: what was measured on the finished block, the shop's unit alone."""
    zones = plan.making.zones
    radius = " to ".join(dict.fromkeys(_one(v, first) for v in plan.block.edge_radius)) if plan.block.edges else ""
    boxes = [f"edge radius {radius}"] if radius else []
    boxes += [f"height {_one(plan.block.height, first)}", "template fit: no light"]
    walls = [f"wall {lean_words(z.tilt)}" for z in zones[:MOST_TILTS]] if len(zones) <= MOST_TILTS else []
    walls = walls or (["walls: every zone proved on the sheet"] if zones else [])
    rows = [_boxes(boxes, width)] + ([_boxes(walls, width)] if walls else [])
    return [
        *prose("PROOF before first use: write what was measured.", width, 11.0, "bold"),
        gap(1.0),
        *rows,
        _boxes(("proved by", "signature", "date"), width),
    ]


def _boxes(words: Sequence[str], width: float) -> Piece:
    """Frames in a row to write in, each with its words in print that reads from a step away."""
    high, wide = 14.0, width / len(words)
    items: list[Item] = []
    for i, text in enumerate(words):
        shown, size = shrunk(text, 11.0, wide - 3.0)
        items += [rectangle(i * wide, -high, wide, high), Text(i * wide + 1.5, -4.6, shown, size)]
    return Piece(high + 1.5, tuple(items))


def _one(mm: float, first: Unit) -> str:
    return show_length(mm, first).partition(" (")[0]
