"""A DXF file, R12 to 2018, read into the lines of its model space; what is not read is counted, what was broken is said.

A sound file goes through the library's quick reader; one that breaks its own rules through its recovering reader. A file that
ends before its end is refused: nobody can say what was lost.
"""

from __future__ import annotations

import codecs
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ribwright.adapters.dxf_entities import READERS
from ribwright.adapters.dxf_walk import HIDDEN, Left, layer_of, walked
from ribwright.errors import Fault, InputError
from ribwright.features.drawn_lines import DrawnFile, LeftOut

LARGEST_BYTES = 200_000_000
MOST_MENDED = 12
# $INSUNITS of the header (DXF reference, header variables); 0 is "no unit"
HEADER_UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 8: "microinch", 9: "mil", 10: "yd", 13: "micron", 14: "dm"}
BINARY = b"AutoCAD Binary DXF"
_END = re.compile(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*EOF[ \t]*\r?\n")
ALLOWED = "a drawing saved as DXF, R12 to 2018"
TAKEN_OUT = "broken beyond mending, taken out"


def read_dxf(path: Path) -> DrawnFile:
    """The lines of a file. InputError when it is missing, no DXF, or cut short."""
    path = Path(path)
    raw = _bytes(path)
    doc, mended, taken_out = _document(path, raw)
    drawn = walked(doc, str(path))
    drawn.left.update(taken_out)
    return DrawnFile(
        str(path),
        str(doc.acad_release),
        HEADER_UNITS.get(int(doc.header.get("$INSUNITS", 0) or 0), ""),
        tuple(drawn.pieces),
        tuple(LeftOut(*key[:2], n, *key[2:], key[2] == HIDDEN) for key, n in sorted(drawn.left.items())),
        mended,
    )


# ---- the file


def _bytes(path: Path) -> bytes:
    try:
        if not path.is_file():
            found = "a folder" if path.is_dir() else "no such file"
            raise InputError([Fault(str(path), "the file", found, ALLOWED)])
        if path.stat().st_size > LARGEST_BYTES:
            size = f"{path.stat().st_size / 1e6:.0f} MB"
            raise InputError([Fault(str(path), "the file", size, f"a drawing of at most {LARGEST_BYTES / 1e6:.0f} MB")])
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "a file that cannot be opened"
        raise InputError([Fault(str(path), "the file", why, ALLOWED)]) from None
    if not raw.strip():
        raise InputError([Fault(str(path), "the file", "an empty file", ALLOWED)])
    if raw[:4] == b"AC10" and raw[4:6].isdigit():
        raise InputError([Fault(str(path), "the file", "a drawing program's own binary file", f"{ALLOWED} from there")])
    return raw


def _document(path: Path, raw: bytes) -> tuple[Any, tuple[str, ...], Left]:
    """(document, what was mended, lines that the mending took out)."""
    import logging

    import ezdxf
    from ezdxf import recover

    # what the library has to say comes back to us as values; without a handler it would also go to the terminal
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    _whole(path, raw)
    said, before = [], []
    try:
        doc = ezdxf.readfile(path)
        before = [(e, e.dxftype(), layer_of(e)) for e in _line_like(doc)]
        auditor = doc.audit()
    except Exception as broken:  # the library raises what its parts raise, of many kinds, for a broken file
        try:
            doc, auditor = recover.readfile(path)
        except Exception as hopeless:
            raise InputError([Fault(str(path), "the file", f"no DXF: {_one_line(hopeless)}", ALLOWED)]) from None
        said.append(
            f"the file breaks the rules of its format and was read by the recovering reader: {_one_line(broken)}"
        )
    said += [_one_line(entry.message) for entry in (*auditor.fixes, *auditor.errors)]
    if len(said) > MOST_MENDED:
        said = [*said[:MOST_MENDED], f"and {len(said) - MOST_MENDED} more"]
    gone = Counter((kind, layer, TAKEN_OUT, True) for e, kind, layer in before if not e.is_alive)
    return doc, tuple(said), gone


def _line_like(doc: Any) -> Iterator[Any]:
    """What could be part of an outline, in model space and in blocks."""
    for block in doc.blocks:
        if not block.is_any_paperspace:
            yield from (e for e in block if e.dxftype() in READERS or e.dxftype() == "INSERT")


def _whole(path: Path, raw: bytes) -> None:
    """InputError when the file does not end with its EOF."""
    # a DXF file of text begins with the number of a group
    begins = raw.removeprefix(codecs.BOM_UTF8).split(None, 1)[:1]
    if not raw.startswith(BINARY) and not (begins and begins[0].isdigit() and b"SECTION" in raw):
        raise InputError([Fault(str(path), "the file", "no DXF: it has no sections", ALLOWED)])
    # some programs leave something behind the end
    if raw[-200:].rstrip(b"\x00\x1a \t\r\n").endswith(b"EOF") or _END.search(raw):
        return
    lines = raw.count(b"\n") + 1
    found = f"a file cut short: it ends at line {lines} without EOF, and what it lost cannot be known"
    raise InputError([Fault(str(path), "the file", found, "the whole file, saved or sent again")])


def _one_line(error: object) -> str:
    return " ".join(str(error).split())[:200]
