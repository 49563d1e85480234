"""The blank by balance in the formed shape: the part's mesh, its flat places, and what they say edge by edge and hole by hole.

The strain-corrected blank lays out corners, reliefs and stations, and is what the answer is held beside; the cut lines come from the flat
places of the mesh's boundary. The web is held, as on a block under pressure.

Flow curve: the sheet's as formed; where none is known a middling one (`develop.flow`), since its height drops out. Anisotropy: r0, r45, r90
along the part's grain where both are known, else the mean r in all directions. The mesh's diagonals turn by turns, which leaves a
zigzag of some hundredths of a millimetre on a curved free edge; it is taken out of the cut line (`geometry.zigzag`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.midsurface.values import FREE, HOLE, PLAIN, Cycle, FormedMesh
from ribwright.geometry.path import Path
from ribwright.geometry.through import through
from ribwright.geometry.zigzag import levelled
from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.inverse import model
from ribwright.mechanics.inverse.hill import Anisotropy
from ribwright.mechanics.sheet_law import SheetLaw, sheet_law
from ribwright.stages.blank import FIT, Blank, FlatLoop
from ribwright.stages.breaks import between, chained, sharp_nodes
from ribwright.stages.develop import flow
from ribwright.stages.finding import Finding
from ribwright.stages.formed_mesh import Meshed, mesh_part
from ribwright.stages.job import Job
from ribwright.stages.notch_mesh import drawn_through, parted_at_notches
from ribwright.stages.sheet_laws import law_of

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
NOTHING = np.zeros((0, 2))


@dataclass(frozen=True, eq=False)
class FreeEdge:
    """The free edge of one flanged edge or hole in the flat.

    kind, name   "edge" or "hole", as drawn
    flat         (m, 2) its cut edge [mm], material on the left
    formed       (m - 1,) its formed length between those points, chords of the mesh [mm]
    laid         (m - 1,) its length in the flat between them (`flat_lengths`) [mm]
    strain       (m - 1,) true strain along it between them, ln(formed/laid) [-]
    at           (n, 2) stations of the strain-corrected blank on its cut edge [mm]; none for a hole
    off          (n,) how far this blank lies outside that edge there, square to the bend tangent line [mm]; NaN beyond its ends
    """

    kind: str
    name: str
    flat: Array
    formed: Array
    laid: Array
    strain: Array
    at: Array
    off: Array


@dataclass(frozen=True, eq=False)
class InverseBlank:
    """What was meshed, what the flat places are (None: no mesh, and `meshed.findings` say why), `cut` (N, 2) the same with the
    zigzag taken out of free edges [mm], cut lines of every boundary, free edges, and findings."""

    meshed: Meshed
    flat: model.Flat | None
    cut: Array
    loops: tuple[FlatLoop, ...]
    edges: tuple[FreeEdge, ...]
    findings: tuple[Finding, ...]

    @property
    def answered(self) -> bool:
        """The flat places are a blank."""
        return self.flat is not None and self.flat.outcome in (model.ANSWERED, model.WOULD_NECK)


def inverse_blank(
    job: Job, blank: Blank, size: float | None = None, say: Callable[[str], None] | None = None
) -> InverseBlank:
    """The blank by balance; `blank` the strain-corrected one of the same job, `size` the mesh's elements [mm], `say` hears how far
    it is."""
    hear = say or (lambda _: None)
    hear("blank by balance: meshing the formed part")
    meshed = mesh_part(job, blank, size)
    if meshed.mesh is None:
        return InverseBlank(meshed, None, NOTHING, (), (), meshed.findings)
    m = meshed.mesh
    hear(f"blank by balance: searching, {len(m.triangles)} triangles")
    formed = model.FormedSheet(m.nodes, m.normals, m.triangles, m.along, m.allowance, m.held, m.start)
    flat = model.flat_of(formed, model.Blank(law_for(job), job.t, anisotropy_for(job)))
    if flat.outcome in (model.STOPPED, model.FOLDED):
        return InverseBlank(meshed, flat, NOTHING, (), (), (_not_found(flat),))
    sharp = sharp_nodes(blank, m)
    cut = _cut(m, flat, sharp)
    edges = tuple(e for c in m.loops for e in _free_edges(blank, meshed, m, flat.places, cut, sharp, c))
    findings = (_would_neck(flat),) if flat.outcome == model.WOULD_NECK else ()
    return InverseBlank(meshed, flat, cut, _loops(blank, meshed, m, cut, sharp), edges, findings)


def law_for(job: Job) -> SheetLaw:
    """The sheet's law; a middling curve where none is known."""
    known = law_of(job).law
    if known is not None:
        return known
    n, prestrain = flow(job)
    r = job.formed.r_bar() if job.formed else 1.0
    return sheet_law(70000.0, 0.33, Swift(300.0, n, max(prestrain, 1e-6)), r)


