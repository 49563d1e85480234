"""What says that this part may be made."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked


def findings(looked: Looked) -> Iterator[Finding]:
    """A part without approved data, person or date may be planned but not released."""
    a = looked.job.part.approval
    empty = [k for k in ("data", "by", "date") if not getattr(a, k).strip()]
    if empty:
        yield Finding(
            "no-release",
            "warn",
            f"Not released: approval {', '.join(empty)} {'is' if len(empty) == 1 else 'are'} empty. Plan it, do not ship it.",
            "A person fills in [approval] from the drawing or the approved data.",
            {"key": "approval"},
            source="the shop's own release procedure",
        )
