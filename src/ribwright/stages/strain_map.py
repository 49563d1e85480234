"""What is strained where: the strain of the blank by balance over the flat blank and the formed part, and read at any point of the blank.

Valid for the membrane alone: what a bend adds on its outer face is not in it (minimum bend radii speak of that). One step from flat to
formed, so a place that was strained and came back reads as if nothing had happened. A shrink flange reads as shortened and thickened,
wrinkled or not. The web is held and has no strain but in beads, which are stretched in place (`web_stretch`), the most they can be. Where
the outcome is `would-neck` the strains are those of a sheet that keeps its thickness in the balance: a real one necks first. Near a held
corner (`counted` False) the strain is singular, and no maximum is read.
Source: `mechanics/inverse`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.values import FREE, Cycle, FormedMesh
from ribwright.geometry.on_triangles import Triangles, corner_values
from ribwright.mechanics.inverse.model import Flat
from ribwright.stages.blank_inverse import InverseBlank, flat_lengths, stretches
from ribwright.stages.job import Job
from ribwright.stages.web_stretch import in_place

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
WEB = ("web", "")


@dataclass(frozen=True, eq=False)
class Rim:
    """The free edge of one flanged edge or hole, stretch by stretch between its nodes.

    kind, name   "edge" or "hole", as drawn
    flat, formed (m, 2), (m, 3) middles of the stretches [mm]
    strain (m,)  true strain along the edge, ln(formed/flat) [-]
    triangle (m,), counted (m,)  the triangle behind each, and whether a maximum may be read there
    """

    kind: str
    name: str
    flat: Array
    formed: Array
    strain: Array
    triangle: Ints
    counted: Mask


@dataclass(frozen=True, eq=False)
class AtFlat:
    """Strain at points of the flat blank (n,): true major and minor strain [-], direction of the major one in the flat, 0 to pi from the
    part's x axis [rad], thickness [mm]; NaN outside. triangle: the one it lies in, -1 outside; counted: not near a held corner."""

    major: Array
    minor: Array
    direction: Array
    thickness: Array
    triangle: Ints
    counted: Mask


@dataclass(frozen=True, eq=False)
class StrainMap:
    """N nodes, T triangles.

    triangles (T, 3); formed (N, 3) on the mid-surface and flat (N, 2) places [mm]
    major, minor (T,)   true strain in the sheet [-]
    direction (T,)      of the major strain in the flat blank, 0 to pi from the part's x axis [rad]
    thickness (T,)      [mm], volume kept
    counted (T,)        a maximum may be read here
    web (T,)            held, no strain; beads are none of it
    place (T,)          number in `places`; -1 the web and what belongs to none
    places              ("edge", name) or ("hole", name)
    rims                free edges of flanged edges and holes
    cycles              node numbers of each boundary, the first not repeated
    sheet               thickness of the blank [mm]
    outcome, words      of the blank by balance
    size                elements of the mesh [mm]
    """

    triangles: Ints
    formed: Array
    flat: Array
    major: Array
    minor: Array
    direction: Array
    thickness: Array
    counted: Mask
    web: Mask
    place: Ints
    places: tuple[tuple[str, str], ...]
    rims: tuple[Rim, ...]
    cycles: tuple[Ints, ...]
    sheet: float
    outcome: str
    words: str
    size: float

    @cached_property
    def tensor(self) -> Array:
        """(T, 3): h11, h22, h12 of every triangle in the axes of the flat blank."""
        middle, half = (self.major + self.minor) / 2.0, (self.major - self.minor) / 2.0
        c, s = np.cos(2.0 * self.direction), np.sin(2.0 * self.direction)
        return np.stack([middle + half * c, middle - half * c, half * s], axis=1)

    @cached_property
    def at_corners(self) -> Array:
        """(T, 3, 3): the same at the corners of every triangle, smooth over flanges; the web stays at nought up to the tangent lines."""
        return corner_values(self.flat, self.triangles, self.tensor, self.web.astype(np.int64))

    @cached_property
    def _blank(self) -> Triangles:
        return Triangles(self.flat, self.triangles)

    def at_flat(self, points: Array) -> AtFlat:
        """Strain at points (n, 2) of the flat blank [mm]."""
        which, shares = self._blank.find(np.asarray(points, np.float64))
        inside = which >= 0
        h = np.where(inside[:, None], np.einsum("nc,nck->nk", shares, self.at_corners[which]), np.nan)
        major, minor, direction = principal(h)
        thickness = self.sheet * np.exp(-(major + minor))
        return AtFlat(major, minor, direction, thickness, which, inside & self.counted[which])

    def place_of(self, triangle: int) -> tuple[str, str]:
        """("edge", name), ("hole", name) or ("web", "") of a triangle."""
        k = int(self.place[triangle])
        return self.places[k] if k >= 0 else WEB


