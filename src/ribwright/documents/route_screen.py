"""The ways to the finished part as lines of text."""

from __future__ import annotations

from typing import Any

from ribwright.documents.route_words import (
    NOT_DESIGN,
    OUTCOMES,
    STRAINED,
    STRAINS,
    adds_words,
    clock_rows,
    clock_words,
    design_words,
    held_words,
    none_entered,
    reheat_words,
    way_head,
)
from ribwright.units import Unit

PROPOSAL = "A proposal: the part file changes only when whoever owns the drawing changes it."


def route_lines(route: dict[str, Any], first: Unit) -> list[str]:
    """What is proposed and why; every way with what it is held by; what the shop entered of its specification."""
    head = "Route proposed: " + (route["proposed"].replace("-", " ") or "none")
    out = [head, f"  {route['why']}"]
    if route["heat_treatable"] is False:
        out.append(
            "  This alloy is not heat treatable: no heat treatment gives it back what annealing takes; form it as bought."
        )
    elif route["heat_treatable"] is None:
        out.append("  How this alloy answers to heat treatment is not known here: ask its specification.")
    if route["proposed"] and route["proposed"] != route["drawing"]["way"]:
        out.append(f"  {PROPOSAL}")
    if any(h["quantity"] in STRAINED for w in route["ways"] for h in w["held"]):
        out.append(f"  {STRAINS}")
    for way in route["ways"]:
        out += ["", *_way(way, route, first)]
    wanted = route["wanted"]
    if wanted:
        tempers = {wanted: route["wanted_design"], **{w["delivers"]: w["design"] for w in route["ways"]}}
        out += [
            "",
            "Design values of the tempers",
            *(f"  {design_words(d, t, first)}" for t, d in tempers.items()),
            f"  {NOT_DESIGN}",
        ]
    if any("solution-treat" in w["adds"] for w in route["ways"]):
        out += ["", *_clock(route)]
    return out


def _way(way: dict[str, Any], route: dict[str, Any], first: Unit) -> list[str]:
    marks = [
        *(["proposed"] if way["name"] == route["proposed"] else []),
        *(["the drawing's"] if way["name"] == route["drawing"]["way"] else []),
    ]
    out = [f"{way_head(way)}: {OUTCOMES[way['outcome']]}" + (f"  ({', '.join(marks)})" if marks else "")]
    for held in way["held"]:
        what, value, margin, holds = held_words(held, first)
        out.append(f"  {margin:>10}  {what}: {value}, {holds}")
    out += [f"  {b}" for b in way["because"]]
    out.append(f"  adds: {adds_words(way)}")
    out.append(f"  quench: {way['distortion']}")
    if way["reaches_final"] is False:
        out.append(f"  delivers {way['delivers']}, the drawing asks for {route['wanted']}")
    out += [f"  not offered: {m}" for m in way["missing"]]
    again = reheat_words(way)
    return [*out, f"  {again}"] if again else out


def _clock(route: dict[str, Any]) -> list[str]:
    clock = route["clock"]
    if not clock["specification"]:
        return ["Limits of heat treatment", f"  {none_entered(route)}"]
    rows = [f"  {words}: {clock_words(clock, key)}" for key, words in clock_rows(route)]
    return [f"Limits that the shop entered ({clock['specification']})", *rows]
