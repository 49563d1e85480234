"""Whether the part comes off its block."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked
from ribwright.stages.lift_off import push_words, slides_toward


def findings(looked: Looked) -> Iterator[Finding]:
    """Trapped is a stop unless the flange's own springback range can spring it over; sliding off is a note."""
    lift = looked.block.lift
    where: dict[str, object] = {"edge": lift.edge, "along_mm": lift.along}
    if lift.how == "trapped":
        yield Finding(
            "trapped",
            "warn" if lift.springs else "stop",
            f"The part is trapped on its block: {lift.edge} closes {lift.past_square:.1f} deg past square and no direction is free."
            + (" It can be sprung off within its springback." if lift.springs else ""),
            "Make the block in two pieces with a loose wedge, or spring the closed flange off first.",
            where,
            lift.past_square,
            0.0,
            None,
            "deg",
            "geometry of the released flanges",
        )
    elif lift.how == "slides":
        toward = slides_toward(lift, looked.blank)
        yield Finding(
            "slides-off",
            "note",
            f"The part does not lift straight off: {push_words(toward, lift.direction, looked.first)}.",
            "Mark the direction on the block.",
            where,
            lift.past_square,
            unit="deg",
            source="geometry of the released flanges",
        )
