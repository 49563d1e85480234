"""Two pictures of a press set-up: the lay-up from the side, heights to scale; the block under the pad from above."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.layout import BODY_PT, HEAVY, SMALL_PT, THIN, Fit, Piece, capped, fit_into, picture, rectangle
from ribwright.documents.lettering import fitted
from ribwright.documents.page import Circle, Item, Line, Polyline, Stroke, Text
from ribwright.stages.block import Block
from ribwright.stages.lay_up import Layer
from ribwright.stages.placing import middle_of, turned_points
from ribwright.stages.setup import Setup
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
DASHED = Stroke(0.18, 0.25, (2.0, 1.2))
# drawn heights of what has no height of its own here
DRAWN = {"table": 6.0, "platen": 6.0, "ring": 1.6, "plate": 1.2}
SHARES = {"bolster": 0.36, "block": 0.27, "blank": 0.34, "ring": 0.12, "plate": 0.24, "throw": 0.38}
TALLEST = 38.0  # the whole of what is drawn to scale
LEAST = 1.0  # a layer thinner than this on paper is drawn so
PITCH, CLOSE = 9.0, 7.6  # distance of the labels; of many layers, whose notes then take one line
MANY = 7


def side_view(s: Setup, first: Unit, width: float) -> Piece:
    """The lay-up, bottom to top as it stands on the table, each layer named with its height; heights to scale."""
    deep = 0.42 * width
    scale = TALLEST / max(s.stack, 1e-9)
    tall = [_drawn(x, scale) for x in s.lay_up]
    pitch = PITCH if len(s.lay_up) <= MANY else CLOSE
    height = max(sum(tall), pitch * len(s.lay_up)) + 7.0
    y = -height + (height - 7.0 - sum(tall)) / 2 + 4.0
    items: list[Item] = []
    for k, (layer, high) in enumerate(zip(s.lay_up, tall, strict=True)):
        half = _half_width(layer, deep)
        items += _layer(layer, deep / 2, y, half, high)
        if layer.kind == "platen":
            items += _walls(s, deep, y, scale)
        label_y = -height + 4.0 + (k + 0.5) * (height - 7.0) / len(s.lay_up)
        items += _label(layer, first, deep + 5.0, label_y, width - deep - 5.0, 2 if pitch == PITCH else 1)
        items.append(Line(deep / 2 + half, y + high / 2, deep + 1.5, label_y, THIN))
        items.append(Line(deep + 1.5, label_y, deep + 4.0, label_y, THIN))
        y += high
    words = f"{_rubber(s).capitalize()} touching. Heights to scale, thin layers drawn thicker; widths not to scale."
    items.append(Text(0, -height, fitted(words, SMALL_PT, width), SMALL_PT, grey=0.2))
    return picture(items, height + 2.0)


def _drawn(layer: Layer, scale: float) -> float:
    if layer.kind in DRAWN or layer.thickness is None:
        return DRAWN.get(layer.kind, LEAST)
    return max(layer.thickness * scale, LEAST)


def _half_width(layer: Layer, deep: float) -> float:
    return deep / 2 if layer.kind in ("table", "platen") else deep * SHARES.get(layer.kind, 0.42)


def _layer(layer: Layer, x: float, y: float, half: float, high: float) -> list[Item]:
    box = rectangle(x - half, y, 2 * half, high)
    if layer.kind in ("table", "platen", "bolster"):
        return [rectangle(x - half, y, 2 * half, high, THIN, 0.85)]
    if layer.kind == "block":
        foot = 0.88 * half  # undercut wall, drawn exaggerated
        corners = ((x - foot, y), (x + foot, y), (x + half, y + high), (x - half, y + high))
        pin = min(4.0, 0.7 * high)
        pins = (rectangle(x + k * half - 0.6, y + high - pin, 1.2, pin + 2.6, THIN, 0.0) for k in (-0.6, 0.6))
        return [Polyline(corners, True, THIN, 0.94), *pins]
    if layer.kind in ("blank", "plate"):
        return [rectangle(x - half, y, 2 * half, high, None, 0.0 if layer.kind == "blank" else 0.5)]
    if layer.kind in ("pad", "throw"):
        rows = (0.5,) if high < 6.0 else (0.25, 0.5, 0.75)
        return [box, *(Line(x - half + 2, y + f * high, x + half - 2, y + f * high, DASHED) for f in rows)]
    return [box]


def _walls(s: Setup, deep: float, top: float, scale: float) -> list[Item]:
    """The container's walls, hanging from the platen at y = `top` by its depth, or by the pad's where that is not known."""
    if s.press.pad.held != "container" or s.press.kind == "fluid":
        return []
    down = (s.container.depth if s.container else s.press.pad.held_mm) * scale
    half = deep * 0.42
    return [rectangle(deep / 2 + k * (half + 1.2) - 1.1, top - down, 2.2, down, THIN, 0.85) for k in (-1, 1)]


def _label(layer: Layer, first: Unit, x: float, y: float, width: float, most: int) -> list[Item]:
    tall = "" if layer.thickness is None else f": {show_length(layer.thickness, first)}"
    note = capped(layer.note, SMALL_PT, width, "regular", most)
    y += 1.6 * (len(note) - 1)  # two lines of note stand about the same middle as one
    return [
        Text(x, y + 0.5, fitted(f"{layer.what}{tall}", BODY_PT, width, "bold"), BODY_PT, "bold"),
        *(Text(x, y - 3.1 - 2.9 * i, words, SMALL_PT, grey=0.2) for i, words in enumerate(note)),
    ]


def plan_view(s: Setup, block: Block, first: Unit, width: float, height: float) -> Piece:
    """Table, pad and block from above, to one scale, the block where and as it should lie; a cross on the ram's axis, a dot
    on the load's middle."""
    ring, foot = _placed(block, s)
    pad, table = s.press.pad.size_mm, s.press.table_mm
    both = np.concatenate([ring, foot])
    far = [np.abs(both).max(axis=0), np.array(pad) / 2, np.array(table) / 2]
    x, y = (float(v) for v in np.max(far, axis=0))
    fit = fit_into((-x, -y, x, y), 0.0, -height + 16.0, width, height - 17.0)
    items: list[Item] = [_sheet(fit, table, THIN), _sheet(fit, pad, HEAVY)]
    items.append(Polyline(tuple(fit(*p) for p in foot.tolist()), True, DASHED, None))
    items.append(Polyline(tuple(fit(*p) for p in ring.tolist()), True, Stroke(0.35), 0.9))
    corners = (both.min(axis=0), both.max(axis=0))
    items += _margins(fit, corners, pad)
    items += _axis(fit, s)
    turned = f"turned {s.turned_deg:g} deg" if s.turned_deg else "as drawn"
    half = (corners[1] - corners[0]) / 2
    past = [size / 2 - abs(at) - float(h) for size, at, h in zip(pad, s.place.at, half, strict=True)]
    lies = "centred" if s.place.at == (0.0, 0.0) else "moved"
    words = (
        *(_past(axis, far, first, _rubber(s)) for axis, far in zip("XY", past, strict=True)),
        f"Heavy: {_rubber(s)}. Thin: table. Block {lies}, {turned}.",
        f"Cross: ram. Dot: middle of load, {show_length(s.place.off_centre, first)} off.",
    )
    items += [
        Text(0, -height + 11.0 - 3.5 * i, fitted(w, SMALL_PT, width), SMALL_PT, grey=0.2) for i, w in enumerate(words)
    ]
    return picture(items, height + 2.0)