def anisotropy_for(job: Job) -> Anisotropy:
    """r in three directions along the grain where both are known, else the mean one."""
    if job.formed is None:
        return Anisotropy.normal(1.0)
    grain = job.part.sheet.grain
    r0, r45, r90 = (job.formed.number(k) for k in ("r0", "r45", "r90"))
    if grain is None or r0 is None or r45 is None or r90 is None:
        return Anisotropy.normal(job.formed.r_bar())
    return Anisotropy(r0, r45, r90, grain)


def stretches(c: Cycle, over_joins: bool = False) -> list[tuple[int, int, Ints]]:
    """(kind, place, nodes of both ends and between) of each stretch of a cycle; a cycle of one stretch comes back to its first node.
    over_joins: neighbouring edges of one kind are one stretch."""
    n = len(c.nodes)
    change = np.flatnonzero((c.kind != np.roll(c.kind, 1)) | ((c.place != np.roll(c.place, 1)) & (not over_joins)))
    if len(change) == 0:
        return [(int(c.kind[0]), int(c.place[0]), np.append(c.nodes, c.nodes[0]))]
    ends = np.append(change[1:], change[0] + n)
    return [
        (int(c.kind[a]), int(c.place[a]), c.nodes[np.arange(a, b + 1) % n]) for a, b in zip(change, ends, strict=True)
    ]


def _cut(m: FormedMesh, flat: model.Flat, sharp: Mask) -> Array:
    """Flat places (N, 2) [mm], free edges without their zigzag, which is taken out between their corners."""
    out = flat.places.copy()
    for c in m.loops:
        for kind, _, nodes in stretches(c, over_joins=True):
            for part in between(nodes, sharp) if kind == FREE else ():
                if part[0] == part[-1] and not sharp[part[0]]:
                    out[part[:-1]] = levelled(flat.places[part[:-1]], closed=True)
                else:
                    out[part] = levelled(flat.places[part], closed=False)
    return out


def smooth_lines(
    blank: Blank, m: FormedMesh, cut: Array, sharp: Mask, kind: int, place: int, nodes: Ints
) -> list[Array]:
    """The smooth lines of a stretch, cut at the corners of its flange and of its notches."""
    if kind == FREE:
        return [through(cut[part]) for part in between(nodes, sharp)]
    if kind == PLAIN:
        parts = parted_at_notches(blank, place, m.start, nodes)
        return [through(cut[nodes])] if len(parts) == 1 else [drawn_through(cut[part]) for part in parts]
    return [through(cut[nodes])]


def _loops(blank: Blank, meshed: Meshed, m: FormedMesh, cut: Array, sharp: Mask) -> tuple[FlatLoop, ...]:
    out = []
    for c in m.loops:
        pieces = stretches(c)
        parts = [line for kind, at, nodes in pieces for line in smooth_lines(blank, m, cut, sharp, kind, at, nodes)]
        vertices = [v for part in parts for v in lines_and_arcs(part, FIT)[:-1]]
        kind, place = meshed.places[pieces[0][1]] if pieces[0][0] in (FREE, HOLE) else ("edge", "")
        points = tuple((float(x), float(y)) for x, y in cut[c.nodes])
        out.append(FlatLoop(place if kind == "hole" else "", Path(tuple(vertices)), points))
    return tuple(out)


