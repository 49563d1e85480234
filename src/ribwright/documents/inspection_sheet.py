"""The inspection sheet: what to measure on the blank and on the formed part, nominal and tolerance, boxes to fill in.

A tolerance comes from the part file or is missing; a missing one is never replaced by a custom of the trade.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.block_sheet import laid_edge
from ribwright.documents.detail_measures import on_blank, on_part
from ribwright.documents.entry_table import entry_table, fine_length, in_cell, named, whole
from ribwright.documents.forecast_cell import HEAD, SAYS, forecast_cell
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    Column,
    Piece,
    content_width,
    fill_boxes,
    gap,
    heading,
    prose,
    sheet_document,
    small,
    table,
)
from ribwright.documents.page import Document
from ribwright.features.part import Flange, Part
from ribwright.stages.checks.tolerance import NAMES
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.joggles import steps
from ribwright.stages.judged import plan_tolerances
from ribwright.stages.measured_places import clear_place, stations_of
from ribwright.stages.plan import Plan
from ribwright.stages.tolerances import general_counts
from ribwright.units import MM_PER_IN, Unit, show_angle, show_length

CANNOT = "not given"
COMPUTED = "(computed)"
PRINT = 9.0

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Measure:
    """One thing to measure. `tolerance` the key of [tolerance]; `owner` the feature that may carry its own."""

    balloon: str
    what: str
    nominal: str
    tolerance: str
    owner: str
    own_only: bool = False
    """Only the feature's own tolerance counts: the drawing's general one is of another kind."""
    place: tuple[str, str] = ("", "")
    """('edge', 'upper'), ('hole', 'L1'): whose forecast stands beside it."""
    fit: float | None = None
    """Hole diameter less pin [mm]: a hole for a pin is never under its pin, whatever the drawing allows."""


def document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The inspection sheet on `paper` ("letter" or "a4")."""
    width, first = content_width(paper), identity.first
    pieces = [
        *_how(plan, first, width),
        *_blank(plan, first, width),
        *_formed(plan, first, width),
        *_gauges(plan, width),
        *_sign_off(width),
    ]
    return sheet_document("inspection-sheet", identity, "Inspection sheet", paper, pieces)


def measures(plan: Plan, first: Unit) -> tuple[Measure, ...]:
    """Everything to measure on the formed part, in the order of the sheet."""
    part = plan.job.part
    rows = [m for e in part.loops for edge in e.edges if edge.flange for m in _edge_measures(plan, edge.name, first)]
    rows += _joggle_measures(plan, first)
    rows += [
        Measure(balloon, what, nominal, "contour", owner, True)
        for balloon, what, nominal, owner in on_part(plan, first)
    ]
    rows += [m for h in plan.blank.holes for m in _hole_measures(plan, h, first)]
    rows += _relief_measures(plan, first)
    line = {"outside-mold-line": "outside mold line", "inside-mold-line": "inside mold line"}.get(
        part.line, "bend line"
    )
    for loop in part.loops:
        where = "web" if loop.name == "web" else f"cutout {loop.name}"
        what = f"contour ({line}) against a template cut to the drawn line"
        rows.append(Measure("", f"{where}: {what}", _gap_words(first), "contour", ""))
        own = [e for e in loop.edges if e.balloon or f"edge.{e.name}.contour" in part.tolerance]
        rows += [Measure(e.balloon, f"{e.name}: {what}", _gap_words(first), "contour", f"edge.{e.name}") for e in own]
    return (*rows, Measure("", "web: flatness, part free on a flat plate", _gap_words(first), "web_flatness", ""))


def tolerance_words(part: Part, measure: Measure, first: Unit) -> str:
    """'-0.030 / +0.030 in' in both units, or that it is not given. A feature's own tolerance goes first; a
    pin hole's lower limit is its pin."""
    key = measure.tolerance
    limits = part.tolerance.get(f"{measure.owner}.{key}") or (None if measure.own_only else part.tolerance.get(key))
    if limits is None:
        return CANNOT
    low, high = limits
    if measure.fit is not None:
        low = min(low, measure.fit)
    if key == "flange_angle":
        return f"± {high:g} deg" if low == high else f"- {low:g} / + {high:g} deg"
    inch, metric = (
        f"± {high / k:.{d}f} {u}" if low == high else f"- {low / k:.{d}f} / + {high / k:.{d}f} {u}"
        for k, d, u in ((MM_PER_IN, 3, "in"), (1.0, 2, "mm"))
    )
    return f"{inch}\n{metric}" if first == "in" else f"{metric}\n{inch}"


