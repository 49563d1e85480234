"""The section of a place under the pad as .svg, .png or .pdf."""

from __future__ import annotations

from pathlib import Path

from ribwright.documents.pad_picture import pad_pages
from ribwright.documents.page import Document, crossed_document
from ribwright.errors import Fault, InputError
from ribwright.ports import Keeper, Writers
from ribwright.work.under_padding import Padded


def write_pad_picture(done: Padded, out: Path, writers: Writers, keeper: Keeper) -> None:
    """Draw and keep. InputError where nothing was pressed."""
    run = done.under_pad.run
    if run is None or not len(run.path) or not len(run.nodes):
        allowed = "a straight place that the pad reaches; the findings of the same command without --out say why not"
        raise InputError([Fault("command line", "--out", f"{out.name!r}, nothing to draw", allowed)])
    identity = done.answer.identity
    document = Document(out.stem, f"{identity.number} under the pad", pad_pages(done.under_pad, identity))
    document = crossed_document(document, identity.stops[0]) if identity.stops else document
    write = {".pdf": writers.pdf, ".svg": writers.picture, ".png": writers.png}[out.suffix.lower()]
    keeper.keep({out: write(document)})
