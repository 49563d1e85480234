"""One known rib drawn into DXF files, and how far what is read of them lies from it.

The rib is known exactly (mm): a contour OUTER of lines and arcs, two of them fillets, an obround CUTOUT, three HOLES.
"""

from __future__ import annotations

import io
import itertools
import re
from dataclasses import dataclass
from math import atan, atan2, degrees, hypot, pi, tan
from typing import Any

import ezdxf
import numpy as np

from ribwright.adapters.part_loops import curve_of
from ribwright.adapters.part_toml import parse_part
from ribwright.features.part import Loop, Part

Vertex = tuple[float, float, float]
VERSIONS = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")
QUARTER = tan(pi / 8)


def _through(x0: float, y0: float, xm: float, ym: float, x1: float, y1: float) -> float:
    """Bulge of the arc through a point over the middle of its chord."""
    chord = hypot(x1 - x0, y1 - y0)
    return ((x1 - x0) * (y0 - ym) - (x0 - xm) * (y1 - y0)) / chord / (chord / 2)


CAMBER = 0.12
OUTER: tuple[Vertex, ...] = (
    (15.0, 0.0, 0.0), (480.0, 0.0, QUARTER), (500.0, 20.0, 0.0), (500.0, 90.0, CAMBER), (0.0, 100.0, 0.0), (0.0, 15.0, QUARTER),
)  # fmt: skip
CUTOUT: tuple[Vertex, ...] = ((240.0, 40.0, 0.0), (300.0, 40.0, 1.0), (300.0, 70.0, 0.0), (240.0, 70.0, 1.0))
HOLES = ((120.0, 50.0, 60.0), (400.0, 45.0, 25.4), (450.0, 60.0, 4.7625))
WIDTH = "500 mm = width"


@dataclass
class Drawn:
    """A drawing being made: entities go to model space or a block, times `k`, by way of `place` (a map of points)."""

    version: str = "R2010"
    unit: int = 4
    k: float = 1.0
    doc: Any = None
    space: Any = None
    layer: str = "WEB"
    holes: str = "HOLE"

    def __post_init__(self) -> None:
        self.doc = ezdxf.new(self.version)
        self.doc.header["$INSUNITS"] = self.unit
        self.space = self.doc.modelspace()

    def line(self, a: Any, b: Any, layer: str = "", **more: Any) -> None:
        ends = [
            (p[0] * self.k, p[1] * self.k, (p[2] if len(p) > 2 and more.pop("high", False) else 0.0)) for p in (a, b)
        ]
        self.space.add_line(*ends, dxfattribs={"layer": layer or self.layer, **more})

    def segment(self, a: Vertex, b: Vertex, layer: str = "") -> None:
        """A line or an ARC; arcs in a DXF file always run counter-clockwise."""
        if a[2] == 0:
            self.line(a[:2], b[:2], layer)
            return
        centre, radius = ball(a, b)
        t0, t1 = (degrees(atan2(p[1] - centre[1], p[0] - centre[0])) for p in (a, b))
        first, last = (t0, t1) if a[2] > 0 else (t1, t0)
        at = (centre[0] * self.k, centre[1] * self.k)
        self.space.add_arc(at, radius * self.k, first, last, dxfattribs={"layer": layer or self.layer})

    def circle(self, x: float, y: float, d: float, layer: str = "", **more: Any) -> None:
        k = self.k
        self.space.add_circle((x * k, y * k), d / 2 * k, dxfattribs={"layer": layer or self.holes, **more})

    def polyline(self, vertices: tuple[Vertex, ...], layer: str = "", closed: bool = True, **more: Any) -> None:
        k, on = self.k, {"layer": layer or self.layer, **more}
        points = [(x * k, y * k, b) for x, y, b in vertices]
        if self.version == "R12":
            self.space.add_polyline2d(points, format="xyb", close=closed, dxfattribs=on)
        else:
            self.space.add_lwpolyline(points, format="xyb", close=closed, dxfattribs=on)

    def text(self) -> str:
        out = io.StringIO()
        self.doc.write(out)
        return out.getvalue()


def ball(a: Vertex, b: Vertex) -> tuple[tuple[float, float], float]:
    """(centre, radius) of an arc segment."""
    h = (1 - a[2] ** 2) / (4 * a[2])
    cx, cy = (a[0] + b[0]) / 2 - h * (b[1] - a[1]), (a[1] + b[1]) / 2 + h * (b[0] - a[0])
    return (cx, cy), hypot(a[0] - cx, a[1] - cy)


def pairs(vertices: tuple[Vertex, ...]) -> list[tuple[Vertex, Vertex]]:
    """Segments of a closed path."""
    return [*itertools.pairwise(vertices), (vertices[-1], vertices[0])]


def turned(vertices: tuple[Vertex, ...]) -> tuple[Vertex, ...]:
    """The path the other way round."""
    return tuple((b[0], b[1], -a[2]) for a, b in reversed(pairs(vertices)))


def mirrored(vertices: tuple[Vertex, ...]) -> tuple[Vertex, ...]:
    """x -> -x, the order kept: every bulge changes its sign."""
    return tuple((-x, y, -b) for x, y, b in vertices)


