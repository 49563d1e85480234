"""Coming off the block, held against points of the flanges moved through the block's walls by plain geometry.

The box has four straight sides, so a block point at depth d is known without any surface normal: it lies inward of every
side's wall, whose distance from the drawn line at its station is the section's closed form.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

import numpy as np
import pytest
import shapely

from building import HEAD, job_of
from random_blocks import RandomBlock
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.block import side_of
from ribwright.stages.lift_off import LiftOff, lift_off
from ribwright.stages.section import LoopSection, Walls, walls_of

R, T, WIDTH = 3.0, 1.0, 15.0
NEAR = 0.02  # mm: chords between samples
Table = list[tuple[float, float]]
Array = np.ndarray


@dataclass(frozen=True)
class Side:
    """A straight side from p to r; `table` (along [mm], angle [deg]); None: no flange, a square wall on the line."""

    p: tuple[float, float]
    r: tuple[float, float]
    table: Table | None

    def frame(self) -> tuple[Array, Array, float]:
        u = np.subtract(self.r, self.p)
        size = float(np.hypot(*u))
        return u / size, np.array([u[1], -u[0]]) / size, size

    def angle(self, s: Array) -> Array:
        assert self.table is not None
        return np.radians(np.interp(s, [x for x, _ in self.table], [v for _, v in self.table]))

    def out(self, s: Array, depth: Array) -> Array:
        """Wall's distance outward of the drawn line at depth, along the section's arc and straight."""
        if self.table is None:
            return np.zeros(len(s))
        a = self.angle(s)
        bend = R * (1 - np.cos(a))
        arc = np.sqrt(np.maximum(R**2 - (R - np.minimum(depth, bend)) ** 2, 0))
        return -(R + T) * np.tan(a / 2) + arc + np.maximum(depth - bend, 0) / np.tan(a)

    def points(self, first: float, last: float) -> Array:
        """Points of the flange's inner face, straight and bend, (m, 3), z up."""
        assert self.table is not None
        rows = [x for x, _ in self.table if first < x < last]
        s = np.concatenate([np.linspace(first, last, 17), rows])
        t, n, _ = self.frame()
        a = self.angle(s)
        leg = WIDTH - (R + T) * np.tan(a / 2)
        out = []
        for share in np.linspace(0, 1, 4):
            flat = share * leg * np.sin(a) + R * (1 - np.cos(a))
            out += [(s, flat), (s, share * R * (1 - np.cos(a)))]
        return np.concatenate(
            [np.column_stack([np.add(self.p, x[:, None] * t + self.out(x, d)[:, None] * n), -d]) for x, d in out]
        )


def inside(sides: list[Side], at: Array) -> Array:
    """How deep points (m, 3) lie inside the block, across its nearest wall [mm]; above the web face 0."""
    depth = -at[:, 2]
    clear = []
    for side in sides:
        t, n, size = side.frame()
        rel = at[:, :2] - side.p
        s = np.clip(rel @ t, 0, size)
        clear.append(side.out(s, np.maximum(depth, 0)) - rel @ n)
    return np.where(depth > 0, np.min(clear, axis=0), 0.0)


