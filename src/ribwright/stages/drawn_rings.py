"""Lines of a drawing, in mm, chained into closed rings; what was drawn twice or badly closed is said or refused."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault
from ribwright.features.drawn_lines import ARC, CIRCLE, LINE, Piece, Point
from ribwright.geometry.chain import Chains, Gap, Ring, chained
from ribwright.geometry.overlap import arcs_on_arcs, united_lines
from ribwright.stages.drawn_segment import Segment
from ribwright.stages.finding import Finding
from ribwright.units import MM_PER_IN, Unit, show_length

MOST_NAMED, MOST_LOOSE = 8, 300
# ends farther apart than this share of the chain between them are no gap of an outline
STRAY = 0.2
# an arc with a smaller sagitta [mm], or one that is a smaller share of its chord, is a line: three points no longer tell it from one
FLAT_MM, FLAT = 1e-7, 1e-9
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Placer:
    """How places and sizes are told: in the unit that the part file will be in."""

    file: str
    unit: Unit

    def at(self, point: Sequence[float]) -> str:
        """'(12.5, 4) in'."""
        k = MM_PER_IN if self.unit == "in" else 1.0
        return f"({point[0] / k:.6g}, {point[1] / k:.6g}) {self.unit}"

    def size(self, mm: float) -> str:
        """'0.012 in (0.30 mm)', or a small one with its digits: '0.0042 mm'."""
        if abs(mm) >= 0.1:
            return show_length(mm, self.unit)
        return f"{mm:.3g} mm" if self.unit == "mm" else f"{mm / MM_PER_IN:.2g} in ({mm:.3g} mm)"

    def some(self, clauses: Sequence[str]) -> str:
        """The first of them, and how many more."""
        more = len(clauses) - MOST_NAMED
        return "; ".join([*clauses[:MOST_NAMED], *([f"and {more} more"] if more > 0 else [])])


def scaled(piece: Piece, k: float) -> Piece:
    """The piece with its numbers times k; an arc that is flat within what numbers hold becomes a line."""
    points = tuple((x * k, y * k) for x, y in piece.points)
    kind = piece.kind
    if kind == ARC:
        arc = Segment(ARC, points, "")
        if abs(arc.bulge) * arc.chord / 2 < max(FLAT_MM, FLAT * arc.chord) < arc.chord:
            kind, points = LINE, (points[0], points[2])
    return Piece(kind, points, piece.layer, piece.source)


def rings_of(
    pieces: list[Piece], tolerance: float, what: str, place: Placer
) -> tuple[list[list[Segment]], list[Finding], list[Fault]]:
    """(rings, findings, faults) of pieces in mm. `what` they draw: "the contour", "the holes". A circle is a ring of two arcs."""
    circles, lines = [p for p in pieces if p.kind == CIRCLE], [p for p in pieces if p.kind != CIRCLE]
    circles, findings = circles_once(circles, tolerance, place)
    lines, chains, united = _united(lines, _chained(lines, tolerance), tolerance, what, place)
    rings = [_segments(ring, lines) for ring in chains.rings] + [_two_arcs(c) for c in circles]
    faults = _faults(chains, lines, what, place, tolerance)
    return rings, [*findings, *united, *_findings(chains, lines, what, place)], faults


def circles_once(circles: list[Piece], tolerance: float, place: Placer) -> tuple[list[Piece], list[Finding]]:
    """The circles, those drawn twice once."""
    kept: list[Piece] = []
    twice: list[Point] = []
    cells: dict[tuple[int, int, int], list[Piece]] = {}
    cell = max(tolerance, 1e-9)
    for circle in circles:
        (x, y), r = circle.points[0], circle_radius(circle)
        i, j, k = (round(v / cell) for v in (x, y, r))
        near = [
            c for a in (-1, 0, 1) for b in (-1, 0, 1) for d in (-1, 0, 1) for c in cells.get((i + a, j + b, k + d), ())
        ]
        if any(hypot(c.points[0][0] - x, c.points[0][1] - y) + abs(circle_radius(c) - r) <= tolerance for c in near):
            twice.append((x, y))
            continue
        cells.setdefault((i, j, k), []).append(circle)
        kept.append(circle)
    return kept, [_said_twice("circles", twice, place)] if twice else []


def circle_radius(circle: Piece) -> float:
    """Radius of a piece of kind circle."""
    (x0, y0), (x1, y1) = circle.points
    return hypot(x1 - x0, y1 - y0)


# ---- chaining


def _chained(lines: list[Piece], tolerance: float) -> Chains:
    ends = np.array([(p.points[0], p.points[-1]) for p in lines], float).reshape(-1, 2, 2)
    halves = [_half(p) for p in lines]
    middles = np.array([m for m, _ in halves], float).reshape(-1, 2)
    return chained(ends, middles, np.array([s for _, s in halves], float), tolerance)


def _half(piece: Piece) -> tuple[Point, float]:
    """(the point half way along, the length)."""
    if piece.kind == LINE:
        (x0, y0), (x1, y1) = piece.points
        return ((x0 + x1) / 2, (y0 + y1) / 2), hypot(x1 - x0, y1 - y0)
    length = Segment(piece.kind, piece.points, "").length()
    if piece.kind == ARC:
        return piece.points[1], length
    points = np.array(piece.points)
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    x, y = (float(np.interp(length / 2, s, points[:, k])) for k in (0, 1))
    return (x, y), length


def _segments(ring: Ring, lines: list[Piece]) -> list[Segment]:
    """The ring's pieces in the direction of travel, their ends on the joints."""
    joints = [(float(x), float(y)) for x, y in ring.joints]
    out = []
    for i, index in enumerate(ring.pieces.tolist()):
        piece = lines[index]
        points = piece.points[::-1] if ring.turned[i] else piece.points
        out.append(Segment(piece.kind, (joints[i], *points[1:-1], joints[(i + 1) % len(joints)]), piece.layer))
    return out


