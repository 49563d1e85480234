"""The material card on paper: numbers with sources, the flow curve drawn, bend radii, conflicts, what is not known."""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.documents.entry_table import whole
from ribwright.documents.flow_picture import flow_picture
from ribwright.documents.judged_words import cited
from ribwright.documents.layout import (
    FOOT_WORDS,
    MARGIN,
    SMALL_PT,
    Column,
    Piece,
    beside,
    content_width,
    flow,
    gap,
    heading,
    line_step,
    prose,
    shifted,
    stacked,
    table,
)
from ribwright.documents.lettering import fitted, wrap
from ribwright.documents.material_screen import DO_NOT_KNOW, radius_cells, ranged
from ribwright.documents.material_words import (
    GROUPS,
    check_words,
    conflict_name,
    curve_words,
    derived_words,
    fact_words,
    one_source,
    origin_words,
    rival_words,
    source_words,
    stress_words,
    title_words,
)
from ribwright.documents.page import Document, Item, Line, Page, Stroke, Text, paper_size
from ribwright.shop.sheet import Conflict, Material
from ribwright.stages.material import USES, Card, side_of, use_of
from ribwright.units import Unit
from ribwright.version import __version__

HEAD, FOOT = 21.0, 11.0
SIZE = 7.5


def material_sheet(card: Card, first: Unit, shop: str, paper: str) -> Document:
    """The card on "letter" or "a4"; as many pages as it needs."""
    width = content_width(paper)
    pieces = [
        *_numbers(card.material, first, width),
        gap(1.0),
        *_curve(card, first, width),
        *_unknown(card, width),
        *_radii(card, first, width),
        *_conflicts(card.material, first, width),
        *_notes(card.material, width),
    ]
    height = paper_size(paper)[1] - 2 * MARGIN - HEAD - FOOT
    groups = flow(pieces, height)
    pages = [_page(card, shop, paper, group, k + 1, len(groups)) for k, group in enumerate(groups)]
    return Document("material-card", f"{card.material.name}: material card", tuple(pages))


def _page(card: Card, shop: str, paper: str, group: Sequence[Piece], k: int, of: int) -> Page:
    width, height = paper_size(paper)
    items = [
        *shifted(
            _heading(card, shop, f"page {k} of {of}   ribwright {__version__}", content_width(paper)),
            MARGIN,
            height - MARGIN,
        ),
        *shifted(stacked(group).items, MARGIN, height - MARGIN - HEAD),
        *_foot(width),
    ]
    return Page(width, height, tuple(items), f"{card.material.name} {k}")


def _heading(card: Card, shop: str, page: str, width: float) -> tuple[Item, ...]:
    m = card.material
    lines = [
        Text(0, -6.5, fitted(m.name, 20.0, 0.68 * width, "bold"), 20.0, "bold"),
        Text(width, -6.5, "Material card", 14.0, "bold", "end"),
        Text(0, -11.8, fitted(f"{title_words(m)}. {origin_words(card)}", 9.5, width), 9.5),
        Text(0, -16.2, fitted(shop, 9.0, 0.6 * width), 9.0),
        Text(width, -16.2, page, 8.5, "regular", "end"),
    ]
    return (*lines, Line(0, -18.2, width, -18.2, Stroke(0.8)))


def _foot(page_width: float) -> tuple[Item, ...]:
    words = FOOT_WORDS.split("\n")
    words[0] = "Typical and estimated numbers, none of them a minimum to design by. Ask for the certificate of the lot."
    lines = wrap("\n".join(words), SMALL_PT, page_width - 2 * MARGIN)
    step = line_step(SMALL_PT)
    rule = Line(MARGIN, MARGIN + FOOT - 2.5, page_width - MARGIN, MARGIN + FOOT - 2.5, Stroke(0.25))
    return (rule, *(Text(MARGIN, MARGIN + FOOT - 6.5 - i * step, s, SMALL_PT) for i, s in enumerate(lines)))


def _numbers(m: Material, first: Unit, width: float) -> list[Piece]:
    columns = (
        Column("what", 1.4),
        Column("value", 1.75, font="bold"),
        Column("standing", 1.2),
        Column("source", 2.9),
        Column("used for", 1.9),
    )
    rows = []
    for _, keys in GROUPS:
        for key in (k for k in keys if k in m.facts):
            fact = m.facts[key]
            name, value = fact_words(key, fact, first)
            rows.append([name, value, fact.standing(), source_words(m, fact), use_of(key, m)])
    said = prose(f"Every number: {one_source(m)}", width, SIZE) if one_source(m) else ()
    return [*said, *table(columns, rows, width, SIZE)]