class RandomBevels:
    """A box turned by some angle; each side plain, straight, twisted, or stepped, from 80 to 98 deg."""

    def __init__(self, seed: int, rails: bool = False):
        """`rails`: two facing sides closed, mostly straight, and two without a flange."""
        r = self.r = random.Random(seed)
        w, h, turn = r.uniform(120, 220), r.uniform(80, 140), r.uniform(0, 2 * np.pi)
        lean = r.choice([0.0, 0.0, r.uniform(-8, 8)])
        corners = [(0, 0), (w, lean), (w, h), (0, h)]
        c, s = np.cos(turn), np.sin(turn)
        p = [(float(c * x - s * y), float(s * x + c * y)) for x, y in corners]
        closed = r.randrange(4)
        self.sides = []
        for i in range(4):
            size = float(np.hypot(*np.subtract(p[(i + 1) % 4], p[i])))
            self.sides.append(
                Side(p[i], p[(i + 1) % 4], self._rail(size, i) if rails else self._table(size, i, closed))
            )

    def _rail(self, size: float, i: int) -> Table | None:
        if i % 2:
            return None
        a, more = self.r.uniform(91, 94), self.r.choice([0.0, 0.0, 2.0])
        return [(0.0, a), (size, a + more * self.r.choice([-1, 1]))]

    def _table(self, size: float, i: int, closed: int) -> Table | None:
        r = self.r
        if i != closed and r.random() < 0.4:
            return None
        low, high = (91.0, 97.0) if i == closed else (80.0, 91.0)
        a, b = (round(r.uniform(low, high), 2) for _ in range(2))
        if r.random() < 0.1:
            b = round(r.uniform(82, 97), 2)
        kind = r.choice(["even", "even", "twist", "three", "step"])
        if kind == "even":
            return [(0.0, a), (size, a)]
        if kind == "twist":
            return [(0.0, a), (size, b)]
        if kind == "three":
            return [(0.0, a), (0.4 * size, b), (size, a)]
        return [(0.0, a), (0.5 * size, a), (0.5 * size + 0.01, b), (size, b)]

    def text(self) -> str:
        s0 = self.sides[0].p
        text = HEAD.format(units="mm", material="2024-O", t=T, line="outside-mold-line", start=list(s0))
        tables = ""
        for i, side in enumerate(self.sides):
            text += f'[[web.edge]]\nname = "e{i}"\nto = {list(side.r)}\n'
            if side.table is not None:
                text += f'flange = "f{i}"\n'
                # a row for the end is typed as such: rounding must not put it past the edge
                rows = [[x, v] for x, v in side.table[:-1]] + [["end", side.table[-1][1]]]
                typed = str(rows).replace("'", '"')
                tables += f"[flange.f{i}]\nwidth = {WIDTH}\nbend_angle = {typed}\nbend_radius = {R}\n"
        return text + tables

    def flange_points(self, blank: Blank) -> Array:
        out = []
        for strip in blank.strips:
            for k in strip.run.edges:
                s = strip.at.s[strip.at.edge == k]
                out.append(self.sides[k].points(float(s[0]), float(s[-1])))
        return np.concatenate(out)


def judged(part: RandomBevels) -> tuple[LiftOff, Array]:
    blank = make_blank(job_of(part.text()))
    return lift_off(blank, {}, "down"), part.flange_points(blank)


def test_a_flange_at_rest_lies_on_its_wall() -> None:
    for seed in range(20):
        part = RandomBevels(seed)
        depth = inside(part.sides, judged(part)[1])
        assert np.max(depth) < 1e-9


STEPS = np.concatenate([[0.01, 0.2], np.linspace(0.5, 30, 20), np.linspace(31, 320, 30)])


def test_a_motion_that_is_answered_takes_no_flange_into_the_block_all_the_way() -> None:
    told = []
    for part in [RandomBevels(seed) for seed in range(40)] + [RandomBevels(seed, rails=True) for seed in range(30)]:
        lift, points = judged(part)
        if lift.how == "trapped":
            continue
        told.append((lift.how, lift.direction[2] > 0))
        for far in STEPS:
            assert np.max(inside(part.sides, points + far * np.array(lift.direction))) < NEAR, (part.sides, far, lift)
    assert told.count(("slides", True)) > 20
    assert told.count(("slides", False)) >= 3


@pytest.mark.slow
def test_of_a_part_called_trapped_no_direction_tried_is_free() -> None:
    tried = 0
    turns = np.linspace(0, 2 * np.pi, 25)[:-1]
    rises = np.radians([0.0, 3.5, 10, 25, 50, 70, 78, 83, 87, 90])
    for part in [RandomBevels(seed) for seed in range(50)] + [RandomBevels(seed, rails=True) for seed in range(5)]:
        lift, points = judged(part)
        if lift.how != "trapped":
            continue
        tried += 1
        # along the sides and between, as a part free at all is free along one
        for turn in np.concatenate([turns, [np.arctan2(*side.frame()[0][::-1]) for side in part.sides]]):
            for up in rises:
                v = np.array([np.cos(up) * np.cos(turn), np.cos(up) * np.sin(turn), np.sin(up)])
                assert any(np.max(inside(part.sides, points + far * v)) > 1e-7 for far in (0.5, 0.01, 1e-4, 5.0)), (
                    part.sides,
                    v,
                )
    assert tried > 10


def boxed(south: str, north: str) -> LiftOff:
    text = HEAD.format(units="mm", material="2024-O", t=T, line="outside-mold-line", start=[0, 0])
    for name, to, flange in (("s", [200, 0], "s"), ("e", [200, 100], ""), ("n", [0, 100], "n"), ("w", [0, 0], "")):
        text += f'[[web.edge]]\nname = "{name}"\nto = {to}\n' + (f'flange = "{flange}"\n' if flange else "")
    for name, angle in (("s", south), ("n", north)):
        text += f"[flange.{name}]\nwidth = 10\nbend_angle = {angle}\nbend_radius = {R}\n"
    return lift_off(make_blank(job_of(text)), {}, "down")


