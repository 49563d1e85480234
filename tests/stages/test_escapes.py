"""Faults that got past us once: each has a test for that very escape."""

from __future__ import annotations

import re

import numpy as np
import pytest

from building import HEAD, box, example_shop, job_of
from ribwright.stages.blank import make_blank
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.stations import Stations

FLANGE = "[flange.{n}]\nwidth = {w}\nbend_angle = {a}\nbend_radius = 3\n"


def kinked(dy: float) -> str:
    """A south side of two lines that turn a little at (100, dy); one run."""
    text = HEAD.format(units="mm", material="2024-O", t=1, line="outside-mold-line", start=[0, 0])
    for name, to, on in (
        ("s1", [100, dy], 1),
        ("s2", [200, 0], 1),
        ("e", [200, 100], 0),
        ("n", [0, 100], 0),
        ("w", [0, 0], 0),
    ):
        text += f'[[web.edge]]\nname = "{name}"\nto = {to}\n' + ('flange = "f"\n' if on else "")
    return text + FLANGE.format(n="f", w=15, a=90)


def stops(text: str) -> set[str]:
    return {f.code for f in make_plan(job_of(text)).findings if f.severity == "stop"}


@pytest.mark.parametrize("dy", [0.6, 0.1, 0.01, 1e-3, 1e-5, -1e-5, -0.01, -0.6])
@pytest.mark.parametrize("method", ["handbook", "strain-corrected"])
def test_a_kink_under_one_degree_either_way_is_no_stop(dy: float, method: str) -> None:
    import shapely

    plan = make_plan(job_of(kinked(dy)), None, method)
    assert not [f for f in plan.findings if f.severity == "stop"]
    assert shapely.Polygon(plan.blank.outline.points).is_valid
    assert shapely.Polygon(plan.block.outlines[0]).is_valid


def test_two_flange_names_with_one_section_on_a_straight_line_are_no_stop() -> None:
    text = kinked(0.0).replace('name = "s2"\nto = [200, 0]\nflange = "f"', 'name = "s2"\nto = [200, 0]\nflange = "g"')
    same = text + FLANGE.format(n="g", w=15, a=90)
    assert not stops(same)
    codes = {f.code for f in make_plan(job_of(text + FLANGE.format(n="g", w=10, a=90))).findings}
    assert "flange-step" in codes
    assert "flange-step" not in {f.code for f in make_plan(job_of(same)).findings}


def turned_box(angles: tuple[float, float, float, float], turn: float) -> Plan:
    """A box with a flange angle for each side, turned by some degrees."""
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    corners = [(0, 0), (200, 0), (200, 100), (0, 100)]
    p = [[float(c * x - s * y), float(s * x + c * y)] for x, y in corners]
    text = HEAD.format(units="mm", material="2024-O", t=1, line="outside-mold-line", start=p[0])
    for i in range(4):
        text += f'[[web.edge]]\nname = "e{i}"\nto = {p[(i + 1) % 4]}\nflange = "f{i}"\n'
    return make_plan(job_of(text + "".join(FLANGE.format(n=f"f{i}", w=15, a=a) for i, a in enumerate(angles))))


@pytest.mark.parametrize("turn", [0.0, 0.7, 31.3])
@pytest.mark.parametrize(
    ("angles", "how"),
    [
        ((97, 90, 83, 90), "slides"),
        ((97, 90, 80, 90), "slides"),
        ((95, 90, 82, 90), "slides"),
        ((92, 90, 88, 90), "slides"),
        ((97, 90, 84, 90), "trapped"),
        ((90, 90, 90, 90), "lifts"),
        ((92, 92, 92, 92), "trapped"),
    ],
)
def test_how_a_part_comes_off_does_not_depend_on_how_it_lies(angles: tuple, how: str, turn: float) -> None:
    """Facing flanges a and b: sliding up along the open one is free when b opens at least as far as a closes."""
    assert turned_box(angles, turn).block.lift.how == how


def test_a_square_hole_flange_in_its_recess_forbids_sliding() -> None:
    hole = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 60\ncut_diameter = 48\nbend_angle = 90\nbend_radius = 3\n'
    closed = box(angle=93, flanges=(True, False, False, False))
    assert make_plan(job_of(closed)).block.lift.how == "slides"
    assert make_plan(job_of(closed + hole)).block.lift.how == "trapped"


def cutout(y: float, flange: str = "") -> str:
    start = [80, y]
    edges = "".join(
        f'{{ name = "c{i}", to = {p}{flange} }}, '
        for i, p in enumerate(([120, y], [120, y + 30], [80, y + 30], [80, y]))
    )
    return f'[[cutout]]\nname = "C"\nstart = {start}\nedge = [ {edges[:-2]} ]\n'


def test_a_cutout_in_the_bend_stops_and_one_beside_it_warns() -> None:
    head, tail = box().split("[flange.f]")
    codes = {
        y: {f.code for f in make_plan(job_of(head + cutout(y) + "[flange.f]" + tail)).findings} for y in (2, 4.5, 30)
    }
    assert "hole-in-bend" in codes[2]
    assert "hole-near-bend" in codes[4.5]
    assert not codes[30] & {"hole-in-bend", "hole-near-bend"}


