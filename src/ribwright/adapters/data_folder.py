"""The data folder: a folder a shop, in it `shop.toml`, part files, ordinate tables and, hidden, drafts.

Names come from outside and become paths here, nowhere else: each is judged as a name first, and what it leads to must then lie where
the name says, without a link on the way.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
import threading
import unicodedata
from pathlib import Path
from typing import Any

from ribwright.adapters.springback_book import NAME as BOOK
from ribwright.adapters.write_file import write_all
from ribwright.errors import Clash, Fault, InputError, Missing, nearest
from ribwright.work.shelves import PART_END, SHOP_FILE

LONGEST_NAME, LONGEST_BYTES = 80, 200
ALLOWED = f"1 to {LONGEST_NAME} letters, digits, - _ . and blanks, no dot or blank at its ends"
TABLE_END = ".csv"
DRAFTS, RESULTS = ".drafts", ".results"
# one system keeps these words for its devices, whatever their ending
DEVICES = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in "123456789¹²³")}


def data_root() -> Path:
    """The data folder where nobody says another: RIBWRIGHT_DATA, else `ribwright` in the home folder."""
    return Path(os.environ.get("RIBWRIGHT_DATA") or Path.home() / "ribwright")


def checked_name(name: str, key: str) -> str:
    """The name. InputError when it is no name of ours, whatever a system would make of it."""
    fine = (
        0 < len(name) <= LONGEST_NAME
        and len(name.encode("utf-8", "replace")) <= LONGEST_BYTES
        and all(c.isalnum() or c in "-_. " for c in name)
        and name[0] not in ". "
        and name[-1] not in ". "
        and unicodedata.normalize("NFC", name) == name
        and name.split(".")[0].strip().lower() not in DEVICES
    )
    if not fine:
        raise InputError([Fault("the name", key, repr(name)[:100], ALLOWED)])
    return name


def checked_file(name: str) -> str:
    """The name of a file that a shop's folder holds. InputError for any other."""
    ends = name == SHOP_FILE or name.endswith(TABLE_END)
    stem = name.removesuffix(PART_END) if name.endswith(PART_END) else name if ends else ""
    if not stem:
        allowed = f"{SHOP_FILE}, NAME{PART_END} or NAME{TABLE_END}"
        raise InputError([Fault("the name", "file", repr(name)[:100], allowed)])
    checked_name(stem, "file")
    return checked_name(name, "file") if ends else name


