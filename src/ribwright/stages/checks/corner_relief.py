"""Corner and end reliefs: contained, big enough, or refused."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, radians, sin

import numpy as np

from ribwright.features.laid import LaidEdge
from ribwright.geometry.offset import SMOOTH
from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.corners import Join

OVERLAP_MM = 0.05
STEP_MM, STEP_DEG = 0.05, 0.1
END_TURN_DEG = 80.0


def findings(looked: Looked) -> Iterator[Finding]:
    """Every join of two edges of which at least one has a flange."""
    for laid, loop in zip(looked.blank.laid, looked.blank.joins, strict=True):
        for i, j in enumerate(loop):
            if j.kind in ("smooth", "corner") and abs(j.turn) < SMOOTH:
                yield from _step(looked, laid.edges[i], laid.edges[(i + 1) % len(loop)])
            elif j.kind == "corner":
                yield from _corner(looked, j)
            elif j.kind in ("end-before", "end-after"):
                yield from _end(looked, j)


def _step(looked: Looked, a: LaidEdge, b: LaidEdge) -> Iterator[Finding]:
    """Two flanges that go on into each other must have the same section at the join."""
    end, start = np.array([a.curve.length]), np.array([0.0])
    jump = max(
        abs(float(a.width(end)[0] - b.width(start)[0])), abs(float(a.tangent_inset(end)[0] - b.tangent_inset(start)[0]))
    )
    if jump > STEP_MM or abs(float(a.angle(end)[0] - b.angle(start)[0])) > STEP_DEG:
        yield Finding(
            "flange-step",
            "warn",
            f"The flange changes its width, angle or radius at the smooth join {a.edge.name}/{b.edge.name}: "
            "blank and block step there, and the flange tears or folds.",
            "Let the values run into each other, or ask for a relief notch there.",
            {"corner": [a.edge.name, b.edge.name]},
            jump,
            STEP_MM,
            margin(jump, STEP_MM),
            "mm",
            "geometry",
        )


def _corner(looked: Looked, j: Join) -> Iterator[Finding]:
    where: dict[str, object] = {"corner": [j.before, j.after]}
    rule = looked.job.relief_rule
    if not j.found:
        yield Finding(
            "corner-lines-do-not-meet",
            "stop",
            f"The bend tangent lines of {j.before} and {j.after} do not meet near their corner.",
            "Check the corner's angle and the bend radii; a smooth change of flange needs a plain edge between.",
            where,
        )
        return
    if j.relief == "none":
        overlap = 2 * looked.job.t * abs(sin(j.turn / 2))
        if overlap > OVERLAP_MM:
            yield Finding(
                "corner-overlap",
                "stop",
                f"Without relief the flanges {j.before} and {j.after} overlap by {looked.length(overlap)} where they meet.",
                f"A relief hole there; the rule {rule.name!r} gives its size.",
                where, overlap, OVERLAP_MM, margin(overlap, OVERLAP_MM), "mm", "geometry of the two formed flanges",
            )  # fmt: skip
        return
    if j.diameter > 0 and not j.holds_meeting:
        yield Finding(
            "relief-misses-corner",
            "stop",
            f"The relief hole at {j.before}/{j.after} does not hold the meeting of the two bend tangent lines: it will tear.",
            f"Diameter at least {looked.length(2 * j.set_back)} for this set-back, or less set-back.",
            where, j.diameter, 2 * j.set_back, margin(j.diameter, 2 * j.set_back, least=True), "mm", "geometry",
        )  # fmt: skip
    if j.by == "drawing" and 0 < j.diameter < j.least * (1 - 1e-6):
        yield _small(looked, j)
    yield from _by_rule(looked, j)


def _small(looked: Looked, j: Join) -> Finding:
    rule = looked.job.relief_rule
    return Finding(
        "relief-small",
        "warn",
        f"The relief hole at {j.before}/{j.after} is {looked.length(j.diameter)}; the shop's rule asks for "
        f"{looked.length(j.least)}.",
        "Ask for the larger hole, or polish this one and look for cracks.",
        {"corner": [j.before, j.after]}, j.diameter, j.least, margin(j.diameter, j.least, least=True), "mm", f"{rule.title}: {rule.source}",
    )  # fmt: skip


def _by_rule(looked: Looked, j: Join) -> Iterator[Finding]:
    rule = looked.job.relief_rule
    where: dict[str, object] = {"corner": [j.before, j.after]}
    if j.by != "drawing":
        yield Finding(
            "relief-by-rule",
            "note",
            f"The part file gives no size for the relief at {j.before}/{j.after}: rule {j.by!r} gives a hole of "
            f"{looked.length(j.diameter)}, set back {looked.length(j.set_back)}.",
            "Confirm it against the drawing.",
            where, j.diameter, unit="mm", source=f"{rule.title}: {rule.source} ({rule.status})",
        )  # fmt: skip


def _end(looked: Looked, j: Join) -> Iterator[Finding]:
    """A flange that stops where the web goes on beside it tears without a relief."""
    if j.relief != "none":
        yield from _by_rule(looked, j)
        if j.by == "drawing" and j.diameter < j.least * (1 - 1e-6):
            yield _small(looked, j)
    elif j.turn < radians(END_TURN_DEG):
        yield Finding(
            "flange-end-relief",
            "warn",
            f"The flange ends at {j.before}/{j.after} where the edge turns only {max(degrees(j.turn), 0.0):.0f} deg and the web "
            "goes on beside it: the bend tears there.",
            "A [[corner]] with relief = \"hole\" at this end, or a notch.",
            {"corner": [j.before, j.after]}, degrees(j.turn), END_TURN_DEG,
            margin(degrees(j.turn), END_TURN_DEG, least=True), "deg", "common practice",
        )  # fmt: skip
