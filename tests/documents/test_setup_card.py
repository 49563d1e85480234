"""The set-up card: the plan's pressures and room, cautions where the step is, every page within its edges."""

import random
from dataclasses import replace

import pytest

from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents import procedure, setup_card
from ribwright.documents.page import Document
from ribwright.documents.pressure_reason import formula
from ribwright.documents.readings import band_words, face, in_steps, reading
from ribwright.documents.what_closes import what_it_does
from ribwright.shop.shop import ForceGauge, PadLayer, Routine
from ribwright.stages.finding import Finding
from ribwright.stages.plan import Plan, make_plan
from ribwright.units import FORCES, N_PER_SHORT_TON, PRESSURES, show_length, show_pressure

CASES = [("Q7-2102-1", "P2"), ("Q7-2102-1", "P3"), ("Q7-2101-1", "P1"), ("RX-0007", "P1")]


def card(plan: Plan, paper: str = "letter") -> Document:
    return setup_card.document(plan, sample_identity(plan), paper)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", CASES)
def test_nothing_prints_past_a_page(case, paper):
    document = card(sample_plan(*case), paper)
    assert document.name == "set-up-card"
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)


def test_the_card_renders_to_the_same_bytes_every_time():
    plan = sample_plan()
    assert write_pdf(card(plan)) == write_pdf(card(plan))


def test_every_page_carries_number_fingerprint_and_the_two_disclaimers():
    document = card(sample_plan())
    count = len(document.pages)
    for k, page in enumerate(document.pages):
        text = said(Document("", "", (page,)))
        assert "Q7-2102-1" in text
        assert "fingerprint 0123456789abcdef" in text
        assert f"page {k + 1} of {count}" in text
        assert "not compared with a real formed part" in text
        assert "Not an airworthiness approval" in text


@pytest.mark.parametrize("case", CASES)
def test_the_pressures_are_the_plans(case):
    s = sample_plan(*case).setup
    text = said(card(sample_plan(*case)))
    assert s is not None
    assert s.needed is not None
    assert show_pressure(s.needed.value, "in").split(" (")[0] in text
    assert band_words(s.needed.low, s.needed.high, "in") in text
    assert show_pressure(s.available, "in").split(" (")[0] in text
    assert s.limit_by in text
    gauge = face(s)
    assert gauge is not None
    assert gauge.limit is not None
    assert reading(gauge.limit, "psi")[0] in text
    stopped = bool(sample_identity(sample_plan(*case)).stops)
    for mpa in (gauge.pump, gauge.close):
        # a void card carries no reading to pump to
        assert (mpa is not None and f"{reading(mpa, 'psi')[0]}" in text) or stopped
    assert ("DO NOT PUMP" in text) == stopped


def test_the_formula_with_its_numbers_gives_the_pressure_needed():
    s = sample_plan().setup
    assert s is not None
    for demand in s.demands:
        words = formula(s, demand)
        shown = [float(w) for w in words.split("=")[-2].replace("+", " ").split()]
        assert sum(shown) == pytest.approx(demand.need.value, abs=0.011)
        assert words.endswith(f"{demand.need.value:.2f} MPa")


def test_a_fluid_press_has_no_pad_term():
    plan = sample_plan()
    assert plan.setup is not None
    fluid = make_plan(plan.job, replace(plan.setup.press, kind="fluid"))
    text = said(card(fluid))
    assert "no pad term" in text
    assert "k G =" not in text


def test_unverified_flanges_say_why():
    s = sample_plan().setup
    assert s is not None
    assert s.governed is not None
    assert s.governed.unverified
    assert f"unverified: the formula was not fitted for this flange ({s.governed.unverified})" in said(
        card(sample_plan())
    )


def test_every_flange_stands_in_the_table():
    plan = sample_plan()
    text = said(card(plan))
    assert plan.setup is not None
    for d in plan.setup.demands:
        assert show_length(d.straight, "in") in text
        assert all(str(v) in text for k, v in d.where.items() if k != "along_mm")


def test_the_lay_up_and_its_heights_are_written():
    plan = sample_plan()
    texts = texts_of(card(plan))
    assert plan.setup is not None
    for layer in plan.setup.lay_up:
        tall = "" if layer.thickness is None else f": {show_length(layer.thickness, 'in')}"
        assert f"{layer.what}{tall}" in texts


def test_room_that_is_short_is_called_short():
    plan = sample_plan()
    assert plan.setup is not None
    low = make_plan(plan.job, replace(plan.setup.press, daylight_mm=100.0))
    assert low.setup is not None
    assert f"SHORT by {show_length(-low.setup.daylight_margin, 'in')}" in said(card(low))
    assert "SHORT" not in said(card(plan))


