"""How a sheet of the packet is laid out: heading and foot on every page, and pieces that flow from page to page.

A piece is something of known height whose items stand relative to its upper left corner (x to the right, y up, so that
everything in it lies at y <= 0). Sheets are lists of pieces; what does not fit goes to the next page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ribwright.documents.identity import Identity
from ribwright.documents.lettering import MM_PER_POINT, fitted, text_width, wrap
from ribwright.documents.page import Document, Item, Line, Page, Pair, Polyline, Stroke, Text, moved, paper_size
from ribwright.documents.smaller import smaller

MARGIN = 13.0
HEAD = 27.0
FOOT = 11.0
BODY_PT = 9.5
SMALL_PT = 8.0
LEADING = 1.3
MOST_LINES = 20  # of a paragraph or table cell that is kept on one page
HAIR, THIN, HEAVY = Stroke(0.15, 0.55), Stroke(0.25), Stroke(0.8)
FOOT_WORDS = (
    "Computed with closed forms or, where it says so, a section model; not compared with a real formed part.\n"
    "Not an airworthiness approval: the shop's approved data and authorised people decide."
)


@dataclass(frozen=True)
class Piece:
    """`height` [mm] and items relative to the upper left corner. `keep`: stays on the page of the piece that follows.
    `repeat`: piece printed again above this one when this one starts a page (the heading row of a table)."""

    height: float
    items: tuple[Item, ...] = ()
    keep: bool = False
    repeat: Piece | None = None


@dataclass(frozen=True)
class Column:
    """A column of a table: heading, share of the width, anchor of its print, font."""

    head: str
    share: float = 1.0
    anchor: str = "start"
    font: str = "regular"


@dataclass(frozen=True)
class NumberBox:
    """A key number: what it is, the number large, what stands under it, where it comes from; `loud` = heavy frame."""

    label: str
    value: str
    under: str = ""
    by: str = ""
    loud: bool = False
    share: float = 1.0


@dataclass(frozen=True)
class Fit:
    """Scale and shift that bring model coordinates [mm] into a rectangle on the page."""

    scale: float
    dx: float
    dy: float

    def __call__(self, x: float, y: float) -> Pair:
        """Place on the page of a point of the model."""
        return x * self.scale + self.dx, y * self.scale + self.dy


def content_width(paper: str) -> float:
    """Width between the margins [mm]."""
    return paper_size(paper)[0] - 2 * MARGIN


def content_height(paper: str) -> float:
    """Height between heading and foot [mm]."""
    return paper_size(paper)[1] - 2 * MARGIN - HEAD - FOOT


def line_step(size_pt: float) -> float:
    """Distance of base lines [mm]."""
    return LEADING * size_pt * MM_PER_POINT


def sheet(
    identity: Identity, title: str, paper: str, pieces: Sequence[Piece], foot: str = FOOT_WORDS
) -> tuple[Page, ...]:
    """The pieces on as many pages as they need, each with heading and foot. A piece higher than a page is made smaller, and says so."""
    groups = flow(pieces, content_height(paper))
    width, height = paper_size(paper)
    pages = []
    for k, group in enumerate(groups):
        items = list(_heading(identity, title, f"page {k + 1} of {len(groups)}", content_width(paper)))
        body = shifted(stacked(group).items, MARGIN, height - MARGIN - HEAD)
        items = [*shifted(tuple(items), MARGIN, height - MARGIN), *body, *_foot(width, foot)]
        pages.append(Page(width, height, tuple(items), f"{title} {k + 1}"))
    return tuple(pages)


def sheet_document(name: str, identity: Identity, title: str, paper: str, pieces: Sequence[Piece]) -> Document:
    """`sheet` as a document; `name` is the file's stem."""
    return Document(name, f"{identity.line}: {title}", sheet(identity, title, paper, pieces))


def flow(pieces: Sequence[Piece], height: float) -> tuple[tuple[Piece, ...], ...]:
    """The pieces in groups that each fit `height` [mm]; at least one group. A piece higher than that stands alone, made
    smaller to fit, with a line that says so: a sheet that cannot be printed would help nobody."""
    pages: list[list[Piece]] = [[]]
    used = 0.0
    for run in _kept_together([_within(p, height) for p in pieces]):
        need = sum(p.height for p in run)
        if pages[-1] and used + need > height + 1e-9:
            pages.append([])
            used = 0.0
            if run[0].repeat is not None:
                run = [run[0].repeat, *run]
                need += run[0].height
        if need > height + 1e-9:
            for group in flow([replace(p, keep=False) for p in run], height):
                pages[-1] += group
                pages.append([])
            pages.pop()
            used = sum(p.height for p in pages[-1])
            continue
        pages[-1] += run
        used += need
    return tuple(tuple(p) for p in pages)


