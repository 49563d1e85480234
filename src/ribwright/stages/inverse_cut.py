"""The blank by balance put in the place of the strain-corrected one: its cut lines, widths, edge strains and holes.

What was laid out stays: joins, stations, tangent lines. Where a station's normal meets the new cut edge its flat width is read there;
beyond the ends of a flange that leans, the nearest reading stands. A hole whose cut diameter or flat width was typed keeps it. Trim is
set over outside the net free edge, as in `blank`.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.fit import lines_and_arcs, missed
from ribwright.geometry.midsurface.values import END, FREE, RELIEF, Cycle, FormedMesh
from ribwright.geometry.path import Path
from ribwright.geometry.through import through
from ribwright.stages.blank import FIT, Blank, FlatLoop, RunStrip
from ribwright.stages.blank_inverse import FreeEdge, InverseBlank, inverse_blank, smooth_lines, stretches
from ribwright.stages.breaks import sharp_nodes
from ribwright.stages.corners import Join
from ribwright.stages.develop import INVERSE, hill_k
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.job import Job

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
ON_CIRCLE = 0.06  # mm from a relief's circle: nodes where it meets a flange's end or edge lie up to 0.05 beside it
TYPED = ("cut_diameter", "flat_height")


def by_balance(
    job: Job, blank: Blank, size: float | None = None, say: Callable[[str], None] | None = None
) -> tuple[Blank, InverseBlank]:
    """The strain-corrected `blank` with the answer of the inverse method, and that answer; as it was where that is none."""
    made = inverse_blank(job, blank, size, say)
    return put_in(job, blank, made), made


def put_in(job: Job, blank: Blank, made: InverseBlank) -> Blank:
    """The strain-corrected `blank` with an answer of the inverse method that was made of it; as it was where that is none."""
    mesh = made.meshed.mesh
    if not made.answered or mesh is None:
        return blank
    edges: dict[tuple[str, str], list[FreeEdge]] = {}
    for e in made.edges:
        edges.setdefault((e.kind, e.name), []).append(e)
    strips = tuple(_strip(job, blank, s, edges) for s in blank.strips)
    holes = tuple(_hole(job, h, *edges.get(("hole", h.hole.name), [None])[:1]) for h in blank.holes)
    loops = _loops(job, blank, made, mesh)
    return replace(blank, method=INVERSE, loops=loops, strips=strips, holes=holes)


def _strip(job: Job, blank: Blank, s: RunStrip, edges: dict[tuple[str, str], list[FreeEdge]]) -> RunStrip:
    """Widths and strains of a run read off its edges' free edges, each in pieces where notches interrupt it."""
    width, strain = s.strip.flat_width.copy(), s.strip.edge_strain.copy()
    for i in s.run.edges:
        pieces = edges.get(("edge", blank.laid[s.loop].edges[i].edge.name), [])
        mine = np.flatnonzero(s.at.edge == i)
        off = _read_off(s, mine, pieces)
        known = np.flatnonzero(np.isfinite(off))
        if not len(known):
            continue
        width[mine] += np.interp(np.arange(len(mine)), known, off[known])
        middle = np.concatenate([(e.flat[1:] + e.flat[:-1]) / 2.0 for e in pieces])
        near = np.linalg.norm(pieces[0].at[:, None] - middle[None], axis=2).argmin(axis=1)
        strain[mine] = np.where(s.at.cut[mine], 0.0, np.concatenate([e.strain for e in pieces])[near])
    thickness = job.t * np.exp(-(1.0 - hill_k(job)) * strain)
    flat = s.at.tangent + (width + job.part.trim)[:, None] * s.at.across
    strip = replace(s.strip, flat_width=width, edge_strain=strain, thickness=thickness)
    return replace(s, strip=strip, flat=flat)


def _read_off(s: RunStrip, mine: NDArray[np.int64], pieces: list[FreeEdge]) -> Array:
    """What the free edge lies outside the strain-corrected one at the stations of an edge, by the piece they are of; NaN: not known."""
    off = np.full(len(mine), np.nan)
    for e in pieces:
        off = np.where(np.isfinite(off), off, e.off)
    off[s.at.cut[mine]] = np.nan
    return off


def _hole(job: Job, h: FlatHole, e: FreeEdge | None) -> FlatHole:
    """A flanged hole cut as the free edge says, by its mean."""
    if e is None or h.tangent_diameter is None or (h.hole.given or ("cut_diameter", 0.0))[0] in TYPED:
        return h
    radius = np.linalg.norm(e.flat[:-1] - np.array(h.hole.at), axis=1)
    cut = 2.0 * float(radius.mean())
    # of a circle with that diameter, so that the row's numbers belong together
    strain = h.edge_strain if h.edge_strain is None else h.edge_strain + float(np.log(h.cut_diameter / cut))
    thickness = None if strain is None else job.t * float(np.exp(-(1.0 - hill_k(job)) * strain))
    return replace(
        h,
        cut_diameter=cut,
        flat_width=(h.tangent_diameter - cut) / 2.0,
        edge_strain=strain,
        edge_thickness=thickness,
        out_of_round=float(np.abs(radius - cut / 2.0).max()),
    )


