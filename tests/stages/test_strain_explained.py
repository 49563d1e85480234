"""Every number of the strain answer opens, names the keys that move it, and what is closed is evaluated again."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import pytest

from building import box, job_of
from ribwright.stages import answers
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.explanation import ORIGINS
from ribwright.stages.explain.paths import at, named, numbers, resolved
from ribwright.stages.finding import ranked
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.forecast import forecast, prepare
from ribwright.stages.forecast_answer import forecast_answer
from ribwright.stages.forecast_ask import Ask
from ribwright.stages.judged import judged_answer
from ribwright.stages.plan import make_plan
from ribwright.stages.strain_answer import strain_answer
from ribwright.stages.strain_findings import strain_findings
from ribwright.stages.strain_limit import limit_line
from ribwright.stages.strain_map import strain_map
from ribwright.stages.strain_margins import split_margins

# cut so small that the sheet beside the rim is past the limit line
HOLE = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 57\ncut_diameter = 36\nbend_angle = 90\nbend_radius = 3\n'


@cache
def forecast_book() -> Book:
    """A forecast of a plan by balance, by the quick formula."""
    job = job_of(box(extra=HOLE))
    plan = make_plan(job, method="inverse")
    ask = Ask("closed-form", 7.0)
    body = forecast_answer(plan, forecast(prepare(plan, ask), {})) | {"elapsed_s": 1.0}
    named = (job, "inverse", "", plan.model, ask.as_input())
    bodies = judged_answer(plan) | {"forecast": body, "blank": answers.blank_answer(plan)}
    heading = answers.heading(plan, fingerprint(*named))
    return Book(plan, json.loads(json.dumps(answers.tidy({**heading, **bodies, "inputs": inputs_of(*named)}))))


def test_a_forecast_of_a_blank_by_balance_has_the_room_of_each_place_and_its_numbers_open() -> None:
    answer = forecast_book().answer
    rows = answer["forecast"]["split_by_balance"]
    assert {(r.get("hole") or r["edge"], r["by"]) for r in rows} >= {("L", "limit line"), ("L", "free edge")}
    assert rows[0]["hole"] == "L"
    mine_ = [p for p in numbers(answer) if p.startswith("forecast.split_by_balance")]
    assert len(mine_) > 20
    for path in mine_:
        e = forecast_book().open(path)
        assert NOT_WRITTEN not in e.told.what, path
        assert e.changes, path
        if e.told.again is not None:
            assert e.told.again == pytest.approx(e.value, rel=1e-6, abs=5e-9), path


def test_a_forecast_of_another_blank_has_none() -> None:
    plan = make_plan(job_of(box(extra=HOLE)))
    assert forecast_answer(plan, forecast(prepare(plan, Ask("closed-form", 7.0)), {}))["split_by_balance"] == []


@cache
def book() -> Book:
    job = job_of(box(extra=HOLE))
    plan = make_plan(job, method="inverse")
    assert plan.inverse is not None
    m = strain_map(job, plan.inverse)
    assert m is not None
    rows = split_margins(job, m)
    plan = replace(plan, findings=ranked([*plan.findings, *strain_findings(rows)]))
    bodies = judged_answer(plan) | {"strain": strain_answer(m, limit_line(job), rows)}
    heading = answers.heading(plan, fingerprint(job, "inverse"))
    return Book(plan, json.loads(json.dumps(answers.tidy({**heading, **bodies, "inputs": inputs_of(job, "inverse")}))))


def mine() -> list[str]:
    answer = book().answer
    past = [f"findings[{i}]." for i, f in enumerate(answer["findings"]) if f["code"] == "strain-past-limit-line"]
    room = [f"margins[{i}]." for i, r in enumerate(answer["margins"]) if r["quantity"] == "sheet_stretch"]
    assert past
    assert room
    return [p for p in numbers(answer) if p.startswith(("strain.", *past, *room))]


def test_every_number_opens_with_what_it_comes_from() -> None:
    assert len(mine()) > 60
    for path in mine():
        e = book().open(path)
        assert e.told.what, path
        assert NOT_WRITTEN not in e.told.what, path
        assert e.told.origin in ORIGINS, path
        assert e.told.formula or e.told.origin in ("typed", "fact", "constant"), path
        assert e.told.inputs, path
        assert e.changes or e.told.origin == "constant", path
        assert e.told.source or e.told.origin in ("typed", "constant") or path.startswith("findings"), path


def test_what_is_closed_is_evaluated_again() -> None:
    closed = [e for e in map(book().open, mine()) if e.told.again is not None]
    assert len(closed) > 20
    for e in closed:
        assert e.told.again == pytest.approx(e.value, rel=1e-6, abs=5e-9), e.path


def test_an_input_opens_to_the_same_value_and_a_path_by_name_to_the_same_number() -> None:
    answer = book().answer
    for path in mine():
        assert resolved(answer, named(answer, path)) == path
        for i in book().open(path).told.inputs:
            if i.path and not isinstance(i.value, str):
                assert at(answer, resolved(answer, i.path)) == pytest.approx(i.value, rel=1e-9, abs=1e-9), (
                    path,
                    i.path,
                )
