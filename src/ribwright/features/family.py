"""A family of parts as its table gives it: a base part, and for each member what differs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ribwright.features.part import Part


@dataclass(frozen=True)
class MemberRow:
    """One row: the part's number, the line it stands on, (column, cell as typed) of every cell that says something."""

    number: str
    line: int
    cells: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class FamilyTable:
    """`file` names the table in faults; `base` the base part's file as typed, beside the table; `columns` but the number's."""

    file: str
    base: str
    columns: tuple[str, ...]
    rows: tuple[MemberRow, ...]


@dataclass(frozen=True)
class Member:
    """A member made: `name` of its part file with its `text`, `tables` that go beside it, the part as it is read; `cells` what differs."""

    number: str
    name: str
    text: str
    part: Part
    cells: tuple[tuple[str, str], ...] = ()
    tables: dict[str, bytes] = field(default_factory=dict)
