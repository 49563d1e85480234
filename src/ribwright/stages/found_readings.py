"""Readings of gauges as characteristics: each held at its place on the drawing, with the gauge's uncertainty.

    flange_angle, flange_width, bend_radius   at a place along an edge, or of a flanged hole (its width is the flange's height)
    template_gap g      deviation -g of the contour, + metal outside nominal; the template is cut to the drawn line
    hole_x, hole_y      drift from the drawing's place, counted from `holes_from`
    hole_diameter       a pin or plain hole's own, a flanged hole's smallest opening
    thickness, web_bow

The same thing read several times is averaged; the gauge's uncertainty does not shrink by that, the
scatter of the mean is added.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import hypot

import numpy as np

from ribwright.errors import Fault, InputError, nearest
from ribwright.features.inspected import ANGLE, BLANK, KINDS, Measured, Said, Taken
from ribwright.features.laid import LaidEdge
from ribwright.features.part import along_of
from ribwright.mechanics.tolerance import expanded_mean
from ribwright.shop.shop import MeasuringGauge
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.found import NO_FIT, THICKNESS, Drift, Fit, Found, FoundSet, Where
from ribwright.stages.gauges import READS, uncertainty_of
from ribwright.stages.plan import Plan
from ribwright.stages.under_template import ORIGIN, under_template
from ribwright.units import MM_PER_IN

QUANTITY = {
    "flange_angle": "flange_angle", "template_gap": "contour", "flange_width": "flange_width", "bend_radius": "bend_radius",
    "thickness": THICKNESS, "hole_x": "hole_position", "hole_y": "hole_position", "hole_diameter": "hole_diameter",
    "slot_length": "hole_diameter",
    "web_bow": "web_flatness",
}  # fmt: skip
ON_EDGE = ("flange_angle", "flange_width", "bend_radius", "template_gap")
ON_HOLE = ("flange_angle", "flange_width", "bend_radius", "hole_x", "hole_y", "hole_diameter", "slot_length")
FLANGED = ("flange_angle", "flange_width", "bend_radius")
FAR_DEG, FAR_MM, FAR_GAP = 45.0, 10.0, 10.0  # further off than this a reading is asked about
SMALLER, LARGER = 0.5, 2.0  # of the nominal size
SAME = 0.05  # places nearer than this are one [mm]
LEAST_TO_STRAY, NO_DIFFERENCE = 3, 1e-6


@dataclass(frozen=True)
class _Held:
    """A reading at its place, not yet averaged."""

    taken: Taken
    where: Where
    value: float
    nominal: float
    balloon: str
    gauge: MeasuringGauge | None
    u: float | None


def found_readings(plan: Plan, measured: Measured) -> FoundSet:
    """The characteristics that the readings of a file tell. InputError with every reading that has no place on this part, names no gauge
    of the shop, or cannot be right."""
    faults: list[Fault] = []
    if measured.said.what == BLANK:
        allowed = "readings of the formed part; a blank is held by its outline, traced or in points"
        raise InputError([Fault(measured.file, "what", repr(BLANK), allowed)])
    rows = [h for t in measured.rows if (h := _held(plan, measured, t, faults)) is not None]
    _asked(rows, measured.file, faults)
    together = _together(rows)
    for same in together:
        _stray(same, measured.file, faults)
    if faults:
        raise InputError(faults)
    found = [_averaged(same) for same in together]
    fit: Fit = NO_FIT
    notes: list[str] = []
    if any(f.quantity == "contour" for f in found):
        found, fit, notes = under_template(plan, measured.said, found)
    drifts = _drifts(found)
    return FoundSet(tuple(found), replace(fit, drifts=drifts), notes=tuple(notes))


# ---------------------------------------------------------------- one reading


def _held(plan: Plan, measured: Measured, taken: Taken, faults: list[Fault]) -> _Held | None:
    file, key = measured.file, f"line {taken.line}"
    placed = _placed(plan, measured.said, taken, file, faults)
    gauge, u = _gauge(plan, measured, taken, file, faults)
    if placed is None:
        return None
    where, nominal, balloon = placed
    value = -taken.value if taken.kind == "template_gap" else taken.value
    if taken.kind in ("hole_x", "hole_y"):
        value, nominal = value - nominal, 0.0
    if taken.kind == "web_bow" and value < 0:
        faults.append(
            Fault(file, key, f"a web bow of {value:.3g} mm", "0 or more: how far the web stands off the plate at most")
        )
    return _Held(taken, where, value, nominal, balloon, gauge, u)


def _placed(plan: Plan, said: Said, taken: Taken, file: str, faults: list[Fault]) -> tuple[Where, float, str] | None:
    """(where, nominal of the reading itself, balloon); None with a fault for a place that is not on this part."""
    part, key = plan.job.part, f"line {taken.line}, edge"
    edges = {e.edge.name: e for loop in plan.blank.laid for e in loop.edges}
    holes = {h.hole.name: h for h in plan.blank.holes}
    if taken.kind == "web_bow" or (taken.kind == THICKNESS and not taken.place):
        if taken.place and taken.kind == "web_bow":
            faults.append(Fault(file, key, repr(taken.place), "an empty cell: the bow is the web's"))
        return {"loop": "web"}, plan.job.t if taken.kind == THICKNESS else 0.0, ""
    corner = _corner_of(plan, taken)
    if corner is not None:
        return corner
    if taken.place in holes and taken.kind in ON_HOLE:
        return _on_hole(plan, said, taken, holes[taken.place], file, faults)
    if taken.place in edges and taken.kind in (*ON_EDGE, THICKNESS):
        return _on_edge(plan, taken, edges[taken.place], file, faults)
    known = [*(edges if taken.kind in (*ON_EDGE, THICKNESS) else ()), *(holes if taken.kind in ON_HOLE else ())]
    allowed = f"of {part.number}, for {taken.kind}: {', '.join(known) or 'nothing'}"
    faults.append(
        Fault(file, key, repr(taken.place) if taken.place else "nothing", allowed, nearest(taken.place, known))
    )
    return None


def _corner_of(plan: Plan, taken: Taken) -> tuple[Where, float, str] | None:
    """The relief hole of a corner, called by its two edges: "rear/upper"."""
    if taken.kind != "hole_diameter" or "/" not in taken.place:
        return None
    for j in (j for joins in plan.blank.joins for j in joins if j.diameter > 0.0):
        if taken.place in (f"{j.before}/{j.after}", f"{j.after}/{j.before}"):
            drawn = next((c for c in plan.job.part.corners if set(c.at) == {j.before, j.after}), None)
            at = list(drawn.at) if drawn else [j.before, j.after]
            return {"corner": at}, j.diameter, drawn.balloon if drawn else ""
    return None


def _on_edge(
    plan: Plan, taken: Taken, edge: LaidEdge, file: str, faults: list[Fault]
) -> tuple[Where, float, str] | None:
    length, flange, key = edge.drawn.length, edge.flange, f"line {taken.line}"
    if flange is None and taken.kind in FLANGED:
        faults.append(
            Fault(file, key, f"{taken.kind} of {edge.edge.name}, an edge without a flange", "an edge with a flange")
        )
        return None
    if taken.along is None:
        allowed = f"where on {edge.edge.name}: 0 to {_both(length, plan)}, or a share of it"
        faults.append(Fault(file, f"{key}, along", "nothing", allowed))
        return None
    along = along_of(taken.along, length)
    if not -SAME <= along <= length + SAME:
        allowed = f"0 to {_both(length, plan)}, the length of {edge.edge.name}"
        faults.append(Fault(file, f"{key}, along", _both(along, plan), allowed))
        return None
    at = edge.at(np.array([min(max(along, 0.0), length)]))
    nominal = {
        "flange_angle": lambda: float(edge.angle(at)[0]),
        "flange_width": lambda: float(edge.width(at)[0]),
        "bend_radius": lambda: flange.bend_radius if flange else 0.0,
        "template_gap": lambda: 0.0,
        THICKNESS: lambda: plan.job.t,
    }[taken.kind]()
    balloon = edge.edge.balloon if taken.kind == "template_gap" or flange is None else flange.balloon
    return {"edge": edge.edge.name, "along_mm": along}, nominal, balloon


def _on_hole(
    plan: Plan, said: Said, taken: Taken, flat: FlatHole, file: str, faults: list[Fault]
) -> tuple[Where, float, str] | None:
    hole, key = flat.hole, f"line {taken.line}"
    flanged = hole.kind == "lightening"
    if taken.kind in FLANGED and not flanged:
        faults.append(Fault(file, key, f"{taken.kind} of {hole.name}, a hole without a flange", "a flanged hole"))
        return None
    where: Where = {"hole": hole.name}
    if taken.kind == "slot_length":
        if hole.slot <= 0.0:
            faults.append(Fault(file, key, f"slot_length of {hole.name}, a round hole", "a hole with a slot"))
            return None
        return {**where, "of": "slot"}, hole.diameter + hole.slot, hole.balloon
    if taken.kind in ("hole_x", "hole_y"):
        axis = taken.kind[-1]
        zero = _zero(plan, said, hole.name, file, key, faults)
        i = "xy".index(axis)
        return None if zero is None else ({**where, "axis": axis}, hole.at[i] - zero[i], hole.balloon)
    sizes = {
        "flange_angle": hole.bend_angle,
        "bend_radius": hole.bend_radius,
        "flange_width": flat.flange_height,
        "hole_diameter": flat.rim_diameter if flanged else hole.diameter,
    }
    nominal = sizes[taken.kind]
    if nominal is None:
        allowed = "a hole whose flange the plan could solve: see its findings"
        faults.append(Fault(file, key, f"{taken.kind} of {hole.name}", allowed))
        return None
    return where, float(nominal), hole.balloon


def _zero(plan: Plan, said: Said, hole: str, file: str, key: str, faults: list[Fault]) -> tuple[float, float] | None:
    """What a hole's x and y are counted from: as the head says, else as on the inspection sheet from the first pin hole, and that hole
    itself from the drawing's origin."""
    holes = {h.name: h for h in plan.job.part.holes}
    if said.holes_from == ORIGIN:
        return (0.0, 0.0)
    if said.holes_from and said.holes_from not in holes:
        allowed = ", ".join([ORIGIN, *holes])
        faults.append(
            Fault(file, "holes_from", repr(said.holes_from), allowed, nearest(said.holes_from, [ORIGIN, *holes]))
        )
        return None
    datum = holes.get(said.holes_from) or next((h for h in plan.job.part.holes if h.kind == "tooling"), None)
    return (0.0, 0.0) if datum is None or (datum.name == hole and not said.holes_from) else datum.at


