"""The formed mid-surface as a mesh: laws over many parts, the exact area of a ring, and every part that has none with its reason."""

from __future__ import annotations

from functools import cache
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from building import EXAMPLES, HEAD, RandomPart, box, example_shop, job_of
from random_blocks import RandomBlock
from relieved_parts import RelievedPart
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import parse_part
from ribwright.errors import InputError
from ribwright.geometry.midsurface.values import BEND, END, FLANGE, FREE, HOLE, PLAIN, RELIEF, WEB, FormedMesh, NoMesh
from ribwright.stages.blank import make_blank
from ribwright.stages.develop import allowance
from ribwright.stages.formed_mesh import WORDS, Meshed, mesh_part, not_made, size_of
from ribwright.stages.job import Job, take_in

SIZE = 5.0  # coarse, so that many parts are tried
PARTS = [f"part {k}" for k in range(8)] + [f"block {k}" for k in (0, 1, 5, 8, 9, 10, 11)]
PARTS += [f"relieved {k}" for k in (0, 3, 26, 29, 37, 48)]  # 29: a circle that only just reaches past a bend
OVERLAPPING = [f"block {k}" for k in (2, 3, 4, 6, 7)]  # flanges at inner corners of cutouts, or at hollow kinks
EXAMPLE_PARTS = sorted(p.name for p in EXAMPLES.glob("*.part.toml"))


@cache
def job(name: str) -> Job:
    if name.endswith(".toml"):
        path = EXAMPLES / name
        part = parse_part(path.read_text(encoding="utf-8"), name, EXAMPLES)
        return take_in(part, example_shop(), load_catalogue(), name)
    kind, seed = name.split()
    return job_of({"part": RandomPart, "block": RandomBlock, "relieved": RelievedPart}[kind](int(seed)).text())


@cache
def meshed(name: str) -> Meshed:
    one = job(name)
    return mesh_part(one, make_blank(one), max(SIZE, size_of(one, make_blank(one))) if name.endswith("toml") else SIZE)


def mesh(name: str) -> FormedMesh:
    made = meshed(name)
    assert made.mesh is not None, made.findings
    return made.mesh


def edges(m: FormedMesh) -> np.ndarray:
    return np.concatenate([m.triangles[:, [0, 1]], m.triangles[:, [1, 2]], m.triangles[:, [2, 0]]])


def facets(m: FormedMesh) -> np.ndarray:
    a, b, c = (m.nodes[m.triangles[:, k]] for k in range(3))
    n = np.cross(b - a, c - a)
    return n / np.linalg.norm(n, axis=1, keepdims=True)


def ring_area(p: np.ndarray) -> float:
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]) / 2)


def one_piece(m: FormedMesh) -> bool:
    e = edges(m)
    n = len(m.nodes)
    return connected_components(coo_matrix((np.ones(len(e)), e.T), shape=(n, n)), directed=False)[0] == 1


@pytest.mark.parametrize("name", PARTS + EXAMPLE_PARTS)
def test_the_mesh_is_one_sheet_with_the_parts_openings(name: str) -> None:
    m, part = mesh(name), job(name).part
    e = edges(m)
    pairs, count = np.unique(np.sort(e, axis=1), axis=0, return_counts=True)
    assert len(np.unique(e, axis=0)) == len(e), "no edge is used twice the same way"
    assert len(m.nodes) - len(pairs) + len(m.triangles) == 1 - len(part.cutouts) - len(part.holes)
    assert one_piece(m)
    given = {(int(a), int(b)) for c in m.loops for a, b in zip(c.nodes, np.roll(c.nodes, -1), strict=True)}
    once = {tuple(x) for x in pairs[count == 1].tolist()}
    assert {(int(a), int(b)) for a, b in e if tuple(sorted((int(a), int(b)))) in once} == given
    assert len(m.loops) == 1 + len(part.cutouts) + len(part.holes)
    assert ring_area(m.start[m.loops[0].nodes]) > 0
    assert all(ring_area(m.start[c.nodes]) < 0 for c in m.loops[1:])


