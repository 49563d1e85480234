"""What a springback book does to a plan: block, forecast, set-up and tolerances move together, and nothing moves without one.

No formed part stands behind these books: they are made up. That the learning finds a shop's truth is shown by the study of
benchmarks/springback_book.py; here it is only whether what was found is carried through.
"""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from answering import book_of as answer_book
from building import RandomPart, box, example_shop, job_of
from forecasts import forecast_of
from ribwright.shop.springback_book import SECTION, Book, Withdrawn
from ribwright.stages import springback
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.forecast import forecast, prepare
from ribwright.stages.forecast_ask import CLOSED_FORM, Ask
from ribwright.stages.learning import LEARNED_MODEL, LEARNED_PIECE
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.springback import Bends
from ribwright.stages.taught import taught_sections, without_book
from ribwright.stages.tolerances import tolerances
from ribwright.stages.why import why
from stages.sectioned import by_hand
from taught_books import book, book_of, observation

OPEN = (-2.0, -2.3, -1.8)
BENDS = Bends("south", 3.0, np.full(1, 90.0), np.zeros(1))
SHOP = example_shop()


def plan(offs: tuple[float, ...] = (), text: str = "", press: str = "", **more: object) -> Plan:
    job = job_of(text or box(), SHOP if press else None, book(offs, **more))
    return make_plan(job, SHOP.press(press) if press else None)


def south(p: Plan) -> tuple[float, float, float]:
    e = next(e for e in p.block.edges if e.edge == "south")
    return float(e.under.deg[0]), float(e.under.low[0]), float(e.under.high[0])


def shift(rows: Book, **more: object) -> float:
    c = springback.correction_at(job_of(box(**more), None, rows), BENDS)  # type: ignore[arg-type]
    assert c is not None
    return float(c.shift[0])


# ---------------------------------------------------------------- nothing measured


@pytest.mark.parametrize("empty", [Book(), book(OPEN, family=SECTION)], ids=["no line", "another model's"])
def test_without_a_measurement_by_this_model_every_byte_of_the_answer_is_as_it_was(empty: Book) -> None:
    text = box(extra='[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 30\nflat_height = 7\n'
               "bend_angle = 40\nbend_radius = 3\n")  # fmt: skip
    plain, with_it = (answer_book(job_of(text, SHOP, b), "P2").answer for b in (None, empty))
    assert json.dumps(plain) == json.dumps(with_it)
    assert "learned" not in plain["inputs"]


def test_what_the_section_model_missed_teaches_the_closed_form_nothing_and_the_other_way_round() -> None:
    assert springback.correction_at(job_of(box(), None, book(OPEN, family=SECTION)), BENDS) is None
    job = by_hand(job_of(box(), None, book(OPEN)), {"south": ([0.0, 200.0], [4.0, 4.0])})
    assert job.sections is not None
    assert taught_sections(job, job.sections) is job.sections


# ---------------------------------------------------------------- what moves, and how far


def test_parts_that_came_open_ask_for_more_undercut_and_parts_that_came_closed_for_less() -> None:
    free = south(plan())[0]
    assert south(plan((-1.0,)))[0] > free > south(plan((1.0,)))[0]
    one, two = south(plan((-1.0,)))[0], south(plan((-2.0,)))[0]
    assert free < one < two


def test_the_band_of_the_undercut_narrows_with_every_piece() -> None:
    widths = [(lambda d: d[2] - d[1])(south(plan(tuple([-1.0] * n)))) for n in (0, 1, 3, 10)]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.7 * widths[0]


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    off=st.floats(-3.0, 3.0),
    mode=st.sampled_from(["varying", "constant-per-edge"]),
)
def test_on_the_corrected_block_the_corrected_forecast_lands_on_the_drawing(seed: int, off: float, mode: str) -> None:
    part = RandomPart(seed)
    text = part.text() + f'[block]\nundercut = "{mode}"\n'
    made = make_plan(job_of(text, None, book((off, off + 0.2, off - 0.1), part="T-1", place="e0")))
    for e in made.block.edges:
        if e.under.known:
            assert e.out.angle == pytest.approx(e.angle, abs=1e-6)
    for r in made.block.recesses:
        assert r.remaining == pytest.approx(0.0, abs=1e-6)


