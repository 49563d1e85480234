"""The form block as a solid: level sections, bores and recesses as plain values that a solid kernel can build.

Frame: x and y of the part, z up, z = 0 at the web face, the foot at z = -height; the block stands as on the table. Where
the flanges turn up towards the viewer of the drawing the block on the table is the mirror image: x is -x of the part.
A ring is a body of its own about the z axis, working face up at z = 0.

Each level is the exact section at its depth: one curve an edge, a line or a cubic within CURVE_MM (at worst
CURVE_AT_WORST_MM) through points of the section. Between two levels the solid is ruled, so the rounding is a polyline
whose chords lie inside it by at most CHORD_MM and cost at most CHORD_SHARE of the volume.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.bspline import basis, poles_through
from ribwright.geometry.curve import Line
from ribwright.geometry.stepped import Stepped
from ribwright.stages.block import HEIGHT_STEP_MM, Block, side_of
from ribwright.stages.groove import FaceGroove, Groove
from ribwright.stages.grooves_clear import grooves_clear
from ribwright.stages.job import Job
from ribwright.stages.recess import RECESS_FLOOR_MM, Profile, Recess, profile
from ribwright.stages.section import LoopSection, Span, Wall, Walls

Array = NDArray[np.float64]
Pair = tuple[float, float]
CURVE_MM = 0.002
CURVE_AT_WORST_MM = 0.005  # where the end of a bevel wanders along its edge with the depth and no finer cubic helps
CHORD_MM = 0.01
CHORD_SHARE = 3e-5
LEAST_LEVELS, MOST_LEVELS = 8, 60
CLEAR_MM = 0.1  # a crease is an end of its own curve when it stays this far inside the edge at every level
HAIR_MM = 0.02
SHORTEST_MM = 0.02  # an edge shorter than this at some level is used up
RING_LAND_MM = 25.0  # flat of a loose ring round its rounded rim: a choice of this project


@dataclass(frozen=True, eq=False)
class Loft:
    """One loop at every level. `knots[i]` of its i-th curve, the same at all levels, None for a straight one;
    `poles[k][i]` (n, 2) at depth `depths[k]`. Curves run head to tail and share their end points."""

    depths: tuple[float, ...]
    knots: tuple[Array | None, ...]
    poles: tuple[tuple[Array, ...], ...]

    def points(self, level: int, between: int = 1) -> Array:
        """Points of one level: every end, and `between` + 1 points a span of a curve (n, 2)."""
        rows = []
        for knots, poles in zip(self.knots, self.poles[level], strict=True):
            if knots is None:
                rows.append(poles[:1])
                continue
            u = np.unique(np.concatenate([np.linspace(a, b, between + 2) for a, b in pairwise(knots)]))
            rows.append((basis(knots, u) @ poles)[:-1])
        return np.concatenate(rows)


@dataclass(frozen=True)
class Bore:
    """A hole from the web face to the foot about a vertical axis, in (r, depth): a rim arc or a plain cylinder."""

    name: str
    at: Pair
    profile: Profile

    @property
    def widest(self) -> float:
        """Largest radius [mm]."""
        return self.profile.widest


@dataclass(frozen=True, eq=False)
class Body:
    """One closed body. `outside` a loft, or the radius of a round ring; `volume` by our own integral [mm3]; `why_not`:
    reasons for which no sound solid can be made of it; `grooves` in its web face and in its walls."""

    name: str
    height: float
    outside: Loft | float
    openings: tuple[Loft, ...]
    bores: tuple[Bore, ...]
    volume: float
    mirrored: bool = False
    why_not: tuple[str, ...] = ()
    grooves: tuple[Groove, ...] = ()

    @property
    def face_grooves(self) -> tuple[FaceGroove, ...]:
        """Those in the web face."""
        return tuple(g for g in self.grooves if isinstance(g, FaceGroove))

    @property
    def levels(self) -> int:
        """How many level sections it has."""
        return len(self.outside.depths) if isinstance(self.outside, Loft) else 2


def block_body(job: Job, block: Block) -> Body:
    """The block, as it stands on the table."""
    mirrored = side_of(job) == "up"
    bores = tuple(Bore(f"recess {r.name}", r.at, profile(r, block.height)) for r in block.recesses)
    bores += tuple(Bore(f"pin {p.name}", p.at, _cylinder(p.diameter / 2, block.height)) for p in block.pins)
    why = [*_unsolved(block), *_closed_up(block.recesses)]
    lofts: tuple[Loft, ...] = ()
    if not why:
        lofts, why = _lofts(block.walls)
    if not why:
        why = _clear(lofts, bores) or grooves_clear(lofts[0].depths, _rings(lofts), bores, block.grooves, block.height)
    if mirrored:
        lofts = tuple(_mirrored(loft) for loft in lofts)
        bores = tuple(Bore(b.name, (-b.at[0], b.at[1]), b.profile) for b in bores)
    grooves = tuple(g.mirrored() for g in block.grooves) if mirrored else block.grooves
    empty = Loft((), (), ())
    outside, openings = (lofts[0], lofts[1:]) if lofts else (empty, ())
    volume = block.volume if not why else 0.0
    return Body("form block", block.height, outside, openings, bores, volume, mirrored, tuple(why), grooves)


def ring_bodies(block: Block) -> tuple[tuple[str, Body], ...]:
    """(hole, ring) for each hole flange that turns against the others: its own piece of stock, so a body of its own."""
    return tuple((r.name, _ring(r)) for r in block.rings)


def _ring(recess: Recess) -> Body:
    height = float(np.ceil((recess.depth + RECESS_FLOOR_MM) / HEIGHT_STEP_MM - 1e-9) * HEIGHT_STEP_MM)
    bore = Bore(f"recess {recess.name}", (0.0, 0.0), profile(recess, height))
    radius = bore.widest + RING_LAND_MM
    volume = float(np.pi * radius**2 * height - bore.profile.volume)
    return Body(
        f"loose upper ring {recess.name}", height, radius, (), (bore,), volume, False, tuple(_closed_up((recess,)))
    )


def _cylinder(radius: float, height: float) -> Profile:
    top = (radius, 0.0)
    return Profile(top, top, top, top, radius, height, 0.0, 0.0)


# ------------------------------------------------------------- levels


def level_depths(walls: Walls) -> tuple[float, ...]:
    """Depths of the level sections, from 0 to the height, the ends of roundings between them."""
    rounded = [(w, r, length) for w, r, length in _roundings(walls) if r > 1e-6]
    depth = max((r * (1 - np.cos(w)) for w, r, _ in rounded), default=0.0)
    spans = _wall_spans(walls, min(depth, walls.height))
    below = np.linspace(min(depth, walls.height), walls.height, spans + 1)
    if not rounded:
        return tuple(float(z) for z in np.linspace(0.0, walls.height, spans + 1))
    w, r, _ = max(rounded, key=lambda row: row[1] * (1 - np.cos(row[0])))
    wanted = CHORD_SHARE * abs(walls.area(0.0)) * walls.height
    for n in range(LEAST_LEVELS - spans, MOST_LEVELS):
        upper = r * (1 - np.cos(w * np.arange(n + 1) / n)) if n > 0 else np.zeros(1)
        depths = np.unique(np.concatenate([np.minimum(upper, walls.height), below]).round(9))
        lost, deepest = _chord_loss(depths, rounded)
        if n >= 4 and lost <= wanted and deepest <= CHORD_MM:
            break
    return tuple(float(z) for z in depths)


def _roundings(walls: Walls) -> Iterator[tuple[float, float, float]]:
    """(wall angle [rad], radius, length of edge it stands for) of every rounding, at five places along a bevel."""
    for wall in (w for loop in walls.loops for w in loop if w.leans):
        length = wall.edge.curve.length
        s = np.linspace(0.0, length, 5) if wall.varies else np.array([length / 2])
        for w, r in zip(*wall.at(s), strict=True):
            yield float(w), float(r), length / len(s)


def _chord_loss(depths: Array, rounded: list[tuple[float, float, float]]) -> tuple[float, float]:
    """(volume between the roundings and the chords of their levels [mm3], greatest distance between them [mm])."""
    lost, deepest = 0.0, 0.0
    for w, r, length in rounded:
        inside = depths[depths < r * (1 - np.cos(w))]
        phi = np.append(np.arccos(1 - inside / r), w)
        turns = np.diff(phi)
        lost += float(np.sum(r * r / 2 * (turns - np.sin(turns)))) * length
        deepest = max(deepest, float(np.max(r * (1 - np.cos(turns / 2)), initial=0.0)))
    return lost, deepest


def _wall_spans(walls: Walls, top: float) -> int:
    """Levels that the wall below the roundings needs: where corners of curved edges move along them, chords of the
    ruling would cut across the curve."""
    if top >= walls.height:
        return 1
    worst, bevel = 0.0, False
    for upper, foot in zip(walls.at(top), walls.at(walls.height), strict=True):
        for a, b in zip(upper.spans, foot.spans, strict=True):
            curve = a.wall.edge.curve
            inside = np.linspace(0.0, curve.length, 33)
            bend = float(np.max(np.abs(curve.curvature(inside))))
            worst = max(worst, max(abs(a.s0 - b.s0), abs(a.s1 - b.s1)) ** 2 * bend / 8)
            bevel = bevel or a.wall.varies
    return int(np.clip(np.ceil(np.sqrt(worst / (CURVE_MM / 2))), 2 if bevel else 1, 6))


# ------------------------------------------------------------- lofts


def _lofts(walls: Walls) -> tuple[tuple[Loft, ...], list[str]]:
    depths = level_depths(walls)
    levels = [walls.at(depths[0])]
    for z in depths[1:]:
        levels.append(walls.at(z, levels[-1] if all(loop.good for loop in levels[-1]) else None))
    why = [
        f"{reason} at a depth of {z:.1f} mm" for z, level in zip(depths, levels, strict=True) for reason in _bad(level)
    ]
    if why:
        return (), why[:1]
    lofts = []
    for k in range(len(walls.loops)):
        loft, fault = _loft(depths, [level[k] for level in levels], walls.steps[k])
        if fault:
            return (), [fault]
        lofts.append(loft)
    return tuple(lofts), _simple(lofts)


def _bad(level: tuple[LoopSection, ...]) -> Iterator[str]:
    for loop in level:
        for span in loop.spans:
            if span.s1 - span.s0 < SHORTEST_MM:
                yield f"edge {span.wall.edge.edge.name} is used up between its neighbours' walls"
        if not loop.good:
            yield f"the walls do not meet at a corner of {loop.spans[0].wall.edge.edge.name}"


def _loft(depths: tuple[float, ...], sections: list[LoopSection], steps: tuple[bool, ...]) -> tuple[Loft, str]:
    knots: list[Array | None] = []
    poles: list[Array] = []
    count = len(sections[0].spans)
    for i in range(count):
        spans = [s.spans[i] for s in sections]
        cuts = _cuts(spans, count)
        for j in range(len(cuts[0]) - 1):
            made = _curves(spans, depths, cuts[:, j], cuts[:, j + 1], j == 0, j == len(cuts[0]) - 2)
            if isinstance(made, float):
                name = spans[0].wall.edge.edge.name
                return Loft(
                    (), (), ()
                ), f"the wall of {name} is followed within {made:.4f} mm only, not {CURVE_AT_WORST_MM} mm"
            knots.append(made[0])
            poles.append(made[1])
        if steps[i]:
            # the outline runs straight over a step
            after = [s.spans[(i + 1) % count] for s in sections]
            knots.append(None)
            poles.append(np.array([[a.end, b.start] for a, b in zip(spans, after, strict=True)]))
    return Loft(depths, tuple(knots), tuple(tuple(p[k] for p in poles) for k in range(len(depths)))), ""


def _cuts(spans: list[Span], count: int) -> Array:
    """Arc lengths at which an edge is cut into curves, (levels, m): its ends, where its bevel has a station, and where
    the wall goes on straight past the drawn curve's end."""
    start, end = np.array([p.s0 for p in spans]), np.array([p.s1 for p in spans])
    wall = spans[0].wall
    inner = [s for s in _creases(wall) if s > start.max() + CLEAR_MM and s < end.min() - CLEAR_MM]
    if count == 1:
        # a closed curve needs two pieces to have two ends
        inner = sorted({*inner, wall.edge.curve.length / 2})
    return np.column_stack([start, *(np.full(len(spans), s) for s in inner), end])


