"""What is seen of a piece square above its web."""

from __future__ import annotations

import numpy as np
import pytest

from building import EXAMPLES, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.features.inspected import BLANK, PART
from ribwright.geometry.lay_outline import area_middle
from ribwright.geometry.outline_distance import OutlineDistance
from ribwright.stages.job import take_in
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.seen_lines import seen_lines, silhouette


@pytest.fixture(scope="module", params=["Q7-2301-1", "Q7-3205-1", "Q7-2101-1-notched", "Q7-2105-1"])
def example(request: pytest.FixtureRequest) -> Plan:
    part = read_part(EXAMPLES / f"{request.param}.part.toml")
    return make_plan(take_in(part, example_shop(), load_catalogue(), request.param))


@pytest.mark.parametrize("angle", [0.0, 20.0, 60.0, 89.0, 90.0, 91.0, 110.0, 140.0])
def test_the_outermost_of_a_section_is_that_of_the_sheet_laid_out_point_by_point(angle: float) -> None:
    r, t, leg = 3.0, 1.0, 12.0
    a = np.radians(angle)
    turn = np.linspace(0.0, a, 4000)
    sheet = []
    for s in (0.0, t):  # outer face, inner face
        rho = r + t - s
        arc = np.column_stack([rho * np.sin(turn), r + t - rho * np.cos(turn)])
        sheet += [arc, arc[-1] + np.linspace(0.0, leg, 50)[:, None] * [np.cos(a), np.sin(a)]]
    true = np.concatenate(sheet)[:, 0].max()
    assert silhouette(r, t, np.array([angle]), np.array([leg]))[0] == pytest.approx(true, abs=1e-6)


def test_a_square_flange_is_seen_on_its_outside_mold_line() -> None:
    plan = make_plan(job_of(box(w=180, h=80, flanges=(True, True, True, True))))
    lines = seen_lines(plan, PART)
    for e in lines.edges:
        drawn = e.laid.curve.point(e.laid.at(e.along))
        assert e.line == pytest.approx(drawn, abs=1e-9)


@pytest.mark.parametrize("what", [BLANK, PART])
def test_the_line_of_every_edge_lies_on_the_outline_and_the_metal_on_its_left(what: str, example: Plan) -> None:
    lines = seen_lines(example, what)
    target = OutlineDistance(lines.rings)
    assert area_middle(lines.rings[0])[0] > 0
    assert all(area_middle(r)[0] < 0 for r in lines.rings[1:])
    for e in lines.edges:
        for x in e.places():
            at, normal = e.at(x)
            # the cut line is true arcs within 0.01 mm of the computed one
            assert abs(target.of(at[None]).deviation[0]) < 0.02
            assert target.of((at + 0.5 * normal)[None]).deviation[0] == pytest.approx(0.5, abs=0.05)


def test_places_keep_clear_of_notches_and_are_those_of_the_inspection_sheet_too(example: Plan) -> None:
    lines = seen_lines(example, PART)
    for e in lines.edges:
        places = e.places()
        assert not any(a < x < b for x in places for a, b in e.taken)
        low, high = e.along.min(), e.along.max()
        free = [x for x in e.stations if low <= x <= high and not any(a <= x <= b for a, b in e.taken)]
        assert all(min(abs(x - p) for p in places) < 1e-9 for x in free)


def test_an_open_flange_moves_the_silhouette_by_its_leg_and_a_closed_one_does_not() -> None:
    extra = "[tolerance]\nflange_angle = [2.0, 0.5]\n"
    plan = make_plan(job_of(box(w=180, h=80, flanges=(True, False, False, False), extra=extra)))
    e = next(e for e in seen_lines(plan, PART).edges if e.name == "south")
    moved = e.moved_by_angle(90.0)
    # open by 2 deg: (R + t) sin + L cos less R + t; R 3, t 1, L 11
    a = np.radians(88.0)
    assert moved == pytest.approx(4.0 * np.sin(a) + 11.0 * np.cos(a) - 4.0, abs=1e-9)
