"""The one place that picks real adapters."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ribwright.documents.drawing import Drawing
from ribwright.documents.page import Document
from ribwright.features.part import Part
from ribwright.shop.sheet import Catalogue
from ribwright.shop.shop import Shop


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

    def answer(self, path: Path) -> dict[str, Any]:
        from ribwright.adapters.answer_json import read_answer

        return read_answer(path)


class PaperWriters:
    """PDF, DXF and SVG writers, each loaded when first used: they are slow to import."""

    def pdf(self, document: Document) -> bytes:
        from ribwright.adapters.write_pdf import write_pdf

        return write_pdf(document)

    def dxf(self, drawing: Drawing) -> bytes:
        from ribwright.adapters.write_dxf import write_dxf

        return write_dxf(drawing)

    def svg(self, drawing: Drawing) -> bytes:
        from ribwright.adapters.write_svg import write_svg

        return write_svg(drawing).encode()


class DiskKeeper:
    """Atomic writes to disk."""

    def keep(self, files: dict[Path, bytes], gone: tuple[Path, ...] = ()) -> None:
        from ribwright.adapters.write_file import write_all

        write_all(files)
        for path in gone:
            path.unlink(missing_ok=True)