def flat_lengths(places: Array, cut: Array) -> Array:
    """Lengths (m - 1,) [mm] between nodes at flat places (m, 2), along the chords of the same line without zigzag, `cut` (m, 2).

    Where the columns of the mesh get closer, taking out the zigzag shifts nodes along the edge by up to 3 % of a column; the chords of
    `cut` alone would make strain of that."""
    chord = np.diff(cut, axis=0)
    return np.asarray(np.sum(np.diff(places, axis=0) * chord, axis=1) / np.linalg.norm(chord, axis=1))


def _free_edges(
    blank: Blank, meshed: Meshed, m: FormedMesh, places: Array, cut: Array, sharp: Mask, c: Cycle
) -> list[FreeEdge]:
    whole = [
        (cut[nodes], chained(through(cut[part]) for part in between(nodes, sharp)))
        for kind, _, nodes in stretches(c, over_joins=True)
        if kind == FREE
    ]
    out = []
    for kind, place, nodes in stretches(c):
        if kind != FREE:
            continue
        p = cut[nodes]
        formed = np.linalg.norm(np.diff(m.nodes[nodes], axis=0), axis=1)
        laid = flat_lengths(places[nodes], p)
        strain = np.log(formed / laid)
        what, name = meshed.places[place]
        at, off = np.zeros((0, 2)), np.zeros(0)
        if what == "edge":
            at, off = _beside(blank, name, *next(w for w in whole if (w[0] == p[1]).all(axis=1).any()))
        out.append(FreeEdge(what, name, p, formed, laid, strain, at, off))
    return out


def _beside(blank: Blank, name: str, whole: Array, line: Array) -> tuple[Array, Array]:
    """Where the stations' normals meet the line through the nodes of a whole free edge, neighbours that join smoothly with it, from
    the strain-corrected net edge outward. The line goes on straight for one chord of the nodes at both ends, where it has any."""
    p = line
    if (whole[0] != whole[-1]).any():
        p = np.concatenate([[2.0 * whole[0] - whole[1]], line, [2.0 * whole[-1] - whole[-2]]])
    s, i = blank.strip_of(name)
    mine = s.at.edge == i
    foot, n, width = s.at.tangent[mine], s.at.across[mine], s.strip.flat_width[mine]
    t = np.stack([-n[:, 1], n[:, 0]], axis=1)
    away = p[None] - foot[:, None]
    u, w = np.einsum("spd,sd->sp", away, t), np.einsum("spd,sd->sp", away, n)
    off = np.full(len(foot), np.nan)
    for k in range(len(foot)):
        over = np.flatnonzero((u[k, :-1] * u[k, 1:] <= 0.0) & (w[k, :-1] > 0.0))
        if len(over):
            j = over[np.argmin(np.abs(w[k, over] - width[k]))]
            span = u[k, j] - u[k, j + 1]
            share = u[k, j] / span if span != 0.0 else 0.0
            off[k] = w[k, j] + share * (w[k, j + 1] - w[k, j]) - width[k]
    return foot + width[:, None] * n, off


def _not_found(flat: model.Flat) -> Finding:
    return Finding(
        "inverse-not-found",
        "warn",
        f"The blank by balance was not found ({flat.outcome}). {flat.words}",
        "Cut by the strain-corrected blank and try one part, or ask a smaller mesh.",
        source="mechanics/inverse",
    )


def _would_neck(flat: model.Flat) -> Finding:
    largest = float(flat.strains.major[flat.counted].max()) if flat.counted.any() else 0.0
    return Finding(
        "inverse-would-neck",
        "warn",
        f"With its own thinning the sheet has no balance near this shape: it would neck. Largest strain {100 * largest:.0f} %.",
        "A lower flange, a larger contour radius or a softer temper; the blank stands for the sheet's own thickness.",
        source="mechanics/inverse",
    )
