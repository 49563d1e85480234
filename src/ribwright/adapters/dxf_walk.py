"""The lines of a DXF document's model space, its blocks in their places; what is no line is counted.

A block is read once, in its own system; each place that it is put in maps its points. What lies on layer 0 of a block is on the layer
of the insert.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import Any

from ribwright.adapters.dxf_entities import READERS, NotRead, pieces_of
from ribwright.adapters.dxf_placing import placed
from ribwright.errors import Fault, InputError
from ribwright.features.drawn_lines import Piece

# (what, layer, why, could be part of an outline) -> how many
Left = Counter[tuple[str, str, str, bool]]
MOST_PIECES, MOST_PLACED = 2_000_000, 200_000
DEEPEST = 40  # blocks inside blocks
HIDDEN, PAPER = "on a hidden layer or itself hidden", "in paper space"
NO_OUTLINE, NOT_KNOWN = "not a line of an outline", "of a kind that is not read"
# what a drawing has beside its lines; any other kind that is not read could have been a line of the outline
BESIDE = {
    "ACAD_TABLE", "ARC_DIMENSION", "ATTDEF", "ATTRIB", "DIMENSION", "HATCH", "IMAGE", "LARGE_RADIAL_DIMENSION", "LEADER", "MLEADER",
    "MPOLYGON", "MTEXT", "MULTILEADER", "OLE2FRAME", "OLEFRAME", "PDFUNDERLAY", "DGNUNDERLAY", "DWFUNDERLAY", "POINT",
    "RAY", "SHAPE", "SOLID", "TEXT", "TOLERANCE", "TRACE", "VIEWPORT", "WIPEOUT", "XLINE",
}  # fmt: skip
FLOATING = "0"


@dataclass
class Content:
    """What model space or a block holds."""

    pieces: list[Piece] = field(default_factory=list)
    left: Left = field(default_factory=Counter)

    def count(self, what: str, layer: str, why: str, is_line: bool) -> None:
        self.left[what, layer, why, is_line] += 1


def walked(doc: Any, file: str) -> Content:
    """Model space as lines, with what is not read, that of paper space too. InputError when it holds more than a drawing of a part."""
    walk = _Walk(doc, file)
    out = walk.content(doc.modelspace(), 0)
    for layout in doc.layouts:
        if layout.name != "Model":
            for entity in layout:
                if entity.dxftype() != "VIEWPORT":
                    out.count(entity.dxftype(), layer_of(entity), PAPER, False)
    return out


def layer_of(entity: Any) -> str:
    """The layer; of a kind that the library does not know, as its tags have it."""
    if not entity.dxf.is_supported("layer") and hasattr(entity, "graphic_properties"):
        with suppress(Exception):  # tags of any kind in any order
            return str(entity.graphic_properties().get("layer", FLOATING))
    return str(_own(entity, "layer", FLOATING))


class _Walk:
    """Reads entities and keeps the blocks that it has read."""

    def __init__(self, doc: Any, file: str):
        self._file = file
        self._blocks: dict[str, Content] = {}
        self._open: set[str] = set()
        self._placed = 0
        # the names of layers are the same in upper and lower case; the table's spelling is the one a person sees
        self._names = {layer.dxf.name.lower(): layer.dxf.name for layer in doc.layers}
        self._hidden = {layer.dxf.name.lower() for layer in doc.layers if layer.is_off() or layer.is_frozen()}

    def content(self, entities: Any, depth: int) -> Content:
        """`depth`: blocks around these entities; inside one layer 0 is not yet a layer."""
        out = Content()
        for entity in entities:
            layer = self._names.setdefault((own := layer_of(entity)).lower(), own)
            kind = entity.dxftype()
            floats = depth > 0 and layer == FLOATING
            if (layer.lower() in self._hidden and not floats) or _own(entity, "invisible", 0):
                out.count(kind, layer, HIDDEN, kind in READERS or kind == "INSERT")
            elif kind == "INSERT":
                self._insert(entity, layer, depth, out)
            elif kind in READERS:
                self._read(entity, layer, out)
            else:
                beside = kind in BESIDE
                out.count(kind, layer, NO_OUTLINE if beside else NOT_KNOWN, not beside)
        return out

    def _read(self, entity: Any, layer: str, out: Content) -> None:
        try:
            out.pieces += pieces_of(entity, layer)
        except NotRead as why:
            out.count(entity.dxftype(), layer, str(why), True)
        self._not_too_many(len(out.pieces))

    def _insert(self, insert: Any, layer: str, depth: int, out: Content) -> None:
        block = insert.block()
        if block is None or block.block.is_xref:
            out.count("INSERT", layer, "a block that is not in the file", True)
            return
        if depth >= DEEPEST or block.name in self._open:
            out.count("INSERT", layer, f"a block inside itself, or more than {DEEPEST} deep", True)
            return
        if _clipped(insert):
            out.count("INSERT", layer, "a block of which only a part is shown", True)
            return
        held = self._block(block, depth + 1)
        for one in _each(insert):
            self._placed += 1
            if self._placed > MOST_PLACED:
                raise self._too_many(f"more than {MOST_PLACED} blocks put in")
            try:
                here = placed(held.pieces, one.matrix44())
            except NotRead as why:
                out.count("INSERT", layer, str(why), True)
                continue
            out.pieces += [replace(p, layer=layer) if p.layer == FLOATING else p for p in here]
            for (what, own, why_, is_line), n in held.left.items():
                out.left[what, layer if own == FLOATING else own, why_, is_line] += n
            self._not_too_many(len(out.pieces))

    def _block(self, block: Any, depth: int) -> Content:
        if block.name not in self._blocks:
            self._open.add(block.name)
            self._blocks[block.name] = self.content(block, depth)
            self._open.discard(block.name)
        return self._blocks[block.name]

    def _not_too_many(self, pieces: int) -> None:
        if pieces > MOST_PIECES:
            raise self._too_many(f"more than {MOST_PIECES} lines")

    def _too_many(self, found: str) -> InputError:
        return InputError([Fault(self._file, "the file", found, "a drawing of one part")])


def _own(entity: Any, name: str, default: Any) -> Any:
    """An attribute that not every kind of entity has."""
    return entity.dxf.get(name, default) if entity.dxf.is_supported(name) else default


def _clipped(insert: Any) -> bool:
    if not insert.has_extension_dict:
        return False
    from ezdxf.xclip import XClip

    clip = XClip(insert)
    return bool(clip.has_clipping_path and clip.is_clipping_enabled)


def _each(insert: Any) -> Iterator[Any]:
    """The insert, or each of its copies in rows and columns."""
    if insert.mcount > 1:
        yield from insert.multi_insert()
    else:
        yield insert
