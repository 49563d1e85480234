"""What a number of an answer is told by: words, formula, inputs, source, validity, band, and the keys that change it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

ORIGINS = ("typed", "fact", "formula", "geometry", "solved", "rounded", "constant")


@dataclass(frozen=True)
class Input:
    """One thing put into a formula. `value` in `unit` (mm, N, MPa, deg, or "" for a plain number).

    `come_from` says where it stands: a key of a file, a fact with source and standing, a constant, another number;
    `path`, where it is not empty, opens it with the same command.
    """

    symbol: str
    name: str
    value: float | str
    unit: str
    come_from: str
    path: str = ""

    def as_json(self) -> dict[str, Any]:
        """The input under plain keys."""
        return {
            "symbol": self.symbol,
            "name": self.name,
            "value": self.value,
            "unit": self.unit,
            "from": self.come_from,
            "path": self.path,
        }


@dataclass(frozen=True)
class Told:
    """What a family says of one number.

    origin    "typed" (stands in a file), "fact" (of the catalogue), "formula" (closed), "geometry" (measured on computed
              curves), "solved" (numerically), "rounded" (another number in steps), "constant" (of this tool)
    again     the closed formula evaluated once more from `inputs` alone, in plain floats; None where it is not closed
    inside    whether this case lies inside the validity; None where there is nothing to leave
    compared  what the formula was held against
    """

    what: str
    origin: str
    formula: str = ""
    inputs: tuple[Input, ...] = ()
    source: str = ""
    validity: str = ""
    inside: bool | None = None
    band: str = ""
    compared: str = ""
    again: float | None = None


@dataclass(frozen=True)
class Key:
    """A key of a file that changes a number: `file` in words, `key` as a person types it, `path` in `inputs`."""

    file: str
    key: str
    path: str

    def as_json(self) -> dict[str, str]:
        """The key under plain keys."""
        return {"file": self.file, "key": self.key, "path": self.path}


@dataclass(frozen=True)
class Explanation:
    """A number of the answer, opened. `path` by index, `named` by the names of edges and holes."""

    path: str
    named: str
    value: float
    unit: str
    told: Told
    changes: tuple[Key, ...]

    def as_json(self) -> dict[str, Any]:
        """The explanation under plain keys."""
        t = self.told
        return {
            "path": self.path,
            "named": self.named,
            "value": self.value,
            "unit": self.unit,
            "what": t.what,
            "origin": t.origin,
            "formula": t.formula,
            "inputs": [i.as_json() for i in t.inputs],
            "source": t.source,
            "validity": t.validity,
            "inside": t.inside,
            "band": t.band,
            "compared": t.compared,
            "again": t.again,
            "changes": [k.as_json() for k in self.changes],
        }


def evaluated(formula: Callable[..., float], inputs: tuple[Input, ...]) -> float:
    """The formula from its listed inputs: parameters are the symbols, with _ for what Python does not allow in one."""
    return formula(**{_word(i.symbol): i.value for i in inputs})


def _word(symbol: str) -> str:
    return "".join(c if c.isalnum() else "_" for c in symbol)
