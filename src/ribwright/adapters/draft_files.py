"""A draft as the files of a plan: the part's text as it stands on the page, the shop's folder for everything beside it.

Nothing outside that folder is read, whatever the text names. What was read once is what stays read: a shop file that changes while a job
runs changes the next job.
"""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

from ribwright.adapters.data_folder import SHOP_FILE, TABLE_END, checked_name
from ribwright.adapters.toml_bounds import too_much
from ribwright.errors import Fault, InputError
from ribwright.features.inspected import Measured
from ribwright.features.part import Part
from ribwright.ports import Sketched, Solids, Writers
from ribwright.shop.circles import CircleRecord
from ribwright.shop.sheet import Catalogue
from ribwright.shop.shop import Shop
from ribwright.shop.springback_book import Book
from ribwright.shop.tensile import TensileRecord


class DraftFiles:
    """`text` the part's, `folder` the shop's. Paths are names: faults never tell where the folder lies."""

    def __init__(self, text: str, folder: Path):
        self.text, self.folder = text, folder
        self._part: dict[Path, Part] = {}
        self._shop: dict[Path, Shop] = {}
        self._book: Book | None = None

    def part(self, path: Path) -> Part:
        from ribwright.adapters.part_toml import parse_part

        if path not in self._part:
            base = safe_base(self.text, self.folder)
            try:
                self._part[path] = parse_part(self.text, str(path), base)
            except InputError as wrong:
                told = (in_folder(f, self.folder) for f in wrong.faults)
                raise InputError([said for f in told if (said := about_ordinates(f, self.folder))]) from None
        return self._part[path]

    def shop(self, path: Path) -> Shop:
        from ribwright.adapters.shop_toml import parse_shop
        from ribwright.adapters.toml_text import read_text

        if path not in self._shop:
            file = self.folder / path.name
            if file.is_symlink():
                raise InputError([Fault(path.name, "the file", "a link", "a file itself")])
            text = without_folder(self.folder, lambda: read_text(file, "a shop file"))
            self._shop[path] = parse_shop(text, path.name)
        return self._shop[path]

    def nearest_shop(self, part: Path) -> Path | None:
        return Path(SHOP_FILE) if (self.folder / SHOP_FILE).is_file() else None

    def catalogue(self) -> Catalogue:
        from ribwright.adapters.facts_toml import load_catalogue

        return load_catalogue()

    def tensile(self, path: Path) -> TensileRecord:
        raise InputError([_not_here(path)])

    def circles(self, path: Path) -> CircleRecord:
        raise InputError([_not_here(path)])

    def springback_book(self, shop: Path) -> Book:
        from ribwright.adapters.springback_book import NAME, read_book

        if self._book is None:
            file = self.folder / NAME
            if file.is_symlink():
                raise InputError([Fault(NAME, "the file", "a link", "a file itself")])
            self._book = without_folder(self.folder, lambda: read_book(file))
        return replace(self._book, file=NAME)

    def measured(self, path: Path) -> Measured:
        raise InputError([_not_here(path)])

    def record_faults(self, text: str, file: str) -> list[Fault]:
        from ribwright.adapters.shop_toml import record_faults

        return record_faults(text, file)

    def answer(self, path: Path) -> dict[str, Any]:
        raise InputError([_not_here(path)])

    def makes_solids(self) -> bool:
        from ribwright.adapters.kernel_there import kernel_installed

        return kernel_installed()


class DraftJobFiles(DraftFiles):
    """The same with the writers of documents, as a job takes them."""

    def __init__(self, text: str, folder: Path, writers: Writers, solids: Solids):
        super().__init__(text, folder)
        self.writers, self.solids = writers, solids


def sketched_draft(text: str, file: str, folder: Path) -> Sketched:
    """The text as far as it can be read, with ordinates from the shop's folder and nowhere else."""
    from ribwright.adapters.part_sketch import sketched

    found = sketched(text, file, safe_base(text, folder))
    faults = []
    for row in found.faults:
        fault = Fault(row["file"], row["key"], row["found"], row["allowed"], row["nearest"])
        said = about_ordinates(fault, folder)
        if said is not None and said is not fault:
            row = row | {"allowed": said.allowed, "say": replace(said, file="").sentence().removeprefix(": ")}
        faults += [] if said is None else [row]
    return Sketched(faults, found.notes, found.sketch, found.part)


def head_of(text: str) -> dict[str, str]:
    """The words of the [part] table, as far as they can be read. InputError where the text is too much to be read."""
    if fault := too_much(text, "the part", "a part file"):
        raise InputError([fault])
    table = (_table(text) or {}).get("part")
    return {k: v for k, v in table.items() if isinstance(v, str)} if isinstance(table, dict) else {}


def _table(text: str) -> dict[str, Any] | None:
    """The text's tables; None where it is no TOML, or too much of it."""
    if too_much(text, "", ""):
        return None
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        return None


def safe_base(text: str, folder: Path) -> Path | None:
    """The folder to seek ordinates in; None, so that nothing is read, where the text cannot be understood here or names one by anything
    but the name of a table in that folder."""
    try:
        table = _table(text)
        named = _ordinates(table)
    except RecursionError:
        return None
    return folder if table is not None and all(_beside(name, folder) for name in named) else None


def about_ordinates(fault: Fault, folder: Path) -> Fault | None:
    """The fault, where `safe_base` said None: of a name that is none, what is allowed; None of one that was only not looked at."""
    if not (fault.key.endswith("ordinates") and fault.allowed.startswith("points in the text itself")):
        return fault
    if _beside(fault.found.strip('"'), folder):
        return None
    return replace(fault, allowed=f"the name of a table (NAME{TABLE_END}) in the shop's folder")


def _ordinates(value: Any) -> list[str]:
    """Every text under a key `ordinates`."""
    if isinstance(value, dict):
        here = [v for k, v in value.items() if k == "ordinates" and isinstance(v, str)]
        return here + [name for v in value.values() for name in _ordinates(v)]
    return [name for v in value for name in _ordinates(v)] if isinstance(value, list) else []


def _beside(name: str, folder: Path) -> bool:
    try:
        checked_name(name, "ordinates")
    except InputError:
        return not name.strip()
    return name.lower().endswith(TABLE_END) and not (folder / name).is_symlink()


def without_folder(folder: Path, read: Any) -> Any:
    """What `read` gives; its faults name files by their names alone."""
    try:
        return read()
    except InputError as wrong:
        raise InputError([in_folder(f, folder) for f in wrong.faults]) from None


def in_folder(fault: Fault, folder: Path) -> Fault:
    """The fault with its file's name instead of its path."""
    return replace(fault, file=_named(fault.file, folder))


def _named(file: str, folder: Path) -> str:
    return file.replace("\\", "/").removeprefix(f"{folder.as_posix()}/")


def _not_here(path: Path) -> Fault:
    return Fault("job", path.name, "a file of its own", "what the part and the shop say")