def _gauge(
    plan: Plan, measured: Measured, taken: Taken, file: str, faults: list[Fault]
) -> tuple[MeasuringGauge | None, float | None]:
    """The gauge of a reading and the reading's uncertainty: its own, else the gauge's."""
    gauges, quantity = {g.id: g for g in plan.job.shop.gauges}, QUANTITY[taken.kind]
    for name, key in ((taken.gauge, f"line {taken.line}, gauge"), *((g, "gauge") for g in measured.said.gauges)):
        fault = Fault(
            file, key, repr(name), ", ".join(gauges) or "a [[gauge]] of shop.toml", nearest(name, list(gauges))
        )
        if name and name not in gauges and fault not in faults:
            faults.append(fault)
    gauge = gauges.get(taken.gauge)
    if (
        gauge is not None
        and not _reads(gauge, quantity)
        and any(w in gauge.kind.lower() for own in READS.values() for w in own)
    ):
        found = f"{gauge.id} ({gauge.kind}) for {taken.kind}"
        faults.append(
            Fault(file, f"line {taken.line}, gauge", found, f"a gauge that reads it: {', '.join(READS[quantity])}")
        )
    if gauge is None:
        mine = [gauges[g] for g in measured.said.gauges if g in gauges]
        gauge = next((g for g in mine if _reads(g, quantity)), None)
    known = None if gauge is None else uncertainty_of(gauge, quantity)
    if taken.uncertainty is not None and known is not None:
        return gauge, max(taken.uncertainty, known)  # nobody reads surer than the gauge
    return gauge, known if taken.uncertainty is None else taken.uncertainty


