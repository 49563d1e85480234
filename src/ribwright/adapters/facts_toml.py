"""Reads the catalogue (the TOML files under `facts/`) and the shop's own material records.

Every number of the catalogue is an inline table `{ value, unit, source, status }`, an estimate names its `rule` as
well. `unit` is the one the source prints; it is turned into the unit of the key. A file that breaks this is a bug of
ours and raises FactError; a fault in a shop's record is handed back, because that file is a person's.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import pairwise
from typing import Any

from ribwright.adapters.fact_numbers import UNITS, check_keys, check_standing, in_range, read_number, shown
from ribwright.adapters.heat_treat_toml import read_heat_treat_facts
from ribwright.adapters.material_toml import catalogue_record, read_record
from ribwright.adapters.measured_toml import read_measured
from ribwright.adapters.own_build import own_build
from ribwright.errors import FactError, Fault
from ribwright.shop.sheet import BlockMaterial, Catalogue, Fact, Material, RadiusTable, ReliefRule

# unit of a table's radii -> (mm of one unit of its thicknesses, factor on its radii)
RADIUS_UNITS = {"in": (25.4, 25.4), "mm": (1.0, 1.0), "t": (25.4, 1.0)}


@cache
def load_catalogue() -> Catalogue:
    """The facts that ship with the tool. `materials` is keyed by name and by every alias (the same record).

    Raises
    ------
    FactError   naming every fault of every file.
    """
    return read_catalogue(files("ribwright") / "facts")


@cache
def estimate_rules() -> dict[str, str]:
    """Our own estimate rules: name -> what it says, in one sentence with its tested error (facts/rules.toml)."""
    return _rules_of(files("ribwright") / "facts")


def read_catalogue(root: Traversable) -> Catalogue:
    """The catalogue under the folder `root`; every file there must belong to one of the kinds of docs/FACTS.md."""
    rules = tuple(_rules_of(root))
    faults: list[Fault] = []
    found = [catalogue_record(_toml(f), f.name, rules, faults) for f in _files(root / "materials")]
    catalogue = Catalogue(
        materials=_by_name([m for m in found if m], faults),
        radius_tables={t.name: t for t in _each(root / "bend_radius", _radius_table, rules, faults)},
        relief_rules={r.name: r for r in _each(root / "relief", _relief_rule, rules, faults)},
        block_materials={b.id: b for b in _each(root / "block_materials", _block_material, rules, faults)},
        gauges_mm=_gauges(_toml(root / "gauges.toml"), faults),
        tempers=_tempers(_toml(root / "tempers.toml"), faults),
        practice=_practice(_toml(root / "practice.toml"), rules, faults),
        heat_treat=read_heat_treat_facts(_toml(root / "heat_treat.toml"), faults),
        measured=read_measured(_toml(root / "measured.toml"), "measured.toml", faults),
        build=own_build(),
    )
    if faults:
        raise FactError("\n".join(f.sentence() for f in faults))
    return catalogue


def read_material(table: dict[str, Any], *, name: str, file: str, origin: str) -> tuple[Material | None, list[Fault]]:
    """One material record and its faults; the record is None when there is a fault.

    With `origin` "catalogue" every number is an inline table. With any other (the shop's own record) the numbers
    are bare, in the unit that the key carries, and one `source` stands for all of them: their status is "shop".
    """
    if not isinstance(table, dict):
        return None, [Fault(file, name, shown(table), "a table of the record's numbers")]
    rules = tuple(estimate_rules()) if origin == "catalogue" else ()
    return read_record(table, name, file, origin, rules)


def _by_name(materials: list[Material], faults: list[Fault]) -> dict[str, Material]:
    named: dict[str, Material] = {}
    for material in materials:
        for name in (material.name, *material.aliases):
            if name in named:
                faults.append(Fault(material.name, "aliases", name, "a name that no other record has"))
            named[name] = material
    return named


def _radius_table(table: dict[str, Any], file: str, rules: tuple[str, ...], faults: list[Fault]) -> RadiusTable:
    check_keys(table, ("name", "title", "source", "status", "unit", "note", "row"), "", file, faults)
    check_standing(table, "table", file, rules, faults)
    if table.get("unit") not in RADIUS_UNITS:
        faults.append(
            Fault(file, "unit", shown(table.get("unit")), f"{', '.join(RADIUS_UNITS)}: the unit of the radii")
        )
        table = {**table, "unit": "t"}
    rows: dict[str, tuple[tuple[float, float], ...]] = {}
    row_status: dict[str, str] = {}
    least: dict[str, tuple[tuple[float, float], ...]] = {}
    for row in table.get("row", []):
        points = _row(row, table, file, rules, rows, faults)
        rows |= dict.fromkeys(row.get("tempers", []), points)
        low = least.get(row.get("same_as", ""), ()) or _radii(row.get("radius", []), table["unit"], min)
        least |= dict.fromkeys(row.get("tempers", []), low)
        row_status |= dict.fromkeys(row.get("tempers", []), row.get("status", ""))
    return RadiusTable(
        name=table.get("name", ""),
        title=table.get("title", ""),
        source=table.get("source", ""),
        status=table.get("status", ""),
        rows=rows,
        row_status=row_status,
        least=least,
        multiples=table["unit"] == "t",
        note=table.get("note", ""),
    )


def _row(
    row: dict[str, Any],
    table: dict[str, Any],
    file: str,
    rules: tuple[str, ...],
    earlier: dict[str, tuple[tuple[float, float], ...]],
    faults: list[Fault],
) -> tuple[tuple[float, float], ...]:
    """One row's points; `same_as` repeats an earlier row. A temper stands in one row only."""
    tempers = row.get("tempers", [])
    where = f"row {', '.join(tempers)}"
    check_keys(row, ("tempers", "status", "rule", "radius", "same_as"), where, file, faults)
    check_standing({"source": table.get("source"), **row}, where, file, rules, faults)
    if not tempers or any(temper in earlier for temper in tempers):
        faults.append(Fault(file, where, shown(tempers), "tempers that no earlier row has"))
    points = earlier.get(row["same_as"], ()) if "same_as" in row else _radii(row.get("radius", []), table["unit"])
    if not points or any(b[0] <= a[0] for a, b in pairwise(points)):
        faults.append(Fault(file, where, shown(row), "radii by rising thickness, or same_as an earlier row"))
    return points


def _radii(
    points: list[list[float]], unit: str, end: Callable[[list[float]], float] = max
) -> tuple[tuple[float, float], ...]:
    """(thickness mm, radius mm or factor); of a printed range (a third number) the larger end unless asked for `min`."""
    length, factor = RADIUS_UNITS[unit]
    return tuple((point[0] * length, end(point[1:]) * factor) for point in points)


def _relief_rule(table: dict[str, Any], file: str, rules: tuple[str, ...], faults: list[Fault]) -> ReliefRule:
    keys = ("name", "title", "source", "status", "note", "radius_factor", "set_back", "least")
    check_keys(table, keys, "", file, faults)
    check_standing(table, "rule", file, rules, faults)
    factor = read_number(table.get("radius_factor"), "radius_factor", file, rules, faults)
    set_back = read_number(table.get("set_back"), "set_back", file, rules, faults)
    least = []
    for entry in table.get("least", []):
        up_to = read_number(entry.get("up_to"), "least.up_to", file, rules, faults)
        diameter = read_number(entry.get("diameter"), "least.diameter", file, rules, faults)
        if up_to and diameter:
            least.append((up_to.value, diameter.value))
    return ReliefRule(
        name=table.get("name", ""),
        title=table.get("title", ""),
        radius_factor=factor.value if factor else 0.0,
        least=tuple(least),
        set_back_mm=set_back.value if set_back else 0.0,
        source=table.get("source", ""),
        status=table.get("status", ""),
    )


def _block_material(table: dict[str, Any], file: str, rules: tuple[str, ...], faults: list[Fault]) -> BlockMaterial:
    check_keys(table, ("id", "name", "pressure_limit_mpa"), "", file, faults)
    raw = read_number(table.get("pressure_limit_mpa"), "pressure_limit_mpa", file, rules, faults)
    limit = in_range(raw, "pressure_limit_mpa", file, ("MPa", 0.1, 1000.0), faults)
    return BlockMaterial(
        id=table.get("id", ""),
        name=table.get("name", ""),
        pressure_limit_mpa=limit.value if limit else 0.0,
        source=limit.source if limit else "",
        status=limit.status if limit else "",
    )


def _gauges(table: dict[str, Any], faults: list[Fault]) -> tuple[tuple[float, str], ...]:
    """(thickness mm, "0.025 in") of every standard sheet, thinnest first."""
    gauges = []
    for series in table.get("series", []):
        check_standing(series, "series", "gauges.toml", (), faults)
        unit = series.get("unit", "mm")
        gauges += [
            (size * UNITS[unit][1], f"{size:{'.3f' if unit == 'in' else '.1f'}} {unit}") for size in series["sizes"]
        ]
    return tuple(sorted(gauges))


def _tempers(table: dict[str, Any], faults: list[Fault]) -> tuple[str, ...]:
    """Every temper that a drawing may name, in the file's order."""
    for series in table.get("series", []):
        check_standing(series, "series", "tempers.toml", (), faults)
    return tuple(str(name) for series in table.get("series", []) for name in series["names"])


def _practice(table: dict[str, Any], rules: tuple[str, ...], faults: list[Fault]) -> dict[str, Fact]:
    facts = {key: read_number(entry, key, "practice.toml", rules, faults) for key, entry in table.items()}
    return {key: fact for key, fact in facts.items() if fact is not None}


def _rules_of(root: Traversable) -> dict[str, str]:
    return {name: rule["says"] for name, rule in _toml(root / "rules.toml").items()}


def _toml(path: Traversable) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise FactError(f"{path.name}: {error}") from error


def _files(folder: Traversable) -> list[Traversable]:
    return sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)


def _each(
    folder: Traversable,
    read: Callable[[dict[str, Any], str, tuple[str, ...], list[Fault]], Any],
    rules: tuple[str, ...],
    faults: list[Fault],
) -> list[Any]:
    return [read(_toml(f), f.name, rules, faults) for f in _files(folder)]