def _two_arcs(circle: Piece) -> list[Segment]:
    (x, y), r = circle.points[0], circle_radius(circle)
    e, n, w, s = (x + r, y), (x, y + r), (x - r, y), (x, y - r)
    return [Segment(ARC, (e, n, w), circle.layer), Segment(ARC, (w, s, e), circle.layer)]


def _united(
    lines: list[Piece], first: Chains, tolerance: float, what: str, place: Placer
) -> tuple[list[Piece], Chains, list[Finding]]:
    """(lines, chains, findings) with straight lines that overlap made one. Only looked for where a chain is open: an overlap opens it."""
    hung = _beside([i for walk in first.open for i in walk if lines[i].kind == LINE], lines, tolerance)
    if not hung:
        return lines, first, []
    groups = united_lines(np.array([lines[i].points for i in hung], float), tolerance)
    gone = {hung[k] for g in groups for k in g.lines}
    new = [replace(lines[hung[g.lines[0]]], points=(g.start, g.end)) for g in groups]
    if not groups:
        return lines, first, []
    clauses = [f"{place.size(g.twice)} of it between {place.at(g.start)} and {place.at(g.end)}" for g in groups]
    finding = Finding(
        "drawing-overlap",
        "warn",
        f"In {what} lines lie on one another and are taken as one: {place.some(clauses)}.",
        "Look whether one of them was meant for something else.",
        {"at_mm": [list(g.start) for g in groups[:MOST_NAMED]]},
        value=float(len(groups)),
        source="the drawing",
    )
    left = [p for i, p in enumerate(lines) if i not in gone] + new
    return left, _chained(left, tolerance), [finding]


def _beside(hung: list[int], lines: list[Piece], tolerance: float) -> list[int]:
    """The lines that hang loose, with the straight ones that any of them has its middle or an end on."""
    if not 0 < len(hung) <= MOST_LOOSE:
        return []
    straight = [i for i, p in enumerate(lines) if p.kind == LINE]
    ends = np.array([lines[i].points for i in straight], float)
    run = ends[:, 1] - ends[:, 0]
    size2 = np.maximum(np.sum(run * run, axis=1), 1e-300)
    near = np.isin(straight, hung)
    for i in hung:
        (x0, y0), (x1, y1) = lines[i].points
        for p in ((x0, y0), (x1, y1), ((x0 + x1) / 2, (y0 + y1) / 2)):
            t = np.clip(np.sum((p - ends[:, 0]) * run, axis=1) / size2, 0.0, 1.0)
            near |= np.hypot(*(ends[:, 0] + t[:, None] * run - p).T) <= tolerance
    return [straight[k] for k in np.flatnonzero(near)]


# ---- what is said


