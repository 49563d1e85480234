"""Wrong ordinates found, right ones left alone: sections of equations of our own (tests/section_ordinates.py), rounded to 0.001 in.

    python benchmarks/ordinates.py [--tables 20] [--seed 1] [--clean N] [--together N] [--json]

Each table is judged clean, then with one planted error away from the nose (10 to 99 % of the chord, on a point that is judged) of 5 to
20 times the local fit error. That is measured two ways, each with tables of its own:
  own      s of geometry/fit_error on the clean table: what the tool itself calls local fit error
  outside  root mean square, over the seven nearest points, of the leave-one-out misses of scipy's interpolating cubic spline over chord
           length: nothing of ours in it
An error rounded to 0.001 in under twice that last digit cannot be typed apart from rounding and is drawn again.
Found: the planted point is told, and told first. Covered: the true value lies within what the tool gives as its uncertainty.
`--clean N` looks for false alarms on N more clean tables: how the thresholds were set.
`--together N` plants one, two and three errors side by side in N tables each, 5 to 20 times the tool's own local fit error, six tenths
of them all to one side.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from ribwright.adapters.read_table import read_table  # noqa: E402
from ribwright.geometry.fit_error import THRESHOLD, fit_error  # noqa: E402
from ribwright.geometry.run_error import run_error  # noqa: E402
from ribwright.geometry.suspects import RUN_THRESHOLDS, suspects  # noqa: E402
from ribwright.stages.suspect_ordinates import suspect_ordinates  # noqa: E402
from ribwright.stages.table_lines import TableLine, table_lines  # noqa: E402
from section_ordinates import IN, STEP_IN, Section, as_table, section  # noqa: E402

AWAY = (0.10, 0.99)
TIMES = (5.0, 20.0)
EXAMPLE = ROOT / "examples/ordinates/Q7-2102.csv"


def outside_error(points: np.ndarray) -> np.ndarray:
    """Local fit error (n,) with nothing of ours in it."""
    n, miss = len(points), np.zeros(len(points))
    for i in range(1, n - 1):
        rest = np.delete(points, i, axis=0)
        u = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rest, axis=0).T))])
        curve = CubicSpline(u, rest)
        fine = curve(np.linspace(u[i - 1], u[i], 400))
        miss[i] = np.hypot(*(fine - points[i]).T).min()
    miss[[0, -1]] = miss[[1, -2]]
    near = [np.argsort(np.abs(np.arange(n) - i), kind="stable")[:7] for i in range(n)]
    return np.array([np.sqrt(np.mean(miss[k] ** 2)) for k in near])


def planted(rng: np.random.Generator, how: str) -> dict[str, Any]:
    """One clean table judged, then the same with one error."""
    while True:
        s = section(rng)
        (line,) = table_lines(as_table(s.upper, s.lower))
        errors = fit_error(line.points, line.step)
        x = line.points[:, 0] / IN / s.chord
        could = np.flatnonzero(errors.judged & (x > AWAY[0]) & (x < AWAY[1]))
        i = int(rng.choice(could))
        local = (errors.local if how == "own" else outside_error(line.points))[i] / IN
        times = float(rng.uniform(*TIMES))
        error = float(np.round(times * local / STEP_IN) * STEP_IN * rng.choice([-1.0, 1.0]))
        if abs(error) >= 2 * STEP_IN:
            break
    clean = suspect_ordinates(as_table(s.upper, s.lower), (line,))
    side, row = line.source[i]
    found = suspect_ordinates(*_with(s, side, row, error))
    first = max(found, key=lambda o: o.share, default=None)
    told = first is not None and (first.side, first.line) == (side, row + 2)
    true = (s.upper if side == "upper" else s.lower)[row, 1] * IN
    return {
        "error_in": error,
        "times": times,
        "x": float(x[i]),
        "found": told,
        "covered": bool(told and first is not None and abs(first.fits - true) <= first.uncertain),
        "accused": len([o for o in found if (o.side, o.line) != (side, row + 2)]),
        "false_alarms": len(clean),
    }


def _with(s: Section, side: str, row: int, error: float) -> tuple[Any, tuple[TableLine, ...]]:
    upper, lower = s.upper.copy(), s.lower.copy()
    (upper if side == "upper" else lower)[row, 1] += error
    table = as_table(upper, lower)
    return table, table_lines(table)


def study(tables: int, seed: int, how: str) -> dict[str, Any]:
    """So many tables, each clean and with an error."""
    rng = np.random.default_rng(seed)
    rows = [planted(rng, how) for _ in range(tables)]
    found = [r for r in rows if r["found"]]
    return {
        "local_fit_error": how,
        "tables": tables,
        "found": len(found),
        "missed": [{k: r[k] for k in ("error_in", "times", "x")} for r in rows if not r["found"]],
        "covered": sum(r["covered"] for r in rows),
        "others_accused": sum(r["accused"] for r in rows),
        "clean_tables_with_false_alarm": sum(r["false_alarms"] > 0 for r in rows),
    }


def clean_study(tables: int, seed: int) -> dict[str, Any]:
    """The largest miss over local fit error of so many clean tables, of single points and of runs of two and three."""
    rng = np.random.default_rng(seed)
    largest: dict[int, list[float]] = {1: [], 2: [], 3: []}
    for _ in range(tables):
        s = section(rng)
        (line,) = table_lines(as_table(s.upper, s.lower))
        for k, shares in largest.items():
            errors = fit_error(line.points, line.step) if k == 1 else run_error(line.points, line.step, k)
            shares.append(float(errors.share.max()))
    limits = {1: THRESHOLD, **RUN_THRESHOLDS}
    return {
        "tables": tables,
        "runs": [
            {
                "together": k,
                "largest": {f"{q:g} %": round(float(np.quantile(v, q / 100)), 2) for q in (50, 90, 95, 99, 100)},
                "threshold": limits[k],
                "past_it": sum(x > limits[k] for x in v),
            }
            for k, v in largest.items()
        ],
    }


def together_study(tables: int, seed: int) -> list[dict[str, Any]]:
    """Errors side by side: in how many tables all of them are told and nothing else, one of them at least, a right point."""
    out = []
    for k in (1, 2, 3):
        rng = np.random.default_rng(seed)
        told = [side_by_side(rng, k) for _ in range(tables)]
        names = ("all_and_no_other", "one_at_least", "a_right_one")
        out.append({"together": k, "tables": tables} | {n: sum(t[i] for t in told) for i, n in enumerate(names)})
    return out


def side_by_side(rng: np.random.Generator, k: int) -> tuple[bool, bool, bool]:
    """A table with k errors at neighbouring points of one side: what is told."""
    while True:
        s = section(rng)
        (line,) = table_lines(as_table(s.upper, s.lower))
        errors = fit_error(line.points, line.step)
        x = line.points[:, 0] / IN / s.chord
        could = errors.judged & (x > AWAY[0]) & (x < AWAY[1])
        runs = [
            i for i in range(len(x) - k) if could[i : i + k].all() and len({q[0] for q in line.source[i : i + k]}) == 1
        ]
        first = int(rng.choice(runs))
        signs = np.full(k, rng.choice([-1.0, 1.0])) if rng.random() < 0.6 else rng.choice([-1.0, 1.0], k)
        local = errors.local[first : first + k] / IN
        off = np.round(rng.uniform(*TIMES, k) * local / STEP_IN) * STEP_IN * signs
        if np.abs(off).min() >= 2 * STEP_IN:
            break
    upper, lower = s.upper.copy(), s.lower.copy()
    for (side, row), e in zip(line.source[first : first + k], off, strict=True):
        (upper if side == "upper" else lower)[row, 1] += e
    (bad,) = table_lines(as_table(upper, lower))
    told, wrong = {q.index for q in suspects(bad.points, bad.step)}, set(range(first, first + k))
    return told == wrong, bool(told & wrong), bool(told - wrong)


def example() -> list[dict[str, Any]]:
    """The table of the example rib, with its wrong ordinate."""
    table = read_table(EXAMPLE)
    return [
        {
            "line": o.line,
            "side": o.side,
            "typed": o.typed,
            "would_fit_in": o.fits / IN,
            "uncertain_in": o.uncertain / IN,
            "times_local_fit_error": o.share,
        }
        for o in suspect_ordinates(table, table_lines(table))
    ]


def main() -> None:
    """Prints the studies."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--tables", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--clean", type=int, default=0)
    parser.add_argument("--together", type=int, default=0)
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    start = time.perf_counter()
    out: dict[str, Any] = {
        "studies": [study(args.tables, args.seed, how) for how in ("own", "outside")],
        "example": example(),
    }
    if args.clean:
        out["clean"] = clean_study(args.clean, args.seed + 1000)
    if args.together:
        out["together"] = together_study(args.together, args.seed + 2000)
    out["seconds"] = round(time.perf_counter() - start, 1)
    if args.json:
        print(json.dumps(out, indent=1))
        return
    for s in out["studies"]:
        print(f"local fit error {s['local_fit_error']}: {s['found']} of {s['tables']} found, true value covered in {s['covered']}, "
              f"others accused {s['others_accused']}, clean tables with a false alarm {s['clean_tables_with_false_alarm']}")  # fmt: skip
        for m in s["missed"]:
            print(f"  missed {m['error_in']:+.3f} in, {m['times']:.1f} times, at {100 * m['x']:.0f} % of the chord")
    for o in out["example"]:
        print(
            f"example: line {o['line']} {o['side']} {o['typed']}: {o['would_fit_in']:.4f} +- {o['uncertain_in']:.4f} in would fit"
        )
    if args.clean:
        for r in out["clean"]["runs"]:
            print(f"clean, {r['together']} together: largest {r['largest']}, past {r['threshold']} in {r['past_it']}")
    for r in out.get("together", []):
        print(
            f"{r['together']} wrong side by side: of {r['tables']} tables all told and no other in {r['all_and_no_other']}, "
            f"one at least in {r['one_at_least']}, a right one told in {r['a_right_one']}"
        )
    print(f"{out['seconds']} s")


if __name__ == "__main__":
    main()
