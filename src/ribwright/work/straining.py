"""What is strained where: the strain map of a part, as an answer, a table and pictures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from ribwright.documents.page import Document, crossed_document
from ribwright.documents.strain_table import strain_table
from ribwright.errors import Fault, InputError, UnitError
from ribwright.ports import Files, Keeper, Writers
from ribwright.shop.circles import CircleRecord
from ribwright.stages.circle_answer import circle_answer, circle_findings
from ribwright.stages.develop import INVERSE
from ribwright.stages.finding import ranked
from ribwright.stages.measured_circles import Compared, compare_circles
from ribwright.stages.plan import CLOSED_FORM, Plan
from ribwright.stages.strain_answer import no_strain_answer, strain_answer
from ribwright.stages.strain_findings import strain_findings
from ribwright.stages.strain_limit import LimitLine, NoLine, limit_line
from ribwright.stages.strain_map import StrainMap, strain_map
from ribwright.stages.strain_margins import SplitMargin, split_margins
from ribwright.stages.web_hold import web_holds
from ribwright.stages.web_slip import slip_answer, slip_findings, web_slip
from ribwright.units import pressure_mpa
from ribwright.work.asking import Answer, Progress, Request, answered, plan_of, silent
from ribwright.work.targets import check_file, check_folder

FILES = (".svg", ".png", ".pdf", ".csv")
NO_MESH = "no-mesh"
MOST_PRESSURE = 200.0  # of a press for rubber [MPa]


@dataclass(frozen=True, eq=False)
class Strained:
    """The answer, and what pictures are made from; `map` None: there is no blank by balance; `circles` None: none were measured."""

    answer: Answer
    map: StrainMap | None
    line: LimitLine | NoLine
    margins: tuple[SplitMargin, ...]
    circles: tuple[CircleRecord, tuple[Compared, ...]] | None = None


def check_target(out: Path | None, keeper: Keeper) -> None:
    """InputError unless `out` is a picture or table that may be written, or a folder for all of them."""
    if out is not None and not out.suffix:
        check_folder(out, keeper)
    else:
        check_file(out, FILES, keeper)


def made(
    files: Files, request: Request, say: Progress = silent, circles: Path | None = None, pressure: str = ""
) -> Strained:
    """The strain map by the blank by balance, which is solved for it; `circles` measured on a formed part are held against it.
    With a press, or a pressure ("7 MPa"), how far the web slides that it rubs; InputError with both."""
    asked = _pressure(request, pressure)
    record = None if circles is None else files.circles(circles)
    plan, identity = plan_of(files, replace(request, method=INVERSE, model=CLOSED_FORM), say)
    inverse = plan.inverse
    assert inverse is not None  # it was asked
    m = strain_map(plan.job, inverse)
    line = limit_line(plan.job)
    rows = split_margins(plan.job, m) if m is not None else ()
    plan = replace(plan, findings=ranked([*plan.findings, *strain_findings(rows)]))
    if m is None:
        flat = inverse.flat
        body = no_strain_answer(
            flat.outcome if flat else NO_MESH, flat.words if flat else "The formed part has no mesh: see the findings."
        )
    else:
        body = strain_answer(m, line, rows)
    bodies = {"strain": body}
    mesh, circled = inverse.meshed.mesh, None
    if record is not None and record.part and record.part != plan.job.part.number:
        raise InputError([Fault(record.file, "part", record.part, f"{plan.job.part.number}, the part asked for")])
    if record is not None and (m is None or mesh is None):
        raise InputError(
            [Fault("command line", "--circles", "circles of a part without a strain map", "a part that has one")]
        )
    if record is not None and m is not None and mesh is not None:
        measured = compare_circles(plan.job, plan.blank, m, mesh, record)
        plan = replace(plan, findings=ranked([*plan.findings, *circle_findings(record, measured)]))
        bodies["circles"], circled = circle_answer(record, measured), (record, measured)
    if asked is None and plan.setup is not None:
        asked = _rubbing(plan)
    slip = None if asked is None else web_slip(plan.job, inverse, asked)
    if slip is not None:
        plan = replace(plan, findings=ranked([*plan.findings, *slip_findings(plan.job, slip)]))
        bodies["web_slip"] = slip_answer(slip)
    return Strained(answered(plan, identity, **bodies), m, line, rows, circled)


def _rubbing(plan: Plan) -> float:
    """What rubs the web of a set-up [MPa]: the least at which one of its curved flanges closes, and never more than it pumps to."""
    assert plan.setup is not None
    most = plan.setup.pump_pressure or plan.setup.available
    curved = web_holds(plan.job, plan.blank, most, plan.setup.closes_at_least)
    return min((h.pressure for h in curved), default=most)


def _pressure(request: Request, typed: str) -> float | None:
    """The pressure typed [MPa]; None where none is."""
    if not typed:
        return None
    if request.press:
        raise InputError(
            [Fault("command line", "--pressure", "with --press", "one of them: a press gives its own pressure")]
        )
    try:
        mpa = pressure_mpa(typed)
    except UnitError as wrong:
        raise InputError([Fault("command line", "--pressure", wrong.found, wrong.allowed)]) from wrong
    if not 0.0 < mpa <= MOST_PRESSURE:
        raise InputError(
            [Fault("command line", "--pressure", repr(typed), f"over 0 and at most {MOST_PRESSURE:g} MPa")]
        )
    return mpa


def write_strain(done: Strained, out: Path, writers: Writers, keeper: Keeper) -> tuple[Path, ...]:
    """The picture or table that `out` names, or into a folder all of them; returns what was written."""
    if done.map is None:
        raise InputError([Fault("command line", "--out", f"{out.name!r}, nothing to draw", "a part with a strain map")])
    from ribwright.documents.circle_page import circle_page
    from ribwright.documents.strain_pages import strain_pages

    identity = done.answer.identity
    pages = strain_pages(done.map, done.line, done.margins, identity)
    if done.circles is not None:
        pages = (*pages, circle_page(done.answer.plan.blank, *done.circles, identity))
    document = Document(f"{identity.number}-strain", f"{identity.number} strain", pages)
    document = crossed_document(document, identity.stops[0]) if identity.stops else document
    write = {".pdf": writers.pdf, ".svg": writers.picture, ".png": writers.png}
    targets = (out,) if out.suffix else tuple(out / f"{document.name}{end}" for end in FILES)
    found = {
        t: write[end](document) if (end := t.suffix.lower()) in write else strain_table(done.map, identity).encode()
        for t in targets
    }
    keeper.keep(found)
    return targets
