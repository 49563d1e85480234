"""Why two answers differ: the changed key is named, every number that moved is put down to it, nothing else is listed."""

from __future__ import annotations

import copy
import random
import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from answering import book_of
from building import RandomPart, box, example_shop, job_of
from ribwright.features.part import Along, Part
from ribwright.shop.sheet import Fact, Material
from ribwright.shop.shop import ForceGauge, PadLayer, Routine, Rules
from ribwright.stages.job import Job
from ribwright.stages.why import Why, why

SHOP = example_shop()
GIVEN = "cut_diameter = 30"
HOLE = (
    '[[hole]]\nname = "G"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\n'
    + GIVEN
    + "\nbend_angle = 45\nbend_radius = 3\n"
)
PINS = "".join(
    f'[[hole]]\nname = "P{i}"\nkind = "tooling"\nat = [{x}, {y}]\ndiameter = 5\npin_fit = 0.1\n'
    for i, (x, y) in enumerate(((30, 30), (170, 70)))
)


LIMITS = "[tolerance]\n" + "".join(f"{k} = 1\n" for k in ("flange_angle", "flange_width", "contour", "hole_diameter"))
STACK = (PadLayer(25.0, 60.0, "throw", (700.0, 400.0)), PadLayer(60.0, 80.0, "pad", SHOP.presses[1].pad.size_mm))


def with_flange(part: Part, **changes: object) -> Part:
    return replace(part, flanges={n: replace(f, **changes) for n, f in part.flanges.items()})


def with_hole(part: Part, name: str, **changes: object) -> Part:
    return replace(part, holes=tuple(replace(h, **changes) if h.name == name else h for h in part.holes))


def with_press(job: Job, **changes: object) -> Job:
    return replace(
        job,
        shop=replace(job.shop, presses=tuple(replace(p, **changes) if p.id == "P2" else p for p in job.shop.presses)),
    )


def with_rules(job: Job, **changes: object) -> Job:
    return replace(job, shop=replace(job.shop, rules=replace(job.shop.rules, **changes)))


def with_material(job: Job, **changes: Any) -> Job:
    assert job.formed is not None
    facts = {
        **job.formed.facts,
        **{k: replace(job.formed.facts[k], value=v) for k, v in changes.items() if k in job.formed.facts},
    }
    h = job.formed.hardening
    assert h is not None
    m: Material = replace(
        job.formed, facts=facts, hardening=replace(h, **{k: v for k, v in changes.items() if k not in facts})
    )
    return replace(job, formed=m, bought=m)


def with_practice(job: Job, key: str, factor: float) -> Job:
    fact: Fact = job.catalogue.practice[key]
    practice = {**job.catalogue.practice, key: replace(fact, value=fact.value * factor)}
    return replace(job, catalogue=replace(job.catalogue, practice=practice))


def part_change(change: Any) -> Any:
    return lambda job: replace(job, part=change(job.part))


def moved_vertex(part: Part) -> Part:
    """The end of one edge and the start of the next moved by 2 mm."""
    edges = list(part.outer.edges)
    a, b = edges[0], edges[1]
    x, y = a.points[-1]
    edges[0] = replace(a, points=(*a.points[:-1], (x + 2, y)))
    edges[1] = replace(b, points=((x + 2, y), *b.points[1:]))
    return replace(part, outer=replace(part.outer, edges=tuple(edges)))


