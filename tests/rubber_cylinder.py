"""A quarter of a rubber cylinder that a plate crushes, as a press section without a sheet: for runs known from print."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.pad_model.mesh import PadMesh
from ribwright.mechanics.pad_model.newton import settle
from ribwright.mechanics.pad_model.profile import chain
from ribwright.mechanics.pad_model.rubber import Rubber, areas, quads_of
from ribwright.mechanics.pad_model.sheet import PressedStrip, laid_flat
from ribwright.mechanics.pad_model.system import System, system_of
from ribwright.mechanics.section.model import Flange, strip_of
from ribwright.mechanics.sheet_law import sheet_law

Array = NDArray[np.float64]


def far_away() -> PressedStrip:
    """A sheet that the rubber never meets: a press section always has one."""
    law = sheet_law(70000.0, 0.3, Swift(330.0, 0.2, 6.5e-4))
    return laid_flat(strip_of(Flange(law, 1.0, 3.0, 90.0, 12.0)), np.array([1e4, 1e4]))


def quarter(radius: float, fine: int) -> PadMesh:
    """The quarter x > 0, y < 0 of a disc about the origin: a block of `fine` by `fine` elements and two that go out to the rim."""
    s = np.linspace(0.0, 1.0, fine + 1)
    a, b = 0.55 * radius, 0.43 * radius
    u, v = (w[..., None] for w in np.meshgrid(s, s, indexing="ij"))
    corners = [np.array(c) for c in ((0.0, 0.0), (a, 0.0), (b, -b), (0.0, -a))]
    inner = (1 - u) * (1 - v) * corners[0] + u * (1 - v) * corners[1] + u * v * corners[2] + (1 - u) * v * corners[3]
    blocks = [inner]
    for side, turn in ((inner[-1], -0.25 * np.pi * s), (inner[:, -1], -0.5 * np.pi + 0.25 * np.pi * s)):
        rim = radius * np.column_stack([np.cos(turn), np.sin(turn)])
        blocks.append(side[:, None] * (1 - s)[:, None] + rim[:, None] * s[:, None])
    quads = []
    for block in blocks:
        four = np.stack([block[:-1, :-1], block[1:, :-1], block[1:, 1:], block[:-1, 1:]], -2).reshape(-1, 4, 2)
        four[areas(four) < 0.0] = four[areas(four) < 0.0][:, ::-1]
        quads.append(four)
    places = np.concatenate(quads).reshape(-1, 2)
    nodes, number = np.unique(np.round(places, 9) + 0.0, axis=0, return_inverse=True)
    on_rim = np.flatnonzero(np.hypot(*nodes.T) > radius * (1.0 - 1e-6))
    on_rim = on_rim[np.argsort(nodes[on_rim, 0])]
    edges = np.stack([on_rim[:-1], on_rim[1:]], 1)
    at_top, in_middle = (np.flatnonzero(np.abs(nodes[:, i]) < 1e-9) for i in (1, 0))
    return PadMesh(quads_of(nodes, number.reshape(-1, 4)), edges, at_top, in_middle)


@dataclass(frozen=True, eq=False)
class Crush:
    """A whole cylinder between two plates, for 1 mm of its length: closure [mm], force [N], energy [N mm], width of contact [mm], area
    over the unstrained one, at every step; `steps` of Newton's method in all."""

    closure: Array
    force: Array
    energy: Array
    width: Array
    area: Array
    steps: int


def crush(radius: float, rubber: Rubber, closure: float, steps: int, fine: int, wall: float) -> Crush:
    """Between frictionless plates, soft by `wall` [MPa/mm]; by symmetry a quarter is moved half the closure onto one plate."""
    mesh = quarter(radius, fine)
    plate = chain([[-10.0 * radius, -radius], [10.0 * radius, -radius]], [])
    system: System = system_of(mesh, rubber, plate, far_away(), radius)
    x, rows, count = np.zeros(system.size), [], 0
    for part in np.arange(1, steps + 1) / steps:
        to = system.drawn(0.5 * closure * part, wall)
        found = settle(to, x, 1e-5 * rubber.shear * radius, *to.measures(), 200)
        assert found.settled
        x, count = found.x, count + found.steps
        at = to.tangent(x)
        at_rim = to.rubber_at(x)[mesh.edges]
        on = (at.touch.on_tools.reshape(len(mesh.edges), -1) > 0.0).mean(1)
        area = areas(to.rubber_at(x)[mesh.quads.quads]).sum() / mesh.quads.area.sum()
        width = (on * np.hypot(*(at_rim[:, 1] - at_rim[:, 0]).T)).sum()
        rows.append((-2.0 * x[to.ram], 2.0 * to.ram_pressure(x) * radius, 4.0 * at.energy, 2.0 * width, area))
    return Crush(*np.array(rows).T, steps=count)
