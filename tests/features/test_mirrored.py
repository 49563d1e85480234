"""The opposite hand of a part, held against parts typed mirrored, point by point, and against the stages."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import EXAMPLES, RandomPart, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.features.mirrored import mirrored, mirrored_direction
from ribwright.features.part import Part
from ribwright.shop.shop import Shop
from ribwright.stages.blank import Blank
from ribwright.stages.checks.context import Finding
from ribwright.stages.job import take_in
from ribwright.stages.plan import Plan, make_plan

SEEDS = range(12)
PAIR = ('number = "T-1"', 'number = "T-1"\nopposite = "T-2"')
DETAILED = """
[[web.edge]]
name = "wave"
spline = [[150, 112], [100, 104], [50, 109], [0, 100]]
tangent = "end"
flange = "f"
[[web.edge]]
name = "west"
to = [0, 0]
[[cutout]]
name = "bay"
start = [60, 40]
edge = [
  { name = "b1", to = [60, 60] }, { name = "b2", through = [75, 68], to = [90, 60] }, { name = "b3", to = [90, 40] },
  { name = "b4", to = [60, 40] },
]
[flange.f]
width = [["start", 15], ["40 %", 18], [120, 14]]
bend_angle = [[0, 84], ["end", 97]]
bend_radius = 3
flutes = "drawn"
[[corner]]
at = ["south", "east"]
relief = "hole"
diameter = 5
[[corner]]
at = ["wave", "west"]
relief = "none"
[[hole]]
name = "P1"
kind = "tooling"
at = [30, 30]
diameter = 5
slot = 3
slot_angle = 33.3
[[rivets]]
edge = "south"
on = "flange"
line = 8
first = 10
pitch = 20
count = 5
diameter = 3
edge_distance = 6
[[notch]]
edge = "south"
at = "30 %"
width = 10
depth = 5
[[flute]]
edge = "wave"
at = 40
width = 10
depth = 2
[[joggle]]
edge = "wave"
from = "start"
to = 30
depth = 1
length = 8
[[bead]]
points = [[30, 80], [80, 90]]
section = "round"
width = 8
depth = 2
"""


def detailed() -> Part:
    """A part with every kind of thing that a part file knows."""
    head = box().split('[[web.edge]]\nname = "north"')[0]
    head = head.replace("thickness = 1.0", "thickness = 1.0\ngrain = 33.3").replace(*PAIR)
    head = head.replace('hand = "none"', 'hand = "left"')
    return parse_part(head + DETAILED)


def ring(blank: Blank, k: int = 0) -> np.ndarray:
    return np.array(blank.loops[k].points)


def apart(a: np.ndarray, b: np.ndarray) -> float:
    """Largest distance between two rings that have the same points in some order."""
    assert len(a) == len(b)
    d = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    return float(max(d.min(axis=0).max(), d.min(axis=1).max()))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_mirror_of_a_part_is_the_part_typed_mirrored(seed: int) -> None:
    part = RandomPart(seed)
    plain, typed = parse_part(part.text()), parse_part(part.text(mirror=True))
    assert typed.outer.turned
    assert replace(mirrored(plain), number="T-1", opposite="", drawn=True) == typed
    assert replace(mirrored(typed), number="T-1", opposite="", drawn=True) == plain


def test_the_mirror_of_the_left_tip_rib_is_the_right_one_that_was_drawn_by_hand() -> None:
    """The file of the right hand was typed from the drawing before any mirror was made here."""
    left, right = (read_part(EXAMPLES / f"Q7-2105-{k}.part.toml") for k in (1, 2))
    assert replace(mirrored(left), drawn=True) == right


@pytest.mark.parametrize("part", [detailed(), *(parse_part(RandomPart(s).text()) for s in SEEDS)])
def test_mirrored_twice_a_part_is_itself(part: Part) -> None:
    part = replace(part, opposite="T-2")
    assert mirrored(mirrored(part)) == part
    assert mirrored(part) != part


def test_number_and_hand_change_places_and_everything_else_that_is_no_place_stays() -> None:
    part = detailed()
    other = mirrored(part)
    assert (other.number, other.opposite, other.hand, other.drawn) == ("T-2", "T-1", "right", False)
    for kept in ("flanges", "rivets", "notches", "flutes", "joggles", "tolerance", "approval", "line", "revision"):
        assert getattr(other, kept) == getattr(part, kept)


def test_places_and_directions_are_mirrored() -> None:
    part, other = detailed(), mirrored(detailed())
    assert other.sheet.grain == other.holes[0].slot_angle == 146.7
    assert other.holes[0].at == (-30.0, 30.0)
    assert other.beads[0].points == ((-30.0, 80.0), (-80.0, 90.0))
    assert {c.at for c in other.corners} == {c.at[::-1] for c in part.corners}
    assert [e.name for e in other.outer.edges] == [e.name for e in part.outer.edges][::-1]
    assert all(a.turned != b.turned for a, b in zip(part.outer.edges[::-1], other.outer.edges, strict=True))
    assert str(mirrored_direction(0.0)) == "0.0"


def test_a_spline_mirrored_is_the_mirror_of_its_curve() -> None:
    part = detailed()
    one, two = (make_plan(job(p)).blank.laid[0] for p in (part, mirrored(part)))
    for a in one.edges:
        b = next(e for e in two.edges if e.edge.name == a.edge.name)
        s = np.linspace(0, a.curve.length, 40)
        # a spline's arc length is found to some 1e-6 mm from either end
        assert np.abs(a.curve.point(s) * [-1, 1] - b.curve.point(b.curve.length - s)).max() < 1e-5


def job(part: Part):  # type: ignore[no-untyped-def]
    return take_in(part, Shop(), load_catalogue(), "t.part.toml")


def plans(part: Part) -> tuple[Plan, Plan]:
    return make_plan(job(part)), make_plan(job(mirrored(part)))


def told(f: Finding) -> tuple[object, ...]:
    """What a finding says but for its words, which name the part. Of walls that hold a part on its block alike any may be named."""
    value = None if f.value is None else round(f.value, 6)
    edge = "" if f.code == "trapped" else f.where.get("edge")
    return f.code, f.severity, value, edge, f.where.get("hole")


@pytest.mark.parametrize("seed", SEEDS)
def test_the_plan_of_the_mirror_is_the_mirror_of_the_plan(seed: int) -> None:
    """Blank and block outlines mirrored, their numbers equal, and the same findings at the same places."""
    part = job_of(RandomPart(seed).text().replace(*PAIR)).part
    one, two = plans(part)
    assert apart(ring(one.blank) * [-1, 1], ring(two.blank)) < 1e-6
    assert two.blank.area == pytest.approx(one.blank.area, rel=1e-9)
    assert two.blank.size == pytest.approx(one.blank.size, rel=1e-9)
    for name in ("outlines", "feet"):
        for a, b in zip(getattr(one.block, name), getattr(two.block, name), strict=True):
            assert apart(np.asarray(a) * [-1, 1], np.asarray(b)) < 1e-6
    walls = [{e.edge: e for e in p.block.edges} for p in (one, two)]
    assert walls[0].keys() == walls[1].keys()
    for name, a in walls[0].items():
        assert sorted(walls[1][name].under.wall) == pytest.approx(sorted(a.under.wall), abs=1e-7)
    assert sorted(map(told, two.findings), key=str) == sorted(map(told, one.findings), key=str)
    assert one.making.reversible.yes == two.making.reversible.yes


def test_what_is_said_along_an_edge_stays_with_the_same_metal() -> None:
    """A bevel from 75 to 95 deg: the flat width a stretch from the edge's start as typed is that of the other hand."""
    text = box(angle='[["start", 75], ["end", 95]]', flanges=(True, False, False, False)).replace(*PAIR)
    one, two = plans(parse_part(text))
    for a, b in zip(one.blank.strips, two.blank.strips, strict=True):
        assert b.at.angle[::-1] == pytest.approx(a.at.angle)
        assert b.strip.flat_width[::-1] == pytest.approx(a.strip.flat_width)
    assert one.blank.strips[0].at.angle[0] == pytest.approx(75)


def test_the_flutes_of_the_mirror_lie_on_the_same_metal() -> None:
    """Those that are planned on the tip rib: the same places along the edges as typed, at mirrored points."""
    left = read_part(EXAMPLES / "Q7-2105-1.part.toml")
    shop = example_shop()
    one, two = (make_plan(take_in(p, shop, load_catalogue(), "t.part.toml")).fluting for p in (left, mirrored(left)))
    rows = [
        sorted(
            (f.edge, round(f.along, 6), round(way * f.point[0], 6), round(f.depth, 6), f.turn)
            for run in p.runs
            for f in run.flutes
        )
        for p, way in ((one, -1), (two, 1))
    ]
    assert rows[0] == rows[1] != []
