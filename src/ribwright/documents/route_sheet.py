"""The route sheet: by which tempers the sheet becomes the part, its steps with boxes to sign, the ways beside it, the limits entered."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    Column,
    NumberBox,
    Piece,
    beside,
    caution,
    content_width,
    fill_boxes,
    gap,
    heading,
    listed,
    number_boxes,
    prose,
    sheet_document,
    small,
    stacked,
    table,
)
from ribwright.documents.page import Document
from ribwright.documents.route_steps import Step, spec_words, steps_of
from ribwright.documents.route_words import (
    NOT_DESIGN,
    OUTCOMES,
    STRAINED,
    STRAINS,
    WAY_NAMES,
    adds_words,
    clock_rows,
    clock_words,
    design_words,
    held_words,
    none_entered,
)
from ribwright.stages.plan import Plan
from ribwright.stages.route_answer import route_answer
from ribwright.units import Unit

STEM, TITLE = "route-sheet", "Route sheet"
RULE = "The shop's heat-treat procedure and the governing specification rule; where this sheet says otherwise, they do."
SILENT = (
    "This sheet sets no furnace or bath, judges no test, and does not say that a part is fit to fly: "
    "approved data and authorised people do."
)
NOT_YET = "Steps of the proposed way. Not to be worked to before whoever owns the drawing has changed it."
BOXES = 0.44  # share of the width for the boxes to sign
HIGH = 9.0


def document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The route sheet on `paper` ("letter" or "a4")."""
    width, first = content_width(paper), identity.first
    route = route_answer(plan.job, plan.route)
    shown = shown_way(route)
    pieces = [*_head(plan, route, shown, width), *_why(route, width)]
    if shown is not None:
        pieces += _steps(plan, route, shown, width)
    pieces += [*_ways(route, first, width), *_design(route, first, width), *_clock(route, width)]
    pieces += [gap(1.0), *small(SILENT, width)]
    return sheet_document(STEM, identity, TITLE, paper, pieces)


def shown_way(route: dict[str, Any]) -> dict[str, Any] | None:
    """The way whose steps are printed: the drawing's where it holds or nothing better is known, else the proposed one."""
    ways = {w["name"]: w for w in route["ways"]}
    drawn, best = ways.get(route["drawing"]["way"]), ways.get(route["proposed"])
    if drawn is not None and (best is None or (drawn["outcome"] != "not-feasible" and not drawn["missing"])):
        return drawn
    return best


def _head(plan: Plan, route: dict[str, Any], shown: dict[str, Any] | None, width: float) -> list[Piece]:
    drawn = route["drawing"]
    way = WAY_NAMES.get(drawn["way"], "none of the ways known here")
    boxes = (
        NumberBox("SHEET AS BOUGHT", plan.job.bought.name, "", "part file"),
        NumberBox("FORMED IN", drawn["formed_in"], way, "part file"),
        NumberBox("FINAL TEMPER", route["wanted"] or "not given", "", "part file"),
    )
    return [number_boxes(boxes, width, 13.0)]


def _why(route: dict[str, Any], width: float) -> list[Piece]:
    """Whether the drawing's way holds, and what is proposed."""
    drawn, proposed = route["drawing"]["way"], route["proposed"]
    if route["heat_treatable"] is False:
        told = "This alloy is not heat treatable: there is no route by heat treatment. Form it as bought."
    elif route["heat_treatable"] is None:
        told = "How this alloy answers to heat treatment is not known here: ask its specification."
    elif proposed == drawn and drawn:
        told = f"The drawing's way is the one proposed. {route['why']}"
    else:
        told = f"Proposed, not the drawing's way: {route['why']}" if proposed else route["why"]
    if proposed == drawn or not drawn:
        return [*prose(told, width), gap(1.0)]
    return [replace(caution(told, width), keep=False)]


