"""From a measured angle to an entry of the book: what is taken down, and why a place gives none."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from building import box, example_shop, job_of
from ribwright.features.inspected import BLANK, Said
from ribwright.shop.springback_book import CLOSED_FORM, SECTION, Book, Observation
from ribwright.stages import observing, springback
from ribwright.stages.found import Found
from ribwright.stages.making_answers import whole_block_answer
from ribwright.stages.observing import Cut, cut_of_answer, cut_of_block, observe
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.springback import Bends
from stages.sectioned import by_hand
from taught_books import book

SHOP = example_shop()
SAID = Said("mm", "T-1", serial="001", lot="L-77", by="W. Heron", date="2031-03-10", press="P2", pressure_mpa=7.0)
B1 = Cut("B1", 3.0)
HOLE = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 30\nflat_height = 7\nbend_angle = 40\nbend_radius = 3\n'
    '[[hole]]\nname = "H"\nkind = "plain"\nat = [30, 30]\ndiameter = 5\n'
)


@cache
def plan(press: str = "P2", material: str = "2024-O", offs: tuple[float, ...] = (), width: float = 15.0) -> Plan:
    text = box(material=material, width=width, extra=HOLE)
    job = job_of(text, SHOP, book(offs) if offs else None)
    return make_plan(job, SHOP.press(press) if press else None)


def found(value: float = 88.0, u: float | None = 0.5, **where: Any) -> Found:
    return Found(
        "flange_angle", where or {"edge": "south", "along_mm": 60.0}, value, 90.0, "deg", u, "protractor", "G-02"
    )


def one(f: Found | None = None, cut: Cut | None = B1, said: Said = SAID, of: Plan | None = None) -> Observation:
    got = observe(of or plan(), "f" * 16, said, [f or found()], cut)
    assert got.left == ()
    (o,) = got.kept
    return o


def reason(f: Found | None = None, cut: Cut | None = B1, said: Said = SAID, of: Plan | None = None) -> str:
    got = observe(of or plan(), "f" * 16, said, [f or found()], cut)
    assert got.kept == ()
    return got.left[0].reason


def test_an_entry_says_what_was_measured_and_what_was_forecast_for_the_block_as_cut() -> None:
    o = one()
    assert (o.part, o.serial, o.lot, o.material, o.place, o.along) == ("T-1", "001", "L-77", "2024-O", "south", 60.0)
    assert (o.measured, o.u, o.gauge, o.undercut, o.block) == (88.0, 0.5, "G-02", 3.0, "B1")
    bends = Bends("south", 3.0, np.full(1, 90.0), np.full(1, 60.0))
    out = springback.released_of(plan().job, bends, np.full(1, 3.0))
    assert o.foretold.value == pytest.approx(float(out.angle[0]))
    assert (o.foretold.low, o.foretold.high) == pytest.approx((float(out.low[0]), float(out.high[0])))
    assert o.foretold.springback == pytest.approx(93.0 - o.foretold.value)
    assert o.off == pytest.approx(88.0 - o.foretold.value)
    assert o.foretold.family == CLOSED_FORM
    # half of the 90 % band is 1.645 of model and piece together; the piece's share is of the springback on the block solved for
    sd = float(np.hypot(o.foretold.sd_model, o.foretold.sd_piece))
    assert o.foretold.high - o.foretold.value == pytest.approx(1.645 * sd, rel=1e-3)
    assert o.foretold.sd_tooling > 0.0


def test_what_the_book_said_then_stands_beside_the_forecast_that_it_did_not_touch() -> None:
    plain, taught = one(), one(of=plan(offs=(-2.0, -2.1, -1.9)))
    assert plain.foretold.told == (plain.foretold.value, plain.foretold.low, plain.foretold.high)
    assert (plain.foretold.corrected_by, taught.foretold.corrected_by) == (0, 3)
    assert taught.foretold.value == pytest.approx(plain.foretold.value)
    assert taught.off == pytest.approx(plain.off)
    assert taught.foretold.told[0] < taught.foretold.value - 1.0


def test_a_flanged_hole_is_an_entry_and_a_plain_one_is_not() -> None:
    o = one(found(39.0, hole="L"), Cut("B1", None, holes={"L": 1.0}))
    assert (o.hole, o.place, o.angle, o.undercut) == (True, "L", 40.0, 1.0)
    assert o.curvature > 0.0
    assert reason(found(39.0, hole="H")) == observing.NO_FLANGE


def test_a_wall_that_would_lean_outward_of_a_shallow_bend_is_asked_about() -> None:
    own = float(springback.undercut_of(plan().job, springback.hole_bends(plan().job.part.holes[0])).deg[0])
    assert reason(found(39.0, hole="L"), Cut("B1", -45.0)) == observing.ODD_CUT.format(-45.0, own)
    assert one(found(39.0, hole="L"), Cut("B1", -8.0)).undercut == -8.0


def test_only_bend_angles_are_entries() -> None:
    other = replace(found(), quantity="contour", unit="mm")
    assert observe(plan(), "f" * 16, SAID, [other], Cut("B1", 3.0)) == observing.Observed((), ())


def test_a_flange_that_the_press_leaves_open_says_nothing_of_a_closed_bend() -> None:
    weak = replace(SHOP.press("P2"), rated_pressure_mpa=0.3)  # type: ignore[type-var]
    short = make_plan(job_of(box(width=9.0, extra=HOLE), SHOP), weak)
    assert short.setup is not None
    assert not all(r.closes for r in short.setup.reached)
    assert reason(of=short) == observing.OPEN


def test_a_packet_that_nobody_knows_is_named_beside_todays() -> None:
    said = reason(cut=None, said=replace(SAID, packet="0" * 16))
    assert said == observing.OTHER_PACKET.format("0" * 16, "f" * 16)
    assert "nobody says how the block was cut" in said


OWN = float(springback.undercut_of(plan().job, Bends("south", 3.0, np.full(1, 90.0), np.full(1, 60.0))).deg[0])


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"of": plan(press="")}, observing.NO_PRESS),
        ({"of": plan(material="2024-W")}, observing.NO_CURVE),
        ({"f": found(u=None)}, observing.NO_U),
        ({"said": replace(SAID, date="2031-03-21")}, observing.LATE.format("G-02", "2031-03-20")),
        ({"cut": None}, observing.NO_UNDERCUT),
        ({"cut": Cut("B1", None, edges={"north": (np.zeros(1), np.zeros(1))})}, observing.NO_PLACE),
        ({"cut": Cut("B1", -45.0)}, observing.ODD_CUT.format(-45.0, OWN)),
        ({"cut": Cut("B1", 45.0)}, observing.ODD_CUT.format(45.0, OWN)),
        ({"said": replace(SAID, what=BLANK)}, observing.NOT_FORMED),
    ],
    ids=[
        "no press",
        "no flow curve",
        "gauge",
        "gauge past its date",
        "block",
        "place of the block",
        "cut outward",
        "cut far inward",
        "a blank",
    ],
)
def test_a_place_that_gives_none_says_why(more: dict[str, Any], said: str) -> None:
    assert reason(**more) == said


def test_the_undercut_is_read_off_the_block_along_the_edge_and_out_of_a_kept_answer_alike() -> None:
    p = make_plan(job_of(box(angle='[[0, 84], ["end", 96]]', extra=HOLE), SHOP), SHOP.press("P2"))
    here, kept = cut_of_block(p.block, "a"), cut_of_answer({"block": whole_block_answer(p)}, "b")
    assert kept is not None
    e = next(e for e in p.block.edges if e.edge == "south")
    for along, deg in zip(e.along, e.under.deg, strict=True):
        for cut in (here, kept):
            assert cut.at("south", False, float(along)) == pytest.approx(float(deg))
    assert here.at("L", True, 0.0) == pytest.approx(kept.at("L", True, 0.0))
    assert here.at("nowhere", False, 0.0) is None
    assert cut_of_answer({"block": {}}, "b") is None


def sectioned(said: Said = SAID) -> observing.Observed:
    """The same by section model's places, made by hand at 12 MPa."""
    p = plan()
    job = by_hand(p.job, {"south": ([0.0, 200.0], [4.0, 4.0])})
    return observe(replace(p, job=job), "f" * 16, said, [found()], Cut("B1", 3.0))


