"""The finding of measured circles: how far the furthest one is from the strain map, and what its reading leaves."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case
from ribwright.stages.explain.judged import Judged, keys


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
}
