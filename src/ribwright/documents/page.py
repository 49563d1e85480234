"""What is printed, as plain values in mm: origin at the lower left of the page, x to the right, y up.

A document says nothing about its file format; a writer turns it into bytes. Grey runs from 0 (black) to 1 (white).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan, atan2, degrees, hypot

from ribwright.documents.lettering import MM_PER_POINT, fitted, text_width, wrap
from ribwright.geometry.path import Path, Vertex, centre_of

__all__ = ["PAPERS", "Arc", "Circle", "Clip", "Document", "Item", "Line", "Page", "Pair", "Polyline", "Stroke", "Text"]
__all__ += ["crossed", "crossed_document", "moved", "paper_size", "paragraph", "path_items", "path_line", "wrap"]

Pair = tuple[float, float]

# portrait width and height [mm]: ANSI Y14.1 size A and ISO 216 size A4
PAPERS: dict[str, Pair] = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}

EDGE = 4.5  # white that printers cannot print on [mm]
HEAD_ROOM, MOST_DOWN = 12.0, 5.5  # white at the head of every sheet; how far a page may be moved down [mm]
STOP_SIZES = (36.0, 30.0, 24.0, 20.0, 16.0, 14.0, 12.0, 11.0, 10.0, 9.0, 8.0)


@dataclass(frozen=True)
class Stroke:
    """How a line is drawn: width [mm], grey, dash lengths on, off, ... [mm]; no dash = a full line."""

    width: float = 0.25
    grey: float = 0.0
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Line:
    """A straight line between two points [mm]."""

    x0: float
    y0: float
    x1: float
    y1: float
    stroke: Stroke = Stroke()


@dataclass(frozen=True)
class Polyline:
    """Straight lines through points. `stroke` None: no line; `fill` None: no filling, else its grey."""

    points: tuple[Pair, ...]
    closed: bool = False
    stroke: Stroke | None = Stroke()
    fill: float | None = None


@dataclass(frozen=True)
class Arc:
    """A circular arc, counter-clockwise from `start_deg` to `end_deg` (end >= start) [deg from +x]."""

    cx: float
    cy: float
    r: float
    start_deg: float
    end_deg: float
    stroke: Stroke = Stroke()


@dataclass(frozen=True)
class Circle:
    """A full circle."""

    cx: float
    cy: float
    r: float
    stroke: Stroke | None = Stroke()
    fill: float | None = None


@dataclass(frozen=True)
class Text:
    """One line of print on its base line at (x, y). `font` regular, bold, mono; `anchor` start, middle, end: the part of
    the line that stands at x; `angle_deg` turns it about (x, y), counter-clockwise."""

    x: float
    y: float
    text: str
    size_pt: float = 9.0
    font: str = "regular"
    anchor: str = "start"
    angle_deg: float = 0.0
    grey: float = 0.0


@dataclass(frozen=True)
class Clip:
    """`items` moved by (dx, dy), then cut off at the rectangle with lower left corner (x, y), width w, height h."""

    x: float
    y: float
    w: float
    h: float
    items: tuple[Item, ...]
    dx: float = 0.0
    dy: float = 0.0


Item = Line | Polyline | Arc | Circle | Text | Clip


@dataclass(frozen=True)
class Page:
    """One sheet of paper. Pages of one document may differ in size."""

    width: float
    height: float
    items: tuple[Item, ...]
    name: str = ""


@dataclass(frozen=True)
class Document:
    """Pages under one name (the file's stem) and title."""

    name: str
    title: str
    pages: tuple[Page, ...]


def paper_size(paper: str, landscape: bool = False) -> Pair:
    """(width, height) of "letter" or "a4" [mm]; KeyError for another word."""
    w, h = PAPERS[paper]
    return (h, w) if landscape else (w, h)


def moved(item: Item, dx: float, dy: float) -> Item:
    """The item shifted by (dx, dy) [mm]."""
    if isinstance(item, Line):
        return replace(item, x0=item.x0 + dx, y0=item.y0 + dy, x1=item.x1 + dx, y1=item.y1 + dy)
    if isinstance(item, Polyline):
        return replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
    if isinstance(item, Arc | Circle):
        return replace(item, cx=item.cx + dx, cy=item.cy + dy)
    if isinstance(item, Text):
        return replace(item, x=item.x + dx, y=item.y + dy)
    return replace(item, x=item.x + dx, y=item.y + dy, dx=item.dx + dx, dy=item.dy + dy)


def path_items(vertices: Sequence[Vertex], closed: bool = True, stroke: Stroke = Stroke()) -> tuple[Item, ...]:
    """A path of (x, y, bulge) vertices [mm] as true lines and arcs. A bulge is tan(included angle / 4), positive =
    counter-clockwise, and belongs to the segment that starts at its vertex (DXF reference, LWPOLYLINE)."""
    items: list[Item] = []
    for a, b in Path(tuple(vertices), closed).segments():
        if abs(a[2]) < 1e-12 or a[:2] == b[:2]:
            items.append(Line(a[0], a[1], b[0], b[1], stroke))
            continue
        (cx, cy), r = centre_of(a, b)
        first = a if a[2] > 0 else b
        start = degrees(atan2(first[1] - cy, first[0] - cx))
        items.append(Arc(cx, cy, r, start, start + degrees(4 * atan(abs(a[2]))), stroke))
    return tuple(items)


def path_line(vertices: Sequence[Vertex], closed: bool, stroke: Stroke, chord_error: float = 0.01) -> Polyline:
    """The same path as one polyline whose chords stay within `chord_error` [mm]: dashes run on over its arcs."""
    return Polyline(tuple(Path(tuple(vertices), closed).chords(chord_error)), closed, stroke)


def paragraph(
    x: float, y: float, text: str, size_pt: float, width: float, font: str = "regular", leading: float = 1.3
) -> tuple[tuple[Text, ...], float]:
    """Wrapped text whose first base line is at y; returns it and the base line that follows it [mm]."""
    step = leading * size_pt * MM_PER_POINT
    lines = wrap(text, size_pt, width, font)
    texts = tuple(Text(x, y - i * step, line, size_pt, font) for i, line in enumerate(lines))
    return texts, y - len(lines) * step


def crossed(page: Page, sentence: str) -> Page:
    """The page made void: the sentence in a band at its head, a thin cross over everything else and, under the print, the
    word VOID large and pale. What is printed moves down as far as the band needs, and stays readable."""
    w, h = page.width, page.height
    band, low = _stop_band(w, h, sentence)
    down = max(0.0, h - HEAD_ROOM - low + 1.0)
    bar = Stroke(0.5, 0.4)
    cross = (Line(EDGE, EDGE, w - EDGE, low, bar), Line(EDGE, low, w - EDGE, EDGE, bar))
    return replace(page, items=(_void(w, h), *(moved(item, 0.0, -down) for item in page.items), *cross, *band))


def crossed_document(document: Document, sentence: str) -> Document:
    """Every page of the document crossed out with the sentence."""
    return replace(document, pages=tuple(crossed(page, sentence) for page in document.pages))


def _void(w: float, h: float) -> Text:
    """The word VOID along the rising diagonal, too pale to hide a number."""
    size = min(0.62 * hypot(w, h) / text_width("VOID", 1.0, "bold"), 0.35 * min(w, h) / (0.72 * MM_PER_POINT))
    high, angle = 0.72 * size * MM_PER_POINT, atan2(h, w)
    x, y = w / 2 + high / 2 * h / hypot(w, h), h / 2 - high / 2 * w / hypot(w, h)
    return Text(x, y, "VOID", size, "bold", "middle", degrees(angle), 0.9)


def _stop_band(w: float, h: float, sentence: str) -> tuple[tuple[Item, ...], float]:
    """STOP white on black and the sentence beside it, in the largest print that the head of the page has room for; and the
    height of the band's lower side [mm]. In the smallest print what is too long is cut off: the findings have it whole."""
    most = HEAD_ROOM + MOST_DOWN - EDGE - 1.0
    for size in STOP_SIZES:
        step, room = 1.2 * size * MM_PER_POINT, text_width("STOP:", size, "bold") + 6.0
        lines = wrap(sentence, size, w - 2 * EDGE - room - 6.0, "bold")
        if len(lines) * step + 2.0 <= most:
            break
    else:
        kept = int((most - 2.0) / step)
        lines = (
            *lines[: kept - 1],
            fitted(" ".join(lines[kept - 1 : kept + 1]), size, w - 2 * EDGE - room - 6.0, "bold"),
        )
    high = len(lines) * step + 2.0
    low, high_up = h - EDGE - high, h - EDGE
    edge = EDGE + room

    def frame(x0: float, x1: float, fill: float) -> Polyline:
        return Polyline(((x0, low), (x1, low), (x1, high_up), (x0, high_up)), True, Stroke(0.7), fill)

    def base(k: int) -> float:
        return high_up - 1.0 - (k + 0.8) * step

    words = [Text(EDGE + room / 2, base(0), "STOP:", size, "bold", "middle", grey=1.0)]
    words += [Text(edge + 3.0, base(k), line, size, "bold") for k, line in enumerate(lines)]
    return (frame(EDGE, w - EDGE, 1.0), frame(EDGE, edge, 0.0), *words), low
