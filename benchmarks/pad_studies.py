"""The pad model beside itself and beside the strip: shorter steps, smaller elements, an even pressure, the pad coefficient.

    python benchmarks/pad_studies.py [steps] [mesh] [strip] [closing] [--only 0 3 7] [--keep FILE]

Over the sixteen cases of `benchmarks/pad.py`: `steps` halves every step, `mesh` takes elements of the rubber 0.7 times as large, `strip`
runs the strip under the mean pressure that the rubber has on the flange, and says k of p = pC + k G at the closing (the tables beside
the strip). `closing` lets the flange go at pressures around its closing too, and says how far the strip's angles are off where it
feels what `mechanics.pad.felt_pressure` says, or what the other ways of keeping k G say. The figures stand in
docs/section_pad.md. Nothing here was compared with a real part.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import numpy as np
from pad import grid, one

STEPS = ("TURN", "STROKE_FIRST", "STROKE_MOST")
GROWTH = ("SLOW", "FAST")
AROUND = (0.6, 0.8, 0.9, 0.96, 1.02, 1.06, 1.12, 1.2, 1.35, 1.6, 2.0, 2.7)  # of the closing pressure
NEAR = 2.75  # times it: as far as "near" goes
WAYS = ("p - k G, closed p", "in proportion", "in proportion, given back")


@contextmanager
def shorter(part: float) -> Iterator[None]:
    """Every limit of a step so much smaller."""
    from ribwright.mechanics.pad_model import press

    was = {name: getattr(press, name) for name in STEPS + GROWTH}
    for name in STEPS:
        setattr(press, name, part * was[name])
    for name in GROWTH:
        setattr(press, name, was[name] ** part)
    try:
        yield
    finally:
        for name, value in was.items():
            setattr(press, name, value)


def finer(f: Any, p: Any, part: float) -> Any:
    """The press with elements of the rubber so much smaller."""
    from ribwright.mechanics.pad_model.press import sizes

    bend, rest = sizes(f, p)
    return replace(p, bend_size=part * bend, rest_size=part * rest)


def run(i: int, kind: str) -> dict[str, Any]:
    """Case i of the grid: as it is, with half steps, with smaller elements."""
    from ribwright.mechanics.pad_model.press import press_pad

    name, f, p, pressures = grid()[i]
    start = time.process_time()
    with shorter(0.5 if kind == "steps" else 1.0):
        found = press_pad(f, finer(f, p, 0.7) if kind == "mesh" else p, pressures)
    return {
        "i": i,
        "kind": kind,
        "case": name,
        "outcome": found.outcome,
        "closing": found.closing,
        "released": [q.released.angle if q.released else None for q in found.points],
        "on_flange": [q.on_flange for q in found.points],
        "path": len(found.path),
        "steps": found.steps,
        "cpu_s": time.process_time() - start,
    }


def strip_beside(row: dict[str, Any]) -> dict[str, Any]:
    """The strip at the ram's pressures and at the mean pressures on the flange of a run of the pad, and k at its closing."""
    from ribwright.mechanics.section.model import closing_pressure, press_through

    _, f, p, pressures = grid()[row["i"]]

    def released(at: Any) -> list[float | None]:
        return [q.released.angle if q.released else None for q in press_through(f, tuple(at)).points]

    even = closing_pressure(f, 100.0)
    k = (row["closing"] - even) / p.rubber.shear if row["closing"] and even else None
    return {"even": even, "k": k, "at_ram": released(pressures), "at_mean": released(row["on_flange"])}


def around(i: int, closing: float) -> dict[str, Any]:
    """Case i let go at pressures around its closing [MPa] and at the grid's."""
    from ribwright.mechanics.pad_model.press import press_pad

    name, f, p, pressures = grid()[i]
    asked = tuple(sorted({*(m * closing for m in AROUND if m * closing < pressures[-1]), *pressures}))
    found = press_pad(f, p, asked)
    return {
        "i": i,
        "kind": "around",
        "case": name,
        "closing": found.closing,
        "pressures": asked,
        "loaded": [q.loaded.angle for q in found.points],
        "released": [q.released.angle if q.released else None for q in found.points],
    }


def felt(way: str, p: float, kg: float, at: Any, turned: Any, closed: float) -> float:
    """What the strip feels of the ram's pressure [MPa]."""
    from ribwright.mechanics import pad

    if way == WAYS[2]:
        return pad.felt_pressure(p, kg, at, turned, closed)
    if way == WAYS[0]:
        return p if p - kg >= np.interp(closed, np.maximum.accumulate(turned), at) else max(p - kg, 0.0)
    share = kg * np.minimum(np.maximum.accumulate(turned) / closed, 1.0)
    return float(np.interp(p, at + share, at))


