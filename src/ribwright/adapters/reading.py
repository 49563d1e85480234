"""A strict cursor over a parsed table that collects every fault instead of stopping at the first.

Each method reads one key, and on a fault adds it to the list and answers a harmless stand-in (nan, "", 0),
so that reading goes on. `unknown_keys` at the end names each key that nobody asked for.

Key paths count from 1: `web.edge[2].to` is the second edge's. `typed[path]` keeps what the person wrote,
a bare length with the file's unit added ("0.025 in").
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from ribwright import units as u
from ribwright.errors import Fault, UnitError, nearest

LONGEST_MM = 100_000.0
MOST_POINTS = 2000
MOST_FAULTS = 200  # told of one file
Point = tuple[float, float]
# (measure, number, value): see features.part.Along
Station = tuple[str, float, float]


@dataclass
class Notebook:
    """What all cursors of one file write into. `units` None: not known, bare lengths become nan without a fault."""

    file: str
    units: u.Unit | None = None
    faults: list[Fault] = field(default_factory=list)
    typed: dict[str, str] = field(default_factory=dict)

    def fault(self, key: str, found: str, allowed: str, hint: str = "") -> None:
        """Notes one fault."""
        self.faults.append(Fault(self.file, key, found, allowed, hint))

    def show(self, mm: float) -> str:
        """A length in the file's own unit."""
        return f"{mm / 25.4:.4g} in" if self.units == "in" else f"{mm:.5g} mm"

    def place(self, point: Point) -> str:
        """A point in the file's own unit."""
        scale = 25.4 if self.units == "in" else 1.0
        return f"({point[0] / scale:.4g}, {point[1] / scale:.4g}) {self.units or 'mm'}"