def test_two_facing_flanges_that_twist_against_each_other_do_not_slide_along_themselves() -> None:
    """The same table typed on both sides of a box runs against itself: what opens one closes the other."""
    for table in ('[[0, 84], [100, 84], [100.01, 97], ["end", 97]]', '[[0, 84], ["end", 97]]'):
        assert boxed(table, table).how == "trapped"


def test_two_facing_flanges_that_narrow_the_same_way_slide_off_that_way_like_a_wedge() -> None:
    lift = boxed('[[0, 92], ["end", 97]]', '[[0, 97], ["end", 92]]')
    assert lift.how == "slides"
    assert lift.direction == pytest.approx((1.0, 0.0, 0.0), abs=0.06)
    assert lift.direction[0] > 0


@pytest.mark.parametrize(("first", "last", "sense"), [(97, 97, -1), (97, 93, -1), (93, 97, 1)])
def test_a_flange_does_not_slide_past_a_step_in_its_own_line(first: float, last: float, sense: int) -> None:
    """The south side is two lines end to end, closed by other angles, the north closed; the wall steps in at the more
    closed one, and where the second has no flange the square wall stands in the way."""
    text = HEAD.format(units="mm", material="2024-O", t=T, line="outside-mold-line", start=[0, 0])
    plain = first == last
    for name, to, flange in (
        ("s1", [100, 0], "a"),
        ("s2", [200, 0], "" if plain else "b"),
        ("e", [200, 100], ""),
        ("n", [0, 100], "n"),
        ("w", [0, 0], ""),
    ):
        text += f'[[web.edge]]\nname = "{name}"\nto = {to}\n' + (f'flange = "{flange}"\n' if flange else "")
    for name, angle in (("a", first), ("b", last), ("n", 97)):
        if name != "b" or not plain:
            text += f"[flange.{name}]\nwidth = {WIDTH}\nbend_angle = {angle}\nbend_radius = {R}\n"
    lift = lift_off(make_blank(job_of(text)), {}, "down")
    assert lift.how == "slides"
    assert lift.direction == pytest.approx((sense, 0, 0), abs=0.06)


def curved(seed: int) -> tuple[LiftOff, Walls, Array] | None:
    """A curved, hollow or kinked part with square undercut, so that block and part have one wall; None: it is trapped, or an
    opening has a plain side, whose wall is not looked at.
    Points of its flanges by the section's own arc and straight."""
    part = RandomBlock(seed)
    part.undercut = "none"
    job = job_of(part.text())
    blank = make_blank(job)
    if any(e.flange is None for loop in blank.laid[1:] if loop.in_block for e in loop.edges):
        return None
    lift = lift_off(blank, {}, side_of(job))
    if lift.how == "trapped":
        return None
    points = []
    for strip in blank.strips:
        at, a = strip.at, np.radians(strip.at.angle)
        for share in (0.0, 0.3, 0.7, 1.0):
            out = part.radius * np.sin(a) + share * at.leg * np.cos(a)
            down = part.radius * (1 - np.cos(a)) + share * at.leg * np.sin(a)
            points.append(np.column_stack([at.tangent + out[:, None] * at.normal, -down]))
    return lift, walls_of(job, tuple(loop.edges for loop in blank.laid if loop.in_block), 40.0), np.concatenate(points)


def outline(loop: LoopSection, z: float) -> Array:
    return np.concatenate([x.wall.line(z).point(np.linspace(x.s0, x.s1, 300)) for x in loop.spans])


@pytest.mark.slow
def test_curved_parts_that_come_off_clear_the_sections_of_their_own_block_all_the_way() -> None:
    slid = 0
    for seed in range(60):
        found = curved(seed)
        if found is None or found[0].how != "slides":
            continue
        slid += 1
        lift, walls, points = found
        rise = lift.direction[2]
        for z in np.linspace(0.5, 14, 8):
            loops = [shapely.Polygon(outline(loop, float(z))).buffer(0) for loop in walls.at(float(z))]
            block = loops[0]
            for window in loops[1:]:
                block = block.difference(window)
            block = block.buffer(-0.05)
            below = points[-points[:, 2] > z]
            # each point when it has risen to this depth
            far = (-below[:, 2] - z) / rise
            there = below[:, :2] + far[:, None] * np.array(lift.direction[:2])
            assert not np.any(shapely.contains_xy(block, there[:, 0], there[:, 1])), (seed, z, lift)
    assert slid >= 5
