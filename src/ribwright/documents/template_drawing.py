"""A template as a drawing for a cutter: the lines of the print on named layers, with a proof of scale of its own."""

from __future__ import annotations

from math import cos, radians, sin

from ribwright.documents.check_distances import CheckMarks, check_marks, triangle
from ribwright.documents.drawing import (
    DATUM,
    HOLE,
    PIN,
    PROOF,
    TEXT,
    Contour,
    Drawing,
    Label,
    Ring,
    Shape,
    crossed,
)
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Pair
from ribwright.documents.scale_bar import BAR
from ribwright.documents.template_circles import circle_shapes
from ribwright.documents.template_looks import LOOKS
from ribwright.documents.template_spread import slot_vertices
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole, joined
from ribwright.units import MM_PER_IN, show_length

LETTER_MM = 3.0
TICK = 3.0  # half length of the ticks at a bar's ends [mm]
CAPITAL = 0.716  # height of a capital over the size of print


def template_drawing(content: TemplateContent) -> Drawing:
    """Every line on the layer of its look, holes on HOLE, pins and pin holes on PIN, two bars and four marks on PROOF,
    words on TEXT. Crossed out when a finding stops the job."""
    items: list[Shape] = [
        Contour(LOOKS[line.look].layer, line.path.vertices, line.path.closed) for line in content.every_line
    ]
    for hole in content.holes:
        items += _hole(hole)
    items += circle_shapes(content.circles)
    if content.datum is not None:
        items += _datum(content.datum[1])
    box = Drawing(tuple(items)).bounds()
    marks = check_marks(box, content.units)
    items += [*_marks(marks), *proof_bars(marks.a[0], marks.a[1] - 20.0)]
    items += _words(content, marks)
    drawing = Drawing(tuple(items), f"{content.kind.title} {content.name_line} - {content.fingerprint}")
    return crossed(drawing, content.stop_sentence) if content.stops else drawing


def proof_bars(x: float, y: float) -> list[Shape]:
    """A bar of 100 mm along x and one of 4 in along y, from one corner, with ticks at their ends, on PROOF."""
    inch = 4 * MM_PER_IN
    bars = [((x, y), (x + BAR, y)), ((x - 12.0, y), (x - 12.0, y + inch))]
    out: list[Shape] = []
    for (x0, y0), (x1, y1) in bars:
        out.append(Contour(PROOF, ((x0, y0, 0.0), (x1, y1, 0.0)), False))
        dx, dy = (0.0, TICK) if y0 == y1 else (TICK, 0.0)
        out += [Contour(PROOF, ((p - dx, q - dy, 0.0), (p + dx, q + dy, 0.0)), False) for p, q in ((x0, y0), (x1, y1))]
    out.append(Label(TEXT, x, y + 4.0, "this bar must measure 100 mm (3.937 in)", LETTER_MM))
    out.append(Label(TEXT, x - 15.0, y, "this bar must measure 4 in (101.60 mm)", LETTER_MM, 90.0))
    return out


def _hole(hole: TemplateHole) -> list[Shape]:
    layer = PIN if hole.takes_pin else HOLE
    edge: Shape = (
        Contour(layer, slot_vertices(hole)) if hole.slot > 0 else Ring(layer, hole.x, hole.y, hole.diameter / 2)
    )
    pilot: list[Shape] = [Ring(HOLE, hole.x, hole.y, hole.pilot / 2)] if 0 < hole.pilot < hole.diameter else []
    return [edge, *pilot]


def _datum(at: Pair) -> list[Shape]:
    return [
        Contour(DATUM, ((at[0] - dx, at[1] - dy, 0.0), (at[0] + dx, at[1] + dy, 0.0)), False)
        for dx, dy in ((15.0, 0.0), (0.0, 15.0))
    ]


def _marks(marks: CheckMarks) -> list[Shape]:
    out: list[Shape] = []
    for letter, (x, y) in marks.named:
        corners = triangle((x, y), y == marks.a[1])
        out.append(Contour(PROOF, tuple((*p, 0.0) for p in corners)))
        out.append(Label(TEXT, x + 3.2, corners[1][1] + (0.5 if y == marks.a[1] else -3.5), letter, LETTER_MM))
    return out


def _words(content: TemplateContent, marks: CheckMarks) -> list[Shape]:
    """Identity, how it is cut and laid, the three distances, the layers; below everything drawn."""
    x, y = marks.a[0], marks.a[1] - 20.0
    rows = [
        content.identity,
        f"{joined(content.material, content.thickness)}. {content.up}: {content.side_up}",
        content.banner or content.kind.cut_note,
        *content.lay,
        "Distances of the marks: "
        + ", ".join(f"{name} {show_length(d, content.units)}" for name, _, d in marks.distances()),
        *(f"Layer {LOOKS[k].layer}: {words}" for k, words in content.kind.legend if k in LOOKS),
    ]
    out: list[Shape] = [Label(TEXT, x, y - (i + 2) * 2 * LETTER_MM, row, LETTER_MM) for i, row in enumerate(rows)]
    for hole in content.holes:
        out.append(Label(TEXT, hole.x + (hole.diameter + hole.slot) / 2 + 2.0, hole.y + 1.0, hole.called, LETTER_MM))
    return [*out, *(_along(e) for e in content.edge_labels)]


def _along(e: EdgeLabel) -> Label:
    """The edge's words with their middle where the print has it."""
    half = text_width(e.text, LETTER_MM / CAPITAL / MM_PER_POINT) / 2
    a = radians(e.angle)
    return Label(TEXT, e.x - half * cos(a), e.y - half * sin(a), e.text, LETTER_MM, e.angle)