def ways(rows: list[dict[str, Any]]) -> list[str]:
    """Of every way how far the strip is off the pad model, with k G of each case as its own closing has it."""
    from ribwright.mechanics.section.model import WITHIN_DEG, closing_pressure, press_through

    off: dict[tuple[str, str], list[float]] = {}
    used = 0
    for row in rows:
        _, f, _, _ = grid()[row["i"]]
        even = closing_pressure(f, 100.0)
        kg = (row["closing"] or 0.0) - (even or 0.0)
        if even is None or kg <= 0.0:  # closed at less than an even pressure: nothing kept
            continue
        used += 1
        points = press_through(
            f, tuple(even * 1.06 ** np.arange(-40, int(np.log(80.0 / even) / np.log(1.06)) + 1))
        ).points
        at = np.array([0.0, *(q.pressure for q in points)])
        turned = np.array([0.0, *(q.loaded.angle for q in points)])
        off_block = np.array([0.0, *(q.released.angle if q.released else np.nan for q in points)])
        for p, loaded, released in zip(row["pressures"], row["loaded"], row["released"], strict=False):
            for way in WAYS:
                q = felt(way, p, kg, at, turned, f.wall - WITHIN_DEG)
                where = "open" if p < row["closing"] else "near" if p < NEAR * row["closing"] else "far"
                off.setdefault((way, f"{where}, under load"), []).append(float(np.interp(q, at, turned)) - loaded)
                if released is not None:
                    off.setdefault((way, f"{where}, released"), []).append(
                        float(np.interp(q, at, off_block)) - released
                    )
    said = [f"{used} of {len(rows)} cases keep something at closing"]
    for (way, where), values in sorted(off.items()):
        rms, most = np.sqrt(np.mean(np.square(values))), max(map(abs, values))
        said.append(
            f"{way:28} {where:18} mean {np.mean(values):+.2f}, rms {rms:.2f}, largest {most:.2f} deg of {len(values)}"
        )
    return said


def angles(values: list[float | None]) -> str:
    """A row of a table."""
    return " / ".join("-" if v is None else f"{v:.2f}" for v in values)


def largest(rows: list[tuple[list[float | None], list[float | None]]]) -> str:
    """How far pairs of rows lie apart."""
    apart = [b - a for x, y in rows for a, b in zip(x, y, strict=False) if a is not None and b is not None]
    if not apart:
        return "nothing to compare"
    mean, rms, most = np.mean(apart), np.sqrt(np.mean(np.square(apart))), max(map(abs, apart))
    return f"mean {mean:+.2f}, rms {rms:.2f}, largest {most:.2f} deg of {len(apart)}"


def main() -> None:
    """Run what was asked for and print the tables."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("what", nargs="*", choices=["steps", "mesh", "strip", "closing"], help="none: all of them")
    options.add_argument("--only", nargs="+", type=int, default=list(range(16)), help="cases of the grid")
    options.add_argument("--keep", help="JSON file of the runs made so far, to go on from")
    asked = options.parse_args()
    what = asked.what or ["steps", "mesh", "strip", "closing"]
    kept: list[dict[str, Any]] = []
    if asked.keep and os.path.exists(asked.keep):
        with open(asked.keep, encoding="utf-8") as file:
            kept = json.load(file)
    one(("warm", *grid()[0][1:3], (0.2,)))  # compiles, and is not counted
    pairs: dict[str, list[Any]] = {kind: [] for kind in ("steps", "mesh", "ram", "mean")}
    shares: dict[float, list[float]] = {}
    beside_closing: list[dict[str, Any]] = []

    def keep(row: dict[str, Any]) -> dict[str, Any]:
        kept.append(row)
        if asked.keep:
            with open(asked.keep, "w", encoding="utf-8") as file:
                json.dump(kept, file)
        return row

    for i in asked.only:
        of = {}
        for kind in ["as it is", *(k for k in ("steps", "mesh") if k in what)]:
            row = next((r for r in kept if r["i"] == i and r["kind"] == kind), None)
            if row is None:
                row = keep(run(i, kind))
            of[kind] = row
            print(
                f"{row['case']:22} {kind:9} {row['outcome']} closes at {row['closing'] or 0:.2f} {angles(row['released'])}",
                flush=True,
            )
        base = of["as it is"]
        for kind in ("steps", "mesh"):
            if kind in of:
                pairs[kind].append((base["released"], of[kind]["released"]))
        if "closing" in what and base["closing"]:
            near = next((r for r in kept if r["i"] == i and r["kind"] == "around"), None)
            beside_closing.append(near or keep(around(i, base["closing"])))
        if "strip" in what:
            beside = strip_beside(base)
            pairs["ram"].append((base["released"], beside["at_ram"]))
            pairs["mean"].append((base["released"], beside["at_mean"]))
            if beside["k"] is not None:
                shares.setdefault(grid()[i][2].rubber.shear, []).append(beside["k"])
            print(
                f"{'':22} strip: pressure of the ram {angles(beside['at_ram'])}, mean on the flange {angles(beside['at_mean'])}"
            )
            print(
                f"{'':22} closes at {beside['even'] or 0:.2f} under an even pressure, k {beside['k'] or 0:.2f}",
                flush=True,
            )
    for kind, said in (
        ("steps", "steps halved"),
        ("mesh", "elements 0.7"),
        ("ram", "strip, ram's"),
        ("mean", "strip, mean"),
    ):
        if pairs[kind]:
            print(said, largest(pairs[kind]))
    if beside_closing:
        print("\n".join(ways(beside_closing)))
    for shear, k in shares.items():
        print(
            f"G {shear:.2f}: k {statistics.mean(k):.2f} +- {statistics.stdev(k) if len(k) > 1 else 0.0:.2f}, {min(k):.2f} to {max(k):.2f}"
        )


if __name__ == "__main__":
    main()
