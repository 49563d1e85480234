"""A press of the shop file: stacks of pads, gauges that read force, bolster, the shop's routine; every fault at once."""

from __future__ import annotations

import pytest

from ribwright.adapters.shop_toml import parse_shop
from ribwright.errors import InputError
from ribwright.shop.shop import Press
from ribwright.units import N_PER_SHORT_TON

PRESS = """
units = "in"
name = "a shop"
[setup]
dwell = "5 s"
lubricant = "light oil"
[[press]]
id = "P1"
kind = "manual"
force = "150 short ton"
rated_pressure = "781 psi"
source = "plate"
table = [26, 18]
daylight = 12
stroke = 10
hits = 2
lubricant = "none"
bolster = { size = [23, 15], thickness = 1.5 }
gauge = { reads = "short ton", limit = "140 short ton", due = 2031-09-01 }
pads = [
  { role = "throw", size = [20, 12], thickness = 0.25, shore_a = 50 },
  { size = [24, 16], thickness = 1.5, shore_a = 60, held = "container" },
  { size = [24, 16], thickness = 2.5, shore_a = 75, held = "container" },
]
"""


def read(text: str = PRESS) -> Press:
    found = parse_shop(text, "shop.toml").press("P1")
    assert found is not None
    return found


def faults(*pairs: tuple[str, str]) -> list[str]:
    text = PRESS
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(InputError) as error:
        parse_shop(text, "shop.toml")
    return [f.sentence() for f in error.value.faults]


ONE_PAD = 'pad = { size = [24, 16], thickness = 4, shore_a = 70, held = "container"'


def one_pad(more: str) -> str:
    head, _, _ = PRESS.partition("pads = [")
    return f"{head}{ONE_PAD}{more} }}\n"


def test_a_pads_own_modulus_and_the_strain_it_stands_may_be_given() -> None:
    pad = read(one_pad(', shear_modulus = "1.9 MPa", strain_limit = 0.35')).pad
    assert (pad.shear_modulus_mpa, pad.strain_limit) == (pytest.approx(1.9), 0.35)
    assert pad.stack[0].shear_modulus_mpa == pytest.approx(1.9)
    silent = read(one_pad("")).pad
    assert (silent.shear_modulus_mpa, silent.strain_limit) == (None, None)
    stack = read(PRESS.replace("shore_a = 75", 'shore_a = 75, shear_modulus = "400 psi"')).pad
    assert [x.shear_modulus_mpa for x in stack.stack] == [None, None, pytest.approx(2.757903, rel=1e-6)]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (", shear_modulus = 1.9", "without a unit"),
        (', shear_modulus = "0 MPa"', "above 0"),
        (", strain_limit = 0.0", "strain_limit"),
        (", strain_limit = 0.7", "up to 0.6"),
        (", strain_limit = 35", "up to 0.6"),
    ],
)
def test_a_wrong_modulus_or_limit_of_a_pad_is_one_sentence(more: str, says: str) -> None:
    with pytest.raises(InputError) as error:
        parse_shop(one_pad(more), "shop.toml")
    (fault,) = error.value.faults
    assert says in fault.sentence()


def test_a_stack_has_no_strain_limit_of_its_own() -> None:
    (said,) = faults(("shore_a = 75", "shore_a = 75, strain_limit = 0.3"))
    assert "strain_limit" in said


def test_a_stack_arrives_next_to_the_work_first() -> None:
    pad = read().pad
    assert [(x.role, x.shore_a) for x in pad.stack] == [("throw", 50), ("pad", 60), ("pad", 75)]
    assert pad.thickness_mm == pytest.approx(4.25 * 25.4)
    assert pad.held_mm == pytest.approx(4 * 25.4)
    assert pad.size_mm == pytest.approx((24 * 25.4, 16 * 25.4))
    assert (pad.shore_a, pad.held) == (50, "container")


def test_a_gauge_that_reads_force_needs_no_ram_area() -> None:
    press = read()
    assert press.gauge is None
    assert press.force_gauge is not None
    assert press.force_gauge.limit_n == pytest.approx(140 * N_PER_SHORT_TON)
    assert (press.force_gauge.reads, press.gauge_due) == ("short ton", "2031-09-01")


def test_the_press_says_its_own_and_the_shop_the_rest() -> None:
    routine = read().routine
    assert (routine.dwell_s, routine.hits, routine.lubricant, routine.cover_plate) == (5.0, 2, "none", "")
    silent = read(PRESS.replace('dwell = "5 s"\n', "")).routine
    assert silent.dwell_s is None


