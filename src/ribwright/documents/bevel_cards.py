"""Bevel gauge cards at 1:1: a list with how to use them, then the cards, every page with two bars to prove its scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import cos, radians, sin

from ribwright.documents.angle_words import open_or_closed
from ribwright.documents.bevel_card import Card, cards, turns_of
from ribwright.documents.bevel_words import FOR, HOW, angle_line, leans, place, places, proof, sense
from ribwright.documents.blank_content import blank_content
from ribwright.documents.entry_table import in_cell
from ribwright.documents.identity import Identity
from ribwright.documents.layout import Column, Piece, capped, flow, gap, heading, listed, prose, shifted, stacked, table
from ribwright.documents.lean_words import lean_band, sawn_lean
from ribwright.documents.lettering import MM_PER_POINT, fitted, wrap
from ribwright.documents.model_words import NOT_COMPARED, predicted_how
from ribwright.documents.page import (
    Circle,
    Document,
    Item,
    Line,
    Page,
    Pair,
    Polyline,
    Stroke,
    Text,
    crossed_document,
    moved,
    paper_size,
)
from ribwright.documents.scale_bar import BAR, HALF, scale_bar
from ribwright.documents.template_kinds import BEVEL
from ribwright.documents.template_looks import CENTRE, CUT, LOOKS
from ribwright.documents.template_values import TemplateContent
from ribwright.documents.tiling import FOOT, HEAD, MARGIN, SIDE, page_line
from ribwright.stages.bevels import AngleRun, Bevels, bevels
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_angle, show_length

GAP = 6.0  # between cards [mm]
PICTURE = 24.0  # height of the small picture under a card [mm]
PROVE = "Paper moves with the air: prove each card by its rise before use."
PREDICTED = f"Predicted, {NOT_COMPARED}."
STEPS = (
    'Print at 100 % ("actual size"), never fitted to the page, and measure both bars on every page.',
    "Glue the page on card or thin sheet. Punch or drill the hole at the corner first, then cut along the full lines.",
    "Prove each card: measure the rise at the end of its 100 mm line. 0.5 mm (0.02 in) off is 0.3 deg off.",
    "Hold the card square to the edge of the part, web leg flat on the web. Light along the flange leg shows the error.",
    "PART cards carry the drawing's angle: try the released, formed part. BLOCK cards carry the wall of the form block, "
    "undercut and all: never try a part with them.",
    "A PART's angle is turned from flat: 90 is square, under 90 open (the flange leans away from the web), over 90 closed "
    "(it leans back in: under the web where it is turned down, over it where it is turned up).",
    "A BLOCK's wall is counted from square: IN, the foot comes out smaller; OUT, it comes out larger. The card has the wall "
    "to a hundredth, the saw is set to half a degree.",
)


def bevel_document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The list and the cards, three or so on a page on its side; crossed out when a finding stops the job."""
    content = _content(plan, identity)
    made = bevels(plan.job, plan.blank, plan.block)
    every = cards(made, turns_of(plan.job.part))
    size = paper_size(paper, landscape=True)
    rows = _rows(every, size[0] - 2 * MARGIN - SIDE)
    pieces = _list(made, every, plan, content.units, paper_size(paper)[0] - 2 * MARGIN)
    w, h = paper_size(paper)
    head, top = _heading(content, w, h - MARGIN)
    groups = flow(pieces, top - MARGIN - 7.0)
    total = len(groups) + len(rows)
    pages = [
        Page(
            w,
            h,
            (*head, *shifted(stacked(g).items, MARGIN, top), *page_line(content.identity, i + 1, total, w)),
            f"List {i + 1}",
        )
        for i, g in enumerate(groups)
    ]
    pages += [_page(row, content, size, len(groups) + i + 1, total) for i, row in enumerate(rows)]
    document = Document("bevel-cards", f"{BEVEL.title} {content.name_line}", tuple(pages))
    return crossed_document(document, content.stop_sentence) if content.stops else document


def _content(plan: Plan, identity: Identity) -> TemplateContent:
    return replace(blank_content(plan, identity), kind=BEVEL)


