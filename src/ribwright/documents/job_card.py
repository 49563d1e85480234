"""The job card: one page with what the press hand needs at a glance, what is wrong, what is open, what happens next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.computed import OPENS, in_brief
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    BODY_PT,
    Column,
    NumberBox,
    Piece,
    beside,
    capped,
    content_height,
    content_width,
    fill_boxes,
    gap,
    heading,
    line_step,
    listed,
    number_boxes,
    prose,
    sheet_document,
    small,
    split_units,
    stacked,
    table,
)
from ribwright.documents.lettering import fitted, wrap
from ribwright.documents.model_words import undercut_by
from ribwright.documents.page import Document
from ribwright.documents.part_picture import part_picture, picture_height
from ribwright.documents.readings import face, press_numbers
from ribwright.stages.answers import BLOCK_ANGLE_STEP, round_to
from ribwright.stages.finding import Finding, has_stop
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_length

STEM, TITLE = "job-card", "Job card"
MOST_ROWS, LEAST_FINDINGS = 5, 42.0
JOB = ("tool no.", "order", "quantity", "heat-treat lot")
STOPPED = (
    "Stop: do not cut, do not press.",
    "Clear the stops below with whoever owns the drawing.",
    "Plan again; this card is void.",
)
TOLD = ("Flat width", "Undercut", "Block radius", "Needed pressure", "Pump to")
MARKS = {"stop": "STOP", "warn": "WARN"}


def document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The job card on one page of "letter" or "a4"."""
    width = content_width(paper)
    for rows in range(MOST_ROWS, 0, -1):
        top = stacked(
            [
                _sizes(plan, identity, width),
                number_boxes(press_numbers(plan.setup, bool(identity.stops)), width, 21.0),
                _middle(plan, identity.first, width, rows),
            ]
        )
        tall = picture_height(plan, width, 34.0, 62.0)
        approval = stacked(_approval(plan, width))
        room = content_height(paper) - top.height - approval.height - LEAST_FINDINGS
        if room >= 34.0 or rows == 1:
            break
    drawn = part_picture(plan, width, min(tall, max(room, 30.0)))
    left = content_height(paper) - top.height - drawn.height - approval.height - 1.0
    words = _words(plan, width, left)
    # formulas only where the findings leave the room, a stop must be read; else where they are found
    told = (in_brief(plan, width, *TOLD), stacked([*small(f"{OPENS}.", width), gap(1.0)]))
    shown = [p for p in told if 0.0 < p.height <= left - words.height][:1]
    words = replace(words, height=left - sum(p.height for p in shown))
    return sheet_document(STEM, identity, TITLE, paper, [top, drawn, words, *shown, approval])


def _sizes(plan: Plan, identity: Identity, width: float) -> Piece:
    """Blank, block, pins."""
    first, block = identity.first, plan.block
    value, under = _plane(*plan.blank.size, first)
    high, high_under = split_units(show_length(block.height, first))
    low, most = block.edge_radius
    radius = (
        show_length(low, first) if most - low < 0.005 else f"{show_length(low, first)} to {show_length(most, first)}"
    )
    material = block.material.name if block.material else "material not chosen"
    if low == 0.0 and not block.edges:
        radius = "no flanged edge"
    boxes = (
        NumberBox(
            "BLANK, X x Y",
            value,
            f"{under}\nthickness {identity.thickness}",
            f"cut edge, {plan.blank.method} method; hand trim not added",
            share=1.5,
        ),
        NumberBox("FORM BLOCK, height", high, f"{high_under}\nedge radius {radius}", material, share=1.25),
        NumberBox("LOCATING PINS", str(len(block.pins)), _pins(plan, identity), "hole less fit", share=1.0),
    )
    return number_boxes(boxes, width, 17.0)


def _plane(x: float, y: float, first: str) -> tuple[str, str]:
    inch, metric = f"{x / MM_PER_IN:.3f} x {y / MM_PER_IN:.3f} in", f"{x:.2f} x {y:.2f} mm"
    return (inch, metric) if first == "in" else (metric, inch)


def _pins(plan: Plan, identity: Identity) -> str:
    by_size = sorted(plan.block.pins, key=lambda p: (p.diameter, p.name))
    groups = [(d, [p.name for p in g]) for d, g in groupby(by_size, key=lambda p: p.diameter)]
    if not groups:
        return "the part has no tooling hole"
    shown = [f"{fitted(', '.join(n), BODY_PT, 25.0)}: {show_length(d, identity.first)}" for d, n in groups[:3]]
    return "\n".join(shown) + ("\nmore: block drawing" if len(groups) > 3 else "")


