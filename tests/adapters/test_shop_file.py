"""The shop file: what may stand in it, how it is found, and what each mistake is answered with."""

from pathlib import Path

import pytest

from ribwright.adapters.shop_toml import find_shop, parse_shop, read_shop
from ribwright.errors import Fault, InputError

SHOP = """
units = "in"
name = "Quillfeather Airframe Detail Works"
[rules]
bend_allowance = "k-factor"
k_factor = 0.45
minimum_radius = "a table"
decision = "simple"
[[press]]
id = "P1"
kind = "manual"
force = "150 short ton"
rated_pressure = "781 psi"
source = "plate and proof sheet 2029"
table = [24, 16]
daylight = 12
stroke = 10
off_centre_limit = 2
container_depth = 5.50
pad = { size = [24, 16], thickness = 4, shore_a = 70, held = "container" }
gauge = { ram_area = "60 in2", limit = "5000 psi", reads = "psi", due = 2031-09-01 }
[[press]]
id = "P9"
kind = "fluid"
force = "20000 kN"
rated_pressure = "7 MPa"
source = "manual, page 3"
table = [40, 30]
tables = 2
daylight = 12
stroke = 10
pad = { size = [40, 30], thickness = 4, shore_a = 70, held = "loose" }
[[block_material]]
id = "OAK"
name = "white oak, grain along the block"
pressure_limit = "1000 psi"
source = "shop trial"
board_thickness = "3/4 in"
allowance = 0.375
density = "47 lb/ft3"
[[stock]]
lot = "L-0231"
material = "2024-T3 clad"
thickness = 0.025
sheet = [144, 48]
grain = "length"
count = 2
certificate = true
[[gauge]]
id = "G-02"
kind = "protractor"
uncertainty = "0.1 deg"
due = "2031-03-01"
[material."Shop trial 2024-O"]
youngs_modulus_mpa = 72400
poisson = 0.33
density_kg_m3 = 2780
yield_mpa = 76
strength_mpa = 186
elongation = 0.12
r_value = 0.7
hardening = { law = "swift", k_mpa = 330, n = 0.2, prestrain = 0.00065, kinematic_share = 0.0 }
source = "tensile test of lot L-0232"
"""


def sentences(*pairs: tuple[str, str]) -> list[str]:
    """The sentences the sample shop is refused with after texts were replaced."""
    text = SHOP
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(InputError) as error:
        parse_shop(text, "shop.toml")
    return [f.sentence() for f in error.value.faults]


def test_every_table_of_the_file_arrives_in_the_shop():
    shop = parse_shop(SHOP, "shop.toml")
    assert (shop.name, shop.units, shop.given, shop.file) == (
        "Quillfeather Airframe Detail Works",
        "in",
        True,
        "shop.toml",
    )
    assert (shop.rules.bend_allowance, shop.rules.k_factor, shop.rules.decision) == ("k-factor", 0.45, "simple")
    press = shop.press("P1")
    assert press is not None
    assert press.force_n == pytest.approx(150 * 2000 * 4.4482216152605)
    assert press.rated_pressure_mpa == pytest.approx(5.3848, abs=1e-4)
    assert press.table_mm == pytest.approx((609.6, 406.4))
    assert press.pad.held == "container"
    assert press.gauge is not None
    assert press.gauge.ram_area_mm2 == pytest.approx(60 * 645.16)
    assert (press.gauge.reads, press.gauge.due) == ("psi", "2031-09-01")
    assert (press.tables, press.container_depth_mm) == (1, pytest.approx(139.7))
    assert shop.block_materials[0].pressure_limit_mpa == pytest.approx(6.894757, abs=1e-6)
    oak = shop.block_materials[0]
    assert (oak.board_thickness_mm, oak.allowance_mm) == (pytest.approx(19.05), pytest.approx(9.525))
    assert oak.density_kg_m3 == pytest.approx(752.87, abs=0.01)
    assert shop.stock[0].certificate is True
    assert (shop.gauges[0].uncertainty, shop.gauges[0].due) == ("0.1 deg", "2031-03-01")
    material = shop.materials["Shop trial 2024-O"]
    assert (material.number("yield_mpa"), material.origin) == (76, "shop")


