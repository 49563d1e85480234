"""What to measure on the formed part: each characteristic of the drawing, in words for a sheet and in numbers to match by."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from ribwright.documents.block_sheet import laid_edge
from ribwright.documents.detail_measures import on_part
from ribwright.documents.entry_table import fine_length, in_cell
from ribwright.features.inspected import ANGLE, LENGTH
from ribwright.features.part import Flange, Part
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.found import Where
from ribwright.stages.joggles import steps
from ribwright.stages.measured_places import places_of
from ribwright.stages.plan import Plan
from ribwright.stages.tolerances import general_counts
from ribwright.units import MM_PER_IN, Unit, show_angle, show_length

CANNOT = "not given"
COMPUTED = "(computed)"
SLOT = {"of": "slot"}


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
    quantity: str = ""
    """Of stages.found.FOUND, what a measurement of it is called; "" where no reading has a name for it: a size of a joggle."""
    where: Where = field(default_factory=dict)
    """As Found.where; an edge measured at a place has "along_mm"."""
    value: float | None = None
    """The nominal in `unit`; None where it could not be solved."""
    unit: str = LENGTH
    stands_for: tuple[float, ...] = ()
    """Other places along the edge that are told by this one [mm]: the end of the edge it stands clear of, the notch it was moved out of."""


def measures(plan: Plan, first: Unit) -> tuple[Measure, ...]:
    """Everything to measure on the formed part, in the order of the sheet."""
    part = plan.job.part
    rows = [m for e in part.loops for edge in e.edges if edge.flange for m in _edge_measures(plan, edge.name, first)]
    rows += _joggle_measures(plan, first)
    rows += [
        Measure(balloon, what, nominal, "contour", owner, True, value=mm)
        for balloon, what, nominal, owner, mm in on_part(plan, first)
    ]
    rows += [m for h in plan.blank.holes for m in _hole_measures(plan, h, first)]
    rows += _relief_measures(plan, first)
    line = {"outside-mold-line": "outside mold line", "inside-mold-line": "inside mold line"}.get(
        part.line, "bend line"
    )
    for loop in part.loops:
        where = "web" if loop.name == "web" else f"cutout {loop.name}"
        what = f"contour ({line}) against a template cut to the drawn line"
        rows.append(_none("", f"{where}: {what}", "contour", "", {"loop": loop.name}, first))
        own = [e for e in loop.edges if e.balloon or f"edge.{e.name}.contour" in part.tolerance]
        rows += [
            _none(e.balloon, f"{e.name}: {what}", "contour", f"edge.{e.name}", {"edge": e.name}, first) for e in own
        ]
    return (*rows, _none("", "web: flatness, part free on a flat plate", "web_flatness", "", {"loop": "web"}, first))


def _none(balloon: str, what: str, quantity: str, owner: str, where: Where, first: Unit) -> Measure:
    """A deviation, whose nominal is none."""
    return Measure(balloon, what, _gap_words(first), quantity, owner, quantity=quantity, where=where, value=0.0)


def tolerance_words(part: Part, measure: Measure, first: Unit) -> str:
    """'-0.030 / +0.030 in' in both units, or that it is not given; see `tolerance_of`."""
    limits = tolerance_of(part, measure)
    unit = ANGLE if measure.tolerance == "flange_angle" else LENGTH
    return CANNOT if limits is None else limit_lines(*limits, unit, first)


def tolerance_of(part: Part, measure: Measure) -> tuple[float, float] | None:
    """(minus, plus) of the drawing in `unit`, None where it gives none. A feature's own tolerance goes first; a pin hole's lower limit
    is its pin."""
    key = measure.tolerance
    limits = part.tolerance.get(f"{measure.owner}.{key}") or (None if measure.own_only else part.tolerance.get(key))
    if limits is None or measure.fit is None:
        return limits
    return min(limits[0], measure.fit), limits[1]


def limit_lines(low: float, high: float, unit: str, first: Unit) -> str:
    """'± 1 deg', or '- 0.030 / + 0.010 in' above the same in mm."""
    if unit == ANGLE:
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
    whole = {"start": 0.0, "middle": edge.drawn.length / 2, "end": edge.drawn.length}
    for word, along, stood in places_of(plan, edge):
        s = edge.at(np.array([along]))
        at = f"{word}, {show_length(along, first)}"
        angle, wide = float(edge.angle(s)[0]), float(edge.width(s)[0])
        told_by = (stood, *(mm for w, mm in whole.items() if word.removeprefix("near ") == w))
        for what, nominal, key, value in (
            ("bend angle", show_angle(angle, 2), "flange_angle", angle),
            ("flange width", in_cell(show_length(wide, first)), "flange_width", wide),
            ("bend radius, inside", in_cell(show_length(f.bend_radius, first)), "bend_radius", f.bend_radius),
        ):
            owner = _owner(plan.job.part, name, f, key)
            row = Measure(f.balloon, f"{name}: {what}\n{at}", nominal, key, owner, place=("edge", name))
            unit = ANGLE if key == "flange_angle" else LENGTH
            where = {"edge": name, "along_mm": along}
            out.append(replace(row, quantity=key, where=where, value=value, unit=unit, stands_for=told_by))
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
            nominal = in_cell(show_length(mm, first))
            out.append(Measure(j.balloon, name, nominal, "contour", f"joggle[{n}]", True, value=mm))
    return out


def _owner(part: Part, edge: str, flange: Flange, key: str) -> str:
    """The edge where it has this tolerance of its own, else its flange."""
    return f"edge.{edge}" if f"edge.{edge}.{key}" in part.tolerance else f"flange.{flange.name}"


def _hole_measures(plan: Plan, flat: FlatHole, first: Unit) -> list[Measure]:
    h = flat.hole
    place, fits = ("hole", h.name), _pin_fits(plan)
    word = {"tooling": "tooling hole", "plain": "hole", "lightening": "lightening hole"}[h.kind]

    def one(what: str, nominal: str, key: str, value: float | None, more: Where | None = None) -> Measure:
        """`more` of where it is: the axis of a position, that it is a slot's length."""
        own_only = not general_counts(h, key)
        fit = fits.get(h.name) if key == "hole_diameter" else None
        row = Measure(h.balloon, f"{word} {h.name}: {what}", nominal, key, f"hole.{h.name}", own_only, fit=fit)
        unit = ANGLE if key == "flange_angle" else LENGTH
        where = {"hole": h.name, **(more or {})}
        row = replace(row, quantity=key, where=where, value=value, unit=unit)
        return row if own_only else replace(row, place=place)

    rows = _positions(plan, flat, first, one)
    if h.kind != "lightening":
        rows.append(one("diameter", in_cell(fine_length(h.diameter, first)), "hole_diameter", h.diameter))
        if h.slot > 0:
            long = h.diameter + h.slot
            rows.append(one("length of slot", in_cell(fine_length(long, first)), "hole_diameter", long, SLOT))
        return rows
    rows.append(one("bend angle", show_angle(h.bend_angle, 2), "flange_angle", h.bend_angle))
    radius = in_cell(show_length(h.bend_radius, first))
    rows.append(one("bend radius, inside", radius, "bend_radius", h.bend_radius))
    typed = h.given[0] if h.given else ""
    rim, tall = (_size_or_not(mm, first) for mm in (flat.rim_diameter, flat.flange_height))
    rim += "" if typed == "rim_diameter" else f"\n{COMPUTED}"
    rows.append(one("rim diameter, smallest", rim, "hole_diameter", flat.rim_diameter))
    tall += "" if typed == "flange_height" else f"\n{COMPUTED}"
    rows.append(one("flange height, square to the web", tall, "flange_width", flat.flange_height))
    return rows


