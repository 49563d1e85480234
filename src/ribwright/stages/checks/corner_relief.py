"""Corner and end reliefs: contained, big enough, or refused."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, radians, sin

from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.corners import Join

OVERLAP_MM = 0.05
END_TURN_DEG = 80.0


def findings(looked: Looked) -> Iterator[Finding]:
    """Every join of two edges of which at least one has a flange."""
    for loop in looked.blank.joins:
        for j in loop:
            if j.kind == "corner":
                yield from _corner(looked, j)
            elif j.kind in ("end-before", "end-after"):
                yield from _end(looked, j)


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
        yield Finding(
            "relief-small",
            "warn",
            f"The relief hole at {j.before}/{j.after} is {looked.length(j.diameter)}; the shop's rule asks for "
            f"{looked.length(j.least)}.",
            "Ask for the larger hole, or polish this one and look for cracks.",
            where, j.diameter, j.least, margin(j.diameter, j.least, least=True), "mm", f"{rule.title}: {rule.source}",
        )  # fmt: skip
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
    if j.relief == "none" and j.turn < radians(END_TURN_DEG):
        yield Finding(
            "flange-end-relief",
            "warn",
            f"The flange ends at {j.before}/{j.after} where the edge turns only {degrees(j.turn):.0f} deg and the web "
            "goes on beside it: the bend tears there.",
            "A [[corner]] with relief = \"hole\" at this end, or a notch.",
            {"corner": [j.before, j.after]}, degrees(j.turn), END_TURN_DEG,
            margin(degrees(j.turn), END_TURN_DEG, least=True), "deg", "common practice",
        )  # fmt: skip
