"""Flutes: what an edge must lose, places that are planned, drawn ones judged; the same on the same metal however it is drawn."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, pi, sin

import numpy as np
import pytest

from building import EXAMPLES, RandomPart, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.errors import InputError
from ribwright.stages.blank import make_blank
from ribwright.stages.block import make_block
from ribwright.stages.checks import fluting
from ribwright.stages.checks.context import Looked
from ribwright.stages.finding import Finding
from ribwright.stages.flute_answer import flute_tables
from ribwright.stages.flute_grooves import groove_name, with_grooves
from ribwright.stages.flutes import Fluting, PlacedFlute, fluting_of
from ribwright.stages.formed_mesh import mesh_part
from ribwright.stages.groove import wall_of_edge
from ribwright.stages.job import Job, take_in
from ribwright.stages.plan import make_plan

PLAN, DRAWN = 'flutes = "plan"\n', 'flutes = "drawn"\n'
RADIUS = 400.0  # of the sector's drawn arc


def flutes_of(job: Job) -> Fluting:
    return fluting_of(job, make_blank(job))


def found(job: Job) -> dict[str, list[Finding]]:
    blank = make_blank(job)
    out: dict[str, list[Finding]] = {}
    for f in fluting.findings(Looked(job, blank, make_block(job, blank))):
        out.setdefault(f.code, []).append(f)
    return out


def sector(flutes: str = PLAN, extra: str = "", material: str = "2024-O", width: float = 16.0) -> Job:
    """A sector of 60 deg whose arc, 418.9 mm long, has a flange."""
    a, b = ((RADIUS * cos(t), RADIUS * sin(t)) for t in (pi / 3, 2 * pi / 3))
    text = (
        box(flanges=(False,) * 4, material=material)
        .split("[[web.edge]]")[0]
        .replace("start = [0.0, 0.0]", f"start = {list(a)}")
    )
    text += f'[[web.edge]]\nname = "arc"\nthrough = [0.0, {RADIUS}]\nto = {list(b)}\nflange = "f"\n'
    text += f'[[web.edge]]\nname = "left"\nto = [0.0, 100.0]\n[[web.edge]]\nname = "right"\nto = {list(a)}\n'
    text += f"[flange.f]\nwidth = {width}\nbend_angle = 90\nbend_radius = 3.0\n{flutes}"
    return job_of(text + extra)


def drawn(*places: float, width: float = 10.16, depth: float = 2.0, extra: str = "", **more: object) -> Job:
    tables = "".join(f'[[flute]]\nedge = "arc"\nat = {x}\nwidth = {width}\ndepth = {depth}\n' for x in places)
    return sector(DRAWN, tables + extra, **more)  # type: ignore[arg-type]


def rivets(first: float, pitch: float, count: int, edge_distance: float = 5.0) -> str:
    return (
        f'[[rivets]]\nedge = "arc"\non = "flange"\nline = 9\nfirst = {first}\npitch = {pitch}\ncount = {count}\n'
        f"diameter = 2.4\nedge_distance = {edge_distance}\n"
    )


def clear_of_everything(run_flutes: tuple[PlacedFlute, ...], job: Job, tables: Fluting) -> None:
    rules = tables.rules
    for run in tables.runs:
        for f in run.flutes:
            low, high = f.reach()
            assert all(high <= z.low + 1e-6 or low >= z.high - 1e-6 for z in run.zones), f
        for a, b in zip(run.flutes, run.flutes[1:], strict=False):
            assert b.reach()[0] - a.reach()[1] >= rules.land - 1e-6
    for row in (r for r in job.part.rivets if r.on == "flange"):
        for f in (f for f in run_flutes if f.edge == row.edge):
            for i in range(row.count):
                assert abs(row.first + i * row.pitch - f.along) >= row.edge_distance + f.width / 2 - 1e-6


def test_an_arc_must_lose_its_strain_times_its_flat_length_less_what_pad_and_metal_take() -> None:
    job = sector()
    blank = make_blank(job)
    run = fluting_of(job, blank).runs[0]
    strip = blank.strips[0]
    # far from the ends the strain is one number; by hand: flat edge radius over formed edge radius
    middle = len(strip.at.along) // 2
    flat = RADIUS - strip.at.inset[middle] + strip.strip.flat_width[middle]
    e = 1 - np.exp(strip.strip.edge_strain[middle])
    assert e == pytest.approx(1 - (RADIUS - job.t / 2) / flat, abs=1e-4)
    ends = strip.at.along[-1] - strip.at.along[0]
    inner = np.interp([100.0, ends - 100.0], run.gather.x, run.gather.most)
    arc = (ends - 200.0) / RADIUS * flat
    assert inner[1] - inner[0] == pytest.approx(e * arc, rel=1e-3)
    least = np.interp([100.0, ends - 100.0], run.gather.x, run.gather.least)
    assert least[1] - least[0] == pytest.approx((e - 0.025) * arc, rel=1e-2)


def test_planned_flutes_take_half_of_both_bounds_with_the_least_number_of_the_usual_depth() -> None:
    run = flutes_of(sector()).runs[0]
    assert run.outcome == "planned"
    assert run.taken == pytest.approx((run.least + run.most) / 2, abs=1e-6)
    usual = 1.3204  # of a flute 0.40 in wide and 0.09 in deep
    assert len(run.flutes) == int(np.ceil(run.taken / usual))
    assert all(f.width == pytest.approx(10.16) and f.depth <= 2.286 for f in run.flutes)


def test_on_an_even_arc_flutes_stand_evenly_and_each_serves_its_own_share() -> None:
    run = flutes_of(sector()).runs[0]
    steps = np.diff([f.along for f in run.flutes])
    assert steps[2:-2] == pytest.approx(float(np.median(steps)), rel=2e-3)
    assert [f.share for f in run.flutes] == pytest.approx([run.taken / len(run.flutes)] * len(run.flutes), rel=0.05)
    assert run.miss == pytest.approx(run.taken / len(run.flutes) / 2, rel=1e-6)


@pytest.mark.parametrize("pitch", [25.4, 31.0, 60.0])
def test_planned_flutes_stand_clear_of_rivets_and_ends(pitch: float) -> None:
    job = sector(extra=rivets(12.0, pitch, int(400 // pitch)))
    tables = flutes_of(job)
    assert tables.runs[0].outcome == "planned"
    clear_of_everything(tables.flutes, job, tables)
    assert set(found(job)) == {"flutes-planned"}


def test_where_the_usual_flute_finds_no_room_between_rivets_a_narrower_one_is_planned() -> None:
    job = sector(extra=rivets(8.0, 18.0, 23), width=12.0)
    tables = flutes_of(job)
    assert tables.runs[0].outcome == "planned"
    assert {round(f.width, 2) for f in tables.flutes} < {8.89, 7.62, 6.35}
    clear_of_everything(tables.flutes, job, tables)
    assert tables.runs[0].taken >= tables.runs[0].least


def test_a_rivet_pitch_that_leaves_no_room_stops_and_names_the_longest_clear_stretch() -> None:
    stop = found(sector(extra=rivets(6.0, 14.0, 30)))["flutes-no-room"][0]
    assert stop.severity == "stop"
    assert stop.value == pytest.approx(4.0)
    assert stop.limit == pytest.approx(6.35)
    assert "0.157 in" in stop.say or "4.00 mm" in stop.say


def test_without_room_an_edge_that_pad_and_metal_can_take_is_left_to_the_hand() -> None:
    codes = found(sector(extra=rivets(6.0, 14.0, 30), width=8.0))
    assert set(codes) == {"flutes-left-out"}
    assert codes["flutes-left-out"][0].severity == "warn"


def test_notches_and_steps_of_joggles_are_kept_clear() -> None:
    job = sector()
    more = parse_part('units = "mm"\n' + "".join(f"[[{k}]]\n{v}\n" for k, v in DETAILS.items()) + _text_of(), "t", None)
    job = replace(job, part=replace(job.part, notches=more.notches, joggles=more.joggles))
    tables = flutes_of(job)
    kinds = {z.kind for z in tables.runs[0].zones}
    assert kinds == {"end", "notch", "joggle"}
    clear_of_everything(tables.flutes, job, tables)
    reach = [f.reach() for f in tables.flutes]
    assert all(high <= 180 or low >= 220 for low, high in reach)  # the notch
    for low, high in ((300.0, 310.0), (340.0, 350.0)):  # the two steps
        assert all(b <= low - tables.rules.end + 1e-6 or a >= high + tables.rules.end - 1e-6 for a, b in reach)


DETAILS = {
    "notch": 'edge = "arc"\nat = 200\nwidth = 24\ndepth = 5\nflange_gap = 2',
    "joggle": 'edge = "arc"\nfrom = 300\nto = 350\ndepth = 1\nlength = 10',
}


def _text_of() -> str:
    """The sector's own text without its first line of units."""
    a, b = ((RADIUS * cos(t), RADIUS * sin(t)) for t in (pi / 3, 2 * pi / 3))
    head = '[part]\nnumber = "T"\nrevision = "A"\n[sheet]\nmaterial = "2024-O"\nthickness = 1.0\n[web]\nline = "outside-mold-line"\n'
    return (
        head
        + f'start = {list(a)}\n[[web.edge]]\nname = "arc"\nthrough = [0.0, {RADIUS}]\nto = {list(b)}\nflange = "f"\n'
        + f'[[web.edge]]\nname = "left"\nto = [0.0, 100.0]\n[[web.edge]]\nname = "right"\nto = {list(a)}\n'
        + "[flange.f]\nwidth = 16.0\nbend_angle = 90\nbend_radius = 3.0\n"
    )