class DataFolder:
    """Shops, their files and drafts under one folder. Missing where a name leads to nothing, Clash where it is taken."""

    def __init__(self, root: Path):
        self.root = Path(root).resolve()
        # what is new is looked for and made as one
        self._making = threading.Lock()

    def shops(self) -> list[str]:
        """The shops' names, in the order of the alphabet."""
        return sorted(p.name for p in self._entries(self.root) if p.is_dir() and _is_name(p.name))

    def folder(self, shop: str) -> Path:
        """The folder of a shop that is there."""
        path = self._inside(self.root / checked_name(shop, "shop"))
        if not path.is_dir():
            raise Missing([_none("shop", shop, self.shops())])
        return path

    def make_shop(self, shop: str, files: dict[str, bytes]) -> None:
        """A new shop with these files, all or none."""
        path = self.root / checked_name(shop, "shop")
        if shop.lower() == SHOP_FILE or shop.lower().endswith((PART_END, TABLE_END)):
            raise InputError([Fault("the name", "shop", repr(shop)[:100], "a name that is not one of a shop's files")])
        with self._making:
            if shop.casefold() in {s.casefold() for s in self.shops()} or os.path.lexists(path):
                raise Clash([_taken("the data folder", "shop", shop)])
            write_all({path / name: content for name, content in files.items()})

    def parts(self, shop: str) -> list[str]:
        """The names of a shop's parts, without their endings."""
        names = (p.name.removesuffix(PART_END) for p in self._entries(self.folder(shop)) if _is_part(p))
        return sorted(n for n in names if _is_name(n))

    def read(self, shop: str, file: str) -> bytes:
        """What a file of a shop holds."""
        path = self._file(shop, file)
        try:
            return _content(path)
        except (FileNotFoundError, IsADirectoryError):
            there = [p.name for p in self._entries(self.folder(shop))]
            raise Missing([_none("file", file, there)]) from None

    def has(self, shop: str, file: str) -> bool:
        """Whether a file of that name is there, in whatever letter case."""
        self._file(shop, file)
        return file.casefold() in {p.name.casefold() for p in self._entries(self.folder(shop))}

    def write(self, shop: str, file: str, content: bytes, new: bool = False) -> None:
        """A file of a shop, whole or not at all. `new`: Clash where one of that name is there; of two at once one is written."""
        path = self._file(shop, file)
        with self._making:
            if new and self.has(shop, file):
                raise Clash([_taken("the shop", "file", file)])
            if path.exists():
                _judge(path)
            write_all({path: content})

    def write_new(self, shop: str, files: dict[str, bytes]) -> None:
        """New files of a shop, all or none. Clash where one of those names is there."""
        paths = {self._file(shop, file): content for file, content in files.items()}
        with self._making:
            taken = [file for file in files if self.has(shop, file)]
            if taken:
                raise Clash([_taken("the shop", "file", file) for file in taken])
            write_all(paths)

    def beside(self, shop: str) -> str:
        """Names the state of what a part of the shop is read with: shop file, springback book and tables of
        ordinates, by name, size and time."""
        there = [
            p
            for p in self._entries(self.folder(shop))
            if (p.suffix in (".toml", TABLE_END) or p.name == BOOK) and not p.name.endswith(PART_END)
        ]
        seen = sorted((p.name, p.stat().st_size, p.stat().st_mtime_ns) for p in there)
        return hashlib.sha256(repr(seen).encode()).hexdigest()[:12]

    def draft(self, shop: str, part: str) -> dict[str, Any] | None:
        """What was kept of a part's draft; None where nothing was, or what lies there is no draft."""
        try:
            kept = json.loads(_content(self._draft(shop, part)).decode())
        except (FileNotFoundError, ValueError):
            return None
        return kept if isinstance(kept, dict) else None

    def keep_draft(self, shop: str, part: str, kept: dict[str, Any] | None) -> None:
        """Keeps a draft; None takes it away."""
        path = self._draft(shop, part)
        if kept is None:
            path.unlink(missing_ok=True)
        else:
            write_all({path: json.dumps(kept, ensure_ascii=False).encode()})

    def _file(self, shop: str, file: str) -> Path:
        return self._inside(self.folder(shop) / checked_file(file))

    def _draft(self, shop: str, part: str) -> Path:
        return self._inside(self.folder(shop) / DRAFTS / f"{checked_name(part, 'part')}.json")

    def _inside(self, path: Path) -> Path:
        """The path. InputError when a link leads it elsewhere: what is at the name must lie at the name."""
        if path.resolve() != path or not path.is_relative_to(self.root):
            raise InputError(
                [Fault("the data folder", "name", repr(path.name)[:100], "a file itself, not a link to one")]
            )
        return path

    def _entries(self, folder: Path) -> list[Path]:
        """What a folder holds, without links."""
        try:
            return [p for p in folder.iterdir() if not p.is_symlink()]
        except FileNotFoundError:
            return []


def _is_name(name: str) -> bool:
    try:
        checked_name(name, "name")
    except InputError:
        return False
    return True


def _is_part(path: Path) -> bool:
    return path.name.endswith(PART_END) and path.is_file()


def _content(path: Path) -> bytes:
    _judge(path)
    return path.read_bytes()


def _judge(path: Path) -> None:
    """InputError where a name leads to what is no file: a pipe may never end. A folder is told by whoever opens it."""
    mode = path.stat().st_mode
    if not (stat.S_ISREG(mode) or stat.S_ISDIR(mode)):
        raise InputError([Fault("the data folder", path.name, "not a regular file", "a file that can be read")])


def _taken(place: str, key: str, name: str) -> Fault:
    return Fault(place, key, f"{name!r}, which is there already", "a name of its own")


def _none(key: str, name: str, there: list[str]) -> Fault:
    words = ", ".join(there[:20]) or f"none yet: there is no {key}"
    return Fault("the data folder", key, f"no {name!r}", words, nearest(name, there))
