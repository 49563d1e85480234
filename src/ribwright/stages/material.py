"""What is known of one sheet material, made ready to be shown: derived numbers, bend radii of every table, what is unknown."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribwright.errors import Fault, InputError, nearest
from ribwright.mechanics import flow_estimate as rule
from ribwright.mechanics.hardening import flow_stress, necking_strain
from ribwright.shop.least_radius import radii_of
from ribwright.shop.sheet import Catalogue, Conflict, Material, RadiusTable
from ribwright.shop.shop import Shop

# plastic strains of the printed flow curve; the uniform strain is put between them
CURVE_AT = (0.0, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4)
Z90 = 1.645

# the answers a number enters; what none uses yet says so
USES = {
    "youngs_modulus_mpa": "springback and undercut",
    "secondary_modulus_mpa": "springback and undercut",
    "poisson": "springback and undercut",
    "density_kg_m3": "none yet",
    "yield_mpa": "where the flow curve starts",
    "strength_mpa": "check of the curve (rule S2)",
    "elongation": "rules EDGE1 and S1",
    "r_value": "flat of curved flanges and holes",
    "r0": "flat of curved flanges and holes",
    "r45": "flat of curved flanges and holes",
    "r90": "flat of curved flanges and holes",
    "yield_cov": "none yet",
    "k_cov": "bands of undercut and pressure",
    "stretch_limit": "findings: stretch flanges",
    "hole_edge_limit": "findings: flanged holes",
    "shrink_limit": "findings: wrinkles",
    "shrink_fluted_limit": "findings: beyond flutes",
    "k_mpa": "undercut, springback, needed pressure and gauge reading",
    "n": "undercut, springback, needed pressure and gauge reading",
    "prestrain": "flat width of curved flanges",
    "kinematic_share": "none yet",
}


@dataclass(frozen=True)
class Radius:
    """Minimum inside bend radius of one table for one standard thickness [mm]; `least` where the table prints a range."""

    thickness_mm: float
    gauge: str
    meet_mm: float | None
    least_mm: float | None


@dataclass(frozen=True)
class Radii:
    """One table's answers for the material. `status` is that of the row; "" without a row."""

    table: RadiusTable
    status: str
    rows: tuple[Radius, ...]


@dataclass(frozen=True)
class Derived:
    """Numbers that follow from the flow curve. Strains are true. `yield_by_curve` at 0.2 % plastic strain [MPa];
    `check` is rule S2 against the stated strength; `by_rule` rule S1 on the record's own yield, strength, elongation."""

    uniform_strain: float | None = None
    yield_by_curve: float | None = None
    strength_by_curve: float | None = None
    check: rule.StrengthCheck | None = None
    by_rule: rule.SwiftEstimate | None = None
    plane_strain_limit: float | None = None
    clad_fraction: float | None = None


@dataclass(frozen=True)
class Unknown:
    """What the record lacks, and what the answers do without it."""

    missing: str
    then: str


@dataclass(frozen=True)
class Side:
    """One side of a conflict about the flow curve, checked by rule S2 against the record's strength."""

    yield_by_curve: float
    check: rule.StrengthCheck | None


@dataclass(frozen=True)
class Card:
    """Everything a card of the material says. `hides`: the shop's record stands before one of the catalogue."""

    material: Material
    hides: bool
    derived: Derived
    curve: tuple[tuple[float, float], ...]
    radii: tuple[Radii, ...]
    unknown: tuple[Unknown, ...]


def use_of(key: str, m: Material) -> str:
    """What a number of this record is used for."""
    if key == "youngs_modulus_mpa" and "secondary_modulus_mpa" in m.facts:
        return "none yet: holds below skin yield"
    return USES[key]


def known_materials(catalogue: Catalogue, shop: Shop) -> dict[str, Material]:
    """Every record by every name; the shop's own stands before the catalogue's."""
    return {**catalogue.materials, **shop.materials}


def find_material(name: str, catalogue: Catalogue, shop: Shop, key: str = "NAME") -> Material:
    """The record of a name. InputError with the nearest right word."""
    materials = known_materials(catalogue, shop)
    found = materials.get(name) or next((m for m in materials.values() if name in m.aliases), None)
    if found is None:
        listed = sorted({m.name for m in materials.values()})
        allowed = f"one of {', '.join(listed)}"
        raise InputError([Fault("command line", key, repr(name), allowed, nearest(name, tuple(materials)))])
    return found


