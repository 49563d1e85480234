"""Relief notches proposed: the least number that holds, sized by rule, clear of rivets, and right by the development itself."""

from __future__ import annotations

from dataclasses import replace
from math import cos, sin

import numpy as np
import pytest

from building import EXAMPLES, HEAD, box, example_shop, job_of
from notched import petal_between
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.documents.screen import finding_lines
from ribwright.features.part import along_of
from ribwright.stages.blank import make_blank
from ribwright.stages.corners import rule_diameter
from ribwright.stages.finding import has_stop
from ribwright.stages.job import Job, take_in
from ribwright.stages.plan import make_plan
from ribwright.stages.proposal_answer import notch_tables, proposals_answer
from ribwright.stages.relief_notches import NoneWorks, Proposal, propose, with_proposals
from ribwright.stages.route_findings import route_findings


def sector(radius: float = 19.0, turn: float = 1.9, width: float = 12.7, extra: str = "", deep: float = 60.0) -> str:
    """A web with one flanged edge bent to a radius, its ends square to straight plain edges; lengths mm."""
    c, s = radius * cos(turn / 2), radius * sin(turn / 2)
    text = HEAD.format(units="mm", material="2024-O clad", t=0.635, line="bend-tangent-line", start=[c, -s])
    edges = (
        ("nose", (c, s), f"through = [{radius}, 0]\nflange = 'f'\n"),
        ("top", (-deep, s), ""),
        ("back", (-deep, -s), ""),
    )
    for name, to, more in (*edges, ("bottom", (c, -s), "")):
        text += f'[[web.edge]]\nname = "{name}"\nto = [{to[0]}, {to[1]}]\n{more}'
    return text + f"[flange.f]\nwidth = {width}\nbend_angle = 90\nbend_radius = 1.6\n" + extra


def nose_rib() -> Job:
    return take_in(read_part(EXAMPLES / "Q7-2101-1.part.toml"), example_shop(), load_catalogue(), "nose rib")


def only(job: Job) -> Proposal:
    (row,) = propose(job, make_blank(job))
    assert isinstance(row, Proposal)
    return row


def worst(job: Job) -> float:
    strips = make_blank(job).strips
    return max(float(np.max(-np.expm1(s.strip.edge_strain))) for s in strips)


def test_an_edge_within_its_limit_gets_no_proposal() -> None:
    job = job_of(box())
    assert propose(job, make_blank(job)) == ()


def test_the_nose_rib_needs_notches_and_has_no_stop_with_those_proposed() -> None:
    job = nose_rib()
    row = only(job)
    plan = make_plan(job)
    assert has_stop(plan.findings)
    assert [f.code for f in plan.findings if f.code.startswith("relief-notches")] == ["relief-notches-proposed"]
    assert not has_stop(make_plan(with_proposals(job, (row,))).findings)


def test_the_proposal_names_every_edge_that_it_brings_within_its_limit_and_how_to_take_it() -> None:
    job = nose_rib()
    plan = make_plan(job)
    stopped = {str(f.where["edge"]) for f in plan.findings if f.code == "shrink-limit"}
    assert set(only(job).heals) == stopped == {"nose", "lower", "upper"}
    found = next(f for f in plan.findings if f.code == "relief-notches-proposed")
    assert all(edge in found.say for edge in stopped)
    text = "\n".join(finding_lines([found.as_json()]))
    assert "--take-proposals --by NAME --out COPY" in text


def test_where_no_other_temper_holds_the_proposed_notches_are_pointed_to() -> None:
    plan = make_plan(nose_rib())
    (found,) = route_findings(plan.route, relieved=True)
    assert found.code == "route-not-feasible"
    assert "relief notches proposed" in found.try_
    (alone,) = route_findings(plan.route)
    assert "notches" not in alone.try_


@pytest.mark.parametrize("radius", [14.0, 19.0, 30.0, 45.0])
def test_the_strain_claimed_is_that_of_the_part_with_the_notches_in_and_within_the_limit(radius: float) -> None:
    job = job_of(sector(radius))
    row = only(job)
    assert worst(job) == pytest.approx(row.before)
    assert worst(with_proposals(job, (row,))) == pytest.approx(row.after)
    assert row.after <= row.limit < row.before


@pytest.mark.parametrize("radius", [14.0, 19.0, 30.0, 45.0])
def test_one_notch_fewer_is_not_enough_wherever_they_stand(radius: float) -> None:
    job = job_of(sector(radius))
    row = only(job)
    if len(row.notches) == 1:
        return
    first, last = (along_of(n.at, 1.0) for n in (row.notches[0], row.notches[-1]))
    for spread in np.linspace(0.2, 1.6, 15):
        middle, half = (first + last) / 2, (last - first) / 2 * spread
        at = np.linspace(middle - half, middle + half, len(row.notches) - 1) if len(row.notches) > 2 else [middle]
        fewer = tuple(replace(row.notches[0], at=("mm", float(x))) for x in at)
        tried = replace(job, part=replace(job.part, notches=fewer))
        if all(n.stands for n in make_blank(tried).notches):
            assert worst(tried) > row.limit