def _positions(plan: Plan, flat: FlatHole, first: Unit, one: Callable[..., Measure]) -> list[Measure]:
    """x and y from the first pin hole, as the drill sheet has them; of that hole itself from the drawing's origin."""
    datum = next((h for h in plan.job.part.holes if h.kind == "tooling"), None)
    h = flat.hole
    zero = datum.at if datum is not None and datum is not h else (0.0, 0.0)
    base = f"from {datum.name}" if datum is not None and datum is not h else "from the drawing's origin"
    return [
        one(
            f"its centre, {axis} {base}",
            in_cell(show_length(value - o, first)),
            "hole_position",
            value - o,
            {"axis": axis},
        )
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
            rows.append(
                Measure(
                    c.balloon,
                    what,
                    nominal,
                    "hole_diameter",
                    owner,
                    c.diameter is None,
                    quantity="hole_diameter",
                    where={"corner": list(c.at)},
                    value=size,
                )
            )
    return rows


def _corner_owner(plan: Plan, at: tuple[str, str]) -> str:
    """The corner as its own tolerance names it: the order of its edges is that of the file, and a turned loop's is the other."""
    owners = [f"corner.{a}/{b}" for a, b in (at, at[::-1])]
    return next((o for o in owners if f"{o}.hole_diameter" in plan.job.part.tolerance), owners[0])


def _size_or_not(mm: float | None, first: Unit) -> str:
    return "not solved: see the findings" if mm is None else in_cell(show_length(mm, first))


def _gap_words(first: Unit) -> str:
    return "0 in (0 mm)" if first == "in" else "0 mm (0 in)"
