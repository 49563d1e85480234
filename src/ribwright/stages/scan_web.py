"""The web in a scan: its points told from everything else, levelled, and the smooth surface they lie on.

A point is on the web where it lies inside every drawn line by the bend's reach and clear of holes, beads and notches, and within a little
of the web's plane. Flatness is what the surface spans once its best plane is taken off; where the cells' own means stand off the surface
by more than they are sure of, as at an oil-can, those are taken.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.grooved_path import distance
from ribwright.geometry.smooth_face import WAYS, SmoothFace, smooth_face
from ribwright.stages.scan_faces import ScanFaces

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
WITHIN = 3.0  # of the plane: no web bows more and is still called a web [mm]
CLEAR = 1.0  # of bends and cut edges [mm]
ABOUT_HOLE, ABOUT_BEAD = 1.5, 3.0
STANDS_OFF = 4.0  # standard uncertainties that a cell's mean stands off the surface
STANDS_OFF_MM = 0.02
LOOKED_AT = 300  # places of a web that is no smooth surface
ROUNDED = (
    0.015  # of the span: what a smooth surface rounds off, and the plane's choice; by made-up parts (docs/SCANS.md)
)


@dataclass(frozen=True)
class Bow:
    """Highest less lowest of the web about its plane [mm], its expanded uncertainty, where it is highest and lowest, cells behind it;
    `local`: some cells stand off the smooth surface."""

    value: float
    u: float
    high: tuple[float, float]
    low: tuple[float, float]
    cells: int
    local: bool


def on_web(faces: ScanFaces, local: Array, line: NDArray[np.int32], s: Array, u: Array) -> Mask:
    """Which points x, y, h (n, 3), projected onto the drawn lines, lie on the web."""
    inset = np.array([_inset(faces, k) for k in range(len(faces.edges))]) + CLEAR
    length = np.array([e.curve.length for e in faces.edges])
    on = (u < -inset[line]) & (np.abs(local[:, 2]) < WITHIN) & (s > -1e-3) & (s < length[line] + 1e-3)
    for h in faces.plan.blank.holes:
        r = (h.tangent_diameter or h.cut_diameter) / 2 + h.hole.slot / 2 + ABOUT_HOLE
        on &= (local[:, 0] - h.hole.at[0]) ** 2 + (local[:, 1] - h.hole.at[1]) ** 2 > r * r
    for b in faces.plan.job.part.beads:
        rows = np.flatnonzero(on)
        far = distance(np.asarray(b.points, float), local[rows, :2])[0] if len(rows) else np.zeros(0)
        on[rows[far < b.width / 2 + ABOUT_BEAD]] = False
    return on


def _inset(faces: ScanFaces, k: int) -> float:
    e = faces.edges[k]
    inset = float(np.max(e.tangent_inset(np.linspace(0, e.curve.length, 33)))) if e.flange is not None else 0.0
    notches = [n for n in faces.plan.job.part.notches if n.edge == e.edge.name]
    # a notch is cut into the web: its points are told by their line alone, so that all of such an edge keeps clear
    return max([inset, *(n.depth for n in notches)])


def web_of(local: Array, on: Mask, sd: float | None) -> SmoothFace | None:
    """The web's surface from its points."""
    return smooth_face(local[on, :2], local[on, 2], sd)


def level(face: SmoothFace) -> Array:
    """(a, b, c) of the plane h = a + b x + c y of least squares through the cells' means, each alike: where they lie does not depend on
    how densely they were scanned."""
    x = np.column_stack([np.ones(len(face.at)), face.at])
    return np.asarray(np.linalg.lstsq(x, face.means, rcond=None)[0])


def bow_of(face: SmoothFace, sd: float | None) -> Bow:
    """How far the web is from flat, as far as its points reach."""
    plane = level(face)
    smooth, sure = face.smooth(face.at)
    own = (sd if sd is not None else face.spread or 0.0) / np.sqrt(face.counts)
    stands = np.abs(face.means - smooth)
    local = bool(np.any((stands > STANDS_OFF * np.hypot(own, sure)) & (stands > STANDS_OFF_MM)))
    at, (z, u) = face.reach, face.smooth(face.reach)
    if local:
        # what the surface misses counts where the web is highest and lowest
        at = np.concatenate(
            [
                face.reach[:: max(1, len(face.reach) // LOOKED_AT)],
                face.reach[-WAYS:],
                face.at[:: max(1, len(face.at) // LOOKED_AT)],
            ]
        )
        z, u, _, _ = face.near(at, np.tile([1.0, 0.0], (len(at), 1)))
    z = z - plane[0] - at @ plane[1:]
    i, j = int(np.argmax(z)), int(np.argmin(z))
    # between two points of it the web may lie higher still, by its slope there over their distance
    apart = float(np.sqrt(np.prod(np.ptp(face.at, axis=0)) / face.counts.sum()))
    steep = [face.near(at[[i, j]], np.tile(way, (2, 1)))[2] - plane[1 + k] for k, way in enumerate(np.eye(2))]
    missed = apart * np.hypot(*steep) / np.sqrt(3.0)
    value = float(z[i] - z[j])
    wide = 2.0 * float(np.sqrt(u[i] ** 2 + u[j] ** 2 + np.sum(missed**2) + (ROUNDED * value) ** 2))
    return Bow(value, wide, (float(at[i, 0]), float(at[i, 1])), (float(at[j, 0]), float(at[j, 1])), len(face.at), local)