def _creases(wall: Wall) -> list[float]:
    """Arc lengths at which the wall has a crease, changes its curvature in a joggle, or goes over into its straight continuation."""
    curve = wall.edge.curve
    arcs = curve.arc_ends.tolist() if isinstance(curve, Stepped) else []
    inner = [s for s in arcs if not len(wall.bevels) or np.min(np.abs(wall.bevels - s)) > CLEAR_MM]
    return sorted([0.0, *wall.bevels, *inner, curve.length])


def _curves(
    spans: list[Span], depths: tuple[float, ...], a: Array, b: Array, first: bool, last: bool
) -> tuple[Array | None, Array] | float:
    """(knots, poles (levels, n, 2)) of one curve at every level: a cubic within CURVE_MM, or the best of six within
    CURVE_AT_WORST_MM; the miss [mm] when there is none."""
    wall = spans[0].wall
    ends = [_ends(p, z, s0, s1, first, last) for p, z, s0, s1 in zip(spans, depths, a, b, strict=True)]
    length = wall.edge.curve.length
    past = bool(np.max(b) < 1e-9 or np.min(a) > length - 1e-9)
    if past or (_runs_straight(wall, float(np.max(a)), float(np.min(b))) and not wall.varies):
        return None, np.array(ends)
    middle = len(depths) // 2
    inner = wall.breaks[(wall.breaks > a[middle] + 1e-6) & (wall.breaks < b[middle] - 1e-6)]
    # where the wall goes on straight past an end wanders with the depth: short spans, each twice the last, hold that place
    before, after = float(np.max(np.maximum(-a, 0.0))), float(np.max(np.maximum(b - length, 0.0)))
    marks = [a[middle], b[middle], *inner]
    marks += [a[middle] + m for m in _graded(before, b[middle] - a[middle])]
    marks += [b[middle] - m for m in _graded(after, b[middle] - a[middle])]
    marks = sorted(m for m in marks if a[middle] <= m <= b[middle])
    coarse = (np.array(marks) - a[middle]) / (b[middle] - a[middle])
    coarse = coarse[np.concatenate([[True], np.diff(coarse) > 1e-6])]
    coarse[-1] = 1.0
    turn = _turn(wall, a[middle], b[middle])
    pieces = max(1, int(np.ceil(turn / 0.35 / (len(coarse) - 1))), -(-4 // (len(coarse) - 1)))
    best: tuple[float, Array, Array] | None = None
    for _ in range(6):
        u = np.concatenate([[0.0], *(np.linspace(p, q, pieces + 1)[1:] for p, q in pairwise(coarse))])
        u = u[np.concatenate([[True], np.diff(u) > 1e-7])]
        poles = _through(wall, depths, a, b, u, ends)
        miss = _misses(wall, depths, a, b, u, poles)
        if best is None or miss < best[0]:
            best = miss, u, poles
        if miss <= CURVE_MM:
            break
        pieces *= 2
    assert best is not None
    return best[1:] if best[0] <= CURVE_AT_WORST_MM else best[0]


def _runs_straight(wall: Wall, a: float, b: float) -> bool:
    curve = wall.edge.curve
    return curve.straight(a, b) if isinstance(curve, Stepped) else isinstance(curve, Line)


def _graded(first: float, whole: float) -> list[float]:
    """first, 2 first, 4 first ... up to a quarter of the whole; none where `first` is nothing."""
    if first <= HAIR_MM:
        return []
    return [first * 2.0**i for i in range(int(np.log2(max(whole / 4 / first, 1.0))) + 1)]


def _ends(span: Span, z: float, s0: float, s1: float, first: bool, last: bool) -> Array:
    p = span.wall.line(z).point(np.array([s0, s1]))
    return np.array([span.start if first else p[0], span.end if last else p[1]])


def _turn(wall: Wall, a: float, b: float) -> float:
    """How far the curve turns between a and b [rad], all bends counted."""
    s = np.linspace(max(a, 0.0), min(b, wall.edge.curve.length), 65)
    return float(np.mean(np.abs(wall.edge.curve.curvature(s))) * max(b - a, 0.0))


@dataclass(frozen=True, eq=False)
class _Course:
    """Even travel along one wall at depth z: u from 0 to 1 between arc lengths s0 and s1.

    Beyond an end of the drawn curve the wall goes on straight at speed 1, inside it at 1 - kappa d; steps outside are
    stretched by that, so that the speed does not jump."""

    wall: Wall
    z: float
    s0: float
    s1: float

    def at(self, u: Array) -> tuple[Array, Array]:
        """(s, ds/du) at u (n,)."""
        length = self.wall.edge.curve.length
        ends = np.array([0.0, length])
        before, after = np.maximum(1 - self.wall.edge.curve.curvature(ends) * self.wall.inset(ends, self.z), 1e-3)
        low = self.s0 / before if self.s0 < 0 else self.s0
        high = length + (self.s1 - length) / after if self.s1 > length else self.s1
        x = low + (high - low) * u
        s = np.where(x < 0, x * before, np.where(x > length, length + (x - length) * after, x))
        return s, (high - low) * np.where(x < 0, before, np.where(x > length, after, 1.0))

    def slopes(self) -> Array:
        """dB/du at both ends (2, 2), from inside where a bevel has a crease, and from inside the drawn curve where the
        wall goes past its end by no more than a hair."""
        length = self.wall.edge.curve.length
        s, rate = self.at(np.array([1e-6, 1 - 1e-6]))
        near = np.array([-HAIR_MM <= self.s0 < 0, 0 < self.s1 - length <= HAIR_MM])
        s = np.where(near, np.array([1e-6, length - 1e-6]), s)
        even = self.at(np.array([0.5]))[1][0]
        return np.asarray(self.wall.speed(s, self.z)[1] * np.where(near, even, rate)[:, None])


def _through(wall: Wall, depths: tuple[float, ...], a: Array, b: Array, u: Array, ends: list[Array]) -> Array:
    points, slopes = [], []
    for z, s0, s1, pair in zip(depths, a, b, ends, strict=True):
        course = _Course(wall, z, s0, s1)
        p = wall.line(z).point(course.at(u)[0])
        p[0], p[-1] = pair
        points.append(p)
        slopes.append(course.slopes())
    both = np.array(slopes)
    return poles_through(u, np.array(points), both[:, 0], both[:, 1])


def _misses(wall: Wall, depths: tuple[float, ...], a: Array, b: Array, u: Array, poles: Array) -> float:
    """Greatest distance between the cubics and the walls, looked at three times in every span [mm]."""
    at = (u[:-1, None] + np.diff(u)[:, None] * np.array([0.25, 0.5, 0.75])).ravel()
    values = basis(u, at)
    worst = 0.0
    for k, z in enumerate(depths):
        s, _ = _Course(wall, z, a[k], b[k]).at(at)
        worst = max(worst, float(np.max(np.hypot(*(values @ poles[k] - wall.line(z).point(s)).T))))
    return worst


def _mirrored(loft: Loft) -> Loft:
    flip = np.array([-1.0, 1.0])
    return Loft(loft.depths, loft.knots, tuple(tuple(p * flip for p in level) for level in loft.poles))


# ------------------------------------------------------------- what cannot be made


def _unsolved(block: Block) -> list[str]:
    bad = [e.edge for e in block.edges if not e.under.good.all() or float(np.min(e.under.radius)) <= 0]
    return [f"no block edge keeps the arc of {bad[0]}: its undercut is not solved"] if bad else []


def _closed_up(recesses: tuple[Recess, ...]) -> list[str]:
    return [
        f"the rounded rim of recess {r.name} closes up before its floor" for r in recesses if r.throat_radius <= 0.05
    ][:1]


def _simple(lofts: list[Loft]) -> list[str]:
    """Every level's outline must not cross itself, and openings must lie inside without touching."""
    import shapely

    for k, z in enumerate(lofts[0].depths):
        rings = [shapely.Polygon(loft.points(k)) for loft in lofts]
        if not all(r.is_valid for r in rings):
            return [f"the outline crosses itself at a depth of {z:.1f} mm"]
        if any(not rings[0].contains_properly(r) for r in rings[1:]):
            return [f"an opening runs into the outer wall at a depth of {z:.1f} mm"]
        if any(a.intersects(b) for a, b in combinations(rings[1:], 2)):
            return [f"two openings run into each other at a depth of {z:.1f} mm"]
    return []


def _rings(lofts: tuple[Loft, ...]) -> list[list[Array]]:
    """Points of every loop at every level: the outer loop's, then each opening's."""
    return [[loft.points(k) for loft in lofts] for k in range(len(lofts[0].depths))]


def _clear(lofts: tuple[Loft, ...], bores: tuple[Bore, ...]) -> list[str]:
    """Bores must not break through a wall or into each other."""
    import shapely

    for a, b in combinations(bores, 2):
        if np.hypot(a.at[0] - b.at[0], a.at[1] - b.at[1]) < a.widest + b.widest + 0.01:
            return [f"{a.name} runs into {b.name}"]
    for k, z in enumerate(lofts[0].depths):
        outer, *inner = (shapely.Polygon(loft.points(k)) for loft in lofts)
        solid = outer.difference(shapely.union_all(inner)) if inner else outer
        for b in bores:
            at = shapely.Point(b.at)
            if not solid.contains(at) or solid.boundary.distance(at) < b.widest + 0.01:
                return [f"{b.name} breaks through a wall at a depth of {z:.1f} mm"]
    return []