@pytest.mark.parametrize("name", PARTS + EXAMPLE_PARTS)
def test_no_triangle_is_turned_over_formed_or_flat(name: str) -> None:
    m = mesh(name)
    assert (m.flat_areas > 0).all()
    across = np.einsum("ij,ikj->ik", facets(m), m.normals[m.triangles])
    # three rows turn a square bend, 30 deg each; beside a large relief, at this size, a triangle may reach over more than a row: of 400
    # such parts the worst is 35.7 deg
    assert np.degrees(np.arccos(across.min())) < (36.0 if name.startswith("relieved") else 31.0)
    assert np.abs(np.linalg.norm(m.normals, axis=1) - 1).max() < 1e-12


@pytest.mark.parametrize("name", PARTS + EXAMPLE_PARTS)
def test_the_start_covers_the_blank(name: str) -> None:
    """The area of the flat triangles against the blank's own true lines and arcs, both by closed form where flanges are square."""
    one, m = job(name), mesh(name)
    blank = make_blank(one)
    square = all(v == 90.0 for f in one.part.flanges.values() for v in f.bend_angle.values)
    assert m.flat_areas.sum() == pytest.approx(blank.area, rel=1.5e-3 if square else 5e-3)


@pytest.mark.parametrize("name", PARTS + EXAMPLE_PARTS)
def test_nodes_are_shared(name: str) -> None:
    """No two nodes at one place as formed, but along the slits of flange ends without relief."""
    one, m = job(name), mesh(name)
    slit = any(j.kind.startswith("end") and j.relief == "none" for js in make_blank(one).joins for j in js)
    twins = cKDTree(m.nodes).query_pairs(1e-5)
    if slit:
        on_rim = {int(i) for c in m.loops for i, k in zip(c.nodes, c.kind, strict=True) if k in (END, RELIEF, PLAIN)}
        twins = {t for t in twins if not set(t) <= on_rim}
    assert not twins


@pytest.mark.parametrize("name", PARTS + EXAMPLE_PARTS)
def test_parts_and_places_fit_together(name: str) -> None:
    m, made = mesh(name), meshed(name)
    assert set(np.unique(m.part_of)) <= {WEB, BEND, FLANGE}
    assert ((m.place_of == -1) == (m.part_of == WEB)).all()
    assert m.place_of.max() < len(made.places)
    # the web lies in its plane but for the troughs of beads, and nothing else does
    sunk = m.held & (m.nodes[:, 2] != 0.0)
    assert (m.held | (m.nodes[:, 2] != 0.0)).all()
    beads = [shapely.LineString(b.points).buffer(b.width / 2 + 1e-6) for b in job(name).part.beads]
    assert sunk.any() == bool(beads)
    assert shapely.contains_xy(shapely.union_all(beads), m.nodes[sunk, 0], m.nodes[sunk, 1]).all()
    web = m.triangles[m.part_of == WEB]
    assert m.held[web].all()
    assert np.allclose(m.nodes[m.held][:, :2], m.start[m.held], atol=1e-9)
    bend = m.part_of == BEND
    assert np.allclose(np.linalg.norm(m.along[bend], axis=1), 1.0)
    assert (m.along[~bend] == 0).all()
    assert (m.allowance[~bend] == 1).all()
    assert np.abs(np.einsum("ij,ij->i", m.along, facets(m))).max() < 1e-9
    for c in m.loops:
        assert set(c.kind.tolist()) <= {FREE, END, RELIEF, PLAIN, HOLE}
    edge_names = [n for kind, n in made.places if kind == "edge"]
    for k, (loop_edges) in enumerate(loop.edges for loop in job(name).part.loops):
        flanged = {e.name for e in loop_edges if e.flange}
        free = {edge_names[p] for p, q in zip(m.loops[k].place, m.loops[k].kind, strict=True) if q == FREE}
        assert free == flanged


