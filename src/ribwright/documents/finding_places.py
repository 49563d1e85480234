"""Where on the drawn part a finding belongs, and which pattern each stretch of an edge takes from the findings."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.edge_patterns import CARE, CHANGE, FLUTE, NOTCH, OK, PRESS, STRENGTH, UNKNOWN
from ribwright.documents.page import Pair
from ribwright.features.laid import LaidEdge
from ribwright.geometry.curve import samples
from ribwright.geometry.offset import outward
from ribwright.stages.finding import Finding
from ribwright.stages.judged import plan_margins
from ribwright.stages.margins import Margin
from ribwright.stages.plan import Plan

Array = NDArray[np.float64]
# what may be done, by code; every other stop asks for a change, every other warning to look
BY_CODE = {
    "pressure-short": PRESS,
    "bend-radius-unknown": UNKNOWN,
    "strain-limit-unknown": UNKNOWN,
    "development-not-converged": UNKNOWN,
    "undercut-not-solved": UNKNOWN,
    "flange-folds": NOTCH,
    "flange-closes": NOTCH,
}
# these are drawn station by station from the margins, not over the whole edge
BY_STATION = frozenset(
    {"stretch-limit", "stretch-near-limit", "shrink-limit", "shrink-wrinkles", "strain-limit-unknown"}
)
NEAR = 0.2  # of a stretch limit: the last fifth asks for care


@dataclass(frozen=True)
class Spot:
    """A place on the part and the direction out of the metal there [mm]."""

    at: Pair
    out: Pair


@dataclass(frozen=True, eq=False)
class Stretch:
    """A piece of an edge or of a hole's circle that takes one pattern; points (n, 2) in travel order [mm]."""

    name: str
    points: Array
    pattern: str


def spot_of(plan: Plan, finding: Finding) -> Spot | None:
    """Where the finding points to; None for one of the whole job (approval, press, temper, pins as a whole ...)."""
    where = finding.where
    if "hole" in where:
        name = where["hole"][0] if isinstance(where["hole"], list) else where["hole"]
        return _of_hole(plan, str(name))
    if "corner" in where:
        return _of_corner(plan, where["corner"])
    if "at_mm" in where:
        x, y = where["at_mm"]
        return Spot((float(x), float(y)), (0.0, 1.0))
    if where.get("edge"):
        return _of_edge(plan, str(where["edge"]), where.get("along_mm"))
    if "flange" in where:
        edges = [e for _, e in _edges(plan) if e.edge.flange == where["flange"]]
        return _of_edge(plan, max(edges, key=lambda e: e.curve.length).edge.name, None) if edges else None
    cutout = next(
        (loop for loop in plan.blank.laid[1:] if loop.loop.name == where.get("cutout", where.get("loop"))), None
    )
    return _of_edge(plan, cutout.edges[0].edge.name, None) if cutout else None


def stretches(plan: Plan) -> tuple[Stretch, ...]:
    """Every edge cut into stretches of one pattern, then the circles of the holes."""
    rows = {(r.where["edge"], r.quantity): r for r in plan_margins(plan) if r.stations and "edge" in r.where}
    out = []
    for _, e in _edges(plan):
        whole = _whole(plan, "edge", e.edge.name, e.edge.flange)
        mine = [row for (name, _), row in rows.items() if name == e.edge.name]
        out += _cut(plan, e, whole, mine)
    for h in plan.blank.holes:
        r = (h.tangent_diameter or h.cut_diameter) / 2
        # clockwise, so that the metal lies on the left as along every loop
        turn = -np.linspace(0.0, 2 * np.pi, 73)
        ring = np.array(h.hole.at) + r * np.stack([np.cos(turn), np.sin(turn)], axis=1)
        out.append(Stretch(h.hole.name, ring, _whole(plan, "hole", h.hole.name, None)))
    return tuple(out)


def pattern_of(finding: Finding) -> str:
    """What may be done about a finding, as a pattern."""
    if finding.code in BY_CODE:
        return BY_CODE[finding.code]
    return {"stop": CHANGE, "warn": CARE}.get(finding.severity, OK)