class Reader:
    """A cursor over one table. A method without `default` reads a key that must be there."""

    def __init__(self, book: Notebook, table: dict[str, Any], path: str = ""):
        self.book, self.table, self.path = book, table, path
        self.asked: list[str] = []

    def key(self, key: str) -> str:
        """The full path of a key of this table."""
        return f"{self.path}.{key}" if self.path else key

    def has(self, key: str) -> bool:
        """True when the person wrote the key. It counts as known from now on."""
        self.asked.append(key)
        return key in self.table

    def fault(self, key: str, found: str, allowed: str, hint: str = "") -> None:
        """Notes a fault at a key of this table."""
        self.book.fault(self.key(key), found, allowed, hint)

    # -- single values ------------------------------------------------------------------------------

    def text(self, key: str, default: str | None = None) -> str:
        """A string; a required one may not be blank."""
        value = self._value(key, "a text in quotes", default is None)
        if value is None:
            return default or ""
        if not isinstance(value, str) or (default is None and not value.strip()):
            self.fault(key, shown(value), "a text in quotes" + (", not blank" if default is None else ""))
            return default or ""
        return value

    def choice(self, key: str, allowed: tuple[str, ...], default: str | None = None) -> str:
        """One of the allowed words; "" after a fault on a required one."""
        words = ", ".join(f'"{a}"' for a in allowed)
        value = self._value(key, words, default is None)
        if value is None:
            return default or ""
        if value in allowed:
            return str(value)
        self.fault(key, shown(value), words, nearest(value, allowed) if isinstance(value, str) else "")
        return default or ""

    def date(self, key: str, default: str | None = None) -> str:
        """A TOML date, or a string, as ISO text. A required one must be a calendar date."""
        value = self._value(key, "a date like 2031-09-01", default is None)
        if value is None:
            return default or ""
        if isinstance(value, datetime.date):
            return value.isoformat()
        if isinstance(value, str) and (_is_date(value) or (default is not None and not value.strip())):
            return value.strip()
        self.fault(key, shown(value), "a date like 2031-09-01")
        return ""

    def flag(self, key: str, default: bool | None = None) -> bool:
        """true or false."""
        value = self._value(key, "true or false", default is None)
        if value is not None and not isinstance(value, bool):
            self.fault(key, shown(value), "true or false", nearest(str(value), ("true", "false")))
        return value if isinstance(value, bool) else bool(default)

    def count(self, key: str, default: int | None = None, least: int = 1, most: int = 10_000) -> int:
        """A whole number from `least` to `most`."""
        words = f"a whole number from {least} to {most}"
        value = self._value(key, words, default is None)
        if value is None:
            return default or 0
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            self.fault(key, shown(value), words)
            return default or least
        return value

    def number(self, key: str, default: float | None = None, over: float = -math.inf, most: float = 1e12) -> float:
        """A plain number without unit, more than `over` and at most `most`."""
        words = f"a number{_range(over, most)}"
        value = self._value(key, words, default is None)
        if value is None:
            return math.nan if default is None else default
        if isinstance(value, bool) or not isinstance(value, int | float) or not over < value <= most:
            return self._refused(key, value, words)
        return float(value)

    def length(
        self, key: str, default: float | None = None, positive: bool = False, least: float | None = None
    ) -> float:
        """A length [mm]; `positive` refuses 0 and less, `least` [mm] what is smaller."""
        value = self._value(key, u.LENGTH_WORDS, default is None)
        if value is None:
            return math.nan if default is None else default
        mm = self.as_length(key, value)
        self.keep(key, value, self.book.units or "")
        if positive and mm <= 0:
            return self._refused(key, value, "a length above 0")
        if least is not None and mm < least:
            return self._refused(key, value, f"a length of at least {self.book.show(least)}")
        return mm

    def angle(self, key: str, default: float | None = None, over: float = -360.0, under: float = 360.0) -> float:
        """An angle [deg] between two bounds that are themselves excluded."""
        words = f"an angle between {over:g} and {under:g} degrees, neither of them"
        value = self._value(key, words, default is None)
        if value is None:
            return math.nan if default is None else default
        deg = self._convert(key, value, u.angle_deg)
        self.keep(key, value, "deg")
        return self._refused(key, value, words) if deg <= over or deg >= under else deg

    def quantity(self, key: str, convert: Callable[[object], float], words: str) -> float:
        """A force, pressure, area ... above 0: always a string with its unit; `convert` is one of units.*."""
        value = self._value(key, words, True)
        if value is None:
            return math.nan
        answer = self._convert(key, value, convert)
        self.keep(key, value, "")
        return self._refused(key, value, f"{words}, above 0") if answer <= 0 else answer

    # -- several values -----------------------------------------------------------------------------

    def point(self, key: str) -> Point:
        """[x, y] in mm."""
        value = self._value(key, "a point [x, y]", True)
        self.keep(key, value, self.book.units or "")
        return (math.nan, math.nan) if value is None else self._point(key, value)

    def size(self, key: str) -> Point:
        """[length, width] in mm, both above 0."""
        pair = self.point(key)
        if min(pair) <= 0:
            self.fault(key, shown(self.table[key]), "two lengths above 0")
        return pair

    def points(self, key: str, least: int = 1) -> tuple[Point, ...]:
        """[[x, y], ...] in mm."""
        value = self._value(key, "a list of points [[x, y], ...]", True)
        if value is None:
            return ()
        self.keep(key, value, self.book.units or "")
        if not isinstance(value, list) or not least <= len(value) <= MOST_POINTS:
            found = f"{len(value)} points" if isinstance(value, list) else shown(value)
            self.fault(key, found, f"a list of {least} to {MOST_POINTS} points [[x, y], ...]")
            return ()
        return tuple(self._point(f"{key}[{i}]", p) for i, p in enumerate(value, 1))

    def along(self, key: str, kind: str, over: float, under: float = math.inf) -> tuple[Station, ...]:
        """A value, or [[along, value], ...], as stations (measure, number, value). `kind` is "length" or "angle"."""
        unit_words = u.LENGTH_WORDS if kind == "length" else u.ANGLE_WORDS
        value = self._value(key, f"{unit_words}, or [[along, value], ...]", True)
        if value is None:
            return (("fraction", 0.0, math.nan),)
        self.keep(key, value, (self.book.units or "") if kind == "length" else "deg")
        if not isinstance(value, list):
            return (("fraction", 0.0, self._bounded(key, value, kind, over, under)),)
        if not 1 <= len(value) <= MOST_POINTS or not all(isinstance(r, list) and len(r) == 2 for r in value):
            self.fault(key, shown(value), "pairs [[along, value], ...]")
            return (("fraction", 0.0, math.nan),)
        rows = [
            (*self.as_place(f"{key}[{i}]", at), self._bounded(f"{key}[{i}]", v, kind, over, under))
            for i, (at, v) in enumerate(value, 1)
        ]
        if len({r[:2] for r in rows}) < len(rows):
            self.fault(key, shown(value), "each place along the edge once")
        return tuple(rows)

    def place(self, key: str) -> tuple[str, float]:
        """A place along an edge as (measure, number)."""
        value = self._value(key, _PLACE_WORDS, True)
        self.keep(key, value, self.book.units or "")
        return ("fraction", math.nan) if value is None else self.as_place(key, value)

    def as_place(self, key: str, value: object) -> tuple[str, float]:
        """`"start"`, `"end"`, `"40 %"` or a length from the edge's start as typed."""
        if value in ("start", "end"):
            return "fraction", float(value == "end")
        if isinstance(value, str) and value.strip().endswith("%"):
            try:
                share = float(value.strip()[:-1]) / 100
            except ValueError:
                share = math.nan
            if not 0 <= share <= 1:
                self.fault(key, shown(value), '"0 %" to "100 %"')
            return "fraction", share
        if isinstance(value, str) and not any(c.isdigit() for c in value):
            self.fault(key, shown(value), _PLACE_WORDS, nearest(value, ("start", "end")))
            return "fraction", math.nan
        mm = self.as_length(key, value)
        if mm < 0:
            self.fault(key, shown(value), "a place from the edge's start on, 0 or more")
        return "mm", mm

    def as_length(self, key: str, value: object) -> float:
        """A value as a length [mm]; nan after a fault."""
        if self.book.units is None and isinstance(value, int | float) and not isinstance(value, bool):
            return math.nan
        mm = self._convert(key, value, lambda v: u.length_mm(v, self.book.units))
        if abs(mm) > LONGEST_MM:
            self.fault(key, shown(value), f"a length under {self.book.show(LONGEST_MM)}")
            return math.nan
        return mm

    def as_angle(self, key: str, value: object) -> float:
        """A value as an angle [deg]; nan after a fault."""
        return self._convert(key, value, u.angle_deg)

    # -- tables -------------------------------------------------------------------------------------

    def table_at(self, key: str, required: bool = False) -> Reader | None:
        """The cursor of a sub-table, or None."""
        value = self._value(key, f"a table [{self.key(key)}]", required)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.fault(key, shown(value), f"a table [{self.key(key)}]")
            return None
        return Reader(self.book, value, self.key(key))

    def tables(self, key: str, required: bool = False) -> list[Reader]:
        """The cursors of an array of tables."""
        words = f"an array of tables [[{self.key(key)}]]"
        value = self._value(key, words, required)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.fault(key, "a single table" if isinstance(value, dict) else shown(value), words)
            return []
        return [Reader(self.book, v, f"{self.key(key)}[{i}]") for i, v in enumerate(value, 1)]

    def named(self, key: str) -> dict[str, Reader]:
        """The cursors of named sub-tables [key.NAME]."""
        outer = self.table_at(key)
        readers = {} if outer is None else {name: outer.table_at(name) for name in outer.table}
        return {name: r for name, r in readers.items() if r is not None}

    def unknown_keys(self, refused: dict[str, str] | None = None) -> None:
        """A fault for each key that was not asked for. `refused` gives the sentence of keys known but not built."""
        known = dict.fromkeys(self.asked)
        listed = f"one of {', '.join(known)}"
        for key in self.table:
            if key in known:
                continue
            # a hint takes its time, and beyond so many nobody is told
            hint = nearest(key, tuple(known)) if len(self.book.faults) < MOST_FAULTS else ""
            self.fault(key, "a key that is not known here", (refused or {}).get(key) or listed, hint)

    # -- inside -------------------------------------------------------------------------------------

    def _value(self, key: str, words: str, required: bool) -> Any:
        if not self.has(key) and required:
            self.fault(key, "nothing", words)
        return self.table.get(key)

    def _refused(self, key: str, value: object, words: str) -> float:
        """nan, and the fault noted: a value out of bounds must not mislead later checks."""
        self.fault(key, shown(value), words)
        return math.nan

    def keep(self, key: str, value: object, unit: str) -> None:
        """Keeps what was typed; `unit` is added to what has none of its own."""
        if value is not None:
            bare = unit and not isinstance(value, str)
            self.book.typed[self.key(key)] = f"{typed(value)} {unit}" if bare else typed(value)

    def _convert(self, key: str, value: object, convert: Callable[[object], float]) -> float:
        try:
            return convert(value)
        except UnitError as error:
            self.fault(key, error.found, error.allowed)
            return math.nan

    def _point(self, key: str, value: object) -> Point:
        if not isinstance(value, list) or len(value) != 2:
            self.fault(key, shown(value), "a point [x, y]")
            return (math.nan, math.nan)
        return (self.as_length(key, value[0]), self.as_length(key, value[1]))

    def _bounded(self, key: str, value: object, kind: str, over: float, under: float) -> float:
        answer = self.as_length(key, value) if kind == "length" else self._convert(key, value, u.angle_deg)
        if answer <= over or answer >= under:
            bounds = (
                f"between {over:g} and {under:g} degrees, neither of them" if kind == "angle" else f"above {over:g}"
            )
            return self._refused(key, value, f"{kind}s {bounds}")
        return answer


_PLACE_WORDS = 'a place along the edge: a length from its start, "40 %", "start" or "end"'


def typed(value: object) -> str:
    """A value as it stands in the file; decimal numbers as they were typed."""
    if isinstance(value, str):
        return value
    return shown(value)


def shown(value: object) -> str:
    """A value as a person would write it in the file, cut to 80 characters."""
    text = _toml(value)
    return text if len(text) <= 80 else text[:77] + "..."


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return f"[{', '.join(_toml(v) for v in value[:40])}]"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, int) and abs(value) >= 10**60:
        return "a number of more than 60 digits"
    return str(getattr(value, "text", value))


def _range(over: float, most: float) -> str:
    low = f" above {over:g}" if over > -math.inf else ""
    high = f" up to {most:g}" if most < 1e12 else ""
    return low + (" and" if low and high else "") + high


def _is_date(value: str) -> bool:
    try:
        datetime.date.fromisoformat(value.strip())
    except ValueError:
        return False
    return True