def loose(d: Drawn, seed: int = 1, holes: bool = True) -> Drawn:
    """The rib as lines, arcs and circles in no order, some of them drawn backwards."""
    rng = np.random.default_rng(seed)
    jobs = [(a, b, d.layer) for a, b in pairs(OUTER)] + [(a, b, d.holes) for a, b in pairs(CUTOUT)]
    for i in rng.permutation(len(jobs)):
        a, b, layer = jobs[i]
        if a[2] == 0 and rng.random() < 0.5:
            a, b = (*b[:2], 0.0), a
        d.segment(a, b, layer)
    if holes:
        for hole in HOLES:
            d.circle(*hole)
    return d


def whole(d: Drawn, outer: tuple[Vertex, ...] = OUTER) -> Drawn:
    """The rib as two polylines and circles."""
    d.polyline(outer)
    d.polyline(CUTOUT, d.holes)
    for hole in HOLES:
        d.circle(*hole)
    return d


# ---------------------------------------------------------------- what came of it


def filled(text: str) -> str:
    """A part file's text with every place that is marked filled in."""
    for key, value in {
        "number": '"N-1"', "revision": '"A"', "material": '"2024-O"', "thickness": '"1 mm"', "width": '"15 mm"', "bend_angle": "90",
        "bend_radius": '"3 mm"', "line": '"outside-mold-line"', "cut_diameter": '"4 mm"',
    }.items():  # fmt: skip
        text = re.sub(rf"^(# )?{key} *= *(\"\")? *# fill in.*$", f"{key} = {value}", text, flags=re.MULTILINE)
    return text


def part_of(text: str) -> Part:
    """The part of an imported text."""
    return parse_part(filled(text), "imported")


def segments(loop: Loop, fine: int = 1500) -> list[tuple[Vertex, Vertex]]:
    """A loop as lines and arcs; a spline as fine chords."""
    out: list[tuple[Vertex, Vertex]] = []
    for e in loop.edges:
        if e.kind == "arc":
            (x0, y0), (xm, ym), (x1, y1) = e.points
            out.append(((x0, y0, _through(x0, y0, xm, ym, x1, y1)), (x1, y1, 0.0)))
        else:
            curve = curve_of(e)
            points = curve.point(np.linspace(0.0, curve.length, 2 if e.kind == "line" else fine))
            out += [((*a, 0.0), (*b, 0.0)) for a, b in itertools.pairwise(map(tuple, points.tolist()))]
    return out


def sampled(rows: list[tuple[Vertex, Vertex]], n: int = 25) -> np.ndarray:
    """Points on lines and arcs; only the first of each where there are many."""
    if len(rows) > 500:
        return np.array([a[:2] for a, _ in rows])
    return np.concatenate([on_segment(a, b, np.linspace(0.0, 1.0, n)) for a, b in rows])


def on_segment(a: Vertex, b: Vertex, t: np.ndarray) -> np.ndarray:
    p, q = np.array(a[:2]), np.array(b[:2])
    if a[2] == 0:
        return p + t[:, None] * (q - p)
    centre, radius = ball(a, b)
    angle = atan2(a[1] - centre[1], a[0] - centre[0]) + 4 * atan(a[2]) * t
    return np.array(centre) + radius * np.column_stack([np.cos(angle), np.sin(angle)])


def far(points: np.ndarray, rows: list[tuple[Vertex, Vertex]]) -> float:
    """Farthest that points lie from the nearest of some lines and arcs, exact [mm]."""
    best = np.full(len(points), np.inf)
    for a, b in rows:
        p, q = np.array(a[:2]), np.array(b[:2])
        if a[2] == 0:
            run = q - p
            t = np.clip((points - p) @ run / max(run @ run, 1e-300), 0, 1)
            d = np.hypot(*(points - p - t[:, None] * run).T)
        else:
            centre, radius = ball(a, b)
            arm = points - np.array(centre)
            sweep = 4 * atan(a[2])
            start = atan2(a[1] - centre[1], a[0] - centre[0])
            turn = (np.arctan2(arm[:, 1], arm[:, 0]) - start) * np.sign(sweep) % (2 * pi)
            ends = np.minimum(np.hypot(*(points - p).T), np.hypot(*(points - q).T))
            d = np.where(turn <= abs(sweep), np.abs(np.hypot(*arm.T) - radius), ends)
        best = np.minimum(best, d)
    return float(best.max())


def misses(part: Part, outer: list[tuple[Vertex, Vertex]] | None = None) -> float:
    """How far the part's outline, cutout and holes lie from the known rib's, both ways [mm]."""
    known = outer if outer is not None else pairs(OUTER)
    read = segments(part.outer)
    worst = max(far(sampled(read), known), far(sampled(known), read))
    if outer is None:
        assert len(part.cutouts) == 1
        cut = segments(part.cutouts[0])
        worst = max(worst, far(sampled(cut), pairs(CUTOUT)), far(sampled(pairs(CUTOUT)), cut))
        found = sorted((h.at[0], h.at[1], h.diameter) for h in part.holes)
        assert len(found) == len(HOLES)
        worst = max(worst, float(np.abs(np.array(found) - np.array(sorted(HOLES))).max()))
    return worst
