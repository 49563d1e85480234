"""Cards of materials, and a record from a tensile test."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ribwright.documents import material_screen
from ribwright.documents.page import Document
from ribwright.documents.shop_record import shop_record
from ribwright.errors import Fault, InputError
from ribwright.ports import Files, Keeper, Writers
from ribwright.shop.shop import Shop
from ribwright.stages import answers, material_answers
from ribwright.stages.material import card_of, find_material, known_materials
from ribwright.stages.tensile import entry, evaluate
from ribwright.units import Unit
from ribwright.work.asking import choice

SMALL_PAPERS = ("letter", "a4")


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
        raise choice("--paper", paper, SMALL_PAPERS)
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
    if faults := files.record_faults(toml, str(record)):
        raise InputError(faults)
    answer = answers.tidy(material_answers.tested_answer(made, toml))
    return MaterialAnswer(answer, material_screen.tested_lines(made, first), record=toml)


def write_material(answer: MaterialAnswer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The card as .pdf, or what a tensile record gave as .toml. The list of all is not written."""
    if not answer.sheet and not answer.record:
        raise InputError([Fault("command line", "--out", repr(out.name), "--out together with the NAME of a material")])
    wanted = ".pdf" if answer.sheet else ".toml"
    if out.suffix.lower() != wanted:
        raise choice("--out", out.name, (wanted,))
    keeper.keep({out: writers.pdf(answer.sheet) if answer.sheet else answer.record.encode()})


def _shop_of(files: Files, shop_file: Path | None) -> tuple[Shop, Unit]:
    """The shop named, or the nearest one of the folder the command runs in; the unit it reads first."""
    found = shop_file or files.nearest_shop(Path("material"))
    shop = files.shop(found) if found else Shop()
    return shop, "mm" if shop.units == "mm" else "in"