def _heading(content: TemplateContent, w: float, top: float) -> tuple[tuple[Item, ...], float]:
    room = w - 2 * MARGIN
    items: tuple[Item, ...] = (
        Text(MARGIN, top - 7.0, content.kind.title, 22, "bold"),
        Text(w - MARGIN, top - 7.0, "1 : 1", 22, "bold", "end"),
        *_wrapped(MARGIN, top - 15.0, content.head_line, 14, room, 1, "bold"),
        *_wrapped(
            MARGIN,
            top - 20.5,
            content.sheet_line,
            9.5,
            room,
            1,
        ),
        Line(MARGIN, top - 23.5, w - MARGIN, top - 23.5, Stroke(0.5)),
    )
    return items, top - 26.0


def _wrapped(x: float, y: float, text: str, size: float, width: float, most: int, font: str = "regular") -> list[Text]:
    lines = wrap(text, size, width, font)[:most]
    return [Text(x, y - 1.25 * i * size * MM_PER_POINT, line, size, font) for i, line in enumerate(lines)]


def _list(made: Bevels, every: Sequence[Card], plan: Plan, first: Unit, width: float) -> list[Piece]:
    out: list[Piece] = [heading("How to use them", width)]
    for i, step in enumerate(STEPS):
        out += listed(str(i + 1), step, width)
    columns = [Column("card", 0.5, font="bold"), Column("for", 1.2), Column("angle", 1.0, font="bold")]
    columns += [Column("that is", 1.2), Column("90 % band", 1.0), Column("where", 2.6), Column("rise at 100 mm", 1.2)]
    rows = [_list_row(c, first) for c in every]
    out += [gap(2.0), heading("The cards", width), *table(columns, rows, width, 9.0)]
    if not every:
        out += prose("This part has no flange on an edge.", width)
    if made.part and not made.block:
        out += prose("No card for the block: the undercut is not known for this temper.", width)
    if made.block:
        out += prose(
            f"Wall angles are predicted {predicted_how(plan)} and {NOT_COMPARED}: prove the first piece on scrap.",
            width,
        )
    for run in made.runs:
        out += [gap(2.0), *_run_table(run, first, width)]
    return out


def _list_row(c: Card, first: Unit) -> tuple[str, ...]:
    low, high = c.bevel.low, c.bevel.high
    band = "drawing" if low is None or high is None else lean_band(low - 90.0, high - 90.0)
    where = "\n".join(place(p, first) for p in c.bevel.places)
    return (
        str(c.number),
        FOR[c.use].lower(),
        angle_line(c),
        sense(c),
        band,
        where,
        in_cell(show_length(c.rise, first)),
    )


def _run_table(run: AngleRun, first: Unit, width: float) -> list[Piece]:
    columns = [
        Column("along the edge, from its start as drawn", 1.6, font="bold"),
        Column("bend angle", 1.0, font="bold"),
    ]
    columns += [Column("that is", 1.0), Column("block's wall leans", 1.2)]
    rows = [
        (
            show_length(float(x), first),
            show_angle(float(a)),
            open_or_closed(float(a)),
            f"{sawn_lean(float(w))} ({float(w) - 90.0:+.2f})" if run.wall_known else "not known for this temper",
        )
        for x, a, w in zip(run.along, run.bend, run.wall, strict=True)
    ]
    under = prose("Between two rows the bend angle changes evenly along the edge.", width, 9.0)
    return [heading(f"Angle along {run.edge}", width), *table(columns, rows, width, 9.0), *under]


def _rows(every: Sequence[Card], width: float) -> list[list[Card]]:
    """Cards side by side, in their order, as many as fit."""
    rows: list[list[Card]] = []
    used = 0.0
    for c in every:
        need = c.box[2] - c.box[0] + GAP
        if not rows or used + need > width + GAP:
            rows.append([])
            used = 0.0
        rows[-1].append(c)
        used += need
    return rows


def _page(row: Sequence[Card], content: TemplateContent, size: Pair, i: int, n: int) -> Page:
    w, h = size
    left, low = MARGIN + SIDE, MARGIN + FOOT - 12.0
    items: list[Item] = [
        *scale_bar(left, MARGIN + 13.5),
        *scale_bar(MARGIN + HALF + 1.0, low + 14.0, upright=True),
        Text(
            left + BAR + 8.0,
            MARGIN + 14.5,
            f"Both bars must measure {BAR:.0f} mm and 4 in. Print at 100 %, not fitted.",
            8,
        ),
        Text(MARGIN, h - MARGIN - 3.0, content.kind.cut_note, 8),
        Text(MARGIN, h - MARGIN - 7.0, PROVE, 8),
        *page_line(content.identity, i, n, w),
    ]
    x, top = left, h - MARGIN - HEAD
    for c in row:
        dx, dy = x - c.box[0], top - c.box[3]
        items += [moved(item, dx, dy) for item in card_items(c, content)]
        x += c.box[2] - c.box[0] + GAP
    return Page(w, h, tuple(items), f"Cards {row[0].number} to {row[-1].number}")


