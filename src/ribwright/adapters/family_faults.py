"""Faults of a family's table by row and column; one that stands in many rows is told once."""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.errors import Fault, capped

MOST_TOLD = 40
MOST_LINES = 6


@dataclass(frozen=True)
class Told:
    """A fault at a line of the table (None: of the column itself) and a column; `column` False: at a key that has none."""

    line: int | None
    key: str
    found: str
    allowed: str
    nearest: str = ""
    column: bool = True


def gathered_faults(file: str, told: list[Told]) -> tuple[Fault, ...]:
    """In the order of the lines, those of columns first; equal ones together."""
    same: dict[tuple[str, str, str, str], list[int]] = {}
    for t in sorted(told, key=lambda t: -1 if t.line is None else t.line):
        key = f"column {t.key}" if t.column else t.key
        lines = same.setdefault((key, t.found, t.allowed, t.nearest), [])
        lines += [] if t.line is None else [t.line]
    faults = [Fault(file, _key(lines, key), *rest) for (key, *rest), lines in same.items()]
    return capped(faults, MOST_TOLD)


def _key(lines: list[int], key: str) -> str:
    """'line 4, column web.scale', 'lines 4, 5 and 3 more, column ...'."""
    if not lines:
        return key
    shown = ", ".join(map(str, lines[:MOST_LINES])) + (
        f" and {len(lines) - MOST_LINES} more" if len(lines) > MOST_LINES else ""
    )
    return f"line{'s' if len(lines) > 1 else ''} {shown}, {key}"
