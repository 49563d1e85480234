"""How far points lie from closed outlines, with sign: + outside the metal.

Each outline runs with the metal on its left (outer loop counter-clockwise, openings clockwise). It is cut into chords of at most
`spacing`; a point's nearest corner of a chord is found in a k-d tree and the point is projected exactly on the two chords before
that corner and the two after it. The sign is that of the outward normal there; at a corner, of the sum of both sides' normals
(J. Baerentzen, H. Aanaes, IEEE TVCG 11 (2005) 243, in the plane; from memory), which is right for sharp corners too.

Validity: the foot may lie on a strand that is not the nearest only where two strands are equally far within spacing^2/(8 d),
d the distance; the distance itself is then wrong by no more than that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Array = NDArray[np.float64]
Index = NDArray[np.int64]
SPACING = 0.25  # mm
AROUND = (-2, -1, 0, 1)  # chords before and after the nearest corner
AT_ONCE = 1 << 17  # points projected together: bounds the memory
SAME = 1e-9  # corners of an outline this near each other are one [mm]


@dataclass(frozen=True, eq=False)
class Nearest:
    """Of points (n,): `deviation` from the outline, + outside the metal [mm]; `foot` (n, 2) on it; `segment` of the outlines' own, counted
    through all of them as typed; `share` of that segment's length before the foot, 0 to 1."""

    deviation: Array
    foot: Array
    segment: Index
    share: Array


class OutlineDistance:
    """Closed outlines (each (n, 2), first point not repeated, metal on the left) made ready for many points."""

    def __init__(self, rings: Sequence[Array], spacing: float = SPACING):
        """ValueError for an outline of less than three corners, or one that is not finite."""
        a: list[Array] = []
        b: list[Array] = []
        owner: list[Index] = []
        first: list[Array] = []
        part: list[Array] = []
        before: list[Index] = []
        after: list[Index] = []
        chords = segments = 0
        for ring in rings:
            p = np.asarray(ring, np.float64)
            keep = np.hypot(*(p - np.roll(p, 1, axis=0)).T) > SAME
            if p.ndim != 2 or keep.sum() < 3 or not np.isfinite(p).all():
                raise ValueError("an outline takes three corners or more, all finite")
            own = np.flatnonzero(keep)
            p = p[keep]
            q = np.roll(p, -1, axis=0)
            parts = np.maximum(np.ceil(np.hypot(*(q - p).T) / spacing), 1.0).astype(np.int64)
            seg = np.repeat(np.arange(len(p)), parts)
            k = np.arange(len(seg)) - np.repeat(np.cumsum(parts) - parts, parts)
            start = p[seg] + (k / parts[seg])[:, None] * (q - p)[seg]
            a.append(start)
            b.append(np.roll(start, -1, axis=0))
            n = len(start)
            before.append(chords + (np.arange(n) - 1) % n)
            after.append(chords + (np.arange(n) + 1) % n)
            owner.append(segments + own[seg])
            first.append(k / parts[seg])
            part.append(1.0 / parts[seg])
            chords, segments = chords + n, segments + len(ring)
        self.a, self.b = np.concatenate(a), np.concatenate(b)
        self.before, self.after = np.concatenate(before), np.concatenate(after)
        self._owner, self._first, self._part = np.concatenate(owner), np.concatenate(first), np.concatenate(part)
        u = self.b - self.a
        self.long = np.hypot(u[:, 0], u[:, 1])
        self.normal = np.column_stack([u[:, 1], -u[:, 0]]) / self.long[:, None]
        self._tree = cKDTree(self.a)

    def of(self, points: Array, workers: int = 2) -> Nearest:
        """The nearest place of any of the outlines for points (n, 2)."""
        p = np.ascontiguousarray(points, np.float64)
        n = len(p)
        out = np.zeros(n), np.zeros((n, 2)), np.zeros(n, np.int64), np.zeros(n)
        for i in range(0, n, AT_ONCE):
            here = slice(i, i + AT_ONCE)
            corner = self._tree.query(p[here], workers=workers)[1]
            for whole, own in zip(out, self._projected(p[here], corner), strict=True):
                whole[here] = own
        return Nearest(*out)

    def _projected(self, p: Array, corner: Index) -> tuple[Array, Array, Index, Array]:
        least = np.full(len(p), np.inf)
        chord, along = np.zeros(len(p), np.int64), np.zeros(len(p))
        for step in AROUND:
            c = self._walked(corner, step)
            a, u = self.a[c], self.b[c] - self.a[c]
            t = np.clip(np.einsum("ni,ni->n", p - a, u) / self.long[c] ** 2, 0.0, 1.0)
            d = p - a - t[:, None] * u
            far = np.einsum("ni,ni->n", d, d)
            better = far < least
            least, chord, along = np.where(better, far, least), np.where(better, c, chord), np.where(better, t, along)
        foot = self.a[chord] + along[:, None] * (self.b[chord] - self.a[chord])
        n = self.normal[chord]
        n = np.where((along <= 0.0)[:, None], n + self.normal[self.before[chord]], n)
        n = np.where((along >= 1.0)[:, None], n + self.normal[self.after[chord]], n)
        side = np.einsum("ni,ni->n", p - foot, n)
        share = self._first[chord] + along * self._part[chord]
        return np.where(side < 0.0, -1.0, 1.0) * np.sqrt(least), foot, self._owner[chord], np.minimum(share, 1.0)

    def _walked(self, corner: Index, step: int) -> Index:
        """The chord `step` away from the one that starts at a corner."""
        for _ in range(abs(step)):
            corner = self.before[corner] if step < 0 else self.after[corner]
        return corner