def _edge_measures(plan: Plan, name: str, first: Unit) -> list[Measure]:
    edge = laid_edge(plan, name)
    f = edge.flange
    assert f is not None
    out = []
    for word, along in stations_of(plan, edge):
        s = edge.at(np.array([along]))
        at = f"{word}, {show_length(along, first)}"
        angle, wide = float(edge.angle(s)[0]), float(edge.width(s)[0])
        for what, nominal, key in (
            ("bend angle", show_angle(angle, 2), "flange_angle"),
            ("flange width", in_cell(show_length(wide, first)), "flange_width"),
            ("bend radius, inside", in_cell(show_length(f.bend_radius, first)), "bend_radius"),
        ):
            owner = _owner(plan.job.part, name, f, key)
            out.append(Measure(f.balloon, f"{name}: {what}\n{at}", nominal, key, owner, place=("edge", name)))
    return out


def _joggle_measures(plan: Plan, first: Unit) -> list[Measure]:
    """Depth of each joggle, and length of its steps; only a tolerance of its own counts."""
    out = []
    for n, j in enumerate(plan.job.part.joggles, 1):
        found = [s for s in steps(plan.job, plan.blank) if s.number == n]
        at = (
            ", ".join(f"{show_length(s.start, first)} to {show_length(s.end, first)} along" for s in found)
            or "whole edge"
        )
        for what, mm in (("depth, feeler under a straight edge", j.depth), ("length of the step", j.length)):
            name = f"joggle {n} on {j.edge}: {what}\n{at}"
            out.append(Measure(j.balloon, name, in_cell(show_length(mm, first)), "contour", f"joggle[{n}]", True))
    return out


def _owner(part: Part, edge: str, flange: Flange, key: str) -> str:
    """The edge where it has this tolerance of its own, else its flange."""
    return f"edge.{edge}" if f"edge.{edge}.{key}" in part.tolerance else f"flange.{flange.name}"


def _hole_measures(plan: Plan, flat: FlatHole, first: Unit) -> list[Measure]:
    h = flat.hole
    place, fits = ("hole", h.name), _pin_fits(plan)
    word = {"tooling": "tooling hole", "plain": "hole", "lightening": "lightening hole"}[h.kind]

    def one(what: str, nominal: str, key: str, own_only: bool = False) -> Measure:
        fit = fits.get(h.name) if key == "hole_diameter" else None
        named_ = f"{word} {h.name}: {what}"
        return Measure(
            h.balloon, named_, nominal, key, f"hole.{h.name}", own_only, ("", "") if own_only else place, fit
        )

    rows = _positions(plan, flat, first, one)
    if h.kind != "lightening":
        rows.append(one("diameter", in_cell(fine_length(h.diameter, first)), "hole_diameter"))
        if h.slot > 0:
            rows.append(one("length of slot", in_cell(fine_length(h.diameter + h.slot, first)), "hole_diameter"))
        return rows
    rows.append(one("bend angle", show_angle(h.bend_angle, 2), "flange_angle"))
    rows.append(one("bend radius, inside", in_cell(show_length(h.bend_radius, first)), "bend_radius"))
    typed = h.given[0] if h.given else ""
    rim, tall = (_size_or_not(mm, first) for mm in (flat.rim_diameter, flat.flange_height))
    own_only = {k: not general_counts(h, k) for k in ("hole_diameter", "flange_width")}
    rim += "" if typed == "rim_diameter" else f"\n{COMPUTED}"
    rows.append(one("rim diameter, smallest", rim, "hole_diameter", own_only["hole_diameter"]))
    tall += "" if typed == "flange_height" else f"\n{COMPUTED}"
    rows.append(one("flange height, square to the web", tall, "flange_width", own_only["flange_width"]))
    return rows


