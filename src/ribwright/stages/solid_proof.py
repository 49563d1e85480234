"""The formed part made again from the part file that was just written, held against the solid it came from, both ways.

Every point that the solid's faces are known at is looked for on the part's two faces, which lie half a thickness either side of its
mid-surface (stages/formed_mesh.py); every node of that mid-surface, put half a thickness out both ways, on the solid's faces. Of a face
of the sheet the distance is that along the normal and past the boundary together; of the sheet's edges the latter alone.

At a corner relief the part file says less than a solid: where it cuts into the bends it is laid out in the flat there, and flange
ends stand square. What lies within reach of one is said apart. What was not understood is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curved_mesh import Off, off, surface
from ribwright.geometry.midsurface.values import FormedMesh
from ribwright.stages.blank import Blank
from ribwright.stages.finding import Finding
from ribwright.stages.formed_mesh import Meshed, mesh_part
from ribwright.stages.job import Job
from ribwright.stages.solid_left import Left
from ribwright.stages.solid_ring import HEEL, INNER, Seen
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
SAID_MM, MOST_MM = 0.05, 0.5  # a part farther off is said to be, farther than the second is refused
REACH_MM = 3.0  # how far apart the two are looked for
ABOUT_LEFT = 3.0  # beside what was not understood [mm]
CLEAR_MM = 1.0  # beyond the reach of a relief


@dataclass(frozen=True)
class Worst:
    """The largest distance [mm], where in plan, at which edge or hole ("" the web), how many points were measured."""

    mm: float
    at: tuple[float, float]
    place: str
    points: int


@dataclass(frozen=True)
class Proof:
    """`solid`: the solid's points on the part; `part`: the part's on the solid; `corners`: both at corners. `why`: no proof, and why."""

    solid: Worst | None = None
    part: Worst | None = None
    corners: Worst | None = None
    why: str = ""

    @property
    def worst(self) -> Worst:
        """The larger of the two, corners aside."""
        found = [w for w in (self.solid, self.part) if w is not None]
        return max(found, key=lambda w: w.mm)


def proved(view: Seen, job: Job, blank: Blank, left: tuple[Left, ...]) -> Proof:
    """The part of `job`, laid out as `blank`, held against the solid."""
    meshed = mesh_part(job, blank)
    if meshed.mesh is None:
        return Proof(why=" ".join(f.say for f in meshed.findings))
    mesh, t = meshed.mesh, job.t
    lift = np.array([0.0, 0.0, {HEEL: t / 2, INNER: -t / 2}.get(view.face, 0.0)])
    near = _near_corners(blank, t)
    one = _solid_on_part(view, mesh, t, lift, near, left, meshed)
    two = _part_on_solid(view, mesh, t, lift, near, left, meshed)
    ends = [w for w in (one[1], two[1]) if w is not None]
    if not (one[0].points and two[0].points):
        return Proof(why="Nothing of it lies clear of what was not understood.")
    return Proof(one[0], two[0], max(ends, key=lambda w: w.mm) if ends else None)


def proof_findings(proof: Proof, first: Unit) -> list[Finding]:
    """How well the part file gives the solid back."""
    if proof.why:
        return [
            Finding(
                "solid-not-proved",
                "warn",
                f"The part made again from the part file was not held against the solid. {proof.why}",
                "Check the part file against the drawing by hand.",
                source="the part made again from the part file",
            )
        ]
    worst = proof.worst
    out = [
        Finding(
            "solid-off" if worst.mm > SAID_MM else "solid-agrees",
            "warn" if worst.mm > SAID_MM else "note",
            f"Made again from the part file, the part lies within {_fine(worst.mm, first)} of the solid, corners aside; the most is "
            f"{_place(worst, first)}.",
            "Look there: something of the solid is not as the part file says." if worst.mm > SAID_MM else "",
            {"at_mm": list(worst.at)},
            worst.mm,
            SAID_MM,
            (SAID_MM - worst.mm) / SAID_MM,
            "mm",
            "points of both, each looked for on the other",
        )
    ]
    if proof.corners is not None:
        c = proof.corners
        out.append(
            Finding(
                "solid-corners",
                "warn" if c.mm > MOST_MM else "note",
                f"At corners and reliefs it lies within {_fine(c.mm, first)}; the most is {_place(c, first)}. The part file lays "
                "a relief out in the flat and ends flanges square.",
                "Compare the corners with the drawing." if c.mm > MOST_MM else "",
                {"at_mm": list(c.at)},
                c.mm,
                MOST_MM,
                (MOST_MM - c.mm) / MOST_MM,
                "mm",
                "points of both, each looked for on the other",
            )
        )
    return out


def off_words(proof: Proof, first: Unit) -> str:
    """Why a solid is refused that the part file does not give back; "" where it does."""
    if proof.why or proof.worst.mm <= MOST_MM:
        return ""
    w = proof.worst
    size = f"{show_length(REACH_MM, first)} or more" if not np.isfinite(w.mm) else show_length(w.mm, first)
    return f"a solid that the part file made of it misses by {size} {_place(w, first)}"


# ---- inside


def _solid_on_part(
    view: Seen, mesh: FormedMesh, t: float, lift: Array, near: list[tuple[Array, float]], left: tuple[Left, ...],
    meshed: Meshed,
) -> tuple[Worst, Worst | None]:  # fmt: skip
    middle = surface(mesh.nodes[mesh.triangles], mesh.normals[mesh.triangles])
    gone = {f for x in left for f in x.faces}
    points, rim = [], []
    for f in view.solid.faces:
        if f.number in gone or not len(f.points):
            continue
        mine = view.frame.local(np.concatenate([f.points, f.between]))
        p = np.concatenate([mine, *(e.points for e in view.edges_of[f.number])]) + lift
        points.append(p)
        rim.append(np.full(len(p), f.number not in view.web.sheet))
    p, edge = np.concatenate(points), np.concatenate(rim)
    # heel and inner face of a solid lie at z = 0 and -t: the mid-surface half way
    first = off(middle, p, REACH_MM + t)
    side = np.clip(first.height, -t / 2, t / 2) if view.solid.closed else np.full(len(p), _level(view.face, t))
    side = np.where(edge | ~np.isfinite(first.height), side, np.sign(side) * abs(_level(view.face, t)))
    back = np.where(np.isfinite(first.height)[:, None], p - side[:, None] * first.normal, p)
    second = off(middle, back, REACH_MM + t)
    # along the edges of the sheet only what stands past it counts
    height = np.where(edge, np.maximum(np.abs(first.height) - t / 2, 0.0), np.abs(second.height))
    far = np.hypot(height, second.beside)
    names = [meshed.places[k][1] if k >= 0 else "" for k in mesh.place_of]
    return _both(far, p - lift, second, names, near, left)


def _level(face: str, t: float) -> float:
    """Where the face that was given lies above the mid-surface."""
    return {HEEL: t / 2, INNER: -t / 2}.get(face, 0.0)


def _part_on_solid(
    view: Seen, mesh: FormedMesh, t: float, lift: Array, near: list[tuple[Array, float]], left: tuple[Left, ...],
    meshed: Meshed,
) -> tuple[Worst, Worst | None]:  # fmt: skip
    gone = {f for x in left for f in x.faces}
    mine = [f for f in view.solid.faces if f.number in view.web.sheet and f.number not in gone and len(f.triangles)]
    corners = np.concatenate([view.frame.local(f.points)[f.triangles] for f in mine])
    normals = np.concatenate([view.frame.turned(f.normals)[f.triangles] for f in mine])
    whole = surface(corners, normals)
    levels = (t / 2, -t / 2) if view.solid.closed else (_level(view.face, t),)
    place = np.full(len(mesh.nodes), -1)
    place[mesh.triangles] = mesh.place_of[:, None]
    names = [meshed.places[k][1] if k >= 0 else "" for k in place]
    found: list[tuple[Worst, Worst | None]] = []
    for level in levels:
        p = mesh.nodes + level * mesh.normals - lift
        o = off(whole, p, REACH_MM)
        far = np.hypot(o.height, o.beside)
        found.append(_both(far, p, None, names, near, left))
    ends = [e for _, e in found if e is not None]
    total = sum(w.points for w, _ in found)
    worst = max((w for w, _ in found), key=lambda w: w.mm)
    return (
        Worst(worst.mm, worst.at, worst.place, total),
        max(ends, key=lambda w: w.mm) if ends else None,
    )


def _both(
    far: Array, p: Array, o: Off | None, names: list[str], near: list[tuple[Array, float]], left: tuple[Left, ...]
) -> tuple[Worst, Worst | None]:
    """The worst of points away from corners and of those at them."""
    skip = np.zeros(len(p), bool)
    for low, high in (b for x in left for b in x.boxes):
        skip |= np.all((p > low - ABOUT_LEFT) & (p < high + ABOUT_LEFT), axis=1)
    corner = np.zeros(len(p), bool)
    for at, reach in near:
        corner |= np.hypot(*(p[:, :2] - at).T) < reach

    def worst(mask: Mask) -> Worst:
        rows = np.flatnonzero(mask)
        if not len(rows):
            return Worst(0.0, (0.0, 0.0), "", 0)
        k = int(rows[np.argmax(far[rows])])
        which = k if o is None else int(o.triangle[k])
        name = names[which] if which >= 0 else ""
        return Worst(float(far[k]), (float(p[k, 0]), float(p[k, 1])), name, len(rows))

    return worst(~skip & ~corner), worst(~skip & corner) if near else None


def _near_corners(blank: Blank, t: float) -> list[tuple[Array, float]]:
    """(drawn corner, how far round it a relief or the ends of two flanges reach)."""
    out = []
    for joins in blank.joins:
        for j in joins:
            if j.kind in ("smooth", "plain") or (j.kind != "corner" and j.relief == "none"):
                continue
            drawn = np.array(j.drawn)
            inner = float(np.hypot(*(np.array(j.meeting) - drawn)))
            out.append((drawn, inner + j.diameter / 2 + j.set_back + j.gap + t + CLEAR_MM))
    return out


def _place(w: Worst, first: Unit) -> str:
    at = ", ".join(show_length(v, first) for v in w.at)
    return f"at ({at}), {w.place or 'the web'}"


def _fine(mm: float, first: Unit) -> str:
    """A small length with a digit more than usual."""
    if not np.isfinite(mm):
        return f"more than {show_length(REACH_MM, first)}"
    return f"{mm / 25.4:.5f} in" if first == "in" else f"{mm:.4f} mm"
