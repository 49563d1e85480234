"""Whether print on a page can be read: no line runs through it, no other print lies on it."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Arc, Circle, Clip, Item, Line, Page, Polyline, Text, moved

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
HIGH = 0.72  # of the size: capitals above the base line; tails below it may touch a rule
SLACK = 0.15  # mm


def box_of(text: Text) -> tuple[float, float, float, float]:
    """(left, bottom, right, top) of a level or upright line of print [mm]."""
    wide, high = text_width(text.text, text.size_pt, text.font), HIGH * text.size_pt * MM_PER_POINT
    start = -wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    if text.angle_deg == 90.0:
        return text.x - high, text.y + start, text.x, text.y + start + wide
    assert text.angle_deg == 0.0
    return text.x + start, text.y, text.x + start + wide, text.y + high


def unreadable(page: Page) -> list[str]:
    """What is crossed by a line drawn after the last white area under it, or lies on other print."""
    flat = _flat(page.items)
    words = [(k, item, box_of(item)) for k, item in enumerate(flat) if isinstance(item, Text) and item.text.strip()]
    chords = [_chords(item) for item in flat]
    owner = np.repeat(np.arange(len(flat)), [len(c) for c in chords])
    every = np.vstack(chords)
    found = []
    for k, text, box in words:
        found += [f"{text.text} | {other.text}" for j, other, b in words if j > k and _meet(box, b)]
        hit = owner[_inside(every, box)]
        hit = hit[hit >= _whitened(flat[:k], box)]
        if len(hit):
            found.append(f"{text.text} crossed by {flat[int(hit[0])]}"[:200])
    return found


def _flat(items: tuple[Item, ...]) -> list[Item]:
    out: list[Item] = []
    for item in items:
        if isinstance(item, Clip):
            # cut off at its frame: only its print counts
            out += [moved(i, item.dx, item.dy) for i in item.items if isinstance(i, Text)]
        else:
            out.append(item)
    return out


def _whitened(before: list[Item], box: tuple[float, float, float, float]) -> int:
    """How many of the items drawn before lie under white where the print is."""
    last = 0
    for k, item in enumerate(before):
        if isinstance(item, Polyline) and item.fill == 1.0 and item.closed and len(item.points) == 4:
            xs, ys = zip(*item.points, strict=True)
            if min(xs) <= box[0] and max(xs) >= box[2] and min(ys) <= box[1] and max(ys) >= box[3]:
                last = k + 1
    return last


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] + SLACK < b[2] and b[0] + SLACK < a[2] and a[1] + SLACK < b[3] and b[1] + SLACK < a[3]


def _inside(chords: Array, box: tuple[float, float, float, float]) -> Mask:
    """Which straight pieces (n, 4) run through the box: the shares of each that lie within its width and height overlap."""
    low, high = np.zeros(len(chords)), np.ones(len(chords))
    for a, b, least, most in ((0, 2, box[0], box[2]), (1, 3, box[1], box[3])):
        start, way = chords[:, a], chords[:, b] - chords[:, a]
        still = np.abs(way) < 1e-12
        safe = np.where(still, 1.0, way)
        t = np.sort(np.stack([(least + SLACK - start) / safe, (most - SLACK - start) / safe]), axis=0)
        outside = still & ((start <= least + SLACK) | (start >= most - SLACK))
        low = np.where(still, np.where(outside, 2.0, low), np.maximum(low, t[0]))
        high = np.where(still, high, np.minimum(high, t[1]))
    return np.asarray(low < high)


def _chords(item: Item) -> Array:
    """The lines of an item as straight pieces (n, 4)."""
    if isinstance(item, Line):
        ends = [(item.x0, item.y0), (item.x1, item.y1)]
    elif isinstance(item, Polyline) and item.stroke is not None:
        ends = [*item.points, *(item.points[:1] if item.closed else ())]
    elif isinstance(item, Arc | Circle):
        a, b = (item.start_deg, item.end_deg) if isinstance(item, Arc) else (0.0, 360.0)
        turn = np.linspace(radians(a), radians(b), 200).tolist()
        ends = [(item.cx + item.r * cos(p), item.cy + item.r * sin(p)) for p in turn]
    else:
        return np.zeros((0, 4))
    points = np.array(ends)
    return np.hstack([points[:-1], points[1:]])