@pytest.mark.parametrize("seed", range(3))
def test_inches_a_turn_and_a_mirror_only_move_the_mesh(seed: int) -> None:
    part = RandomPart(seed)
    straight = mesh_part(one := job_of(part.text()), make_blank(one), SIZE).mesh
    assert straight is not None
    angle = radians(29 + seed)
    c, s = cos(angle), sin(angle)
    moved = {
        "inches": (part.text(25.4, "in"), np.eye(3)),
        "turned": (part.text(turn=angle), np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])),
        "mirrored": (part.text(mirror=True), np.diag([-1.0, 1.0, 1.0])),
    }
    for text, frame in moved.values():
        other = mesh_part(one := job_of(text), make_blank(one), SIZE).mesh
        assert other is not None
        assert len(other.nodes) == len(straight.nodes)
        assert len(other.triangles) == len(straight.triangles)
        away, k = cKDTree(other.nodes).query(straight.nodes @ frame)
        assert away.max() < 1e-5
        assert np.abs(other.normals[k] - straight.normals @ frame).max() < 1e-5
        # the grids of the flanges are cut the same way too
        strips = [
            {tuple(sorted(name[t])) for t in x.triangles[x.part_of == FLANGE].tolist()}
            for x, name in ((straight, k), (other, np.arange(len(other.nodes))))
        ]
        assert strips[0] == strips[1]


def ring(radius: float, hole: str = "", angle: float = 90, width: float = 14.0, bend: float = 3.0) -> str:
    """A disc with a flange all round."""
    text = HEAD.format(units="mm", material="2024-O", t=1.0, line="bend-tangent-line", start=[radius, 0.0])
    for name, to in (("a", -radius), ("b", radius)):
        through = [0.0, radius if to < 0 else -radius]
        text += f'[[web.edge]]\nname = "{name}"\nthrough = {through}\nto = [{to}, 0.0]\nflange = "f"\n'
    return text + f"[flange.f]\nwidth = {width}\nbend_angle = {angle}\nbend_radius = {bend}\n" + hole


HOLE_UP = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [0, 0]\ndiameter = 60\nflat_height = 17\nbend_angle = 60\n'
    'bend_radius = 11.5\nturn = "up"\n'
)


def swept(radius: float, sign: float, rm: float, angle: float, leg: float) -> float:
    """Area of a bend and its straight part swept round a circle [mm2]: Pappus on arc and line."""
    bend = 2 * pi * (radius * rm * angle + sign * rm * rm * (1 - cos(angle)))
    middle = radius + sign * (rm * sin(angle) + leg / 2 * cos(angle))
    return bend + 2 * pi * middle * leg


def test_the_area_of_a_ring_comes_in_with_the_square_of_the_size() -> None:
    """Bends so wide that the element size counts their rows; with three rows at least, a tight bend's own chords stay."""
    rm, leg = 12.0, 24 - 12.5 * tan(radians(40))
    one = job_of(ring(60.0, HOLE_UP, 80.0, 24.0, 11.5))
    blank = make_blank(one)
    straight = blank.holes[0].straight
    assert straight is not None
    exact = pi * (60**2 - 30**2) + swept(60, 1, rm, radians(80), leg) + swept(30, -1, rm, radians(60), straight)
    missed = []
    for size in (4.0, 2.0, 1.0):
        m = mesh_part(one, blank, size).mesh
        assert m is not None
        missed.append(abs(m.areas.sum() - exact) / exact)
        heights = m.nodes[:, 2]
        assert heights.min() == pytest.approx(-(rm * (1 - cos(radians(80))) + leg * sin(radians(80))))
        assert heights.max() == pytest.approx(rm * (1 - cos(radians(60))) + straight * sin(radians(60)))
    assert missed[0] < 4e-3
    # rows and columns are whole numbers, so the order is not clean
    assert np.log(missed[0] / missed[2]) / np.log(4) == pytest.approx(2.0, abs=0.25)


