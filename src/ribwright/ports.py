"""What the use cases need from outside, as Protocols. `wiring` picks the real ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, runtime_checkable

from ribwright.errors import Fault

if TYPE_CHECKING:
    from ribwright.documents.drawing import Drawing
    from ribwright.documents.page import Document
    from ribwright.documents.solid_model import MadeSolid, SolidModel
    from ribwright.features.drawn_lines import DrawnFile
    from ribwright.features.inspected import Measured
    from ribwright.features.ordinate_table import OrdinateTable
    from ribwright.features.part import Part
    from ribwright.features.solid_faces import SolidFile
    from ribwright.shop.circles import CircleRecord
    from ribwright.shop.sheet import Catalogue
    from ribwright.shop.shop import Shop
    from ribwright.shop.springback_book import Book, Observation, Withdrawn
    from ribwright.shop.tensile import TensileRecord


class Files(Protocol):
    """Reading the person's files. Each raises InputError with every fault of the file. `record_faults`: what the reader of
    shop files would find wrong with the text of a material's record, under the name of the file it was made from.
    `makes_solids`: whether the kernel for them is installed. `springback_book`: the one beside a shop file, empty where there is none."""

    def part(self, path: Path) -> Part: ...
    def shop(self, path: Path) -> Shop: ...
    def nearest_shop(self, part: Path) -> Path | None: ...
    def catalogue(self) -> Catalogue: ...
    def tensile(self, path: Path) -> TensileRecord: ...
    def circles(self, path: Path) -> CircleRecord: ...
    def springback_book(self, shop: Path) -> Book: ...
    def measured(self, path: Path) -> Measured: ...
    def record_faults(self, text: str, file: str) -> list[Fault]: ...
    def answer(self, path: Path) -> dict[str, Any]: ...
    def makes_solids(self) -> bool: ...


class PartFiles(Files, Protocol):
    """Part files as text. `check_part` raises InputError with every fault that the reader would find in one that stands at a path;
    `unsigned` empties the approval of one."""

    def part_text(self, path: Path) -> str: ...
    def unsigned(self, text: str) -> str: ...
    def check_part(self, text: str, path: Path) -> None: ...


class Tables(Protocol):
    """Reading a table of ordinates, all faults at once; `chord` [mm] is what percent are of, where a person says it."""

    def ordinates(self, path: Path, chord: float | None) -> OrdinateTable: ...


class Drawings(Protocol):
    """Reading drawing files. `drawing` raises InputError with every fault of the file; `part_faults`: what the reader of part files would
    find wrong with the text of one."""

    def drawing(self, path: Path) -> DrawnFile: ...
    def part_faults(self, text: str, file: str) -> list[Fault]: ...


class SolidFiles(Protocol):
    """Reading solids of formed parts. `solid` raises InputError with the reason why the file cannot be read; `part_of_text` reads the text
    of a part file."""

    def solid(self, path: Path) -> SolidFile: ...
    def part_of_text(self, text: str, file: str) -> Part: ...
    def part_faults(self, text: str, file: str) -> list[Fault]: ...
    def catalogue(self) -> Catalogue: ...


@runtime_checkable
class SourceFiles(Files, Tables, Drawings, SolidFiles, Protocol):
    """A file that a part is made from, as it came: its bytes, and what they say read by its name."""

    content: bytes


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


class JobFiles(Files, Protocol):
    """What a job reads and writes by: its part (maybe a draft that is on no disk), the shop, the catalogue, and the writers."""

    writers: Writers
    solids: Solids


@dataclass(frozen=True)
class JobAsk:
    """A job as it goes to a process: the part's file name and its text, the folder of its shop, kind and options. `content`: a file that
    comes with it and lies nowhere; `part` is its name then."""

    part: str
    text: str
    folder: str
    kind: str
    options: dict[str, str]
    content: bytes = b""


@dataclass(frozen=True, eq=False)
class JobEnd:
    """The last word on a job. `outcome`: made, cancelled (maybe with what it had), wrong (`faults`), unfinished, broken (`words`), or
    died. `answer` is JSON text, None where there is none."""

    outcome: str
    key: str = ""
    answer: bytes | None = None
    status: int = 0
    first: str = "mm"
    files: dict[str, bytes] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    words: str = ""


class Worker(Protocol):
    """Who does jobs, one at a time, away from whoever asks. `run` waits for the end and never raises; `cancel` works within two seconds."""

    def run(self, ask: JobAsk, tell: Callable[[dict[str, Any]], None]) -> JobEnd: ...
    def cancel(self) -> None: ...
    def close(self) -> None: ...


@dataclass(frozen=True)
class KeptResult:
    """What is known of a kept result: exit status, the unit its shop reads first, (name, bytes) of its files."""

    status: int
    first: str
    files: tuple[tuple[str, int], ...]


@dataclass(frozen=True, eq=False)
class Sketched:
    """A part's text as far as it can be read: faults as dicts of key, found, allowed, nearest, say, line; notes; the sketch for drawing;
    the part itself where nothing is wrong with it."""

    faults: list[dict[str, Any]]
    notes: list[str]
    sketch: dict[str, Any]
    part: Part | None = None


class PartTexts(Protocol):
    """Reading and editing the text of a part. `edited` gives the text and notes on what was left as it was, and raises InputError for what
    cannot be done; `sketched` never does. `head`: the words of the [part] table, as far as they can be read. `said`: faults of a readable
    text as `sketched` gives them, with their lines. `files`: the same text with its shop's folder as the files of a plan. `check_shop`
    raises InputError with every fault of a shop file's text."""

    def edited(self, text: str, ops: list[dict[str, Any]], file: str) -> tuple[str, tuple[str, ...]]: ...
    def head(self, text: str) -> dict[str, str]: ...
    def sketched(self, text: str, file: str, folder: Path) -> Sketched: ...
    def said(self, faults: tuple[Fault, ...], text: str, file: str) -> list[dict[str, Any]]: ...
    def files(self, text: str, folder: Path) -> Files: ...
    def source(self, content: bytes, folder: Path) -> SourceFiles: ...
    def check_shop(self, text: str, file: str) -> None: ...


