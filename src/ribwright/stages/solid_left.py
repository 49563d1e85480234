"""What of a solid is not in the part that was made of it: faces that no flange, hole or edge accounts for, and openings in flanges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.solid_faces import SolidEdge
from ribwright.stages.finding import Finding
from ribwright.stages.solid_part import DrawnPart
from ribwright.stages.solid_ring import Seen
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
MOST_NAMED = 8
ODD, PAST = "faces that are no flange, hole or edge of the web", "sheet that goes on past a flange"


@dataclass(frozen=True, eq=False)
class Left:
    """Something of the solid that the part does not say: `what`, its box [mm] in the part's frame (z = 0 the heel face), its faces, and
    the box of each (k, 2, 3)."""

    what: str
    low: Array
    high: Array
    faces: frozenset[int]
    boxes: Array

    @property
    def middle(self) -> tuple[float, float]:
        """Its middle in plan."""
        m = (self.low + self.high) / 2
        return float(m[0]), float(m[1])


def left_over(view: Seen, part: DrawnPart) -> tuple[Left, ...]:
    """What is not understood, the largest first."""
    taken = _taken(view, part)
    openings = _openings(view, part)
    inner = {f for o in openings for f in o.faces}
    loose = {f.number for f in view.solid.faces} - taken - inner
    flanges = {f for s in part.strips for f in s.faces}
    groups = [_box(view, g, PAST if _touches(view, g, flanges) else ODD) for g in _groups(view, loose)]
    return tuple(sorted((*groups, *openings), key=lambda x: -float(np.prod(x.high - x.low + 0.01))))


def left_finding(left: tuple[Left, ...], first: Unit) -> list[Finding]:
    """The one finding that says the part is not whole."""
    if not left:
        return []
    clauses = []
    for x in left[:MOST_NAMED]:
        at = ", ".join(show_length(v, first) for v in x.middle)
        size = " x ".join(show_length(float(v), first) for v in x.high - x.low)
        clauses.append(f"{x.what} at ({at}), {size}")
    more = f"; and {len(left) - MOST_NAMED} more" if len(left) > MOST_NAMED else ""
    return [
        Finding(
            "solid-not-whole",
            "warn",
            f"The part file is not the whole part. Not understood and left out: {'; '.join(clauses)}{more}.",
            "Enter them by hand from the drawing: beads, joggles, notches, return flanges, holes in flanges.",
            {"at_mm": [list(x.middle) for x in left[:MOST_NAMED]]},
            value=float(len(left)),
            source="faces of the solid that the part file does not account for",
        )
    ]


# ---- inside


def _taken(view: Seen, part: DrawnPart) -> set[int]:
    """Faces that the part accounts for: the web's, flanges with those behind them, and the edges of the sheet between such alone."""
    web = view.web
    taken = set(web.top) | set(web.under)
    for strip in part.strips:
        taken |= strip.faces | {web.partner.get(f, -1) for f in strip.faces}
    # the other side of a face may be in several
    taken |= {f for f in web.sheet if web.partner.get(f, -1) in taken}
    taken.discard(-1)
    lost = {e for ring in part.lost for e in ring.edges}
    for f in view.solid.faces:
        if f.number in web.sheet:
            continue
        edges = view.edges_of[f.number]
        beside = {k for e in edges for k in e.faces if k != f.number and k in web.sheet}
        if beside and beside <= taken and not any(e.number in lost for e in edges):
            taken.add(f.number)
    return taken


def _openings(view: Seen, part: DrawnPart) -> list[Left]:
    """Rings in flanges that are not their boundary: holes and windows."""
    out = []
    for face in sorted({f for s in part.strips for f in s.faces}):
        loops = _loops(view.edges_of[face])
        if len(loops) < 2:
            continue
        sizes = [float(np.linalg.norm(np.ptp(np.concatenate([e.points for e in x]), axis=0))) for x in loops]
        # a face all round a hole has two rings, and both are bounds of it
        own = [any(e.number == s.edge for s in part.strips for e in x) for x in loops]
        largest = int(np.argmax(sizes))
        for k, loop in enumerate(loops):
            walls = {f for e in loop for f in e.faces if f != face}
            if k == largest or own[k] or walls & {f for s in part.strips for f in s.faces}:
                continue
            if any(f in view.web.top for f in walls) or _round_all(view, face, part):
                continue
            out.append(_box(view, walls, "an opening in a flange"))
    return out


def _round_all(view: Seen, face: int, part: DrawnPart) -> bool:
    """Whether a face belongs to a strip that closes on itself: a hole's flange."""
    return any(face in s.faces and np.hypot(*(s.tangent[0] - s.tangent[-1])) < 1e-6 for s in part.strips)


def _loops(edges: list[SolidEdge]) -> list[list[SolidEdge]]:
    """Edges of a face in connected groups by their vertices."""
    groups: list[tuple[set[int], list[SolidEdge]]] = []
    for e in edges:
        mine = [g for g in groups if g[0] & set(e.ends)]
        rest = [g for g in groups if not g[0] & set(e.ends)]
        joined = (set(e.ends).union(*(g[0] for g in mine)), [e, *(x for g in mine for x in g[1])])
        groups = [*rest, joined]
    return [g[1] for g in groups]


def _groups(view: Seen, faces: set[int]) -> list[set[int]]:
    """Faces in groups that hang together: those of the sheet by the edges and the metal between them; an edge of the sheet, which may run
    past several, goes with the first."""
    sheet = faces & view.web.sheet
    beside: dict[int, set[int]] = {f: {view.web.partner.get(f, -1)} & sheet for f in sheet}
    for f in sheet:
        for g in beside[f]:
            beside[g] = beside[g] | {f}
    for e in view.edges:
        mine = [f for f in e.faces if f in sheet]
        for f in mine:
            beside[f] |= set(mine)
    rims: dict[int, int] = {}
    for e in view.edges:
        for f in e.faces:
            if f in faces - sheet:
                rims.setdefault(f, next((g for g in e.faces if g in sheet), -1))
                rims[f] = next((g for g in e.faces if g in sheet), rims[f])
    out = [{f} for f, g in rims.items() if g < 0]
    left = set(sheet)
    while left:
        group, fresh = set(), {left.pop()}
        while fresh:
            group |= fresh
            fresh = {g for f in fresh for g in beside[f]} - group
        left -= group
        out.append(group | {f for f, g in rims.items() if g in group})
    return out


def _box(view: Seen, faces: set[int], what: str) -> Left:
    own = [f for f in sorted(faces) if len(view.points(f))]
    boxes = np.array([[view.points(f).min(axis=0), view.points(f).max(axis=0)] for f in own])
    # an edge of the sheet may run on along what is understood
    sized = boxes[[f in view.web.sheet for f in own]] if faces & view.web.sheet else boxes
    return Left(what, sized[:, 0].min(axis=0), sized[:, 1].max(axis=0), frozenset(faces), boxes)


def _touches(view: Seen, group: set[int], flanges: set[int]) -> bool:
    """Whether some of the sheet in a group meets a flange of the part."""
    mine = group & view.web.sheet
    return any(set(e.faces) & mine and set(e.faces) & flanges for e in view.edges)
