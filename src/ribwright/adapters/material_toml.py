"""One material record: a file of the catalogue, or a `[material."NAME"]` table of the shop's own file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ribwright.adapters.conflicts import read_conflicts
from ribwright.adapters.fact_numbers import bare_number, check_keys, in_range, read_number, shown
from ribwright.errors import Fault, nearest
from ribwright.shop.sheet import FAMILIES, Fact, Hardening, Material

# key -> (unit kept, smallest value, largest value): the range catches a slip of unit, it is no limit of the trade
MATERIAL_KEYS = {
    "youngs_modulus_mpa": ("MPa", 1e4, 4e5),
    "secondary_modulus_mpa": ("MPa", 1e4, 4e5),
    "poisson": ("-", 0.05, 0.499),
    "density_kg_m3": ("kg/m3", 1000.0, 25000.0),
    "yield_mpa": ("MPa", 5.0, 3000.0),
    "strength_mpa": ("MPa", 5.0, 3000.0),
    "elongation": ("-", 0.005, 1.0),
    "r_value": ("-", 0.05, 10.0),
    "r0": ("-", 0.05, 10.0),
    "r45": ("-", 0.05, 10.0),
    "r90": ("-", 0.05, 10.0),
    "yield_cov": ("-", 0.001, 0.5),
    "k_cov": ("-", 0.001, 0.5),
    "stretch_limit": ("-", 0.005, 1.0),
    "hole_edge_limit": ("-", 0.005, 1.0),
    "shrink_limit": ("-", 0.001, 1.0),
    "shrink_fluted_limit": ("-", 0.001, 1.0),
}
HARDENING_KEYS = {
    "k_mpa": ("MPa", 10.0, 5000.0),
    "n": ("-", 0.005, 0.9),
    "prestrain": ("-", 0.0, 0.2),
    "kinematic_share": ("-", 0.0, 1.0),
}
WORDS = ("name", "alloy", "temper", "clad", "bend_row", "aliases", "notes", "hardening", "source", "family")

DEFAULT_KINEMATIC_SHARE = 0.5  # rule B1


def catalogue_record(table: dict[str, Any], file: str, rules: tuple[str, ...], faults: list[Fault]) -> Material | None:
    """The record of one file of the catalogue; what is wrong with it goes into `faults`."""
    name = table.get("name")
    if not isinstance(name, str) or not name:
        faults.append(Fault(file, "name", shown(name), "the material's name"))
        return None
    material, wrong = read_record(table, name, file, "catalogue", rules)
    faults.extend(wrong)
    if material and material.clad and material.number("secondary_modulus_mpa") is None:
        faults.append(Fault(file, "secondary_modulus_mpa", "nothing", "the modulus of clad sheet for springback"))
    return material


def read_record(
    table: dict[str, Any], name: str, file: str, origin: str, rules: tuple[str, ...]
) -> tuple[Material | None, list[Fault]]:
    """The record and its faults; keys in a shop's faults carry the material's name."""
    faults: list[Fault] = []
    ours = origin == "catalogue"
    prefix = "" if ours else f'material."{name}".'
    allowed = WORDS + (("conflict",) if ours else ()) + tuple(MATERIAL_KEYS)
    check_keys(table, allowed, prefix.rstrip("."), file, faults)
    source = _shop_source(table, prefix, file, faults) if not ours else ""

    def read(entry: Any, where: str, limits: tuple[str, float, float]) -> Fact | None:
        if ours:
            return in_range(read_number(entry, where, file, rules, faults), where, file, limits, faults)
        return in_range(bare_number(entry, where, file, limits[0], source, faults), where, file, limits, faults)

    facts = {k: read(table[k], prefix + k, limits) for k, limits in MATERIAL_KEYS.items() if k in table}
    hardening = _hardening(table.get("hardening"), prefix, file, read, faults)
    words = _words(table, prefix, file, faults)
    conflicts = read_conflicts(table.get("conflict", []), file, rules, faults) if ours else ()
    known = {k: fact for k, fact in facts.items() if fact is not None}
    _agrees_with_itself(known, prefix, file, faults)
    if faults:
        return None, faults
    return Material(name=name, facts=known, hardening=hardening, origin=origin, conflicts=conflicts, **words), []


def _shop_source(table: dict[str, Any], prefix: str, file: str, faults: list[Fault]) -> str:
    source = table.get("source")
    if not isinstance(source, str) or not source.strip():
        faults.append(Fault(file, prefix + "source", shown(source), "where the record's numbers come from"))
        return ""
    return source


def _words(table: dict[str, Any], prefix: str, file: str, faults: list[Fault]) -> dict[str, Any]:
    """The record's words; those not given are empty, and nothing is guessed from the name."""
    for key, kind in (("alloy", str), ("temper", str), ("bend_row", str), ("clad", bool)):
        if key in table and not isinstance(table[key], kind):
            faults.append(Fault(file, prefix + key, shown(table[key]), "a text" if kind is str else "true or false"))
    if table.get("family", "") not in ("", *FAMILIES):
        found = table["family"]
        hint = nearest(found, FAMILIES) if isinstance(found, str) else ""
        faults.append(Fault(file, prefix + "family", shown(found), ", ".join(FAMILIES), hint))
    for key in ("notes", "aliases"):
        value = table.get(key, [])
        if not isinstance(value, list) or not all(isinstance(word, str) for word in value):
            faults.append(Fault(file, prefix + key, shown(value), "a list of texts"))
            table = {**table, key: []}
    return {
        "alloy": table.get("alloy", ""),
        "temper": table.get("temper", ""),
        "clad": table.get("clad", False),
        "bend_row": table.get("bend_row", ""),
        "family": table.get("family", ""),
        "notes": tuple(table.get("notes", ())),
        "aliases": tuple(table.get("aliases", ())),
    }