def _positions(plan: Plan, flat: FlatHole, first: Unit, one: Callable[..., Measure]) -> list[Measure]:
    """x and y from the first pin hole, as the drill sheet has them; of that hole itself from the drawing's origin."""
    datum = next((h for h in plan.job.part.holes if h.kind == "tooling"), None)
    h = flat.hole
    zero = datum.at if datum is not None and datum is not h else (0.0, 0.0)
    base = f"from {datum.name}" if datum is not None and datum is not h else "from the drawing's origin"
    return [
        one(f"its centre, {axis} {base}", in_cell(show_length(value - o, first)), "hole_position")
        for axis, value, o in zip("xy", h.at, zero, strict=True)
    ]


def _pin_fits(plan: Plan) -> dict[str, float]:
    """Hole less pin on the diameter [mm] of every pin hole."""
    holes = {h.name: h.diameter for h in plan.job.part.holes}
    return {p.name: holes[p.name] - p.diameter for p in plan.block.pins}


def _relief_measures(plan: Plan, first: Unit) -> list[Measure]:
    """The relief holes that the drawing numbers."""
    rows = []
    for c in plan.job.part.corners:
        size = next((j.diameter for js in plan.blank.joins for j in js if {j.before, j.after} == set(c.at)), 0.0)
        if c.balloon and size > 0.0:
            what, owner = f"relief at {c.at[0]}/{c.at[1]}: diameter", _corner_owner(plan, c.at)
            nominal = in_cell(fine_length(size, first)) + ("" if c.diameter else f"\n{COMPUTED}")
            rows.append(Measure(c.balloon, what, nominal, "hole_diameter", owner, c.diameter is None))
    return rows


def _corner_owner(plan: Plan, at: tuple[str, str]) -> str:
    """The corner as its own tolerance names it: the order of its edges is that of the file, and a turned loop's is the other."""
    owners = [f"corner.{a}/{b}" for a, b in (at, at[::-1])]
    return next((o for o in owners if f"{o}.hole_diameter" in plan.job.part.tolerance), owners[0])


def _size_or_not(mm: float | None, first: Unit) -> str:
    return "not solved: see the findings" if mm is None else in_cell(show_length(mm, first))


def _gap_words(first: Unit) -> str:
    return "0 in (0 mm)" if first == "in" else "0 mm (0 in)"


def _how(plan: Plan, first: Unit, width: float) -> list[Piece]:
    text = (
        "Nominal values are the drawing's, as typed into the part file; those marked (computed) are this plan's. Fill in "
        "measured value, gauge and verdict; the verdict is one of: inside, outside, cannot tell (the gauge's uncertainty "
        "reaches over the limit)."
    )
    part = plan.job.part
    lost = [m for m in measures(plan, first) if tolerance_words(part, m, first) == CANNOT]
    keys = sorted({_told(m) for m in lost})
    if not keys:
        return [*prose(text, width), gap(2.0)]
    says = f"No tolerance given on the drawing data: {named(keys, 12)}. Judge these by the drawing."
    return [*prose(text, width), *prose(says, width, 9.5, "bold"), gap(2.0)]


def _told(measure: Measure) -> str:
    """'L1 flange width' of one that only its own feature can have, else 'flange width'; 'sizes of notches' of details."""
    kind, numbered, _ = measure.owner.partition("[")
    if numbered:
        return f"sizes of {kind}{'es' if kind == 'notch' else 's'}"
    of = f"{measure.owner.partition('.')[2]} " if measure.own_only else ""
    return f"{of}{NAMES[measure.tolerance]}"


