"""The findings sheet: every finding on the drawn part and ranked, the margin of every place, tolerances against the forecast."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ribwright.documents.badges import WORDS, badge
from ribwright.documents.findings_picture import findings_picture, legend
from ribwright.documents.identity import Identity
from ribwright.documents.judged_words import (
    NAMES,
    QUANTITY_WORDS,
    STANDS_WORDS,
    cited,
    limit_words,
    margin_words,
    place_words,
    spread_words,
    value_words,
)
from ribwright.documents.layout import (
    BODY_PT,
    HAIR,
    SMALL_PT,
    Column,
    Piece,
    content_width,
    gap,
    heading,
    line_step,
    prose,
    sheet_document,
    small,
    stacked,
    table,
)
from ribwright.documents.lettering import fitted, wrap
from ribwright.documents.margin_bar import margin_bar
from ribwright.documents.page import Document, Item, Line, Text
from ribwright.stages.checks.tolerance import SEEN
from ribwright.stages.finding import Finding
from ribwright.stages.judged import plan_margins, plan_tolerances
from ribwright.stages.margins import Margin, governing
from ribwright.stages.plan import Plan
from ribwright.stages.stack import MODEL, PIECE, TOOLING, Stack, show_chance
from ribwright.stages.tolerances import worst
from ribwright.units import Unit, show_length

STEM, TITLE = "findings", "Findings"
BADGE, BAR = 9.0, 52.0
PRINT = 9.0
BAR_SAYS = (
    "Bar: the upright line is the limit; white to the right is room left, black to the left is missing; a full bar is as much "
    "again as the limit, an arrow more."
)
SMALL_SHARE = 0.1  # contributors under this share of the largest are not printed
KIND_WORDS = {
    MODEL: "same on every piece, gone once corrected",
    TOOLING: "from making the block or blank, new with each cut",
    PIECE: "differs from piece to piece",
}


def document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The findings sheet on `paper` ("letter" or "a4")."""
    width, first = content_width(paper), identity.first
    drawn = findings_picture(plan, width)
    pieces = [
        *prose(_count(plan), width, BODY_PT, "bold"),
        stacked([drawn.piece, legend(width)]),
        *_ranked(plan, first, width),
        *_margins(plan, first, width),
        *_tolerances(plan, first, width),
    ]
    return sheet_document(STEM, identity, TITLE, paper, pieces)


def _count(plan: Plan) -> str:
    counts = [(s, sum(f.severity == s for f in plan.findings)) for s in WORDS]
    words = ", ".join(f"{n} {WORDS[s]}" for s, n in counts)
    return f"{words}. Numbers on the drawing are those of the list, the worst first. Not to scale."


# ---------------------------------------------------------------- ranked list


def _ranked(plan: Plan, first: Unit, width: float) -> list[Piece]:
    head = [heading("Findings, worst first", width), *small(BAR_SAYS, width)]
    if not plan.findings:
        return [*head, *prose("None.", width)]
    return [*head, *(_finding(k, f, first, width) for k, f in enumerate(plan.findings, 1)), gap()]


def _finding(number: int, f: Finding, first: Unit, width: float) -> Piece:
    """Badge, word, sentence; value and limit with the bar on the right; what to try and the source under it."""
    room = width - BADGE - BAR - 4.0
    big, little = line_step(PRINT), line_step(SMALL_PT)
    items: list[Item] = [*badge(3.4, -4.2, number, f.severity)]
    y = -0.8
    items.append(
        Text(
            BADGE,
            y - 0.75 * big,
            fitted(f"{WORDS[f.severity]}  {place_words(f.where, first)}", PRINT, room, "bold"),
            PRINT,
            "bold",
        )
    )
    y -= big
    for line in wrap(f.say, PRINT, room):
        items.append(Text(BADGE, y - 0.75 * big, line, PRINT))
        y -= big
    for label, text in (("Try: ", f.try_), ("Source: ", f.source)):
        for line in wrap(label + cited(text), SMALL_PT, room) if text else ():
            items.append(Text(BADGE, y - 0.75 * little, line, SMALL_PT, grey=0.0 if label == "Try: " else 0.2))
            y -= little
    right, x = -0.8, width - BAR
    for words in _numbers(f, first):
        for line in wrap(words, SMALL_PT, BAR):
            items.append(Text(x, right - 0.75 * little, line, SMALL_PT))
            right -= little
    if f.margin is not None:
        items += margin_bar(x, right - 1.2, BAR, f.margin)
        right -= 5.0
    high = max(-y, -right, 8.0) + 1.4
    return Piece(high, (*items, Line(0.0, -high, width, -high, HAIR)))


def _numbers(f: Finding, first: Unit) -> list[str]:
    out = []
    if f.unit == "chance" and f.value is not None and f.limit is not None:
        return [f"chance inside {value_words(f.value, f.unit, first)}, wanted {value_words(f.limit, f.unit, first)}"]
    if f.value is not None:
        out.append(f"value {value_words(f.value, f.unit, first)}")
    if f.limit is not None:
        out.append(f"limit {value_words(f.limit, f.unit, first)}")
    return out


# ---------------------------------------------------------------- margins


