"""From a table to the edges of a part: what is suspect, what a known length says, what is cut off and taken off."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.errors import InputError
from ribwright.features.ordinate_table import OrdinateTable
from ribwright.geometry.fair import fair
from ribwright.geometry.fit_error import fit_error
from ribwright.stages.known_length import KnownLength, scale_findings, scale_of
from ribwright.stages.suspect_ordinates import ordinate_findings, suspect_ordinates, with_taken
from ribwright.stages.table_edges import CurveOrder, TableEdge, chords_of, table_edges
from ribwright.stages.table_lines import table_lines
from section_ordinates import IN, STEP_IN, Section, as_table, section


def made(seed: int) -> Section:
    return section(np.random.default_rng(seed))


def edges_of(table: OrdinateTable, **order: object) -> tuple[TableEdge, ...]:
    lines = table_lines(table)
    asked = CurveOrder(**order)  # type: ignore[arg-type]
    return table_edges(lines, tuple(fair(line.points, asked.within) for line in lines), asked, "t.csv")


def area(edges: tuple[TableEdge, ...]) -> float:
    p = np.concatenate([chords_of(e)[:-1] for e in edges])
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]) / 2)


# ---------------------------------------------------------------- suspects


def planted(seed: int) -> tuple[OrdinateTable, str, int, float, float]:
    """A table with one error of 5 to 20 times its local fit error, away from the nose: (table, side, row, true, planted) [mm]."""
    rng = np.random.default_rng(seed)
    s = section(rng)
    (line,) = table_lines(as_table(s.upper, s.lower))
    errors = fit_error(line.points, line.step)
    x = line.points[:, 0] / IN / s.chord
    i = int(rng.choice(np.flatnonzero(errors.judged & (x > 0.1) & (x < 0.99))))
    size = max(2.0, np.round(rng.uniform(5.0, 20.0) * errors.local[i] / IN / STEP_IN)) * STEP_IN
    side, row = line.source[i]
    sides = {"upper": s.upper.copy(), "lower": s.lower.copy()}
    true = float(sides[side][row, 1])
    sides[side][row, 1] += size * rng.choice([-1.0, 1.0])
    return as_table(sides["upper"], sides["lower"]), side, row, true * IN, size * IN


def found_and_covered(seeds: range) -> tuple[int, int]:
    found = covered = 0
    for seed in seeds:
        table, side, row, true, _ = planted(seed)
        hits = [o for o in suspect_ordinates(table, table_lines(table)) if (o.side, o.line) == (side, row + 2)]
        found += bool(hits)
        covered += bool(hits) and abs(hits[0].fits - true) <= hits[0].uncertain
    return found, covered


def test_of_twenty_tables_with_a_wrong_ordinate_at_least_eighteen_are_told_and_no_right_one_is_accused() -> None:
    found, covered = found_and_covered(range(20))
    assert found >= 18
    assert covered >= found - 2
    for seed in range(20):
        s = made(seed)
        table = as_table(s.upper, s.lower)
        assert suspect_ordinates(table, table_lines(table)) == ()


@pytest.mark.slow
def test_of_two_hundred_wrong_tables_nine_in_ten_are_told_and_of_as_many_right_ones_two_in_a_hundred_accused() -> None:
    found, covered = found_and_covered(range(1000, 1200))
    assert found >= 180
    assert covered >= 0.9 * found
    tables = [as_table(s.upper, s.lower) for s in map(made, range(2000, 2200))]
    assert sum(bool(suspect_ordinates(t, table_lines(t))) for t in tables) <= 4


def test_a_suspect_stays_as_typed_until_a_person_takes_another_value() -> None:
    table, side, row, _, _ = planted(7)
    lines = table_lines(table)
    found = suspect_ordinates(table, lines)
    kept, told = with_taken(lines, found, table, {})
    assert (kept[0].points == lines[0].points).all()
    (finding,) = ordinate_findings(told, kept, "in")
    assert (finding.code, finding.severity) == ("ordinate-suspect", "warn")
    assert "kept as typed" in finding.say
    for value in (None, 12.7):
        changed, told = with_taken(lines, found, table, {1: value})
        at = lines[0].source.index((side, row))
        assert changed[0].points[at, 1] == (found[0].fits if value is None else value)
        assert (np.delete(changed[0].points, at, axis=0) == np.delete(lines[0].points, at, axis=0)).all()
        assert [f.code for f in ordinate_findings(told, changed, "in")] == ["ordinate-taken"]


def test_a_wrong_station_near_the_nose_is_told_as_one_of_x() -> None:
    t = np.linspace(0.0, 1.0, 60)
    upper = np.round(np.column_stack([20.0 * t**2, 4.0 * t]), 3)
    lower = np.round(np.column_stack([20.0 * t**2, -4.0 * t]), 3)
    upper[4, 0] += 0.060
    table = as_table(upper, lower)
    (o,) = suspect_ordinates(table, table_lines(table))
    assert (o.side, o.axis, o.line) == ("upper", "x", 6)
    assert o.fits == pytest.approx((upper[4, 0] - 0.060) * IN, abs=o.uncertain)


# ---------------------------------------------------------------- lines


def test_two_sides_that_meet_are_one_line_round_the_nose_wherever_it_points_and_whichever_way_they_were_typed() -> None:
    s = made(3)
    (plain,) = table_lines(as_table(s.upper, s.lower))
    assert plain.nose is not None
    assert plain.points[plain.nose] == pytest.approx((0.0, 0.0), abs=STEP_IN * IN)
    (backwards,) = table_lines(as_table(s.upper[::-1], s.lower[::-1]))
    assert (backwards.points == plain.points).all()
    turned = np.array([-1.0, 1.0])
    (mirrored,) = table_lines(as_table(s.upper * turned, s.lower * turned))
    assert mirrored.points == pytest.approx(plain.points[::-1] * turned)
    for edges in (edges_of(as_table(s.upper, s.lower)), edges_of(as_table(s.upper * turned, s.lower * turned))):
        assert area(edges) > 0.0


def test_sides_that_do_not_meet_at_the_nose_are_two_lines_and_a_straight_front() -> None:
    s = made(3)
    cut = slice(4, None)
    edges = edges_of(as_table(s.upper[cut], s.lower[cut]))
    assert edges[0].name == "lower"
    assert "front" in [e.name for e in edges]
    assert area(edges) > 0.0


# ---------------------------------------------------------------- known lengths


@pytest.mark.parametrize(
    ("share", "agrees", "slip"),
    [
        (1.0, True, False),
        (1.0005, True, False),
        (0.984, False, False),
        (1.03, False, False),
        (25.4, False, True),
        (1 / 25.4, False, True),
    ],
)
def test_a_length_that_a_person_knows_tells_a_wrong_scale_and_a_wrong_unit(
    share: float, agrees: bool, slip: bool
) -> None:
    s = made(5)
    lines = table_lines(as_table(s.upper, s.lower))
    curves = tuple(fair(line.points, 0.05) for line in lines)
    chord = float(np.ptp(lines[0].points[:, 0]))
    for what, at, measured in (("chord", None, chord), ("upper", chord / 2, None)):
        true = measured or scale_of(KnownLength(what, 1.0, at), lines, curves).measured
        assert true is not None
        scale = scale_of(KnownLength(what, true / share, at), lines, curves)
        assert scale.ratio == pytest.approx(share)
        assert (scale.agrees, scale.slip) == (agrees, slip)
        assert [f.code for f in scale_findings(scale, "in")] == ([] if agrees else ["scale-off"])
    assert [f.code for f in scale_findings(None, "in")] == ["scale-unproved"]


# ---------------------------------------------------------------- edges


@pytest.mark.parametrize("kind", ["typed", "faired", "arcs"])
@pytest.mark.parametrize("skin", [0.0, 0.8])
def test_edges_close_end_at_the_stations_and_lie_in_by_the_skin(kind: str, skin: float) -> None:
    s = made(11)
    table, chord = as_table(s.upper, s.lower), s.chord * IN
    kind = "faired" if skin and kind == "typed" else kind
    edges = edges_of(table, kind=kind, skin=skin, first=0.1 * chord, last=0.7 * chord)
    assert [e.name for e in edges] == ["lower", "rear", "upper", "front"]
    for a, b in zip(edges, (*edges[1:], edges[0]), strict=True):
        assert a.points[-1] == pytest.approx(b.points[0], abs=1e-3)
    assert edges[0].points[[0, -1], 0] == pytest.approx([0.1 * chord, 0.7 * chord], abs=1e-5)
    assert edges[2].points[[0, -1], 0] == pytest.approx([0.7 * chord, 0.1 * chord], abs=1e-5)
    whole = edges_of(table, kind="faired", first=0.1 * chord, last=0.7 * chord)
    round_it = sum(np.hypot(*np.diff(chords_of(whole[i]), axis=0).T).sum() for i in (0, 2))
    assert area(whole) - area(edges) == pytest.approx(skin * round_it, abs=0.002 * area(whole))


def test_a_skin_thicker_than_the_section_is_refused_with_the_place() -> None:
    s = made(11)
    with pytest.raises(InputError) as refused:
        edges_of(as_table(s.upper, s.lower), kind="faired", skin=0.04 * s.chord * IN)
    said = refused.value.faults[0].sentence()
    assert "--skin" in said
    assert "tighter" in said or "crosses itself" in said


@pytest.mark.parametrize(
    ("first", "last", "key"), [(None, 9e3, "--to"), (-5.0, None, "--from"), (300.0, 200.0, "--from")]
)
def test_a_station_that_is_not_on_the_table_is_refused(first: float | None, last: float | None, key: str) -> None:
    s = made(11)
    with pytest.raises(InputError) as refused:
        edges_of(as_table(s.upper, s.lower), first=first, last=last)
    assert key in refused.value.faults[0].key
