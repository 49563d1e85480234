"""Tensile records as files: what a right one says, what a wrong one is answered with, the shop record that comes of it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

import ribwright
from ribwright.adapters.shop_toml import parse_shop
from ribwright.adapters.tensile_csv import parse_tensile
from ribwright.errors import InputError
from ribwright.mechanics.hardening import flow_stress

KSI = 6.894757293168361
K, N, E0, MODULUS = 330.0, 0.200, 0.0040, 72400.0


def record(
    kind: str = "engineering",
    strain_unit: str = "-",
    stress_unit: str = "MPa",
    said: str = "",
    past: float = 0.03,
    noise: float = 0.0,
) -> str:
    """A record of a sheet that follows K, N, E0, as a test machine would write it."""
    start = K * E0**N
    plastic = np.linspace(0, N - E0 + past, 300)
    flow = flow_stress(K, N, E0, plastic)
    total = np.concatenate([np.linspace(0, start / MODULUS, 40, endpoint=False), plastic + flow / MODULUS])
    sigma = np.concatenate([np.linspace(0, start, 40, endpoint=False), flow])
    strain, stress = (total, sigma) if kind == "true" else (np.expm1(total), sigma * np.exp(-total))
    stress = stress + np.random.default_rng(3).normal(0, noise, len(stress))
    strain = strain * {"-": 1.0, "%": 100.0}[strain_unit]
    stress = stress / {"MPa": 1.0, "ksi": KSI, "psi": KSI / 1000}[stress_unit]
    head = f"# kind = {kind}\n{said}strain [{strain_unit}], stress [{stress_unit}]\n"
    return head + "".join(f"{e:.8g}, {s:.8g}\n" for e, s in zip(strain, stress, strict=True))


def faults(text: str) -> str:
    with pytest.raises(InputError) as refused:
        parse_tensile(text, "pull.csv")
    return "\n".join(f.sentence() for f in refused.value.faults)


@pytest.mark.parametrize("kind", ["engineering", "true"])
@pytest.mark.parametrize("strain_unit", ["-", "%"])
@pytest.mark.parametrize("stress_unit", ["MPa", "ksi", "psi"])
def test_every_unit_and_kind_gives_the_same_material(
    tmp_path: Path, kind: str, strain_unit: str, stress_unit: str
) -> None:
    """Modulus 0.3 %, yield 0.5 %, K 1 %, n 0.003 of what the record was made with."""
    path = tmp_path / "pull.csv"
    path.write_text(record(kind, strain_unit, stress_unit), encoding="utf-8")
    found = ribwright.tensile("Lot 1", path)["tensile"]
    swift = found["fits"][0]
    assert found["modulus_mpa"] == pytest.approx(MODULUS, rel=0.003)
    assert found["yield_mpa"] == pytest.approx(float(flow_stress(K, N, E0, 0.002)), rel=0.005)
    assert (swift["law"], swift["k_mpa"]) == ("swift", pytest.approx(K, rel=0.01))
    assert (swift["n"], swift["prestrain"]) == (pytest.approx(N, abs=0.003), pytest.approx(E0, abs=0.0005))
    assert found["strength_check"]["verdict"] == "agrees"


def test_units_may_stand_in_comments_and_other_columns_are_passed_over() -> None:
    rows = [line.split(", ") for line in record().splitlines()[2:]]
    text = "# kind = engineering\n# strain = %\n# stress = MPa\ntime; stress; strain\n"
    text += "".join(f"{i};{s};{100 * float(e)}\n" for i, (e, s) in enumerate(rows))
    made, plain = parse_tensile(text), parse_tensile(record())
    assert made.strain == pytest.approx(plain.strain)
    assert made.stress_mpa == pytest.approx(plain.stress_mpa)


def test_what_a_person_types_about_the_pull_is_kept() -> None:
    said = "# lot = L-0232\n# direction = LT\n# date = 2031-03-02\n# elongation = 17 %\n# modulus = 10500 ksi\n# gauge_length = 2 in\n"
    made = parse_tensile(record(said=said))
    assert (made.lot, made.direction, made.date, made.gauge_length) == ("L-0232", "LT", "2031-03-02", "2 in")
    assert made.elongation == pytest.approx(0.17)
    assert made.modulus_mpa == pytest.approx(10500 * KSI)


# ---- wrong files


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("# kind = engineering\n", "", 'kind: found nothing; allowed: a line "# kind = engineering" or "# kind = true"'),
        ("engineering", "enginering", "did you mean 'engineering'"),
        ("strain [-]", "strain", 'strain: found no unit; allowed: "-" or "%"'),
        ("stress [MPa]", "stress", 'stress: found no unit; allowed: "MPa", "ksi" or "psi"'),
        ("[MPa]", "[Mpa]", "found unit 'Mpa'"),
        ("[-]", "[%]", "is the unit right?"),
        ("strain [-], stress [MPa]", "e [-], s [MPa]", "one column named strain"),
        ("# kind", "# stress = ksi\n# kind", "found 'MPa' and 'ksi'; allowed: one unit"),
        ("# kind", "# elongation = 17\n# kind", "an elongation like 17 %"),
        ("# kind", "# modulus = 72400\n# kind", "a modulus like 72400 MPa"),
        ("# kind", "# modulos = 72400 MPa\n# kind", "did you mean 'modulus'"),
        ("# kind", "# kind = true\n# kind", "said once"),
    ],
)  # fmt: skip
def test_a_wrong_heading_is_refused_with_the_sentence(old: str, new: str, says: str) -> None:
    text = record()
    assert old in text
    assert says in faults(text.replace(old, new, 1))


def test_all_faults_are_told_at_once_each_with_its_line() -> None:
    lines = record().splitlines()
    lines[0], lines[1] = "# direction = L", "strain, stress [bar]"
    lines[9], lines[12] = "0.001, abc", "1e999, 5"
    told = faults("\n".join(lines))
    assert "kind: found nothing" in told
    assert "strain: found no unit" in told
    assert "unit 'bar'" in told
    fixed = faults("\n".join(["# kind = true", "strain [-], stress [MPa]", *lines[2:]]))
    assert "line 10, stress: found 'abc'" in fixed
    assert "line 13, strain: found '1e999'" in fixed


def test_an_unloading_a_compression_and_a_stub_are_refused() -> None:
    lines = record().splitlines()
    looped = [*lines[:200], *lines[150:160], *lines[200:]]
    assert "it goes back from" in faults("\n".join(looped))
    assert "no compression" in faults("\n".join([*lines[:2], "0, -30", *lines[2:]]))
    assert "20 to 200000 rows" in faults("\n".join(lines[:12]))
    assert "no rows" in faults("# kind = true\n")


@pytest.mark.parametrize(
    ("row", "cells"), [("0.01, 1,234", 3), ("0,01, 123", 3), ("0,01, 123,4", 4), ("0.01, 120, slipped", 3)]
)
def test_a_comma_within_a_number_does_not_shift_the_columns(row: str, cells: int) -> None:
    lines = record().splitlines()
    told = faults("\n".join([*lines[:60], row, *lines[60:]]))
    assert f"pull.csv: line 61: found {cells} cells" in told
    assert "allowed: 2 cells" in told


def test_the_separator_is_the_one_of_the_names() -> None:
    plain = parse_tensile(record())
    lines = record().splitlines()
    for sign in (";", "\t"):
        made = parse_tensile("\n".join([lines[0], *(line.replace(",", sign) for line in lines[1:])]))
        assert (made.strain, made.stress_mpa) == (plain.strain, plain.stress_mpa)
    german = "\n".join([lines[0], *(line.replace(",", ";").replace(".", ",") for line in lines[1:])])
    told = faults(german).splitlines()
    assert "a number, finite, with a point as its decimal sign" in told[0]
    assert len(told) < 30
    both = faults("\n".join([lines[0], "strain [-]; stress [MPa], note", *lines[2:]]))
    assert both.splitlines() == [
        "pull.csv: line 2: found a comma and a semicolon in 'strain [-]; stress [MPa], note'; "
        "allowed: columns parted by one of a comma, a semicolon, a tab"
    ]


def test_quotes_hold_a_cell_together_and_empty_cells_at_the_end_are_no_cells() -> None:
    lines = record().splitlines()
    quoted = [", ".join(f'"{c}"' for c in line.split(", ")) + "," for line in lines[1:]]
    assert parse_tensile("\n".join([lines[0], lines[1], *quoted[1:]])).strain == parse_tensile(record()).strain
    assert "line 30, stress: found '1,234'" in faults("\n".join([*lines[:29], '0.01, "1,234"', *lines[30:]]))


def test_a_column_of_words_does_not_drown_the_person_in_faults() -> None:
    text = "# kind = true\nstrain [-], stress [MPa]\n" + "a, b\n" * 500
    told = faults(text).splitlines()
    assert len(told) < 30
    assert any("more cells that are no numbers" in line for line in told)


def test_a_pull_without_elastic_points_asks_for_the_modulus(tmp_path: Path) -> None:
    lines = record().splitlines()
    text = "\n".join([*lines[:2], *lines[50:]])
    path = tmp_path / "pull.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"# modulus = \.\.\. MPa"):
        ribwright.tensile("Lot 1", path)


# ---- what is typed against what the record shows


@pytest.mark.parametrize(
    ("modulus", "fine"), [(10_000, False), (50_000, False), (56_000, True), (85_000, True), (95_000, False)]
)
@pytest.mark.filterwarnings("error")
def test_a_typed_modulus_far_from_the_slope_of_the_record_is_refused(modulus: int, fine: bool, tmp_path: Path) -> None:
    path = tmp_path / "pull.csv"
    path.write_text(record(said=f"# modulus = {modulus} MPa\n", noise=0.2), encoding="utf-8")
    if fine:
        assert ribwright.tensile("Lot 1", path)["tensile"]["modulus_mpa"] == modulus
        return
    with pytest.raises(
        InputError, match=rf"pull.csv: modulus: found {modulus} MPa; allowed: within 25 % of .* 72\d\d\d MPa"
    ):
        ribwright.tensile("Lot 1", path)


def test_where_the_record_shows_no_slope_the_typed_modulus_is_taken(tmp_path: Path) -> None:
    lines = record(said="# modulus = 50000 MPa\n").splitlines()
    path = tmp_path / "pull.csv"
    path.write_text("\n".join([*lines[:3], lines[20], lines[24], *lines[45:]]), encoding="utf-8")
    assert ribwright.tensile("Lot 1", path)["tensile"]["modulus_mpa"] == 50000


def test_an_elongation_below_the_strain_at_the_greatest_load_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "pull.csv"
    path.write_text(record(said="# elongation = 12 %\n"), encoding="utf-8")
    with pytest.raises(InputError, match=r"elongation: found 12 %; allowed: at least 1[789]\.\d %"):
        ribwright.tensile("Lot 1", path)


@pytest.mark.parametrize(("times", "key"), [(0.12, "youngs_modulus_mpa"), (15.5, "k_mpa")])
def test_a_record_that_the_shop_file_would_refuse_is_refused_under_its_own_name(
    times: float, key: str, tmp_path: Path
) -> None:
    """A slip of unit within the file's own limits must not come out as a record the next command chokes on."""
    lines = record().splitlines()
    rows = [line.split(", ") for line in lines[2:]]
    path, out = tmp_path / "pull.csv", tmp_path / "lot.toml"
    path.write_text("\n".join([*lines[:2], *(f"{e}, {float(s) * times:.8g}" for e, s in rows)]), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        ribwright.tensile("Lot 1", path, out=out)
    told = [f for f in refused.value.faults if f.key.endswith(key)]
    assert [f.file for f in told] == [str(path)]
    assert not out.exists()


# ---- the shop record


def test_the_record_reads_back_as_a_material_of_the_shop_with_the_same_curve(tmp_path: Path) -> None:
    path, out = tmp_path / "pull.csv", tmp_path / "lot.toml"
    path.write_text(
        record(said='# lot = "L-7"\n# date = 2031-03-02\n# elongation = 22 %\n', noise=0.2), encoding="utf-8"
    )
    answer = ribwright.tensile('Lot "7"', path, like="2024-O", out=out)
    text = out.read_text(encoding="utf-8")
    assert text == answer["shop_record"]
    shop = parse_shop('units = "mm"\nname = "X"\n' + text)
    made = shop.materials['Lot "7"']
    swift = answer["tensile"]["fits"][0]
    assert made.hardening is not None
    assert made.hardening.k_mpa == pytest.approx(swift["k_mpa"], abs=0.06)
    assert made.hardening.n == pytest.approx(swift["n"], abs=6e-5)
    assert (made.alloy, made.temper, made.bend_row, made.origin) == ("2024", "O", "2024-O", "shop")
    assert made.number("elongation") == pytest.approx(0.22)
    source = made.facts["yield_mpa"].source
    for word in ("pull.csv", "lot L-7", "date 2031-03-02", "% rms", "taken from 2024-O, not tested"):
        assert word in source


def test_strength_and_flow_are_never_borrowed(tmp_path: Path) -> None:
    """A record that ends before the greatest load has no strength, whatever the model record says."""
    path = tmp_path / "pull.csv"
    lines = record().splitlines()
    path.write_text("\n".join(lines[:200]), encoding="utf-8")
    answer = ribwright.tensile("Lot 1", path, like="2024-O")
    assert answer["tensile"]["greatest_load_reached"] is False
    assert answer["tensile"]["strength_check"] is None
    table = tomllib.loads(answer["shop_record"])["material"]["Lot 1"]
    assert "strength_mpa" not in table
    assert "ends before the greatest load" in answer["shop_record"]


def test_without_a_model_nothing_is_borrowed(tmp_path: Path) -> None:
    path = tmp_path / "pull.csv"
    path.write_text(record(), encoding="utf-8")
    table = tomllib.loads(ribwright.tensile("Lot 1", path)["shop_record"])["material"]["Lot 1"]
    assert set(table) == {"youngs_modulus_mpa", "yield_mpa", "strength_mpa", "hardening", "source"}


def test_the_slope_of_clad_sheet_is_its_secondary_modulus(tmp_path: Path) -> None:
    path = tmp_path / "pull.csv"
    path.write_text(record().replace("72400", ""), encoding="utf-8")
    table = tomllib.loads(ribwright.tensile("Lot 1", path, like="2024-O clad")["shop_record"])["material"]["Lot 1"]
    # the made record has the core's slope: above it no secondary modulus was seen, and the printed one is kept
    assert table["clad"] is True
    assert table["secondary_modulus_mpa"] <= table["youngs_modulus_mpa"]
    softer = re.sub(r"^([\d.e-]+), ", lambda m: f"{float(m[1]) * 1.12:.8g}, ", record(), flags=re.M)
    path.write_text(softer, encoding="utf-8")
    table = tomllib.loads(ribwright.tensile("Lot 1", path, like="2024-O clad")["shop_record"])["material"]["Lot 1"]
    assert table["secondary_modulus_mpa"] == pytest.approx(MODULUS / 1.12, rel=0.01)
    assert table["youngs_modulus_mpa"] == pytest.approx(72394.9, rel=1e-4)


def test_a_closer_voce_is_named_and_not_written(tmp_path: Path) -> None:
    plastic = np.linspace(0, 0.2, 300)
    flow = 361 + 224 * (1 - np.exp(-10.2 * plastic))
    total = np.concatenate([np.linspace(0, 361 / MODULUS, 40, endpoint=False), plastic + flow / MODULUS])
    sigma = np.concatenate([np.linspace(0, 361, 40, endpoint=False), flow])
    path = tmp_path / "pull.csv"
    rows = "".join(f"{e:.8g}, {s:.8g}\n" for e, s in zip(total, sigma, strict=True))
    path.write_text(f"# kind = true\nstrain [-], stress [MPa]\n{rows}", encoding="utf-8")
    answer = ribwright.tensile("Lot 1", path)
    assert "Voce follows the record more closely" in answer["tensile"]["taken_why"]
    assert tomllib.loads(answer["shop_record"])["material"]["Lot 1"]["hardening"]["law"] == "swift"
