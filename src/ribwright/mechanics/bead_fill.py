"""A strip of sheet pressed into a groove by an even pressure: how deep it lies, and the pressure at which it fills the groove.

Plane strain across a long groove, half of it: x from the groove's middle, y up, 0 the mid-surface of the flat sheet on the block. Nodes
carry places of the mid-surface; on either side of a node the stretch l of the piece there and the node's bending k (turn a flat length)
give layers the strain ln(l - k z). The sheet's work is that of its law along one straight path (Hencky's total strains): plane strain of
Hill's normal anisotropy r,

    c = (1 + r)/sqrt(1 + 2 r)      eps = sigma/E' + eps_p      sigma = c flow(c eps_p)      E' = E/(1 - nu^2)

Pressure does the work p times the area swept by the mid-surface (half of the sheet's volume lies between, whatever it does). The block
pushes by a penalty at the surface parallel to its own, t/2 above it; no friction in the groove. What is minimised is strain work - p area +
push work; pressure rises in steps and each is solved by Newton from the last, so unloading on the way is not followed.

Held at the rim: all of the bead's length comes out of its own width. Held further out, at a flange turned over the block's edge or half way
to the next bead: the web between is stretched too and rubs, `rub` p a mm2, both faces together. Limits that hold exactly: a thin sheet's
free arc, p = sigma t/rho; a stiff plate clamped at both sides, p w^4/(384 D) deep (Timoshenko, Theory of Plates and Shells, art. 6).
Nothing here was compared with a real bead.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.sheet_law import SheetLaw

Array = NDArray[np.float64]
IN_GROOVE, LAYERS = 28, 9  # pieces from middle to rim, layers
BESIDE, GROWTH = 0.5, 0.3  # of the width: flat web beside the rim that is as fine; growth of the pieces beyond
SLIDE = 1e-4  # mm of sliding over which friction comes up
MOST_STEPS = 60
FIRST, GROWS = 0.1, 1.5  # MPa; growth of a step of pressure
PUSH = 0.3  # of E/t, the block's stiffness a unit of area
HAIR = 1e-3  # of the thickness, over which the block's push sets in
CLOSE, WITHIN = 2e-3, 1e-3  # of the pressure, of the depth: to which filling is told
CLEAR = 1e3  # a residual this much smaller than the pressure's force on a node is none


class Groove(Protocol):
    """The section of a groove [mm]: width over all, depth, radii at its edge and bottom, flank, `turn` theta [rad], and `knots` (4, 2)
    where its pieces meet from the middle out, x and depth."""

    @property
    def width(self) -> float: ...
    @property
    def depth(self) -> float: ...
    @property
    def edge(self) -> float: ...
    @property
    def bottom(self) -> float: ...
    @property
    def turn(self) -> float: ...
    @property
    def flank(self) -> float: ...
    @property
    def knots(self) -> Array: ...


@dataclass(frozen=True)
class Filled:
    """pressure [MPa] at which the sheet lies within the gap of the bottom (inf: not by the most asked for); depth reached there [mm];
    `stretch` ln of the mid-surface's length over the flat one across the rims [-], `thickness` there [mm]; `drawn` what came in over each
    rim [mm]; `outcome` "filled", "not-filled", "not-converged"."""

    pressure: float
    depth: float
    stretch: float
    thickness: float
    drawn: float
    outcome: str


class _Curve:
    """Plane-strain stress and its work over the strain, along one straight path, both signs alike."""

    def __init__(self, law: SheetLaw):
        c = (1 + law.r) / np.sqrt(1 + 2 * law.r)
        p = np.concatenate([[0.0], np.geomspace(1e-7, 1.5, 600)])
        stress = c * law.curve.stress(c * p)
        stiff = law.e / (1 - law.nu**2)
        self.eps = np.concatenate([[0.0], stress / stiff + p])
        self.sigma = np.concatenate([[0.0], stress])
        self.slopes = np.diff(self.sigma) / np.diff(self.eps)
        self.stiff = stiff

        self.done = np.concatenate([[0.0], np.cumsum((self.sigma[1:] + self.sigma[:-1]) / 2 * np.diff(self.eps))])

    def work(self, eps: Array) -> tuple[Array, Array, Array]:
        """(work to the strain, stress there, its slope) [MPa]."""
        a = np.abs(eps)
        i = np.clip(np.searchsorted(self.eps, a, side="right") - 1, 0, len(self.slopes) - 1)
        more = a - self.eps[i]
        sigma = self.sigma[i] + self.slopes[i] * more
        return self.done[i] + (self.sigma[i] + sigma) / 2 * more, np.sign(eps) * sigma, self.slopes[i]


@dataclass(frozen=True, eq=False)
class _Shape:
    """Pieces between n nodes and one mirrored beyond each end: `long` (..., n + 1) [mm], `unit` along them; stretch `l` (2, ..., n) before
    and behind each node, its bending `k` (..., n) [1/mm]."""

    long: Array
    unit: Array
    l: Array
    k: Array


@dataclass(eq=False)
class _Strip:
    """The half strip: node 0 in the groove's middle, the last where the web is held or ends. `rub`: friction on the web a unit of pressure,
    both faces together; `held`: whether the last node stays where it is."""

    curve: _Curve
    t: float
    groove: Groove
    flat: Array
    rub: float
    held: bool

    def __post_init__(self) -> None:
        z = (np.arange(LAYERS) + 0.5) / LAYERS - 0.5
        self.z = self.t * z / np.sqrt(1 - 1 / LAYERS**2)
        self.w = np.full(LAYERS, self.t / LAYERS)
        gaps = np.diff(self.flat)
        # mirrored pieces beyond the middle and beyond the last node
        self.size = np.concatenate([[gaps[0]], gaps, [gaps[-1]]])
        self.own = (self.size[1:] + self.size[:-1]) / 2
        self.halves = np.stack([np.concatenate([[0.0], gaps]), np.concatenate([gaps, [0.0]])]) / 2
        self.weight = self.halves.sum(axis=0)
        self.push = PUSH * self.curve.stiff / self.t
        self.rubbed = np.where(self.flat > self.groove.width / 2, self.weight, 0.0) * self.rub
        self.fixed = np.array([0, 2 * len(self.flat) - 1, *([2 * len(self.flat) - 2] if self.held else [])])

    def at_rest(self) -> Array:
        """The flat sheet (n, 2)."""
        return np.column_stack([self.flat, np.zeros(len(self.flat))])

    def work(self, q: Array, p: float) -> tuple[float, Array]:
        """What is minimised [N], and its gradient (n, 2)."""
        shape = self._shape(q)
        total, n, m = self._pulls(shape)
        above = distance_above(self.groove, q)
        total += p * float(np.sum(np.diff(q[:, 0]) * (q[1:, 1] + q[:-1, 1]) / 2))  # the area under the flat, -int y dx
        total += self.push * float(np.sum(_pushed(above[0], HAIR * self.t)[0] * self.weight))
        total += p * float(np.sum(self.rubbed * np.hypot(q[:, 0] - self.flat, SLIDE)))
        return total, self._gradient(q, p, shape, n, m, above)

    def _shape(self, q: Array) -> _Shape:
        """Stretches and bending of places (..., n, 2)."""
        first, last = q[..., :1, :].copy(), q[..., -1:, :].copy()
        first[..., 0, :] = q[..., 1, :] * [-1.0, 1.0]
        last[..., 0, 0], last[..., 0, 1] = 2 * q[..., -1, 0] - q[..., -2, 0], q[..., -2, 1]
        d = np.diff(np.concatenate([first, q, last], axis=-2), axis=-2)
        long = np.hypot(d[..., 0], d[..., 1])
        unit = d / long[..., None]
        one, two = unit[..., :-1, :], unit[..., 1:, :]
        cross = one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0]
        k = np.arctan2(cross, np.sum(one * two, axis=-1)) / self.own
        # half piece before and half piece after each node, bent alike
        return _Shape(long, unit, np.stack([long[..., :-1] / self.size[:-1], long[..., 1:] / self.size[1:]]), k)

    def _fibres(self, shape: _Shape) -> Array:
        """Stretches of the layers (2, n, LAYERS)."""
        return np.maximum(shape.l[..., None] - shape.k[:, None] * self.z, 1e-3)

    def _pulls(self, shape: _Shape) -> tuple[float, Array, Array]:
        """Work of the sheet [N], pull on its half pieces (2, n), moment of its nodes (n,)."""
        fibre = self._fibres(shape)
        density, sigma, _ = self.curve.work(np.log(fibre))
        total = float(np.sum((density @ self.w) * self.halves))
        pull = sigma / fibre * self.w
        return total, pull.sum(axis=2) * self.halves, -((pull @ self.z) * self.halves).sum(axis=0) / self.own

    def _rises(self, shape: _Shape) -> Array:
        """What the half pieces' pulls rise by (3, 2, n): sums over the layers of the slope times 1, z and z^2."""
        fibre = self._fibres(shape)
        _, sigma, slope = self.curve.work(np.log(fibre))
        rise = (slope - sigma) / fibre**2 * self.w
        return np.stack([rise @ self.z**i for i in range(3)]) * self.halves

    def _gradient(self, q: Array, p: float, shape: _Shape, n: Array, m: Array, above: tuple[Array, Array]) -> Array:
        """The gradient at places q (..., n, 2) with pulls n (2, ..., n), moments m (..., n) and heights above the groove."""
        many = q.shape[-2]
        # a piece's stretch pulls at its ends along it, a node's turn square to the pieces beside it
        f = np.zeros((*q.shape[:-2], many + 2, 2))
        unit = shape.unit
        side = np.stack([-unit[..., 1], unit[..., 0]], axis=-1) / shape.long[..., None]
        for first, sign in ((0, -1.0), (1, 1.0)):
            here = slice(first, first + many)
            g = (n[first] / self.size[here])[..., None] * unit[..., here, :] + (sign * m)[..., None] * side[
                ..., here, :
            ]
            f[..., first + 1 : first + 1 + many, :] += g
            f[..., here, :] -= g
        out = f[..., 1:-1, :]
        out[..., 1, :] += f[..., 0, :] * [-1.0, 1.0]
        out[..., -2, :] += f[..., -1, :] * [-1.0, 1.0]
        out[..., -1, 0] += 2 * f[..., -1, 0]
        dx, mean = np.diff(q[..., 0]), (q[..., 1:, 1] + q[..., :-1, 1]) / 2
        out[..., :-1, 1] += p * dx / 2
        out[..., 1:, 1] += p * dx / 2
        out[..., :-1, 0] -= p * mean
        out[..., 1:, 0] += p * mean
        gap, normal = above
        hit = _pushed(gap, HAIR * self.t)[1].reshape(q.shape[:-1])
        out += (self.push * hit * self.weight)[..., None] * normal.reshape(q.shape)
        slid = q[..., 0] - self.flat
        out[..., 0] += p * self.rubbed * slid / np.hypot(slid, SLIDE)
        out.reshape(*q.shape[:-2], -1)[..., self.fixed] = 0.0
        return out

    def settle(self, q: Array, p: float) -> tuple[Array, bool]:
        """The least work at pressure p reached from q: Newton, damped where a step would not lessen the work."""
        from scipy.linalg import LinAlgError, solve_banded

        goal = p * float(self.size.min()) / CLEAR
        stiff = self.curve.stiff * self.t / float(self.size.min())
        total, f = self.work(q, p)
        damp = 0.0
        for _ in range(MOST_STEPS):
            if float(np.abs(f).max()) < goal:
                return q, True
            bands = self._slopes(q, p, f)
            for _ in range(14):
                bands[5] += damp * stiff
                try:
                    step = solve_banded((5, 5), bands, -f.ravel()).reshape(q.shape)
                except LinAlgError:
                    step = np.full_like(q, np.inf)
                bands[5] -= damp * stiff
                if np.abs(step).max() < float(self.size.min()):
                    trial = q + step
                    new, g = self.work(trial, p)
                    if new <= total + 1e-12 * abs(total):
                        break
                damp = max(8.0 * damp, 1e-7)
            else:
                return q, float(np.abs(f).max()) < 10 * goal
            q, total, f = trial, new, g
            damp = damp / 8.0 if damp > 1e-8 else 0.0
        return q, float(np.abs(f).max()) < 10 * goal

    def _slopes(self, q: Array, p: float, f: Array) -> Array:
        """Banded slopes of the gradient by differences, every fifth node moved at once: a node feels two on either side. The sheet's own
        stiffness comes from its curve, so that the ten moves cost no more than their shapes."""
        h, size = 1e-7, q.size
        at = self._shape(q)
        _, n, m = self._pulls(at)
        one, z, zz = self._rises(at)
        moved = np.repeat(q[None], 10, axis=0)
        for colour in range(5):
            for axis in range(2):
                moved[2 * colour + axis, colour::5, axis] += h
        there = self._shape(moved)
        dl, dk = there.l - at.l[:, None], there.k - at.k
        n_there = n[:, None] + one[:, None] * dl - z[:, None] * dk
        m_there = m - ((z[:, None] * dl).sum(axis=0) - zz.sum(axis=0) * dk) / self.own
        above = distance_above(self.groove, moved.reshape(-1, 2))
        change = ((self._gradient(moved, p, there, n_there, m_there, above) - f) / h).reshape(10, size)
        bands = np.zeros((11, size))
        rows = np.arange(size)
        node = rows // 2
        for colour in range(5):
            # each row belongs to the moved node that is no more than two away
            near = colour + 5 * np.round((node - colour) / 5).astype(int)
            for axis in range(2):
                column = 2 * near + axis
                mine = (near >= 0) & (near < len(q)) & (np.abs(near - node) <= 2) & (np.abs(rows - column) <= 5)
                bands[5 + rows[mine] - column[mine], column[mine]] = change[2 * colour + axis][mine]
        for fixed in self.fixed:
            for r in range(max(0, fixed - 5), min(size, fixed + 6)):
                bands[5 + fixed - r, r] = 0.0
            bands[5, fixed] = 1.0
        return bands