@pytest.mark.parametrize(
    ("words", "before"),
    [
        (procedure.TABLE, "Clean the table"),
        (procedure.SCRAP, "Bring the pad down"),
        (procedure.CLEAR, "Bring the pad down"),
        (procedure.RATED, "Bring the press up slowly"),
        (procedure.STOP, "Bring the press up slowly"),
    ],
)
def test_each_caution_stands_directly_before_its_step(words, before):
    plan = sample_plan()
    assert plan.setup is not None
    rows = procedure.steps(plan, plan.setup)
    at = next(k for k, (kind, text) in enumerate(rows) if kind == "caution" and text.startswith(words))
    step = next(text for kind, text in rows[at:] if kind == "step")
    assert step.startswith(before)
    assert words.split(":")[0].split(",")[0] in said(card(plan))


def test_the_shops_procedures_and_the_presss_manual_come_first():
    text = said(card(sample_plan()))
    assert "The shop's procedures, the press's manual and licensed practice come first." in text
    assert text.index("licensed practice") < text.index("Compare part number")


def test_the_gauges_due_date_says_check_before_use():
    plan = sample_plan()
    assert plan.setup is not None
    assert plan.setup.press.gauge is not None
    assert f"due {plan.setup.press.gauge.due}, check before use" in said(card(plan))


def test_a_press_without_gauge_is_not_pumped():
    plan = sample_plan()
    assert plan.setup is not None
    text = said(card(make_plan(plan.job, replace(plan.setup.press, gauge=None))))
    assert "up slowly" not in text
    assert "do not press" in text


def test_a_stop_stands_on_the_card_and_voids_it():
    plan = replace(sample_plan(), findings=(Finding("x", "stop", "The block is crushed."),))
    text = said(card(plan))
    assert "The block is crushed." in text
    assert procedure.VOID in text
    assert "Do not pump" in text
    assert "up slowly" not in text
    assert procedure.VOID not in said(card(sample_plan()))


def test_there_are_boxes_for_what_was_done():
    texts = texts_of(card(sample_plan()))
    for label in ("gauge reached", "dwell", "hits", "operator", "date"):
        assert texts.count(label) == 3


@pytest.mark.parametrize("times", [1, 10, 300])
def test_a_long_stop_sentence_flows_and_stays_inside(times):
    long = "The block is crushed by a pressure it does not stand. " * times
    plan = replace(sample_plan(), findings=(Finding("x", "stop", long),))
    document = card(plan, "a4")
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)
    assert said(document).count("crushed") == times


def test_a_plan_without_a_press_has_no_set_up_card():
    with pytest.raises(ValueError, match="needs a press"):
        card(sample_plan("Q7-2102-1", ""))


def test_a_reading_held_at_the_limit_says_so():
    assert "at the limit: the 90 % band goes past it" in said(card(sample_plan("RX-0007", "P1")))
    assert "at the limit" not in said(card(sample_plan("Q7-2102-1", "P2")))


def test_every_warning_the_card_picks_is_a_code_of_the_checks() -> None:
    from pathlib import Path

    import ribwright.stages.checks as checks
    from ribwright.documents.setup_card import AT_THE_PRESS

    source = "".join(p.read_text() for p in Path(checks.__file__).parent.glob("*.py"))
    assert all(f'"{code}"' in source for code in AT_THE_PRESS)


def card_with(part: str = "RX-0007", **changes: object) -> tuple[Plan, str]:
    """The plan of a part on press P1 with something changed, and all print of its card."""
    plan = sample_plan(part, "P1")
    assert plan.setup is not None
    changed = make_plan(plan.job, replace(plan.setup.press, **changes))
    document = card(changed)
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)
    return changed, said(document)


def test_a_hand_pump_is_pumped_and_a_power_press_is_brought_up():
    assert "Pump slowly to" in card_with()[1]
    assert "Bring the press up slowly to" in card_with(kind="power")[1]


@pytest.mark.parametrize("case", CASES)
def test_every_flange_has_its_line_in_what_this_press_closes(case):
    plan = sample_plan(*case)
    s = plan.setup
    assert s is not None
    text = said(card(plan))
    table = text[text.index("What this press closes") : text.index("Lay-up")]
    for r in s.reached:
        assert str(r.flange.where.get("edge", r.flange.where.get("hole"))) in table
        assert what_it_does(r, s) in table.replace("\n", " ")


def test_a_flange_that_wants_less_than_half_a_degree_is_not_said_to_stay_open_by_nothing():
    s = sample_plan("Q7-2102-1", "P1").setup
    assert s is not None
    r = next(r for r in s.reached if r.closes is False and r.left_open is not None)
    nearly = replace(r, left_open=replace(r.left_open, value=0.3), under_load=replace(r.under_load, value=r.wall - 0.3))
    assert what_it_does(nearly, s).startswith("JUST SHORT of closing: turns ")
    assert what_it_does(r, s).startswith("STAYS OPEN by about ")