def test_a_straight_edge_needs_no_flutes_and_says_so() -> None:
    codes = found(job_of(box() + PLAN))
    assert set(codes) == {"flutes-not-needed"}


# drawn flutes


def test_a_flute_on_a_rivet_stops_and_says_which_and_how_far() -> None:
    stops = found(drawn(50.0, 100.0, 152.0, extra=rivets(50.0, 51.0, 7)))["flute-on-rivet"]
    assert [(f.where["flute"], f.where["rivet"]) for f in stops] == [(1, 1), (2, 2), (3, 3)]
    assert [f.value for f in stops] == pytest.approx([0.0, 1.0, 0.0])
    assert all(f.severity == "stop" and f.limit == pytest.approx(5.0 + 5.08) for f in stops)


@pytest.mark.parametrize(
    ("places", "size", "code", "value"),
    [
        ((100.0, 105.0), {}, "flutes-overlap", -5.16),
        ((100.0, 111.0), {}, "flutes-close", 0.84),
        ((100.0,), {"depth": 4.0}, "flute-deep", 4.0 / 10.16),
        ((100.0,), {"width": 6.0, "depth": 2.5, "material": "2024-T3"}, "flute-sharp", 6.0 / (4 * sin(2 * np.arctan(5 / 6))) - 0.5),
        ((8.0,), {}, "flute-near-detail", None),
        ((3.0,), {}, "flute-on-detail", None),
        ((430.0,), {}, "flute-off-edge", 430.0),
        ((100.0,), {}, "flutes-too-little", 1.0266),
        (tuple(14.0 * k for k in range(1, 29)), {"depth": 2.5}, "flutes-too-much", None),
        ((60.0, 75.0, 90.0), {}, "flutes-uneven", None),
    ],
)  # fmt: skip
def test_a_drawn_flute_that_cannot_be_is_told(
    places: tuple[float, ...], size: dict[str, object], code: str, value: float | None
) -> None:
    rows = found(drawn(*places, **size))[code]  # type: ignore[arg-type]
    assert value is None or rows[0].value == pytest.approx(value, abs=0.01)
    assert rows[0].severity == (
        "stop" if code in ("flutes-overlap", "flute-sharp", "flute-on-detail", "flute-off-edge") else "warn"
    )


