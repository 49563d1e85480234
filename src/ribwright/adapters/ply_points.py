"""Points of a PLY file: text, or binary of either byte order; its vertices' x, y, z, and its comments.

    ply / format binary_little_endian 1.0 / comment units = mm / element vertex 1000 / property float x / ... / end_header
Faces and other properties are passed over. Read by numpy: a general library reads the binary forms as well (the tests hold ours against
one) but takes half a minute for a million points as text, gives no comments, and takes a file that was cut short for a whole one.
"""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
HEADER = 65_536  # bytes that a header may take
TYPES = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4", "float": "f4", "double": "f8",
    "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2", "int32": "i4", "uint32": "u4", "float32": "f4", "float64": "f8",
}  # fmt: skip
FORMATS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
AXES = ("x", "y", "z")
_FIRST, _END = re.compile(rb"ply[ \t\r]*\n"), re.compile(rb"^end_header[ \t\r]*\n", re.MULTILINE)


class PlyError(ValueError):
    """What is wrong with the file: (key, found, allowed)."""

    def __init__(self, key: str, found: str, allowed: str):
        self.key, self.found, self.allowed = key, found, allowed
        super().__init__(f"{key}: {found}")


@dataclass(frozen=True, eq=False)
class Ply:
    """Vertices (n, 3) and the comments, a line each."""

    points: Array
    comments: tuple[str, ...]


@dataclass
class _Element:
    name: str
    count: int
    names: list[str]
    types: list[str]
    lists: bool = False

    def bytes_before(self, i: int) -> int:
        """How many bytes of a binary row stand before its property `i`."""
        return sum(int(t[1:]) for t in self.types[:i])


def read_ply(content: bytes, most: int) -> Ply:
    """The points of a file's bytes, at most `most` of them. PlyError says what is wrong."""
    head, body = _parted(content)
    order, elements, comments = _header(head)
    found = [i for i, e in enumerate(elements) if e.name == "vertex"]
    if len(found) != 1:
        said = "two elements vertex" if found else "no element vertex"
        raise PlyError("the header", said, "one line like 'element vertex 1000'")
    at = found[0]
    vertex = elements[at]
    missing = [a for a in AXES if a not in vertex.names]
    if missing:
        raise PlyError("the header", f"vertices without {', '.join(missing)}", "properties x, y and z of the vertices")
    if vertex.lists or len(set(vertex.names)) != len(vertex.names):
        raise PlyError("the header", "vertices with lists, or a property twice", "one number a property")
    if not 0 <= vertex.count <= most:
        raise PlyError("the header", f"{vertex.count} points", f"at most {most} points")
    before = elements[:at]
    if any(e.lists for e in before):
        raise PlyError("the header", "lists before the vertices", "the vertices first")
    points = _text(body, vertex, before) if order == "" else _binary(body, order, vertex, before)
    return Ply(points, comments)


def _parted(content: bytes) -> tuple[list[str], bytes]:
    """(the header's lines, what follows). Only the line feed ends a line: a comment may hold what ends lines elsewhere."""
    end = _END.search(content, 0, HEADER)
    if not _FIRST.match(content) or end is None:
        raise PlyError("the header", "none that ends in end_header", "a PLY file: 'ply', its header, 'end_header'")
    return content[: end.start()].decode("utf-8", "replace").split("\n"), content[end.end() :]


def _header(lines: list[str]) -> tuple[str, list[_Element], tuple[str, ...]]:
    """(byte order or "", elements, comments)."""
    order: str | None = None
    elements: list[_Element] = []
    comments = []
    for line in lines[1:]:
        words = line.split()
        match words:
            case ["format", str(kind), *_] if kind in FORMATS:
                order = FORMATS[kind]
            case ["comment" | "obj_info", *_]:
                comments.append(line.strip().partition(" ")[2].strip())
            case ["element", str(name), str(count)] if count.isascii() and count.isdigit() and len(count) < 19:
                elements.append(_Element(name, int(count), [], []))
            case ["property", "list", *_] if elements:
                elements[-1].lists = True
            case ["property", str(kind), str(name)] if elements and kind in TYPES:
                elements[-1].names.append(name)
                elements[-1].types.append(TYPES[kind])
            case []:
                pass
            case _:
                raise PlyError(
                    "the header", repr(line[:60]), "lines format, comment, element and property as PLY has them"
                )
    if order is None:
        raise PlyError("the header", "no format", "format ascii, binary_little_endian or binary_big_endian 1.0")
    return order, elements, tuple(comments)


def _binary(body: bytes, order: str, vertex: _Element, before: list[_Element]) -> Array:
    start = sum(e.count * e.bytes_before(len(e.types)) for e in before)
    at = [vertex.names.index(a) for a in AXES]
    each = vertex.bytes_before(len(vertex.types))
    if len(body) < start + vertex.count * each:
        raise PlyError(
            "the points",
            f"{max(len(body) - start, 0) // each} points, where the header says {vertex.count}",
            "a whole file",
        )
    # only x, y and z by name: what stands between them is passed over, whatever it is called
    row = np.dtype(
        {
            "names": AXES,
            "formats": [order + vertex.types[i] for i in at],
            "offsets": [vertex.bytes_before(i) for i in at],
            "itemsize": each,
        }
    )
    rows = np.frombuffer(body, row, vertex.count, start)
    out = np.empty((vertex.count, 3))
    with np.errstate(invalid="ignore", over="ignore"):
        for i, a in enumerate(AXES):
            out[:, i] = rows[a]
    return out


def _text(body: bytes, vertex: _Element, before: list[_Element]) -> Array:
    import io

    skip = sum(e.count for e in before)
    if skip > len(body):  # a row takes a byte at the least
        raise PlyError("the points", f"0 points, where the header says {vertex.count}", "a whole file")
    columns = [vertex.names.index(a) for a in AXES]
    try:
        text = io.StringIO(body.decode("ascii"))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of an empty file: it is told below
            points = np.loadtxt(text, usecols=columns, skiprows=skip, max_rows=vertex.count, ndmin=2, comments=None)
    except (ValueError, IndexError, UnicodeDecodeError) as wrong:
        raise PlyError(
            "the points", f"rows that cannot be read ({str(wrong)[:80]})", "a row of numbers a point"
        ) from wrong
    if len(points) < vertex.count:
        raise PlyError("the points", f"{len(points)} points, where the header says {vertex.count}", "a whole file")
    return np.asarray(points, float).reshape(-1, 3)