def _reads(gauge: MeasuringGauge, quantity: str) -> bool:
    return any(w in gauge.kind.lower() for w in READS[quantity])


# ---------------------------------------------------------------- what cannot be right


def _asked(rows: Sequence[_Held], file: str, faults: list[Fault]) -> None:
    """Readings that nobody takes off this part: an angle or a place far off, a size of another order; a unit's slip is asked about."""
    off = {h.taken.line: h for h in rows if _far(h)}
    mirrored = [h for h in off.values() if "axis" in h.where and _near(-h.taken.value, h)]
    for h in off.values():
        t, unit = h.taken, KINDS[h.taken.kind]
        target = _target(h)
        found = f"{t.kind} {t.value:.4g} {unit} where the drawing has {target:.4g} {unit}"
        slip = next((k for k in (MM_PER_IN, 1 / MM_PER_IN) if _near(t.value * k, h) and unit != ANGLE), None)
        if slip is not None:
            allowed = "a reading near it: is the unit right? It is 25.4 times off"
        elif h in mirrored:
            allowed = "a reading near it: is it the other hand, or are the axes turned? It fits with its sign changed"
        elif unit == ANGLE:
            allowed = "the bend angle from flat, 90 where it stands square, within 45 deg of the drawing's"
        else:
            allowed = "a reading of this part at this place, from the datum that holes_from names"
        faults.append(Fault(file, f"line {t.line}", found, allowed))


