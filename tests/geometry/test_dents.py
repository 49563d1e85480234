"""Dents of a formed mesh: beads in the web, flutes in a flange, against exact areas and lengths."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import box, job_of
from ribwright.geometry.groove_profile import GrooveProfile, groove_profile
from ribwright.geometry.grooved_path import turns
from ribwright.geometry.midsurface.build import mesh_of
from ribwright.geometry.midsurface.dents import Dent, fine_at, flute_dent
from ribwright.geometry.midsurface.plans import Anchor, LoopPlan
from ribwright.geometry.midsurface.values import FREE, WEB, FormedMesh
from ribwright.stages.blank import make_blank
from ribwright.stages.formed_mesh import _loop

STRAIGHT, BENT = [[60, 40], [140, 40]], [[60, 40], [90, 35], [120, 60], [150, 60]]
PLACE = 0  # the first edge


def plan(size: float) -> LoopPlan:
    job = job_of(box())
    return _loop(job, make_blank(job), 0, 0, size)


def meshed(loop: LoopPlan, size: float, *dents: Dent) -> FormedMesh:
    made = mesh_of((loop,), (), Anchor((100.0, 50.0), 0.0), size, dents)
    assert isinstance(made, FormedMesh)
    return made


def bead(path: list[list[float]]) -> Dent:
    profile = groove_profile(12, 3, 2.5)
    assert profile is not None
    return Dent(np.array(path, float), profile, np.ones(len(path)), -1.0)


def stretched_area(path: np.ndarray, p: GrooveProfile) -> float:
    """Area that the dent has more than the flat below it: its length less its width along the path, and turned about its ends and
    bends by Pappus."""
    fine = p.line(1e-4)
    more = np.hypot(*np.diff(fine, axis=0).T) - np.abs(np.diff(fine[:, 0]))
    first = float(np.sum((fine[1:, 0] + fine[:-1, 0]) / 2 * more))
    a = np.abs(turns(path))
    long = np.sum(np.linalg.norm(np.diff(path, axis=0), axis=1))
    return float((p.length - p.width) * long + first * (2 * np.pi + np.sum(a - 2 * np.tan(a / 2))))


def free_edge(m: FormedMesh) -> float:
    c = m.loops[0]
    sides = np.linalg.norm(m.nodes[np.roll(c.nodes, -1)] - m.nodes[c.nodes], axis=1)
    return float(sides[(c.kind == FREE) & (c.place == PLACE)].sum())


def sound(m: FormedMesh) -> None:
    """One closed boundary, no side used twice the same way, no triangle turned over in the flat or folded in the shape."""
    sides = np.concatenate([m.triangles[:, [0, 1]], m.triangles[:, [1, 2]], m.triangles[:, [2, 0]]])
    there = {(int(a), int(b)) for a, b in sides}
    assert len(there) == len(sides)
    bare = {s for s in there if s[::-1] not in there}
    assert bare == {(int(a), int(b)) for c in m.loops for a, b in zip(c.nodes, np.roll(c.nodes, -1), strict=True)}
    assert m.flat_areas.min() > 0.01
    p = m.nodes[m.triangles]
    n = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    n /= np.linalg.norm(n, axis=1, keepdims=True)
    assert min(np.sum(n * m.normals[m.triangles[:, k]], axis=1).min() for k in range(3)) > 0.75


@pytest.mark.parametrize("path", [STRAIGHT, BENT])
def test_a_bead_stretches_the_web_by_its_exact_area(path: list[list[float]]) -> None:
    """2 % of what it grows by: chords of 0.2 rad."""
    d, loop = bead(path), plan(4.0)
    plain, m = meshed(loop, 4.0), meshed(loop, 4.0, d)
    sound(m)
    web, before = (float(x.areas[x.part_of == WEB].sum()) for x in (m, plain))
    assert web - before == pytest.approx(stretched_area(d.path, d.profile), rel=0.02)
    assert m.nodes[:, 2].min() <= -3.0 + 1e-9
    # the flat is the same place for place, and the flanges do not know of it
    assert m.flat_areas.sum() == pytest.approx(plain.flat_areas.sum(), rel=1e-9)
    assert m.areas[m.part_of != WEB].sum() == pytest.approx(plain.areas[plain.part_of != WEB].sum(), rel=1e-9)


def test_a_bead_seen_in_a_mirror_is_meshed_the_same() -> None:
    """Nodes at mirrored places: the box is alike on both sides of x = 100."""
    loop = plan(4.0)
    mirrored = [[200 - x, y] for x, y in BENT]
    one, other = meshed(loop, 4.0, bead(BENT)), meshed(loop, 4.0, bead(mirrored))
    ours = bead(BENT).nodes(4.0) * [-1, 1] + [200, 0]
    theirs = bead(mirrored).nodes(4.0)
    assert np.array(sorted(ours.round(5).tolist())) == pytest.approx(
        np.array(sorted(theirs.round(5).tolist())), abs=2e-5
    )
    assert one.areas.sum() == pytest.approx(other.areas.sum(), rel=1e-6)


def test_a_flute_makes_the_free_edge_longer_by_its_gather_and_leaves_bend_and_flat_alone() -> None:
    loop, s, width = plan(2.0), 100.0, 10.0
    edge = loop.edges[0]
    assert edge.side is not None
    side = replace(edge.side, breaks=(s,), fine=(fine_at(s, width),))
    d = flute_dent(side, s, width, 2.0)
    assert d is not None
    loop = LoopPlan((replace(edge, side=side), *loop.edges[1:]), loop.joins)
    plain, m = meshed(loop, 2.0), meshed(loop, 2.0, d)
    sound(m)
    # a round section 10 wide, 2 deep: radius (100 + 16)/16 = 7.25, arc 2 R asin(w/2R)
    gather = 2 * 7.25 * np.arcsin(5 / 7.25) - 10
    assert free_edge(m) - free_edge(plain) == pytest.approx(gather, rel=0.05)
    assert np.array_equal(m.start, plain.start)
    bend = m.triangles[m.part_of == 1]
    assert m.nodes[bend] == pytest.approx(plain.nodes[bend], abs=1e-9)
    # pressed inward: the flange hangs below the web along y = 0, the part lies at y > 0
    assert (m.nodes[:, 1] - plain.nodes[:, 1]).max() == pytest.approx(2.0, rel=0.02)
