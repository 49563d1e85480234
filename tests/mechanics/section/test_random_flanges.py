"""Flanges drawn at random, as benchmarks/section.py draws them: an answer, or the word that there is none."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.pad import closing_pressure as quick
from ribwright.mechanics.section import model
from ribwright.mechanics.section.model import CONVERGED, STUCK, Flange, closing_pressure, press_through
from ribwright.mechanics.section.strip import State, Strip, press
from ribwright.mechanics.sheet_law import sheet_law
from ribwright.mechanics.springback import power_law_moment


def _bench(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, Path(__file__).parents[3] / "benchmarks" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


BENCH = _bench("section")


def answered(seeds: range) -> int:
    """How many converge; whatever converges has sane numbers, whatever does not says so."""
    count = 0
    for seed in seeds:
        what, f, p = BENCH.drawn(seed)
        run = press_through(f, (p,))
        assert run.outcome in (CONVERGED, STUCK), what
        if run.outcome == STUCK:
            assert run.points[-1].released is None, what
            continue
        (point,) = run.points
        assert point.released is not None, what
        assert -5.0 < point.released.angle < f.wall + 25.0, what
        assert 0.2 * f.t < point.loaded.thickness < 1.6 * f.t, what
        assert np.isfinite(point.released.stress), what
        count += 1
    return count


def test_nearly_every_random_flange_is_answered() -> None:
    """40 of them, R/t 0.8 to 8, walls to 125 deg, flanges to 60 t, edges and holes, friction, 1 to 140 MPa."""
    assert answered(range(40)) >= 39


@pytest.mark.slow
def test_ninety_eight_of_a_hundred_random_flanges_are_answered() -> None:
    assert answered(range(40, 640)) >= 588


def test_a_walk_that_cannot_go_on_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same flange, but at half its closing pressure no step settles any more."""
    _, f, p = BENCH.drawn(0)
    limit = 0.5 * model.closing_estimate(f)

    def stops(s: Strip, state: State, pressure: float, block: float = 1.0) -> State:
        new = press(s, state, min(pressure, limit), block)
        return new if pressure < limit else replace(new, settled=False)

    monkeypatch.setattr(model, "press", stops)
    run = press_through(f, (p,))
    assert run.outcome == STUCK
    assert run.points[-1].outcome == STUCK
    assert run.points[-1].released is None
    assert run.ramp[-1, 0] < limit


def test_the_quick_closing_pressure_lies_by_the_models_or_up_to_sixteen_per_cent_over() -> None:
    """1.71 M/s^2 was fitted to a strip whose faces stood at half the thickness; this one gives 1.43 to 1.72 (1.61, 4.2 % scatter
    over 189 flanges, benchmarks/closing_fit.py), and a continuum solver 1.61 to 1.73."""
    for sheet in ("2024-O", "2024-T3", "6061-T4"):
        e, nu, k, n, y = BENCH.SHEETS[sheet]
        law = sheet_law(e, nu, Swift(k, n, (y / k) ** (1.0 / n)))
        for long in (6.0, 12.0, 24.0):
            f = Flange(law, 1.0, 3.0, 90.0, long)
            found = closing_pressure(f, 3.0 * model.closing_estimate(f))
            assert found is not None
            assert 0.98 < float(quick(power_law_moment(k, n, 3.0, 1.0), f.straight)) / found < 1.16
