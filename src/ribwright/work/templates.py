"""Templates at 1:1: what may be asked, and writing one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ribwright.documents.drawing import in_unit
from ribwright.errors import Fault, InputError
from ribwright.ports import Files, Keeper, Writers
from ribwright.stages.circles import CircleGrid, circle_grid, read_diameter
from ribwright.stages.router import read_router
from ribwright.work.asking import PAPERS, Answer, Progress, Request, choice, silent
from ribwright.work.planning import blank, block
from ribwright.work.targets import check_file

ENDINGS = (".pdf", ".dxf")


@dataclass(frozen=True)
class TemplateOrder:
    """Which template: kind, paper, guide bushing and cutter ("" = not for a router), unit of a DXF, diameter of the strain circles
    ("" = none). `typed`: the options that the person typed, of which none may do nothing."""

    kind: str = "blank"
    paper: str = "letter"
    router: str = ""
    units: str = "mm"
    typed: tuple[str, ...] = ()
    circles: str = ""


def template(
    files: Files, request: Request, order: TemplateOrder, out: Path, keeper: Keeper, say: Progress = silent
) -> Answer:
    """The answer a template goes with: the block's for what the block is made by, else the blank's. InputError for every
    word of the order that is not known, before anything is calculated."""
    _check_order(order, out, keeper)
    return (block if order.kind in ("block", "bevel") else blank)(files, request, say)


def _check_order(order: TemplateOrder, out: Path, keeper: Keeper) -> None:
    from ribwright.documents.sheets import TEMPLATES

    asked = (
        ("--kind", order.kind, TEMPLATES),
        ("--paper", order.paper, PAPERS),
        ("--units", order.units, ("mm", "in")),
    )
    faults = [f for key, word, allowed in asked if word not in allowed for f in choice(key, word, allowed).faults]
    try:
        check_file(out, ENDINGS, keeper)
    except InputError as wrong:
        faults += wrong.faults
    if order.router:
        try:
            read_router(order.router)
        except InputError as wrong:
            faults += wrong.faults
        if order.kind not in ("blank", "block"):
            faults.append(Fault("command line", "--router", f"with --kind {order.kind}", "with --kind blank or block"))
    faults += [*_circle_faults(order), *_idle(order, out)]
    if faults:
        raise InputError(faults)


def _circle_faults(order: TemplateOrder) -> list[Fault]:
    """Strain circles go on a blank, not on a router's template."""
    if not order.circles:
        return []
    faults: list[Fault] = []
    try:
        read_diameter(order.circles)
    except InputError as wrong:
        faults += wrong.faults
    if order.kind != "blank":
        faults.append(Fault("command line", "--circles", f"with --kind {order.kind}", "with --kind blank"))
    if order.router:
        faults.append(
            Fault("command line", "--circles", "with --router", "one of them: circles go on the blank itself")
        )
    return faults


def circles_of(answer: Answer, order: TemplateOrder) -> CircleGrid | None:
    """The grid of circles asked for on the answer's blank; None where none is. InputError where not one fits, or too many do."""
    if not order.circles:
        return None
    grid = circle_grid(answer.plan.job, answer.plan.blank, read_diameter(order.circles))
    if not grid.circles:
        found = f"{order.circles!r}, of which none fits the blank"
        raise InputError([Fault("command line", "--circles", found, "a smaller diameter")])
    return grid


def _idle(order: TemplateOrder, out: Path) -> list[Fault]:
    """Options that do nothing for the file asked for: a .dxf has no paper, a .pdf is at 1:1 in no unit."""
    idle = {".pdf": ("--units", order.units, "mm", ".dxf"), ".dxf": ("--paper", order.paper, "letter", ".pdf")}
    if out.suffix.lower() not in idle:
        return []
    key, word, usual, other = idle[out.suffix.lower()]
    if key not in order.typed and word == usual:
        return []
    return [Fault("command line", key, f"{word!r} with --out {out.name}", f"{key} with --out NAME{other}")]


def write_template(answer: Answer, order: TemplateOrder, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The template at 1:1 as .pdf on the named paper, or its lines as .dxf in the unit asked for."""
    from ribwright.documents.templates import template_document, template_lines

    router = read_router(order.router) if order.router else None
    circles = circles_of(answer, order)
    if out.suffix.lower() == ".dxf":
        lines = template_lines(answer.plan, answer.identity, order.kind, router, circles)
        keeper.keep({out: writers.dxf(in_unit(lines, "in" if order.units == "in" else "mm"))})
        return
    sheet = template_document(answer.plan, answer.identity, order.paper, order.kind, router, circles)
    keeper.keep({out: writers.pdf(sheet)})
