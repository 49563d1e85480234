"""Jobs answered by the section model: made by hand where no run is needed, and a few real ones that tests share."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from unittest.mock import patch

import numpy as np

from building import box, example_shop, job_of
from ribwright.stages import solve_sections
from ribwright.stages.job import Job
from ribwright.stages.plan import SECTION, Plan, make_plan
from ribwright.stages.sections import Moved, Sections, Solved

SHOP = example_shop()
PRESSURE = 12.0


def by_hand(job: Job, rows: dict[str, tuple[list[float], list[float]]], slope: float = 1.0, **more: object) -> Job:
    """The job with these undercuts: {edge or hole: (along [mm], undercut [deg])}."""
    flanges = {}
    for name, (along, deg) in rows.items():
        n = len(along)
        flanges[name] = Solved(
            np.array(along), np.full(n, 90.0), np.array(deg), np.full(n, slope), np.array(deg) + 90.0, 0.7, along[-1],
            (Moved("section model", "model", "made up", np.full(n, 0.5)), Moved("strength", "piece", "made up", 0.1 * np.array(deg))),
            np.full(n, 3.0),
        )  # fmt: skip
        flanges[name] = replace(flanges[name], **more)  # type: ignore[arg-type]
    return replace(job, sections=Sections(PRESSURE, flanges))


@cache
def planned(kind: str) -> Plan:
    """A plan by the section model, each made once: `square`, `none`, `bevel`, `one tilt`, `weak`. What scatters is run for the first
    alone: the others are asked for their angles, and what the model itself may be off stays in their bands."""
    text, press = box(w=120.0, h=120.0), SHOP.press("P2")
    assert press is not None
    if kind == "none":
        text += '[block]\nundercut = "none"\n'
    if kind in ("bevel", "one tilt"):
        text = box(angle='[[0, 84], ["end", 96]]', flanges=(True, False, False, False))
    if kind == "one tilt":
        text += '[block]\nundercut = "constant-per-edge"\n'
    if kind == "weak":
        text = box(w=120.0, h=120.0, width=9.0)
        press = replace(press, rated_pressure_mpa=4.5)
    if kind == "square":
        return make_plan(job_of(text, SHOP), press, model=SECTION)
    with patch.object(solve_sections, "variants", lambda *_: ()):
        return make_plan(job_of(text, SHOP), press, model=SECTION)
