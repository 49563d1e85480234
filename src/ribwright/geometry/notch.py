"""A notch cut into an edge: two parallel sides and a floor, square to the drawn line at the notch's middle.

In the frame of the middle (x along the travel, y inward from the drawn line, material on the left):

    sides    x = -width/2 and x = width/2
    floor    y = depth, its two corners rounded by true arcs of `radius`
    feet     where the sides meet the web's edge (the bend tangent line under a flange, the drawn line else)
    cuts     `gap` further along the drawn line than the feet: there a flange is cut square to its own edge
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import atan, atan2, pi

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Arc, Curve, Line
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.offset import SetOver
from ribwright.geometry.path import Path, Vertex, bulge_of, centre_of

Array = NDArray[np.float64]
FIT = 0.01  # lines and arcs stay within this of the web's edge [mm]
CHORD = 0.005  # chord error of the web's edge between a foot and a cut [mm]
SCAN, HALVINGS = 64, 60


@dataclass(frozen=True, eq=False)
class NotchCut:
    """What a notch takes off the web.

    middle      arc length of its middle along the travel [mm];  at, inward  that place and the unit way into the web, (2,)
    cuts        arc lengths before and after which the edge stands;  feet  those of the notch's own sides, between them [mm]
    path        open: from the web's edge at the first cut round the notch to the web's edge at the second
    corners     the sharp places of `path` between its lines and arcs, both ends included, (n, 2)
    least_depth the least depth whose rounded corners begin inside the web [mm]
    """

    middle: float
    at: Array
    inward: Array
    cuts: tuple[float, float]
    feet: tuple[float, float]
    path: Path
    radius: float
    least_depth: float

    @property
    def corners(self) -> Array:
        """The vertices of the path, (n, 2)."""
        return np.array([(x, y) for x, y, _ in self.path.vertices])

    def polygon(self, chord_error: float = 0.01) -> list[tuple[float, float]]:
        """What is cut out of the web as a ring."""
        return self.path.chords(chord_error)


def cut_notch(line: SetOver, middle: float, width: float, depth: float, radius: float, gap: float) -> NotchCut | None:
    """The notch on an edge whose web ends on `line`; None where its sides miss the edge or a cut lies past an end of it.

    A `radius` over half the width, or over what the depth leaves below the feet, is taken as large as fits: who asks looks at
    `radius` and `least_depth`. A notch that ends before the web does is cut to a depth of a thousandth of its width.
    """
    length = line.curve.length
    p, t, n = (x[0] for x in line.frame(np.array([middle])))
    inward = -n
    feet = _foot(line, p, t, middle, -width / 2), _foot(line, p, t, middle, width / 2)
    if not 0.0 <= middle <= length or feet[0] is None or feet[1] is None:
        return None
    first, last = feet[0] - gap, feet[1] + gap
    if first < 0.0 or last > length:
        return None
    places = line.point(np.array([feet[0], feet[1]]))
    foot_depth = (places - p) @ inward
    wide = min(radius, width / 2)
    least = float(foot_depth.max()) + wide
    floor = max(depth, float(foot_depth.max()) + 1e-3 * width)
    round_ = max(min(wide, floor - float(foot_depth.max())), 0.0)
    vertices: list[Vertex] = [*_edge(line, first, feet[0]), _vertex(places[0])]
    vertices += _floor(p, t, inward, width, floor, round_)
    vertices += [*_edge(line, feet[1], last), _vertex(line.point(np.array([last]))[0])]
    return NotchCut(middle, p, inward, (first, last), (feet[0], feet[1]), Path(_apart(vertices), False), round_, least)


def _vertex(p: Array, bulge: float = 0.0) -> Vertex:
    return float(p[0]), float(p[1]), bulge


def _edge(line: SetOver, a: float, b: float) -> list[Vertex]:
    """The web's edge from a up to b, b left out."""
    if b - a < 1e-12:
        return []
    return list(lines_and_arcs(line.point(line.samples(a, b, CHORD)), FIT)[:-1])


def _floor(p: Array, t: Array, inward: Array, width: float, depth: float, radius: float) -> list[Vertex]:
    """From the end of one side to the start of the other. Going in, the path turns right twice."""
    half, turn = width / 2, bulge_of(-pi / 2)

    def at(x: float, y: float, bulge: float = 0.0) -> Vertex:
        return _vertex(p + x * t + y * inward, bulge)

    if radius <= 0.0:
        return [at(-half, depth), at(half, depth)]
    return [
        at(-half, depth - radius, turn),
        at(-half + radius, depth),
        at(half - radius, depth, turn),
        at(half, depth - radius),
    ]


def _apart(vertices: list[Vertex]) -> tuple[Vertex, ...]:
    """Without vertices that repeat the next one: that carries the bulge of what follows."""
    keep = [a for a, b in itertools.pairwise(vertices) if abs(a[0] - b[0]) > 1e-9 or abs(a[1] - b[1]) > 1e-9]
    return (*keep, vertices[-1])


def _foot(line: SetOver, p: Array, t: Array, middle: float, x: float) -> float | None:
    """Arc length nearest the middle at which the web's edge is `x` along t from p; None where it is nowhere on the edge."""
    length = line.curve.length
    end = length if x > 0 else 0.0
    s = middle + (end - middle) * np.linspace(0.0, 1.0, SCAN + 1) ** 2
    # a side is near: look closely within thrice the way first
    near = middle + np.clip(3.0 * x * np.linspace(0.0, 1.0, SCAN + 1), min(0.0, end - middle), max(0.0, end - middle))
    for places in (near, s):
        off = (line.point(places) - p) @ t / x - 1.0
        over = np.flatnonzero(off >= -1e-12)
        if len(over):
            k = int(over[0])
            if k == 0:
                return float(places[0])
            low, high = float(places[k - 1]), float(places[k])
            for _ in range(HALVINGS):
                half = (low + high) / 2
                if float((line.point(np.array([half]))[0] - p) @ t) / x < 1.0:
                    low = half
                else:
                    high = half
            return (low + high) / 2
    return None


def curves_of(path: Path) -> tuple[Curve, ...]:
    """The lines and arcs of a path as curves."""
    out: list[Curve] = []
    for a, b in path.segments():
        if abs(a[2]) < 1e-12:
            out.append(Line(a[:2], b[:2]))
            continue
        (x, y), radius = centre_of(a, b)
        out.append(Arc((x, y), radius, atan2(a[1] - y, a[0] - x), 4 * atan(a[2])))
    return tuple(out)
