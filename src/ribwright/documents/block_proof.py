"""What stands behind the views of the block drawing: pins, material, label, proof boxes, formulas."""

from __future__ import annotations

import numpy as np

from ribwright.documents.entry_table import entry_table, fine_length, in_cell, whole
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    Column,
    Piece,
    gap,
    heading,
    prose,
    small,
    table,
)
from ribwright.documents.lean_words import lean_words, sawn_lean
from ribwright.documents.model_words import undercut_by
from ribwright.stages.block import BlockEdge
from ribwright.stages.cover_plate import mm
from ribwright.stages.explain import by_section
from ribwright.stages.explain.block_body import HEIGHT, OUTLINE
from ribwright.stages.explain.block_undercut import BAND, RADIUS, SETBACK, SOURCE, UNDERCUT
from ribwright.stages.learning import SOURCE as BOOK
from ribwright.stages.plan import Plan
from ribwright.stages.springback import Bends, correction_at
from ribwright.units import MM_PER_IN, Unit, show_angle, show_fraction, show_length, show_pressure

FORMULAS = (
    f"Undercut: {UNDERCUT}; a the bend angle, R and t the part's inside radius and thickness. By: {SOURCE}. Pressure does not "
    f"enter. Band, {BAND}.",
    f"Block radius: {RADIUS}. Web face: {OUTLINE}. Foot: {SETBACK}, a positive one inward. Height: {HEIGHT}.",
)


def hand_words(identity: Identity) -> str:
    """Which hand the block is for."""
    return "Hand: none on the drawing" if identity.hand == "none" else f"For the {identity.hand.upper()} HAND part"