def test_an_outward_flute_stops() -> None:
    job = drawn(100.0)
    job = replace(job, part=replace(job.part, flutes=tuple(replace(f, turn="up") for f in job.part.flutes)))
    assert found(job)["flute-outward"][0].severity == "stop"


def test_planned_flutes_pasted_into_the_part_file_are_judged_clean_and_stand_where_they_were() -> None:
    more = rivets(12.0, 25.4, 15)
    run = flutes_of(sector(extra=more)).runs[0]
    job = sector(DRAWN, flute_tables(run, "mm") + more)
    assert found(job) == {}
    again = flutes_of(job).runs[0]
    assert [(f.edge, f.along, f.depth) for f in again.flutes] == [
        (f.edge, pytest.approx(f.along, abs=1e-6), pytest.approx(f.depth, abs=1e-6)) for f in run.flutes
    ]
    assert again.miss == pytest.approx(run.miss, abs=1e-4)


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        (DRAWN, PLAN, "flange.f.flutes"),
        (DRAWN, "", "flange.f.flutes"),
        ('edge = "arc"', 'edge = "left"', "flute[1].edge"),
    ],
)
def test_a_flute_stands_on_a_flange_that_says_its_flutes_are_drawn(old: str, new: str, key: str) -> None:
    text = 'units = "mm"\n' + _text_of() + DRAWN + '[[flute]]\nedge = "arc"\nat = 100\nwidth = 10\ndepth = 2\n'
    parse_part(text)
    with pytest.raises(InputError) as wrong:
        parse_part(text.replace(old, new))
    assert key in [f.key for f in wrong.value.faults]


