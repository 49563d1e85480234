"""Findings of a forecast that carry a number: what is missing to the wall, what is off the drawing, what necks."""

from __future__ import annotations

from ribwright.mechanics.hardening import necking_strain
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place, between
from ribwright.stages.explain.forecast_place import on_forecast
from ribwright.stages.explain.judged import NOTHING, Inputs, Judged, same


def _row(case: Case) -> int:
    """Index of the forecast's place that the finding is about."""
    where = case.row["where"]
    rows = case.world.answer["forecast"]["stations"]
    return next(i for i, r in enumerate(rows) if all(r.get(k) == v for k, v in where.items()))


def _of(key: str, symbol: str, name: str, unit: str) -> Inputs:
    return lambda case: (case.number(symbol, name, f"forecast.stations[{_row(case)}].{key}", unit),)


def _necks(case: Case) -> tuple[Input, ...]:
    h = case.plan.job.formed.hardening if case.plan.job.formed else None
    assert h is not None
    limit = float(necking_strain(h.n, h.prestrain))
    strain = case.number("e", "hoop strain of the free edge", f"forecast.stations[{_row(case)}].edge_strain.value", "")
    return strain, between("n - e0", "plastic strain at which the sheet necks", limit, "", "material record: hardening")


def _limit(case: Case) -> tuple[Input, ...]:
    words = "part file: tolerance.flange_angle, or the flange's or edge's own"
    return (between("limit", "tolerance on this side", float(case.row["limit"]), "deg", words),)


def _on(place: Place) -> Keys:
    return on_forecast(place)


FORECAST_CODES: dict[str, Judged] = {
    "forecast-left-open": Judged(
        "What is missing to the block's wall under load",
        "degrees within which a flange counts as closed",
        _on,
        NOTHING,
        formula="wall angle less angle under load",
        inputs=_of("left_open_deg.value", "open", "missing under load", "deg"),
        again=same,
        limit_origin="constant",
    ),
    "forecast-angle-outside": Judged(
        "How far the released angle is from the drawing's, either way",
        "tolerance of the flange's angle on that side",
        _on,
        lambda _: ("part.tolerance.*flange_angle",),
        formula="|released angle - drawing|",
        inputs=_of("off_drawing_deg", "off", "released angle less the drawing's", "deg"),
        again=abs,
        limit_origin="typed",
        limit_inputs=_limit,
        limit_again=same,
    ),
    "forecast-would-neck": Judged(
        "True hoop strain of the free edge",
        "",
        _on,
        NOTHING,
        formula="e > n - e0",
        inputs=_necks,
        again=lambda e, _: e,
    ),
}
