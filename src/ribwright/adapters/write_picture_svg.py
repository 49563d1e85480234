"""Pages as one SVG at true size in mm, one under the other: for screens and for other drawing programs. To cut from, there
is `write_svg`: true arcs on layers."""

from __future__ import annotations

from math import cos, radians, sin
from xml.sax.saxutils import escape

from ribwright.adapters.write_svg import clean
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Arc, Circle, Clip, Document, Item, Line, Polyline, Stroke, Text

FACES = {
    "regular": 'font-family="Helvetica, Arial, sans-serif"',
    "bold": 'font-family="Helvetica, Arial, sans-serif" font-weight="bold"',
    "mono": 'font-family="Courier, monospace"',
}


def write_picture_svg(document: Document) -> str:
    """The document's pages as SVG text on white; y is turned downwards, numbers are mm, rounded to 1e-3.

    Each line of print is told its length, so that another face on the reader's machine covers nothing beside it.
    """
    w = max((page.width for page in document.pages), default=0.0)
    h = sum(page.height for page in document.pages)
    size = f'width="{_n(w)}mm" height="{_n(h)}mm" viewBox="0 0 {_n(w)} {_n(h)}"'
    lines = [f'<svg xmlns="http://www.w3.org/2000/svg" {size}>', f"<title>{escape(clean(document.title))}</title>"]
    lines.append(f'<rect width="{_n(w)}" height="{_n(h)}" fill="white"/>')
    top = 0.0
    for page in document.pages:
        top += page.height
        lines.append('<g stroke-linejoin="round" stroke-linecap="round">')
        lines += [_drawn(item, 0.0, top) for item in page.items]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""])


def _drawn(item: Item, dx: float, top: float) -> str:
    """One item; a point (x, y) of it lies at (x + dx, top - y) in the file."""
    match item:
        case Line():
            ends = f'x1="{_n(item.x0 + dx)}" y1="{_n(top - item.y0)}" x2="{_n(item.x1 + dx)}" y2="{_n(top - item.y1)}"'
            return f"<line {ends}{_paint(item.stroke, None)}/>"
        case Polyline():
            points = " ".join(f"{_n(x + dx)},{_n(top - y)}" for x, y in item.points)
            return f'<poly{"gon" if item.closed else "line"} points="{points}"{_paint(item.stroke, item.fill)}/>'
        case Circle():
            at = f'cx="{_n(item.cx + dx)}" cy="{_n(top - item.cy)}" r="{_n(item.r)}"'
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
    (x0, y0), (x1, y1) = [(_n(x), _n(y)) for x, y in ends]
    large = int(item.end_deg - item.start_deg > 180.0)
    # y points down: counter-clockwise on paper is the sweep that SVG numbers 0
    return f'<path d="M {x0} {y0} A {_n(item.r)} {_n(item.r)} 0 {large} 0 {x1} {y1}"{_paint(item.stroke, None)}/>'


def _text(item: Text, dx: float, top: float) -> str:
    words = clean(item.text)
    if not words:
        return "<g/>"
    x, y = _n(item.x + dx), _n(top - item.y)
    turn = f' transform="rotate({_n(-item.angle_deg)} {x} {y})"' if item.angle_deg else ""
    wide = _n(text_width(words, item.size_pt, item.font))
    said = f'font-size="{_n(item.size_pt * MM_PER_POINT)}" textLength="{wide}" lengthAdjust="spacingAndGlyphs"'
    place = f'x="{x}" y="{y}" text-anchor="{item.anchor}" xml:space="preserve"'
    return f'<text {place} {FACES[item.font]} {said} fill="{_grey(item.grey)}"{turn}>{escape(words)}</text>'


def _clip(item: Clip, dx: float, top: float) -> str:
    x, y = item.x + dx, top - item.y - item.h
    size = f'width="{_n(item.w)}" height="{_n(item.h)}"'
    box = f'<svg x="{_n(x)}" y="{_n(y)}" {size} viewBox="{_n(x)} {_n(y)} {_n(item.w)} {_n(item.h)}">'
    return "\n".join([box, *(_drawn(inner, dx + item.dx, top - item.dy) for inner in item.items), "</svg>"])


def _paint(stroke: Stroke | None, fill: float | None) -> str:
    inside = f' fill="{"none" if fill is None else _grey(fill)}"'
    if stroke is None:
        return inside
    # round ends close the joints of an outline drawn piece by piece; on dashes they would eat the gaps
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in stroke.dash)}" stroke-linecap="butt"' if stroke.dash else ""
    return f'{inside} stroke="{_grey(stroke.grey)}" stroke-width="{_n(stroke.width)}"{dash}'


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _grey(level: float) -> str:
    part = round(255 * min(max(level, 0.0), 1.0))
    return f"#{part:02x}{part:02x}{part:02x}"
