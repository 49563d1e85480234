"""The part as drawn with every finding at its place: line patterns along the edges, one numbered badge a finding."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.documents import edge_patterns
from ribwright.documents.badges import WORDS, Box, Placed, badge, drawn, placed
from ribwright.documents.edge_patterns import PATTERN_WORDS, REACH, STRENGTH
from ribwright.documents.finding_places import Stretch, spot_of, stretches
from ribwright.documents.layout import SMALL_PT, Fit, Piece, fit_into, picture
from ribwright.documents.lettering import fitted, text_width
from ribwright.documents.page import Item, Text
from ribwright.stages.plan import Plan

Array = NDArray[np.float64]
AROUND = 17.0  # room round the part for badges and names [mm]
ROW = 7.5
MOST_POINTS = 4000


@dataclass(frozen=True)
class Picture:
    """The picture, its badges (a badge without an anchor stands in the row of the whole job), and its print's boxes."""

    piece: Piece
    badges: tuple[Placed, ...]
    names: tuple[Box, ...]


def findings_picture(plan: Plan, width: float, least: float = 62.0, most: float = 135.0) -> Picture:
    """The picture `width` wide; the numbers are the findings' ranks, from 1."""
    parts = stretches(plan)
    every = np.concatenate([p.points for p in parts])
    (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
    high = min(most, max(least, (width - 2 * AROUND) * (y1 - y0) / max(x1 - x0, 1e-9) + 2 * AROUND))
    fit = fit_into((x0, y0, x1, y1), AROUND, AROUND - high, width - 2 * AROUND, high - 2 * AROUND)
    lines = _points(parts, fit)
    items: list[Item] = []
    for p in parts:
        items += edge_patterns.drawn([fit(x, y) for x, y in p.points], p.pattern)
    words, taken = _names(plan, parts, fit, lines, width, high)
    marks = [(t.x - 1.2, t.y - 0.6, t.x + 1.2, t.y + 2.8) for t in items if isinstance(t, Text)]
    wanted, general = [], []
    for number, f in enumerate(plan.findings, 1):
        spot = spot_of(plan, f)
        if spot is None:
            general.append((number, f.severity))
        else:
            wanted.append((number, f.severity, fit(*spot.at), spot.out))
    dots = [(a[0] - 0.9, a[1] - 0.9, a[0] + 0.9, a[1] + 0.9) for _, _, a, _ in wanted]
    done, left = placed(wanted, [*taken, *marks, *dots], lines, (0.0, -high, width, 0.0))
    row, row_items, row_high = _whole_job(sorted([*general, *left]), width, -high)
    items += [*drawn(done), *words, *row_items]
    return Picture(picture(items, high + row_high), (*done, *row), tuple(taken))


def legend(width: float) -> Piece:
    """What shapes and patterns mean."""
    items: list[Item] = []
    x = 0.0
    for severity, words in (("stop", "must not go on"), ("warn", "look before going on"), ("note", "know it")):
        items += badge(x + 3.2, -4.0, "n", severity)
        says = f"{WORDS[severity]}: {words}"
        items.append(Text(x + 7.5, -5.0, says, SMALL_PT))
        x += 7.5 + text_width(says, SMALL_PT) + 8.0
    columns, rows = 4, -(-len(STRENGTH) // 4)
    step = width / columns
    for k, pattern in enumerate(STRENGTH):
        x, y = (k % columns) * step, -12.5 - (k // columns) * 6.5
        items += edge_patterns.drawn([(x + 13.0, y), (x, y)], pattern)
        room = width - x - 15.0 if pattern == STRENGTH[-1] else step - 16.0
        items.append(Text(x + 15.0, y - 1.0, fitted(PATTERN_WORDS[pattern], SMALL_PT, room), SMALL_PT))
    return picture(items, 12.5 + rows * 6.5)


def _points(parts: tuple[Stretch, ...], fit: Fit) -> Array:
    """Points of every drawn line and of what stands off it on the page, about 1 mm apart, (n, 2)."""
    out = []
    for p in parts:
        q = np.array([fit(x, y) for x, y in p.points])
        for line in (q, edge_patterns.set_off(q, REACH)) if p.pattern in edge_patterns.STAND_OFF else (q,):
            for a, b in itertools.pairwise(line):
                out.append(np.linspace(a, b, 2 + int(hypot(*(b - a)))))
    every = np.concatenate(out)
    return every[:: max(1, len(every) // MOST_POINTS)]


def _whole_job(rows: list[tuple[int, str]], width: float, top: float) -> tuple[list[Placed], list[Item], float]:
    """Badges of findings that have no one place, in rows under the picture."""
    if not rows:
        return [], [], 0.0
    words = "Whole job:"
    start = text_width(words, SMALL_PT, "bold") + 5.0
    a_row = max(1, int((width - start) // ROW))
    done = [
        Placed(n, severity, start + (k % a_row + 0.5) * ROW, top - (k // a_row + 0.5) * ROW) for k, (n, severity) in enumerate(rows)
    ]  # fmt: skip
    items: list[Item] = [Text(0.0, top - ROW / 2 - 1.0, words, SMALL_PT, "bold"), *drawn(done)]
    return done, items, (-(-len(rows) // a_row)) * ROW + 1.0


def _names(
    plan: Plan, parts: tuple[Stretch, ...], fit: Fit, lines: Array, width: float, high: float
) -> tuple[list[Item], list[Box]]:
    """Names of edges inside the part beside their middle, of holes in or beside them; one that finds no room is left out."""
    items: list[Item] = []
    taken: list[Box] = []
    holes = {h.hole.name: h for h in plan.blank.holes}
    for name in dict.fromkeys(p.name for p in parts):
        mine = [p.points for p in parts if p.name == name]
        if name in holes and not any(e.edge.name == name for loop in plan.blank.laid for e in loop.edges):
            h = holes[name]
            x, y = fit(*h.hole.at)
            r = (h.tangent_diameter or h.cut_diameter) / 2 * fit.scale + REACH
            spots: list[tuple[float, float, str]] = [(x, y, "middle"), (x + r, y, "start"), (x - r, y, "end")]
            spots += [(x, y + r + 0.8, "middle"), (x, y - r - 0.8, "middle")]
        else:
            spots = _beside_edge(np.concatenate(mine), fit)
        text = fitted(name, SMALL_PT, 40.0, "bold")
        found = _free(text, spots, taken, lines, (0.0, -high, width, 0.0))
        if found is not None:
            (x, y, anchor), box = found
            items.append(Text(x, y - 1.0, text, SMALL_PT, "bold", anchor))
            taken.append(box)
    return items, taken


def _beside_edge(points: Array, fit: Fit) -> list[tuple[float, float, str]]:
    """Places for a name beside an edge: inward of its middle first, then of its quarters, then outward."""
    q = np.array([fit(x, y) for x, y in points])
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(q, axis=0).T))])
    out: list[tuple[float, float, str]] = []
    for side in (-1.0, 1.0):
        for share in (0.5, 0.42, 0.58, 0.3, 0.7):
            k = min(int(np.searchsorted(s, share * s[-1])), len(q) - 2)
            d = q[k + 1] - q[k]
            size = max(hypot(*d), 1e-12)
            nx, ny = float(d[1]) / size, -float(d[0]) / size
            anchor = "start" if side * nx > 0.6 else "end" if side * nx < -0.6 else "middle"
            for away in (3.4, 4.6, 6.5):
                x, y = (float(np.interp(share * s[-1], s, q[:, i])) for i in (0, 1))
                out.append((x + side * away * nx, y + side * away * ny, anchor))
    return out


def _free(
    text: str, spots: list[tuple[float, float, str]], taken: list[Box], lines: Array, bounds: Box
) -> tuple[tuple[float, float, str], Box] | None:
    wide = text_width(text, SMALL_PT, "bold")
    shift = {"start": 0.0, "middle": wide / 2, "end": wide}
    for x, y, anchor in spots:
        left = x - shift[anchor]
        box = (left - 0.5, y - 1.9, left + wide + 0.5, y + 1.9)
        inside = bounds[0] <= box[0] and box[2] <= bounds[2] and bounds[1] <= box[1] and box[3] <= bounds[3]
        over = ((box[0] < lines[:, 0]) & (lines[:, 0] < box[2]) & (box[1] < lines[:, 1]) & (lines[:, 1] < box[3])).any()
        if inside and not over and not any(_meet(box, b) for b in taken):
            return (x, y, anchor), box
    return None


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