def test_what_the_press_plate_says_is_kept_as_typed():
    press = parse_shop(SHOP).press("P1")
    assert press is not None
    assert press.typed["force"] == "150 short ton"
    assert press.typed["container_depth"] == "5.50 in"
    assert press.typed["pad.thickness"] == "4 in"
    assert press.typed["gauge.limit"] == "5000 psi"


def test_a_press_without_gauge_or_limits_leaves_them_unknown():
    press = parse_shop(SHOP).press("P9")
    assert press is not None
    assert (press.gauge, press.off_centre_limit_mm, press.container_depth_mm) == (None, None, None)


def test_a_block_material_may_say_nothing_of_boards_allowance_and_density():
    text = "\n".join(x for x in SHOP.splitlines() if x.split(" ")[0] not in ("board_thickness", "allowance", "density"))
    oak = parse_shop(text).block_materials[0]
    assert (oak.board_thickness_mm, oak.allowance_mm, oak.density_kg_m3) == (None, None, None)


def test_a_shop_may_own_nothing_yet():
    shop = parse_shop('units = "mm"\nname = "Quillfeather Airframe Detail Works"\n')
    assert shop.given
    assert shop.presses == ()
    assert shop.rules.bend_allowance == "faa"


def test_inches_and_millimetres_give_the_same_press():
    metric = SHOP.replace("table = [24, 16]", 'table = ["609.6 mm", "40.64 cm"]').replace("5.50", '"139.7 mm"')
    one, two = parse_shop(SHOP).press("P1"), parse_shop(metric).press("P1")
    assert one is not None
    assert two is not None
    assert one.table_mm == pytest.approx(two.table_mm, abs=1e-9)
    assert one.container_depth_mm == pytest.approx(two.container_depth_mm, abs=1e-9)


FAULTS = [
    ('units = "in"\n', "", "units", ["found nothing"]),
    ("name = ", "nam = ", "nam", ["did you mean 'name'"]),
    ('"k-factor"', '"k_factor"', "rules.bend_allowance", ["did you mean 'k-factor'"]),
    ("k_factor = 0.45", "", "rules.k_factor", ["found nothing"]),
    ("k_factor = 0.45", "k_factor = 45", "rules.k_factor", ["up to 1"]),
    ('bend_allowance = "k-factor"', 'bend_allowance = "faa"', "rules.k_factor", ['"k-factor" only']),
    ('force = "150 short ton"', 'force = "150 ton"', "press[1].force", ["which ton"]),
    ('force = "150 short ton"', "force = 150", "press[1].force", ["without a unit", "short ton"]),
    ('force = "150 short ton"', 'force = "0 kN"', "press[1].force", ["above 0"]),
    ('"781 psi"', '"781 lbs"', "press[1].rated_pressure", ["psi, ksi, MPa"]),
    ('source = "plate and proof sheet 2029"\n', "", "press[1].source", ["found nothing"]),
    ("table = [24, 16]", "table = [24]", "press[1].table", ["[x, y]"]),
    ("table = [24, 16]", "table = [24, 0]", "press[1].table", ["above 0"]),
    ("shore_a = 70", "shore_a = 700", "press[1].pad.shore_a", ["up to 99"]),
    ('held = "container"', 'held = "contained"', "press[1].pad.held", ["did you mean 'container'"]),
    ("pad = {", "padd = {", "press[1].pad", ["found nothing"]),
    ("due = 2031-09-01", 'due = "September"', "press[1].gauge.due", ["2031-09-01"]),
    ('ram_area = "60 in2"', "ram_area = 60", "press[1].gauge.ram_area", ["60 in2"]),
    ('reads = "psi"', 'reads = "PSI"', "press[1].gauge.reads", ["did you mean 'psi'"]),
    ('id = "P9"', 'id = "P1"', "press[2].id", ["the name of press[1] too"]),
    ("count = 2", "count = -1", "stock[1].count", ["from 0"]),
    ("certificate = true", 'certificate = "yes"', "stock[1].certificate", ["true or false"]),
    ('uncertainty = "0.1 deg"', 'uncertainty = "0.1"', "gauge[1].uncertainty", ["with its unit"]),
    ('uncertainty = "0.1 deg"', 'uncertainty = "0.1 psi"', "gauge[1].uncertainty", ["0.001 in"]),
    ("[[block_material]]", "[block_material]", "block_material", ["[[block_material]]"]),
    ("[[stock]]", "[[stok]]", "stok", ["did you mean 'stock'"]),
    ('board_thickness = "3/4 in"', "board_thickness = 0", "block_material[1].board_thickness", ["above 0"]),
    ("allowance = 0.375", "allowance = -0.1", "block_material[1].allowance", ["0"]),
    ('density = "47 lb/ft3"', "density = 47", "block_material[1].density", ["without a unit", "lb/ft3"]),
    ('density = "47 lb/ft3"', 'density = "47 lb"', "block_material[1].density", ["kg/m3"]),
    ("allowance = 0.375", "allowence = 0.375", "block_material[1].allowence", ["did you mean 'allowance'"]),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), FAULTS, ids=[f"{f[2]}: {f[1][:30]!r}" for f in FAULTS])
