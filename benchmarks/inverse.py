"""The inverse blank: how fast, what takes the time, how it grows, how much memory, and a generic solver beside it.

    python benchmarks/inverse.py [--json] [--no-generic] [--random 300 --seed 0]

Parts: a ring with a stretch flange (R 60, L 20, 90 deg, web held), and a plate round it (web free, held by friction); 2 500 to 40 000
triangles. CPU seconds of one run after a first one, which loads what is compiled. The generic solvers get the same equations, the same
ladder of laws and the same start: scipy's newton_krylov (forces alone) and least_squares (with this matrix, sparse), at 600
and 1 500 triangles. --random: curved flanges with two free ends, drawn from wide ranges, and what was answered, nothing else.
Nothing here was compared with a real part.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

SIZES = {2500: 2.85, 10000: 1.4, 40000: 0.695}
PLATES = {2500: 4.1, 10000: 2.0, 40000: 0.995}


def blank() -> Any:
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.inverse.hill import Anisotropy
    from ribwright.mechanics.inverse.model import Blank
    from ribwright.mechanics.sheet_law import sheet_law

    return Blank(sheet_law(70000.0, 0.33, Swift(330.0, 0.2, 1e-4)), 1.0, Anisotropy(0.7, 0.8, 0.9))


class Clock:
    """CPU seconds by name, of functions it has been put round."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}

    def round(self, name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def timed(*args: Any, **kwargs: Any) -> Any:
            start = time.process_time()
            try:
                return function(*args, **kwargs)
            finally:
                self.spent[name] = self.spent.get(name, 0.0) + time.process_time() - start

        return timed


def run(kind: str, h: float, thinning: bool) -> dict[str, Any]:
    """One part; shares of assembly, factorisation, linear steps and preparation."""
    from formed_rings import ring
    from ribwright.mechanics.inverse import model, newton, system

    formed = ring(-1, 60, 20, 90, h, web=0.0 if kind == "ring" else 60.0)
    friction = None if kind == "ring" else model.Friction(2.0)
    clock = Clock()
    kept = (system.assemble, system.factored, newton.solve, model.settle)
    system.assemble = clock.round("assembly", kept[0])  # type: ignore[assignment]
    system.factored = clock.round("factorisation", kept[1])
    newton.solve = clock.round("linear", kept[2])  # type: ignore[assignment]
    model.settle = clock.round("search", kept[3])  # type: ignore[assignment]
    try:
        start = time.process_time()
        flat = model.flat_of(formed, blank(), friction, thinning=thinning)
        cpu = time.process_time() - start
    finally:
        system.assemble, system.factored, newton.solve, model.settle = kept
    s = clock.spent
    return {
        "part": kind,
        "triangles": len(formed.triangles),
        "unknowns": 2 * int(len(formed.nodes) - (0 if friction else formed.held.sum())),
        "thinning": thinning,
        "outcome": flat.outcome,
        "cpu_s": round(cpu, 3),
        "assembly_s": round(s["assembly"], 3),
        "factorisation_s": round(s["factorisation"], 3),
        "linear_s": round(s["linear"], 3),
        "preparation_s": round(cpu - s["search"], 3),
        "steps": flat.steps,
        "factors": flat.factors,
        "linear_steps": flat.linear,
        "residual": flat.residual,
        "peak_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024),
    }


def generic(h: float) -> list[dict[str, Any]]:
    """Scipy's solvers on the same equations, to the same balance."""
    from scipy.optimize import least_squares, newton_krylov
    from scipy.optimize._nonlin import NoConvergence

    from formed_rings import ring
    from ribwright.mechanics.inverse import model
    from ribwright.mechanics.inverse.newton import RUNGS

    formed, sheet = ring(-1, 60, 20, 90, h), blank()
    start = time.process_time()
    ours = model.flat_of(formed, sheet, thinning=False)
    own = time.process_time() - start
    pieces = model._pieces(formed, False)
    assert pieces is not None
    system = model._system(formed, pieces, sheet.as_arrays(), None)
    free = system.number >= 0

    def places(v: Any) -> Any:
        return system.moved(formed.start, v, 1.0)

    def forces(v: Any, regular: float) -> Any:
        off = system.at(places(v), regular, 0.0, False)
        return off.off.ravel() if off.least > 0.0 else np.full(v.size, 1e6)

    def slope(v: Any, regular: float) -> Any:
        return system.edge_pattern.matrix(system.at(places(v), regular, 0.0).data).tocsr()

    out = []
    for name in ("least_squares", "newton_krylov"):
        v, start, ended = np.zeros(2 * int(free.sum())), time.process_time(), True
        for regular in RUNGS:
            if name == "least_squares":
                tolerance = 1e-12 if regular == RUNGS[-1] else 1e-4
                found = least_squares(
                    forces,
                    v,
                    slope,
                    args=(regular,),
                    tr_solver="lsmr",
                    xtol=tolerance,
                    ftol=tolerance,
                    gtol=tolerance,
                    max_nfev=200,
                )
                v = found.x
            else:
                try:
                    v = newton_krylov(
                        lambda u, r=regular: forces(u, r), v, f_tol=1e-6 if regular == RUNGS[-1] else 1.0, maxiter=60
                    )
                except NoConvergence as e:
                    v, ended = np.asarray(e.args[0]).ravel(), False
        cpu = time.process_time() - start
        off = float(np.abs(places(v) - ours.places).max())
        out.append(
            {
                "solver": name, "triangles": len(formed.triangles), "cpu_s": round(cpu, 2), "ours_cpu_s": round(own, 3),
                "times_ours": round(cpu / own, 1), "apart_mm": off, "converged": ended,
            }
        )  # fmt: skip
    return out


def drawn(seed: int) -> tuple[dict[str, Any], Any, Any]:
    """One random flange with free ends: what was drawn, its mesh, its sheet. Edge strain of the closed form under 0.5."""
    from formed_rings import part_of_ring, ring, section
    from ribwright.mechanics.annulus import closed_form_width
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.inverse.hill import Anisotropy
    from ribwright.mechanics.inverse.model import Blank
    from ribwright.mechanics.sheet_law import sheet_law

    r = np.random.default_rng([2026, seed])
    while True:
        sign, radius, t = (
            float(r.choice([-1.0, 1.0])),
            float(np.exp(r.uniform(np.log(20), np.log(400)))),
            float(r.uniform(0.5, 2.0)),
        )
        bend, angle, length = t * float(r.uniform(1.5, 4.0)), float(r.uniform(50, 110)), float(r.uniform(6.0, 25.0))
        width, closes = closed_form_width(sign / radius, bend + t / 2, angle, length)
        off = (bend + t / 2) * np.sin(np.radians(angle)) + length * np.cos(np.radians(angle))
        formed, flat = 1 + sign / radius * off, 1 + sign / radius * float(width)
        if not closes and min(formed, flat) > 0.1 and abs(np.log(formed / flat)) < 0.5:
            break
    n, share = float(r.uniform(0.05, 0.3)), float(r.uniform(0.1, 0.9))
    h = float(r.uniform(1.5, 3.0))
    a = Anisotropy(*(float(v) for v in r.uniform(0.5, 1.2, 3)), float(r.uniform(0, 180)))
    whole = ring(sign, radius, length, angle, h, mid_radius=bend + t / 2, thickness=t, kf=0.45)
    part = part_of_ring(whole, len(section(length, angle, h, bend + t / 2).s), share)
    said = {
        "sign": sign,
        "radius": radius,
        "t": t,
        "bend": bend,
        "angle": angle,
        "length": length,
        "n": n,
        "share": share,
    }
    said |= {"edge_strain": float(np.log(formed / flat)), "triangles": len(part.triangles)}
    return said, part, Blank(sheet_law(70000.0, 0.33, Swift(400.0, n, 1e-3)), t, a)


def random_flanges(count: int, seed: int) -> dict[str, Any]:
    """How they were answered; every one that was not, with what was drawn."""
    from ribwright.mechanics.inverse import model

    outcomes: dict[str, int] = {}
    steps, failed, start = [], [], time.process_time()
    for i in range(count):
        said, part, sheet = drawn(seed + i)
        flat = model.flat_of(part, sheet)
        outcomes[flat.outcome] = outcomes.get(flat.outcome, 0) + 1
        steps.append(flat.steps)
        if flat.outcome not in (model.ANSWERED, model.WOULD_NECK):
            failed.append(said | {"seed": seed + i, "outcome": flat.outcome})
    cpu = time.process_time() - start
    return {
        "flanges": count,
        "outcomes": outcomes,
        "steps_median": float(np.median(steps)),
        "cpu_s": round(cpu, 1),
        "failed": failed,
    }


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--json", action="store_true")
    words.add_argument("--no-generic", action="store_true")
    words.add_argument("--random", type=int, default=0)
    words.add_argument("--seed", type=int, default=0)
    asked = words.parse_args()
    if asked.random:
        print(json.dumps(random_flanges(asked.random, asked.seed), indent=1))
        return
    run("ring", 6.0, True), run("plate", 12.0, True)
    rows = []
    for thinning in (False, True):
        rows += [run("ring", h, thinning) for h in SIZES.values()]
        rows += [run("plate", h, thinning) for h in PLATES.values()]
    beside = [] if asked.no_generic else [row for h in (8.0, 4.0) for row in generic(h)]
    if asked.json:
        print(json.dumps({"runs": rows, "generic": beside}, indent=1))
        return
    for row in rows:
        print(", ".join(f"{k} {v}" for k, v in row.items()))
    for row in beside:
        print(", ".join(f"{k} {v}" for k, v in row.items()))


if __name__ == "__main__":
    main()
