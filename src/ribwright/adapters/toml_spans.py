"""Where each key and value of a TOML text stands, so that one of them can be changed and every other byte kept.

`scan` takes a text that is known to be TOML (`toml_text.parse_toml` has read it) and finds the spans alone: characters
[start, end) of the text. Paths count array items from 1, as faults do: ("web", "edge", 2, "to") is `web.edge[2].to`.

A text is a preamble and sections. A section begins with its header; comment lines directly above a header belong to it,
except the block the file itself begins with.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

Path = tuple[str | int, ...]
Span = tuple[int, int]

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})' + r"|'''.*?'''(?:'{0,2})" + r'|"(?:[^"\\\n]|\\.)*"' + r"|'[^'\n]*'", re.S
)
# a date and its time may be parted by a blank
_SCALAR = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d[^\s,\]}#]*|[^\s,\]}#]+")
_BLANKS = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")


@dataclass
class Node:
    """A value or a table. `kind`: "leaf", "array", "inline" (`{ }`), "table" (header, dotted or implied), "tables" (`[[ ]]`).

    `span` is that of the value's text (None for what headers and dotted keys make), `whole` that of `key = value` in an
    inline table and `parts` the spans of its key, `comma` where an item's comma stands (None: it has none).
    """

    path: Path
    kind: str
    span: Span | None = None
    whole: Span | None = None
    parts: list[Span] = field(default_factory=list)
    comma: int | None = None
    named: dict[str, Node] = field(default_factory=dict)
    items: list[Node] = field(default_factory=list)


@dataclass
class Statement:
    """`key = value` on lines of its own. `parts`: the spans of the key's dotted parts; `lines` [start, end) of its lines."""

    path: Path
    parts: list[Span]
    node: Node
    lines: Span


@dataclass
class Section:
    """A header and what follows to the next one; the preamble has no `parts`. `begin` with the comment lines above,
    `header` the header's own line [start, end), `end` behind the last statement and the comment lines right below it."""

    path: Path
    parts: list[Span]
    header: Span
    statements: list[Statement] = field(default_factory=list)
    begin: int = 0
    end: int = 0


@dataclass
class Spans:
    """The text scanned: sections in their order, every node by the name that faults give it."""

    text: str
    sections: list[Section]
    root: Node
    index: dict[str, Node]

    def sections_of(self, path: Path) -> list[Section]:
        """The sections of a table or an array of tables, those below it included."""
        return [s for s in self.sections if s.parts and s.path[: len(path)] == path]

    def statements_of(self, path: Path) -> list[tuple[Section, Statement]]:
        """The statements that set this path or something below it by a dotted key, with their sections."""
        return [(s, t) for s in self.sections for t in s.statements if t.path[: len(path)] == path]

    def line_of(self, key: str) -> int | None:
        """The line, from 1, of a key as faults write it; of the nearest table above it when the key is not there."""
        while key and key not in self.index:
            key = key[: max(key.rfind("."), key.rfind("["), 0)]
        if not key:
            return None
        path = self.index[key].path
        place = self._place(path)
        return None if place is None else bisect_left(self._line_ends, place) + 1

    def _place(self, path: Path) -> int | None:
        node = self.index[named(path)]
        if node.whole is not None:
            return node.whole[0]
        if node.span is not None and path not in self._stated:
            return node.span[0]
        return min((p for p in (self._stated.get(path), self._headed.get(path)) if p is not None), default=None)

    @cached_property
    def _line_ends(self) -> list[int]:
        return [hit.start() for hit in re.finditer("\n", self.text)]

    @cached_property
    def _stated(self) -> dict[Path, int]:
        """Path -> where the first statement of it or of something below it begins."""
        return _firsts([(t.path, t.parts[0][0]) for s in self.sections for t in s.statements])

    @cached_property
    def _headed(self) -> dict[Path, int]:
        """The same of headers."""
        return _firsts([(s.path, s.parts[0][0]) for s in self.sections if s.parts])


def _firsts(places: list[tuple[Path, int]]) -> dict[Path, int]:
    """The first place of each path and of each table above it; places rise."""
    firsts: dict[Path, int] = {}
    for path, place in places:
        for n in range(len(path) + 1):
            firsts.setdefault(path[:n], place)
    return firsts


def named(path: Path) -> str:
    """The path as faults write it: `web.edge[2].to`."""
    out = ""
    for part in path:
        out += f"[{part}]" if isinstance(part, int) else f".{part}" if out else part
    return out


def scan(text: str) -> Spans:
    """The spans of a text that is TOML."""
    return _Scanner(text).scanned()


