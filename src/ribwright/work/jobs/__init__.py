"""The kinds of job, one file each: what the page asks for and the commands of the shell do, by the same functions.

A kind is loaded when it is first asked for: some load much, and the server that only takes orders needs none of it to start.
"""

from __future__ import annotations

from importlib import import_module

from ribwright.errors import Fault, InputError, capped, nearest
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell

MOST_TOLD = 20
IMPORTS = ("import-file",)
ANSWERS = ("plan", "check", "explain", "forecast", "packet")
VIEWS = (
    "blank-view",
    "formed-view",
    "block-view",
    "methods-view",
    "contour-view",
    "section-view",
    "strain-view",
)
# the file of a kind goes by its name, with _ for -
KINDS = (*ANSWERS, *VIEWS, *IMPORTS)

__all__ = ["ANSWERS", "IMPORTS", "KINDS", "VIEWS", "JobKind", "Made", "Order", "Tell", "kind_of"]


def kind_of(name: str, options: dict[str, str]) -> JobKind:
    """The kind of that name. InputError where there is none, or where it does not take one of the options."""
    if name not in KINDS:
        raise InputError(
            [Fault("job", "kind", repr(name)[:100], "one of " + ", ".join(KINDS), nearest(name[:100], KINDS))]
        )
    kind: JobKind = import_module(f"{__name__}.{name.replace('-', '_')}").KIND
    allowed = list(kind.allowed)
    unknown = [o for o in options if o not in allowed]
    if unknown:
        words = f"options of {name}: {', '.join(allowed)}"
        found = "an option it does not take"
        faults = [
            Fault("job", f"options.{o[:60]}", found, words, nearest(o[:60], allowed)) for o in unknown[:MOST_TOLD]
        ]
        faults += [Fault("job", f"options.{o[:60]}", found, words) for o in unknown[MOST_TOLD:]]
        raise InputError(capped(faults, MOST_TOLD))
    return kind
