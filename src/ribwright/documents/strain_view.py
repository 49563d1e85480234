"""A strain map seen: the flat blank, the formed part from the side its flanges stand on, or a place of the blank close up.

What shows is decided cell by cell (`geometry/raster`), so that a flange
in front hides what is behind it; bands of a quantity are filled with greys, bear their letters where there is room, and outlines are lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from shapely import LineString

from ribwright.documents.page import Circle, Item, Polyline, Stroke, Text
from ribwright.documents.strain_scale import Scale
from ribwright.geometry.raster import Seen, pieces, seen
from ribwright.stages.strain_map import StrainMap

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
CELL = 0.2  # mm on the page
OFF = 0.6  # cells that a band's side may be off
TILT, YAW = 48.0, 18.0  # the formed part: eye above the web's plane, part turned to one side [deg]
LETTER_ROOM, LETTER_PT, MOST_LETTERS = 1.7, 7.5, 24
EDGE, HIDDEN_BY = Stroke(0.25), 1.5
DARK_GREY = 0.55  # print is white on what is darker


@dataclass(frozen=True, eq=False)
class Eye:
    """Where a place of the part is seen: (x, y) on the panel and height towards the eye [mm], of a place (n, 3) `turn` @ place + `to`.
    formed: looks at the formed part, else at the blank, whose places have z 0."""

    turn: Array
    to: Array
    formed: bool
    width: float
    tall: float

    def __call__(self, places: Array) -> Array:
        """(n, 3) on the panel of places (n, 3), or (n, 2) of the blank."""
        flat = places.shape[1] == 2
        return np.asarray(
            (np.column_stack([places, np.zeros(len(places))]) if flat else places) @ self.turn.T + self.to
        )

    def of(self, m: StrainMap) -> Array:
        """Every node."""
        return self(m.formed if self.formed else m.flat)

    @property
    def scale(self) -> float:
        """Millimetres of the panel to one of the part."""
        return float(np.linalg.norm(self.turn[0]))


def flat_eye(m: StrainMap, width: float, tall: float) -> Eye:
    """The blank as it lies, its long way across."""
    return _fitted(m, _along(m), False, width, tall)


def formed_eye(m: StrainMap, width: float, tall: float) -> Eye:
    """The formed part from the side its flanges stand on, turned over where they stand down; parallel projection."""
    over = -1.0 if formed_turned(m) else 1.0
    c, s, e = cos(radians(YAW)), sin(radians(YAW)), radians(TILT)
    yaw = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    tilt = np.array([[1.0, 0.0, 0.0], [0.0, sin(e), cos(e)], [0.0, -cos(e), sin(e)]])
    return _fitted(m, tilt @ yaw @ np.diag([1.0, over, over]) @ _along(m), True, width, tall)


def formed_turned(m: StrainMap) -> bool:
    """Whether the formed part is shown turned over: its flanges stand down."""
    return bool(np.sum(m.formed[:, 2]) < 0.0)


def near_eye(m: StrainMap, at: tuple[float, float], reach: float, width: float, tall: float) -> Eye:
    """The blank within `reach` [mm] of a place across the panel."""
    turn = _along(m) * min(width, tall) / (2.0 * reach)
    return Eye(turn, np.array([width / 2.0, tall / 2.0, 0.0]) - turn @ np.array([*at, 0.0]), False, width, tall)


def _along(m: StrainMap) -> Array:
    """Turns the blank so that its long way lies across, by a quarter turn or none: drawings keep their axes."""
    size = np.ptp(m.flat, axis=0)
    return np.eye(3) if size[0] >= size[1] else np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])


def _fitted(m: StrainMap, turn: Array, formed: bool, width: float, tall: float) -> Eye:
    seen_at = Eye(turn, np.zeros(3), formed, width, tall).of(m)[:, :2]
    low, size = seen_at.min(axis=0), np.ptp(seen_at, axis=0)
    scale = float(min(width / size[0], tall / size[1])) * 0.97
    to = np.array([width, tall]) / 2.0 - (low + size / 2.0) * scale
    return Eye(turn * scale, np.append(to, 0.0), formed, width, tall)


def picture_of(m: StrainMap, eye: Eye, values: Array, scale: Scale) -> tuple[Item, ...]:
    """The part with a quantity (T, 3) at the triangles' corners in bands; origin at the panel's lower left."""
    nodes = eye.of(m)
    corners = nodes[m.triangles]
    image = seen(corners[..., :2], corners[..., 2], values, int(eye.tall / CELL), int(eye.width / CELL), CELL)
    bands = scale.band_of(image.values)
    # the outline of what shows, also where it is the back of a bend: a ground of ink one cell wider
    items: list[Item] = [_filled(p, 0.0) for p in pieces(ndimage.binary_dilation(bands >= 0), CELL, OFF)]
    for k in range(scale.bands):
        # each band's ground reaches under the darker ones, so that no gap shows between them
        items += [_filled(p, scale.grey(k)) for p in pieces(bands >= k, CELL, OFF)]
    items += [x for c in m.cycles for x in _shown(nodes[np.append(c, c[0])], image, eye)]
    return (*items, *_letters(bands, scale))


def _filled(p: Array, grey: float) -> Polyline:
    return Polyline(_pairs(p), True, None, grey)


def _pairs(p: Array) -> tuple[tuple[float, float], ...]:
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in p)


def _shown(line: Array, image: Seen, eye: Eye) -> list[Item]:
    """The stretches of a boundary line (k, 3) that nothing stands in front of, inside the panel."""
    count = np.maximum(1, np.ceil(np.hypot(*np.diff(line[:, :2], axis=0).T) / (2.0 * CELL)).astype(int))
    steps = [line[i] + np.arange(n)[:, None] / n * (line[i + 1] - line[i]) for i, n in enumerate(count)]
    fine = np.concatenate([*steps, line[-1:]])
    p, z = fine[:, :2], fine[:, 2]
    inside = (p > 0.0).all(axis=1) & (p < np.array([eye.width, eye.tall])).all(axis=1)
    rows, columns = image.height.shape
    at = np.clip((p / CELL).astype(int), 0, [columns - 1, rows - 1])
    visible = inside & (image.height[at[:, 1], at[:, 0]] < z + HIDDEN_BY)
    # a point or two that a neighbour in front hides by a cell make no gap
    visible = ~ndimage.binary_opening(~visible, np.ones(5)) & inside
    change = np.flatnonzero(np.diff(np.concatenate([[False], visible, [False]]).astype(np.int8))).reshape(-1, 2)
    return [Polyline(_pairs(_sparse(p[a:b])), False, EDGE) for a, b in change if b - a > 2]


def _sparse(p: Array) -> Array:
    """A line without points that change it by less than a twentieth of a millimetre."""
    return np.asarray(LineString(p).simplify(0.05).coords)


def _letters(bands: Ints, scale: Scale) -> list[Item]:
    """A band's letter where one of its patches is wide enough, the widest first."""
    found: list[tuple[float, int, int, int]] = []
    for k in range(scale.bands if scale.bands > 1 else 0):
        patches, count = ndimage.label(bands == k)
        if not count:
            continue
        room = ndimage.distance_transform_edt(np.pad(patches > 0, 1))[1:-1, 1:-1] * CELL
        for i, (row, col) in enumerate(ndimage.maximum_position(room, patches, range(1, count + 1)), 1):
            if room[row, col] >= LETTER_ROOM and i:
                found.append((float(room[row, col]), k, int(row), int(col)))
    out: list[Item] = []
    for _, k, row, col in sorted(found, reverse=True)[:MOST_LETTERS]:
        dark = scale.grey(k) < DARK_GREY
        out.append(
            Text(
                (col + 0.5) * CELL,
                (row + 0.5) * CELL - 0.9,
                scale.letter(k),
                LETTER_PT,
                "bold",
                "middle",
                grey=1.0 if dark else 0.0,
            )
        )
    return out


def mark(x: float, y: float) -> tuple[Item, ...]:
    """The place of the greatest value: a ring, white within black, so that it shows on any grey."""
    return (Circle(x, y, 1.5, Stroke(0.9, 1.0)), Circle(x, y, 1.5, Stroke(0.35)))
