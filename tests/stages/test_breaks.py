"""A flange whose width or angle breaks along a straight edge: its cut line keeps the corner, quick and by balance."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely

from building import box, job_of
from ribwright.stages.agreement import straight
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.breaks import between, sharp_stations
from ribwright.stages.inverse_cut import by_balance

ONE = (True, False, False, False)
BA = (0.01743 * 3.0 + 0.0078 * 1.0) * 90.0  # bend allowance, radius 3, thickness 1
SETBACK = 4.0
LENGTH, CLEAR = 120.0, 8.0
Rows = list[tuple[float, float]]


def part(rows: Rows, extra: str = "", line: str = "outside-mold-line") -> str:
    width = str([list(r) for r in rows])
    return box(w=LENGTH, h=80.0, flanges=ONE, width=width, extra=extra, line=line)  # type: ignore[arg-type]


def unfolded(rows: Rows, trim: float = 0.0) -> shapely.LineString:
    """The exact cut edge: bend tangent line, bend allowance, straight part."""
    x = [0.0, *(r[0] for r in rows), LENGTH]
    w = np.array([rows[0][1], *(r[1] for r in rows), rows[-1][1]])
    return shapely.LineString(np.column_stack([x, SETBACK - (BA + w - SETBACK) - trim]))


def off(blank: Blank, exact: shapely.LineString) -> float:
    """How far the cut line and the exact one lie apart, either way, clear of the edge's ends [mm]."""
    ring = shapely.LinearRing(blank.outline.path.chords(0.0005))
    far = []
    for one, other in ((ring, exact), (exact, ring)):
        p = shapely.get_coordinates(shapely.segmentize(one, 0.1))
        p = p[(p[:, 1] < -SETBACK) & (p[:, 0] > CLEAR) & (p[:, 0] < LENGTH - CLEAR)]
        far.append(float(shapely.distance(other, shapely.points(p)).max()))
    return max(far)


STEPS = [(over, to) for over in (0.6, 4.0, 8.0, 12.0) for to in (12.5, 14.0, 20.0, 24.0)]


@pytest.mark.parametrize(("over", "to"), STEPS)
def test_the_quick_cut_line_of_a_width_that_breaks_is_the_exact_unfolding(over: float, to: float) -> None:
    rows = [(50.0, 12.0), (50.0 + over, to)]
    blank = make_blank(job_of(part(rows)))
    assert straight(blank)
    assert off(blank, unfolded(rows)) < 1e-6


# elements of 2 mm, the default, and coarser than the break is long
@pytest.mark.parametrize("size", [2.0, 6.0])
@pytest.mark.parametrize(
    "rows", [[(50.0, 12.0), (54.0, 24.0)], [(50.0, 12.0), (62.0, 14.0)], [(40.0, 20.0), (50.0, 12.0), (60.0, 20.0)]]
)
def test_the_cut_line_by_balance_keeps_the_corners_too(rows: Rows, size: float) -> None:
    job = job_of(part(rows))
    blank, made = by_balance(job, make_blank(job), size)
    assert made.answered
    assert off(blank, unfolded(rows)) < 1e-4


def test_trim_goes_round_a_corner_of_the_net_edge_as_two_lines_set_over_that_meet() -> None:
    rows, trim = [(50.0, 12.0), (60.0, 20.0)], 2.0
    job = job_of(part(rows, extra=f"[blank]\ntrim = {trim}\n"))
    blank, _ = by_balance(job, make_blank(job), 3.0)
    line = np.array(unfolded(rows).coords)
    along = np.diff(line, axis=0) / np.hypot(*np.diff(line, axis=0).T)[:, None]
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    miter = [(a + b) / (1.0 + a @ b) for a, b in itertools.pairwise(normal)]
    set_over = line + trim * np.array([normal[0], *miter, normal[-1]])
    assert off(blank, shapely.LineString(set_over)) < 1e-4


def test_the_breaks_of_width_and_angle_are_those_inside_the_edge_where_the_slope_changes() -> None:
    rows = "[[0, 12], [20, 13], [40, 14], [50, 14], [200, 20]]"  # in line at 20
    for angle, expected in (("90", [40.0, 50.0]), ("[[50, 84], [70, 96]]", [40.0, 50.0, 70.0])):
        text = box(w=LENGTH, h=80.0, flanges=ONE, width=rows, angle=angle)  # type: ignore[arg-type]
        assert make_blank(job_of(text)).laid[0].edges[0].breaks() == pytest.approx(expected, abs=1e-9)
    even = box(w=LENGTH, h=80.0, flanges=ONE, width='[[0, 12], ["end", 18]]')  # type: ignore[arg-type]
    assert not len(make_blank(job_of(even)).laid[0].edges[0].breaks())


def test_a_break_stands_at_its_station_whichever_way_the_loop_was_typed() -> None:
    head, body = part([(50.0, 12.0), (54.0, 20.0)]).split("[[web.edge]]", 1)
    tail = body[body.index("[flange.f]") :]
    edges = [("west", [0.0, 80.0]), ("north", [LENGTH, 80.0]), ("east", [LENGTH, 0.0]), ("south", [0.0, 0.0])]
    rows = [f'[[web.edge]]\nname = "{n}"\nto = {p}\n' + ('flange = "f"\n' if n == "south" else "") for n, p in edges]
    blank = make_blank(job_of(head + "".join(rows) + tail))
    strip, i = blank.strip_of("south")
    at = sharp_stations(blank, strip, i)
    # counted from the end that was typed first, which is the right one
    assert sorted(strip.at.point[at, 0]) == pytest.approx([LENGTH - 54.0, LENGTH - 50.0], abs=1e-9)
    assert sorted(strip.at.width[at]) == pytest.approx([12.0, 20.0], abs=1e-9)


def test_an_angle_that_breaks_has_a_station_there() -> None:
    text = box(w=LENGTH, h=80.0, flanges=ONE, angle="[[33.3, 80], [41.7, 96]]")
    strip = make_blank(job_of(text)).strips[0]
    for s, angle in ((33.3, 80.0), (41.7, 96.0)):
        k = int(np.argmin(np.abs(strip.at.s - s)))
        assert (strip.at.s[k], strip.at.angle[k]) == pytest.approx((s, angle), abs=1e-9)


def test_a_stretch_is_cut_at_its_corners_and_a_closed_one_begins_at_one() -> None:
    sharp = np.isin(np.arange(9), [0, 3, 5])
    pieces = between(np.array([0, 1, 2, 3, 4, 5, 6]), sharp)
    assert [p.tolist() for p in pieces] == [[0, 1, 2, 3], [3, 4, 5], [5, 6]]
    ring = between(np.array([1, 2, 3, 4, 1]), sharp)
    assert [p.tolist() for p in ring] == [[3, 4, 1, 2, 3]]
    assert [p.tolist() for p in between(np.array([6, 7, 8, 6]), sharp)] == [[6, 7, 8, 6]]