def _findings(chains: Chains, lines: list[Piece], what: str, place: Placer) -> list[Finding]:
    out = []
    if chains.empty:
        out.append(
            Finding(
                "drawing-without-length",
                "note",
                f"{len(chains.empty)} lines without length in {what} are left out.",
                value=float(len(chains.empty)),
                source="the drawing",
            )
        )
    if chains.twice:
        out.append(_said_twice("lines", [_half(lines[dropped])[0] for _, dropped in chains.twice], place))
    if chains.joined:
        worst = max(chains.joined, key=lambda g: g.size)
        ordered = sorted(chains.joined, key=lambda g: -g.size)
        out.append(
            Finding(
                "drawing-gap-joined",
                "warn",
                f"In {what} {len(ordered)} gaps were closed half way between their ends: "
                + place.some([f"{place.size(g.size)} at {place.at(g.at)}" for g in ordered])
                + ".",
                "A gap over what the drawing's decimals explain is a slip of the drawing: look at it there.",
                {"at_mm": list(worst.at)},
                value=worst.size,
                unit="mm",
                source="the drawing",
            )
        )
    return out


def _said_twice(what: str, at: list[Point], place: Placer) -> Finding:
    return Finding(
        "drawing-drawn-twice",
        "note",
        f"{len(at)} {what} are drawn twice and are taken once: {place.some([place.at(p) for p in at])}.",
        where={"at_mm": [list(p) for p in at[:MOST_NAMED]]},
        value=float(len(at)),
        source="the drawing",
    )


def _faults(chains: Chains, lines: list[Piece], what: str, place: Placer, tolerance: float) -> list[Fault]:
    join = f"ends that meet within {place.size(tolerance)} (--join says how far; the drawing is the better place)"
    out = [
        Fault(
            place.file, what, f"{place.size(twice)} of an arc drawn twice at {place.at(at)}", "arcs that do not overlap"
        )
        for at, twice in _arcs_twice(chains, lines, tolerance)
    ]
    for gap in sorted(chains.gaps, key=lambda g: g.size)[:MOST_NAMED]:
        out.append(Fault(place.file, what, _gap_words(gap, chains, lines, place), join))
    for at, n in chains.branches[:MOST_NAMED]:
        found = f"{n} lines that meet at {place.at(at)}"
        out.append(Fault(place.file, what, found, "two at each point: a branch does not say which way the line goes"))
    over = max(len(chains.gaps) - MOST_NAMED, 0) + max(len(chains.branches) - MOST_NAMED, 0)
    if over > 0:
        out.append(Fault(place.file, what, f"{over} more gaps and branches", join))
    if chains.open and not out:
        at = lines[chains.open[0][0]].points[0]
        out.append(Fault(place.file, what, f"a line at {place.at(at)} that belongs to nothing closed", join))
    return out


def _gap_words(gap: Gap, chains: Chains, lines: list[Piece], place: Placer) -> str:
    """A gap; of a chain whose ends lie far apart for its length that it is no outline at all."""
    ends = f"between {place.at(gap.at)} and {place.at(gap.to)}"
    if gap.chain >= 0:
        walk = chains.open[gap.chain]
        if gap.size > STRAY * sum(_half(lines[i])[1] for i in walk):
            many = f" of {len(walk)} pieces" if len(walk) > 1 else ""
            return f"a line{many} {ends} that closes nowhere: is it on the right layer?"
    return f"a gap of {place.size(gap.size)} {ends}"


def _arcs_twice(chains: Chains, lines: list[Piece], tolerance: float) -> list[tuple[Point, float]]:
    """(place, length drawn twice [mm]) of arcs in open chains that lie on others."""
    from ribwright.geometry.curve import Arc

    loose = {i for walk in chains.open for i in walk}
    if not any(lines[i].kind == ARC for i in loose):
        return []
    balls = []
    for i in sorted(loose | {int(k) for ring in chains.rings for k in ring.pieces}):
        if lines[i].kind == ARC:
            with suppress(ValueError, ZeroDivisionError):
                balls.append((i, Arc.through(*lines[i].points)))
    x = np.array([(*b.centre, b.radius, b.start, b.sweep) for _, b in balls], float).reshape(-1, 5)
    found = arcs_on_arcs(x[:, :2], x[:, 2], x[:, 3], x[:, 4], tolerance)
    rows = [(balls[i][0], balls[j][0], twice) for i, j, twice in found if {balls[i][0], balls[j][0]} & loose]
    return [(lines[i if i in loose else j].points[1], twice) for i, j, twice in rows][:MOST_NAMED]
