"""The section model: how many random flanges it answers, how fast, with how much memory, and how the time grows with the mesh.

    python benchmarks/section.py [--cases 300] [--seed 0] [--slice 0/1] [--json]

Each case is one flange drawn from wide ranges (sheets soft to hard, 0.3 to 3.2 mm, bends from 0.8 t to 8 t, walls 30 to 125 deg,
flanges from 2 t past the bend to 60 t, straight, convex and concave edges, holes, friction, r from 0.5 to 1.5, back stress of any share) at
one pressure from 1 to 140 MPa, released, the block taken away. Beside the time stands that of as many banded solves of the same size by
scipy as Newton's method took steps: what any such model must spend. CPU seconds, the first run, which loads what is compiled, not
counted. Nothing here was compared with a real part.
"""

from __future__ import annotations

import argparse
import json
import resource
import statistics
import time
from typing import Any

import numpy as np

SHEETS = {  # E, nu, K, n, yield [MPa]: study values
    "2024-O": (73800.0, 0.33, 330.0, 0.2, 76.0),
    "2024-T3": (73800.0, 0.33, 690.0, 0.16, 345.0),
    "6061-T4": (68900.0, 0.33, 410.0, 0.21, 145.0),
    "304": (193000.0, 0.29, 1275.0, 0.45, 241.0),
    "7075-T6": (71000.0, 0.33, 750.0, 0.09, 470.0),
}


def drawn(seed: int) -> tuple[str, Any, float]:
    """What it is, the flange, the pressure [MPa]."""
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.section.model import Flange
    from ribwright.mechanics.sheet_law import sheet_law

    r = np.random.default_rng([2026, seed])
    name = str(r.choice(list(SHEETS)))
    e, nu, k, n, y = SHEETS[name]
    share = float(r.uniform(0.0, 1.0))
    law = sheet_law(e, nu, Swift(k, n, (y / k) ** (1.0 / n)), r=float(r.uniform(0.5, 1.5)), share=share)
    t = float(np.exp(r.uniform(np.log(0.3), np.log(3.2))))
    radius = float(r.uniform(0.8, 8.0)) * t
    wall = float(r.uniform(30.0, 125.0))
    straight = t * float(np.exp(r.uniform(np.log(2.0), np.log(60.0))))
    arc = (radius + t / 2.0) * float(np.radians(wall))
    kind = str(r.choice(["straight", "convex", "concave", "hole"], p=[0.4, 0.2, 0.2, 0.2]))
    axis, sign = None, 1.0
    if kind == "convex":
        axis = float(np.exp(r.uniform(np.log(1.2), np.log(40.0)))) * (arc + straight)
    elif kind != "straight":
        # the cut edge keeps a radius: holes from a fifth of the reach on, edges larger
        axis, sign = (
            (arc + straight)
            * float(r.uniform(1.2, 4.0) if kind == "hole" else np.exp(r.uniform(np.log(4.0), np.log(60.0)))),
            -1.0,
        )
    friction = float(r.choice([0.0, 0.0, 0.1, 0.3]))
    pressure = float(np.exp(r.uniform(np.log(1.0), np.log(140.0))))
    f = Flange(law, t, radius, wall, straight, axis, sign, friction=friction)
    return (
        f"{seed} {name} t {t:.2f} R/t {radius / t:.1f} wall {wall:.0f} s/t {straight / t:.1f} {kind} mu {friction} p {pressure:.1f}",
        f,
        pressure,
    )


def banded_solve_seconds(elements: int) -> float:
    """CPU time of one banded solve of the strip's size by scipy."""
    from scipy.linalg import solve_banded

    from ribwright.mechanics.section.band import WIDE

    n = 3 * (elements + 1)
    r = np.random.default_rng(0)
    ab, b = r.normal(size=(2 * WIDE + 1, n)), r.normal(size=n)
    ab[WIDE] += 20.0
    solve_banded((WIDE, WIDE), ab, b)
    start = time.process_time()
    for _ in range(200):
        solve_banded((WIDE, WIDE), ab, b)
    return (time.process_time() - start) / 200


def run(first: int, cases: int, step: int = 1) -> dict[str, Any]:
    from ribwright.mechanics.section.model import CONVERGED, press_through

    _, f, p = drawn(0)
    press_through(f, (p,))
    spent, newtons, flagged, closed = [], [], [], 0
    for seed in range(first, cases, step):
        what, f, p = drawn(seed)
        start = time.process_time()
        done = press_through(f, (p,))
        spent.append(time.process_time() - start)
        newtons.append(done.newtons)
        if done.outcome == CONVERGED:
            closed += done.points[-1].loaded.angle > f.wall - 0.5
        else:
            flagged.append(what)
        if spent[-1] == max(spent):
            slowest = what
    each = banded_solve_seconds(104)
    return {
        "cases": len(spent), "answered": len(spent) - len(flagged), "flagged": flagged, "closed": int(closed),
        "median_s": statistics.median(spent), "mean_s": statistics.fmean(spent), "slowest_s": max(spent), "slowest": slowest,
        "newtons_median": statistics.median(newtons), "times_banded_solves": sum(spent) / (each * sum(newtons)),
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }  # fmt: skip


def growth() -> list[tuple[int, float, float]]:
    """Elements, CPU seconds, released angle [deg] of one flange by mesh."""
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.section.model import Flange, press_through, strip_of
    from ribwright.mechanics.sheet_law import sheet_law

    e, nu, k, n, y = SHEETS["2024-T3"]
    f = Flange(sheet_law(e, nu, Swift(k, n, (y / k) ** (1.0 / n))), 1.0, 3.0, 90.0, 12.0)
    out = []
    for fine in (0.5, 1.0, 2.0, 4.0):
        start = time.process_time()
        end = press_through(f, (14.0,), fine=fine).points[-1].released
        out.append((len(strip_of(f, fine).arc) - 1, time.process_time() - start, end.angle if end else float("nan")))
    return out


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--cases", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0, help="first case")
    parser.add_argument("--slice", default="0/1", help="k/n: every n-th case from the k-th on")
    parser.add_argument("--json", action="store_true")
    a = parser.parse_args()
    k, n = map(int, a.slice.split("/"))
    got = run(a.seed + k, a.seed + a.cases, n)
    got["growth"] = growth()
    if a.json:
        print(json.dumps(got))
        return
    share = got["answered"] / got["cases"]
    print(
        f"{got['cases']} flanges: {got['answered']} answered ({share:.2%}), {len(got['flagged'])} flagged, {got['closed']} closed"
    )
    print(
        f"CPU s: median {got['median_s']:.3f}, mean {got['mean_s']:.3f}, slowest {got['slowest_s']:.2f} ({got['slowest']})"
    )
    print(
        f"Newton steps: median {got['newtons_median']:.0f}; {got['times_banded_solves']:.1f} x as many banded solves by scipy"
    )
    print(f"peak memory {got['peak_mb']:.0f} MB")
    for elements, seconds, angle in got["growth"]:
        print(f"  {elements:4d} elements: {seconds:.2f} s, released at {angle:.2f} deg")
    for line in got["flagged"]:
        print("  flagged:", line)


if __name__ == "__main__":
    main()