# what changes -> the keys that must be named, and no other
CHANGES: dict[str, tuple[Any, set[str]]] = {
    "thickness": (
        part_change(lambda p: replace(p, sheet=replace(p.sheet, thickness=p.sheet.thickness * 1.02))),
        {"sheet.thickness"},
    ),
    "radius": (
        part_change(lambda p: with_flange(p, bend_radius=next(iter(p.flanges.values())).bend_radius * 1.03)),
        {"flange.f.bend_radius"},
    ),
    "width": (part_change(lambda p: with_flange(p, width=Along.constant(16.3))), {"flange.f.width"}),
    "angle": (part_change(lambda p: with_flange(p, bend_angle=Along.constant(88.0))), {"flange.f.bend_angle"}),
    "bevel": (
        part_change(lambda p: with_flange(p, bend_angle=Along((("fraction", 0.0, 86.0), ("fraction", 1.0, 91.0))))),
        {"flange.f.bend_angle"},
    ),
    "mold line": (part_change(lambda p: replace(p, line="inside-mold-line")), {"web.line"}),
    "outline": (part_change(moved_vertex), {"web.edge[e0]", "web.edge[e1]"}),
    "undercut": (part_change(lambda p: replace(p, block_undercut="none")), {"block.undercut"}),
    "trim": (part_change(lambda p: replace(p, trim=3.0)), {"blank.trim"}),
    "tolerance": (
        part_change(lambda p: replace(p, tolerance={**p.tolerance, "flange_angle": (0.9, 0.9)})),
        {"tolerance.flange_angle"},
    ),
    "ram area": (
        lambda j: with_press(j, gauge=replace(j.shop.presses[1].gauge, ram_area_mm2=200000.0)),
        {"press[P2].gauge.ram_area"},
    ),
    "gauge limit": (
        lambda j: with_press(j, gauge=replace(j.shop.presses[1].gauge, limit_mpa=9.0)),
        {"press[P2].gauge.limit"},
    ),
    "pad modulus": (
        lambda j: with_press(j, pad=replace(j.shop.presses[1].pad, shear_modulus_mpa=1.6)),
        {"press[P2].pad.shear_modulus"},
    ),
    "pad hardness": (
        lambda j: with_press(j, pad=replace(j.shop.presses[1].pad, shore_a=64.0)),
        {"press[P2].pad.shore_a"},
    ),
    "pad size": (
        lambda j: with_press(j, pad=replace(j.shop.presses[1].pad, size_mm=(900.0, 500.0))),
        {"press[P2].pad.size"},
    ),
    "pad thickness": (
        lambda j: with_press(j, pad=replace(j.shop.presses[1].pad, thickness_mm=60.0)),
        {"press[P2].pad.thickness"},
    ),
    "loose": (lambda j: with_press(j, pad=replace(j.shop.presses[1].pad, held="loose")), {"press[P2].pad.held"}),
    "force": (lambda j: with_press(j, force_n=2e6), {"press[P2].force"}),
    "rated pressure": (lambda j: with_press(j, rated_pressure_mpa=6.0), {"press[P2].rated_pressure"}),
    # smaller than the bolster, which is what the block stands on otherwise
    "table": (lambda j: with_press(j, table_mm=(850.0, 560.0)), {"press[P2].table"}),
    "bolster": (
        lambda j: with_press(j, bolster=replace(j.shop.presses[1].bolster, size_mm=(850.0, 560.0), thickness_mm=50.0)),
        {"press[P2].bolster.size", "press[P2].bolster.thickness"},
    ),
    "container": (lambda j: with_press(j, container_depth_mm=190.0), {"press[P2].container_depth"}),
    "off-centre limit": (lambda j: with_press(j, off_centre_limit_mm=0.5), {"press[P2].off_centre_limit"}),
    "gauge of force": (
        lambda j: with_press(j, gauge=None, force_gauge=ForceGauge(3e6, "kN", "")),
        {*(f"press[P2].gauge.{k}" for k in ("ram_area", "limit", "reads", "due"))},
    ),
    "stack": (
        lambda j: with_press(j, pad=replace(j.shop.presses[1].pad, layers=STACK)),
        {"press[P2].pads[0]", "press[P2].pads[1]"},
    ),
    "routine": (
        lambda j: with_press(j, routine=Routine(9.0, 3)),
        {"press[P2].dwell, or setup.dwell", "press[P2].hits, or setup.hits", "press[P2].lubricant, or setup.lubricant"},
    ),
    "gauges": (lambda j: replace(j, shop=replace(j.shop, gauges=())), {f"gauge[{g.id}]" for g in SHOP.gauges}),
    "decision": (lambda j: with_rules(j, decision="simple"), {"rules.decision"}),
    "wall accuracy": (lambda j: with_practice(j, "block_angle_accuracy", 2.0), {"practice: block_angle_accuracy"}),
    "line accuracy": (lambda j: with_practice(j, "line_accuracy", 2.0), {"practice: line_accuracy"}),
    "daylight": (lambda j: with_press(j, daylight_mm=300.0), {"press[P2].daylight"}),
    "fluid": (lambda j: with_press(j, kind="fluid"), {"press[P2].kind"}),
    "bend rule": (lambda j: with_rules(j, bend_allowance="din-6935"), {"rules.bend_allowance"}),
    "clearance": (lambda j: with_practice(j, "flange_clearance", 3.0), {"practice: flange_clearance"}),
    "block materials": (
        lambda j: replace(
            j,
            shop=replace(
                j.shop,
                block_materials=tuple(
                    replace(m, pressure_limit_mpa=m.pressure_limit_mpa * 1.1) for m in j.shop.block_materials
                ),
            ),
        ),
        {f"block_material[{m.id}].pressure_limit" for m in SHOP.block_materials},
    ),
    "relief rule": (
        lambda j: replace(j, relief_rule=replace(j.relief_rule, radius_factor=j.relief_rule.radius_factor * 1.4)),
        {"relief rule: radius_factor"},
    ),
}
SILENT = {"trim", "relief rule", "block materials"}
FACTS = {
    "k_mpa": 500.0,
    "n": 0.19,
    "r_value": 0.85,
    "poisson": 0.31,
    "k_cov": 0.09,
    "youngs_modulus_mpa": 69000.0,
    "secondary_modulus_mpa": 64000.0,
}


