"""The drawing's tolerances against the forecast: what is known makes a band and a chance, what is not is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import RandomPart, box, example_shop, job_of
from ribwright.mechanics import springback
from ribwright.mechanics.tolerance import Z90
from ribwright.shop.shop import MeasuringGauge, Shop
from ribwright.stages.finding import Finding
from ribwright.stages.gauges import best_gauge
from ribwright.stages.judged import plan_tolerances
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.stack import PIECE, QUANTITIES, TOOLING, Stack
from ribwright.stages.tolerances import worst
from ribwright.stages.undercut import FORMULA_SD_DEG, MODULUS_COV, THICKNESS_COV

EVERY = (
    "[tolerance]\ncontour = {k}\nflange_angle = {k}\nflange_width = {k}\nbend_radius = {k}\nweb_flatness = {k}\n"
    "hole_position = {k}\nhole_diameter = {k}\n"
)
PINS = (
    '[[hole]]\nname = "P1"\nkind = "tooling"\nat = [30, 50]\ndiameter = 5\npin_fit = 0.1\n'
    '[[hole]]\nname = "P2"\nkind = "tooling"\nat = [170, 40]\ndiameter = 6\npin_fit = 0.1\n'
)
RIM = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = 32\nbend_angle = 60\n'
    "bend_radius = 3\n"
)
ANGLE = "[tolerance]\nflange_angle = {}\n"


def plan_of(text: str, shop: Shop | None = None) -> Plan:
    return make_plan(job_of(text, shop or example_shop()))


def rows_of(text: str, shop: Shop | None = None) -> tuple[Stack, ...]:
    return plan_tolerances(plan_of(text, shop))


def angle_of(text: str, shop: Shop | None = None) -> Stack:
    return next(r for r in rows_of(text, shop) if r.quantity == "flange_angle")


# ---------------------------------------------------------------- against drawing sheets at random


@pytest.mark.parametrize("material", ["2024-O", "2024-T3", "6061-T4"])
@pytest.mark.parametrize("allowed", [0.5, 1.0, 2.0])
def test_the_chances_are_those_of_many_sheets_drawn_at_random(material: str, allowed: float) -> None:
    """K, t and E of 40 000 sheets through the closed form itself, on a block cut with its errors. The stack takes
    u ~ K t^(n-1)/E and everything as normal: miss accepted 1 % of all pieces first off, 2 % after the correction."""
    row = angle_of(box(material=material) + ANGLE.format(allowed))
    plan = plan_of(box(material=material) + ANGLE.format(allowed))
    m = plan.job.formed
    assert m is not None
    assert m.hardening is not None
    assert row.u is not None
    rng, n = np.random.default_rng(11), 40_000
    k_cov, e, nu = m.number("k_cov"), m.springback_modulus(), m.number("poisson")

    def springs() -> np.ndarray:
        """Springback of n sheets less that of the nominal one [deg]."""
        k, t, modulus = (rng.normal(1.0, cov, n) for cov in (k_cov, THICKNESS_COV, MODULUS_COV))
        drawn = springback.undercut(m.hardening.k_mpa * k, m.hardening.n, e * modulus, nu, 3.0, t, 90.0)
        nominal = springback.undercut(m.hardening.k_mpa, m.hardening.n, e, nu, 3.0, 1.0, 90.0)
        return drawn.undercut_deg - nominal.undercut_deg

    def cut() -> np.ndarray:
        """How far the wall is off [deg]: set by a protractor, rounded to half a degree."""
        return rng.normal(0.0, 0.25, n) + rng.uniform(-0.25, 0.25, n)

    first_sheet, block, formula = springs(), cut(), rng.normal(0.0, FORMULA_SD_DEG, n)
    first = block + formula - first_sheet
    assert float(np.mean(np.abs(first) <= allowed)) == pytest.approx(row.chance_first, abs=0.01)
    measured = first + rng.normal(0.0, row.u / 2, n)
    # the block is cut again by what was measured: its old cut and the formula's error go, a new cut comes
    later = first + first_sheet - measured + cut() - springs()
    assert float(np.mean(np.abs(later) <= allowed)) == pytest.approx(row.chance_corrected, abs=0.02)
    proved = np.abs(later + rng.normal(0.0, row.u / 2, n)) <= allowed - row.u
    assert float(np.mean(proved)) == pytest.approx(row.proved_corrected, abs=0.02)


def test_nine_in_ten_lie_in_the_band() -> None:
    row = angle_of(box() + ANGLE.format(1))
    assert row.band is not None
    draws = np.random.default_rng(3).normal(row.nominal + row.shift, row.sd(), 50_000)
    assert float(np.mean((row.band[0] <= draws) & (draws <= row.band[1]))) == pytest.approx(0.90, abs=0.006)


# ---------------------------------------------------------------- what is not known is said


def test_without_a_tolerance_there_is_a_band_and_no_judgement() -> None:
    for row in rows_of(box() + PINS + RIM):
        assert row.allowed is None
        assert row.stands == "cannot-tell"
        assert row.chance_first is None
        assert row.proved_first is None
    assert angle_of(box()).half is not None


def test_an_unknown_temper_has_no_forecast_of_what_hangs_on_springback() -> None:
    text = box().replace('material = "2024-O"', 'material = "2024-O"\nformed_in = "W"') + PINS + EVERY.format(k=2)
    for row in rows_of(text):
        if row.quantity in ("flange_angle", "bend_radius", "flange_width") and "edge" in row.where:
            assert row.chance_first is None
            assert "no flow curve" in row.left_out


def test_what_has_no_model_gives_no_chance_however_wide_the_tolerance() -> None:
    rows = [r for r in rows_of(box() + PINS + RIM + EVERY.format(k=9)) if not r.whole]
    assert {r.quantity for r in rows} == {"web_flatness", "hole_position", "hole_diameter"}
    for r in rows:
        assert r.left_out
        assert r.chance_first is None
        assert r.stands == "cannot-tell"


def test_a_part_of_the_truth_can_refute_and_never_confirm() -> None:
    place = [r for r in rows_of(box() + PINS + EVERY.format(k=0.05)) if r.quantity == "hole_position"]
    assert {r.stands for r in place} == {"no"}
    wide = [r for r in rows_of(box() + PINS + EVERY.format(k=5)) if r.quantity == "hole_position"]
    assert {r.stands for r in wide} == {"cannot-tell"}


def test_without_pins_or_their_fit_the_width_is_only_known_in_part() -> None:
    for text, why in ((box(), "no tooling hole"), (box() + PINS.replace("pin_fit = 0.1\n", ""), "pin fit of P1, P2")):
        row = next(r for r in rows_of(text + EVERY.format(k=1)) if r.quantity == "flange_width")
        assert not row.whole
        assert why in row.left_out
    assert next(r for r in rows_of(box() + PINS + EVERY.format(k=1)) if r.quantity == "flange_width").whole


def test_a_curved_flange_moves_its_contour_in_a_way_not_forecast() -> None:
    curved = box().replace('name = "south"\n', 'name = "south"\nthrough = [100, -8]\n') + PINS + EVERY.format(k=1)
    by_edge = {r.where.get("edge"): r for r in rows_of(curved) if r.quantity == "contour"}
    assert not by_edge["south"].whole
    assert by_edge["north"].whole


# ---------------------------------------------------------------- what follows


@pytest.mark.parametrize("seed", range(6))
def test_every_flanged_edge_and_every_hole_has_its_rows(seed: int) -> None:
    plan = plan_of(RandomPart(seed).text())
    rows = plan_tolerances(plan)
    for e in plan.block.edges:
        mine = {r.quantity for r in rows if r.where.get("edge") == e.edge}
        assert mine == {"flange_angle", "flange_width", "contour", "bend_radius"}
    for h in plan.blank.holes:
        assert {"hole_position", "hole_diameter"} <= {r.quantity for r in rows if r.where.get("hole") == h.hole.name}
    assert [QUANTITIES.index(r.quantity) for r in rows] == sorted(QUANTITIES.index(r.quantity) for r in rows)


@pytest.mark.parametrize("seed", range(4))
def test_pose_unit_and_hand_do_not_change_a_row(seed: int) -> None:
    part = RandomPart(seed)
    sizes = [
        [(r.quantity, r.where.get("edge", ""), round(r.half or 0.0, 6)) for r in rows_of(text)]
        for text in (part.text(), part.text(25.4, "in"), part.text(turn=0.7), part.text(mirror=True))
    ]
    assert sorted(sizes[1]) == sorted(sizes[0])
    assert sorted(sizes[2]) == sorted(sizes[0])
    assert sorted(sizes[3]) == sorted(sizes[0])


@pytest.mark.parametrize("wide", [(0.5, 1.0), (1.0, 2.0), (2.0, 4.0)])
def test_a_wider_tolerance_is_met_more_surely(wide: tuple[float, float]) -> None:
    less, more = (angle_of(box() + ANGLE.format(w)) for w in wide)
    for key in ("chance_first", "chance_corrected", "proved_first", "proved_corrected", "reserve"):
        assert getattr(less, key) < getattr(more, key)


def test_correcting_by_a_measured_piece_takes_the_formulas_error_away() -> None:
    row = angle_of(box() + ANGLE.format(1))
    assert row.chance_corrected > row.chance_first
    piece, tooling = row.sd(PIECE), row.sd(TOOLING)
    assert row.sd_corrected == pytest.approx((tooling**2 + 2 * piece**2 + (row.u / 2) ** 2) ** 0.5)
    assert row.sd_corrected < FORMULA_SD_DEG < row.sd()


def test_a_block_without_undercut_leaves_the_whole_springback() -> None:
    """The mean lies open by what the solved undercut would have taken up, and no correction takes that away."""
    plan = plan_of(box(material="2024-T3") + ANGLE.format(1) + '[block]\nundercut = "none"\n')
    row = worst(plan_tolerances(plan))["flange_angle"]
    assert row.shift == pytest.approx(float(plan.block.edges[0].remaining[0]))
    assert row.shift < -4
    assert row.chance_first < 0.01
    assert row.chance_corrected is None  # the part file forbids the correction: every piece is dressed by hand
    assert not any(c.name == "undercut rounded" for c in row.contributors)


def test_a_recess_without_undercut_moves_the_mean_of_its_hole_flange_too() -> None:
    plan = plan_of(box() + PINS + RIM + EVERY.format(k=1) + '[block]\nundercut = "none"\n')
    left = {r.name: r.remaining for r in plan.block.recesses}
    rows = [r for r in plan_tolerances(plan) if r.where.get("hole") in left and r.quantity == "flange_angle"]
    assert rows
    for row in rows:
        assert row.shift == pytest.approx(left[row.where["hole"]])
        assert row.shift < -0.5
        assert not any(c.name == "undercut rounded" for c in row.contributors)
    rim = next(r for r in plan_tolerances(plan) if r.quantity == "hole_diameter" and r.where.get("hole") in left)
    assert rim.shift != 0.0


def test_a_recess_without_undercut_leaves_its_hole_flange_open_too() -> None:
    """Mean of the hole's angle, opening and height lie off by what the recess as cut leaves."""
    text = box(material="2024-T3") + RIM
    cut, plan = (plan_of(text + more) for more in ("", '[block]\nundercut = "none"\n'))
    left = plan.block.recesses[0].remaining
    assert left < -2
    shifts = {r.quantity: r.shift for r in plan_tolerances(plan) if r.where.get("hole") == "L"}
    assert shifts["flange_angle"] == pytest.approx(left)
    assert shifts["hole_diameter"] < -0.1  # a flange that stays open reaches further in over its hole
    assert shifts["flange_width"] != 0
    assert max(abs(r.shift) for r in plan_tolerances(cut) if r.where.get("hole") == "L") < 1e-9


