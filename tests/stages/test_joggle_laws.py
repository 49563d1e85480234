"""Laws that a joggled part keeps like any other: blank, block, solid and mesh move with the part, and a joggle acts only near it."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree

from building import box, job_of
from joggled import JoggledPart, joggled_box
from ribwright.adapters.part_toml import parse_part
from ribwright.features.mirrored import mirrored
from ribwright.geometry.offset import mitred
from ribwright.mechanics.joggle import lengthening
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.block import Block, make_block
from ribwright.stages.flat_faults import flat_faults
from ribwright.stages.formed_faults import formed_faults
from ribwright.stages.formed_lines import formed_lines
from ribwright.stages.formed_mesh import mesh_part
from ribwright.stages.solid import CURVE_MM, Loft, block_body

SEEDS = range(6)
METHODS = ("handbook", "strain-corrected")
SOUTH = (True, False, False, False)


def ring(blank: Blank) -> np.ndarray:
    return np.array(blank.outline.points)


def apart(a: np.ndarray, b: np.ndarray) -> float:
    """Largest distance between two rings that have the same points in some order."""
    assert len(a) == len(b)
    d = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    return float(max(d.min(axis=0).max(), d.min(axis=1).max()))


def blank_of(text: str, method: str = "strain-corrected") -> Blank:
    return make_blank(job_of(text), method)


def block_of(text: str) -> Block:
    job = job_of(text)
    return make_block(job, make_blank(job))


def strained(blank: Blank) -> np.ndarray:
    """Place, flat width and edge strain, edge by edge by name, in rising along, so that the ways of travel compare."""
    rows = {}
    for s in blank.strips:
        for i in s.run.edges:
            mine = np.flatnonzero(s.at.edge == i)
            mine = mine[np.argsort(s.at.along[mine])]
            name = blank.laid[s.loop].edges[i].edge.name
            rows[name] = np.column_stack([s.at.along[mine], s.strip.flat_width[mine], s.strip.edge_strain[mine]])
    return np.concatenate([rows[name] for name in sorted(rows)])


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("method", METHODS)
def test_inches_a_turn_and_a_mirror_only_move_the_blank(seed: int, method: str) -> None:
    part, angle = JoggledPart(seed), radians(31.0 + seed)
    plain = blank_of(part.text(), method)
    c, s = cos(angle), sin(angle)
    assert apart(ring(plain), ring(blank_of(part.text(25.4, "in"), method))) < 1e-6
    assert apart(ring(plain) @ np.array([[c, s], [-s, c]]), ring(blank_of(part.text(turn=angle), method))) < 1e-6
    mirrored = blank_of(part.text(mirror=True), method)
    assert apart(ring(plain) * [-1, 1], ring(mirrored)) < 1e-6
    # the mirrored loop is read the other way round: places along an edge still count from its start as typed
    assert np.abs(strained(plain) - strained(mirrored)).max() < 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_the_flat_and_the_formed_shape_have_no_fault_that_the_part_without_joggles_has_not(seed: int) -> None:
    part = JoggledPart(seed)
    for text, least in ((part.plain(), 0), (part.text(), 0)):
        job = job_of(text)
        blank = make_blank(job)
        found = [*flat_faults(blank), *formed_faults(job, blank)]
        if text == part.plain() and found:
            return
        assert len(found) == least, [f.say for f in found]


@pytest.mark.parametrize("seed", [1, *(pytest.param(n, marks=pytest.mark.slow) for n in (4, 7, 8))])
def test_inches_a_turn_and_a_mirror_only_move_the_block(seed: int) -> None:
    part = JoggledPart(seed)
    same = [block_of(part.text(**how)) for how in ({}, {"turn": 0.7}, {"mirror": True}, {"scale": 25.4, "units": "in"})]
    assert [b.volume for b in same] == pytest.approx([same[0].volume] * 4, rel=1e-9)
    assert [b.face_area for b in same] == pytest.approx([same[0].face_area] * 4, rel=1e-9)
    assert all(b.closed_up for b in same)


@pytest.mark.parametrize("seed", range(3))
def test_the_area_of_a_level_is_that_of_fine_chords_through_its_walls(seed: int) -> None:
    block = block_of(JoggledPart(seed).text())
    for z in (0.0, 0.7, block.height):
        pieces, good = mitred([wall.line(z) for wall in block.walls.loops[0]], 2e-5)
        assert good
        x, y = np.concatenate(pieces).T
        area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)
        assert block.walls.area(z) == pytest.approx(area, rel=5e-7)


@pytest.mark.parametrize("seed", [3, pytest.param(0, marks=pytest.mark.slow)])
def test_every_level_of_the_solid_lies_on_the_exact_section(seed: int) -> None:
    job = job_of(JoggledPart(seed).text())
    block = make_block(job, make_blank(job))
    body = block_body(job, block)
    assert not body.why_not
    assert isinstance(body.outside, Loft)
    for level in range(0, len(body.outside.depths), 4):
        z = body.outside.depths[level]
        fine = []
        for span in block.walls.at(z)[0].spans:
            s = np.linspace(span.s0, span.s1, 8001)
            fine += [span.start[None], span.wall.line(z).point(s), span.end[None]]
        exact = shapely.LinearRing(np.concatenate(fine))
        off = shapely.distance(exact, shapely.points(body.outside.points(level, 5)))
        assert np.max(off) <= CURVE_MM + 2e-4


@pytest.mark.parametrize("seed", [1])
def test_inches_a_turn_and_a_mirror_only_move_the_mesh(seed: int) -> None:
    part = JoggledPart(seed)
    straight = mesh_part(one := job_of(part.text()), make_blank(one), 4.0).mesh
    assert straight is not None
    angle = radians(29 + seed)
    c, s = cos(angle), sin(angle)
    moved = {
        "inches": (part.text(25.4, "in"), np.eye(3)),
        "turned": (part.text(turn=angle), np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])),
        "mirrored": (part.text(mirror=True), np.diag([-1.0, 1.0, 1.0])),
    }
    for text, frame in moved.values():
        other = mesh_part(one := job_of(text), make_blank(one), 4.0).mesh
        assert other is not None
        assert len(other.triangles) == len(straight.triangles)
        away, k = cKDTree(other.nodes).query(straight.nodes @ frame)
        assert away.max() < 1e-5
        assert np.abs(other.normals[k] - straight.normals @ frame).max() < 1e-5


@pytest.mark.parametrize("method", METHODS)
def test_a_joggle_of_no_depth_is_none(method: str) -> None:
    plain = ring(blank_of(box(flanges=SOUTH), method))
    edge = shapely.LinearRing(plain)
    for depth in (1e-3, 1e-5):
        shallow = ring(blank_of(box(flanges=SOUTH, extra=joggled_box(depth=depth)), method))
        assert shapely.distance(edge, shapely.points(shallow)).max() < 1.05 * depth


def test_far_from_a_joggle_nothing_changes() -> None:
    """A flange depth away some of the step is left in the flat, eight away nothing; formed and block change only in the stretch."""
    plain, stepped = (blank_of(box(w=400.0, flanges=SOUTH, extra=x)) for x in ("", joggled_box(low=180.0, high=220.0)))
    edge = shapely.LinearRing(ring(plain))
    p = ring(stepped)
    far = (np.abs(p[:, 0] - 200.0) > 20.0 + 8 * 15.0) | (p[:, 1] > 0.0)
    assert shapely.distance(edge, shapely.points(p[far])).max() < 1e-4
    blocks = [block_of(box(w=400.0, flanges=SOUTH, extra=x)) for x in ("", joggled_box(low=180.0, high=220.0))]
    for one, two in ((blocks[0].outlines[0], blocks[1].outlines[0]), (blocks[0].feet[0], blocks[1].feet[0])):
        away = np.abs(two[:, 0] - 200.0) > 20.0 + 1.0
        assert shapely.distance(shapely.LinearRing(one), shapely.points(two[away])).max() < 1e-9


@pytest.mark.parametrize("method", METHODS)
def test_a_stretch_on_a_straight_edge_takes_its_depth_off_block_and_blank(method: str) -> None:
    """Areas by hand: depth times the stretch between the middles of its steps; of the flat the same, since the step only shears it. The
    web face's outline runs beside the stepped line at one distance c: there the longer line takes c times what it is longer."""
    depth, low, high, length = 0.8, 150.0, 230.0, 5.0
    texts = [box(w=400.0, flanges=SOUTH, extra=x) for x in ("", joggled_box("south", low, high, depth, length))]
    job = [job_of(t) for t in texts]
    blanks = [make_blank(j, method) for j in job]
    taken = depth * (high - low - length)
    # points of the computed cut edge: the true lines and arcs are fitted within 0.01 mm of it
    areas = [shapely.Polygon(ring(b)).area for b in blanks]
    assert areas[0] - areas[1] == pytest.approx(taken, rel=2e-3)
    blocks = [make_block(j, b) for j, b in zip(job, blanks, strict=True)]
    c = float(blocks[0].outlines[0][:, 1].min())
    longer = 2 * length * float(lengthening(depth, length))
    assert blocks[0].face_area - blocks[1].face_area == pytest.approx(
        taken + c * longer, rel=2e-4
    )  # chords of the outline