def test_one_undercut_for_an_edge_still_leaves_equal_and_opposite_errors_at_its_ends() -> None:
    text = box(angle='[[0, 84], ["end", 96]]') + '[block]\nundercut = "constant-per-edge"\n'
    for offs in ((), OPEN):
        e = plan(offs, text).block.edges[0]
        left = e.out.angle - e.angle
        assert left.max() == pytest.approx(-left.min(), rel=1e-6)
        assert left.max() > 0.01


def test_the_forecast_of_the_block_as_it_was_moves_by_the_shift() -> None:
    """A block cut before anything was measured comes out, by the corrected forecast, as the pieces came."""
    job = job_of(box(), None, book(OPEN))
    deg = springback.undercut_of(without_book(job), BENDS).deg
    c = springback.correction_at(job, BENDS)
    assert c is not None
    out, plain = springback.released_of(job, BENDS, deg), springback.released_of(without_book(job), BENDS, deg)
    assert plain.angle[0] == pytest.approx(90.0)
    assert out.angle[0] == pytest.approx(90.0 + c.shift[0])
    assert out.high[0] - out.low[0] < plain.high[0] - plain.low[0]


def test_set_up_and_forecast_follow_the_block() -> None:
    made = plan(OPEN, press="P2")
    reached = next(r for r in made.setup.reached if r.flange.owner == "south")  # type: ignore[union-attr]
    assert reached.closes
    assert reached.released is not None
    assert reached.released.value == pytest.approx(90.0, abs=1e-6)
    assert reached.released.model.endswith("corrected by 3 measured pieces")
    told = forecast(prepare(made, Ask(CLOSED_FORM, None, None)), {})
    station = next(s for s in told.stations if s.place.owner == "south")
    assert station.released is not None
    assert station.released.value == pytest.approx(90.0, abs=1e-6)
    assert "corrected by 3 measured pieces" in station.released.model


def test_the_tolerances_are_stacked_from_what_the_book_leaves() -> None:
    made = plan(OPEN)
    row = next(r for r in tolerances(made.job, made.blank, made.block) if r.quantity == "flange_angle")
    names = [c.name for c in row.contributors]
    assert names[:2] == [LEARNED_MODEL, LEARNED_PIECE]
    free = plan()
    before = next(r for r in tolerances(free.job, free.blank, free.block) if r.quantity == "flange_angle")
    assert row.sd() < before.sd()
    assert row.sd("tooling") == before.sd("tooling")


def test_the_same_metal_moves_more_than_another_and_the_same_flange_more_than_its_neighbour() -> None:
    rows = book(OPEN)
    same, other = shift(rows), shift(rows, material="7075-O")
    assert same < other < 0.0
    job = job_of(box(), None, rows)
    north = springback.correction_at(job, replace(BENDS, owner="north"))
    assert north is not None
    assert same < float(north.shift[0]) < 0.0


def test_the_pieces_that_moved_a_number_add_up_to_the_shift_whatever_their_order() -> None:
    rows = [observation(o, str(i)) for i, o in enumerate((-2.0, -0.5, -3.0, 1.0))]
    for order in (rows, rows[::-1]):
        c = springback.correction_at(job_of(box(), None, book_of(order)), BENDS)
        assert c is not None
        movers = c.movers(0)
        assert sum(m.moved for m in movers) == pytest.approx(float(c.shift[0]))
        assert len(movers) == 4
        assert abs(movers[0].moved) == max(abs(m.moved) for m in movers)
        assert float(c.shift[0]) == pytest.approx(shift(book_of(rows)), abs=1e-6)


# ---------------------------------------------------------------- the section model


def test_the_section_models_places_are_shifted_by_their_own_slope_and_narrowed() -> None:
    places = {"south": ([0.0, 100.0, 200.0], [4.0, 6.0, 5.0])}
    job = by_hand(job_of(box(), None, book(OPEN, family=SECTION)), places, slope=0.8)
    assert job.sections is not None
    done = replace(job, sections=taught_sections(job, job.sections))
    at = Bends("south", 3.0, np.full(3, 90.0), np.array([0.0, 100.0, 200.0]))
    c = springback.correction_at(done, at)
    assert c is not None
    before, after = springback.undercut_of(job, at), springback.undercut_of(done, at)
    assert after.deg == pytest.approx(before.deg - c.shift / 0.8)
    assert np.all(after.high - after.low < before.high - before.low)
    assert springback.released_of(done, at, after.deg).angle == pytest.approx(90.0)
    assert springback.released_of(done, at, before.deg).angle == pytest.approx(90.0 + c.shift)
    assert after.model.endswith(", corrected by 3 measured pieces")
    assert springback.undercut_of(without_book(done), at).deg == pytest.approx(before.deg)


