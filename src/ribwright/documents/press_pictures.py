"""Two pictures of a press set-up: the lay-up from the side, heights written; the block under the pad from above."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.layout import BODY_PT, HEAVY, SMALL_PT, THIN, Fit, Piece, capped, fit_into, picture, rectangle
from ribwright.documents.lettering import fitted
from ribwright.documents.page import Item, Line, Polyline, Stroke, Text
from ribwright.stages.block import Block
from ribwright.stages.setup import Layer, Setup
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
DASHED = Stroke(0.18, 0.25, (2.0, 1.2))
# drawn heights: the lay-up is a scheme, true heights would make the blank thinner than a line
DRAWN = {"press table": 7.0, "form block": 13.0, "blank": 1.2, "pad": 17.0, "diaphragm": 9.0, "platen": 7.0}
RING, PITCH = 3.0, 9.4


def side_view(s: Setup, first: Unit, width: float) -> Piece:
    """The lay-up, bottom to top as it stands on the table, each layer named with its height."""
    deep = 0.42 * width
    drawn = sum(_drawn(x) for x in s.lay_up)
    height = max(drawn, PITCH * len(s.lay_up)) + 7.0
    base = -height + (height - 7.0 - drawn) / 2 + 4.0
    items: list[Item] = []
    y = base
    for k, layer in enumerate(s.lay_up):
        half = _half_width(layer, deep)
        items += _layer(layer, deep / 2, y, half, s)
        label_y = -height + 4.0 + (k + 0.5) * (height - 7.0) / len(s.lay_up)
        items += _label(layer, first, deep + 5.0, label_y, width - deep - 5.0)
        middle = y + _drawn(layer) / 2
        items.append(Line(deep / 2 + half, middle, deep + 1.5, label_y, THIN))
        items.append(Line(deep + 1.5, label_y, deep + 4.0, label_y, THIN))
        y += _drawn(layer)
    items.append(Text(0, -height, "A scheme from the side; heights as written, not to scale.", SMALL_PT, grey=0.2))
    return picture(items, height + 2.0)


def _drawn(layer: Layer) -> float:
    return DRAWN.get(layer.what, RING)


def _half_width(layer: Layer, deep: float) -> float:
    shares = {"form block": 0.27, "blank": 0.34, "pad": 0.42, "diaphragm": 0.42}
    wide = deep if layer.what in ("press table", "platen") else 2 * deep * shares.get(layer.what, 0.12)
    return wide / 2


def _layer(layer: Layer, x: float, y: float, half: float, s: Setup) -> list[Item]:
    high = _drawn(layer)
    box = rectangle(x - half, y, 2 * half, high)
    if layer.what in ("press table", "platen"):
        return [rectangle(x - half, y, 2 * half, high, THIN, 0.85)]
    if layer.what == "form block":
        foot = 0.88 * half  # undercut wall, drawn exaggerated
        corners = ((x - foot, y), (x + foot, y), (x + half, y + high), (x - half, y + high))
        pins = (rectangle(x + k * half - 0.6, y + high - 4, 1.2, 7.0, THIN, 0.0) for k in (-0.6, 0.6))
        return [Polyline(corners, True, THIN, 0.94), *pins]
    if layer.what == "blank":
        return [rectangle(x - half, y, 2 * half, high, None, 0.0)]
    if layer.what == "pad":
        wall = [rectangle(x + k * (half + 1.1) - 1.1, y + 1.0, 2.2, high - 1.0, THIN, 0.85) for k in (-1, 1)]
        grain = [Line(x - half + 2, y + d, x + half - 2, y + d, DASHED) for d in (high / 4, high / 2, 3 * high / 4)]
        return [box, *grain, *(wall if s.press.pad.held == "container" else ())]
    return [box]


def _label(layer: Layer, first: Unit, x: float, y: float, width: float) -> list[Item]:
    tall = "" if layer.thickness is None else f": {show_length(layer.thickness, first)}"
    note = capped(layer.note, SMALL_PT, width, "regular", 2)
    y += 1.6 * (len(note) - 1)  # two lines of note stand about the same middle as one
    return [
        Text(x, y + 0.5, fitted(f"{layer.what}{tall}", BODY_PT, width, "bold"), BODY_PT, "bold"),
        *(Text(x, y - 3.1 - 2.9 * i, words, SMALL_PT, grey=0.2) for i, words in enumerate(note)),
    ]


def plan_view(s: Setup, block: Block, first: Unit, width: float, height: float) -> Piece:
    """Table, pad and block from above, to one scale, the block centred and turned as it should lie."""
    ring, foot = _placed(block, s)
    pad, table = s.press.pad.size_mm, s.press.table_mm
    far = [np.abs(np.concatenate([ring, foot])).max(axis=0), np.array(pad) / 2, np.array(table) / 2]
    x, y = (float(v) for v in np.max(far, axis=0))
    fit = fit_into((-x, -y, x, y), 0.0, -height + 12.5, width, height - 13.5)
    items: list[Item] = [_sheet(fit, table, THIN), _sheet(fit, pad, HEAVY)]
    items.append(Polyline(tuple(fit(*p) for p in foot.tolist()), True, DASHED, None))
    items.append(Polyline(tuple(fit(*p) for p in ring.tolist()), True, Stroke(0.35), 0.9))
    half = np.ptp(np.concatenate([ring, foot]), axis=0) / 2
    items += _margins(fit, half, pad)
    turned = f"block turned {s.turned_deg:g} deg" if s.turned_deg else "as drawn"
    past = [size / 2 - float(h) for size, h in zip(pad, half, strict=True)]
    words = (
        *(_past(axis, far, first) for axis, far in zip("XY", past, strict=True)),
        f"Heavy: pad. Thin: table. Centred; {turned}.",
    )
    items += [
        Text(0, -height + 7.5 - 3.5 * i, fitted(w, SMALL_PT, width), SMALL_PT, grey=0.2) for i, w in enumerate(words)
    ]
    return picture(items, height + 2.0)


def _past(axis: str, far: float, first: Unit) -> str:
    if far < 0:
        return f"{axis}: the block overhangs the pad by {show_length(-far, first)}"
    return f"{axis}: pad past the block {show_length(far, first)}"


def _sheet(fit: Fit, size: tuple[float, float], stroke: Stroke) -> Polyline:
    x, y = fit(-size[0] / 2, -size[1] / 2)
    return rectangle(x, y, size[0] * fit.scale, size[1] * fit.scale, stroke)


def _placed(block: Block, s: Setup) -> tuple[Array, Array]:
    """Web face and foot of the block about the middle of their extent, turned as set up, (n, 2) each."""
    a = np.radians(s.turned_deg)
    turn = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
    ring, foot = block.outlines[0] @ turn, block.feet[0] @ turn
    both = np.concatenate([ring, foot])
    middle = (both.min(axis=0) + both.max(axis=0)) / 2
    return ring - middle, foot - middle


def _margins(fit: Fit, half: Array, pad: tuple[float, float]) -> list[Item]:
    """The room from block to pad edge, to the right and below, as dimension lines lettered X and Y."""
    items: list[Item] = []
    right, down = fit(float(half[0]), 0.0), fit(0.0, -float(half[1]))
    edge_x, edge_y = fit(pad[0] / 2, 0.0), fit(0.0, -pad[1] / 2)
    items += [Line(*right, *edge_x, Stroke(0.35)), Line(*down, *edge_y, Stroke(0.35))]
    for (px, py), flat in ((right, False), (edge_x, False), (down, True), (edge_y, True)):
        dx, dy = (1.2, 0.0) if flat else (0.0, 1.2)
        items.append(Line(px - dx, py - dy, px + dx, py + dy, Stroke(0.35)))
    items.append(Text((right[0] + edge_x[0]) / 2, right[1] + 1.6, "X", SMALL_PT, "bold", "middle"))
    items.append(Text(down[0] + 1.6, (down[1] + edge_y[1]) / 2 - 1.0, "Y", SMALL_PT, "bold"))
    return items