def test_the_formed_lines_step_in_by_the_depth_and_stand_square_to_the_step() -> None:
    job = job_of(box(w=400.0, flanges=SOUTH, extra=joggled_box(low=150.0, high=230.0)))
    lines = formed_lines(job, make_blank(job))
    outside = lines.outside[0][0]
    assert outside[:, 1].min() == pytest.approx(0.0, abs=1e-9)
    assert outside[:, 1].max() == pytest.approx(0.8, abs=1e-9)
    inside = shapely.LineString(dict(lines.inside)["south"])
    gaps = shapely.distance(inside, shapely.points(outside[(outside[:, 0] > 100) & (outside[:, 0] < 300)]))
    # inside mold line a sheet's thickness away all along a 90 deg flange, on the steps too
    assert gaps == pytest.approx(np.full(len(gaps), 1.0), abs=2e-3)


def test_a_stretch_that_runs_to_the_end_of_its_edge_has_no_step_there_and_the_corner_follows() -> None:
    plain, deep = (blank_of(box(extra=x)) for x in ("", joggled_box("south", 120.0, "end", 0.8, 5.0)))
    at = [next(j for j in b.joins[0] if (j.before, j.after) == ("south", "east")) for b in (plain, deep)]
    assert at[1].meeting == pytest.approx((at[0].meeting[0], at[0].meeting[1] + 0.8), abs=1e-9)
    strip, i = deep.strip_of("south")
    mine = strip.at.edge == i
    assert strip.at.depth[mine][-1] == pytest.approx(0.8)
    assert len(strip.at.steps) == 1


