"""How the main numbers of a sheet were computed: formula, source and the path that opens each on the screen, as there."""

from __future__ import annotations

from typing import Any

from ribwright.documents.layout import Piece, gap, heading, small, stacked
from ribwright.stages import answers
from ribwright.stages.explain import Book
from ribwright.stages.fingerprint import inputs_of
from ribwright.stages.plan import Plan

OPENS = "Inputs, validity, band and the key that changes a number: ribwright explain PART --number PATH"


def book_of(plan: Plan) -> Book:
    """The plan with the answer its numbers are looked up in."""
    press = plan.setup.press.id if plan.setup else ""
    whole: dict[str, Any] = {
        "findings": [f.as_json() for f in plan.findings],
        "blank": answers.blank_answer(plan),
        "block": answers.block_answer(plan.block),
        "inputs": inputs_of(plan.job, plan.asked, press, plan.model),
    }
    if plan.setup is not None:
        whole["setup"] = answers.setup_answer(plan.setup)
    return Book(plan, answers.tidy(whole))


def main_numbers(plan: Plan) -> dict[str, str]:
    """Words -> path of the numbers that a job stands on, those of them that are there."""
    drawn = {e.edge.name for loop in plan.blank.laid for e in loop.edges if e.flange}
    edge = next((e.edge for e in plan.block.edges if e.edge in drawn), "")
    rows = {
        "Flat width": f"blank.edges[{edge}].flat_width_mm.max",
        "Undercut": f"block.undercut[{edge}][0].deg",
        "Block radius": f"block.undercut[{edge}][0].edge_radius_mm",
    }
    out = rows if edge else {}
    s = plan.setup
    if s is not None and s.needed is not None:
        out["Needed pressure"] = "setup.needed_pressure_mpa"
    if s is not None and s.pump_gauge_mpa is not None:
        out["Pump to"] = "setup.pump_to_gauge_mpa"
    # where the block sets it, "Why this pressure" says how
    if s is not None and s.gauge_limit_mpa is not None and s.never_past_by == s.gauge_limit_by:
        out["Never past"] = "setup.gauge_limit_mpa"
    return out


def short(book: Book, words: str, path: str) -> str:
    """'Undercut: u = 12 M A / (E' t^3), ... By: source. [PATH]'"""
    told = book.open(path).told
    formula, source = (t.partition(";")[0].rstrip(".") for t in (told.formula or "as typed", told.source))
    by = f" By: {source}." if source else ""
    return f"{words}: {formula}.{by} [{path}]"


def computed(plan: Plan, width: float, *only: str) -> list[Piece]:
    """The box of the main numbers, or of those named; nothing for a plan that has none of them."""
    lines = _lines(plan, only)
    if not lines:
        return []
    told = [p for line in (*lines, f"{OPENS}.") for p in small(line, width)]
    return [stacked([heading("How this was computed", width), *told, gap(1.0)])]


def in_brief(plan: Plan, width: float, *only: str) -> Piece:
    """The same as one paragraph of small print, for a sheet that is full; no height for a plan that has none of them."""
    lines = _lines(plan, only)
    return stacked(
        [*small(" ".join(("How this was computed.", *(f"{line}." for line in lines), f"{OPENS}.")), width), gap(2.0)]
        if lines
        else []
    )


def _lines(plan: Plan, only: tuple[str, ...]) -> list[str]:
    rows = {w: p for w, p in main_numbers(plan).items() if not only or w in only}
    book = book_of(plan) if rows else None
    return [short(book, words, path) for words, path in rows.items()] if book else []
