"""The hand-finishing list: what needs a hand, how far, in which order, how often, and what hands do not put right."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from building import box, example_shop, job_of
from ribwright.mechanics import springback
from ribwright.mechanics import tolerance as law
from ribwright.shop.heat_treat import HeatTreat
from ribwright.shop.shop import MeasuringGauge, Rules, Shop
from ribwright.stages.found import CANNOT_TELL, INSIDE, NO_GAUGE, Found, Judged, judge
from ribwright.stages.hand_answer import hand_answer, hand_beside
from ribwright.stages.hand_list import BRING, CLOSE, HOLE, NOBODY, OPEN, PHASES, ROOT, TRIM, WEB, Beyond, HandList, Move
from ribwright.stages.handwork import expected_handwork, handwork
from ribwright.stages.plan import Plan, make_plan
from ribwright.units import MM_PER_IN

T, R = 1.0, 5.0
TABLE = Rules(minimum_radius="AC 43.13-1B table 4-6", rework_by="A. Person")
TIMES = {"flatten_web": 360.0, "set_angle": 90.0, "trim_edge": 120.0, "reinspect": 60.0}
SHOP = Shop("s", "mm", TABLE, gauges=(MeasuringGauge("G1", "protractor", "0.2 deg", ""),), hand_times=TIMES, given=True)
LIMITS = "[tolerance]\nflange_angle = 1\nflange_width = 0.5\ncontour = 0.5\nbend_radius = 0.4\nweb_flatness = 0.5\n"
HOLES = (
    '[[hole]]\nname = "P1"\nkind = "plain"\nat = [40, 50]\ndiameter = 5\n'
    '[[hole]]\nname = "L1"\nkind = "lightening"\nat = [120, 50]\ndiameter = 40\nflat_height = 8\nbend_angle = 40\nbend_radius = 4\n'
)


def plan_in(shop: Shop, material: str = "2024-O", radius: float = R, more: str = "", call: str = "") -> Plan:
    text = box(material=material, radius=radius, t=T, extra=HOLES + more + LIMITS)
    return make_plan(job_of(text.replace("thickness", f"{call}\nthickness", 1) if call else text, shop))


@cache
def plan_of(material: str = "2024-O", radius: float = R, more: str = "", call: str = "") -> Plan:
    return plan_in(SHOP, material, radius, more, call)


def angle(value: float, along: float = 100.0, edge: str = "south", u: float | None = 0.2, tol: float = 1.0) -> Judged:
    where = {"edge": edge, "along_mm": along}
    return judge(Found("flange_angle", where, value, 90.0, "deg", u, "protractor", "G1"), (tol, tol), "guarded")


def length(quantity: str, value: float, nominal: float, where: dict[str, object], tol: float = 0.5) -> Judged:
    found = Found(quantity, dict(where), value, nominal, "mm", 0.05, "calliper", "C1")
    return judge(found, (tol, tol), "guarded")


AT = {"edge": "south", "along_mm": 100.0}


def only(hands: HandList) -> Move:
    assert len(hands.moves) == 1, hands
    return hands.moves[0]


# ---------------------------------------------------------------- what is moved, and by how much


@given(st.floats(-0.79, 0.79))
@settings(max_examples=40, deadline=None)
def test_a_flange_that_is_proved_inside_gets_no_move(off: float) -> None:
    hands = handwork(plan_of(), [angle(90.0 + off)])
    assert hands.empty
    assert hands.minutes == 0.0


@given(st.floats(60, 120).filter(lambda a: abs(a - 90) > 1.0))
@settings(max_examples=40, deadline=None)
def test_the_amount_closes_the_deviation_exactly_and_says_which_way(value: float) -> None:
    plan = plan_of(radius=8.0)
    hands = handwork(plan, [angle(value)])
    rows = [*hands.moves, *hands.beyond]
    assert len(rows) == 1
    for m in hands.moves:
        assert m.stands + m.amount == pytest.approx(90.0, abs=1e-12)
        assert m.what == (CLOSE if value < 90.0 else OPEN)


def test_where_the_gauge_alone_reaches_over_the_limit_nothing_is_moved() -> None:
    reads = angle(89.1)
    assert reads.verdict == CANNOT_TELL
    hands = handwork(plan_of(), [reads])
    assert not hands.moves
    assert "finer gauge" in hands.look[0].say


def test_where_the_value_itself_is_past_the_limit_it_is_moved_though_nobody_can_tell() -> None:
    reads = angle(88.9)
    assert reads.verdict == CANNOT_TELL
    assert only(handwork(plan_of(), [reads])).amount == pytest.approx(1.1)


def test_without_a_tolerance_nobody_says_that_it_must_be_moved() -> None:
    found = replace(angle(80.0).found)
    hands = handwork(plan_of(), [judge(found, None, "guarded")])
    assert (hands.moves, hands.beyond) == ((), ())
    assert "No tolerance" in hands.look[0].say


def test_neighbours_that_go_the_same_way_are_one_move_and_a_good_place_parts_them() -> None:
    places = [angle(87.0, 20), angle(88.0, 60), angle(90.0, 100), angle(88.5, 140), angle(92.0, 180)]
    first, second, third = handwork(plan_of(), list(reversed(places))).moves
    assert (first.start, first.end, first.along, first.amount) == (20, 60, 20, pytest.approx(3.0))
    assert first.places == ((20, pytest.approx(3.0)), (60, pytest.approx(2.0)))
    assert (second.start, second.end) == (140, 140)
    assert (third.what, third.amount) == (OPEN, pytest.approx(-2.0))


def test_the_stop_is_the_limit_drawn_in_by_the_gauge() -> None:
    m = only(handwork(plan_of(), [angle(86.0)]))
    assert (m.target, m.low, m.high, m.gauge) == (90.0, pytest.approx(89.2), pytest.approx(90.8), "G1")
    coarse = only(handwork(plan_of(), [angle(80.0, u=1.5)]))
    assert coarse.low is None
    assert "no reading proves it" in coarse.stop


def test_a_gauge_that_nobody_knows_is_said_and_the_shops_best_one_is_named() -> None:
    reads = angle(86.0, u=None)
    assert reads.reason == NO_GAUGE
    m = only(handwork(plan_of(), [reads]))
    assert (m.gauge, m.low) == ("G1", pytest.approx(89.2))
    none = replace(SHOP, gauges=())
    m = only(handwork(plan_in(none), [reads]))
    assert m.low is None
    assert "no gauge of known uncertainty" in m.stop


# ---------------------------------------------------------------- how far past


def test_a_flange_is_pushed_past_by_the_closed_form_so_that_it_comes_back_to_the_drawing() -> None:
    """Law: let go from target + past, on the radius of that angle, the bend gives back `past` (tests/mechanics/test_springback.py holds
    the formula against its source)."""
    plan = plan_of()
    m = only(handwork(plan, [angle(86.0)]))
    record = plan.job.formed
    assert record is not None
    h, modulus, nu = record.hardening, record.springback_modulus(), record.number("poisson")
    tight = (R + T / 2) * 90.0 / (90.0 + m.past) - T / 2
    back = springback.closed_form_springback(h.k_mpa, h.n, modulus, nu, tight, T, 90.0 + m.past)
    assert m.past == pytest.approx(float(back), abs=1e-9)
    assert 0.5 < m.past < 8.0


def test_how_far_past_a_flange_is_opened_is_not_known_but_bounded() -> None:
    opened = only(handwork(plan_of(radius=8.0), [angle(93.0)]))
    closed = only(handwork(plan_of(radius=8.0), [angle(87.0)]))
    assert opened.past is None
    assert opened.past_most == pytest.approx(closed.past)
    assert "Bauschinger" in opened.past_why


def test_without_a_flow_curve_how_far_past_stays_not_known() -> None:
    plan = plan_of(call='formed_in = "W"')
    m = only(handwork(plan, [angle(86.0)]))
    assert (m.past, m.past_most) == (None, None)
    assert "no flow curve" in m.past_why


# ---------------------------------------------------------------- what the bend still stands


@given(st.floats(1.1, 25), st.floats(2.0, 12.0))
@settings(max_examples=60, deadline=None)
def test_accumulated_strain_grows_with_the_pass_and_never_passes_the_limit_without_scrap(
    by: float, radius: float
) -> None:
    plan = plan_of(radius=round(radius, 1))
    hands = handwork(plan, [angle(90.0 + by)])
    for m in hands.moves:
        assert m.room.after == pytest.approx(m.room.now + m.room.each)
        assert m.room.after > m.room.now
        assert m.room.limit is None or m.room.after <= m.room.limit * (1 + 1e-9)
        if m.room.limit is not None:
            assert m.room.after + m.room.passes * m.room.each <= m.room.limit * (1 + 1e-6)
            assert m.room.after + (m.room.passes + 1) * m.room.each > m.room.limit
    assert len(hands.moves) + len(hands.beyond) == 1


def test_a_flange_closed_to_the_drawing_has_the_bends_own_strain_and_one_opened_has_more() -> None:
    plan = plan_of(radius=8.0)
    own = (T / 2) / (8.0 + T / 2)
    assert only(handwork(plan, [angle(80.0)])).room.after == pytest.approx(own)
    assert only(handwork(plan, [angle(92.0)])).room.after == pytest.approx(own * 94 / 90)


def test_a_bend_at_the_tables_least_radius_may_be_closed_but_not_opened_again() -> None:
    from ribwright.shop.least_radius import radii_of

    job = plan_of().job
    known = radii_of(job.radius_table_of(job.bend_row), job.bend_row, T)
    assert known is not None
    plan = plan_of(radius=known[0])
    assert only(handwork(plan, [angle(86.0)])).room.passes == 0
    hands = handwork(plan, [angle(94.0)])
    assert not hands.moves
    assert "accumulated strain" in hands.beyond[0].why
    assert "person decides" in hands.beyond[0].then


def test_where_no_table_has_an_entry_nobody_counts_the_passes() -> None:
    plan = plan_of(call='formed_in = "W"')
    m = only(handwork(plan, [angle(86.0)]))
    assert (m.room.limit, m.room.passes) == (None, None)
    assert "no entry for" in m.room.by


# ---------------------------------------------------------------- the order, who and how long


def everything() -> list[Judged]:
    return [
        length("flange_width", 16.5, 15.0, {"edge": "north", "along_mm": 100.0}),
        angle(86.0), angle(86.0, edge="north"),
        length("bend_radius", 6.0, 5.0, {"edge": "east", "along_mm": 50.0}),
        length("hole_diameter", 4.2, 5.0, {"hole": "P1"}),
        length("web_flatness", 2.0, 0.0, {"loop": "web"}),
    ]  # fmt: skip


def test_the_web_comes_first_then_angles_and_roots_then_edges_whatever_was_measured_first() -> None:
    hands = handwork(plan_of(), everything())
    kinds = [m.what for m in hands.moves]
    assert kinds == [WEB, CLOSE, CLOSE, ROOT, TRIM, HOLE]
    phase = {what: i for i, row in enumerate(PHASES) for what in row}
    assert [phase[k] for k in kinds] == sorted(phase[k] for k in kinds)
    assert [m.order for m in hands.moves] == list(range(1, 7))


def test_every_move_says_who_allows_it_what_is_measured_again_and_why() -> None:
    for m in handwork(plan_of(), everything()).moves:
        assert m.allowed_by == "A. Person"
        assert all((m.recheck, m.why, m.source, m.tool, m.stop))
    nobody = replace(SHOP, rules=replace(TABLE, rework_by=""))
    assert handwork(plan_in(nobody), [angle(86.0)]).allowed_by == NOBODY


def test_minutes_are_the_shops_own_and_what_it_did_not_enter_is_not_known() -> None:
    hands = handwork(plan_of(), [angle(86.0, 20), angle(86.0, 100), length("web_flatness", 2.0, 0.0, {"loop": "web"})])
    assert [m.minutes for m in hands.moves] == [6.0, 3.0]  # two places of an angle at 1.5 min
    assert hands.minutes == pytest.approx(6.0 + 3.0 + 2 * 1.0)
    assert handwork(plan_of(), everything()).minutes is None  # no time for roots and holes
    silent = replace(SHOP, hand_times={})
    assert only(handwork(plan_in(silent), [angle(86.0)])).minutes is None


# ---------------------------------------------------------------- lengths, and what goes with the angle


def test_what_comes_inside_with_the_angle_gets_no_move_of_its_own() -> None:
    plan = plan_of()
    goes = law.setback_per_radian(R, T, T, 90.0) * np.radians(4.0)
    off = length("contour", -0.6 - goes / 100, 0.0, AT)
    assert -0.5 < off.found.value + goes < 0.5
    hands = handwork(plan, [angle(86.0), off])
    assert [m.what for m in hands.moves] == [CLOSE]
    assert "comes inside with the angle" in hands.look[0].say
    assert [b.quantity for b in handwork(plan, [angle(90.0), off]).beyond] == ["contour"]


def test_an_angle_that_takes_the_width_out_is_asked_about_before_it_is_set() -> None:
    goes = law.setback_per_radian(R, T, T, 90.0) * np.radians(10.0)
    assert goes > 0.05
    inside = length("flange_width", 15.44, 15.0, AT)
    assert inside.verdict == INSIDE
    hands = handwork(plan_of(), [angle(80.0), inside])
    assert "past its limit: ask before" in hands.look[0].say


def test_the_radius_of_an_open_flange_comes_back_with_its_angle_as_the_arc_is_kept() -> None:
    stands = (R + T / 2) * 90.0 / 80.0 - T / 2
    hands = handwork(plan_of(), [angle(80.0), length("bend_radius", stands, R, AT)])
    assert [m.what for m in hands.moves] == [CLOSE]
    assert "comes inside with the angle" in hands.look[0].say


@pytest.mark.parametrize(
    ("quantity", "value", "nominal", "where"),
    [
        ("flange_width", 14.0, 15.0, AT),
        ("bend_radius", 4.0, 5.0, AT),
        ("thickness", 0.4, 1.0, {"loop": "web"}),
        ("hole_position", 0.8, 0.0, {"hole": "P1", "axis": "x"}),
        ("hole_diameter", 5.8, 5.0, {"hole": "P1"}),
        ("hole_diameter", 50.0, 46.0, {"hole": "L1"}),
        ("contour", -0.9, 0.0, AT),
    ],
)
def test_what_hands_do_not_put_right_is_no_move_and_a_person_decides(quantity, value, nominal, where) -> None:
    hands = handwork(plan_of(), [length(quantity, value, nominal, where)])
    assert not hands.moves
    assert [b.quantity for b in hands.beyond] == [quantity]
    assert hands.beyond[0].then == "scrap, or a person decides"


@pytest.mark.parametrize(
    ("what", "quantity", "value", "nominal", "where"),
    [
        (TRIM, "flange_width", 16.0, 15.0, AT),
        (ROOT, "bend_radius", 6.0, 5.0, AT),
        (HOLE, "hole_diameter", 4.0, 5.0, {"hole": "P1"}),
        (BRING, "contour", 0.9, 0.0, AT),
        (WEB, "web_flatness", 1.8, 0.0, {"loop": "web"}),
    ],
)
def test_a_length_that_has_metal_to_spare_is_brought_to_its_nominal(what, quantity, value, nominal, where) -> None:
    m = only(handwork(plan_of(radius=R), [length(quantity, value, nominal, where)]))
    assert m.what == what
    assert m.stands + m.amount == pytest.approx(nominal, abs=1e-12)


def test_a_plain_edge_is_filed_to_its_line_and_never_filled_up() -> None:
    text = box(flanges=(True, True, True, False), radius=R, extra=LIMITS)
    plan = make_plan(job_of(text, SHOP))
    west = {"edge": "west", "along_mm": 50.0}
    assert only(handwork(plan, [length("contour", 0.9, 0.0, west)])).what == TRIM
    assert handwork(plan, [length("contour", -0.9, 0.0, west)]).beyond[0].quantity == "contour"


def test_bringing_a_bend_in_counts_its_own_strain_twice() -> None:
    off = length("contour", 0.9, 0.0, AT)
    m = only(handwork(plan_of(), [off]))
    assert m.room.after == pytest.approx(2 * m.room.now)
    hard = handwork(plan_of("2024-T3", radius=4.0), [off])
    assert not hard.moves
    assert "straightens part of it again" in hard.beyond[0].why


def test_a_bow_says_how_much_its_flanges_must_gather() -> None:
    """Sagitta of a shallow arc: 8 f h/L, with h from mid-thickness to the free edge."""
    plan = plan_of()
    m = only(handwork(plan, [length("web_flatness", 2.0, 0.0, {"loop": "web"})]))
    long = max(plan.block.face_size)
    assert m.gather[0] == pytest.approx(8 * 2.0 * (15.0 - T / 2) / long, rel=1e-9)
    assert m.high == pytest.approx(0.45)


# ---------------------------------------------------------------- from the forecast


@pytest.mark.parametrize("angle_", [90, [[0, 70], [100, 110]]])
@pytest.mark.parametrize("material", ["2024-T3", "6061-T6"])
def test_the_expected_moves_are_the_angles_that_one_undercut_for_the_edge_leaves(angle_: object, material: str) -> None:
    """Place by place on every edge: a move where the block leaves more than the tolerance, by just that, the other way; none elsewhere."""
    text = box(
        material=material,
        angle=angle_,
        radius=8.0,
        extra='[block]\nundercut = "constant-per-edge"\n[tolerance]\nflange_angle = 0.4\n',
    )
    plan = make_plan(job_of(text, SHOP))
    hands = expected_handwork(plan)
    moved = {(m.where["edge"], at): by for m in hands.moves for at, by in m.places}
    beyond = {(b.where["edge"], b.along) for b in hands.beyond}
    left = {(e.edge, float(a)): float(x) for e in plan.block.edges for a, x in zip(e.along, e.remaining, strict=True)}
    need = {k for k, x in left.items() if abs(x) > 0.4}
    assert set(moved) | beyond == need
    assert not set(moved) & beyond
    for key, by in moved.items():
        assert by == pytest.approx(-left[key], abs=1e-12)
    if isinstance(angle_, list):
        assert need


def test_without_undercut_a_flange_is_expected_to_be_closed_by_what_it_springs_back() -> None:
    plan = plan_of("2024-T3", radius=8.0, more='[block]\nundercut = "none"\n')
    hands = expected_handwork(plan)
    south = next(m for m in hands.moves if m.where == {"edge": "south"})
    e = next(e for e in plan.block.edges if e.edge == "south")
    assert south.what == CLOSE
    assert south.amount == pytest.approx(-float(e.remaining[0]))
    assert "without undercut" in south.why


def test_with_the_undercut_solved_along_the_edge_nothing_is_expected_but_the_band_is_told() -> None:
    hands = expected_handwork(plan_of())
    assert not [m for m in hands.moves if m.unit == "deg"]
    told = [x for x in hands.look if x.quantity == "flange_angle"]
    assert all(0.0 < x.chance < 0.9 for x in told)
    assert {x.where.get("edge") for x in told} >= {"south", "north", "east", "west"}


def test_a_flange_that_the_press_leaves_open_is_finished_by_what_is_left() -> None:
    shop = example_shop()
    press = shop.press("P2")
    assert press is not None
    extra = "[tolerance]\nflange_angle = 2\n"
    plan = make_plan(job_of(box(width=12.0, extra=extra), shop), replace(press, rated_pressure_mpa=1.0))
    open_ = {r.flange.owner: r for r in plan.setup.reached if r.closes is False}
    assert open_
    hands = expected_handwork(plan)
    for m in (x for x in hands.moves if x.what == CLOSE):
        r = open_[m.where["edge"]]
        assert m.stands == pytest.approx(r.released.value)
        assert m.stands + m.amount == pytest.approx(r.flange.angle)
    assert {m.where["edge"] for m in hands.moves} == set(open_)


def test_wrinkles_that_no_flutes_take_are_dressed_by_the_length_that_wrinkles() -> None:
    from documents.sample import sample_plan

    plan = sample_plan("Q7-3205-1")
    fluted = expected_handwork(plan)
    assert not [m for m in fluted.moves if m.what == "dress the wrinkles"]
    assert [x for x in fluted.look if x.quantity == "edge_shrink"]
    bare = replace(plan, fluting=replace(plan.fluting, runs=tuple(replace(r, flutes=()) for r in plan.fluting.runs)))
    dressed = [m for m in expected_handwork(bare).moves if m.what == "dress the wrinkles"]
    assert dressed
    for m in dressed:
        run = plan.fluting.run_of(m.where["edge"])
        assert m.amount == pytest.approx(run.least)
        assert m.room.limit is None or m.room.after <= m.room.limit
    assert dressed[0].order == 1


# ---------------------------------------------------------------- when


def when(call: str, material: str = "2024-O", *limits: HeatTreat) -> str:
    shop = replace(SHOP, heat_treat={h.alloy: h for h in limits})
    return " ".join(handwork(plan_in(shop, material, call=call), [angle(86.0)]).when)


def test_soft_metal_is_set_before_the_quench_and_after_it_only_in_the_window() -> None:
    call = 'formed_in = "O"\nfinal = "T42"'
    assert "soft" in when(call)
    assert "not entered: ask the specification" in when(call)
    told = when(call, "2024-O", HeatTreat("2024", "QS-1", straighten_window_s=900.0))
    assert "15 min from the quench (QS-1)" in told
    assert "Straighten before ageing" in told


def test_7075_aged_hard_takes_only_minor_straightening_and_no_figure_is_made_up() -> None:
    told = when("", "7075-T6")
    assert "only minor cold straightening" in told
    assert "AC 43.13-1B" in told
    assert "minor cold" not in when("", "2024-T3")


def test_every_list_ends_a_move_with_a_magnifying_glass() -> None:
    for material in ("2024-O", "2024-T3", "6061-T6"):
        assert "magnifying glass" in when("", material)


# ---------------------------------------------------------------- the answer


def test_the_answer_has_the_contracts_keys_and_adds_up() -> None:
    hands = handwork(plan_of(), everything())
    rows = hand_answer(hands)
    wanted = {"order", "along_mm", "move", "amount", "unit", "tool", "stop_at", "past", "strain_now", "strain_after", "strain_limit",
              "passes_left", "minutes", "allowed_by", "recheck", "why", "source"}  # fmt: skip
    for row in rows:
        assert wanted <= set(row)
        assert {"edge", "hole", "loop"} & set(row)
        assert row["stands"] + row["amount"] == pytest.approx(row["stop_at"])
    beside = hand_beside(handwork(plan_of(), [length("flange_width", 14.0, 15.0, AT)]))
    assert beside["beyond"][0]["edge"] == "south"
    assert beside["expected"] is False


def test_a_mirrored_or_inch_part_gets_the_same_list() -> None:
    inch = box(units="in", w=200 / MM_PER_IN, h=100 / MM_PER_IN, width=15 / MM_PER_IN, radius=R / MM_PER_IN, t=T / MM_PER_IN,
               extra="[tolerance]\nflange_angle = 1\n")  # fmt: skip
    a, b = (only(handwork(p, [angle(86.0)])) for p in (plan_of(), make_plan(job_of(inch, SHOP))))
    assert (a.amount, a.past, a.room.after) == pytest.approx((b.amount, b.past, b.room.after))


def test_beyond_and_moves_never_tell_of_one_place_twice() -> None:
    places = [angle(86.0, 20), angle(94.0, 60), angle(120.0, 100)]
    hands = handwork(plan_of(radius=4.0), places)
    told = [at for m in hands.moves for at, _ in m.places] + [b.along for b in hands.beyond if isinstance(b, Beyond)]
    assert sorted(told) == [20, 60, 100]


def test_many_points_along_an_edge_are_one_row_each_way_and_a_good_one_parts_them() -> None:
    """As from a scan: a wide stretch, a good one, a narrow one; the worst of each is told, and where it runs."""
    widths = [15.9, 16.2, 16.0, 15.0, 15.1, 14.1, 13.8, 14.2]
    points = [length("flange_width", w, 15.0, {"edge": "south", "along_mm": 20.0 * i}) for i, w in enumerate(widths, 1)]
    hands = handwork(plan_of(), points[::-1])
    m = only(hands)
    assert (m.what, m.start, m.end, m.along, m.amount) == (TRIM, 20, 60, 40, pytest.approx(-1.2))
    assert len(m.places) == 3
    assert [(b.start, b.end, b.along, b.value) for b in hands.beyond] == [(120, 160, 140, 13.8)]


def test_many_bends_that_do_not_stand_it_are_one_row() -> None:
    hands = handwork(plan_of("2024-T3", radius=4.0), [angle(97.0 + i, 20.0 * i) for i in range(1, 5)])
    assert not hands.moves
    assert [(b.start, b.end, b.off) for b in hands.beyond] == [(20, 80, pytest.approx(11.0))]


@pytest.mark.parametrize(
    ("where", "name"), [({"corner": ["north", "east"]}, "north/east"), ({"hole": "P1", "of": "slot"}, "slot of P1")]
)
def test_reliefs_and_slots_are_opened_to_size_and_never_closed(where: dict[str, object], name: str) -> None:
    m = only(handwork(plan_of(), [length("hole_diameter", 4.0, 5.0, where)]))
    assert (m.what, m.amount) == (HOLE, pytest.approx(1.0))
    assert name in m.recheck[0]
    hands = handwork(plan_of(), [length("hole_diameter", 6.0, 5.0, where)])
    assert not hands.moves
    assert hands.beyond[0].quantity == "hole_diameter"