def _within(piece: Piece, height: float) -> Piece:
    """The piece, with what is printed again above it, no higher than `height` [mm]; one that was is made smaller."""
    again = piece.repeat
    if again is not None and again.height > height / 2:
        again = None
    room = height - (again.height if again else 0.0)
    if piece.height <= room + 1e-9:
        return replace(piece, repeat=again)
    step = line_step(BODY_PT)
    share = (room - step) / piece.height
    said = f"Made smaller to fit the page: {100 * share:.0f} % of the size of the other print. Do not measure here."
    items = shifted(tuple(smaller(item, share) for item in piece.items), 0.0, -step)
    return Piece(room, (Text(0.0, -0.75 * step, said, BODY_PT, "bold"), *items), piece.keep, again)


def _kept_together(pieces: Sequence[Piece]) -> list[list[Piece]]:
    runs: list[list[Piece]] = [[]]
    for p in pieces:
        runs[-1].append(p)
        if not p.keep:
            runs.append([])
    return [r for r in runs if r]


def stacked(pieces: Sequence[Piece]) -> Piece:
    """The pieces one under the other as one piece that cannot be split."""
    items: list[Item] = []
    y = 0.0
    for p in pieces:
        items += shifted(p.items, 0.0, y)
        y -= p.height
    return Piece(-y, tuple(items))


def beside(*columns: tuple[float, Sequence[Piece]]) -> Piece:
    """Columns of pieces beside each other, each with its x [mm], as one piece that cannot be split."""
    done = [(x, stacked(pieces)) for x, pieces in columns]
    items = tuple(item for x, p in done for item in shifted(p.items, x, 0.0))
    return Piece(max((p.height for _, p in done), default=0.0), items)


def gap(height: float = 3.0) -> Piece:
    """Room."""
    return Piece(height)


def picture(items: Sequence[Item], height: float) -> Piece:
    """Drawn items (y from 0 at the top down to -height) as one piece."""
    return Piece(height, tuple(items))


def heading(text: str, width: float, size_pt: float = 11.5) -> Piece:
    """A heading with a line under it; it stays with what follows."""
    y = -2.0 - size_pt * MM_PER_POINT * 0.8
    words = Text(0, y, fitted(text, size_pt, width, "bold"), size_pt, "bold")
    return Piece(-y + 3.0, (words, Line(0, y - 1.4, width, y - 1.4, THIN)), keep=True)


def heading_lines(text: str, width: float, size_pt: float = 11.5) -> tuple[Piece, ...]:
    """A heading of as many lines as it needs, for a list of names none of which may be cut off."""
    *first, last = wrap(text, size_pt, width, "bold")
    step = line_step(size_pt)
    above = [Piece(step, (Text(0, -0.8 * step, line, size_pt, "bold"),), keep=True) for line in first]
    return (*([replace(gap(2.0), keep=True)] if first else []), *above, heading(last, width, size_pt))


def prose(
    text: str, width: float, size_pt: float = BODY_PT, font: str = "regular", indent: float = 0.0, grey: float = 0.0
) -> tuple[Piece, ...]:
    """Wrapped text, one piece a line, so that it flows. The first two lines and the last two stay together."""
    step = line_step(size_pt)
    lines = wrap(text, size_pt, width - indent, font)
    n = len(lines)
    return tuple(
        Piece(
            step,
            (Text(indent, -0.75 * step, line, size_pt, font, grey=grey),),
            keep=i < n - 1 and (i == 0 or i == n - 2),
        )
        for i, line in enumerate(lines)
    )


def small(text: str, width: float, indent: float = 0.0) -> tuple[Piece, ...]:
    """Small print: formulas and sources."""
    return prose(text, width, SMALL_PT, indent=indent, grey=0.2)


def listed(mark: str, text: str, width: float, size_pt: float = BODY_PT, indent: float = 6.0) -> tuple[Piece, ...]:
    """A paragraph with a mark ("1", "-") hanging to its left, kept on one page unless it is very long."""
    lines = prose(text, width, size_pt, indent=indent)
    step = line_step(size_pt)
    first = replace(lines[0], items=(Text(0, -0.75 * step, mark, size_pt, "bold"), *lines[0].items))
    if len(lines) > MOST_LINES:
        return (first, *lines[1:])
    done = stacked((first, *lines[1:]))
    return (replace(done, height=done.height + 0.2 * step),)


