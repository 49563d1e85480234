"""The flat blank of a formed sheet by balance in the formed shape: asked and answered.

One step from the flat blank to the formed part, so a strain path that turned back is not seen; a membrane, so bending enters through
the bend allowance alone. Web either held, or free to slide against friction.

    equations  `element`, `assemble`      anisotropy  `hill`      start  `start`      search  `newton`

Outcomes: answered; would-neck: found with the sheet's own thickness everywhere, but with the thinning that goes with it there is no
balance near by, as where a free edge is pulled past the strain at which it necks (Considere); did-not-converge; folded: a triangle has
no area, or is turned over in the flat where the search ended.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.inverse.hill import Anisotropy
from ribwright.mechanics.inverse.newton import RUNGS, Found, settle
from ribwright.mechanics.inverse.patches import Edges, Patches, edge_patches, edges_of, triangle_patches
from ribwright.mechanics.inverse.pattern import numbered, pattern_of
from ribwright.mechanics.inverse.start import relaxed
from ribwright.mechanics.inverse.strains import Strains, patch_strains, principal
from ribwright.mechanics.inverse.system import Drag, Sheet, System
from ribwright.mechanics.law_kernel import flow
from ribwright.mechanics.sheet_law import SheetLaw

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

ANSWERED, WOULD_NECK, STOPPED, FOLDED = "answered", "would-neck", "did-not-converge", "folded"
WORDS = {
    ANSWERED: "Every node is in balance.",
    WOULD_NECK: "Found with the sheet's own thickness; with the thinning that goes with it there is no balance near by: the sheet would "
    "neck before it has this shape.",
    STOPPED: "The search ended before every node was in balance; the flat places are where it ended.",
    FOLDED: "A triangle has no area or is turned over; the flat places are not a blank.",
}
EASING = 0.02  # mm of sliding over which friction comes up
POLISH_STEPS = 20
CORNER = 4.0  # thicknesses from a held corner: nearer by, the membrane's strain says nothing (see `held_corners`)
SMALL = 1e-9  # of the largest triangle: less is no area


@dataclass(frozen=True, eq=False)
class FormedSheet:
    """The formed mid-surface. nodes (N, 3) [mm]; unit normals (N, 3); triangles (T, 3), turning left about the normals; along (T, 3)
    meridian of a bend's triangles, zero elsewhere, and allowance (T,), its factor (see `frames`); held (N,): nodes of the web;
    start (N, 2): rough flat places [mm], of the web where it lies."""

    nodes: Array
    normals: Array
    triangles: Ints
    along: Array
    allowance: Array
    held: Mask
    start: Array


@dataclass(frozen=True)
class Blank:
    """The sheet to be cut: its law (flow curve of a test piece along the rolling direction), thickness [mm], anisotropy."""

    law: SheetLaw
    thickness: float
    anisotropy: Anisotropy

    def as_arrays(self) -> Sheet:
        """What the equations take."""
        return Sheet(self.law.row(), self.law.points(), self.anisotropy.stiffness(), self.thickness)


@dataclass(frozen=True)
class Friction:
    """Web free to slide: traction [MPa], pressure times friction over both faces; easing [mm], over which it comes up."""

    traction: float
    easing: float = EASING


@dataclass(frozen=True, eq=False)
class Flat:
    """The answer.

    outcome, words  what came of it, and that in a sentence
    places (N, 2)   flat [mm]
    strains         of every triangle
    counted (T,)    triangles whose strain may be read as a maximum: not near a held corner (`held_corners`)
    thinned         in balance with its own thinning, else with the sheet's thickness
    residual        largest force out of balance over yield times thickness times an edge [-]
    steps, factors, linear   what it took: Newton's steps, factorisations, linear steps
    """

    outcome: str
    words: str
    places: Array
    strains: Strains
    counted: Mask
    thinned: bool
    residual: float
    steps: int
    factors: int
    linear: int


def flat_of(
    formed: FormedSheet,
    blank: Blank,
    friction: Friction | None = None,
    *,
    thinning: bool = True,
    rungs: tuple[float, ...] = RUNGS,
) -> Flat:
    """The flat blank of a formed sheet; web held where `friction` is None.

    thinning: after the search with the sheet's own thickness one with the thinned one, t = t0 A_flat/A_formed, in at most 20 steps.
    rungs: eps_r of the search (`newton`), the last one the law's.
    """
    turned = np.radians(blank.anisotropy.rolling_deg)
    formed, sheet = _turned(formed, -turned), blank.as_arrays()
    pieces = _pieces(formed, free_web=friction is not None)
    if pieces is None:
        nothing = Found(formed.start, False, 0.0, 0, 0, 0, float("inf"))
        return _answer(formed, sheet, None, [nothing], FOLDED, turned)
    system = _system(formed, pieces, sheet, friction)
    near = float(np.sqrt(pieces.plain.area.mean())) / 2.0 if len(pieces.active) else 1.0
    start = relaxed(formed.start, pieces.plain, system.number)
    runs = [settle(system, start, rungs, 0.0, near)]
    outcome = ANSWERED if runs[0].settled else STOPPED
    if runs[0].settled and thinning:
        runs.append(settle(system, runs[0].x, rungs[-1:], 1.0, near, POLISH_STEPS))
        outcome = ANSWERED if runs[1].settled and _stands(runs[1].x, pieces.plain) else WOULD_NECK
    found = runs[-1] if outcome == ANSWERED else runs[0]
    if not found.least > 0.0 or not _stands(found.x, pieces.plain):
        outcome = FOLDED
    return _answer(formed, sheet, pieces, [found, *(r for r in runs if r is not found)], outcome, turned)


def held_corners(triangles: Ints, held: Mask) -> Mask:
    """(N,): nodes where the held web's edge meets a free edge of the flange.

    Strain grows there without end as triangles get smaller: a membrane has nothing else to turn that corner with. So no
    maximum is read, and the sheet's own thickness is kept, within four thicknesses of it or one ring of triangles; without that the
    corner would neck on any mesh fine enough.
    """
    edges = edges_of(triangles)
    bare = (edges.sides[:, 1] < 0) & ~held[triangles[edges.sides[:, 0]]].all(axis=1)
    ends = edges.ends[bare]
    one = ends[held[ends].sum(axis=1) == 1]
    corner = np.zeros(len(held), bool)
    corner[one[held[one]]] = True
    return corner


def near_corners(formed: FormedSheet, thickness: float) -> Mask:
    """(T,): triangles at a held corner or with their middle within four thicknesses of one."""
    f = formed
    corner = held_corners(f.triangles, f.held)
    near = corner[f.triangles].any(axis=1)
    middle = f.nodes[f.triangles].mean(axis=1)
    for at in f.nodes[corner]:
        near |= np.sum((middle - at) ** 2, axis=1) < (CORNER * thickness) ** 2
    return np.asarray(near)


def _turned(formed: FormedSheet, angle: float) -> FormedSheet:
    """Formed sheet and start turned together about z; not touched at angle 0."""
    if angle == 0.0:
        return formed
    c, s = np.cos(angle), np.sin(angle)
    r = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    f = formed
    return FormedSheet(f.nodes @ r, f.normals @ r, f.triangles, f.along @ r, f.allowance, f.held, f.start @ r[:2, :2])


@dataclass(frozen=True, eq=False)
class _Pieces:
    """The triangles that can strain (their numbers), by themselves, their edges, and joined at them."""

    active: Ints
    plain: Patches
    edges: Edges
    joined: Patches


def _pieces(formed: FormedSheet, free_web: bool) -> _Pieces | None:
    """None where a triangle has no area. A triangle with all its nodes held says nothing and is left out."""
    f = formed
    strains = np.ones(len(f.triangles), bool) if free_web else ~f.held[f.triangles].all(axis=1)
    active = np.flatnonzero(strains)
    triangles = f.triangles[active]
    plain = triangle_patches(f.nodes, f.normals, triangles, f.along[active], f.allowance[active])
    area = np.where(np.isfinite(plain.area), plain.area, 0.0)
    if not (area > SMALL * area.max(initial=0.0)).all():
        return None
    edges = edges_of(triangles)
    return _Pieces(active, plain, edges, edge_patches(f.nodes, f.normals, plain, edges))


def _system(formed: FormedSheet, pieces: _Pieces, sheet: Sheet, friction: Friction | None) -> System:
    f, p = formed, pieces
    number = numbered(p.plain.corners, f.held if friction is None else np.zeros_like(f.held))
    drag = None
    if friction is not None:
        web = f.held[p.plain.corners].all(axis=1)
        area = np.bincount(p.plain.corners[web].ravel(), np.repeat(p.plain.area[web] / 3.0, 3), minlength=len(f.nodes))
        drag = Drag(
            np.asarray(area * friction.traction, np.float64), friction.easing, np.ascontiguousarray(f.nodes[:, :2])
        )
    edge_pattern, plain_pattern = pattern_of(p.joined.corners, number), pattern_of(p.plain.corners, number)
    return System(p.joined, edge_pattern, p.plain, plain_pattern, sheet, drag, _thins(f, p, sheet))


def _thins(formed: FormedSheet, pieces: _Pieces, sheet: Sheet) -> Array:
    """(E,): 0 for edges with a triangle near a held corner, else 1."""
    near = near_corners(formed, sheet.thickness)[pieces.active]
    a, b = pieces.edges.sides.T
    return np.where(near[a] | ((b >= 0) & near[b]), 0.0, 1.0)


def _stands(x: Array, plain: Patches) -> bool:
    """No triangle is turned over at x."""
    return bool(np.isfinite(patch_strains(x, plain)).all())


def _answer(
    formed: FormedSheet, sheet: Sheet, pieces: _Pieces | None, runs: list[Found], outcome: str, turned: float
) -> Flat:
    """The first of the runs as it is given out, in the axes that were given."""
    found, count = runs[0], len(formed.triangles)
    h, edge = np.full((count, 3), np.nan), 1.0
    if pieces is not None:
        h[:] = 0.0
        h[pieces.active] = patch_strains(found.x, pieces.joined)[pieces.edges.of].mean(axis=1)
        edge = float(np.sqrt(pieces.plain.area.mean())) if len(pieces.active) else 1.0
    c, s = np.cos(turned), np.sin(turned)
    back = np.array([[c, s], [-s, c]])
    strains = principal(h, sheet)
    force = sheet.thickness * edge * float(flow(sheet.law, sheet.points, 0.002)[0])
    return Flat(
        outcome,
        WORDS[outcome],
        found.x if turned == 0.0 else found.x @ back,
        replace(strains, direction=strains.direction @ back),
        ~near_corners(formed, sheet.thickness),
        outcome == ANSWERED and len(runs) > 1,
        found.worst / force,
        sum(r.steps for r in runs),
        sum(r.factors for r in runs),
        sum(r.linear for r in runs),
    )