# the same on the same metal


def random_text(seed: int, scale: float = 1.0, units: str = "mm", turn: float = 0.0, mirror: bool = False) -> str:
    """A random part with rounder edges, rivets on its first flanged edge and flutes to be planned."""
    part = RandomPart(seed)
    part.flanged[0], part.bulge[0] = True, 7.0
    part.bulge = [b * 1.5 for b in part.bulge]
    text = part.text(scale, units, turn, mirror).replace("[flange.f]\n", "[flange.f]\n" + PLAN)
    size = [v / scale for v in (6.0, 15.0, 26.0, 2.4, 5.0)]
    return text + (
        f'[[rivets]]\nedge = "e0"\non = "flange"\nline = {size[0]}\nfirst = {size[1]}\npitch = {size[2]}\ncount = 4\n'
        f"diameter = {size[3]}\nedge_distance = {size[4]}\n"
    )


def places(text: str) -> list[tuple[str, float, float, float]]:
    return sorted((f.edge, f.along, f.width, f.depth) for f in flutes_of(job_of(text)).flutes)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(
    "how", [{"mirror": True}, {"turn": 1.1}, {"scale": 25.4, "units": "in"}], ids=["mirror", "turned", "inches"]
)
def test_a_part_mirrored_turned_or_in_inches_has_its_flutes_on_the_same_metal(
    seed: int, how: dict[str, object]
) -> None:
    one, other = places(random_text(seed)), places(random_text(seed, **how))  # type: ignore[arg-type]
    assert len(one) == len(other)
    for a, b in zip(one, other, strict=True):
        assert a[0] == b[0]
        assert b[1:] == pytest.approx(a[1:], abs=2e-4)


def turned_text(text: str) -> str:
    """The same outline drawn the other way round: every edge from its end to its start."""
    head, *edges = text.split("[[web.edge]]\n")
    last, *rest = edges[-1].split("[flange.f]")
    edges[-1] = last
    start = next(line for line in head.splitlines() if line.startswith("start = ")).removeprefix("start = ")
    ends = [start, *(next(x for x in e.splitlines() if x.startswith("to = ")).removeprefix("to = ") for e in edges)]
    back = [e.replace(f"to = {ends[i + 1]}", f"to = {ends[i]}") for i, e in enumerate(edges)][::-1]
    return "[[web.edge]]\n".join([head, *back]) + "[flange.f]" + "[flange.f]".join(rest)


@pytest.mark.parametrize("seed", range(6))
def test_an_outline_drawn_the_other_way_round_has_its_flutes_on_the_same_metal(seed: int) -> None:
    text = random_text(seed).partition("[[rivets]]")[0]
    job = job_of(text)
    lengths = {e.edge.name: e.curve.length for loop in make_blank(job).laid for e in loop.edges}
    here = sorted((f.edge, f.along) for f in flutes_of(job).flutes)
    there = sorted((f.edge, lengths[f.edge] - f.along) for f in flutes_of(job_of(turned_text(text))).flutes)
    assert [e for e, _ in here] == [e for e, _ in there]
    assert [x for _, x in here] == pytest.approx([x for _, x in there], abs=2e-4)


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.part.toml")), ids=lambda p: p.name.split(".")[0])
def test_no_planned_flute_of_an_example_part_touches_a_rivet_a_detail_or_its_neighbour(path: object) -> None:
    job = take_in(read_part(path), example_shop(), load_catalogue(), str(path))  # type: ignore[arg-type]
    tables = flutes_of(job)
    planned = [r for r in tables.runs if r.outcome == "planned"]
    wanted = [r for r in tables.runs if job.part.flanges[r.flange].flutes == "plan" and r.least > 0]
    assert all(r in planned for r in wanted)
    for run in planned:
        assert run.least <= run.taken <= run.most
        assert run.miss <= max(f.gather for f in run.flutes)
        for f in run.flutes:
            assert hypot(*f.normal) == pytest.approx(1.0)
    clear_of_everything(tuple(f for r in planned for f in r.flutes), job, Fluting(tuple(planned), tables.rules))