def test_one_undercut_for_a_bevel_leaves_its_ends_off_and_the_worst_end_is_told() -> None:
    bevel = box(
        angle='[["start", 70], ["end", 110]]', flanges=(True, False, False, False), width=20, material="2024-T3"
    )
    row = angle_of(bevel + ANGLE.format(1) + '[block]\nundercut = "constant-per-edge"\n')
    assert abs(row.shift) > 0.5
    assert row.where["along_mm"] in (0.0, pytest.approx(200.0))


def test_a_features_own_tolerance_goes_before_the_general_one() -> None:
    text = box() + "tolerance = { flange_angle = 0.25 }\n" + ANGLE.format(1)
    assert angle_of(text).allowed == (0.25, 0.25)


def test_a_height_of_a_hole_flange_is_not_judged_by_the_width_of_the_others() -> None:
    rows = rows_of(box() + PINS + RIM + EVERY.format(k=1))
    height = next(r for r in rows if r.quantity == "flange_width" and "hole" in r.where)
    assert height.allowed is None
    assert height.half is not None


# ---------------------------------------------------------------- gauges and the decision rule


def gauged(*gauges: MeasuringGauge, decision: str = "guarded") -> Shop:
    shop = example_shop()
    return replace(shop, gauges=gauges, rules=replace(shop.rules, decision=decision))


