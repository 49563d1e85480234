"""One piece held against its drawing: everything found, judged by the drawing's tolerances and the shop's decision rule.

A characteristic is judged by its own tolerance where the drawing gives it one, else by the general one; a missing tolerance is never
replaced. A reading by a gauge past its due date proves nothing: its verdict is "cannot tell", whatever it says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from ribwright.features.inspected import BLANK, PART, Said
from ribwright.features.part import Part
from ribwright.shop.shop import MeasuringGauge, Shop
from ribwright.stages.found import CANNOT_TELL, THICKNESS, Found, FoundSet, Judged, judge
from ribwright.stages.tolerances import allowed, general_counts

OVERDUE = "the gauge was past its due date"


@dataclass(frozen=True, eq=False)
class Inspection:
    """What was found on one piece, and the verdicts. `accepted_by` the person who accepts it, None where nobody does or may; `refused`
    why it may not be accepted, where it was asked."""

    said: Said
    file: str
    found: FoundSet
    judged: tuple[Judged, ...]
    accepted_by: str | None = None
    refused: tuple[str, ...] = ()


def judged_all(part: Part, shop: Shop, said: Said, found: Iterable[Found]) -> tuple[Judged, ...]:
    """Every characteristic with its verdict."""
    found = tuple(found)
    late = {g.id: g.due for g in overdue(shop, said, found)}
    out = []
    for f in found:
        j = judge(f, tolerance_of(part, f, said.what), shop.rules.decision)
        if f.gauge in late:
            j = replace(j, verdict=CANNOT_TELL, reason=f"{OVERDUE}, {late[f.gauge]}")
        out.append(j)
    return tuple(out)


def tolerance_of(part: Part, found: Found, what: str = PART) -> tuple[float, float] | None:
    """(minus, plus) about the nominal that the drawing gives this characteristic; None where it gives none. The cut line of a blank
    moves the width of its flange one for one, and so is held by the width's tolerance; where there is no flange it is the contour's."""
    where, quantity = found.where, found.quantity
    if quantity == THICKNESS:
        return None
    if "corner" in where:
        a, b = where["corner"]
        return allowed(part, quantity, f"corner.{a}/{b}", f"corner.{b}/{a}")
    if "hole" in where:
        hole = next(h for h in part.holes if h.name == where["hole"])
        general = quantity in GENERAL or general_counts(hole, quantity)
        limits = allowed(part, quantity, f"hole.{hole.name}", general=general)
        if (
            limits
            and quantity == "hole_diameter"
            and hole.kind == "tooling"
            and hole.pin_fit is not None
            and "of" not in where
        ):
            return min(limits[0], hole.pin_fit), limits[1]  # a hole for a pin is never under its pin
        return limits
    if "edge" in where:
        edge = part.edge(where["edge"])
        if what == BLANK and quantity == "contour" and edge.flange:
            quantity = "flange_width"
        owners = [f"edge.{edge.name}", *([f"flange.{edge.flange}"] if edge.flange and quantity != "contour" else [])]
        return allowed(part, quantity, *owners)
    return allowed(part, quantity)


# of a flanged hole as of an edge; its rim and height are sizes of their own
GENERAL = ("flange_angle", "bend_radius", "hole_position")


def overdue(shop: Shop, said: Said, found: Iterable[Found]) -> tuple[MeasuringGauge, ...]:
    """The gauges used, by the head of the file or by a reading of its own, that were past their due date on the day of measuring; none
    where the day is not said."""
    ids = {*said.gauges, *(f.gauge for f in found)}
    used = [g for g in shop.gauges if g.id in ids]
    return tuple(g for g in used if said.date and g.due and g.due < said.date)
