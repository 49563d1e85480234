"""Radius tables in order and limits of heat treatment in the shop file: what may stand there, and each mistake's answer."""

from __future__ import annotations

import pytest

from building import box, job_of
from ribwright.adapters.heat_treat_toml import read_heat_treat_facts
from ribwright.adapters.shop_toml import parse_shop
from ribwright.errors import Fault, InputError
from ribwright.shop.heat_treat import at_thickness
from ribwright.stages.plan import make_plan

HEAD = 'units = "in"\nname = "a shop"\n'


def heat_treated(body: str) -> str:
    return f'{HEAD}[heat_treat."2024"]\n{body}'


def faults(text: str) -> list[str]:
    with pytest.raises(InputError) as wrong:
        parse_shop(text)
    return [f.sentence() for f in wrong.value.faults]


def test_every_limit_may_be_left_out_but_the_specification() -> None:
    found = parse_shop(heat_treated('specification = "QS-1"\n')).heat_treat["2024"]
    assert found.specification == "QS-1"
    assert (found.quench_delay, found.soak, found.clad_reheats) == ((), (), ())
    assert [found.forming_window_s, found.straighten_window_s, found.cold_storage_s, found.natural_ageing_s] == [
        None
    ] * 4
    assert "heat_treat.2024.specification" in faults(heat_treated('soak = "30 min"\n'))[0]


def test_limits_are_read_in_seconds_and_degrees_celsius_and_by_thickness() -> None:
    found = parse_shop(
        heat_treated(
            'specification = "QS-1"\nquench_delay = [[0.031, "7 s"], ["0.090 in", "10 s"]]\nforming_window = "20 min"\n'
            'cold_storage = "2 days"\ncold_storage_at = "0 F"\nclad_reheats = [[0.020, 0], [0.125, 1]]\n'
        )
    ).heat_treat["2024"]
    assert found.forming_window_s == 1200.0
    assert found.cold_storage_s == 2 * 86400.0
    assert found.cold_storage_c == pytest.approx(-17.7778, abs=1e-3)
    told = [at_thickness(found.quench_delay, 25.4 * t) for t in (0.016, 0.031, 0.032, 0.090, 0.125)]
    assert told == [7.0, 7.0, 10.0, 10.0, None]
    assert [at_thickness(found.clad_reheats, 25.4 * t) for t in (0.020, 0.025)] == [0.0, 1.0]


@pytest.mark.parametrize(
    ("body", "key", "words"),
    [
        ("forming_window = 20", "forming_window", "without a unit"),
        ('quench_delay = [[0.09, "10 s"], [0.031, "7 s"]]', "quench_delay", "by rising thickness"),
        ('quench_delay = "0 s"', "quench_delay", "above 0"),
        ('forming_window = "1e300 h"', "forming_window", "a year at most"),
        ('cold_storage = "400 days"\ncold_storage_at = "0 F"', "cold_storage", "a year at most"),
        ('soak = [[0.09, "30 min"], [0.125, "9000 h"]]', "soak", "a year at most"),
        ('soak = [["30 min"]]', "soak", "[[up to thickness, value], ...]"),
        ("clad_reheats = 1.5", "clad_reheats", "whole number from 0 to 9"),
        ("clad_reheats = true", "clad_reheats", "whole number from 0 to 9"),
        ('cold_storage = "24 h"', "cold_storage_at", "temperature"),
        ('cold_storage = "24 h"\ncold_storage_at = "60 F"', "cold_storage_at", "from -200 to 10 C"),
        ("bath = 3", "bath", "not known here"),
    ],
)
def test_a_wrong_limit_is_refused_with_its_key_and_what_is_allowed(body: str, key: str, words: str) -> None:
    (said,) = faults(heat_treated(f'specification = "QS-1"\n{body}\n'))
    assert f"heat_treat.2024.{key}" in said
    assert words in said


def test_the_second_radius_table_answers_only_where_the_first_has_no_entry() -> None:
    shop = parse_shop(f'{HEAD}[rules]\nminimum_radius = ["airframe shop table", "AC 43.13-1B table 4-6"]\n')
    assert (shop.rules.minimum_radius, shop.rules.then_radius) == ("airframe shop table", ("AC 43.13-1B table 4-6",))
    for inch, table in ((0.032, "airframe shop table"), (0.040, "AC 43.13-1B table 4-6")):
        found = make_plan(job_of(box(material="2024-T3", t=inch * 25.4, radius=0.5), shop)).findings
        said = [f.say for f in found if f.code == "bend-radius"]
        assert said
        assert all(table in s for s in said)


def test_where_no_table_has_an_entry_all_of_them_are_named() -> None:
    shop = parse_shop(f'{HEAD}[rules]\nminimum_radius = ["airframe shop table", "design office table"]\n')
    found = make_plan(job_of(box(material="7075-O", t=1.016, radius=2.0), shop)).findings
    (said,) = [f.say for f in found if f.code == "bend-radius-unknown"][:1]
    assert said.startswith("Tables 'airframe shop table', 'design office table' have no entry")


@pytest.mark.parametrize("value", ["[]", "3", '["a", "a"]', '["a", 2]'])
def test_a_list_of_tables_holds_different_names(value: str) -> None:
    (said,) = faults(f"{HEAD}[rules]\nminimum_radius = {value}\n")
    assert "rules.minimum_radius" in said


def test_each_unknown_table_of_a_list_is_named() -> None:
    shop = parse_shop(f'{HEAD}[rules]\nminimum_radius = ["airframe shop table", "AC 43.13"]\n')
    with pytest.raises(InputError) as wrong:
        job_of(box(), shop)
    assert [f.found for f in wrong.value.faults] == ["'AC 43.13'"]


def test_a_catalogue_file_without_sources_is_refused() -> None:
    said: list[Fault] = []
    read_heat_treat_facts(
        {"alloy": [{"names": ["2024"], "natural": "T42", "aged": "T62", "source": "", "status": "sure"}]}, said
    )
    assert {f.key for f in said} >= {"alloy.source", "alloy.status"}