def test_the_finest_gauge_that_reads_the_characteristic_is_taken() -> None:
    shop = gauged(
        MeasuringGauge("A", "protractor", "0.5 deg", ""),
        MeasuringGauge("B", "bevel protractor", "6 arcmin", ""),
        MeasuringGauge("C", "digital calliper", "0.01 deg", ""),
        MeasuringGauge("D", "calliper", "0.02 mm", ""),
        MeasuringGauge("E", "protractor", "", ""),
    )
    gauge, u = best_gauge(shop, "flange_angle")
    assert gauge is not None
    assert (gauge.id, u) == ("B", pytest.approx(0.1))
    assert best_gauge(shop, "flange_width")[1] == pytest.approx(0.02)
    assert best_gauge(shop, "bend_radius") == (None, None)


def test_without_a_gauge_of_the_right_kind_nothing_is_proved_or_corrected() -> None:
    row = angle_of(box() + ANGLE.format(1), gauged(MeasuringGauge("D", "calliper", "0.02 mm", "")))
    assert row.chance_first is not None
    assert row.chance_corrected is None
    assert row.proved_first is None


def test_a_guard_band_asks_more_than_a_simple_rule() -> None:
    coarse = MeasuringGauge("A", "protractor", "0.5 deg", "")
    strict, simple = (angle_of(box() + ANGLE.format(1), gauged(coarse, decision=d)) for d in ("guarded", "simple"))
    assert strict.proved_corrected < simple.proved_corrected
    assert strict.chance_corrected == simple.chance_corrected


