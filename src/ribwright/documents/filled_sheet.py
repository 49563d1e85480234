"""What a filled-in inspection sheet has besides the empty form: results in its boxes, verdict marks, reasons, gauges used, people."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from ribwright.documents.characteristics import (
    Row,
    called,
    position_lines,
    result_lines,
    signed,
    uncertainty_words,
    worst_of,
)
from ribwright.documents.entry_table import box_edges, named, whole
from ribwright.documents.judged_words import limit_words
from ribwright.documents.layout import Column, Piece, fill_boxes, gap, heading, prose, small, table
from ribwright.documents.verdict_marks import NOT_MEASURED, VERDICTS, R, verdict_mark
from ribwright.features.inspected import BLANK, Said
from ribwright.shop.shop import MeasuringGauge
from ribwright.stages.found import CANNOT_TELL, OUTSIDE, Judged
from ribwright.stages.inspection import Inspection, overdue
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_pressure

PRINT = 9.0
NOTHING = ("not measured", "", "")  # the boxes of a row that nobody measured
MARKS = "Ring: inside. Filled disc: outside. Crossed ring: cannot tell. After ± the uncertainty, expanded, coverage factor 2."


def head(inspection: Inspection, width: float) -> list[Piece]:
    """Whose results these are."""
    s = inspection.said
    what = "cut blank" if s.what == BLANK else "formed part"
    text = f"Results of {file_name(inspection)}: one {what}{_of(s)}. {MARKS}{turned_words(inspection)}"
    return [*prose(text, width, 9.5, "bold"), gap(2.0)]


def turned_words(inspection: Inspection) -> str:
    """How a gap under the template stands as a deviation, told by the widest; "" where none was felt."""
    gaps = [f for f in inspection.found.found if f.quantity == "contour" and f.by not in ("points", "outline")]
    if not gaps:
        return ""
    worst = max(gaps, key=lambda f: abs(f.value))
    first: Unit = "in" if inspection.said.units == "in" else "mm"
    stands = signed(worst.value, first, worst.u).partition(" (")[0]
    if abs(worst.value) < 1e-9:
        return " A gap under the template is metal inside the line, so it stands here with a minus sign."
    if worst.value > 0:
        return f" Metal that lies outside the line stands with a plus sign ({stands}), a gap under the template with a minus sign."
    return f" A gap under the template of {stands.lstrip('-')} is metal so far inside the line: it stands here as {stands}."


def file_name(inspection: Inspection) -> str:
    """The name of the file of measurements without its folders: a paper goes where they mean nothing."""
    return re.split(r"[\\/]", inspection.file)[-1]


def _of(s: Said) -> str:
    told = ((", serial ", s.serial), (", lot ", s.lot), (", measured by ", s.by), (" on ", s.date))
    return "".join(f"{words}{value}" for words, value in told if value)


def cells(row: Row, first: Unit) -> list[str]:
    """Measured, gauge, verdict as they stand in the boxes; of what was not measured that word alone."""
    if row.judged is None:
        return list(NOTHING)
    measured, gauge, _ = one(row.judged, first)
    if row.quantity == "hole_position":
        measured = f"{position_lines(row, row.judged.found, first)}\n{_sure(row.judged, first)}"
    more = f"\nworst of {len(row.every)}" if len(row.every) > 1 else ""
    return [measured + more, gauge, VERDICTS[row.verdict]]


def one(judged: Judged, first: Unit) -> list[str]:
    """The same of one result."""
    f = judged.found
    return [f"{result_lines(f, first)}\n{_sure(judged, first)}", f.gauge or f.by, VERDICTS[judged.verdict]]


def _sure(judged: Judged, first: Unit) -> str:
    return "± not known" if judged.found.u is None else uncertainty_words(judged.found, first)


def cut_holes(inspection: Inspection | None) -> dict[str, Judged]:
    """Diameters found on a cut blank, by hole."""
    if inspection is None or inspection.said.what != BLANK:
        return {}
    return {
        j.found.where["hole"]: j
        for j in inspection.judged
        if j.found.quantity == "hole_diameter" and "hole" in j.found.where and "of" not in j.found.where
    }


def marked(
    pieces: Sequence[Piece], verdicts: Sequence[str], columns: Sequence[Column], width: float
) -> tuple[Piece, ...]:
    """The table's pieces with each verdict's mark under its word."""
    first, *body = pieces
    left = box_edges(columns, width, 3)[2] + 1.5 + R
    done = [replace(p, items=(*p.items, *verdict_mark(left, -6.2, v))) for p, v in zip(body, verdicts, strict=True)]
    return (first, *done)


def marked_at_end(pieces: Sequence[Piece], verdicts: Sequence[str], width: float) -> tuple[Piece, ...]:
    """A table's pieces with each row's mark at its right end."""
    first, *body = pieces
    done = [
        replace(p, items=(*p.items, *verdict_mark(width - R - 0.5, -2.5, v)))
        for p, v in zip(body, verdicts, strict=True)
    ]
    return (first, *done)


def reasons(rows: Sequence[Row], width: float) -> list[Piece]:
    """Which rows nobody can tell, by reason, and which were not measured."""
    by: dict[str, list[str]] = {}
    for r in rows:
        if r.verdict == CANNOT_TELL:
            by.setdefault(r.reason, []).append(str(r.number))
    out = [p for why, numbers in by.items() for p in small(f"Cannot tell, no. {named(numbers, 40)}: {why}.", width)]
    lost = [str(r.number) for r in rows if r.verdict == NOT_MEASURED]
    if lost:
        out += small(f"Not measured: no. {named(lost, 60)}.", width)
    return [*out, gap()] if out else []


def of_blank(inspection: Inspection, first: Unit, width: float) -> list[Piece]:
    """What was found on a cut blank, of each edge and hole the worst place; nothing of a formed part."""
    if inspection.said.what != BLANK:
        return []
    columns = [Column("found on this blank", 2.9), Column("off nominal", 1.4, font="bold"), Column("uncertainty", 1.1)]
    columns += [Column("tolerance", 1.3), Column("verdict", 1.1)]
    worst = worst_of(inspection.judged)
    done = marked_at_end(
        table(columns, [_blank_row(j, first) for j in worst], width, PRINT), [j.verdict for j in worst], width
    )
    notes = [p for words in inspection.found.notes for p in small(f"Note: {words}", width)]
    says = small("Of each edge and hole the worst place; all are on the deviation sheet.", width)
    return [heading("Blank as measured", width), *(replace(p, keep=True) for p in says), *done, *notes, gap()]


def _blank_row(j: Judged, first: Unit) -> list[str]:
    f = j.found
    limits = j.limits and limit_words(f.nominal - j.limits[0], j.limits[1] - f.nominal, f.unit, first)
    said = [called(f, first), signed(f.off, first, f.u), uncertainty_words(f, first)]
    return [*said, limits or "not given", VERDICTS[j.verdict]]


def gauges(plan: Plan, inspection: Inspection, width: float) -> list[Piece]:
    """The gauges that were used, whether each was in date on the day."""
    shop, said = plan.job.shop, inspection.said
    used = {j.found.gauge for j in inspection.judged} | set(said.gauges)
    mine = [g for g in shop.gauges if g.id in used]
    if not mine:
        return [heading("Gauges", width), *prose("The file names no gauge of shop.toml.", width), gap()]
    columns = [Column("gauge", 0.8, font="bold"), Column("kind", 1.4), Column("uncertainty", 1.2)]
    columns += [Column("calibration due", 1.2), Column("on the day of measuring", 1.8)]
    late = {g.id for g in overdue(shop, said, inspection.found.found)}
    rows = [
        [g.id, g.kind, g.uncertainty or "not given", g.due or "not given", in_date(g, said, g.id in late)] for g in mine
    ]
    return [heading("Gauges used", width), *whole(table(columns, rows, width, PRINT)), gap()]


def in_date(gauge: MeasuringGauge, said: Said, late: bool) -> str:
    """'in date', 'PAST DUE: proves nothing', or that nobody can know."""
    if not said.date or not gauge.due:
        return "not known: no date" if not said.date else "not known: no due date"
    return "PAST DUE: proves nothing" if late else "in date"


def counts(verdicts: Sequence[str]) -> str:
    """'12 inside, 2 outside, 1 cannot tell, 4 not measured'."""
    return ", ".join(f"{n} {word}" for verdict, word in VERDICTS.items() if (n := verdicts.count(verdict)))


def sign_off(inspection: Inspection, width: float) -> list[Piece]:
    """The boxes of the form with what the file says; signatures stay for a hand."""
    s = inspection.said
    serial = fill_boxes(
        ("serial or quantity", "lot of sheet", "block number"), width, filled=(s.serial, s.lot, s.block)
    )
    person = fill_boxes(("measured by", "signature", "date"), width, filled=(s.by, "", s.date))
    name = inspection.accepted_by or ""
    disposition = fill_boxes(("disposition by an authorised person", "signature", "date"), width, filled=(name, "", ""))
    out = [heading("Sign-off", width), *whole([serial, person, disposition])]
    for why in inspection.refused:
        out += prose(f"Not accepted: {why}.", width, 9.5, "bold")
    if any(j.verdict == OUTSIDE for j in inspection.judged):
        out += small("A piece with a characteristic outside goes on only as an authorised person decides.", width)
    return out


def said_boxes(inspection: Inspection, first: Unit, width: float, hand: str = "") -> list[Piece]:
    """Boxes of what the head of the file says: piece, tooling, press, people."""
    s = inspection.said
    pressure = "" if s.pressure_mpa is None else show_pressure(s.pressure_mpa, first)
    rows = (
        (
            ("serial", s.serial),
            ("lot of sheet", s.lot),
            ("hand", s.hand or ("none: no other hand" if hand == "none" else "")),
        ),
        (("block", s.block), ("press", s.press), ("pressure", pressure)),
        (("measured by", s.by), ("date", s.date), ("file of measurements", file_name(inspection))),
    )
    return [fill_boxes([a for a, _ in r], width, 11.0, filled=[b or "not said" for _, b in r]) for r in rows]