def _curve(card: Card, first: Unit, width: float) -> list[Piece]:
    left = 0.5 * width
    right = width - left - 5.0
    h = card.material.hardening
    if h is None:
        said = prose(
            f"{DO_NOT_KNOW} Undercut, springback, needed pressure and gauge reading stay open.", width, font="bold"
        )
        return [heading("Flow curve", width, 10.0), *said, *_derived(card, first, width)]
    standing = f"estimated by {h.rule}" if h.rule else h.status
    facts = [
        *prose(f"{curve_words(h.k_mpa, h.n, h.prestrain, first)}: {standing}", right, 8.5, "bold"),
        *(() if one_source(card.material) else prose(cited(h.source), right, SIZE, grey=0.2)),
        *prose(f"Used for {USES['k_mpa']}; e0 for {USES['prestrain']}.", right, SIZE),
        gap(0.8),
        *_derived(card, first, right),
        gap(0.8),
        *_points(card, first, right),
    ]
    words = [heading("True stress = K (e0 + true plastic strain)^n", right, 10.0), *facts]
    height = max(58.0, stacked(words).height - 10.0)
    drawn = [heading("Flow curve", left, 10.0), gap(1.0), flow_picture(card, first, left, height - 6.0)]
    return [beside((0.0, drawn), (left + 5.0, words))]


def _derived(card: Card, first: Unit, width: float) -> list[Piece]:
    rows = [list(pair) for pair in derived_words(card, first)]
    return list(table((Column("follows from it", 1.0), Column("", 1.6)), rows, width, SIZE)) if rows else []


def _points(card: Card, first: Unit, width: float) -> list[Piece]:
    """A few points of the curve, for a hand check."""
    columns = (Column("strain", 1.0, "end"), Column("true stress", 2.6, "end"))
    rows = [[f"{e:.3f}", stress_words(s, first)] for e, s in card.curve]
    half = (len(rows) + 1) // 2
    parts = [stacked(table(columns, part, 0.48 * width, SIZE)) for part in (rows[:half], rows[half:]) if part]
    return [beside(*((k * 0.52 * width, [part]) for k, part in enumerate(parts)))]


def _radii(card: Card, first: Unit, width: float) -> list[Piece]:
    head = heading("Minimum inside bend radius, 90 deg", width, 10.0)
    known = [r for r in card.radii if r.status]
    if not known:
        return [
            head,
            *prose(
                f"{DO_NOT_KNOW} No table of the catalogue has it: bend a strip of the lot first.", width, 9.0, "bold"
            ),
        ]
    columns = [Column("sheet", 0.62)]
    for r in known:
        title = f"{r.table.name} ({r.status})"
        columns += [Column(f"{title}{end}", 1.0, "end") for end in ((": from", ": meet") if ranged(r) else ("",))]
    rows = []
    for k, row in enumerate(known[0].rows):
        cells = [c for r in known for c in radius_cells(r, k, first)]
        if row.gauge.endswith(first) and any(c != "-" for c in cells):
            rows.append([row.gauge, *cells])
    unit = "in (mm)" if first == "in" else "mm (in)"
    notes = [f"{r.table.name}: {cited(r.table.source)}." for r in known]
    ranges = " Where a table prints a range: from (it never goes under), and the larger end to meet."
    words = f"All {unit}.{ranges if any(map(ranged, known)) else ''} {' '.join(notes)}"
    return [head, *whole(table(columns, rows, width, SIZE), 40), gap(0.6), *prose(words, width, 7.0, grey=0.2)]


def _conflicts(m: Material, first: Unit, width: float) -> list[Piece]:
    if not m.conflicts:
        return []
    rows = [row for c in m.conflicts for row in _sides(c, m, first)]
    columns = [
        Column("quantity", 0.95),
        Column("", 0.45, font="bold"),
        Column("value", 2.1),
        Column("standing", 1.0),
        Column("its strength against this record", 1.1),
        Column("source", 2.8),
    ]
    if not any(row[4] for row in rows):
        columns = [*columns[:4], columns[5]]
        rows = [[*row[:4], row[5]] for row in rows]
    pieces: list[Piece] = [heading("Where sources disagree", width, 10.0), *table(columns, rows, width, SIZE)]
    for c in m.conflicts:
        taken = "taken because" if c.trusted else "none is taken:"
        pieces += prose(f"{conflict_name(c.quantity)}: {taken} {c.why}.", width, SIZE)
    return pieces


def _sides(c: Conflict, m: Material, first: Unit) -> list[list[str]]:
    rows = []
    for i, rival in enumerate(c.rivals):
        side = side_of(c, i, m)
        value = rival_words(c.quantity, rival.fact, first)
        if side is not None:
            value = curve_words(rival.fact.value, rival.n, rival.prestrain, first)
        checked = check_words(side.check) if side is not None and side.check is not None else ""
        name = conflict_name(c.quantity) if i == 0 else ""
        taken = "taken" if i + 1 == c.trusted else ""
        rows.append([name, taken, value, rival.fact.standing(), checked, cited(rival.fact.source)])
    return rows


def _unknown(card: Card, width: float) -> list[Piece]:
    head = heading("Not known", width, 10.0)
    rows = [[u.missing, u.then] for u in card.unknown]
    if not rows:
        return [head, *prose("Nothing that an answer asks for.", width, 8.5)]
    return [head, *table((Column("missing", 1.0, font="bold"), Column("so", 2.6)), rows, width, 8.5)]


def _notes(m: Material, width: float) -> list[Piece]:
    if not m.notes:
        return []
    return [heading("Notes", width, 10.0), *(line for note in m.notes for line in prose(f"- {note}", width, SIZE))]
