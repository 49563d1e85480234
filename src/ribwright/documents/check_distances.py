"""Four marks around a drawing whose distances prove a print: along x, along y and across."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, hypot

from ribwright.documents.page import Item, Pair, Polyline, Stroke, Text
from ribwright.units import MM_PER_IN, Unit

CLEAR = 8.0  # least distance between the drawing and a mark [mm]
ARM = 4.0  # half size of a mark [mm]
ROOM = ARM + 1.0  # a mark and its letter reach no further out than this [mm]
LIMIT_MM, LIMIT_IN = 0.5, 0.02

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class CheckMarks:
    """Marks M1 (lower left, a), M2 (lower right, b), M3 (upper right, c), M4 (upper left, d) [mm]."""

    a: Pair
    b: Pair
    c: Pair
    d: Pair

    @property
    def named(self) -> tuple[tuple[str, Pair], ...]:
        """(name, place) of the four marks."""
        return (("M1", self.a), ("M2", self.b), ("M3", self.c), ("M4", self.d))

    def distances(self) -> tuple[tuple[str, str, float], ...]:
        """The three distances to measure: (from and to, what it proves, nominal [mm])."""
        pairs = (("M1 to M2", "along x", self.b), ("M1 to M4", "along y", self.d), ("M1 to M3", "across", self.c))
        return tuple((name, what, hypot(p[0] - self.a[0], p[1] - self.a[1])) for name, what, p in pairs)

    def box(self) -> Box:
        """What must be printed for the marks to be whole (left, bottom, right, top) [mm]."""
        return self.a[0] - ROOM, self.a[1] - ROOM, self.c[0] + ROOM, self.c[1] + ROOM

    def items(self) -> tuple[Item, ...]:
        """Triangles, tip on the mark, body away from the drawing in y; each name beside the body."""
        out: list[Item] = []
        for letter, (x, y) in self.named:
            left = x == self.a[0]
            base = y - 3.8 if y == self.a[1] else y + 1.0
            out.append(Polyline(triangle((x, y), y == self.a[1]), True, Stroke(0.18)))
            out.append(Text(x + (3.2 if left else -3.2), base, letter, 11, "bold", "start" if left else "end"))
        return tuple(out)


def triangle(tip: Pair, below: bool, size: float = ARM) -> tuple[Pair, Pair, Pair]:
    """A triangle with its tip at a point and its body below or above it."""
    base = tip[1] - size if below else tip[1] + size
    return tip, (tip[0] - 0.6 * size, base), (tip[0] + 0.6 * size, base)


def check_marks(box: Box, first: Unit) -> CheckMarks:
    """Marks at the corners of a rectangle around the box (left, bottom, right, top) [mm], its sides whole half inches or
    whole tens of mm in the shop's unit, so that they read plainly off a rule."""
    step = MM_PER_IN / 2 if first == "in" else 10.0
    w, h = (step * ceil((size + 2 * CLEAR) / step - 1e-9) for size in (box[2] - box[0], box[3] - box[1]))
    x, y = (box[0] + box[2] - w) / 2, (box[1] + box[3] - h) / 2
    return CheckMarks((x, y), (x + w, y), (x + w, y + h), (x, y + h))
