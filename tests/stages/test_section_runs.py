"""Which runs of the section model a part takes, the model itself stood in for by a rule: none is asked for twice, few are needed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from building import EXAMPLES, example_shop
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.stages import solve_sections as stage
from ribwright.stages.blank import make_blank
from ribwright.stages.crew import Crew
from ribwright.stages.job import Job, take_in
from ribwright.stages.places import Place, felt, places_of, whole_ring
from ribwright.stages.section_guess import Guess, first_guess, guess_between, quick_deg
from ribwright.stages.sections import Sections
from ribwright.stages.sheet_laws import law_of
from ribwright.stages.springback import Bends, released_of, undercut_of
from ribwright.stages.undercut import Z90

SLOPE = 1.04
OFF = 0.04  # deg: a run ends that far off, this way or that, by its steps


@cache
def rib(flutes: str = "none") -> tuple[Job, tuple[Place, ...]]:
    """The demonstration rib; without flutes its curved edges are whole rings."""
    file = EXAMPLES / "Q7-2102-1.part.toml"
    part = read_part(file)
    part = replace(part, flanges={k: replace(f, flutes=flutes) for k, f in part.flanges.items()})
    job = take_in(part, example_shop(), load_catalogue(), str(file))
    return job, places_of(job, make_blank(job))


class Rule:
    """A section model by rule: undercut by closed form, curve and pressure, every run a little off; what it was asked is kept."""

    def __init__(self) -> None:
        self.asked: list[tuple[Place, float, float]] = []
        self.closed: list[Place] = []

    def undercut(self, job: Job, p: Place, pressure: float) -> float:
        strain = 0.0 if p.axis is None else p.sign * 16.0 / p.axis
        return quick_deg(job, p) * (0.7 + 0.5 * float(felt(np.array(strain)))) * (1.0 - 0.01 * pressure)

    def press_and_release(self, job: Job, _: object, p: Place, u: float, pressure: float) -> tuple[float, float]:
        self.asked.append((p, u, pressure))
        off = OFF * (-1) ** len(self.asked)
        return p.unlike[0] + SLOPE * (u - self.undercut(job, p, pressure)) + off, p.unlike[0] + u

    def close(self, job: Job, _: object, p: Place, u: float) -> float:
        self.closed.append(p)
        return (2.0 + (0.0 if p.axis is None else 200.0 / p.axis)) * (1.0 + 0.01 * u)

    def released(self, flange: object, pressures: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(90.0 - 0.1 * p for p in pressures)


@pytest.fixture
def rule(monkeypatch: pytest.MonkeyPatch) -> Rule:
    made = Rule()
    for name in ("press_and_release", "close", "released"):
        monkeypatch.setattr(stage, name, getattr(made, name))
    return made


def solved(flutes: str = "none") -> Sections:
    job, places = rib(flutes)
    press = job.shop.press("P2")
    assert press is not None
    return stage.solve_sections(job, law_of(job), places, press, lambda closing: 1.3 * closing, Crew(1))


def test_every_place_is_solved_at_the_pressure_that_was_settled(rule: Rule) -> None:
    job, places = rib()
    answer = solved()
    for name, s in answer.flanges.items():
        mine = [p for p in places if p.owner == name]
        wanted = [rule.undercut(job, p, answer.pressure) for p in mine]
        assert s.deg == pytest.approx(wanted, abs=1.5 * OFF)


def test_only_the_places_that_ask_for_most_are_solved_at_a_pressure_that_is_not_settled(rule: Rule) -> None:
    answer = solved()
    early = {p.unlike for p, _, pressure in rule.asked if pressure != answer.pressure}
    assert early  # the first walls are not the solved ones
    assert early == {p.unlike for p in rule.closed}


def test_no_run_is_asked_for_twice_and_few_sections_take_more_than_one(rule: Rule) -> None:
    solved()
    asked = [(p.unlike, u, pressure) for p, u, pressure in rule.asked]
    assert len(set(asked)) == len(asked)
    hardest = {p.unlike for p in rule.closed}
    rest = [key for key, _, pressure in asked if key not in hardest]
    _, places = rib()
    sections = {p.unlike for p in places} - hardest
    assert set(rest) == sections
    # the place least like the hardest of the two curved edges takes more, to know its own slope
    assert len(rest) <= len(sections) + 4


def test_a_slope_is_not_taken_of_two_runs_that_lie_within_what_a_run_may_be_off(rule: Rule) -> None:
    """The edges of this rib once came out with 0.75 to 2.0, of runs a tenth of a degree apart."""
    for s in solved().flanges.values():
        assert s.slope == pytest.approx(SLOPE, abs=2.2 * OFF / stage.WIDE_DEG)


@pytest.mark.parametrize("beside", [0.0, 0.1, -0.2])
def test_a_guess_that_is_good_by_luck_still_has_its_slope_measured(rule: Rule, beside: float) -> None:
    job, places = rib()
    p = places[0]
    right = rule.undercut(job, p, 10.0)
    spot = stage._spot(job, law_of(job), p, 10.0, Guess(right + beside))
    assert spot.runs == 2
    assert spot.slope == pytest.approx(SLOPE, abs=2.2 * OFF / stage.WIDE_DEG)
    assert spot.deg == pytest.approx(right, abs=1.5 * OFF)
    known = stage._spot(job, law_of(job), p, 10.0, Guess(right + beside, SLOPE))
    assert (known.runs, known.slope) == (1, SLOPE)
    assert known.deg == pytest.approx(right, abs=1.5 * OFF)


def test_a_guess_whose_degree_away_rounds_to_less_than_a_degree_is_solved_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    job, places = rib()
    p = places[0]
    first = next(x for x in np.linspace(0.5, 0.9, 999) if (x + stage.WIDE_DEG) - x < stage.WIDE_DEG)

    def nearly(job: Job, known: object, p: Place, u: float, pressure: float) -> tuple[float, float]:
        return p.unlike[0] + u - first + 0.5 * stage.NEAR_DEG, p.unlike[0] + u

    monkeypatch.setattr(stage, "press_and_release", nearly)
    spot = stage._spot(job, law_of(job), p, 10.0, Guess(first))
    assert not spot.why
    assert spot.runs == 2
    assert spot.deg == pytest.approx(first - 0.5 * stage.NEAR_DEG)


def test_a_flange_that_stops_the_model_only_in_the_run_for_its_slope_keeps_its_undercut(
    rule: Rule, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, places = rib()
    p = places[0]
    right = rule.undercut(job, p, 10.0)

    def stops(job: Job, known: object, p: Place, u: float, pressure: float) -> tuple[float | None, float]:
        return (None, np.nan) if u > right + 1.0 else rule.press_and_release(job, known, p, u, pressure)

    monkeypatch.setattr(stage, "press_and_release", stops)
    spot = stage._spot(job, law_of(job), p, 10.0, Guess(right))
    assert not spot.why
    assert spot.deg == pytest.approx(right, abs=1.5 * OFF)
    assert stage._spot(job, law_of(job), p, 10.0, Guess(right + 2.0)).why == stage.STOPPED


def test_an_edge_with_flutes_is_solved_as_straight_and_a_whole_ring_is_the_far_end_of_its_band(rule: Rule) -> None:
    job, places = rib("plan")
    answer, rings = solved("plan"), solved()
    assert answer.pressure == pytest.approx(rings.pressure, rel=0.1)
    straight = answer.flanges["rear"]
    for name in ("lower", "upper"):
        s, ring = answer.flanges[name], rings.flanges[name]
        assert s.deg == pytest.approx(np.full(len(s.deg), straight.deg[0]), abs=2 * OFF)
        most = int(np.argmax(ring.deg))
        (cause,) = [m for m in s.moved if m.opens]
        # the ring on the block cut for a straight edge: so much more open
        wanted = SLOPE * (rule.undercut(job, whole_ring(_place(places, name, most)), answer.pressure) - s.deg[most])
        assert Z90 * cause.sd[most] == pytest.approx(wanted, abs=2 * OFF)
        assert np.all(cause.sd <= cause.sd[most] + 1e-12)
        assert "flutes are to be planned on it" in s.unverified
        # it counts on the open side alone
        assert s.sd(s.along, True)[most] > 1.5 * s.sd(s.along, False)[most]
        assert s.sd(s.along, False) == pytest.approx(np.full(len(s.along), s.sd(s.along, False)[0]))
    assert not any(m.opens for m in straight.moved)


def test_where_the_model_stops_on_the_whole_ring_that_is_said(rule: Rule, monkeypatch: pytest.MonkeyPatch) -> None:
    def stops(job: Job, known: object, p: Place, u: float, pressure: float) -> tuple[float | None, float]:
        return (
            (None, np.nan)
            if p.curved and p.sign > 0 and not p.relieved
            else rule.press_and_release(job, known, p, u, pressure)
        )

    monkeypatch.setattr(stage, "press_and_release", stops)
    s = solved("plan").flanges["lower"]
    assert not s.why_quick
    assert not any(m.opens for m in s.moved)
    assert "stopped on the whole ring" in s.unverified
    assert "flutes are to be planned on it" in s.unverified


def _place(places: tuple[Place, ...], owner: str, k: int) -> Place:
    return [p for p in places if p.owner == owner][k]


def test_on_a_block_cut_for_a_fluted_edge_the_released_band_reaches_to_the_whole_ring(rule: Rule) -> None:
    job, places = rib("plan")
    job = replace(job, sections=solved("plan"))
    s = job.sections.flanges["lower"] if job.sections else None
    assert s is not None
    (cause,) = [m for m in s.moved if m.opens]
    k = int(np.argmax(cause.sd))
    p = _place(places, "lower", k)
    bends = Bends("lower", p.radius, np.array([90.0]), np.array([p.along]))
    out, under = released_of(job, bends, s.deg[k : k + 1]), undercut_of(job, bends)
    assert out.angle[0] - out.low[0] > Z90 * cause.sd[k]
    assert out.high[0] - out.angle[0] < out.angle[0] - out.low[0]
    assert under.high[0] - under.deg[0] > Z90 * cause.sd[k] / s.slope[k]
    assert under.deg[0] - under.low[0] < under.high[0] - under.deg[0]


def test_a_guess_lies_between_the_places_that_are_solved(rule: Rule) -> None:
    job, places = rib()
    mine = sorted((p for p in places if p.owner == "upper"), key=lambda p: rule.undercut(job, p, 0.0))
    ends = [(p, Guess(rule.undercut(job, p, 0.0), slope)) for p, slope in ((mine[0], 1.0), (mine[-1], 1.2))]
    for p in mine:
        guess = guess_between(job, p, *ends)
        assert guess.deg == pytest.approx(rule.undercut(job, p, 0.0), abs=0.2)
        assert guess.slope is not None
        assert 1.0 <= guess.slope <= 1.2
    assert abs(first_guess(job, mine[-1]).deg - ends[-1][1].deg) > 1.0


def test_a_relieved_edge_that_would_stand_no_other_way_as_a_ring_is_not_called_unverified_for_it(
    rule: Rule, monkeypatch: pytest.MonkeyPatch
) -> None:
    def alike(job: Job, known: object, p: Place, u: float, pressure: float) -> tuple[float, float]:
        return p.unlike[0] + SLOPE * (u - 5.0), p.unlike[0] + u

    monkeypatch.setattr(stage, "press_and_release", alike)
    assert "flutes" not in solved("plan").flanges["lower"].unverified
