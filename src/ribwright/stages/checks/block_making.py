"""What the bench should know before it makes the block: no cover plate fits, one block does not do for both hands."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked


def findings(looked: Looked) -> Iterator[Finding]:
    """Notes; without the bench's stages nothing is said."""
    making = looked.making
    if making is None:
        return
    if making.plate.why_none:
        yield Finding(
            "cover-plate-none",
            "note",
            f"No cover plate is drawn: {making.plate.why_none}.",
            "Hold the web down in another way, or let the pad do it.",
            {"key": "cover_plate"},
            making.plate.inset,
            unit="mm",
            source=making.plate.source,
        )
    if looked.job.part.opposite and not making.reversible.yes:
        yield Finding(
            "block-not-reversible",
            "note",
            f"This block does not form the opposite hand, {looked.job.part.opposite}: {_first_bar(making.reversible.why)}",
            "Make a block of its own for each hand.",
            {"key": "part.opposite"},
            source="geometry of the walls and recesses",
        )


def _first_bar(why: tuple[str, ...]) -> str:
    """The first reason that names a place, to begin in the middle of a sentence; edges keep their names."""
    bar = why[-1] if len(why) == 1 else why[1]
    return bar[0].lower() + bar[1:]