@pytest.mark.parametrize("angle", [60, 90, 97])
def test_the_triangles_of_a_bend_carry_its_allowance(angle: float) -> None:
    """On a straight bend each triangle's extent along its meridian times its factor is its share of the bend allowance by rule."""
    one = job_of(box(angle=angle, flanges=(True, False, False, False)))
    m = mesh_part(one, make_blank(one), 4.0).mesh
    assert m is not None
    bend = m.part_of == BEND
    reach = np.einsum("ijk,ik->ij", m.nodes[m.triangles[bend]], m.along[bend])
    rows = len(np.unique(np.round(m.nodes[m.triangles[bend]][:, :, 2], 6))) - 1
    wanted = float(allowance(one, 3.0, np.array([float(angle)]))[0]) / rows
    assert np.abs(np.ptp(reach, axis=1) * m.allowance[bend] / wanted - 1).max() < 1e-9


def test_a_slit_parts_the_web_from_the_end_of_a_bend() -> None:
    """A flange that ends in the middle of a straight contour, without relief: the web beside it keeps its drawn edge."""
    text = HEAD.format(units="mm", material="2024-O", t=1.0, line="outside-mold-line", start=[0, 0])
    for name, to, on in (
        ("a", [50, 0], True),
        ("b", [100, 0], False),
        ("c", [100, 60], False),
        ("d", [0, 60], False),
        ("e", [0, 0], False),
    ):
        text += f'[[web.edge]]\nname = "{name}"\nto = {to}\n' + ('flange = "f"\n' if on else "")
    text += "[flange.f]\nwidth = 15\nbend_angle = 90\nbend_radius = 3\n"
    m = mesh_part(one := job_of(text), make_blank(one), 2.0).mesh
    assert m is not None
    web = m.areas[m.part_of == WEB].sum()
    assert web == pytest.approx(50 * 56 + 50 * 60, rel=1e-9)
    lip = (np.abs(m.start[:, 0] - 50) < 1e-9) & (m.start[:, 1] > 0) & (m.start[:, 1] < 4 - 1e-9)
    assert lip[m.held].any(), "the web's lip of the slit"
    assert lip[~m.held].any(), "the bend's, at the same place in the flat"
    apart = m.triangles[np.isin(m.triangles, np.flatnonzero(lip & m.held)).any(axis=1)]
    assert m.held[apart].all(), "no triangle joins the two"
    relieved = text + '[[corner]]\nat = ["a", "b"]\nrelief = "hole"\ndiameter = 6\n'
    m = mesh_part(one := job_of(relieved), make_blank(one), 2.0).mesh
    assert m is not None
    disc = shapely.Point(50, 4).buffer(3.0).intersection(shapely.box(0, 4, 100, 60)).area
    wing = shapely.Point(50, 4).buffer(3.0).intersection(shapely.box(50, 0, 100, 4)).area
    assert m.areas[m.part_of == WEB].sum() == pytest.approx(50 * 56 + 50 * 60 - disc - wing, rel=2e-3)


def test_a_relief_is_cut_across_web_and_bends() -> None:
    """Flat area lost to a hole of 8 mm at a corner: the circle's share of the web and of both strips, by shapely."""
    corner = '[[corner]]\nat = ["south", "east"]\nrelief = "hole"\ndiameter = {d}\n'
    areas = []
    for d in (4.0, 12.0):
        one = job_of(box(flanges=(True, True, False, False), extra=corner.format(d=d)))
        m = mesh_part(one, make_blank(one), 1.5).mesh
        assert m is not None
        areas.append(m.flat_areas.sum())
        assert {WEB, BEND} <= set(
            m.part_of[np.isin(m.triangles, m.loops[0].nodes[m.loops[0].kind == RELIEF]).any(axis=1)]
        )
    # three quarters of each circle lie in sheet: the fourth is the notch between the two square ends
    assert areas[0] - areas[1] == pytest.approx(0.75 * pi * (6**2 - 2**2), rel=0.03)


