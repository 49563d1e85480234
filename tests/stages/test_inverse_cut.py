"""The blank by balance as `blank --method inverse` gives it: the same blank in all its numbers, close to the strain-corrected one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from building import EXAMPLES, box, example_shop, job_of
from random_blocks import RandomBlock
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import parse_part
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.develop import INVERSE
from ribwright.stages.inverse_cut import by_balance
from ribwright.stages.job import Job, take_in


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