def test_a_flange_that_the_section_model_left_is_corrected_by_the_closed_forms_pieces() -> None:
    job = by_hand(job_of(box(), None, book(OPEN)), {"south": ([0.0, 200.0], [4.0, 4.0])}, why_quick="it stopped")
    assert springback.undercut_of(job, BENDS).deg == pytest.approx(south(plan(OPEN))[0])


# ---------------------------------------------------------------- names and reasons


def test_the_fingerprint_names_what_was_learned_and_changes_with_every_kept_observation() -> None:
    def name(b: Book | None) -> str:
        return fingerprint(job_of(box(), None, b), "strain-corrected")

    rows = [observation(-1.0, str(i)) for i in range(3)]
    names = [name(None), *(name(book_of(rows[: n + 1])) for n in range(3))]
    assert len(set(names)) == 4
    assert name(Book()) == names[0]
    # withdrawn, it is as if it had never been measured
    out = Book(tuple(rows), (Withdrawn(rows[2].id, "A", "b"),))
    assert name(out) == names[2]
    assert name(book_of([*rows[:2], observation(-1.0, "9", family=SECTION)])) == names[2]
    learned = inputs_of(job_of(box(), None, book_of(rows)), "strain-corrected")["learned"]
    assert learned["observations"] == learned["pieces"] == 3


def test_the_lot_on_the_rack_is_the_lot_that_is_asked_for_where_there_is_one_alone() -> None:
    stock = SHOP.stock
    assert stock
    lone = replace(SHOP, stock=stock[:1])
    text = box(material=stock[0].material, t=stock[0].thickness_mm)
    for shop, lot in ((lone, stock[0].lot), (replace(SHOP, stock=()), "")):
        learned = job_of(text, shop, book(OPEN)).learned
        assert learned is not None
        assert learned.lot == lot


def test_every_number_that_the_book_moved_is_put_down_to_it() -> None:
    old, new = (answer_book(job_of(box(), SHOP, b), "P2").answer for b in (None, book(OPEN)))
    told = why(old, new)
    assert {c.file for c in told.causes} == {"springback.jsonl"}
    assert len(told.moved) > 20
    assert [m.path for m in told.moved if not m.because] == []


def test_a_number_says_which_pieces_moved_it_and_its_formula_still_comes_out() -> None:
    found = answer_book(job_of(box(), SHOP, book(OPEN)), "P2")
    told = found.open("block.undercut[0].deg.value").told
    inputs = {i.symbol: i for i in told.inputs}
    c = springback.correction_at(found.plan.job, BENDS)
    assert c is not None
    assert inputs["shift"].value == pytest.approx(float(c.shift[0]))
    assert sum(float(inputs[f"d_{i}"].value) for i in (1, 2, 3)) == pytest.approx(float(c.shift[0]))
    assert "springback book" in told.source
    for path in (
        "block.undercut[0].deg.low",
        "block.undercut[0].released_angle_deg.value",
        "setup.flanges[0].released_deg.value",
    ):
        e = found.open(path)
        assert e.told.again is None or e.told.again == pytest.approx(e.value, abs=1e-6), path


@pytest.mark.slow
def test_the_section_models_own_runs_on_the_corrected_block_land_on_the_drawing() -> None:
    """Walked afresh on the block that the book corrected: what is off is the slope, which is straight over a few degrees."""
    from unittest.mock import patch

    from ribwright.stages import solve_sections

    rows = book(OPEN, family=SECTION)
    text = box(w=120.0, h=120.0, flanges=(True, False, False, False))
    with patch.object(solve_sections, "variants", lambda *_: ()):
        made = make_plan(job_of(text, SHOP, rows), SHOP.press("P2"), model=SECTION)
        free = make_plan(job_of(text, SHOP), SHOP.press("P2"), model=SECTION)
    assert south(made)[0] > south(free)[0] + 0.5
    told = forecast_of(made, Ask(SECTION, None, None))
    for s in told.stations:
        assert s.released is not None
        assert s.released.value == pytest.approx(90.0, abs=0.05)
        assert s.released.model.endswith("corrected by 3 measured pieces")
