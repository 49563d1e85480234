"""Plates of rubber elements with held nodes and pushed edges, for tests of the element against answers known on paper."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.linalg import spsolve

from ribwright.mechanics.pad_model.rubber import Quads, Rubber, quads_of, respond

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


def plate(across: Array, up: Array, place: Callable[[Array, Array], Array] | None = None) -> Quads:
    """Elements between the ordinates `across` (nx,) and `up` (ny,); `place` moves the nodes, (x, y) to (n, 2)."""
    x, y = (v.ravel() for v in np.meshgrid(across, up))
    nodes = np.column_stack([x, y]) if place is None else place(x, y)
    n = len(across)
    first = (np.arange(len(up) - 1)[:, None] * n + np.arange(n - 1)).ravel()
    return quads_of(nodes, np.column_stack([first, first + 1, first + 1 + n, first + n]))


def crooked(mesh: Quads, share: float, seed: int = 4) -> Quads:
    """The plate, a rectangle, with its inner nodes moved by up to `share` of the smallest element's side."""
    x = mesh.nodes.copy()
    inside = ((x > x.min(0)) & (x < x.max(0))).all(1)
    side = np.sqrt(mesh.area.min())
    x[inside] += share * side * np.random.default_rng(seed).uniform(-1.0, 1.0, (int(inside.sum()), 2))
    return quads_of(x, mesh.quads)


def forces(mesh: Quads, rubber: Rubber, at: Array) -> Array:
    """Forces that hold the nodes where they are, (n, 2) [N/mm]."""
    out = np.zeros(mesh.nodes.size)
    np.add.at(out, _ids(mesh), respond(mesh, rubber, at).force)
    return out.reshape(-1, 2)


def stiffness(mesh: Quads, rubber: Rubber, at: Array, mean: Array | None = None) -> csc_matrix:
    """Of the whole plate (2 n, 2 n); `mean` (m,): the mean stresses of its elements that it takes for their own."""
    ids = _ids(mesh)
    rows, cols = np.repeat(ids, 8, axis=1).ravel(), np.tile(ids, (1, 8)).ravel()
    k = respond(mesh, rubber, at, mean).stiffness
    return coo_matrix((k.ravel(), (rows, cols)), shape=(mesh.nodes.size, mesh.nodes.size)).tocsc()


def moved_a_little(mesh: Quads, rubber: Rubber, held: Flags, move: Array) -> tuple[Array, Array]:
    """Small displacements (n, 2) where `held` (n, 2) values are moved by `move` (n, 2), and the forces that do it."""
    k, u, free = stiffness(mesh, rubber, mesh.nodes), np.where(held, move, 0.0).ravel(), ~held.ravel()
    u[free] = spsolve(k[free][:, free], -(k @ u)[free])
    return u.reshape(-1, 2), (k @ u).reshape(-1, 2)


def balanced(mesh: Quads, rubber: Rubber, at: Array, held: Flags, load: Array) -> Array:
    """Where the nodes come to rest, from `at` (n, 2), with `held` values kept and dead forces `load` (n, 2), by Newton's method."""
    at, free = at.copy(), ~held.ravel()
    for _ in range(40):
        out = (load - forces(mesh, rubber, at)).ravel()[free]
        k = stiffness(mesh, rubber, at)[free][:, free]
        move = np.zeros(at.size)
        move[free] = spsolve(k, out)
        at += move.reshape(-1, 2)
        if np.abs(move).max() < 1e-11 * np.abs(mesh.nodes).max():
            return at
    raise AssertionError("no balance found")


def driven(mesh: Quads, rubber: Rubber, held: Flags, move: Array, steps: int) -> list[Array]:
    """Places of the nodes (n, 2) as `held` values go by `move` (n, 2) in even steps, each in balance.

    Newton's method with the mean stress of every element carried along, as the pad's own search does: the stiffness of a volume that is
    wrong for a moment is not believed.
    """
    at, mean, free = mesh.nodes.copy(), np.zeros(len(mesh.quads)), ~held.ravel()
    ids, out = _ids(mesh), []
    for _ in range(steps):
        part = np.where(held, move / steps, 0.0).ravel()
        for _ in range(40):
            r, k = respond(mesh, rubber, at, mean), stiffness(mesh, rubber, at, mean)
            u, force = part.copy(), forces(mesh, rubber, at).ravel()
            u[free] = spsolve(k[free][:, free], -(force + k @ part)[free])
            mean = r.mean + rubber.mean_stiffness / mesh.area * (r.area_slope * u[ids]).sum(1)
            at, part = at + u.reshape(-1, 2), np.zeros_like(u)
            if np.abs(u).max() < 1e-10 * np.abs(mesh.nodes).max():
                break
        else:
            raise AssertionError("no balance found")
        out.append(at)
    return out


def spread(points: Array, traction: Array) -> Array:
    """Forces on points (n, 2) in order along an edge under an even traction (2,) on each mm of it."""
    half = 0.5 * np.hypot(*np.diff(points, axis=0).T)
    return np.outer(np.append(half, 0.0) + np.append(0.0, half), traction)


def _ids(mesh: Quads) -> NDArray[np.int64]:
    return (2 * mesh.quads[:, :, None] + np.arange(2)).reshape(-1, 8)
