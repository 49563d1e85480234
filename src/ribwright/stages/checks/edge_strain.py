"""Stretch, shrink and hole-edge strain at the free edge, against the limit of the temper, in the limit's own measure."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ribwright.shop.sheet import Fact
from ribwright.stages.checks.context import Finding, Looked, margin, percent

BY_STEP = (
    "expect wrinkles there",
    "Dress the step by hand over the block, from its middle outward; flutes keep clear of steps.",
)


def findings(looked: Looked) -> Iterator[Finding]:
    """Each edge at its worst place, and each hole flange. Limits are engineering strains."""
    for strip in looked.blank.strips:
        for i in strip.run.edges:
            edge = looked.blank.laid[strip.loop].edges[i].edge.name
            mine = np.flatnonzero((strip.at.edge == i) & strip.strip.good)
            if not len(mine):
                continue
            e = np.expm1(strip.strip.edge_strain[mine])
            hi, lo = mine[int(np.argmax(e))], mine[int(np.argmin(e))]
            yield from _stretch(looked, edge, float(strip.at.along[hi]), float(e.max()))
            step = _only_at_step(looked, edge, strip.at.along[mine], -e, float(np.max(strip.at.width[mine])))
            yield from _shrink(looked, edge, float(strip.at.along[lo]), float(-e.min()), step)
    for h in looked.blank.holes:
        if h.edge_strain is not None:
            yield from _hole(looked, h.hole.name, float(np.expm1(h.edge_strain)))


def _stretch(looked: Looked, edge: str, along: float, e: float) -> Iterator[Finding]:
    limit = _limit(looked, "stretch_limit")
    if e < 1e-4:
        return
    where: dict[str, object] = {"edge": edge, "along_mm": along}
    if limit is None:
        if e > 0.01:
            yield _unknown(where, e, "stretch")
        return
    if e > limit.value:
        yield Finding(
            "stretch-limit",
            "stop",
            f"The free edge of {edge} stretches {percent(e)}, limit {percent(limit.value)}: it will split there.",
            "Form in a softer temper, ask for a narrower flange or a larger contour radius, or a relief notch.",
            where, e, limit.value, margin(e, limit.value), "engineering strain", _source(limit),
        )  # fmt: skip
    elif e > 0.8 * limit.value:
        yield Finding(
            "stretch-near-limit",
            "warn",
            f"The free edge of {edge} stretches {percent(e)}, close to the limit {percent(limit.value)}.",
            "Polish the edge, first piece on scrap, look at the edge with a glass.",
            where, e, limit.value, margin(e, limit.value), "engineering strain", _source(limit),
        )  # fmt: skip


def _only_at_step(
    looked: Looked, edge: str, along: NDArray[np.float64], shrink: NDArray[np.float64], width: float
) -> int | None:
    """Number of the joggle whose step shrinks most, where all that shrinks past the smooth limit lies by steps, a flange width from them
    at most; else None."""
    smooth = _limit(looked, "shrink_limit")
    mine = [s for s in looked.joggle_steps if s.edge == edge]
    if smooth is None or not mine:
        return None
    by = np.array([(along > s.start - width) & (along < s.end + width) for s in mine])
    if np.any(shrink[~by.any(axis=0)] > smooth.value):
        return None
    worst = int(np.argmax(shrink))
    return next((s.number for s, here in zip(mine, by, strict=True) if here[worst]), None)


def _shrink(looked: Looked, edge: str, along: float, e: float, step: int | None = None) -> Iterator[Finding]:
    smooth, fluted = _limit(looked, "shrink_limit"), _limit(looked, "shrink_fluted_limit")
    if e < 1e-4:
        return
    where: dict[str, object] = {"edge": edge, "along_mm": along}
    if fluted is not None and e > fluted.value:
        yield Finding(
            "shrink-limit",
            "stop",
            f"The free edge of {edge} must shrink {percent(e)}; flutes side by side take up at most "
            f"{percent(fluted.value)}: it will fold over.",
            "Relief notches along this edge, as a change of the drawing that a person approves.",
            where, e, fluted.value, margin(e, fluted.value), "engineering strain", _source(fluted),
        )  # fmt: skip
    elif smooth is not None and e > smooth.value:
        fluted_by, try_ = _fluted(looked, edge) if step is None else BY_STEP
        place = "" if step is None else f" at the step of joggle {step}"
        yield Finding(
            "shrink-wrinkles",
            "warn",
            f"The free edge of {edge} must shrink {percent(e)}{place}, more than the {percent(smooth.value)} "
            f"that pad and metal take by themselves: {fluted_by}.",
            try_,
            where, e, smooth.value, margin(e, smooth.value), "engineering strain", _source(smooth),
        )  # fmt: skip
    elif smooth is None and e > 0.01:
        yield _unknown(where, e, "shrink")


def _fluted(looked: Looked, edge: str) -> tuple[str, str]:
    """What becomes of an edge past the smooth limit, and what to try."""
    run = looked.fluting.run_of(edge)
    if run is None or not run.enough:
        return "expect wrinkles", "Flute or hand-shrink here, from the middle of the curve to both ends."
    by = "planned" if run.outcome == "planned" else "drawn"
    return (
        f"the flutes as {by} take it",
        "Look at the first piece between the flutes; dress what is left by hand, from the middle to both ends.",
    )


def _hole(looked: Looked, name: str, e: float) -> Iterator[Finding]:
    limit = _limit(looked, "hole_edge_limit")
    where: dict[str, object] = {"hole": name}
    if limit is None:
        yield _unknown(where, e, "hole-edge")
        return
    if e > limit.value:
        yield Finding(
            "hole-edge-limit",
            "stop",
            f"The rim of hole {name} stretches {percent(e)}, limit {percent(limit.value)}: it will split.",
            "A larger cut hole (lower flange), a smaller bend angle, or a softer temper, as the drawing allows.",
            where, e, limit.value, margin(e, limit.value), "engineering strain", _source(limit),
        )  # fmt: skip
    elif e > 0.8 * limit.value:
        yield Finding(
            "hole-edge-near-limit",
            "warn",
            f"The rim of hole {name} stretches {percent(e)}, close to the limit {percent(limit.value)}.",
            "File and polish the cut edge smooth before flanging.",
            where, e, limit.value, margin(e, limit.value), "engineering strain", _source(limit),
        )  # fmt: skip


def _limit(looked: Looked, key: str) -> Fact | None:
    return looked.job.formed.facts.get(key) if looked.job.formed else None


def _source(fact: Fact) -> str:
    return f"{fact.source} ({fact.standing()})"


def _unknown(where: dict[str, object], e: float, kind: str) -> Finding:
    return Finding(
        "strain-limit-unknown",
        "warn",
        f"The edge takes {percent(e)} {kind} strain and no limit is known for this temper.",
        "Form a trial piece, or enter the limit in shop.toml.",
        where, e, unit="engineering strain",
    )  # fmt: skip
