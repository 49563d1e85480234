"""Results kept by their key: a folder each with the answer, what is to be known of it, and its files. The oldest go."""

from __future__ import annotations

import errno
import json
import os
import secrets
import shutil
import time
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any

from ribwright.adapters.data_folder import RESULTS
from ribwright.adapters.write_file import write_all
from ribwright.ports import KeptResult

MOST_RESULTS = 200
MOST_BYTES = 500_000_000
HALF_DONE_S = 600.0
_HEX = frozenset("0123456789abcdef")


class KeptResults:
    """Under DATA/.results, which is a folder itself: through a link nothing is read or written. A result is there whole or not at all:
    its folder takes its name last. One that is no longer as it was kept (cut short, garbled) counts as none and is taken away."""

    def __init__(self, data: Path, most: int = MOST_RESULTS, most_bytes: int = MOST_BYTES):
        self.folder = Path(data).resolve() / RESULTS
        self.most, self.most_bytes = most, most_bytes

    def found(self, key: str) -> KeptResult | None:
        """What is kept under a key; it counts as the youngest from now on."""
        read = self._read(key)
        if read is None:
            return None
        with suppress(OSError):
            os.utime(self._place(key))
        head = read[0]
        return KeptResult(head["status"], head["first"], tuple((n, size) for n, size, _ in head["files"]))

    def answer(self, key: str) -> bytes | None:
        """The answer's JSON text."""
        read = self._read(key)
        return None if read is None else read[1]

    def file(self, key: str, name: str) -> bytes | None:
        """A file of the result, by one of the names that `found` gave."""
        read = self._read(key)
        for i, (n, _, digest) in enumerate(read[0]["files"] if read else ()):
            if n == name:
                return self._content(key, i, digest)
        return None

    def _content(self, key: str, number: int, digest: str) -> bytes | None:
        # on disk a file goes by its number: no name of a part or a sheet becomes a path
        try:
            content = (self._place(key) / f"file-{number}").read_bytes()
        except OSError:
            return None
        if _digest(content) == digest:
            return content
        _take_away(self._place(key))
        return None

    def _read(self, key: str) -> tuple[dict[str, Any], bytes] | None:
        """Head and answer as they were kept, every file there with its bytes; else None, and nothing is left there."""
        place = self._place(key)
        if self._linked() or not os.path.lexists(place):
            return None
        try:
            return _whole(place)
        except (FileNotFoundError, NotADirectoryError):
            _take_away(place)
        except OSError:  # no file more may be opened, say: what is kept may be sound
            pass
        except Exception:  # what garbled text is read as has no end of errors
            _take_away(place)
        return None

    def _linked(self) -> bool:
        return self.folder.resolve() != self.folder

    def keep(self, key: str, answer: bytes, status: int, first: str, files: dict[str, bytes]) -> None:
        """Keeps a result; OSError where that cannot be done, and then nothing is left of it."""
        place = self._place(key)
        if self._linked():
            raise OSError(errno.ENOTDIR, f"{RESULTS} is a link, not a folder", str(self.folder))
        waiting = self.folder / f".{key}.{secrets.token_hex(4)}"
        sums = [[n, len(b), _digest(b)] for n, b in files.items()]
        head: dict[str, Any] = {"status": status, "first": first, "answer": _digest(answer), "files": sums}
        contents = {f"file-{i}": content for i, content in enumerate(files.values())}
        contents |= {"answer.json": answer, "head.json": json.dumps(head).encode()}
        try:
            write_all({waiting / name: content for name, content in contents.items()})
            if self._read(key) is None:  # what stood there and was none is gone now
                try:
                    os.rename(waiting, place)
                except OSError:
                    if self._read(key) is None:  # else somebody kept the same meanwhile
                        raise
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


def _whole(place: Path) -> tuple[dict[str, Any], bytes]:
    """Head and answer of a result. OSError, or whatever garbled text raises, where it is not as it was kept."""
    if place.is_symlink():
        raise ValueError("a link")
    told = json.loads((place / "head.json").read_bytes())
    files = [(str(name), int(size), str(digest)) for name, size, digest in told["files"]]
    head = {"status": int(told["status"]), "first": str(told["first"]), "files": files}
    answer = (place / "answer.json").read_bytes()
    if _digest(answer) != told["answer"]:
        raise ValueError("another answer than was kept")
    for i, (name, size, _) in enumerate(files):
        if (place / f"file-{i}").stat().st_size != size:
            raise ValueError(f"{name} is cut short")
    return head, answer


def _digest(content: bytes) -> str:
    return sha256(content).hexdigest()


def _take_away(place: Path) -> None:
    with suppress(OSError):
        if place.is_symlink() or place.is_file():
            place.unlink()
        else:
            shutil.rmtree(place, ignore_errors=True)


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
