"""A grid of circles on the flat blank: after forming, each circle's longest and shortest diameter say how the sheet was strained there.

Rows run along the grain, along x where the drawing names none. The grid is counted from the drawn line of the web, so that a circle has the
same name and the same place by whatever method the blank was developed. A circle stands whole in the net blank: clear of cut lines, trim,
holes and pins; over bend tangent lines it is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
import shapely
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError, UnitError
from ribwright.geometry.curve import samples
from ribwright.stages.blank import Blank
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.job import Job
from ribwright.units import length_mm

Array = NDArray[np.float64]
Pair = tuple[float, float]
LEAST, MOST = 1.0, 25.0  # diameter [mm]
SHARE, BETWEEN = 1.5, 2.5  # pitch over diameter; least room between circles for their names [mm]
CLEAR = 0.5  # circle to cut line, hole or trim [mm]
BEYOND = 1.25  # flange widths outside the drawn line at which counting starts: wider than any flange lies flat
NAMED = 5  # every so many columns and rows a circle carries its name
MANY = 20_000  # circles
CHORD = 0.01  # of arcs [mm]


@dataclass(frozen=True)
class GridCircle:
    """A circle: column, row, centre [mm], and whether its name is printed beside it."""

    column: int
    row: int
    x: float
    y: float
    named: bool = False

    @property
    def name(self) -> str:
        """'C12-R7'."""
        return f"C{self.column}-R{self.row}"


@dataclass(frozen=True)
class CircleGrid:
    """`diameter` and `pitch` [mm]; `angle` of the rows [deg from +x], along the grain or not; circles by row, then column."""

    diameter: float
    pitch: float
    angle: float
    along_grain: bool
    circles: tuple[GridCircle, ...]

    def named(self, name: str) -> GridCircle | None:
        """The circle of a name."""
        return next((c for c in self.circles if c.name == name), None)


def read_diameter(text: str, key: str = "--circles", file: str = "command line") -> float:
    """Diameter of the circles [mm] from words like "5 mm". InputError for anything else."""
    allowed = f'a diameter of {LEAST:g} to {MOST:g} mm with its unit, like "5 mm" or "0.2 in"'
    try:
        diameter = length_mm(text)
    except UnitError:
        diameter = 0.0
    if not LEAST <= diameter <= MOST:
        raise InputError([Fault(file, key, repr(text), allowed)])
    return diameter


def pitch_of(diameter: float) -> float:
    """Centre to centre [mm]: half a diameter between circles, and room for a name."""
    return max(SHARE * diameter, diameter + BETWEEN)


@dataclass(frozen=True, eq=False)
class Lattice:
    """Where circles may stand: first corner along a row and along a column [mm], those directions in the columns of turn, pitch [mm]."""

    first: Array
    turn: Array
    pitch: float

    def at(self, column_row: Array) -> Array:
        """Centres (n, 2) [mm] of columns and rows (n, 2), counted from 1."""
        return np.asarray((self.first + (np.asarray(column_row) - 0.5) * self.pitch) @ self.turn.T)

    def of_name(self, name: str) -> Pair:
        """Centre [mm] of "C12-R7", whether a circle stands there or not."""
        column, row = name.removeprefix("C").split("-R")
        x, y = self.at(np.array([[float(column), float(row)]]))[0]
        return float(x), float(y)


def lattice(job: Job, blank: Blank, diameter: float) -> Lattice:
    """Counted from the corner of the drawn outer line less the widest flange: no method of the blank moves it."""
    a = np.radians(job.part.sheet.grain or 0.0)
    turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    drawn = np.concatenate([e.curve.point(samples(e.curve, CHORD)) for e in blank.laid[0].edges])
    widest = max((max(f.width.values) for f in job.part.flanges.values()), default=0.0)
    first = (drawn @ turn).min(axis=0) - BEYOND * widest - job.part.trim
    return Lattice(first, turn, pitch_of(diameter))


def circle_grid(job: Job, blank: Blank, diameter: float) -> CircleGrid:
    """The circles of that diameter [mm] on a blank. None fit: an empty grid. InputError where there would be more than can be
    told apart."""
    grid = lattice(job, blank, diameter)
    outline = np.array(blank.outline.path.chords(CHORD))
    count = np.ceil((np.max(outline @ grid.turn, axis=0) - grid.first) / grid.pitch).astype(int)
    if count[0] * count[1] > 4 * MANY:
        raise _too_many(diameter)
    columns, rows = (np.arange(1, max(0, n) + 1) for n in count)
    at = np.stack(np.meshgrid(columns, rows), axis=-1).reshape(-1, 2)
    places = grid.at(at)
    room = shapely.buffer(net_room(job, blank), -(diameter / 2.0 + CLEAR))
    shapely.prepare(room)
    kept = shapely.contains_xy(room, places[:, 0], places[:, 1])
    if kept.sum() > MANY:
        raise _too_many(diameter)
    at, places = at[kept], places[kept]
    circles = tuple(
        GridCircle(int(c), int(r), float(x), float(y), named)
        for (c, r), (x, y), named in zip(at, places, _named(at), strict=True)
    )
    grain = job.part.sheet.grain
    return CircleGrid(diameter, grid.pitch, float(grain or 0.0), grain is not None, circles)


def net_room(job: Job, blank: Blank) -> shapely.Geometry:
    """What is metal of the formed part: the outline without cutouts, holes and trim [mm]."""
    outer, *inner = (shapely.make_valid(shapely.Polygon(loop.path.chords(CHORD))) for loop in blank.loops)
    away: list[shapely.Geometry] = [*inner, *(_hole(h) for h in blank.holes)]
    if job.part.trim > 0.0:
        away += [shapely.LineString(s.flat[k]).buffer(job.part.trim) for s in blank.strips for k in s.at.petals]
    return shapely.difference(outer, shapely.union_all(away)) if away else outer


def _hole(h: FlatHole) -> shapely.Geometry:
    a, half = np.radians(h.hole.slot_angle), h.hole.slot / 2.0
    x, y, u, v = *h.hole.at, half * np.cos(a), half * np.sin(a)
    middle = shapely.LineString([(x - u, y - v), (x + u, y + v)]) if half > 0.0 else shapely.Point(x, y)
    return middle.buffer(h.cut_diameter / 2.0, quad_segs=32)


def _named(at: NDArray[np.int64]) -> Sequence[bool]:
    """Every fifth of every fifth row; and others, so that none is further than four columns and rows from one with a name."""
    named = {(int(c), int(r)) for c, r in at if c % NAMED == 0 and r % NAMED == 0}
    near = {(c + i, r + j) for c, r in named for i in range(1 - NAMED, NAMED) for j in range(1 - NAMED, NAMED)}
    for c, r in ((int(c), int(r)) for c, r in at):
        if (c, r) not in near:
            named.add((c, r))
            near |= {(c + i, r + j) for i in range(1 - NAMED, NAMED) for j in range(1 - NAMED, NAMED)}
    return [(int(c), int(r)) in named for c, r in at]


def _too_many(diameter: float) -> InputError:
    least = ceil(diameter * 2)
    return InputError(
        [
            Fault(
                "command line",
                "--circles",
                f"over {MANY} circles of {diameter:g} mm",
                f"larger circles, like {least} mm",
            )
        ]
    )