def pins(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Where the pins stand and how large they are."""
    if not plan.block.pins:
        return [heading("Pins", width), *prose("No tooling hole is drawn: this block has no pins.", width), gap()]
    columns = [
        Column("pin", 0.7, font="bold"),
        Column("x", 1.4),
        Column("y", 1.4),
        Column("pin diameter", 1.4, font="bold"),
    ]
    columns += [Column("hole diameter", 1.4), Column("fit on diameter", 1.4), Column("hole", 1.1)]
    given = {h.name: h.pin_fit is not None for h in plan.job.part.holes}
    rows = []
    for p in plan.block.pins:
        fit = in_cell(fine_length(p.hole_diameter - p.diameter, first)) + (
            "" if given[p.name] else "\ntaken: none typed in"
        )
        slot = "round" if p.slot <= 0 else f"slot + {show_length(p.slot, first)} at {show_angle(p.slot_angle)}"
        sizes = [show_length(v, first) for v in p.at] + [fine_length(v, first) for v in (p.diameter, p.hole_diameter)]
        sizes = [in_cell(v) for v in sizes]
        rows.append([p.name, *sizes, fit, slot])
    return [
        heading("Pins, in part coordinates", width),
        *whole(table(columns, rows, width, 9.0)),
        *small("Pin diameter = hole diameter less the fit of the part file.", width),
        gap(),
    ]


def material(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """What the block is made of and what it stands."""
    m = plan.block.material
    if m is None:
        return [
            heading("Block material", width),
            *prose("No block material is known: name one in shop.toml.", width),
            gap(),
        ]
    limit = f"{m.name} ({m.id}). Pressure limit {show_pressure(m.pressure_limit_mpa, first)}."
    out = [
        heading("Block material", width),
        *prose(limit, width, 11.0, "bold"),
        *small(f"By: {m.source} ({m.status}).", width),
    ]
    if plan.setup is not None and plan.setup.pump_pressure is not None:
        on_pad = show_pressure(plan.setup.pump_pressure, first)
        press = f"The press {plan.setup.press.id} puts {on_pad} on the pad at the gauge reading to pump to."
        out += prose(press, width)
    return [*whole(out), gap()]


def proof(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """What is measured on the finished block, what is accepted, by whom and when."""
    columns = [Column("prove on the block", 1.9), Column("nominal", 1.6, font="bold"), Column("accepted", 1.2)]
    columns += [Column("computed", 1.3), Column("measured", 1.2), Column("by", 0.8), Column("date", 0.8)]
    practice = plan.job.catalogue.practice
    lean, radius = practice["block_lean_accept"], practice["block_radius_accept"]
    either = f"± {lean.value:g} deg"
    rows = [["web-face contour against the outline on layer WEB_FACE of block.dxf", "no light past the line", "", ""]]
    for e in plan.block.edges:
        says = [*_leans(e), either] if e.under.known else ["not known for this temper", "", ""]
        rows.append([f"lean of the wall from square, {e.edge}", says[0], says[2], says[1]])
    low, high = plan.block.edge_radius
    sizes = [low] if high - low < 1e-6 else [low, high]
    if plan.block.edges:
        nominal = " to ".join(_gauge(v, first) for v in sizes)
        computed = " to ".join(fine_length(v, first) for v in sizes)
        rows += [
            ["edge radius, radius gauge", nominal, f"± {show_length(mm(radius), first)} of the computed", computed]
        ]
    needed = f"needed {fine_length(plan.block.height_unrounded, first)}"
    rows += [["height", show_length(plan.block.height, first), "not below what is needed", needed]]
    rows += [[f"pin {p.name} diameter", fine_length(p.diameter, first), "", ""] for p in plan.block.pins]
    rows += [
        [
            f"recess {r.name}: diameter, depth",
            f"Ø {show_length(r.diameter, first)}, {show_length(r.depth, first)}",
            "",
            "",
        ]
        for r in plan.block.recesses
    ]
    by = (
        f"Lean: to half a degree as sawn; accepted by {lean.source} ({lean.standing()}). Edge radius: {radius.source} "
        f"({radius.standing()}). Where nothing is accepted here, the shop's own limits hold."
    )
    return [
        heading("Proof of the block before first use", width),
        *whole(entry_table(columns, rows, width, 3, 9.0), 20),
        *small(by, width),
        gap(),
    ]


def _leans(e: BlockEdge) -> tuple[str, str]:
    """'IN 8.5 deg' as sawn and 'IN 8.36 deg' as computed, or from where to where it changes along the edge."""
    ends = [float(f(e.under.wall)) for f in (np.min, np.max)]
    sawn = list(dict.fromkeys(sawn_lean(w) for w in ends))
    fine = list(dict.fromkeys(lean_words(w - 90.0, 2) for w in ends))
    return " to ".join(sawn) + (", by the undercut table" if len(fine) > 1 else ""), " to ".join(fine)


def _gauge(radius: float, first: Unit) -> str:
    """'0.081 in (2.06 mm), gauge 5/64 in': with the nearest radius gauge of a shop that works in inches."""
    shown = show_length(radius, first)
    if first == "mm":
        return shown
    nearest = max(round(radius / MM_PER_IN * 64), 1) / 64 * MM_PER_IN
    return f"{shown}, gauge {show_fraction(nearest)}"


def _by_section(plan: Plan, first: Unit) -> tuple[str, ...]:
    """What stands in for the undercut's formula where the section model gave it."""
    s = plan.job.sections
    assert s is not None
    taken = f" Taken as defaults: {'; '.join(s.defaults)}." if s.defaults else ""
    return (
        f"Undercut, {undercut_by(plan, first)}: {by_section.UNDERCUT}; a the bend angle, p the pressure, R and t the part's inside "
        f"radius and thickness. By: {by_section.SOURCE}. Held against: {by_section.COMPARED}.{taken} Band, {by_section.BAND}.",
        FORMULAS[1],
    )


def taught_words(plan: Plan) -> tuple[str, ...]:
    """What the shop's measured pieces did to the undercut, edge by edge; nothing where none was measured."""
    rows = []
    for e in plan.block.edges:
        radius = plan.job.part.flanges[plan.job.part.edge(e.edge).flange or ""].bend_radius
        c = correction_at(plan.job, Bends(e.edge, radius, e.angle[:1], e.along[:1]))
        if c is not None:
            rows.append((e.edge, c))
    if not rows:
        return ()
    shifts = ", ".join(f"{name} {c.shift[0]:+.2f} deg" for name, c in rows)
    _, first = rows[0]
    last = max(o.date for o in first.observations)
    many = "1 measured piece" if first.pieces == 1 else f"{first.pieces} measured pieces"
    return (
        f"Then moved by {many} of {BOOK}, the last of {last}: the released angle lies off this model by {shifts} "
        "(+ closed), for which the undercut is shift/slope less; its band is what the book leaves of the model's error and of the "
        "scatter from piece to piece. Which piece moved it: ribwright learn PART.",
    )


def formulas(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """The formulas of the block and the numbers put into them."""
    m = plan.job.formed
    edge = next((e.edge for e in plan.block.edges), "")
    opens = (f"One opened in full: ribwright explain PART --number 'block.undercut[{edge}][0].deg'",) if edge else ()
    words = (*(FORMULAS if plan.job.sections is None else _by_section(plan, first)), *taught_words(plan), *opens)
    pieces = [heading("Where the numbers come from", width), *(p for f in words for p in small(f, width))]
    if m is None or m.hardening is None:
        return [*pieces, *small(f"The flow curve of {plan.job.formed_name} is not known: no undercut is given.", width)]
    h, e = m.hardening, m.springback_modulus()
    standing = f"estimated by {h.rule}" if h.status == "estimated" else h.status
    kn = f"{m.name}: K = {h.k_mpa:g} MPa, n = {h.n:g} ({standing}; {h.source})."
    modulus = "" if e is None else f" E = {e:.5g} MPa{' (secondary modulus of clad sheet)' if m.clad else ''}."
    key = "secondary_modulus_mpa" if "secondary_modulus_mpa" in m.facts else "youngs_modulus_mpa"
    source = f" By: {m.facts[key].source} ({m.facts[key].standing()})." if key in m.facts else ""
    return [*pieces, *small(kn + modulus + source, width)]
