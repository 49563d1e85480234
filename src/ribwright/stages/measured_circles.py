"""Strain circles as measured, held against the strain map: circle by circle, with what the reading and the sheet's faces leave open.

    measured    major = ln(D/d), minor = ln(m/d)     D, m longest and shortest diameter after forming, d as printed
    reading     ln(D/(D - g)), ln(m/(m - g))         g how finely a diameter was read, either way
    forecast    mean of the map's strain over the circle's disc, as a tensor in the axes of the flat; then principal
    faces       a circle lies on a face, t/2 from the middle of the sheet: how far the strain there is from the middle's

Both strains of a circle within reading and faces of the forecast: it agrees. Over a bend the face is strained far more than the middle, and
near a held corner the map has no strain to read: there nothing is compared. Valid as the map is: one step, web held, no wrinkles.
Source of the forecast: `mechanics/inverse`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError
from ribwright.geometry.midsurface.values import BEND, FormedMesh
from ribwright.shop.circles import CircleRecord, Reading
from ribwright.stages.blank import Blank
from ribwright.stages.circles import lattice
from ribwright.stages.job import Job
from ribwright.stages.strain_map import AtFlat, StrainMap, principal

Array = NDArray[np.float64]
AGREES, APART, OVER_BEND, AT_CORNER = "agrees", "apart", "over-a-bend", "at-a-held-corner"
RINGS, AROUND = (0.0, 0.3, 0.6, 0.85, 1.0), 16  # radii of the points a circle is read at, over its own; points on each
LEAST = 0.6  # of those points on the blank, else the circle is off it
THIN, THICK = 0.4, 1.6  # measured thickness over the sheet's: beyond it a unit is asked about


@dataclass(frozen=True)
class Compared:
    """One circle.

    reading             as measured; at: centre in the flat [mm]; place: ("edge", name), ("hole", name) or ("web", "")
    major, minor        measured true strain [-], known to major_reading, minor_reading either way
    forecast_major, forecast_minor, forecast_thickness   of the strain map [-, -, mm]
    faces               how far the strain of either face may be from the middle's [-]
    thickness           from both diameters, the sheet keeping its volume [mm]
    outcome             AGREES, APART, OVER_BEND, AT_CORNER
    """

    reading: Reading
    at: tuple[float, float]
    place: tuple[str, str]
    major: float
    minor: float
    major_reading: float
    minor_reading: float
    forecast_major: float
    forecast_minor: float
    forecast_thickness: float
    faces: float
    thickness: float
    outcome: str

    @property
    def major_off(self) -> float:
        """Measured less forecast, major strain [-]."""
        return self.major - self.forecast_major

    @property
    def minor_off(self) -> float:
        """Measured less forecast, minor strain [-]."""
        return self.minor - self.forecast_minor

    @property
    def telling(self) -> bool:
        """Measured or forecast strain is more than what reading and faces leave open: a sheet without strain would not agree here."""
        open_ = self.major_reading + self.faces, self.minor_reading + self.faces
        strained = max(abs(self.major), abs(self.forecast_major)), max(abs(self.minor), abs(self.forecast_minor))
        return self.compared and any(s > o for s, o in zip(strained, open_, strict=True))

    @property
    def compared(self) -> bool:
        """It counts in the summary."""
        return self.outcome in (AGREES, APART)


def compare_circles(
    job: Job, blank: Blank, m: StrainMap, mesh: FormedMesh, record: CircleRecord
) -> tuple[Compared, ...]:
    """Every circle of a record against the map of the part. InputError with every circle that lies off the blank, and every thickness
    that is not this sheet's."""
    at = _centres(job, blank, record)
    disc = _disc(record.diameter / 2.0)
    points = (at[:, None] + disc[None]).reshape(-1, 2)
    found = m.at_flat(points)
    _check(job, record, at, found, len(disc))
    bends = np.asarray(mesh.part_of == BEND)
    out = []
    for k, r in enumerate(record.readings):
        here = slice(k * len(disc), (k + 1) * len(disc))
        out.append(_compared(m, mesh, bends, record, r, at[k], points[here], found, here))
    return tuple(out)


def _centres(job: Job, blank: Blank, record: CircleRecord) -> Array:
    grid = lattice(job, blank, record.diameter)
    return np.array([grid.of_name(r.name) if r.name else (r.x, r.y) for r in record.readings], np.float64)


def _disc(radius: float) -> Array:
    """(n, 2) points over a disc [mm]."""
    turn = 2.0 * np.pi * np.arange(AROUND) / AROUND
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.asarray(np.concatenate([np.zeros((1, 2)), *(radius * share * ring for share in RINGS[1:])]))


