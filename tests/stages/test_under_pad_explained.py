"""Every number of a place under the pad opens, names the keys that move it, and what is closed is evaluated again."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from padded import pad_book, padded, small_case, small_part, small_press
from ribwright.mechanics.pad_model import answer
from ribwright.shop.shop import PadLayer
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.explanation import ORIGINS
from ribwright.stages.explain.paths import at, named, numbers, resolved
from ribwright.stages.under_pad import PadAsk, UnderPad
from ribwright.stages.why import why

CODES = ("pad-", "under-pad-", "block-too", "flange-fouls", "flange-on")
STACK = (PadLayer(8.0, 50.0, "throw", (180.0, 160.0)), PadLayer(52.0, 80.0, "pad", (180.0, 160.0), 3.3))


def every_finding() -> UnderPad:
    """The light case with every word that the model has for a pad, to open their numbers."""
    u = small_case()
    assert u.run is not None
    assert u.laid.section is not None
    words = (answer.TOO_HARD, answer.TOO_SHALLOW, answer.TOO_TALL, answer.FOULS, answer.ON_TABLE, answer.FOLDED)
    laid = replace(u.laid, pad=replace(u.laid.pad, strain_limit=0.1))
    return replace(u, laid=laid, run=replace(u.run, findings=words, points=u.run.points[:2], folded=5.0))


def unfinished() -> UnderPad:
    u = small_case()
    assert u.run is not None
    run = replace(u.run, path=u.run.path[:20], points=(), closing=None, outcome=answer.STOPPED)
    return replace(u, run=run, fluid=None, fluid_closing=None, outcome="not-converged")


CASES = {
    "closed": small_case,
    "with an undercut and a modulus of its own": lambda: padded(
        small_part(), small_press(shear_modulus_mpa=1.2), PadAsk("south", 1.0, 4.0)
    ),
    "every finding": every_finding,
    "unfinished": unfinished,
    "a stack, hanging over": lambda: padded(small_part(), small_press(size=(70.0, 50.0), layers=STACK), PadAsk()),
}
EACH = pytest.mark.parametrize("which", list(CASES))


@cache
def book(which: str) -> Book:
    return pad_book(CASES[which]())


def mine(which: str) -> list[str]:
    """Paths of the numbers that a place under the pad adds."""
    found = book(which).answer
    codes = [f"findings[{i}]." for i, f in enumerate(found["findings"]) if f["code"].startswith(CODES)]
    return [p for p in numbers(found) if p.startswith(("under_pad.", "inputs.forecast", *codes))]


@EACH
def test_every_number_opens_with_what_it_comes_from(which: str) -> None:
    paths = mine(which)
    assert len(paths) > 15
    for path in paths:
        e = book(which).open(path)
        assert NOT_WRITTEN not in e.told.what, path
        assert e.told.what, path
        assert e.told.origin in ORIGINS, path
        assert e.told.formula or e.told.origin in ("typed", "fact", "constant"), path
        assert e.told.inputs, path
        assert e.changes or e.told.origin == "constant", path
        assert e.told.source or e.told.origin in ("typed", "constant") or path.startswith("findings"), path


@EACH
def test_what_is_closed_is_evaluated_again(which: str) -> None:
    told = {p: book(which).open(p) for p in mine(which)}
    closed = {p: e for p, e in told.items() if e.told.again is not None}
    assert len(closed) > 5
    for path, e in closed.items():
        assert e.told.again == pytest.approx(e.value, rel=1e-6, abs=5e-9), path


@EACH
def test_an_input_opens_to_the_same_value(which: str) -> None:
    found = book(which).answer
    for path in mine(which):
        for i in book(which).open(path).told.inputs:
            if i.path and not isinstance(i.value, str):
                assert at(found, resolved(found, i.path)) == pytest.approx(i.value, rel=1e-9, abs=1e-9), (path, i.path)


def test_every_finding_with_a_number_was_opened() -> None:
    seen = {f["code"] for w in CASES for f in book(w).answer["findings"] if f["value"] is not None}
    assert {
        "pad-too-hard", "pad-too-shallow", "pad-fills-too-far", "block-too-tall", "flange-fouls-container", "flange-on-table",
        "pad-unfinished",
    } <= seen  # fmt: skip


def test_numbers_are_called_by_their_path() -> None:
    b = book("closed")
    for path in mine("closed"):
        assert resolved(b.answer, named(b.answer, path)) == path
    assert b.open("under_pad.closing_pressure_mpa").unit == "MPa"
    assert b.open("under_pad.points[0].ram_force_n").unit == "N"
    assert "held against nothing" in b.open("under_pad.points[2].angle_released_deg").told.compared


def test_a_softer_pad_moves_the_numbers_and_is_named_as_the_cause() -> None:
    soft = pad_book(
        padded(small_part(), small_press(strain_limit=0.3, shear_modulus_mpa=1.2), PadAsk(pressure=6.0))
    ).answer
    told = why(book("closed").answer, soft)
    assert [c.key for c in told.causes] == ["press[P2].pad.shear_modulus"]
    moved = {m.path: m.because for m in told.moved}
    assert "under_pad.closing_pressure_mpa" in moved
    assert [p for p, because in moved.items() if p != "under_pad.elapsed_s" and because != (0,)] == []
    closes = [x["under_pad"]["closing_pressure_mpa"] for x in (soft, book("closed").answer)]
    assert closes[0] < closes[1]
