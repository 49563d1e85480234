"""Results kept by their key: a folder each with the answer, what is to be known of it, and its files. The oldest go."""

from __future__ import annotations

import json
import os
import secrets
import shutil
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

from ribwright.adapters.data_folder import RESULTS
from ribwright.ports import KeptResult

MOST_RESULTS = 200
MOST_BYTES = 500_000_000
HALF_DONE_S = 600.0
_HEX = frozenset("0123456789abcdef")


class KeptResults:
    """Under DATA/.results. A result is there whole or not at all: its folder takes its name last."""

    def __init__(self, data: Path, most: int = MOST_RESULTS, most_bytes: int = MOST_BYTES):
        self.folder = Path(data).resolve() / RESULTS
        self.most, self.most_bytes = most, most_bytes

    def found(self, key: str) -> KeptResult | None:
        """What is kept under a key; it counts as the youngest from now on."""
        place = self._place(key)
        try:
            head = json.loads((place / "head.json").read_text(encoding="utf-8"))
            kept = KeptResult(
                int(head["status"]), str(head["first"]), tuple((str(n), int(b)) for n, b in head["files"])
            )
            os.utime(place)
        except (OSError, ValueError, KeyError, TypeError):
            return None
        return kept

    def answer(self, key: str) -> bytes | None:
        """The answer's JSON text."""
        return self._bytes(self._place(key) / "answer.json")

    def file(self, key: str, name: str) -> bytes | None:
        """A file of the result, by one of the names that `found` gave."""
        kept = self.found(key)
        if kept is None:
            return None
        numbers = {n: i for i, (n, _) in enumerate(kept.files)}
        # on disk a file goes by its number: no name of a part or a sheet becomes a path
        return self._bytes(self._place(key) / f"file-{numbers[name]}") if name in numbers else None

    def keep(self, key: str, answer: bytes, status: int, first: str, files: dict[str, bytes]) -> None:
        """Keeps a result; OSError where that cannot be done, and then nothing is left of it."""
        place = self._place(key)
        waiting = self.folder / f".{key}.{secrets.token_hex(4)}"
        head: dict[str, Any] = {"status": status, "first": first, "files": [[n, len(b)] for n, b in files.items()]}
        try:
            waiting.mkdir(parents=True)
            for i, content in enumerate(files.values()):
                (waiting / f"file-{i}").write_bytes(content)
            (waiting / "answer.json").write_bytes(answer)
            (waiting / "head.json").write_text(json.dumps(head), encoding="utf-8")
            with suppress(OSError):  # somebody else kept the same meanwhile
                os.rename(waiting, place)
        finally:
            shutil.rmtree(waiting, ignore_errors=True)
        self._make_room()

    def _make_room(self) -> None:
        """Takes away the oldest, past the count and past the size, and what an ended process left half done."""
        young, size = 0, 0
        for since, place in sorted(_aged(self.folder), reverse=True):
            if place.name.startswith("."):
                gone = time.time() - since > HALF_DONE_S
            else:
                young, size = young + 1, size + _size(place)
                gone = young > 1 and (young > self.most or size > self.most_bytes)
            if gone:
                shutil.rmtree(place, ignore_errors=True)

    def _place(self, key: str) -> Path:
        if len(key) != 32 or not _HEX.issuperset(key):
            raise ValueError("a key is 32 hex digits")
        return self.folder / key

    @staticmethod
    def _bytes(path: Path) -> bytes | None:
        try:
            return path.read_bytes()
        except OSError:
            return None


def _aged(folder: Path) -> list[tuple[float, Path]]:
    out = []
    for place in folder.iterdir() if folder.is_dir() else ():
        with suppress(OSError):
            out.append((place.stat().st_mtime, place))
    return out


def _size(place: Path) -> int:
    """Bytes of a result; what goes away meanwhile has none."""
    with suppress(OSError):
        return sum(p.stat().st_size for p in place.iterdir())
    return 0
