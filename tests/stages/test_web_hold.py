"""A web held by what rubs it: the quick rule's numbers, its finding, and how far a rubbed web slides."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from building import box, example_shop, job_of
from ribwright.mechanics.inverse import model
from ribwright.stages.blank import make_blank
from ribwright.stages.blank_inverse import InverseBlank, anisotropy_for, inverse_blank, law_for
from ribwright.stages.job import Job
from ribwright.stages.plan import make_plan
from ribwright.stages.web_hold import WebHold, web_holds
from ribwright.stages.web_slip import slip_findings, web_slip
from sectors import sector

P = 7.0
MU, RATIO = 0.2, 5.0  # as facts/practice.toml
HOLE = '[[hole]]\nname = "L"\nat = [0, 230]\ndiameter = 20\nkind = "plain"\n'
RING = box(w=300.0, h=340.0, flanges=(False,) * 4) + (
    '[[cutout]]\nname = "c"\nstart = [210, 170]\nedge = [{name = "c1", through = [150, 230], to = [90, 170], flange = "f"}, '
    '{name = "c2", through = [150, 110], to = [210, 170], flange = "f"}]\n'
)


def row(text: str, pressure: float = P) -> WebHold:
    job = job_of(text)
    (one,) = web_holds(job, make_blank(job), pressure)
    return one


def test_pull_and_need_are_those_of_the_formula_by_hand() -> None:
    """R 200, w and edge strain of the blank, sigma of the record's own flow curve."""
    job = job_of(sector(200.0, 60.0, 60.0))
    blank = make_blank(job)
    h = row(sector(200.0, 60.0, 60.0))
    assert h.edge == "inner"
    assert h.radius == pytest.approx(200.0, rel=0.002)
    assert h.web == pytest.approx(60.0, abs=0.05)
    strip = blank.strips[0].strip
    middle = len(strip.flat_width) // 2
    assert h.flat_width == pytest.approx(strip.flat_width[middle], rel=1e-3)
    assert h.strain == pytest.approx(abs(strip.edge_strain[middle]), rel=0.01)
    assert job.formed is not None
    c = job.formed.hardening
    assert c is not None
    stress = c.k_mpa * (h.strain + c.prestrain) ** c.n
    assert h.stress == pytest.approx(stress, rel=0.01)
    assert h.traction == pytest.approx(MU * P)
    assert h.needed == pytest.approx(RATIO * stress * h.flat_width / 200.0 / (MU * P), rel=0.01)


@pytest.mark.parametrize("inside", [True, False])
def test_a_wide_web_holds_and_a_narrow_one_does_not(inside: bool) -> None:
    wide, narrow = (row(sector(200.0, web, 60.0, inside)) for web in (100.0, 15.0))
    assert wide.holds
    assert not narrow.holds
    assert narrow.needed == pytest.approx(wide.needed, rel=1e-6)


def test_a_hole_takes_web_away() -> None:
    assert row(sector(200.0, 60.0, 60.0) + HOLE).web == pytest.approx(40.0, abs=0.1)


def test_more_pressure_and_a_thinner_sheet_need_less_web() -> None:
    one = row(sector(200.0, 60.0, 60.0))
    assert row(sector(200.0, 60.0, 60.0), 2 * P).needed == pytest.approx(one.needed / 2)
    assert row(sector(200.0, 60.0, 60.0, t=0.5)).needed < 0.55 * one.needed


@pytest.mark.parametrize("text", [RING, box(), box(flanges=(False,) * 4)])
def test_closed_runs_and_straight_flanges_are_not_asked(text: str) -> None:
    job = job_of(text)
    assert web_holds(job, make_blank(job), P) == ()


def test_without_pressure_nothing_is_said() -> None:
    job = job_of(sector(200.0, 15.0, 60.0))
    assert web_holds(job, make_blank(job), 0.0) == ()
    assert all(f.code != "web-narrow-may-slide" for f in make_plan(job).findings)


@pytest.mark.parametrize("deg", [20.0, 35.0, 50.0, 60.0, 70.0])
def test_a_short_run_has_its_middle_judged(deg: float) -> None:
    """Runs shorter than four widths have no station clear of both ends."""
    assert not row(sector(60.0, 12.0, deg)).holds


