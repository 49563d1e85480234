"""Simulated pieces of known deviation, felt and read by gauges with their stated scatter: how often the truth lies within what is stated.

Truth is made here: a contour that stands off by a smooth wave along each edge, angles and widths off by chance; the template hangs on pins
with play, or lies as a hand laid it; a gauge errs normally by half its expanded uncertainty.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from building import EXAMPLES
from ribwright import wiring
from ribwright.adapters.read_measured import parse_measured
from ribwright.geometry.offset import outward
from ribwright.stages.found import Found
from ribwright.stages.found_readings import found_readings
from ribwright.stages.plan import Plan
from ribwright.stages.under_template import laid
from ribwright.work.asking import Request, plan_of

TRIALS = 500
IN = 25.4
FEELER, PROTRACTOR, CALLIPER = 0.002 * IN, 0.1, 0.001 * IN  # expanded, as shop.toml has them
PLAY = 0.003 * IN  # hole less pin on the diameter
SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)
EDGES = ("lower", "rear", "upper", "front")


@cache
def plan() -> Plan:
    return plan_of(wiring.DiskFiles(), Request(EXAMPLES / "Q7-2301-1.part.toml"))[0]


@cache
def places() -> tuple[tuple[str, float], tuple[float, float], tuple[float, float]]:
    rows = []
    for name in EDGES:
        edge = laid(plan(), name)
        for share in SHARES:
            s = edge.at(np.array([share * edge.drawn.length]))
            rows.append(((name, share), tuple(edge.curve.point(s)[0]), tuple(outward(edge.curve.tangent(s))[0])))
    return tuple(rows)


def out_by(move: np.ndarray) -> np.ndarray:
    """What a small move (x, y, turn [rad]) of the part does along the normals [mm]."""
    return np.array([n @ (move[:2] + move[2] * np.array([-at[1], at[0]])) for _, at, n in places()])


def hung(rng: np.random.Generator) -> np.ndarray:
    """How a part lies on its three round pins with play, as a move: any that lets all of them through."""
    pins = np.array([h.at for h in plan().job.part.holes if h.kind == "tooling"])
    while True:
        x, y, turn = rng.uniform(-PLAY, PLAY, 2).tolist() + [rng.uniform(-PLAY, PLAY) / 100.0]
        off = np.column_stack([x - turn * pins[:, 1], y + turn * pins[:, 0]])
        if np.abs(off).max() <= PLAY / 2:
            return np.array([x, y, turn])


def truth(rng: np.random.Generator) -> np.ndarray:
    wave = {e: rng.normal(0, 0.15, 2) for e in EDGES}
    return np.array([wave[e][0] + wave[e][1] * np.cos(np.pi * share) for (e, share), _, _ in places()])


def gap_rows(off: np.ndarray, head: str) -> list[Found]:
    rows = "".join(
        f"template_gap, {e}, {100 * share:g} %, {-d:.6f}\n" for ((e, share), _, _), d in zip(places(), off, strict=True)
    )
    text = f"# units = mm\n# part = Q7-2301-1\n# gauge = G-07\n{head}kind, edge, along, value\n{rows}"
    return list(found_readings(plan(), parse_measured(text)).found)


def held_in(found: list[Found], true: np.ndarray) -> list[bool]:
    return [f.u is not None and abs(f.value - x) <= f.u for f, x in zip(found, true, strict=True)]


def test_a_contour_felt_under_a_template_on_its_pins() -> None:
    rng, inside = np.random.default_rng(20260101), []
    for _ in range(TRIALS):
        true = truth(rng)
        inside += held_in(gap_rows(true + out_by(hung(rng)) + rng.normal(0, FEELER / 2, len(true)), ""), true)
    assert 0.95 <= np.mean(inside) <= 0.995


def test_a_contour_felt_under_a_template_held_by_hand_is_known_but_for_its_best_laying() -> None:
    """What can be known is the deviation once the truth itself is laid where it fits best."""
    rng, inside = np.random.default_rng(20260102), []
    g = np.column_stack([out_by(m) for m in np.eye(3)])
    for _ in range(TRIALS):
        true = truth(rng)
        best = true - g @ np.linalg.lstsq(g, true, rcond=None)[0]
        move = np.array([*rng.normal(0, 0.5, 2), rng.normal(0, 0.002)])
        read = true + out_by(move) + rng.normal(0, FEELER / 2, len(true))
        inside += held_in(gap_rows(read, "# template = hand\n"), best)
    assert np.mean(inside) >= 0.95


def test_angles_widths_and_holes_read_by_gauges() -> None:
    rng, inside = np.random.default_rng(20260103), {"flange_angle": [], "flange_width": [], "hole_position": []}
    for _ in range(TRIALS):
        angle, width, drift = 90 + rng.normal(0, 1.5), 12.7 + rng.normal(0, 0.2), rng.normal(0, 0.2)
        rows = f"flange_angle, upper, 180, {angle + rng.normal(0, PROTRACTOR / 2):.6f}\n"
        rows += f"flange_width, upper, 180, {width + rng.normal(0, CALLIPER / 2):.6f}\n"
        rows += f"hole_x, P2, , {12.1 * IN + drift + rng.normal(0, CALLIPER / 2):.6f}\n"
        text = f"# units = mm\n# part = Q7-2301-1\n# gauge = G-02, G-05\nkind, edge, along, value\n{rows}"
        for f, true in zip(found_readings(plan(), parse_measured(text)).found, (angle, width, drift), strict=True):
            assert f.u is not None
            inside[f.quantity].append(abs(f.value - true) <= f.u)
    for quantity, rows_ in inside.items():
        assert np.mean(rows_) == pytest.approx(0.954, abs=0.03), quantity


def test_the_mean_of_several_readings_is_known_within_what_is_stated() -> None:
    """Scatter of the hand 0.3 deg on top of a protractor that errs the same way all day."""
    rng, inside = np.random.default_rng(20260104), []
    for _ in range(TRIALS):
        true, tool = 90 + rng.normal(0, 1.5), rng.normal(0, PROTRACTOR / 2)
        read = true + tool + rng.normal(0, 0.3, 5)
        rows = "".join(f"flange_angle, upper, 180, {x:.6f}\n" for x in read)
        text = f"# units = mm\n# part = Q7-2301-1\n# gauge = G-02\nkind, edge, along, value\n{rows}"
        (f,) = found_readings(plan(), parse_measured(text)).found
        assert f.u is not None
        inside.append(abs(f.value - true) <= f.u)
    assert np.mean(inside) >= 0.94