def _pushed(gap: Array, hair: float) -> tuple[Array, Array]:
    """Work and its slope with the gap for a push of unit stiffness that sets in over a hair."""
    deep = np.minimum(gap, 0.0)
    work = np.where(deep < -hair, ((deep + hair / 2) ** 2) / 2 + hair**2 / 24, -(deep**3) / (6 * hair))
    return work, np.where(deep < -hair, deep + hair / 2, -(deep**2) / (2 * hair))


def distance_above(profile: Groove, q: Array) -> tuple[Array, Array]:
    """(height above the groove's surface (n,) along its normal [mm], negative inside; unit normals (n, 2)) of places x >= 0 (n, 2)."""
    x, y = q[:, 0], q[:, 1]
    (_, _), (a, low), _, (rim, _) = profile.knots
    c, s = np.cos(profile.turn), np.sin(profile.turn)
    gap, normal = y.copy(), np.tile([0.0, 1.0], (len(q), 1))
    # along the flank, from its lower end; behind 0 the bottom's arc, past its length the edge's
    along = (x - a) * c + (y + low) * s
    bottom, edge = along < 0, (along > profile.flank) & (x < rim)
    flank = (along >= 0) & (along <= profile.flank)
    gap[flank] = (-(x - a) * s + (y + low) * c)[flank]
    normal[flank] = (-s, c)
    if bottom.any():
        v = np.column_stack([-x, profile.bottom - profile.depth - y])[bottom]
        far = np.maximum(np.linalg.norm(v, axis=1), 1e-12)
        gap[bottom], normal[bottom] = profile.bottom - far, v / far[:, None]
    if edge.any():
        v = np.column_stack([x - rim, y + profile.edge])[edge]
        far = np.maximum(np.linalg.norm(v, axis=1), 1e-12)
        gap[edge], normal[edge] = far - profile.edge, v / far[:, None]
    return gap, normal


