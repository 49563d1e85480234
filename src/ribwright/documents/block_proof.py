"""What stands behind the views of the block drawing: pins, material, label, proof boxes, formulas."""

from __future__ import annotations

import numpy as np

from ribwright.documents.block_zones import lean_words
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
from ribwright.stages.block import BlockEdge
from ribwright.stages.explain.block_body import HEIGHT, OUTLINE
from ribwright.stages.explain.block_undercut import BAND, RADIUS, SETBACK, SOURCE, UNDERCUT
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_angle, show_length, show_pressure

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
    """What is measured on the finished block, by whom and when."""
    columns = [Column("prove on the block", 2.2), Column("nominal", 2.0, font="bold")]
    columns += [Column("measured", 1.3), Column("by", 1.0), Column("date", 1.0)]
    low, high = plan.block.edge_radius
    radius = (
        fine_length(low, first) if high - low < 1e-6 else f"{fine_length(low, first)} to {fine_length(high, first)}"
    )
    rows = [["web-face contour against the outline on layer WEB_FACE of block.dxf", "no light past the line"]]
    rows += [
        [f"lean of the wall from square, {e.edge}", _lean(e) if e.under.known else "not known for this temper"]
        for e in plan.block.edges
    ]
    rows += [["edge radius, radius gauge", radius]] if plan.block.edges else []
    rows += [["height", show_length(plan.block.height, first)]]
    rows += [[f"pin {p.name} diameter", fine_length(p.diameter, first)] for p in plan.block.pins]
    sizes = [(r.name, show_length(r.diameter, first), show_length(r.depth, first)) for r in plan.block.recesses]
    rows += [[f"recess {name}: diameter, depth", f"Ø {diameter}, {depth}"] for name, diameter, depth in sizes]
    return [
        heading("Proof of the block before first use", width),
        *whole(entry_table(columns, rows, width, 3, 9.0), 20),
        gap(),
    ]


def _lean(e: BlockEdge) -> str:
    """'IN 8.36 deg', or from where to where it changes along the edge."""
    ends = [lean_words(float(f(e.under.wall)) - 90.0, 2) for f in (np.min, np.max)]
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}, by the undercut table"


def formulas(plan: Plan, width: float) -> list[Piece]:
    """The formulas of the block and the numbers put into them."""
    m = plan.job.formed
    edge = next((e.edge for e in plan.block.edges), "")
    opens = (f"One opened in full: ribwright explain PART --number 'block.undercut[{edge}][0].deg'",) if edge else ()
    words = (*FORMULAS, *opens)
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