def _blank(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Cut edges to verify before the sheet is formed: after that they cannot be seen any more."""
    x, y = plan.blank.size
    rows = [["1", "whole blank: longest extent along x", in_cell(show_length(x, first))]]
    rows += [["2", "whole blank: longest extent along y", in_cell(show_length(y, first))]]
    for loop in plan.job.part.loops:
        for edge in loop.edges:
            if edge.flange:
                rows.append(_flat_row(plan, edge.name, len(rows) + 1, first))
    for h in plan.blank.holes:
        pin = next((p.diameter for p in plan.block.pins if p.name == h.hole.name), None)
        least = "" if pin is None else f"\nnot under its pin, {fine_length(pin, first)}"
        what = f"{h.hole.name}: diameter as cut{least}"
        rows.append([str(len(rows) + 1), what, in_cell(fine_length(h.cut_diameter, first))])
    columns = [
        Column("no.", 0.5),
        Column("check on the blank, before forming", 3.4),
        Column("nominal", 1.3, font="bold"),
    ]
    columns += [Column("measured", 1.3), Column("gauge", 0.9), Column("verdict", 1.2)]
    says = "Flat width: bend tangent line to cut edge, square to that line, at the middle of the edge or beside what is there"
    says += f", trim {show_length(plan.job.part.trim, first)} included." if plan.job.part.trim > 0 else "."
    says += f" By: blank developed by the {plan.blank.method} method. The limit on a cut edge is the shop's own."
    for joins in plan.blank.joins:
        for j in joins:
            if j.diameter > 0.0:
                what = f"relief at {j.before}/{j.after}: diameter as cut"
                rows.append([str(len(rows) + 1), what, in_cell(fine_length(j.diameter, first))])
    rows += [[str(len(rows) + 1 + i), what, nominal] for i, (what, nominal) in enumerate(on_blank(plan, first))]
    return [
        heading("Blank: verify before forming", width),
        *(replace(p, keep=True) for p in small(says, width)),
        *whole(entry_table(columns, rows, width, 3, PRINT), 25),
        gap(),
    ]


def _flat_row(plan: Plan, name: str, number: int, first: Unit) -> list[str]:
    strip, i = plan.blank.strip_of(name)
    edge = laid_edge(plan, name)
    mine = np.flatnonzero(strip.at.edge == i)
    k = int(mine[np.argmin(np.abs(strip.at.s[mine] - edge.curve.length / 2))])
    clear = clear_place(plan, name, float(strip.at.along[k]))
    k = int(mine[np.argmin(np.abs(strip.at.along[mine] - clear))])
    flat = float(strip.strip.flat_width[k]) + plan.job.part.trim
    return [
        str(number),
        f"{name}: flat width at {show_length(float(strip.at.along[k]), first)}",
        in_cell(show_length(flat, first)),
    ]


def _formed(plan: Plan, first: Unit, width: float) -> list[Piece]:
    columns = [Column("no.", 0.5), Column("balloon", 0.75), Column("measure on the formed part, released", 2.55)]
    columns += [Column("nominal", 1.3, font="bold"), Column("tolerance", 1.2), Column(HEAD, 1.35)]
    columns += [Column("measured", 1.15), Column("gauge", 0.75), Column("verdict", 1.0)]
    stacks = plan_tolerances(plan)
    rows: Sequence[list[str]] = [
        [
            str(i),
            m.balloon,
            m.what,
            m.nominal,
            tolerance_words(plan.job.part, m, first),
            forecast_cell(stacks, m.tolerance, *m.place, first),
        ]
        for i, m in enumerate(measures(plan, first), 1)
    ]
    says = (
        "Stations are measured along the edge as typed, from its start, and lie 1.5 flange widths clear of free ends and notches "
        "(less where a piece is short), out of flutes and steps of joggles."
    )
    under = [replace(p, keep=True) for p in small(f"{says} {SAYS}", width)]
    table_ = entry_table(columns, rows, width, 3, PRINT)
    return [heading("Formed part", width), *under, *table_, gap()]


def _gauges(plan: Plan, width: float) -> list[Piece]:
    if not plan.job.shop.gauges:
        return [
            heading("Gauges", width),
            *prose("shop.toml lists no measuring gauges: write in which were used.", width),
            gap(),
        ]
    columns = [
        Column("gauge", 1.0, font="bold"),
        Column("kind", 2.0),
        Column("uncertainty", 1.5),
        Column("calibration due: look before use", 2.0),
    ]
    rows = [[g.id, g.kind, g.uncertainty or "not given", g.due or "not given"] for g in plan.job.shop.gauges]
    return [heading("Gauges of the shop", width), *whole(table(columns, rows, width, PRINT)), gap()]


def _sign_off(width: float) -> list[Piece]:
    serial = fill_boxes(("serial or quantity", "lot of sheet", "block number"), width)
    person = fill_boxes(("measured by", "signature", "date"), width)
    accepted = fill_boxes(("disposition by an authorised person", "signature", "date"), width)
    return [heading("Sign-off", width), *whole([serial, person, accepted])]
