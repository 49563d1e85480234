"""Measured circles against the strain map: read back what the map says, and say apart what is apart."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from building import EXAMPLES, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.errors import InputError
from ribwright.geometry.midsurface.values import BEND, FLANGE
from ribwright.shop.circles import CircleRecord, Reading
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.blank_inverse import InverseBlank, inverse_blank
from ribwright.stages.circles import circle_grid
from ribwright.stages.job import Job, take_in
from ribwright.stages.measured_circles import AGREES, APART, AT_CORNER, OVER_BEND, Compared, _faces, compare_circles
from ribwright.stages.strain_map import StrainMap, strain_map

D = 4.0
# a whole stretch flange round a plain cutout: R 60, straight part 20, 90 deg
ARCS = [("c1", [150, 230], [90, 170]), ("c2", [150, 110], [210, 170])]
RING = box(w=300.0, h=340.0, width=24.0, flanges=(False,) * 4) + (
    '[[cutout]]\nname = "c"\nstart = [210, 170]\nedge = [{}]\n'.format(
        ", ".join(f'{{name = "{n}", through = {p}, to = {q}, flange = "f"}}' for n, p, q in ARCS)
    )
)


@cache
def example(name: str) -> tuple[Job, Blank, InverseBlank, StrainMap]:
    file = EXAMPLES / f"{name}.part.toml"
    return solved(take_in(read_part(file), example_shop(), load_catalogue(), str(file)))


@cache
def plain(text: str) -> tuple[Job, Blank, InverseBlank, StrainMap]:
    return solved(job_of(text))


def solved(job: Job) -> tuple[Job, Blank, InverseBlank, StrainMap]:
    blank = make_blank(job)
    made = inverse_blank(job, blank)
    m = strain_map(job, made)
    assert m is not None
    return job, blank, made, m


def against(case: tuple[Job, Blank, InverseBlank, StrainMap], record: CircleRecord) -> tuple[Compared, ...]:
    job, blank, made, m = case
    assert made.meshed.mesh is not None
    return compare_circles(job, blank, m, made.meshed.mesh, record)


def unstrained(case: tuple[Job, Blank, InverseBlank, StrainMap], diameter: float = D) -> CircleRecord:
    """Every circle of the grid, as printed."""
    grid = circle_grid(case[0], case[1], diameter)
    return CircleRecord(
        diameter, 0.05, True, tuple(Reading(c.name, None, None, diameter, diameter) for c in grid.circles), file="m.csv"
    )


def as_forecast(case: tuple[Job, Blank, InverseBlank, StrainMap], more: float = 0.0) -> tuple[Compared, ...]:
    """Circles measured to be what the map says, with `more` major strain."""
    first = against(case, unstrained(case))
    readings = tuple(
        replace(c.reading, major=D * float(np.exp(c.forecast_major + more)), minor=D * float(np.exp(c.forecast_minor)))
        for c in first
    )
    return against(case, replace(unstrained(case), readings=readings))


@pytest.mark.parametrize("name", ["RX-0007", "Q7-2101-1"])
def test_what_the_map_says_agrees_with_it_and_what_is_off_is_apart(name: str) -> None:
    case = example(name)
    same = [c for c in as_forecast(case) if c.compared]
    assert len(same) > 200
    assert all(c.outcome == AGREES for c in same)
    assert max(abs(c.major_off) for c in same) < 1e-12
    more = [c for c in as_forecast(case, 0.2) if c.compared]
    assert all(c.outcome == APART for c in more)
    assert [c.major_off for c in more] == pytest.approx([0.2] * len(more))


def test_the_web_is_as_it_was_and_counts_as_compared() -> None:
    case = example("RX-0007")
    web = [c for c in against(case, unstrained(case)) if c.place == ("web", "") and c.outcome == AGREES]
    assert len(web) > 150
    assert max(abs(c.forecast_major) + abs(c.forecast_minor) + c.faces for c in web) < 1e-9
    assert {round(c.forecast_thickness / case[0].t, 12) for c in web} == {1.0}


def test_a_circle_over_a_bend_is_not_compared_and_its_faces_say_why() -> None:
    """Inside radius 3, sheet 1: the faces of a bend are t/(2 Rm) = 14 % from the middle; a circle of 4 mm has a part of that."""
    case = plain(box())
    made = against(case, unstrained(case))
    bend = [c for c in made if c.outcome == OVER_BEND]
    assert len(bend) > 20
    assert max(c.faces for c in bend) > 0.05
    flat = [c for c in made if c.outcome != OVER_BEND]
    assert max(c.faces for c in flat) < 1e-6
    mesh = case[2].meshed.mesh
    assert mesh is not None
    bends = case[3].flat[mesh.triangles[mesh.part_of == BEND]].mean(axis=1)
    for c in flat:
        assert np.hypot(*(bends - c.at).T).min() > 0.7 * D / 2


def test_faces_of_a_curved_flange_are_half_a_thickness_over_its_radius() -> None:
    """On a cylinder of radius r as formed the hoop strain of the faces is ln(1 +- t/2r) from the middle's."""
    case = plain(RING)
    job, _, made, m = case
    mesh = made.meshed.mesh
    assert mesh is not None
    rim = m.rims[0]
    k = np.argsort(rim.flat[:, 0])[len(rim.flat) // 2]
    inward = rim.flat[k] + (rim.flat[k] - [150.0, 170.0]) / np.hypot(*(rim.flat[k] - [150.0, 170.0])) * 6.0
    turn = 2 * np.pi * np.arange(16) / 16
    points = inward + 2.0 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    formed = m.formed[m.triangles[rim.triangle[k]]].mean(axis=0)
    r = float(np.hypot(*(formed[:2] - [150.0, 170.0])))
    found = _faces(m, mesh, points, m.at_flat(points).triangle, inward)
    # the farther face; facets of 2 mm on such a circle leave a twentieth
    assert found == pytest.approx(-np.log(1 - job.t / 2 / r), rel=0.05)


def test_the_rim_of_a_whole_ring_reads_its_edge_strain() -> None:
    """A circle stands inside the rim and averages over its disc: below the rim's strain, and the nearest within a quarter of it. The sheet
    keeps its volume."""
    case = plain(RING)
    edge = float(np.mean([r.strain.mean() for r in case[3].rims]))
    ring = [c for c in against(case, unstrained(case, 3.0)) if c.compared and c.place[0] == "edge"]
    near = max(ring, key=lambda c: c.forecast_major)
    assert 0.75 * edge < near.forecast_major < edge
    assert near.forecast_thickness == pytest.approx(
        case[0].t * np.exp(-near.forecast_major - near.forecast_minor), rel=1e-12
    )


def test_names_and_places_are_the_same_circle() -> None:
    case = example("RX-0007")
    grid = circle_grid(case[0], case[1], D)
    some = [c for c in grid.circles if c.named][:10]
    by_name = tuple(Reading(c.name, None, None, 4.1, 4.0) for c in some)
    by_place = tuple(Reading("", c.x, c.y, 4.1, 4.0) for c in some)
    one, other = (against(case, CircleRecord(D, 0.1, False, r)) for r in (by_name, by_place))
    assert [replace(c, reading=by_name[0]) for c in one] == [replace(c, reading=by_name[0]) for c in other]


def test_reading_is_known_to_the_gauge() -> None:
    """0.1 mm on 5 mm is 2 %."""
    case = example("RX-0007")
    c = against(case, CircleRecord(5.0, 0.1, False, (Reading("", 150.0, 60.0, 5.0, 5.0),)))[0]
    assert (c.major, c.minor) == (0.0, 0.0)
    assert c.major_reading == pytest.approx(0.0202, abs=1e-4)
    assert c.thickness == pytest.approx(case[0].t)


def test_near_a_held_corner_nothing_is_compared() -> None:
    case = example("RX-0007")
    m, mesh = case[3], case[2].meshed.mesh
    assert mesh is not None
    odd = m.flat[m.triangles[~m.counted & (mesh.part_of == FLANGE)]].mean(axis=1)
    bends = m.flat[m.triangles[mesh.part_of == BEND]].mean(axis=1)
    clear = odd[np.argmax([np.hypot(*(bends - p).T).min() for p in odd])]
    c = against(case, CircleRecord(1.0, 0.05, False, (Reading("", *map(float, clear), 1.0, 1.0),)))[0]
    assert c.outcome == AT_CORNER
    assert not c.compared


def test_what_is_not_this_part_is_asked_about_all_at_once() -> None:
    case = example("RX-0007")
    readings = (
        Reading("C99-R99", None, None, 4.1, 4.0, None, 3),
        Reading("", 1e4, 0.0, 4.1, 4.0, None, 4),
        Reading("", 150.0, 60.0, 4.1, 4.0, 0.032, 5),
    )
    with pytest.raises(InputError) as wrong:
        against(case, CircleRecord(D, 0.1, False, readings, file="m.csv"))
    said = [f.sentence() for f in wrong.value.faults]
    assert len(said) == 3
    assert "C99-R99" in said[0]
    assert "is it this part" in said[1]
    assert "is the unit right?" in said[2]
