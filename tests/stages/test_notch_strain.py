"""Hoop strain beside a notch, held against the blank by balance: a mesh of the formed part that knows nothing of the table in
`mechanics.free_end`. The table is not to tell less than that, and not much more."""

from __future__ import annotations

import numpy as np
import pytest

from building import job_of
from notched import petal_between
from ribwright.mechanics.free_end import TABLE, kept, kept_between
from ribwright.stages.blank import make_blank
from ribwright.stages.inverse_cut import by_balance


@pytest.mark.parametrize(
    ("radius", "petal", "sign", "angle"),
    [
        (40.0, 20.0, 1, 90),
        pytest.param(19.05, 20.0, 1, 90, marks=pytest.mark.slow),
        pytest.param(60.0, 12.0, 1, 90, marks=pytest.mark.slow),
        pytest.param(60.0, 30.0, 1, 90, marks=pytest.mark.slow),
        pytest.param(60.0, 30.0, -1, 90, marks=pytest.mark.slow),
        pytest.param(60.0, 20.0, -1, 90, marks=pytest.mark.slow),
        pytest.param(30.0, 20.0, 1, 60, marks=pytest.mark.slow),
        pytest.param(60.0, 25.0, -1, 100, marks=pytest.mark.slow),
    ],
)
def test_the_free_edge_of_a_petal_strains_no_more_by_balance_and_not_much_less(
    radius: float, petal: float, sign: int, angle: int
) -> None:
    text = petal_between(radius, petal, sign).replace("bend_angle = 90", f"bend_angle = {angle}")
    job = job_of(text)
    quick = make_blank(job)
    other, made = by_balance(job, quick, 2.0)
    assert made.answered
    s, strip = quick.strips[0], other.strips[0]
    middle = next(k for k in s.at.petals if s.at.arc[k[0]] < s.at.total / 2 < s.at.arc[k[-1]])
    mine, theirs = (float(np.max(np.abs(x.strip.edge_strain[middle]))) for x in (s, strip))
    ring = float(np.max(np.abs(make_blank(job_of(text.partition("[[notch]]")[0])).strips[0].strip.edge_strain)))
    assert theirs <= mine + 0.01
    assert mine - theirs <= 0.15 * ring


def test_the_share_kept_rises_from_nothing_at_the_cut_to_all() -> None:
    x = np.linspace(0.0, 5.0, 400)
    f = kept(x)
    assert f[0] == 0.0
    assert f[-1] == 1.0
    assert (np.diff(f) >= 0.0).all()
    assert kept(np.array([row[0] for row in TABLE])) == pytest.approx([row[1] for row in TABLE])


def test_between_two_cuts_the_shares_multiply_and_only_the_nearest_count() -> None:
    arc, width = np.array([5.0, 15.0, 20.0, 25.0, 60.0]), np.full(5, 10.0)
    gaps = ((9.0, 11.0), (29.0, 31.0))
    f = kept_between(arc, width, gaps, 100.0, False)
    assert f[2] == pytest.approx(float(kept(0.9)) ** 2)
    assert f[0] == pytest.approx(float(kept(0.4)))
    assert f[4] == pytest.approx(float(kept(2.9)))
    assert kept_between(np.array([10.0]), np.array([10.0]), gaps, 100.0, False)[0] == 0.0


def test_round_a_closed_run_a_cut_is_felt_over_its_start() -> None:
    width = np.full(2, 10.0)
    f = kept_between(np.array([2.0, 98.0]), width, ((5.0, 6.0),), 100.0, True)
    assert f[0] == pytest.approx(float(kept(0.3)) * float(kept(9.6)))
    assert f[1] == pytest.approx(float(kept(0.7)) * float(kept(9.2)))
