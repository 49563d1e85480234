"""Numbers of findings and of margins: value, limit, margin and place, by a row for each code or quantity."""

from __future__ import annotations

from dataclasses import replace
from math import expm1

import numpy as np

from ribwright.stages.blank import RunStrip
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.blank_edges import ANNULUS
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.family import Case, Family, Place, between, constant
from ribwright.stages.explain.finding_codes import CODES, EDGE_STRAIN
from ribwright.stages.explain.judged import Judged
from ribwright.stages.explain.margin_rows import MARGINS

STRAIN = "engineering strain"
NOT_WRITTEN = Judged("No explanation is written for this code yet.", "", lambda p: (), lambda p: ())


def judged(place: Place) -> Judged:
    """What is known of the finding's code, or of the margin's quantity."""
    if place.path.startswith("margins"):
        return MARGINS.get(str(place.row["quantity"]), NOT_WRITTEN)
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
    j, base = judged(case), case.path.rpartition(".")[0]
    unit = str(case.row["unit"])
    value, limit = (case.number(k, f"the {k} beside it", f"{base}.{k}", unit) for k in ("value", "limit"))
    v, m = float(value.value), float(limit.value)
    if unit == STRAIN and j.inputs and j.again:
        # from the strain itself: the value as printed is too coarse where the limit is a few per cent and the margin nothing
        eps = j.inputs(case)
        v, value = j.again(*(float(i.value) for i in eps)), replace(eps[0], name=f"{eps[0].name}: value = {j.formula}")
    again = ((v - m) if j.least else (m - v)) / m
    snapped = case.path.startswith("margins") and j.snapped > 0
    return Told(
        "Share of the limit that is left; negative is past it.",
        "formula",
        ("(value - limit)/limit, the limit being a lower one" if j.least else "(limit - value)/limit")
        + (f"; 0 within {j.snapped:g}: a value that is the limit but for its rounding" if snapped else ""),
        (value, limit),
        "definition",
        again=0.0 if snapped and abs(again) <= j.snapped else again,
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


def _station(case: Case) -> tuple[RunStrip, int]:
    """Strip and station of a row of a margin's list along its edge."""
    strip, i = case.plan.blank.strip_of(str(case.row["where"]["edge"]))
    mine = np.flatnonzero(strip.at.edge == i)
    along = case.row["stations"][int(case.caught[1])]["along_mm"]
    return strip, int(mine[int(np.argmin(np.abs(strip.at.along[mine] - along)))])


def _station_along(case: Case) -> Told:
    edge = str(case.row["where"]["edge"])
    return Told(
        "Where on the edge this station lies, arc length from its start as typed.",
        "geometry",
        "stations of the run, evenly thinned; first, last and worst are kept",
        (Input("edge", "edge", edge, "", f"part file: web.edge[{edge}]"),),
        "stations of the run",
    )


def _station_value(case: Case) -> Told:
    strip, k = _station(case)
    eps = between("eps", "true strain of the free edge there", float(strip.strip.edge_strain[k]), "", EDGE_STRAIN)
    shrinks = str(case.row["quantity"]) == "edge_shrink"
    again = expm1(float(eps.value))
    return Told(
        f"Engineering strain {'gathered' if shrinks else 'stretched'} at this station; 0 where the edge does the opposite.",
        "formula",
        "max(1 - exp(eps), 0)" if shrinks else "max(exp(eps) - 1, 0)",
        (eps,),
        ANNULUS,
        "a complete ring, which the smoothed curvature stands for",
        compared="kinematics of the edge; no formed part was compared",
        again=max(-again if shrinks else again, 0.0),
    )


def _station_margin(case: Case) -> Told:
    """From the strain itself: value and limit as printed are too coarse where the margin is next to nothing."""
    told = _station_value(case)
    limit = case.number("limit", "the limit beside it", f"{case.path.rpartition('.')[0]}.limit")
    value, most = float(told.again or 0.0), float(limit.value)
    words = f"(limit - value)/limit, value = {told.formula}"
    what = "Share of the limit that is left at this station; negative is past it."
    return Told(what, "formula", words, (*told.inputs, limit), "definition", again=(most - value) / most)


FAMILIES = (
    Family("margins[*].value", _on_value, _value),
    Family("margins[*].limit", _on_limit, _limit),
    Family("margins[*].margin", _on_both, _margin),
    Family("margins[*].where.along_mm", lambda p: (*_on_value(p), *on.SHAPE), _along),
    Family("margins[*].stations[*].along_mm", lambda p: on.SHAPE, _station_along),
    Family("margins[*].stations[*].value", _on_value, _station_value),
    Family("margins[*].stations[*].limit", _on_both, _limit),
    Family("margins[*].stations[*].margin", _on_both, _station_margin),
    Family("findings[*].value", _on_value, _value),
    Family("findings[*].limit", _on_limit, _limit),
    Family("findings[*].margin", _on_both, _margin),
    Family("findings[*].where.along_mm", lambda p: (*_on_value(p), *on.SHAPE), _along),
    Family("findings[*].where.at_mm[*]", lambda p: (*_on_value(p), *on.SHAPE), _along),
    Family("findings[*].where.(notch|joggle|bead)", lambda p: (*on.NOTCHES, "part.joggles*"), _index),
    Family("margins[*].where.(notch|joggle|bead)", lambda p: (*on.NOTCHES, "part.joggles*"), _index),
)
