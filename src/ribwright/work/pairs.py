"""The packet of a part: one hand's, or of a pair both hands', each in a folder called by its number.

What is made of the opposite hand is made from the mirrored part by the same steps, so each folder is byte for byte what a packet of
that hand alone would be.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ribwright.documents.pair_words import HANDS, INDEX, folders_of, pair_answer
from ribwright.ports import Files, Keeper, Solids, Writers
from ribwright.stages.pair import Pair, pair_of
from ribwright.work.asking import BOTH, OPPOSITE, Answer, Progress, Request, as_text, hand_of, silent
from ribwright.work.packets import documents_of, known_paper, left_over, packet
from ribwright.work.planning import everything
from ribwright.work.targets import check_folder


@dataclass(frozen=True, eq=False)
class Packets:
    """`answer` of the hand drawn or asked for, of a pair with the key `pair`; what was written; `pair` None for one hand."""

    answer: Answer
    written: tuple[Path, ...]
    pair: Pair | None = None


def packet_of(
    files: Files,
    request: Request,
    hand: str,
    out: Path,
    paper: str,
    writers: Writers,
    keeper: Keeper,
    say: Progress = silent,
    solids: Solids | None = None,
) -> Packets:
    """Both hands of a part that makes a pair, unless `hand` ("drawn", "opposite") asks for one; else the one there is. InputError where
    both are asked for and the part names no opposite."""
    if hand == BOTH or (not hand and files.part(request.part).opposite):
        return _both(files, request, out, paper, writers, keeper, say, solids)
    asked = replace(request, opposite=hand == OPPOSITE)
    gone = tuple(out / name for name in INDEX)
    answer, written = packet(files, asked, out, paper, writers, keeper, say, solids, gone)
    return Packets(answer, written)


def _both(
    files: Files,
    request: Request,
    out: Path,
    paper: str,
    writers: Writers,
    keeper: Keeper,
    say: Progress,
    solids: Solids | None,
) -> Packets:
    from ribwright.documents.pair_sheet import pair_sheet

    known_paper(paper)
    check_folder(out, keeper)
    part = files.part(request.part)
    hand_of(part, replace(request, opposite=True))
    folders = folders_of(part.number, part.opposite)
    made: dict[Path, bytes] = {}
    gone: set[Path] = set()
    done: list[Answer] = []
    for opposite in (False, True):
        told = _told(say, HANDS[opposite])
        told("planning")
        plan = everything(files, replace(request, opposite=opposite), told)
        answer, documents, _ = documents_of(plan, paper, writers, told, solids)
        folder = out / folders[opposite]
        made |= {folder / name: content for name, content in documents.items()}
        # what a packet of one hand left in the folder itself must not lie beside the pair
        gone |= left_over(answer, folder) | left_over(answer, out) | {out / name for name in documents}
        done.append(answer)
    drawn, other = done
    pair = pair_of(drawn.plan, other.plan)
    told_pair: dict[str, Any] = pair_answer(pair, drawn.identity, other.identity)
    made[out / INDEX[0]] = writers.pdf(pair_sheet(pair, drawn.identity, other.identity, paper))
    made[out / INDEX[1]] = as_text({"pair": told_pair}).encode()
    keeper.keep(made, gone=tuple(sorted(gone - set(made))))
    answer = replace(drawn, json=drawn.json | {"pair": told_pair}, status=max(drawn.status, other.status))
    return Packets(answer, tuple(sorted(made)), pair)


def _told(say: Progress, hand: str) -> Progress:
    return lambda words: say(f"{hand}: {words}")
