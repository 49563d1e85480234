"""The search for balance: it only ever goes down, finds the force that is there, and answers the same from another start."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from pad_pressed import FLANGE, PRESS
from ribwright.mechanics.pad_model.newton import settle
from ribwright.mechanics.pad_model.press import SINK, system_for
from ribwright.mechanics.pad_model.profile import chain
from ribwright.mechanics.pad_model.rubber import neo_hookean
from ribwright.mechanics.pad_model.system import System, system_of
from rubber_cylinder import crush, far_away, quarter

Array = NDArray[np.float64]
R, G = 20.0, 1.0


def cylinder(bulk: float = 2000.0) -> System:
    """A quarter of a rubber cylinder on a plate."""
    plate = chain([[-10.0 * R, -R], [10.0 * R, -R]], [])
    return system_of(quarter(R, 6), neo_hookean(G, bulk), plate, far_away(), R)


def test_every_step_lowers_the_energy() -> None:
    system = cylinder().drawn(3.0, 50.0)
    energies: list[float] = []
    found = settle(system, np.zeros(system.size), 1e-5, *system.measures(), 200, lambda _, e, *rest: energies.append(e))
    assert found.settled
    assert len(energies) > 4
    assert (np.diff(energies) < 1e-9 * np.abs(energies[0])).all()
    assert energies[-1] < 0.5 * energies[0]


@pytest.mark.parametrize("bulk", [10.0, 2000.0, 2e5])
def test_at_rest_what_the_ram_gives_the_plate_takes(bulk: float) -> None:
    system = cylinder(bulk).pushed(0.3, 50.0)
    found = settle(system, np.zeros(system.size), 1e-5, *system.measures(), 200)
    assert found.settled
    touch = system.tangent(found.x).touch
    assert system.ram_pressure(found.x) == 0.3
    assert float((touch.on_tools * touch.span).sum()) == pytest.approx(0.3 * R, rel=1e-4)


def test_drawn_to_a_stroke_or_pushed_with_the_force_it_took_is_the_same() -> None:
    drawn = cylinder().drawn(3.0, 50.0)
    first = settle(drawn, np.zeros(drawn.size), 1e-5, *drawn.measures(), 200)
    pushed = drawn.pushed(drawn.ram_pressure(first.x), 50.0)
    second = settle(pushed, np.zeros(pushed.size), 1e-5, *pushed.measures(), 200)
    assert second.settled
    np.testing.assert_allclose(second.x, first.x, atol=2e-4)


def test_a_start_that_is_off_ends_at_the_same_place() -> None:
    system = cylinder().drawn(2.0, 50.0)
    weight, longest = system.measures()
    first = settle(system, np.zeros(system.size), 1e-5, weight, longest, 200)
    off = first.x + 0.1 * np.random.default_rng(3).standard_normal(system.size) * (np.arange(system.size) < system.ram)
    second = settle(system, off, 1e-5, weight, longest, 200)
    assert second.settled
    np.testing.assert_allclose(second.x, first.x, atol=2e-4)


def test_too_few_steps_are_said() -> None:
    system = cylinder().drawn(5.0, 50.0)
    found = settle(system, np.zeros(system.size), 1e-5, *system.measures(), 2)
    assert not found.settled
    assert found.worst > 1e-5


def test_gradient_and_stiffness_of_a_whole_section_are_slopes() -> None:
    """Rubber, contact, sheet and ram together, bent a little: the gradient against the climb, the stiffness against the gradient."""
    system = system_for(FLANGE, replace(PRESS, bend_size=6.0, rest_size=9.0)).drawn(0.4, 20.0)
    found = settle(system, np.zeros(system.size), 1e-6, *system.measures(), 200)
    x, d = found.x, 1e-7
    rng = np.random.default_rng(1)
    for _ in range(4):
        way = rng.standard_normal(system.size)
        way[system.ram] *= 1e-3
        way *= d / np.abs(way).max()
        at, beside = system.tangent(x + 0.0 * way), system.beside(x)
        up, down = (system.climb(x, at, s * way, beside)[0] for s in (1.0, -1.0))
        curve = float(way @ (at.stiffness @ way))
        # to second order the energy rises by slope and half the stiffness
        assert up - down == pytest.approx(2.0 * float(at.slope @ way), abs=2e-3 * abs(curve))
        assert up + down == pytest.approx(curve, rel=2e-2)


def test_the_pads_soft_walls_give_way_by_the_same_depth_at_any_pressure() -> None:
    # stiffness is the ram's pressure over SINK
    for pressure in (0.05, 0.5):
        of = crush(R, neo_hookean(pressure), 2.0, 2, 6, pressure / SINK)
        assert of.force[-1] / pressure == pytest.approx(
            crush(R, neo_hookean(1.0), 2.0, 2, 6, 1.0 / SINK).force[-1], rel=0.02
        )
