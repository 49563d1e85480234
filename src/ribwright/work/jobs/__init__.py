"""The kinds of job, one file each: what the page asks for and the commands of the shell do, by the same functions."""

from __future__ import annotations

from ribwright.errors import Fault, InputError, nearest
from ribwright.work.jobs import (
    blank_view,
    block_view,
    check,
    contour_view,
    explain,
    forecast,
    formed_view,
    methods_view,
    packet,
    plan,
    section_view,
    strain_view,
)
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell

ANSWERS = (plan.KIND, check.KIND, explain.KIND, forecast.KIND, packet.KIND)
VIEWS = (
    blank_view.KIND,
    formed_view.KIND,
    block_view.KIND,
    methods_view.KIND,
    contour_view.KIND,
    section_view.KIND,
    strain_view.KIND,
)
KINDS: dict[str, JobKind] = {kind.name: kind for kind in (*ANSWERS, *VIEWS)}

__all__ = ["KINDS", "JobKind", "Made", "Order", "Tell", "kind_of"]


def kind_of(name: str, options: dict[str, str]) -> JobKind:
    """The kind of that name. InputError where there is none, or where it does not take one of the options."""
    kind = KINDS.get(name)
    if kind is None:
        raise InputError([Fault("job", "kind", repr(name), "one of " + ", ".join(KINDS), nearest(name, list(KINDS)))])
    allowed = list(kind.allowed)
    unknown = [o for o in options if o not in allowed]
    if unknown:
        words = f"options of {name}: {', '.join(allowed)}"
        raise InputError(
            [Fault("job", f"options.{o}", "an option it does not take", words, nearest(o, allowed)) for o in unknown]
        )
    return kind
