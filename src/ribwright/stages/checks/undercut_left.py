"""The undercut as cut: solved or not, too sharp a block edge, and the angle that a fixed undercut leaves."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.stages.block import BlockEdge
from ribwright.stages.checks.context import Finding, Looked, margin


def findings(looked: Looked) -> Iterator[Finding]:
    """One finding an edge at most, besides the standing note on the model."""
    allowed = looked.job.part.tolerance.get("flange_angle")
    for e in looked.block.edges:
        where: dict[str, object] = {"edge": e.edge}
        if not e.under.good.all() or np.min(e.under.radius) <= 0:
            yield Finding(
                "undercut-not-solved",
                "stop",
                f"No block edge keeps the arc of {e.edge} at its springback: the block's radius would vanish.",
                "A larger bend radius or a softer temper.",
                where,
                unit="deg",
            )
            continue
        yield from _band(looked, e, where)
        left = float(e.remaining[int(np.argmax(np.abs(e.remaining)))])
        limit = min(allowed) if allowed else None
        if e.under.known and abs(left) > 0.05 and (limit is None or abs(left) > limit):
            yield Finding(
                "undercut-leaves-angle",
                "warn",
                f"With undercut {looked.job.part.block_undercut!r}, {e.edge} comes out {abs(left):.1f} deg "
                f"{'closed' if left > 0 else 'open'} at worst.",
                "Set the angle by hand after forming, or let the undercut vary.",
                where, abs(left), limit, margin(abs(left), limit) if limit else None, "deg", "closed form of springback",
            )  # fmt: skip
    yield from _recesses(looked)
    if looked.block.edges:
        yield Finding(
            "not-compared",
            "note",
            "Undercut, springback and pressure come from closed forms; they were not compared with a real formed part.",
            "First piece on scrap: measure its flange angle and correct the block before the lot.",
        )


def _recesses(looked: Looked) -> Iterator[Finding]:
    """Hole flanges that a block without undercut leaves open."""
    allowed = looked.job.part.tolerance.get("flange_angle")
    limit = min(allowed) if allowed else None
    for r in (*looked.block.recesses, *looked.block.rings):
        left = abs(r.remaining)
        if left > 0.05 and (limit is None or left > limit):
            yield Finding(
                "undercut-leaves-angle",
                "warn",
                f"With undercut {looked.job.part.block_undercut!r}, the hole flange of {r.name} comes out {left:.1f} deg "
                f"{'closed' if r.remaining > 0 else 'open'}.",
                "Set the angle by hand after forming, or let the undercut vary.",
                {"hole": r.name}, left, limit, margin(left, limit) if limit else None, "deg", "closed form of springback",
            )  # fmt: skip


def _band(looked: Looked, e: BlockEdge, where: dict[str, object]) -> Iterator[Finding]:
    """The forecast's own uncertainty against the drawing's tolerance."""
    allowed = looked.job.part.tolerance.get("flange_angle")
    half = float(np.max(e.under.high - e.under.deg))
    if allowed and e.under.known and half > min(allowed):
        yield Finding(
            "band-over-tolerance",
            "note",
            f"{e.edge} may come off the first block up to {half:.1f} deg off; the drawing allows {min(allowed):g} deg.",
            "First piece on scrap; correct the block by what it measures before the lot.",
            where, half, min(allowed), margin(half, min(allowed)), "deg", "90 % band of the undercut",
        )  # fmt: skip
