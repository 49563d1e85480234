"""Pieces flow from page to page and none is ever too high for one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ribwright.documents.layout import Column, Piece, content_height, content_width, flow, stacked, table
from ribwright.documents.page import Arc, Circle, Clip, Item, Line, Polyline, Stroke, Text

HEIGHT = 100.0


def lowest(items: tuple[Item, ...]) -> float:
    """The lowest y that anything of the items reaches [mm]."""
    found = []
    for i in items:
        if isinstance(i, Line):
            found += [i.y0, i.y1]
        elif isinstance(i, Polyline):
            found += [y for _, y in i.points]
        elif isinstance(i, Arc | Circle):
            found.append(i.cy - i.r)
        elif isinstance(i, Clip):
            found.append(i.y)
        else:
            found.append(i.y)
    return min(found)


def tall(height: float) -> Piece:
    inner = (Text(1.0, -height, "inside", 9.0),)
    return Piece(
        height,
        (
            Line(0, 0, 50, -height, Stroke(0.25, dash=(2.0, 1.0))),
            Polyline(((0, 0), (10, -height)), fill=0.5, stroke=None),
            Arc(5, 5 - height, 5, 0, 90),
            Circle(5, 5 - height, 5),
            Text(0, -height, "the last line", 10.0),
            Clip(0, -height, 20, 10, inner, 0, -1),
        ),
    )


@pytest.mark.parametrize("height", [100.5, 150.0, 1000.0])
def test_a_piece_higher_than_the_page_is_made_smaller_and_says_so(height: float) -> None:
    before, after = Piece(30.0), Piece(20.0)
    groups = flow([before, tall(height), after], HEIGHT)
    assert [len(g) for g in groups] == [1, 1, 1]
    (shown,) = groups[1]
    assert shown.height <= HEIGHT + 1e-9
    assert lowest(shown.items) >= -HEIGHT - 1e-9
    note, line = shown.items[0], shown.items[1]
    assert isinstance(note, Text)
    assert isinstance(line, Line)
    share = line.x1 / 50
    assert f"{100 * share:.0f} % of the size" in note.text
    assert "Do not measure here" in note.text
    assert line.stroke.dash == pytest.approx((2.0 * share, 1.0 * share))


def test_what_fits_is_left_as_it_is() -> None:
    (group,) = flow([tall(100.0)], HEIGHT)
    assert group == (tall(100.0),)


@pytest.mark.parametrize("keep", [False, True])
@pytest.mark.parametrize("head", [8.0, 60.0, 120.0])
def test_no_mixture_of_heights_heads_and_kept_pieces_runs_over_or_forever(keep: bool, head: float) -> None:
    above = Piece(head)
    pieces = [Piece(h, keep=keep, repeat=above) for h in (10.0, 95.0, 99.0, 300.0, 100.0, 5.0, 92.5)]
    groups = flow([replace(above, keep=True), *pieces], HEIGHT)
    assert all(sum(p.height for p in g) <= HEIGHT + 1e-6 for g in groups)
    assert sum(p not in (above, replace(above, keep=True)) for g in groups for p in g) >= len(pieces)


def test_a_table_row_and_a_stack_of_rows_still_come_out_whole() -> None:
    rows = table([Column("a"), Column("b")], [("x", "y")] * 200, content_width("letter"))
    groups = flow([*rows, stacked(rows)], content_height("letter"))
    assert all(sum(p.height for p in g) <= content_height("letter") + 1e-6 for g in groups)
    assert any("Made smaller" in i.text for g in groups for p in g for i in p.items if isinstance(i, Text))