def test_by_the_section_model_the_pressure_must_be_said_and_near_what_the_block_was_cut_for() -> None:
    assert sectioned(replace(SAID, pressure_mpa=None)).left[0].reason == observing.NO_PRESSURE
    far = sectioned(replace(SAID, pressure_mpa=9.0)).left[0].reason
    assert "formed at 1305 psi (9.00 MPa), and the forecast is for 1740 psi (12.00 MPa): more than a fifth apart" in far
    (o,) = sectioned(replace(SAID, pressure_mpa=12.0)).kept
    assert o.foretold.family == SECTION
    assert o.foretold.value == pytest.approx(89.0)
    assert (o.foretold.sd_model, o.foretold.sd_piece) == pytest.approx((0.5, 0.4))


def test_an_empty_book_and_no_book_take_down_the_same() -> None:
    job = job_of(box(extra=HOLE), SHOP, Book())
    assert one(of=make_plan(job, SHOP.press("P2"))) == one()


def test_of_a_scan_five_places_a_flange_are_kept_evenly_along_and_it_is_said() -> None:
    rows = [replace(found(88.0, edge="south", along_mm=float(s)), by="points", gauge="") for s in range(10, 191, 10)]
    got = observe(plan(), "f" * 16, SAID, [*rows[::-1], found(89.0, edge="north", along_mm=50.0)], Cut("B1", 3.0))
    assert sorted(o.along for o in got.kept if o.place == "south") == [10.0, 50.0, 100.0, 150.0, 190.0]
    assert [o.place for o in got.kept].count("north") == 1
    assert [x.where for x in got.left] == [{"edge": "south"}]
    assert "19 places of a scan" in got.left[0].reason