def _target(h: _Held) -> float:
    """What the drawing has for the reading itself."""
    return h.nominal - h.value + h.taken.value if "axis" in h.where else h.nominal


def _far(h: _Held) -> bool:
    return not _near(h.taken.value, h)


def _near(value: float, h: _Held) -> bool:
    kind, target = h.taken.kind, _target(h)
    if kind == "flange_angle":
        return 0.0 <= value < 180.0 and abs(value - target) <= FAR_DEG
    if kind in ("hole_x", "hole_y"):
        return abs(value - target) <= FAR_MM
    if kind in ("template_gap", "web_bow"):
        return abs(value) <= FAR_GAP
    return SMALLER * target <= value <= LARGER * target


# ---------------------------------------------------------------- together


def _together(rows: Iterable[_Held]) -> list[list[_Held]]:
    """Readings of the same thing at the same place by the same gauge, in the order of the file."""
    out: list[list[_Held]] = []
    near: dict[tuple[object, ...], list[_Held]] = {}
    for h in rows:
        thing = (
            h.taken.kind,
            h.gauge.id if h.gauge else "",
            *sorted((k, str(v)) for k, v in h.where.items() if k != "along_mm"),
        )
        step = round(h.where.get("along_mm", 0.0) / SAME)
        beside = (near.get((*thing, step + d)) for d in (0, -1, 1))
        mine = next((g for g in beside if g is not None and _same(g[0], h)), None)
        if mine is None:
            mine = near.setdefault((*thing, step), [])
            out.append(mine)
        mine.append(h)
    return out


def _same(a: _Held, b: _Held) -> bool:
    """Whether two readings of one kind on one edge stand at one place."""
    return abs(a.where.get("along_mm", 0.0) - b.where.get("along_mm", 0.0)) <= SAME


def _stray(same: list[_Held], file: str, faults: list[Fault]) -> None:
    """Of three and more readings of one thing each that stands far off their middle: further than twelve uncertainties of the gauge and
    six standard deviations as the middle half of them has it. A mean would hide it; hands scatter by a few uncertainties."""
    if len(same) < LEAST_TO_STRAY:
        return
    values = np.array([h.value for h in same])
    off = np.abs(values - np.median(values))
    far = max(12.0 * max(h.u or 0.0 for h in same), 6.0 * 1.4826 * float(np.median(off)), NO_DIFFERENCE)
    for h in (h for h, d in zip(same, off, strict=True) if d > far):
        unit = KINDS[h.taken.kind]
        found = f"{h.taken.kind} {h.taken.value:.4g} {unit}, {len(same) - 1} others of it near {_middle(same, h):.4g} {unit}"
        faults.append(
            Fault(
                file,
                f"line {h.taken.line}",
                found,
                "readings of one thing that agree: measure again, or take the wrong line out",
            )
        )


def _middle(same: list[_Held], but: _Held) -> float:
    return float(np.median([h.taken.value for h in same if h is not but]))


def _averaged(same: list[_Held]) -> Found:
    first = same[0]
    values = np.array([h.value for h in same])
    known = [h.u for h in same if h.u is not None]
    u = max(known) if len(known) == len(same) else None
    if u is not None and len(same) > 1:
        u = hypot(u, expanded_mean(values))
    unit = KINDS[first.taken.kind]
    return Found(
        QUANTITY[first.taken.kind],
        first.where,
        float(np.mean(values)),
        first.nominal,
        "deg" if unit == ANGLE else "mm",
        u,
        first.gauge.kind if first.gauge else "reading",
        first.gauge.id if first.gauge else "",
        len(same),
        first.balloon,
    )


def _drifts(found: Sequence[Found]) -> tuple[Drift, ...]:
    """The holes of which both x and y were measured."""
    rows: dict[str, dict[str, Found]] = {}
    for f in found:
        if f.quantity == "hole_position":
            rows.setdefault(f.where["hole"], {})[f.where["axis"]] = f
    out = []
    for hole, of in rows.items():
        if set(of) == {"x", "y"}:
            us = [f.u for f in of.values() if f.u is not None]
            out.append(Drift(hole, of["x"].value, of["y"].value, max(us) if len(us) == 2 else None, False))
    return tuple(out)


def _both(mm: float, plan: Plan) -> str:
    first = plan.job.shop.units or plan.job.part.units
    return f"{mm / MM_PER_IN:.3f} in" if first == "in" else f"{mm:.2f} mm"
