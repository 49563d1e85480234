"""What a kind of job is: a name, its options, a function from an order to what was made."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from ribwright.ports import Files, JobFiles

if TYPE_CHECKING:
    from ribwright.work.asking import Request

# every kind takes these; "" is the default that stands here, for the method that of `stages/develop.py`
COMMON = {"press": "", "model": "", "method": "default", "hand": "drawn"}


@dataclass(frozen=True)
class Order:
    """What is asked of a kind: the part file (as `JobFiles` knows it), the shop file where it is not the nearest one, options as
    typed ("" = the default of each)."""

    part: Path
    shop: Path | None = None
    options: dict[str, str] = field(default_factory=dict)

    def request(self) -> Request:
        """The order as the request of a plan."""
        from ribwright.work.asking import DRAWN, OPPOSITE, Request, choice

        told = {name: self.options.get(name, "") or default for name, default in COMMON.items()}
        if told["hand"] not in (DRAWN, OPPOSITE):
            raise choice("--hand", told["hand"], (DRAWN, OPPOSITE))
        opposite = told["hand"] == OPPOSITE
        return Request(self.part, self.shop, told["press"], told["method"], told["model"], opposite)


@dataclass(frozen=True, eq=False)
class Made:
    """The answer as plain JSON values, the exit status that goes with it, files by name. `first`: the unit the shop reads first.
    `whole` False: cancelled on the way; it is shown and not kept. `passing`: something of it was refused for a reason that may be gone
    the next time; it is shown, and whoever asks again has it made again."""

    json: dict[str, Any]
    status: int = 0
    files: dict[str, bytes] = field(default_factory=dict)
    first: str = "mm"
    whole: bool = True
    passing: bool = False

    def text(self) -> bytes:
        """The answer as it is kept: JSON on one line."""
        return json.dumps(self.json, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


class Tell(Protocol):
    """How far a job is: a sentence; `done` of `of` where they are counted; `early` an answer that stands until the last one."""

    def __call__(
        self, words: str, done: int | None = None, of: int | None = None, early: dict[str, Any] | None = None
    ) -> None: ...


@dataclass(frozen=True)
class JobKind:
    """One kind of job. `options`: its own besides COMMON, with their defaults. `run`: InputError where the order is wrong,
    NotConverged where there is no answer. `long`: whether an order with these options takes long: quick ones must not wait for it.
    `named`: what names an order that is no plan of a part, beside kind and options; such a kind takes no options but its own.
    `solids`: whether solids are made for it, so that the same order has another answer once the kernel for them is installed."""

    name: str
    options: dict[str, str]
    run: Callable[[Order, JobFiles, Tell], Made]
    long: Callable[[dict[str, str]], bool] = lambda options: False
    solids: bool = False
    named: Callable[[Files, Order], list[object]] | None = None

    @property
    def allowed(self) -> dict[str, str]:
        """Every option with its default."""
        return self.options if self.named else COMMON | self.options