def caution(text: str, width: float, indent: float = 0.0, size_pt: float = BODY_PT) -> Piece:
    """A framed caution, kept on one page."""
    word = "CAUTION"
    room = text_width(word, size_pt, "bold") + 5.0
    step = line_step(size_pt)
    lines = capped(text, size_pt, width - indent - room - 3.0, "bold", MOST_LINES)
    height = len(lines) * step + 2.4
    x0, x1 = indent, width
    frame = rectangle(x0, -height, x1 - x0, height, Stroke(0.6))
    bar = Polyline(((x0, 0.0), (x0 + 1.6, 0.0), (x0 + 1.6, -height), (x0, -height)), True, None, 0.0)
    words = [Text(x0 + 3.2, -1.2 - 0.75 * step, word, size_pt, "bold")]
    words += [Text(x0 + room, -1.2 - (i + 0.75) * step, s, size_pt, "bold") for i, s in enumerate(lines)]
    return Piece(height + 1.6, (frame, bar, *words))


def rectangle(
    x: float, y: float, w: float, h: float, stroke: Stroke | None = THIN, fill: float | None = None
) -> Polyline:
    """A rectangle with its lower left corner at (x, y)."""
    return Polyline(((x, y), (x + w, y), (x + w, y + h), (x, y + h)), True, stroke, fill)


def number_boxes(boxes: Sequence[NumberBox], width: float, size_pt: float = 18.0) -> Piece:
    """A row of key numbers in frames. Numbers shrink together to fit; under-lines wrap; frames share one height."""
    total, space = sum(b.share for b in boxes), 2.5
    widths = [b.share / total * (width - space * (len(boxes) - 1)) for b in boxes]
    inner = [w - 4.0 for w in widths]
    size = min([size_pt] + [shrunk(b.value, size_pt, w, "bold")[1] for b, w in zip(boxes, inner, strict=True)])
    parts = [_box_lines(b, w, size) for b, w in zip(boxes, inner, strict=True)]
    height = max(h for _, h in parts)
    items: list[Item] = []
    x = 0.0
    for b, w, (texts, _) in zip(boxes, widths, parts, strict=True):
        inset = 0.3 if b.loud else 0.0
        items.append(
            rectangle(x + inset, -height + inset, w - 2 * inset, height - 2 * inset, HEAVY if b.loud else THIN)
        )
        items += shifted(texts, x + 2.0, 0.0)
        x += w + space
    return Piece(height + 2.0, tuple(items))


def _box_lines(box: NumberBox, width: float, size_pt: float) -> tuple[tuple[Text, ...], float]:
    y = -1.2
    texts: list[Text] = []
    rows = ((box.label, BODY_PT, "bold", 2), (box.value, size_pt, "bold", 1), (box.under, BODY_PT, "regular", 4))
    for text, size, font, most in (*rows, (box.by, SMALL_PT, "regular", 3)):
        for line in capped(text, size, width, font, most) if text else ():
            y -= line_step(size) * (0.78 if size == size_pt else 0.75)
            texts.append(Text(0.0, y, line, size, font, grey=0.2 if size == SMALL_PT else 0.0))
            y -= line_step(size) * (0.22 if size == size_pt else 0.25)
    return tuple(texts), -y + 1.2


def table(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], width: float, size_pt: float = BODY_PT
) -> tuple[Piece, ...]:
    """A table whose cells wrap; its heading row is printed again on each page it runs on to."""
    total = sum(c.share for c in columns)
    widths = [c.share / total * width for c in columns]
    bold = [replace(c, font="bold") for c in columns]
    head = replace(_row([c.head for c in columns], bold, widths, min(size_pt, 9.0), THIN), keep=True)
    body = [replace(_row(r, columns, widths, size_pt, HAIR), repeat=head) for r in rows]
    return (head, *body)


def _row(
    cells: Sequence[str], columns: Sequence[Column], widths: Sequence[float], size_pt: float, under: Stroke
) -> Piece:
    step = line_step(size_pt)
    wrapped = [capped(t, size_pt, w - 2.0, c.font, MOST_LINES) for t, w, c in zip(cells, widths, columns, strict=True)]
    height = max(len(w) for w in wrapped) * step + 1.0
    items: list[Item] = []
    x = 0.0
    for lines, w, c in zip(wrapped, widths, columns, strict=True):
        at = {"start": x, "middle": x + w / 2 - 1.0, "end": x + w - 2.0}[c.anchor]
        items += [Text(at, -0.4 - (i + 0.75) * step, s, size_pt, c.font, c.anchor) for i, s in enumerate(lines)]
        x += w
    return Piece(height, (*items, Line(0, -height, sum(widths), -height, under)))


