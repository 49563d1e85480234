"""Plane-strain rubber in four-node elements: energy, nodal forces and stiffness of the deformed pad.

W = c1 (I - 2) + c2 (I - 2)^2 + c3 (I - 2)^3 - 2 c1 ln J  at four points of an element, I = F:F (so I + 1 is the first
invariant in space), and (K - 2 G/3)/2 (A/A0 - 1)^2 for the element as a whole, A its area: one pressure an element.
c2 = c3 = 0 is neo-Hookean with G = 2 c1, what section studies of pads use; with c2, c3 it is Yeoh's. The constants of
small strain are then exactly G and the bulk modulus K. F deformation gradient, J = det F.

Simo, Taylor and Pister, Comput. Methods Appl. Mech. Eng. 51 (1985) 177 for the mean dilatation; Yeoh, Rubber Chem.
Technol. 63 (1990) 792 (both recalled, not seen). ln J keeps every point from turning inside out: no energy is finite
there, and a line search cannot take such a step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

BULK_MPA = 2000.0  # rubber and polyurethane pads, as good as incompressible; G is 1 to 10 MPa

_AT = 1.0 / np.sqrt(3.0)
_CORNERS = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
_POINTS = _AT * _CORNERS
# d2(area)/d(node values)2 of a quadrilateral, A = ((x2 - x0)(y3 - y1) - (x3 - x1)(y2 - y0))/2
_AREA = np.zeros((8, 8))
for _i, _j, _sign in ((4, 7, 1), (4, 3, -1), (0, 7, -1), (0, 3, 1), (6, 5, -1), (6, 1, 1), (2, 5, 1), (2, 1, -1)):
    _AREA[_i, _j] += 0.5 * _sign
    _AREA[_j, _i] += 0.5 * _sign
# d2 J/dF2 with F as (F11, F12, F21, F22)
_DET = np.array([[0, 0, 0, 1], [0, 0, -1, 0], [0, -1, 0, 0], [1, 0, 0, 0]], float)


@dataclass(frozen=True)
class Rubber:
    """c1, c2, c3 and K of W above [MPa]."""

    c1: float
    c2: float = 0.0
    c3: float = 0.0
    bulk: float = BULK_MPA

    @property
    def shear(self) -> float:
        """G of small strain [MPa]."""
        return 2.0 * self.c1

    @property
    def mean_stiffness(self) -> float:
        """Of the mean dilatation, K - 2 G/3 [MPa]: with the rest of W it makes K the bulk modulus of small strain."""
        return self.bulk - 2.0 / 3.0 * self.shear


def neo_hookean(shear_mpa: float, bulk_mpa: float = BULK_MPA) -> Rubber:
    """Rubber of shear modulus G and bulk modulus K [MPa], without the stiffening at large stretch."""
    return Rubber(c1=0.5 * shear_mpa, bulk=bulk_mpa)


@dataclass(frozen=True, eq=False)
class Quads:
    """Elements in their unstrained shape.

    nodes (n, 2) [mm], quads (m, 4) counter-clockwise; slopes (m, 4, 4, 2) derivatives of the four shape functions at the
    four points [1/mm]; weights (m, 4) [mm2]; area (m,) [mm2].
    """

    nodes: Array
    quads: Ints
    slopes: Array
    weights: Array
    area: Array


@dataclass(frozen=True, eq=False)
class Response:
    """Of every element: energy (m,) [N], force (m, 8) [N/mm], stiffness (m, 8, 8) [MPa], order x0 y0 x1 y1 ..."""

    energy: Array
    force: Array
    stiffness: Array


def quads_of(nodes: Array, quads: Ints) -> Quads:
    """The elements over nodes (n, 2), corners (m, 4) counter-clockwise."""
    corner = nodes[quads]
    local = 0.25 * _CORNERS[None] * (1.0 + (_CORNERS * _POINTS[:, None])[..., ::-1])  # (point, node, 2)
    turn = np.einsum("pna,mnj->mpja", local, corner)  # dX_j/dxi_a
    size = turn[..., 0, 0] * turn[..., 1, 1] - turn[..., 0, 1] * turn[..., 1, 0]
    slopes = np.einsum("pna,mpaj->mpnj", local, np.linalg.inv(turn))
    return Quads(nodes, quads, slopes, size, _areas(corner))


def _areas(corner: Array) -> Array:
    across, up = corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1]
    return 0.5 * (across[:, 0] * up[:, 1] - across[:, 1] * up[:, 0])


def _gradient(mesh: Quads, corner: Array) -> Array:
    """F as (m, point, 4)."""
    return np.einsum("mpnj,mni->mpij", mesh.slopes, corner).reshape(len(corner), 4, 4)


def _det(f: Array) -> Array:
    return f[..., 0] * f[..., 3] - f[..., 1] * f[..., 2]


def energies(mesh: Quads, rubber: Rubber, at: Array) -> Array:
    """Energy of every element [N, per mm length] with the nodes at (n, 2); infinite where one is turned inside out."""
    corner = at[mesh.quads]
    f = _gradient(mesh, corner)
    over, j = (f**2).sum(-1) - 2.0, _det(f)
    area = _areas(corner)
    bad = (j <= 0.0).any(1) | (area <= 0.0)
    w = over * (rubber.c1 + over * (rubber.c2 + over * rubber.c3)) - 2.0 * rubber.c1 * np.log(np.where(j > 0.0, j, 1.0))
    stiff = rubber.mean_stiffness
    total = (w * mesh.weights).sum(1) + 0.5 * stiff * mesh.area * (area / mesh.area - 1.0) ** 2
    return np.where(bad, np.inf, total)


def pressures(mesh: Quads, rubber: Rubber, at: Array) -> Array:
    """Mean-dilatation stress of every element (m,) [MPa], positive in tension."""
    return rubber.mean_stiffness * (_areas(at[mesh.quads]) / mesh.area - 1.0)


def area_slopes(mesh: Quads, at: Array) -> Array:
    """d(area)/d(node values) of every element (m, 8) [mm]."""
    return at[mesh.quads].reshape(len(mesh.quads), 8) @ _AREA


def respond(mesh: Quads, rubber: Rubber, at: Array, held: Array | None = None) -> Response:
    """Energy, forces (gradient of the energy) and stiffness (its second derivative) with the nodes at (n, 2).

    With `held` (m,) the stiffness takes these mean stresses for the elements' own: away from balance the volume's error
    times K is no stress that a step should believe in.
    """
    corner = at[mesh.quads]
    m = len(corner)
    f = _gradient(mesh, corner)
    over, j = (f**2).sum(-1) - 2.0, _det(f)
    cof = np.stack([f[..., 3], -f[..., 2], -f[..., 1], f[..., 0]], -1)
    w = over * (rubber.c1 + over * (rubber.c2 + over * rubber.c3)) - 2.0 * rubber.c1 * np.log(j)
    w1 = rubber.c1 + over * (2.0 * rubber.c2 + 3.0 * rubber.c3 * over)
    w2 = 2.0 * rubber.c2 + 6.0 * rubber.c3 * over
    p = 2.0 * w1[..., None] * f - (2.0 * rubber.c1 / j)[..., None] * cof  # first Piola stress
    d = (2.0 * rubber.c1 / j**2)[..., None, None] * (cof[..., :, None] * cof[..., None, :])
    d = d - (2.0 * rubber.c1 / j)[..., None, None] * _DET + 2.0 * w1[..., None, None] * np.eye(4)
    if rubber.c2 or rubber.c3:
        d = d + 4.0 * w2[..., None, None] * (f[..., :, None] * f[..., None, :])
    bend = np.zeros((m, 4, 4, 8))  # F from node values
    for i in (0, 1):
        bend[:, :, 2 * i : 2 * i + 2, i::2] = np.swapaxes(mesh.slopes, -1, -2)
    weighed = bend * mesh.weights[..., None, None]
    force = np.matmul(p.reshape(m, 1, 16), weighed.reshape(m, 16, 8))[:, 0]
    k = np.matmul(np.swapaxes(bend.reshape(m, 16, 8), -1, -2), np.matmul(d, weighed).reshape(m, 16, 8))

    area = _areas(corner)
    grow = area / mesh.area - 1.0
    stiff = rubber.mean_stiffness
    da = corner.reshape(m, 8) @ _AREA
    energy = (w * mesh.weights).sum(1) + 0.5 * stiff * mesh.area * grow**2
    force = force + (stiff * grow)[:, None] * da
    k = k + (stiff / mesh.area)[:, None, None] * (da[:, :, None] * da[:, None, :])
    k = k + (stiff * grow if held is None else held)[:, None, None] * _AREA
    return Response(energy, force, k)
