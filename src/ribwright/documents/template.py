"""A template at 1:1 of any kind: a cover with proof of scale, its tables, then the tiles."""

from __future__ import annotations

from ribwright.documents.page import Document, crossed_document
from ribwright.documents.template_cover import cover
from ribwright.documents.template_spread import template_spread
from ribwright.documents.template_tables import table_pages
from ribwright.documents.template_values import TemplateContent
from ribwright.documents.tiling import tile_pages


def template(content: TemplateContent, paper: str) -> Document:
    """Cover, tables and tiles on "letter", "a4" or "roll"; every page crossed out with the sentence when something stops
    the part. KeyError for another paper."""
    spread, grid, marks = template_spread(content, paper)
    tables = table_pages(content, grid)
    pages = (
        cover(content, grid, marks, 1 + len(tables) + len(grid.tiles)),
        *tables,
        *tile_pages(spread, grid, before=1 + len(tables)),
    )
    name = content.kind.title.lower().replace(", ", "-").replace(" ", "-")
    document = Document(name, f"{content.kind.title} {content.name_line}", pages)
    return crossed_document(document, content.stop_sentence) if content.stops else document
