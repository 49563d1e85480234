"""Joggles: steps that are too short for their depth, strained too much, run into rivets or corners, or that the press cannot set."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.stages.checks.context import Finding, Looked, margin, percent
from ribwright.stages.joggles import Step, steps
from ribwright.units import show_pressure

ROOM_MM = 0.01  # a rivet this much nearer than it may be is rounding


def findings(looked: Looked) -> Iterator[Finding]:
    """Every step by itself."""
    for s in steps(looked.job, looked.blank):
        yield from _short(looked, s)
        yield from _strain(looked, s)
        yield from _cut_off(looked, s)
        yield from _rivets(looked, s)
        yield from _pressure(looked, s)


def _short(looked: Looked, s: Step) -> Iterator[Finding]:
    fact = looked.job.catalogue.practice["joggle_runout_depths"]
    least = fact.value * s.depth
    if s.length < least - 1e-9:
        yield Finding(
            "joggle-short",
            "warn",
            f"The joggle of {s.edge} runs out over {looked.length(s.length)}, {s.length / s.depth:.1f} times its depth "
            f"{looked.length(s.depth)}; at least {fact.value:g} times is usual.",
            "Ask for a longer run-out, or form one on scrap and look at both bends of the step with a glass.",
            s.where, s.length, least, margin(s.length, least, least=True), "mm", f"{fact.source} ({fact.standing()})",
        )  # fmt: skip


def _strain(looked: Looked, s: Step) -> Iterator[Finding]:
    limit = looked.job.formed.facts.get("stretch_limit") if looked.job.formed else None
    value = s.stretch + s.bend
    if limit is not None and value > limit.value:
        yield Finding(
            "joggle-stretch",
            "warn",
            f"The step of {s.edge} strains the sheet's outer face by up to {percent(value)} ({percent(s.stretch)} longer, "
            f"{percent(s.bend)} by bending), limit {percent(limit.value)}: it may crack at the bends of the step.",
            "A longer run-out or a softer temper, as the drawing allows; first piece on scrap.",
            s.where, value, limit.value, margin(value, limit.value), "engineering strain",
            f"{limit.source} ({limit.standing()})",
        )  # fmt: skip


def _cut_off(looked: Looked, s: Step) -> Iterator[Finding]:
    """A corner's relief, a flange's end or a notch inside a step."""
    strip, i = looked.blank.strip_of(s.edge)
    own = strip.at.along[strip.at.edge == i]
    low, high = float(np.min(own)), float(np.max(own))
    for a, b in strip.at.gaps:
        ends = sorted((float(strip.at.along[a]), float(strip.at.along[b])))
        if int(strip.at.edge[a]) == i and ends[0] < s.end - ROOM_MM and ends[1] > s.start + ROOM_MM:
            yield Finding(
                "joggle-cut-off",
                "warn",
                f"A notch lies over the step of {s.edge}: only part of the step is left beside it.",
                "Move the notch or the joggle, as the drawing allows, or let the step lie wholly inside the notch.",
                s.where,
            )
    if s.start < low - ROOM_MM or s.end > high + ROOM_MM:
        yield Finding(
            "joggle-cut-off",
            "warn",
            f"The step of {s.edge} runs into the corner: the flange ends inside it, {looked.length(low if s.start < low else high)} "
            "along the edge.",
            "Let the step end before the corner's relief, or run the joggle out to the end of the edge.",
            s.where,
        )  # fmt: skip


def _rivets(looked: Looked, s: Step) -> Iterator[Finding]:
    for row in looked.job.part.rivets:
        if row.edge != s.edge or row.on != "flange":
            continue
        at = row.first + row.pitch * np.arange(row.count)
        room = np.maximum(s.start - at, at - s.end)
        k = int(np.argmin(room))
        if room[k] < row.edge_distance - ROOM_MM:
            where = {**s.where, "along_mm": float(at[k])}
            how = "stands in the step" if room[k] < 0 else f"is {looked.length(float(room[k]))} from the step"
            yield Finding(
                "joggle-near-rivet",
                "warn",
                f"Rivet {k + 1} of {s.edge} {how} of its joggle; its edge distance is {looked.length(row.edge_distance)}.",
                "Move the rivet or the joggle, as the drawing allows: a head does not sit on the bend of a step.",
                where, float(room[k]), row.edge_distance, margin(float(room[k]), row.edge_distance, least=True), "mm",
                "common practice: a rivet keeps its edge distance from a step",
            )  # fmt: skip


def _pressure(looked: Looked, s: Step) -> Iterator[Finding]:
    setup = looked.setup
    if setup is None or (need := s.needs(setup.share)) is None:
        return
    pump, first = setup.pump_pressure, looked.first
    have = setup.available if pump is None else pump
    if need.value <= have:
        return
    short = need.low > have
    sure = f"{show_pressure(need.low, first)} to {show_pressure(need.high, first)}"
    most = show_pressure(setup.available, first)
    gives = (
        f"press {setup.press.id} gives {most}"
        if pump is None
        else f"{show_pressure(pump, first)} is pumped to, {most} at most"
    )
    yield Finding(
        "joggle-not-set" if short else "joggle-may-not-set",
        "warn" if short else "note",
        f"The step of {s.edge} takes about {show_pressure(need.value, first)} to set ({sure}, an estimate); {gives}: "
        f"{'it will not lie in the block' if short else 'it may not lie fully in the block'}.",
        "Set the step by hand over the block with a fibre drift after the hit; more pressure where block and press allow it.",
        s.where, need.low if short else need.value, have, margin(need.low if short else need.value, have), "MPa", need.model,
    )  # fmt: skip
