"""What a press hand should know about a forecast: one finding an edge or hole and subject, at its worst place."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ribwright.stages.checks.left_open import FINISH
from ribwright.stages.finding import Finding, ranked
from ribwright.stages.forecast import CANCELLED, NECKS, STUCK, UNKNOWN, Forecast, Station, off_drawing
from ribwright.stages.forecast_ask import CLOSED_FORM
from ribwright.stages.plan import Plan
from ribwright.stages.tolerances import allowed

SOURCE = "the forecast's model; not compared with a real formed part"


def forecast_findings(plan: Plan, f: Forecast) -> tuple[Finding, ...]:
    """Findings of a forecast, worst first."""
    owners = list(dict.fromkeys(s.place.owner for s in f.stations))
    rows: list[Finding] = []
    for owner in owners:
        mine = [s for s in f.stations if s.place.owner == owner]
        rows += [*_open(mine), *_off(plan, mine), *_neck(mine), *_stuck(mine)]
    return ranked([*rows, *_unverified(f), *_unknown(f)])


def _name(s: Station) -> str:
    return f"hole {s.place.owner}" if "hole" in s.place.where else s.place.owner


def _worst(mine: list[Station], size: Callable[[Station], float]) -> Station | None:
    known = [s for s in mine if s.released is not None]
    return max(known, key=size, default=None)


def _open(mine: list[Station]) -> Iterator[Finding]:
    s = _worst([s for s in mine if s.closes is False], lambda s: s.left_open.value if s.left_open else 0.0)
    if s is not None and s.left_open is not None:
        yield Finding(
            "forecast-left-open",
            "warn",
            f"Under this pressure the flange of {_name(s)} does not come down to the block: {s.left_open.value:.1f} deg are "
            "missing.",
            "More pressure, by a press that gives it or a smaller pad; a softer pad or temper, a longer flange; or lay it over by hand on "
            "the block, root first.",
            s.place.where, s.left_open.value, 0.5, unit="deg", source=SOURCE,
        )  # fmt: skip


def _off(plan: Plan, mine: list[Station]) -> Iterator[Finding]:
    """Released angle outside the drawing's tolerance; only where one was typed."""
    s = _worst(mine, lambda s: abs(off_drawing(s)))
    if s is None:
        return
    part = plan.job.part
    flange = "" if "hole" in s.place.where else part.edge(s.place.owner).flange
    owners = (f"hole.{s.place.owner}",) if "hole" in s.place.where else (f"edge.{s.place.owner}", f"flange.{flange}")
    limits = allowed(part, "flange_angle", *owners)
    if limits is None:
        return
    off = off_drawing(s)
    limit = limits[1] if off > 0 else limits[0]
    if abs(off) > limit:
        way = "closed" if off > 0 else "open"
        yield Finding(
            "forecast-angle-outside",
            "warn",
            f"{_name(s)} is forecast to come off the block {abs(off):.1f} deg {way} of the drawing, which allows {limit:g} deg.",
            FINISH if s.closes is False else "Cut the block to another undercut, or plan to dress this flange.",
            s.place.where, abs(off), limit, (limit - abs(off)) / limit if limit else None, "deg", SOURCE,
        )  # fmt: skip


def _neck(mine: list[Station]) -> Iterator[Finding]:
    s = _worst([s for s in mine if s.outcome == NECKS], lambda s: s.strain.value if s.strain else 0.0)
    if s is not None and s.strain is not None:
        yield Finding(
            "forecast-would-neck",
            "warn",
            f"The free edge of {_name(s)} is stretched {100 * s.strain.value:.1f} % (true strain), past where this sheet begins to "
            "neck in tension.",
            "Form in a softer temper, ask for a narrower flange or a larger contour radius, or a relief notch.",
            s.place.where, s.strain.value, unit="true strain",
            source="Considere: the load is greatest at a plastic strain of n - e0",
        )  # fmt: skip


def _stuck(mine: list[Station]) -> Iterator[Finding]:
    stuck = [s for s in mine if s.outcome in (STUCK, CANCELLED)]
    if stuck:
        cancelled = any(s.outcome == CANCELLED for s in stuck)
        yield Finding(
            "forecast-unfinished",
            "warn",
            f"The section model {'was stopped before it came to the end' if cancelled else 'found no balance'} at "
            f"{len(stuck)} of {len(mine)} places of {_name(stuck[0])}.",
            "Ask again; the quick formula's numbers stand beside it."
            if cancelled
            else "Take the quick formula's number, first piece on scrap.",
            stuck[0].place.where, source=SOURCE,
        )  # fmt: skip


def _unverified(f: Forecast) -> Iterator[Finding]:
    """One note for each reason, with what it is about."""
    if f.ask.model == CLOSED_FORM:
        return
    reasons: dict[str, list[str]] = {}
    for s in f.stations:
        for why in s.unverified if s.released is not None else ():
            reasons.setdefault(why, []).append(_name(s))
    for why, names in reasons.items():
        yield Finding(
            "forecast-unverified",
            "note",
            f"The section model is not proven here: {why} ({', '.join(dict.fromkeys(names))}).",
            source=SOURCE,
        )


def _unknown(f: Forecast) -> Iterator[Finding]:
    why = next((s.unverified for s in f.stations if s.outcome == UNKNOWN), None)
    if why is not None:
        yield Finding(
            "forecast-unknown",
            "warn",
            f"I do not know what this sheet does: {', '.join(w for w in why if w) or 'its law is not known'}.",
            "A tensile test of the lot (ribwright material --tensile), or a record of another temper.",
            source="material record",
        )
