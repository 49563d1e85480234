"""The formed part's own shape: flanges that fold or pass through each other, lines that cross themselves."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked
from ribwright.stages.formed_faults import formed_faults


def findings(looked: Looked) -> Iterator[Finding]:
    """Every fault of the formed shape."""
    yield from formed_faults(looked.job, looked.blank)