def test_a_smaller_size_is_taken_where_the_part_is_small() -> None:
    wide, narrow = (job_of(box(width=w)) for w in (15.0, 5.5))
    assert size_of(wide, make_blank(wide)) == 2.0
    assert size_of(narrow, make_blank(narrow)) == pytest.approx((5.5 - 4.0) / 2)


# ---------------------------------------------------------------- parts that have no mesh


@pytest.mark.parametrize("name", OVERLAPPING)
def test_random_parts_that_claim_sheet_twice_are_refused(name: str) -> None:
    made = meshed(name)
    assert made.mesh is None
    assert {"flat-overlap", "formed-overlap"} <= {f.code for f in made.findings}
    # independently: the strips' areas against that of their union
    blank = make_blank(job(name))
    strips = [shapely.Polygon(np.concatenate([s.at.tangent, s.flat[::-1]])).buffer(0) for s in blank.strips]
    assert sum(p.area for p in strips) - shapely.union_all(strips).area > 0.05


def corners(
    text_points: list[tuple[float, float]], flanged: set[int], width: float, angle: float = 90, extra: str = ""
) -> str:
    """A polygon as a part file, its edges e0, e1, ..."""
    text = HEAD.format(units="mm", material="2024-O", t=1.0, line="outside-mold-line", start=list(text_points[0]))
    for k, p in enumerate([*text_points[1:], text_points[0]]):
        text += f'[[web.edge]]\nname = "e{k}"\nto = {list(p)}\n' + ('flange = "f"\n' if k in flanged else "")
    return text + f"[flange.f]\nwidth = {width}\nbend_angle = {angle}\nbend_radius = 3\n" + extra


ELL = [(0.0, 0.0), (120.0, 0.0), (120.0, 50.0), (60.0, 50.0), (60.0, 110.0), (0.0, 110.0)]
BARE = '[[corner]]\nat = ["e2", "e3"]\nrelief = "none"\n'
WIDE = '[[corner]]\nat = ["e2", "e3"]\nrelief = "notch"\ndiameter = 8\ngap = 44\n'


def refused(text: str) -> dict[str, object]:
    made = mesh_part(one := job_of(text), make_blank(one), 3.0)
    assert made.mesh is None
    assert all(f.severity == "stop" and len(f.say) > 30 and len(f.try_) > 10 and f.where for f in made.findings)
    return {f.code: f for f in made.findings}


@pytest.mark.parametrize("how", ["none", "by rule", "hole"])
def test_a_reentrant_corner_is_found_flat_and_formed(how: str) -> None:
    """Without relief both walls end at the drawn corner and only the flat overlaps; with a hole they run to the meeting of the
    tangent lines, past each other."""
    extra = {"none": BARE, "by rule": "", "hole": BARE.replace('"none"', '"hole"\ndiameter = 6')}[how]
    found = refused(corners(ELL, {2, 3}, 15, extra=extra))
    assert "flat-overlap" in found
    # flat, independently: the two strips' areas against that of their union
    blank = make_blank(job_of(corners(ELL, {2, 3}, 15, extra=extra)))
    strips = [shapely.Polygon(np.concatenate([s.at.tangent, s.flat[::-1]])) for s in blank.strips]
    assert sum(p.area for p in strips) - shapely.union_all(strips).area > 100
    # formed, independently: mid-surfaces stand 0.5 mm inside the mold lines x = 60 and y = 50
    ends = min(p[0] for p in blank.strips[0].at.tangent), min(p[1] for p in blank.strips[1].at.tangent)
    assert (ends[0] < 59.5 and ends[1] < 49.5) == ("formed-overlap" in found) == (how != "none")