def strip_of(law: SheetLaw, t: float, mid: Groove, web: float, rub: float = 0.0, held: bool = True) -> _Strip:
    """The half strip over a groove whose parallel surface at mid-thickness is `mid`, with `web` [mm] of flat sheet beside its rim."""
    rim, fine = mid.width / 2, mid.width / 2 / IN_GROOVE
    near = min(BESIDE * mid.width, web)
    if web - near < fine:
        near = web
    flat: list[Array] = [np.linspace(0.0, rim, IN_GROOVE + 1)]
    if near > 0:
        flat.append(rim + np.linspace(0.0, near, max(1, round(near / fine)) + 1)[1:])
    if web > near:
        # as many as make the first about as long as those beside it
        n = max(1, int(np.ceil(np.log1p((web - near) * GROWTH / fine) / np.log1p(GROWTH))))
        share = ((1 + GROWTH) ** np.arange(1, n + 1) - 1) / ((1 + GROWTH) ** n - 1)
        flat.append(np.asarray(rim + near + (web - near) * share, np.float64))
    return _Strip(_Curve(law), t, mid, np.concatenate(flat), rub, held)


def depth_at(s: _Strip, pressure: float) -> float:
    """How deep the middle of a strip lies under `pressure` [MPa], [mm]; NaN: no balance found."""
    q = s.at_rest()
    for p in np.geomspace(pressure / 4096, pressure, 14):
        q, good = s.settle(q, float(p))
        if not good:
            return float("nan")
    return float(-q[0, 1])


