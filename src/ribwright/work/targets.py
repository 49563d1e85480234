"""Where an answer is to be written, looked at before anything is calculated."""

from __future__ import annotations

from pathlib import Path

from ribwright.errors import Fault, InputError
from ribwright.ports import Keeper
from ribwright.work.asking import choice

BLANK = (".dxf", ".svg")
BLOCK = (".dxf", ".svg", ".pdf", ".step", ".stl")
PICTURE = (".svg", ".png", ".pdf")
CARD, RECORD = (".pdf",), (".toml",)


def check_file(out: Path | None, endings: tuple[str, ...], keeper: Keeper) -> None:
    """InputError unless `out` ends in one of `endings` and may be written; None is nothing to check."""
    if out is None:
        return
    if out.name.lower() in endings:
        raise _wrong(repr(out.name), f"a name before the ending, like part{out.name.lower()}")
    if out.suffix.lower() not in endings:
        raise choice("--out", out.name, endings)
    _check(out, keeper.refusal(out), "a file that can be written")


def check_folder(out: Path, keeper: Keeper) -> None:
    """InputError unless `out` is a folder that may be written into, or can become one."""
    _check(out, keeper.refusal(out, folder=True), "a folder that can be written into")


def _check(out: Path, refused: str, allowed: str) -> None:
    if refused:
        raise _wrong(f"{str(out)!r}, {refused}", allowed)


def _wrong(found: str, allowed: str) -> InputError:
    return InputError([Fault("command line", "--out", found, allowed)])
