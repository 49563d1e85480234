"""Every number of every answer opens: with formula or file, inputs, keys that change it; what is closed is evaluated again."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from _pytest.mark import ParameterSet

import ribwright
from answering import book, book_of
from building import EXAMPLES, RandomPart, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.errors import InputError
from ribwright.shop.shop import ForceGauge, PadLayer, Shop
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.explanation import ORIGINS, Explanation
from ribwright.stages.explain.finding_codes import CODES
from ribwright.stages.explain.paths import at, named, numbers, resolved
from ribwright.stages.job import Job, take_in

SHOP = example_shop()
HOLE = (
    '[[hole]]\nname = "G"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\n{given}\nbend_angle = 45\nbend_radius = 3\n'
    'turn = "{turn}"\n'
)
BEVEL = '[[0, 84], ["end", 96]]'
SIGNED = re.compile(r"(FIXME|TODO|\?\?)")


def example(name: str, shop: Shop = SHOP) -> Job:
    return take_in(read_part(EXAMPLES / f"{name}.part.toml"), shop, load_catalogue(), name)


def with_press(**changes: object) -> Shop:
    """The example shop whose second press differs."""
    return replace(SHOP, presses=(SHOP.presses[0], replace(SHOP.presses[1], **changes), *SHOP.presses[2:]))


def loose(**pad: object) -> Shop:
    return with_press(pad=replace(SHOP.presses[1].pad, held="loose", **pad))


def asking(mm: float) -> Shop:
    """The example shop that asks the two blanks to agree within this."""
    return replace(SHOP, rules=replace(SHOP.rules, blank_agreement_mm=mm))


ARCHED = box(w=120.0, h=60.0, flanges=(True, False, False, False)).replace(
    "to = [120.0, 0.0]\n", "to = [120.0, 0.0]\nthrough = [60.0, -4.0]\n"
)
NOTCHES = "".join(
    f'[[notch]]\nedge = "{edge}"\nat = "{at} %"\nwidth = 8\ndepth = {deep}\ncorner_radius = 1\nflange_gap = 1\n'
    for edge, at, deep in (("south", 30, 8), ("south", 70, 4.5), ("west", 50, 6), ("west", 52, 6))
)
NOSE = box(w=30.0, h=60.0, width=12.7, radius=1.6, t=0.6, flanges=(True, False, False, False)).replace(
    "to = [30.0, 0.0]\n", "to = [30.0, 0.0]\nthrough = [15.0, -11.0]\n"
)
BEADS = box(
    w=300.0,
    t=0.8,
    radius=4.0,
    extra="".join(
        f'[[bead]]\npoints = {points}\nsection = "{section}"\nwidth = {w}\ndepth = {d}\n{more}turn = "{turn}"\n'
        for points, section, w, d, more, turn in (
            ([[40, 25], [100, 25], [140, 40]], "round", 16, 1.5, "", "down"),
            ([[40, 60], [100, 60]], "vee", 10, 4.2, "radius = 1\nedge_radius = 1\n", "up"),
            ([[200, 50], [296, 50]], "round", 20, 2.0, "edge_radius = 0.2\n", "down"),
            ([[40, 75], [100, 75]], "vee", 10, 2, "radius = 9\n", "down"),
        )
    )
    + '[[hole]]\nname = "D"\nkind = "plain"\nat = [120, 61]\ndiameter = 20\n',
)
STACK = (PadLayer(25.0, 60.0, "throw", (700.0, 400.0)), PadLayer(60.0, 80.0, "pad", SHOP.presses[1].pad.size_mm))
SIDE = box(
    flanges=(False, True, False, False),
    angle=75,
    extra='[[hole]]\nname = "A"\nkind = "plain"\nat = [30, 50]\ndiameter = 20\n',
)
PINS = "".join(
    f'[[hole]]\nname = "P{i}"\nkind = "tooling"\nat = [{x}, 30]\ndiameter = 5\npin_fit = 0.1\n'
    for i, x in enumerate((30, 170))
)
LIMITS = "[tolerance]\n" + "".join(
    f"{k} = {v}\n"
    for k, v in (
        ("flange_angle", 2),
        ("flange_width", 1),
        ("contour", 0.8),
        ("bend_radius", 0.5),
        ("hole_diameter", 0.5),
    )
)
SIZES = ("rim_diameter = 30", "flange_height = 8", "flat_height = 6", "cut_diameter = 30", "rim_diameter = 39.9")
# how a book is made, by its name: each is made once, when the first test asks for it
BOOKS: dict[str, Callable[[], Book]] = {
    **{
        f"{n} on {p or 'no press'}": lambda n=n, p=p: book_of(example(n), p)
        for n in ("Q7-2102-1", "Q7-2101-1", "RX-0007")
        for p in ("P1", "P2", "")
    },
    **{f"Q7-3310-1 on {p}": lambda p=p: book_of(example("Q7-3310-1"), p) for p in ("P1", "P2")},
    "beads of every kind": lambda: book(BEADS, SHOP, "P2"),
    **{f"random {i}": lambda i=i: book(RandomPart(i).text(), SHOP, "P2") for i in range(6)},
    **{f"handbook {i}": lambda i=i: book(RandomPart(i).text(), SHOP, "P3", "handbook") for i in range(6, 9)},
    **{g: lambda g=g: book(box(extra=HOLE.format(given=g, turn="down")), SHOP, "P2") for g in SIZES},
    "by balance": lambda: book(
        box(w=120.0, h=80.0, extra=HOLE.format(given=SIZES[0], turn="down").replace("[100, 50]", "[60, 40]")),
        SHOP,
        "P2",
        "inverse",
    ),
    "arcs by balance": lambda: book_of(example("Q7-2101-1"), "P2", "inverse"),
    "flat height by balance": lambda: book(
        box(w=120.0, h=80.0, extra=HOLE.format(given=SIZES[2], turn="down").replace("[100, 50]", "[60, 40]")),
        SHOP,
        "P2",
        "inverse",
    ),
    "by default, agrees": lambda: book(ARCHED, asking(0.5), "P2", "default", compare=True),
    "by default, differs": lambda: book(
        ARCHED + HOLE.format(given="flange_height = 8", turn="up").replace("[100, 50]", "[60, 32]"),
        asking(0.02),
        "P2",
        "default",
        compare=True,
    ),
    "by default, Q7-2101-1 on P1": lambda: book_of(example("Q7-2101-1"), "P1", "default", compare=True),
    "by default, exact": lambda: book(box(), SHOP, "", "default", compare=True),
    "bevel": lambda: book(box(angle=BEVEL), SHOP, "P2"),
    "one tilt an edge": lambda: book(box(angle=BEVEL, extra='[block]\nundercut = "constant-per-edge"\n'), SHOP, "P2"),
    "by the section model": lambda: book(
        box(w=120.0, h=120.0, extra=LIMITS + HOLE.format(given=SIZES[2], turn="down")), SHOP, "P2", model="section"
    ),
    "section, one tilt": lambda: book(
        box(angle=BEVEL, extra='[block]\nundercut = "constant-per-edge"\n'), SHOP, "P2", model="section"
    ),
    "no undercut": lambda: book(
        box(extra='[block]\nundercut = "none"\n' + HOLE.format(given=SIZES[0], turn="down")), SHOP, "P2"
    ),
    "unknown temper": lambda: book(
        box(material="2024-T3").replace("thickness", 'formed_in = "T9"\nthickness'), SHOP, "P2"
    ),
    "overlapping corners": lambda: book(box(extra='[[corner]]\nat = ["south", "east"]\nrelief = "none"\n'), SHOP, "P2"),
    "relief proposed": lambda: book(NOSE, SHOP),
    "notched": lambda: book(ARCHED + NOTCHES, SHOP, "P2"),
    "notched, by balance": lambda: book(ARCHED + NOTCHES, SHOP, "P2", "inverse"),
    "ring": lambda: book(box(extra=HOLE.format(given="flange_height = 8", turn="up")), SHOP, "P2"),
    "loose pad": lambda: book(box(), loose(), "P2"),
    "fluid": lambda: book(box(), with_press(kind="fluid"), "P2"),
    "no gauge": lambda: book(box(), with_press(gauge=None), "P2"),
    "own modulus": lambda: book(
        box(), with_press(pad=replace(SHOP.presses[1].pad, shear_modulus_mpa=1.6, strain_limit=0.35)), "P2"
    ),
    "stack with a modulus": lambda: book(
        box(),
        with_press(pad=replace(SHOP.presses[1].pad, layers=(STACK[0], replace(STACK[1], shear_modulus_mpa=3.1)))),
        "P2",
    ),
    "soft pad": lambda: book(box(), loose(shore_a=40.0), "P2"),
    "din": lambda: book(box(), replace(SHOP, rules=replace(SHOP.rules, bend_allowance="din-6935")), "P2", "handbook"),
    "k-factor": lambda: book(
        box(), replace(SHOP, rules=replace(SHOP.rules, bend_allowance="k-factor", k_factor=0.44)), "P2"
    ),
    "short flange": lambda: book(box(width=4.2), SHOP, "P2"),
    "toleranced": lambda: book(
        box(material="2024-T3", extra=PINS + HOLE.format(given=SIZES[0], turn="down") + LIMITS), SHOP, "P2"
    ),
    "by simple acceptance": lambda: book(
        box(extra=PINS + LIMITS), replace(SHOP, rules=replace(SHOP.rules, decision="simple")), "P2"
    ),
    "left open": lambda: book(box(width=12.0, extra=PINS + LIMITS), with_press(rated_pressure_mpa=5.0), "P2"),
    "may stay open": lambda: book(box(width=12.0, extra=PINS + LIMITS), with_press(rated_pressure_mpa=6.5), "P2"),
    "weak press": lambda: book(box(material="2024-T3"), with_press(force_n=4e5), "P2"),
    "gauge of force": lambda: book(box(), with_press(gauge=None, force_gauge=ForceGauge(3e6, "kN", "")), "P2"),
    "stack of pads": lambda: book(
        box(), with_press(pad=replace(SHOP.presses[1].pad, thickness_mm=85.0, layers=STACK)), "P2"
    ),
    "small throw pad": lambda: book(
        box(),
        with_press(pad=replace(SHOP.presses[1].pad, layers=(replace(STACK[0], size_mm=(210.0, 300.0)), STACK[1]))),
        "P2",
    ),
    "shallow container": lambda: book(box(), with_press(container_depth_mm=150.0), "P2"),
    "container that lands": lambda: book(box(), with_press(container_depth_mm=400.0, bolster=None), "P2"),
    "to the limit off centre": lambda: book(SIDE, with_press(off_centre_limit_mm=0.3, table_mm=(205.0, 100.0)), "P2"),
    "under the ram": lambda: book(SIDE, with_press(off_centre_limit_mm=0.3), "P2"),
    "off centre": lambda: book(
        SIDE, with_press(off_centre_limit_mm=0.3, pad=replace(SHOP.presses[1].pad, size_mm=(201.0, 102.0))), "P2"
    ),
}
# one of each kind; the rest adds breadth, not kinds of number
WIDE = {
    "Q7-2102-1 on P1", "Q7-2102-1 on no press", "Q7-2101-1 on P2", "Q7-2101-1 on no press", "RX-0007 on P1",
    "RX-0007 on no press", "flat height by balance",
    "by default, Q7-2101-1 on P1", "section, one tilt", *(f"random {i}" for i in (0, 2, 3, 5)), "handbook 7",
    "handbook 8",
}  # fmt: skip


@cache
def book_called(name: str) -> Book:
    return BOOKS[name]()


@cache
def opened(name: str) -> tuple[Explanation, ...]:
    """Every number of a book, opened."""
    return tuple(book_called(name).open(path) for path in numbers(book_called(name).answer))


def cases(names: Iterable[str]) -> list[ParameterSet]:
    return [pytest.param(n, marks=[pytest.mark.slow] if n in WIDE else []) for n in sorted(names)]


CASES = pytest.mark.parametrize("which", cases(BOOKS))


@CASES
def test_every_number_opens_with_formula_inputs_and_the_keys_that_change_it(which: str) -> None:
    values = numbers(book_called(which).answer)
    for (path, value), e in zip(values.items(), opened(which), strict=True):
        assert (e.path, e.value) == (path, value)
        assert e.told.what, path
        assert NOT_WRITTEN not in e.told.what, path
        assert e.told.origin in ORIGINS, path
        assert e.told.formula or e.told.origin in ("typed", "fact", "constant"), path
        assert e.told.inputs or e.changes, path
        assert e.changes or e.told.origin == "constant", path
        assert e.told.source or e.told.origin in ("typed", "constant") or path.startswith("findings"), path
        assert not SIGNED.search(str(e.as_json())), path


@CASES
def test_a_closed_formula_evaluated_from_the_listed_inputs_gives_the_number(which: str) -> None:
    claimed = [e for e in opened(which) if e.told.again is not None]
    assert len(claimed) > 50
    for e in claimed:
        # the inputs are themselves rounded to 1e-9
        assert e.told.again == pytest.approx(e.value, rel=1e-6, abs=5e-9), e.path


MUST_BE_CLOSED = (
    r"blank\.edges\[\d+\]\.(bend_allowance_mm|setback_mm)\.(min|max)",
    r"blank\.holes\[\d+\]\.(edge_strain|thickness_mm|rim_diameter_mm|flange_height_mm)",
    r"block\.undercut\[\d+\]\.(deg\.(value|low|high)|wall_angle_deg|setback_mm|edge_radius_mm|deg_rounded)",
    r"block\.height_mm",
    r"block\.recesses\[\d+\]\.(diameter|bottom_diameter|depth|edge_radius)_mm",
    r"setup\.(needed_pressure_mpa\.(value|low|high)|available_pressure_mpa)",
    r"setup\.(ram_force_n|gauge_mpa|gauge_psi|gauge_limit_psi|gauge_limit_mpa|pump_to_gauge_psi|pump_to_force_n)",
    r"findings\[\d+\]\.margin",
    r"setup\.flanges\[\d+\]\.(closing_pressure_mpa|needed_pressure_mpa\.(value|low|high))",
    r"setup\.(pad|table|daylight)_margin_mm",
    r"setup\.flanges\[\d+\]\.(left_open_deg\.(value|low|high)|released_deg\.(value|low|high)|reaches_deg\.value|margin)",
    r"setup\.flanges\[\d+\]\.(loaded_limit_deg|shortest_straight_mm|shortest_flange_mm|at_pressure_mpa)",
    r"setup\.(pad_share_mpa|stack_mm|off_centre_mm|place_mm\[\d\]|turned_deg)",
    r"setup\.container\.(pad_proud|rim_above)_mm",
    r"margins\[\d+\]\.margin",
    r"tolerances\[\d+\]\.((forecast|known_part)\.\w+|ratio|contributors\[\d+\]\.sd|chance_\w+\.\w+)",
)


@pytest.mark.parametrize("which", ["Q7-2102-1 on P2", "Q7-2101-1 on P1", "RX-0007 on P2", "random 1", "toleranced"])
def test_the_numbers_a_shop_cuts_by_are_all_evaluated_again(which: str) -> None:
    told = {e.path: e.told for e in opened(which) if any(re.fullmatch(m, e.path) for m in MUST_BE_CLOSED)}
    assert len(told) > 40
    assert [p for p, t in told.items() if t.again is None] == []


@CASES
def test_an_input_that_says_how_it_opens_opens_to_the_same_value(which: str) -> None:
    answer = book_called(which).answer
    told = [e for e in opened(which) if not re.search(r"\]\[\d+\]$", e.path) and not e.path.startswith("inputs.")]
    for e in told[:: max(1, len(told) // 200)]:
        for i in e.told.inputs:
            if i.path and not isinstance(i.value, str) and not i.path.endswith("stations[0][2]"):
                value = at(answer, resolved(answer, i.path))
                assert value == pytest.approx(i.value, rel=1e-9, abs=1e-9), (e.path, i.path)


def test_a_path_by_name_and_a_path_by_index_open_the_same_number() -> None:
    opened = book_called("Q7-2102-1 on P2")
    for path in numbers(opened.answer):
        if not path.startswith("inputs."):
            assert resolved(opened.answer, named(opened.answer, path)) == path
    assert opened.open("block.undercut[upper][1].deg").path == "block.undercut[5].deg.value"
    assert opened.open("blank.edges[rear].setback_mm").value == pytest.approx(2.921)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("blank.edges[uper].setback_mm.min", "blank.edges[upper].setback_mm.min"),
        ("block.hieght_mm", "block.height_mm"),
        ("block.undercut[upper]", "block.undercut[upper][0].along_mm"),
        ("setup.gauge", "setup.gauge_mpa"),
        ("block.undercut[99].deg", ""),
        ("blank.method", ""),
        ("", ""),
    ],
)
def test_a_wrong_path_is_answered_with_the_nearest_right_one(typed: str, meant: str) -> None:
    with pytest.raises(InputError) as wrong:
        book_called("Q7-2102-1 on P2").open(typed)
    fault = wrong.value.faults[0]
    assert fault.key == "--number"
    assert repr(typed) in fault.found
    assert meant == "" or fault.nearest == meant


def test_what_lies_outside_a_formulas_range_says_so() -> None:
    opened = book_called("Q7-2102-1 on P2")
    governing = opened.open("setup.needed_pressure_mpa").told
    assert governing.inside is False
    assert "hole flange" in governing.validity
    assert opened.open("setup.flanges[rear].needed_pressure_mpa").told.inside is True
    assert "I do not know" in book_called("unknown temper").open("block.undercut[south][0].deg").told.formula


def test_a_solved_number_names_its_equation_and_what_it_was_held_against() -> None:
    seen = 0
    for which in ("Q7-2102-1 on P2", "flange_height = 8"):
        for e in opened(which):
            if e.told.origin == "solved" and not e.path.endswith("straight_mm"):
                seen += 1
                assert e.told.formula
                assert e.told.compared, e.path
    assert seen > 10


def _codes_with_a_value() -> set[str]:
    """Codes of the source whose finding is made with a value: a sixth argument, or `value=`."""
    out = set()
    for path in (Path(ribwright.__file__).parent / "stages" / "checks").glob("*.py"):
        for call in (n for n in ast.walk(ast.parse(path.read_text())) if isinstance(n, ast.Call)):
            if getattr(call.func, "id", "") != "Finding":
                continue
            names = [w.value for w in ast.walk(call.args[0]) if isinstance(w, ast.Constant) and "-" in str(w.value)]
            if len(call.args) > 5 or any(k.arg == "value" for k in call.keywords):
                out |= set(names)
    return out


def test_every_code_of_finding_that_carries_a_value_has_its_row() -> None:
    assert _codes_with_a_value() - set(CODES) == set()


def test_the_size_given_for_a_hole_is_part_of_the_fingerprint() -> None:
    a, b = (book(box(extra=HOLE.format(given=f"cut_diameter = {d}", turn="down"))).answer for d in (30, 31))
    assert a["fingerprint"] != b["fingerprint"]


def test_inputs_carry_what_the_fingerprint_hashes_and_nothing_of_how_it_was_typed() -> None:
    mm, inch = box(), box(units="in", w=200 / 25.4, h=100 / 25.4, width=15 / 25.4, radius=3 / 25.4, t=1 / 25.4)
    a, b = book(mm).answer, book(inch).answer
    assert a["inputs"] == b["inputs"]
    assert a["fingerprint"] == b["fingerprint"]
    assert job_of(mm).part.units != job_of(inch).part.units
    assert a["inputs"]["part"]["sheet"]["thickness"] == 1.0
