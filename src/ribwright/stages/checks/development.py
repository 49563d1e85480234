"""The flat itself: flanges that fold or close, strips that claim the same sheet, an outline that crosses itself."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked
from ribwright.stages.flat_faults import flat_faults


def findings(looked: Looked) -> Iterator[Finding]:
    """Refusals of the developed blank, each at its place."""
    yield from flat_faults(looked.blank)
    if not looked.block.closed_up:
        yield Finding(
            "block-corner-open",
            "stop",
            "The walls of the block do not meet at a corner: an edge is too short for its undercut and height.",
            "Check short edges near corners; join edges that are one contour.",
            {"loop": "web"},
        )
