"""Marks that lay tiles together again: small squares with a number, at the same place of the drawing on both sheets.

A mark stands at the corner of tiles, in the middle of the strip they share. Where that is too near a hole or a line, each
joint that meets there gets a mark of its own, moved along it to the first free place; so every joint keeps two.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ribwright.documents.page import Item, Polyline, Stroke, Text

HALF = 2.5  # half side of a square [mm]
STEP, MOST = 2.0, 0.42  # a mark is moved in steps [mm], up to this share of its joint
Pair = tuple[float, float]
Cell = tuple[int, int]
Free = Callable[[float, float], bool]


@dataclass(frozen=True)
class Register:
    """A mark: number, place in the drawing's coordinates [mm], the tiles (row, column) that carry it."""

    number: int
    x: float
    y: float
    tiles: tuple[Cell, ...]


def anywhere(_x: float, _y: float) -> bool:
    """Every place is free."""
    return True


def register_marks(first: Pair, step: Pair, columns: int, rows: int, free: Free) -> tuple[Register, ...]:
    """The marks of a grid in reading order. `first`: the upper left corner's place; `step`: from corner to corner [mm]. A
    corner of the whole grid belongs to one tile alone and has none. Where no place of a joint is free its mark stays."""
    places: list[tuple[float, float, tuple[Cell, ...]]] = []
    for r in range(rows + 1):
        for c in range(columns + 1):
            x, y = first[0] + c * step[0], first[1] - r * step[1]
            around = tuple((i, j) for i in (r - 1, r) for j in (c - 1, c) if 0 <= i < rows and 0 <= j < columns)
            if len(around) == 1:
                continue
            if free(x, y):
                places.append((x, y, around))
                continue
            moved = [(*_along(x, y, way, step, free), pair) for way, pair in _joints(r, c, around)]
            stay = tuple(dict.fromkeys(cell for px, py, pair in moved if (px, py) == (x, y) for cell in pair))
            places += [place for place in moved if place[:2] != (x, y)]
            places += [(x, y, stay)] if stay else []
    return tuple(Register(i + 1, *place) for i, place in enumerate(places))


def _joints(r: int, c: int, around: tuple[Cell, ...]) -> list[tuple[Pair, tuple[Cell, ...]]]:
    """The joints that meet at a corner: the way each runs from it, and its two tiles."""
    ways: tuple[tuple[Pair, tuple[Cell, Cell]], ...] = (
        ((0.0, 1.0), ((r - 1, c - 1), (r - 1, c))),
        ((-1.0, 0.0), ((r - 1, c - 1), (r, c - 1))),
        ((1.0, 0.0), ((r - 1, c), (r, c))),
        ((0.0, -1.0), ((r, c - 1), (r, c))),
    )
    return [(way, pair) for way, pair in ways if all(cell in around for cell in pair)]


def _along(x: float, y: float, way: Pair, step: Pair, free: Free) -> Pair:
    """The first free place along the joint; the corner itself where there is none."""
    length = abs(way[0]) * step[0] + abs(way[1]) * step[1]
    for k in range(1, int(MOST * length / STEP)):
        px, py = x + k * STEP * way[0], y + k * STEP * way[1]
        if free(px, py):
            return px, py
    return x, y


def mark_items(x: float, y: float, number: str, right: bool = True, up: bool = True) -> tuple[Item, ...]:
    """The square; its number to the right or left, a little above or below the middle."""
    h, anchor = HALF, "start" if right else "end"
    square = Polyline(((x - h, y - h), (x + h, y - h), (x + h, y + h), (x - h, y + h)), True, Stroke(0.18))
    label = Text(x + (4.0 if right else -4.0), y + (0.0 if up else -2.2), number, 8, "regular", anchor)
    return square, label
