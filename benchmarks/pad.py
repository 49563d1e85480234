"""The pad model: how many cases it answers, how fast, with how much memory.

    python benchmarks/pad.py [--cases 200] [--seed 0] [--no-grid] [--json]

The grid: 2024-O and 2024-T3, sheet 0.8 and 1.6 mm, R/t 1.5 and 3, pads of 60 and 90 Shore A, flange 16, block 25 mm high, pad 100 mm
thick in a container, taken to 70 MPa with release at five pressures. The random ones: sheets, bends, flanges, blocks, pads (some
loose), containers and pressures drawn from wide ranges. CPU seconds; the first run, which loads what is compiled, is not
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

PRESSURES = (3.5, 7.0, 14.0, 35.0, 70.0)
SHEETS = {  # E, nu, K, n, yield [MPa]: study values
    "2024-O": (73800.0, 0.33, 330.0, 0.2, 76.0),
    "2024-T3": (73800.0, 0.33, 690.0, 0.16, 345.0),
    "6061-T4": (68900.0, 0.33, 410.0, 0.21, 145.0),
    "304": (193000.0, 0.29, 1275.0, 0.45, 241.0),
}


def flange(sheet: str, t: float, ratio: float, width: float, wall: float = 90.0) -> Any:
    """A straight flange; width from the outside mold line."""
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.section.model import Flange
    from ribwright.mechanics.sheet_law import sheet_law

    e, nu, k, n, y = SHEETS[sheet]
    law = sheet_law(e, nu, Swift(k, n, (y / k) ** (1.0 / n)))
    radius = ratio * t
    return Flange(law, t, radius, wall, width - (radius + t) * float(np.tan(np.radians(wall) / 2.0)))


def grid() -> list[tuple[str, Any, Any, tuple[float, ...]]]:
    """Name, flange, press, pressures."""
    from ribwright.mechanics.pad import shear_modulus
    from ribwright.mechanics.pad_model.press import PadPress
    from ribwright.mechanics.pad_model.rubber import neo_hookean

    out = []
    for shore in (60, 90):
        press = PadPress(neo_hookean(float(shear_modulus(shore).shear_mpa)), 100.0, 70.0, 40.0, 25.0)
        for sheet in ("2024-O", "2024-T3"):
            for t in (0.8, 1.6):
                for ratio in (1.5, 3.0):
                    out.append((f"{sheet} {t} R{ratio}t {shore}A", flange(sheet, t, ratio, 16.0), press, PRESSURES))
    return out


def drawn(seed: int) -> tuple[str, Any, Any, tuple[float, ...]]:
    """One random case: valid, and not always sensible."""
    from ribwright.mechanics.pad import shear_modulus
    from ribwright.mechanics.pad_model.press import PadPress
    from ribwright.mechanics.pad_model.rubber import neo_hookean

    r = np.random.default_rng([2026, seed])
    sheet = str(r.choice(list(SHEETS)))
    t, ratio, wall = float(r.uniform(0.4, 2.0)), float(r.uniform(1.0, 6.0)), float(r.uniform(60.0, 105.0))
    radius = ratio * t
    setback = (radius + t) * float(np.tan(np.radians(wall) / 2.0))
    width = setback + float(r.uniform(max(3.0 * t, 4.0), 25.0))
    f = flange(sheet, t, ratio, width, wall)
    depth = (radius + t) * (1.0 - np.cos(np.radians(wall))) + f.straight * np.sin(np.radians(wall))
    height = float(depth + r.uniform(2.0, 25.0))
    half = float(r.uniform(setback + 10.0, 80.0))
    reach = half - radius * np.tan(np.radians(wall) / 2.0) + f.arc() + f.straight
    loose = r.uniform() < 0.15
    size = float(reach + r.uniform(2.0 * t + 1.0, 60.0))
    shore = float(r.uniform(35.0, 92.0))
    thickness = float(r.uniform(max(50.0, 1.5 * height), 160.0))
    press = PadPress(neo_hookean(float(shear_modulus(shore).shear_mpa)), thickness, size, half, height, not loose, 0.4)
    last = float(np.exp(r.uniform(np.log(2.0), np.log(15.0 if loose else 70.0))))
    name = f"{seed}: {sheet} {t:.2f} R{ratio:.1f}t wall {wall:.0f} w {width:.1f} {shore:.0f}A {'loose' if loose else 'box'}"
    return name, f, press, (0.5 * last, last)


def one(case: tuple[str, Any, Any, tuple[float, ...]]) -> dict[str, Any]:
    """Press it and measure."""
    from ribwright.mechanics.pad_model.press import press_pad

    name, f, press, pressures = case
    start = time.process_time()
    run = press_pad(f, press, pressures)
    return {
        "case": name,
        "outcome": run.outcome,
        "findings": run.findings,
        "asked_mpa": pressures[-1],
        "reached_mpa": round(run.reached, 3),
        "allowed_mpa": run.allowed and round(run.allowed, 3),
        "folded_mpa": run.folded and round(run.folded, 3),
        "closing_mpa": run.closing and round(run.closing, 3),
        "loaded_deg": [round(p.loaded.angle, 2) for p in run.points],
        "released_deg": [p.released and round(p.released.angle, 2) for p in run.points],
        "stretch": round(float(run.path[:, 4].max(initial=1.0)), 2),
        "steps": run.steps,
        "factors": run.factors,
        "cpu_s": round(time.process_time() - start, 2),
    }


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Shares and times."""
    seconds = [r["cpu_s"] for r in rows if r["outcome"] != "refused"]
    outcomes = [r["outcome"] for r in rows]
    return {
        "cases": len(rows),
        "outcomes": {o: outcomes.count(o) for o in sorted(set(outcomes))},
        "released": sum(bool(r["released_deg"]) and None not in r["released_deg"] for r in rows),
        "median_s": statistics.median(seconds) if seconds else None,
        "slowest_s": max(seconds, default=None),
    }


def main() -> None:
    """Run and print."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--cases", type=int, default=200, help="random cases")
    options.add_argument("--seed", type=int, default=0, help="the first of them")
    options.add_argument("--no-grid", action="store_true")
    options.add_argument("--json", action="store_true")
    asked = options.parse_args()
    one(("warm", flange("2024-O", 0.8, 3.0, 16.0), grid()[0][2], (0.2,)))
    groups = {"grid": [] if asked.no_grid else grid()}
    groups["random"] = [drawn(s) for s in range(asked.seed, asked.seed + asked.cases)]
    result: dict[str, Any] = {}
    for group, cases in groups.items():
        rows = []
        for case in cases:
            rows.append(one(case))
            if not asked.json:
                r = rows[-1]
                print(
                    f"{r['cpu_s']:6.1f} s {r['steps']:5} steps  {r['case']}: {r['outcome']} {','.join(r['findings'])} "
                    f"{'' if r['folded_mpa'] is None else 'folded from ' + str(r['folded_mpa']) + ' MPa '}"
                    f"{r['reached_mpa']:.1f} of {r['asked_mpa']:.1f} MPa, loaded {r['loaded_deg']} released {r['released_deg']}",
                    flush=True,
                )
        if rows:
            result[group] = {**summary(rows), "rows": rows}
    result["peak_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    if asked.json:
        print(json.dumps(result, indent=1))
    else:
        for group in groups:
            if group in result:
                print(group, {k: v for k, v in result[group].items() if k != "rows"})
        print(f"peak memory {result['peak_mb']:.0f} MB")


if __name__ == "__main__":
    main()
