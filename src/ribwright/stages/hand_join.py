"""Rows of the hand-finishing list at neighbouring places put together: one move from here to there, not one for each point measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from ribwright.stages.hand_list import Beyond, Look, Move

Row = Move | Beyond | Look


def joined(rows: Sequence[Row | None]) -> list[Row]:
    """Rows of one quantity and owner in rising place, None where nothing is to be done there: neighbours of a kind as one."""
    out = []
    for _, neighbours in groupby(rows, _kind):
        group = [row for row in neighbours if row is not None]
        if group:
            out.append(_one(group))
    return out


def _kind(row: Row | None) -> tuple[str, str]:
    if row is None:
        return "", ""
    if isinstance(row, Move):
        return "move", row.what
    # of looks the sentence says what is to be done, and beyond hands numbers stand in it
    return ("beyond", row.quantity) if isinstance(row, Beyond) else ("look", row.say.split(":")[0])


def _one(rows: Sequence[Row]) -> Row:
    alongs = [r.along for r in rows if r.along is not None]
    start, end = min(alongs, default=None), max(alongs, default=None)
    moves = [r for r in rows if isinstance(r, Move)]
    if moves:
        worst = max(moves, key=lambda m: abs(m.amount or 0.0))
        rooms = [m.room for m in moves if m.room is not None]
        places = tuple(p for m in moves for p in m.places)
        targets = tuple(t for m in moves for t in m.targets)
        tight = max(rooms, key=lambda r: r.after) if rooms else None
        return replace(worst, start=start, end=end, places=places, targets=targets, room=tight)
    beyond = [r for r in rows if isinstance(r, Beyond)]
    if beyond:
        return replace(max(beyond, key=lambda b: abs(b.off or 0.0)), start=start, end=end)
    first = rows[0]
    assert isinstance(first, Look)
    return replace(first, along=None if len(alongs) > 1 else first.along, start=start, end=end)
