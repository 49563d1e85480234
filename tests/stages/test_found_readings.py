"""Readings at their places: signs, nominals, uncertainties, and what is asked about instead of answered."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import hypot, sqrt

import numpy as np
import pytest

from building import EXAMPLES
from ribwright import wiring
from ribwright.adapters.read_measured import parse_measured
from ribwright.errors import InputError
from ribwright.geometry.offset import outward
from ribwright.stages.found import CANNOT_TELL, INSIDE, OUTSIDE, Fit, Found, FoundSet
from ribwright.stages.found_readings import found_readings
from ribwright.stages.hung import hung
from ribwright.stages.inspection import judged_all, tolerance_of
from ribwright.stages.plan import Plan
from ribwright.stages.under_template import laid
from ribwright.work.asking import Request, plan_of

HEAD = "# units = in\n# part = Q7-2301-1\n# gauge = G-02, G-05, G-07\n"
ROWS = "kind, edge, along, value, uncertainty, gauge\n"


@cache
def plan() -> Plan:
    return plan_of(wiring.DiskFiles(), Request(EXAMPLES / "Q7-2301-1.part.toml"))[0]


def found(rows: str, head: str = "") -> FoundSet:
    return found_readings(plan(), parse_measured(HEAD + head + ROWS + rows))


def refused(rows: str, head: str = "") -> str:
    with pytest.raises(InputError) as told:
        found(rows, head)
    return str(told.value)


def test_a_reading_stands_beside_what_the_drawing_has_at_its_place() -> None:
    angle, width, radius = found(
        "flange_angle, upper, 7.1, 88.6\nflange_width, upper, 7.1, 0.510\nbend_radius, lower, 3, 0.07, 0.006, G-04\n"
    ).found
    assert (angle.nominal, angle.unit, angle.u, angle.gauge) == (90.0, "deg", 0.1, "G-02")
    assert angle.off == pytest.approx(-1.4)
    assert width.off == pytest.approx(0.010 * 25.4)
    assert width.u == pytest.approx(0.001 * 25.4)
    assert (radius.gauge, radius.nominal) == ("G-04", pytest.approx(0.06 * 25.4))


def test_light_under_the_template_is_metal_inside_the_line() -> None:
    (gap,) = found("template_gap, lower, 40 %, 0.012\n").found
    assert gap.value == pytest.approx(-0.012 * 25.4)
    # of three pins, one clear of the line of the others: a little less than one alone, even over its play
    alone = 2 * (0.003 * 25.4 / 2) / sqrt(3)
    assert hypot(0.002 * 25.4, 0.6 * alone) < gap.u < hypot(0.002 * 25.4, 1.1 * alone)


def test_pins_that_stand_close_let_the_far_end_of_a_template_swing() -> None:
    """Two round pins with play p a distance d apart, far away at D from their middle: the turn reaches p/d, so about D p/d there."""
    pin = next(h for h in plan().job.part.holes if h.name == "P1")
    close = replace(plan().job.part, holes=(pin, replace(pin, name="P2", at=(pin.at[0] + 40.0, pin.at[1]))))
    fit = hung(close)
    assert not isinstance(fit, str)
    play, far = 0.003 * 25.4, np.array([[pin.at[0] + 320.0, pin.at[1]]])
    sd = float(fit.sd(far, np.array([[0.0, 1.0]]))[0])
    # y and turn are even over a diamond of half-widths p/2 and p/d: var turn (p/d)^2/6, var y (p/2)^2/6
    assert sd == pytest.approx(sqrt(((play / 2) ** 2 + (300.0 * play / 40.0) ** 2) / 6), rel=0.05)


def test_without_play_or_with_one_pin_nobody_knows_how_a_template_hung() -> None:
    part = plan().job.part
    assert "pin_fit of P2" in hung(
        replace(part, holes=tuple(replace(h, pin_fit=None) if h.name == "P2" else h for h in part.holes))
    )
    assert "two pin holes" in hung(replace(part, holes=tuple(h for h in part.holes if h.name not in ("P2", "P3"))))


def test_pin_holes_off_one_another_by_more_than_their_play_never_hung_a_template() -> None:
    gap, pins = (
        "template_gap, lower, 40 %, 0.012\n",
        "hole_x, P2, , {}\nhole_y, P2, , {}\nhole_x, P3, , {}\nhole_y, P3, , {}\n",
    )
    done = found(gap + pins.format(12.1, 1.2, 4.818, 1.8))
    assert done.found[0].u is None
    assert "P3" in done.notes[0]
    turned = pins.format(
        12.0988, 1.212, 4.7982, 1.8048
    )  # the axes that they were measured in lay a thousandth of a radian off
    assert found(gap + turned).found[0].u is not None
    assert found(gap + "hole_x, P1, , 0.82\n").found[0].u is not None, (
        "where the drawing's origin lies matters to no template"
    )


def test_holes_are_counted_from_the_first_pin_hole_as_on_the_inspection_sheet_or_as_the_head_says() -> None:
    for head, x in (("", 12.9 - 0.8), ("# holes_from = origin\n", 12.9), ("# holes_from = P3\n", 12.9 - 5.6)):
        (p2,) = found(f"hole_x, P2, , {x + 0.003:.4f}\n", head).found
        assert p2.off == pytest.approx(0.003 * 25.4), head
    both = found("hole_x, P2, , 12.103\nhole_y, P2, , 1.198\n")
    (drift,) = both.fit.drifts
    assert (drift.dx, drift.dy) == (pytest.approx(0.003 * 25.4), pytest.approx(-0.002 * 25.4))


def test_a_flanged_hole_has_its_opening_and_its_height_square_to_the_web() -> None:
    flat = next(h for h in plan().blank.holes if h.hole.name == "L1")
    rim, tall = found("hole_diameter, L1, , 2.2\nflange_width, L1, , 0.18\n").found
    assert rim.nominal == flat.rim_diameter
    assert tall.nominal == flat.flange_height


def test_the_relief_of_a_corner_is_called_by_its_two_edges_in_either_order() -> None:
    for name in ("rear/upper", "upper/rear"):
        (relief,) = found(f"hole_diameter, {name}, , 0.126\n").found
        assert relief.where == {"corner": ["rear", "upper"]}
        assert relief.balloon == "8"
        assert relief.off == pytest.approx(0.001 * 25.4)


def test_several_readings_of_one_thing_are_averaged_and_the_gauge_does_not_get_better_by_it() -> None:
    (angle,) = found(
        "flange_angle, upper, 7.1, 88.4\nflange_angle, upper, 7.1, 88.6\nflange_angle, upper, 7.101, 88.8\n"
    ).found
    assert angle.readings == 3
    assert angle.value == pytest.approx(88.6)
    assert angle.u == pytest.approx(
        hypot(0.1, 4.527 * 0.2 / sqrt(3)), rel=1e-3
    )  # t of JCGM 100 table G.2, 95.45 %, 2 degrees of freedom: 4.53


def test_without_a_gauge_nobody_knows_how_sure_a_reading_is_and_the_guarded_rule_cannot_tell() -> None:
    text = "# units = in\n# part = Q7-2301-1\n" + ROWS + "flange_angle, upper, 7.1, 90.0\n"
    done = found_readings(plan(), parse_measured(text))
    assert done.found[0].u is None
    (j,) = judged_all(plan().job.part, plan().job.shop, parse_measured(text).said, done.found)
    assert j.verdict == CANNOT_TELL
    assert "not known" in j.reason


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(90.0, INSIDE), (89.15, INSIDE), (89.05, CANNOT_TELL), (88.95, CANNOT_TELL), (88.85, OUTSIDE)],
)
def test_an_angle_is_judged_with_the_protractors_tenth_of_a_degree(value: float, verdict: str) -> None:
    text = HEAD + ROWS + f"flange_angle, upper, 7.1, {value}\n"
    measured = parse_measured(text)
    (j,) = judged_all(plan().job.part, plan().job.shop, measured.said, found_readings(plan(), measured).found)
    assert j.verdict == verdict


def test_a_gauge_past_its_due_date_proves_nothing() -> None:
    rows = ROWS + "bend_radius, upper, 7.1, 0.06, , G-0{}\n"
    for gauge, verdict in ((3, CANNOT_TELL), (4, INSIDE)):
        text = f"# units = in\n# part = Q7-2301-1\n# gauge = G-0{gauge}\n# date = 2031-03-12\n" + rows.format(gauge)
        measured = parse_measured(text)
        (j,) = judged_all(plan().job.part, plan().job.shop, measured.said, found_readings(plan(), measured).found)
        assert j.verdict == verdict
        assert ("2031-02-28" in j.reason) == (gauge == 3)


# ---------------------------------------------------------------- a template held by hand


def gaps(move: tuple[float, float, float], noise: float = 0.0, seed: int = 0) -> tuple[str, list[tuple[str, float]]]:
    """Gap readings [in] of a sound part under a template that lies off by (x, y [mm], turn [deg]), at places along every edge."""
    rng = np.random.default_rng(seed)
    rows, places = "", []
    for name in ("lower", "rear", "upper", "front"):
        for share in (0.15, 0.4, 0.6, 0.85):
            edge = laid(plan(), name)
            s = edge.at(np.array([share * edge.drawn.length]))
            at, n = edge.curve.point(s)[0], outward(edge.curve.tangent(s))[0]
            turn = np.radians(move[2])
            # the part moved by this; metal stands out by its part along the normal, light is the opposite
            out = n @ np.array([move[0] - turn * at[1], move[1] + turn * at[0]])
            rows += f"template_gap, {name}, {100 * share:g} %, {(-out + rng.normal(0, noise)) / 25.4:.7f}, 0.0005\n"
            places.append((name, share))
    return rows, places


def test_how_a_template_was_held_by_hand_is_taken_out() -> None:
    rows, places = gaps((0.4, -0.3, 0.05))
    on_pins, by_hand = found(rows), found(rows, "# template = hand\n")
    assert max(abs(f.value) for f in on_pins.found) > 0.3
    assert max(abs(f.value) for f in by_hand.found) < 2e-3
    assert by_hand.fit.by == "places"
    assert by_hand.fit.rotation_deg == pytest.approx(-0.05, abs=1e-3)
    assert len(by_hand.found) == len(places)


def test_a_real_deviation_under_a_template_held_by_hand_stays_but_for_what_a_move_hides() -> None:
    rows, _ = gaps((0.4, -0.3, 0.05))
    lines = rows.splitlines()
    lines[9] = "template_gap, upper, 40 %, " + f"{float(lines[9].split(', ')[3]) + 0.040:.7f}, 0.0005"
    by_hand = found("\n".join(lines) + "\n", "# template = hand\n")
    worst = max(by_hand.found, key=lambda f: abs(f.value))
    assert worst.where["edge"] == "upper"
    assert -0.040 * 25.4 < worst.value < -0.6 * 0.040 * 25.4


def test_few_gaps_do_not_lay_a_template_held_by_hand() -> None:
    done = found("template_gap, lower, 40 %, 0.012\ntemplate_gap, upper, 40 %, 0.010\n", "# template = hand\n")
    assert all(f.u is None for f in done.found)
    assert "six" in done.notes[0] or "6 gaps" in done.notes[0]


# ---------------------------------------------------------------- asked about


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("flange_width, upper, 7.1, 12.7\n", "25.4 times off"),
        ("flange_width, upper, 7.1, 0.02\n", "25.4 times off"),
        ("flange_width, upper, 7.1, 1.9\n", "a reading of this part at this place"),
        ("hole_x, P2, , -12.1\n", "other hand"),
        ("hole_x, P2, , 9.1\n", "from the datum"),
        ("flange_angle, upper, 7.1, 1.5\n", "90 where it stands square"),
        ("template_gap, lower, 40 %, 0.9\n", "template_gap"),
        ("web_bow, , , -0.02\n", "0 or more"),
        ("flange_angle, uper, 7.1, 88\n", "did you mean 'upper'"),
        ("flange_angle, P1, , 88\n", "a hole without a flange"),
        ("flange_angle, upper, , 88\n", "along: found nothing"),
        ("flange_angle, upper, 15, 88\n", "the length of upper"),
        ("flange_angle, upper, 7, 88, , G-99\n", "'G-99'"),
        ("slot_length, P1, , 0.3\n", "a round hole"),
        ("hole_x, L1, , 2.2\n", ""),
    ],
)
def test_what_nobody_takes_off_this_part_is_asked_about(rows: str, words: str) -> None:
    if words:
        assert words in refused(rows)
    else:
        assert found(rows).found


def test_every_reading_that_cannot_be_right_is_told_at_once() -> None:
    told = refused("flange_width, upper, 7.1, 12.7\nflange_width, upper, 3, 12.6\nhole_x, P2, , -12.1\n")
    assert len(told.splitlines()) == 3


def test_readings_of_a_blank_are_refused() -> None:
    assert "outline" in refused("web_bow, , , 0.02\n", "# what = blank\n")


def test_nobody_reads_surer_than_the_gauge() -> None:
    for said, u in ((0.001, 0.1), (0.3, 0.3)):
        (angle,) = found(f"flange_angle, upper, 7.1, 90.99, {said}\n").found
        assert angle.u == u


def test_one_reading_far_off_its_fellows_is_asked_about_and_not_hidden_in_a_mean() -> None:
    told = refused("flange_angle, upper, 7.1, 87.0\n" + "flange_angle, upper, 7.1, 90.0\n" * 30)
    assert "line 5" in told
    assert "30 others of it near 90 deg" in told


def test_two_gauges_that_read_one_thing_are_two_results() -> None:
    two = found("flange_width, upper, 7.1, 0.505, , G-05\nflange_width, upper, 7.1, 0.507, 0.004, G-11\n").found
    assert [f.gauge for f in two] == ["G-05", "G-11"]


def test_a_gauge_of_another_kind_does_not_read_it() -> None:
    assert "G-07 (feeler gauges) for flange_width" in refused("flange_width, upper, 7.1, 0.5, , G-07\n")
    assert found("flange_width, upper, 7.1, 0.5, 0.004, G-11\n").found, "what an arm reads nobody says"


@pytest.mark.parametrize(("day", "late"), [("2031-02-27", False), ("2031-02-28", False), ("2031-03-01", True)])
def test_a_gauge_is_in_date_on_the_day_it_is_due(day: str, late: bool) -> None:
    text = (
        f"# units = in\n# part = Q7-2301-1\n# gauge = G-03\n# date = {day}\n" + ROWS + "bend_radius, upper, 7.1, 0.06\n"
    )
    measured = parse_measured(text)
    (j,) = judged_all(plan().job.part, plan().job.shop, measured.said, found_readings(plan(), measured).found)
    assert (j.verdict == CANNOT_TELL) == late


def test_the_uncertainty_of_a_move_is_that_of_moving_the_place() -> None:
    """Against a thousand drawn moves: at places off the middle of the fit, on every side."""
    rng = np.random.default_rng(3)
    root = np.array([[0.02, 0.0, 0.0], [0.01, 0.03, 0.0], [2e-5, -4e-5, 1e-4]])
    fit = Fit(0, 0, 0, 0, "none", root @ root.T, (50.0, 20.0))
    moves = rng.normal(size=(40000, 3)) @ root.T
    for at in ((350.0, 20.0), (50.0, 220.0), (-150.0, -80.0)):
        for n in ((1.0, 0.0), (0.0, 1.0), (0.6, -0.8)):
            arm = np.subtract(at, fit.about)
            by = moves[:, :2] @ n + moves[:, 2] * (-n[0] * arm[1] + n[1] * arm[0])
            assert float(fit.sd(np.array([at]), np.array([n]))[0]) == pytest.approx(float(np.std(by)), rel=0.03)


def test_the_cut_line_of_a_blank_is_held_by_the_width_of_its_flange() -> None:
    part = plan().job.part
    line = Found("contour", {"edge": "upper", "along_mm": 50.0}, 0.5, 0.0, "mm", 0.1, "outline")
    assert tolerance_of(part, line, "blank") == part.tolerance["flange_width"]
    narrow = replace(part, tolerance={**part.tolerance, "flange_width": (0.1, 0.2)})
    assert tolerance_of(narrow, line, "blank") == (0.1, 0.2)
    assert tolerance_of(narrow, line) == part.tolerance["contour"]