def test_a_gauge_as_coarse_as_the_tolerance_proves_nothing() -> None:
    row = angle_of(box() + ANGLE.format(1), gauged(MeasuringGauge("A", "protractor", "1.5 deg", "")))
    assert row.proved_first == 0.0


# ---------------------------------------------------------------- the finding


def told(text: str) -> list[Finding]:
    return [f for f in plan_of(text).findings if f.code == "tolerance-not-met-by-forecast"]


def test_a_tolerance_that_the_forecast_misses_is_a_warning_with_its_chance() -> None:
    found = told(box() + ANGLE.format(0.5))
    assert len(found) == 1
    assert found[0].severity == "warn"
    assert found[0].value == angle_of(box() + ANGLE.format(0.5)).chance_first
    assert found[0].margin < 0
    assert told(box() + ANGLE.format(4)) == []
    assert told(box()) == []


def test_there_is_at_most_one_warning_a_characteristic() -> None:
    found = told(box() + PINS + RIM + EVERY.format(k=0.2))
    kinds = [f.where["tolerance"] for f in found]
    assert len(kinds) == len(set(kinds)) > 1


def test_the_answer_says_what_each_row_is_made_of() -> None:
    row = angle_of(box() + ANGLE.format(1)).as_json()
    assert row["forecast"]["high"] - row["nominal"] == pytest.approx(
        Z90 * sum(c["sd"] ** 2 for c in row["contributors"]) ** 0.5
    )
    assert all(c["source"] and c["kind"] in ("model", "tooling", "piece") for c in row["contributors"])
    assert row["tolerance"] == {"minus": 1.0, "plus": 1.0}
