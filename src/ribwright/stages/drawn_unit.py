"""The unit of a drawing, which its header is never believed about: a person confirms a length that they know.

`36 in = width` says that the contour is 36 in wide. What one number of the drawing then is must be a unit that drawings are made in;
the length only picks it, the drawing is never stretched to fit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import hypot

from ribwright.errors import Fault, UnitError, nearest
from ribwright.features.drawn_lines import ARC, CIRCLE, DrawnFile, Piece, Point
from ribwright.units import LENGTHS, MM_PER_IN, length_mm, plain

EXTENTS = ("outline", "width", "height")
# a length that is off by more than the first is said, by more than the second is not that length
SAID, MOST_OFF = 0.0005, 0.005
ALLOWED = (
    '--length with one length you know, like "36 in = width" (height, outline: the longer of the two), '
    '"36 in = 0,0 to 36,0" (two drawn points) or "0.25 in = circle 4,2" (a diameter)'
)
_NUMBER = r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
_POINT = rf"\(?\s*({_NUMBER})\s*,\s*({_NUMBER})\s*\)?"
_TWO = re.compile(rf"{_POINT}\s+to\s+{_POINT}")
_CIRCLE = re.compile(rf"circle(?:\s+at)?\s+{_POINT}")


@dataclass(frozen=True)
class KnownLength:
    """A length that a person confirmed: as typed, its size [mm], and how many numbers of the drawing it is there."""

    typed: str
    mm: float
    drawn: float

    @property
    def mm_each(self) -> float:
        """What one number of the drawing is [mm]."""
        return self.mm / self.drawn


@dataclass(frozen=True)
class Confirmed:
    """The unit of the drawing: its name, its size [mm], the lengths that say so."""

    name: str
    mm: float
    lengths: tuple[KnownLength, ...]

    def off(self, length: KnownLength) -> float:
        """How much longer the drawing has it than it was said to be [mm]."""
        return length.drawn * self.mm - length.mm


def extents(pieces: list[Piece]) -> tuple[Point, Point]:
    """((left, right), (bottom, top)) of the pieces, arcs and circles by their true reach, in the drawing's numbers."""
    xs, ys = [], []
    for piece in pieces:
        for x, y in _reach(piece):
            xs.append(x)
            ys.append(y)
    return (min(xs), max(xs)), (min(ys), max(ys))


def both_readings(pieces: list[Piece]) -> str:
    """How large the contour would be, its numbers taken as mm and as inches."""
    (left, right), (bottom, top) = extents(pieces)
    w, h = right - left, top - bottom
    metric = f"in mm {plain(w, 2)} x {plain(h, 2)} mm ({plain(w / MM_PER_IN, 3)} x {plain(h / MM_PER_IN, 3)} in)"
    inches = f"in inches {plain(w, 3)} x {plain(h, 3)} in ({plain(w * MM_PER_IN, 1)} x {plain(h * MM_PER_IN, 1)} mm)"
    return f"{w:.6g} x {h:.6g} in its own numbers; read {metric}, read {inches}"


def confirmed(
    drawn: DrawnFile, contour: list[Piece], circles: list[Piece], typed: tuple[str, ...]
) -> tuple[Confirmed | None, list[Fault]]:
    """(the unit, faults). `contour`: the pieces that the web's contour is made of."""
    claim = f'its header says "{drawn.unit}"' if drawn.unit else "its header names no unit"
    if not typed:
        found = f"a drawing {both_readings(contour)}; {claim}, and headers are often wrong"
        return None, [Fault(drawn.file, "the unit", found, ALLOWED)]
    faults: list[Fault] = []
    lengths = [known for text in typed if (known := _length(text, contour, circles, drawn, faults)) is not None]
    if faults or not lengths:
        return None, faults
    units = [_unit(length) for length in lengths]
    faults += [_no_unit(length, claim, contour) for length, unit in zip(lengths, units, strict=True) if unit is None]
    named = {unit for unit in units if unit is not None}
    if len(named) > 1 and not faults:
        said = "; ".join(
            f"{x.typed!r} makes a number of the drawing 1 {u}" for x, u in zip(lengths, units, strict=True)
        )
        faults.append(
            Fault("command line", "--length", said, "lengths that agree; a drawing in two units is mended first")
        )
    if faults or units[0] is None:
        return None, faults
    return Confirmed(units[0], LENGTHS[units[0]], tuple(lengths)), []


# ---- one length


def _length(
    text: str, contour: list[Piece], circles: list[Piece], drawn: DrawnFile, faults: list[Fault]
) -> KnownLength | None:
    said, equals, what = (part.strip() for part in text.rpartition("="))
    if not equals:
        faults.append(Fault("command line", "--length", repr(text), ALLOWED))
        return None
    try:
        mm = length_mm(said)
    except UnitError as error:
        faults.append(Fault("command line", "--length", error.found, error.allowed))
        return None
    size = _drawn_size(what.lower(), contour, circles, drawn, faults)
    if size is None:
        return None
    if mm <= 0 or size <= 0:
        faults.append(Fault("command line", "--length", repr(text), "a length above 0, of something that has one"))
        return None
    return KnownLength(text, mm, size)


