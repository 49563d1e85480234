"""The shape of a section for drawing: block, sheet, angle, hatching; plain numbers in mm as the section model has them.

The plane square to the edge: x outward, y up, x = 0 where the bend begins on the web, web face of the block at y = 0. A wall
at w from flat runs along (cos w, -sin w). Faces are (N, 2) from the web to the cut edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.page import Pair
from ribwright.mechanics.block_section import Mask, distance, sides

if TYPE_CHECKING:
    from ribwright.mechanics.section.formed import Formed
    from ribwright.mechanics.section.model import Flange, Pressed

Array = NDArray[np.float64]
FLAT, LOADED, ON_BLOCK, RELEASED = "flat", "loaded", "on-block", "released"
LEAST_ANGLE = 2.0  # deg; below it web and flange hardly meet anywhere


@dataclass(frozen=True, eq=False)
class Seen:
    """One state of the sheet, as it is drawn. `formed` None: the flat blank. Pressure MPa, angle deg."""

    kind: str
    pressure: float
    angle: float
    inner: Array
    outer: Array
    formed: Formed | None


@dataclass(frozen=True)
class Corner:
    """Where the outer faces of web and flange would meet, and the cut edge's outer corner [mm]; angle from flat [deg]."""

    at: Pair
    tip: Pair
    angle: float

    @property
    def reach(self) -> float:
        """From the corner to the cut edge [mm]."""
        return float(np.hypot(self.tip[0] - self.at[0], self.tip[1] - self.at[1]))


def flat_blank(pressed: Pressed) -> Seen:
    """The blank as it is laid on the block, from where its web is held to its cut edge."""
    f = pressed.flange
    left = float(pressed.points[0].loaded.x[0]) if pressed.points else -4.0 * (f.radius + f.t)
    x = np.linspace(left, f.arc() + f.straight, 60)
    low, high = (np.column_stack([x, np.full_like(x, y)]) for y in (0.0, f.t))
    return Seen(FLAT, 0.0, 0.0, low, high, None)


def seen(kind: str, pressure: float, formed: Formed) -> Seen:
    """A state of the model as it is drawn."""
    return Seen(kind, pressure, formed.angle, formed.inner, formed.outer, formed)


def story(pressed: Pressed) -> list[Seen]:
    """Flat, under load at each pressure, the part in the hand after the last."""
    told = [flat_blank(pressed), *(seen(LOADED, p.pressure, p.loaded) for p in pressed.points)]
    last = pressed.points[-1] if pressed.points else None
    if last is not None and last.released is not None:
        told.append(seen(RELEASED, 0.0, last.released))
    return told


def wall_point(f: Flange, down: float) -> Pair:
    """The point of the wall `down` mm along it from the rounded edge."""
    w = np.radians(f.wall)
    x, y = f.radius * np.sin(w) + down * np.cos(w), f.radius * (np.cos(w) - 1.0) - down * np.sin(w)
    return float(x), float(y)


def block_surface(f: Flange, left: float, down: float) -> list[Pair]:
    """Web face from x = `left`, the rounded edge, the wall for `down` mm along it."""
    w = np.radians(f.wall)
    phi = np.linspace(0.0, w, 33)
    edge = zip(f.radius * np.sin(phi), f.radius * (np.cos(phi) - 1.0), strict=True)
    return [(left, 0.0), *((float(x), float(y)) for x, y in edge), wall_point(f, down)]


def block_area(surface: Sequence[Pair], low: float) -> list[Pair]:
    """The block's section closed at its left end and at y = `low`, both cut off there, not its own faces."""
    (left, _), (foot, end) = surface[0], surface[-1]
    return [*surface, *([(foot, low)] if low < end else []), (left, min(low, end))]


def from_left(face: Array, left: float) -> Array:
    """The face from x = `left` on, its first point set there; the web lies flat so far out."""
    x = face[:, 0]
    k = int(np.argmax(x > left))
    if k == 0:
        return face
    a, b = face[k - 1], face[k]
    return np.vstack([a + (b - a) * (left - a[0]) / (b[0] - a[0]), face[k:]])


def sheet_area(s: Seen, left: float) -> list[Pair]:
    """The sheet's section as a closed ring from x = `left` on."""
    inner, outer = from_left(s.inner, left), from_left(s.outer, left)
    return [(float(x), float(y)) for x, y in (*inner, *outer[::-1])]


def corner_of(s: Seen) -> Corner:
    """The outside corner of a bend. For a sheet hardly bent: where its bend begins."""
    tip, web = s.outer[-1], s.outer[0]
    a = np.radians(s.angle)
    if abs(s.angle) < LEAST_ANGLE:
        return Corner((0.0, float(web[1])), (float(tip[0]), float(tip[1])), s.angle)
    # back from the cut edge along the flange's line up to the web's outer face
    back = (web[1] - tip[1]) / np.sin(a)
    return Corner((float(tip[0] - back * np.cos(a)), float(web[1])), (float(tip[0]), float(tip[1])), s.angle)


def upward(s: Seen) -> Array:
    """Unit normals of the sheet at its nodes, from the block's side outward (N, 2)."""
    d = s.outer - s.inner
    return np.asarray(d / np.hypot(d[:, 0], d[:, 1])[:, None])


def block_distance(f: Flange, face: Array) -> Array:
    """Distance of points (N, 2) from the block's surface [mm], negative inside."""
    return distance(face, f.radius, float(np.radians(f.wall)))


def zones(f: Flange, face: Array) -> tuple[Mask, Mask, Mask]:
    """Which points lie over the web face, over the rounded edge and beside the wall: three masks (N,)."""
    return sides(face, f.radius, float(np.radians(f.wall)))


def hatched(area: Sequence[Pair], pitch: float, slope_deg: float = 45.0) -> list[tuple[Pair, Pair]]:
    """Parallel lines `pitch` apart across the inside of a ring, as (start, end) pairs."""
    a = np.radians(slope_deg)
    along, across = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    ring = np.asarray(area, float)
    u, v = ring @ along, ring @ across
    u1, v1 = np.roll(u, -1), np.roll(v, -1)
    found: list[tuple[Pair, Pair]] = []
    for level in np.arange(np.ceil(v.min() / pitch) * pitch, v.max(), pitch):
        cut = (v <= level) != (v1 <= level)
        at = np.sort(u[cut] + (u1[cut] - u[cut]) * (level - v[cut]) / (v1[cut] - v[cut]))
        for low, high in zip(at[::2], at[1::2], strict=True):
            p, q = low * along + level * across, high * along + level * across
            found.append(((float(p[0]), float(p[1])), (float(q[0]), float(q[1]))))
    return found


def farthest(f: Flange, s: Seen, where: Mask) -> Pair:
    """The point of the inner face that is farthest off the block among those of a zone."""
    off = block_distance(f, s.inner)
    return point(s.inner[int(np.flatnonzero(where)[np.argmax(off[where])])])


def middle_of_bend(s: Seen) -> Pair:
    """The inner face past the bend's beginning where it has turned by half the angle."""
    assert s.formed is not None
    past = np.flatnonzero(s.inner[:, 0] >= 0.0)
    return point(s.inner[past[int(np.argmin(np.abs(np.degrees(s.formed.slope[past]) - s.angle / 2)))]])


def point(row: Array) -> Pair:
    """A row of an array of points as a pair of numbers."""
    return float(row[0]), float(row[1])