@pytest.mark.parametrize("share", [1.0, 0.9999, 0.5])
@pytest.mark.parametrize("mirror", [False, True])
def test_a_stretch_at_an_end_that_is_all_step_leaves_the_rest_of_its_edge_where_it_was(
    share: float, mirror: bool
) -> None:
    """10 mm from either end, all of it or nearly all of it or half of it step: the corner lies deeper, the middle does not."""
    sizes = []
    for low, high in (("start", 10.0), (190.0, "end")):
        job = job_of(box(w=200.0, flanges=SOUTH, extra=joggled_box("south", low, high, 1.0, 10.0 * share)))
        blank = make_blank(replace(job, part=mirrored(job.part)) if mirror else job)
        strip, i = blank.strip_of("south")
        mine = strip.at.edge == i
        along, depth = strip.at.along[mine], strip.at.depth[mine]
        deep_end = 0.0 if low == "start" else 200.0
        assert depth[np.abs(along - deep_end) < 1e-6] == pytest.approx(1.0)
        assert np.abs(depth[np.abs(along - deep_end) > 10.0 + 1e-6]).max() < 1e-9
        plain = make_blank(job_of(box(w=200.0, flanges=SOUTH)))
        assert blank.size == pytest.approx(plain.size, abs=0.02)
        sizes.append(blank.area)
    assert sizes[0] == pytest.approx(sizes[1], abs=1e-3)


def test_a_run_of_two_edges_is_stepped_across_its_join() -> None:
    """The same stretch on one edge, and on two that go on straight into each other, is the same part."""
    one = box(w=200.0, flanges=SOUTH, extra=joggled_box(low=60.0, high=140.0))
    half = 'name = "south"\nto = [100.0, 0.0]\nflange = "f"\n[[web.edge]]\nname = "south 2"\nto = [200.0, 0.0]\nflange = "f"\n'
    two = box(w=200.0, flanges=SOUTH).replace('name = "south"\nto = [200.0, 0.0]\nflange = "f"\n', half)
    two += joggled_box("south", 60.0, "end") + joggled_box("south 2", "start", 40.0)
    a, b = blank_of(one), blank_of(two)
    assert shapely.distance(shapely.LinearRing(ring(a)), shapely.points(ring(b))).max() < 2e-3
    assert shapely.Polygon(ring(a)).area == pytest.approx(shapely.Polygon(ring(b)).area, abs=0.02)
    assert block_of(one).face_area == pytest.approx(block_of(two).face_area, rel=1e-9)


def test_the_opposite_hand_of_a_pair_has_the_mirrored_step() -> None:
    job = job_of(JoggledPart(3).text())
    there, other = make_blank(job), make_blank(replace(job, part=mirrored(job.part)))
    assert apart(ring(there) * [-1, 1], ring(other)) < 1e-6
    assert np.abs(strained(there) - strained(other)).max() < 1e-6


def test_the_reader_turning_the_loop_leaves_the_step_where_it_was_typed() -> None:
    part = parse_part(JoggledPart(1).text(mirror=True))
    assert part.outer.turned
    blank = blank_of(JoggledPart(1).text(mirror=True))
    i, low, _, _, _ = JoggledPart(1).joggles[0]
    strip, k = blank.strip_of(f"e{i}")
    mine = strip.at.edge == k
    deep = strip.at.along[mine][strip.at.depth[mine] > 1e-9]
    want = 0.0 if isinstance(low, str) else float(low)
    assert deep.min() == pytest.approx(want, abs=6.0)


@pytest.mark.slow
def test_the_quick_flat_of_a_step_lies_within_a_tenth_of_a_millimetre_of_the_one_by_balance() -> None:
    from ribwright.stages.blank_inverse import inverse_blank

    job = job_of(
        box(w=160.0, h=60.0, flanges=SOUTH, t=0.8, radius=2.0, extra=joggled_box("south", 80.0, "end", 0.8, 5.0))
    )
    blank = make_blank(job)
    inverse = inverse_blank(job, blank, 1.5)
    assert inverse.answered
    edge = next(e for e in inverse.edges if e.name == "south")
    assert np.nanmax(np.abs(edge.off)) < 0.1
