"""Pictures of flat sheets made from known outlines: what a scanner or a camera would have seen, with its faults, to a known amount.

Coverage of each pixel is exact across and taken at 16 lines down; light is mixed as light and only then coded as files hold it (sRGB).
Nothing here uses the program under test.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy import ndimage

LINES = 16
DISC, CROSS = "disc", "cross"


def seen_by(to_picture: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points (n, 2) of the sheet [mm] in the picture [pixel] by a homography (3, 3)."""
    q = np.column_stack([points, np.ones(len(points))]) @ to_picture.T
    return q[:, :2] / q[:, 2:]


def covered(rings: Sequence[np.ndarray], size: tuple[int, int]) -> np.ndarray:
    """Share of each pixel (rows, columns) inside rings of pixel coordinates, counted by winding: openings run the other way round."""
    whole = np.zeros((size[1], size[0]))
    every = np.concatenate(rings)
    # only the window that holds them: marks are small
    left, top = (max(int(v) - 2, 0) for v in np.floor(every.min(axis=0)))
    right, bottom = (min(int(v) + 3, n) for v, n in zip(np.ceil(every.max(axis=0)), size, strict=True))
    w, h = right - left, bottom - top
    if w <= 0 or h <= 0:
        return whole
    out = np.zeros((h * LINES, w + 2))
    for p in rings:
        a = np.asarray(p, float) + 0.5 - (left, top)
        b = np.roll(a, -1, axis=0)
        ya, yb = a[:, 1] * LINES - 0.5, b[:, 1] * LINES - 0.5
        up = yb > ya
        first, last = np.ceil(np.where(up, ya, yb)).astype(int), np.ceil(np.where(up, yb, ya)).astype(int) - 1
        n = np.maximum(last - first + 1, 0)
        k = np.repeat(np.arange(len(a)), n)
        row = np.repeat(first, n) + np.arange(n.sum()) - np.repeat(np.cumsum(n) - n, n)
        x = a[k, 0] + (row - ya[k]) / (yb[k] - ya[k]) * (b[k, 0] - a[k, 0])
        sign = np.where(up[k], 1.0, -1.0)
        ok = (row >= 0) & (row < h * LINES)
        row, x, sign = row[ok], np.clip(x[ok], 0.0, w), sign[ok]
        cell = np.floor(x).astype(int)
        part = x - cell
        np.add.at(out, (row, cell), sign * (1.0 - part))
        np.add.at(out, (row, cell + 1), sign * part)
    whole[top:bottom, left:right] = np.abs(np.cumsum(out, axis=1)[:, :w].reshape(h, LINES, w).mean(axis=1))
    return whole


def mark(kind: str, at: tuple[float, float], size: float = 3.0) -> np.ndarray:
    """The outline of a mark on the sheet [mm]: a disc of radius `size`, or a cross with arms of that length."""
    if kind == DISC:
        a = np.linspace(0, 2 * np.pi, 60, endpoint=False)
        return np.array(at) + size * np.column_stack([np.cos(a), np.sin(a)])
    t = size / 4
    q = [
        (t, t),
        (t, size),
        (-t, size),
        (-t, t),
        (-size, t),
        (-size, -t),
        (-t, -t),
        (-t, -size),
        (t, -size),
        (t, -t),
        (size, -t),
        (size, t),
    ]
    return np.array(at) + np.array(q)


@dataclass(frozen=True)
class Faults:
    """What spoils a picture. Light levels 0 to 1; `noise` of coded values; `fall` of the paper's light from side to side; `shadow` (dx, dy
    [pixel], depth) a soft one beside the part; `specks` on the paper; `quality` of JPEG, 0 for PNG; `exponent` of the curve that light is
    coded by, 0: that of sRGB."""

    paper: float = 0.85
    metal: float = 0.2
    blur: float = 0.9
    noise: float = 0.012
    fall: float = 0.0
    shadow: tuple[float, float, float] = (0.0, 0.0, 0.0)
    specks: int = 0
    quality: int = 0
    exponent: float = 0.0


def picture(
    to_picture: np.ndarray,
    size: tuple[int, int],
    rings: Sequence[np.ndarray],
    marks: Sequence[np.ndarray],
    f: Faults,
    seed: int = 0,
) -> bytes:
    """The file of a picture, `size` (columns, rows), of outlines and marks given on the sheet [mm]."""
    rng = np.random.default_rng(seed)
    part = covered([seen_by(to_picture, r) for r in rings], size)
    light = np.full((size[1], size[0]), f.paper)
    dx, dy, depth = f.shadow
    if depth:
        soft = ndimage.gaussian_filter(ndimage.shift(part, (dy, dx), order=1), 0.5 * np.hypot(dx, dy) + 1.0)
        light *= 1.0 - depth * soft
    ink = np.zeros_like(light)
    for m in marks:
        ink = np.maximum(ink, covered([seen_by(to_picture, m)], size))
    for _ in range(f.specks):
        c, r = rng.integers(5, size[0] - 5), rng.integers(5, size[1] - 5)
        y, x = np.indices((7, 7)) - 3
        ink[r - 3 : r + 4, c - 3 : c + 4] = np.maximum(
            ink[r - 3 : r + 4, c - 3 : c + 4], np.clip(1.6 - np.hypot(x, y), 0, 1)
        )
    light = light * (1 - ink) + (0.04 if f.paper > 0.4 else 0.8) * ink
    light = light * (1 - part) + f.metal * part
    light *= 1.0 - f.fall * np.arange(size[0])[None] / size[0]
    light = ndimage.gaussian_filter(light, f.blur)
    if f.exponent:
        coded = np.power(np.maximum(light, 0.0), 1.0 / f.exponent)
    else:
        coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.power(np.maximum(light, 1e-9), 1 / 2.4) - 0.055)
    coded = np.clip(coded + rng.normal(0.0, f.noise, coded.shape), 0, 1)
    out = io.BytesIO()
    image = Image.fromarray(np.round(255 * coded).astype(np.uint8))
    image.save(out, "JPEG", quality=f.quality) if f.quality else image.save(out, "PNG")
    return out.getvalue()
