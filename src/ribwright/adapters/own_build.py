"""One short name for the program itself, so that two builds never bear one fingerprint with different numbers."""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from importlib.resources import files
from importlib.resources.abc import Traversable

KINDS = (".py", ".toml")


@cache
def own_build() -> str:
    """First 12 hex digits of SHA-256 over every source and facts file of the package, by path; line ends do not count."""
    whole = sha256()
    for path, file in sorted(_files(files("ribwright"), ""), key=lambda f: f[0]):
        whole.update(path.encode() + b"\0" + file.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return whole.hexdigest()[:12]


def _files(folder: Traversable, path: str) -> list[tuple[str, Traversable]]:
    out: list[tuple[str, Traversable]] = []
    for entry in folder.iterdir():
        if entry.is_dir():
            out += _files(entry, f"{path}{entry.name}/")
        elif entry.name.endswith(KINDS):
            out.append((path + entry.name, entry))
    return out
