"""The example parts with something changed, for tests of the sheets."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from documents.sample import sample_plan
from ribwright.features.part import Along, Part
from ribwright.stages.plan import Plan, make_plan

BEVEL = Along((("fraction", 0.0, 84.0), ("mm", 60.0, 90.0), ("fraction", 1.0, 97.0)))


def planned(part: Part) -> Plan:
    """The plan of a changed example part, on the press of the sample."""
    plan = sample_plan("Q7-2101-1")
    assert plan.setup is not None
    return make_plan(replace(plan.job, part=part), plan.setup.press)


@cache
def bevelled() -> Plan:
    """The nose rib with a spar flange whose bend angle varies from 84 over 90 to 97 deg."""
    part = sample_plan("Q7-2101-1").job.part
    spar = replace(part.flanges["spar"], bend_angle=BEVEL)
    return planned(replace(part, flanges={**part.flanges, "spar": spar}))


@cache
def with_ring() -> Plan:
    """The nose rib with its lightening hole turned against the other flanges."""
    part = sample_plan("Q7-2101-1").job.part
    return planned(
        replace(part, holes=tuple(replace(h, turn="up") if h.kind == "lightening" else h for h in part.holes))
    )


@cache
def without_tolerances() -> Plan:
    """The nose rib without a [tolerance] table."""
    return planned(replace(sample_plan("Q7-2101-1").job.part, tolerance={}))


@cache
def long_words() -> Plan:
    """The nose rib with names as long as people make them."""
    part = sample_plan("Q7-2101-1").job.part
    edges = tuple(
        replace(e, name=f"{e.name} edge along the inboard stringer cut-out of bay eleven") for e in part.outer.edges
    )
    holes = tuple(replace(h, name=f"{h.name} inboard of the third stiffener") for h in part.holes)
    loop = replace(part.outer, edges=edges)
    return planned(
        replace(part, title="Nose rib " * 30, number="Q7-2101-1-LONGEST-NUMBER" * 3, outer=loop, holes=holes)
    )


@cache
def metric() -> Plan:
    """The nose rib in a shop that reads mm first."""
    plan = sample_plan("Q7-2101-1")
    return replace(plan, job=replace(plan.job, shop=replace(plan.job.shop, units="mm")))


EVERY = {
    "centre rib": sample_plan,
    "nose rib": lambda: sample_plan("Q7-2101-1"),
    "repair rib, no press": lambda: sample_plan("RX-0007", ""),
    "bevel": bevelled,
    "ring": with_ring,
    "no tolerances": without_tolerances,
    "long words": long_words,
    "metric": metric,
}
