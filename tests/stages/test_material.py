"""The card of a material: derived numbers, bend radii of every table, what is unknown, whose record it is."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

import ribwright
from building import box, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.material_toml import HARDENING_KEYS, MATERIAL_KEYS
from ribwright.adapters.shop_toml import parse_shop
from ribwright.cli import main
from ribwright.documents.material_screen import WIDE, card_lines, list_lines
from ribwright.documents.material_sheet import material_sheet
from ribwright.documents.page import Text
from ribwright.errors import InputError
from ribwright.shop.sheet import Material
from ribwright.shop.shop import Shop
from ribwright.stages.fingerprint import fingerprint
from ribwright.stages.material import USES, card_of, curve_of, find_material, known_materials
from ribwright.stages.plan import make_plan

CATALOGUE = load_catalogue()
MATERIALS = sorted({m.name: m for m in CATALOGUE.materials.values()}.values(), key=lambda m: m.name)
SHOP = """units = "mm"
name = "Sheet Works"
[material."2024-O"]
alloy = "2024"
temper = "O"
youngs_modulus_mpa = 72400
yield_mpa = 70
hardening = { law = "swift", k_mpa = 320, n = 0.22, prestrain = 0.001 }
source = "tensile test of lot L-0232"
"""


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


def names(material: Material) -> str:
    return material.name


def test_every_number_a_record_may_hold_says_what_it_is_used_for() -> None:
    assert set(USES) == set(MATERIAL_KEYS) | set(HARDENING_KEYS)


@pytest.mark.parametrize("material", MATERIALS, ids=names)
def test_what_a_card_derives_agrees_with_the_curve_itself(material: Material) -> None:
    """Uniform strain and strength by the greatest engineering stress of the curve, found by trying strains."""
    derived = card_of(material, CATALOGUE).derived
    h = material.hardening
    if h is None:
        assert derived.uniform_strain is derived.strength_by_curve is derived.check is None
        return
    strain = np.linspace(0, 1.0, 200_001)
    engineering = h.k_mpa * (h.prestrain + strain) ** h.n * np.exp(-strain)
    assert derived.strength_by_curve == pytest.approx(engineering.max(), rel=1e-6)
    assert derived.uniform_strain == pytest.approx(strain[engineering.argmax()], abs=1e-5)
    assert derived.yield_by_curve == pytest.approx(h.k_mpa * (h.prestrain + 0.002) ** h.n)
    assert derived.check is not None
    assert derived.check.verdict == "agrees"


@pytest.mark.parametrize("material", MATERIALS, ids=names)
def test_the_printed_curve_rises_to_the_uniform_strain(material: Material) -> None:
    points = curve_of(material)
    assert bool(points) == (material.hardening is not None)
    if points:
        strains, stresses = zip(*points, strict=True)
        assert list(strains) == sorted(set(strains))
        assert list(stresses) == sorted(set(stresses))
        assert points[-1][0] == pytest.approx(card_of(material, CATALOGUE).derived.uniform_strain)


def test_a_record_by_rule_s1_is_what_the_rule_gives_from_its_own_numbers() -> None:
    compared = 0
    for material in MATERIALS:
        h, s1 = material.hardening, card_of(material, CATALOGUE).derived.by_rule
        if h is not None and h.rule == "S1":
            assert s1 is not None
            assert (h.k_mpa, h.n, h.prestrain) == (
                pytest.approx(s1.k, rel=0.004),
                pytest.approx(s1.n, abs=0.0006),
                pytest.approx(s1.e0, abs=0.0002),
            )
            compared += 1
    assert compared > 35


def test_the_radii_of_a_card_are_those_the_finding_judges_by() -> None:
    from ribwright.shop.least_radius import radii_of

    for material in MATERIALS:
        for radii in card_of(material, CATALOGUE).radii:
            for row in radii.rows:
                found = radii_of(radii.table, material.bend_row, row.thickness_mm)
                assert (row.meet_mm, row.least_mm) == (found or (None, None))


def test_the_shops_own_record_stands_before_the_catalogues_and_says_so(tmp_path: Path) -> None:
    shop = parse_shop(SHOP)
    mine = find_material("2024-O", CATALOGUE, shop)
    card = card_of(mine, CATALOGUE)
    assert card.hides
    assert "overrides the catalogue's record" in "\n".join(card_lines(card, "mm"))
    assert not card_of(find_material("2024-O", CATALOGUE, Shop()), CATALOGUE).hides
    path = tmp_path / "shop.toml"
    path.write_text(SHOP, encoding="utf-8")
    answer = ribwright.material("2024-O", shop=path)["material"]
    assert answer["overrides_catalogue"] is True
    assert answer["hardening"]["k_mpa"] == 320
    assert {f["status"] for f in answer["facts"].values()} == {"shop"}


def test_what_is_unknown_is_said_with_what_the_answers_do_then() -> None:
    bare = find_material("2024-O", CATALOGUE, parse_shop(SHOP))
    said = {u.missing: u.then for u in card_of(bare, CATALOGUE).unknown}
    assert "I do not know" in said["Poisson's ratio"]
    assert "R = 1" in said["R-value"]
    assert "6 %" in said["scatter"]
    assert said["stretch limit"] == "the edge strain is told, not judged"
    quenched = {u.missing for u in card_of(CATALOGUE.materials["2024-W"], CATALOGUE).unknown}
    assert {"flow curve", "R-value", "stretch limit", "minimum bend radius"} <= quenched
    assert card_of(CATALOGUE.materials["2024-T3"], CATALOGUE).unknown == ()


def test_a_part_formed_in_w_is_stopped_with_its_geometry_answered() -> None:
    """The record of W has no curve: undercut and pressure are open, the blank is there."""
    plan = make_plan(job_of(box(material="2024-W")), None, "handbook")
    codes = {f.code for f in plan.findings}
    assert "temper-unknown" in codes
    assert "bend-radius-unknown" in codes
    assert plan.blank.strips


def test_a_conflict_changes_no_fingerprint() -> None:
    """What sources say against each other is no number of the answer."""
    from dataclasses import replace

    job = job_of(box(material="2024-T3"))
    quiet = replace(job, bought=replace(job.bought, conflicts=()), formed=replace(job.bought, conflicts=()))
    assert job.bought.conflicts
    assert fingerprint(job, "handbook") == fingerprint(quiet, "handbook")


# ---- on the screen, on paper, as JSON


@pytest.mark.parametrize("first", ["in", "mm"])
@pytest.mark.parametrize("material", MATERIALS, ids=names)
def test_a_card_fits_the_screen_and_prints_each_number_source_and_standing(material: Material, first: str) -> None:
    lines = card_lines(card_of(material, CATALOGUE), first)  # type: ignore[arg-type]
    assert max(map(len, lines)) <= WIDE
    flat = " ".join(" ".join(lines).split())
    for fact in material.facts.values():
        assert " ".join(fact.source.split()) in flat
        assert fact.standing() in flat
    for conflict in material.conflicts:
        assert conflict.why in flat
        assert all(rival.fact.source in flat for rival in conflict.rivals)
    assert ("I do not know for this temper" in flat) == (
        material.hardening is None or not any(r.status for r in card_of(material, CATALOGUE).radii)
    )


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("material", MATERIALS, ids=names)
def test_a_card_on_paper_keeps_inside_its_page(material: Material, paper: str) -> None:
    sheet = material_sheet(card_of(material, CATALOGUE), "in", "Sheet Works", paper)
    assert 1 <= len(sheet.pages) <= 3
    for page in sheet.pages:
        texts = [i for i in page.items if isinstance(i, Text)]
        assert all(0 < t.x < page.width and 0 < t.y < page.height for t in texts)
    words = " ".join(t.text for page in sheet.pages for t in page.items if isinstance(t, Text))
    assert material.name in words
    assert "none of them a minimum to design by" in words


def test_the_list_has_every_material_once_and_fits_the_screen() -> None:
    lines = list_lines(known_materials(CATALOGUE, Shop()), "in")
    assert max(map(len, lines)) <= WIDE
    assert [line[:24].strip() for line in lines[2:-2]] == [m.name for m in MATERIALS]
    answer = ribwright.materials()["materials"]
    assert [row["name"] for row in answer] == [m.name for m in MATERIALS]
    assert {row["name"] for row in answer if row["flow_curve"] is None} == {
        m.name for m in MATERIALS if m.hardening is None
    }


def test_the_command_answers_in_words_json_and_pdf(tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    shown = run("material", "Alclad 2024-T3", "--out", str(out))
    assert shown.exit_code == 0
    assert shown.output.startswith("2024-T3 clad")
    assert out.read_bytes().startswith(b"%PDF")
    answer = json.loads(run("material", "2024-T3 clad", "--json").output)["material"]
    assert answer["facts"]["yield_mpa"]["value"] == pytest.approx(45 * 6.894757, rel=1e-6)
    assert answer["derived"]["clad_fraction"] == pytest.approx(0.0476, abs=1e-4)
    assert answer["derived"]["strength_check"]["verdict"] == "agrees"
    assert {t["table"] for t in answer["bend_radii"]} == set(CATALOGUE.radius_tables)
    assert answer["flow_curve"][0]["plastic_strain"] == 0
    assert math.isclose(answer["flow_curve"][-1]["plastic_strain"], answer["derived"]["uniform_strain"], abs_tol=1e-8)
    assert "materials" in json.loads(run("material", "--json").output)


def test_a_wrong_name_gets_the_nearest_one_and_a_wrong_file_end_is_refused(tmp_path: Path) -> None:
    wrong = run("material", "2024-T3 cald")
    assert wrong.exit_code == 2
    assert "did you mean '2024-T3 clad'" in wrong.output
    for words in (
        ("material", "2024-T3", "--out", str(tmp_path / "card.txt")),
        ("material", "--out", str(tmp_path / "card.pdf")),
        ("material", "2024-T3", "--like", "2024-O"),
        ("material", "--tensile", str(tmp_path / "missing.csv")),
        ("material", "2024-T3", "--paper", "roll"),
    ):
        assert run(*words).exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_the_model_of_a_tensile_record_must_be_known() -> None:
    with pytest.raises(InputError, match=r"--like.*did you mean '2024-O clad'"):
        find_material("2024-O cald", CATALOGUE, Shop(), "--like")
