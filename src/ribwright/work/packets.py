"""All documents of a job into one folder."""

from __future__ import annotations

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
) -> tuple[Answer, tuple[Path, ...]]:
    """All documents of the job into one folder: PDFs, DXFs, one JSON of all answers, the same fingerprint on each; the
    block as STEP where the kernel for it is installed. A refused solid is said in the answer and fails nothing."""
    from ribwright.documents.sheets import SHEET_NAMES

    if paper not in PAPERS:
        raise choice("--paper", paper, PAPERS)
    check_folder(out, keeper)
    say("planning")
    answer = everything(files, request, say)
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
        done = made_solids(models, out / "block.step", solids, first)
    made |= {path: m.content for path, m in done.items() if m.content is not None}
    said = solid_answer(by_name(done)) if done else {"refused": NO_KERNEL}
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
