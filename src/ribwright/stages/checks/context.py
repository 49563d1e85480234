"""What a check looks at, and the few helpers all checks share."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from ribwright.stages.blank import Blank
from ribwright.stages.block import Block
from ribwright.stages.finding import Finding
from ribwright.stages.flutes import Fluting, fluting_of
from ribwright.stages.job import Job
from ribwright.stages.joggles import Step, steps
from ribwright.stages.making import Making
from ribwright.stages.setup import Setup
from ribwright.units import show_length


@dataclass(frozen=True, eq=False)
class Looked:
    """The job with what the stages made of it. `setup` is None when no press was named, `making` when only the block
    itself is looked at; `flutes` are those of the blank that the block is made for."""

    job: Job
    blank: Blank
    block: Block
    setup: Setup | None = None
    making: Making | None = None
    flutes: Fluting | None = None

    @cached_property
    def fluting(self) -> Fluting:
        """The flutes that were given, else those of the blank."""
        return self.flutes or fluting_of(self.job, self.blank)

    @cached_property
    def joggle_steps(self) -> tuple[Step, ...]:
        """Every step of a joggle."""
        return steps(self.job, self.blank)

    @property
    def first(self) -> Any:
        """The unit the shop reads first: "in" or "mm"."""
        return self.job.shop.units or self.job.part.units

    def length(self, mm: float) -> str:
        """A length in both units, the shop's first."""
        return show_length(mm, self.first)


def margin(value: float, limit: float, least: bool = False) -> float | None:
    """(limit - value)/limit, signed so that negative is bad; `least`: the limit is a lower one."""
    if limit == 0:
        return None
    return (value - limit) / limit if least else (limit - value) / limit


def place(where: dict[str, object]) -> str:
    """'Edge upper' or 'Hole L1', to begin a sentence with; names keep their capitals."""
    return ", ".join(f"{k.capitalize()} {v}" for k, v in where.items() if k != "along_mm")


def percent(engineering: float) -> str:
    """'12.3 %'."""
    return f"{100 * engineering:.1f} %"


__all__ = ["Finding", "Looked", "margin", "percent", "place"]