def _hardening(
    entry: Any,
    prefix: str,
    file: str,
    read: Callable[[Any, str, tuple[str, float, float]], Fact | None],
    faults: list[Fault],
) -> Hardening | None:
    """The flow curve. K and n above zero make it rise, which is why their ranges start there."""
    where = prefix + "hardening"
    if entry is None:
        return None
    if not isinstance(entry, dict):
        faults.append(Fault(file, where, shown(entry), "{ law, k_mpa, n, prestrain, kinematic_share }"))
        return None
    check_keys(entry, ("law",) + tuple(HARDENING_KEYS), where, file, faults)
    if entry.get("law") != "swift":
        faults.append(Fault(file, f"{where}.law", shown(entry.get("law")), '"swift"'))
    for key in ("k_mpa", "n", "prestrain"):
        if key not in entry:
            faults.append(Fault(file, f"{where}.{key}", "nothing", "a number"))
    facts = {k: read(entry[k], f"{where}.{k}", HARDENING_KEYS[k]) for k in HARDENING_KEYS if k in entry}
    k, n, prestrain = (facts.get(key) for key in ("k_mpa", "n", "prestrain"))
    if k is None or n is None or prestrain is None:
        return None
    share = facts.get("kinematic_share")
    return Hardening(
        law="swift",
        k_mpa=k.value,
        n=n.value,
        prestrain=prestrain.value,
        kinematic_share=share.value if share else DEFAULT_KINEMATIC_SHARE,
        source=_joined_sources(k, n, prestrain, share),
        status=k.status,
        rule=k.rule,
    )


def _joined_sources(k: Fact, n: Fact, prestrain: Fact, share: Fact | None) -> str:
    """The curve's source; where the four numbers come from different places, each one's."""
    named = {"K": k, "n": n, "prestrain": prestrain}
    by_source: dict[str, list[str]] = {}
    for symbol, fact in named.items():
        by_source.setdefault(f"{fact.source} ({fact.standing()})", []).append(symbol)
    lines = [f"{', '.join(symbols)}: {source}" for source, symbols in by_source.items()]
    lines.append(f"kinematic share: {share.source} ({share.standing()})" if share else "kinematic share: rule B1")
    return "; ".join(lines)


def _agrees_with_itself(facts: dict[str, Fact], prefix: str, file: str, faults: list[Fault]) -> None:
    """Strength is not below yield, and cladding only lowers the modulus."""
    for low, high in (("yield_mpa", "strength_mpa"), ("secondary_modulus_mpa", "youngs_modulus_mpa")):
        if low in facts and high in facts and facts[low].value > facts[high].value:
            found, allowed = f"{facts[low].value:g}", f"at most {high} = {facts[high].value:g}"
            faults.append(Fault(file, prefix + low, found, allowed))
