"""Beads of a part: what they lie near, their stretch, groove and mesh, and the press that fills them or does not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from answering import book_of
from building import EXAMPLES, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.documents import screen
from ribwright.documents.procedure import steps
from ribwright.documents.readings import press_numbers
from ribwright.geometry import grooved_path
from ribwright.geometry.path import Path
from ribwright.stages.bead_demand import bead_demands, formed
from ribwright.stages.bead_room import rooms
from ribwright.stages.bead_shapes import bead_shapes
from ribwright.stages.blank import make_blank
from ribwright.stages.blank_inverse import inverse_blank
from ribwright.stages.block import make_block
from ribwright.stages.crew import Crew
from ribwright.stages.formed_mesh import mesh_part
from ribwright.stages.groove import FaceGroove
from ribwright.stages.job import take_in
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.setup_answer import setup_answer
from ribwright.stages.strain_map import strain_map
from ribwright.stages.why import why

SHOP = example_shop()
POINTS = ((60.0, 40.0), (110.0, 40.0), (140.0, 55.0))


def bead(points: object = POINTS, width: float = 16, depth: float = 1.5, more: str = "edge_radius = 3.2") -> str:
    rows = [list(p) for p in points]  # type: ignore[attr-defined]
    return f'[[bead]]\npoints = {rows}\nsection = "round"\nwidth = {width}\ndepth = {depth}\n{more}\n'


def part(extra: str, **changes: object) -> str:
    return box(t=0.8, radius=4.0, material="2024-T3 clad", extra=extra, **changes)  # type: ignore[arg-type]


def codes(text: str) -> dict[str, str]:
    plan = make_plan(job_of(text))
    return {f.code: f.severity for f in plan.findings if f.code.startswith("bead")}


@cache
def seat_web(press: str) -> Plan:
    job = take_in(read_part(EXAMPLES / "Q7-3310-1.part.toml"), SHOP, load_catalogue(), "Q7-3310-1")
    return make_plan(job, next(p for p in SHOP.presses if p.id == press))


def test_the_seat_web_is_not_filled_on_the_bench_press_by_more_than_the_pad_is_uncertain() -> None:
    plan = seat_web("P1")
    stops = [f for f in plan.findings if f.severity == "stop"]
    assert {(f.code, f.where["bead"]) for f in stops} == {("bead-not-filled", n) for n in ("1", "2", "3")}
    setup = plan.setup
    assert setup is not None
    for b in setup.beads:
        assert b.form.loose > setup.available
        assert b.need.low > setup.available
    assert setup.pump_pressure is None


def test_a_bead_that_is_not_filled_names_the_presses_of_the_shop_that_would_fill_it() -> None:
    stop = next(f for f in seat_web("P1").findings if f.code == "bead-not-filled")
    filled = [
        p.id
        for p in SHOP.presses
        if not [
            f
            for f in make_plan(seat_web("P1").job, p).findings
            if f.code == "bead-not-filled" and f.where == stop.where
        ]
    ]
    assert filled
    assert f"{' and '.join(filled)} give" in stop.try_


@pytest.mark.parametrize(
    ("press", "words"), [("P1", "cannot fill that bead"), ("P2", "the last bead should be filled")]
)
def test_where_a_bead_asks_for_most_the_set_up_speaks_of_the_bead(press: str, words: str) -> None:
    plan = seat_web(press)
    assert plan.setup is not None
    text = "\n".join(
        [*screen.BODIES["setup"](setup_answer(plan.setup), "in"), *(w for _, w in steps(plan, plan.setup))]
    )
    text += " ".join(f"{box.label} {box.by}" for box in press_numbers(plan.setup))
    assert words in text
    assert "last flange" not in text
    assert "that flange" not in text


def test_the_power_press_fills_it_and_its_beads_govern_the_pressure() -> None:
    plan = seat_web("P2")
    assert not [f for f in plan.findings if f.severity == "stop" or f.code.startswith("bead")]
    setup = plan.setup
    assert setup is not None
    assert setup.governed is not None
    assert setup.governed.where["bead"] in {"1", "2", "3"}
    assert setup.needed is not None
    assert setup.pump_pressure == pytest.approx(setup.needed.high)
    assert all(d.need.value < setup.needed.value for d in setup.demands)


def test_a_plan_tells_which_bead_it_is_at_and_ends_where_the_one_who_hears_it_ends_it() -> None:
    job, heard = job_of(part(bead())), list[str]()
    make_plan(job, crew=Crew(1, heard.append))
    assert heard == [f"bead 1: pressure that fills it, {i} of 3" for i in (1, 2, 3)]

    def end(words: str) -> None:
        raise KeyboardInterrupt(words)

    with pytest.raises(KeyboardInterrupt, match="bead 1"):
        make_plan(job, crew=Crew(1, end))


def test_a_fluid_takes_nothing_to_follow_and_a_harder_pad_more() -> None:
    job = job_of(part(bead()))
    blank, press = make_blank(job), SHOP.presses[1]
    rubbers = []
    for p in (replace(press, kind="fluid"), press, replace(press, pad=replace(press.pad, shore_a=80.0))):
        (b,) = bead_demands(job, blank, p, 20.0)
        rubbers.append(b.rubber)
        assert b.need.value == pytest.approx(b.form.held + b.rubber)
        assert b.need.low < b.need.value < b.need.high
    assert rubbers[0] == 0.0 < rubbers[1] < rubbers[2]


@pytest.mark.parametrize("pose", ["mirror", "turn", "inch"])
def test_a_mirror_a_turn_or_inches_change_nothing_of_a_bead(pose: str) -> None:
    scale = 25.4 if pose == "inch" else 1.0
    here = {
        "mirror": lambda x, y: (200 - x, y),
        "turn": lambda x, y: (200 - x, 100 - y),
        "inch": lambda x, y: (x / scale, y / scale),
    }[pose]
    one = job_of(part(bead()))
    moved = bead([here(*p) for p in POINTS], 16 / scale, 1.5 / scale, f"edge_radius = {3.2 / scale}")
    text = box(
        units="in" if scale > 1 else "mm", w=200 / scale, h=100 / scale, width=15 / scale, t=0.8 / scale, radius=4.0 / scale,
        material="2024-T3 clad", extra=moved,
    )  # fmt: skip
    other = job_of(text)
    a, b = (rooms(j, make_blank(j))[0] for j in (one, other))
    assert (a.web, a.far) == pytest.approx((b.web, b.far), abs=1e-6)
    assert sorted(n.gap for n in a.near) == pytest.approx(sorted(n.gap for n in b.near), abs=1e-6)
    fa, fb = formed(one, a), formed(other, b)
    assert fa is not None
    assert fb is not None
    assert (fa.held, fa.rim, fa.stretch) == pytest.approx((fb.held, fb.rim, fb.stretch), rel=1e-4)
    ga, gb = (make_block(j, make_blank(j)).grooves[0] for j in (one, other))
    assert ga.volume == pytest.approx(gb.volume, rel=1e-9)


def test_the_groove_lies_one_thickness_under_the_sheets_upper_face_all_over() -> None:
    (shape,) = bead_shapes(job_of(part(bead(more="radius = 8\nedge_radius = 3.2"))))
    assert shape.block is not None
    assert shape.mid is not None
    assert (shape.block.edge, shape.block.bottom) == pytest.approx((3.2, 8.8))
    assert (shape.block.width, shape.block.depth, shape.block.turn) == (
        shape.mid.width,
        shape.mid.depth,
        shape.mid.turn,
    )


def test_the_block_is_as_high_as_its_grooves_ask_and_less_by_their_volume() -> None:
    plain, job = job_of(part("")), job_of(part(bead(depth=4.0, width=20)))
    block = make_block(job, make_blank(job))
    (groove,) = block.grooves
    assert isinstance(groove, FaceGroove)
    assert block.height >= groove.profile.depth + 6.0
    bare = make_block(plain, make_blank(plain))
    if bare.height == block.height:
        assert bare.volume - block.volume == pytest.approx(groove.volume)


@pytest.mark.parametrize(
    ("extra", "found"),
    [
        (bead(width=16, depth=9, more="radius = 6\nedge_radius = 4"), {"bead-section": "stop"}),
        (bead(((60.0, 40.0), (186.0, 40.0))), {"bead-near": "warn"}),
        (bead(((60.0, 40.0), (192.0, 40.0))), {"bead-runs-in": "stop"}),
        (bead(more="edge_radius = 0.5"), {"bead-radius": "stop"}),
        pytest.param(bead(more='edge_radius = 3.2\nturn = "up"'), {"bead-needs-ridge": "warn"}, marks=pytest.mark.slow),
        (bead(width=16, depth=5.5), {"bead-deep": "warn", "bead-stretch": "stop", "bead-not-solved": "warn"}),
        (bead() + bead(((60.0, 52.0), (90.0, 52.0))), {"bead-runs-in": "stop"}),
        pytest.param(bead() + bead(((60.0, 70.0), (90.0, 70.0))), {"bead-near": "warn"}, marks=pytest.mark.slow),
        (bead() + '[[hole]]\nname = "D"\nkind = "plain"\nat = [80, 60]\ndiameter = 20\n', {"bead-near": "warn"}),
    ],
)
def test_what_is_wrong_with_a_bead_is_found(extra: str, found: dict[str, str]) -> None:
    told = codes(part(extra))
    assert {k: told.get(k) for k in found} == found


def test_a_sound_bead_is_told_only_what_was_left_open() -> None:
    assert codes(part(bead())) == {"bead-radius-left-open": "note"}
    assert codes(part(bead(more="radius = 17\nedge_radius = 3.2"))) == {}


def test_a_bead_past_the_end_of_the_web_names_that_edge_alone() -> None:
    plan = make_plan(job_of(part(bead(((60.0, 40.0), (192.0, 40.0))))))
    assert [f.where["near"] for f in plan.findings if f.code == "bead-runs-in"] == ["edge east"]


def test_the_mesh_has_the_bead_and_the_flat_does_not_know_of_it() -> None:
    with_it, without = (mesh_part(j := job_of(part(x)), make_blank(j), 4.0).mesh for x in (bead(), ""))
    assert with_it is not None
    assert without is not None
    assert with_it.nodes[with_it.held, 2].min() == pytest.approx(-1.5)
    assert with_it.flat_areas.sum() == pytest.approx(without.flat_areas.sum(), rel=1e-9)
    assert with_it.areas.sum() > without.areas.sum() + 10.0


@pytest.mark.parametrize("path", [POINTS, POINTS[::-1], ((0.0, 0.0), (50.0, 0.0), (60.0, 40.0), (120.0, 40.0))])
def test_the_rim_is_a_closed_line_half_a_width_from_the_middle(path: tuple[tuple[float, float], ...]) -> None:
    """Against shapely's buffer of the middle line."""
    import shapely

    rim = Path(grooved_path.rim(np.array(path), 8.0))
    want = shapely.LineString(path).buffer(8.0, quad_segs=256)
    assert rim.area() == pytest.approx(want.area, rel=1e-4)
    assert shapely.Polygon(rim.chords(1e-3)).symmetric_difference(want).area < 0.2


