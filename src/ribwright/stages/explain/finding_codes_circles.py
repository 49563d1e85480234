"""Findings of measured circles and of a rubbed web: what their numbers are and what moves them."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case
from ribwright.stages.explain.judged import Judged, keys, same


def _row(case: Case) -> tuple[int, str]:
    """Index of the finding's circle, and which of its strains the finding speaks of."""
    rows = case.world.answer["circles"]["rows"]
    i = next(k for k, r in enumerate(rows) if r["at_mm"] == case.row["where"]["at_mm"])
    return i, max(("major", "minor"), key=lambda k: abs(rows[i][k]["off"]) - rows[i][k]["reading"])


def _off(case: Case) -> tuple[Input, ...]:
    i, which = _row(case)
    return (case.number("off", f"{which} strain, measured less forecast", f"circles.rows[{i}].{which}.off"),)


def _left(case: Case) -> tuple[Input, ...]:
    i, which = _row(case)
    return (
        case.number("u", f"what the reading leaves of the {which} strain", f"circles.rows[{i}].{which}.reading"),
        case.number("f", "what a face is strained more or less than the middle", f"circles.rows[{i}].faces"),
    )


ON_MAP = (*on.BLANK, *on.SPRING, "part.sheet.grain")


def _moved(case: Case) -> tuple[Input, ...]:
    return (case.number("u", "how far the flat moves", "web_slip.blank_moves_mm", "mm"),)


def _agreement(case: Case) -> tuple[Input, ...]:
    return (case.typed("limit", "how far two blanks may lie apart", "shop.rules.blank_agreement_mm", "mm"),)


CIRCLE_CODES: dict[str, Judged] = {
    "circles-apart": Judged(
        "How far the circle furthest beyond its reading is from the forecast, true strain",
        "what its reading and its face leave open",
        keys(*ON_MAP),
        keys(*ON_MAP),
        formula="|off|",
        inputs=_off,
        again=abs,
        limit_origin="formula",
        limit_formula="u + f",
        limit_inputs=_left,
        limit_again=lambda u, f: u + f,
    ),
    "web-slides": Judged(
        "How far the flat of a rubbed web is from that of a held one, at the most",
        "how far two blanks may lie apart",
        keys(*ON_MAP, "practice.web_friction.value", "press", "shop.presses*"),
        keys("shop.rules.blank_agreement_mm"),
        origin="solved",
        inputs=_moved,
        again=same,
        limit_origin="typed",
        limit_inputs=_agreement,
        limit_again=same,
    ),
}
