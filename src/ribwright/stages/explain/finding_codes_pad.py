"""Findings of a place under the pad that carry a number."""

from __future__ import annotations

from math import cos, radians, sin

from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, between
from ribwright.stages.explain.judged import NOTHING, Inputs, Judged, same
from ribwright.stages.explain.under_pad import on_pad, past_edge


def _of(key: str, symbol: str, name: str, unit: str) -> Inputs:
    return lambda case: (case.number(symbol, name, f"under_pad.{key}", unit),)


def _last(case: Case, key: str, symbol: str, name: str, unit: str) -> Input:
    """The last number of a column of the run."""
    n = len(case.world.answer["under_pad"]["path"][key]) - 1
    return case.number(symbol, name, f"under_pad.path.{key}[{n}]", unit)


def _squeezed(case: Case) -> tuple[Input, ...]:
    pad = case.number("T", "thickness of the pad", "under_pad.pad.thickness_mm", "mm")
    return _last(case, "stroke_mm", "x", "stroke at the last pressure", "mm"), pad


def _filled(case: Case) -> tuple[Input, ...]:
    pad = case.number("T", "thickness of the pad", "under_pad.pad.thickness_mm", "mm")
    return case.number("x", "stroke that fills the container", "under_pad.fill_stroke_mm", "mm"), pad


def _far(case: Case) -> tuple[Input, ...]:
    if not case.world.answer["under_pad"]["path"]["pressure_mpa"]:
        return (between("p", "nothing was pressed", 0.0, "MPa", "the run"),)
    return (_last(case, "pressure_mpa", "p", "last ram pressure found", "MPa"),)


def _flange(case: Case) -> tuple[Input, ...]:
    return (
        case.number("R", "radius of the block's edge", "under_pad.edge_radius_mm", "mm"),
        case.thickness,
        case.number("w", "wall", "under_pad.wall_angle_deg", "deg"),
        case.number("s", "straight part", "under_pad.straight_mm", "mm"),
    )


def _hangs(R: float, t: float, w: float, s: float) -> float:
    return (R + t) * (1.0 - cos(radians(w))) + s * sin(radians(w))


def _past(case: Case) -> tuple[Input, ...]:
    return (between("x", "flat blank past the block's edge", past_edge(case), "mm", "s + arc - R tan(w/2)"),)


def _room(case: Case) -> tuple[Input, ...]:
    return case.number("c", "room beside the block, as counted", "under_pad.room_counted_mm", "mm"), case.thickness


_missing = Judged(
    "What is missing to the wall under the last pressure",
    "degrees within which a flange counts as closed",
    on_pad,
    NOTHING,
    formula="wall angle less angle under load",
    inputs=_of("left_open_deg", "open", "missing under load", "deg"),
    again=same,
    limit_origin="constant",
)


def _share(value: str, inputs: Inputs) -> Judged:
    return Judged(
        value,
        "share by which the pad may be squeezed: strain_limit of the shop file, else 0.6: no pad is squeezed by more",
        on_pad,
        on_pad,
        formula="x/T",
        inputs=inputs,
        again=lambda x, T: x / T,
        limit_origin="typed",
    )


def _up_to(value: str, formula: str, inputs: Inputs) -> Judged:
    """A ram pressure of the run, held against the one asked for."""
    return Judged(
        value,
        "ram pressure asked for",
        on_pad,
        on_pad,
        least=True,
        formula=formula,
        inputs=inputs,
        again=same,
        limit_formula="the last ram pressure",
        limit_origin="formula",
        limit_inputs=_of("last_pressure_mpa", "p", "last ram pressure", "MPa"),
        limit_again=same,
    )


PAD_CODES: dict[str, Judged] = {
    "pad-too-hard": _missing,
    "under-pad-open": _missing,
    "pad-too-shallow": _share("Share of its thickness by which the pad is squeezed at the last pressure", _squeezed),
    "pad-fills-too-far": _share("Share by which the pad is squeezed to fill the container beside the whole block", _filled),
    "block-too-tall": Judged(
        "Share by which the pad is squeezed to fill the space beside the block in the half section",
        "strain_limit of the shop file, else 0.6: no pad is squeezed by more",
        on_pad,
        on_pad,
        formula="H (1 - b/(b + c))/T",
        inputs=_of("fill_strain", "e", "strain when full", ""),
        again=same,
        limit_origin="typed",
    ),
    "pad-unfinished": _up_to("Ram pressure that the run came to", "the last step that settled", _far),
    "pad-rubber-folds": _up_to(
        "Last ram pressure at which the rubber lies whole",
        "the last step before a corner of an element is inside out",
        _of("rubber_folds_mpa", "p", "ram pressure at that step", "MPa"),
    ),
    "flange-fouls-container": Judged(
        "How far the flat blank reaches past the block's edge",
        "room beside the block less the sheet's thickness",
        on_pad,
        on_pad,
        formula="s + arc - R tan(w/2)",
        inputs=_past,
        again=same,
        limit_origin="formula",
        limit_formula="c - t",
        limit_inputs=_room,
        limit_again=lambda c, t: c - t,
    ),
    "flange-on-table": Judged(
        "How far the formed flange hangs below the web face",
        "height of the block",
        on_pad,
        on_pad,
        formula="(R + t) (1 - cos w) + s sin w",
        inputs=_flange,
        again=_hangs,
        limit_origin="formula",
        limit_formula="H",
        limit_inputs=_of("block_height_mm", "H", "height of the block", "mm"),
        limit_again=same,
    ),
    "pad-not-modelled": Judged("A place that the pad model does not know", "", on_pad, NOTHING),
    "pad-loose": Judged("A loose pad", "", on_pad, NOTHING),
}  # fmt: skip
