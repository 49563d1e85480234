"""Who works on many runs of the section model, and who hears how far they are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from ribwright.mechanics.section.many import run_all

Made = TypeVar("Made")


@dataclass(frozen=True)
class Crew:
    """Who works and who is told: threads to run on, and what hears of progress in words."""

    threads: int = 2
    say: Callable[[str], None] = lambda _: None

    def run(self, what: str, jobs: list[Callable[[], Made]]) -> list[Made]:
        """All jobs, telling how many are done."""

        def told(done: int, whole: int) -> bool:
            self.say(f"section model: {what}, {done} of {whole}")
            return True

        return run_all(jobs, self.threads, told)