def law(
    old: Job, new: Job, keys: set[str] | None, method: tuple[str, str] = ("strain-corrected", "strain-corrected")
) -> Why:
    return holds(book_of(old, "P2", method[0]).answer, book_of(new, "P2", method[1]).answer, keys)


def holds(a: dict[str, Any], b: dict[str, Any], keys: set[str] | None) -> Why:
    """What moved between two answers, all of it put down to the changed keys."""
    told = why(a, b)
    if keys is not None:
        assert {c.key for c in told.causes} == keys
    unexplained = [m.path for m in told.moved if not m.because]
    assert unexplained == []
    for m in told.moved:
        if m.old is not None:
            assert m.old != m.new, m.path
            assert m.difference == pytest.approx(m.new - m.old)
    return told


@cache
def random_job(seed: int) -> Job:
    return job_of(RandomPart(seed).text() + LIMITS, SHOP)


@cache
def random_answer(seed: int) -> dict[str, Any]:
    return book_of(random_job(seed), "P2").answer


@cache
def changed(name: str, seed: int) -> Why:
    """What one of CHANGES does to a random part."""
    change, keys = CHANGES[name]
    return holds(random_answer(seed), book_of(change(random_job(seed)), "P2").answer, keys)


@pytest.mark.parametrize("name", sorted(CHANGES))
@pytest.mark.parametrize("seed", [pytest.param(1, marks=pytest.mark.slow), 4])
def test_one_changed_key_is_the_one_cause_of_every_number_that_moved(name: str, seed: int) -> None:
    told = changed(name, seed)
    assert told.moved or told.gone or name in SILENT


@pytest.mark.parametrize("fact", sorted(FACTS))
def test_a_changed_fact_of_the_material_is_the_cause(fact: str) -> None:
    job = job_of(re.sub('material = ".*"', 'material = "2024-T3 clad"', RandomPart(4).text()), SHOP)
    told = law(job, with_material(job, **{fact: FACTS[fact]}), None)
    assert len(told.causes) == 1
    assert told.causes[0].key.endswith(f".{fact}")


def test_the_method_and_the_press_are_causes_too() -> None:
    told = law(random_job(1), random_job(1), {"--method"}, ("strain-corrected", "handbook"))
    assert any(m.path.startswith("blank.edges") for m in told.moved)
    a, b = book_of(random_job(1), "P1").answer, book_of(random_job(1), "P3").answer
    compared = why(a, b)
    assert {c.key for c in compared.causes} == {"--press"}
    assert [m.path for m in compared.moved if not m.because] == []


