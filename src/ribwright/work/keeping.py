"""What was measured on a piece goes into the shop's springback book, or nothing does."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ribwright.documents.identity import Identity
from ribwright.errors import Fault, InputError
from ribwright.features.inspected import AS_PRESSED, SET_BY_HAND, Said
from ribwright.ports import Books, Files
from ribwright.shop.springback_book import Book, Observation
from ribwright.stages.answers import tidy
from ribwright.stages.former_blocks import former_block
from ribwright.stages.found import Found
from ribwright.stages.next_block import SAME_CUT, block_as_told
from ribwright.stages.observing import Cut, Left, Observed, cut_of_answer, cut_of_block, observe
from ribwright.stages.plan import Plan
from ribwright.work.asking import Request

ANGLE = "flange_angle"


@dataclass(frozen=True, eq=False)
class Kept:
    """What went into the book, `file`, under its ids; what did not, and why. `file` None: nothing did, and there may be no book."""

    kept: tuple[Observation, ...]
    left: tuple[Left, ...]
    file: Path | None

    @property
    def json(self) -> dict[str, Any]:
        """The body of the key `kept`."""
        body: dict[str, Any] = tidy(
            {
                "file": self.file.name if self.file else None,
                "observations": [_row(o) for o in self.kept],
                "left": [{"where": x.where, "reason": x.reason} for x in self.left],
            }
        )
        return body


def keep(
    plan: Plan, identity: Identity, said: Said, found: Iterable[Found], files: Files, books: Books, request: Request,
    cut_from: Path | None = None,
) -> Kept:  # fmt: skip
    """The bend angles among what was found on a piece, into the springback book of the part's shop. `plan`, `identity`: of the same
    request; `cut_from`: answers.json of the packet that the block was cut from.

    InputError, and nothing is stored, where no shop file is there, piece or day is not said, the press is another one, or the book has
    the measurement already."""
    shop = request.shop or files.nearest_shop(request.part)
    rows = tuple(found)
    faults = [*_faults(plan, said, shop), *(_again(plan, said, files, shop) if shop else ())]
    if faults or shop is None:
        raise InputError(faults)
    cut = cut_block(plan, identity.fingerprint, said, files, request, cut_from)
    made = observe(plan, identity.fingerprint, said, rows, cut)
    if not made.kept:
        return Kept((), made.left, None)
    if (
        said.undercut_deg is None
        and cut_from is None
        and (fault := _other_cut(said, files.springback_book(shop), made))
    ):
        raise InputError([fault])
    return Kept(books.append(shop, made.kept), made.left, books.file(shop))


def cut_block(
    plan: Plan, name: str, said: Said, files: Files, request: Request, cut_from: Path | None = None
) -> Cut | None:
    """The block as cut: the one undercut that the head of the file says, else what a packet's answer says, else the plan's own where the
    packet said is this plan's. None: nobody says."""
    if said.undercut_deg is not None:
        return Cut(said.block or f"cut to {said.undercut_deg:g} deg", said.undercut_deg)
    if cut_from is not None:
        return cut_of_file(plan, files, cut_from, said.packet)
    if not said.packet:
        return None
    press = plan.setup.press.id if plan.setup else ""
    block = plan.block if said.packet == name else former_block(plan, said.packet, press)
    return None if block is None else cut_of_block(block, f"packet {said.packet}")


def cut_of_file(plan: Plan, files: Files, path: Path, packet: str = "") -> Cut:
    """The block of a kept answer. InputError where it is another part's or hand's, another than the `packet` said, or has no block."""
    answer = files.answer(path)
    part, job = answer["part"], plan.job.part
    faults = []
    if (part["number"], part["hand"]) != (job.number, job.hand):
        faults.append(
            Fault(str(path), "part", f"{part['number']}, {part['hand']} hand", f"{job.number}, {job.hand} hand")
        )
    if packet and answer["fingerprint"] != packet:
        faults.append(
            Fault(str(path), "fingerprint", answer["fingerprint"], f"{packet}, the packet that the measurements name")
        )
    cut = cut_of_answer(answer, f"packet {answer['fingerprint']}")
    if cut is None:
        faults.append(
            Fault(str(path), "block", "no undercut along its edges", "answers.json of a packet, or block --json")
        )
    if faults or cut is None:
        raise InputError(faults)
    return cut


def _faults(plan: Plan, said: Said, shop: Path | None) -> list[Fault]:
    where, faults = "the measurements", list[Fault]()
    if shop is None:
        faults.append(
            Fault("no shop file", "--keep", "nothing to lie beside", "a shop.toml beside the part or above it")
        )
    for key, found in (("serial", said.serial), ("date", said.date)):
        if not found:
            faults.append(Fault(where, key, "nothing", f'a line "# {key} = ...": the book tells pieces apart by it'))
    if said.state == SET_BY_HAND:
        faults.append(
            Fault(where, "state", said.state, f"{AS_PRESSED}: an angle set by hand teaches the next block the hand")
        )
    press = plan.setup.press.id if plan.setup else ""
    if said.press and press and said.press != press:
        faults.append(Fault(where, "press", said.press, f"{press}, the press of this plan; or --press {said.press}"))
    return faults


def _again(plan: Plan, said: Said, files: Files, shop: Path) -> list[Fault]:
    """A piece that the book has from another day may have been set by hand since; only a file that says otherwise is taken."""
    part = plan.job.part
    book = files.springback_book(shop)
    days = {o.date for o in book.standing if o.piece == (part.number, part.hand, said.serial)} - {said.date}
    if not days or said.state == AS_PRESSED:
        return []
    found = f"{said.serial}, in the book from {', '.join(sorted(days))}"
    allowed = 'a piece not measured before; or a line "# state = as pressed", if nobody has set it by hand since'
    return [Fault("the measurements", "serial", found, allowed)]


def _other_cut(said: Said, book: Book, made: Observed) -> Fault | None:
    """A form bears the name of today's packet; the block in the stand may be an older one, and what the book has of it says so."""
    piece = made.kept[0]
    rows = [o for o in book.standing if (o.part, o.hand) == (piece.part, piece.hand)]
    rows.sort(key=lambda o: o.date)
    name = said.block or (rows[-1].block if rows else "")
    known = block_as_told(rows, name) if rows else None
    for o in made.kept if known else ():
        was = known.at(o.place, o.hole, o.along) if known else None
        if was is not None and abs(was - o.undercut) > SAME_CUT:
            found = f"{said.packet}, which cuts {o.place} to {o.undercut:.2f} deg"
            allowed = (
                f"the packet that block {name} was cut from: by the book it is cut to {was:.2f} deg there. If it was filed since, give the "
                "answers.json that it was filed to (--cut-from); if it is another block, its number (# block)"
            )
            return Fault("the measurements", "packet", found, allowed)
    return None


def _row(o: Observation) -> dict[str, Any]:
    f = o.foretold
    where: dict[str, Any] = {"hole": o.place} if o.hole else {"edge": o.place, "along_mm": o.along}
    return {
        "id": o.id,
        **where,
        "measured_deg": o.measured,
        "uncertainty_deg": o.u,
        "forecast_deg": {"value": f.value, "low": f.low, "high": f.high, "model": f.model},
        "undercut_deg": o.undercut,
    }