def _axis(fit: Fit, s: Setup) -> list[Item]:
    x, y = fit(0.0, 0.0)
    at = fit(*(float(a + b) for a, b in zip(s.place.at, s.place.load, strict=True)))
    cross = [Line(x - 2.5, y, x + 2.5, y, Stroke(0.3)), Line(x, y - 2.5, x, y + 2.5, Stroke(0.3))]
    return [*cross, Circle(*at, 0.7, None, 0.0)]


def _rubber(s: Setup) -> str:
    return "diaphragm" if s.press.kind == "fluid" else "pad"


def _past(axis: str, far: float, first: Unit, rubber: str) -> str:
    if far < 0:
        return f"{axis}: the block overhangs the {rubber} by {show_length(-far, first)}"
    return f"{axis}: {rubber} past the block {show_length(far, first)}"


def _sheet(fit: Fit, size: tuple[float, float], stroke: Stroke) -> Polyline:
    x, y = fit(-size[0] / 2, -size[1] / 2)
    return rectangle(x, y, size[0] * fit.scale, size[1] * fit.scale, stroke)


def _placed(block: Block, s: Setup) -> tuple[Array, Array]:
    """Web face and foot of the block from the table's middle, turned and placed as set up, (n, 2) each."""
    shift = np.array(s.place.at) - middle_of(block, s.turned_deg)
    ring, foot = (turned_points(p, s.turned_deg) + shift for p in (block.outlines[0], block.feet[0]))
    return ring, foot


def _margins(fit: Fit, corners: tuple[Array, Array], pad: tuple[float, float]) -> list[Item]:
    """The least room from block to pad edge in x and in y, as dimension lines lettered X and Y."""
    (x0, y0), (x1, y1) = corners[0].tolist(), corners[1].tolist()
    side, end = (x1, pad[0] / 2) if x1 + x0 >= 0 else (x0, -pad[0] / 2)
    edge, rim = (y1, pad[1] / 2) if y1 + y0 > 1e-9 else (y0, -pad[1] / 2)
    along = [fit(side, (y0 + y1) / 2), fit(end, (y0 + y1) / 2)]
    across = [fit((x0 + x1) / 2, edge), fit((x0 + x1) / 2, rim)]
    items: list[Item] = [Line(*along[0], *along[1], Stroke(0.35)), Line(*across[0], *across[1], Stroke(0.35))]
    items += [Line(px, py - 1.2, px, py + 1.2, Stroke(0.35)) for px, py in along]
    items += [Line(px - 1.2, py, px + 1.2, py, Stroke(0.35)) for px, py in across]
    items.append(Text((along[0][0] + along[1][0]) / 2, along[0][1] + 1.6, "X", SMALL_PT, "bold", "middle"))
    items.append(Text(across[0][0] + 1.6, (across[0][1] + across[1][1]) / 2 - 1.0, "Y", SMALL_PT, "bold"))
    return items
