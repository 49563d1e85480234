"""What the check template says: the mold lines of the formed part, its openings and pin holes, and what each line is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.documents.angle_words import bend_words, open_or_closed
from ribwright.documents.blank_content import blank_content
from ribwright.documents.edge_spots import one_label, outside_spots, web_spots
from ribwright.documents.entry_table import in_cell
from ribwright.documents.facing import facing
from ribwright.documents.identity import Identity
from ribwright.documents.layout import Column
from ribwright.documents.template_kinds import CHECK, with_rows
from ribwright.documents.template_starts import SIGNS, start_sign
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole, TemplateLine, TemplateTable
from ribwright.features.laid import LaidEdge
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.path import Path
from ribwright.stages.blank import FIT
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.formed_lines import FormedEdge, FormedLines, formed_lines
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

OUTER = (
    "Outer line: outside mold line, where the planes of the two outer (heel) faces meet, in the plane of the web's heel "
    "face. Square and closed flanges: no metal stands past it. An open flange leans out past it below the heel face; the "
    "free edge shows how far."
)
INNER = (
    "Inner line: inside mold line, where the planes of the two inner faces meet, in the plane of the web's inner face. "
    "Between the two lines stands the sheet, its bend rounded off. Bend tangent line: from here inward the web is flat."
)
STATES = (
    "All lines are the drawing's, the part released and trimmed; springback does not enter. Mold lines are drawn to the "
    "mold corners; where a flange really ends stands a short heavy line."
)


def check_content(plan: Plan, identity: Identity) -> TemplateContent:
    """Outside mold line to cut to, inside mold line, free edge and ends of flanges, openings as formed."""
    formed = formed_lines(plan.job, plan.blank)
    rings = [_ring(pieces) for pieces in formed.outside]
    base, turned = blank_content(plan, identity), facing(plan.job.part)
    lines = [TemplateLine(_open(p), "inside") for _, p in formed.inside]
    lines += [TemplateLine(_open(p), "free") for _, p in formed.free]
    lines += [TemplateLine(Path(((*a, 0.0), (*b, 0.0)), False), "end") for a, b in formed.ends]
    laid = [e for loop in plan.blank.laid for e in loop.edges]
    labels = [_label(e) for e in laid]
    changing = {e.edge for e in formed.edges if not _even(e)}
    for edge in laid:
        if edge.edge.name in changing:
            signs, zero = start_sign(edge)
            lines += signs
            labels.append(zero)
    return replace(
        base,
        kind=with_rows(CHECK, SIGNS) if changing else CHECK,
        outline=rings[0],
        cutouts=tuple(rings[1:]),
        reliefs=(),
        holes=tuple(_hole(h) for h in plan.blank.holes),
        lines=tuple(lines),
        edge_labels=tuple(labels),
        size=None,
        up=turned.up,
        side_up="on the heel face of the web",
        lay=(
            turned.part,
            "Locate it by the pin holes. Feel the heel against the outer line with a square; try flange angles with the "
            "bevel cards.",
        ),
        tables=_tables(plan, formed, identity.first),
    )


def _ring(pieces: tuple[np.ndarray, ...]) -> Path:
    """One closed path of the pieces; corners between edges stay sharp."""
    vertices = [v for p in pieces for v in lines_and_arcs(p, FIT)[:-1]]
    return Path(tuple(vertices), True)


def _open(points: np.ndarray) -> Path:
    return Path(lines_and_arcs(points, FIT), False)


def _hole(flat: FlatHole) -> TemplateHole:
    """A hole as it is in the formed part; where the rim is not known, the circle it is turned at."""
    h = flat.hole
    if h.kind != "lightening":
        return TemplateHole(h.name, *h.at, h.diameter, h.kind, h.slot, h.slot_angle)
    return TemplateHole(h.name, *h.at, flat.rim_diameter or flat.tangent_diameter or h.diameter, "opening")


def _label(edge: LaidEdge) -> EdgeLabel:
    name = edge.edge.name
    if edge.flange is None:
        return one_label([*web_spots(edge, [f"{name}: net edge, no flange", name]), *outside_spots(edge, 0.0)])
    s = np.linspace(0.0, edge.curve.length, 41)
    angle = edge.angle(s)
    lean = edge.width(s) * np.cos(np.radians(angle))
    reach = float(np.max(edge.setback(s) + np.maximum(lean, 0.0)))
    words = f"{name}: bend {bend_words(float(np.min(angle)), float(np.max(angle)))}"
    return one_label([*web_spots(edge, [words, name]), *outside_spots(edge, reach)])


def _tables(plan: Plan, formed: FormedLines, first: Unit) -> tuple[TemplateTable, ...]:
    columns = (
        Column("edge", 1.2, font="bold"),
        Column("at, along the edge", 1.2),
        Column("bend angle from flat", 1.2, font="bold"),
        Column("that is", 1.1),
        Column("flange width", 1.1, font="bold"),
        Column("outer to inner line", 1.1),
        Column("free edge past outer line", 1.2),
        Column("outermost past outer line", 1.2),
    )
    rows = tuple(row for e in formed.edges for row in _rows(e, first))
    under = (OUTER, INNER, STATES, "Past the outer line: + outside it, - inside. Flange width: along the outer face.")
    return (TemplateTable("What the lines are, edge by edge", columns, rows, (*under, *_tolerances(plan, first))),)


def _even(e: FormedEdge) -> bool:
    """One angle and one width along the whole edge."""
    return float(np.ptp(e.angle)) < 1e-6 and float(np.ptp(e.width)) < 1e-6


def _rows(e: FormedEdge, first: Unit) -> list[tuple[str, ...]]:
    even = _even(e)
    out: list[tuple[str, ...]] = []
    for i in range(1 if even else len(e.along)):
        angle = float(e.angle[i])
        out.append(
            (
                e.edge,
                "whole edge" if even else in_cell(show_length(float(e.along[i]), first)),
                f"{angle:.1f} deg",
                open_or_closed(angle),
                in_cell(show_length(float(e.width[i]), first)),
                in_cell(show_length(float(e.inner[i]), first)),
                in_cell(_past(float(e.free[i]), first)),
                in_cell(_past(float(e.outermost[i]), first)),
            )
        )
    return out


def _past(mm: float, first: Unit) -> str:
    """'+0.057 in (+1.45 mm)'; 'on it' where it is no distance."""
    if abs(mm) < 0.005:
        return "on it"
    sign = "+" if mm > 0 else ""
    return sign + show_length(mm, first).replace("(", f"({sign}")


def _tolerances(plan: Plan, first: Unit) -> list[str]:
    """What the drawing allows; what it does not give is said."""
    t = plan.job.part.tolerance
    out = []
    for key, name in (("contour", "contour"), ("flange_width", "flange width")):
        out.append(
            f"Drawing's tolerance on {name}: {_band(t[key], first)}."
            if key in t
            else f"The drawing gives no tolerance on {name}: this template cannot judge it."
        )
    if "flange_angle" in t:
        minus, plus = t["flange_angle"]
        out.append(f"Drawing's tolerance on flange angle: +{plus:g} / -{abs(minus):g} deg.")
    return out


def _band(band: tuple[float, float], first: Unit) -> str:
    minus, plus = band
    return f"+{show_length(plus, first)} / -{show_length(abs(minus), first)}"
