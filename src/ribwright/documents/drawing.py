"""A drawing for a cutter or another drawing program: closed contours of true lines and arcs, circles, labels; mm."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ribwright.geometry.path import Path, Vertex
from ribwright.units import MM_PER_IN, Unit

OUTLINE, TANGENT, HOLE, PIN, TEXT = "OUTLINE", "TANGENT", "HOLE", "PIN", "TEXT"
WEB_FACE, FOOT, STOP, COVER_PLATE = "WEB_FACE", "FOOT", "STOP", "COVER_PLATE"
INSIDE_MOLD, FREE_EDGE, PART_EDGE = "INSIDE_MOLD", "FREE_EDGE", "PART_EDGE"
DATUM, PROOF, CIRCLES = "DATUM", "PROOF", "CIRCLES"
FLUTES, NOTCHES, BEADS = "FLUTES", "NOTCHES", "BEADS"
LAYERS = (
    OUTLINE,
    TANGENT,
    HOLE,
    PIN,
    TEXT,
    WEB_FACE,
    FOOT,
    STOP,
    COVER_PLATE,
    INSIDE_MOLD,
    FREE_EDGE,
    PART_EDGE,
    DATUM,
    PROOF,
    CIRCLES,
    FLUTES,
    NOTCHES,
    BEADS,
)

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Contour:
    """Lines and arcs through (x, y, bulge) vertices [mm]; bulge = tan(included angle / 4), + = counter-clockwise."""

    layer: str
    vertices: tuple[Vertex, ...]
    closed: bool = True


@dataclass(frozen=True)
class Ring:
    """A circle of radius r [mm]."""

    layer: str
    x: float
    y: float
    r: float


@dataclass(frozen=True)
class Label:
    """One line of print, its base line starting at (x, y), capitals `height` [mm] high, turned by `angle` [deg]."""

    layer: str
    x: float
    y: float
    text: str
    height: float = 3.0
    angle: float = 0.0


Shape = Contour | Ring | Label


@dataclass(frozen=True)
class Drawing:
    """Shapes in the part's own coordinates. `title` goes into the file's description; `unit` is what its numbers are in."""

    items: tuple[Shape, ...]
    title: str = ""
    unit: Unit = "mm"

    def bounds(self) -> Box:
        """(left, bottom, right, top) of contours and circles, labels by their starting points [mm]."""
        boxes = [_box(item) for item in self.items] or [(0.0, 0.0, 0.0, 0.0)]
        lefts, bottoms, rights, tops = zip(*boxes, strict=True)
        return min(lefts), min(bottoms), max(rights), max(tops)


def crossed(drawing: Drawing, sentence: str) -> Drawing:
    """The drawing with a big X over it on layer STOP and the sentence as text above it on layer TEXT."""
    x0, y0, x1, y1 = drawing.bounds()
    # a letter is about as wide as a capital is high: as large as fits over the drawing, within reason
    height = min(12.0, max(5.0, (x1 - x0) / (len(sentence) + 6)))
    bars = (
        Contour(STOP, ((x0, y0, 0.0), (x1, y1, 0.0)), False),
        Contour(STOP, ((x0, y1, 0.0), (x1, y0, 0.0)), False),
    )
    words = Label(TEXT, x0, y1 + 2 * height, f"STOP: {sentence}", height)
    return replace(drawing, items=(*drawing.items, *bars, words))


def in_unit(drawing: Drawing, unit: Unit) -> Drawing:
    """A drawing in mm with every number in the unit asked for; bulges and angles stay."""
    if unit == drawing.unit:
        return drawing
    k = 1 / MM_PER_IN if unit == "in" else MM_PER_IN
    return replace(drawing, items=tuple(_scaled(item, k) for item in drawing.items), unit=unit)


def _scaled(item: Shape, k: float) -> Shape:
    if isinstance(item, Contour):
        return replace(item, vertices=tuple((x * k, y * k, bulge) for x, y, bulge in item.vertices))
    if isinstance(item, Ring):
        return replace(item, x=item.x * k, y=item.y * k, r=item.r * k)
    return replace(item, x=item.x * k, y=item.y * k, height=item.height * k)


def _box(item: Shape) -> Box:
    if isinstance(item, Ring):
        return item.x - item.r, item.y - item.r, item.x + item.r, item.y + item.r
    points = [(item.x, item.y)] if isinstance(item, Label) else Path(item.vertices, item.closed).chords(0.01)
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)
