"""The papers of an inspection into one folder: deviation sheet, inspection sheet filled in, first-article list, hand-finishing list."""

from __future__ import annotations

from pathlib import Path

from ribwright.documents.page import crossed_document
from ribwright.ports import Keeper, Writers
from ribwright.work.asking import Progress, as_text, choice, silent
from ribwright.work.inspecting import ANSWER, Inspected
from ribwright.work.targets import check_folder

PAPERS = ("letter", "a4")
DEVIATIONS, HANDS = "deviation-sheet", "hand-finishing-measured"
NAMES = (
    "deviation-sheet.pdf", "deviation-sheet.svg", "inspection-sheet.pdf", "first-article.pdf", "first-article.csv",
    "first-article.json", f"{HANDS}.pdf", ANSWER,
)  # fmt: skip


def check_target(out: Path | None, paper: str, keeper: Keeper) -> None:
    """InputError unless `out` is a folder that may be written into, and the paper is known."""
    if paper not in PAPERS:
        raise choice("--paper", paper, PAPERS)
    if out is not None:
        check_folder(out, keeper)


def write_inspection(
    done: Inspected, out: Path, paper: str, writers: Writers, keeper: Keeper, say: Progress = silent
) -> tuple[Path, ...]:
    """All papers and the answer into `out`, all or none; what an earlier inspection left there goes. Returns what was written."""
    made = {out / name: content for name, content in papers_of(done, paper, writers, say).items()}
    keeper.keep(made, gone=tuple(out / n for n in NAMES if out / n not in made))
    return tuple(sorted(made))


def papers_of(done: Inspected, paper: str, writers: Writers, say: Progress = silent) -> dict[str, bytes]:
    """Every paper by its file's name; crossed out where something stops the job."""
    from ribwright.documents import first_article, handwork_sheet
    from ribwright.documents.inspection_papers import inspection_papers

    answer, inspection = done.answer, done.inspection
    plan, identity = answer.plan, answer.identity
    made: dict[str, bytes] = {}
    for document in inspection_papers(plan, identity, paper, inspection):
        say(f"writing {document.name}")
        made[f"{document.name}.pdf"] = writers.pdf(document)
        if document.name == DEVIATIONS:
            made[f"{document.name}.svg"] = writers.picture(document)
    if done.hands is not None:
        made["first-article.csv"] = first_article.as_csv(plan, identity, inspection).encode()
        made["first-article.json"] = first_article.as_json(plan, identity, inspection).encode()
        say("writing the hand-finishing list")
        of = inspection.said
        piece = (of.serial, of.lot, of.block, of.date)
        hands = handwork_sheet.document(plan, identity, paper, done.hands, piece)
        made[f"{HANDS}.pdf"] = writers.pdf(crossed_document(hands, identity.stops[0]) if identity.stops else hands)
    made[ANSWER] = as_text(answer.json).encode()
    return made
