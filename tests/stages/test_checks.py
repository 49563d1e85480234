"""Findings: each fault alone brings its finding, its clean twin does not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from building import box, example_shop, job_of
from ribwright.shop.shop import Press, Shop
from ribwright.stages.finding import Finding
from ribwright.stages.plan import make_plan

PINS = (
    '[[hole]]\nname = "P1"\nkind = "tooling"\nat = [30, 50]\ndiameter = 5\npin_fit = 0.1\n'
    '[[hole]]\nname = "P2"\nkind = "tooling"\nat = [170, {y}]\ndiameter = {d}\npin_fit = 0.1\n'
)
THIRD = '[[hole]]\nname = "P3"\nkind = "tooling"\nat = [110, 25]\ndiameter = 5\npin_fit = 0.1\n'


def press(pid: str = "P1") -> Press:
    found = example_shop().press(pid)
    assert found is not None
    return found


def found(text: str, on: Press | None = None, shop: Shop | None = None) -> dict[str, Finding]:
    """Findings of a part text by code."""
    return {f.code: f for f in make_plan(job_of(text, shop), on).findings}


def test_a_radius_under_the_table_stops_and_the_same_sheet_annealed_does_not() -> None:
    """AC 43.13-1B table 4-6: 2024-T3 of 1.0 mm needs 3 t to 5 t, annealed 0 to 1 t."""
    hard = found(box(material="2024-T3", radius=1.5))
    assert hard["bend-radius"].severity == "stop"
    assert hard["bend-radius"].margin < 0
    assert "bend-radius" not in found(box(material="2024-O", radius=1.5))


def test_a_radius_inside_a_printed_range_is_a_warning() -> None:
    """2024-T3 of 1.0 mm: the column 0.064 in prints 3 to 5 t, so 4 mm is inside the range and 5 mm meets it."""
    assert found(box(material="2024-T3", radius=4))["bend-radius-in-range"].severity == "warn"
    assert "bend-radius-in-range" not in found(box(material="2024-T3", radius=5, width=20))


ARC = (
    'units = "mm"\n[part]\nnumber = "T"\nrevision = "A"\ntitle = "t"\nhand = "none"\n[sheet]\nmaterial = "{m}"\n'
    'thickness = 1\n[web]\nline = "bend-tangent-line"\nstart = [-100, 0]\n'
    '[[web.edge]]\nname = "base"\nthrough = [0, {rise}]\nto = [100, 0]\nflange = "f"\n'
    '[[web.edge]]\nname = "right"\nto = [100, 150]\n[[web.edge]]\nname = "top"\nto = [-100, 150]\n'
    '[[web.edge]]\nname = "left"\nto = [-100, 0]\n[flange.f]\nwidth = {w}\nbend_angle = 90\nbend_radius = 3\n'
)


def test_a_concave_edge_that_stretches_past_its_limit_stops() -> None:
    """Chord 200, rise 50: R 125. Width 24: h/(R-h) is near 20 %, limit of 2024-O 12 %."""
    bad = found(ARC.format(m="2024-O", rise=50, w=24))["stretch-limit"]
    assert bad.severity == "stop"
    assert bad.unit == "engineering strain"
    assert bad.where["edge"] == "base"
    assert bad.where["along_mm"] > 0
    assert "stretch-limit" not in found(ARC.format(m="2024-O", rise=50, w=12))


def test_a_convex_edge_wrinkles_first_and_folds_when_it_is_tight() -> None:
    assert found(ARC.format(m="2024-O", rise=-20, w=16))["shrink-wrinkles"].severity == "warn"
    tight = found(ARC.format(m="2024-O", rise=-95, w=24))
    assert tight["shrink-limit"].severity == "stop"


def test_a_hole_rim_past_its_limit_stops_and_a_larger_cut_hole_does_not() -> None:
    hole = (
        '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = {c}\nbend_angle = 60\n'
        "bend_radius = 3\n"
    )
    assert found(box() + hole.format(c=22))["hole-edge-limit"].severity == "stop"
    assert "hole-edge-limit" not in found(box() + hole.format(c=32))


def test_two_equal_pins_on_the_line_of_symmetry_stop_and_a_third_pin_helps() -> None:
    """The blank is its own mirror image about y = 50: flipped, it looks right."""
    sym = box(flanges=(True, False, True, False))
    assert found(sym + PINS.format(y=50, d=5))["wrong-laying"].severity == "stop"
    assert "wrong-laying" not in found(sym + PINS.format(y=50, d=5) + THIRD)


def test_a_wrong_laying_that_stands_off_the_block_is_a_warning() -> None:
    odd = found(box(flanges=(True, False, False, False)) + PINS.format(y=60, d=5))
    assert "wrong-laying" not in odd
    assert odd["wrong-laying-seen"].severity == "warn"
    assert odd["wrong-laying-seen"].value >= 6


def test_two_pin_sizes_exclude_the_half_turn() -> None:
    turned = [f.say for f in make_plan(job_of(box() + PINS.format(y=50, d=8))).findings if "turned 180" in f.say]
    assert not [s for s in turned if "flipped" not in s]
    same = [f.say for f in make_plan(job_of(box() + PINS.format(y=50, d=5))).findings if "turned 180" in f.say]
    assert [s for s in same if "flipped" not in s]


def test_one_pin_stops_and_no_pin_warns() -> None:
    one = PINS.split("[[hole]]")[1]
    assert found(box() + "[[hole]]" + one)["one-pin-turns"].severity == "stop"
    assert found(box())["pins-missing"].severity == "warn"


def test_a_press_that_cannot_close_the_flange_stops_with_the_shortest_it_can() -> None:
    short = box(width=6.5, t=1.0, radius=3, material="2024-T3")
    f = found(short, press("P1"))["pressure-short"]
    assert f.severity == "stop"
    assert "shortest straight part" in f.say or "takes up all" in f.say
    assert "pressure-short" not in found(box(width=20, t=0.5, radius=2, material="2024-O"), press("P2"))


def test_a_block_longer_than_the_pad_stops() -> None:
    assert found(box(w=640, h=100), press("P1"))["pad-overhang"].severity == "stop"
    assert "pad-overhang" not in found(box(w=500, h=100), press("P1"))


def test_block_material_is_the_first_that_stands_the_pressure() -> None:
    shop = example_shop()
    plan = make_plan(job_of(box(width=9, t=1.0), shop), press("P2"))
    assert plan.setup is not None
    assert plan.block.material is not None
    assert plan.block.material.pressure_limit_mpa >= plan.setup.pump_pressure
    weaker = [m for m in shop.block_materials if m.pressure_limit_mpa < plan.setup.pump_pressure]
    assert shop.block_materials.index(plan.block.material) >= len(weaker)


def test_a_press_past_its_rating_gets_no_gauge_reading() -> None:
    short = box(width=6.5, t=1.0, radius=3, material="2024-T3")
    s = make_plan(job_of(short, example_shop()), press("P1")).setup
    assert s is not None
    assert s.needed.value > s.available
    assert s.gauge_mpa is None
    assert s.pump_gauge_mpa is None


def test_the_gauge_never_passes_the_least_of_its_three_limits() -> None:
    for pid in ("P1", "P2", "P3"):
        p = press(pid)
        s = make_plan(job_of(box(width=20, t=0.5, radius=2), example_shop()), p).setup
        ram = p.gauge.ram_area_mm2
        opening = p.pad.size_mm[0] * p.pad.size_mm[1]
        assert s.gauge_limit_mpa == pytest.approx(
            min(p.gauge.limit_mpa, p.rated_pressure_mpa * opening / ram, p.force_n / ram)
        )
        assert s.pump_gauge_mpa <= s.gauge_limit_mpa * (1 + 1e-9)
        assert s.gauge_mpa == pytest.approx(s.needed.value * opening / ram)


def test_a_loose_pad_gives_a_small_block_more_pressure() -> None:
    p = press("P1")
    loose = replace(p, pad=replace(p.pad, held="loose"), rated_pressure_mpa=1e3)
    small, large = (make_plan(job_of(box(w=w, h=100), example_shop()), loose).setup for w in (120, 300))
    assert small.available > large.available


def test_an_unknown_temper_is_said_and_not_guessed() -> None:
    f = found(box().replace('material = "2024-O"', 'material = "2024-O"\nformed_in = "W"'))["temper-unknown"]
    assert f.severity == "stop"
    assert "do not know" in f.say


def test_mixed_turns_ask_for_two_hits() -> None:
    text = box().replace(
        'name = "north"\nto = [0.0, 100.0]\nflange = "f"', 'name = "north"\nto = [0.0, 100.0]\nflange = "g"'
    )
    text += '[flange.g]\nwidth = 15\nbend_angle = 90\nbend_radius = 3\nturn = "up"\n'
    assert found(text)["two-hits"].severity == "stop"


def test_a_corner_without_relief_overlaps() -> None:
    corner = '[[corner]]\nat = ["south", "east"]\nrelief = "none"\n'
    assert found(box() + corner)["corner-overlap"].severity == "stop"


def test_a_relief_hole_that_misses_the_corner_stops_and_a_small_one_warns() -> None:
    corner = '[[corner]]\nat = ["south", "east"]\nrelief = "hole"\ndiameter = {d}\nset_back = {b}\n'
    assert found(box() + corner.format(d=3, b=2))["relief-misses-corner"].severity == "stop"
    assert found(box() + corner.format(d=3, b=0))["relief-small"].severity == "warn"
    assert "relief-small" not in found(box() + corner.format(d=6.5, b=0))


def test_flanges_at_a_re_entrant_corner_claim_the_same_sheet() -> None:
    head = box(flanges=(False, False, False, False))
    start = head.index("[[web.edge]]")
    points = [
        ("a", [200, 0], ""),
        ("b", [200, 50], ""),
        ("c", [100, 50], "f"),
        ("d", [100, 100], "f"),
        ("e", [0, 100], ""),
    ]
    points.append(("g", [0, 0], ""))
    body = "".join(f'[[web.edge]]\nname = "{n}"\nto = {p}\n' + ('flange = "f"\n' if f else "") for n, p, f in points)
    codes = found(head[:start] + body + head[head.index("[flange.f]") :])
    assert codes["flat-overlap"].severity == "stop"
    assert "100" in codes["flat-overlap"].say or "10" in codes["flat-overlap"].say


def test_a_hole_in_the_bend_stops_and_one_beside_it_warns() -> None:
    hole = '[[hole]]\nname = "H"\nkind = "plain"\nat = [100, {y}]\ndiameter = 6\n'
    assert found(box() + hole.format(y=6.5))["hole-in-bend"].severity == "stop"
    assert found(box() + hole.format(y=8))["hole-near-bend"].severity == "warn"
    assert "hole-near-bend" not in found(box() + hole.format(y=20))


def test_no_release_without_data_person_and_date() -> None:
    assert found(box())["no-release"].severity == "warn"
    approval = '[approval]\ndata = "Drawing T"\nby = "A. Person"\ndate = "2031-01-02"\n'
    assert "no-release" not in found(box() + approval)


RECESS = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = 28\nbend_angle = 45\n'
    "bend_radius = 3\n"
)
OPPOSITE = ('hand = "none"', 'hand = "left"\nopposite = "T-2"')


def test_a_hole_flange_on_a_block_without_undercut_is_said_to_come_out_open() -> None:
    job = job_of(box(flanges=(False,) * 4) + RECESS + '[block]\nundercut = "none"\n')
    bad = [f for f in make_plan(job).findings if f.code == "undercut-leaves-angle"]
    assert [f.where for f in bad] == [{"hole": "L"}]
    assert bad[0].value == pytest.approx(abs(make_plan(job).block.recesses[0].remaining))
    assert "undercut-leaves-angle" not in found(box() + RECESS)


def test_a_web_too_narrow_for_a_cover_plate_is_noted() -> None:
    narrow = found(box(h=9, width=8, radius=2, flanges=(True, False, True, False)))
    assert narrow["cover-plate-none"].severity == "note"
    assert "cover-plate-none" not in found(box())


def test_an_opposite_hand_that_the_block_does_not_form_is_noted_with_the_first_reason() -> None:
    """A symmetric box serves both hands; flanged on two neighbours it does not; without an opposite nobody asks."""
    lopsided = box(flanges=(True, True, False, False))
    note = found(lopsided.replace(*OPPOSITE))["block-not-reversible"]
    assert note.severity == "note"
    assert "T-2" in note.say
    assert "south" in note.say
    assert "block-not-reversible" not in found(box().replace(*OPPOSITE))
    assert "block-not-reversible" not in found(lopsided)
