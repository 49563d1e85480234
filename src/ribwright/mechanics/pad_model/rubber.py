"""Plane-strain rubber in four-node elements: energy, nodal forces and stiffness of the deformed pad.

W = c1 (I - 2) + c2 (I - 2)^2 + c3 (I - 2)^3 - 2 c1 ln J  at four points of an element, I = F:F (so I + 1 is the first
invariant in space), and (K - 2 G/3)/2 (A/A0 - 1)^2 for the element as a whole, A its area: one mean stress an element.
c2 = c3 = 0 is neo-Hookean with G = 2 c1, what section studies of pads use; with c2, c3 it is Yeoh's. At small strain the
shear modulus is exactly G; the bulk modulus is K + 8 c2, so exactly K for c2 = 0 only (I - 2 is not free of volume; K is
2000 MPa and c2 a hundredth of G or so). F deformation gradient, J = det F.

Simo, Taylor and Pister, Comput. Methods Appl. Mech. Eng. 51 (1985) 177 for the mean dilatation; Yeoh, Rubber Chem.
Technol. 63 (1990) 792 (both recalled, not seen). ln J keeps every point from turning inside out: no energy is finite
there, and a line search cannot take such a step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad import shear_modulus

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

BULK_MPA = 2000.0  # rubber and polyurethane pads, as good as incompressible; G is 1 to 10 MPa

_CORNERS = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
_POINTS = _CORNERS / np.sqrt(3.0)


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

    def row(self) -> Array:
        """The numbers that the compiled element takes."""
        return np.array([self.c1, self.c2, self.c3, self.mean_stiffness])


def neo_hookean(shear_mpa: float, bulk_mpa: float = BULK_MPA) -> Rubber:
    """Rubber of shear modulus G and bulk modulus K [MPa], without the stiffening at large stretch."""
    return Rubber(c1=0.5 * shear_mpa, bulk=bulk_mpa)


def rubber_of(shore_a: float, own_shear_mpa: float | None = None, bulk_mpa: float = BULK_MPA) -> Rubber:
    """The pad's rubber: G [MPa] that the shop measured, where it did; else Gent's from the hardness [Shore A].

    `mechanics.pad.shear_modulus` says where Gent's relation holds (20 to 80). From 100 Shore A on it has no value: G is infinite, and
    `press_pad` refuses it.
    """
    return neo_hookean(float(shear_modulus(shore_a).shear_mpa) if own_shear_mpa is None else own_shear_mpa, bulk_mpa)


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
    """Of every element: energy (m,) [N], force (m, 8) [N/mm], stiffness (m, 8, 8) [MPa], order x0 y0 x1 y1 ...; mean stress
    (m,) [MPa], positive in tension, and the slope of the area (m, 8) [mm]."""

    energy: Array
    force: Array
    stiffness: Array
    mean: Array
    area_slope: Array


def quads_of(nodes: Array, quads: Ints) -> Quads:
    """The elements over nodes (n, 2), corners (m, 4) counter-clockwise."""
    corner = nodes[quads]
    local = 0.25 * _CORNERS[None] * (1.0 + (_CORNERS * _POINTS[:, None])[..., ::-1])  # (point, node, 2)
    turn = np.einsum("pna,mnj->mpja", local, corner)  # dX_j/dxi_a
    size = turn[..., 0, 0] * turn[..., 1, 1] - turn[..., 0, 1] * turn[..., 1, 0]
    slopes = np.einsum("pna,mpaj->mpnj", local, np.linalg.inv(turn))
    return Quads(nodes, quads, np.ascontiguousarray(slopes), np.ascontiguousarray(size), areas(corner))


def areas(corner: Array) -> Array:
    """Area of quadrilaterals (m, 4, 2)."""
    across, up = corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1]
    return np.asarray(0.5 * (across[:, 0] * up[:, 1] - across[:, 1] * up[:, 0]))


def energy(mesh: Quads, rubber: Rubber, at: Array) -> float:
    """Energy of the whole pad [N, per mm length] with the nodes at (n, 2); infinite where an element is turned inside out."""
    from ribwright.mechanics.pad_model.rubber_kernel import pad_energy

    return float(pad_energy(rubber.row(), mesh.quads, mesh.slopes, mesh.weights, mesh.area, np.ascontiguousarray(at)))


def respond(mesh: Quads, rubber: Rubber, at: Array, held: Array | None = None) -> Response:
    """Energy, forces (gradient of the energy) and stiffness (its second derivative) with the nodes at (n, 2).

    With `held` (m,) the stiffness takes these mean stresses for the elements' own: away from balance the volume's error
    times K is no stress that a step should believe in.
    """
    from ribwright.mechanics.pad_model.rubber_kernel import pad_response

    m = len(mesh.quads)
    out = Response(np.zeros(m), np.zeros((m, 8)), np.zeros((m, 8, 8)), np.zeros(m), np.zeros((m, 8)))
    pad_response(
        rubber.row(), mesh.quads, mesh.slopes, mesh.weights, mesh.area, np.ascontiguousarray(at),
        np.full(m, np.nan) if held is None else held, out.energy, out.force, out.stiffness, out.mean, out.area_slope,
    )  # fmt: skip
    return out


def stretches(mesh: Quads, at: Array) -> Array:
    """Largest principal stretch at the points of every element (m, 4) [-]; the other is J over it."""
    f = np.einsum("mpnj,mni->mpij", mesh.slopes, at[mesh.quads])
    i1 = (f**2).sum((-1, -2))
    j = f[..., 0, 0] * f[..., 1, 1] - f[..., 0, 1] * f[..., 1, 0]
    return np.sqrt(0.5 * (i1 + np.sqrt(np.maximum(i1**2 - 4.0 * j**2, 0.0))))


def corners(mesh: Quads, at: Array) -> Array:
    """J at the corners of every element (m, 4) [-]: what a corner spans now over what it spanned; under 0 it has gone through.

    The energy looks at four points inside, and at J of the whole: a corner may go through unseen.
    """
    return np.asarray(_spans(at[mesh.quads]) / _spans(mesh.nodes[mesh.quads]))


def _spans(corner: Array) -> Array:
    """Area (m, 4) between the two sides that meet at each corner of quadrilaterals (m, 4, 2)."""
    on, back = np.roll(corner, -1, axis=1) - corner, np.roll(corner, 1, axis=1) - corner
    return np.asarray(on[..., 0] * back[..., 1] - on[..., 1] * back[..., 0])
