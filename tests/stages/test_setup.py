"""The set-up on many presses: what closes and how far the rest turns, pads and stacks, ratings, the place under the ram."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from building import RandomPart, box, example_shop, job_of
from ribwright.shop.shop import Bolster, ForceGauge, Pad, PadLayer, Press, PressureGauge
from ribwright.stages.answers import tidy
from ribwright.stages.pads import near_the_work, pad_share
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.setup import Setup, make_setup, on_material
from ribwright.stages.setup_answer import setup_answer

SHOP = example_shop()
SEEDS = range(24)


def press(**changes: object) -> Press:
    """Press P1 of the example shop without its bolster, changed."""
    found = SHOP.press("P1")
    assert found is not None
    return replace(found, **{"bolster": None, **changes})


def random_press(seed: int) -> Press:
    """A press of any kind with any pad, ratings that may be far too small, and either gauge or none."""
    r = random.Random(seed)
    size = (r.uniform(350, 900), r.uniform(350, 600))
    layers = tuple(
        PadLayer(r.uniform(3, 60), r.uniform(40, 92), "throw" if i == 0 and r.random() < 0.3 else "pad", size)
        for i in range(r.randint(2, 3))
    )
    one = Pad(size, r.uniform(40, 200), r.uniform(40, 92), r.choice(["container", "loose"]))
    stack = replace(one, layers=layers, thickness_mm=sum(x.thickness_mm for x in layers), shore_a=layers[0].shore_a)
    gauge = PressureGauge(r.uniform(5e3, 5e5), r.uniform(5, 40), "psi", "2031-09-01")
    force_gauge = ForceGauge(r.uniform(1e5, 1e7), "kN", "2031-09-01")
    which = r.choice(["pressure", "force", "none"])
    return press(
        kind=r.choice(["manual", "power", "fluid"]),
        force_n=10 ** r.uniform(5, 7.5),
        rated_pressure_mpa=10 ** r.uniform(0, 1.6),
        pad=r.choice([one, stack]),
        table_mm=(size[0] * 1.1, size[1] * 1.1),
        off_centre_limit_mm=r.choice([None, 0.5, 50.0]),
        gauge=gauge if which == "pressure" else None,
        force_gauge=force_gauge if which == "force" else None,
    )


def planned(seed: int, on: Press) -> tuple[Plan, Setup]:
    plan = make_plan(job_of(RandomPart(seed).text(), SHOP), on)
    assert plan.setup is not None
    return plan, plan.setup


# ---------------------------------------------------------------- ratings


@pytest.mark.parametrize("seed", SEEDS)
def test_no_reading_and_no_force_is_ever_past_a_rating(seed: int) -> None:
    on = random_press(seed)
    _, s = planned(seed, on)
    limits = [on.force_n, on.rated_pressure_mpa * s.area]
    limits += [on.gauge.limit_mpa * on.gauge.ram_area_mm2] if on.gauge else []
    limits += [on.force_gauge.limit_n] if on.force_gauge else []
    most = min(limits) * (1 + 1e-9)
    assert s.limit_force <= most
    for force in (s.pump_force, s.gauge_force, s.pump_gauge_force, s.gauge_limit_force):
        assert force is None or force <= most
    for mpa in (s.gauge_mpa, s.pump_gauge_mpa, s.gauge_limit_mpa):
        assert mpa is None or (on.gauge is not None and mpa * on.gauge.ram_area_mm2 <= most)
    assert all(r.pressure <= on.rated_pressure_mpa * (1 + 1e-9) for r in s.reached)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_gauge_reads_pressure_or_force_and_never_both(seed: int) -> None:
    answer = setup_answer(planned(seed, random_press(seed))[1])
    by_pressure = [answer[k] for k in ("gauge_psi", "gauge_limit_psi", "pump_to_gauge_psi")]
    by_force = [answer[k] for k in ("gauge_force_n", "gauge_limit_force_n", "pump_to_gauge_force_n")]
    assert not (any(x is not None for x in by_pressure) and any(x is not None for x in by_force))


# ---------------------------------------------------------------- what closes


@pytest.mark.parametrize("seed", SEEDS)
def test_full_angle_exactly_when_it_closes_and_the_band_holds_the_value(seed: int) -> None:
    _, s = planned(seed, random_press(seed))
    assert s.reached
    for r in s.reached:
        assert r.demand is not None
        assert r.under_load is not None
        assert r.left_open is not None
        assert r.wall is not None
        assert r.closes == (r.demand.need.value <= r.pressure * (1 + 1e-9))
        assert (r.left_open.value == pytest.approx(0.0, abs=1e-9)) == r.closes
        assert 0 <= r.under_load.low <= r.under_load.value <= r.under_load.high <= r.wall
        assert r.released is not None
        assert r.released.low <= r.released.value <= r.released.high
        assert r.margin is not None
        assert (r.margin >= -1e-9) == r.closes


@pytest.mark.parametrize("seed", SEEDS)
def test_more_force_never_opens_a_flange_nor_asks_for_a_wider_one(seed: int) -> None:
    on = replace(random_press(seed), rated_pressure_mpa=1e3, gauge=None, force_gauge=None)
    before: list[float] | None = None
    shortest: list[float] | None = None
    plan, _ = planned(seed, on)
    for force in np.geomspace(1e4, 1e8, 12):
        s = make_setup(plan.job, plan.blank, plan.block, replace(on, force_n=float(force)))
        angles = [r.under_load.value for r in s.reached if r.under_load]
        widths = [r.shortest_straight for r in s.reached if r.shortest_straight is not None]
        if s.pump_force is not None:
            break  # all close: from here on the pump-to pressure is what they need, not what there is
        if before is not None and shortest is not None:
            assert all(b >= a - 1e-9 for a, b in zip(before, angles, strict=True))
            assert all(b <= a for a, b in zip(shortest, widths, strict=True))
        before, shortest = angles, widths


def test_a_flange_as_wide_as_the_shortest_just_closes() -> None:
    on = press(rated_pressure_mpa=4.5)
    short = make_plan(job_of(box(width=9, t=0.8, radius=2.4), SHOP), on).setup
    assert short is not None
    width = next(r.shortest_flange for r in short.reached if r.closes is False)
    assert width is not None
    for change, closes in ((0.01, True), (-0.01, False)):
        s = make_plan(job_of(box(width=width + change, t=0.8, radius=2.4), SHOP), on).setup
        assert s is not None
        assert [r.closes for r in s.reached] == [closes] * 4


def test_an_unknown_flow_curve_leaves_every_flange_unknown() -> None:
    job = job_of(box(), SHOP)
    assert job.formed is not None
    s = make_plan(replace(job, formed=replace(job.formed, hardening=None)), press()).setup
    assert s is not None
    rows = tidy(setup_answer(s))["flanges"]
    assert [r["edge"] for r in rows] == ["south", "east", "north", "west"]
    for key in ("closes", "reaches_deg", "left_open_deg", "shortest_flange_mm", "needed_pressure_mpa", "margin"):
        assert [r[key] for r in rows] == [None] * 4


def test_the_stop_says_by_how_much_it_stays_open() -> None:
    plan = make_plan(job_of(box(width=9, t=1.6, radius=4.8, material="2024-T3"), SHOP), press())
    f = next(f for f in plan.findings if f.code == "pressure-short")
    assert plan.setup is not None
    r = next(r for r in plan.setup.reached if r.flange.where == f.where)
    assert r.left_open is not None
    assert f"stays open by about {r.left_open.value:.0f} deg" in f.say


# ---------------------------------------------------------------- the rubber


def stacked(*layers: tuple[float, float], role: str = "pad") -> Press:
    """P1 with a stack of (thickness [mm], Shore A), next to the work first; the first with that role."""
    p = press().pad
    rows = tuple(PadLayer(t, a, role if i == 0 else "pad", p.size_mm) for i, (t, a) in enumerate(layers))
    return press(pad=replace(p, layers=rows, thickness_mm=sum(t for t, _ in layers), shore_a=layers[0][1]))


def test_a_stack_of_one_rubber_is_one_pad() -> None:
    whole, cut = press(pad=replace(press().pad, thickness_mm=100.0)), stacked((20.0, 70.0), (80.0, 70.0))
    one, two = pad_share(whole, 25.0), pad_share(cut, 25.0)
    assert (two.mpa, two.sd, two.unverified) == (pytest.approx(one.mpa), pytest.approx(one.sd), one.unverified)


def test_what_lies_deeper_than_the_block_is_high_does_not_count() -> None:
    deep = stacked((20.0, 60.0), (80.0, 90.0))
    assert pad_share(deep, 20.0).mpa == pytest.approx(
        pad_share(press(pad=replace(press().pad, shore_a=60.0)), 20.0).mpa
    )
    assert near_the_work(deep.pad, 40.0) == ((60.0, 0.5), (90.0, 0.5))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_stack_takes_between_its_softest_and_its_hardest_layer(seed: int) -> None:
    r = random.Random(seed)
    rows = [(r.uniform(2, 30), r.uniform(40, 90)) for _ in range(3)]
    share = pad_share(stacked(*rows), r.uniform(5, 60))
    assert share.least - 1e-12 <= share.mpa <= share.most + 1e-12
    s = make_plan(job_of(box(), SHOP), stacked(*rows)).setup
    assert s is not None
    assert s.needed is not None
    assert s.governed is not None
    assert s.needed.low <= s.governed.pc + s.share.least + 1e-9
    assert s.needed.high >= s.governed.pc + s.share.most - 1e-9


def test_a_hard_throw_pad_asks_for_more_pressure_and_a_soft_one_for_less() -> None:
    def need(shore: float) -> float:
        s = make_plan(job_of(box(), SHOP), stacked((10.0, shore), (90.0, 70.0), role="throw")).setup
        assert s is not None
        assert s.needed is not None
        return s.needed.value

    assert need(50.0) < need(70.0) < need(85.0)


def test_a_fluid_press_has_no_pad_to_overcome() -> None:
    s = make_plan(job_of(box(), SHOP), press(kind="fluid")).setup
    assert s is not None
    assert s.share.mpa == 0.0
    assert all(r.demand and r.demand.need.value == pytest.approx(r.demand.pc) for r in s.reached)


def test_a_smaller_block_under_a_loose_pad_gets_more_and_a_spreading_pad_gives_the_containers() -> None:
    on = press(pad=replace(press().pad, held="loose"), rated_pressure_mpa=1e3)
    small, large = (make_plan(job_of(box(w=w), SHOP), on).setup for w in (120, 300))
    assert small is not None
    assert large is not None
    assert small.available > large.available
    held = make_plan(job_of(box(w=120), SHOP), press(rated_pressure_mpa=1e3)).setup
    assert held is not None
    assert small.spread_pressure == pytest.approx(held.available)
    assert held.spread_pressure is None


def codes(plan: Plan) -> dict[str, str]:
    return {f.code: f.severity for f in plan.findings}


def test_a_loose_pad_that_closes_only_while_it_does_not_spread_is_warned_of() -> None:
    on = press(pad=replace(press().pad, held="loose"))
    assert codes(make_plan(job_of(box(w=120), SHOP), on))["loose-pad-spreads"] == "warn"
    strong = replace(on, force_n=1e8, rated_pressure_mpa=1e3, gauge=None)
    assert "loose-pad-spreads" not in codes(make_plan(job_of(box(w=120), SHOP), strong))


def test_a_pad_no_thicker_than_the_block_is_high_stops() -> None:
    plan = make_plan(job_of(box(), SHOP), press())
    h = plan.block.height
    for thick, severity in ((h, "stop"), (1.5 * h, "warn"), (3 * h, None)):
        on = press(pad=replace(press().pad, thickness_mm=thick))
        assert codes(make_plan(job_of(box(), SHOP), on)).get("pad-shallow") == severity


def test_a_pad_past_the_rim_of_its_container_is_warned_of() -> None:
    on = press()
    assert on.container_depth_mm is not None
    assert "container-shallow" not in codes(make_plan(job_of(box(), SHOP), on))
    shallow = replace(on, container_depth_mm=on.pad.thickness_mm - 10)
    assert codes(make_plan(job_of(box(), SHOP), shallow))["container-shallow"] == "warn"


def test_a_rim_that_lands_first_is_warned_of_and_a_bolster_in_the_opening_cures_it() -> None:
    low = make_plan(job_of(box(), SHOP), press())
    assert codes(low)["container-lands"] == "warn"
    assert low.setup is not None
    assert low.setup.container is not None
    assert low.setup.container.rim_above is not None
    lift = 1.0 - low.setup.container.rim_above
    opening = press().pad.size_mm
    inside, wide = ((opening[0] + d, opening[1] + d) for d in (-10.0, 10.0))
    assert "container-lands" not in codes(make_plan(job_of(box(), SHOP), press(bolster=Bolster(inside, lift))))
    # one wider than the opening catches the rim itself
    assert "container-lands" in codes(make_plan(job_of(box(), SHOP), press(bolster=Bolster(wide, lift))))
    # a table that goes into the opening leaves the rim nothing to land on
    assert "container-lands" not in codes(make_plan(job_of(box(), SHOP), press(table_mm=inside)))


def test_a_bolster_takes_daylight_and_must_carry_the_whole_block() -> None:
    bare = make_plan(job_of(box(), SHOP), press()).setup
    on = make_plan(job_of(box(), SHOP), press(bolster=Bolster((150.0, 300.0), 30.0)))
    assert bare is not None
    assert on.setup is not None
    assert on.setup.daylight_margin == pytest.approx(bare.daylight_margin - 30.0)
    assert codes(on)["table-overhang"] == "stop"


def test_a_throw_pad_that_does_not_reach_over_the_flanges_is_warned_of() -> None:
    size = press().pad.size_mm
    for small, warned in (((210.0, 110.0), True), (size, False)):
        layers = (PadLayer(6.0, 60.0, "throw", small), PadLayer(95.0, 70.0, "pad", size))
        on = press(pad=replace(press().pad, layers=layers, thickness_mm=101.0))
        assert ("throw-pad-small" in codes(make_plan(job_of(box(), SHOP), on))) is warned


# ---------------------------------------------------------------- under the ram


WEDGE = """units = "mm"
[part]
number = "T-2"
revision = "A"
title = "wedge"
hand = "none"
[sheet]
material = "2024-O"
thickness = 1.0
[web]
line = "outside-mold-line"
start = [0, 0]
[[web.edge]]
name = "long"
to = [240, 0]
flange = "f"
[[web.edge]]
name = "slope"
to = [0, 150]
flange = "f"
[[web.edge]]
name = "short"
to = [0, 0]
flange = "f"
[flange.f]
width = 15
bend_angle = 90
bend_radius = 3
"""


def wedge(limit: float | None, **changes: object) -> Plan:
    return make_plan(job_of(WEDGE, SHOP), press(off_centre_limit_mm=limit, **changes))


def test_the_load_of_a_triangle_stands_a_sixth_of_its_sides_from_the_middle() -> None:
    s = wedge(None).setup
    assert s is not None
    # middle of area at a third of each side, middle of extent at half
    assert s.place.load == (pytest.approx(-40.0, abs=1.5), pytest.approx(-25.0, abs=1.5))
    assert s.place.at == (0.0, 0.0)
    assert s.place.off_centre == pytest.approx(np.hypot(*s.place.load))


def test_a_block_is_moved_only_where_the_press_asks_for_it_and_then_loads_the_ram_in_the_middle() -> None:
    wide, narrow = wedge(60.0).setup, wedge(5.0).setup
    assert wide is not None
    assert narrow is not None
    assert wide.place.at == (0.0, 0.0)
    assert narrow.place.off_centre == pytest.approx(0.0, abs=1e-9)
    assert narrow.place.at == pytest.approx(tuple(-x for x in wide.place.load))
    assert narrow.pad_margin < wide.pad_margin


def test_a_block_that_cannot_be_moved_so_far_stops() -> None:
    pad = replace(press().pad, size_mm=(245.0, 155.0))
    plan = wedge(5.0, pad=pad)
    assert codes(plan)["off-centre"] == "stop"
    assert plan.setup is not None
    assert plan.setup.place.at == (0.0, 0.0)
    assert "off-centre" not in codes(wedge(5.0))
    assert "off-centre" not in codes(wedge(None, pad=pad))


@pytest.mark.parametrize("seed", SEEDS)
def test_moving_a_block_never_leaves_it_past_the_limit_unsaid(seed: int) -> None:
    plan, s = planned(seed, random_press(seed))
    limit = s.press.off_centre_limit_mm
    if limit is not None and s.place.off_centre > limit * (1 + 1e-9):
        assert codes(plan)["off-centre"] == "stop"
    if s.place.at != (0.0, 0.0):
        assert limit is not None
        assert s.place.off_centre <= limit * (1 + 1e-9)
        assert min(s.pad_margin, s.table_margin) >= 0


def test_the_routine_is_the_shops_or_null() -> None:
    s = wedge(None, routine=press().routine).setup
    assert s is not None
    answer = setup_answer(s)
    assert (answer["dwell_s"], answer["hits"], answer["cover_plate"]) == (5.0, 1, None)


@pytest.mark.parametrize("press", ["P1", "P2", "P3"])
def test_a_set_up_whose_block_s_material_was_chosen_after_it_is_the_one_made_with_it(press: str) -> None:
    job, on = job_of(box(), SHOP), SHOP.press(press)
    assert on is not None
    plan = make_plan(job, on)
    assert plan.block.material is not None
    assert plan.setup == make_setup(job, plan.blank, plan.block, on)
    weak = replace(plan.block, material=replace(plan.block.material, name="balsa", pressure_limit_mpa=0.3))
    moved = on_material(job, plan.setup, weak)
    assert moved == make_setup(job, plan.blank, weak, on)
    assert moved.never_past_by != plan.setup.never_past_by


def test_a_flange_short_of_pressure_by_less_than_it_is_told_in_is_at_its_limit_and_not_stopped() -> None:
    """Closing pressures are told in steps of 1 %: half a per cent short is a warning with a reading to pump to, two per cent a stop."""
    part = box(width=9, t=0.8, radius=2.4)
    needed = make_plan(job_of(part, SHOP), press()).setup
    assert needed is not None
    assert needed.needed is not None
    for share, code in ((0.995, "pressure-marginal"), (0.98, "pressure-short")):
        on = press(rated_pressure_mpa=share * needed.needed.value, force_n=1e9, gauge=None)
        plan = make_plan(job_of(part, SHOP), on)
        assert plan.setup is not None
        assert code in {f.code for f in plan.findings}
        assert (plan.setup.pump_force is None) == (code == "pressure-short")
