"""Joggles as the answers tell them: their steps, strain and pressure, findings, and how each number opens."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from answering import book, book_of
from building import EXAMPLES, box, example_shop, job_of
from joggled import joggled_box
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.features.part import Joggle
from ribwright.shop.shop import Press
from ribwright.stages.explain import NOT_WRITTEN
from ribwright.stages.explain.paths import numbers
from ribwright.stages.job import Job, take_in
from ribwright.stages.joggles import steps
from ribwright.stages.places import places_of
from ribwright.stages.plan import Plan, make_plan

SOUTH = (True, False, False, False)
RIVETS = (
    '[[rivets]]\nedge = "south"\non = "flange"\nline = 9\nfirst = {first}\npitch = 20\ncount = 9\ndiameter = 2.4\n'
    "edge_distance = 4.8\n"
)


def plan(extra: str, press: Press | None = None, **how: object) -> Plan:
    how = {"material": "2024-T3", "t": 0.5, "radius": 2.0, "flanges": SOUTH, **how}
    return make_plan(job_of(box(extra=extra, **how), example_shop()), press)  # type: ignore[arg-type]


def codes(p: Plan) -> dict[str, str]:
    return {f.code: f.severity for f in p.findings if f.code.startswith("joggle")}


def tail_rib() -> Job:
    return take_in(read_part(EXAMPLES / "Q7-2110-1.part.toml"), example_shop(), load_catalogue(), "Q7-2110-1")


def test_a_stretch_inside_an_edge_has_two_steps_and_one_to_its_end_has_one() -> None:
    both = plan(joggled_box(low=60.0, high=140.0))
    one = plan(joggled_box(low=60.0, high="end"))
    assert [(s.start, s.end) for s in steps(both.job, both.blank)] == [(60.0, 65.0), (135.0, 140.0)]
    assert [(s.start, s.end) for s in steps(one.job, one.blank)] == [(60.0, 65.0)]
    assert codes(both) == {}


def test_a_stretch_typed_from_its_far_end_is_the_same() -> None:
    there, back = (plan(joggled_box(low=a, high=b)) for a, b in ((60.0, 140.0), (140.0, 60.0)))
    assert there.blank.outline.points == back.blank.outline.points


def test_a_step_of_three_depths_is_short_and_one_of_four_is_not() -> None:
    assert "joggle-short" in codes(plan(joggled_box(depth=1.0, length=3.9)))
    assert "joggle-short" not in codes(plan(joggled_box(depth=1.0, length=4.0)))


def test_a_step_that_is_bent_and_lengthened_past_the_limit_may_crack() -> None:
    found = plan(joggled_box(depth=0.8, length=3.3), t=0.8, radius=2.4)
    assert codes(found)["joggle-stretch"] == "warn"
    f = next(f for f in found.findings if f.code == "joggle-stretch")
    rho = (3.3**2 + 0.8**2) / 3.2
    by_hand = 2 * rho * 2 * np.arctan(0.8 / 3.3) / 3.3 - 1 + 0.8 / 2 / rho
    assert f.value == pytest.approx(by_hand)


@pytest.mark.parametrize(("first", "warns"), [(2.0, True), (10.0, False)])
def test_a_rivet_keeps_its_edge_distance_from_a_step(first: float, warns: bool) -> None:
    """Steps at 60 to 65 and 135 to 140: rivets at 62 stand in one, those at 50, 70, 130 and 150 clear by 5."""
    assert ("joggle-near-rivet" in codes(plan(joggled_box(low=60.0, high=140.0) + RIVETS.format(first=first)))) == warns


def test_a_step_that_runs_into_a_corner_says_so() -> None:
    assert "joggle-cut-off" in codes(plan(joggled_box(low=2.0, high=100.0), flanges=(True, True, True, True)))
    assert "joggle-cut-off" not in codes(plan(joggled_box(low=30.0, high=100.0), flanges=(True, True, True, True)))


NOTCH = '[[notch]]\nedge = "south"\nat = {at}\nwidth = 10\ndepth = 12\ncorner_radius = 3\nflange_gap = 2\n'


@pytest.mark.parametrize(("at", "warns"), [(68.0, True), (100.0, False)])
def test_a_notch_over_a_step_says_so_and_one_between_two_steps_is_none_of_its_business(at: float, warns: bool) -> None:
    """The step runs from 60 to 65; the flange is cut from 61 to 75 and from 93 to 107."""
    p = plan(joggled_box(low=60.0, high=140.0) + NOTCH.format(at=at))
    assert ("joggle-cut-off" in codes(p)) == warns
    strip, _ = p.blank.strip_of("south")
    a, b = strip.at.gaps[0]
    # on the step itself a cut square to the notch's middle meets the line a little further along
    assert sorted(strip.at.along[[a, b]]) == pytest.approx([at - 7.0, at + 7.0], abs=0.6 if warns else 1e-6)


def test_a_sharp_step_does_not_lie_in_the_block_at_what_the_flanges_need_and_a_long_one_does() -> None:
    press = example_shop().press("P2")
    sharp, long = (plan(joggled_box(low=40.0, high=140.0, length=x), press) for x in (5.0, 20.0))
    assert codes(sharp)["joggle-not-set"] == "warn"
    assert codes(long) == {}
    f = next(f for f in sharp.findings if f.code == "joggle-not-set")
    assert sharp.setup is not None
    assert f.limit == pytest.approx(sharp.setup.pump_pressure)
    for s in sharp.setup.joggles:
        need = s.needs(sharp.setup.share)
        assert need is not None
        assert need.low == pytest.approx(f.value)
        assert need.low < need.value < need.high


def test_where_the_press_closes_no_flange_the_step_is_held_against_all_it_gives() -> None:
    press = example_shop().press("P2")
    assert press is not None
    p = plan(joggled_box(low=40.0, high=140.0), replace(press, rated_pressure_mpa=3.0))
    f = next(f for f in p.findings if f.code == "joggle-not-set")
    assert f.limit == pytest.approx(3.0)


def test_a_temper_without_flow_curve_has_no_setting_pressure() -> None:
    p = plan(joggled_box(), material="2024-O")
    job = replace(p.job, formed=None)
    assert all(s.needs(None) is None for s in steps(job, p.blank))


def test_the_section_model_takes_no_place_near_a_step() -> None:
    p = plan(joggled_box(low=60.0, high=140.0))
    found = places_of(p.job, p.blank)
    assert found
    for place in found:
        assert all(abs(place.along - middle) >= 2.5 + 15.0 - 1e-6 for middle in (62.5, 137.5))
        assert place.axis is None  # the edge is straight there


def test_depth_and_places_are_in_the_fingerprint() -> None:
    from ribwright.stages.fingerprint import fingerprint

    prints = {
        fingerprint(job_of(box(flanges=SOUTH, extra=joggled_box(depth=d, low=low))), "strain-corrected")
        for d, low in ((0.8, 60.0), (0.81, 60.0), (0.8, 61.0))
    }
    assert len(prints) == 3


def test_the_tail_rib_of_the_demonstration_is_planned_without_a_stop_on_every_press() -> None:
    for pid in ("P1", "P2", "P3"):
        p = make_plan(tail_rib(), example_shop().press(pid))
        assert not [f.say for f in p.findings if f.severity == "stop"]
        assert p.setup is not None
        assert len(p.setup.joggles) == 1


BOOKS = {
    "tail rib": lambda: book_of(tail_rib(), "P2"),
    "tail rib by the handbook": lambda: book_of(tail_rib(), "P1", "handbook"),
    "short, strained, near a rivet, on a weak press": lambda: book(
        box(material="2024-T3", t=0.8, radius=2.4, extra=joggled_box(low=60.0, high=140.0, length=3.0) + RIVETS.format(first=2.0)),
        example_shop(),
        "P1",
    ),
}  # fmt: skip


@pytest.mark.parametrize("which", sorted(BOOKS))
def test_every_number_opens_and_a_closed_formula_gives_it_again(which: str) -> None:
    b = BOOKS[which]()
    opened = again = 0
    for path, value in numbers(b.answer).items():
        if path.startswith("inputs.") or not ("joggle" in path or path.startswith(("findings", "blank.edges"))):
            continue
        e = b.open(path)
        assert e.told.formula != NOT_WRITTEN
        assert NOT_WRITTEN not in e.told.what, path
        opened += 1
        if e.told.again is not None:
            again += 1
            assert e.told.again == pytest.approx(value, rel=1e-6, abs=2e-9), path
        if ".joggles[" in path:
            assert any(k.path.startswith("part.joggles") for k in e.changes), path
    assert opened > 20
    assert again > 10


def test_a_joggle_reads_as_typed() -> None:
    part = tail_rib().part
    assert part.joggles == (
        Joggle(
            "upper", ("fraction", 0.0), ("mm", pytest.approx(76.2)), pytest.approx(0.8128), pytest.approx(5.08), "4"
        ),
    )