def test_a_flange_that_stays_open_says_by_how_much_and_what_could_be_bent():
    s = sample_plan("Q7-2102-1", "P1").setup
    assert s is not None
    text = said(card(sample_plan("Q7-2102-1", "P1")))
    worst = max(s.reached, key=lambda r: r.left_open.value if r.left_open else 0.0)
    assert worst.left_open is not None
    assert worst.shortest_straight is not None
    assert f"STAYS OPEN by about {worst.left_open.value:.0f} deg" in text
    assert show_length(worst.shortest_straight, "in") in text


def test_a_temper_that_is_not_known_is_said_not_guessed():
    plan = sample_plan("RX-0007", "P1")
    assert plan.setup is not None
    assert plan.job.formed is not None
    job = replace(plan.job, formed=replace(plan.job.formed, hardening=None))
    unknown = make_plan(job, plan.setup.press)
    assert unknown.setup is not None
    assert [r.closes for r in unknown.setup.reached] == [None] * len(plan.setup.reached)
    assert "I do not know for this temper" in said(card(unknown))


def test_what_the_shop_does_not_say_is_a_box_to_fill_in():
    silent = card_with(routine=Routine())[1]
    for name in ("dwell", "hits", "lubricant", "cover plate"):
        assert f"{name}, shop's practice:" in silent
    assert "Dwell and hits by the shop's practice." in silent
    told = card_with(routine=Routine(5.0, 2, "light oil", "1/8 in plate"))[1]
    assert "shop's practice:" not in told
    assert "Shop's choice: hold 5 s, 2 hits." in told
    assert "Lubricant, shop's choice: light oil." in told
    assert "Cover plate, shop's choice: 1/8 in plate." in told


def test_a_gauge_that_reads_force_is_read_in_its_own_unit():
    plan, text = card_with(gauge=None, force_gauge=ForceGauge(140 * N_PER_SHORT_TON, "short ton", "2031-09-01"))
    s = plan.setup
    assert s is not None
    assert s.gauge_force is not None
    assert s.gauge_limit_by == "gauge limit"
    assert "140.0 short ton" in text
    gauge = face(s)
    assert gauge is not None
    assert gauge.close is not None
    assert reading(gauge.close, "short ton")[0] in text
    assert "no gauge in the shop file" not in text


def test_a_loose_pad_brings_its_own_caution_before_the_pad_comes_down():
    press = sample_plan("RX-0007", "P1").setup
    assert press is not None
    plan, text = card_with(pad=replace(press.press.pad, held="loose"))
    assert plan.setup is not None
    rows = procedure.steps(plan, plan.setup)
    at = rows.index(("caution", procedure.LOOSE))
    assert next(words for kind, words in rows[at:] if kind == "step").startswith("Bring the pad down")
    assert "if the pad spreads" in text


def test_a_block_moved_under_the_ram_says_how_far_and_which_way():
    plan, text = card_with(off_centre_limit_mm=1.0)
    assert plan.setup is not None
    x = plan.setup.place.at[0]
    assert plan.setup.place.off_centre <= 1.0
    assert f"{show_length(abs(x), 'in')} {'right' if x > 0 else 'left'}" in text


def test_stacked_pads_stand_in_the_lay_up_next_to_the_work_first():
    press = sample_plan("RX-0007", "P1").setup
    assert press is not None
    size = press.press.pad.size_mm
    layers = (PadLayer(6.0, 50.0, "throw", size), PadLayer(40.0, 60.0, "pad", size), PadLayer(55.0, 75.0, "pad", size))
    plan, text = card_with(pad=replace(press.press.pad, layers=layers, thickness_mm=101.0, shore_a=50.0))
    assert plan.setup is not None
    names = [x.what for x in plan.setup.lay_up if x.kind in ("throw", "pad")]
    assert names == ["throw pad", "pad 1 of 2", "pad 2 of 2"]
    assert "Lay the throw pad in the middle on the blank" in text
    assert "k G of the stack" in text


@pytest.mark.parametrize("unit", [*PRESSURES, *FORCES])
def test_readings_on_paper_go_in_steps_and_never_past_a_limit(unit):
    r = random.Random(unit)
    factor = {**PRESSURES, **FORCES}[unit]
    for _ in range(300):
        limit = r.uniform(5.0, 70.0) if unit in PRESSURES else r.uniform(2e5, 5e7)
        pump = limit * r.choice([1.0, r.uniform(0.3, 1.0), r.uniform(0.98, 1.0)])
        close = pump * r.uniform(0.5, 0.97)
        done = in_steps(close, pump, limit, unit)
        assert done.limit is not None
        assert done.pump is not None
        assert done.close is not None
        # never up past what is allowed, and always a step of room under it
        assert 0.9 * limit / factor <= done.limit <= limit / factor * (1 + 1e-6)
        assert done.pump <= min(pump / factor * (1 + 1e-6), done.limit - done.step * (1 - 1e-9))
        assert done.pump >= pump / factor - 2 * done.step * (1 + 1e-6)
        assert close / factor * (1 - 1e-6) <= done.close <= done.pump
        assert done.close <= close / factor + done.step * (1 + 1e-6)
        for value in (done.close, done.pump, done.limit):
            assert abs(value / done.step - round(value / done.step)) < 1e-6
            assert float(reading(value * factor, unit)[0].split(" ")[0]) == pytest.approx(value, rel=1e-9)


