"""The sentences of a calculation's progress, with the counts that stand in them."""

from __future__ import annotations

import re

from ribwright.work.asking import Progress
from ribwright.work.jobs.kind import Tell

_COUNT = re.compile(r"(\d+) of (\d+)")


def saying(tell: Tell) -> Progress:
    """A progress of words that tells a job's: "section model: 3 of 12 runs" is 3 of 12."""

    def say(words: str) -> None:
        hit = _COUNT.search(words)
        tell(words, int(hit[1]), int(hit[2])) if hit else tell(words)

    return say
