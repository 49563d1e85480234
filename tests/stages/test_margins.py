"""Margins: the same numbers as the findings, and a row also where nothing is wrong."""

from __future__ import annotations

import pytest

from building import RandomPart, box, example_shop, job_of
from ribwright.stages.finding import Finding
from ribwright.stages.judged import plan_margins
from ribwright.stages.margins import Margin, governing
from ribwright.stages.plan import Plan, make_plan

# code -> quantity; `near` ones warn while there is still a little room
OF_CODE = {
    "bend-radius": "bend_radius",
    "bend-radius-in-range": "bend_radius",
    "stretch-limit": "edge_stretch",
    "stretch-near-limit": "edge_stretch",
    "shrink-limit": "edge_shrink",
    "shrink-wrinkles": "edge_shrink",
    "hole-edge-limit": "hole_edge_stretch",
    "hole-edge-near-limit": "hole_edge_stretch",
    "flange-too-short": "flange_width",
    "pressure-short": "pressure",
    "pressure-marginal": "pressure",
    "hole-in-bend": "hole_to_bend",
    "hole-near-bend": "hole_to_bend",
    "pad-margin-small": "pad_margin",
    "pad-overhang": "pad_margin",
    "daylight-short": "daylight",
    "block-crush": "block_pressure",
}
NEAR = {"stretch-near-limit", "hole-edge-near-limit"}
HOLE = '[[hole]]\nname = "H"\nkind = "plain"\nat = [100, {y}]\ndiameter = 6\n'
RIM = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = {c}\nbend_angle = 60\n'
    "bend_radius = 3\n"
)
CURVED = box(width="{w}", t=0.8, radius=2.4).replace('name = "south"\n', 'name = "south"\nthrough = [100, {y}]\n')
# what is wrong -> (part, code that says so on press P1)
PARTS = {
    "thick and narrow": (box(width=9, t=1.6), "pressure-short"),
    "hard sheet, tight bend": (box(material="2024-T3", radius=1.5, t=0.8), "bend-radius"),
    "concave edge": (CURVED.format(w=18, y=45), "stretch-limit"),
    "less concave edge": (CURVED.format(w=14, y=45), "stretch-near-limit"),
    "convex edge": (CURVED.format(w=18, y=-22), "shrink-wrinkles"),
    "tight convex edge": (CURVED.format(w=24, y=-80), "shrink-limit"),
    "rim past its limit": (box() + RIM.format(c=22), "hole-edge-limit"),
    "rim near its limit": (box() + RIM.format(c=29.5), "hole-edge-near-limit"),
    "hole near the bend": (box() + HOLE.format(y=8), "hole-near-bend"),
    "hole in the bend": (box() + HOLE.format(y=6.5), "hole-in-bend"),
    "too large for the pad": (box(w=640), "pad-overhang"),
    "nearly too large for the pad": (box(w=595), "pad-margin-small"),
}


def planned(text: str, press: str = "P1") -> Plan:
    shop = example_shop()
    return make_plan(job_of(text, shop), shop.press(press) if press else None)


def of(plan: Plan, f: Finding, rows: tuple[Margin, ...]) -> list[Margin]:
    """The rows of a finding's quantity at its place; a finding of a flange holds for each of its edges."""
    mine = [r for r in rows if r.quantity == OF_CODE[f.code]]
    if "flange" in f.where:
        edges = {e.name for loop in plan.job.part.loops for e in loop.edges if e.flange == f.where["flange"]}
        return [r for r in mine if r.where.get("edge") in edges and "hole" not in r.where]
    kind = next(k for k in ("hole", "edge", "press", "block_material") if k in f.where)
    if kind == "block_material":
        return mine
    return [r for r in mine if r.place == (kind, f.where[kind])]


