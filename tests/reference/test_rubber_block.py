"""The pad's rubber elements beside FElupe, an independent finite-element program with elements of higher order.

FElupe: quadratic quadrilaterals with displacement, pressure and volume as separate fields, neo-Hookean with the change of volume
split off; ours: four nodes, one mean stress an element, G ln J. Same G 1 and K 2000 MPa, so the rubber is the same as far as its volume
stands still. The plates are not the pad of a press, and no measured pad is among them. The figures stand side by side in
docs/section_pad.md.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from ribwright.mechanics.pad_model.rubber import neo_hookean
from rubber_plates import driven, forces, plate

felupe = pytest.importorskip("felupe")
pytestmark = [pytest.mark.reference, pytest.mark.slow]

G, K, SIDE, STEPS = 1.0, 2000.0, 10.0, 15


def bonded(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Held values and how far they go: bottom and top bonded to plates, the middle x = 0 a plane of symmetry, pressed by a quarter."""
    end = (y == 0.0) | (y == SIDE)
    return np.column_stack([(x == 0.0) | end, end]), np.column_stack([0.0 * x, np.where(y == SIDE, -0.25 * SIDE, 0.0)])


def confined(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The same in a box without friction, its top made a wave of a fifth of the height and pressed down by 3 hundredths."""
    wave = -0.2 * SIDE * np.cos(np.pi * x / SIDE) - 0.03 * SIDE
    held = np.column_stack([(x == 0.0) | (x == SIDE), (y == 0.0) | (y == SIDE)])
    return held, np.column_stack([0.0 * x, np.where(y == SIDE, wave, 0.0)])


def seen(x: np.ndarray, y: np.ndarray, force: np.ndarray) -> list[float]:
    """Of the forces (n, 2) on the nodes: down on the top, the same weighed by the wave (how unevenly it stands), out on the side x = 10."""
    top, side = y == SIDE, x == SIDE
    return [
        -float(force[top, 1].sum()),
        -float(force[top, 1] @ np.cos(np.pi * x[top] / SIDE)),
        -float(force[side, 0].sum()),
    ]


def ours(case: Any, fine: int) -> np.ndarray:
    """(STEPS, 3) of what is seen, `fine` elements a side."""
    s = np.linspace(0.0, SIDE, fine + 1)
    mesh, rubber = plate(s, s), neo_hookean(G, K)
    x, y = mesh.nodes.T
    return np.array([seen(x, y, forces(mesh, rubber, at)) for at in driven(mesh, rubber, *case(x, y), STEPS)])


def theirs(case: Any, fine: int) -> np.ndarray:
    """The same by FElupe, `fine` quadratic elements a side."""
    mesh = felupe.Rectangle(a=(0, 0), b=(SIDE, SIDE), n=fine + 1).add_midpoints_edges().add_midpoints_faces()
    mesh.cell_type = "quad9"
    field = felupe.FieldsMixed(felupe.RegionBiQuadraticQuad(mesh), n=3, planestrain=True)
    solid = felupe.SolidBody(felupe.ThreeFieldVariation(felupe.NeoHooke(mu=G, bulk=K)), field)
    x, y = mesh.points.T
    held, move = case(x, y)
    dof0 = np.sort(field[0].indices.dof[held])
    dof1 = np.setdiff1d(np.arange(sum(f.values.size for f in field)), dof0)
    out = []
    for part in np.arange(1, STEPS + 1) / STEPS:
        ext0 = (part * move).ravel()[dof0]
        found = felupe.newtonraphson(items=[solid], dof0=dof0, dof1=dof1, ext0=ext0, tol=1e-9, maxiter=40, verbose=0)
        assert found.success
        force = solid.results.force.toarray().ravel()[: 2 * len(x)].reshape(-1, 2)
        out.append(seen(x, y, force))
    return np.array(out)


def test_a_confined_block_under_a_wave_pushes_as_another_program_says() -> None:
    """At 10 mm high it is pressed by 3 % of its volume as a wave of 2 mm goes in: thirds of the way and the end. Accepted miss: 0.3 %."""
    np.testing.assert_allclose(ours(confined, 40)[[4, 9, 14]], theirs(confined, 10)[[4, 9, 14]], rtol=3e-3, atol=0.01)


def test_a_bonded_block_pushes_as_another_program_says() -> None:
    """To a sixth of its height; further on the rubber at the plate's end folds and FElupe's own meshes part by 3 %. Accepted miss: 1 %."""
    np.testing.assert_allclose(ours(bonded, 40)[[4, 9], 0], theirs(bonded, 10)[[4, 9], 0], rtol=0.01)


def test_smaller_elements_come_nearer_to_the_other_program() -> None:
    other = theirs(confined, 10)[14]
    miss = [float(np.abs(ours(confined, n)[14] - other).max()) for n in (10, 20, 40)]
    assert miss[0] > 2.0 * miss[1] > 4.0 * miss[2]
