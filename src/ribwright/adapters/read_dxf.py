"""A DXF file, R12 to 2018, read into the lines of its model space; what is not read is counted, what was broken is said.

A sound file goes through the library's quick reader; one that breaks its own rules through its recovering reader. A file that
ends before its end is refused: nobody can say what was lost.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from ribwright.adapters.dxf_entities import READERS, NotRead, pieces_of
from ribwright.errors import Fault, InputError
from ribwright.features.drawn_lines import DrawnFile, LeftOut, Piece

LARGEST_BYTES = 200_000_000
MOST_PIECES, MOST_PLACED = 2_000_000, 200_000
DEEPEST = 40  # blocks inside blocks
MOST_MENDED = 12
# $INSUNITS of the header (DXF reference, header variables); 0 is "no unit"
HEADER_UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 8: "microinch", 9: "mil", 10: "yd", 13: "micron", 14: "dm"}
BINARY = b"AutoCAD Binary DXF"
ALLOWED = "a drawing saved as DXF, R12 to 2018"
HIDDEN, PAPER = "on a hidden layer or itself hidden", "in paper space"
TAKEN_OUT = "broken beyond mending, taken out"
NO_OUTLINE, NOT_KNOWN = "not a line of an outline", "of a kind that is not read"
# what a drawing has beside its lines; any other kind that is not read could have been a line of the outline
BESIDE = {
    "ACAD_TABLE", "ARC_DIMENSION", "ATTDEF", "ATTRIB", "DIMENSION", "HATCH", "IMAGE", "LARGE_RADIAL_DIMENSION", "LEADER", "MLEADER",
    "MPOLYGON", "MTEXT", "MULTILEADER", "OLE2FRAME", "OLEFRAME", "PDFUNDERLAY", "DGNUNDERLAY", "DWFUNDERLAY", "POINT",
    "RAY", "SHAPE", "SOLID",
    "TEXT", "TOLERANCE", "TRACE", "VIEWPORT", "WIPEOUT", "XLINE",
}  # fmt: skip
# (what, layer, why, could be part of an outline) -> how many
Left = Counter[tuple[str, str, str, bool]]


def read_dxf(path: Path) -> DrawnFile:
    """The lines of a file. InputError when it is missing, no DXF, or cut short."""
    path = Path(path)
    raw = _bytes(path)
    doc, mended, taken_out = _document(path, raw)
    reader = _Walk(doc, str(path))
    reader.left.update(taken_out)
    reader.walk(doc.modelspace())
    for layout in doc.layouts:
        if layout.name != "Model":
            reader.count_paper(layout)
    return DrawnFile(
        str(path),
        str(doc.acad_release),
        HEADER_UNITS.get(int(doc.header.get("$INSUNITS", 0) or 0), ""),
        tuple(reader.pieces),
        tuple(LeftOut(*key[:2], n, *key[2:], key[2] == HIDDEN) for key, n in sorted(reader.left.items())),
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
        before = [(e, e.dxftype(), _layer(e)) for e in _line_like(doc)]
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
    tail = raw[-200:].rstrip(b"\x00\x1a \t\r\n")
    if tail.endswith(b"EOF"):
        return
    if not raw.startswith(BINARY) and b"SECTION" not in raw[:100_000]:
        raise InputError([Fault(str(path), "the file", "no DXF: it has no sections", ALLOWED)])
    lines = raw.count(b"\n") + 1
    found = f"a file cut short: it ends at line {lines} without EOF, and what it lost cannot be known"
    raise InputError([Fault(str(path), "the file", found, "the whole file, saved or sent again")])


def _one_line(error: object) -> str:
    return " ".join(str(error).split())[:200]


# ---- the entities


class _Walk:
    """Goes through model space and into its blocks, collecting lines and counting the rest."""

    def __init__(self, doc: Any, file: str):
        self.file = file
        self.pieces: list[Piece] = []
        self.left: Left = Counter()
        self._placed = 0
        # the names of layers are the same in upper and lower case; the table's spelling is the one a person sees
        self._names = {layer.dxf.name.lower(): layer.dxf.name for layer in doc.layers}
        self._hidden = {layer.dxf.name.lower() for layer in doc.layers if layer.is_off() or layer.is_frozen()}

    def walk(self, entities: Any, inherited: str | None = None, depth: int = 0) -> None:
        """`inherited`: the layer of the insert, which what lies on layer 0 of a block takes."""
        for entity in entities:
            layer = self._name_of(_layer(entity))
            if inherited is not None and layer == "0":
                layer = inherited
            kind = entity.dxftype()
            if layer.lower() in self._hidden or _own(entity, "invisible", 0):
                self._count(kind, layer, HIDDEN, kind in READERS or kind == "INSERT")
            elif kind == "INSERT":
                self._insert(entity, layer, depth)
            elif kind in READERS:
                self._read(entity, layer)
            else:
                beside = kind in BESIDE
                self._count(kind, layer, NO_OUTLINE if beside else NOT_KNOWN, not beside)

    def count_paper(self, layout: Any) -> None:
        """What lies in paper space, which is the sheet around the drawing."""
        for entity in layout:
            if entity.dxftype() != "VIEWPORT":
                self._count(entity.dxftype(), _layer(entity), PAPER, False)

    def _name_of(self, layer: str) -> str:
        return self._names.setdefault(layer.lower(), layer)

    def _read(self, entity: Any, layer: str) -> None:
        try:
            self.pieces += pieces_of(entity, layer)
        except NotRead as why:
            self._count(entity.dxftype(), layer, str(why), True)
        if len(self.pieces) > MOST_PIECES:
            raise self._too_many(f"more than {MOST_PIECES} lines")

    def _insert(self, insert: Any, layer: str, depth: int) -> None:
        if depth >= DEEPEST:
            self._count("INSERT", layer, f"blocks more than {DEEPEST} deep", True)
            return
        block = insert.block()
        if block is None or block.block.is_xref:
            self._count("INSERT", layer, "a block that is not in the file", True)
            return
        for one in _each(insert):
            self._placed += 1
            if self._placed > MOST_PLACED:
                raise self._too_many(f"more than {MOST_PLACED} blocks put in")
            try:
                content = list(one.virtual_entities(skipped_entity_callback=lambda e, _: self._skipped(e, layer)))
            except Exception as broken:  # a scale of zero and the like, of many kinds
                self._count("INSERT", layer, f"a block that cannot be placed ({_one_line(broken)})", True)
                continue
            self.walk(content, layer, depth + 1)

    def _skipped(self, entity: Any, layer: str) -> None:
        kind = entity.dxftype()
        self._count(kind, layer, "cannot be placed with its block", kind in READERS)

    def _count(self, what: str, layer: str, why: str, is_line: bool) -> None:
        self.left[what, layer, why, is_line] += 1

    def _too_many(self, found: str) -> InputError:
        return InputError([Fault(self.file, "the file", found, "a drawing of one part")])


def _layer(entity: Any) -> str:
    """The layer; of a kind that the library does not know, as its tags have it."""
    if not entity.dxf.is_supported("layer") and hasattr(entity, "graphic_properties"):
        with suppress(Exception):  # tags of any kind in any order
            return str(entity.graphic_properties().get("layer", "0"))
    return str(_own(entity, "layer", "0"))


def _own(entity: Any, name: str, default: Any) -> Any:
    """An attribute that not every kind of entity has."""
    return entity.dxf.get(name, default) if entity.dxf.is_supported(name) else default


def _each(insert: Any) -> Iterator[Any]:
    """The insert, or each of its copies in rows and columns."""
    if insert.mcount > 1:
        yield from insert.multi_insert()
    else:
        yield insert
