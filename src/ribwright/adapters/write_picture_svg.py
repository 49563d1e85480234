"""Pages as one SVG at true size in mm, one under the other: for screens and for other drawing programs."""

from __future__ import annotations

from math import cos, radians, sin
from xml.sax.saxutils import escape

from ribwright.adapters.write_svg import clean, number
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Arc, Circle, Clip, Document, Item, Line, Polyline, Stroke, Text

FACES = {
    "regular": 'font-family="Helvetica, Arial, sans-serif"',
    "bold": 'font-family="Helvetica, Arial, sans-serif" font-weight="bold"',
    "mono": 'font-family="Courier, monospace"',
}


def write_picture_svg(document: Document) -> str:
    """The document's pages as SVG text on white; y is turned downwards, numbers are mm, rounded to 1e-6.

    Each line of print is told its length, so that another face on the reader's machine covers nothing beside it.
    """
    w = max((page.width for page in document.pages), default=0.0)
    h = sum(page.height for page in document.pages)
    size = f'width="{number(w)}mm" height="{number(h)}mm" viewBox="0 0 {number(w)} {number(h)}"'
    lines = [f'<svg xmlns="http://www.w3.org/2000/svg" {size}>', f"<title>{escape(clean(document.title))}</title>"]
    lines.append(f'<rect width="{number(w)}" height="{number(h)}" fill="white"/>')
    top = 0.0
    for page in document.pages:
        top += page.height
        lines.append("<g>")
        lines += [_drawn(item, 0.0, top) for item in page.items]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""])


def _drawn(item: Item, dx: float, top: float) -> str:
    """One item; a point (x, y) of it lies at (x + dx, top - y) in the file."""
    match item:
        case Line():
            ends = f'x1="{number(item.x0 + dx)}" y1="{number(top - item.y0)}" x2="{number(item.x1 + dx)}" y2="{number(top - item.y1)}"'
            return f"<line {ends}{_paint(item.stroke, None)}/>"
        case Polyline():
            points = " ".join(f"{number(x + dx)},{number(top - y)}" for x, y in item.points)
            return f'<poly{"gon" if item.closed else "line"} points="{points}"{_paint(item.stroke, item.fill)}/>'
        case Circle():
            at = f'cx="{number(item.cx + dx)}" cy="{number(top - item.cy)}" r="{number(item.r)}"'
            return f"<circle {at}{_paint(item.stroke, item.fill)}/>"
        case Arc():
            return _arc(item, dx, top)
        case Text():
            return _text(item, dx, top)
        case Clip():
            return _clip(item, dx, top)


def _arc(item: Arc, dx: float, top: float) -> str:
    if item.end_deg - item.start_deg >= 360.0:
        return _drawn(Circle(item.cx, item.cy, item.r, item.stroke), dx, top)
    a, b = radians(item.start_deg), radians(item.end_deg)
    ends = [(item.cx + dx + item.r * cos(p), top - item.cy - item.r * sin(p)) for p in (a, b)]
    (x0, y0), (x1, y1) = [(number(x), number(y)) for x, y in ends]
    large = int(item.end_deg - item.start_deg > 180.0)
    # y points down: counter-clockwise on paper is the sweep that SVG numbers 0
    return (
        f'<path d="M {x0} {y0} A {number(item.r)} {number(item.r)} 0 {large} 0 {x1} {y1}"{_paint(item.stroke, None)}/>'
    )


def _text(item: Text, dx: float, top: float) -> str:
    words = clean(item.text)
    if not words:
        return "<g/>"
    x, y = number(item.x + dx), number(top - item.y)
    turn = f' transform="rotate({number(-item.angle_deg)} {x} {y})"' if item.angle_deg else ""
    wide = number(text_width(words, item.size_pt, item.font))
    said = f'font-size="{number(item.size_pt * MM_PER_POINT)}" textLength="{wide}" lengthAdjust="spacingAndGlyphs"'
    place = f'x="{x}" y="{y}" text-anchor="{item.anchor}" xml:space="preserve"'
    return f'<text {place} {FACES[item.font]} {said} fill="{_grey(item.grey)}"{turn}>{escape(words)}</text>'


def _clip(item: Clip, dx: float, top: float) -> str:
    x, y = item.x + dx, top - item.y - item.h
    size = f'width="{number(item.w)}" height="{number(item.h)}"'
    box = f'<svg x="{number(x)}" y="{number(y)}" {size} viewBox="{number(x)} {number(y)} {number(item.w)} {number(item.h)}">'
    return "\n".join([box, *(_drawn(inner, dx + item.dx, top - item.dy) for inner in item.items), "</svg>"])


def _paint(stroke: Stroke | None, fill: float | None) -> str:
    inside = f' fill="{"none" if fill is None else _grey(fill)}"'
    if stroke is None:
        return inside
    dash = f' stroke-dasharray="{" ".join(number(d) for d in stroke.dash)}"' if stroke.dash else ""
    ends = "butt" if stroke.dash else "round"
    line = f' stroke="{_grey(stroke.grey)}" stroke-width="{number(stroke.width)}" stroke-linejoin="round"'
    return f'{inside}{line} stroke-linecap="{ends}"{dash}'


def _grey(level: float) -> str:
    part = round(255 * min(max(level, 0.0), 1.0))
    return f"#{part:02x}{part:02x}{part:02x}"