def _middle(plan: Plan, first: Unit, width: float, rows: int) -> Piece:
    """The block's walls and the boxes of the job, and beside them what happens next."""
    table_width = 0.54 * width
    other = width - table_width - 5.0
    return beside(
        (0.0, [*_undercut(plan, first, table_width, rows), gap(2.0), fill_boxes(JOB, table_width, 10.0)]),
        (table_width + 5.0, _next(plan, other)),
    )


def _undercut(plan: Plan, first: Unit, width: float, most: int) -> list[Piece]:
    groups: dict[tuple[str, str, str, str], list[str]] = {}
    for e in plan.block.edges:
        u = e.under
        if not u.known:
            key = (_range(e.angle, 0), "not known", "-", "-")
        else:
            band = _span(float(min(u.low)), float(max(u.high)), 1)
            key = (_range(e.angle, 0), saw_words(u.wall), _range(u.deg, 2), band)
        groups.setdefault(key, []).append(e.edge)
    columns = (
        Column("edge", 1.35),
        Column("bend", 0.7, "end"),
        Column("saw, from square", 1.65, "end", "bold"),
        Column("undercut", 1.05, "end"),
        Column("90 % band", 1.15, "end"),
    )
    cells = [(_edges_named(names, 0.22 * width - 2.0, len(groups) == 1), *key) for key, names in groups.items()]
    pieces = [heading("The block's walls, degrees", width)]
    if not cells:
        return [*pieces, *prose("No flanged edge.", width)]
    pieces += table(columns, cells[:most], width)
    if len(cells) > most:
        pieces += prose(f"and {len(cells) - most} more: see the block drawing", width)
    says = (
        "IN: the foot lies inside the web line, OUT: outside it. Wall from square = bend + undercut - 90, to half a degree. "
        f"Undercut {undercut_by(plan, first)}."
    )
    opens = f"block.undercut[{plan.block.edges[0].edge}][0].deg"
    told = [*prose(says, width, 8.0, grey=0.2), *prose(f"{opens}: {OPENS.split(': ')[1]}", width, 8.0, grey=0.2)]
    return [*pieces, gap(0.8), *told]


def saw_words(walls: Sequence[float] | NDArray[np.float64]) -> str:
    """'IN 8.5', 'OUT 8.0', 'square' or 'IN 2.0 to IN 16.0': how far the wall leans from square at its least and its most."""
    off = [round_to(float(w) - 90.0, BLOCK_ANGLE_STEP) for w in (min(walls), max(walls))]
    words = ["square" if abs(d) < 0.01 else f"{'IN' if d > 0 else 'OUT'} {abs(d):.1f}" for d in off]
    return words[0] if words[0] == words[1] else " to ".join(words)


def _edges_named(names: list[str], width: float, every: bool) -> str:
    """The edges in two lines; where they do not fit, how many they are."""
    words = ", ".join(names)
    if len(wrap(words, BODY_PT, width)) > 2 and every:
        return f"all {len(names)} edges"
    return "\n".join(capped(words, BODY_PT, width, "regular", 2))


def _range(values: object, digits: int) -> str:
    v = np.asarray(values, float)
    return _span(float(v.min()), float(v.max()), digits)


def _span(low: float, high: float, digits: int) -> str:
    a, b = f"{low + 0.0:.{digits}f}", f"{high + 0.0:.{digits}f}"
    return a if a == b else f"{a} to {b}"


def _next(plan: Plan, width: float) -> list[Piece]:
    steps = STOPPED if has_stop(plan.findings) else _steps(plan)
    pieces = [heading("What happens next", width)]
    for i, step in enumerate(steps):
        pieces += listed(str(i + 1), step, width, indent=5.0)
    return pieces


def _steps(plan: Plan) -> tuple[str, ...]:
    call = plan.job.part.sheet
    treated = call.final and call.final != plan.job.bought.temper
    return (
        "Cut the blank; lightening and pin holes to size.",
        "Deburr and polish the edges; no scribe marks.",
        "Make the block; check radius and walls; label.",
        "Press by the set-up card; first piece on scrap.",
        "Correct the block by the first piece, then the lot.",
        "Flute or hand-correct; check.",
        *((f"Heat treat to {call.final} and straighten, in the order of the route sheet.",) if treated else ()),
        "Check by template, bevel cards, inspection sheet; sign.",
    )


def _words(plan: Plan, width: float, height: float) -> Piece:
    """Findings on the left, open questions on the right, cut to the room there is; no taller than they need."""
    left = 0.6 * width
    right = width - left - 5.0
    findings = [f for f in plan.findings if f.severity != "note"]
    lines = told_once(findings)
    head = heading("Findings, worst first", left)
    notes = len(plan.findings) - len(findings)
    tail = f"{notes} notes: see the findings sheet" if notes else ""
    told = _fill(lines or [("-", "No stop and no warning.")], left, height - head.height, 13.0, tail)
    asked = _fill(
        [("?", q) for q in open_questions(plan)] or [("-", "None found.")], right, height - head.height, 5.0, ""
    )
    return beside((0.0, [head, *told]), (left + 5.0, [heading("Unanswered questions", right), *asked]))


