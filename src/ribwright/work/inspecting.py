"""A formed part held against its drawing: measurements in, verdicts, hand work and papers out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ribwright.documents.characteristics import unmeasured, without_reading
from ribwright.documents.measuring_form import measuring_form
from ribwright.errors import Fault, InputError, nearest
from ribwright.features.inspected import PART, Measured, Said
from ribwright.ports import Books, Files, Keeper
from ribwright.stages.acceptance import against
from ribwright.stages.finding import ranked
from ribwright.stages.found import FoundSet
from ribwright.stages.hand_answer import hand_answer, hand_beside
from ribwright.stages.hand_list import HandList
from ribwright.stages.handwork import expected_handwork, handwork
from ribwright.stages.inspect_answer import inspect_answer
from ribwright.stages.inspect_findings import REFUSED, by_drawing, inspect_findings, refused
from ribwright.stages.inspection import OVERDUE, Inspection, judged_all
from ribwright.stages.plan import Plan
from ribwright.work import keeping
from ribwright.work.asking import Answer, Progress, Request, answered, choice, plan_of, silent
from ribwright.work.one_piece import one_piece, together

ANSWER = "inspection.json"  # among the papers
FITS = PINS, PLACES = "pins", "places"


@dataclass(frozen=True)
class Keeping:
    """Bend angles go into the springback book that `books` adds to; `cut_from`: answers.json that the block was cut from."""

    books: Books
    cut_from: Path | None = None


@dataclass(frozen=True, eq=False)
class Inspected:
    """The answer, and what its papers are made from; `hands` None of a blank, which nobody sets by hand."""

    answer: Answer
    inspection: Inspection
    hands: HandList | None


def made(
    files: Files,
    request: Request,
    measured: Path | Sequence[Path],
    say: Progress = silent,
    fit: str = PINS,
    accept: str | None = None,
    keep: Keeping | None = None,
    out: Path | None = None,
) -> Inspected:
    """The piece of the file, or files, `measured` held against the part. `fit`: laid onto the drawing by its pin holes, or by places and
    pins; `accept`: the person who accepts it, None where nobody was named; `keep`: its bend angles go into the springback book, when all
    else is done; `out`: the folder that its papers go into."""
    if fit not in FITS:
        raise choice("--fit", fit, FITS)
    taken = [files.measured(path) for path in ([measured] if isinstance(measured, Path) else measured)]
    said = one_piece(taken)
    plan, identity = plan_of(files, request, say)
    if out is not None:
        _of_this_piece(plan.job.part.number, said.serial, out, files)
    for one in taken:
        of_this_part(plan, one)
    sets = [found_of(plan, one, fit, say) for one in taken]
    found = together(sets)
    part, shop = plan.job.part, plan.job.shop
    judged = tuple(j for one, own in zip(taken, sets, strict=True) for j in judged_all(part, shop, one.said, own.found))
    whole = said.what == PART
    lost = unmeasured(plan, judged) if whole else ()
    reasons = () if accept is None else against(part, shop, said, judged, lost, accept)
    by = accept if accept and not reasons else None
    done = Inspection(said, ", ".join(one.file for one in taken), found, judged, by, reasons)
    # a gauge past its due date moves no hand
    hands = handwork(plan, [j for j in judged if not j.reason.startswith(OVERDUE)]) if whole else None
    first = shop.units or part.units
    details = without_reading(plan) if whole else ()
    more = [
        *found.findings,
        *by_drawing(details),
        *inspect_findings(shop, said, judged, hands, first),
        *refused(reasons, accept or ""),
    ]
    # what planning warns of and forecasts is `check`'s: here only what stops the job stands beside what was measured
    plan = replace(plan, findings=ranked([*(f for f in plan.findings if f.severity == "stop"), *more]))
    moves, beside = (hand_answer(hands), hand_beside(hands)) if hands else ([], None)
    body = inspect_answer(done, moves, list(lost)) | {"hand_finishing": beside, "by_drawing": list(details)}
    bodies = {"inspect": body}
    if keep is not None:
        # last, so that a refusal of anything else leaves the book as it is
        kept = keeping.keep(plan, identity, said, found.found, files, keep.books, request, keep.cut_from)
        bodies["kept"] = kept.json
    return Inspected(answered(plan, replace(identity, stops=_stops(plan)), **bodies), done, hands)


def expected(files: Files, request: Request, say: Progress = silent) -> Inspected:
    """Before anything is measured: the hand work that the forecast lets expect, under the same keys."""
    plan, identity = plan_of(files, request, say)
    nothing = Inspection(Said(units=identity.first, part=plan.job.part.number), "", FoundSet(()), ())
    hands = expected_handwork(plan)
    body = inspect_answer(nothing, hand_answer(hands), list(unmeasured(plan, ()))) | {
        "hand_finishing": hand_beside(hands)
    }
    plan = replace(plan, findings=tuple(f for f in plan.findings if f.severity == "stop"))
    return Inspected(answered(plan, identity, inspect=body), nothing, hands)


def form_of(done: Inspected, out: Path, keeper: Keeper) -> None:
    """The file of measurements as a form to fill in."""
    keeper.keep({out: measuring_form(done.answer.plan, done.answer.identity).encode()})


def _stops(plan: Plan) -> tuple[str, ...]:
    """What crosses out the papers: a refused acceptance does not, they are the record of the piece."""
    return tuple(f.say for f in plan.findings if f.severity == "stop" and f.code != REFUSED)


def _of_this_piece(number: str, serial: str, out: Path, files: Files) -> None:
    """InputError where the folder holds the papers of another piece: they are a record."""
    if not (out / ANSWER).is_file():
        return
    answer = files.answer(out / ANSWER)
    there = (answer["part"]["number"], str(answer.get("inspect", {}).get("of", {}).get("serial", "")))
    if there != (number, serial):
        found = f"papers of {there[0]}, serial {there[1] or 'not said'}"
        allowed = f"a folder of its own for {number}, serial {serial or 'not said'}"
        raise InputError([Fault(str(out), ANSWER, found, allowed)])


def of_this_part(plan: Plan, measured: Measured) -> None:
    """InputError with everything in the head that says that it is another part, revision or hand."""
    part, said, faults = plan.job.part, measured.said, []
    if said.part != part.number:
        more = ": the other hand, --hand opposite" if said.part == part.opposite else ""
        faults.append(
            Fault(
                measured.file,
                "part",
                said.part,
                f"{part.number}, the part asked for{more}",
                nearest(said.part, [part.number]),
            )
        )
    if said.revision and said.revision != part.revision:
        faults.append(
            Fault(measured.file, "revision", said.revision, f"{part.revision}, the revision of the part file")
        )
    if said.hand and said.hand != part.hand:
        faults.append(Fault(measured.file, "hand", said.hand, f"{part.hand}, the hand of the part file"))
    presses = [p.id for p in plan.job.shop.presses]
    if said.press and presses and said.press not in presses:
        faults.append(Fault(measured.file, "press", said.press, ", ".join(presses), nearest(said.press, presses)))
    if faults:
        raise InputError(faults)


def found_of(plan: Plan, measured: Measured, fit: str, say: Progress) -> FoundSet:
    """What the measurements tell, by their kind."""
    if measured.points is not None:
        from ribwright.stages.found_points import found_points

        return found_points(plan, measured, fit, say)
    if measured.rings:
        from ribwright.stages.found_rings import found_rings

        return found_rings(plan, measured, fit, say)
    from ribwright.stages.found_readings import found_readings

    return found_readings(plan, measured)