ARCHED = box(w=120.0, h=60.0, flanges=(True, False, False, False)).replace(
    "to = [120.0, 0.0]\n", "to = [120.0, 0.0]\nthrough = [60.0, -4.0]\n"
)
BY_BALANCE: dict[str, tuple[Any, set[str]]] = {
    "width": CHANGES["width"],
    "bevel": CHANGES["bevel"],
    "n": (lambda job: with_material(job, n=0.3), {'material "2024-O".hardening.n'}),
    "r45": (lambda job: with_material(job, r45=1.4), {'material "2024-O".r45'}),
    "grain": (part_change(lambda p: replace(p, sheet=replace(p.sheet, grain=90.0))), {"sheet.grain"}),
}


@cache
def arched(method: str) -> dict[str, Any]:
    return book_of(job_of(ARCHED, SHOP), "P2", method, compare=True).answer


@pytest.mark.parametrize("name", sorted(BY_BALANCE))
def test_by_balance_one_changed_key_is_the_one_cause_of_every_number_that_moved(name: str) -> None:
    change, keys = BY_BALANCE[name]
    told = holds(arched("inverse"), book_of(change(job_of(ARCHED, SHOP)), "P2", "inverse").answer, keys)
    assert any(m.path.startswith("blank.edges") for m in told.moved)


def test_the_agreement_asked_for_is_the_cause_where_it_takes_the_other_blank() -> None:
    wide, close = (
        book_of(with_rules(job_of(ARCHED, SHOP), blank_agreement_mm=mm), "P2", "default", compare=True).answer
        for mm in (1.0, 0.02)
    )
    assert (wide["blank"]["method"], close["blank"]["method"]) == ("strain-corrected", "inverse")
    told = holds(wide, close, {"rules.blank_agreement"})
    assert any(m.path.startswith("blank.edges") for m in told.moved)
    assert any(m.path == "blank.cut_line.fit_mm" for m in told.moved)


@pytest.mark.parametrize("to", ["2024-T3", "6061-O"])
def test_another_material_is_one_cause_though_its_whole_record_changes(to: str) -> None:
    old = job_of(box(extra=HOLE + PINS), SHOP)
    told = law(old, job_of(box(extra=HOLE + PINS, material=to), SHOP), {"sheet.material"})
    assert any("undercut" in m.path for m in told.moved)


@pytest.mark.parametrize(
    ("changes", "key", "moved"),
    [
        ({"given": ("cut_diameter", 28.0)}, "hole[G].cut_diameter", "blank.holes[G].cut_diameter_mm"),
        ({"given": ("flange_height", 7.0)}, "hole[G].flange_height", "blank.holes[G].cut_diameter_mm"),
        ({"diameter": 42.0}, "hole[G].diameter", "blank.holes[G].tangent_diameter_mm"),
        ({"bend_angle": 50.0}, "hole[G].bend_angle", "block.recesses[G].depth_mm"),
        ({"bend_radius": 3.4}, "hole[G].bend_radius", "block.recesses[G].edge_radius_mm"),
        ({"at": (101.0, 50.0)}, "hole[G].at", "blank.holes[G].at_mm[0]"),
    ],
)
def test_a_changed_hole_is_named_by_its_key(changes: dict[str, Any], key: str, moved: str) -> None:
    old = job_of(box(extra=HOLE + PINS), SHOP)
    told = law(old, replace(old, part=with_hole(old.part, "G", **changes)), {key})
    assert moved in {m.path for m in told.moved}


def test_things_are_matched_by_name_when_the_list_changes() -> None:
    old, new = job_of(box(extra=HOLE + PINS), SHOP), job_of(box(extra=PINS + HOLE), SHOP)
    same = law(old, new, set())
    assert (same.moved, same.causes, same.appeared, same.gone) == ((), (), (), ())
    more = why(book_of(job_of(box(extra=HOLE), SHOP)).answer, book_of(old).answer)
    assert {c.key for c in more.causes} == {"hole[P0]", "hole[P1]"}
    assert {"blank.holes[P0]", "blank.holes[P1]", "block.pins"} <= set(more.appeared)
    # with pins a forecast is whole, which takes the place of its known part; and the block has lost its axis
    whole = {g for g in more.gone if g.endswith(".known_part")}
    assert whole
    assert set(more.gone) - whole == {"block.reversible"}
    assert {g.replace("known_part", "forecast") for g in whole} <= set(more.appeared)


