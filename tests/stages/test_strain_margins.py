"""Room left before a place splits: on made strain states, and against the findings of a whole part."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import exp, expm1, log

import numpy as np
import pytest

from building import box, job_of
from ribwright.shop.sheet import Material
from ribwright.stages.job import Job
from ribwright.stages.judged import plan_margins
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.strain_answer import strain_answer
from ribwright.stages.strain_findings import strain_findings
from ribwright.stages.strain_limit import FREE_EDGE, LINE, LimitLine, NoLine, edge_limit, limit_line
from ribwright.stages.strain_map import Rim, StrainMap
from ribwright.stages.strain_margins import least, split_margins

HOLE = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 57\ncut_diameter = {cut}\nbend_angle = 90\nbend_radius = 3\n'


def made(major: list[float], minor: list[float], edge: float = 0.0, counted: list[bool] | None = None) -> StrainMap:
    """A strip of triangles of one edge, `edge` the strain along its free edge behind the first of them."""
    n = len(major)
    nodes = np.array([[k / 2.0, k % 2.0, 0.0] for k in range(n + 2)])
    triangles = np.array([[k, k + 2 - k % 2, k + 1 + k % 2] for k in range(n)])
    may = np.array(counted if counted is not None else [True] * n)
    rim = Rim("edge", "upper", nodes[:1, :2], nodes[:1], np.array([edge]), np.array([0]), may[:1])
    h, k = np.array(major), np.array(minor)
    return StrainMap(
        triangles, nodes, nodes[:, :2], h, k, np.zeros(n), np.exp(-h - k), may, np.zeros(n, bool), np.zeros(n, int), (("edge", "upper"),),
        (rim,), (np.arange(n + 2),), 1.0, "answered", "", 1.0,
    )  # fmt: skip


def job(**changes: object) -> Job:
    one = job_of(box())
    assert one.formed is not None
    return replace(one, formed=replace(one.formed, **changes)) if changes else one


def e0() -> float:
    line = limit_line(job())
    assert isinstance(line, LimitLine)
    return line.e0


def test_the_line_is_seven_tenths_of_rule_f1_on_the_records_curve() -> None:
    # 2024-O: n 0.226, prestrain 0.00184
    assert e0() == pytest.approx(0.7 * (0.226 - 3**0.5 / 2 * 0.00184), abs=2e-4)


@pytest.mark.parametrize(
    ("major", "minor", "left"),
    [
        (0.06, -0.02, 1 - 0.04 / 0.157),
        (0.06, 0.0, 1 - 0.06 / 0.157),
        (0.06, 0.03, 1 - 0.06 / 0.157),
        (0.25, -0.05, 1 - 0.2 / 0.157),
    ],
)
def test_the_room_of_a_made_state(major: float, minor: float, left: float) -> None:
    (row,) = split_margins(job(), made([0.01, major], [0.0, minor]))
    assert row.by == LINE
    assert row.margin == pytest.approx(left, abs=0.003)
    assert row.limit is not None
    assert row.margin == pytest.approx((row.limit - row.value) / row.limit)
    assert (row.major, row.minor) == (major, minor)
    assert row.thickness == pytest.approx(exp(-major - minor))


def test_more_strain_leaves_less_room() -> None:
    rooms = [split_margins(job(), made([x], [-x / 3.0]))[0].margin for x in (0.02, 0.05, 0.1, 0.2)]
    assert all(a is not None and b is not None and a > b for a, b in pairwise(rooms))


def test_the_free_edge_is_held_against_the_records_limit_in_its_own_measure() -> None:
    limit = edge_limit(job(), "edge")
    assert limit is not None
    rows = split_margins(job(), made([0.01], [0.0], edge=log(1.0 + limit.value / 2.0)))
    edge = next(r for r in rows if r.by == FREE_EDGE)
    assert edge.value == pytest.approx(limit.value / 2.0)
    assert edge.margin == pytest.approx(0.5)
    assert least(rows) == edge


def test_what_may_not_be_read_is_not() -> None:
    (row,) = split_margins(job(), made([0.01, 0.5], [0.0, 0.0], counted=[True, False]))
    assert row.major == 0.01


def test_a_place_that_thickens_or_is_not_stretched_has_no_row() -> None:
    assert split_margins(job(), made([0.05, 0.0], [-0.1, 0.0], edge=-0.1)) == ()


def test_a_temper_without_a_curve_has_no_line_and_says_so() -> None:
    one = job(hardening=None)
    line = limit_line(one)
    assert isinstance(line, NoLine)
    (row,) = split_margins(one, made([0.1], [0.0]))
    assert (row.limit, row.margin) == (None, None)
    assert "no flow curve" in row.source
    assert least((row,)) is None
    assert strain_answer(made([0.1], [0.0]), line, (row,))["limit_line"]["plane_strain_major"] is None


def test_a_temper_without_an_edge_limit_has_no_room_there() -> None:
    formed = job().formed
    assert isinstance(formed, Material)
    facts = {k: v for k, v in formed.facts.items() if k != "stretch_limit"}
    rows = split_margins(job(facts=facts), made([0.01], [0.0], edge=0.05))
    edge = next(r for r in rows if r.by == FREE_EDGE)
    assert (edge.limit, edge.margin) == (None, None)
    assert least(rows) is not None  # the line is still there


def test_past_the_line_warns_at_its_place_and_short_of_it_says_nothing() -> None:
    (found,) = strain_findings(split_margins(job(), made([1.1 * e0()], [0.0])))
    assert (found.code, found.severity) == ("strain-past-limit-line", "warn")
    assert found.margin == pytest.approx(-0.1)
    assert found.where["edge"] == "upper"
    assert strain_findings(split_margins(job(), made([0.9 * e0()], [0.0]))) == ()


@cache
def plan(cut: float, method: str) -> Plan:
    return make_plan(job_of(box(extra=HOLE.format(cut=cut))), method=method)


def test_a_plan_by_balance_has_the_room_of_each_place_among_its_margins() -> None:
    rows = [r for r in plan_margins(plan(46, "inverse")) if r.quantity == "sheet_stretch"]
    hole = next(r for r in rows if r.where == {"hole": "L"})
    assert hole.value == pytest.approx(log(50.0 / 46.0), rel=0.1)  # the row of triangles inside the rim
    assert hole.limit is not None
    assert hole.margin == pytest.approx((hole.limit - hole.value) / hole.limit)
    assert not [r for r in plan_margins(plan(46, "strain-corrected")) if r.quantity == "sheet_stretch"]


def test_the_rims_row_is_that_of_the_strain_map() -> None:
    one = plan(46, "inverse")
    row = next(r for r in plan_margins(one) if r.quantity == "hole_edge_stretch")
    assert row.value == pytest.approx(expm1(log(50.0 / 46.0)), rel=0.01)
