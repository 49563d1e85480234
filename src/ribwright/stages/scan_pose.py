"""Where a scan lies: its web's plane found, its flanges laid roughly onto the drawn ones, and what it is if they do not fit.

The web is the plane that most points lie near; the flanges' points are then laid onto the drawn flange faces by their distances q off
them, strays borne (weights 1/(1 + (q/c)^2)^2, c drawn in step by step). Points that lie in the drawing's frame within some millimetres
and degrees are tried so first, then the two or four ways the part's long axis can lie on the drawn one, over and under. Where the mirror
image fits and the points do not, or their size is 25.4 times off, that is asked about; this rough place is refined by pins or places.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError
from ribwright.geometry.main_plane import Plane, main_plane
from ribwright.geometry.near_curves import NearCurves
from ribwright.geometry.offset import outward
from ribwright.geometry.register import register, turned
from ribwright.stages.scan_faces import ScanFaces

Array = NDArray[np.float64]
WEB_WITHIN = 0.6  # of the web's plane, a bow included [mm]
LEAST_WEB, LEAST_FLANGE = 0.08, 20  # share of points on the web, points on flanges
MOST_LOOKED_AT = 6_000
SCALES = (20.0, 10.0, 5.0, 3.0, 2.0, 1.0, 1.0, 0.7, 0.7, 0.7)  # c, step by step [mm]
FITS, FITS_SHARE = 1.5, 0.7  # a part fits where this share of its flanges' points lies so near [mm]
FINE, FINE_SHARE = 0.6, 0.85  # fits so well that its mirror image need not be tried
MIRROR_BETTER = 0.5  # the mirror image is asked about where its distances are under this share of the points' own
SLIP, SLIP_SHARE = 25.4, 0.35
SAME_RANK = 0.02  # a way that ranks no higher than the given one by more is not taken for it
BENT_BEYOND = 1.0  # h of flange points starts so far beyond the bend's reach [mm]
FLANGES_REACH = 90.0
FAR_EDGE, STRETCHES, FEW_AT_EDGE, KTH_AT_EDGE = (
    12.0,
    5,
    8,
    3,
)  # plain edges: looked for within [mm], parts of an edge, points of a part


@dataclass(frozen=True, eq=False)
class Pose:
    """(x, y, h) = turn p + shift, `turn` (3, 3); `share` of the flanges' points that lie within FITS of the drawn faces, `off` their
    median distance [mm]. `found`: it was not the way the points came."""

    turn: Array
    shift: Array
    share: float
    off: float
    found: bool = False

    def moved(self, points: Array) -> Array:
        """Points (n, 3) as x, y, h of the drawing."""
        return np.asarray(points @ self.turn.T + self.shift)

    def after(self, angle: float, shift: Array) -> Pose:
        """This pose and then a move in the plane."""
        r = np.eye(3)
        r[:2, :2] = turned(angle)
        return Pose(r @ self.turn, r @ self.shift + (*shift, 0.0), self.share, self.off, self.found)


def rough_pose(faces: ScanFaces, points: Array, file: str) -> Pose:
    """Where points (n, 3) lie. InputError, one sentence, where they are of no such part."""
    rng = np.random.default_rng(11)
    many = min(len(points), MOST_LOOKED_AT * 4)
    some = points if many == len(points) else points[rng.integers(0, len(points), many)]
    _ask_unit(faces, some, file)
    plane = main_plane(some, WEB_WITHIN, np.array([0.0, 0.0, 1.0]))
    given = _levelled(faces, some, plane, 1.0 if plane is None else float(np.sign(plane.normal[2])))
    flanged = [k for k, e in enumerate(faces.edges) if e.flange is not None and faces.with_most(k)]
    if not flanged:
        if given is None:
            raise InputError([_fault(file, "no plane that lies like the drawing's web")])
        return given
    lay = _Laying(faces, flanged)
    first = None if given is None else lay.onto(some, given)
    if first is not None and first.off < FINE and first.share > FINE_SHARE:
        return first
    free = main_plane(some, WEB_WITHIN)
    starts = [x for way in (1.0, -1.0) if (x := _levelled(faces, some, free, way)) is not None]
    found = [p for x in starts for p in lay.anyhow(some, x)]
    other = [p for x in starts for p in lay.anyhow(some, _mirrored(x))]
    best = max([*([] if first is None else [first]), *found], key=_rank, default=None)
    image = max(other, key=_rank, default=None)
    if image is not None and image.share >= FITS_SHARE and (best is None or _worse(best, image)):
        number = faces.plan.job.part.number
        said = f"the mirror image of {number}, which fits within {image.off:.2g} mm where they do not"
        allowed = (
            "points of this hand, seen with z up from the drawing: is this the other hand, or was an axis turned round?"
        )
        raise InputError([Fault(file, "the points", said, allowed)])
    if best is None or best.share < FITS_SHARE:
        said = (
            "none on flanges"
            if best is None
            else f"{best.share:.0%} of those on flanges within {FITS:g} mm of it at best"
        )
        raise InputError([_fault(file, said)])
    if first is not None and _rank(first) >= _rank(best) - SAME_RANK:
        return first
    return replace(best, found=True)


def by_plain_edges(faces: ScanFaces, pose: Pose, points: Array) -> Pose:
    """The pose moved so that what lies outermost at edges without flange comes onto their lines too: two straight flanges alone would let
    a part slide along them. As it was where there is no such edge."""
    local = pose.moved(points)
    line, s, u = faces.near.project(local[:, :2])
    flat = (np.abs(local[:, 2]) < faces.plan.job.t + 1.0) & (np.abs(u) < FAR_EDGE)
    rows: list[tuple[Array, Array, float]] = []
    for k, e in enumerate(faces.edges):
        ends = np.linspace(0.0, e.curve.length, STRETCHES + 1)
        mid = (ends[1:] + ends[:-1]) / 2
        at, way = e.curve.point(mid), outward(e.curve.tangent(mid))
        mine = flat & (line == k)
        for i in range(STRETCHES):
            off = np.sort(u[mine & (s > ends[i]) & (s < ends[i + 1])])
            if e.flange is not None:
                rows.append((at[i], way[i], 0.0))
            elif len(off) >= FEW_AT_EDGE and off[-KTH_AT_EDGE] > -FAR_EDGE / 2:
                rows.append((at[i], way[i], float(off[-KTH_AT_EDGE])))
    if all(x[2] == 0.0 for x in rows):
        return pose
    at, way = np.array([x[0] for x in rows]), np.array([x[1] for x in rows])
    move = register(at + way * np.array([[x[2]] for x in rows]), at, way, np.ones(len(rows)))
    return pose.after(move.turn, move.shift)


def _fault(file: str, said: str) -> Fault:
    return Fault(
        file,
        "the points",
        said,
        "points of the part that the file names: is it that part, and are web and flanges on it?",
    )


def _rank(p: Pose) -> float:
    return p.share - 0.05 * p.off


def _worse(best: Pose, image: Pose) -> bool:
    return best.share < FITS_SHARE or image.off < MIRROR_BETTER * best.off


def _ask_unit(faces: ScanFaces, some: Array, file: str) -> None:
    """Whether the points are about as large as the part."""
    p = np.concatenate([e.curve.point(np.linspace(0, e.curve.length, 60)) for e in faces.edges])
    size = float(np.hypot(*np.ptp(p, axis=0)))
    low, high = np.percentile(some, [1, 99], axis=0)
    have = float(np.linalg.norm(high - low))
    for factor in (SLIP, 1.0 / SLIP):
        if abs(have / size / factor - 1.0) < SLIP_SHARE:
            said = f"{have:.4g} mm from end to end where the part has {size:.4g} mm"
            raise InputError(
                [Fault(file, "units", said, "the unit that was measured in: is it mm or in (25.4 times off)?")]
            )


def _levelled(faces: ScanFaces, some: Array, plane: Plane | None, way: float) -> Pose | None:
    """The pose that lays the plane into h = 0, its normal times `way` up from the drawing, by the least turn; x and y of the web's middle
    stay."""
    if plane is None or plane.share < LEAST_WEB:
        return None
    n = plane.normal * way
    v = np.array([n[1], -n[0], 0.0])  # n x z
    k = np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]])
    turn = np.eye(3) + k + k @ k / (1.0 + n[2]) if n[2] > -1.0 + 1e-9 else np.diag([1.0, -1.0, -1.0])
    turn = np.diag([1.0, 1.0, faces.sign]) @ turn
    middle = some[np.abs(plane.height(some)) < WEB_WITHIN].mean(axis=0)
    to = turn @ middle
    return Pose(turn, np.array([middle[0] - to[0], middle[1] - to[1], -to[2]]), 1.0, 0.0)


def _mirrored(p: Pose) -> Pose:
    """The mirror image y -> -y of what a pose gives."""
    m = np.diag([1.0, -1.0, 1.0])
    return replace(p, turn=m @ p.turn, shift=m @ p.shift)


class _Laying:
    """Flange points laid onto the drawn flange faces of edges `flanged`."""

    def __init__(self, faces: ScanFaces, flanged: list[int]):
        self.faces, self.flanged = faces, flanged
        self.near = NearCurves([faces.edges[k].curve for k in flanged], FLANGES_REACH)
        ends = [faces.section(k, np.linspace(0, faces.edges[k].curve.length, 9)) for k in flanged]
        bends = [faces.edges[k].flange.bend_radius for k in flanged]  # type: ignore[union-attr]
        self.low = max(bends) + faces.plan.job.t + BENT_BEYOND
        self.high = max(float(np.max(x.width * np.sin(x.angle))) for x in ends) + BENT_BEYOND
        at = np.concatenate(
            [faces.edges[k].curve.point(np.linspace(0, faces.edges[k].curve.length, 100)) for k in flanged]
        )
        self.middle, self.axis = at.mean(axis=0), _long_axis(at)

    def flange_points(self, local: Array) -> Array:
        """x, y, h of points that stand where flanges do, not more than are looked at."""
        on = local[(local[:, 2] > self.low) & (local[:, 2] < self.high)]
        return on[:: max(1, len(on) // MOST_LOOKED_AT)]

    def anyhow(self, some: Array, start: Pose) -> list[Pose]:
        """Laid with the points' long axis along the drawn one, both ways, and across it."""
        on = self.flange_points(start.moved(some))
        if len(on) < LEAST_FLANGE:
            return []
        turn = self.axis - _long_axis(on[:, :2])
        out = []
        for more in (0.0, np.pi, np.pi / 2, -np.pi / 2):
            shift = self.middle - turned(turn + more) @ on[:, :2].mean(axis=0)
            out.append(self.onto(some, start.after(turn + more, shift)))
        return [p for p in out if p is not None]

    def onto(self, some: Array, start: Pose) -> Pose | None:
        """Laid from a start; None where hardly a point stands where flanges do."""
        on = self.flange_points(start.moved(some))
        if len(on) < LEAST_FLANGE:
            return None
        xy, h, pose = on[:, :2], on[:, 2], start
        for scale in SCALES:
            q, way = self._off(xy, h)
            middle = xy.mean(axis=0)
            arm = xy - middle
            size = max(float(np.abs(arm).max()), 1.0)
            jac = np.column_stack([way, (way[:, 1] * arm[:, 0] - way[:, 0] * arm[:, 1]) / size])
            k = 1.0 / (1.0 + (q / scale) ** 2) ** 2
            a = (jac * k[:, None]).T @ jac
            step = np.linalg.solve(a + 1e-6 * np.trace(a) * np.eye(3), -(jac * k[:, None]).T @ q)
            angle = float(np.clip(step[2] / size, -0.2, 0.2))
            shift = middle - turned(angle) @ middle + step[:2]
            xy, pose = xy @ turned(angle).T + shift, pose.after(angle, shift)
        q, _ = self._off(xy, h)
        return replace(pose, share=float(np.mean(np.abs(q) < FITS)), off=float(np.median(np.abs(q))))

    def _off(self, xy: Array, h: Array) -> tuple[Array, Array]:
        """(q (n,), its slope by x and y (n, 2)) of points off the nearest drawn flange's face."""
        line, s, u = self.near.project(xy)
        q, way = np.empty(len(xy)), self.near.outward(line, s)
        for i, k in enumerate(self.flanged):
            mine = line == i
            e = self.faces.edges[k]
            inside = np.clip(s[mine], 0.0, e.curve.length)
            x = self.faces.section(k, inside)
            # beyond an end a point is as far off as from the end
            past = np.abs(s[mine] - inside)
            side = (u[mine] + x.mold) * np.sin(x.angle) - h[mine] * np.cos(x.angle)
            q[mine] = np.where(past > 3.0, np.hypot(side, past), side)
            way[mine] *= np.sin(x.angle)[:, None]
        return q, way


def _long_axis(points: Array) -> float:
    """Direction in which points (n, 2) spread most [rad]."""
    w, v = np.linalg.eigh(np.cov((points - points.mean(axis=0)).T))
    return float(np.arctan2(v[1, -1], v[0, -1])) if w[-1] > 0 else 0.0