def strain_map(job: Job, made: InverseBlank) -> StrainMap | None:
    """The strain map of a blank by balance; None where there is none, and `made.findings` say why."""
    m, flat = made.meshed.mesh, made.flat
    if not made.answered or m is None or flat is None:
        return None
    s = flat.strains
    major, minor, thickness = s.major.copy(), s.minor.copy(), s.thickness.copy()
    direction = np.arctan2(s.direction[:, 1], s.direction[:, 0]) % np.pi
    web = np.asarray(m.held[m.triangles].all(axis=1))
    if job.part.beads:
        h = in_place(m.start, m.nodes, m.triangles[web])
        bead = np.flatnonzero(web)[(h != 0.0).any(axis=1)]
        major[bead], minor[bead], direction[bead] = principal(h[(h != 0.0).any(axis=1)])
        thickness[bead] = job.t * np.exp(-(major[bead] + minor[bead]))
        web[bead] = False
    behind = _behind(m.triangles)
    rims = tuple(r for c in m.loops for r in _rims(made, m, flat, c, behind))
    cycles = tuple(c.nodes for c in m.loops)
    return StrainMap(
        m.triangles, m.nodes, made.cut, major, minor, direction, thickness, flat.counted, web,
        m.place_of, made.meshed.places, rims, cycles, job.t, flat.outcome, flat.words, m.size,
    )  # fmt: skip


def principal(h: Array) -> tuple[Array, Array, Array]:
    """Major and minor strain and the major one's direction, 0 to pi [rad], of h (n, 3) = h11, h22, h12."""
    middle, half = (h[:, 0] + h[:, 1]) / 2.0, (h[:, 0] - h[:, 1]) / 2.0
    rho = np.hypot(half, h[:, 2])
    return middle + rho, middle - rho, (np.arctan2(h[:, 2], half) / 2.0) % np.pi


def _rims(made: InverseBlank, m: FormedMesh, flat: Flat, c: Cycle, behind: dict[tuple[int, int], int]) -> list[Rim]:
    out = []
    for kind, place, nodes in stretches(c):
        if kind != FREE:
            continue
        a, b = nodes[:-1], nodes[1:]
        formed = np.linalg.norm(np.diff(m.nodes[nodes], axis=0), axis=1)
        strain = np.log(formed / flat_lengths(flat.places[nodes], made.cut[nodes]))
        triangle = np.array([behind[int(i), int(j)] for i, j in zip(a, b, strict=True)])
        middle = (made.cut[a] + made.cut[b]) / 2.0, (m.nodes[a] + m.nodes[b]) / 2.0
        out.append(Rim(*made.meshed.places[place], *middle, strain, triangle, flat.counted[triangle]))
    return out


def _behind(triangles: Ints) -> dict[tuple[int, int], int]:
    """The triangle on the left of each directed side."""
    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    return {(int(a), int(b)): k % len(triangles) for k, (a, b) in enumerate(sides)}