def card_items(c: Card, content: TemplateContent) -> list[Item]:
    """The card about its corner: cut lines, hole, baseline with its rise, words, and the picture below."""
    x0, y0, x1, y1 = c.box
    items: list[Item] = [
        Polyline(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), True, CUT),
        *(Line(*a, *b, CUT) for a, b in c.legs()),
        Circle(0.0, 0.0, c.hole, CUT),
        Line(0.0, 0.0, *c.foot, LOOKS["datum"].stroke),
        *_tick((0.0, 0.0), 1.5),
        *_tick(c.foot, 1.5),
    ]
    if c.rise > 0.3:
        items += [Line(*c.foot, *c.tip, Stroke(0.35)), *_tick(c.tip, 1.5)]
    items += _words(c, content)
    items += [moved(item, x0, y0 - 2.0) for item in _picture(c)]
    items += _wrapped(x0 + 29.0, y0 - 5.0, HOW[c.use], 8, max(x1 - x0 - 29.0, 38.0), 4)
    return items


def _tick(p: Pair, arm: float) -> tuple[Item, ...]:
    return Line(p[0] - arm, p[1], p[0] + arm, p[1], CENTRE), Line(p[0], p[1] - arm, p[0], p[1] + arm, CENTRE)


def _words(c: Card, content: TemplateContent) -> list[Item]:
    """Who the card is for; the block's carry a black bar so that nobody tries a part with one."""
    x, y = c.words
    wide = max(min(c.box[2] - x - 2.0, 52.0), 44.0)
    black = c.use == "block"
    bar = Polyline(
        ((x, y - 7.0), (x + wide, y - 7.0), (x + wide, y), (x, y)), True, Stroke(0.5), 0.0 if black else None
    )
    items: list[Item] = [
        bar,
        Text(x + 2.0, y - 5.2, f"{c.number}  {FOR[c.use]}", 11, "bold", grey=1.0 if black else 0.0),
    ]
    lines: list[tuple[str, float, str]] = [(angle_line(c), 18.0, "bold"), (sense(c), 12.0, "bold")]
    lines += [(line, 9.0, "regular") for p in places(c, content.units) for line in capped(p, 9.0, wide, "regular", 2)]
    lines.append((fitted(content.name_line, 9.0, wide, "bold"), 9.0, "bold"))
    lines.append((f"fingerprint {content.fingerprint}", 8.0, "regular"))
    lines += [(line, 8.0, "regular") for line in wrap(proof(c, content.units), 8.0, wide)]
    lines += [(line, 8.0, "regular") for line in wrap(PREDICTED, 8.0, wide)] if black else []
    y -= 9.0
    for text, size, font in lines:
        step = 1.3 * size * MM_PER_POINT
        items.append(Text(x, y - 0.75 * step, text, size, font))
        y -= step
    return items


def _picture(c: Card) -> list[Item]:
    """The section in small: web level, flange turned by the true angle the way it turns, the card grey beside it. Upper
    left at 0, 0."""
    a = radians(c.bevel.angle)
    up = c.use == "part" and c.turns == ("up",)
    side = 1.0 if up else -1.0
    web, leg, corner = 22.0, 13.0, (24.0, -18.0 if up else -3.0)
    ux, uy = cos(a), side * sin(a)
    end = (corner[0] + leg * ux, corner[1] + leg * uy)
    start = (corner[0] - web, corner[1])
    if c.use == "block":
        # the block's own shape, hatched by a grey; web face on top
        shape = (start, corner, end, (start[0], end[1]))
        return [Polyline(shape, True, Stroke(0.5), 0.8), *_open_closed_word(c)]
    level = corner[1] + side * 1.2
    inner = ((corner[0] - 15.0, level), (corner[0] - 1.2, level))
    tip = (inner[1][0] + (leg - 2.0) * ux, inner[1][1] + (leg - 2.0) * uy)
    wedge = Polyline((*inner, tip), True, None, 0.75)
    return [wedge, Polyline((start, corner, end), False, Stroke(1.0)), *_open_closed_word(c)]


def _open_closed_word(c: Card) -> list[Item]:
    words = leans(c)
    return [Text(0.0, -PICTURE + 1.0, words, 9, "bold")]
