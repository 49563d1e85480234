"""The JSON answers about materials: one record, the list of all, and what a tensile record gave."""

from __future__ import annotations

from typing import Any

from ribwright.mechanics import tensile_fit as tf
from ribwright.mechanics.flow_estimate import StrengthCheck
from ribwright.shop.sheet import Conflict, Fact, Material
from ribwright.stages.material import USES, Card, Radii, side_of, use_of
from ribwright.stages.tensile import Entry, Tested
from ribwright.version import __version__


def list_answer(materials: dict[str, Material]) -> dict[str, Any]:
    """Every record once, by name."""
    once = {m.name: m for m in materials.values()}
    rows = [
        {
            "name": name,
            "alloy": m.alloy,
            "temper": m.temper,
            "clad": m.clad,
            "origin": m.origin,
            "flow_curve": _standing(m.hardening),
            "conflicts": len(m.conflicts),
        }
        for name, m in sorted(once.items())
    ]
    return {"ribwright": __version__, "materials": rows}


def card_answer(card: Card) -> dict[str, Any]:
    """One record with everything derived from it."""
    m = card.material
    return {"ribwright": __version__, "material": {**_head(card), **_numbers(m), **_derived(card), **_tables(card)}}


def _head(card: Card) -> dict[str, Any]:
    m = card.material
    words = ("name", "alloy", "temper", "clad", "family", "origin", "bend_row")
    head: dict[str, Any] = {word: getattr(m, word) for word in words}
    return {**head, "overrides_catalogue": card.hides, "aliases": list(m.aliases), "notes": list(m.notes)}


def _numbers(m: Material) -> dict[str, Any]:
    h = m.hardening
    hardening = None
    if h is not None:
        constants = {k: getattr(h, k) for k in ("law", "k_mpa", "n", "prestrain", "kinematic_share")}
        uses = {k: USES[k] for k in ("k_mpa", "n", "prestrain", "kinematic_share")}
        hardening = {**constants, "source": h.source, "status": h.status, "rule": h.rule, "used_for": uses}
    return {"facts": {k: {**_fact(f), "used_for": use_of(k, m)} for k, f in m.facts.items()}, "hardening": hardening}


def _derived(card: Card) -> dict[str, Any]:
    d = card.derived
    s1 = d.by_rule
    derived = {
        "uniform_strain": d.uniform_strain,
        "yield_by_curve_mpa": d.yield_by_curve,
        "strength_by_curve_mpa": d.strength_by_curve,
        "strength_check": _check(d.check),
        "rule_s1": None if s1 is None else {"k_mpa": s1.k, "n": s1.n, "prestrain": s1.e0, "uniform_strain": s1.eu},
        "plane_strain_limit": d.plane_strain_limit,
        "clad_fraction": d.clad_fraction,
    }
    curve = [{"plastic_strain": e, "true_stress_mpa": s} for e, s in card.curve]
    return {"derived": derived, "flow_curve": curve}


def _tables(card: Card) -> dict[str, Any]:
    m = card.material
    return {
        "bend_radii": [_radii(r) for r in card.radii],
        "conflicts": [_conflict(c, m) for c in m.conflicts],
        "unknown": [{"missing": u.missing, "then": u.then} for u in card.unknown],
    }


def _radii(radii: Radii) -> dict[str, Any]:
    rows = [
        {"thickness_mm": r.thickness_mm, "gauge": r.gauge, "radius_mm": r.meet_mm, "least_mm": r.least_mm}
        for r in radii.rows
        if r.meet_mm is not None
    ]
    t = radii.table
    return {"table": t.name, "source": t.source, "status": radii.status, "note": t.note, "rows": rows}


def _conflict(c: Conflict, m: Material) -> dict[str, Any]:
    values = []
    for i, rival in enumerate(c.rivals):
        side = side_of(c, i, m)
        more: dict[str, Any] = {}
        if side is not None:
            more = {"n": rival.n, "prestrain": rival.prestrain, "yield_by_curve_mpa": side.yield_by_curve}
            more["strength_check"] = _check(side.check)
        values.append({**_fact(rival.fact), **more})
    return {"quantity": c.quantity, "values": values, "trusted": c.trusted or None, "why": c.why}


def _fact(f: Fact) -> dict[str, Any]:
    return {"value": f.value, "unit": f.unit, "source": f.source, "status": f.status, "rule": f.rule, "note": f.note}


def _check(c: StrengthCheck | None) -> dict[str, Any] | None:
    return None if c is None else {"strength_mpa": c.strength, "miss": c.miss, "verdict": c.verdict}


def _standing(hardening: Any) -> str | None:
    if hardening is None:
        return None
    return f"{hardening.status} by {hardening.rule}" if hardening.rule else str(hardening.status)


def tested_answer(entry: Entry, toml: str) -> dict[str, Any]:
    """What a tensile record gave, the fits beside each other, and the table for shop.toml as text."""
    t = entry.tested
    return {
        "ribwright": __version__,
        "tensile": {
            "name": entry.name,
            "file": t.record.file,
            "kind": t.record.kind,
            "lot": t.record.lot,
            "direction": t.record.direction,
            "date": t.record.date,
            "modulus_mpa": t.elastic.modulus,
            "modulus_standard_error_mpa": t.elastic.modulus_error,
            "modulus_measured": t.elastic.measured,
            "elastic_points": t.elastic.points,
            "toe_strain": t.elastic.toe,
            "yield_mpa": t.elastic.yield_stress,
            "strength_mpa": t.greatest.strength,
            "uniform_strain": t.greatest.true_strain,
            "uniform_strain_flat": list(t.greatest.flat),
            "greatest_load_reached": t.greatest.reached,
            "fits": [_fit(f) for f in (t.swift, t.voce) if f is not None],
            "taken": "swift",
            "taken_why": taken_why(t),
            "strength_check": _check(t.check),
            "borrowed": {"from": entry.like.name, **entry.borrowed} if entry.like else None,
        },
        "shop_record": toml,
    }


def taken_why(t: Tested) -> str:
    """Why the Swift fit is written, and what would follow the record more closely."""
    if t.voce is None or not t.voce_is_closer:
        return "Swift follows the record more closely, and it is the law the calculation knows."
    return (
        f"Voce follows the record more closely ({100 * t.voce.rms:.2g} % rms against {100 * t.swift.rms:.2g} %), but the "
        "calculation knows Swift only: Swift is written."
    )


NAMES = {"swift": ("k_mpa", "n", "prestrain"), "voce": ("s0_mpa", "q_mpa", "b")}


def _fit(f: tf.Fit) -> dict[str, Any]:
    constants = dict(zip(NAMES[f.law], f.constants, strict=True))
    return {"law": f.law, **constants, "rms": f.rms, "worst": f.worst, "from_strain": f.low, "to_strain": f.high}
