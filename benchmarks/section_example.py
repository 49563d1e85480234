"""The picture of docs/section_pictures.md, made anew from the section model: a flange of 2024-T3 under load, in the hand, panel by panel.

    python benchmarks/section_example.py

writes docs/section_example.svg. To be run when the section model's numbers move; a test holds the kept picture against the model.
Nothing drawn was compared with a real formed part.
"""

from __future__ import annotations

from pathlib import Path

from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.write_picture_svg import write_picture_svg
from ribwright.documents.layout import gap, shifted, stacked
from ribwright.documents.page import Document, Page
from ribwright.documents.section_panels import panels
from ribwright.documents.section_picture import Marks, in_the_hand, panel_pressures, under_load
from ribwright.mechanics.section.model import Flange, closing_pressure, press_through
from ribwright.stages.sheet_laws import law_of_material

PICTURE = Path(__file__).parents[1] / "docs" / "section_example.svg"
MATERIAL, T, RADIUS, WALL, STRAIGHT, PRESSURE = "2024-T3", 1.0, 3.0, 97.0, 12.0, 14.0
WIDTH = 199.9


def drawn() -> str:
    """The picture as SVG text."""
    law = law_of_material(load_catalogue().materials[MATERIAL]).law
    assert law is not None
    flange = Flange(law, T, RADIUS, WALL, STRAIGHT)
    closing = closing_pressure(flange, PRESSURE)
    assert closing is not None
    pressed = press_through(flange, panel_pressures(closing, PRESSURE))
    pieces = [under_load(pressed, "mm", Marks(90.0), WIDTH), gap(2.0), in_the_hand(pressed, "mm", Marks(90.0), WIDTH)]
    piece = stacked([*pieces, gap(2.0), panels(pressed, "mm", WIDTH)])
    title = f"A flange in section: {MATERIAL} {T:.2f} mm over a block edge of {RADIUS:g} mm, wall {WALL:g} deg, {PRESSURE:g} MPa"
    page = Page(WIDTH, piece.height, shifted(piece.items, 0.0, piece.height))
    return write_picture_svg(Document("section_example", title, (page,)))


if __name__ == "__main__":
    PICTURE.write_text(drawn(), encoding="utf-8")
    print(f"wrote {PICTURE}")
