"""One pattern of pins for a family: what goes on every part, what does not and why, and that a proposal holds in the checks of a plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point

from building import box, job_of
from ribwright.stages.checks.context import Looked
from ribwright.stages.checks.hole_place import web_lines
from ribwright.stages.family_pins import CommonPins, common_pins, judged, with_pins
from ribwright.stages.family_row import family_row
from ribwright.stages.plan import Plan, make_plan

PIN = '[[hole]]\nname = "{}"\nkind = "tooling"\nat = {}\ndiameter = {}\npin_fit = 0.08\n'


def plan(number: str, w: float, h: float, *pins: tuple[tuple[float, float], float], more: str = "") -> Plan:
    """A box with pins at places, of diameters."""
    holes = "".join(PIN.format(f"P{i}", list(at), d) for i, (at, d) in enumerate(pins, 1))
    return make_plan(job_of(box(w=w, h=h, extra=holes + more).replace('"T-1"', f'"{number}"')))


def family(*plans: Plan) -> CommonPins:
    return judged(common_pins(plans), plans)


WIDE = plan("A", 200, 100, ((25, 40), 5), ((178, 50), 6))
SHORT = plan("B", 160, 90, ((25, 40), 5), ((130, 50), 6))


def test_of_two_patterns_that_all_take_the_wider_is_proposed() -> None:
    """Some 140 mm of room on the short part: its own 105.5 mm pattern goes on both, the 153.3 mm one of the long part does not."""
    common = family(WIDE, SHORT)
    assert common.all
    assert common.pattern is not None
    assert (common.pattern.source, common.pattern.share) == ("B", 1.0)
    assert [t.as_drawn for t in common.parts] == [False, True]
    roomy = family(plan("A", 200, 100, ((30, 40), 5), ((120, 50), 6)), SHORT)
    assert roomy.pattern is not None
    assert roomy.pattern.source == "B"


def test_where_no_drawn_pattern_fits_all_the_widest_is_drawn_together_until_it_does() -> None:
    tall = plan("C", 70, 200, ((35, 30), 5), ((40, 170), 6))
    common = family(WIDE, tall)
    assert common.all
    assert common.pattern is not None
    assert common.pattern.share < 1.0
    # the next wider step of either does not go on both
    assert all(p % 1.0 == pytest.approx(0.0) for xy in common.pattern.offsets for p in xy)


def test_a_pin_that_the_part_has_in_its_place_stays_where_it_is_drawn() -> None:
    common = family(
        plan("A", 200, 100, ((30, 40), 5), ((170, 50), 6)), plan("B", 210, 100, ((30, 40), 5), ((150, 50), 6))
    )
    assert common.pattern is not None
    assert [t.first for t in common.parts] == [(30.0, 40.0), (30.0, 40.0)]


@pytest.mark.parametrize("plans", [(WIDE, SHORT), (SHORT, plan("D", 150, 70, ((40, 30), 5), ((120, 40), 6)))])
def test_every_hole_of_a_proposal_keeps_the_rule_measured_from_the_part_itself(plans: tuple[Plan, ...]) -> None:
    common = family(*plans)
    assert common.all
    for p, taken in zip(plans, common.parts, strict=True):
        assert common.pattern is not None
        assert taken.first is not None
        tried = make_plan(replace(p.job, part=with_pins(p.job.part, common.pattern, taken.first)))
        lines: list[LineString] = [line for _, _, line in web_lines(Looked(tried.job, tried.blank, tried.block))]
        for hole in tried.job.part.holes:
            assert min(line.distance(Point(hole.at)) for line in lines) - hole.diameter / 2 >= 2 * p.job.t - 1e-6
        assert not {f.code for f in tried.findings} & {"hole-near-bend", "hole-in-bend", "wrong-laying"}


def test_holes_of_a_part_are_kept_clear_of() -> None:
    """A slim part with a hole in its middle: the pins of the wide one, drawn together, stand on both sides of it."""
    hole = '[[hole]]\nname = "BIG"\nkind = "plain"\nat = [50, 20]\ndiameter = 20\n'
    slim = plan("S", 100, 40, more=hole)
    common = family(WIDE, slim)
    first = common.parts[1].first
    assert common.pattern is not None
    assert first is not None
    for h, (dx, dy) in zip(common.pattern.holes, common.pattern.offsets, strict=True):
        assert np.hypot(first[0] + dx - 50, first[1] + dy - 20) >= 10 + h.diameter / 2 + 2.0


def test_a_part_too_small_does_not_take_it_and_says_which_hole_lies_where() -> None:
    tiny = plan("T", 40, 40)
    common = family(WIDE, tiny)
    assert not common.all
    assert common.parts[0].as_drawn
    assert common.parts[1].first is None
    says = "with the pattern on the middle of its web, P2 lies 65.50 mm (2.579 in) outside its room, next to the bend at east"
    assert common.parts[1].why == says


def test_a_pattern_that_lets_a_blank_go_on_the_wrong_way_round_unseen_is_not_taken() -> None:
    """Two equal pins on the line of symmetry of a sister that has none of its own."""
    sister = plan("B", 180, 100)
    common = common_pins((plan("A", 200, 100, ((30, 50), 5), ((150, 50), 5)), sister))
    assert common.all
    tried = judged(common, (WIDE, sister)).parts[1]
    assert tried.first is None
    assert "also goes onto its pins" in tried.why


def test_a_family_without_pins_has_none_in_common() -> None:
    assert family(plan("A", 200, 100), plan("B", 150, 100)).pattern is None


def test_the_row_of_a_part_is_what_its_plan_says() -> None:
    row = family_row(WIDE, "f" * 16)
    assert row["blank_mm"] == list(WIDE.blank.size)
    assert row["flat_widths"] == [
        {
            "flange": "f",
            "min_mm": min(float(s.strip.flat_width.min()) for s in WIDE.blank.strips),
            "max_mm": max(float(s.strip.flat_width.max()) for s in WIDE.blank.strips),
        }
    ]
    assert sum(row["counts"].values()) == len(WIDE.findings)
    assert row["undercut_deg"]["min"] <= row["undercut_deg"]["max"]