def test_a_fluid_press_needs_no_hardness() -> None:
    text = PRESS[: PRESS.index("pads = [")].replace('"manual"', '"fluid"')
    press = read(text + "pad = { size = [24, 16], thickness = 2 }\n")
    assert (press.kind, press.pad.thickness_mm) == ("fluid", pytest.approx(50.8))


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("shore_a = 75", "shore_d = 55", "pads[3].shore_d", "not from Shore D"),
        ("shore_a = 75", "shore_a = 100", "pads[3].shore_a", "up to 99"),
        ('size = [24, 16], thickness = 1.5', 'size = [24, 15], thickness = 1.5', "pads", "one size"),
        ('shore_a = 60, held = "container"', 'shore_a = 60, held = "loose"', "pads", "held the same way"),
        ('thickness = 2.5, shore_a = 75, held = "container"', 'thickness = 2.5, shore_a = 75, role = "throw"', "pads", "throw"),
        ('role = "throw", size', 'role = "throw", held = "loose", size', "pads[1].held", "lies loose on the blank"),
        ('role = "throw"', 'role = "thrown"', "pads[1].role", "did you mean 'throw'"),
        ("thickness = 0.25", "thickness = 0", "pads[1].thickness", "above 0"),
        ('kind = "manual"', 'kind = "fluid"', "pads", "diaphragm"),
        ('reads = "short ton"', 'reads = "tonf"', "gauge.reads", '"short ton"'),
        ('reads = "short ton"', 'reads = "ton"', "gauge.reads", 'which ton: "short ton", "long ton", "metric ton"'),
        ('reads = "short ton"', 'reads = "US tons"', "gauge.reads", "did you mean 'short ton'"),
        ("size = [23, 15]", "size = [23, 19]", "bolster.size", "no larger than the press's table, 26 in by 18 in"),
        ("size = [23, 15]", "size = [15, 26.1]", "bolster.size", "no larger than the press's table"),
        ('limit = "140 short ton"', 'limit = "5000 psi"', "gauge.limit", "a force like"),
        ('reads = "short ton"', 'ram_area = "60 in2", reads = "short ton"', "gauge.ram_area", "needs none"),
        ("hits = 2", "hits = 0", "hits", "whole number from 1"),
        ("hits = 2", 'dwell = "0 s"', "dwell", "above 0"),
        ("hits = 2", "dwell = 5", "dwell", "without a unit"),
        ("thickness = 1.5 }", "thickness = -1 }", "bolster.thickness", "above 0"),
    ],
)  # fmt: skip
def test_a_slip_is_named_with_its_place_and_what_is_allowed(old: str, new: str, key: str, words: str) -> None:
    said = [s for s in faults((old, new)) if s.startswith(f"shop.toml: press[1].{key}: found ")]
    assert len(said) == 1
    assert words in said[0]


@pytest.mark.parametrize("face", ['"tonne-ish"', '"ton"', "7", '"psy"'])
def test_a_wrong_face_of_the_gauge_is_one_fault_alone(face: str) -> None:
    """Whether the area behind the gauge is needed hangs on the face."""
    area = 'ram_area = "60 in2", limit = "5000 psi"'
    for line in ('limit = "140 short ton"', area):
        said = faults(('reads = "short ton", limit = "140 short ton"', f"reads = {face}, {line}"))
        assert len(said) == 1
        assert said[0].startswith("shop.toml: press[1].gauge.reads: found ")


@pytest.mark.parametrize("held", ["container", "loose"])
def test_a_pad_in_a_container_is_no_larger_than_the_table(held: str) -> None:
    text = PRESS[: PRESS.index("pads = [")]
    wide = 'pad = {{ size = [{0}], thickness = 4, shore_a = 70, held = "{1}" }}\n'
    assert read(text + wide.format("18, 26", held)).pad.held == held
    if held == "loose":
        assert read(text + wide.format("26.1, 18", held)).pad.held == held
        return
    with pytest.raises(InputError) as error:
        parse_shop(text + wide.format("26.1, 18", held), "shop.toml")
    assert [f.sentence() for f in error.value.faults] == [
        "shop.toml: press[1].pad.size: found 26.1 in by 18 in; allowed: no larger than the press's table, 26 in by 18 in"
    ]


def test_a_stack_has_at_most_ten_layers() -> None:
    layer = '  { size = [24, 16], thickness = 0.25, shore_a = 75, held = "container" },\n'
    assert len(read(PRESS.replace("\n]\n", "\n" + 7 * layer + "]\n")).pad.stack) == 10
    said = faults(("\n]\n", "\n" + 8 * layer + "]\n"))
    assert said == ["shop.toml: press[1].pads: found 11 layers; allowed: a stack of at most 10 layers"]


def test_one_pad_and_a_stack_together_are_refused() -> None:
    one = 'pad = { size = [24, 16], thickness = 4, shore_a = 70, held = "container" }\npads = ['
    assert any("press[1].pads: found pad and pads" in s for s in faults(("pads = [", one)))


def test_all_slips_of_a_press_are_told_at_once() -> None:
    said = faults(("hits = 2", "hits = 0"), ("shore_a = 50", "shore_a = 500"), ('dwell = "5 s"', 'dwel = "5 s"'))
    assert len(said) == 3
    assert any("setup.dwel" in s and "did you mean 'dwell'" in s for s in said)


def test_a_stack_of_throw_pads_alone_is_refused() -> None:
    only = PRESS[: PRESS.index("  { size = [24")] + "]\n"
    with pytest.raises(InputError) as error:
        parse_shop(only)
    assert "at least one layer without role" in error.value.faults[0].sentence()
