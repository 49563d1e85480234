"""The jobs that pictures are drawn from: each answers with the view of the plan that was asked for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from documents.sample import EXAMPLES
from ribwright.adapters.draft_files import DraftJobFiles
from ribwright.documents.views.blank_view import blank_view
from ribwright.documents.views.block_view import block_view
from ribwright.wiring import KernelSolids, PaperWriters
from ribwright.work.jobs import Made, Order, kind_of
from ribwright.work.jobs.plans import planned

PART = "Q7-2301-1.part.toml"


@pytest.fixture(scope="module")
def files() -> DraftJobFiles:
    text = (EXAMPLES / PART).read_text(encoding="utf-8")
    return DraftJobFiles(text, EXAMPLES, PaperWriters(), KernelSolids())


def _made(files: DraftJobFiles, kind: str, **options: str) -> Made:
    def tell(*_: Any, **__: Any) -> None:
        """Nobody hears."""

    return kind_of(kind, options).run(Order(Path(PART), None, options), files, tell)


def test_blank_and_block_are_those_of_the_plan_asked_for(files: DraftJobFiles) -> None:
    plan = planned(Order(Path(PART), None, {}), files).plan
    assert _made(files, "blank-view").json == blank_view(plan)
    assert _made(files, "block-view").json == block_view(plan)


def test_another_method_draws_another_blank(files: DraftJobFiles) -> None:
    assert _made(files, "blank-view", method="handbook").json["method"] == "handbook"


def test_the_formed_part_has_triangles(files: DraftJobFiles) -> None:
    view = _made(files, "formed-view").json
    assert len(view["triangles"]) > 100
    assert view["why_not"] == []


def test_the_methods_lie_over_each_other_and_one_of_them_is_the_plans(files: DraftJobFiles) -> None:
    view = _made(files, "methods-view").json
    plan = planned(Order(Path(PART), None, {}), files).plan
    assert [m["method"] for m in view["methods"]] == ["handbook", "strain-corrected", "inverse"]
    stands = next(m for m in view["methods"] if m["method"] == view["stands"])
    assert stands["loops"] == blank_view(plan)["loops"]


def test_methods_that_the_plan_did_not_ask_take_long(files: DraftJobFiles) -> None:
    long = kind_of("methods-view", {}).long
    assert not long({})
    assert not long({"method": "inverse"})
    assert long({"method": "handbook"})
