"""Bend angles along each edge as bars on a strip: up where the flange is closed further than drawn, down where it stands open, the
tolerance as a pair of lines. Verdict by the bar: hollow inside, filled outside, crossed cannot tell.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from ribwright.documents.characteristics import owner_words
from ribwright.documents.edge_ends import end_words, ends_of, start_words
from ribwright.documents.layout import SMALL_PT, Piece, beside, picture, rectangle
from ribwright.documents.lettering import fitted, text_width
from ribwright.documents.page import Item, Line, Polyline, Stroke, Text
from ribwright.stages.found import CANNOT_TELL, INSIDE, OUTSIDE, Judged
from ribwright.stages.plan import Plan
from ribwright.units import Unit, plain, show_length

HALF = 7.0  # of a strip, up and down [mm]
TITLE, UNDER, BETWEEN = 5.0, 4.5, 8.0
AXIS = 15.0  # room for the scale's figures on the left [mm]
GROSS = 4.0  # tolerances: a bar past so many is cut off and says its number
ZERO, LIMIT, BAR, FINE = Stroke(0.3), Stroke(0.15, 0.3), Stroke(0.25), Stroke(0.15)
LEAST_BAR, LARGEST_BAR = 0.7, 2.2
ORDER = (INSIDE, CANNOT_TELL, OUTSIDE)  # the worst is drawn last, over the others
LEGEND = (
    "Up: closed further than drawn; down: open. Between the thin lines: inside the tolerance. Hollow bar: inside; filled: outside; "
    "crossed: cannot tell. Numbers: degrees off nominal."
)


@dataclass(frozen=True)
class _Strip:
    title: str
    long: float
    bars: tuple[tuple[float, Judged], ...]
    ends: tuple[str, str] = ("", "")
    length: str = ""
    under: tuple[str, ...] = ()


def angle_strips(plan: Plan, judged: Sequence[Judged], width: float, first: Unit) -> list[Piece]:
    """A strip an edge with measured bend angles, and one for the flanged holes, two beside each other; nothing where none was measured."""
    angles = [j for j in judged if j.found.quantity == "flange_angle"]
    if not angles:
        return []
    per_degree = HALF / reach_of(angles)
    strips = _strips(plan, angles, first)
    one = (width - BETWEEN) / 2
    done = [_drawn(s, one, per_degree) for s in strips]
    pairs = [done[i : i + 2] for i in range(0, len(done), 2)]
    return [beside(*((k * (one + BETWEEN), [p]) for k, p in enumerate(pair))) for pair in pairs]


def reach_of(angles: Sequence[Judged]) -> float:
    """The largest deviation that a strip holds [deg]: the largest found, at most GROSS tolerances, never less than 1.2 tolerances."""
    allowed = max((max(abs(x - j.found.nominal) for x in j.limits) for j in angles if j.limits), default=0.0)
    most = max(abs(j.found.off) + (j.found.u or 0.0) for j in angles)
    return max(1.2 * allowed, min(most, GROSS * allowed) if allowed > 0 else most, 0.2)


def _strips(plan: Plan, angles: Sequence[Judged], first: Unit) -> list[_Strip]:
    out = []
    ends = ends_of(plan)
    for loop in plan.blank.laid:
        for e in loop.edges:
            mine = [j for j in angles if j.found.where.get("edge") == e.edge.name]
            if mine:
                long = e.drawn.length
                bars = tuple(sorted(((_along(j, long), j) for j in mine), key=lambda b: b[0]))
                name = e.edge.name
                out.append(
                    _Strip(
                        name,
                        long,
                        bars,
                        (start_words(ends, name), end_words(ends, name)),
                        length=show_length(long, first),
                    )
                )
    holes = [j for j in angles if "hole" in j.found.where]
    if holes:
        bars = tuple((k + 0.5, j) for k, j in enumerate(holes))
        names = tuple(owner_words(j.found.where).removeprefix("hole ") for j in holes)
        out.append(_Strip("flanged holes", float(len(holes)), bars, under=names))
    return out


def _along(j: Judged, long: float) -> float:
    return min(max(float(j.found.where.get("along_mm", long / 2)), 0.0), long)


def _drawn(s: _Strip, width: float, per_degree: float) -> Piece:
    """One strip: title, zero line, tolerance, bars with their numbers where there is room, what lies at its ends."""
    room = width - AXIS
    zero = -TITLE - 3.2 - HALF
    title = f"{s.title}, {s.length} long" if s.length else s.title
    items: list[Item] = [Text(0.0, -3.4, fitted(title, 9.0, width, "bold"), 9.0, "bold")]
    items.append(Line(AXIS, zero, width, zero, ZERO))
    if per_degree * _nearest_limit(s) > 3.2:
        items.append(Text(AXIS - 1.5, zero - 1.0, "0", SMALL_PT, anchor="end"))
    items += _limits(s, width, zero, per_degree)
    at = [AXIS + (x / s.long if s.long > 0 else 0.5) * room for x, _ in s.bars]
    apart = median([b - a for a, b in itertools.pairwise(at)] or [room])
    wide = max(LEAST_BAR, min(LARGEST_BAR, 0.7 * apart))
    for x, (_, j) in sorted(zip(at, s.bars, strict=True), key=lambda b: ORDER.index(b[1][1].verdict)):
        items += _bar(min(max(x, AXIS + wide / 2), width - wide / 2), zero, wide, j, per_degree)
    items += _numbers(s, at, zero, per_degree, width, wide)
    low = zero - HALF - 6.2
    for x, words in zip(at, s.under, strict=False):
        items.append(Text(x, low, fitted(words, SMALL_PT, max(apart, 8.0)), SMALL_PT, anchor="middle"))
    if s.ends[0]:
        half = room / 2 - 1.0
        items.append(Text(AXIS, low, fitted(s.ends[0], SMALL_PT, half), SMALL_PT))
        items.append(Text(width, low, fitted(s.ends[1], SMALL_PT, half), SMALL_PT, anchor="end"))
    return picture(items, -low + UNDER - 1.0)


def _nearest_limit(s: _Strip) -> float:
    """The nearest limit from nominal [deg]: its figure must not lie on that of the zero line."""
    return min((abs(x - j.found.nominal) for _, j in s.bars for x in j.limits or ()), default=9.0)


def _limits(s: _Strip, width: float, zero: float, per_degree: float) -> list[Item]:
    """The tolerance lines, with their degrees at the left; of holes beside each bar, as each may have its own."""
    items: list[Item] = []
    if s.under:
        for x, j in s.bars:
            at = AXIS + x / s.long * (width - AXIS)
            for limit in j.limits or ():
                y = zero + (limit - j.found.nominal) * per_degree
                items.append(Line(at - 4.0, y, at + 4.0, y, LIMIT))
        return items
    limits = next(((j.limits, j.found.nominal) for _, j in s.bars if j.limits), None)
    for limit in limits[0] if limits else ():
        off = limit - limits[1] if limits else 0.0
        y = zero + off * per_degree
        items.append(Line(AXIS, y, width, y, LIMIT))
        items.append(Text(AXIS - 1.5, y - 1.0, f"{off:+.3g} deg", SMALL_PT, anchor="end"))
    return items


def _far(j: Judged, per_degree: float) -> float:
    """How far its bar goes [mm]."""
    return min(max(j.found.off * per_degree, -HALF), HALF)


def _bar(x: float, zero: float, wide: float, j: Judged, per_degree: float) -> list[Item]:
    far = _far(j, per_degree)
    x0, x1, tip = x - wide / 2, x + wide / 2, zero + far
    corners = ((x0, zero), (x1, zero), (x1, tip), (x0, tip))
    fill = 0.0 if j.verdict == OUTSIDE else 1.0
    items: list[Item] = [Polyline(corners, True, BAR, fill)]
    if j.verdict == CANNOT_TELL:
        items += [Line(x0, zero, x1, tip, FINE), Line(x0, tip, x1, zero, FINE)]
    return items


def _numbers(s: _Strip, at: Sequence[float], zero: float, per_degree: float, width: float, wide: float) -> list[Item]:
    """Degrees off nominal beyond each bar, the worst first; one that would lie on another or on a bar is left out."""
    items: list[Item] = []
    used: list[tuple[float, float]] = []
    order = sorted(zip(at, s.bars, strict=True), key=lambda b: -abs(b[1][1].found.off))
    for x, (_, j) in order:
        words = plain(j.found.off, 2)
        words = words if words.startswith("-") else f"+{words}"
        half = text_width(words, SMALL_PT) / 2 + 0.5
        x = min(max(x, AXIS + half), width - half)
        far = _far(j, per_degree)
        low = zero + far + (0.9 if j.found.off >= 0 else -3.1)
        tips = [
            zero + _far(other, per_degree)
            for at_, (_, other) in order
            if other is not j and abs(at_ - x) < half + 0.5 * wide
        ]
        over = any(min(tip, zero) < low + 2.5 and max(tip, zero) > low - 0.4 for tip in tips)
        if over or any(abs(x - other) < half + room for other, room in used):
            continue
        used.append((x, half))
        items.append(rectangle(x - half + 0.3, low - 0.4, 2 * half - 0.6, 2.9, None, 1.0))
        items.append(Text(x, low, words, SMALL_PT, anchor="middle"))
    return items