def fill_boxes(
    labels: Sequence[str],
    width: float,
    height: float = 13.0,
    shares: Sequence[float] = (),
    filled: Sequence[str] = (),
) -> Piece:
    """Frames in a row to write in, each with its label small in the upper left corner; `filled`: what is known already."""
    parts = tuple(shares) or (1.0,) * len(labels)
    widths = [s / sum(parts) * width for s in parts]
    items: list[Item] = []
    x = 0.0
    known = tuple(filled) or ("",) * len(labels)
    for label, w, done in zip(labels, widths, known, strict=True):
        items.append(rectangle(x, -height, w, height))
        items.append(Text(x + 1.5, -3.6, fitted(label, SMALL_PT, w - 3.0), SMALL_PT, grey=0.2))
        if done:
            items.append(Text(x + 1.5, -height + 2.2, fitted(done, BODY_PT, w - 3.0, "bold"), BODY_PT, "bold"))
        x += w
    return Piece(height + 2.0, tuple(items))


def fit_into(bounds: tuple[float, float, float, float], x: float, y: float, w: float, h: float) -> Fit:
    """Model bounds (left, bottom, right, top) [mm] centred in a rectangle, as large as it goes."""
    x0, y0, x1, y1 = bounds
    scale = min(w / max(x1 - x0, 1e-9), h / max(y1 - y0, 1e-9))
    return Fit(scale, x + w / 2 - scale * (x0 + x1) / 2, y + h / 2 - scale * (y0 + y1) / 2)


def shrunk(text: str, size_pt: float, width: float, font: str = "regular", least_pt: float = 9.0) -> tuple[str, float]:
    """(text, size): smaller until the text fits one line, from `least_pt` on its end cut off."""
    wide = text_width(text, size_pt, font)
    size = size_pt if wide <= width else max(least_pt, int(size_pt * width / wide * 4) / 4)
    return fitted(text, size, width, font), size


def capped(text: str, size_pt: float, width: float, font: str, most: int) -> tuple[str, ...]:
    """The text wrapped to at most `most` lines, the last one ending in "..." where there would be more."""
    lines = wrap(text, size_pt, width, font)
    if len(lines) <= most:
        return lines
    return (*lines[: most - 1], fitted(f"{lines[most - 1]} {lines[most]}", size_pt, width, font))


def split_units(shown: str) -> tuple[str, str]:
    """'0.625 in (15.88 mm)' as ('0.625 in', '15.88 mm'): the first unit large, the other under it."""
    first, _, second = shown.partition(" (")
    return first, second.removesuffix(")")


def shifted(items: Sequence[Item], dx: float, dy: float) -> tuple[Item, ...]:
    """The items moved by (dx, dy) [mm]."""
    return tuple(moved(item, dx, dy) for item in items)


def _heading(identity: Identity, title: str, page: str, width: float) -> tuple[Item, ...]:
    """Part number large, sheet title to its right; two lines of what the sheet belongs to; a heavy line."""
    left, right = 0.64 * width, 0.34 * width
    hand = "" if identity.hand == "none" else f"   {identity.hand.upper()} HAND"
    number, size = shrunk(f"{identity.number}   rev {identity.revision}{hand}", 20.0, left, "bold", 11.0)
    name, name_size = shrunk(title, 15.0, right, "bold", 10.0)
    shop = identity.shop if identity.released else "NOT RELEASED: approval not filled in"
    stuff = f"{identity.material}, {identity.thickness}; grain {identity.grain}; {identity.side_up}"
    print_: list[tuple[float, float, str, float, str, float]] = [
        (0, -6.5, number, size, "bold", left),
        (0, -12.2, identity.title, 10.5, "regular", left),
        (0, -17.2, stuff, 9.5, "regular", width),
        (0, -21.7, f"fingerprint {identity.fingerprint}", 9.0, "mono", left),
    ]
    ends = [
        (name, name_size, -6.5, "bold"),
        (shop, 9.5, -12.2, "regular" if identity.released else "bold"),
        (f"{page}   ribwright {identity.version}", 9.0, -21.7, "regular"),
    ]
    texts = [Text(x, y, fitted(t, s, w, f), s, f) for x, y, t, s, f, w in print_ if t]
    texts += [Text(width, y, fitted(t, s, right, f), s, f, "end") for t, s, y, f in ends if t]
    return (*texts, Line(0, -HEAD + 3.0, width, -HEAD + 3.0, HEAVY))


def _foot(page_width: float, said: str) -> tuple[Item, ...]:
    width = page_width - 2 * MARGIN
    lines = wrap(said, SMALL_PT, width)
    step = line_step(SMALL_PT)
    texts = [Text(MARGIN, MARGIN + FOOT - 6.5 - i * step, s, SMALL_PT) for i, s in enumerate(lines)]
    return (Line(MARGIN, MARGIN + FOOT - 2.5, page_width - MARGIN, MARGIN + FOOT - 2.5, THIN), *texts)