def free_edge_length(job: Job, pressed: bool = True) -> float:
    """Length of the arc's free edge in the formed mesh: of its boundary edges that lie in the flange's last row."""
    blank = make_blank(job)
    meshed = mesh_part(job, blank, flutes=fluting_of(job, blank).flutes if pressed else ())
    assert meshed.mesh is not None, meshed.findings
    m = meshed.mesh
    t = m.triangles
    sides = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    rows, count = np.unique(sides, axis=0, return_counts=True)
    rim = rows[count == 1]
    down = m.nodes[:, 2].min() + 1.0  # a flange that turns down: its free edge lies lowest
    low = (m.nodes[rim, 2] < down).all(axis=1)
    a, b = m.nodes[rim[low, 0]], m.nodes[rim[low, 1]]
    return float(np.linalg.norm(a - b, axis=1).sum())


@pytest.mark.parametrize("depth", [1.0, 2.0])
def test_the_free_edge_of_the_formed_mesh_is_longer_by_what_drawn_flutes_gather(depth: float) -> None:
    plain = free_edge_length(sector('flutes = "none"\n'))
    fluted = drawn(80.0, 200.0, 310.0, depth=depth)
    # pressed towards the middle of the curve, a section is shorter than on a straight edge by its area over the radius
    half = 2 * np.arctan(2 * depth / 10.16)
    arc = 10.16 / 2 / np.sin(half)
    lost = arc**2 * (half - sin(half) * cos(half)) / (RADIUS - 0.5)
    gathered = sum(f.gather - lost for f in flutes_of(fluted).flutes)
    assert free_edge_length(fluted) - plain == pytest.approx(gathered, rel=0.02)


def test_the_mesh_that_a_blank_is_found_on_is_that_of_the_plain_flange() -> None:
    fluted, plain = drawn(80.0, 200.0, 310.0), sector('flutes = "none"\n')
    assert free_edge_length(fluted, pressed=False) == pytest.approx(free_edge_length(plain), abs=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_the_block_has_a_groove_as_wide_and_deep_as_each_flute_where_the_free_edge_lies(seed: int) -> None:
    job = job_of(random_text(seed))
    blank = make_blank(job)
    tables = fluting_of(job, blank)
    plain = make_block(job, blank)
    block = with_grooves(plain, tables)
    assert [g.name for g in block.grooves] == [groove_name(f) for f in tables.flutes]
    for f, g in zip(tables.flutes, block.grooves, strict=True):
        strip, i = blank.strip_of(f.edge)
        edge = blank.laid[strip.loop].edges[i]
        s = np.array([edge.along(np.array([f.along]))[0]])
        wall = wall_of_edge(block.walls, f.edge)
        angle, radius = (float(v[0]) for v in wall.at(s))
        free = radius * (1 - cos(angle)) + float(edge.leg(s)[0]) * sin(angle)
        across = g.outline(free) @ g.along
        deep = g.outline(free) @ g.inward
        line = wall.line(free).point(s)[0] @ g.inward
        assert deep.max() - line == pytest.approx(f.depth / sin(angle), abs=0.02)
        inside = across[deep >= line - 1e-6]
        assert np.ptp(inside) == pytest.approx(f.width, rel=0.05)
    assert plain.volume - block.volume == pytest.approx(sum(g.volume for g in block.grooves), rel=1e-9)
    assert all(
        0 < g.volume < f.width * f.depth * block.height * 2 for f, g in zip(tables.flutes, block.grooves, strict=True)
    )


def test_a_flute_that_no_groove_can_be_cut_for_stops() -> None:
    job = drawn(100.0, width=4.0, depth=6.0)
    codes = {f.code for f in make_plan(job).findings}
    assert "flute-not-cut" in codes
