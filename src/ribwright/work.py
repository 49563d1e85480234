"""The use cases: gather the files, calculate, keep what was made. No rule of the trade lives here."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ribwright.documents import material_screen
from ribwright.documents.drawing import in_unit
from ribwright.documents.drawings import blank_drawing, block_drawing
from ribwright.documents.identity import Identity, identity_of
from ribwright.documents.page import Document
from ribwright.documents.shop_record import shop_record
from ribwright.documents.solid_model import MadeSolid, SolidModel, file_word, solid_answer, solid_models
from ribwright.errors import Fault, InputError, nearest
from ribwright.ports import Files, Keeper, Making, Solids, Writers
from ribwright.shop.shop import Press, Shop
from ribwright.stages import answers, material_answers
from ribwright.stages.develop import METHODS
from ribwright.stages.explain import Book
from ribwright.stages.finding import has_stop
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.job import Job, take_in
from ribwright.stages.judged import judged_answer
from ribwright.stages.making_answers import whole_block_answer
from ribwright.stages.material import card_of, find_material, known_materials
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.router import read_router
from ribwright.stages.tensile import entry, evaluate
from ribwright.stages.why import why as compare
from ribwright.units import Unit

DEFAULT_METHOD = "strain-corrected"
PAPERS = ("letter", "a4", "roll")
SMALL_PAPERS = ("letter", "a4")
SOLIDS = (".step", ".stl")
NO_KERNEL = "the solid kernel is not installed: pip install 'ribwright[step]'"
UNFINISHED = 3
Progress = Callable[[str], None]


def silent(_: str) -> None:
    """No progress shown."""


@dataclass(frozen=True)
class Request:
    """What a person asked: the part file, and where it differs from the default, shop file, press and method."""

    part: Path
    shop: Path | None = None
    press: str = ""
    method: str = DEFAULT_METHOD


@dataclass(frozen=True)
class Answer:
    """The JSON answer, the exit status that goes with it, and the plan it came from."""

    json: dict[str, Any]
    status: int
    plan: Plan
    identity: Identity


def plan_of(files: Files, request: Request) -> tuple[Plan, Identity]:
    """Gather and calculate."""
    if request.method not in METHODS:
        raise _choice("--method", request.method, METHODS)
    part = files.part(request.part)
    found = request.shop or files.nearest_shop(request.part)
    shop = files.shop(found) if found else Shop()
    job = take_in(part, shop, files.catalogue(), str(request.part))
    press = _press(job, request.press)
    plan = make_plan(job, press, request.method)
    return plan, identity_of(plan, fingerprint(job, request.method, request.press))


def _press(job: Job, wanted: str) -> Press | None:
    if not wanted:
        return None
    press = job.shop.press(wanted)
    if press is None and not job.shop.presses:
        raise InputError(
            [
                Fault(
                    job.shop.file or "no shop file",
                    "press",
                    repr(wanted),
                    "a [[press]] of shop.toml; there is no default",
                )
            ]
        )
    if press is None:
        raise _choice("--press", wanted, tuple(p.id for p in job.shop.presses))
    return press


def _choice(key: str, found: str, allowed: tuple[str, ...]) -> InputError:
    return InputError(
        [Fault("command line", key, repr(found), "one of " + ", ".join(allowed), nearest(found, allowed))]
    )


def _answer(plan: Plan, identity: Identity, **bodies: Any) -> Answer:
    inputs = inputs_of(plan.job, plan.blank.method, plan.setup.press.id if plan.setup else "")
    whole = answers.tidy({**answers.heading(plan, identity.fingerprint), **bodies, "inputs": inputs})
    return Answer(whole, 1 if has_stop(plan.findings) else 0, plan, identity)


def check(files: Files, request: Request) -> Answer:
    """Every finding at its place; every margin, also where nothing is wrong; the tolerances against the forecast."""
    plan, identity = plan_of(files, request)
    return _answer(plan, identity, **judged_answer(plan))


def blank(files: Files, request: Request) -> Answer:
    """The flat blank."""
    plan, identity = plan_of(files, request)
    return _answer(plan, identity, blank=answers.blank_answer(plan.blank))


def block(files: Files, request: Request) -> Answer:
    """The form block."""
    plan, identity = plan_of(files, request)
    return _answer(plan, identity, block=whole_block_answer(plan))


def setup(files: Files, request: Request) -> Answer:
    """The press set-up. Refuses without a press: there is no default one."""
    if not request.press:
        raise InputError(
            [Fault("command line", "--press", "nothing", "the id of a press of shop.toml; there is no default")]
        )
    plan, identity = plan_of(files, request)
    assert plan.setup is not None
    return _answer(plan, identity, setup=answers.setup_answer(plan.setup))


def everything(files: Files, request: Request) -> Answer:
    """Margins and tolerances, blank, block and, with a press, set-up in one answer."""
    plan, identity = plan_of(files, request)
    more = judged_answer(plan) | ({"setup": answers.setup_answer(plan.setup)} if plan.setup else {})
    return _answer(plan, identity, blank=answers.blank_answer(plan.blank), block=whole_block_answer(plan), **more)


def explain(files: Files, request: Request, number: str = "") -> Answer:
    """One number opened, or without one every number that opens."""
    whole = everything(files, request)
    book = Book(whole.plan, whole.json)
    told = {"explanation": book.open(number).as_json()} if number else {"numbers": book.listed()}
    heading = {k: whole.json[k] for k in ("ribwright", "part", "fingerprint", "findings")}
    return Answer(
        answers.tidy({**heading, **told, "inputs": whole.json["inputs"]}), whole.status, whole.plan, whole.identity
    )


def why(files: Files, old: Path, new: Path) -> dict[str, Any]:
    """Which numbers differ between two kept answers, and which changed input each is put down to."""
    before, after = files.answer(old), files.answer(new)
    try:
        compared = answers.tidy(compare(before, after).as_json())
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as broken:
        allowed = "two answers as this tool wrote them"
        raise InputError([Fault(f"{old}, {new}", "answer", f"something else ({broken!r})"[:120], allowed)]) from broken
    keys = ("ribwright", "part", "fingerprint")
    return {"old": {k: before[k] for k in keys}, "new": {k: after[k] for k in keys}, "why": compared}


def write_blank(answer: Answer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The blank's cut lines as .dxf or .svg."""
    drawing = blank_drawing(answer.plan, answer.identity)
    keeper.keep({out: _drawn(drawing, out, writers)})


