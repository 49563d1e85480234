"""A part file being edited: its text, what it says, where everything stands; and the one way a change enters it.

A change is a list of splices (start, end, new text) on the text as it is; everything outside them stays byte for byte.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any, NoReturn

from ribwright.adapters.part_keys import KEYS, key_kind, ordered, table_kind
from ribwright.adapters.toml_spans import Node, Path, Spans, scan, value_at
from ribwright.adapters.toml_text import load_toml, plain
from ribwright.adapters.toml_write import Order, block_text, string_text, typed_text, value_text
from ribwright.errors import Fault, InputError, nearest

Splice = tuple[int, int, str]
_STEP = re.compile(r"\.?([^.\[\]\s][^.\[\]]*)|\[([0-9]{1,6})\]")
PATH_WORDS = "a path like web.edge[2].to"


@dataclass(frozen=True)
class Text:
    """A text as it was read. `table`: plain values; `file` names it in faults."""

    text: str
    file: str
    table: dict[str, Any]

    @classmethod
    def read(cls, text: str, file: str) -> Text:
        """InputError when the text is not TOML: what cannot be read cannot be edited by its keys."""
        return cls(text, file, plain(load_toml(text, file, "a part file")))

    @cached_property
    def spans(self) -> Spans:
        """Where everything stands; found when the first edit asks."""
        try:
            return scan(self.text)
        except RecursionError:
            raise InputError(
                [Fault(self.file, "the file", "brackets nested too deeply", "a part file in TOML")]
            ) from None

    @property
    def newline(self) -> str:
        """How lines end in this text: as the first one does."""
        at = self.text.find("\n")
        return "\r\n" if at > 0 and self.text[at - 1] == "\r" else "\n"

    def value(self, node: Node) -> Any:
        """What a node says."""
        return value_at(self.table, node.path)

    def spliced(self, splices: list[Splice]) -> Text:
        """The text with the splices made; new text is given with plain line ends."""
        text = self.text
        for start, end, new in sorted(splices, reverse=True):
            text = text[:start] + new.replace("\n", self.newline) + text[end:]
        return Text.read(text, self.file)

    def refuse(self, key: str, found: str, allowed: str, hint: str = "") -> NoReturn:
        """Raises the one fault of what cannot be done."""
        raise InputError([Fault(self.file, key, found, allowed, hint)])

    def located(self, key: str) -> tuple[Node, Path]:
        """The deepest node there is on the way to a key, and the steps that are missing from there."""
        index, cut = self.spans.index, key
        while cut and cut not in index:
            cut = cut[: max(cut.rfind("."), cut.rfind("["), 0)]
        base = index[cut] if cut else self.spans.root
        rest = key[len(cut) :]
        if base.path == ("flange",) or (not cut and rest.startswith("flange.")):
            return base, (() if cut else ("flange",)) + _flange_steps(rest.removeprefix("flange").lstrip("."))
        steps: list[str | int] = []
        while rest:
            hit = _STEP.match(rest)
            if hit is None:
                self.refuse(key or "path", f'"{key}"', PATH_WORDS)
            steps.append(hit[1] if hit[2] is None else int(hit[2]))
            rest = rest[hit.end() :]
        if not key or (not cut and rest.startswith(".")):
            self.refuse("path", f'"{key}"', PATH_WORDS)
        return base, tuple(steps)

    def existing(self, key: str) -> Node:
        """The node of a key that must be there."""
        base, rest = self.located(key)
        if rest:
            self.missing(key, base, rest)
        return base

    def missing(self, key: str, base: Node, rest: Path) -> NoReturn:
        """Raises what is wrong with a path that leads nowhere."""
        if isinstance(rest[0], int):
            rows = base.items
            words = f"1 to {len(rows)}" if rows else "nothing: there is none"
            self.refuse(key, f"number {rest[0]}", words)
        known = list(base.named)
        listed = f"one of {', '.join(known)}" if known else "nothing: it holds no keys"
        self.refuse(key, "nothing of that name", listed, nearest(str(rest[0]), known))

    def written(self, key: str, value: Any, block: bool = False) -> str:
        """A value as text, tables in the manual's order; refuses what TOML cannot say."""
        try:
            return (block_text if block else value_text)(value, order_at(self.path_of(key)))
        except ValueError as error:
            self.refuse(key, str(error), "a number, a text, true or false, a list or a table of them")

    def path_of(self, key: str) -> Path:
        """The steps of a key, there or not."""
        base, rest = self.located(key)
        return (*base.path, *rest)

    def typed(self, key: str, typed: Any) -> str:
        """What a person typed into the field of a key, as TOML text."""
        if not isinstance(typed, str) or len(typed) > 10_000:
            self.refuse(key, "no text" if not isinstance(typed, str) else f"{len(typed)} characters", "what was typed")
        try:
            if key_kind(self.path_of(key)) not in ("text", "names"):
                return typed_text(typed)
            node = self.spans.index.get(key)
            bare = node is not None and isinstance(self.value(node), datetime.date) and _is_date(typed)
            return typed.strip() if bare else string_text(typed)
        except ValueError as error:
            self.refuse(key, str(error), "text")


def order_at(path: Path) -> Order:
    """The manual's order of the keys of a table at this path."""
    return partial(ordered, table_kind(path))


def steps_of(path: Path) -> list[str]:
    """The names of a path without its numbers: what a header says."""
    return [p for p in path if isinstance(p, str)]


def unique(name: str, taken: set[str]) -> str:
    """The name with the first number from 2 on that makes it one of its own."""
    n = 2
    while f"{name} {n}" in taken:
        n += 1
    return f"{name} {n}"


def _flange_steps(rest: str) -> Path:
    """Steps below `flange.`: a flange's name may have points in it, the last step is one of its keys."""
    steps = rest.split(".")
    back = (
        2 if len(steps) > 2 and steps[-2] == "tolerance" else 1 if len(steps) > 1 and steps[-1] in KEYS["flange"] else 0
    )
    name = ".".join(steps[: len(steps) - back])
    return (name, *steps[len(steps) - back :]) if name else ()


def _is_date(text: str) -> bool:
    try:
        datetime.date.fromisoformat(text.strip())
    except ValueError:
        return False
    return True
