"""Where flanges are measured: never in a notch, a flute's groove or a joggle's step, and 1.5 flange widths clear of every cut."""

from __future__ import annotations

import numpy as np
import pytest

from building import box, job_of
from documents.sample import sample_plan
from joggled import JoggledPart
from notched import NotchedPart
from ribwright.features.joggled import steps_of
from ribwright.features.part import along_of
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.flutes import Fluting, fluting_of
from ribwright.stages.job import Job
from ribwright.stages.measuring import CLEAR, measurable, nearest


def taken_in(text: str) -> tuple[Job, Blank, Fluting]:
    job = job_of(text)
    blank = make_blank(job)
    return job, blank, fluting_of(job, blank)


def inside(allowed: tuple[tuple[float, float], ...], n: int = 21) -> np.ndarray:
    """Places spread over every stretch."""
    return np.concatenate([np.linspace(a, b, n) for a, b in allowed])


@pytest.mark.parametrize("seed", range(12))
def test_no_place_lies_in_a_notch_or_its_flange_gap(seed: int) -> None:
    """The opening is worked out from the part file: width and gap on both sides of the middle, on straight edges just that."""
    job, blank, fluting = taken_in(NotchedPart(seed).text())
    for n in job.part.notches:
        edge = job.part.edge(n.edge)
        if edge.flange is None:
            continue
        strip, i = blank.strip_of(n.edge)
        at = along_of(n.at, blank.laid[strip.loop].edges[i].drawn.length)
        places = inside(measurable(job, blank, fluting, n.edge))
        assert np.all(np.abs(places - at) > n.width / 2 + n.flange_gap)


@pytest.mark.parametrize("seed", range(12))
def test_no_place_lies_on_a_step_of_a_joggle(seed: int) -> None:
    job, blank, fluting = taken_in(JoggledPart(seed).text())
    assert job.part.joggles
    for j in job.part.joggles:
        strip, i = blank.strip_of(j.edge)
        allowed = measurable(job, blank, fluting, j.edge)
        assert allowed
        for low, high in steps_of(j, blank.laid[strip.loop].edges[i].drawn.length):
            assert np.all((inside(allowed) <= low) | (inside(allowed) >= high))


def test_a_straight_flange_with_one_notch_is_measured_on_both_sides_of_it() -> None:
    """south is 200 mm long, its flange 15 mm wide: between the corner's end and 100 - 6 - 2 - 1.5 x 15 on one side, and likewise on
    the other."""
    notch = '[[notch]]\nedge = "south"\nat = 100.0\nwidth = 12.0\ndepth = 12.0\nflange_gap = 2.0\n'
    job, blank, fluting = taken_in(box() + notch)
    (_, left), (right, _) = measurable(job, blank, fluting, "south")
    assert left == pytest.approx(100.0 - 8.0 - 22.5, abs=0.01)
    assert right == pytest.approx(100.0 + 8.0 + 22.5, abs=0.01)
    plain = measurable(*taken_in(box()), "south")
    assert len(plain) == 1
    assert plain[0][0] < 100.0 < plain[0][1]


@pytest.mark.parametrize("part", ["Q7-2102-1", "Q7-2102-1-flutes-drawn"])
def test_no_place_lies_in_a_flute_or_within_the_blade_of_it(part: str) -> None:
    plan = sample_plan(part)
    assert plan.fluting.flutes
    for f in plan.fluting.flutes:
        places = inside(measurable(plan.job, plan.blank, plan.fluting, f.edge))
        assert np.all(np.abs(places - f.along) >= f.width / 2 + CLEAR - 1e-6)


def test_a_place_that_is_allowed_stays_and_any_other_goes_to_the_nearest_end() -> None:
    allowed = ((10.0, 20.0), (35.0, 35.0), (50.0, 60.0))
    assert nearest(allowed, 15.0) == 15.0
    assert nearest(allowed, 26.0) == 20.0
    assert nearest(allowed, 29.0) == 35.0
    assert nearest(allowed, 99.0) == 60.0