class _Scanner:
    def __init__(self, text: str):
        self.text = text
        self.at = 1 if text.startswith("\ufeff") else 0
        self.root = Node((), "table")
        self.index: dict[str, Node] = {}
        self.sections = [Section((), [], (self.at, self.at))]
        self.table = self.root

    def scanned(self) -> Spans:
        self._skip(_GAP)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                self._header()
            else:
                self._statement()
            self._skip(_GAP)
        self._bounds()
        return Spans(self.text, self.sections, self.root, self.index)

    # -- headers and statements ---------------------------------------------------------------------

    def _header(self) -> None:
        line = self._line_start(self.at)
        array = self.text.startswith("[[", self.at)
        self.at += 2 if array else 1
        names, parts = self._key()
        self.at += 2 if array else 1
        table = self.root
        for name in names[:-1]:
            table = self._down(table, name)
        if array:
            rows = self._child(table, names[-1], "tables")
            self.table = Node((*rows.path, len(rows.items) + 1), "table")
            rows.items.append(self.table)
            self._keep(self.table)
        else:
            self.table = self._down(table, names[-1])
        self._skip_line()
        self.sections.append(Section(self.table.path, parts, (line, self.at)))

    def _statement(self) -> None:
        line = self._line_start(self.at)
        names, parts = self._key()
        table = self.table
        for name in names[:-1]:
            table = self._down(table, name)
        node = self._valued(table, names[-1])
        self._skip_line()
        self.sections[-1].statements.append(Statement(node.path, parts, node, (line, self.at)))

    def _valued(self, table: Node, name: str) -> Node:
        """The node of `= value`, kept under its name in the table."""
        self.at = self.text.index("=", self.at) + 1
        self._skip(_BLANKS)
        node = self._value((*table.path, name))
        table.named[name] = node
        return node

    def _down(self, table: Node, name: str) -> Node:
        """The table of that name, made when it is not there; of an array of tables the last."""
        child = self._child(table, name, "table")
        return child.items[-1] if child.kind == "tables" else child

    def _child(self, table: Node, name: str, kind: str) -> Node:
        if name not in table.named:
            table.named[name] = Node((*table.path, name), kind)
            self._keep(table.named[name])
        return table.named[name]

    def _keep(self, node: Node) -> None:
        self.index.setdefault(named(node.path), node)

    # -- keys and values ----------------------------------------------------------------------------

    def _key(self) -> tuple[list[str], list[Span]]:
        names, parts = [], []
        while True:
            self._skip(_BLANKS)
            hit = _BARE.match(self.text, self.at) or _STRING.match(self.text, self.at)
            assert hit is not None, "the text was read as TOML before"
            word = hit[0]
            names.append(word if word[0] not in "\"'" else str(tomllib.loads(f"k = {word}")["k"]))
            parts.append(hit.span())
            self.at = hit.end()
            self._skip(_BLANKS)
            if self.text[self.at] != ".":
                return names, parts
            self.at += 1

    def _value(self, path: Path) -> Node:
        start, sign = self.at, self.text[self.at]
        node = Node(path, {"[": "array", "{": "inline"}.get(sign, "leaf"))
        self._keep(node)
        if sign == "[":
            self._items(node)
        elif sign == "{":
            self._pairs(node)
        else:
            hit = _STRING.match(self.text, self.at) or _SCALAR.match(self.text, self.at)
            assert hit is not None, "the text was read as TOML before"
            self.at = hit.end()
        node.span = (start, self.at)
        return node

    def _items(self, array: Node) -> None:
        self.at += 1
        self._skip(_GAP)
        while self.text[self.at] != "]":
            item = self._value((*array.path, len(array.items) + 1))
            array.items.append(item)
            self._comma(item)
        self.at += 1

    def _pairs(self, table: Node) -> None:
        self.at += 1
        self._skip(_GAP)
        while self.text[self.at] != "}":
            start = self.at
            names, parts = self._key()
            inner = table
            for name in names[:-1]:
                inner = self._down(inner, name)
            node = self._valued(inner, names[-1])
            node.whole, node.parts = (start, self.at), parts
            # a dotted key's pair stands in this table
            table.items.append(node)
            self._comma(node)
        self.at += 1

    def _comma(self, node: Node) -> None:
        self._skip(_GAP)
        if self.text[self.at] == ",":
            node.comma = self.at
            self.at += 1
            self._skip(_GAP)

    # -- lines --------------------------------------------------------------------------------------

    def _skip(self, what: re.Pattern[str]) -> None:
        hit = what.match(self.text, self.at)
        assert hit is not None
        self.at = hit.end()

    def _skip_line(self) -> None:
        end = self.text.find("\n", self.at)
        self.at = len(self.text) if end < 0 else end + 1

    def _line_start(self, at: int) -> int:
        return max(self.text.rfind("\n", 0, at) + 1, 1 if self.text.startswith("\ufeff") else 0)

    def _bounds(self) -> None:
        """Where each section begins and ends, with the comment lines that belong to it."""
        first = self.sections[0].header[0]
        for before, section in zip([None, *self.sections], self.sections, strict=False):
            floor = first if before is None else _last(before)
            section.begin = section.header[0]
            while section.begin > floor and section.parts:
                line = self._line_start(section.begin - 1)
                if line < floor or not self._is_comment(line):
                    break
                section.begin = line
            if section.parts and section.begin == first:
                section.begin = section.header[0]
        for section, after in zip(self.sections, [*self.sections[1:], None], strict=False):
            ceiling = len(self.text) if after is None else after.begin
            section.end = _last(section)
            while section.end < ceiling and self._is_comment(section.end):
                section.end = self._next_line(section.end)

    def _is_comment(self, line: int) -> bool:
        return self.text[line : self._next_line(line)].lstrip(" \t").startswith("#")

    def _next_line(self, line: int) -> int:
        end = self.text.find("\n", line)
        return len(self.text) if end < 0 else end + 1


def _last(section: Section) -> int:
    return section.statements[-1].lines[1] if section.statements else section.header[1]


def value_at(table: dict[str, Any], path: Path) -> Any:
    """The value of a parsed text at a path; KeyError or IndexError when it is not there."""
    value: Any = table
    for part in path:
        value = value[part - 1] if isinstance(part, int) else value[part]
    return value