def test_a_press_pumped_by_hand_has_a_step_between_pump_to_and_never_past():
    text = said(card(sample_plan("RX-0007", "P1")))
    assert "4900 psi" in text
    assert "50 psi below NEVER PAST" in text
    assert "Never past 4950 psi on the gauge" in text


def test_the_reading_never_to_pass_is_what_the_block_stands_where_that_is_less():
    s = sample_plan("Q7-4410-1", "P2").setup
    assert s is not None
    assert s.press.gauge is not None
    assert s.block_limit is not None
    assert s.never_past_mpa == pytest.approx(s.block_limit * s.area / s.press.gauge.ram_area_mm2)
    assert s.never_past_by == "block, hardboard, edges sealed"
    assert s.gauge_limit_mpa is not None
    assert s.never_past_mpa < s.gauge_limit_mpa  # the press's own limit is kept beside it
    text = said(card(sample_plan("Q7-4410-1", "P2")))
    assert "Never past 2150 psi on the gauge: block, hardboard, edges sealed." in text
    assert "4995" not in text
    assert "Never past = what the block stands on the pad, 800 psi" in text
    assert "gauge_limit_mpa" not in text


def test_a_strong_block_leaves_the_limit_to_press_and_gauge():
    s = sample_plan("Q7-2102-1", "P2").setup
    assert s is not None
    assert (s.never_past_mpa, s.never_past_by) == (s.gauge_limit_mpa, s.gauge_limit_by)


def test_a_gauge_of_force_is_held_by_the_block_too():
    plan = sample_plan("Q7-4410-1", "P2")
    assert plan.setup is not None
    press = replace(plan.setup.press, gauge=None, force_gauge=ForceGauge(800 * N_PER_SHORT_TON, "short ton", ""))
    s = make_plan(plan.job, press).setup
    assert s is not None
    assert s.block_limit is not None
    assert s.never_past_force == pytest.approx(s.block_limit * s.area)
    assert s.never_past_by.startswith("block")


def test_little_left_on_the_block_is_a_warning_and_a_strong_block_has_none():
    near = [f for f in sample_plan("Q7-4410-1", "P2").findings if f.code == "block-near-crush"]
    assert len(near) == 1
    assert near[0].margin is not None
    assert 0 <= near[0].margin < 0.1
    assert "block-near-crush" not in {f.code for f in sample_plan("Q7-2102-1", "P2").findings}


def test_the_flange_to_measure_has_its_target_and_its_gauge():
    assert "Measure a flange: edge lower, 90 deg, ± 1 deg, by G-02." in said(card(sample_plan("Q7-2102-1", "P2")))


def test_between_hits_there_is_something_to_look_for_and_a_single_hit_has_no_such_step():
    assert "Between hits, pressure off: look for wrinkles" in said(card(sample_plan("Q7-3205-1", "P3")))
    assert "Between hits" not in said(card(sample_plan("Q7-2102-1", "P2")))


def test_edges_that_all_do_the_same_are_counted_not_listed():
    text = said(card(sample_plan("Q7-3205-1", "P3")))
    assert "all 12 edges" in text[text.index("What this press closes") :]


def test_every_pressure_says_whether_it_acts_on_the_pad_or_stands_on_the_gauge():
    texts = texts_of(card(sample_plan()))
    for label in ("PUMP TO, on the gauge", "should close, on the gauge", "NEVER PAST, on the gauge"):
        assert label in texts
    text = said(card(sample_plan()))
    for label in ("pressure needed, on the pad", "pressure available, on the pad", "block stands, on the pad"):
        assert label in text


def test_the_table_of_room_and_strength_stays_on_one_page():
    for case in (("Q7-2102-1", "P2"), ("Q7-4410-1", "P2"), ("Q7-3205-1", "P3")):
        for page in card(sample_plan(*case)).pages:
            text = said(Document("", "", (page,)))
            assert ("Room and strength" in text) == ("block stands, on the pad" in text)


def test_the_tool_number_is_compared_before_pressing():
    assert "tool no. on the block: compare" in texts_of(card(sample_plan()))
