"""Made-up inspections of the example parts, for tests of their papers: no part was ever measured."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np

from ribwright.documents.characteristics import first_unit
from ribwright.documents.measures import Measure, measures
from ribwright.features.inspected import ANGLE, Said
from ribwright.features.laid import LaidEdge
from ribwright.stages.found import Drift, Fit, Found, FoundSet, Profile
from ribwright.stages.inspection import Inspection, judged_all
from ribwright.stages.plan import Plan

BY = {"flange_angle": ("protractor", "G-02", 0.1), "contour": ("points", "", 0.06)}
CALLIPER = ("calliper", "G-05", 0.0254)
ROUGH = {"flange_angle": 1.3, "contour": 0.5, "hole_position": 0.05}


def found_at(m: Measure, off: float, u: float | None = 0.0254) -> Found:
    """What was asked, found `off` from its nominal, by the gauge that reads it."""
    by, gauge, own = BY.get(m.quantity, CALLIPER)
    nominal = 0.0 if m.quantity == "hole_position" else m.value or 0.0
    where = {k: v for k, v in m.where.items() if k != "of"}
    return Found(
        m.quantity, where, nominal + off, nominal, m.unit, own if u is not None else None, by, gauge, balloon=m.balloon
    )


def said_of(plan: Plan, **more: object) -> Said:
    """A head as the shop of the examples would write it."""
    part = plan.job.part
    said = Said(
        first_unit(plan),
        part.number,
        part.revision,
        part.hand,
        "S-0007",
        "L-0247",
        ("G-02", "G-05"),
        "W. Dunlin",
        "2031-03-10",
        press="P2",
        block="B-0112",
        pressure_mpa=10.0,
    )
    return replace(said, **more)  # type: ignore[arg-type]


def inspection_of(plan: Plan, seed: int = 7, points: bool = True) -> Inspection:
    """Everything that the sheet asks for and the data kinds can give, scattered about its nominal, and contours along every edge."""
    rng = np.random.default_rng(seed)
    unit = first_unit(plan)
    asked = [m for m in measures(plan, unit) if m.quantity not in ("", "contour") and m.value is not None]
    rows = [found_at(m, float(rng.normal(0.0, ROUGH.get(m.quantity, 0.15)))) for m in asked]
    profiles = []
    for loop in plan.blank.laid:
        for e in loop.edges:
            rows += _contour(e, rng)
            if points:
                profiles.append(_profile(e, rows))
    drifts = tuple(
        Drift(h.name, float(rng.normal(0, 0.05)), float(rng.normal(0, 0.05)), 0.03, h.kind == "tooling")
        for h in plan.job.part.holes
    )
    fit = Fit(3.2, -1.1, 0.42, 0.021, "pins", np.diag([1e-4, 1e-4, 1e-8]), (100.0, 0.0), drifts)
    found = FoundSet(tuple(rows), fit, tuple(profiles))
    said = said_of(plan)
    judged = judged_all(plan.job.part, plan.job.shop, said, found.found)
    return Inspection(said, f"{plan.job.part.number}-S-0007.csv", found, judged)


def _contour(e: LaidEdge, rng: np.random.Generator) -> list[Found]:
    long = e.drawn.length
    n = max(3, int(long / 25))
    at = (np.arange(n) + 0.5) * long / n
    off = 0.55 * np.sin(2 * pi * at / 160.0 + rng.uniform(0, 6)) + rng.normal(0, 0.05, n)
    return [
        Found("contour", {"edge": e.edge.name, "along_mm": float(x)}, float(d), 0.0, "mm", 0.06, "points", readings=40)
        for x, d in zip(at, off, strict=True)
    ]


def _profile(e: LaidEdge, rows: list[Found]) -> Profile:
    mine = [f for f in rows if f.quantity == "contour" and f.where["edge"] == e.edge.name]
    at = np.linspace(0.0, e.drawn.length, 200)
    return Profile(e.edge.name, at, np.interp(at, [f.where["along_mm"] for f in mine], [f.value for f in mine]))


def angle_of(m: Measure) -> bool:
    """Whether the characteristic is an angle."""
    return m.unit == ANGLE