@pytest.mark.parametrize(("web", "said"), [(200.0, ""), (100.0, "slide a little"), (6.0, "it slides and bows")])
def test_the_finding_has_the_numbers_of_the_set_up(web: float, said: str) -> None:
    """Radius 200: 172 mm of web are needed at the least pressure that closes the flange, and a fifth of that would only just slide."""
    shop = example_shop()
    job = job_of(sector(200.0, web, 60.0), shop)
    plan = make_plan(job, shop.press("P2"))
    assert plan.setup is not None
    found = [f for f in plan.findings if f.code == "web-narrow-may-slide"]
    if not said:
        assert found == []
        return
    (f,) = found
    (need,) = [d.need for d in plan.setup.demands]
    h = web_holds(job, plan.blank, 1e3, {"inner": need.low})[0]
    assert h.pressure == need.low < (plan.setup.pump_pressure or 0.0)
    assert (f.severity, f.value, f.limit, f.where["edge"]) == ("note", h.web, h.needed, "inner")
    assert said in f.say
    assert f.margin == pytest.approx((h.web - h.needed) / h.needed)
    assert f.margin < 0


# ---------------------------------------------------------------- solved with a rubbed web


@cache
def solved(web: float, inside: bool = True) -> tuple[Job, InverseBlank]:
    job = job_of(sector(200.0, web, 60.0, inside))
    return job, inverse_blank(job, make_blank(job), 3.0)


def test_a_narrow_web_slides_more_than_a_wide_one_and_less_under_more_pressure() -> None:
    far = {(web, p): web_slip(*solved(web), p) for web in (15.0, 60.0) for p in (3.0, P, 50.0)}
    lengths = {k: s.largest for k, s in far.items() if s is not None and s.largest is not None}
    assert len(lengths) == 6
    assert lengths[15.0, P] > 2 * lengths[60.0, P]
    assert lengths[15.0, 3.0] > lengths[15.0, P] > lengths[15.0, 50.0]
    one = far[15.0, P]
    assert one is not None
    assert one.half is not None
    assert one.half < one.largest
    assert one.traction == pytest.approx(MU * P)


def test_half_of_a_web_that_the_rule_calls_held_hardly_moves() -> None:
    """The study of decision 0034 at three places: at five times the pull half of the web within 0.02 mm, at the pull 0.7 mm and more."""
    for web, inside in ((15.0, True), (60.0, True), (15.0, False)):
        job, made = solved(web, inside)
        (h,) = web_holds(job, make_blank(job), P)
        for ratio, most_half, least_far in ((5.0, 0.02, 0.0), (1.0, 1.0, 0.7)):
            s = web_slip(job, made, ratio * h.pull / h.web / MU)
            assert s is not None
            assert s.half is not None
            assert s.largest is not None
            assert s.half < most_half
            assert s.largest > least_far


def test_slip_is_read_off_the_same_places_that_the_model_gives() -> None:
    job, made = solved(15.0)
    s, m = web_slip(job, made, P), made.meshed.mesh
    assert s is not None
    assert m is not None
    formed = model.FormedSheet(m.nodes, m.normals, m.triangles, m.along, m.allowance, m.held, m.start)
    flat = model.flat_of(formed, model.Blank(law_for(job), job.t, anisotropy_for(job)), model.Friction(MU * P))
    slid = np.linalg.norm(flat.places[m.held] - m.nodes[m.held, :2], axis=1)
    assert s.largest == pytest.approx(slid.max(), abs=1e-6)
    assert s.half == pytest.approx(np.median(slid), abs=1e-6)
    assert made.flat is not None
    assert s.moved == pytest.approx(np.linalg.norm(flat.places - made.flat.places, axis=1).max(), abs=1e-6)


def test_a_slide_beyond_what_two_blanks_may_differ_by_is_found() -> None:
    job, made = solved(15.0)
    s = web_slip(job, made, P)
    assert s is not None
    assert s.moved is not None
    limit = job.shop.rules.blank_agreement_mm
    assert s.moved > limit
    (f,) = slip_findings(job, s)
    assert (f.code, f.value, f.limit) == ("web-slides", s.moved, limit)
    assert slip_findings(job, replace(s, moved=limit)) == ()
    assert slip_findings(job, replace(s, moved=None)) == ()
