"""One block for both hands: its own mirror image, or square all round; else each reason at its place."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest

from building import HEAD, RandomPart, box, job_of
from ribwright.stages.blank import make_blank
from ribwright.stages.block import make_block
from ribwright.stages.plan import make_plan
from ribwright.stages.reversible import Reversible, reversible

NONE = '[block]\nundercut = "none"\n'
PIN = '[[hole]]\nname = "{name}"\nkind = "tooling"\nat = {at}\ndiameter = {d}\npin_fit = 0.08\n'
RECESS = '[[hole]]\nname = "L"\nkind = "lightening"\nat = {at}\ndiameter = 30\nflat_height = 7\nbend_angle = 40\nbend_radius = 3\n'


def judged(text: str) -> Reversible:
    job = job_of(text)
    blank = make_blank(job)
    return reversible(job, blank, make_block(job, blank))


def test_a_rectangle_with_equal_flanges_is_its_own_mirror_image_though_it_is_undercut() -> None:
    r = judged(box())
    assert (r.yes, r.how) == (True, "mirror-image")


@pytest.mark.parametrize("flanges", [(True, True, False, False), (True, False, False, True)])
def test_a_rectangle_flanged_on_two_neighbours_is_not(flanges: tuple[bool, bool, bool, bool]) -> None:
    r = judged(box(flanges=flanges))
    assert not r.yes
    assert any("south" in why and "leans IN" in why for why in r.why)


def test_a_square_flanged_on_two_neighbours_is_symmetric_about_its_diagonal() -> None:
    """Its principal axes are not fixed: the line goes through a corner."""
    r = judged(box(w=120.0, h=120.0, flanges=(True, True, False, False)))
    assert r.how == "mirror-image"
    assert r.axis == pytest.approx(135.0, abs=0.2)


def test_one_pin_off_the_line_of_symmetry_spoils_it_and_a_pair_does_not() -> None:
    pair = PIN.format(name="P1", at=[50, 50], d=5) + PIN.format(name="P2", at=[150, 50], d=5)
    assert judged(box() + pair).yes
    assert not judged(box() + PIN.format(name="P1", at=[50, 40], d=5)).yes
    uneven = PIN.format(name="P1", at=[50, 40], d=5) + PIN.format(name="P2", at=[150, 40], d=6)
    assert not judged(box() + uneven).yes


def test_a_recess_in_the_middle_keeps_the_symmetry_and_forbids_turning_over() -> None:
    middle, off = (
        judged(box(flanges=f) + RECESS.format(at=[100, 50]) + NONE) for f in ((True,) * 4, (True, True, False, False))
    )
    assert middle.how == "mirror-image"
    assert not off.yes
    assert any(why.startswith("Recess L ") for why in off.why)


def test_square_walls_without_undercut_can_be_turned_over() -> None:
    text = box(flanges=(True, True, False, False))
    assert judged(text + NONE).how == "turned-over"
    bevel = judged(box(angle=91.5, flanges=(True, True, False, False)) + NONE)
    assert not bevel.yes
    assert any("1.50 deg" in why and "3.0 deg more open" in why for why in bevel.why)


def test_the_drawings_tolerance_decides_how_square_is_square() -> None:
    text = box(angle=90.4, flanges=(True, True, False, False)) + NONE
    assert not judged(text).yes
    assert judged(text + "[tolerance]\nflange_angle = 1.0\ncontour = 0.5\n").how == "turned-over"
    tight = judged(text + "[tolerance]\nflange_angle = 1.0\ncontour = 0.05\n")
    assert not tight.yes
    assert any("would be the outline" in why for why in tight.why)


@pytest.mark.parametrize("seed", range(15))
@pytest.mark.parametrize("extra", ["", NONE])
def test_the_mirrored_part_gets_the_same_answer(seed: int, extra: str) -> None:
    a, b = (judged(RandomPart(seed).text(mirror=m) + extra) for m in (False, True))
    assert (a.yes, a.how) == (b.yes, b.how)


def mirror_symmetric(seed: int, turn: float) -> str:
    """A random six-sided part that is its own mirror image about a line turned by `turn` [deg]."""
    r = np.random.default_rng(seed)
    half = [
        (r.uniform(90, 140), r.uniform(15, 25)),
        (r.uniform(30, 60), r.uniform(60, 90)),
        (-r.uniform(60, 110), r.uniform(30, 50)),
    ]
    points = [*half, *[(x, -y) for x, y in reversed(half)]]
    c, s = cos(radians(turn)), sin(radians(turn))
    points = [(x * c - y * s, x * s + y * c) for x, y in points]
    text = HEAD.format(units="mm", material="2024-T3", t=0.8, line="outside-mold-line", start=list(points[0]))
    for i in range(6):
        on = 'flange = "f"\n' if i in (0, 1, 3, 4) else ""
        text += f'[[web.edge]]\nname = "e{i}"\nto = {list(points[(i + 1) % 6])}\n{on}'
    return text + "[flange.f]\nwidth = 12\nbend_angle = 88\nbend_radius = 3\n"


@pytest.mark.parametrize("seed", range(8))
def test_a_part_made_symmetric_about_any_line_is_found_with_that_line(seed: int) -> None:
    turn = 23.0 * seed
    r = judged(mirror_symmetric(seed, turn))
    assert r.how == "mirror-image"
    assert abs((r.axis - turn + 90) % 180 - 90) < 0.05  # type: ignore[operator]


def test_every_answer_gives_at_least_one_reason() -> None:
    for seed in range(10):
        assert all(judged(RandomPart(seed).text()).why)
        assert judged(RandomPart(seed).text()).why


BEAD = '[[bead]]\npoints = {points}\nsection = "round"\nwidth = 10\ndepth = 2\n'
FLUTE = '[[flute]]\nedge = "{edge}"\nat = {at}\nwidth = 10\ndepth = 2\n'


def test_beads_keep_the_symmetry_where_an_equal_one_lies_at_the_mirrored_place() -> None:
    both = BEAD.format(points=[[40, 40], [70, 45]]) + BEAD.format(points=[[40, 60], [70, 55]])
    assert judged(box() + both).how == "mirror-image"
    one = judged(box() + BEAD.format(points=[[40, 40], [70, 45]]))
    assert not one.yes
    assert "Bead no. 1 is cut into one face only; turned over, it would lie on solid block." in one.why


def test_flutes_keep_the_symmetry_where_each_has_its_equal_and_forbid_turning_over() -> None:
    drawn = box(extra='flutes = "drawn"\n')
    both, one = (
        make_plan(job_of(drawn + FLUTE.format(edge="south", at=60) + more)).making.reversible
        for more in (FLUTE.format(edge="north", at=140), "")
    )
    assert both.how == "mirror-image"
    assert not one.yes
    assert "Edge south: the groove of its flute deepens from the web face down; turned over, the other way." in one.why