def test_of_two_changed_keys_each_number_is_put_down_to_those_it_depends_on() -> None:
    old = job_of(box(extra=PINS), SHOP)
    new = with_press(
        replace(old, part=with_flange(old.part, bend_radius=3.2)),
        gauge=replace(SHOP.presses[1].gauge, ram_area_mm2=200000.0),
    )
    told = law(old, new, {"flange.f.bend_radius", "press[P2].gauge.ram_area"})
    names = [c.key for c in told.causes]
    because = {m.path: {names[i] for i in m.because} for m in told.moved}
    assert because["blank.edges[south].setback_mm.max"] == {"flange.f.bend_radius"}
    assert because["setup.gauge_limit_mpa"] == {"press[P2].gauge.ram_area"}
    assert because["setup.gauge_mpa"] == set(names)


def test_the_largest_relative_change_comes_first() -> None:
    moved = changed("thickness", 4).moved
    assert [m.relative for m in moved] == sorted((m.relative for m in moved), reverse=True)


def test_a_number_that_moved_with_no_input_it_depends_on_is_said_to_have_no_cause() -> None:
    a = random_answer(4)
    b = copy.deepcopy(a)
    b["setup"]["stack_mm"] += 1.0
    told = why(a, b)
    assert [(m.path, m.because) for m in told.moved] == [("setup.stack_mm", ())]
    b["inputs"]["version"] = "9.9"
    told = why(a, b)
    assert [c.key for c in told.causes] == ["version"]
    assert told.moved[0].because == (0,)


def test_what_two_answers_do_not_say_is_told() -> None:
    a = random_answer(4)
    old = {k: v for k, v in copy.deepcopy(a).items() if k not in ("inputs", "setup")}
    old["part"]["number"] = "T-2"
    told = why(old, a)
    text = " ".join(told.cannot_tell)
    assert told.cannot_tell[0].startswith("These are answers of different parts")
    assert "carries no inputs" in text
    assert "Only the new answer tells of setup" in text
    assert told.causes == ()


def test_a_new_finding_is_told_by_code_and_place() -> None:
    old = job_of(box(extra=PINS, material="2024-T3", radius=5.0), replace(SHOP, rules=Rules()))
    tight = replace(old, part=with_flange(old.part, bend_radius=0.5))
    told = why(book_of(old, "P2").answer, book_of(tight, "P2").answer)
    assert "findings[bend-radius, flange f]" in told.appeared


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10))
def test_any_number_of_part_and_shop_nudged_is_the_cause_of_all_that_moved(seed: int) -> None:
    """Every float of the part file and of the press, one at a time, on a part of its own."""
    from dataclasses import fields, is_dataclass

    job, r = random_job(seed), random.Random(seed)

    def nudged(value: Any) -> list[Any]:
        """Copies of a value with one float of it 1 % larger."""
        if isinstance(value, float):
            return [value * 1.01 + 0.01]
        if is_dataclass(value) and not isinstance(value, type):
            return [replace(value, **{f.name: v}) for f in fields(value) for v in nudged(getattr(value, f.name))]
        if isinstance(value, tuple):
            return [(*value[:i], v, *value[i + 1 :]) for i, x in enumerate(value) for v in nudged(x)]
        if isinstance(value, dict):
            return [{**value, k: v} for k, x in value.items() for v in nudged(x)]
        return []

    parts = [replace(job, part=p) for p in nudged(replace(job.part, outer=job.part.outer))]
    presses = [
        with_press(job, **{f.name: v})
        for f in fields(SHOP.presses[1])
        for v in nudged(getattr(SHOP.presses[1], f.name))
    ]
    for new in r.sample(parts, min(15, len(parts))) + r.sample(presses, min(8, len(presses))):
        told = law(job, new, None)
        assert len(told.causes) == 1, [c.key for c in told.causes]


def test_every_cause_shows_a_value_and_a_file() -> None:
    for name in CHANGES:
        for c in changed(name, 4).causes:
            assert c.file in ("part file", "shop file", "catalogue", "command line", "ribwright")
            assert (c.old, c.new) != (None, None)
            assert not re.search(r"\.stations|facts\[", c.key)
