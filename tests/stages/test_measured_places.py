"""Where edges are measured on parts with notches, flutes and joggles: never where there is no flange, or where it is not flat."""

from __future__ import annotations

from functools import cache

import pytest

from building import EXAMPLES, example_shop
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.documents.block_sheet import laid_edge
from ribwright.documents.inspection_sheet import _flat_row
from ribwright.features.part import along_of
from ribwright.stages.job import take_in
from ribwright.stages.measured_places import stations_of
from ribwright.stages.plan import Plan, make_plan

PARTS = ("Q7-3205-1", "Q7-2101-1-notched", "Q7-2110-1", "Q7-2102-1", "Q7-2102-1-flutes-on-rivets")


@cache
def planned(name: str) -> Plan:
    return make_plan(take_in(read_part(EXAMPLES / f"{name}.part.toml"), example_shop(), load_catalogue(), name))


def taken(plan: Plan, edge: str) -> list[tuple[float, float]]:
    """From the tables of the part file and the planned flutes: (from, to) along the edge [mm]."""
    part = plan.job.part
    length = laid_edge(plan, edge).drawn.length
    out = []
    for n in part.notches:
        middle = along_of(n.at, length)
        out.append((middle - n.width / 2 - n.flange_gap, middle + n.width / 2 + n.flange_gap))
    out = [span for span, n in zip(out, part.notches, strict=True) if n.edge == edge]
    for j in part.joggles:
        low, high = sorted((along_of(j.start, length), along_of(j.end, length)))
        if j.edge == edge:
            out += [(low, low + j.length)] if low > 1e-6 else []
            out += [(high - j.length, high)] if high < length - 1e-6 else []
    for run in plan.fluting.runs:
        out += [(f.along - f.width / 2, f.along + f.width / 2) for f in run.flutes if f.edge == edge]
    return out


@pytest.mark.parametrize("name", PARTS)
def test_no_edge_is_measured_in_a_notch_a_flute_or_a_step(name: str) -> None:
    plan = planned(name)
    details = 0
    for block_edge in plan.block.edges:
        edge = laid_edge(plan, block_edge.edge)
        spans = taken(plan, block_edge.edge)
        places = [x for _, x in stations_of(plan, edge)]
        assert places
        details += len(spans)
        for low, high in spans:
            assert not [x for x in places if low < x < high], block_edge.edge
    assert details


def test_the_flat_width_of_an_edge_with_a_notch_in_its_middle_is_measured_beside_it() -> None:
    plan = planned("Q7-3205-1")
    rows = {e.edge: _flat_row(plan, e.edge, 1, "in")[1] for e in plan.block.edges}
    for n in plan.job.part.notches:
        middle = along_of(n.at, laid_edge(plan, n.edge).drawn.length)
        at = 25.4 * float(rows[n.edge].split(" at ")[1].split(" in")[0])
        assert abs(at - middle) > n.width / 2
