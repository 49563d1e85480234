"""The outline of the largest thing in a picture, to a part of a pixel.

    roughly   the picture made coarser (at most 4 million cells), two classes by Otsu's level, the class of the rim is the paper; once
              more with the paper's own light, a smooth surface, taken off; the largest piece of the other class is the part; the level
              line round it and round its openings (scikit-image's contours)
    finely    square to that line the light of the picture itself is read; where it rises most steeply is the edge; the light on both
              sides of the edge, clear of its blur, gives the level half way, and where that is crossed is the outline

So a light that falls off across the sheet, or a soft shadow beside the part, moves the level with it. Specks of the paper and glare
on the part smaller than `least` across are passed over. Points that stand away from their neighbours are dropped and counted.

The level half way stands b^2/(2 r) inside a round opening of radius r seen through a blur of standard deviation b (first order, b << r):
openings are opened by it, r taken as their length round over 2 pi.

Not removed: a shadow as dark as half way is taken for the part; a corner is rounded over about three pixels. Level by N. Otsu,
IEEE SMC 9 (1979) 62.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import ConvexHull

from ribwright.adapters.picture import Light, parted

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
COARSE = 4_000_000  # cells
SMOOTH = 1.0  # of the coarse picture [cells]
TOLD_APART = (
    0.55  # of the variance that lies between part and paper; two classes of even noise without any part have 0.64
)
CONTRAST = 0.06  # of full light
FEW = 20_000  # cells that the paper's light is taken from
LEAST_SHARE = 0.01  # of the field that the part covers
STEP = 0.5  # between places on a profile [pixel]
REACH = 5.0  # of a profile either way, besides twice a coarse cell [pixel]
FIRST_BLUR = 1.5  # pixel
ALONG = 1.5  # points of the outline that profiles are made smooth over, to find the steepest place
LEVELS = 3.0  # length over which the light beside an edge is read [pixel]
NEIGHBOURS = 15  # points that a point is held against
STRAY = 5.0  # times the usual distance from them
MOST_LOST = 0.25  # of the points, without an edge or stray


@dataclass(frozen=True, eq=False)
class Traced:
    """Outlines in pixels (column, row), the outer one first.

    blur   standard deviation of the edge's blur [pixel];  noise  of one point, square to the outline [pixel]
    lost   share of the points that were dropped;  passed_over  openings smaller than `least` that were not traced
    """

    rings: tuple[Array, ...]
    blur: float
    noise: float
    lost: float
    passed_over: int


class NotTraced(Exception):
    """What is wrong with the picture, and what it should be."""

    def __init__(self, found: str, allowed: str):
        super().__init__(found)
        self.found, self.allowed = found, allowed


def trace(light: Light, field: Array, least: float) -> Traced:
    """Trace the part inside the hull of points `field` (n, 2) [pixel]; openings narrower than `least` [pixel] are passed over. NotTraced
    where there is no part, it runs out of the field, or nothing tells it from the paper."""
    factor = max(1, int(np.ceil(np.sqrt(light.size / COARSE))))
    coarse = ndimage.gaussian_filter(_coarser(light, factor), SMOOTH)
    inside = _inside(coarse.shape, (field - (factor - 1) / 2.0) / factor)
    part, level, dark, coarse = _part(coarse, inside)
    rough, passed = _rough(coarse, part, level, dark, max(least / factor, 3.0))
    rings: list[Array] = []
    blurs, noises, lost = [], [], []
    for ring in rough:
        fine = _refined(light, ring * factor + (factor - 1) / 2.0, dark, factor)
        if fine is None:
            if not rings:
                raise NotTraced(
                    "an outline that is no clear edge",
                    "a sharp picture of the part on paper of other lightness, evenly lit",
                )
            passed += 1
            continue
        points, blur, noise, gone = fine
        rings.append(points)
        blurs.append(blur)
        noises.append(noise)
        lost.append(gone)
    return Traced(tuple(rings), float(blurs[0]), float(noises[0]), float(lost[0]), passed)


def _coarser(light: Light, factor: int) -> NDArray[np.float32]:
    """Means of factor x factor pixels, 0 to 1."""
    rows, columns = (n // factor for n in light.shape)
    out = np.empty((rows, columns), np.float32)
    for r in range(0, rows, 64):  # in strips: the means need room
        cut = light[r * factor : min(r + 64, rows) * factor, : columns * factor]
        out[r : r + 64] = cut.reshape(-1, factor, columns, factor).mean(axis=(1, 3), dtype=np.float64) / 65535.0
    return out


def _inside(shape: tuple[int, ...], field: Array) -> Mask:
    """Cells inside the convex hull of points (column, row)."""
    p = field[ConvexHull(field).vertices]
    r, c = np.arange(shape[0])[:, None], np.arange(shape[1])[None, :]
    out = np.ones(shape, bool)
    for a, b in zip(p, np.roll(p, -1, axis=0), strict=True):
        out &= (b[0] - a[0]) * (r - a[1]) - (b[1] - a[1]) * (c - a[0]) >= 0.0
    return out


def _part(coarse: NDArray[np.float32], inside: Mask) -> tuple[Mask, float, bool, NDArray[np.float32]]:
    """(cells of the part, level, whether it is darker than the paper, the picture with the paper's own light taken off)."""
    rim = inside & ~ndimage.binary_erosion(inside, iterations=4)
    level, dark = _parted(coarse, inside, rim)
    coarse = _even_light(coarse, inside & ((coarse < level) != dark))
    level, dark = _parted(coarse, inside, rim)
    mask = inside & ((coarse < level) == dark)
    labels, n = ndimage.label(mask)
    if n == 0:
        raise NotTraced("nothing that stands out from the paper", "the part between the marks")
    sizes = np.bincount(labels.ravel())[1:]
    k = int(np.argmax(sizes)) + 1
    if sizes[k - 1] < LEAST_SHARE * inside.sum():
        raise NotTraced(
            "nothing of a part's size between the marks",
            "one part that fills a good share of the field between the marks",
        )
    part = labels == k
    if (part & rim).any():
        allowed = "the whole part inside the lines from mark to mark, with paper all round it"
        raise NotTraced("a part that runs out of the field between the marks", allowed)
    return part, level, dark, coarse


def _parted(coarse: NDArray[np.float32], inside: Mask, rim: Mask) -> tuple[float, bool]:
    """Level between part and paper, and whether the part is the darker of them."""
    from skimage.filters import threshold_otsu

    seen = coarse[inside].astype(np.float64)
    if not len(seen):
        raise NotTraced("marks with no picture between them", "four marks round the part")
    level = float(threshold_otsu(seen))
    below, above = seen[seen < level], seen[seen >= level]
    apart = float(np.median(above) - np.median(below)) if len(below) and len(above) else 0.0
    if parted(seen) < TOLD_APART or apart < CONTRAST:
        allowed = "a part clearly darker or lighter than its paper: light paper behind a dull part, dark matt paper under bright metal"
        raise NotTraced("nothing that stands out from the paper", allowed)
    return level, float((coarse[rim] < level).mean()) < 0.5


def _even_light(coarse: NDArray[np.float32], paper: Mask) -> NDArray[np.float32]:
    """The picture over the light of its paper, a surface of the second degree through the paper's cells, times its mean."""
    r, c = np.nonzero(paper)
    few = slice(None, None, max(1, len(r) // FEW))
    y, x = r[few] / coarse.shape[0], c[few] / coarse.shape[1]
    light = coarse[r[few], c[few]].astype(np.float64)
    k = np.linalg.lstsq(_powers(x, y), light, rcond=None)[0]
    mean = float(light.mean())
    out = np.empty_like(coarse)
    columns = np.arange(coarse.shape[1]) / coarse.shape[1]
    for row in range(coarse.shape[0]):
        ground = _powers(columns, np.full(len(columns), row / coarse.shape[0])) @ k
        out[row] = coarse[row] * (mean / np.clip(ground, 0.2 * mean, 5.0 * mean))
    return out


def _powers(x: Array, y: Array) -> Array:
    return np.column_stack([np.ones(len(x)), x, y, x * x, x * y, y * y])


def _rough(coarse: NDArray[np.float32], part: Mask, level: float, dark: bool, least: float) -> tuple[list[Array], int]:
    """Level lines (column, row) of the part alone, the outer one first, and how many openings were passed over."""
    from skimage.measure import find_contours

    rows, columns = ndimage.find_objects(part.astype(np.uint8))[0]
    box = (
        slice(max(rows.start - 4, 0), rows.stop + 4),
        slice(max(columns.start - 4, 0), columns.stop + 4),
    )
    own, cut = part[box], coarse[box].astype(np.float64)
    paper, metal = float(np.median(cut[~own])), float(np.median(cut[own]))
    filled = ndimage.binary_fill_holes(own)
    labels, n = ndimage.label(filled & ~own)
    area = np.bincount(labels.ravel(), minlength=n + 1)
    small = (area < np.pi / 4.0 * least**2) & (np.arange(n + 1) > 0)
    whole = own | small[labels]
    # other things of the part's class near it are paper; specks inside it are metal
    work = np.where(ndimage.binary_dilation(whole, iterations=3), cut, paper)
    others = ndimage.binary_dilation(((cut < level) == dark) & ~own, iterations=2) & ~ndimage.binary_dilation(
        own, iterations=1
    )
    work = np.where(others, paper, work)
    work = np.where(ndimage.binary_dilation(small[labels], iterations=2) & whole, metal, work)
    found = [c for c in find_contours(work, level) if len(c) > 8 and np.allclose(c[0], c[-1])]
    if not found:
        raise NotTraced("an outline that does not close", "the whole part with paper all round it")
    found.sort(key=lambda c: -abs(_area(c)))
    offset = np.array([box[1].start, box[0].start], float)
    rings = [np.asarray(c[:-1, ::-1] + offset) for c in found]
    kept = [rings[0], *(r for r in rings[1:] if abs(_area(r)) >= np.pi / 4.0 * least**2)]
    return kept, int(small.sum())


def _area(p: Array) -> float:
    x, y = p[:, 0], p[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2.0)


def _even(ring: Array, step: float) -> Array:
    """A closed line at even places."""
    closed = np.concatenate([ring, ring[:1]])
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.arange(max(int(s[-1] / step), 12)) / max(int(s[-1] / step), 12) * s[-1]
    return np.column_stack([np.interp(at, s, closed[:, 0]), np.interp(at, s, closed[:, 1])])


def _refined(light: Light, ring: Array, dark: bool, factor: int) -> tuple[Array, float, float, float] | None:
    """(points, blur, noise, share lost) of one outline; None where too little of it is an edge."""
    line = _even(ring, 1.0)
    soft = ndimage.gaussian_filter1d(line, max(1.5, 1.0 * factor), axis=0, mode="wrap")
    u = np.roll(soft, -1, axis=0) - np.roll(soft, 1, axis=0)
    normal = np.column_stack([u[:, 1], -u[:, 0]]) / np.maximum(np.hypot(*u.T), 1e-9)[:, None]
    outwards = 1.0 if _area(line) > 0 else -1.0
    # towards the paper of an outer line as of an opening: checked by the light itself
    reach = REACH + 2.0 * factor
    o = np.arange(-reach, reach + STEP / 2, STEP)
    at = line[:, None] + o[None, :, None] * (outwards * normal)[:, None]
    p = ndimage.map_coordinates(light, [at[..., 1], at[..., 0]], output=np.float64, order=1, mode="nearest") / 65535.0
    if not dark:
        p = 1.0 - p
    opening = bool(np.median(p[:, -1]) < np.median(p[:, 0]))
    if opening:  # the paper is on the other side
        p, outwards = p[:, ::-1], -outwards
    found, blur, good = _crossings(p, o)
    bent = np.pi * blur**2 / len(line) if opening else 0.0
    if good.mean() < 1.0 - MOST_LOST:
        return None
    x = np.where(good, found, np.nan)
    near = _median_of_neighbours(x)
    away = np.abs(x - near)
    usual = 1.4826 * float(np.nanmedian(away)) + 1e-3
    keep = good & (away <= max(STRAY * usual, 1.0))
    points = line + (outwards * (found - bent))[:, None] * normal
    return points[keep], blur, _noise(points[keep], normal[keep], blur), float(1.0 - keep.mean())


def _crossings(p: Array, o: Array) -> tuple[Array, float, Mask]:
    """Where profiles p (n, m) at offsets o cross half way between the light on both sides of their steepest place; the blur; where
    there is such a crossing."""
    steep = ndimage.gaussian_filter(p, (ALONG, 1.0 / STEP), mode=("wrap", "nearest"))
    slope = np.gradient(steep, STEP, axis=1)
    margin = int((FIRST_BLUR * 2.0) / STEP)
    j = margin + np.argmax(slope[:, margin:-margin], axis=1)
    blur = FIRST_BLUR
    for _ in range(2):
        dark, light = _beside(p, o, o[j], -1.0, blur), _beside(p, o, o[j], 1.0, blur)
        peak = np.take_along_axis(slope, j[:, None], axis=1)[:, 0]
        wide = (
            np.median((light - dark)[peak > 0] / peak[peak > 0]) / np.sqrt(2.0 * np.pi)
            if (peak > 0).any()
            else FIRST_BLUR
        )
        # of the smoothing itself, over one pixel
        blur = float(np.clip(np.sqrt(max(wide**2 - 1.0, 0.09)), 0.3, REACH / 2))
    half = (dark + light) / 2.0
    fine = ndimage.gaussian_filter1d(p, 0.5 / STEP, axis=1, mode="nearest")
    above = fine >= half[:, None]
    rising = ~above[:, :-1] & above[:, 1:]
    off = np.abs((o[:-1] + STEP / 2)[None] - o[j][:, None])
    k = np.argmin(np.where(rising, off, np.inf), axis=1)
    a, b = np.take_along_axis(fine, k[:, None], axis=1)[:, 0], np.take_along_axis(fine, k[:, None] + 1, axis=1)[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        x = o[k] + STEP * np.clip((half - a) / (b - a), 0.0, 1.0)
    near = np.take_along_axis(off, k[:, None], axis=1)[:, 0]
    good = rising.any(axis=1) & (light - dark > CONTRAST / 2) & (near < max(2.0, 2.0 * blur)) & np.isfinite(x)
    return x, blur, good


def _beside(p: Array, o: Array, at: Array, side: float, blur: float) -> Array:
    """Mean light on one side of the edge, clear of its blur (n,)."""
    far = side * (o[None] - at[:, None])
    first = 2.0 * blur
    weight = ((far >= first) & (far <= first + LEVELS)).astype(float)
    empty = weight.sum(axis=1) == 0
    weight[empty, 0 if side < 0 else -1] = 1.0
    return np.asarray((p * weight).sum(axis=1) / weight.sum(axis=1))


def _median_of_neighbours(x: Array) -> Array:
    """Median of NEIGHBOURS points about each of a closed row, NaN passed over."""
    half = NEIGHBOURS // 2
    rows = np.stack([np.roll(x, k) for k in range(-half, half + 1)])
    lonely = np.isnan(rows).all(axis=0)
    rows[:, lonely] = 0.0
    out: Any = np.nanmedian(rows, axis=0)
    return np.asarray(np.where(lonely, np.nan, out))


def _noise(points: Array, normal: Array, blur: float) -> float:
    """Of one point: what is left square to the outline beside the mean of its neighbours, far enough off to share no pixel with it."""
    k = max(2, round(2.0 * blur))
    left = ((points - (np.roll(points, k, axis=0) + np.roll(points, -k, axis=0)) / 2.0) * normal).sum(axis=1)
    return float(1.4826 * np.median(np.abs(left)) / np.sqrt(1.5))
