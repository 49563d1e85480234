"""A changed copy of a part file: the proposals taken by a named person. The file that was asked about stays as it is.

The copy's approval is empty: what was approved is the part as it was drawn, and who takes a proposal need not be who approves.
"""

from __future__ import annotations

from pathlib import Path

from ribwright.errors import Fault, InputError
from ribwright.ports import Keeper, PartFiles
from ribwright.stages.proposal_answer import notch_tables
from ribwright.stages.relief_notches import Proposal
from ribwright.work import planning
from ribwright.work.asking import Answer, Progress, Request

ENDING = ".part.toml"


def checked(
    files: PartFiles, request: Request, keeper: Keeper, say: Progress, take_proposals: bool, by: str, out: Path | None
) -> tuple[Answer, Path | None]:
    """The answer of `check`, and the copy that was written where one was asked for."""
    if not take_proposals and not by and out is None:
        return planning.check(files, request, say), None
    copy = looked_at(by, out, request.part, keeper)
    answer = planning.check(files, request, say)
    take(answer, files, request.part, by, copy, keeper)
    return answer, copy


def looked_at(by: str, out: Path | None, part: Path, keeper: Keeper) -> Path:
    """Where the copy goes. InputError with every fault of what was asked, before anything is calculated."""
    faults = []
    name = " ".join(by.split())
    if not name or not name.isprintable():
        faults.append(Fault("command line", "--by", repr(by), "the name of the person who takes the proposals"))
    if out is None:
        faults.append(Fault("command line", "--out", "nothing", f"the copy to write, NAME{ENDING}"))
    elif not out.name.lower().endswith(ENDING) or out.name.lower() == ENDING:
        faults.append(Fault("command line", "--out", repr(out.name), f"a name that ends in {ENDING}"))
    elif out.resolve() == part.resolve():
        faults.append(Fault("command line", "--out", repr(str(out)), "another file than the part asked about"))
    elif refused := keeper.refusal(out):
        faults.append(Fault("command line", "--out", f"{str(out)!r}, {refused}", "a file that can be written"))
    if faults or out is None:
        raise InputError(faults)
    return out


def take(answer: Answer, texts: PartFiles, part: Path, by: str, out: Path, keeper: Keeper) -> None:
    """Write the copy. InputError where nothing is proposed, or where the copy would not be read back."""
    taken = [p for p in answer.plan.proposals if isinstance(p, Proposal)]
    if not taken:
        raise InputError(
            [Fault("command line", "--take-proposals", "nothing proposed for this part", "a part with proposals")]
        )
    notches = tuple(n for p in taken for n in p.notches)
    remark = f"# Relief notches as proposed, taken by {' '.join(by.split())}. They need an approval: the one above is emptied."
    text = (
        texts.unsigned(texts.part_text(part)).rstrip("\n")
        + f"\n\n{remark}\n"
        + notch_tables(notches, answer.plan.job.part.units)
    )
    texts.check_part(text, out)
    keeper.keep({out: text.encode()})
