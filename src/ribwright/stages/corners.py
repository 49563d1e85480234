"""Corner and end reliefs: where flanges end and what is cut out between them.

At a corner of two flanges each is cut square to its edge at the meeting X of the two web-side tangent lines;
the relief hole is centred there, moved `set_back` along the inward bisector. A notch draws each end back by a
further gap/2. At a flange end beside an edge without flange the end stands square to the edge at the drawn corner;
a relief there is centred on the tangent line and the flange is drawn back by its radius.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from math import atan2, hypot, pi, tan

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge, LaidLoop
from ribwright.features.part import Corner, Part
from ribwright.geometry.offset import SMOOTH, Meeting, SetOver, meet, turn_between
from ribwright.geometry.path import Vertex
from ribwright.shop.sheet import ReliefRule

Pair = tuple[float, float]


@dataclass(frozen=True)
class Join:
    """What happens between edge `before` and edge `after` of a loop.

    kind: `smooth` (one run), `corner` (two flanges), `end-before` / `end-after` (the flange on that side ends beside
    a plain edge), `plain`. `drawn` the drawn corner. `sa`, `sb`: where before's strip ends and after's begins.
    `relief` "hole" / "notch" / "none"; `centre`, `diameter` of the cut circle (0 = none). `by` says who chose it.
    """

    before: str
    after: str
    kind: str
    sa: float
    sb: float
    turn: float
    meeting: Pair
    found: bool = True
    relief: str = "none"
    diameter: float = 0.0
    centre: Pair = (0.0, 0.0)
    set_back: float = 0.0
    gap: float = 0.0
    by: str = "drawing"
    least: float = 0.0
    drawn: Pair = (0.0, 0.0)

    @property
    def holds_meeting(self) -> bool:
        """True when the relief circle contains the meeting point of the tangent lines."""
        return hypot(self.centre[0] - self.meeting[0], self.centre[1] - self.meeting[1]) <= self.diameter / 2 + 1e-9


def rule_diameter(rule: ReliefRule, radius: float, thickness: float) -> float:
    """Diameter by the named rule [mm]: max(factor R, least for this thickness)."""
    least = next((d for t, d in rule.least if thickness <= t * (1 + 1e-9)), rule.least[-1][1])
    return max(rule.radius_factor * radius, least)


def joins(part: Part, laid: LaidLoop, rule: ReliefRule) -> tuple[Join, ...]:
    """The join at the end of each edge of the loop, in travel order."""
    n = len(laid.edges)
    if n == 1:
        e = laid.edges[0]
        return (Join(e.edge.name, e.edge.name, "smooth", e.curve.length, 0.0, 0.0, (0.0, 0.0)),)
    made = (_join(part, laid.edges[i], laid.edges[(i + 1) % n], rule) for i in range(n))
    ends = (e.drawn.point(np.array([e.drawn.length]))[0] for e in laid.edges)
    return tuple(replace(j, drawn=(float(p[0]), float(p[1]))) for j, p in zip(made, ends, strict=True))


def _join(part: Part, a: LaidEdge, b: LaidEdge, rule: ReliefRule) -> Join:
    names, turn, la = (a.edge.name, b.edge.name), turn_between(a.curve, b.curve), a.curve.length
    corner = next((c for c in part.corners if set(c.at) == set(names)), None)
    p = a.curve.point(np.array([la]))[0]
    plain = Join(*names, "plain", la, 0.0, turn, (float(p[0]), float(p[1])))
    if a.flange is None and b.flange is None:
        return plain
    if a.flange is None or b.flange is None:
        return _flange_end(a, b, plain, corner, rule)
    if a.flange.name == b.flange.name and abs(turn) < SMOOTH:
        return Join(*names, "smooth", la, 0.0, turn, plain.meeting)
    radius = max(a.flange.bend_radius, b.flange.bend_radius)
    least = rule_diameter(rule, radius, part.sheet.thickness)
    return _flange_corner(a, b, turn, corner, least, rule)


def _flange_corner(
    a: LaidEdge, b: LaidEdge, turn: float, corner: Corner | None, least: float, rule: ReliefRule
) -> Join:
    names = (a.edge.name, b.edge.name)
    x = meet(a.tangent_line, b.tangent_line)
    relief = corner.relief if corner else ("hole" if abs(turn) >= SMOOTH else "none")
    by = "drawing" if corner else rule.name
    set_back = corner.set_back if corner else rule.set_back_mm
    if relief == "none":
        mold = _mold_corner(a, b)
        return Join(*names, "corner", mold.sa, mold.sb, turn, x.point, x.found and mold.found, by=by)
    typed = corner.diameter if corner else None
    diameter = typed if typed is not None else least
    if corner is not None and typed is None:
        by = rule.name
    gap = corner.gap if corner and relief == "notch" else 0.0
    centre = _inward(a, b, x, set_back)
    return Join(
        *names, "corner", x.sa - gap / 2, x.sb + gap / 2, turn, x.point, x.found,
        relief, diameter, centre, set_back, gap, by, least,
    )  # fmt: skip


def _mold_corner(a: LaidEdge, b: LaidEdge) -> Meeting:
    """Where the drawn lines meet, each as its joggle left it: at their own ends where neither is joggled there."""
    if a.depth(np.array([a.curve.length]))[0] == 0.0 and b.depth(np.zeros(1))[0] == 0.0:
        p = a.curve.point(np.array([a.curve.length]))[0]
        return Meeting(a.curve.length, 0.0, (float(p[0]), float(p[1])))
    one, two = (SetOver(e.curve, lambda s: np.zeros(len(s))) for e in (a, b))
    return meet(one, two)


def _inward(a: LaidEdge, b: LaidEdge, x: Meeting, distance: float) -> Pair:
    """X moved along the bisector of the two inward normals."""
    na = a.tangent_line.frame(np.array([x.sa]))[2][0]
    nb = b.tangent_line.frame(np.array([x.sb]))[2][0]
    v = -(na + nb)
    size = float(np.hypot(*v))
    if distance == 0.0 or size < 1e-9:
        return x.point
    return x.point[0] + distance * float(v[0]) / size, x.point[1] + distance * float(v[1]) / size


def _flange_end(a: LaidEdge, b: LaidEdge, plain: Join, corner: Corner | None, rule: ReliefRule) -> Join:
    """The end of a flange beside a plain edge; a relief there is drawn only where the part file asks for one."""
    flanged, before = (a, True) if a.flange else (b, False)
    assert flanged.flange is not None
    s = plain.sa if before else 0.0
    p, _, n = flanged.tangent_line.frame(np.array([s]))
    foot = (p - flanged.tangent_inset(np.array([s]))[:, None] * n)[0]
    meeting = (float(foot[0]), float(foot[1]))
    kind = "end-before" if before else "end-after"
    if corner is None or corner.relief == "none":
        return replace(plain, kind=kind, meeting=meeting, centre=meeting)
    least = rule_diameter(rule, flanged.flange.bend_radius, flanged.thickness)
    diameter = corner.diameter if corner.diameter is not None else least
    back = diameter / 2 + corner.gap / 2
    centre = foot - corner.set_back * n[0]
    return replace(
        plain,
        kind=kind,
        meeting=meeting,
        sa=plain.sa - back if before else plain.sa,
        sb=plain.sb if before else back,
        relief=corner.relief,
        diameter=diameter,
        centre=(float(centre[0]), float(centre[1])),
        set_back=corner.set_back,
        gap=corner.gap,
        by="drawing" if corner.diameter is not None else rule.name,
        least=least,
    )


def cut_by_circle(points: list[Pair], centre: Pair, radius: float) -> list[Vertex]:
    """The open polyline with the part inside the circle replaced by the clockwise arc around its far side.

    Only the first entry and the last exit count. A polyline that misses the circle comes back unchanged.
    """
    hits = []
    for i, (p, q) in enumerate(itertools.pairwise(points)):
        hits += [(i, t, (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]))) for t in _crossings(p, q, centre, radius)]
    if radius <= 0 or len(hits) < 2:
        return [(x, y, 0.0) for x, y in points]
    (i, _, first), (j, _, last) = hits[0], hits[-1]
    a0 = atan2(first[1] - centre[1], first[0] - centre[0])
    a1 = atan2(last[1] - centre[1], last[0] - centre[0])
    sweep = -((a0 - a1) % (2 * pi))
    out: list[Vertex] = [(x, y, 0.0) for x, y in points[: i + 1]]
    # two arcs, since one arc of a full turn has no bulge
    half = a0 + sweep / 2
    middle = (centre[0] + radius * np.cos(half), centre[1] + radius * np.sin(half))
    out.append((first[0], first[1], tan(sweep / 8)))
    out.append((float(middle[0]), float(middle[1]), tan(sweep / 8)))
    out.append((last[0], last[1], 0.0))
    return out + [(x, y, 0.0) for x, y in points[j + 1 :]]


def outside(points: NDArray[np.float64], centre: Pair, radius: float) -> NDArray[np.float64]:
    """The polyline (n, 2) up to where it first enters the circle; unchanged when it does not."""
    for i, (p, q) in enumerate(itertools.pairwise(points)):
        hits = _crossings((p[0], p[1]), (q[0], q[1]), centre, radius)
        if hits:
            return np.concatenate([points[: i + 1], [p + min(hits) * (q - p)]])
    return points


def _crossings(p: Pair, q: Pair, centre: Pair, radius: float) -> list[float]:
    """Parameters in [0, 1] where the segment p-q crosses the circle."""
    dx, dy, fx, fy = q[0] - p[0], q[1] - p[1], p[0] - centre[0], p[1] - centre[1]
    a, b, c = dx * dx + dy * dy, 2 * (fx * dx + fy * dy), fx * fx + fy * fy - radius * radius
    disc = b * b - 4 * a * c
    if a < 1e-18 or disc <= 0:
        return []
    roots = [(-b - disc**0.5) / (2 * a), (-b + disc**0.5) / (2 * a)]
    return [t for t in roots if -1e-9 <= t <= 1 + 1e-9]
