"""A file of measurements of any kind: readings, points, or an outline traced from a picture."""

from __future__ import annotations

from pathlib import Path

from ribwright.adapters.csv_table import number_in
from ribwright.adapters.measured_head import read_head
from ribwright.adapters.measured_rows import parse_rows
from ribwright.adapters.toml_text import read_text
from ribwright.errors import Fault, InputError
from ribwright.features.inspected import Measured

POINTS = (".ply", ".xyz")
PICTURES = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp")
HEAD_LINES, HEAD_LENGTH = (
    200,
    200_000,
)  # a head stands in the first lines; a file of a million points is not read for it


def read_measured(path: Path) -> Measured:
    """What was measured. InputError with every fault."""
    if path.suffix.lower() in PICTURES:
        allowed = 'a .csv whose head says "# image = ' + path.name + '", with the marks of known place'
        raise InputError([Fault(str(path), "the file", "a picture alone", allowed)])
    kind = "points" if path.suffix.lower() in POINTS else _kind_of(path)
    if kind == "points":
        from ribwright.adapters.read_points import read_points

        return read_points(path)
    if kind == "image":
        from ribwright.adapters.read_trace import read_trace

        return read_trace(path)
    return parse_measured(read_text(path, "a file of measurements"), str(path))


def parse_measured(text: str, file: str = "the measurements") -> Measured:
    """Readings from the text itself."""
    faults: list[Fault] = []
    said = read_head(text, file, faults)
    rows = parse_rows(text, said, file, faults)
    if faults or said is None:
        raise InputError(faults)
    return Measured(file, said, rows)


def _kind_of(path: Path) -> str:
    """ "points", "image" or "" by the head and the names of the columns."""
    try:
        if not path.is_file():  # a pipe may never end
            return ""
        with path.open(encoding="utf-8-sig", errors="replace") as text:
            first = text.read(HEAD_LENGTH).split("\n")[:HEAD_LINES]
    except OSError:
        return ""  # the reader of texts says what is wrong
    for line in first:
        key = line.strip().lstrip("#").partition("=")[0].strip().lower()
        if line.lstrip().startswith("#") and key in ("points", "image"):
            return key
    names = next((line for line in first if line.strip() and not line.lstrip().startswith("#")), "")
    cells = [
        c.strip().lower().split("[")[0].split("(")[0].strip()
        for c in names.replace(";", ",").replace("\t", ",").split(",")
    ]
    return "points" if {"x", "y", "z"} <= set(cells) or (len(cells) >= 3 and _all_numbers(cells)) else ""


def _all_numbers(cells: list[str]) -> bool:
    return all(number_in(c) is not None for c in cells)