def test_a_mistake_is_named_with_its_place_and_what_is_allowed(old, new, key, words):
    said = sentences((old, new))
    mine = [s for s in said if s.startswith(f"shop.toml: {key}: found ")]
    assert len(mine) == 1, said
    assert all(word in mine[0] for word in words), mine[0]


def test_a_fault_of_the_shops_own_material_stands_among_the_others():
    said = sentences(('source = "tensile test of lot L-0232"', ""), ('id = "P9"', 'id = "P1"'))
    assert any("Shop trial 2024-O" in s and "source" in s for s in said)
    assert any("press[2].id" in s for s in said)


ODD_VALUES = ["true", "-1", "1e300", "nan", "[]", "[1, 2]", '""', '"1/0 in"', "{}", "2031-01-01", "1" * 400, "[{}]"]


@pytest.mark.parametrize("value", ODD_VALUES)
def test_any_value_at_any_key_is_read_or_refused_in_sentences(value):
    for n, line in enumerate(SHOP.splitlines()):
        if " = " in line:
            lines = SHOP.splitlines()
            lines[n] = f"{line.split(' = ')[0]} = {value}"
            faults = faults_of("\n".join(lines))
            assert all(f.found and f.allowed and f.key for f in faults), faults


def faults_of(text: str) -> tuple[Fault, ...]:
    """The faults of a text, none when it is right; any other error is a mistake of ours and comes through."""
    try:
        parse_shop(text)
    except InputError as error:
        return error.faults
    return ()


def test_the_nearest_shop_file_beside_or_above_the_part_is_found(tmp_path):
    deep = tmp_path / "job" / "parts"
    deep.mkdir(parents=True)
    part = deep / "rib.part.toml"
    (tmp_path / "shop.toml").write_text(SHOP)
    assert find_shop(part) == tmp_path / "shop.toml"
    (deep / "shop.toml").write_text(SHOP)
    assert find_shop(part) == deep / "shop.toml"


def test_a_missing_shop_file_is_refused_in_a_sentence(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_shop(tmp_path / "shop.toml")


def test_the_whole_shop_file_of_the_manual_reads():
    manual = (Path(__file__).parents[2] / "docs" / "PART_FILE.md").read_text()
    shop = parse_shop(manual.split("```toml\n# shop.toml\n")[1].split("```")[0], "docs/PART_FILE.md")
    assert shop.press("P1") is not None
    assert shop.materials


def test_hand_times_and_who_allows_rework_are_the_shops_own_or_left_open() -> None:
    shop = parse_shop(SHOP + '[times]\nset_angle = "1.5 min"\nreinspect = "40 s"\n')
    assert shop.hand_times == {"set_angle": 90.0, "reinspect": 40.0}
    assert parse_shop(SHOP).hand_times == {}
    assert parse_shop(SHOP).rules.rework_by == ""
    assert parse_shop(SHOP.replace("[rules]", '[rules]\nrework_by = "A. Person"')).rules.rework_by == "A. Person"


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ('set_angel = "1 min"', "times.set_angel"),
        ("set_angle = 2", "times.set_angle"),
        ('set_angle = "0 s"', "times.set_angle"),
    ],
)
def test_a_wrong_hand_time_is_a_fault_with_its_key(line: str, key: str) -> None:
    with pytest.raises(InputError) as refused:
        parse_shop(f"{SHOP}[times]\n{line}\n")
    assert [f.key for f in refused.value.faults] == [key]
