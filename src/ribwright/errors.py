"""The tree of this project's errors.

    RibwrightError
    ├── InputError          the person's file or argument is wrong; carries every fault found   (exit 2)
    │     ├── Missing       what was asked for by name is not there
    │     └── Clash         it is there already, or was changed by somebody else meanwhile
    ├── UnitError           a quantity could not be read (becomes a Fault of an InputError)
    ├── FactError           a file of the catalogue breaks its own contract (a bug of ours)
    └── NotConverged        a computation gave up; what it had is marked unfinished             (exit 3)

Bad news about the part (a split, a press too weak) is never an error: it is a Finding in the answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True)
class Fault:
    """One thing wrong with an input: where it stands, what was found, what is allowed."""

    file: str
    key: str
    found: str
    allowed: str
    nearest: str = ""

    def sentence(self) -> str:
        """The fault as one sentence a person can act on."""
        hint = f"; did you mean {self.nearest!r}?" if self.nearest else ""
        said = f"{self.file}: {self.key}: found {self.found}; allowed: {self.allowed}{hint}"
        # a name may hold line breaks and terminal codes; a sentence is one line
        return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in said)


class RibwrightError(Exception):
    """Root of every error raised on purpose."""


class InputError(RibwrightError):
    """The input is wrong. `faults` lists every fault of the file, not only the first."""

    def __init__(self, faults: list[Fault] | tuple[Fault, ...]):
        self.faults = tuple(faults)
        super().__init__("\n".join(f.sentence() for f in self.faults))


class Missing(InputError):
    """What was asked for by its name is not there."""


class Clash(InputError):
    """The name is taken, or what was to be changed has been changed meanwhile."""


class UnitError(RibwrightError):
    """A quantity could not be read: `found` as typed, `allowed` in words."""

    def __init__(self, found: str, allowed: str):
        self.found, self.allowed = found, allowed
        super().__init__(f"found {found}; allowed: {allowed}")


class FactError(RibwrightError):
    """A file of the catalogue lacks a source or breaks a rule of its kind."""


class NotConverged(RibwrightError):
    """An iteration ended without an answer; the text says which and what to try."""


def capped(faults: Sequence[Fault], most: int) -> tuple[Fault, ...]:
    """At most so many faults; where there are more, the last says how many are not told."""
    if len(faults) <= most:
        return tuple(faults)
    said = faults[: most - 1]
    return *said, Fault(
        said[0].file, "the rest", f"and {len(faults) - len(said)} more faults", "mending those above first"
    )


def nearest(word: str, allowed: list[str] | tuple[str, ...]) -> str:
    """The allowed word that looks most like `word`, or "" when none does."""
    hits = get_close_matches(word.lower(), [a.lower() for a in allowed], n=1, cutoff=0.6)
    return next((a for a in allowed if a.lower() == hits[0]), "") if hits else ""