def card_of(material: Material, catalogue: Catalogue) -> Card:
    """The card of a record."""
    hides = material.origin != "catalogue" and material.name in catalogue.materials
    radii = tuple(_radii(t, material.bend_row, catalogue) for t in catalogue.radius_tables.values())
    return Card(material, hides, derive(material), curve_of(material), radii, tuple(_unknown(material, radii)))


def derive(m: Material) -> Derived:
    """The numbers that follow from a record; those that need something unknown are None."""
    core, secondary = m.number("youngs_modulus_mpa"), m.number("secondary_modulus_mpa")
    fraction = rule.clad_fraction(core, secondary) if core and secondary else None
    h = m.hardening
    if h is None:
        return Derived(clad_fraction=fraction)
    strength = m.number("strength_mpa")
    return Derived(
        float(necking_strain(h.n, h.prestrain)),
        float(flow_stress(h.k_mpa, h.n, h.prestrain, rule.YIELD_OFFSET)),
        rule.strength_of_curve(h.k_mpa, h.n, h.prestrain),
        rule.check_strength(h.k_mpa, h.n, h.prestrain, strength) if strength else None,
        _by_rule(m),
        rule.plane_strain_limit(h.n, h.prestrain),
        fraction,
    )


def _by_rule(m: Material) -> rule.SwiftEstimate | None:
    fty, ftu, a50 = (m.number(k) for k in ("yield_mpa", "strength_mpa", "elongation"))
    if fty is None or ftu is None or a50 is None or m.family not in rule.UNIFORM_STRAIN or not fty < ftu:
        return None
    return rule.swift_by_rule_s1(fty, ftu, a50, m.family)


def curve_of(m: Material) -> tuple[tuple[float, float], ...]:
    """(true plastic strain, true stress [MPa]) up to the uniform strain, which is the last point; () without a curve."""
    h = m.hardening
    if h is None:
        return ()
    uniform = float(necking_strain(h.n, h.prestrain))
    strains = [e for e in CURVE_AT if e < uniform - 1e-9] + [uniform]
    stress = flow_stress(h.k_mpa, h.n, h.prestrain, np.array(strains))
    return tuple(zip(strains, (float(s) for s in stress), strict=True))


def side_of(conflict: Conflict, index: int, material: Material) -> Side | None:
    """What a flow curve of a conflict would give; None where the quantity is another or n is not printed."""
    rival = conflict.rivals[index]
    if conflict.quantity != "flow curve" or rival.n is None:
        return None
    k, n, e0 = rival.fact.value, rival.n, rival.prestrain or 0.0
    strength = material.number("strength_mpa")
    at_offset = float(flow_stress(k, n, e0, rule.YIELD_OFFSET))
    return Side(at_offset, rule.check_strength(k, n, e0, strength) if strength else None)


def _radii(table: RadiusTable, row: str, catalogue: Catalogue) -> Radii:
    rows = []
    for thickness, gauge in catalogue.gauges_mm:
        found = radii_of(table, row, thickness)
        rows.append(Radius(thickness, gauge, *(found or (None, None))))
    return Radii(table, table.row_status.get(row, ""), tuple(rows))


def _unknown(m: Material, radii: tuple[Radii, ...]) -> list[Unknown]:
    out = []
    lacks_curve = [
        what
        for what, there in (
            ("flow curve", m.hardening is not None),
            ("modulus", m.springback_modulus() is not None),
            ("Poisson's ratio", m.number("poisson") is not None),
        )
        if not there
    ]
    if lacks_curve:
        then = "undercut, springback, needed pressure and gauge reading: I do not know for this temper"
        out.append(Unknown(", ".join(lacks_curve), then))
    if m.clad and m.number("secondary_modulus_mpa") is None:
        out.append(Unknown("secondary modulus", "springback takes Young's modulus and comes out too small"))
    if not any(k in m.facts for k in ("r_value", "r0")):
        out.append(Unknown("R-value", "the flat of curved flanges and flanged holes takes R = 1"))
    if m.hardening is not None and "k_cov" not in m.facts:
        out.append(Unknown("scatter", "bands take 6 % for the flow curve"))
    for key, what in (
        ("stretch_limit", "stretch limit"),
        ("hole_edge_limit", "hole edge limit"),
        ("shrink_limit", "shrink limit"),
        ("shrink_fluted_limit", "shrink limit with flutes"),
    ):
        if key not in m.facts:
            out.append(Unknown(what, "the edge strain is told, not judged"))
    if not any(r.status for r in radii):
        out.append(
            Unknown("minimum bend radius", "no table has this temper: the radius is not judged, bend a strip first")
        )
    return out