def filling(s: _Strip, gap: float, most: float) -> Filled:
    """The pressure at which the middle of the sheet lies within `gap` [mm] of the groove's bottom, looked for up to `most` [MPa]."""
    q, p, last = s.at_rest(), FIRST, 0.0
    goal = s.groove.depth - gap
    while True:
        found, good = s.settle(q, p)
        if not good:
            # a smaller step may get round it
            if last == 0.0 or p < 1.05 * last:
                return _told(s, q, last, "not-converged")
            p = float(np.sqrt(p * last))
            continue
        if -found[0, 1] >= goal:
            break
        if p >= most:
            return _told(s, found, float("inf"), "not-filled")
        q, last, p = found, p, min(p * GROWS, most)
    low, high, last_side = last, p, 0
    a, b = -q[0, 1] - goal, -found[0, 1] - goal
    turns, width = 0, np.inf
    while high - low > CLOSE * high and b > WITHIN * goal:
        # false position, the end that stays halved (Illinois)
        middle = float(np.clip(low - a * (high - low) / (b - a), low + 0.02 * (high - low), high - 0.02 * (high - low)))
        turns += 1
        if turns % 3 == 0:
            # a sheet that snaps through at a pressure has no depths between: halving finds it
            middle = (low + high) / 2 if high - low > width / 4 else middle
            width = high - low
        trial, good = s.settle(q, middle)
        if not good:
            # from the other end, which it may be nearer to
            trial, good = s.settle(found, middle)
        if not good:
            break
        if -trial[0, 1] >= goal:
            high, found, b = middle, trial, -trial[0, 1] - goal
            a, last_side = (a / 2 if last_side > 0 else a), 1
        else:
            low, q, a = middle, trial, -trial[0, 1] - goal
            b, last_side = (b / 2 if last_side < 0 else b), -1
    return _told(s, found, high, "filled")


def _told(s: _Strip, q: Array, pressure: float, outcome: str) -> Filled:
    inside = s.flat <= s.groove.width / 2 + 1e-9
    rim = int(np.count_nonzero(inside)) - 1
    long = float(np.sum(np.linalg.norm(np.diff(q[: rim + 1], axis=0), axis=1)))
    stretch = float(np.log(long / s.flat[rim]))
    drawn = float(s.flat[rim] - q[rim, 0])
    return Filled(pressure, float(-q[0, 1]), stretch, s.t * float(np.exp(-max(stretch, 0.0))), drawn, outcome)
