"""The shortest flange: what geometry leaves straight, and what the pressure at hand can close."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.stages.checks.context import Finding, Looked, margin, place
from ribwright.stages.pressure import within
from ribwright.stages.reach import WITHIN_DEG, Reach
from ribwright.units import show_pressure

NO_STRAIGHT_MM = 1e-3  # a straight part that is no more than this is rounding, not metal


def findings(looked: Looked) -> Iterator[Finding]:
    """No straight part: a stop. With a press: each flange against the pressure it gives."""
    for strip in looked.blank.strips:
        for i in strip.run.edges:
            mine = strip.at.edge == i
            j = np.flatnonzero(mine)[int(np.argmin(strip.at.leg[mine]))]
            if strip.at.leg[j] <= NO_STRAIGHT_MM:
                yield _too_short(looked, strip.at.width[j], strip.at.setback[j], {
                    "edge": looked.blank.laid[strip.loop].edges[i].edge.name, "along_mm": float(strip.at.along[j]),
                })  # fmt: skip
    if looked.setup is not None:
        for r in looked.setup.reached:
            yield from _pressure(looked, r)


def _too_short(looked: Looked, width: float, setback: float, where: dict[str, object]) -> Finding:
    return Finding(
        "flange-too-short",
        "stop",
        f"Flange width {looked.length(float(width))} does not reach past the bend, which ends at "
        f"{looked.length(float(setback))}.",
        "Check whether the width is the outside one; else a wider flange or a smaller radius.",
        where,
        float(width),
        float(setback),
        margin(float(width), float(setback), least=True),
        "mm",
    )


def _pressure(looked: Looked, r: Reach) -> Iterator[Finding]:
    assert looked.setup is not None
    d = r.demand
    if d is None:
        return
    have, first = looked.setup.available, looked.first
    need = d.need
    sure = f"{show_pressure(need.low, first)} to {show_pressure(need.high, first)}"
    by = "section model" if d.by_model else "formula"
    tail = f" The {by} is unverified here ({d.unverified})." if d.unverified else ""
    if d.quick is not None:
        tail += f" The closed form said {show_pressure(d.quick + looked.setup.share.mpa, first)}."
    if not within(need.value, have):
        yield Finding(
            "pressure-short",
            "stop",
            f"{place(d.where)} needs {show_pressure(need.value, first)} (90 %: {sure}); press "
            f"{looked.setup.press.id} gives {show_pressure(have, first)}: it stays open{_open(r)}."
            f"{_shortest(looked, r)}{tail}",
            "A stronger press or a smaller pad, a softer temper, or a wider flange, as the drawing allows; else finish it by hand.",
            d.where, need.value, have, margin(need.value, have), "MPa", need.model,
        )  # fmt: skip
    elif need.high > have:
        yield Finding(
            "pressure-marginal",
            "warn",
            f"{place(d.where)} needs {show_pressure(need.value, first)} (90 %: {sure}) and press "
            f"{looked.setup.press.id} gives {show_pressure(have, first)}: {_may_open(r)}.{tail}",
            "First piece on scrap; have a cover plate and mallet ready to finish it by hand.",
            d.where, need.high, have, margin(need.high, have), "MPa", need.model,
        )  # fmt: skip


def _open(r: Reach) -> str:
    """By how much it stays open, in words."""
    if r.under_load is None or r.left_open is None:
        return ""
    low, high = r.under_load.low, r.under_load.high
    return (
        f" by about {r.left_open.value:.0f} deg (turns {r.under_load.value:.0f} of {r.wall:.0f} deg under load, "
        f"90 %: {low:.0f} to {high:.0f}, not compared)"
    )


def _may_open(r: Reach) -> str:
    if r.left_open is None:
        return "it may stay open"
    if r.closes is False and r.left_open.value < WITHIN_DEG:
        return f"at its limit it is just short of closing and may stay open, by up to {r.left_open.high:.0f} deg"
    if r.closes is False:
        return f"at its limit it stays open, by about {r.left_open.value:.0f} deg and up to {r.left_open.high:.0f}"
    return f"it may stay open, by up to {r.left_open.high:.0f} deg"


def _shortest(looked: Looked, r: Reach) -> str:
    """The shortest straight part this press closes, in words; empty when it closes none."""
    s = r.shortest_straight
    if s is None or not np.isfinite(s):
        return " This pressure closes no flange with such a bend."
    quick = r.quick_shortest
    said = "" if quick is None or not np.isfinite(quick) else f" (the closed form says {looked.length(quick)})"
    return (
        f" The shortest straight part it closes is {looked.length(s)}{said}; here it is "
        f"{looked.length(r.flange.straight)}."
    )
