"""How the numbers of the block open: released angles, saw zones, cover plate, stock and the solid."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from answering import book, book_of
from building import RandomPart, box, example_shop, job_of
from ribwright.documents.identity import identity_of
from ribwright.documents.solid_model import MadeSolid, solid_answer, solid_models
from ribwright.stages.answers import tidy
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.paths import numbers
from ribwright.stages.job import Job
from ribwright.stages.why import why

SHOP = example_shop()
PINS = "".join(
    f'[[hole]]\nname = "P{i}"\nkind = "tooling"\nat = [{x}, 30]\ndiameter = {d}\npin_fit = 0.1\n'
    for i, (x, d) in enumerate(((30, 5), (170, 6)))
)
HOLE = (
    '[[hole]]\nname = "G"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\nflange_height = 8\nbend_angle = 45\n'
    'bend_radius = 3\nturn = "{turn}"\n'
)
WAYS = ("varying", "constant-per-edge", "none")
CURVE = re.compile(r".*(outline|foot)_mm\[\d+\]\[\d+\]")
NAMED = [f"{way} {turn}" for way in WAYS for turn in ("down", "up")]


@cache
def opened(name: str) -> Book:
    """A bevelled box with pins and a hole flange, cut one of the ways, its hole flange down or up; or a random part."""
    way, _, turn = name.rpartition(" ")
    if way == "random":
        return book(RandomPart(int(turn)).text(), SHOP, "P2")
    return book_of(bevelled(way, turn), "P2")


def bevelled(way: str = "varying", turn: str = "down") -> Job:
    block = f'[block]\nundercut = "{way}"\n'
    return job_of(box(angle=[[0, 84], ["end", 96]], extra=block + HOLE.format(turn=turn) + PINS), SHOP)


def law(b: Book) -> int:
    """Every number of the block opens whole, and what is closed comes out again; how many did."""
    again, curves = 0, 0
    for path, value in numbers(b.answer["block"]).items():
        # of the points of the curves every 50th: they are told alike
        curves += bool(CURVE.fullmatch(path))
        if CURVE.fullmatch(path) and curves % 50:
            continue
        e = b.open(f"block.{path}")
        assert e.told.what != NOT_WRITTEN, path
        assert e.told.formula or e.told.origin in ("typed", "fact", "constant"), path
        assert e.changes or e.told.origin == "constant", path
        for i in e.told.inputs:
            if i.path and not isinstance(i.value, str) and not i.path.endswith("stations[0][2]"):
                assert b.open(i.path).value == pytest.approx(i.value, rel=1e-9, abs=1e-9), (path, i.path)
        if e.told.again is not None:
            again += 1
            assert e.told.again == pytest.approx(value, rel=1e-6, abs=5e-9), path
    return again


@pytest.mark.parametrize("name", NAMED)
def test_every_number_of_the_block_opens_however_its_undercut_is_cut(name: str) -> None:
    assert law(opened(name)) > 100


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20, 50))
def test_every_number_of_any_block_opens(seed: int) -> None:
    assert law(opened(f"random {seed}")) > 50


MUST_BE_CLOSED = (
    r"(undercut|recesses|rings)\[\d+\]\.(remaining_angle_deg|released_angle_deg\.(value|low|high))",
    r"(recesses|rings)\[\d+\]\.vent_diameter_mm",
    r"undercut\[\d+\]\.deg\.(value|low|high)",
    r"zones\[\d+\]\.(tilt_deg|setback_mm|setback_in_rounded|stretches\[\d+\]\.remaining_deg\.(min|max))",
    r"cover_plate\.(inset_mm|(cutouts|pin_holes)\[\d+\]\.diameter_mm)",
    r"stock\.(finished_mm|rough_mm|cover_plate_rough_mm)\[\d\]",
    r"stock\.(boards|stack_mm|weight_kg|ring_thickness_mm)",
    r"stock\.pins\[\d+\]\.(count|diameter_mm|length_mm|below_mm|web_mm|above_mm)",
    "volume_mm3",
)


@pytest.mark.parametrize("name", NAMED)
def test_the_numbers_a_bench_cuts_by_are_all_evaluated_again(name: str) -> None:
    b = opened(name)
    paths = [p for p in numbers(b.answer["block"]) if any(re.fullmatch(m, p) for m in MUST_BE_CLOSED)]
    missing = [m for m in MUST_BE_CLOSED if not any(re.fullmatch(m, p) for p in paths)]
    assert missing == []
    assert [p for p in paths if b.open(f"block.{p}").told.again is None] == []


def test_the_one_undercut_of_an_edge_leaves_equal_and_opposite_errors_and_says_so() -> None:
    b = opened("constant-per-edge down")
    told = b.open("block.undercut[south][0].deg").told
    assert "equal and opposite" in told.formula
    at_ends = [b.open(f"block.undercut[south][{i}].remaining_angle_deg").told.again for i in (0, -1 + _places(b))]
    assert at_ends[0] == pytest.approx(-at_ends[1], abs=1e-8)
    assert abs(at_ends[0]) > 0.1


def _places(b: Book) -> int:
    return sum(r["edge"] == "south" for r in b.answer["block"]["undercut"])


def test_a_recess_without_undercut_says_that_the_part_file_asked_for_none() -> None:
    e = opened("none down").open("block.recesses[G].undercut_deg")
    assert (e.value, e.told.origin) == (0.0, "typed")
    assert "block.undercut" in {k.key for k in e.changes}


def practice(job: Job, key: str) -> Job:
    fact = job.catalogue.practice[key]
    changed = {**job.catalogue.practice, key: replace(fact, value=fact.value * 1.5)}
    return replace(job, catalogue=replace(job.catalogue, practice=changed))


def material(job: Job, key: str) -> Job:
    rows = tuple(replace(m, **{key: (getattr(m, key) or 5.0) * 1.1}) for m in job.shop.block_materials)
    return replace(job, shop=replace(job.shop, block_materials=rows))


def with_hole(job: Job, name: str, **changes: Any) -> Job:
    holes = tuple(replace(h, **changes) if h.name == name else h for h in job.part.holes)
    return replace(job, part=replace(job.part, holes=holes))


MOVES = {
    "saw_tilt_step": (lambda j: practice(j, "saw_tilt_step"), r"block\.zones.*\.stretches.*\.to_mm"),
    "cover_plate_margin": (lambda j: practice(j, "cover_plate_margin"), r"block\.cover_plate\.inset_mm"),
    "cover_plate_pin_clearance": (
        lambda j: practice(j, "cover_plate_pin_clearance"),
        r"block\.cover_plate\.pin_holes\[P0\]\.diameter_mm",
    ),
    "block_saw_allowance": (lambda j: practice(j, "block_saw_allowance"), r"block\.stock\.rough_mm\[0\]"),
    "recess_vent": (lambda j: practice(j, "recess_vent"), r"block\.recesses\[G\]\.vent_diameter_mm"),
    "board_thickness": (lambda j: material(j, "board_thickness_mm"), r"block\.stock\.board_thickness_mm"),
    "allowance": (lambda j: material(j, "allowance_mm"), r"block\.stock\.saw_allowance_mm"),
    "density": (lambda j: material(j, "density_kg_m3"), r"block\.stock\.weight_kg"),
    "pin_fit": (lambda j: with_hole(j, "P0", pin_fit=0.3), r"block\.stock\.pins\[0\]\.diameter_mm"),
    "bend_radius": (lambda j: with_hole(j, "G", bend_radius=3.3), r"block\.recesses\[G\]\.released_angle_deg\.low"),
}


@pytest.mark.parametrize("key", sorted(MOVES))
def test_a_changed_key_of_the_bench_is_the_cause_of_all_that_moved_in_the_block(key: str) -> None:
    change, wanted = MOVES[key]
    job = bevelled()
    # on no press the first block material is taken, which has boards and a density
    a, b = (
        {k: v for k, v in book_of(j).answer.items() if k in ("ribwright", "part", "fingerprint", "block", "inputs")}
        for j in (job, change(job))
    )
    told = why(a, b)
    assert {c.key.rpartition(".")[2].removeprefix("practice: ") for c in told.causes} == {key}
    assert [m.path for m in told.moved if not m.because] == []
    assert any(re.fullmatch(wanted, m.path) for m in told.moved)


def with_solid(angle: float) -> Book:
    """A box with a ring, and what a kernel would report of its solids: volumes a chord's share under our own."""
    b = book(box(angle=angle, extra=HOLE.format(turn="up")), SHOP)
    models = solid_models(b.plan, identity_of(b.plan, "0" * 16), "block")
    made = {
        f"{stem}.step": MadeSolid(b"solid", m.body.volume, m.body.volume * (1 - 2e-5), True, 42, m.body.levels)
        for stem, m in models.items()
    }
    return Book(b.plan, b.answer | tidy({"solid": solid_answer(made)}))


def test_what_a_kernel_measured_opens_and_is_compared() -> None:
    before, after = with_solid(90.0), with_solid(92.0)
    for b in (before, after):
        paths = [p for p in numbers(b.answer) if p.startswith("solid.")]
        assert len(paths) == 10
        assert [p for p in paths if b.open(p).told.what == NOT_WRITTEN or not b.open(p).changes] == []
        volume = b.open("solid.volume_mm3")
        assert volume.told.again == pytest.approx(volume.value, rel=1e-9)
        measured = b.open("solid.kernel_volume_mm3").told
        assert measured.again is None
        assert measured.compared
    told = why(before.answer, after.answer)
    moved = {m.path: {told.causes[i].key for i in m.because} for m in told.moved}
    assert moved["solid.kernel_volume_mm3"] == {"flange.f.bend_angle"}
    assert "solid.rings[0].volume_mm3" not in moved
