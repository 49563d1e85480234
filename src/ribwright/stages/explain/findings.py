"""Numbers of findings: value, limit, margin and place, a row for each code in `finding_codes`."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.family import Case, Family, Place, constant
from ribwright.stages.explain.finding_codes import CODES
from ribwright.stages.explain.judged import Judged

NOT_WRITTEN = Judged("No explanation is written for this code yet.", "", lambda p: (), lambda p: ())


def judged(place: Place) -> Judged:
    """What is known of the finding's code."""
    return CODES.get(str(place.row["code"]), NOT_WRITTEN)


def _value(case: Case) -> Told:
    j = judged(case)
    if j is NOT_WRITTEN:
        return Told(j.value, "formula")
    inputs = j.inputs(case) if j.inputs else (_where(case),)
    again = j.again(*(float(i.value) for i in inputs)) if j.again else None
    return Told(j.value, j.origin, j.formula, inputs, str(case.row["source"]), again=again)


def _where(case: Case) -> Input:
    """The place of the finding, as the input of what was measured there."""
    words = ", ".join(f"{k} {v}" for k, v in case.row["where"].items()) or "whole part"
    return Input("where", "place of the finding", words, "", "part file")


def _limit(case: Case) -> Told:
    j = judged(case)
    if j.limit_origin == "constant":
        own = constant("limit", j.limit, case.value, str(case.row["unit"]), j.limit_formula or "project decision")
        return Told(f"Limit: {j.limit}.", "constant", inputs=(own,), source="project decision")
    inputs = (
        j.limit_inputs(case)
        if j.limit_inputs
        else (
            Input(
                "limit", j.limit, case.value, str(case.row["unit"]), str(case.row["source"]) or "shop file or part file"
            ),
        )
    )
    again = j.limit_again(*(float(i.value) for i in inputs)) if j.limit_again else None
    return Told(f"Limit: {j.limit}.", j.limit_origin, j.limit_formula, inputs, str(case.row["source"]), again=again)


def _margin(case: Case) -> Told:
    least = judged(case).least
    base = f"findings[{case.index}]"
    unit = str(case.row["unit"])
    value, limit = (case.number(k, f"the finding's {k}", f"{base}.{k}", unit) for k in ("value", "limit"))
    v, m = float(value.value), float(limit.value)
    return Told(
        "Share of the limit that is left; negative is past it.",
        "formula",
        "(value - limit)/limit, the limit being a lower one" if least else "(limit - value)/limit",
        (value, limit),
        "definition",
        again=((v - m) if least else (m - v)) / m,
    )


def _along(case: Case) -> Told:
    return Told(
        "Where on the edge the finding lies, arc length from its start as typed.",
        "geometry",
        f"the place where this is worst: {judged(case).value}",
        (_where(case),),
        "stations of the run",
    )


def _index(case: Case) -> Told:
    what = "Which of these tables of the part file is meant, counted from 1."
    return Told(
        what, "typed", inputs=(Input(case.caught[1], case.caught[1], case.value, "", f"part file: {case.caught[1]}"),)
    )


def _on_value(place: Place) -> Keys:
    return judged(place).on_value(place)


def _on_limit(place: Place) -> Keys:
    return judged(place).on_limit(place)


def _on_both(place: Place) -> Keys:
    return (*_on_value(place), *_on_limit(place))


FAMILIES = (
    Family("findings[*].value", _on_value, _value),
    Family("findings[*].limit", _on_limit, _limit),
    Family("findings[*].margin", _on_both, _margin),
    Family("findings[*].where.along_mm", lambda p: (*_on_value(p), *on.SHAPE), _along),
    Family("findings[*].where.at_mm[*]", lambda p: (*_on_value(p), *on.SHAPE), _along),
    Family("findings[*].where.(notch|joggle|bead|flute)", lambda p: ("part.not_modelled*",), _index),
)
