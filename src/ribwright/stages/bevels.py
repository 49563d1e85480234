"""Which angles need a gauge card: each flange angle of the part, and each wall angle of the block, with its places.

A varying bevel gets a card at each of its typed stations and between them so often that neighbours differ by at most
STEP_DEG; a wall that leans unevenly along an even bevel gets one at each place where its undercut was solved. Places whose
angles agree within SAME_DEG share a card. Between two cards the angle is linear along the edge for the part, as the part
file says; the block's wall follows closely enough to be read off the same way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge
from ribwright.stages.blank import Blank
from ribwright.stages.block import Block, BlockEdge
from ribwright.stages.job import Job

Array = NDArray[np.float64]
STEP_DEG = 3.0
SAME_DEG = 0.05
TABLE_STEP = 50.8  # least number of rows of an angle table: one every 2 in [mm]


@dataclass(frozen=True)
class Place:
    """Where along an edge, as typed [mm]; None: the whole edge."""

    edge: str
    along: float | None


@dataclass(frozen=True)
class Bevel:
    """One card. `angle` turned from flat [deg]: the part's bend angle, released, or the block's wall angle. `clear`:
    reach of the rounding from the corner of the two faces [mm], the larger of both sides: the card is relieved there."""

    angle: float
    places: tuple[Place, ...]
    clear: float
    low: float | None = None
    high: float | None = None

    @property
    def included(self) -> float:
        """Angle between web and flange on the flange's side, 180 - angle [deg]."""
        return 180.0 - self.angle


@dataclass(frozen=True, eq=False)
class AngleRun:
    """Angle along one edge whose bevel varies: along as typed (n,) [mm], bend angle and wall angle [deg]."""

    edge: str
    along: Array
    bend: Array
    wall: Array
    wall_known: bool


@dataclass(frozen=True, eq=False)
class Bevels:
    """Cards for the part and for the block, by falling angle; the runs of edges whose bevel varies."""

    part: tuple[Bevel, ...]
    block: tuple[Bevel, ...]
    runs: tuple[AngleRun, ...]


def bevels(job: Job, blank: Blank, block: Block) -> Bevels:
    """The cards of a job. A block whose undercut is not known gets no card."""
    laid = {e.edge.name: e for loop in blank.laid for e in loop.edges if e.flange}
    walls = {b.edge: b for b in block.edges}
    part = [one for e in laid.values() for one in _part(job, e)]
    wall = [one for name, e in laid.items() if walls[name].under.known for one in _wall(e, walls[name])]
    runs = [_run(e, walls[name]) for name, e in laid.items() if _varies(e) or _leans_unevenly(walls[name])]
    return Bevels(_merged(part), _merged(wall), tuple(runs))


def _varies(edge: LaidEdge) -> bool:
    assert edge.flange is not None
    return float(np.ptp(edge.angle(np.linspace(0.0, edge.curve.length, 101)))) > SAME_DEG


def _leans_unevenly(wall: BlockEdge) -> bool:
    """Whether the wall changes along the edge, as where the section model asks more undercut of a sharper curve."""
    return float(np.ptp(wall.under.wall)) > SAME_DEG


def _stations(edge: LaidEdge, least: float = STEP_DEG) -> Array:
    """Along as typed: ends, typed stations inside the edge, and between them so that steps stay small."""
    assert edge.flange is not None
    length = edge.drawn.length
    rows = edge.flange.bend_angle.resolved(length)
    at = sorted({0.0, length, *(x for x, _ in rows if 0.0 < x < length)})
    angles = np.interp(at, [x for x, _ in rows], [v for _, v in rows])
    out = [0.0]
    for a, b, low, high in zip(at[:-1], at[1:], angles[:-1], angles[1:], strict=True):
        n = max(1, int(np.ceil(abs(high - low) / least - 1e-9)))
        out += [float(x) for x in np.linspace(a, b, n + 1)[1:]]
    return np.array(out)


def _angle_at(edge: LaidEdge, along: Array) -> Array:
    assert edge.flange is not None
    rows = edge.flange.bend_angle.resolved(edge.drawn.length)
    return np.interp(along, [x for x, _ in rows], [v for _, v in rows])


def _places(edge: LaidEdge) -> list[tuple[Place, float]]:
    """Each place with its bend angle."""
    if not _varies(edge):
        return [(Place(edge.edge.name, None), float(_angle_at(edge, np.zeros(1))[0]))]
    along = _stations(edge)
    return [(Place(edge.edge.name, float(x)), float(a)) for x, a in zip(along, _angle_at(edge, along), strict=True)]


def _part(job: Job, edge: LaidEdge) -> list[Bevel]:
    assert edge.flange is not None
    reach = edge.flange.bend_radius + job.t
    return [Bevel(a, (place,), reach * float(np.tan(np.radians(a) / 2))) for place, a in _places(edge)]


def _wall(edge: LaidEdge, wall: BlockEdge) -> list[Bevel]:
    out = []
    places = [place for place, _ in _places(edge)]
    if places[0].along is None and _leans_unevenly(wall):
        places = [Place(edge.edge.name, float(x)) for x in np.sort(wall.along)]
    for place in places:
        x = 0.0 if place.along is None else place.along
        angle, radius = _read(wall, wall.under.wall, x), _read(wall, wall.under.radius, x)
        bend = _read(wall, wall.angle, x)
        low, high = (bend + _read(wall, v, x) for v in (wall.under.low, wall.under.high))
        out.append(Bevel(angle, (place,), radius * float(np.tan(np.radians(angle) / 2)), low, high))
    return out


def _read(wall: BlockEdge, values: Array, along: float) -> float:
    order = np.argsort(wall.along)
    return float(np.interp(along, wall.along[order], values[order]))


def _run(edge: LaidEdge, wall: BlockEdge) -> AngleRun:
    n = max(2, int(np.ceil(edge.drawn.length / TABLE_STEP)) + 1)
    solved = np.zeros(0) if wall.quick is None else wall.along
    along = np.unique(np.concatenate([np.linspace(0.0, edge.drawn.length, n), _stations(edge), solved]))
    walls = np.array([_read(wall, wall.under.wall, float(x)) for x in along])
    return AngleRun(edge.edge.name, along, _angle_at(edge, along), walls, wall.under.known)


def _merged(cards: list[Bevel]) -> tuple[Bevel, ...]:
    """One card for places that agree, falling in angle."""
    out: list[Bevel] = []
    for c in sorted(cards, key=lambda c: -c.angle):
        if out and out[-1].angle - c.angle < SAME_DEG:
            last = out[-1]
            lows, highs = ([v for v in pair if v is not None] for pair in ((last.low, c.low), (last.high, c.high)))
            out[-1] = Bevel(
                last.angle,
                (*last.places, *c.places),
                max(last.clear, c.clear),
                min(lows, default=None),
                max(highs, default=None),
            )
        else:
            out.append(c)
    return tuple(out)