def check_agreement(plan: Plan) -> int:
    rows = plan_margins(plan)
    findings = [f for f in plan.findings if f.code in OF_CODE]
    told = {id(r): f for f in findings for r in of(plan, f, rows)}
    for f in findings:
        assert of(plan, f, rows), f.code
        for r in of(plan, f, rows):
            if f.margin is not None:
                assert (r.margin, r.value, r.limit) == pytest.approx((f.margin, f.value, f.limit), rel=1e-9), f.code
            assert (r.margin < 0) == (f.code not in NEAR), f.code
            assert f.severity in ("stop", "warn")
    for r in rows:
        if r.margin is not None and r.margin < 0:
            assert id(r) in told, f"{r.quantity} {r.where} {r.margin}: no finding says so"
    return len(findings)


@pytest.mark.parametrize("press", ["", "P1", "P2"])
@pytest.mark.parametrize("name", PARTS)
def test_findings_and_margins_say_the_same(name: str, press: str) -> None:
    text, code = PARTS[name]
    plan = planned(text, press)
    check_agreement(plan)
    assert press != "P1" or code in {f.code for f in plan.findings}


def test_a_radius_inside_a_printed_range_has_the_margin_of_the_larger_end() -> None:
    """AC 43.13-1B table 4-6, the catalogue's own choice without a shop file: 2024-T3 of 1.0 mm asks 3 to 5 t."""
    for radius, code in ((4, "bend-radius-in-range"), (1.5, "bend-radius")):
        plan = make_plan(job_of(box(material="2024-T3", radius=radius, width=20)))
        assert code in {f.code for f in plan.findings}
        check_agreement(plan)


@pytest.mark.parametrize("press", ["", "P1", "P3"])
@pytest.mark.parametrize("seed", range(12))
def test_findings_and_margins_say_the_same_for_any_part(seed: int, press: str) -> None:
    check_agreement(planned(RandomPart(seed).text(), press))


@pytest.mark.parametrize("seed", range(6))
def test_every_flanged_edge_and_every_hole_has_its_least_margin(seed: int) -> None:
    plan = planned(RandomPart(seed).text(), "P2")
    rows = plan_margins(plan)
    found = {r.place: r for r in governing(rows)}
    places = {("edge", e.edge) for e in plan.block.edges} | {("hole", h.hole.name) for h in plan.blank.holes}
    assert places | {("press", "P2")} == set(found)
    for place, least in found.items():
        mine = [r.margin for r in rows if r.place == place and r.margin is not None]
        assert least.margin == (min(mine) if mine else None)


def test_what_holds_is_said_with_its_margin_and_source() -> None:
    """Annealed 2024 of 0.8 mm, R 3: the shop's table asks 0.06 in of a sheet up to 0.032 in."""
    rows = plan_margins(planned(box(width=20, t=0.8), ""))
    radius = next(r for r in rows if r.quantity == "bend_radius")
    assert radius.limit == pytest.approx(0.06 * 25.4)
    assert radius.margin == pytest.approx(3 / (0.06 * 25.4) - 1)
    width = next(r for r in rows if r.quantity == "flange_width")
    assert width.margin == pytest.approx((20 - 3.8) / 3.8)
    assert all(r.source for r in rows)


def test_the_strain_along_an_edge_reaches_the_rows_own_value_at_its_place() -> None:
    rows = [r for r in plan_margins(planned(CURVED.format(w=18, y=-22), "")) if r.stations]
    assert rows
    for r in rows:
        along = [s[0] for s in r.stations]
        worst = max(r.stations, key=lambda s: s[1])
        assert worst[1] == pytest.approx(r.value)
        assert worst[0] == pytest.approx(r.where["along_mm"])
        assert worst[3] == r.margin
        assert all(0 <= x <= 260 for x in along)
        assert along in (sorted(along), sorted(along, reverse=True))


def test_a_limit_that_nobody_knows_gives_no_margin_and_says_so() -> None:
    text = box(width=20).replace('material = "2024-O"', 'material = "2024-O"\nformed_in = "W"') + RIM.format(c=32)
    rows = plan_margins(planned(text, ""))
    rim = next(r for r in rows if r.quantity == "hole_edge_stretch")
    assert rim.limit is None
    assert rim.margin is None
    assert "no limit is known" in rim.source
    assert rows[-1].margin is None  # what is not judged stands last