def test_width_corners_and_depth_are_the_relief_rules() -> None:
    job = nose_rib()
    row = only(job)
    laid = {e.edge.name: e for loop in make_blank(job).laid for e in loop.edges}
    for n in row.notches:
        flange = laid[n.edge].flange
        assert flange is not None
        assert n.width >= rule_diameter(job.relief_rule, flange.bend_radius, job.t) - 1e-9
        assert n.corner_radius == pytest.approx(n.width / 2)
        inset = float(laid[n.edge].tangent_inset(np.array([along_of(n.at, 1.0)]))[0])
        assert n.depth >= inset + n.corner_radius + job.relief_rule.set_back_mm - 1e-9


def test_they_stand_symmetrically_on_a_symmetrical_edge() -> None:
    job = job_of(sector())
    row = only(job)
    length = 19.0 * 1.9
    at = [along_of(n.at, length) for n in row.notches]
    assert [a + b for a, b in zip(at, reversed(at), strict=True)] == pytest.approx([length] * len(at), abs=0.11)


@pytest.mark.parametrize("first", [2.0, 4.0, 6.0, 8.0])
def test_they_keep_the_edge_distance_of_rivets(first: float) -> None:
    rivets = (
        f'[[rivets]]\nedge = "nose"\non = "flange"\nline = 8\nfirst = {first}\npitch = 11\ncount = 3\ndiameter = 2.4\n'
        "edge_distance = 4.8\n"
    )
    job = job_of(sector(extra=rivets))
    (row,) = propose(job, make_blank(job))
    if isinstance(row, Proposal):
        for n in row.notches:
            for k in range(3):
                assert abs(along_of(n.at, 1.0) - first - 11 * k) >= n.width / 2 + 4.8 - 0.06


def test_pieces_between_notches_that_are_there_are_relieved_each_by_itself() -> None:
    there = '[[notch]]\nedge = "nose"\nat = "50 %"\nwidth = 3\ndepth = 4\ncorner_radius = 1.5\n'
    job = job_of(sector(radius=40.0, turn=2.2, extra=there))
    rows = propose(job, make_blank(job))
    assert len(rows) == 2
    assert all(isinstance(r, Proposal) for r in rows)
    assert worst(with_proposals(job, rows)) <= rows[0].limit
    middle = 40.0 * 1.1
    assert [along_of(r.notches[-1].at, 1.0) < middle for r in rows if isinstance(r, Proposal)] == [True, False]


@pytest.mark.parametrize("radius", [25.0, 40.0, 60.0])
def test_an_edge_that_stretches_past_its_limit_is_relieved_too(radius: float) -> None:
    job = job_of(petal_between(radius, 20.0, -1).partition("[[notch]]")[0])
    row = only(job)
    relieved = make_blank(with_proposals(job, (row,))).strips[0].strip.edge_strain
    assert row.kind == "stretch"
    assert float(np.expm1(relieved.max())) == pytest.approx(row.after)
    assert row.after <= row.limit < row.before


def test_where_nothing_has_room_a_stop_says_why() -> None:
    rivets = (
        '[[rivets]]\nedge = "nose"\non = "flange"\nline = 8\nfirst = 1\npitch = 5\ncount = 7\ndiameter = 2.4\n'
        "edge_distance = 4.8\n"
    )
    job = job_of(sector(extra=rivets))
    (row,) = propose(job, make_blank(job))
    assert isinstance(row, NoneWorks)
    stops = [f for f in make_plan(job).findings if f.code == "relief-notches-no-use"]
    assert [f.severity for f in stops] == ["stop"]


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_tables_pasted_into_the_file_are_the_notches_proposed(units: str) -> None:
    job = nose_rib()
    row = only(job)
    plain = (
        sector().replace('units = "mm"', f'units = "{units}"').replace("thickness = 0.635", 'thickness = "0.635 mm"')
    )
    text = plain + notch_tables(row.notches, units)
    typed = parse_part(text, "pasted").notches
    for a, b in zip(typed, row.notches, strict=True):
        assert along_of(a.at, 1.0) == pytest.approx(along_of(b.at, 1.0), abs=2e-3)
        assert (a.width, a.depth, a.corner_radius) == pytest.approx((b.width, b.depth, b.corner_radius), abs=2e-3)


def test_the_answer_says_why_so_many_so_wide_so_deep() -> None:
    (row,) = proposals_answer(propose(nose_rib(), make_blank(nose_rib())), "in")
    words = " ".join(row["reasons"])
    assert len(row["notches"]) == 2
    for part in ("35.4 %", "With one notch fewer", "0.125 in", "0.1875 in", "FAA-H-8083-31 relief hole"):
        assert part in words