def test_a_reentrant_corner_with_room_enough_is_meshed() -> None:
    clear = mesh_part(one := job_of(corners(ELL, {2, 3}, 15, extra=WIDE)), make_blank(one), 3.0)
    assert clear.mesh is not None


def test_flanges_that_lean_into_each_other_are_found_though_the_flat_is_clear() -> None:
    square = [(0.0, 0.0), (80.0, 0.0), (80.0, 60.0), (0.0, 60.0)]
    found = refused(corners(square, {0, 1}, 40, angle=115))
    assert "formed-overlap" in found
    assert "flat-overlap" not in found
    upright = mesh_part(one := job_of(corners(square, {0, 1}, 40)), make_blank(one), 4.0)
    assert upright.mesh is not None


def hollow(radius: float, angle: float, width: float) -> str:
    """A plate with a hollow arc of a half circle in its lower edge, flanged there."""
    text = HEAD.format(units="mm", material="2024-O", t=1.0, line="bend-tangent-line", start=[0, 0])
    rows = [("a", [60 - radius, 0], None), ("arc", [60 + radius, 0], [60, radius]), ("b", [120, 0], None), ("c", [120, 70], None),
            ("d", [0, 70], None), ("e", [0, 0], None)]  # fmt: skip
    for name, to, through in rows:
        text += f'[[web.edge]]\nname = "{name}"\nto = {to}\n' + (
            f'through = {through}\nflange = "f"\n' if through else ""
        )
    return text + f"[flange.f]\nwidth = {width}\nbend_angle = {angle}\nbend_radius = 3\n"


def test_a_contour_tighter_than_the_reach_is_refused_though_it_is_short() -> None:
    found = refused(hollow(8.0, 45, 14))
    reach = 3.5 * sin(radians(45)) + (14 - 4 * tan(radians(22.5))) * cos(radians(45))
    assert reach > 8.0, "independently: past the centre of the arc"
    assert {"flange-folds", "flange-closes"} & set(found)


def test_a_hole_whose_flat_would_close_is_refused() -> None:
    """A tangent circle of 32 mm, square, 8 mm high above the bend."""
    hole = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [0, 0]\ndiameter = 32\nflange_height = 12\nbend_angle = 90\nbend_radius = 3\n'
    assert "hole-flange-not-developed" in refused(ring(60.0, hole))
    r, rim, bend = 16.0, 16.0 - 3.5, np.linspace(0, pi / 2, 2001)
    for k in (0.4, 0.5):  # R-values of 0.7 and 1
        inside = np.trapezoid((r - 3.5 * np.sin(bend)) ** k, 3.5 * bend) + 8.0 * rim**k
        assert (1 + k) * inside > r ** (1 + k), "independently: the closed form's own condition"


def test_a_web_narrower_than_its_two_bends_is_refused() -> None:
    found = refused(box(h=7.0, flanges=(True, False, True, False)))
    assert found["line-crosses-itself"].where["edge"] in ("east", "west")  # type: ignore[attr-defined]
    wide = job_of(box(h=12.0, flanges=(True, False, True, False)))
    assert mesh_part(wide, make_blank(wide), 3.0).mesh is not None


def test_a_contour_tighter_than_the_bend_is_deep_is_refused() -> None:
    """Outside mold line round a nose of 3 mm: the bend tangent line would lie 4 mm inside it."""
    text = HEAD.format(units="mm", material="2024-O", t=1.0, line="outside-mold-line", start=[0, 0])
    text += '[[web.edge]]\nname = "low"\nto = [60, 0]\nflange = "f"\n'
    text += '[[web.edge]]\nname = "nose"\nthrough = [63, 3]\nto = [60, 6]\nflange = "f"\n'
    text += '[[web.edge]]\nname = "high"\nto = [0, 40]\nflange = "f"\n[[web.edge]]\nname = "back"\nto = [0, 0]\n'
    text += "[flange.f]\nwidth = 12\nbend_angle = 90\nbend_radius = 3\n"
    found = refused(text)
    assert found["line-crosses-itself"].where["edge"] == "nose"  # type: ignore[attr-defined]


