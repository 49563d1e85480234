"""Numbered badges on a picture: shape says how severe (octagon STOP, square WARN, circle NOTE), none lies on another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]
R = 2.9  # half of a badge [mm]
CLEAR = 0.5
WORDS = {"stop": "STOP", "warn": "WARN", "note": "NOTE"}
DIRECTIONS, RINGS = 24, (5.5, 8.0, 10.5, 13.0, 16.0, 19.0, 23.0, 28.0, 34.0, 42.0, 52.0, 64.0, 80.0, 100.0)


@dataclass(frozen=True)
class Placed:
    """A badge's number and severity, its centre, and the place it points to [mm]."""

    number: int
    severity: str
    x: float
    y: float
    anchor: Pair | None = None

    @property
    def box(self) -> Box:
        """(left, bottom, right, top)."""
        return self.x - R, self.y - R, self.x + R, self.y + R


def badge(x: float, y: float, number: int | str, severity: str) -> list[Item]:
    """The shape with its number: a filled octagon with white print, a heavy square, a thin circle."""
    size = 9.0 if len(str(number)) < 3 else 7.0
    words = Text(
        x, y - 0.36 * size * 0.3528, str(number), size, "bold", "middle", grey=1.0 if severity == "stop" else 0.0
    )
    if severity == "stop":
        corners = tuple(
            (x + R * 1.05 * cos(pi / 8 + k * pi / 4), y + R * 1.05 * sin(pi / 8 + k * pi / 4)) for k in range(8)
        )
        return [Polyline(corners, True, Stroke(0.3), 0.0), words]
    if severity == "warn":
        h = R - 0.3
        return [
            Polyline(((x - h, y - h), (x + h, y - h), (x + h, y + h), (x - h, y + h)), True, Stroke(0.8), 1.0),
            words,
        ]
    return [Circle(x, y, R - 0.2, Stroke(0.3), 1.0), words]


def drawn(badges: Iterable[Placed]) -> list[Item]:
    """Leaders first, so that no badge is struck through; each leader ends in a dot at its place."""
    all_ = list(badges)
    items: list[Item] = []
    for b in all_:
        if b.anchor is not None:
            items.append(Line(b.x, b.y, *b.anchor, Stroke(0.2)))
            items.append(Circle(*b.anchor, 0.7, None, 0.0))
    for b in all_:
        items += badge(b.x, b.y, b.number, b.severity)
    return items


def placed(
    wanted: Sequence[tuple[int, str, Pair, Pair]], taken: Sequence[Box], lines: Array, bounds: Box
) -> tuple[list[Placed], list[tuple[int, str]]]:
    """Badges for (number, severity, anchor, outward direction), near their anchors: inside `bounds`, off every box of
    `taken` and off each other, off the points of `lines` where there is room. Second: those for which there was none."""
    done: list[Placed] = []
    left: list[tuple[int, str]] = []
    boxes = list(taken)
    for number, severity, anchor, out in wanted:
        spot = _spot(anchor, out, np.array(boxes).reshape(-1, 4), lines, bounds)
        if spot is None:
            left.append((number, severity))
            continue
        done.append(Placed(number, severity, *spot, anchor))
        boxes.append(done[-1].box)
    return done, left


def _spot(anchor: Pair, out: Pair, boxes: Array, lines: Array, bounds: Box) -> Pair | None:
    """The cheapest free place: near, on the outward side, not over a line."""
    turn = np.arange(DIRECTIONS) * 2 * pi / DIRECTIONS
    rings = np.array(RINGS)
    xy = np.stack(
        [
            (anchor[0] + rings[:, None] * np.cos(turn)[None, :]).ravel(),
            (anchor[1] + rings[:, None] * np.sin(turn)[None, :]).ravel(),
        ],
        axis=1,
    )
    half = R + CLEAR
    inside = (
        (xy[:, 0] - half >= bounds[0]) & (xy[:, 0] + half <= bounds[2])
        & (xy[:, 1] - half >= bounds[1]) & (xy[:, 1] + half <= bounds[3])
    )  # fmt: skip
    meets = (
        (xy[:, None, 0] - half < boxes[None, :, 2]) & (boxes[None, :, 0] < xy[:, None, 0] + half)
        & (xy[:, None, 1] - half < boxes[None, :, 3]) & (boxes[None, :, 1] < xy[:, None, 1] + half)
    ).any(axis=1)  # fmt: skip
    free = inside & ~meets
    if not free.any():
        return None
    over = (
        (np.abs(xy[:, None, 0] - lines[None, :, 0]) < half) & (np.abs(xy[:, None, 1] - lines[None, :, 1]) < half)
    ).any(axis=1)  # fmt: skip
    size = max(hypot(*out), 1e-12)
    away = np.hypot(xy[:, 0] - anchor[0], xy[:, 1] - anchor[1])
    along = ((xy[:, 0] - anchor[0]) * out[0] + (xy[:, 1] - anchor[1]) * out[1]) / (size * away)
    cost = np.where(free, away * (1.0 + 0.6 * (1.0 - along)) + 40.0 * over, np.inf)
    k = int(np.argmin(cost))
    return float(xy[k, 0]), float(xy[k, 1])
