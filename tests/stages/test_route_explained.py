"""Every number of the ways opens, and what moved it is named."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from building import EXAMPLES, example_shop
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.stages import answers
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.explanation import ORIGINS
from ribwright.stages.explain.paths import numbers
from ribwright.stages.fingerprint import inputs_of
from ribwright.stages.job import Job, take_in
from ribwright.stages.plan import make_plan
from ribwright.stages.route_answer import route_answer
from ribwright.stages.why import why

NAMES = ("Q7-2102-1", "Q7-2301-1", "Q7-4410-1")


def job_named(name: str) -> Job:
    return take_in(read_part(EXAMPLES / f"{name}.part.toml"), example_shop(), load_catalogue(), name)


def book(job: Job) -> Book:
    plan = make_plan(job)
    whole = {
        **answers.heading(plan, "0" * 16),
        "route": route_answer(plan.job, plan.route),
        "inputs": inputs_of(job, "strain-corrected"),
    }
    return Book(plan, json.loads(json.dumps(answers.tidy(whole))))


@pytest.mark.parametrize("name", NAMES)
def test_every_number_of_the_ways_opens_and_margins_follow_from_what_is_listed(name: str) -> None:
    made = book(job_named(name))
    paths = [p for p in numbers(made.answer) if p.startswith("route.")]
    assert len(paths) > 20
    margins = 0
    for path in paths:
        e = made.open(path)
        assert NOT_WRITTEN not in e.told.what, path
        assert e.told.origin in ORIGINS
        assert e.told.inputs, path
        assert e.changes, path
        assert e.told.source or e.told.origin == "typed", path
        assert e.told.compared or e.told.origin != "solved", path
        if path.endswith(".margin"):
            margins += 1
            assert e.told.again == pytest.approx(e.value, rel=1e-6, abs=5e-9)
    assert margins > 3


def test_what_the_shop_entered_is_told_as_its_own_with_the_specification() -> None:
    e = book(job_named("Q7-4410-1")).open("route.clock.forming_window_s")
    assert e.value == 1200.0
    assert e.unit == "s"
    assert "QADW-HT-2" in e.told.inputs[0].come_from
    assert "not a figure of this tool" in e.told.what


def test_a_changed_window_is_the_cause_of_the_only_number_that_moved() -> None:
    job = job_named("Q7-4410-1")
    limits = {"2024": replace(job.shop.heat_treat["2024"], forming_window_s=900.0)}
    told = why(book(job).answer, book(replace(job, shop=replace(job.shop, heat_treat=limits))).answer)
    assert [m.path for m in told.moved] == ["route.clock.forming_window_s"]
    assert [c.key for c in told.causes] == ['heat_treat."2024".forming_window']
    assert told.moved[0].because == (0,)


def test_a_changed_hole_moves_the_room_of_every_way_and_is_the_cause() -> None:
    job = job_named("Q7-2301-1")
    holes = tuple(replace(h, given=("cut_diameter", 53.0)) if h.name == "L1" else h for h in job.part.holes)
    told = why(book(job).answer, book(replace(job, part=replace(job.part, holes=holes))).answer)
    moved = [m for m in told.moved if re.search(r"hole_edge_stretch.*\.(value|margin)", m.path)]
    assert len(moved) >= 4
    assert all(m.because for m in told.moved)
