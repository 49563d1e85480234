"""Tables with empty boxes to write in, and the words that the sheets share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ribwright.documents.layout import BODY_PT, Column, Piece, table
from ribwright.documents.page import Item, Line, Stroke
from ribwright.units import MM_PER_IN, Unit, plain

BOX = Stroke(0.25)
TALL = 8.0  # room to write a number by hand [mm]


def entry_table(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    width: float,
    boxes: int,
    size_pt: float = BODY_PT,
    filled: Sequence[Sequence[str]] = (),
) -> tuple[Piece, ...]:
    """A table whose last `boxes` columns are frames; `rows` give the cells of the columns before them, `filled` those of the frames,
    which are empty without it."""
    boxed = filled or [[""] * boxes] * len(rows)
    head, *body = table(columns, [[*row, *own] for row, own in zip(rows, boxed, strict=True)], width, size_pt)
    edges = box_edges(columns, width, boxes)
    return (head, *(_framed(piece, edges) for piece in body))


def box_edges(columns: Sequence[Column], width: float, boxes: int) -> list[float]:
    """Where the upright lines of the last `boxes` columns stand [mm]: a cell's print begins at its column's left edge, so they stand a
    little before it."""
    total = sum(c.share for c in columns)
    lefts = [sum(c.share for c in columns[:k]) / total * width - 1.5 for k in range(len(columns) - boxes, len(columns))]
    return [*lefts, width]


def _framed(piece: Piece, edges: Sequence[float]) -> Piece:
    """The row at least tall enough to write in, with upright lines at `edges` [mm], the rule under it moved down."""
    h = max(piece.height, TALL)
    *print_, rule = piece.items
    assert isinstance(rule, Line)
    drawn: list[Item] = [replace(rule, y0=-h, y1=-h)]
    drawn += [Line(x, 0.0, x, -h, BOX) for x in edges]
    drawn.append(Line(edges[0], -h, edges[-1], -h, BOX))
    return replace(piece, height=h, items=(*print_, *drawn))


def fine_length(mm: float, first: Unit) -> str:
    """Both units with one digit more than a length to work to: '0.1193 in (3.030 mm)'."""
    inch, metric = f"{plain(mm / MM_PER_IN, 4)} in", f"{plain(mm, 3)} mm"
    return f"{inch} ({metric})" if first == "in" else f"{metric} ({inch})"


def in_cell(shown: str) -> str:
    """'0.625 in (15.88 mm)' as two lines of a narrow cell."""
    return shown.replace(" (", "\n").replace(")", "")


def whole(pieces: Sequence[Piece], most: int = 12) -> tuple[Piece, ...]:
    """A short table's pieces kept on one page; a long one as it is."""
    if len(pieces) > most:
        return tuple(pieces)
    return (*(replace(p, keep=True) for p in pieces[:-1]), *pieces[-1:])


def span(low: float, high: float, digits: int = 1) -> str:
    """'6.4 to 11.7', or one number where both print alike."""
    a, b = f"{low:.{digits}f}", f"{high:.{digits}f}"
    return a if a == b else f"{a} to {b}"


def named(names: Sequence[str], most: int = 8) -> str:
    """'lower, rear' with the rest counted where there are more than `most`."""
    rest = len(names) - most
    return ", ".join(names[:most]) + (f" and {rest} more" if rest > 0 else "")


def all_or_named(names: Sequence[str], flanged: Sequence[str]) -> str:
    """'all 10 flanged edges' where the names are all of them and more than three; else every name, none cut off."""
    if len(flanged) > 3 and set(names) == set(flanged):
        return f"all {len(flanged)} flanged edges"
    return ", ".join(names)
