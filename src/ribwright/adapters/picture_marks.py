"""Where the marks of a picture are, to a part of a pixel, from the pixel that a person typed roughly.

A mark is a disc, or a cross with arms of equal length, darker or lighter than what lies round it, standing clear. About the typed pixel a
window grows until such a thing lies in it and clear of its border; its centre is the mean of its pixels weighted by how much darker (or
lighter) each is. For a shape that half a turn brings onto itself that is the middle, whatever blur and unequal scale do to it. Perspective
puts the mean of a disc off its middle by about r^2 sin(tilt)/distance: 0.002 mm for a disc of 6 mm seen from 0.8 m under 10 deg.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from ribwright.adapters.picture import Light

Array = NDArray[np.float64]
FIRST, GROWS, LARGEST = 10, 1.4, 0.06  # half window: pixels, factor, share of the picture's diagonal
LEAST_AREA = 16  # pixels
OFF = 0.7  # of the half window: how far from the typed pixel the middle of a mark may lie
ALIKE = 0.7  # a mark and itself after half a turn overlap by this share
LONGEST = 6.0  # variance along over across
CONTRAST = 0.06  # of full light, between a mark and what is round it
EDGE = 2  # pixels of blur that still count


@dataclass(frozen=True, eq=False)
class MarkSeen:
    """`at` column and row of its middle; `area` in pixels; `dark` against what lies round it."""

    at: Array
    area: float
    dark: bool


def find_mark(light: Light, at: Array) -> MarkSeen | None:
    """The mark near pixel `at` (column, row); None where none is found."""
    rows, columns = light.shape
    most = max(LARGEST * float(np.hypot(rows, columns)), 3.0 * FIRST)
    half = float(FIRST)
    while half <= most:
        seen = _in_window(light, at, int(half))
        if seen is not None:
            return seen
        half *= GROWS
    return None


def _in_window(light: Light, at: Array, half: int) -> MarkSeen | None:
    rows, columns = light.shape
    c, r = round(float(at[0])), round(float(at[1]))
    left, top, right, bottom = max(c - half, 0), max(r - half, 0), min(c + half + 1, columns), min(r + half + 1, rows)
    if right - left < FIRST or bottom - top < FIRST:
        return None
    cut = light[top:bottom, left:right].astype(np.float64) / 65535.0
    smooth = ndimage.gaussian_filter(cut, 0.8)
    low, high = float(smooth.min()), float(smooth.max())
    if high - low < CONTRAST:
        return None
    rim = np.concatenate([smooth[0], smooth[-1], smooth[:, 0], smooth[:, -1]])
    ground = float(np.median(rim))
    found = [
        m
        for dark in (True, False)
        if (m := _blob(cut, smooth, ground, low if dark else high, dark, at - (left, top), half))
    ]
    if not found:
        return None
    best = min(found, key=lambda m: float(np.hypot(*(m.at - (at - (left, top))))))
    return MarkSeen(best.at + (left, top), best.area, best.dark)


def _blob(cut: Array, smooth: Array, ground: float, peak: float, dark: bool, at: Array, half: int) -> MarkSeen | None:
    """The mark of one kind in a window whose ground is as light as its rim."""
    if abs(peak - ground) < CONTRAST or (peak < ground) != dark:
        return None
    level = (peak + ground) / 2.0
    mask = smooth < level if dark else smooth > level
    labels, n = ndimage.label(mask, np.ones((3, 3)))
    touching = set(np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])))
    best: MarkSeen | None = None
    for k in range(1, n + 1):
        own = labels == k
        area = int(own.sum())
        if k in touching or area < LEAST_AREA or not _symmetric(own):
            continue
        near = ndimage.binary_dilation(own, iterations=EDGE) & ((labels == k) | (labels == 0))
        weight = np.where(near, np.clip((ground - cut) / (ground - peak), 0.0, 1.5), 0.0)
        r, c = np.indices(cut.shape)
        middle = np.array([(weight * c).sum(), (weight * r).sum()]) / weight.sum()
        if np.hypot(*(middle - at)) <= OFF * half and (best is None or area > best.area):
            best = MarkSeen(middle, float(area), dark)
    return best


def _symmetric(mask: NDArray[np.bool_]) -> bool:
    """Half a turn about its middle brings it nearly onto itself, and it is no streak."""
    r, c = np.nonzero(mask)
    cov = np.cov(np.stack([r, c]))
    small, large = np.linalg.eigvalsh(cov)
    if small <= 0.0 or large > LONGEST * small:
        return False
    r2, c2 = np.round(2.0 * r.mean() - r).astype(int), np.round(2.0 * c.mean() - c).astype(int)
    inside = (r2 >= 0) & (r2 < mask.shape[0]) & (c2 >= 0) & (c2 < mask.shape[1])
    both = mask[r2[inside], c2[inside]].sum()
    return bool(both / (2.0 * len(r) - both) >= ALIKE)
