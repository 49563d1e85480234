"""A part file made from a table of ordinates or a drawing: what the command `import` says of it, before anything is written.

What a person still has to say (a length, the role of a layer) is no failure: the answer names it, with the layers that are there.
"""

from __future__ import annotations

import re
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

from ribwright.errors import Fault, InputError
from ribwright.ports import Files, JobFiles, SourceFiles
from ribwright.stages.drawn_roles import layers_told
from ribwright.work.importing import ENDING, FLAGS, KINDS, SEVERAL, TYPED_AS, imported
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.shelves import told

OPTIONS = ("number", *dict.fromkeys(name for _, names in KINDS.values() for name in names))
WRONG = 2
_OPTION = re.compile(r"--([a-z])")


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """`import` the numbers, `findings`, `text` of the part file, `number` that it is called, `unit` shown first, `lines` of the command's
    screen, `faults` that keep it from being made, `layers` of a drawing, `options` that this kind of file takes."""
    source = _source(files)
    tell("reading the file")
    number = order.options.get("number", "").strip() or order.part.stem
    answer: dict[str, Any] = {"file": order.part.name, "number": number, "options": _options(order.part)}
    try:
        made = imported(source, order.part, Path(f"{number}{ENDING}"), _typed(order.options))
    except InputError as wrong:
        faults = [_told(f) for f in wrong.faults]
        left: dict[str, Any] = {"import": None, "findings": [], "text": "", "unit": "", "lines": [], "tables": []}
        return Made(answer | left | {"faults": faults, "layers": _layers(source, order)}, WRONG)
    findings = [f.as_json() for f in made.findings]
    answer |= {"import": made.told, "findings": findings, "text": made.text, "unit": made.first}
    answer |= {"lines": list(made.lines), "tables": list(made.files), "faults": [], "layers": _layers(source, order)}
    return Made(answer, 0, made.files, made.first)


def named(files: Files, order: Order) -> list[object]:
    """The bytes of the file, and the program that reads them. InputError for an order that no file came with."""
    return [sha256(_source(files).content).hexdigest(), files.catalogue().build]


def _source(files: Any) -> SourceFiles:
    if not isinstance(files, SourceFiles):
        raise InputError([Fault("job", "kind", "import-file without a file", "a file sent with it")])
    return files


def _options(path: Path) -> list[str]:
    known = KINDS.get(path.suffix.lower())
    return list(known[1]) if known else []


def _typed(options: dict[str, str]) -> dict[str, Any]:
    """The options as the command has them: several stand a line each, and any text in a flag is yes."""
    words = {k: v for k, v in options.items() if k not in ("number", "slow") and v.strip()}
    several = {k: tuple(line.strip() for line in words[k].splitlines() if line.strip()) for k in words if k in SEVERAL}
    return words | several | {k: True for k in words if k in FLAGS}


def _told(fault: Fault) -> dict[str, Any]:
    """A fault as the page takes it: an option of the command line is a field there."""
    plain = replace(fault, found=_OPTION.sub(r"\1", fault.found), allowed=_OPTION.sub(r"\1", fault.allowed))
    if fault.file == "command line":
        key = fault.key.removeprefix("--")
        plain = replace(plain, file="", key=next((k for k, typed in TYPED_AS.items() if typed == key), key))
    row = told(plain)
    return row | {"say": row["say"].removeprefix(": ")}


def _layers(source: SourceFiles, order: Order) -> list[dict[str, str]]:
    """The layers of a drawing; none of another file, or of one that cannot be read."""
    if "role" not in _options(order.part):
        return []
    try:
        return layers_told(source.drawing(order.part), tuple(_typed(order.options).get("role", ())))
    except InputError:
        return []


# `slow`: said by whoever knows the file's name, so that quick jobs do not wait for it
KIND = JobKind(
    "import-file", dict.fromkeys((*OPTIONS, "slow"), ""), run, lambda options: bool(options.get("slow")), named=named
)
