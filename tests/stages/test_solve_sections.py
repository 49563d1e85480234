"""Undercut, set-up and bands by the section model, each held against a run of the model of its own. No formed part was compared."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import box, job_of
from ribwright.mechanics.section import model
from ribwright.mechanics.section.model import CONVERGED, STUCK, Flange, Pressed, press_through
from ribwright.mechanics.section.standing import stands, with_web
from ribwright.mechanics.sheet_law import SheetLaw
from ribwright.stages import one_section
from ribwright.stages.block import BlockEdge
from ribwright.stages.pads import pad_share
from ribwright.stages.places import Place, at_length, flange_on, places_of
from ribwright.stages.plan import SECTION, Plan, make_plan
from ribwright.stages.scatter import variants
from ribwright.stages.section_miss import MODEL_SD_DEG, misses, unverified
from ribwright.stages.sheet_laws import law_of
from stages.sectioned import SHOP, planned

Z90 = 1.645


def _law(plan: Plan) -> SheetLaw:
    law = law_of(plan.job).law
    assert law is not None
    return law


def _place(plan: Plan, owner: str, along: float | None = None) -> Place:
    rows = [p for p in places_of(plan.job, plan.blank) if p.owner == owner]
    return rows[0] if along is None else min(rows, key=lambda p: abs(p.along - along))


def _flange(plan: Plan, place: Place, undercut: float) -> Flange:
    return with_web(flange_on(_law(plan), plan.job.t, place, undercut))


def _comes_out(plan: Plan, place: Place, undercut: float, pressure: float) -> float:
    f = _flange(plan, place, undercut)
    point = press_through(f, (pressure,)).points[-1]
    assert point.released is not None
    return stands(f, point.released)


def _edge(plan: Plan, name: str) -> BlockEdge:
    return next(e for e in plan.block.edges if e.edge == name)


def test_on_the_block_as_cut_the_released_flange_stands_at_its_angle() -> None:
    plan = planned("square")
    assert plan.block.undercut_pressure is not None
    u = float(_edge(plan, "south").under.deg[0])
    assert _comes_out(plan, _place(plan, "south"), u, plan.block.undercut_pressure) == pytest.approx(90.0, abs=0.03)


def test_the_block_is_cut_for_the_pressure_that_the_set_up_pumps_to() -> None:
    plan = planned("square")
    assert plan.setup is not None
    assert plan.setup.pump_pressure == pytest.approx(plan.block.undercut_pressure, rel=1e-3)
    assert plan.setup.needed is not None
    assert plan.setup.pump_pressure == pytest.approx(plan.setup.needed.high, rel=0.005)


def test_the_needed_pressure_is_the_models_closing_pressure_and_the_pads_share() -> None:
    plan = planned("square")
    assert plan.setup is not None
    d = plan.setup.governed
    assert d is not None
    assert d.need.value == pytest.approx(d.pc + pad_share(plan.setup.press, plan.block.height).mpa)
    f = _flange(plan, _place(plan, str(d.where["edge"])), d.wall - 90.0)
    below, above = (press_through(f, (d.pc * q,), release=False).points[-1].loaded.angle for q in (0.98, 1.02))
    assert below < d.wall - 0.5 < above
    # the formula fitted to straight 90 deg flanges is the model's own rule of thumb
    assert d.quick == pytest.approx(d.pc, rel=0.2)


def test_the_shortest_straight_part_is_closed_by_what_the_pad_leaves_and_by_no_less() -> None:
    plan = planned("square")
    assert plan.setup is not None
    r, share = plan.setup.reached[0], plan.setup.share.mpa
    place = _place(plan, r.flange.owner)
    assert r.shortest_straight is not None
    assert r.wall is not None
    short = at_length(place, place.straight * r.shortest_straight / place.leg)
    closes = one_section.close(plan.job, law_of(plan.job), short, r.wall - 90.0)
    assert closes == pytest.approx(r.pressure - share, rel=0.04)
    assert r.quick_shortest == pytest.approx(r.shortest_straight, rel=0.3)


def test_without_undercut_the_part_comes_out_as_the_models_own_run_on_a_plain_block() -> None:
    plan = planned("none")
    assert plan.block.undercut_pressure is not None
    e = _edge(plan, "south")
    assert float(e.under.deg[0]) == 0.0
    own = _comes_out(plan, _place(plan, "south"), 0.0, plan.block.undercut_pressure)
    assert float(e.out.angle[0]) == pytest.approx(own, abs=0.02)
    assert own < 90.0


def test_along_a_bevel_every_place_comes_out_at_its_own_angle() -> None:
    plan = planned("bevel")
    assert plan.block.undercut_pressure is not None
    e = _edge(plan, "south")
    for along in (40.0, 130.0):  # between the places where it was solved
        u, a = (float(np.interp(along, np.sort(e.along), v[np.argsort(e.along)])) for v in (e.under.deg, e.angle))
        strip, _ = plan.blank.strip_of("south")
        leg = float(np.interp(along, np.sort(strip.at.along), strip.at.leg[np.argsort(strip.at.along)]))
        place = _place(plan, "south", along)
        here = replace(place, angle=a, unlike=(a, place.radius, leg, 0.0))
        assert _comes_out(plan, here, u, plan.block.undercut_pressure) == pytest.approx(a, abs=0.1)


@pytest.mark.slow
def test_with_one_tilt_an_edge_the_worst_two_errors_are_alike_and_opposite() -> None:
    plan = planned("one tilt")
    e = _edge(plan, "south")
    assert np.ptp(e.under.deg) == 0.0
    assert np.ptp(planned("bevel").block.edges[0].under.deg) > 0.05
    assert float(np.max(e.remaining)) == pytest.approx(-float(np.min(e.remaining)), abs=0.01)
    assert float(np.max(np.abs(e.remaining))) > 0.01


def test_a_press_that_falls_short_leaves_the_flange_where_the_models_run_leaves_it() -> None:
    plan = planned("weak")
    assert plan.setup is not None
    r = plan.setup.reached[0]
    assert r.closes is False
    assert plan.setup.pump_pressure is None
    assert r.under_load is not None
    assert r.released is not None
    assert r.wall is not None
    # the pad keeps its share in proportion to the angle
    sheet = r.pressure - plan.setup.share.mpa * r.under_load.value / (r.wall - 0.5)
    point = press_through(_flange(plan, _place(plan, r.flange.owner), r.wall - 90.0), (sheet,)).points[-1]
    assert r.under_load.value == pytest.approx(point.loaded.angle, abs=0.5)
    assert point.released is not None
    assert r.released.value == pytest.approx(point.released.angle, abs=0.5)
    assert r.under_load.low < r.under_load.value < r.under_load.high <= r.wall
    assert "pressure-short" in {f.code for f in plan.findings}
    # the block is cut for the pressure that would close it
    assert plan.setup.needed is not None
    assert plan.block.undercut_pressure == pytest.approx(plan.setup.needed.value, rel=0.005)


def test_the_band_is_the_root_of_the_squares_of_what_moves_the_flange() -> None:
    plan = planned("square")
    assert plan.job.sections is not None
    s, e = plan.job.sections.flanges["south"], _edge(plan, "south")
    sd = float(np.sqrt(sum(float(m.sd[0]) ** 2 for m in s.moved)))
    (friction,) = (m for m in s.moved if m.mean is not None)
    assert friction.name == "friction"
    assert friction.mean is not None
    # friction can only open: the band lies about a mean that is more open than the answer
    mean = float(friction.mean[0])
    assert mean < -0.02
    assert float(e.out.angle[0] - e.out.low[0]) == pytest.approx(Z90 * sd - mean)
    assert float(e.under.high[0] - e.under.deg[0]) > float(e.under.deg[0] - e.under.low[0])
    assert sd > MODEL_SD_DEG


def test_what_a_cause_moves_is_the_difference_of_two_runs() -> None:
    plan = planned("square")
    assert plan.job.sections is not None
    assert plan.block.undercut_pressure is not None
    s, p, u = plan.job.sections, plan.block.undercut_pressure, float(_edge(plan, "south").under.deg[0])
    place, known = _place(plan, "south"), law_of(plan.job)
    base = _comes_out(plan, place, u, p)
    moved = {m.name: float(m.sd[0]) for m in s.flanges["south"].moved}
    way = {}
    for v in variants(plan.job, known, place, u, p):
        if v.name in ("strength of the sheet", "modulus of the sheet", "friction", "R-value of the sheet"):
            f = with_web(v.flange)
            end = press_through(f, (v.pressure,)).points[-1].released
            assert end is not None
            way[v.name] = stands(f, end) - base
            assert abs(way[v.name]) / v.weight == pytest.approx(moved[v.name], abs=0.01)
    # stronger sheet springs more, a stiffer one less, and friction keeps the bend from being pressed out
    assert way["strength of the sheet"] < 0 < way["modulus of the sheet"]
    (mean,) = (float(m.mean[0]) for m in s.flanges["south"].moved if m.mean is not None)
    assert way["friction"] == pytest.approx(mean, abs=0.01)


def test_tight_bends_hard_pads_soft_sheet_under_high_pressure_and_curves_are_unverified_and_wider() -> None:
    job = job_of(box(), SHOP)
    law, p2 = law_of(job).law, SHOP.press("P2")
    assert law is not None
    assert p2 is not None
    hard = replace(p2, pad=replace(p2.pad, shore_a=85.0))
    plain = misses(law, 1.0, 3.0, None, 10.0, p2)
    assert unverified(plain) == ""
    for rows in (
        misses(law, 1.0, 1.5, None, 10.0, p2),
        misses(law, 1.0, 3.0, None, 10.0, hard),
        misses(law, 1.0, 3.0, None, 50.0, p2),
        misses(law, 1.0, 3.0, 500.0, 10.0, p2),
    ):
        assert unverified(rows)
        assert len(rows) == len(plain) + 1
    strong = law_of(job_of(box(material="2024-T3"), SHOP)).law
    assert strong is not None
    assert unverified(misses(strong, 1.0, 3.0, None, 50.0, p2)) == ""
    # hard sheet: what the hardness of the block is worth grows with the pressure, and the miss with it
    assert [misses(strong, 1.0, 3.0, None, p, None)[0].sd for p in (7.0, 14.0, 35.0, 70.0)] == [0.3, 0.3, 0.45, 0.65]
    assert misses(law, 1.0, 3.0, None, 50.0, None)[0].sd == MODEL_SD_DEG
    # a fluid is the pressure that the model was checked under
    assert sum(m.sd**2 for m in misses(law, 1.0, 3.0, None, 10.0, None)) < sum(m.sd**2 for m in plain)


def test_a_flange_at_which_the_model_stops_is_left_to_the_closed_form_and_the_answer_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    real = press_through

    def stops(f: Flange, pressures: tuple[float, ...], **more: object) -> Pressed:
        run = real(f, pressures, **more)  # type: ignore[arg-type]
        end = replace(run.points[-1], released=None, outcome=STUCK)
        return replace(run, points=(end,), outcome=STUCK)

    monkeypatch.setattr(model, "press_through", stops)
    text, press = box(w=120.0, h=120.0), SHOP.press("P2")
    plan = make_plan(job_of(text, SHOP), press, model=SECTION)
    monkeypatch.undo()
    quick = make_plan(job_of(text, SHOP), press)
    left = [f for f in plan.findings if f.code == "section-model-left"]
    assert {f.where["edge"] for f in left} == {"south", "east", "north", "west"}
    assert np.array_equal(_edge(plan, "south").under.deg, _edge(quick, "south").under.deg)
    assert plan.setup is not None
    assert quick.setup is not None
    assert plan.setup.needed == quick.setup.needed


def test_a_temper_without_a_flow_curve_is_not_asked_of_the_model() -> None:
    text = box(material="2024-T3").replace("thickness", 'formed_in = "W"\nthickness')
    plan = make_plan(job_of(text, SHOP), SHOP.press("P2"), model=SECTION)
    assert plan.job.sections is None
    assert "temper-unknown" in {f.code for f in plan.findings}


@pytest.mark.slow
def test_a_run_that_is_asked_for_again_gives_the_same_bytes() -> None:
    plan = planned("square")
    again = make_plan(job_of(box(w=120.0, h=120.0), SHOP), SHOP.press("P2"), model=SECTION)
    assert np.array_equal(_edge(plan, "south").under.deg, _edge(again, "south").under.deg)
    assert plan.setup is not None
    assert again.setup is not None
    assert plan.setup.reached[0].released == again.setup.reached[0].released


def test_a_released_curved_flange_stands_the_same_against_the_web_whatever_web_is_modelled() -> None:
    """Against the far end of the web it does not: what is left of the hoop stress dishes the web, and more of it the more."""
    law = law_of(job_of(box(material="2024-T3"), SHOP)).law
    assert law is not None
    f = Flange(law, 1.0, 2.7, 98.0, 16.0, 1500.0, 1.0)
    own, far = [], []
    for web in (40.0, 80.0):
        g = replace(f, web=web)
        point = press_through(g, (12.0,)).points[-1]
        assert point.outcome == CONVERGED
        assert point.released is not None
        own.append(stands(g, point.released))
        far.append(point.released.angle)
    assert abs(own[1] - own[0]) < 0.4
    assert abs(far[1] - far[0]) > 1.5
    straight = replace(f, axis=None)
    point = press_through(straight, (12.0,)).points[-1]
    assert point.released is not None
    assert stands(straight, point.released) == pytest.approx(point.released.angle, abs=0.1)
