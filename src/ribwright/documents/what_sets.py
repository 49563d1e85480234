"""What this press does to beads and to steps of joggles, as rows of the table of what it closes."""

from __future__ import annotations

from ribwright.documents.entry_table import in_cell
from ribwright.documents.readings import band_words
from ribwright.stages.bead_demand import BeadDemand
from ribwright.stages.finding import Predicted
from ribwright.stages.joggles import Step
from ribwright.stages.pressure import within
from ribwright.stages.setup import Setup
from ribwright.units import Unit, show_pressure

NO_SHORTEST = "-"


def detail_rows(s: Setup, first: Unit) -> list[tuple[str, ...]]:
    """(bead or step, needs, gets, what it does, -), those that are not filled or set first."""
    acting = s.available if s.pump_pressure is None else s.pump_pressure
    rows = [
        (b.need.value / acting, _row(f"bead {b.shape.number}", b.need, acting, bead_does(b, s), first)) for b in s.beads
    ]
    for x in s.joggles:
        need = x.needs(s.share)
        if need is not None:
            rows.append((need.value / acting, _row(step_name(s, x), need, acting, step_does(need, acting), first)))
    return [row for _, row in sorted(rows, key=lambda r: -r[0])]


def step_name(s: Setup, x: Step) -> str:
    """'step of upper (joggle 1)', its place along the edge too where the joggle has two."""
    two = sum(1 for other in s.joggles if other.number == x.number) > 1
    return f"step of {x.edge} (joggle {x.number}" + (f", {'first' if _first(s, x) else 'second'} step)" if two else ")")


def _first(s: Setup, x: Step) -> bool:
    return x.start <= min(o.start for o in s.joggles if o.number == x.number)


def _row(name: str, need: Predicted, acting: float, does: str, first: Unit) -> tuple[str, ...]:
    needs = f"{show_pressure(need.value, first)}\n{band_words(need.low, need.high, first)}"
    return name, needs, in_cell(show_pressure(acting, first)), does, NO_SHORTEST


def bead_does(b: BeadDemand, s: Setup) -> str:
    """'is filled', 'should be filled; may stay shallow', 'NOT FILLED'."""
    acting = s.available if s.pump_pressure is None else s.pump_pressure
    if not within(b.need.value, acting):
        return "NOT FILLED"
    return "is filled" if b.need.high <= acting * (1 + 1e-9) else "should be filled; may stay shallow"


def step_does(need: Predicted, acting: float) -> str:
    """'is set', 'may not be set fully', 'NOT SET: set it by hand'."""
    if need.low > acting:
        return "NOT SET: set it by hand"
    return "is set" if need.value <= acting else "may not be set fully: look at it"


def steps_by_hand(s: Setup) -> list[str]:
    """The steps that the press may not set, by name."""
    acting = s.available if s.pump_pressure is None else s.pump_pressure
    needs = [(x, x.needs(s.share)) for x in s.joggles]
    return [step_name(s, x) for x, need in needs if need is not None and need.value > acting]