def _check(job: Job, record: CircleRecord, at: Array, found: AtFlat, count: int) -> None:
    on = (found.triangle.reshape(-1, count) >= 0).mean(axis=1)
    faults = []
    for k, r in enumerate(record.readings):
        if on[k] < LEAST:
            where = f"{r.called}, at x {at[k, 0]:.1f}, y {at[k, 1]:.1f} mm of the flat"
            faults.append(
                Fault(
                    record.file, f"line {r.line}", where, "a circle on the blank: is it this part, and this diameter?"
                )
            )
        if r.thickness is not None and not THIN <= r.thickness / job.t <= THICK:
            allowed = f"{THIN:g} to {THICK:g} times the sheet's {job.t:.3f} mm: is the unit right?"
            faults.append(Fault(record.file, f"line {r.line}, thickness", f"{r.thickness:.3f} mm", allowed))
    if faults:
        raise InputError(faults)


def _compared(
    m: StrainMap, mesh: FormedMesh, bends: NDArray[np.bool_], record: CircleRecord, r: Reading, at: Array, points: Array, found: AtFlat,
    here: slice,
) -> Compared:  # fmt: skip
    triangle = found.triangle[here]
    on = triangle >= 0
    weights = _weights()[on]
    c, s = np.cos(2.0 * found.direction[here][on]), np.sin(2.0 * found.direction[here][on])
    middle, half = (found.major + found.minor)[here][on] / 2.0, (found.major - found.minor)[here][on] / 2.0
    h = np.average(np.stack([middle + half * c, middle - half * c, half * s], axis=1), axis=0, weights=weights)
    (major,), (minor,), _ = principal(h[None])
    d, g = record.diameter, record.gauge
    faces = _faces(m, mesh, points[on], triangle[on], at)
    measured = float(np.log(r.major / d)), float(np.log(r.minor / d))
    reading = float(np.log(r.major / (r.major - g))), float(np.log(r.minor / (r.minor - g)))
    inner = triangle[0] if triangle[0] >= 0 else triangle[on][0]
    if bends[triangle[on]].any():
        outcome = OVER_BEND
    elif not m.counted[triangle[on]].all():
        outcome = AT_CORNER
    else:
        off = abs(measured[0] - major) - reading[0] - faces, abs(measured[1] - minor) - reading[1] - faces
        outcome = AGREES if max(off) <= 0.0 else APART
    thickness = m.sheet * d * d / (r.major * r.minor)
    return Compared(
        r, (float(at[0]), float(at[1])), m.place_of(int(inner)), *measured, *reading, float(major), float(minor),
        float(m.sheet * np.exp(-h[0] - h[1])), faces, thickness, outcome,
    )  # fmt: skip


def _weights() -> Array:
    """Share of the disc that each point stands for: rings of area between the middles of their radii."""
    radii = np.array(RINGS)
    limits = np.concatenate([[0.0], (radii[1:] + radii[:-1]) / 2.0, [1.0]])
    area = np.diff(limits**2)
    return np.concatenate([[area[0]], np.repeat(area[1:] / AROUND, AROUND)])


def _faces(m: StrainMap, mesh: FormedMesh, points: Array, triangle: NDArray[np.int64], at: Array) -> float:
    """How far strain on either face lies from the middle's, at the most [-]: of the best linear map from flat to formed, half a
    thickness out along the normals."""
    shares = _shares(m.flat[m.triangles[triangle]], points)
    nodes = m.triangles[triangle]
    middle, normal = (
        np.einsum("nc,ncd->nd", shares, m.formed[nodes]),
        np.einsum("nc,ncd->nd", shares, mesh.normals[nodes]),
    )
    tensors = [_log_strain(points - at, middle + side * m.sheet / 2.0 * normal) for side in (-1.0, 0.0, 1.0)]
    return float(max(np.abs(np.linalg.eigvalsh(tensors[k] - tensors[1])).max() for k in (0, 2)))


def _log_strain(flat: Array, formed: Array) -> Array:
    """(2, 2) 1/2 ln(F^T F) of the linear map of least squares from flat (n, 2) to formed (n, 3), both about their middles."""
    f = np.linalg.lstsq(flat - flat.mean(axis=0), formed - formed.mean(axis=0), rcond=None)[0]
    values, vectors = np.linalg.eigh(f @ f.T)
    return np.asarray(vectors @ np.diag(0.5 * np.log(values)) @ vectors.T)


def _shares(corners: Array, points: Array) -> Array:
    """(n, 3) barycentric shares of points (n, 2) in triangles with corners (n, 3, 2)."""
    a, u, v = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    w = points - a
    area = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    p, q = (w[:, 0] * v[:, 1] - w[:, 1] * v[:, 0]) / area, (u[:, 0] * w[:, 1] - u[:, 1] * w[:, 0]) / area
    return np.stack([1.0 - p - q, p, q], axis=1)
