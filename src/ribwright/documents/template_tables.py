"""The pages of a template between cover and tiles: its tables, under the same heading and foot."""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.documents.layout import Piece, flow, gap, prose, shifted, stacked, table
from ribwright.documents.layout import heading as piece_heading
from ribwright.documents.page import Page
from ribwright.documents.template_cover import cover_size, heading
from ribwright.documents.template_values import TemplateContent, TemplateTable
from ribwright.documents.tiling import MARGIN, Grid, page_line

FOOT = 7.0  # room for the line at the foot [mm]
PRINT = 9.0


def table_pages(content: TemplateContent, grid: Grid) -> tuple[Page, ...]:
    """As many pages as the tables need; none where there is no table."""
    if not content.tables:
        return ()
    w, h = cover_size(content, grid)
    head, top = heading(content, w, h - MARGIN)
    pieces = [p for t in content.tables for p in _pieces(t, w - 2 * MARGIN)]
    groups = flow(pieces, top - MARGIN - FOOT)
    total = 1 + len(groups) + len(grid.tiles)
    return tuple(
        Page(
            w,
            h,
            (*head, *shifted(stacked(group).items, MARGIN, top), *page_line(content.identity, 2 + i, total, w)),
            f"Tables {i + 1}",
        )
        for i, group in enumerate(groups)
    )


def _pieces(t: TemplateTable, width: float) -> Sequence[Piece]:
    rows = table(t.columns, t.rows, width, PRINT) if t.rows else ()
    under = [p for sentence in t.under for p in prose(sentence, width, PRINT)]
    return (piece_heading(t.title, width), *rows, gap(1.5), *under, gap(3.0))
