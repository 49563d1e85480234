"""All documents of a job into one folder."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from ribwright.documents.drawings import blank_drawing, block_drawing
from ribwright.documents.page import Document
from ribwright.documents.solid_model import MadeSolid, file_word, solid_answer, solid_models
from ribwright.ports import Files, Keeper, Solids, Writers
from ribwright.stages import answers
from ribwright.work.asking import PAPERS, Answer, Progress, Request, as_text, choice, silent
from ribwright.work.planning import everything
from ribwright.work.targets import check_folder
from ribwright.work.writing import by_name, made_solids

NO_KERNEL = "the solid kernel is not installed: pip install 'ribwright[step]'"


def packet(
    files: Files,
    request: Request,
    out: Path,
    paper: str,
    writers: Writers,
    keeper: Keeper,
    say: Progress = silent,
    solids: Solids | None = None,
    gone: tuple[Path, ...] = (),
) -> tuple[Answer, tuple[Path, ...]]:
    """All documents of the job into one folder: PDFs, DXFs, one JSON of all answers, the same fingerprint on each; the
    block as STEP where the kernel for it is installed. A refused solid is said in the answer and fails nothing.
    `gone`: what else of an earlier job must not stay there."""
    known_paper(paper)
    check_folder(out, keeper)
    say("planning")
    answer, documents, _ = documents_of(everything(files, request, say), paper, writers, say, solids)
    made = {out / name: content for name, content in documents.items()}
    keeper.keep(made, gone=tuple(sorted({*left_over(answer, out), *gone} - set(made))))
    return answer, tuple(sorted(made))


def left_over(answer: Answer, out: Path) -> set[Path]:
    """What an earlier job may have left in the folder and must not lie beside the new job card."""
    from ribwright.documents.sheets import SHEET_NAMES

    rings = {f"block-ring-{file_word(h.name)}.step" for h in answer.plan.job.part.holes}
    return {out / name for name in ("block.step", *rings, *(f"{n}.pdf" for n in SHEET_NAMES))}


def known_paper(paper: str) -> str:
    """The paper. InputError for one that is not known."""
    if paper not in PAPERS:
        raise choice("--paper", paper, PAPERS)
    return paper


def documents_of(
    answer: Answer, paper: str, writers: Writers, say: Progress = silent, solids: Solids | None = None
) -> tuple[Answer, dict[str, bytes], bool]:
    """Every document of a plan by its file's name; the answer gains `solid`. Last: whether a solid was refused for a reason that passes."""
    # the kernel works in its own process while the sheets are written
    ready = solids is not None and solids.installed()
    models = solid_models(answer.plan, answer.identity, "block") if ready else {}
    first = solids.start(models["block"], "step") if solids and models else None
    try:
        made = _sheets(answer, paper, writers, say)
    except BaseException:
        if first:
            first.cancel()
        raise
    done: dict[Path, MadeSolid] = {}
    if solids and first:
        say("waiting for the block's solid")
        done = made_solids(models, Path("block.step"), solids, first)
    made |= {path.name: m.content for path, m in done.items() if m.content is not None}
    said = solid_answer(by_name(done)) if done else {"refused": NO_KERNEL}
    answer = replace(answer, json=answer.json | answers.tidy({"solid": said}))
    made["answers.json"] = as_text(answer.json).encode()
    return answer, made, any(m.passing for m in done.values())


def previews(answer: Answer, paper: str, writers: Writers, say: Progress = silent) -> Iterator[tuple[str, bytes]]:
    """(name, SVG) of every sheet of a packet, its pages one under the other."""
    from ribwright.documents.sheets import packet_sheets

    for sheet in packet_sheets(answer.plan, answer.identity, paper):
        say(f"drawing {sheet.name}")
        yield sheet.name, writers.picture(sheet)


def _sheets(answer: Answer, paper: str, writers: Writers, say: Progress) -> dict[str, bytes]:
    """Every sheet and drawing of a packet."""
    from ribwright.documents.sheets import packet_sheets
    from ribwright.documents.templates import template_lines

    made: dict[str, bytes] = {}
    sheets: tuple[Document, ...] = packet_sheets(answer.plan, answer.identity, paper)
    for sheet in sheets:
        say(f"writing {sheet.name}")
        made[f"{sheet.name}.pdf"] = writers.pdf(sheet)
    say("writing the cut lines")
    made["blank.dxf"] = writers.dxf(blank_drawing(answer.plan, answer.identity))
    made["block.dxf"] = writers.dxf(block_drawing(answer.plan, answer.identity))
    made["check.dxf"] = writers.dxf(template_lines(answer.plan, answer.identity, "check"))
    return made
