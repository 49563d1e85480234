"""The blank by balance as `blank --method inverse` gives it: the same blank in all its numbers, close to the strain-corrected one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from building import EXAMPLES, HEAD, RandomPart, box, example_shop, job_of
from random_blocks import RandomBlock
from relieved_parts import RelievedPart
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import parse_part
from ribwright.shop.shop import Rules, Shop
from ribwright.stages.agreement import apart
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.develop import INVERSE
from ribwright.stages.flat_faults import flat_faults
from ribwright.stages.inverse_cut import by_balance
from ribwright.stages.job import Job, take_in
from ribwright.stages.plan import make_plan


def example(name: str) -> Job:
    return take_in(
        parse_part((EXAMPLES / name).read_text(encoding="utf-8"), name, EXAMPLES),
        example_shop(),
        load_catalogue(),
        name,
    )


def cut_of(job: Job, size: float | None = None) -> tuple[Blank, Blank]:
    blank = make_blank(job)
    made, answer = by_balance(job, blank, size)
    assert made.method == INVERSE, answer.findings
    assert not answer.findings
    return blank, made


@pytest.fixture(scope="module", params=["Q7-2101-1.part.toml", "Q7-2102-1.part.toml", "Q7-4410-1.part.toml"])
def pair(request: pytest.FixtureRequest) -> tuple[Blank, Blank]:
    return cut_of(example(request.param), 3.0)


def test_the_cut_line_is_a_valid_ring_of_few_lines_and_arcs(pair: tuple[Blank, Blank]) -> None:
    was, now = pair
    for a, b in zip(was.loops, now.loops, strict=True):
        assert a.name == b.name
        assert shapely.Polygon(b.points).is_valid
        assert b.path.area() == pytest.approx(a.path.area(), rel=3e-3)
        assert sum(b.path.counts().values()) < 2 * sum(a.path.counts().values()) + 12


def test_widths_and_cut_line_say_the_same(pair: tuple[Blank, Blank]) -> None:
    _, now = pair
    for s in now.strips:
        ring = shapely.LinearRing(now.loops[s.loop].points)
        low, high = s.at.interior()
        inner = (s.at.arc >= low) & (s.at.arc <= high)
        off = shapely.distance(ring, shapely.points(s.flat[inner]))
        assert off.max(initial=0.0) < 0.05


def test_free_ends_of_curved_flanges_lean() -> None:
    # a shrink flange's flat end leans in towards its own side, which the strain-corrected blank leaves square (Q7-2101-1, beside the spar)
    was, now = cut_of(example("Q7-2101-1.part.toml"), 3.0)
    a, b = shapely.Polygon(was.outline.points), shapely.Polygon(now.outline.points)
    apart = shapely.hausdorff_distance(a.exterior, b.exterior)
    assert 0.1 < apart < 1.0


def test_trim_is_set_over_outside_the_net_edge() -> None:
    one = (True, False, False, False)
    job = job_of(box(w=120.0, h=80.0, flanges=one))
    trimmed = job_of(box(w=120.0, h=80.0, flanges=one, extra="[blank]\ntrim = 2\n"))
    _, net = cut_of(job, 4.0)
    _, cut = cut_of(trimmed, 4.0)
    low = [min(p[1] for p in b.outline.points) for b in (net, cut)]
    assert low[0] - low[1] == pytest.approx(2.0, abs=1e-6)
    np.testing.assert_allclose(net.strips[0].strip.flat_width, cut.strips[0].strip.flat_width, atol=1e-6)


def test_a_part_without_a_mesh_keeps_its_blank_and_says_why() -> None:
    job = job_of(RandomBlock(2).text())  # a cut line that crosses itself
    blank = make_blank(job)
    made, answer = by_balance(job, blank, 4.0)
    assert made is blank
    assert "blank-crosses-itself" in {f.code for f in answer.findings}


def study_hole(r: float, straight: float) -> Job:
    """A hole flange of the study of blank development: K 330 MPa, n 0.2, prestrain 0.002, r-value 1, t 1, inside radius 3, 90 deg,
    neutral axis in the middle; r the radius of its tangent circle."""
    wide = 2.0 * r + 40.0
    hole = (
        f'[[hole]]\nname = "G"\nkind = "lightening"\nat = [{wide / 2}, {wide / 2}]\ndiameter = {2 * r}\n'
        f'flange_height = {4.0 + straight}\nbend_angle = 90\nbend_radius = 3\nturn = "down"\n'
    )
    job = job_of(box(w=wide, h=wide, flanges=(False,) * 4, extra=hole), Shop(rules=Rules("k-factor", 0.5)))
    assert job.formed is not None
    assert job.formed.hardening is not None
    hardening = replace(job.formed.hardening, k_mpa=330.0, n=0.2, prestrain=0.002)
    facts = {k: v for k, v in job.formed.facts.items() if k not in ("r0", "r45", "r90", "r_value")}
    return replace(job, formed=replace(job.formed, hardening=hardening, facts=facts))


# engineering edge strain of holes, same study (physics note on the flat blank, what to refuse); it prints whole percents
@pytest.mark.parametrize(
    ("r", "straight", "percent"), [(18, 5, 138), (22, 5, 75), (30, 5, 40), (40, 5, 25), (60, 5, 15)]
)
def test_an_edge_strained_past_the_alloys_limit_stops_the_job_by_the_inverse_method_too(
    r: float, straight: float, percent: float
) -> None:
    plan = make_plan(study_hole(r, straight), method=INVERSE)
    assert plan.blank.method == INVERSE
    assert plan.blank.holes[0].straight == pytest.approx(straight)
    found = next(f for f in plan.findings if f.code == "hole-edge-limit")
    assert found.severity == "stop"
    assert found.value == pytest.approx(percent / 100, abs=0.006)
    assert found.limit == 0.12  # 2024-O
    assert (found.margin or 0.0) < 0.0


def test_a_stretch_flange_past_the_limit_stops_by_the_inverse_method_and_one_below_it_does_not() -> None:
    hollow = box(w=120.0, h=60.0, width=14.0, flanges=(True, False, False, False))
    tight, slack = (
        make_plan(
            job_of(hollow.replace("to = [120.0, 0.0]\n", f"to = [120.0, 0.0]\nthrough = [60.0, {rise}]\n")),
            method=INVERSE,
        )
        for rise in (30.0, 6.0)
    )
    stops = [f for f in tight.findings if f.code == "stretch-limit"]
    assert [f.severity for f in stops] == ["stop"]
    assert stops[0].value is not None
    south = next(e for e in tight.inverse.edges if e.name == "south")  # type: ignore[union-attr]
    assert stops[0].value == pytest.approx(float(np.expm1(south.strain.max())), rel=0.05)
    assert not [f for f in slack.findings if f.code == "stretch-limit"]


# an end without relief, which the mesh slits; a relief at an end with a straight cut beside its circle; both
@pytest.mark.parametrize("part", [RandomPart(44), RandomPart(25), RelievedPart(24), RelievedPart(25)])
def test_the_cut_line_at_a_flange_end_does_not_cross_itself_and_makes_no_slit(part: RandomPart | RelievedPart) -> None:
    job = job_of(part.text())
    was, now = cut_of(job, 3.0)
    ring = shapely.Polygon(now.outline.points)
    assert ring.is_valid, shapely.is_valid_reason(ring)
    assert {f.code for f in flat_faults(now)} == {f.code for f in flat_faults(was)}
    # a slit's foot would lie a bend's setback, some millimetres, from the other line; free ends lean by up to 1.3
    assert apart(was, now)[0].mm < 1.5


def test_where_an_end_is_slit_the_blank_is_left_joined_from_the_drawn_corner() -> None:
    # the flange stops in the middle of a straight contour, then an arc: not exact, so it is run
    text = HEAD.format(units="mm", material="2024-O", t=1.0, line="outside-mold-line", start=[0, 0])
    rows = (("a", [60, 0], "through = [30, -2]\nflange = \"f\"\n"), ("b", [110, 0], ""), ("c", [110, 50], ""), ("d", [0, 50], ""),
            ("e", [0, 0], ""))  # fmt: skip
    for name, to, more in rows:
        text += f'[[web.edge]]\nname = "{name}"\nto = {to}\n{more}'
    text += "[flange.f]\nwidth = 15\nbend_angle = 90\nbend_radius = 3\n"
    _, now = cut_of(job_of(text), 3.0)
    v = np.array([p[:2] for p in now.outline.path.vertices])
    assert np.hypot(*(v - [60.0, 0.0]).T).min() < 1e-9  # the drawn corner
    foot = now.strips[0].at.tangent[-1]
    assert np.hypot(*(v - foot).T).min() > 3.0  # and not the foot of the end, 4 mm inside it
    assert shapely.Polygon(now.outline.points).is_valid
