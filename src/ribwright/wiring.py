"""The one place that picks real adapters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ribwright.adapters.data_lock import DataLock
    from ribwright.adapters.source_files import SourceJobFiles
    from ribwright.documents.drawing import Drawing
    from ribwright.documents.page import Document
    from ribwright.documents.solid_model import SolidModel
    from ribwright.errors import Fault
    from ribwright.features.drawn_lines import DrawnFile
    from ribwright.features.family import FamilyTable, Member
    from ribwright.features.inspected import Measured
    from ribwright.features.ordinate_table import OrdinateTable
    from ribwright.features.part import Part
    from ribwright.features.solid_faces import SolidFile
    from ribwright.ports import Files, JobAsk, JobEnd, JobFiles, Making, Results, Shelf, Sketched, SourceFiles, Worker
    from ribwright.shop.circles import CircleRecord
    from ribwright.shop.sheet import Catalogue
    from ribwright.shop.shop import Shop
    from ribwright.shop.springback_book import Book, Observation, Withdrawn
    from ribwright.shop.tensile import TensileRecord
    from ribwright.work.desk import Desk
    from ribwright.work.jobs import Tell


class DiskFiles:
    """TOML files on disk and the packaged catalogue."""

    def part(self, path: Path) -> Part:
        from ribwright.adapters.part_toml import read_part

        return read_part(path)

    def part_text(self, path: Path) -> str:
        from ribwright.adapters.toml_text import read_text

        return read_text(path, "a part file")

    def unsigned(self, text: str) -> str:
        from ribwright.adapters.part_approval import unsigned

        return unsigned(text)

    def check_part(self, text: str, path: Path) -> None:
        from ribwright.adapters.part_toml import parse_part

        parse_part(text, str(path), path.parent)

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

    def springback_book(self, shop: Path) -> Book:
        from ribwright.adapters.springback_book import NAME, read_book

        return read_book(shop.parent / NAME)

    def measured(self, path: Path) -> Measured:
        from ribwright.adapters.read_measured import read_measured

        return read_measured(path)

    def ordinates(self, path: Path, chord: float | None) -> OrdinateTable:
        from ribwright.adapters.read_table import read_table

        return read_table(path, chord)

    def record_faults(self, text: str, file: str) -> list[Fault]:
        from ribwright.adapters.shop_toml import record_faults

        return record_faults(text, file)

    def answer(self, path: Path) -> dict[str, Any]:
        from ribwright.adapters.answer_json import read_answer

        return read_answer(path)

    def drawing(self, path: Path) -> DrawnFile:
        from ribwright.adapters.read_dxf import read_dxf

        return read_dxf(path)

    def solid(self, path: Path) -> SolidFile:
        from ribwright.adapters.read_step import read_step

        return read_step(path)

    def part_of_text(self, text: str, file: str) -> Part:
        from ribwright.adapters.part_toml import parse_part

        return parse_part(text, file)

    def part_faults(self, text: str, file: str) -> list[Fault]:
        from ribwright.adapters.part_toml import part_faults

        return part_faults(text, file)

    def family(self, path: Path) -> FamilyTable:
        from ribwright.adapters.family_csv import read_family

        return read_family(path)

    def family_members(self, table: FamilyTable, base: Path) -> tuple[Member, ...]:
        from ribwright.adapters.family_members import family_members

        return family_members(table, base)

    def makes_solids(self) -> bool:
        return KernelSolids().installed()


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
        from ribwright.adapters.kernel_there import kernel_installed

        return kernel_installed()

    def start(self, model: SolidModel, kind: str) -> Making:
        from ribwright.adapters import kernel_there, write_solid

        if not self.installed():
            raise kernel_there.missing()
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


class DiskBooks:
    """springback.jsonl on disk."""

    def file(self, shop: Path) -> Path:
        from ribwright.adapters.springback_book import NAME

        return shop.parent / NAME

    def append(self, shop: Path, new: tuple[Observation, ...]) -> tuple[Observation, ...]:
        from ribwright.adapters.springback_book import append

        return append(self.file(shop), new)

    def withdraw(self, shop: Path, line: Withdrawn) -> None:
        from ribwright.adapters.springback_book import withdraw

        withdraw(self.file(shop), line)


class DraftTexts:
    """Part texts on a page: read tolerantly, edited without touching what is not meant."""

    def edited(self, text: str, ops: list[dict[str, Any]], file: str) -> tuple[str, tuple[str, ...]]:
        from ribwright.adapters.part_edit import edit

        done = edit(text, ops, file)
        return done.text, done.notes

    def head(self, text: str) -> dict[str, str]:
        from ribwright.adapters.draft_files import head_of

        return head_of(text)

    def sketched(self, text: str, file: str, folder: Path) -> Sketched:
        from ribwright.adapters.draft_files import sketched_draft

        return sketched_draft(text, file, folder)

    def said(self, faults: tuple[Fault, ...], text: str, file: str) -> list[dict[str, Any]]:
        from ribwright.adapters.part_sketch import faults_said
        from ribwright.adapters.toml_spans import scan

        return faults_said(faults, text, file, scan(text)) if faults else []

    def files(self, text: str, folder: Path) -> Files:
        from ribwright.adapters.draft_files import DraftFiles

        return DraftFiles(text, folder)

    def source(self, content: bytes, folder: Path) -> SourceFiles:
        return source_files(content, folder)

    def check_shop(self, text: str, file: str) -> None:
        from ribwright.adapters.shop_toml import parse_shop

        parse_shop(text, file)


def job_files(text: str, folder: Path) -> JobFiles:
    """A draft as the files of a job, with the writers beside them."""
    from ribwright.adapters.draft_files import DraftJobFiles

    return DraftJobFiles(text, folder, PaperWriters(), KernelSolids())


def source_files(content: bytes, folder: Path) -> SourceJobFiles:
    """A file that a part is made from as the files of a job."""
    from ribwright.adapters.source_files import SourceJobFiles

    return SourceJobFiles(content, folder, PaperWriters(), KernelSolids())


def do_job(ask: JobAsk, tell: Tell) -> JobEnd:
    """An order done in a process of jobs."""
    from ribwright.work.jobs.doing import done

    folder = Path(ask.folder)
    return done(ask, source_files(ask.content, folder) if ask.content else job_files(ask.text, folder), tell)


def warm_jobs() -> None:
    """Loads what nearly every job needs, before the first one asks for it."""
    import ribwright.mechanics.section.model
    import ribwright.work.forecasting
    import ribwright.work.packets  # noqa: F401

    DiskFiles().catalogue()


def job_worker() -> Worker:
    """A process for jobs, started."""
    from ribwright.adapters.job_process import JobProcess

    return JobProcess(do_job, warm_jobs)


def example_shop() -> dict[str, bytes]:
    """The files of the demonstration shop by name."""
    from importlib.resources import files

    return {f.name: f.read_bytes() for f in (files("ribwright") / "example_shop").iterdir() if f.is_file()}


def desk_of(data: Path) -> Desk:
    """The desk of jobs over a data folder, its first process started."""
    from ribwright.work.desk import Desk

    return Desk(lambda lane: job_worker(), results_of(data))


def results_of(data: Path) -> Results:
    """The results kept in a data folder."""
    from ribwright.adapters.kept_results import KeptResults

    return KeptResults(data)


def shelf_of(data: Path) -> Shelf:
    """The shops of a data folder."""
    from ribwright.adapters.data_folder import DataFolder

    return DataFolder(data)


def data_root() -> Path:
    """The data folder where nobody says another: RIBWRIGHT_DATA, else `ribwright` in the home folder."""
    from ribwright.adapters.data_folder import data_root

    return data_root()


def lock_of(data: Path) -> DataLock:
    """The lock of a data folder. Clash where another server has it."""
    from ribwright.adapters.data_lock import take

    return take(data)
