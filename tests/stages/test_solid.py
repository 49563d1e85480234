"""The block as level sections for a solid: levels, curves, frame, and what cannot be made."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from building import box, job_of
from random_blocks import RandomBlock
from ribwright.stages.blank import make_blank
from ribwright.stages.block import Block, make_block
from ribwright.stages.solid import CHORD_MM, CURVE_AT_WORST_MM, CURVE_MM, Body, Loft, block_body, ring_bodies

PINS = '[[hole]]\nname = "{n}"\nkind = "tooling"\nat = {at}\ndiameter = 5\npin_fit = 0.1\n'
HOLE = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = {at}\ndiameter = 40\ncut_diameter = 30\nbend_angle = 45\n'
    'bend_radius = 3\nturn = "{turn}"\nline = "outside-mold-line"\n'
)


def made(text: str) -> tuple[Block, Body]:
    job = job_of(text)
    block = make_block(job, make_blank(job))
    return block, block_body(job, block)


def outside(body: Body) -> Loft:
    assert isinstance(body.outside, Loft)
    return body.outside


@pytest.mark.parametrize("seed", [4, 7, 16])
def test_every_level_lies_on_the_exact_section(seed: int) -> None:
    """Points of the curves against fine points of the walls at that depth."""
    block, body = made(RandomBlock(seed).text())
    assert not body.why_not
    for loft, k in [(outside(body), 0), *((o, i + 1) for i, o in enumerate(body.openings))]:
        for level in range(0, len(loft.depths), 4):
            z = loft.depths[level]
            fine = []
            for span in block.walls.at(z)[k].spans:
                s = np.linspace(span.s0, span.s1, 1001)
                fine += [span.start[None], span.wall.line(z).point(s), span.end[None]]
            exact = shapely.LinearRing(np.concatenate(fine))
            off = shapely.distance(exact, shapely.points(loft.points(level, 5)))
            assert np.max(off) <= CURVE_MM + 1e-4


@pytest.mark.parametrize("seed", [1, 9])
def test_levels_keep_their_number_of_curves_and_share_their_ends(seed: int) -> None:
    _, body = made(RandomBlock(seed).text())
    for loft in (outside(body), *body.openings):
        for level in loft.poles:
            assert len(level) == len(loft.knots)
            for a, b in zip(level, [*level[1:], level[0]], strict=True):
                assert a[-1] == pytest.approx(b[0], abs=1e-9)


def test_levels_are_as_many_as_the_rounding_asks_for() -> None:
    """A larger edge radius needs more; none needs two. Chords stay within CHORD_MM of the arc."""
    small, large = (outside(made(box(radius=r, width=20, w=400, h=300))[1]) for r in (2, 8))
    assert 8 <= len(small.depths) < len(large.depths)
    assert len(outside(made(box(flanges=(False,) * 4))[1]).depths) == 2
    block, body = made(box(radius=8, width=20, w=400, h=300))
    rb = block.edge_radius[0]
    depths = np.array(outside(body).depths[:-1])
    turns = np.diff(np.arccos(1 - depths / rb))
    assert rb * (1 - np.cos(turns.max() / 2)) <= CHORD_MM


def test_a_block_stands_as_on_the_table_and_flanges_up_mirror_it() -> None:
    text = box(flanges=(True, True, False, False)) + PINS.format(n="P", at=[30, 60])
    _, down = made(text)
    _, up = made(text.replace("bend_radius = 3.0\n", 'bend_radius = 3.0\nturn = "up"\n'))
    assert not down.mirrored
    assert up.mirrored
    a, b = outside(down).points(5), outside(up).points(5)
    assert np.allclose(a * [-1, 1], b)
    assert (up.bores[0].at[0], up.bores[0].at[1]) == (-30, 60)
    assert up.volume == pytest.approx(down.volume)


def test_a_step_between_unlike_flanges_runs_over_a_tenth_of_a_millimetre() -> None:
    """Two pieces in line, one closed and one open: no edge of the level may vanish where their walls cross."""
    text = box(flanges=(True, False, True, False)).replace(
        'name = "north"\nto = [0.0, 100.0]\nflange = "f"',
        'name = "n1"\nto = [100.0, 100.0]\nflange = "f"\n[[web.edge]]\nname = "n2"\nto = [0.0, 100.0]\nflange = "g"',
    )
    text += "[flange.g]\nwidth = 15\nbend_angle = 85\nbend_radius = 4\n"
    block, body = made(text)
    assert not body.why_not
    assert any(block.walls.steps[0])
    shortest = min(
        np.hypot(*(poles[-1] - poles[0])) for level in outside(body).poles for poles in level if len(poles) == 2
    )
    assert shortest >= 0.0999


def test_a_hole_flange_turned_the_other_way_gets_a_ring_of_its_own() -> None:
    block, body = made(box() + HOLE.format(at=[100, 50], turn="up"))
    assert not body.bores
    ((name, ring),) = ring_bodies(block)
    assert name == "L"
    assert ring.height > block.rings[0].depth
    assert isinstance(ring.outside, float)
    assert ring.outside > ring.bores[0].widest


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            box() + HOLE.format(at=[100, 50], turn="down") + PINS.format(n="P", at=[122.6, 50]),
            "recess L runs into pin P",
        ),
        (box() + PINS.format(n="P", at=[3, 50]), "pin P breaks through a wall"),
        (box(w=30, h=6, width=12, flanges=(True, False, True, False)), "used up between"),
    ],
)
def test_what_cannot_be_a_sound_solid_is_refused_with_its_reason(text: str, says: str) -> None:
    _, body = made(text)
    assert len(body.why_not) == 1
    assert says in body.why_not[0]


WANDERING = """units = "mm"
[part]
number = "B"
revision = "A"
title = "Bevel"
hand = "none"
[sheet]
material = "2024-O"
thickness = 1.016
[web]
line = "inside-mold-line"
start = [0, 0]
[[web.edge]]
name = "b"
through = [100, -6]
to = [200, 0]
flange = "f"
[[web.edge]]
name = "r"
to = [200, 80]
flange = "g"
[[web.edge]]
name = "t"
to = [0, 90]
flange = "f"
[[web.edge]]
name = "l"
to = [0, 0]
[flange.f]
width = 18
bend_angle = 75
bend_radius = 3
[flange.g]
width = 16
bend_angle = [[0, 100], ["end", 80]]
bend_radius = 3
"""


def test_a_bevel_whose_end_wanders_along_its_edge_is_followed_and_not_called_a_fold() -> None:
    """A part in which the start of r lies 5 mm before its drawn end at the face and 2 mm past it at the foot."""
    block, body = made(WANDERING)
    assert not body.why_not
    loft = outside(body)
    for level in range(0, len(loft.depths), 3):
        spans = block.walls.at(loft.depths[level])[0].spans
        fine = np.concatenate([p.wall.line(loft.depths[level]).point(np.linspace(p.s0, p.s1, 2001)) for p in spans])
        off = shapely.distance(shapely.LinearRing(fine), shapely.points(loft.points(level, 5)))
        assert np.max(off) <= CURVE_AT_WORST_MM + 1e-4
