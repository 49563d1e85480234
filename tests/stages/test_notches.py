"""Notches in the blank: what they take off it, where, and what is wrong with those that cannot be."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

import numpy as np
import pytest
import shapely

from building import box, job_of
from notched import NotchedPart
from ribwright.stages.answers import blank_answer
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.flat_faults import flat_faults
from ribwright.stages.formed_lines import formed_lines
from ribwright.stages.formed_mesh import mesh_part
from ribwright.stages.gather import gather_of
from ribwright.stages.plan import make_plan

SEEDS = range(8)
METHODS = ("handbook", "strain-corrected")


def notch(
    edge: str = "south", at: str = "50 %", width: float = 20, depth: float = 12, radius: float = 3, gap: float = 2
) -> str:
    return (
        f'[[notch]]\nedge = "{edge}"\nat = "{at}"\nwidth = {width}\ndepth = {depth}\ncorner_radius = {radius}\n'
        f"flange_gap = {gap}\n"
    )


def ring(blank: Blank) -> shapely.Polygon:
    return shapely.Polygon(blank.outline.points)


def same(a: Blank, b: Blank, move: np.ndarray, within: float = 2e-3) -> bool:
    """The cut line of `a`, moved, is that of `b`: no point of one is further off the other."""
    moved = shapely.Polygon(shapely.get_coordinates(ring(a).exterior) @ move)
    return shapely.hausdorff_distance(moved.exterior, ring(b).exterior) < within


def codes(text: str) -> list[str]:
    return [f.code for f in flat_faults(make_blank(job_of(text)))]


def test_a_notch_in_a_straight_flange_takes_the_flange_over_its_width_and_both_gaps_and_the_web_under_it() -> None:
    plain, cut = make_blank(job_of(box())), make_blank(job_of(box(extra=notch())))
    strip = plain.strip_of("south")[0]
    width, inset = float(strip.strip.flat_width[0]), float(strip.at.inset[0])
    corners = (4 - pi) * 3.0**2 / 2  # what two round corners leave of a sharp floor
    assert plain.area - cut.area == pytest.approx(24 * width + 20 * (12 - inset) - corners, abs=1e-6)


def test_a_notch_in_a_plain_edge_takes_its_own_area_and_knows_no_flange_gap() -> None:
    sides = (True, True, True, False)
    plain, cut = (make_blank(job_of(box(flanges=sides, extra=x))) for x in ("", notch("west")))
    assert plain.area - cut.area == pytest.approx(20 * 12 - (4 - pi) * 4.5, abs=1e-6)


def test_its_corners_are_true_arcs_of_the_radius_typed() -> None:
    cut = make_blank(job_of(box(extra=notch(radius=3))))
    path = cut.notches[0].cut.path
    arcs = [v for v in path.vertices if abs(v[2]) > 1e-12]
    assert [v[2] for v in arcs] == pytest.approx([-np.tan(pi / 8)] * 2)
    on_outline = {(round(x, 6), round(y, 6)) for x, y, _ in cut.outline.path.vertices}
    assert {(round(x, 6), round(y, 6)) for x, y, _ in arcs} <= on_outline


def test_a_round_bottom_is_half_a_circle() -> None:
    area = [make_blank(job_of(box(extra=x))).area for x in ("", notch(width=6, depth=10, radius=3, gap=0))]
    strip = make_blank(job_of(box())).strip_of("south")[0]
    width, inset = float(strip.strip.flat_width[0]), float(strip.at.inset[0])
    assert area[0] - area[1] == pytest.approx(6 * width + 6 * (7 - inset) + pi * 9 / 2, abs=1e-6)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("seed", SEEDS)
def test_turned_mirrored_or_in_inches_a_notched_part_has_the_same_blank(seed: int, method: str) -> None:
    part = NotchedPart(seed)
    plain = make_blank(job_of(part.text()), method)
    assert any(n.stands for n in plain.notches) or not part.notches
    c, s = np.cos(radians(31.0 + seed)), np.sin(radians(31.0 + seed))
    for other, move in (
        (part.text(turn=radians(31.0 + seed)), np.array([[c, s], [-s, c]])),
        (part.text(mirror=True), np.diag([-1.0, 1.0])),
        (part.text(25.4, "in"), np.eye(2)),
    ):
        again = make_blank(job_of(other), method)
        assert again.area == pytest.approx(plain.area, abs=2e-3)
        assert same(plain, again, move)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_notch_next_to_nothing_leaves_the_part_without_it(seed: int) -> None:
    part = NotchedPart(seed)
    # a cut through a curved flange frees it, however narrow: those keep none
    part.notches = [
        (i, share, 2e-4, depth, 0.0, 0.0)
        for i, share, _, depth, _, _ in part.notches
        if not (part.bulge[i] and part.flanged[i])
    ]
    cut, plain = make_blank(job_of(part.text())), make_blank(job_of(part.plain()))
    assert cut.area == pytest.approx(plain.area, abs=0.05)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_formed_mesh_has_the_notches_and_is_whole(seed: int) -> None:
    job = job_of(NotchedPart(seed).text())
    blank = make_blank(job)
    assert not list(flat_faults(blank))
    made = mesh_part(job, blank, 3.0)
    assert made.mesh is not None, [f.say for f in made.findings]
    m = made.mesh
    assert m.flat_areas.min() > 0.0
    assert m.flat_areas.sum() == pytest.approx(blank.area, rel=1e-3)
    sides = np.concatenate([m.triangles[:, [0, 1]], m.triangles[:, [1, 2]], m.triangles[:, [2, 0]]])
    ones = {tuple(x) for x in sides.tolist()}
    rim = {(a, b) for a, b in ones if (b, a) not in ones}
    cycles = {(a, b) for c in m.loops for a, b in zip(c.nodes.tolist(), np.roll(c.nodes, -1).tolist(), strict=True)}
    assert rim == cycles


def test_the_formed_part_ends_its_flange_on_both_sides_of_a_notch() -> None:
    job, plain = job_of(box(extra=notch())), job_of(box())
    ends = formed_lines(job, make_blank(job)).ends
    assert len(ends) == len(formed_lines(plain, make_blank(plain)).ends) + 2
    at = sorted(p[0] for p, _ in ends if abs(p[1] - 4.0) < 1e-6 and 20 < p[0] < 180)
    assert at == pytest.approx([88.0, 112.0])


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (notch(at="2 %"), "notch-past-end"),
        (notch(at="98 %"), "notch-past-end"),
        (notch().replace(chr(34) + "50 %" + chr(34), "300"), "notch-past-end"),
        (notch() + notch(at="55 %"), "notch-overlap"),
        (notch(depth=6.9), "notch-in-bend"),
        (notch(depth=97), "notch-meets"),
        (notch(depth=50) + '[[hole]]\nname = "H"\nkind = "plain"\nat = [100, 48]\ndiameter = 8\n', "notch-meets"),
    ],
)
def test_a_notch_that_cannot_be_is_told_at_its_place(text: str, code: str) -> None:
    blank = make_blank(job_of(box(extra=text)))
    found = [f for f in flat_faults(blank) if f.code == code]
    assert found, codes(box(extra=text))
    assert found[0].severity == "stop"
    assert {"notch", "edge", "along_mm"} <= set(found[0].where)


def test_a_notch_that_is_as_deep_as_its_corners_need_is_no_fault() -> None:
    assert codes(box(extra=notch(depth=7.0))) == []


def test_what_a_notch_cuts_away_gathers_nothing_whatever_its_strain() -> None:
    """5 % laid on every station, cut ends too: a notch of 20 mm with gaps of 2 mm takes 5 % of 24 mm off what is gathered."""
    sums = []
    for extra in ("", notch()):
        job = job_of(box(flanges=(True, False, False, False), extra=extra))
        blank = make_blank(job)
        (strip,) = blank.strips
        like = replace(strip, strip=replace(strip.strip, edge_strain=np.full(len(strip.at.along), np.log(0.95))))
        sums.append(gather_of(job, blank, like).most[-1])
    assert sums[0] - sums[1] == pytest.approx(0.05 * 24, abs=1e-9)


def test_the_answer_says_each_notch_and_where_the_edge_is_open_as_typed() -> None:
    plan = make_plan(job_of(box(extra=notch(at="25 %"))))
    (row,) = blank_answer(plan)["notches"]
    assert row["edge"] == "south"
    assert row["cut"]
    assert row["along_mm"] == pytest.approx(50.0)
    assert row["at_mm"] == pytest.approx([50.0, 0.0])
    assert row["open_mm"] == pytest.approx({"from": 38.0, "to": 62.0})
