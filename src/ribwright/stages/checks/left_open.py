"""The angle at which a flange comes off that the press leaves open, against the drawing's tolerance."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.as_pressed import stays_open
from ribwright.stages.checks.context import Finding, Looked, margin, place
from ribwright.stages.reach import Reach
from ribwright.stages.tolerances import allowed
from ribwright.units import show_pressure

FINISH = (
    "More pressure, by a press that gives it or a smaller pad; a softer temper or a wider flange, as the drawing allows. Else finish "
    "it by hand on the block: cover plate on, strike the root first to set the radius, then lay it over. Another undercut does not help."
)


def findings(looked: Looked) -> Iterator[Finding]:
    """One a flange that stays open and comes off outside the drawing's tolerance; nothing where none was typed."""
    for r in stays_open(looked.setup):
        limits = allowed(looked.job.part, "flange_angle", *owners(looked, r))
        assert r.released is not None
        off = r.released.value - r.flange.angle
        if limits is None or -limits[0] <= off <= limits[1]:
            continue
        limit = limits[0] if off < 0 else limits[1]
        low, high = r.released.low, r.released.high
        yield Finding(
            "flange-comes-off-open",
            "warn",
            f"{place(r.flange.where)} stays open under {show_pressure(r.pressure, looked.first)} and comes off the block at about "
            f"{r.released.value:.1f} deg (90 %: {low:.0f} to {high:.0f}), {abs(off):.1f} {'open' if off < 0 else 'closed'} of the "
            f"drawing's {r.flange.angle:g}, which allows {limit:g}; not compared with a real formed part.",
            FINISH,
            r.flange.where, abs(off), limit, margin(abs(off), limit), "deg", r.released.model,
        )  # fmt: skip


def owners(looked: Looked, r: Reach) -> tuple[str, ...]:
    """Whose own tolerance goes before the general one."""
    name = r.flange.owner
    if "hole" in r.flange.where:
        return (f"hole.{name}",)
    return (f"edge.{name}", f"flange.{looked.job.part.edge(name).flange}")
