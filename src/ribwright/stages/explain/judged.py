"""One row of the table of findings: what value and limit of a code are, how they come about, what moves them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place

On = Callable[[Place], Keys]
Inputs = Callable[[Case], tuple[Input, ...]]


@dataclass(frozen=True)
class Judged:
    """What value and limit of a code are. `least`: the limit is a lower one. `again` takes the inputs' values in order.
    `snapped`: a margin within this of 0 is answered as 0."""

    value: str
    limit: str
    on_value: On
    on_limit: On
    least: bool = False
    origin: str = "formula"
    formula: str = ""
    inputs: Inputs | None = None
    again: Callable[..., float] | None = None
    limit_origin: str = "fact"
    limit_formula: str = ""
    limit_inputs: Inputs | None = None
    limit_again: Callable[..., float] | None = None
    snapped: float = 0.0


def keys(*patterns: str) -> On:
    """The same keys at every place."""
    return lambda _: patterns


NOTHING: On = keys()


def same(x: float) -> float:
    """The number as it is."""
    return x
