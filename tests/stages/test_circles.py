"""Strain circles on the blank: whole in the net metal, in line with the grain, and called the same by every method."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely

from building import EXAMPLES, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.errors import InputError
from ribwright.stages.blank import make_blank
from ribwright.stages.circles import CLEAR, CircleGrid, circle_grid, pitch_of, read_diameter
from ribwright.stages.job import Job, take_in

HOLES = """
[[hole]]
name = "P1"
at = [50, 50]
diameter = 8.0
kind = "tooling"
[[hole]]
name = "S"
at = [120, 40]
diameter = 6.0
kind = "tooling"
slot = 20.0
slot_angle = 30
"""
WITH_HOLES = box(extra=HOLES)
GRAIN = box().replace("thickness = 1.0", "thickness = 1.0\ngrain = 30")
TRIMMED = box(extra="[blank]\ntrim = 4.0\n")


@cache
def example(name: str) -> Job:
    file = EXAMPLES / f"{name}.part.toml"
    return take_in(read_part(file), example_shop(), load_catalogue(), str(file))


def made(job: Job, diameter: float = 5.0, method: str = "strain-corrected") -> CircleGrid:
    return circle_grid(job, make_blank(job, method), diameter)


def centres(grid: CircleGrid) -> np.ndarray:
    return np.array([(c.x, c.y) for c in grid.circles])


@pytest.mark.parametrize("diameter", [2.0, 5.0, 10.0])
@pytest.mark.parametrize("name", ["RX-0007", "Q7-2101-1", "Q7-3205-1"])
def test_every_circle_stands_clear_of_cut_lines_and_holes(name: str, diameter: float) -> None:
    job = example(name)
    blank = make_blank(job)
    grid = circle_grid(job, blank, diameter)
    rings = shapely.points(centres(grid))
    lines = [shapely.LinearRing(loop.path.chords(0.001)) for loop in blank.loops]
    assert min(shapely.distance(rings, line).min() for line in lines) >= diameter / 2 + CLEAR - 0.02
    assert shapely.contains(shapely.Polygon(lines[0]), rings).all()
    for hole in blank.holes:
        away = np.hypot(*(centres(grid) - hole.hole.at).T)
        assert away.min() >= hole.cut_diameter / 2 + diameter / 2 + CLEAR - 0.02


def test_none_that_would_fit_is_left_out() -> None:
    """Where a lattice place is free on all sides there is a circle: the rows have no gap in the middle of a plain web."""
    grid = made(job_of(box(flanges=(False,) * 4)))
    columns, rows = {c.column for c in grid.circles}, {c.row for c in grid.circles}
    assert len(grid.circles) == len(columns) * len(rows)
    assert (max(columns) - min(columns) + 1, max(rows) - min(rows) + 1) == (len(columns), len(rows))
    # a row of n pitches needs n - 1 pitches and a diameter of the length less the clearance
    room = np.array([200.0, 100.0]) - 5.0 - 2 * CLEAR
    most = np.floor(room / grid.pitch) + 1
    assert (most - [len(columns), len(rows)] <= 1).all()


def test_a_slot_is_kept_clear_along_its_whole_length() -> None:
    grid = made(job_of(WITH_HOLES), 3.0)
    u = 10.0 * np.array([np.cos(np.radians(30)), np.sin(np.radians(30))])
    slot = shapely.LineString([np.array([120, 40]) - u, np.array([120, 40]) + u])
    near = shapely.distance(shapely.points(centres(grid)), slot).min()
    assert 3.0 + 1.5 + CLEAR - 0.02 <= near < 3.0 + 1.5 + CLEAR + grid.pitch


def test_trim_carries_no_circle() -> None:
    job = job_of(TRIMMED)
    net = shapely.Polygon(make_blank(job_of(box())).outline.path.chords(0.01))
    away = shapely.distance(shapely.points(centres(made(job))), net.exterior)
    assert shapely.contains(net, shapely.points(centres(made(job)))).all()
    assert away.min() >= 2.5 + CLEAR - 0.05


def test_rows_run_along_the_grain() -> None:
    grid = made(job_of(GRAIN))
    assert grid.along_grain
    assert grid.angle == 30.0
    by_name = {(c.column, c.row): np.array([c.x, c.y]) for c in grid.circles}
    steps = [by_name[c + 1, r] - p for (c, r), p in by_name.items() if (c + 1, r) in by_name]
    assert np.allclose(steps, grid.pitch * np.array([np.cos(np.pi / 6), 0.5]))
    across = [by_name[c, r + 1] - p for (c, r), p in by_name.items() if (c, r + 1) in by_name]
    assert np.allclose(across, grid.pitch * np.array([-0.5, np.cos(np.pi / 6)]))
    assert not made(job_of(box())).along_grain


@pytest.mark.parametrize("name", ["RX-0007", "Q7-2101-1", "Q7-4410-1"])
def test_a_circle_has_one_name_and_place_by_every_method(name: str) -> None:
    job = example(name)
    one, other = ({c.name: (c.x, c.y) for c in made(job, 5.0, m).circles} for m in ("handbook", "strain-corrected"))
    shared = set(one) & set(other)
    assert len(shared) > 0.95 * len(one)
    assert all(one[n] == other[n] for n in shared)
    assert all(c.column >= 1 and c.row >= 1 for c in made(job).circles)


@pytest.mark.parametrize("name", ["RX-0007", "Q7-2102-1", "Q7-3205-1"])
def test_names_are_unique_and_a_named_circle_is_never_far(name: str) -> None:
    grid = made(example(name))
    names = [c.name for c in grid.circles]
    assert len(set(names)) == len(names)
    shown = np.array([(c.column, c.row) for c in grid.circles if c.named])
    every = np.array([(c.column, c.row) for c in grid.circles])
    assert np.abs(every[:, None] - shown[None]).max(axis=2).min(axis=1).max() <= 4
    assert len(shown) < 0.15 * len(every)
    found = grid.named(names[3])
    assert found is not None
    assert found.name == names[3]
    assert grid.named("C0-R0") is None


def test_the_pitch_leaves_room_between_circles() -> None:
    assert pitch_of(5.0) == pytest.approx(7.5)
    assert pitch_of(2.0) == pytest.approx(4.5)
    assert pitch_of(10.0) == pytest.approx(15.0)


@pytest.mark.parametrize(("text", "mm"), [("5 mm", 5.0), ("0.2 in", 5.08), ("1/4 in", 6.35)])
def test_a_diameter_is_read_with_its_unit(text: str, mm: float) -> None:
    assert read_diameter(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["5", "5 in", "0.2 mm", "five", "-5 mm", "26 mm", ""])
def test_another_diameter_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(InputError, match="--circles") as wrong:
        read_diameter(text)
    assert len(wrong.value.faults) == 1


def test_too_many_circles_are_refused() -> None:
    job = job_of(box(w=2500.0, h=1500.0))
    with pytest.raises(InputError, match="larger circles"):
        made(job, 1.0)
