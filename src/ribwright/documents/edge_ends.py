"""Which end of an edge is its start, in words: by the edge that it meets there."""

from __future__ import annotations

from collections.abc import Mapping

from ribwright.documents.lean_words import from_end
from ribwright.stages.plan import Plan

Ends = Mapping[str, tuple[str, str]]
"""(neighbour at the start, neighbour at the end) of each edge as it was typed; "" where words do not tell the two ends apart."""
NOBODY = ("", "")


def ends_of(plan: Plan) -> dict[str, tuple[str, str]]:
    """The neighbours of every edge. An edge that goes all the way round has none, and of two edges that share a loop both ends meet the
    same one: those are told by the start mark of the picture alone."""
    out: dict[str, tuple[str, str]] = {}
    for loop in plan.blank.laid:
        names = [e.edge.name for e in loop.edges]
        for i, e in enumerate(loop.edges):
            before, after = names[i - 1], names[(i + 1) % len(names)]
            start, end = (after, before) if e.edge.turned else (before, after)
            out[e.edge.name] = NOBODY if start == end else (start, end)
    return out


def start_words(ends: Ends, edge: str) -> str:
    """'start, at rear'."""
    at = ends.get(edge, NOBODY)[0]
    return f"start, at {at}" if at else "start"


def end_words(ends: Ends, edge: str) -> str:
    """'end, at front'."""
    at = ends.get(edge, NOBODY)[1]
    return f"end, at {at}" if at else "end"


def from_words(ends: Ends, edge: str) -> str:
    """'from the REAR end', where lengths along the edge begin; 'from its start' where no neighbour names it."""
    at = ends.get(edge, NOBODY)[0]
    return from_end(at) if at else "from its start"


def all_starts(ends: Ends) -> str:
    """'lower from the FRONT end, rear from the LOWER end'; edges whose start no neighbour names are left out."""
    return ", ".join(f"{edge} {from_words(ends, edge)}" for edge, (start, _) in ends.items() if start)
