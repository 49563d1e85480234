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
from ribwright.stages.found import FoundSet
from ribwright.stages.found_readings import found_readings
from ribwright.stages.hung import hung
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