def write_block(answer: Answer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The block as .dxf (web face and foot) or .pdf (drawing with sections)."""
    # the sheets are many files: only what prints them loads them
    from ribwright.documents.sheets import block_sheet

    if out.suffix.lower() == ".pdf":
        keeper.keep({out: writers.pdf(block_sheet(answer.plan, answer.identity))})
        return
    keeper.keep(
        {out: _drawn(block_drawing(answer.plan, answer.identity), out, writers, (".dxf", ".svg", ".pdf", *SOLIDS))}
    )


def write_solid(answer: Answer, out: Path, solids: Solids, keeper: Keeper) -> Answer:
    """The block as .step or .stl, each loose ring as a file of its own beside it; the answer gains `solid`.

    A refused solid writes nothing: the answer says why and its status is 3.
    """
    made = _solids(solid_models(answer.plan, answer.identity, out.stem), out, solids)
    refused = any(m.refused for m in made.values())
    if not refused:
        keeper.keep({path: m.content for path, m in made.items() if m.content is not None})
    whole = answer.json | answers.tidy({"solid": solid_answer(_by_name(made))})
    return replace(answer, json=whole, status=UNFINISHED if refused else answer.status)


def _solids(
    models: dict[str, SolidModel], out: Path, solids: Solids, first: Making | None = None
) -> dict[Path, MadeSolid]:
    """Each model made for its file beside `out`, one after the other: the kernel is large. `first`: already on its way."""
    made: dict[Path, MadeSolid] = {}
    for stem, model in models.items():
        making, first = first or solids.start(model, out.suffix.lower()[1:]), None
        try:
            made[out.with_name(stem + out.suffix)] = making.finish()
        finally:
            making.cancel()
    return made


def _by_name(made: dict[Path, MadeSolid]) -> dict[str, MadeSolid]:
    return {path.name: m for path, m in made.items()}


@dataclass(frozen=True)
class TemplateOrder:
    """Which template: kind, paper, guide bushing and cutter ("" = not for a router), unit of a DXF."""

    kind: str = "blank"
    paper: str = "letter"
    router: str = ""
    units: str = "mm"


def template(files: Files, request: Request, order: TemplateOrder, out: Path) -> Answer:
    """The answer a template goes with: the block's for what the block is made by, else the blank's. InputError for every
    word of the order that is not known, before anything is calculated."""
    _check_order(order, out)
    return block(files, request) if order.kind in ("block", "bevel") else blank(files, request)


def _check_order(order: TemplateOrder, out: Path) -> None:
    from ribwright.documents.sheets import TEMPLATES

    asked = (
        ("--kind", order.kind, TEMPLATES),
        ("--paper", order.paper, PAPERS),
        ("--units", order.units, ("mm", "in")),
        ("--out", out.suffix.lower(), (".pdf", ".dxf")),
    )
    faults = [f for key, word, allowed in asked if word not in allowed for f in _choice(key, word, allowed).faults]
    if order.router:
        try:
            read_router(order.router)
        except InputError as wrong:
            faults += wrong.faults
        if order.kind not in ("blank", "block"):
            faults.append(Fault("command line", "--router", f"with --kind {order.kind}", "with --kind blank or block"))
    if faults:
        raise InputError(faults)


def write_template(answer: Answer, order: TemplateOrder, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The template at 1:1 as .pdf on the named paper, or its lines as .dxf in the unit asked for."""
    from ribwright.documents.templates import template_document, template_lines

    router = read_router(order.router) if order.router else None
    if out.suffix.lower() == ".dxf":
        lines = template_lines(answer.plan, answer.identity, order.kind, router)
        keeper.keep({out: writers.dxf(in_unit(lines, "in" if order.units == "in" else "mm"))})
        return
    sheet = template_document(answer.plan, answer.identity, order.paper, order.kind, router)
    keeper.keep({out: writers.pdf(sheet)})


def _drawn(drawing: Any, out: Path, writers: Writers, allowed: tuple[str, ...] = (".dxf", ".svg")) -> bytes:
    if out.suffix.lower() == ".dxf":
        return writers.dxf(drawing)
    if out.suffix.lower() == ".svg":
        return writers.svg(drawing)
    raise _choice("--out", out.name, allowed)


def packet(
    files: Files,
    request: Request,
    out: Path,
    paper: str,
    writers: Writers,
    keeper: Keeper,
    say: Progress = silent,
    solids: Solids | None = None,
) -> tuple[Answer, tuple[Path, ...]]:
    """All documents of the job into one folder: PDFs, DXFs, one JSON of all answers, the same fingerprint on each; the
    block as STEP where the kernel for it is installed. A refused solid is said in the answer and fails nothing."""
    from ribwright.documents.sheets import SHEET_NAMES

    if paper not in PAPERS:
        raise _choice("--paper", paper, PAPERS)
    say("planning")
    answer = everything(files, request)
    # the kernel works in its own process while the sheets are written
    ready = solids is not None and solids.installed()
    models = solid_models(answer.plan, answer.identity, "block") if ready else {}
    first = solids.start(models["block"], "step") if solids and models else None
    try:
        made = _sheets(answer, out, paper, writers, say)
    except BaseException:
        if first:
            first.cancel()
        raise
    done: dict[Path, MadeSolid] = {}
    if solids and first:
        say("waiting for the block's solid")
        done = _solids(models, out / "block.step", solids, first)
    made |= {path: m.content for path, m in done.items() if m.content is not None}
    said = solid_answer(_by_name(done)) if done else {"refused": NO_KERNEL}
    answer = replace(answer, json=answer.json | answers.tidy({"solid": said}))
    made[out / "answers.json"] = as_text(answer.json).encode()
    # what an earlier job left must not lie beside the new job card
    rings = {f"block-ring-{file_word(h.name)}.step" for h in answer.plan.job.part.holes}
    stale = {out / name for name in ("block.step", *rings, *(f"{n}.pdf" for n in SHEET_NAMES))} - set(made)
    keeper.keep(made, gone=tuple(sorted(stale)))
    return answer, tuple(sorted(made))


def _sheets(answer: Answer, out: Path, paper: str, writers: Writers, say: Progress) -> dict[Path, bytes]:
    """Every sheet and drawing of a packet."""
    from ribwright.documents.sheets import packet_sheets
    from ribwright.documents.templates import template_lines

    made: dict[Path, bytes] = {}
    sheets: tuple[Document, ...] = packet_sheets(answer.plan, answer.identity, paper)
    for sheet in sheets:
        say(f"writing {sheet.name}")
        made[out / f"{sheet.name}.pdf"] = writers.pdf(sheet)
    say("writing the cut lines")
    made[out / "blank.dxf"] = writers.dxf(blank_drawing(answer.plan, answer.identity))
    made[out / "block.dxf"] = writers.dxf(block_drawing(answer.plan, answer.identity))
    made[out / "check.dxf"] = writers.dxf(template_lines(answer.plan, answer.identity, "check"))
    return made


@dataclass(frozen=True)
class MaterialAnswer:
    """The JSON answer about materials, its lines for the screen, and what `--out` writes."""

    json: dict[str, Any]
    lines: list[str]
    sheet: Document | None = None
    record: str = ""


def material_list(files: Files, shop_file: Path | None) -> MaterialAnswer:
    """Every material of the catalogue and the shop."""
    shop, first = _shop_of(files, shop_file)
    known = known_materials(files.catalogue(), shop)
    return MaterialAnswer(material_answers.list_answer(known), material_screen.list_lines(known, first))


def material(
    files: Files, name: str, shop_file: Path | None, paper: str = "letter", printed: bool = False
) -> MaterialAnswer:
    """The card of one material; `printed` makes the sheet too."""
    if paper not in SMALL_PAPERS:
        raise _choice("--paper", paper, SMALL_PAPERS)
    shop, first = _shop_of(files, shop_file)
    catalogue = files.catalogue()
    card = card_of(find_material(name, catalogue, shop), catalogue)
    answer = answers.tidy(material_answers.card_answer(card))
    lines = material_screen.card_lines(card, first)
    if not printed:
        return MaterialAnswer(answer, lines)
    from ribwright.documents.material_sheet import material_sheet

    return MaterialAnswer(answer, lines, material_sheet(card, first, shop.name, paper))


def tensile(files: Files, name: str, record: Path, shop_file: Path | None, like: str = "") -> MaterialAnswer:
    """A material record for shop.toml from a tensile record; `like` names the record that gives what was not tested."""
    if not name.strip():
        raise InputError([Fault("command line", "NAME", "nothing", "the name that the tested material is to have")])
    shop, first = _shop_of(files, shop_file)
    model = find_material(like, files.catalogue(), shop, "--like") if like else None
    made = entry(name, evaluate(files.tensile(record)), model)
    toml = shop_record(made)
    answer = answers.tidy(material_answers.tested_answer(made, toml))
    return MaterialAnswer(answer, material_screen.tested_lines(made, first), record=toml)


def write_material(answer: MaterialAnswer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The card as .pdf, or what a tensile record gave as .toml. The list of all is not written."""
    if not answer.sheet and not answer.record:
        raise InputError([Fault("command line", "--out", repr(out.name), "--out together with the NAME of a material")])
    wanted = ".pdf" if answer.sheet else ".toml"
    if out.suffix.lower() != wanted:
        raise _choice("--out", out.name, (wanted,))
    keeper.keep({out: writers.pdf(answer.sheet) if answer.sheet else answer.record.encode()})


def _shop_of(files: Files, shop_file: Path | None) -> tuple[Shop, Unit]:
    """The shop named, or the nearest one of the folder the command runs in; the unit it reads first."""
    found = shop_file or files.nearest_shop(Path("material"))
    shop = files.shop(found) if found else Shop()
    return shop, "mm" if shop.units == "mm" else "in"


def as_text(answer: dict[str, Any]) -> str:
    """The answer as JSON text, the same bytes every time."""
    return json.dumps(answer, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
