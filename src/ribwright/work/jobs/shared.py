"""Results shared between the page and the commands: what one of them computed, the other takes over."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass

from ribwright.errors import InputError
from ribwright.ports import Files, Results
from ribwright.work.jobs import kind_of
from ribwright.work.jobs.keys import key_of
from ribwright.work.jobs.kind import Made, Order


@dataclass(frozen=True, eq=False)
class Shared:
    """One order in the results that are kept. Wrong input has no key: whoever computes it finds that out and says so."""

    files: Files
    results: Results
    kind: str
    order: Order
    key: str

    def found(self) -> Made | None:
        """What was made of it before."""
        kept = self.results.found(self.key) if self.key else None
        text = self.results.answer(self.key) if kept is not None else None
        if kept is None or text is None:
            return None
        return Made(json.loads(text), kept.status, first=kept.first)

    def keep(self, made: Made) -> None:
        """Keeps what was made of it, unless its files changed meanwhile, it may be made better another time, or there is no room."""
        if self.key and made.whole and not made.passing and _key(self.files, self.kind, self.order) == self.key:
            with suppress(OSError):
                self.results.keep(self.key, made.text(), made.status, made.first, made.files)


def shared(files: Files, results: Results, kind: str, order: Order) -> Shared:
    """The order in these results."""
    return Shared(files, results, kind, order, _key(files, kind, order))


def _key(files: Files, kind: str, order: Order) -> str:
    try:
        return key_of(files, kind_of(kind, order.options), order)
    except InputError:
        return ""