def test_a_break_inside_a_flange_that_goes_all_the_way_round_is_refused() -> None:
    text = HEAD.format(units="mm", material="2024-O", t=1.0, line="bend-tangent-line", start=[0, 0])
    text += '[[web.edge]]\nname = "drop"\nspline = [[60, -30], [110, 0], [60, 30], [0, 0]]\nflange = "f"\n'
    found = refused(text + "[flange.f]\nwidth = 12\nbend_angle = 90\nbend_radius = 3\n")
    assert "tangent-break" in found


def test_a_web_loop_that_crosses_itself_is_refused_by_name_of_the_place() -> None:
    with pytest.raises(InputError) as told:
        job_of(corners([(0.0, 0.0), (80.0, 60.0), (80.0, 0.0), (0.0, 50.0)], set(), 15))
    assert "crosses or touches itself at (" in str(told.value)


def test_strips_of_a_cutout_that_meet_in_the_flat_are_refused() -> None:
    rows = [([60, 30], True), ([60, 50], False), ([40, 50], True), ([40, 30], False)]
    cutout = '[[cutout]]\nname = "C"\nstart = [40, 30]\nedge = [ {} ]\n'.format(
        ", ".join(
            f'{{ name = "c{k}", to = {to}' + (', flange = "f" }' if on else " }") for k, (to, on) in enumerate(rows)
        )
    )
    assert "flat-overlap" in refused(box(w=100, h=80, extra=cutout))


@pytest.mark.parametrize("relief", ["diameter = 110", "diameter = 4\nset_back = 9"])
def test_a_relief_that_swallows_an_edge_or_misses_the_corner_is_refused(relief: str) -> None:
    corner = f'[[corner]]\nat = ["south", "east"]\nrelief = "hole"\n{relief}\n'
    assert "blank-crosses-itself" in refused(box(flanges=(True, True, False, False), extra=corner))


def test_a_hole_in_a_bend_and_a_relief_in_a_hole_are_refused() -> None:
    """`check` stops both by name; asked alone, the mesh says that boundaries lie on each other."""
    in_bend = '[[hole]]\nname = "H"\nkind = "plain"\nat = [100, 5]\ndiameter = 6\n'
    at_relief = '[[hole]]\nname = "H"\nkind = "plain"\nat = [193, 7]\ndiameter = 4\n'
    for hole in (in_bend, at_relief):
        assert set(refused(box(extra=hole))) == {"mesh-not-made"}


def test_a_flange_that_runs_out_into_its_bend_is_refused() -> None:
    found = refused(box(width='[[0, 15], ["end", 3.5]]', flanges=(True, False, False, False)))  # type: ignore[arg-type]
    assert found["mesh-not-made"].where["places"] == ["south"]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("code", "size"),
    [
        ("hole-size-undetermined", "rim_diameter = 30\nbend_angle = 90"),
        ("hole-flange-too-short", "flat_height = 2\nbend_angle = 60"),
    ],
)
def test_a_hole_flange_without_a_size_of_its_own_is_refused(code: str, size: str) -> None:
    hole = f'[[hole]]\nname = "L"\nkind = "lightening"\nat = [0, 0]\ndiameter = 40\n{size}\nbend_radius = 3\n'
    assert code in refused(ring(60.0, hole))


def test_what_geometry_gives_up_on_is_said_in_words() -> None:
    places = (("edge", "low"), ("hole", "L1"))
    said = {why: not_made(NoMesh(why, (1.0, 2.0), (1,)), places) for why in WORDS}
    assert len({f.say for f in said.values()}) == len(WORDS)
    assert all(f.severity == "stop" and "L1" in f.say and "(1.0, 2.0)" in f.say and f.try_ for f in said.values())
