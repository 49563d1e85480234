"""A drawing as SVG at true size in mm, one group per layer, for laser and knife cutters and for looking."""

from __future__ import annotations

from math import atan, hypot, sin
from xml.sax.saxutils import escape, quoteattr

from ribwright.documents.drawing import LAYERS, Contour, Drawing, Label, Ring, Shape
from ribwright.geometry.path import Vertex

MARGIN = 5.0  # white around the drawing [mm]
LETTER = 0.716  # height of a capital over the size of Helvetica (Adobe font metrics, CapHeight 718 of 1000)
DASHED = {
    "TANGENT": "4 2",
    "FOOT": "6 2",
    "INSIDE_MOLD": "8 1 1 1",
    "FREE_EDGE": "9 3",
    "PART_EDGE": "1 1",
    "NOTCHES": "2 1",
}


def write_svg(drawing: Drawing) -> str:
    """The drawing as SVG text. y is turned downwards, as SVG wants it; numbers are mm, rounded to 1e-6."""
    x0, y0, x1, y1 = drawing.bounds()
    left, top = x0 - MARGIN, y1 + MARGIN
    w, h = _number(x1 - x0 + 2 * MARGIN), _number(y1 - y0 + 2 * MARGIN)
    groups = [_group(layer, drawing, left, top) for layer in _layers(drawing)]
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">'
    return "\n".join([head, f"<title>{escape(clean(drawing.title))}</title>", *groups, "</svg>", ""])


def _layers(drawing: Drawing) -> list[str]:
    used = {item.layer for item in drawing.items}
    return [layer for layer in LAYERS if layer in used] + sorted(used - set(LAYERS))


def _group(layer: str, drawing: Drawing, left: float, top: float) -> str:
    shapes = [_shape(item, left, top) for item in drawing.items if item.layer == layer]
    dash = f' stroke-dasharray="{DASHED[layer]}"' if layer in DASHED else ""
    head = f'<g id={quoteattr(layer)} fill="none" stroke="black" stroke-width="0.18"{dash}>'
    return "\n".join([head, *shapes, "</g>"])


def _shape(item: Shape, left: float, top: float) -> str:
    match item:
        case Ring():
            return f'<circle cx="{_number(item.x - left)}" cy="{_number(top - item.y)}" r="{_number(item.r)}"/>'
        case Label():
            return _label(item, left, top)
        case Contour():
            return f'<path d="{_path(item, left, top)}"/>'


def _label(item: Label, left: float, top: float) -> str:
    x, y = _number(item.x - left), _number(top - item.y)
    turn = f' transform="rotate({_number(-item.angle)} {x} {y})"' if item.angle else ""
    face = f'font-family="Helvetica, Arial, sans-serif" font-size="{_number(item.height / LETTER)}"'
    return f'<text x="{x}" y="{y}" {face} fill="black" stroke="none"{turn}>{escape(clean(item.text))}</text>'


def _path(item: Contour, left: float, top: float) -> str:
    v = item.vertices
    steps = [f"M {_number(v[0][0] - left)} {_number(top - v[0][1])}"]
    ends = [*v[1:], v[0]] if item.closed else v[1:]
    for a, b in zip(v, ends, strict=False):
        steps.append(_step(a, b, left, top))
    return " ".join([*steps, "Z"] if item.closed else steps)


def _step(a: Vertex, b: Vertex, left: float, top: float) -> str:
    to = f"{_number(b[0] - left)} {_number(top - b[1])}"
    chord = hypot(b[0] - a[0], b[1] - a[1])
    if abs(a[2]) < 1e-12 or chord == 0:
        return f"L {to}"
    r = _number(chord / (2 * abs(sin(2 * atan(a[2])))))
    # y points down here: counter-clockwise on paper is the sweep that SVG numbers 0
    return f"A {r} {r} 0 {int(abs(a[2]) > 1)} {int(a[2] < 0)} {to}"


def _number(value: float) -> str:
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Control characters have no place in XML."""
    return "".join(c for c in text if c.isprintable())
