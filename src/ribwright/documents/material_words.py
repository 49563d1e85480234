"""Numbers of a material in words: what each is called, in both units, the shop's first."""

from __future__ import annotations

from math import expm1

from ribwright.mechanics.flow_estimate import StrengthCheck
from ribwright.shop.sheet import Fact, Material
from ribwright.stages.material import Z90, Card
from ribwright.units import MPA_PER_PSI, Unit

KSI, MSI, LB_IN3 = 1e3 * MPA_PER_PSI, 1e6 * MPA_PER_PSI, 27679.904710191
# key -> (name, kind of number)
QUANTITIES = {
    "youngs_modulus_mpa": ("Young's modulus", "modulus"),
    "secondary_modulus_mpa": ("secondary modulus (clad)", "modulus"),
    "poisson": ("Poisson's ratio", "ratio"),
    "density_kg_m3": ("density", "density"),
    "yield_mpa": ("yield", "stress"),
    "strength_mpa": ("strength", "stress"),
    "elongation": ("elongation", "percent"),
    "r_value": ("R-value", "ratio"),
    "r0": ("R-value, along rolling", "ratio"),
    "r45": ("R-value, 45 deg", "ratio"),
    "r90": ("R-value, across rolling", "ratio"),
    "yield_cov": ("scatter of yield", "scatter"),
    "k_cov": ("scatter of flow curve", "scatter"),
    "stretch_limit": ("stretch limit", "percent"),
    "hole_edge_limit": ("hole edge limit", "percent"),
    "shrink_limit": ("shrink limit", "percent"),
    "shrink_fluted_limit": ("shrink limit, fluted", "percent"),
}
GROUPS = (
    ("Elastic", ("youngs_modulus_mpa", "secondary_modulus_mpa", "poisson", "density_kg_m3")),
    ("Strength", ("yield_mpa", "strength_mpa", "elongation", "r_value", "r0", "r45", "r90", "yield_cov", "k_cov")),
    ("Edge limits, engineering strain", ("stretch_limit", "hole_edge_limit", "shrink_limit", "shrink_fluted_limit")),
)


def both(imperial: str, metric: str, first: Unit) -> str:
    """The two readings of one number, the shop's first."""
    return f"{imperial} ({metric})" if first == "in" else f"{metric} ({imperial})"


def stress_words(mpa: float, first: Unit) -> str:
    """'50.0 ksi (345 MPa)'."""
    return both(f"{mpa / KSI:.1f} ksi", f"{mpa:.0f} MPa" if mpa >= 100 else f"{mpa:.1f} MPa", first)


def modulus_words(mpa: float, first: Unit) -> str:
    """'10.50 Msi (72.4 GPa)'."""
    return both(f"{mpa / MSI:.2f} Msi", f"{mpa / 1000:.1f} GPa", first)


def quantity_words(value: float, kind: str, first: Unit) -> str:
    """A number of a record in both units; ratios and percents have one."""
    if kind == "modulus":
        return modulus_words(value, first)
    if kind == "stress":
        return stress_words(value, first)
    if kind == "density":
        return both(f"{value / LB_IN3:.3f} lb/in3", f"{value:.0f} kg/m3", first)
    if kind == "scatter":
        return f"{100 * value:.3g} % (sd/mean)"
    return f"{100 * value:.3g} %" if kind == "percent" else f"{value:.3g}"


def fact_words(key: str, fact: Fact, first: Unit) -> tuple[str, str]:
    """(name, value in both units) of one number of a record."""
    name, kind = QUANTITIES[key]
    return name, quantity_words(fact.value, kind, first)


def rival_words(quantity: str, fact: Fact, first: Unit) -> str:
    """The value of one side of a conflict, in both units where it has them."""
    kind = QUANTITIES[quantity][1] if quantity in QUANTITIES else "stress" if fact.unit == "MPa" else "ratio"
    return quantity_words(fact.value, kind, first)


