"""Every number that the tables of the page show opens: its path is one that `explain` knows."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from documents.sample import sample_plan
from ribwright.stages.answers import heading, tidy
from ribwright.stages.explain import Book
from ribwright.stages.fingerprint import inputs_of
from ribwright.work.planning import everything_of
from web.test_javascript import _node

SCRIPT = Path(__file__).parent / "shown_numbers.mjs"


@pytest.mark.parametrize(("part", "press", "least"), [("Q7-2102-1", "P2", 250), ("Q7-2101-1", "", 150)])
def test_every_number_shown_opens(part: str, press: str, least: int) -> None:
    plan = sample_plan(part, press)
    inputs = inputs_of(plan.job, plan.asked, press, plan.model)
    answer = tidy({**heading(plan, "0123456789abcdef"), **everything_of(plan), "inputs": inputs})
    run = subprocess.run([_node(), str(SCRIPT)], input=json.dumps(answer), capture_output=True, text=True, check=True)
    paths = run.stdout.split()
    assert len(paths) > least
    book = Book(plan, answer)
    for path in paths:
        assert book.open(path).path == path
