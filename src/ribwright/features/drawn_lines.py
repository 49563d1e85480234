"""A drawing file as it was read: its lines in the drawing's own numbers, and what was left aside.

Nothing here knows a unit: a drawing's numbers become lengths only when a person has confirmed one of them.
"""

from __future__ import annotations

from dataclasses import dataclass

Point = tuple[float, float]
LINE, ARC, CURVE, CIRCLE = "line", "arc", "curve", "circle"


@dataclass(frozen=True)
class Piece:
    """One line of a drawing, seen from above, in the numbers of the drawing.

    kind `line`: points = (start, end). `arc`: (start, through, end), `through` half way round. `circle`: (centre, a point on
    it). `curve`: dense points that lie exactly on it, ends included, the last the first again when it is closed.
    `source` names it for a person: the entity and its handle in the file.
    """

    kind: str
    points: tuple[Point, ...]
    layer: str
    source: str = ""


@dataclass(frozen=True)
class LeftOut:
    """What the file holds and is not read: `what`, on which layer, how many, why. `is_line`: it could have been part of an
    outline (a tilted circle, a line on a hidden layer), unlike a text or a dimension. `hidden`: the drawing does not show it."""

    what: str
    layer: str
    count: int
    why: str
    is_line: bool = False
    hidden: bool = False


@dataclass(frozen=True)
class DrawnFile:
    """Everything read of one drawing file. `unit`: what its header claims ("mm", "in", another unit's name, or "" for nothing);
    `version` its format; `mended`: what was broken in the file and how it was put right, a sentence each."""

    file: str
    version: str
    unit: str
    pieces: tuple[Piece, ...]
    left_out: tuple[LeftOut, ...] = ()
    mended: tuple[str, ...] = ()
