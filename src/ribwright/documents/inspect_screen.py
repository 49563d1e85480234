"""An inspection as lines for a terminal: how it lies on the drawing, verdicts, what is outside, what nobody can tell and why, what next."""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.documents.characteristics import Row, called, characteristics, worst_of
from ribwright.documents.deviation_sheet import fit_words, off_words
from ribwright.documents.entry_table import fine_length
from ribwright.documents.filled_sheet import counts, file_name, turned_words
from ribwright.documents.judged_words import limit_words
from ribwright.documents.lettering import wrap
from ribwright.documents.measures import CANNOT
from ribwright.documents.verdict_marks import NOT_MEASURED, VERDICTS
from ribwright.features.inspected import BLANK
from ribwright.stages.found import CANNOT_TELL, INSIDE, OUTSIDE, Judged
from ribwright.stages.inspection import Inspection, overdue
from ribwright.stages.plan import Plan
from ribwright.units import Unit, plain

MOST = 8  # lines of a list
SIGN = {INSIDE: " ", OUTSIDE: "!", CANNOT_TELL: "?"}


def lines(plan: Plan, inspection: Inspection, first: Unit) -> list[str]:
    """Text for a person at the bench."""
    judged = inspection.judged
    blank = inspection.said.what == BLANK
    rows = () if blank else characteristics(plan, judged, first)
    out = [_piece(inspection), "", *_wrapped(f"{fit_words(inspection, first)}{turned_words(inspection)}"), ""]
    out += [f"Results: {counts([j.verdict for j in judged]) or 'none'}."]
    if rows:
        out.append(f"Characteristics of the drawing: {counts([r.verdict for r in rows])}.")
    out += ["", *_worst(judged, first)]
    out += _cannot_tell(judged)
    out += _not_measured(rows)
    out += [f"  note: {words}" for words in inspection.found.notes]
    return [*out, *([""] if out[-1] else []), *_next(plan, inspection, rows)]


def _piece(inspection: Inspection) -> str:
    s = inspection.said
    what = "cut blank" if s.what == BLANK else "formed part"
    told = [
        f"serial {s.serial}" if s.serial else "",
        f"lot {s.lot}" if s.lot else "",
        f"block {s.block}" if s.block else "",
    ]
    told += [f"by {s.by}" if s.by else "", s.date]
    return ", ".join([f"{file_name(inspection)}: {what}", *(t for t in told if t)])


def _worst(judged: Sequence[Judged], first: Unit) -> list[str]:
    """The worst place of each characteristic, those outside in any case."""
    worst = worst_of(judged)
    bad = [j for j in worst if j.verdict == OUTSIDE]
    shown = [j for j in worst if j.limits is not None][: max(MOST, len(bad))]
    if not shown:
        return ["Nothing was found that has a tolerance.", ""]
    cells = [
        (SIGN[j.verdict], called(j.found, first), f"{off_words(j.found, first)} {_sure(j, first)}", _allowed(j, first))
        for j in shown
    ]
    wide = [max(len(c[k]) for c in cells) for k in range(4)]
    rows = [
        "  " + "  ".join(c.ljust(w) for c, w in zip(row, wide, strict=True)) + f"  {VERDICTS[j.verdict]}"
        for row, j in zip(cells, shown, strict=True)
    ]
    return ["Worst place of each characteristic, off nominal (! outside, ? cannot tell):", *rows, ""]


def _sure(j: Judged, first: Unit) -> str:
    u = j.found.u
    if u is None:
        return "± not known"
    return f"± {plain(u, 2)} deg" if j.found.unit == "deg" else f"± {fine_length(u, first).partition(' (')[0]}"


def _allowed(j: Judged, first: Unit) -> str:
    assert j.limits is not None
    low, high = j.found.nominal - j.limits[0], j.limits[1] - j.found.nominal
    return f"allowed {limit_words(round(low, 9), round(high, 9), j.found.unit, first)}"


def _cannot_tell(judged: Sequence[Judged]) -> list[str]:
    """By reason, how many and where."""
    by: dict[str, list[str]] = {}
    for j in judged:
        if j.verdict == CANNOT_TELL:
            by.setdefault(_reason(j), []).append(_place(j))
    if not by:
        return []
    out = ["Cannot tell:"]
    for reason, places in by.items():
        names = list(dict.fromkeys(places))
        more = f" and {len(names) - MOST} more" if len(names) > MOST else ""
        out.append(f"  {reason}: {'; '.join(names[:MOST])}{more}")
    return [*out, ""]


def _reason(j: Judged) -> str:
    """The same words for one reason at many places."""
    return "the uncertainty reaches over the limit" if j.reason.startswith("the uncertainty,") else j.reason


def _place(j: Judged) -> str:
    words = called(j.found, "mm")
    return words.partition(" at ")[0]


def _not_measured(rows: Sequence[Row]) -> list[str]:
    lost = [r for r in rows if r.verdict == NOT_MEASURED and r.tolerance != CANNOT]
    if not lost:
        return []
    names = [r.name for r in lost]
    more = [f"  and {len(names) - MOST} more (the inspection sheet has them)"] if len(names) > MOST else []
    return ["Not measured, though the drawing gives a tolerance:", *(f"  {n}" for n in names[:MOST]), *more, ""]


def _next(plan: Plan, inspection: Inspection, rows: Sequence[Row]) -> list[str]:
    """What a person does now."""
    verdicts = {j.verdict for j in inspection.judged}
    out = ["Next:"]
    late = overdue(plan.job.shop, inspection.said, inspection.found.found)
    out += [f"  Measure again what gauge {g.id} read: it was due on {g.due}." for g in late]
    if OUTSIDE in verdicts:
        out.append(
            "  Set what is outside by the hand-finishing list and measure again, or a person with authority decides."
        )
    if CANNOT_TELL in verdicts and not late:
        out.append(
            "  Where nobody can tell: a surer gauge, the drawing's tolerance in the part file, or bring it clear of the limit."
        )
    if any(r.verdict == NOT_MEASURED and r.tolerance != CANNOT for r in rows):
        out.append("  Measure what is left, or say on paper why it need not be.")
    if inspection.accepted_by:
        out.append(
            f"  Accepted by {inspection.accepted_by}, who signs the inspection sheet; this program accepts nothing."
        )
    out += [f"  Not accepted: {why}." for why in inspection.refused]
    if len(out) == 1:
        out.append(
            "  Everything measured lies inside. A person whom the shop authorises looks at it, decides and signs."
        )
    return out


def _wrapped(text: str) -> list[str]:
    return list(wrap(text, 10.0, 190.0, "mono"))