def test_a_cutout_flange_turned_against_the_others_is_not_cut_as_if_it_were_not() -> None:
    head, tail = box().split("[flange.f]")
    against = (
        head + cutout(30, ', flange = "u"') + "[flange.f]" + tail + FLANGE.format(n="u", w=8, a=90) + 'turn = "up"\n'
    )
    assert "cutout-turned-against" in stops(against)


def test_a_relief_that_runs_into_a_hole_stops() -> None:
    hole = '[[hole]]\nname = "H"\nkind = "plain"\nat = [{x}, {y}]\ndiameter = 5\n'
    assert "relief-meets-hole" in stops(box() + hole.format(x=192, y=8))
    assert "relief-meets-hole" not in stops(box() + hole.format(x=150, y=30))


def test_a_slot_takes_the_whole_misfit_of_a_wrong_laying() -> None:
    """Round hole a, slot b along the line to c: c and b also go onto the pins though c-b is longer than a-b."""
    from ribwright.features.part import Hole
    from ribwright.stages.pins import pins_of, wrong_layings

    a = Hole("a", "tooling", (30.0, 50.0), 5.0, pin_fit=0.1)
    b = Hole("b", "tooling", (170.0, 50.0), 5.6, pin_fit=0.1, slot=8.0, slot_angle=15.0)
    c = Hole("c", "plain", (170 - 143 * np.cos(np.radians(15)), 50 - 143 * np.sin(np.radians(15))), 5.0)
    outline = np.array([(0.0, 0.0), (210.0, 0.0), (210.0, 90.0), (0.0, 110.0)])
    turns = {round(w.turn_deg) for w in wrong_layings(pins_of((a, b)), (a, b, c), outline) if not w.flipped}
    assert -15 in turns


def test_an_end_relief_without_a_size_takes_the_shop_s_rule_and_a_small_one_warns() -> None:
    base = box(flanges=(True, False, False, False))
    corner = '[[corner]]\nat = ["south", "east"]\nrelief = "hole"\n'
    ruled = make_plan(job_of(base + corner))
    join = next(j for j in ruled.blank.joins[0] if j.relief == "hole")
    assert join.diameter == pytest.approx(max(2 * 3, 25.4 / 8))
    assert "relief-by-rule" in {f.code for f in ruled.findings}
    assert "relief-small" in {f.code for f in make_plan(job_of(base + corner + "diameter = 1\n")).findings}


def test_a_notch_has_the_hole_of_the_rule_too() -> None:
    notch = '[[corner]]\nat = ["south", "east"]\nrelief = "notch"\ngap = 2\n'
    join = next(j for j in make_blank(job_of(box() + notch)).joins[0] if j.relief == "notch")
    assert join.diameter == pytest.approx(6)


def test_least_and_most_are_taken_where_the_interior_ends_not_at_the_nearest_station() -> None:
    """Bevel 84 to 97 over 200 mm, width 15: the interior runs from 22.5 mm to 22.5 mm before the end."""
    strip = make_blank(job_of(box(angle="[[0, 84], [200, 97]]", flanges=(True, False, False, False)))).strips[0]
    at: Stations = strip.at
    low, high = at.span(at.angle, 0)
    share = at.total / 200
    assert low == pytest.approx(84 + 13 * 22.5 / 200 / share, abs=1e-3)
    assert high == pytest.approx(97 - 13 * 22.5 / 200 / share, abs=1e-3)


def test_a_pad_outside_the_fit_is_said() -> None:
    from dataclasses import replace

    from building import example_shop

    press = example_shop().press("P2")
    soft = replace(press, pad=replace(press.pad, shore_a=50))
    demand = make_plan(job_of(box(), example_shop()), soft).setup.governed
    assert "Shore A" in demand.unverified
    assert "Shore A" not in make_plan(job_of(box(), example_shop()), press).setup.governed.unverified


def test_a_bend_radius_finding_says_which_flange_or_hole_it_is_about() -> None:
    text = box(radius=0.3, extra='[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 30\n'
               "cut_diameter = 20\nbend_angle = 30\nbend_radius = 0.3\n", material="2024-T3")  # fmt: skip
    said = [f.say for f in make_plan(job_of(text)).findings if f.code.startswith("bend-radius")]
    assert [w for w in ("flange f", "hole L") if sum(w in s for s in said) == 1] == ["flange f", "hole L"]


def test_an_angle_between_two_stations_of_a_bevel_is_told_to_a_tenth_of_a_degree() -> None:
    """It once read "bend angle 96.9482" on a card for the press."""
    shop = example_shop()
    plan = make_plan(job_of(box(angle='[[0, 84], ["end", 97.123]]'), shop), shop.press("P2"))
    assert plan.setup is not None
    told = [a for d in plan.setup.demands for a in re.findall(r"bend angle ([0-9.]+)", d.unverified)]
    assert len(told) == 4
    assert all(re.fullmatch(r"[0-9]+(\.[0-9])?", a) for a in told)