def _drawn_size(
    what: str, contour: list[Piece], circles: list[Piece], drawn: DrawnFile, faults: list[Fault]
) -> float | None:
    """The number of the drawing that `what` means."""
    (left, right), (bottom, top) = extents(contour)
    sizes = {"width": right - left, "height": top - bottom, "outline": max(right - left, top - bottom)}
    if what in sizes:
        return sizes[what]
    near = 1e-3 * max(sizes["outline"], 1e-300)
    if hit := _TWO.fullmatch(what):
        numbers = [float(v) for v in hit.groups()]
        ends = [_nearest(drawn.pieces, (x, y)) for x, y in (numbers[:2], numbers[2:])]
        for (at, far), typed in zip(ends, (numbers[:2], numbers[2:]), strict=True):
            if far > near:
                found = f"({typed[0]:g}, {typed[1]:g}), where nothing is drawn; the nearest point is ({at[0]:.6g}, {at[1]:.6g})"
                faults.append(Fault("command line", "--length", found, "the ends of lines or centres of circles"))
                return None
        (a, _), (b, _) = ends
        return hypot(b[0] - a[0], b[1] - a[1])
    if hit := _CIRCLE.fullmatch(what):
        return _diameter((float(hit[1]), float(hit[2])), circles, near, faults)
    faults.append(Fault("command line", "--length", repr(what), ALLOWED, nearest(what, EXTENTS)))
    return None


def _diameter(at: Point, circles: list[Piece], near: float, faults: list[Fault]) -> float | None:
    def far(c: Piece) -> float:
        return hypot(c.points[0][0] - at[0], c.points[0][1] - at[1])

    here = sorted(2 * _radius(c) for c in circles if far(c) <= near)
    # the same circle drawn twice is one
    if here and here[-1] - here[0] <= near:
        return here[0]
    found = f"{len(here)} circles of several sizes" if here else "no circle"
    faults.append(Fault("command line", "--length", f"{found} at ({at[0]:g}, {at[1]:g})", "the centre of one circle"))
    return None


def _radius(circle: Piece) -> float:
    (x0, y0), (x1, y1) = circle.points
    return hypot(x1 - x0, y1 - y0)


def _nearest(pieces: tuple[Piece, ...], at: Point) -> tuple[Point, float]:
    """(the drawn end or centre nearest to a point, its distance)."""
    ends = [p for piece in pieces for p in (piece.points[0], piece.points[0 if piece.kind == CIRCLE else -1])]
    best = min(ends, key=lambda p: hypot(p[0] - at[0], p[1] - at[1]))
    return best, hypot(best[0] - at[0], best[1] - at[1])


# ---- its unit


def _unit(length: KnownLength) -> str | None:
    """The unit of drawings that the length makes of one number, or None."""
    return next((name for name, mm in LENGTHS.items() if abs(length.mm_each / mm - 1) <= MOST_OFF), None)


def _no_unit(length: KnownLength, claim: str, contour: list[Piece]) -> Fault:
    each = length.mm_each
    hint = ""
    for factor, words in ((MM_PER_IN**2, "25.4 times too small"), (1 / MM_PER_IN, "25.4 times too large")):
        if abs(each / factor - 1) <= MOST_OFF:
            hint = f"; the drawing is {words}: its unit was changed once too often"
    found = (
        f"{length.typed!r}, which is {length.drawn:.6g} in the drawing: one number would be {each:.5g} mm, "
        f"{each / MM_PER_IN:.5g} in{hint} ({claim}); the contour is {both_readings(contour)}"
    )
    allowed = f"a length that makes it one of {', '.join(f'1 {name}' for name in LENGTHS)}, within {100 * MOST_OFF:g} %"
    return Fault("command line", "--length", found, allowed)


def _reach(piece: Piece) -> list[Point]:
    """Points that a piece reaches farthest with along x and y."""
    if piece.kind == CIRCLE:
        (x, y), r = piece.points[0], _radius(piece)
        return [(x - r, y - r), (x + r, y + r)]
    if piece.kind != ARC:
        return list(piece.points)
    return [*piece.points, *_quadrants(piece)]


def _quadrants(piece: Piece) -> list[Point]:
    """The leftmost, rightmost, lowest and highest points of an arc's circle that lie on the arc."""
    from math import cos, pi, sin

    from ribwright.geometry.curve import Arc

    try:
        arc = Arc.through(*piece.points)
    except (ValueError, ZeroDivisionError):  # flat, or without size
        return []
    out = []
    for k in range(-4, 9):
        t = k * pi / 2
        along = (t - arc.start) / arc.sweep
        if 0 <= along <= 1:
            out.append((arc.centre[0] + arc.radius * cos(t), arc.centre[1] + arc.radius * sin(t)))
    return out