def _steps(plan: Plan, route: dict[str, Any], shown: dict[str, Any], width: float) -> list[Piece]:
    out = [heading(f"Steps: {WAY_NAMES[shown['name']].lower()}, delivered {shown['delivers']}", width)]
    out += [*small(RULE, width), gap(1.2)]
    if shown["name"] != route["drawing"]["way"]:
        out.append(caution(NOT_YET, width))
    for i, step in enumerate(steps_of(plan.job, shown, route["clock"]), 1):
        out += [replace(caution(c, width, indent=6.0), keep=True) for c in step.cautions]
        out.append(_step(i, step, width))
    return out


def _step(number: int, step: Step, width: float) -> Piece:
    """What to do on the left, what to sign on the right."""
    left = (1.0 - BOXES) * width - 4.0
    return stacked(
        [
            beside(
                (0.0, listed(str(number), step.say, left)),
                (left + 4.0, [fill_boxes(step.boxes, BOXES * width, HIGH)]),
            )
        ]
    )


def _ways(route: dict[str, Any], first: Unit, width: float) -> list[Piece]:
    columns = (
        Column("way, formed in", 1.5),
        Column("delivers", 0.65),
        Column("least room", 1.9),
        Column("", 0.45, "end"),
        Column("forming", 0.9, font="bold"),
        Column("adds", 1.8),
    )
    rows = []
    for w in route["ways"]:
        what, value, margin, _ = held_words(worst(w), first) if w["held"] else ("", "no limits known", "-", "")
        told = OUTCOMES[w["outcome"]] + ("; not offered" if w["missing"] else "")
        room = f"{what}: {value}" if what else value
        rows.append((f"{WAY_NAMES[w['name']]}\n{w['formed_in']}", w["delivers"], room, margin, told, adds_words(w)))
    out = [stacked([heading("The ways beside each other", width), *table(columns, rows, width, 9.0)])]
    if any(h["quantity"] in STRAINED for w in route["ways"] for h in w["held"]):
        out += small(STRAINS, width)
    for w in route["ways"]:
        for words in (f"quench: {w['distortion']}.", *w["because"], *(f"Not offered: {m}." for m in w["missing"])):
            out += prose(f"{WAY_NAMES[w['name']]}: {words}", width, 9.0)
    return [*out, gap(1.0)]


def worst(way: dict[str, Any]) -> dict[str, Any]:
    """What decides: of the rows that stop it, else of the others but shrink that flutes take up, the one with the least room."""
    order = {"no": 0, "not-known": 1, "yes": 2, "with-care": 2}

    def rank(h: dict[str, Any]) -> tuple[int, bool, float]:
        fluted = h["quantity"] == "edge_shrink" and h["holds"] == "with-care"
        return (order[h["holds"]], fluted, h["margin"] if h["margin"] is not None else 9.0)

    return min(way["held"], key=rank)


def _design(route: dict[str, Any], first: Unit, width: float) -> list[Piece]:
    wanted = route["wanted"]
    tempers = {wanted: route["wanted_design"]} if wanted else {}
    tempers |= {w["delivers"]: w["design"] for w in route["ways"]}
    if len(tempers) < 2:
        return []
    out = [heading("Design values of the tempers", width)]
    for temper, design in tempers.items():
        out += prose(design_words(design, temper, first), width, 9.0)
    return [*out, *small(NOT_DESIGN, width)]


def _clock(route: dict[str, Any], width: float) -> list[Piece]:
    if not any("solution-treat" in w["adds"] for w in route["ways"]):
        return []
    clock = route["clock"]
    if not clock["specification"]:
        return [heading("Limits of heat treatment", width), *prose(none_entered(route), width, 9.0)]
    columns = (Column("limit", 2.0), Column("entered by the shop, for this thickness", 2.0, font="bold"))
    rows = [(words, clock_words(clock, key)) for key, words in clock_rows(route)]
    return [heading(f"Limits entered from {spec_words(clock)}", width), *table(columns, rows, width, 9.0)]
