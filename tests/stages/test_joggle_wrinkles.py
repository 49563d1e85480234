"""Shrink past the smooth limit that lies at a step alone is told as that of the step."""

from __future__ import annotations

import numpy as np

from building import EXAMPLES, example_shop
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.stages.job import take_in
from ribwright.stages.joggles import steps
from ribwright.stages.plan import make_plan


def test_a_step_that_wrinkles_is_named_and_dressed_not_fluted() -> None:
    plan = make_plan(
        take_in(read_part(EXAMPLES / "Q7-2110-1.part.toml"), example_shop(), load_catalogue(), "Q7-2110-1")
    )
    found = [f for f in plan.findings if f.code == "shrink-wrinkles"]
    assert found
    for f in found:
        (near,) = [s for s in steps(plan.job, plan.blank) if s.edge == f.where["edge"]]
        assert f"at the step of joggle {near.number}" in f.say
        assert "Dress the step" in f.try_


def test_a_bend_of_the_edge_away_from_its_step_is_told_as_that_of_the_edge() -> None:
    """The half frame's joggle lies on a curved flange: held against the strains of the blank themselves."""
    job = take_in(read_part(EXAMPLES / "Q7-3209-1.part.toml"), example_shop(), load_catalogue(), "Q7-3209-1")
    plan = make_plan(job)
    smooth = job.formed.facts["shrink_limit"].value if job.formed else 0.0
    found = [f for f in plan.findings if f.code == "shrink-wrinkles"]
    assert found
    for f in found:
        strip, i = plan.blank.strip_of(str(f.where["edge"]))
        mine = strip.at.edge == i
        along, shrink = strip.at.along[mine], -np.expm1(strip.strip.edge_strain[mine])
        by = [s for s in steps(job, plan.blank) if s.edge == f.where["edge"]]
        far = np.array([min([max(s.start - x, x - s.end) for s in by], default=np.inf) for x in along])
        away = shrink[far > strip.at.width[mine].max()]
        assert ("step of joggle" in f.say) == bool(by and (not len(away) or away.max() <= smooth))
