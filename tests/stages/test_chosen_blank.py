"""Which blank a plan goes by: the method named, or by default the quick one where the blank by balance agrees with it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import EXAMPLES, box, example_shop, job_of
from random_blocks import RandomBlock
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.adapters.shop_toml import parse_shop
from ribwright.errors import InputError
from ribwright.shop.shop import BLANK_AGREEMENT_MM, Shop
from ribwright.stages import chosen_blank, inverse_cut
from ribwright.stages.agreement import EDGE, HOLE, apart, straight
from ribwright.stages.answers import blank_answer, block_answer, setup_answer
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.chosen_blank import AGREES, DIFFERS, EXACT, NO_ANSWER, held_beside, named
from ribwright.stages.develop import DEFAULT, INVERSE, STRAIN_CORRECTED
from ribwright.stages.job import Job, take_in
from ribwright.stages.plan import Plan, make_plan

HOLE_UP = (
    '[[hole]]\nname = "G"\nkind = "lightening"\nat = [60, 40]\ndiameter = 30\n{size}\nbend_angle = 60\nbend_radius = 3\n'
    'turn = "down"\n'
)
ONE = (True, False, False, False)


def arched(rise: float = 6.0, width: float = 15.0) -> str:
    """A box whose one flange stands on an arc."""
    return box(w=120.0, h=60.0, width=width, flanges=ONE).replace(
        "to = [120.0, 0.0]\n", f"to = [120.0, 0.0]\nthrough = [60.0, {-rise}]\n"
    )


def within(mm: float, shop: Shop | None = None) -> Shop:
    shop = shop or Shop()
    return replace(shop, rules=replace(shop.rules, blank_agreement_mm=mm))


# ---- how far two blanks lie apart


def test_a_wider_flange_lies_apart_by_what_it_is_wider_at_its_edge() -> None:
    one, other = (make_blank(job_of(box(width=w, flanges=ONE))) for w in (15.0, 15.4))
    rows = {x.name: x for x in apart(one, other)}
    assert rows["south"].mm == pytest.approx(0.4, abs=1e-9)
    assert rows["north"].mm == 0.0
    assert rows["south"].at[1] == pytest.approx(min(p[1] for p in other.outline.points), abs=0.4)
    assert apart(one, other) == tuple(sorted(apart(one, other), key=lambda x: -x.mm))


def test_it_does_not_matter_which_of_the_two_lines_sticks_out() -> None:
    one, other = make_blank(job_of(arched())), make_blank(job_of(arched(width=14.5)))
    there, back = apart(one, other), apart(other, one)
    assert [x.name for x in there][:1] == ["south"] == [x.name for x in back][:1]
    assert there[0].mm == pytest.approx(0.5, abs=0.03)
    assert back[0].mm == pytest.approx(there[0].mm, abs=1e-9)


def test_a_hole_lies_apart_by_half_the_difference_of_its_cut() -> None:
    blank = make_blank(job_of(box(extra=HOLE_UP.format(size="flange_height = 7"))))
    h = blank.holes[0]
    other = replace(blank, holes=(replace(h, cut_diameter=h.cut_diameter + 0.5),))
    first = apart(blank, other)[0]
    assert (first.kind, first.name, first.mm) == (HOLE, "G", pytest.approx(0.25))


# ---- where no run is needed


@pytest.mark.parametrize(
    ("text", "exact"),
    [
        (box(), True),
        (box(angle=75), True),
        (box(width='[[0, 12], ["end", 18]]'), True),  # type: ignore[arg-type]
        (box(angle='[[0, 84], ["end", 96]]'), False),
        (arched(), False),
        (box(extra=HOLE_UP.format(size="flange_height = 7")), False),
        (box(extra=HOLE_UP.format(size="cut_diameter = 20")), True),
        (box(extra=HOLE_UP.format(size="flat_height = 5")), True),
    ],
)
def test_only_straight_flanges_at_one_angle_need_no_run(text: str, exact: bool) -> None:
    assert straight(make_blank(job_of(text))) is exact


@pytest.mark.parametrize(
    "text", [box(w=120.0, h=80.0, angle=75), box(w=120.0, h=80.0, flanges=ONE, width='[[0, 12], ["end", 16]]')]
)  # type: ignore[arg-type]
def test_what_is_called_exact_is_what_balance_finds(text: str) -> None:
    job = job_of(text)
    quick = make_blank(job)
    other, made = inverse_cut.by_balance(job, quick, 4.0)
    assert made.answered
    # two fits of 0.01 mm, and nodes where a relief is cut into the bend
    assert apart(quick, other)[0].mm < 0.025


def test_a_straight_part_is_not_run(monkeypatch: pytest.MonkeyPatch) -> None:
    def ran(*_: object, **__: object) -> None:
        raise AssertionError("the inverse method was asked")

    monkeypatch.setattr(inverse_cut, "by_balance", ran)
    job = job_of(box())
    chosen = held_beside(job, make_blank(job))
    assert chosen.agreement is not None
    assert (chosen.agreement.outcome, chosen.agreement.within, chosen.findings) == (EXACT, 0.0, ())
    with pytest.raises(AssertionError, match="was asked"):
        held_beside(job_of(arched()), make_blank(job_of(arched())))


# ---- which is taken


def compared(job: Job, press: str = "") -> Plan:
    return make_plan(job, job.shop.press(press) if press else None, DEFAULT, compare=True)


def test_the_quick_blank_stands_where_the_two_agree_and_the_answer_says_within_what() -> None:
    plan = compared(job_of(arched(2.0), within(0.5)))
    assert plan.agreement is not None
    assert plan.agreement.outcome == AGREES
    assert plan.blank.method == STRAIN_CORRECTED
    assert plan.inverse is not None
    other, _ = inverse_cut.by_balance(plan.job, plan.blank)
    assert plan.agreement.within == apart(plan.blank, other)[0].mm
    answer = blank_answer(plan)["agreement"]
    assert answer["within_mm"] == plan.agreement.within < answer["tolerance_mm"] == 0.5
    assert "blank-by-balance" not in {f.code for f in plan.findings}


def test_the_inverse_blank_is_taken_for_the_whole_part_where_they_disagree_and_a_finding_says_where() -> None:
    plan = compared(job_of(arched(2.0), within(0.02)))
    assert plan.agreement is not None
    assert plan.agreement.outcome == DIFFERS
    assert plan.blank.method == INVERSE
    found = next(f for f in plan.findings if f.code == "blank-by-balance")
    assert found.where[EDGE] == "south"
    assert found.value == plan.agreement.within
    assert found.limit == 0.02
    assert found.margin is not None
    assert found.margin < 0.0
    assert "south" in found.say
    assert "strain-corrected" in found.say
    # every number of the sheet is the inverse one's, but for the flutes, which the block has too: those of the quick one
    alone = make_plan(plan.job, method=INVERSE)
    answer, other = blank_answer(plan), blank_answer(alone)
    assert {**answer, "agreement": None, "gather": other["gather"]} == other
    assert answer["gather"] == blank_answer(make_plan(plan.job, method=STRAIN_CORRECTED))["gather"]


def test_where_balance_has_no_answer_the_quick_blank_stands_and_says_so() -> None:
    plan = compared(job_of(RandomBlock(2).text()))  # a cut line that crosses itself
    assert plan.agreement is not None
    assert plan.agreement.outcome == NO_ANSWER
    assert plan.blank.method == STRAIN_CORRECTED
    codes = [f.code for f in plan.findings]
    assert codes.count("blank-unchecked") == 1
    assert codes.count("blank-crosses-itself") == 1


def test_block_and_set_up_are_the_same_whichever_blank_is_taken_and_wherever_they_are_asked_for() -> None:
    job = job_of(arched(), within(0.02, example_shop()))
    taken, quick = compared(job, "P2"), make_plan(job, job.shop.press("P2"), DEFAULT)
    assert taken.blank.method == INVERSE
    assert quick.blank.method == STRAIN_CORRECTED
    assert taken.asked == quick.asked == DEFAULT
    assert block_answer(taken.block) == block_answer(quick.block)
    assert taken.setup is not None
    assert quick.setup is not None
    assert setup_answer(taken.setup) == setup_answer(quick.setup)
    assert "blank-not-compared" in {f.code for f in quick.findings}
    assert "blank-not-compared" not in {f.code for f in taken.findings}
    straight_part = job_of(box())
    assert "blank-not-compared" not in {f.code for f in make_plan(straight_part, method=DEFAULT).findings}


def test_a_method_named_is_never_compared(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(chosen_blank, "held_beside", None)
    job = job_of(arched())
    plan = make_plan(job, method=STRAIN_CORRECTED, compare=True)
    assert plan.agreement is None
    assert plan.inverse is None
    with pytest.raises(ValueError, match="by eye"):
        named(job, "by eye")


def test_the_inverse_plan_keeps_its_answer_and_goes_by_it() -> None:
    plan = make_plan(job_of(arched()), method=INVERSE)
    assert plan.inverse is not None
    assert plan.inverse.answered
    assert (plan.asked, plan.blank.method) == (INVERSE, INVERSE)
    e = next(e for e in plan.inverse.edges if e.name == "south")
    np.testing.assert_allclose(np.exp(e.strain), e.formed / e.laid, rtol=1e-12)
    assert e.laid.sum() == pytest.approx(np.linalg.norm(np.diff(e.flat, axis=0), axis=1).sum(), rel=1e-4)
    low, high = float(e.strain.min()), float(e.strain.max())
    edge = next(x for x in blank_answer(plan)["edges"] if x["name"] == "south")["edge_strain"]
    assert low - 1e-12 <= edge["min"] <= edge["max"] <= high + 1e-12


# ---- the cutter's lines


def test_the_fit_is_measured_on_the_finished_lines_and_arcs() -> None:
    job = job_of(arched(10.0))
    quick: Blank = make_blank(job)
    other = inverse_cut.by_balance(job, quick, 4.0)[0]
    for blank in (quick, other):
        assert 1e-4 < blank.fit <= 0.01 + 1e-9
    line = blank_answer(make_plan(job))["cut_line"]
    assert line["lines"] + line["arcs"] == len(quick.outline.path.segments())
    assert line["fit_mm"] == quick.fit


# ---- the shop's key


def test_the_shop_says_how_far_they_may_lie_apart() -> None:
    assert Shop().rules.blank_agreement_mm == BLANK_AGREEMENT_MM == 0.25
    head = 'name = "s"\nunits = "in"\n[rules]\n'
    assert parse_shop(head + "blank_agreement = 0.015\n").rules.blank_agreement_mm == pytest.approx(0.381)
    assert parse_shop(head + 'blank_agreement = "0.4 mm"\n').rules.blank_agreement_mm == pytest.approx(0.4)
    with pytest.raises(InputError, match="above 0"):
        parse_shop(head + "blank_agreement = 0\n")


# ---- the example parts, as docs/INVERSE.md has them


@pytest.mark.parametrize(
    ("name", "outcome", "mm", "at"),
    [
        ("RX-0007", DIFFERS, 0.313, "upper"),
        ("Q7-2301-1", AGREES, 0.069, "upper"),
        *(
            pytest.param(*row, marks=pytest.mark.slow)
            for row in (
                ("Q7-2101-1", DIFFERS, 0.271, "upper"),
                ("Q7-2102-1", AGREES, 0.103, "upper"),
                ("Q7-2103-1", AGREES, 0.121, "upper"),
                ("Q7-2104-1", AGREES, 0.143, "upper"),
                ("Q7-2105-1", AGREES, 0.042, "lower"),
                ("Q7-2105-2", AGREES, 0.042, "lower"),
                ("Q7-3205-1", DIFFERS, 1.466, ""),
                ("Q7-2101-1-notched", DIFFERS, 5.239, "nose"),
                ("Q7-4410-1", AGREES, 0.013, ""),
            )
        ),
    ],
)
def test_the_example_parts_agree_as_the_page_says(name: str, outcome: str, mm: float, at: str) -> None:
    path = EXAMPLES / f"{name}.part.toml"
    job = take_in(read_part(path), example_shop(), load_catalogue(), name)
    a = held_beside(job, make_blank(job)).agreement
    assert a is not None
    assert a.outcome == outcome
    assert a.within == pytest.approx(mm, abs=0.002)
    assert not at or a.apart[0].name == at
