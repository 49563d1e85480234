"""What a person should know of the drawing's way to the finished part: that it does not hold, or that another adds less."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.finding import Finding
from ribwright.stages.route import NOT_FEASIBLE, Route, Way
from ribwright.stages.route_ways import ANNEALED, AS_BOUGHT, AS_QUENCHED

SOURCE = "each way developed and held against the limits of the record it is formed in"
TAKE = "as a change that whoever owns the drawing makes"


def way_words(way: Way) -> str:
    """'formed annealed (2024-O), solution treated, delivered T42'."""
    how = {
        AS_BOUGHT: f"formed as bought ({way.formed_in})",
        ANNEALED: f"formed annealed ({way.formed_in}), then solution treated",
        AS_QUENCHED: f"solution treated flat and formed as quenched ({way.formed_in})",
    }[way.course.way]
    return f"{how}, delivered {way.course.delivers}"


def route_findings(route: Route, relieved: bool = False) -> Iterator[Finding]:
    """At most one: `route-not-feasible` where the drawing's way stops, is not allowed or ends in another temper, else
    `route-not-proposed` where another way is. `relieved`: relief notches are proposed."""
    drawn, best = route.way(route.drawn), route.way(route.proposed)
    if drawn is None:
        return
    against = [*(drawn.because[:2] if drawn.outcome == NOT_FEASIBLE else ()), *drawn.missing]
    if drawn.reaches is False:
        against.append(f"It delivers {drawn.course.delivers}, the drawing asks for {route.wanted}.")
    if against:
        yield Finding(
            "route-not-feasible",
            "warn",
            f"The drawing's way, {way_words(drawn)}, does not hold. {' '.join(_sentence(a) for a in against)}",
            _instead(best, route, relieved),
            {"key": "sheet.formed_in"},
            source=SOURCE,
        )
    elif best is not None and best is not drawn:
        yield Finding(
            "route-not-proposed",
            "warn",
            f"The drawing's way is {way_words(drawn)}; {way_words(best)} holds too and adds less.",
            f"Ask whether it may be {way_words(best)}, {TAKE}.",
            {"key": "sheet.formed_in"},
            source=SOURCE,
        )


def _sentence(words: str) -> str:
    return words if words.endswith(".") else f"{words[0].upper()}{words[1:]}."


def _instead(best: Way | None, route: Route, relieved: bool) -> str:
    if best is not None and best.course.way != route.drawn:
        other = f" It delivers {best.course.delivers}, not {route.wanted}." if best.reaches is False else ""
        return f"Proposed: {way_words(best)}, {TAKE}.{other}"
    if route.treatable is False:
        return "The alloy is not heat treatable: ask for a larger radius, a narrower flange or a softer temper."
    none = "No other route by temper is known to hold here"
    if relieved:
        return f"{none}: see the relief notches proposed, as a change that whoever owns the drawing makes."
    return f"{none}: clear it with whoever owns the drawing."
