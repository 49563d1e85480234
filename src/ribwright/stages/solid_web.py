"""The web of a formed part in a solid: the largest two flat faces one sheet thickness apart, and the frame the part file is written in.

A part of sheet metal has one thickness. It is measured by rays from every face into the metal: faces whose metal is as thick as the web
are faces of the sheet, the others its edges (`rims`). The volume checks it: for two faces t apart V = t (A1 + A2)/2, but for terms of
the second order in t over the bend radius, which cancel between the two.

The frame looks down on the web's heel face: z out of the metal there, x the axis of the file that lies flattest on the web, projected
on it, the origin the foot of the file's own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.solid_faces import PLANE, SolidFace, SolidFile
from ribwright.geometry.rays import first_hits
from ribwright.units import show_length

Array = NDArray[np.float64]
LEAST_T, MOST_T = 0.1, 12.0  # what the part file takes for a thickness [mm]
SAME_WAY, SAME_PLANE = 1e-4, 1e-3  # of directions; of heights [mm]
RAYS, REACH = 7, 60.0  # into a face, how far they look [mm]
# a face of the sheet is as thick as the web within a share and a length (the triangles' chords) [mm]
SHARE, CHORD = 0.05, 0.03
MOST_OTHER = 0.10  # of the metal that may be of another thickness: joggles, beads; more is no sheet


@dataclass(frozen=True, eq=False)
class Frame:
    """`axes` rows x, y, z in the file's frame, `origin` there [mm]: local = axes (p - origin)."""

    origin: Array
    axes: Array

    def local(self, p: Array) -> Array:
        """Points (n, 3) of the file in the part's frame."""
        return np.asarray((p - self.origin) @ self.axes.T)

    def turned(self, v: Array) -> Array:
        """Directions (n, 3) likewise."""
        return np.asarray(v @ self.axes.T)


@dataclass(frozen=True, eq=False)
class Web:
    """`top`, `under`: numbers of the faces of the web's two sides (`under` empty of a surface); `sheet`: of all faces of the sheet."""

    thickness: float
    top: frozenset[int]
    under: frozenset[int]
    sheet: frozenset[int]
    partner: dict[int, int]


def web_of(solid: SolidFile, thickness: float | None) -> tuple[Web | None, str]:
    """(the web, ""), or (None, why the solid is no formed part of sheet metal). `thickness` [mm]: of a surface, as a person says it."""
    if solid.bodies != 1:
        return None, f"{solid.bodies} bodies"
    planes = _planes(solid.faces)
    if not planes:
        return None, "no flat face: a formed part has a flat web"
    if not solid.closed:
        assert thickness is not None
        best = max(planes, key=lambda p: p.area)
        return Web(thickness, best.faces, frozenset(), frozenset(f.number for f in solid.faces), {}), ""
    deep, partner = _thicknesses(solid)
    pairs = _pairs(planes, deep)
    if not pairs:
        return None, _no_web(planes, deep)
    a, b, t = max(pairs, key=lambda x: min(x[0].area, x[1].area))
    sheet = frozenset(k for k, far in deep.items() if abs(far - t) <= SHARE * t + CHORD)
    metal = t * sum(f.area for f in solid.faces if f.number in sheet) / 2
    if metal < (1 - MOST_OTHER) * solid.volume:
        share = 100 * metal / solid.volume
        odd = _other(solid, deep, sheet)
        return None, (
            f"only {share:.0f} % of its metal in walls {show_length(t, 'mm')} thick, as the largest flat one is{odd}: "
            "no part of one sheet"
        )
    return Web(t, a.faces, b.faces, sheet, partner), ""


def frame_of(solid: SolidFile, faces: frozenset[int]) -> Frame:
    """The frame that looks down on these faces of the web."""
    mine = [f for f in solid.faces if f.number in faces]
    z = np.mean(np.concatenate([f.normals for f in mine]), axis=0)
    z = _snapped(z / np.linalg.norm(z))
    flattest = int(np.argmin(np.round(np.abs(z), 6)))
    x = np.eye(3)[flattest] - z[flattest] * z
    x = _snapped(x / np.linalg.norm(x))
    height = float(np.mean(np.concatenate([f.points for f in mine]) @ z))
    return Frame(height * z, np.array([x, np.cross(z, x), z]))


# ---- inside


@dataclass(frozen=True)
class _Plane:
    """Flat faces in one plane: normal, its height along it [mm], their area [mm2]."""

    normal: tuple[float, float, float]
    height: float
    area: float
    faces: frozenset[int]


