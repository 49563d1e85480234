"""The list of characteristics of a first article: the drawing's numbered ones first, then the rest, each with requirement, result,
uncertainty, gauge and verdict. As a sheet, as CSV and as JSON.

AS9102 (first article inspection, an open standard of the industry) asks three kinds of record: of the part and what it is made of, of
material, processes and tests, and of every characteristic of the drawing with its result. This is the third kind alone, in a layout of
its own.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Sequence
from typing import Any

from ribwright.documents import filled_sheet
from ribwright.documents.characteristics import Row, characteristics, position_lines, result_lines, uncertainty_words
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
    table,
)
from ribwright.documents.measures import CANNOT
from ribwright.documents.page import Document
from ribwright.documents.verdict_marks import NOT_MEASURED, VERDICTS
from ribwright.stages.found import OUTSIDE
from ribwright.stages.inspection import Inspection
from ribwright.stages.plan import Plan
from ribwright.units import Unit

TITLE = "First article: characteristics"
PRINT = 9.0
NOT_A_RELEASE = (
    "This list is not a release and accepts nothing: it says what was measured on one piece and what the shop's decision rule makes of "
    "it. A person whom the shop authorises looks at it, decides and signs; airworthiness is not judged here."
)
SCOPE = (
    "It holds the characteristics alone. What else a first article needs by AS9102 (the part and what it is made of; certificates of "
    "material, processes and tests) is in the shop's own records and goes with it."
)
FIELDS = (
    "number", "balloon", "characteristic", "edge", "hole", "along_mm", "quantity", "requirement", "nominal", "least", "most", "unit",
    "result", "deviation", "uncertainty", "gauge", "gauge_due", "means", "readings", "verdict", "reason",
)  # fmt: skip


class _Text(list[str]):
    """What a writer of tables writes to."""

    def write(self, text: str) -> None:
        """One more piece."""
        self.append(text)


def rows_of(plan: Plan, inspection: Inspection, first: Unit) -> tuple[Row, ...]:
    """The characteristics, every numbered one first in the order of its number, then the others in the order of the sheet."""
    rows = characteristics(plan, inspection.judged, first)
    return tuple(sorted(rows, key=lambda r: (r.balloon == "", _natural(r.balloon), r.number)))


def document(plan: Plan, identity: Identity, paper: str, inspection: Inspection) -> Document:
    """The list as a sheet."""
    width, first = content_width(paper), identity.first
    rows = rows_of(plan, inspection, first)
    numbered = [r for r in rows if r.balloon]
    others = [r for r in rows if not r.balloon]
    pieces: list[Piece] = [
        *prose(NOT_A_RELEASE, width, 9.5, "bold"),
        gap(1.5),
        *filled_sheet.said_boxes(inspection, first, width, plan.job.part.hand),
        *prose(f"{_count(rows)} {filled_sheet.MARKS}{filled_sheet.turned_words(inspection)} {SCOPE}", width),
        gap(2.0),
        *_section("Numbered on the drawing", numbered, first, width),
        *_section("Not numbered on the drawing", others, first, width),
        *filled_sheet.reasons(rows, width),
        *filled_sheet.gauges(plan, inspection, width),
        *_people(inspection, width),
    ]
    return sheet_document("first-article", identity, TITLE, paper, pieces)


def as_csv(plan: Plan, identity: Identity, inspection: Inspection) -> str:
    """The list as comma-separated text: a head of `# key = value` lines, then one line a characteristic; mm and degrees."""
    out = _Text()
    for key, value in _head(identity, inspection).items():
        out.write(f"# {key} = {_one_line(value)}\n")
    out.write(f"# {NOT_A_RELEASE}\n")
    writer = csv.DictWriter(out, FIELDS, lineterminator="\n")
    writer.writeheader()
    for row in rows_of(plan, inspection, identity.first):
        writer.writerow({k: _cell(v) for k, v in _record(row).items()})
    return "".join(out)


def as_json(plan: Plan, identity: Identity, inspection: Inspection) -> str:
    """The list as JSON: {"head", "not_a_release", "characteristics"}; mm and degrees, null where nothing is known."""
    rows = [_record(row) for row in rows_of(plan, inspection, identity.first)]
    whole = {"head": _head(identity, inspection), "not_a_release": NOT_A_RELEASE, "characteristics": rows}
    return json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def requirement_lines(row: Row) -> str:
    """Nominal and tolerance of a row, unit by unit: '0.500 in ± 0.030 in' above '12.70 mm ± 0.76 mm'."""
    if row.tolerance == CANNOT:
        return f"{row.nominal}\ntolerance {CANNOT}"
    nominal, tolerance = row.nominal.split("\n"), row.tolerance.split("\n")
    if row.value == 0.0 and row.unit != "deg":
        return "\n".join(tolerance)
    both = [f"{n} {t}" for n, t in zip(nominal, tolerance, strict=False)]
    return "\n".join([*both, *nominal[len(both) :]])


def _section(title: str, rows: Sequence[Row], first: Unit, width: float) -> list[Piece]:
    if not rows:
        return [heading(title, width), *prose("None.", width), gap()]
    columns = [Column("no.", 0.5), Column("balloon", 0.75, font="bold"), Column("characteristic", 2.5)]
    columns += [Column("requirement", 1.9), Column("result", 1.3, font="bold"), Column("uncertainty", 1.1)]
    columns += [Column("gauge, due", 1.1), Column("verdict", 1.1)]
    cells = [_cells(r, first) for r in rows]
    done = filled_sheet.marked(table(columns, cells, width, PRINT), [r.verdict for r in rows], columns, width)
    return [heading(title, width), *done, gap()]


def _cells(row: Row, first: Unit) -> list[str]:
    begun = [str(row.number), row.balloon, row.what, requirement_lines(row)]
    if row.judged is None:
        return [*begun, "-", "-", "-", VERDICTS[NOT_MEASURED]]
    f = row.judged.found
    shown = position_lines(row, f, first) if f.quantity == "hole_position" else result_lines(f, first)
    result = shown + (f"\nworst of {len(row.every)}" if len(row.every) > 1 else "")
    gauge = "\n".join([f.gauge or f.by, *(g.due or "due not given" for g in row.gauges if g.id == f.gauge)])
    # room under the word for its mark
    return [*begun, result, uncertainty_words(f, first), gauge, f"{VERDICTS[row.verdict]}\n"]


def _people(inspection: Inspection, width: float) -> list[Piece]:
    s = inspection.said
    decided = inspection.accepted_by or ""
    rows = [
        fill_boxes(("measured by", "signature", "date"), width, filled=(s.by, "", s.date)),
        fill_boxes(("disposition by an authorised person", "signature", "date"), width, filled=(decided, "", "")),
    ]
    out = [heading("People", width), *rows]
    for why in inspection.refused:
        out += prose(f"Not accepted: {why}.", width, 9.5, "bold")
    return out


def _count(rows: Sequence[Row]) -> str:
    told = filled_sheet.counts([r.verdict for r in rows])
    worst = (
        " A characteristic outside is for an authorised person to decide."
        if OUTSIDE in {r.verdict for r in rows}
        else ""
    )
    return f"Of {len(rows)} characteristics {told}.{worst}"


def _head(identity: Identity, inspection: Inspection) -> dict[str, Any]:
    s = inspection.said
    return {
        "part": identity.number, "revision": identity.revision, "hand": identity.hand, "title": identity.title,
        "serial": s.serial or None, "lot": s.lot or None, "block": s.block or None, "press": s.press or None,
        "pressure_mpa": s.pressure_mpa, "measured_by": s.by or None, "date": s.date or None, "file": filled_sheet.file_name(inspection),
        "gauges": ", ".join(s.gauges) or None, "accepted_by": inspection.accepted_by,
        "refused": "; ".join(inspection.refused) or None, "fingerprint": identity.fingerprint, "ribwright": identity.version,
        "uncertainty": "expanded, coverage factor 2", "units": "mm, deg",
    }  # fmt: skip


def _record(row: Row) -> dict[str, Any]:
    """A row under the keys of FIELDS."""
    where = row.where if row.judged is None else row.judged.found.where
    least, most = row.limits or (None, None)
    begun = {
        "number": row.number, "balloon": row.balloon or None, "characteristic": row.name, "edge": where.get("edge"),
        "hole": where.get("hole"), "along_mm": _rounded(where.get("along_mm")), "quantity": row.quantity or None,
        "requirement": requirement_lines(row).split("\n")[0], "nominal": _rounded(row.value), "least": _rounded(least),
        "most": _rounded(most), "unit": row.unit,
    }  # fmt: skip
    found: dict[str, Any] = dict.fromkeys(FIELDS[len(begun) :])
    found |= {"verdict": VERDICTS[row.verdict]}
    if row.judged is not None:
        f = row.judged.found
        found |= {
            "result": _rounded(row.value + f.off if row.value is not None else f.value), "deviation": _rounded(f.off),
            "uncertainty": _rounded(f.u), "gauge": f.gauge or None, "means": f.by,
            "gauge_due": next((g.due for g in row.gauges if g.id == f.gauge), None), "readings": f.readings,
            "reason": row.reason or None,
        }  # fmt: skip
    return {**begun, **found}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(float(value), 6) + 0.0


def _natural(balloon: str) -> list[tuple[int, str]]:
    """'2', '2A', '10' in the order a person counts them."""
    return [(int(t), "") if t.isdigit() else (-1, t) for t in re.findall(r"[0-9]+|[^0-9]+", balloon)]


def _one_line(value: Any) -> str:
    return "" if value is None else " ".join(str(value).split())


def _cell(value: Any) -> Any:
    """A cell that no spreadsheet takes for a formula."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t"):
        return f"'{value}"
    return value