def _margins(plan: Plan, first: Unit, width: float) -> list[Piece]:
    rows = plan_margins(plan)
    if not rows:
        return []
    columns = [
        Column("place", 1.0, font="bold"),
        Column("governed by", 1.35),
        Column("value", 1.35),
        Column("limit", 1.35),
    ]
    columns += [Column("margin", 1.9), Column("also judged there", 2.0)]
    total = sum(c.share for c in columns)
    at = sum(c.share for c in columns[:4]) / total * width
    cells = [_margin_cells(m, [r for r in rows if r.place == m.place and r is not m], first) for m in governing(rows)]
    head, *body = table(columns, cells, width, SMALL_PT)
    bars = [margin_bar(at, -1.2, columns[4].share / total * width - 3.0, m.margin) for m in governing(rows)]
    filled = [replace(p, items=(*p.items, *bar)) for p, bar in zip(body, bars, strict=True)]
    plain = [e.edge.name for loop in plan.blank.laid for e in loop.edges if e.flange is None]
    says = f" Edges without a flange have none: {', '.join(plain)}." if plain else ""
    no_press = "" if plan.setup else " No press was named: pressures are not judged."
    sources = "Also what holds is listed. Every quantity with its source and its stations stands in answers.json."
    return [
        heading("Margin by place, the least first", width),
        *(replace(p, keep=True) for p in small(sources + says + no_press, width)),
        head,
        *filled,
        gap(),
    ]


def _margin_cells(m: Margin, others: Sequence[Margin], first: Unit) -> list[str]:
    also = ", ".join(f"{QUANTITY_WORDS[r.quantity]} {margin_words(r.margin)}" for r in others)
    return [
        place_words({k: v for k, v in m.where.items() if k != "along_mm"}),
        QUANTITY_WORDS[m.quantity] + (f", at {show_length(m.where['along_mm'], first)}" if m.stations else ""),
        value_words(m.value, m.unit, first),
        value_words(m.limit, m.unit, first) if m.limit is not None else "not known",
        "",
        also,
    ]


# ---------------------------------------------------------------- tolerances


def _tolerances(plan: Plan, first: Unit, width: float) -> list[Piece]:
    rows = list(worst(plan_tolerances(plan)).values())
    if not rows:
        return []
    says = (
        "Each characteristic at its worst place. Band: 90 % of first pieces off the block. Corrected: after the block (or the blank) "
        "was corrected by one measured piece. Proved: measured by the shop's gauge and inside by its decision rule"
        f" ({plan.job.shop.rules.decision}). Stands: the band lies inside the tolerance; the figure is the tolerance over the band on "
        "the nearer side, 1 and more holds. Scatter is taken as normal and independent; nothing was compared with a real part."
    )
    columns = [Column("characteristic", 1.5, font="bold"), Column("drawing", 1.0), Column("forecast band", 1.25)]
    columns += [
        Column("stands?", 0.85, font="bold"),
        Column("first piece inside", 0.9),
        Column("corrected", 0.8),
        Column("proved", 1.0),
    ]
    body = table(columns, [_stack_cells(r, first) for r in rows], width, SMALL_PT)
    parts = [p for r in rows if r.contributors for p in small(_contributors(r, first), width)]
    return [
        heading("The drawing's tolerances against the forecast", width),
        *(replace(p, keep=True) for p in small(says, width)),
        *body,
        gap(1.5),
        *prose("What moves each of them, as one standard deviation, the largest first", width, SMALL_PT, "bold"),
        *parts,
    ]


def _stack_cells(r: Stack, first: Unit) -> list[str]:
    drawn = limit_words(*r.allowed, r.unit, first) if r.allowed else "not given"
    band = spread_words(r.half, r.unit, first) if r.half is not None else "no forecast for this yet"
    if r.half is not None and not r.whole:
        band = f"at least {band}"
    shift = (
        f"; {spread_words(abs(r.shift), r.unit, first)[2:]} {'over' if r.shift > 0 else 'under'}"
        if abs(r.shift) > SEEN[r.unit]
        else ""
    )
    stands = STANDS_WORDS[r.stands] + (
        f" ({r.reserve:.2f})" if r.reserve is not None and r.stands != "cannot-tell" else ""
    )
    return [
        f"{NAMES[r.quantity]}\n{place_words(r.where, first)}",
        drawn,
        band + shift,
        stands,
        "-" if r.chance_first is None else show_chance(r.chance_first),
        _corrected(r),
        _proved(r),
    ]


def _corrected(r: Stack) -> str:
    if r.chance_first is None:
        return "-"
    if r.chance_corrected is None:
        return "by hand only" if r.fixed else "no gauge"
    return "does not help" if r.chance_corrected < r.chance_first - 0.005 else show_chance(r.chance_corrected)


def _proved(r: Stack) -> str:
    if r.gauge is None:
        return "no gauge of the right kind"
    if r.proved_first is None or r.proved_corrected is None:
        return "-"
    helps = r.chance_first is None or r.chance_corrected is None or r.chance_corrected >= r.chance_first - 0.005
    then = f", then {show_chance(r.proved_corrected)}" if helps else ""
    return f"{show_chance(r.proved_first)}{then} by {r.gauge.id}"


def _contributors(r: Stack, first: Unit) -> str:
    scale, digits, unit = (1.0, 2, "deg") if r.unit == "deg" else (25.4, 4, "in") if first == "in" else (1.0, 3, "mm")
    ordered = sorted(r.contributors, key=lambda c: -c.sd)
    large = [c for c in ordered if c.sd >= SMALL_SHARE * ordered[0].sd]
    parts = [f"{c.name} {c.sd / scale:.{digits}f} ({KIND_WORDS[c.kind]})" for c in large]
    parts += ["smaller ones in answers.json"] if len(large) < len(ordered) else []
    left = f" {'Not in it' if not r.whole else 'Note'}: {r.left_out}." if r.left_out else ""
    return f"{NAMES[r.quantity].capitalize()}, {unit}: {', '.join(parts)}.{left}"
