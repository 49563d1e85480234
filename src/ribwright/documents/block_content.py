"""What the block template says: web face and foot before rounding, recesses, pins, and how each wall leans."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.documents.blank_content import blank_content
from ribwright.documents.block_sheet import rounded_setback
from ribwright.documents.edge_spots import ON_WEB, one_label, outside_spots, web_spots
from ribwright.documents.entry_table import in_cell, span
from ribwright.documents.facing import Facing, facing
from ribwright.documents.identity import Identity
from ribwright.documents.layout import Column
from ribwright.documents.lean_words import sawn_lean
from ribwright.documents.model_words import NOT_COMPARED, predicted_how
from ribwright.documents.template_kinds import BLOCK, with_rows
from ribwright.documents.template_starts import SIGNS, TICKS, start_sign, tilt_ticks
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole, TemplateLine, TemplateTable
from ribwright.features.laid import LaidEdge
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.path import Path
from ribwright.stages.answers import BLOCK_ANGLE_STEP, round_to
from ribwright.stages.blank import FIT
from ribwright.stages.block import Block, BlockEdge
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_angle, show_length

PINS_CLEAR = 8.0  # a label keeps this far inside the web face and its tangent line [mm]


def block_content(plan: Plan, identity: Identity) -> TemplateContent:
    """Web-face outline, foot, tangent lines, recess rims and floors, pins at pin size."""
    block, base, turned = plan.block, blank_content(plan, identity), facing(plan.job.part)
    faces = [closed_path(ring) for ring in block.outlines]
    lines = [TemplateLine(closed_path(ring), "foot") for ring in block.feet]
    for r in block.recesses:
        if r.bottom_diameter > 0:
            lines.append(TemplateLine(circle(*r.at, r.bottom_diameter), "foot"))
    holes = [TemplateHole(r.name, *r.at, r.diameter, "recess") for r in block.recesses]
    holes += [TemplateHole(p.name, *p.at, p.diameter, "pin") for p in block.pins]
    in_block = [e for loop in plan.blank.laid if loop.in_block for e in loop.edges]
    labels = [_label(e, _block_edge(block, e)) for e in in_block]
    kind = BLOCK
    for e in in_block:
        b = _block_edge(block, e)
        if b is None or not b.under.known or _even(b):
            continue
        signs, zero = start_sign(e)
        ticks, leans = tilt_ticks(e, plan.making.zones)
        lines += [*signs, *ticks]
        labels += [zero, *leans]
        kind = with_rows(BLOCK, SIGNS, *((TICKS,) if ticks or kind.has("tick") else ()))
    return replace(
        base,
        kind=kind,
        outline=faces[0],
        cutouts=tuple(faces[1:]),
        tangents=tuple(Path(lines_and_arcs(np.array(p), FIT), False) for _, p in plan.blank.tangents),
        holes=tuple(holes),
        pins=(),
        reliefs=(),
        lines=tuple(lines),
        edge_labels=tuple(labels),
        size=block.face_size,
        up=turned.up,
        side_up=f"on the web face of the block; height {show_length(block.height, identity.first)}",
        lay=_lay(turned, plan),
        tables=_tables(plan, turned, identity.first),
    )


def closed_path(ring: np.ndarray) -> Path:
    """A ring of points as true lines and arcs."""
    return Path(lines_and_arcs(np.concatenate([ring, ring[:1]]), FIT)[:-1], True)


def circle(x: float, y: float, diameter: float, clockwise: bool = False) -> Path:
    """A circle as two half circles."""
    r, bulge = diameter / 2, -1.0 if clockwise else 1.0
    return Path(((x - r, y, bulge), (x + r, y, bulge)))


def _lay(turned: Facing, plan: Plan) -> tuple[str, ...]:
    rings = ", ".join(r.name for r in plan.block.rings)
    return (
        turned.block,
        "Drill the pin holes square to the web face, through the template, before the outline is cut.",
        *_saw(plan),
        *((f"Not on this block: {rings}. It is turned over a loose ring of its own.",) if rings else ()),
    )


def _saw(plan: Plan) -> tuple[str, ...]:
    """Where the saw goes, and how its table stands."""
    edges = plan.block.edges
    if edges and not all(e.under.known for e in edges):
        return (
            "How the walls lean is not known for this temper: there is no saw table. Ask who plans the part before a wall "
            "is sawn.",
        )
    tilted = "tilt the saw's table as the saw table of the block drawing says (IN = foot smaller, OUT = foot larger)"
    return (f"Before each wall {tilted}." if edges else "The saw's table stands square.",)


def _block_edge(block: Block, edge: LaidEdge) -> BlockEdge | None:
    return next((b for b in block.edges if b.edge == edge.edge.name), None)


def _label(edge: LaidEdge, b: BlockEdge | None) -> EdgeLabel:
    name, away = edge.edge.name, (PINS_CLEAR, PINS_CLEAR + ON_WEB)
    if b is None:
        words = f"{name}: wall square, no flange"
    elif not b.under.known:
        words = f"{name}: undercut not known for this temper"
    else:
        tilts = [round_to(float(w) - 90.0, BLOCK_ANGLE_STEP) for w in b.under.wall]
        words = f"{name}: wall {_lean(min(tilts), max(tilts))}"
    out = 0.0 if b is None else float(np.max(b.under.radius * np.tan(np.radians(b.under.wall) / 2) - b.setback))
    return one_label([*web_spots(edge, [words, name], away), *outside_spots(edge, max(out, 2.0))])


def _lean(low: float, high: float) -> str:
    """How a wall leans, counted from square: IN (foot smaller), OUT (foot larger) or square; from - to where it changes."""
    return sawn_lean(90.0 + low) if abs(high - low) < 1e-9 else f"{sawn_lean(90.0 + low)} to {sawn_lean(90.0 + high)}"


def _tables(plan: Plan, turned: Facing, first: Unit) -> tuple[TemplateTable, ...]:
    columns = (
        Column("edge", 1.2, font="bold"),
        Column("at, along the edge", 1.2),
        Column("bend angle", 0.9),
        Column("undercut, 90 % band", 1.5),
        Column("wall leans, to 0.5 deg", 1.4, font="bold"),
        Column("wall angle from the web face", 1.2),
        Column("foot inside web face, to 0.005 in", 1.5, font="bold"),
        Column("edge radius", 1.1, font="bold"),
    )
    rows = tuple(row for b in plan.block.edges for row in _rows(b, first))
    under = (
        f"Height of the block {show_length(plan.block.height, first)}. Foot: where the wall meets the table at this height; "
        "negative: outside the web face.",
        "How a wall leans is counted from square: IN = the foot lies under the web face, it comes out smaller; OUT = the "
        "foot lies outside the web face, it comes out larger. Wall angle = bend angle and undercut. "
        f"The undercut is predicted {predicted_how(plan)} and {NOT_COMPARED}: prove the first piece on scrap.",
        turned.block,
        "Edges without a flange: the wall stands square on the drawn line.",
    )
    return (TemplateTable("How each wall leans", columns, rows, under), *_pin_table(plan, first))


def _even(b: BlockEdge) -> bool:
    """One wall along the whole edge."""
    return float(np.ptp(b.under.wall)) < 1e-6 and float(np.ptp(b.under.radius)) < 1e-6


def _rows(b: BlockEdge, first: Unit) -> list[tuple[str, ...]]:
    u = b.under
    even = _even(b)
    out: list[tuple[str, ...]] = []
    for i in range(1 if even else len(b.along)):
        wall = float(u.wall[i])
        solved = f"{float(u.deg[i]):.2f} deg\n({span(float(u.low[i]), float(u.high[i]))})"
        out.append(
            (
                b.edge,
                "whole edge" if even else in_cell(show_length(float(b.along[i]), first)),
                show_angle(float(b.angle[i])),
                solved if u.known else "not known for this temper",
                _lean(*[round_to(wall - 90.0, BLOCK_ANGLE_STEP)] * 2),
                show_angle(wall, 2),
                in_cell(rounded_setback(float(b.setback[i]), first)),
                in_cell(show_length(float(u.radius[i]), first)),
            )
        )
    return out


def _pin_table(plan: Plan, first: Unit) -> tuple[TemplateTable, ...]:
    """Pins and recesses by their coordinates, to measure the drilled block by."""
    columns: tuple[Column, ...] = (Column("name", 0.8, font="bold"), Column("what", 0.8))
    columns += (Column("x", 1.5), Column("y", 1.5), Column("diameter", 1.5, font="bold"), Column("depth", 1.3))
    rows = [
        (p.name, "pin", *(show_length(v, first) for v in (*p.at, p.diameter)), "as the pin needs")
        for p in plan.block.pins
    ]
    rows += [
        (r.name, "recess", *(show_length(v, first) for v in (*r.at, r.diameter, r.depth))) for r in plan.block.recesses
    ]
    under = (
        "x and y from the drawing's origin, as drawn. Recess: diameter of the rim before rounding, in the web face.",
    )
    return (TemplateTable("Pins and recesses", columns, tuple(rows), under),) if rows else ()
