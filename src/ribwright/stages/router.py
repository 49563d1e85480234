"""A template for routing by a guide bushing: the part's edge set over into the metal by half of bushing less cutter.

The bushing (diameter B) rides along the template and carries the cutter (diameter C) on its own centre; the cut edge
then lies (B - C)/2 outside the template's edge. An outer edge is set over inward, an opening outward: both into the metal.
    inside corner of radius r < C/2    the cutter does not reach it: metal is left standing
    outside corner of radius r < e     the bushing rolls round the template's corner: the cut is rounded to e = (B - C)/2
At a corner between two edges phi apart, measured in the air (inside corner) or in the metal (outside corner), the deepest
point of what is left or lost is (radius - r)(1/sin(phi/2) - 1).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import degrees, hypot, pi, sin

import numpy as np

from ribwright.errors import Fault, InputError, UnitError
from ribwright.geometry.inset import Piece, inset, pieces_of, turn_at
from ribwright.geometry.path import Pair, Path
from ribwright.units import length_mm

EXAMPLE = '"0.500 in bushing, 0.250 in cutter"'
CORNER_DEG = 5.0  # a turn under this is no corner
LEAST = 0.05  # what is left or lost by less is not told [mm]
SAME_PLACE = 0.5  # two corners nearer than this are one [mm]
_MIDDLE = np.array([0.5])


@dataclass(frozen=True)
class Router:
    """Outside diameter of the guide bushing and diameter of the cutter [mm]; `typed` as the person wrote it."""

    bushing: float
    cutter: float
    typed: str = ""

    @property
    def set_over(self) -> float:
        """Cut edge to template edge, into the metal [mm]."""
        return (self.bushing - self.cutter) / 2


@dataclass(frozen=True)
class TightCorner:
    """A corner that does not come out as drawn: where, its radius [mm], `inside` (metal left) or outside (metal lost),
    and how much at its deepest [mm]; None: the cutter does not get in at all."""

    at: Pair
    radius: float
    inside: bool
    depth: float | None


@dataclass(frozen=True)
class RouterTemplate:
    """`loops` set over, in the order they were given, and the corners to finish by hand."""

    loops: tuple[Path, ...]
    corners: tuple[TightCorner, ...]


def read_router(text: str) -> Router:
    """'0.500 in bushing, 0.250 in cutter' or '0.500 in, 0.250 in'. InputError when it is not two lengths with units, or
    the cutter does not pass through the bushing."""
    words = [w.strip() for w in text.split(",")]
    allowed = f"bushing and cutter diameter, each with its unit, like {EXAMPLE}"
    if len(words) != 2:
        raise _wrong(text, allowed)
    try:
        bushing = length_mm(words[0].removesuffix("bushing").strip())
        cutter = length_mm(words[1].removesuffix("cutter").strip())
    except UnitError:
        raise _wrong(text, allowed) from None
    if not 0 < cutter <= bushing:
        raise _wrong(text, "a cutter over 0 and no larger than its bushing, the bushing first")
    return Router(bushing, cutter, text.strip())


def router_template(loops: Sequence[Path], router: Router) -> RouterTemplate:
    """The loops (outer first, counter-clockwise; openings clockwise) set over into the metal. InputError when nothing
    that could be clamped is left, or it falls apart."""
    made = inset(loops, router.set_over)
    if made is None or any(_turned_over(a, b) for a, b in zip(loops, made, strict=True)) or _apart(loops, made):
        raise _wrong(router.typed, "a bushing and cutter nearer in size: set over this far, the template is eaten up")
    corners = [c for loop in loops for c in _corners(pieces_of(loop), router)]
    return RouterTemplate(made, tuple(_once(corners)))


def _wrong(found: str, allowed: str) -> InputError:
    return InputError([Fault("command line", "--router", repr(found), allowed)])


def _turned_over(before: Path, after: Path) -> bool:
    return before.area() * after.area() <= 0


def _apart(before: Sequence[Path], after: Sequence[Path]) -> bool:
    """True when the metal fell into several pieces: one ring cannot hold the erosion of each of them."""
    import shapely

    metal = shapely.Polygon(after[0].chords(0.01), [p.chords(0.01) for p in after[1:]])
    return not metal.is_valid or metal.is_empty


def _corners(loop: list[Piece], router: Router) -> list[TightCorner]:
    out: list[TightCorner] = []
    for i, p in enumerate(loop):
        turn = turn_at(loop[i - 1], p)
        if abs(degrees(turn)) >= CORNER_DEG:
            out.append(_tight(p.start, 0.0, turn, router))
    for p in _whole_arcs(loop):
        least = router.set_over if p.sweep > 0 else router.cutter / 2
        if p.radius < least - 1e-6 and abs(degrees(p.sweep)) >= CORNER_DEG:
            x, y = p.at(_MIDDLE)[0]
            out.append(_tight((float(x), float(y)), p.radius, p.sweep, router))
    return [c for c in out if c.depth is None or c.depth > LEAST]


def _whole_arcs(loop: list[Piece]) -> list[Piece]:
    """The arcs of a loop, neighbours about one centre as one."""
    out: list[Piece] = []
    for p in loop:
        last = out[-1] if out else None
        if not p.radius:
            continue
        if last is not None and p.start == last.end and _same_circle(last, p):
            out[-1] = replace(last, end=p.end, sweep=last.sweep + p.sweep)
        else:
            out.append(p)
    return out


def _same_circle(a: Piece, b: Piece) -> bool:
    apart = hypot(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1])
    return apart < 1e-3 and abs(a.radius - b.radius) < 1e-3 and a.sweep * b.sweep > 0


def _tight(at: Pair, radius: float, turn: float, router: Router) -> TightCorner:
    inside = turn < 0
    least = router.cutter / 2 if inside else router.set_over
    between = pi - abs(turn)
    depth = None if between <= 1e-6 else (least - radius) * (1 / sin(between / 2) - 1)
    return TightCorner(at, radius, inside, depth)


def _once(corners: list[TightCorner]) -> list[TightCorner]:
    """Corners at one place told once, the deepest of each kind."""
    out: list[TightCorner] = []
    for c in sorted(corners, key=lambda c: -1e9 if c.depth is None else -c.depth):
        near = (o for o in out if o.inside == c.inside and hypot(o.at[0] - c.at[0], o.at[1] - c.at[1]) < SAME_PLACE)
        if next(near, None) is None:
            out.append(c)
    return sorted(out, key=lambda c: (not c.inside, c.at))
