"""The 1:1 template of the flat blank: a cover with proof of scale, then the tiles."""

from __future__ import annotations

from ribwright.documents.page import Document, crossed_document
from ribwright.documents.template_cover import cover
from ribwright.documents.template_spread import template_spread
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole
from ribwright.documents.tiling import tile_pages

__all__ = ["EdgeLabel", "TemplateContent", "TemplateHole", "blank_template"]


def blank_template(content: TemplateContent, paper: str) -> Document:
    """Cover and tiles on "letter", "a4" or "roll"; every page crossed out with the sentence when something stops the
    part. KeyError for another paper."""
    spread, grid, marks = template_spread(content, paper)
    pages = (cover(content, grid, marks), *tile_pages(spread, grid, before=1))
    document = Document("blank_template", f"Blank template {content.name_line}", pages)
    return crossed_document(document, content.stop_sentence) if content.stops else document
