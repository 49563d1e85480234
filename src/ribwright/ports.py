"""What the use cases need from outside, as Protocols. `wiring` picks the real ones."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Protocol

from ribwright.documents.drawing import Drawing
from ribwright.documents.page import Document
from ribwright.documents.solid_model import MadeSolid, SolidModel
from ribwright.errors import Fault
from ribwright.features.part import Part
from ribwright.shop.sheet import Catalogue
from ribwright.shop.shop import Shop
from ribwright.shop.tensile import TensileRecord


class Files(Protocol):
    """Reading the person's files. Each raises InputError with every fault of the file. `record_faults`: what the reader of
    shop files would find wrong with the text of a material's record, under the name of the file it was made from."""

    def part(self, path: Path) -> Part: ...
    def shop(self, path: Path) -> Shop: ...
    def nearest_shop(self, part: Path) -> Path | None: ...
    def catalogue(self) -> Catalogue: ...
    def tensile(self, path: Path) -> TensileRecord: ...
    def record_faults(self, text: str, file: str) -> list[Fault]: ...
    def answer(self, path: Path) -> dict[str, Any]: ...


class Writers(Protocol):
    """Turning pages and drawings into bytes. `picture` (SVG) and `png` put a document's pages one under the other."""

    def pdf(self, document: Document) -> bytes: ...
    def dxf(self, drawing: Drawing) -> bytes: ...
    def svg(self, drawing: Drawing) -> bytes: ...
    def picture(self, document: Document) -> bytes: ...
    def png(self, document: Document) -> bytes: ...


class Making(Protocol):
    """A solid on its way, in a process of its own."""

    def finish(self) -> MadeSolid: ...
    def cancel(self) -> None: ...


class Solids(Protocol):
    """Making solids, where the extra for it is installed; `start` with "step" or "stl" raises InputError where not."""

    def installed(self) -> bool: ...
    def start(self, model: SolidModel, kind: str) -> Making: ...


class Keeper(Protocol):
    """Writing files so that either all of them are there or none is; then `gone` are removed where they exist. `refusal`:
    what keeps a file, or a folder to write into, from being written there; "" when nothing does."""

    def refusal(self, target: Path, folder: bool = False) -> str: ...
    def keep(self, files: dict[Path, bytes], gone: tuple[Path, ...] = ()) -> None: ...