def _whole(plan: Plan, kind: str, name: str, flange: str | None) -> str:
    """The strongest pattern of the findings that hold for all of an edge or hole."""
    found = [pattern_of(f) for f in plan.findings if f.code not in BY_STATION and _holds(f, kind, name, flange)]
    if kind == "hole":
        found += [pattern_of(f) for f in plan.findings if f.code in BY_STATION and f.where.get("hole") == name]
    return max(found, key=STRENGTH.index, default=OK)


def _holds(f: Finding, kind: str, name: str, flange: str | None) -> bool:
    if kind == "hole":
        named = f.where.get("hole")
        return name in named if isinstance(named, list) else named == name
    if "hole" in f.where or "cutout" in f.where:
        return False
    return f.where.get("edge") == name or (flange is not None and f.where.get("flange") == flange)


def _cut(plan: Plan, e: LaidEdge, whole: str, rows: list[Margin]) -> list[Stretch]:
    """The edge in stretches: at each of its samples the strongest of the whole edge's pattern and of its strain's."""
    s = np.unique(np.concatenate([samples(e.curve, 0.01), np.linspace(0.0, e.curve.length, 121)]))
    middle = (s[1:] + s[:-1]) / 2
    patterns = [whole] * len(middle)
    for row in rows:
        along = np.array([x[0] for x in row.stations])
        for k, at in enumerate(e.along(middle)):
            near = row.stations[int(np.argmin(np.abs(along - at)))]
            patterns[k] = max(patterns[k], _by_strain(plan, row, near), key=STRENGTH.index)
    points = e.curve.point(s)
    out = []
    for pattern, group in itertools.groupby(range(len(middle)), key=lambda k: patterns[k]):
        run = list(group)
        out.append(Stretch(e.edge.name, points[run[0] : run[-1] + 2], pattern))
    return out


def _by_strain(plan: Plan, row: Margin, station: tuple[float, float, float | None, float | None]) -> str:
    _, value, limit, margin = station
    if margin is None:
        return UNKNOWN if value > 0.01 else OK
    if row.quantity == "edge_stretch":
        return CHANGE if margin < 0 else CARE if margin < NEAR else OK
    fluted = plan.job.formed.number("shrink_fluted_limit") if plan.job.formed else None
    if margin >= 0:
        return OK
    return NOTCH if limit == fluted else FLUTE


# ---------------------------------------------------------------- places


def _edges(plan: Plan) -> list[tuple[int, LaidEdge]]:
    return [(k, e) for k, loop in enumerate(plan.blank.laid) for e in loop.edges]


def _of_edge(plan: Plan, name: str, along: object) -> Spot | None:
    e = next((e for _, e in _edges(plan) if e.edge.name == name), None)
    if e is None:
        return None
    at = np.array([e.curve.length / 2])
    if isinstance(along, int | float):
        at = np.clip(e.at(np.array([float(along)])), 0.0, e.curve.length)
    p, n = e.curve.point(at), outward(e.curve.tangent(at))
    return Spot((float(p[0, 0]), float(p[0, 1])), (float(n[0, 0]), float(n[0, 1])))


def _of_hole(plan: Plan, name: str) -> Spot | None:
    h = next((h for h in plan.blank.holes if h.hole.name == name), None)
    if h is None:
        return None
    x, y = h.hole.at
    r = (h.tangent_diameter or h.cut_diameter) / 2
    return Spot((x + 0.7071 * r, y + 0.7071 * r), (1.0, 1.0))


def _of_corner(plan: Plan, at: list[str]) -> Spot | None:
    j = next((j for loop in plan.blank.joins for j in loop if {j.before, j.after} == set(at)), None)
    if j is None:
        return None
    out = (j.drawn[0] - j.meeting[0], j.drawn[1] - j.meeting[1])
    return Spot(j.drawn, out if hypot(*out) > 1e-6 else (0.0, 1.0))
