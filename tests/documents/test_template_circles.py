"""Strain circles in print and in the drawing file: all of them, 1:1, none where they are not asked for."""

from __future__ import annotations

import io
from collections import Counter
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from documents.sample import outside, said, sample_identity, sample_plan
from documents.test_blank_template import texts
from ribwright.adapters.write_dxf import write_dxf
from ribwright.cli import main
from ribwright.documents.drawing import CIRCLES, Label, Ring
from ribwright.documents.page import Circle, Clip, Document, Text
from ribwright.documents.template_legend import legend
from ribwright.documents.template_words import text_room
from ribwright.documents.templates import content_of, template_document, template_lines
from ribwright.stages.circles import CircleGrid, circle_grid

PART = "RX-0007"


@cache
def grid() -> CircleGrid:
    plan = sample_plan(PART, "")
    return circle_grid(plan.job, plan.blank, 5.0)


@cache
def printed(paper: str, circles: bool = True) -> Document:
    plan = sample_plan(PART, "")
    return template_document(plan, sample_identity(plan), paper, circles=grid() if circles else None)


def _circles(document: Document) -> list[tuple[float, float]]:
    """Centres of strain circles over all tiles, in the part's coordinates."""
    out = set()
    for page in document.pages:
        for clip in (i for i in page.items if isinstance(i, Clip)):
            for c in clip.items:
                if isinstance(c, Circle) and c.r == 2.5:
                    out.add((round(c.cx, 6), round(c.cy, 6)))
    return sorted(out)


def _words(document: Document) -> list[Text]:
    return [t for page in document.pages for c in page.items if isinstance(c, Clip) for t in texts(c.items)]


@pytest.mark.parametrize("paper", ["letter", "a4", "roll"])
def test_every_circle_is_printed_at_its_place_and_size_on_the_tiles(paper: str) -> None:
    """But for those that would strike out a drill size."""
    there, drawn = _circles(printed(paper)), {(round(c.x, 6), round(c.y, 6)) for c in grid().circles}
    left = drawn - set(there)
    assert set(there) <= drawn
    assert len(left) < 0.05 * len(drawn)
    sizes = shapely.union_all([text_room(t) for t in _words(printed(paper)) if "Ø" in t.text])
    assert all(shapely.intersects(sizes, shapely.Point(p).buffer(2.5)) == (p in left) for p in drawn)


def test_without_the_option_nothing_of_it_is_printed() -> None:
    assert _circles(printed("a4", False)) == []
    assert "strain circle" not in said(printed("a4", False))
    assert len(printed("a4", False).pages) == len(printed("a4").pages) - 1


def test_names_stand_between_rows_under_their_circles() -> None:
    plan = sample_plan(PART, "")
    tiles = [i for page in printed("roll").pages for i in page.items if isinstance(i, Clip)]
    names = {t.text for tile in tiles for t in texts(tile.items)}
    named = {c.name for c in grid().circles if c.named}
    assert len(names & named) > 0.8 * len(named)  # no name over words
    assert not names & {c.name for c in grid().circles if not c.named}
    shapes = template_lines(plan, sample_identity(plan), circles=grid()).items
    labels = [i for i in shapes if isinstance(i, Label) and i.layer == CIRCLES]
    rows = np.array(sorted({round(c.y, 6) for c in grid().circles}))
    for label in labels:
        # base line and capitals lie between the circles of one row and those of the next
        below = rows[rows < label.y].max(initial=-1e9)
        assert label.y - below > 2.5
        assert rows[rows > label.y].min() - label.y - label.height > 2.5


def test_the_sheet_says_how_it_is_used_and_cautions() -> None:
    words = said(printed("letter"))
    for sentence in (
        "do not scribe the circles where a scratch is not allowed",
        "longest diameter (major)",
        "# circle = 5 mm",
        "--circles FILE.csv",
        "strain circle: no hole",
    ):
        assert sentence in words, sentence
    assert all(
        outside(page) == [] for page in printed("letter").pages if not any(isinstance(i, Clip) for i in page.items)
    )


def test_the_legend_shows_a_circle_only_where_there_are_some() -> None:
    plan = sample_plan(PART, "")
    with_, without = (content_of(plan, sample_identity(plan), "blank", circles=g).kind for g in (grid(), None))
    assert with_.has("circle")
    assert not without.has("circle")
    count = [sum(isinstance(i, Circle) for i in legend(k, 0.0, 0.0)) for k in (with_, without)]
    assert count[0] == count[1] + 1


def test_the_drawing_file_has_them_on_a_layer_of_their_own() -> None:
    plan = sample_plan(PART, "")
    drawing = template_lines(plan, sample_identity(plan), circles=grid())
    rings = [i for i in drawing.items if isinstance(i, Ring) and i.layer == CIRCLES]
    assert Counter((r.x, r.y, 2 * r.r) for r in rings) == Counter((c.x, c.y, 5.0) for c in grid().circles)
    doc = ezdxf.read(io.StringIO(write_dxf(drawing).decode("utf-8")))
    assert not doc.audit().errors
    assert len(doc.modelspace().query(f'CIRCLE[layer=="{CIRCLES}"]')) == len(grid().circles)
    plain = template_lines(plan, sample_identity(plan))
    assert all(i.layer != CIRCLES for i in plain.items)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--circles", "5"], "with its unit"),
        (["--circles", "5 in"], "1 to 25 mm"),
        (["--circles", "5 mm", "--kind", "check"], "with --kind blank"),
        (["--circles", "5 mm", "--router", "0.500 in bushing, 0.250 in cutter"], "one of them"),
        (["--circles", "inch", "--kind", "drill"], "with --kind blank"),
    ],
)
def test_a_wrong_word_is_refused_before_anything_is_written(words: list[str], sentence: str, tmp_path: Path) -> None:
    out = tmp_path / "t.pdf"
    part = Path(__file__).parents[2] / "examples" / "dabchick" / f"{PART}.part.toml"
    done = CliRunner().invoke(main, ["template", str(part), *words, "--out", str(out)])
    assert done.exit_code == 2
    assert sentence in done.output
    assert not out.exists()


def test_the_command_writes_them(tmp_path: Path) -> None:
    out = tmp_path / "t.dxf"
    part = Path(__file__).parents[2] / "examples" / "dabchick" / f"{PART}.part.toml"
    assert CliRunner().invoke(main, ["template", str(part), "--circles", "0.2 in", "--out", str(out)]).exit_code in (
        0,
        1,
    )
    doc = ezdxf.readfile(out)
    assert {round(2 * c.dxf.radius, 6) for c in doc.modelspace().query(f'CIRCLE[layer=="{CIRCLES}"]')} == {5.08}
