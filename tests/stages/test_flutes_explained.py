"""Every number of flutes opens, and a change of what they hang on is named for every number that it moves."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from math import cos, pi, sin

import pytest

from answering import book_of
from building import box, example_shop, job_of
from ribwright.features.part import Along
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.paths import named, numbers, resolved
from ribwright.stages.job import Job
from ribwright.stages.why import why

SHOP = example_shop()
RIVETS = (
    '[[rivets]]\nedge = "arc"\non = "flange"\nline = 9\nfirst = {first}\npitch = {pitch}\ncount = {count}\ndiameter = 2.4\n'
    "edge_distance = 5\n"
)
DRAWN = "".join(
    f'[[flute]]\nedge = "arc"\nat = {x}\nwidth = {w}\ndepth = {d}\n'
    for x, w, d in ((3, 10, 2), (50, 10, 2), (55, 10, 2), (90, 10, 4), (120, 6, 2.5), (131, 10, 2), (420.0, 10, 2))
)


def sector(flutes: str, extra: str = "", width: float = 16.0) -> Job:
    a, b = ((400 * cos(t), 400 * sin(t)) for t in (pi / 3, 2 * pi / 3))
    head = box(flanges=(False,) * 4, material="2024-T3").split("[[web.edge]]")[0]
    text = head.replace("start = [0.0, 0.0]", f"start = {list(a)}")
    text += f'[[web.edge]]\nname = "arc"\nthrough = [0.0, 400.0]\nto = {list(b)}\nflange = "f"\n'
    text += f'[[web.edge]]\nname = "left"\nto = [0.0, 100.0]\n[[web.edge]]\nname = "right"\nto = {list(a)}\n'
    text += f'[flange.f]\nwidth = {width}\nbend_angle = 90\nbend_radius = 3.0\nflutes = "{flutes}"\n'
    return job_of(text + extra, SHOP)


JOBS = {
    "planned": lambda: sector("plan", RIVETS.format(first=12, pitch=25.4, count=15)),
    "drawn": lambda: sector("drawn", DRAWN + RIVETS.format(first=50, pitch=40, count=5)),
    "too much": lambda: sector("drawn", DRAWN.replace("at = 3\n", "at = 200\n"), 6.0),
    "no room": lambda: sector("plan", RIVETS.format(first=6, pitch=14, count=30)),
    "left out": lambda: sector("plan", RIVETS.format(first=6, pitch=14, count=30), 9.0),
    "not needed": lambda: job_of(box() + 'flutes = "plan"\n', SHOP),
}


@cache
def opened(which: str) -> Book:
    return book_of(JOBS[which]())


@pytest.mark.parametrize("which", JOBS)
def test_every_number_of_flutes_opens_and_what_is_closed_gives_it_again(which: str) -> None:
    b = opened(which)
    rows = [i for i, f in enumerate(b.answer["findings"]) if f["code"].startswith("flute")]
    mine = ("blank.flutes", "blank.gather", *(f"findings[{i}]." for i in rows))
    paths = [p for p in numbers(b.answer) if p.startswith(mine)]
    assert len(paths) > 3
    for path in paths:
        e = b.open(path)
        assert e.told.what, path
        assert NOT_WRITTEN not in e.told.what, path
        assert "No explanation" not in e.told.what, path
        assert e.told.inputs or e.changes, path
        assert e.changes or e.told.origin == "constant", path
        assert resolved(b.answer, named(b.answer, path)) == path
        if e.told.again is not None:
            assert e.told.again == pytest.approx(e.value, rel=1e-6, abs=5e-9), path
        json.dumps(e.as_json())


def test_what_flutes_gather_is_evaluated_from_width_and_depth() -> None:
    b = opened("planned")
    for i in range(len(b.answer["blank"]["flutes"])):
        for key in ("gather_mm", "gather_vee_mm", "depth_mm"):
            assert b.open(f"blank.flutes[{i}].{key}").told.again is not None


def with_practice(job: Job, key: str, value: float) -> Job:
    practice = {**job.catalogue.practice, key: replace(job.catalogue.practice[key], value=value)}
    return replace(job, catalogue=replace(job.catalogue, practice=practice))


CHANGES = {
    "rivets": (lambda j: replace(j, part=replace(j.part, rivets=(replace(j.part.rivets[0], pitch=27.0),))), "rivets"),
    "width of the flange": (
        lambda j: replace(
            j, part=replace(j.part, flanges={"f": replace(j.part.flanges["f"], width=Along.constant(15.0))})
        ),
        "flange.f.width",
    ),
    "usual width": (lambda j: with_practice(j, "flute_width", 0.36), "flute_width"),
    "land": (lambda j: with_practice(j, "flute_land", 1.5), "flute_land"),
    "end": (lambda j: with_practice(j, "flute_end", 1.0), "flute_end"),
}


@pytest.mark.parametrize("which", CHANGES)
def test_a_change_is_named_for_every_number_of_flutes_that_it_moves(which: str) -> None:
    change, key = CHANGES[which]
    job = JOBS["planned"]()
    found = why(opened("planned").answer, book_of(change(job)).answer)
    assert any(key in str(c) for c in found.causes), found.causes
    assert [m.path for m in found.moved if not m.because] == []
