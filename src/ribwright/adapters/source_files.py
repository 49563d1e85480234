"""A file that a part is made from, brought by the page: it lies nowhere, and is read as the command reads it.

The readers take files on a disk; it lies on one for them alone, and nothing they say tells where.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from ribwright.adapters.draft_files import DraftJobFiles
from ribwright.errors import Fault, InputError
from ribwright.features.drawn_lines import DrawnFile
from ribwright.features.ordinate_table import OrdinateTable
from ribwright.features.part import Part
from ribwright.features.solid_faces import SolidFile
from ribwright.ports import Solids, Writers

Read = TypeVar("Read", OrdinateTable, DrawnFile, SolidFile)


class SourceJobFiles(DraftJobFiles):
    """`content` of the file; a path is its name, from which the readers take the ending alone. Read once."""

    def __init__(self, content: bytes, folder: Path, writers: Writers, solids: Solids):
        super().__init__("", folder, writers, solids)
        self.content = content
        self._drawing: DrawnFile | None = None

    def ordinates(self, path: Path, chord: float | None) -> OrdinateTable:
        from ribwright.adapters.read_table import read_table

        return self._read(path, lambda place: read_table(place, chord))

    def drawing(self, path: Path) -> DrawnFile:
        from ribwright.adapters.read_dxf import read_dxf

        if self._drawing is None:
            self._drawing = self._read(path, read_dxf)
        return self._drawing

    def solid(self, path: Path) -> SolidFile:
        from ribwright.adapters.read_step import read_step

        return self._read(path, read_step)

    def part_of_text(self, text: str, file: str) -> Part:
        from ribwright.adapters.part_toml import parse_part

        return parse_part(text, file)

    def part_faults(self, text: str, file: str) -> list[Fault]:
        from ribwright.adapters.part_toml import part_faults

        return part_faults(text, file)

    def _read(self, path: Path, read: Callable[[Path], Read]) -> Read:
        with tempfile.TemporaryDirectory(prefix="ribwright-") as folder:
            place = Path(folder) / f"source{path.suffix}"
            place.write_bytes(self.content)
            try:
                return replace(read(place), file=str(path))
            except InputError as wrong:
                named = (replace(f, file=str(path) if f.file == str(place) else f.file) for f in wrong.faults)
                raise InputError(list(named)) from None
