"""The one place that picks real adapters."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ribwright.documents.drawing import Drawing
from ribwright.documents.page import Document
from ribwright.documents.solid_model import SolidModel
from ribwright.errors import Fault
from ribwright.features.drawn_lines import DrawnFile
from ribwright.features.part import Part
from ribwright.ports import Making
from ribwright.shop.circles import CircleRecord
from ribwright.shop.sheet import Catalogue
from ribwright.shop.shop import Shop
from ribwright.shop.tensile import TensileRecord


class DiskFiles:
    """TOML files on disk and the packaged catalogue."""

    def part(self, path: Path) -> Part:
        from ribwright.adapters.part_toml import read_part

        return read_part(path)

    def shop(self, path: Path) -> Shop:
        from ribwright.adapters.shop_toml import read_shop

        return read_shop(path)

    def nearest_shop(self, part: Path) -> Path | None:
        from ribwright.adapters.shop_toml import find_shop

        return find_shop(part)

    def catalogue(self) -> Catalogue:
        from ribwright.adapters.facts_toml import load_catalogue

        return load_catalogue()

    def tensile(self, path: Path) -> TensileRecord:
        from ribwright.adapters.tensile_csv import read_tensile

        return read_tensile(path)

    def circles(self, path: Path) -> CircleRecord:
        from ribwright.adapters.circles_csv import read_circles

        return read_circles(path)

    def record_faults(self, text: str, file: str) -> list[Fault]:
        from ribwright.adapters.shop_toml import record_faults

        return record_faults(text, file)

    def answer(self, path: Path) -> dict[str, Any]:
        from ribwright.adapters.answer_json import read_answer

        return read_answer(path)

    def drawing(self, path: Path) -> DrawnFile:
        from ribwright.adapters.read_dxf import read_dxf

        return read_dxf(path)

    def part_faults(self, text: str, file: str) -> list[Fault]:
        from ribwright.adapters.part_toml import part_faults

        return part_faults(text, file)


class PaperWriters:
    """PDF, DXF, SVG and PNG writers, each loaded when first used: they are slow to import."""

    def pdf(self, document: Document) -> bytes:
        from ribwright.adapters.write_pdf import write_pdf

        return write_pdf(document)

    def dxf(self, drawing: Drawing) -> bytes:
        from ribwright.adapters.write_dxf import write_dxf

        return write_dxf(drawing)

    def svg(self, drawing: Drawing) -> bytes:
        from ribwright.adapters.write_svg import write_svg

        return write_svg(drawing).encode()

    def picture(self, document: Document) -> bytes:
        from ribwright.adapters.write_picture_svg import write_picture_svg

        return write_picture_svg(document).encode()

    def png(self, document: Document) -> bytes:
        from ribwright.adapters.write_png import write_png

        return write_png(document)


class KernelSolids:
    """Solids by the kernel of the extra [step], in its own process."""

    def installed(self) -> bool:
        from ribwright.adapters.write_solid import kernel_installed

        return kernel_installed()

    def start(self, model: SolidModel, kind: str) -> Making:
        from ribwright.adapters import write_solid

        if not self.installed():
            raise write_solid.missing()
        return write_solid.Making(model, kind)


class DiskKeeper:
    """Atomic writes to disk."""

    def refusal(self, target: Path, folder: bool = False) -> str:
        from ribwright.adapters.write_file import refusal

        return refusal(target, folder)

    def keep(self, files: dict[Path, bytes], gone: tuple[Path, ...] = ()) -> None:
        from ribwright.adapters.write_file import write_all

        write_all(files)
        for path in gone:
            path.unlink(missing_ok=True)
