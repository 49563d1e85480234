"""Proposed relief notches as findings, under their JSON keys, and as tables of a part file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ribwright.features.part import Notch
from ribwright.stages.finding import Finding
from ribwright.stages.relief_notches import SHRINK, NoneWorks, Proposal
from ribwright.units import MM_PER_IN, show_length

DIGITS = {"in": 4, "mm": 3}
KIND = "relief-notches"


def proposal_findings(rows: tuple[Proposal | NoneWorks, ...], first: Any) -> Iterator[Finding]:
    """What is proposed, or why nothing is."""
    for row in rows:
        yield _proposed(row, first) if isinstance(row, Proposal) else _none(row)


def _proposed(p: Proposal, first: Any) -> Finding:
    n, one = p.notches[0], len(p.notches) == 1
    edges = ", ".join(dict.fromkeys(x.edge for x in p.notches))
    count = "one relief notch" if one else f"{len(p.notches)} relief notches"
    return Finding(
        "relief-notches-proposed",
        "note",
        f"Proposal, not on the drawing: {count} in {edges}, {show_length(n.width, first)} wide, {show_length(n.depth, first)} deep, round "
        f"at the floor: {_then(p)} {100 * p.after:.1f} % at most, limit {100 * p.limit:.1f} %.",
        "Ask whoever owns the drawing. Once approved: `ribwright check PART --take-proposals --by NAME --out COPY` writes them into a "
        "copy.",
        {"edge": p.edge, "along_mm": n.at[1]},
        p.after, p.limit, (p.limit - p.after) / p.limit, "engineering strain", p.source,
    )  # fmt: skip


def _then(p: Proposal) -> str:
    """'the edge then shrinks', 'nose, lower and upper then shrink': every edge that the notches bring within its limit."""
    if len(p.heals) < 2:
        return f"the edge then {_does(p.kind)}"
    return f"{', '.join(p.heals[:-1])} and {p.heals[-1]} then {p.kind}"


def _none(row: NoneWorks) -> Finding:
    best = (
        "no place for one is clear of ends, rivets and holes" if row.best is None else f"{100 * row.best:.1f} % is left"
    )
    return Finding(
        "relief-notches-no-use",
        "stop",
        f"No row of relief notches brings edge {row.edge} within {100 * row.limit:.1f} %: {best} with pieces of at least half a flange "
        "width between the cuts.",
        "A larger contour radius, a narrower flange or a softer temper, as a change of the drawing.",
        {"edge": row.edge, "along_mm": row.along},
        source=row.source,
    )


def _does(kind: str) -> str:
    return "shrinks" if kind == SHRINK else "stretches"


def proposals_answer(rows: tuple[Proposal | NoneWorks, ...], units: str) -> list[dict[str, Any]]:
    """The key `proposals`: strains are engineering strains, lengths mm; `toml` is ready for the part file."""
    return [
        {
            "kind": KIND,
            "edge": p.edge,
            "notches": [{"edge": n.edge, "along_mm": n.at[1]} for n in p.notches],
            "width_mm": p.notches[0].width,
            "depth_mm": p.notches[0].depth,
            "corner_radius_mm": p.notches[0].corner_radius,
            "spacing_mm": p.spacing,
            "strain": {"before": p.before, "after": p.after, "one_fewer": p.fewer, "limit": p.limit},
            "reasons": list(reasons(p, units)),
            "toml": notch_tables(p.notches, units),
        }
        for p in rows
        if isinstance(p, Proposal)
    ]


def reasons(p: Proposal, units: Any) -> Iterator[str]:
    """Why so many, so wide, so deep, and where."""
    n = p.notches[0]
    yield (
        f"Without notches the free edge {_does(p.kind)} {100 * p.before:.1f} %, limit {100 * p.limit:.1f} % ({p.source}). A cut frees "
        "the edge: what is strained there dies away towards it."
    )
    if p.fewer is not None:
        yield f"With one notch fewer, at the best places for that, {100 * p.fewer:.1f} % is left; with these {100 * p.after:.1f} %."
    yield f"Width {show_length(n.width, units)}, corners {show_length(n.corner_radius, units)}: a relief hole by rule '{p.rule}', sawn out."
    yield (
        f"Depth {show_length(n.depth, units)} from the drawn line: the round floor begins {show_length(p.set_back, units)} or a little "
        "more inside the bend tangent line."
    )
    if len(p.notches) > 1:
        yield f"Middles {show_length(p.spacing, units)} apart along the bend tangent line, symmetrical about the middle of the curve."


def notch_tables(notches: tuple[Notch, ...], units: str) -> str:
    """TOML text of [[notch]] tables, lengths in the file's unit."""
    return "\n".join(_table(n, units) for n in notches)


def _table(n: Notch, units: str) -> str:
    def length(mm: float) -> str:
        return f"{mm / (MM_PER_IN if units == 'in' else 1.0):.{DIGITS[units]}f}".rstrip("0").rstrip(".")

    name = n.edge.replace("\\", "\\\\").replace('"', '\\"')
    return (
        f'[[notch]]\nedge = "{name}"\nat = {length(n.at[1])}\nwidth = {length(n.width)}\ndepth = {length(n.depth)}\n'
        f"corner_radius = {length(n.corner_radius)}\n"
    )