def note_words(fact: Fact) -> str:
    """The note without the printed figure that the value repeats."""
    return "; ".join(part for part in fact.note.split("; ") if not part.startswith("printed "))


def percent_words(ratio: float) -> str:
    """A signed share in percent with two digits: '+0.8 %', '-12 %'."""
    percent = 100 * ratio
    digits = 0 if abs(percent) >= 9.95 else 1
    return f"{percent:+.{digits}f} %" if abs(percent) >= 0.05 else "0.0 %"


def conflict_name(quantity: str) -> str:
    """The quantity of a conflict as a person calls it."""
    return QUANTITIES[quantity][0] if quantity in QUANTITIES else quantity


def title_words(m: Material) -> str:
    """'2024, temper T3, clad'; 'T3' alone where the alloy is not known."""
    words = [m.alloy, f"temper {m.temper}" if m.temper else "", "clad" if m.clad else "bare" if m.alloy else ""]
    return ", ".join(w for w in words if w)


def origin_words(card: Card) -> str:
    """Whose record it is, and whether it stands before one of the catalogue."""
    if card.hides:
        return "The shop's own record: it overrides the catalogue's record of this name."
    return "The catalogue's record." if card.material.origin == "catalogue" else "The shop's own record."


def one_source(m: Material) -> str:
    """The one source that stands for every number of a shop's record; "" for a record of the catalogue."""
    if m.origin == "catalogue":
        return ""
    return next((f.source for f in m.facts.values()), m.hardening.source if m.hardening else "")


def source_words(m: Material, fact: Fact) -> str:
    """Source and note of a number, as far as `one_source` does not say it."""
    note = note_words(fact)
    return "; ".join(part for part in ("" if one_source(m) else fact.source, note) if part)


def curve_words(k_mpa: float, n: float | None, prestrain: float | None, first: Unit) -> str:
    """'K 108.9 ksi (751 MPa), n 0.157, e0 0.0050'."""
    words = f"K {stress_words(k_mpa, first)}"
    words += "" if n is None else f", n {n:g}"
    return words + (f", e0 {prestrain:g}" if prestrain else ", e0 0" if n is not None else "")


def check_words(check: StrengthCheck) -> str:
    """'+0.8 %, agrees'."""
    return f"{percent_words(check.miss)}, {check.verdict}"


def derived_words(card: Card, first: Unit) -> tuple[tuple[str, str], ...]:
    """(what, number in words) of everything that follows from the record, in the order of a card."""
    d, m = card.derived, card.material
    out: list[tuple[str, str]] = []
    if d.uniform_strain is not None:
        elongation = f"{100 * expm1(d.uniform_strain):.1f} % elongation"
        out.append(("uniform strain (Considere)", f"{d.uniform_strain:.3f} true, {elongation}"))
    if d.yield_by_curve is not None:
        out.append(("stress at 0.2 % by the curve", stress_words(d.yield_by_curve, first)))
    if d.strength_by_curve is not None:
        words = stress_words(d.strength_by_curve, first)
        words += f": {check_words(d.check)} (rule S2)" if d.check else ": no strength to compare with"
        out.append(("strength by the curve", words))
    if d.by_rule is not None and m.hardening is not None and m.hardening.rule != "S1":
        s1 = d.by_rule
        words = curve_words(s1.k, round(s1.n, 3), round(s1.e0, 4), first)
        out.append(("rule S1 would give", words))
    if d.plane_strain_limit is not None:
        out.append(("necking in plane strain", f"{d.plane_strain_limit:.3f} true (rule F1, untested)"))
    if d.clad_fraction is not None:
        out.append(("cladding a side, by the moduli", f"{100 * d.clad_fraction:.1f} % (rule CL1)"))
    cov = m.number("k_cov")
    if m.hardening is not None and cov is not None:
        out.append(("90 % of lots lie within", f"{Z90 * 100 * cov:.0f} % of the flow curve, if scatter is normal"))
    return tuple(out)
