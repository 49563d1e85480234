"""The picture of a place under the pad: to scale, whole, its print free of lines, every number the model's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from documents.print_room import unreadable
from documents.sample import outside, said, sample_identity, sample_plan
from forecasts import plan_of
from padded import small_case, small_part, small_press
from ribwright.documents.pad_chart import Axes, frame, round_top, steps_of
from ribwright.documents.pad_picture import pad_pages, pad_pieces
from ribwright.documents.pad_shape import (
    block_ring,
    faces,
    grid_lines,
    near_window,
    one_state,
    origin,
    pad_ring,
    thinned,
    whole_window,
)
from ribwright.documents.page import Document, Line, Text
from ribwright.mechanics.pad_model import answer
from ribwright.stages.under_pad import PadAsk, UnderPad, lay
from ribwright.units import show_angle, show_pressure

IDENTITY = sample_identity(sample_plan())


def drawn(u: UnderPad) -> Document:
    return Document("pad", "Under the pad", pad_pages(u, IDENTITY))


def parts(u: UnderPad):
    assert u.laid.flange is not None
    assert u.laid.press is not None
    assert u.run is not None
    return u.laid.flange, u.laid.press, u.run


def stopped_half_way() -> UnderPad:
    u = small_case()
    assert u.run is not None
    return replace(
        u,
        run=replace(u.run, path=u.run.path[:25], points=u.run.points[:1], closing=None, outcome=answer.STOPPED),
        outcome="not-converged",
        fluid_closing=None,
    )


def before_the_first_point() -> UnderPad:
    u = stopped_half_way()
    assert u.run is not None
    return replace(u, run=replace(u.run, path=u.run.path[:5], points=()), fluid=None, outcome="cancelled")


def loose() -> UnderPad:
    u = small_case()
    return replace(u, laid=lay(plan_of(small_part(), small_press(held="loose"), "P2"), PadAsk(pressure=2.0)))


STATES = {"closed": small_case, "stopped": stopped_half_way, "hardly begun": before_the_first_point, "loose": loose}


@pytest.mark.parametrize("which", list(STATES))
@pytest.mark.parametrize("first", ["in", "mm"])
def test_no_line_runs_through_print_and_nothing_leaves_the_page(which: str, first: str) -> None:
    identity = replace(IDENTITY, first=first)
    for page in pad_pages(STATES[which](), identity):
        assert unreadable(page) == []
        assert outside(page) == []


def test_the_sheet_says_its_numbers_and_that_nothing_was_compared() -> None:
    u = small_case()
    _, _, run = parts(u)
    text = said(drawn(u))
    assert run.closing is not None
    assert u.lost is not None
    first = IDENTITY.first
    for mpa in (run.closing, u.fluid_closing, u.lost):
        assert show_pressure(mpa, first).partition(" (")[0] in text  # type: ignore[arg-type]
    last = run.points[-1].released
    assert last is not None
    assert show_angle(last.angle) in text
    assert "Nothing here was compared with a real formed part." in text
    assert "no more than half its least width" in text


def test_a_run_that_stopped_says_so_and_leaves_out_a_sheet_that_is_not_of_that_moment() -> None:
    u = stopped_half_way()
    _, _, run = parts(u)
    assert not one_state(run)
    text = said(drawn(u))
    assert "The pad model stopped here" in text
    assert "The sheet is left out" in text
    assert "stays open by" in text
    assert "The sheet is left out" not in said(drawn(small_case()))


def test_the_pad_drawn_keeps_its_area_and_stays_off_block_table_and_container() -> None:
    f, p, run = parts(small_case())
    x, y = np.array(pad_ring(run)).T
    area = 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))
    assert area == pytest.approx(p.half_width * p.thickness, rel=0.01)
    give = 0.2  # soft walls give a little where the rubber pushes
    assert x.min() > -1e-9
    assert x.max() < p.half_width + give
    assert y.min() > -give
    wall = np.array(block_ring(f, p))
    over = (x < origin(f, p)[0]) & (y < p.block_height + f.t + 40.0)
    assert y[over].min() > p.block_height + f.t - give
    assert wall[:, 1].max() == p.block_height


def test_the_elements_lines_are_the_columns_and_rows_of_the_pad() -> None:
    _, p, run = parts(small_case())
    upright, level = grid_lines(run)
    assert len(upright) * len(level) == len(run.nodes)
    assert np.ptp(level[-1][:, 1]) < 0.05  # under the ram, as far as the elements there give
    assert np.abs(upright[0][:, 0]).max() < 1e-6  # in the middle of the block
    few = thinned(upright, 5.0)
    assert few[0] is upright[0]
    assert few[-1] is upright[-1]
    assert 2 < len(few) < len(upright)
    assert p.half_width > 0


def test_the_sheet_lies_on_its_block_with_its_thickness() -> None:
    f, p, run = parts(small_case())
    inner, outer = faces(run.points[-1].loaded, f, p)
    thick = np.hypot(*(outer - inner).T)
    assert thick == pytest.approx(f.t, rel=0.1)
    web = inner[:, 0] < origin(f, p)[0] - 3.0 * f.t
    assert inner[web, 1] == pytest.approx(p.block_height, abs=0.05)


def test_windows_hold_what_they_are_for() -> None:
    f, p, run = parts(small_case())
    whole = whole_window(p, run)
    assert whole.x0 <= p.block_half <= whole.x1
    inner, outer = faces(run.points[-1].loaded, f, p)
    near = near_window(f, p, [inner, outer])
    flange = np.vstack([inner, outer])
    flange = flange[flange[:, 0] > origin(f, p)[0]]
    assert near.x0 < flange[:, 0].min()
    assert flange[:, 0].max() < near.x1
    assert near.y0 < flange[:, 1].min()
    wide = replace(p, block_half=900.0, half_width=1500.0)
    assert whole_window(wide, run).size[0] <= 2.0 * max(2.5 * p.block_height, 1.1 * p.thickness) + 1e-9


def test_a_chart_places_the_ends_of_its_scales_on_its_frame() -> None:
    axes = Axes((1.0, 100.0), (0.0, 50.0), (90.0, 60.0))
    (x0, y0), (x1, y1) = axes(1.0, 0.0), axes(100.0, 50.0)
    assert axes(10.0, 25.0) == (pytest.approx((x0 + x1) / 2.0), pytest.approx((y0 + y1) / 2.0))
    assert axes(1000.0, 500.0) == (x1, y1)  # held inside
    lines = [i for i in frame(axes, "t", "x", "y") if isinstance(i, Line)]
    assert all(0.0 <= line.x0 <= 90.0 and -60.0 <= line.y0 <= 0.0 for line in lines)
    assert steps_of(0.0, 50.0) == [0.0, 10.0, 20.0, 30.0, 40.0, 50.0]
    assert [round_top(v) for v in (0.0, 0.41, 1.0, 96.0, 1234.0)] == [1.0, 0.5, 1.0, 100.0, 1500.0]


def test_the_pressure_along_the_sheet_is_a_chart_of_its_own_only_where_a_pressure_was_reached() -> None:
    def titles(u: UnderPad) -> list[str]:
        pieces = pad_pieces(u, IDENTITY, 190.0)
        return [t.text for p in pieces for t in p.items if isinstance(t, Text)]

    assert any(t.startswith("Pressure along the sheet at") for t in titles(small_case()))
    assert not any(t.startswith("Pressure along the sheet at") for t in titles(before_the_first_point()))