def told_once(findings: list[Finding]) -> list[tuple[str, str]]:
    """(mark, sentence), one for each code and quantity: its worst finding, and where else the same was found."""
    groups: dict[tuple[str, str, str], list[Finding]] = {}
    for f in findings:
        groups.setdefault((f.severity, f.code, _quantity(f)), []).append(f)
    rows = []
    for first, *others in groups.values():
        places = [p for p in dict.fromkeys(_place(f) for f in others) if p and p != _place(first)]
        more = f" Also: {', '.join(places)}." if places else f" ({len(others)} more like it.)" if others else ""
        rows.append((MARKS[first.severity], first.say + more))
    return rows


def _quantity(finding: Finding) -> str:
    """What of the part a finding of its code is about: the characteristic, else the kind of feature."""
    if "tolerance" in finding.where:
        return str(finding.where["tolerance"])
    return next((k for k in ("hole", "cutout", "edge", "flange", "corner") if k in finding.where), "")


def _place(finding: Finding) -> str:
    """The name of the edge, hole, flange, cutout or corner a finding is about."""
    for key in ("hole", "cutout", "edge", "flange", "corner"):
        name = finding.where.get(key)
        if name:
            return "/".join(map(str, name)) if isinstance(name, list | tuple) else str(name)
    return ""


def _fill(rows: list[tuple[str, str]], width: float, height: float, indent: float, tail: str) -> list[Piece]:
    """As many rows as fit, the first one cut off rather than left out; then how many there are more."""
    last = line_step(BODY_PT)
    room = height - last
    out: list[Piece] = []
    for k, (mark, text) in enumerate(rows):
        piece = listed(mark, text, width, indent=indent)[0]
        if piece.height > room and k == 0:
            count = max(1, int(room / last - 0.2))
            lines = wrap(text, BODY_PT, width - indent)[:count]
            piece = listed(mark, " ".join((*lines[:-1], lines[-1][:-4] + " ...")), width, indent=indent)[0]
        elif piece.height > room:
            more = f"and {len(rows) - k} more: see the findings sheet"
            return [*out, *prose(f"{more}; {tail}" if tail else more, width)[:1]]
        out.append(piece)
        room -= piece.height
    return [*out, *(prose(tail, width)[:1] if tail else ())]


def open_questions(plan: Plan) -> tuple[str, ...]:
    """What nobody has answered yet, as short questions to a person."""
    job, part = plan.job, plan.job.part
    empty = [k for k in ("data", "by", "date") if not getattr(part.approval, k).strip()]
    rows = [
        (bool(empty), f"Approval: {', '.join(empty)} empty"),
        (not part.tolerance, "Drawing's tolerance block not typed in"),
        (job.formed is None or job.formed.hardening is None, f"Flow curve of {job.formed_name} not known"),
        (plan.setup is None, "No press named"),
        (not job.shop.given, "No shop file: defaults of the catalogue"),
        (plan.block.material is None, "Block material not chosen"),
    ]
    out = [words for true, words in rows if true]
    out += [f"Pin fit of {h.name} not given" for h in part.holes if h.kind == "tooling" and h.pin_fit is None]
    gauge = face(plan.setup) if plan.setup else None
    if plan.setup is not None and gauge is not None and not gauge.due:
        out.append(f"When is the gauge of press {plan.setup.press.id} due?")
    return (*out, *_from_findings(plan.findings))


def _from_findings(findings: tuple[Finding, ...]) -> list[str]:
    """Questions that a note raises: a default stood in, a number was estimated."""
    reliefs = sum(f.code == "relief-by-rule" for f in findings)
    out = [f"Rule not chosen: {f.where.get('key', '')}" for f in findings if f.code == "default-rule"]
    out += [f"R-value of {f.where.get('material', '')} unknown" for f in findings if f.code == "r-value-unknown"]
    out += ["Flow curve estimated: measure this lot?" for f in findings if f.code == "flow-curve-estimated"]
    corners = "1 corner" if reliefs == 1 else f"{reliefs} corners"
    return [*out, *([f"Relief size not drawn at {corners}: by rule"] if reliefs else [])]


def _approval(plan: Plan, width: float) -> list[Piece]:
    a = plan.job.part.approval
    labels = ("Approved data", "Approved by", "Date", "Job card checked by, date")
    filled = (a.data.strip(), a.by.strip(), a.date.strip(), "")
    return [fill_boxes(labels, width, 12.0, (1.4, 1.1, 0.8, 1.3), filled)]
