"""What the drill template says: every hole of the blank at its place, its pilot, and what is drilled when."""

from __future__ import annotations

from dataclasses import replace

from ribwright.documents.blank_content import blank_content, relief_holes
from ribwright.documents.entry_table import in_cell
from ribwright.documents.identity import Identity
from ribwright.documents.layout import Column
from ribwright.documents.page import Pair
from ribwright.documents.template_kinds import DRILL
from ribwright.documents.template_values import TemplateContent, TemplateHole, TemplateTable
from ribwright.features.part import Hole, Rivets
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_length

BEFORE = {
    "tooling": "before forming, to size: it carries the pin",
    "lightening": "before forming, cut to this size, edge polished; its flange is turned by forming",
    "plain": "before forming; left at the pilot where it must match another part",
}
RELIEF = "before the outline is cut, which runs into it; deburr"
LARGE = MM_PER_IN / 2  # a larger hole is cut by a hole saw or fly cutter [mm]
LARGE_CAUTION = (
    "CAUTION, holes over 1/2 in: a hole saw or fly cutter grabs thin sheet and spins it. Clamp the sheet down on a backing "
    "board, never hold it by hand; eye protection; gloves for the cut edges, none near the turning cutter."
)
SLOTTED = "before forming: two holes at its ends, then file or mill out"


def drill_content(plan: Plan, identity: Identity) -> TemplateContent:
    """The blank's holes with their pilots, measured from the first pin hole; tables of what is drilled when."""
    base = blank_content(plan, identity)
    pilot = plan.job.catalogue.practice["pilot_hole"].value
    datum, reliefs = _datum(plan), relief_holes(plan.blank)
    return replace(
        base,
        kind=DRILL,
        holes=tuple(replace(h, pilot=min(pilot, h.diameter)) for h in (*base.holes, *reliefs)),
        reliefs=(),
        edge_labels=(),
        grain_deg=None,
        datum=datum,
        lay=_lay(base),
        tables=_tables(plan, base.holes, reliefs, datum, identity.first),
    )


def _lay(base: TemplateContent) -> tuple[str, ...]:
    """How it is laid, the order of the work, and the caution where a large hole stands in thin sheet."""
    on_sheet = "on the sheet before the outline is cut" + (": the relief holes come first" if base.reliefs else "")
    where = on_sheet if base.reliefs else f"on the blank, or {on_sheet}"
    out = [
        f"Lay {where}, as the words THIS SIDE UP say.",
        "Centre-punch, drill the pilot, open to the Ø. Do not cut the outline by this template.",
    ]
    return (*out, LARGE_CAUTION) if any(h.diameter > LARGE for h in base.holes) else tuple(out)


def _datum(plan: Plan) -> tuple[str, Pair]:
    """The first pin hole; the first hole; the drawing's origin where there is none."""
    holes = sorted(plan.job.part.holes, key=lambda h: h.kind != "tooling")
    return (holes[0].name, holes[0].at) if holes else ("origin 0, 0", (0.0, 0.0))


def _tables(
    plan: Plan, drawn: tuple[TemplateHole, ...], reliefs: tuple[TemplateHole, ...], datum: tuple[str, Pair], first: Unit
) -> tuple[TemplateTable, ...]:
    fact = plan.job.catalogue.practice["pilot_hole"]
    columns: tuple[Column, ...] = (
        Column("hole", 1.25, font="bold"),
        Column("diameter", 1.1, font="bold"),
        Column("pilot", 1.0),
    )
    columns += (Column("x, y from the drawing's origin", 1.6), Column(f"x, y from datum {datum[0]}", 1.6))
    columns += (Column("when, and how", 2.4),)
    rows = tuple(
        _row(d, _when(flat.hole, flat, first), datum[1], fact.value, first)
        for flat, d in zip(plan.blank.holes, drawn, strict=True)
    )
    rows += tuple(_row(d, RELIEF, datum[1], fact.value, first) for d in reliefs)
    standing = "from memory" if fact.status == "memory" else fact.status
    under = (
        f"Pilot {show_length(fact.value, first)}: {fact.source}, {standing}; a smaller hole is drilled at once. Deburr both sides.",
    )
    if not rows:
        under = ("The part has no hole and no relief hole.",)
    return (TemplateTable("Drilled in the blank, before forming", columns, rows, under), *_after(plan, first))


def _row(d: TemplateHole, when: str, datum: Pair, pilot: float, first: Unit) -> tuple[str, ...]:
    slot = f"\nslot {show_length(d.diameter + d.slot, first)} long at {d.slot_angle:g} deg" if d.slot > 0 else ""
    places = ["\n".join(show_length(v, first) for v in (d.x - o[0], d.y - o[1])) for o in ((0.0, 0.0), datum)]
    return (
        d.name,
        in_cell(show_length(d.diameter, first)) + slot,
        in_cell(show_length(min(pilot, d.diameter), first)),
        *places,
        when,
    )


def _when(h: Hole, flat: FlatHole, first: Unit) -> str:
    if h.slot > 0:
        return SLOTTED
    if h.kind == "lightening" and flat.rim_diameter:
        return f"{BEFORE[h.kind]}, to an opening of {show_length(flat.rim_diameter, first)}"
    return BEFORE[h.kind]


def _after(plan: Plan, first: Unit) -> tuple[TemplateTable, ...]:
    """Rivet rows: never through this template, for forming moves the metal they stand in."""
    columns: tuple[Column, ...] = (
        Column("edge", 1.2, font="bold"),
        Column("on", 0.7),
        Column("holes", 0.6),
        Column("diameter", 1.1, font="bold"),
    )
    columns += (
        Column("line from outside mold line", 1.4),
        Column("first, from the edge's start", 1.3),
        Column("pitch", 1.1),
    )
    rows = tuple(_rivet_row(r, first) for r in plan.job.part.rivets)
    under = (
        "Marked and drilled on the formed part, or from the mating part. Not drawn on this template, not in the blank.",
    )
    return (TemplateTable("After forming: rivet rows", columns, rows, under),) if rows else ()


def _rivet_row(r: Rivets, first: Unit) -> tuple[str, ...]:
    sizes = (in_cell(show_length(v, first)) for v in (r.diameter, r.line, r.first, r.pitch))
    return (r.edge, f"the {r.on}", str(r.count), *sizes)
