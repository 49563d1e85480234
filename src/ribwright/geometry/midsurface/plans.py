"""What the mesh is made from: the drawn loops with their flanges, how neighbours join, and the holes."""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.geometry.curve import Curve
from ribwright.geometry.midsurface.side import Side

Pair = tuple[float, float]


@dataclass(frozen=True, eq=False)
class EdgePlan:
    """One drawn edge; `side` None where it has no flange."""

    curve: Curve
    place: int
    side: Side | None = None


@dataclass(frozen=True)
class JoinPlan:
    """The join at the end of an edge.

    kind      "smooth": one run; "corner": two flanges; "end-before", "end-after": the flange on that side ends; "plain"
    sa, sb    where the strip before ends and the one after begins, along their drawn lines [mm]
    meeting   the two bend tangent lines' meeting, at a flange end the foot of the drawn corner on the tangent line
    relieved  whether a relief was asked for;  centre, radius  of its circle, radius 0: none
    """

    kind: str
    sa: float
    sb: float
    meeting: Pair = (0.0, 0.0)
    relieved: bool = False
    centre: Pair = (0.0, 0.0)
    radius: float = 0.0


@dataclass(frozen=True, eq=False)
class LoopPlan:
    """A closed loop in travel order, material on its left; `joins[i]` at the end of edge i."""

    edges: tuple[EdgePlan, ...]
    joins: tuple[JoinPlan, ...]


@dataclass(frozen=True, eq=False)
class HolePlan:
    """A hole: `radius` as cut, or a flanged one by its `side`, whose curve is its tangent circle, travelled clockwise. A slot is
    `slot` longer than wide, along `slot_angle` [rad]."""

    centre: Pair
    radius: float
    place: int
    slot: float = 0.0
    slot_angle: float = 0.0
    side: Side | None = None


@dataclass(frozen=True)
class Anchor:
    """Where the web's grid is laid: a point and a direction that move with the part."""

    at: Pair
    direction: float
