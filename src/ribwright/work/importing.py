"""A part file from what a drawing gives: one function a kind of file, chosen by its ending."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

from ribwright.errors import Fault, InputError
from ribwright.ports import Drawings, Keeper, SolidFiles, Tables
from ribwright.work.asking import choice
from ribwright.work.import_dxf import DRAWING_OPTIONS, imported_drawing
from ribwright.work.import_step import SOLID_OPTIONS, imported_solid
from ribwright.work.import_table import imported_table
from ribwright.work.imported import Imported

ENDING = ".part.toml"
Options = dict[str, Any]
Importer = Callable[[Any, Path, str, Options], Imported]
"""(files, path, name of the part, the command's options by name) -> what came of it."""
TABLE_OPTIONS = ("length", "take", "curve", "within", "deviation", "skin", "first", "last")
NOT_TYPED: Options = {
    "length": (),
    "take": (),
    "curve": "",
    "within": "",
    "deviation": "",
    "skin": "",
    "first": "",
    "last": "",
}
SLOW = (".step", ".stp")  # the solid kernel takes its time
SEVERAL, FLAGS = ("length", "take", "role", "tooling"), ("curves", "as_drawn")
TYPED_AS = {"first": "from", "last": "to", "as_drawn": "as-drawn"}
KINDS: dict[str, tuple[Importer, tuple[str, ...]]] = {
    **dict.fromkeys((".csv", ".tsv", ".txt"), (imported_table, TABLE_OPTIONS)),
    ".dxf": (imported_drawing, DRAWING_OPTIONS),
    **dict.fromkeys((".step", ".stp"), (imported_solid, SOLID_OPTIONS)),
}


class Sources(Tables, Drawings, SolidFiles, Protocol):
    """What is read here: tables of ordinates, drawings and solids."""


def imported(files: Sources, path: Path, out: Path | None, options: Options) -> Imported:
    """What the file gives. The part is called as `out`, else as the file itself; `options` by their names, those left out or empty as if
    not typed. InputError for an ending that nobody reads here, and for an option of another kind of file."""
    found = KINDS.get(path.suffix.lower())
    if found is None:
        raise choice("FILE", path.name, tuple(KINDS))
    kind, known = found
    typed = {k: v for k, v in options.items() if v not in (None, "", (), [], False)}
    words = ", ".join(f"--{TYPED_AS.get(k, k)}" for k in known)
    strange = [k for k in typed if k not in known]
    if strange:
        raise InputError(
            [
                Fault(
                    "command line",
                    f"--{TYPED_AS.get(k, k)}",
                    f"with {path.name!r}",
                    f"options of {path.suffix}: {words}",
                )
                for k in strange
            ]
        )
    return kind(files, path, out.name.removesuffix(ENDING) if out else path.stem, {**NOT_TYPED, **typed})


def check_target(out: Path | None, keeper: Keeper) -> None:
    """InputError unless `out` is NAME.part.toml, can be written and is not there yet: a part file is filled in by hand, and an import
    would lose that."""
    if out is None:
        return
    if not out.name.endswith(ENDING) or out.name == ENDING:
        raise InputError([Fault("command line", "--out", repr(out.name), f"a name like Q7-2102-1{ENDING}")])
    _check_free(out, keeper)


def write_import(made: Imported, out: Path, keeper: Keeper) -> tuple[Path, ...]:
    """The part file and what goes beside it, all or none."""
    wanted = {out: made.text.encode(), **{out.with_name(name): data for name, data in made.files.items()}}
    for path in wanted:
        _check_free(path, keeper)
    keeper.keep(wanted)
    return tuple(wanted)


def _check_free(path: Path, keeper: Keeper) -> None:
    refused = "which is there already" if path.exists() else keeper.refusal(path)
    if refused:
        allowed = "a name that is free: what was filled in there would be lost; without --out nothing is written"
        raise InputError([Fault("command line", "--out", f"{str(path)!r}, {refused}", allowed)])