def test_in_the_strain_map_a_bead_is_stretched_in_place() -> None:
    """Across its straight part the mean of the true strain over the width is that of its section's length, and none along it."""
    job = job_of(part(bead(((60.0, 40.0), (140.0, 40.0)))))
    made = strain_map(job, inverse_blank(job, make_blank(job), 4.0))
    assert made is not None
    (shape,) = bead_shapes(job)
    assert shape.mid is not None
    y = np.linspace(40 - 8 + 1e-6, 40 + 8 - 1e-6, 801)
    at = made.at_flat(np.column_stack([np.full(len(y), 100.0), y]))
    grown = np.mean(np.exp(made.major[at.triangle])) - 1
    assert grown == pytest.approx(shape.mid.length / shape.mid.width - 1, rel=0.1)
    assert np.abs(made.minor[at.triangle]).max() < 0.01
    assert not made.web[at.triangle].any()
    assert made.at_flat(np.array([[100.0, 70.0]])).major[0] == 0.0


@pytest.mark.parametrize("change", [{"width": 18.0}, {"points": ((60.0, 42.0), (110.0, 42.0), (140.0, 57.0))}])
def test_a_changed_bead_is_the_cause_of_every_number_that_moved(change: dict[str, object]) -> None:
    job = job_of(part(bead()), SHOP)
    other = replace(job, part=replace(job.part, beads=(replace(job.part.beads[0], **change),)))  # type: ignore[arg-type]
    told = why(*(book_of(j, "P2").answer for j in (job, other)))
    assert [c.key for c in told.causes] == [f"beads[0].{next(iter(change))}"]
    assert [m.path for m in told.moved if not m.because] == []
    assert any(m.path.startswith("setup.beads") for m in told.moved)
