"""The shortest flange: what geometry leaves straight, and what the pressure at hand can close."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.mechanics import pad
from ribwright.stages.checks.context import Finding, Looked, margin, place
from ribwright.stages.pressure import Demand
from ribwright.units import show_pressure


def findings(looked: Looked) -> Iterator[Finding]:
    """No straight part: a stop. With a press: each flange against the pressure it gives."""
    for strip in looked.blank.strips:
        for i in strip.run.edges:
            mine = strip.at.edge == i
            j = np.flatnonzero(mine)[int(np.argmin(strip.at.leg[mine]))]
            if strip.at.leg[j] <= 0:
                yield _too_short(looked, strip.at.width[j], strip.at.setback[j], {
                    "edge": looked.blank.laid[strip.loop].edges[i].edge.name, "along_mm": float(strip.at.along[j]),
                })  # fmt: skip
    for h in looked.blank.holes:
        if h.outcome == "no-flange":
            yield Finding(
                "hole-flange-too-short",
                "stop",
                f"The sizes of hole {h.hole.name} leave no straight flange beyond its bend.",
                "A smaller cut hole, or a smaller bend radius the table allows.",
                {"hole": h.hole.name},
            )
        if h.outcome == "undetermined":
            yield Finding(
                "hole-size-undetermined",
                "stop",
                f"Hole {h.hole.name} turns 90 deg: its finished opening does not say how tall the flange is.",
                "Give flange_height, cut_diameter or flat_height instead of rim_diameter.",
                {"hole": h.hole.name},
            )
    if looked.setup is not None:
        for d in looked.setup.demands:
            yield from _pressure(looked, d)


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


def _pressure(looked: Looked, d: Demand) -> Iterator[Finding]:
    assert looked.setup is not None
    have, first = looked.setup.available, looked.first
    need = d.need
    sure = f"{show_pressure(need.low, first)} to {show_pressure(need.high, first)}"
    tail = f" The formula is unverified here ({d.unverified})." if d.unverified else ""
    if need.value > have:
        yield Finding(
            "pressure-short",
            "stop",
            f"{place(d.where)} needs {show_pressure(need.value, first)} (90 %: {sure}); press "
            f"{looked.setup.press.id} gives {show_pressure(have, first)}: it stays open.{_shortest(looked, d)}{tail}",
            "A stronger press or a smaller pad, a softer temper, or a wider flange.",
            d.where, need.value, have, margin(need.value, have), "MPa", need.model,
        )  # fmt: skip
    elif need.high > have:
        yield Finding(
            "pressure-marginal",
            "warn",
            f"{place(d.where)} needs {show_pressure(need.value, first)} (90 %: {sure}) and press "
            f"{looked.setup.press.id} gives {show_pressure(have, first)}: it may stay open.{tail}",
            "First piece on scrap; have a cover plate and mallet ready to finish it by hand.",
            d.where, need.high, have, margin(need.high, have), "MPa", need.model,
        )  # fmt: skip


def _shortest(looked: Looked, d: Demand) -> str:
    """The shortest straight part this press closes, in words; empty when it closes none."""
    assert looked.setup is not None
    press = looked.setup.press
    k, g = (0.0, 0.0) if press.kind == "fluid" else (
        float(pad.pad_coefficient(press.pad.shore_a).k), float(pad.shear_modulus(press.pad.shore_a).shear_mpa),
    )  # fmt: skip
    s = float(pad.shortest_straight(d.moment, looked.setup.available, k, g))
    if not np.isfinite(s):
        return " The pad alone takes up all of it."
    return f" The shortest straight part it closes is {looked.length(s)}; here it is {looked.length(d.straight)}."