class Shelf(Protocol):
    """Shops with their files and drafts; `beside` names the state of a shop's own file and tables. Missing where a name leads to nothing,
    Clash where it is taken, InputError for no name."""

    def shops(self) -> list[str]: ...
    def folder(self, shop: str) -> Path: ...
    def make_shop(self, shop: str, files: dict[str, bytes]) -> None: ...
    def parts(self, shop: str) -> list[str]: ...
    def read(self, shop: str, file: str) -> bytes: ...
    def has(self, shop: str, file: str) -> bool: ...
    def write(self, shop: str, file: str, content: bytes, new: bool = False) -> None: ...
    def write_new(self, shop: str, files: dict[str, bytes]) -> None: ...
    def beside(self, shop: str) -> str: ...
    def draft(self, shop: str, part: str) -> dict[str, Any] | None: ...
    def keep_draft(self, shop: str, part: str, kept: dict[str, Any] | None) -> None: ...


class Results(Protocol):
    """Results of jobs by their key; `answer` is JSON text. None where nothing is kept, or not any more."""

    def found(self, key: str) -> KeptResult | None: ...
    def answer(self, key: str) -> bytes | None: ...
    def file(self, key: str, name: str) -> bytes | None: ...
    def keep(self, key: str, answer: bytes, status: int, first: str, files: dict[str, bytes]) -> None: ...


class Books(Protocol):
    """Adding to the springback book beside a shop file: all or nothing, and nothing that is there ever changes. `append` gives the
    observations under their ids; Clash where one is there already."""

    def file(self, shop: Path) -> Path: ...
    def append(self, shop: Path, new: tuple[Observation, ...]) -> tuple[Observation, ...]: ...
    def withdraw(self, shop: Path, line: Withdrawn) -> None: ...


class Keeper(Protocol):
    """Writing files so that either all of them are there or none is; then `gone` are removed where they exist. `refusal`:
    what keeps a file, or a folder to write into, from being written there; "" when nothing does."""

    def refusal(self, target: Path, folder: bool = False) -> str: ...
    def keep(self, files: dict[Path, bytes], gone: tuple[Path, ...] = ()) -> None: ...
