"""The undercut as cut: solved or not, too sharp a block edge, and the angle that a fixed undercut leaves."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.sections import MODEL as SECTION


def findings(looked: Looked) -> Iterator[Finding]:
    """One finding an edge at most, besides the note on the band and the standing note on the model."""
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
        left = float(e.remaining[int(np.argmax(np.abs(e.remaining)))])
        limit = min(allowed) if allowed else None
        if e.under.known and abs(left) > 0.05 and (limit is None or abs(left) > limit):
            yield Finding(
                "undercut-leaves-angle",
                "warn",
                f"With undercut {looked.job.part.block_undercut!r}, {e.edge} comes out {abs(left):.1f} deg "
                f"{'closed' if left > 0 else 'open'} at worst.",
                "Set the angle by hand after forming, or let the undercut vary.",
                where, abs(left), limit, margin(abs(left), limit) if limit else None, "deg", _by(e.under.model),
            )  # fmt: skip
    yield from _band(looked)
    yield from _recesses(looked)
    if looked.block.edges:
        yield Finding(
            "not-compared",
            "note",
            f"Undercut, springback and pressure come from {_models(looked)}; they were not compared with a real formed part.",
            "First piece on scrap: measure its flange angle and correct the block before the lot.",
        )


def _by(model: str) -> str:
    return "section model" if model == SECTION else "closed form of springback"


def _models(looked: Looked) -> str:
    if looked.job.sections is None:
        return "closed forms"
    return "a section model and closed forms" if looked.job.sections.left else "a section model"


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
                {"hole": r.name}, left, limit, margin(left, limit) if limit else None, "deg", _by(r.model),
            )  # fmt: skip


def _band(looked: Looked) -> Iterator[Finding]:
    """The forecast's own uncertainty against the drawing's tolerance: the worst edge, and which others."""
    allowed = looked.job.part.tolerance.get("flange_angle")
    if not allowed:
        return
    known = [e for e in looked.block.edges if e.under.known and e.under.good.all() and np.min(e.under.radius) > 0]
    rows = [(float(np.max(e.under.high - e.under.deg)), e.edge) for e in known]
    rows = sorted((r for r in rows if r[0] > min(allowed)), key=lambda r: -r[0])
    if not rows:
        return
    half, worst = rows[0]
    also = f" Also: {', '.join(name for _, name in rows[1:])}." if len(rows) > 1 else ""
    yield Finding(
        "band-over-tolerance",
        "note",
        f"{worst} may come off the first block up to {half:.1f} deg off; the drawing allows {min(allowed):g} deg.{also}",
        "First piece on scrap; correct the block by what it measures before the lot.",
        {"edge": worst}, half, min(allowed), margin(half, min(allowed)), "deg", "90 % band of the undercut",
    )  # fmt: skip