def _snapped(v: Array) -> Array:
    """A direction that is that of an axis but for rounding, as that axis."""
    near = np.round(v)
    return near if np.linalg.norm(near) == 1.0 and np.linalg.norm(v - near) < 1e-7 else v


def _planes(faces: tuple[SolidFace, ...]) -> list[_Plane]:
    out: list[_Plane] = []
    for f in sorted((f for f in faces if f.kind == PLANE and len(f.points)), key=lambda f: -f.area):
        n = f.normals.mean(axis=0)
        n /= np.linalg.norm(n)
        h = float(np.mean(f.points @ n))
        same = next(
            (
                k
                for k, p in enumerate(out)
                if np.linalg.norm(n - p.normal) < SAME_WAY and abs(h - p.height) < SAME_PLANE
            ),
            None,
        )
        if same is None:
            out.append(_Plane((float(n[0]), float(n[1]), float(n[2])), h, f.area, frozenset({f.number})))
        else:
            p = out[same]
            out[same] = _Plane(p.normal, p.height, p.area + f.area, p.faces | {f.number})
    return out


def _pairs(planes: list[_Plane], deep: dict[int, float]) -> list[tuple[_Plane, _Plane, float]]:
    """Pairs of planes whose metal lies between them, (one, other, thickness)."""
    out = []
    for i, a in enumerate(planes):
        for b in planes[i + 1 :]:
            t = a.height + b.height
            if np.linalg.norm(np.add(a.normal, b.normal)) > SAME_WAY or not LEAST_T <= t <= MOST_T:
                continue
            if all(any(abs(deep[k] - t) < 1e-3 for k in p.faces) for p in (a, b)):
                out.append((a, b, t))
    return out


def _thicknesses(solid: SolidFile) -> tuple[dict[int, float], dict[int, int]]:
    """(how thick the metal is below each face, number of the face that most of its rays come out at)."""
    corners = np.concatenate([f.points[f.triangles] for f in solid.faces])
    owner = np.concatenate([np.full(len(f.triangles), f.number) for f in solid.faces])
    starts, ways, of = [], [], []
    for f in solid.faces:
        at, n = _inside(f)
        starts.append(at)
        ways.append(-n)
        of.append(np.full(len(at), f.number))
    far, hit = first_hits(np.concatenate(starts), np.concatenate(ways), corners, 1e-4, REACH)
    face = np.concatenate(of)
    deep, partner = {}, {}
    for f in solid.faces:
        mine = face == f.number
        deep[f.number] = float(np.median(far[mine])) if mine.any() else np.inf
        out = owner[hit[mine & (hit >= 0)]]
        partner[f.number] = int(np.bincount(out).argmax()) if len(out) else -1
    return deep, partner


def _inside(f: SolidFace) -> tuple[Array, Array]:
    """Some places inside a face (k, 3) with their normals: middles of its largest triangles."""
    if not len(f.triangles):
        return np.zeros((0, 3)), np.zeros((0, 3))
    p = f.points[f.triangles]
    size = np.linalg.norm(np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]), axis=1)
    pick = np.argsort(-size)[:RAYS]
    n = f.normals[f.triangles[pick]].mean(axis=1)
    n /= np.maximum(np.linalg.norm(n, axis=1), 1e-300)[:, None]
    return p[pick].mean(axis=1), n


def _no_web(planes: list[_Plane], deep: dict[int, float]) -> str:
    """Why there is no web, with the largest flat face and how thick it is below."""
    big = max(planes, key=lambda p: p.area)
    far = min(deep[k] for k in big.faces)
    below = f"{show_length(far, 'mm')} of metal" if np.isfinite(far) else f"over {show_length(REACH, 'mm')} of metal"
    return (
        f"no two flat faces between {LEAST_T:g} and {MOST_T:g} mm apart with metal between them (its largest flat face has {below} "
        "below it): no web of sheet metal"
    )


def _other(solid: SolidFile, deep: dict[int, float], sheet: frozenset[int]) -> str:
    """The thickness that the largest face not of the sheet has below it, in words."""
    others = [f for f in solid.faces if f.number not in sheet and np.isfinite(deep[f.number])]
    if not others:
        return ""
    big = max(others, key=lambda f: f.area)
    return f"; elsewhere it is {show_length(deep[big.number], 'mm')} thick"
