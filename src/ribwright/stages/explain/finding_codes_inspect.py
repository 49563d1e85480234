"""Findings of an inspection: what their numbers are and what moves them."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case
from ribwright.stages.explain.judged import NOTHING, Judged, keys, same

ON_RESULT = (*on.SHAPE, "part.holes*", "part.tolerance*", "shop.rules.decision", "shop.gauges*")


def _result(case: Case) -> int:
    """Index of the result that the finding speaks of."""
    where = {k: v for k, v in case.row["where"].items() if k != "quantity"}
    rows = case.world.answer["inspect"]["results"]
    return next(i for i, r in enumerate(rows) if r["where"] == where and r["quantity"] == case.row["where"]["quantity"])


def _value(case: Case) -> tuple[Input, ...]:
    i = _result(case)
    return (case.number("d", "measured less the drawing's", f"inspect.results[{i}].deviation", case.row["unit"]),)


def _limit(case: Case) -> tuple[Input, ...]:
    i = _result(case)
    limits = case.world.answer["inspect"]["results"][i]["limits"]
    which = "high" if case.row["value"] > 0 else "low"
    assert limits is not None
    return (
        case.number("limit", "the drawing's limit", f"inspect.results[{i}].limits.{which}", case.row["unit"]),
        case.number("n", "the drawing's", f"inspect.results[{i}].nominal", case.row["unit"]),
    )


INSPECT_CODES: dict[str, Judged] = {
    "measured-outside": Judged(
        "How far the characteristic is off the drawing, as measured", "what of it the drawing allows to that side",
        keys(*ON_RESULT), keys(*ON_RESULT),
        formula="d", inputs=_value, again=same, limit_origin="formula", limit_formula="limit - n", limit_inputs=_limit,
        limit_again=lambda limit, n: limit - n,
    ),
    "measured-cannot-tell": Judged(
        "Results of which nobody can tell whether they lie inside", "none of them", keys(*ON_RESULT), NOTHING,
        formula="counted", limit_origin="constant",
    ),
    "measured-by-drawing": Judged(
        "Sizes of details that no reading has a name for", "none of them",
        keys("part.notches*", "part.flutes*", "part.beads*", "part.joggles*"), NOTHING, formula="counted", limit_origin="constant",
    ),
    "measured-not-judged": Judged(
        "Results without a tolerance in the part file", "none of them", keys("part.tolerance*"), NOTHING, formula="counted",
        limit_origin="constant",
    ),
}  # fmt: skip
