"""Saw zones: every flanged edge once, end to end, and what the part comes out as when it stays as sawn."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from building import RandomPart, box, job_of
from ribwright.stages.blank import make_blank
from ribwright.stages.block import Block, make_block
from ribwright.stages.job import Job
from ribwright.stages.undercut import released
from ribwright.stages.zones import Zone, zones_of

MODES = ("varying", "constant-per-edge", "none")


def zoned(text: str) -> tuple[Job, Block, tuple[Zone, ...]]:
    job = job_of(text)
    block = make_block(job, make_blank(job))
    return job, block, zones_of(job, block)


def random_bevel(seed: int) -> str:
    """A random part whose flanges change their angle twice along each edge, or not at all."""
    part, r = RandomPart(seed), np.random.default_rng(seed)
    a, b, c = r.uniform(78.0, 99.0, 3)
    if seed % 4:
        part.angle = f'[[0, {a:.3f}], ["{r.uniform(20, 80):.0f} %", {b:.3f}], ["end", {c:.3f}]]'
    return part.text() + f'[block]\nundercut = "{MODES[seed % 3]}"\n'


@pytest.mark.parametrize("seed", range(30))
def test_every_flanged_edge_lies_in_the_zones_once_end_to_end(seed: int) -> None:
    _, block, zones = zoned(random_bevel(seed))
    pieces: dict[str, list[tuple[float, float]]] = {}
    for z in zones:
        for s in z.stretches:
            pieces.setdefault(s.edge, []).append((s.start, s.end))
    assert set(pieces) == {e.edge for e in block.edges}
    for e in block.edges:
        rows = sorted(pieces[e.edge])
        assert rows[0][0] == 0.0
        assert rows[-1][1] == e.along[-1]
        assert all(a[1] == pytest.approx(b[0], abs=1e-6) for a, b in pairwise(rows))
        assert all(start < end for start, end in rows)


@pytest.mark.parametrize("seed", range(30))
def test_no_wall_is_farther_from_its_tilt_than_one_step_and_tilts_are_whole_steps(seed: int) -> None:
    job, block, zones = zoned(random_bevel(seed))
    step = job.catalogue.practice["saw_tilt_step"].value
    walls = {e.edge: e for e in block.edges}
    for z in zones:
        assert z.tilt / step == pytest.approx(round(z.tilt / step), abs=1e-9)
        for s in z.stretches:
            e = walls[s.edge]
            lean = np.interp(np.linspace(s.start, s.end, 50), e.along, e.under.wall) - 90.0
            assert np.abs(lean - z.tilt).max() <= step + 1e-6


@pytest.mark.parametrize("seed", range(30))
def test_the_angle_error_in_a_zone_never_exceeds_what_is_stated(seed: int) -> None:
    """The part's angle anywhere on the stretch, on a wall as sawn, by the closed form and no list of stations."""
    job, block, zones = zoned(random_bevel(seed))
    edges = {e.edge: e for e in block.edges}
    for z in zones:
        for s in z.stretches:
            assert s.remaining is not None
            e = edges[s.edge]
            angle = np.interp(np.linspace(s.start, s.end, 41), e.along, e.angle)
            left = released(job, job.part.flanges["f"].bend_radius, angle, 90.0 + z.tilt - angle).left
            assert s.remaining[0] - 1e-9 <= left.min()
            assert left.max() <= s.remaining[1] + 1e-9
            assert left.min() == pytest.approx(s.remaining[0], abs=0.03)


@pytest.mark.parametrize("seed", range(12))
def test_zones_stand_by_rising_tilt_with_the_setback_it_cuts_and_neighbours_differ(seed: int) -> None:
    _, block, zones = zoned(random_bevel(seed))
    tilts = [z.tilt for z in zones]
    assert tilts == sorted(set(tilts))
    for z in zones:
        assert z.setback == pytest.approx(block.height * np.tan(np.radians(z.tilt)))
        assert list(z.edges) == sorted(set(z.edges), key=[s.edge for s in z.stretches].index)


def test_an_edge_of_one_wall_takes_the_nearest_tilt_and_is_one_stretch() -> None:
    _, block, zones = zoned(box())
    assert len(zones) == 1
    assert zones[0].edges == ("south", "east", "north", "west")
    assert zones[0].tilt == pytest.approx(round(2 * (block.edges[0].under.wall[0] - 90)) / 2)
    assert all(s.whole for s in zones[0].stretches)
    assert abs(zones[0].stretches[0].remaining[0]) <= 0.25  # type: ignore[index]


def test_a_bevel_of_thirteen_degrees_needs_no_more_tilts_than_a_degree_each() -> None:
    _, _, zones = zoned(box(angle='[[0, 84], ["end", 97]]', flanges=(True, False, False, False)))
    assert len(zones) <= 15
    assert zones[0].tilt < 0 < zones[-1].tilt


@pytest.mark.parametrize("seed", range(8))
def test_the_mirrored_part_has_the_same_zones(seed: int) -> None:
    part = RandomPart(seed)
    part.angle = '[[0, 82.3], ["end", 96.1]]'  # type: ignore[assignment]
    a, b = (zoned(part.text(mirror=m))[2] for m in (False, True))
    assert [z.tilt for z in a] == [z.tilt for z in b]
    for x, y in zip(a, b, strict=True):
        ends = [sorted((s.edge, round(s.start, 6), round(s.end, 6)) for s in z.stretches) for z in (x, y)]
        assert ends[0] == ends[1]


def test_without_a_flow_curve_the_error_is_not_known() -> None:
    from dataclasses import replace

    job = job_of(box())
    job = replace(job, formed=replace(job.formed, hardening=None))
    zones = zones_of(job, make_block(job, make_blank(job)))
    assert all(s.remaining is None for z in zones for s in z.stretches)