def _loops(job: Job, blank: Blank, made: InverseBlank, m: FormedMesh) -> tuple[FlatLoop, ...]:
    """Outline and cutouts, in the order they were laid out; holes are no loops."""
    sharp = sharp_nodes(blank, m)
    places = _trimmed(job.part.trim, m, made.cut, sharp)
    found: dict[int, FlatLoop] = {}
    for c in m.loops:
        at = _loop_of(blank, int(c.place[0]))
        if at is None:
            continue
        lines = _lines(blank, at, m, places, sharp, c)
        pieces = [lines_and_arcs(line, FIT) for line in lines]
        fit = max(missed(line, piece) for line, piece in zip(lines, pieces, strict=True))
        path = Path(tuple(v for piece in pieces for v in piece[:-1]))
        found[at] = FlatLoop(blank.loops[at].name, path, tuple(path.chords(FIT)), fit)
    return tuple(found.get(k, loop) for k, loop in enumerate(blank.loops))


def _lines(blank: Blank, loop: int, m: FormedMesh, places: Array, sharp: Mask, c: Cycle) -> list[Array]:
    """The smooth lines of a boundary in order, each from where the one before it ends.

    Where a flange ends without relief the mesh is slit from the end's foot to the drawn corner; the blank is left joined there, as
    the strain-corrected one: whoever cuts makes no slit. A relief is its circle and the straight cuts beside it, each by itself. A free
    edge is cut at the corners that its width or angle makes.
    """
    rows = stretches(c)
    lines = [smooth_lines(blank, m, places, sharp, kind, at, nodes) for kind, at, nodes in rows]
    first = sum(len(x.edges) for x in blank.laid[:loop])
    for i, (kind, place, nodes) in enumerate(rows):
        if kind != RELIEF:
            continue
        join, before, after = blank.joins[loop][place - first], i - 1, (i + 1) % len(rows)
        if join.relief != "none":
            lines[i] = _relief(places[nodes], m.start[nodes], join)
        elif rows[before][0] == END:
            lines[before] = [_from_corner(lines[before][0][::-1], places[nodes[-1]])[::-1]]
            lines[i] = []
        else:
            lines[after] = [_from_corner(lines[after][0], places[nodes[0]])]
            lines[i] = []
    return [line for row in lines for line in row]


def _relief(p: Array, start: Array, join: Join) -> list[Array]:
    """The smooth lines of a relief's nodes (m, 2): its circle as it was laid out, and what is straight."""
    far = np.hypot(start[:, 0] - join.centre[0], start[:, 1] - join.centre[1])
    on = np.abs(far - join.diameter / 2.0) < ON_CIRCLE
    round_ = on[1:] & on[:-1]
    ends = [0, *(np.flatnonzero(round_[1:] != round_[:-1]) + 1).tolist(), len(p) - 1]
    return [through(p[a : b + 1]) if round_[a] else p[a : b + 1] for a, b in itertools.pairwise(ends)]


def _from_corner(end: Array, corner: Array) -> Array:
    """The cut end of a flange (m, 2), from its foot outward, from where it passes the drawn corner; that corner first."""
    way = corner - end[0]
    level = (end - end[0]) @ way / float(way @ way)
    past = np.flatnonzero(level > 1.0)
    if not len(past):
        return np.stack([corner, end[-1]])
    j = int(past[0])
    share = (1.0 - level[j - 1]) / (level[j] - level[j - 1])
    across = end[j - 1] + share * (end[j] - end[j - 1])
    return np.concatenate([[corner] if np.hypot(*(across - corner)) < 1e-6 else [corner, across], end[j:]])


def _loop_of(blank: Blank, place: int) -> int | None:
    """Which laid-out loop an edge of this number belongs to; None of a hole's."""
    for k, loop in enumerate(blank.laid):
        if place < len(loop.edges):
            return k
        place -= len(loop.edges)
    return None


def _trimmed(trim: float, m: FormedMesh, places: Array, sharp: Mask) -> Array:
    """Places (N, 2) with free edges set outward by the trim, square to them."""
    if trim == 0.0:
        return places
    out = places.copy()
    for c in m.loops:
        for kind, _, nodes in stretches(c):
            if kind == FREE:
                out[nodes] = places[nodes] + trim * _outward(places, nodes, sharp)
    return out


def _outward(places: Array, nodes: NDArray[np.int64], sharp: Mask) -> Array:
    """Unit normals (k, 2) of a stretch, material on its left; at a corner the way to where the two edges set over by 1 meet."""
    p = places[nodes]
    along = np.gradient(p, axis=0)
    if nodes[0] == nodes[-1]:
        along[0] = along[-1] = p[1] - p[-2]
    n = np.stack([along[:, 1], -along[:, 0]], axis=1)
    n /= np.linalg.norm(n, axis=1)[:, None]
    for j in np.flatnonzero(sharp[nodes[1:-1]]) + 1:
        chord = np.diff(p[j - 1 : j + 2], axis=0)
        a, b = np.stack([chord[:, 1], -chord[:, 0]], axis=1) / np.linalg.norm(chord, axis=1)[:, None]
        n[j] = (a + b) / (1.0 + a @ b)
    return np.asarray(n)
