"""The opposite hand of a part: its mirror, x -> -x, in the plane of the web. Flanges keep the way they turn.

    place (x, y)            -> (-x, y)
    direction d [deg]       -> 180 - d, of lines that have no sense (grain, slots), so in [0, 180)
    edge, travelled a to b  -> travelled from the mirror of b to the mirror of a

A mirror turns a loop round, so every loop is travelled backwards to have its material on the left again. `turned` of an edge changes
with it: what is said along an edge counts from its start as typed, and stays with the same metal. Widths, angles, radii, tolerances,
balloons and names are those of the part; number and opposite, left and right change places. Mirrored twice a part is itself.
"""

from __future__ import annotations

from dataclasses import replace

from ribwright.features.part import Bead, Corner, Edge, Hole, Loop, Part, Point, SheetCall

OTHER_HAND = {"left": "right", "right": "left"}
LINE_DEG = 180.0  # a line points both ways
KEPT_DIGITS = 9  # of a mirrored direction: 180 - (180 - d) is d again


def mirrored(part: Part) -> Part:
    """The part of the other number and hand."""
    return replace(
        part,
        number=part.opposite,
        opposite=part.number,
        hand=OTHER_HAND.get(part.hand, part.hand),
        drawn=not part.drawn,
        sheet=_sheet(part.sheet),
        outer=_loop(part.outer),
        cutouts=tuple(_loop(c) for c in part.cutouts),
        corners=tuple(_corner(c) for c in part.corners),
        holes=tuple(_hole(h) for h in part.holes),
        beads=tuple(_bead(b) for b in part.beads),
    )


def mirrored_point(p: Point) -> Point:
    """(-x, y); 0 stays 0 and not -0."""
    return 0.0 - p[0], p[1]


def mirrored_direction(deg: float) -> float:
    """The direction of a line that points both ways, mirrored [deg, 0 to under 180]."""
    return round((LINE_DEG - deg) % LINE_DEG, KEPT_DIGITS) % LINE_DEG


def _loop(loop: Loop) -> Loop:
    return replace(loop, edges=tuple(_edge(e) for e in reversed(loop.edges)), turned=not loop.turned)


def _edge(edge: Edge) -> Edge:
    return replace(
        edge,
        points=tuple(mirrored_point(p) for p in reversed(edge.points)),
        start_dir=_backwards(edge.end_dir),
        end_dir=_backwards(edge.start_dir),
        turned=not edge.turned,
    )


def _backwards(direction: Point | None) -> Point | None:
    """A direction of travel, mirrored and travelled the other way: -(-x, y)."""
    return None if direction is None else (direction[0], 0.0 - direction[1])


def _corner(corner: Corner) -> Corner:
    """Named in the order of travel, as the edges are."""
    return replace(corner, at=corner.at[::-1])


def _hole(hole: Hole) -> Hole:
    slot_angle = mirrored_direction(hole.slot_angle) if hole.slot else hole.slot_angle
    return replace(hole, at=mirrored_point(hole.at), slot_angle=slot_angle)


def _bead(bead: Bead) -> Bead:
    return replace(bead, points=tuple(mirrored_point(p) for p in bead.points))


def _sheet(sheet: SheetCall) -> SheetCall:
    return sheet if sheet.grain is None else replace(sheet, grain=mirrored_direction(sheet.grain))
