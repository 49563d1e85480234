"""A family of numbers that are told alike: the pattern of their paths, the keys they depend on, and how one is told."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from ribwright.shop.sheet import Fact
from ribwright.stages.explain.causes import World, key_of
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.paths import at, named
from ribwright.stages.plan import Plan

UNKNOWN = "I do not know for this temper"


@dataclass(frozen=True)
class Place:
    """One number of an answer: its path, and the indexes and words the pattern caught from it."""

    world: World
    path: str
    caught: tuple[str, ...]

    @property
    def index(self) -> int:
        """The first index the pattern caught."""
        return next(int(c) for c in self.caught if c.isdigit())

    @property
    def row(self) -> dict[str, Any]:
        """The object the number stands in, the item of the list that holds it."""
        row: dict[str, Any] = at(self.world.answer, self.path[: self.path.index("]") + 1])
        return row

    @property
    def value(self) -> float:
        """The number."""
        return float(at(self.world.answer, self.path))


@dataclass(frozen=True)
class Case(Place):
    """A place together with the plan that the answer came from."""

    plan: Plan

    def number(self, symbol: str, name: str, path: str, unit: str = "") -> Input:
        """Another number of the same answer, opened by its path. Falls back to nothing: the path must be there."""
        value = at(self.world.answer, path)
        shown = named(self.world.answer, path, self.world.names)
        return Input(symbol, name, value, unit, "another number of the answer", shown)

    def typed(self, symbol: str, name: str, key: str, unit: str = "") -> Input:
        """A key of the files by its path in `inputs`."""
        value = self.world.inputs[key]
        words = key_of(key, value)
        return Input(symbol, name, value, unit, f"{words.file}: {words.key}", f"inputs.{key}")

    def along(self, symbol: str, name: str, value: float, key: str, unit: str) -> Input:
        """The value here of a key that may be a table along the edge."""
        table = self.world.inputs[key]
        words = key_of(key)
        varies = len({row[2] for row in table}) > 1
        where = f"{words.file}: {words.key}" + (", linear between the places of its table" if varies else "")
        return Input(symbol, name, value, unit, where, f"inputs.{key}.stations[0][2]")

    @property
    def thickness(self) -> Input:
        """t of the sheet."""
        return self.typed("t", "sheet thickness", "part.sheet.thickness", "mm")

    def fact(self, symbol: str, name: str, fact: Fact, key: str, unit: str = "") -> Input:
        """A fact of the catalogue or the shop with source and standing; `key` its path in `inputs`."""
        at_home = f"inputs.{key}.value" if f"{key}.value" in self.world.inputs else ""
        return Input(symbol, name, fact.value, unit, f"{key_of(key).key}: {fact.source} ({fact.standing()})", at_home)

    def material_path(self, key: str) -> str:
        """Path in `inputs` of a key of the record the sheet is formed in."""
        m = self.plan.job.formed
        assert m is not None
        where = f"materials[{m.name}]"
        return f"{where if f'{where}.alloy' in self.world.inputs else 'shop.' + where}.{key}"

    def r_value(self) -> Input:
        """R of the sheet as formed, 1 where it is not known."""
        m = self.plan.job.formed
        if m is None or not any(k in m.facts for k in ("r_value", "r0")):
            return Input("R_value", "R-value, not known: taken as isotropic", 1.0, "", "constant of this tool")
        if {"r0", "r45", "r90"} <= set(m.facts):
            source = m.facts["r0"]
            return Input(
                "R_value",
                "mean R-value (r0 + 2 r45 + r90)/4",
                m.r_bar(),
                "",
                f"material {m.name}: {source.source} ({source.standing()})",
            )
        return self.fact("R_value", "R-value", m.facts["r_value"], self.material_path("facts[r_value]"))


def constant(symbol: str, name: str, value: float, unit: str = "", why: str = "constant of this tool") -> Input:
    """A number that stands in the code, with why."""
    return Input(symbol, name, value, unit, why)


def between(symbol: str, name: str, value: float, unit: str = "", why: str = "computed on the way") -> Input:
    """A number of the calculation that the answer does not print; `why` says how it comes about."""
    return Input(symbol, name, value, unit, why)


@dataclass(frozen=True)
class Family:
    """`pattern`: a path with [*] for any index and (a|b) for either word. `depends` reads the answer alone, so that two
    kept answers can be compared; `told` reads the plan."""

    pattern: str
    depends: Callable[[Place], Keys]
    told: Callable[[Case], Told]

    @cached_property
    def _compiled(self) -> re.Pattern[str]:
        text = self.pattern.replace(".", r"\.").replace("[*]", r"\[(\d+)\]").replace("{*}", "(.*)")
        return re.compile(text)

    def caught(self, path: str) -> tuple[str, ...] | None:
        """What the pattern catches from a path, None when it is another family's."""
        found = self._compiled.fullmatch(path)
        return None if found is None else tuple(g or "" for g in found.groups())


def always(*keys: str) -> Callable[[Place], Keys]:
    """The same keys wherever the number stands."""
    return lambda _: keys
