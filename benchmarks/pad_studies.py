"""The pad model beside itself and beside the strip: shorter steps, smaller elements, an even pressure, the pad coefficient.

    python benchmarks/pad_studies.py [steps] [mesh] [strip] [--only 0 3 7] [--keep FILE]

Over the sixteen cases of `benchmarks/pad.py`: `steps` halves every step, `mesh` takes elements of the rubber 0.7 times as large, `strip`
runs the strip under the mean pressure that the rubber has on the flange, and says k of p = pC + k G at the closing. The figures stand in
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
    options.add_argument("what", nargs="*", choices=["steps", "mesh", "strip"], help="none: all of them")
    options.add_argument("--only", nargs="+", type=int, default=list(range(16)), help="cases of the grid")
    options.add_argument("--keep", help="JSON file of the runs made so far, to go on from")
    asked = options.parse_args()
    what = asked.what or ["steps", "mesh", "strip"]
    kept: list[dict[str, Any]] = []
    if asked.keep and os.path.exists(asked.keep):
        with open(asked.keep, encoding="utf-8") as file:
            kept = json.load(file)
    one(("warm", *grid()[0][1:3], (0.2,)))  # compiles, and is not counted
    pairs: dict[str, list[Any]] = {kind: [] for kind in ("steps", "mesh", "ram", "mean")}
    shares: dict[float, list[float]] = {}
    for i in asked.only:
        of = {}
        for kind in ["as it is", *(k for k in ("steps", "mesh") if k in what)]:
            row = next((r for r in kept if r["i"] == i and r["kind"] == kind), None)
            if row is None:
                row = run(i, kind)
                kept.append(row)
                if asked.keep:
                    with open(asked.keep, "w", encoding="utf-8") as file:
                        json.dump(kept, file)
            of[kind] = row
            print(
                f"{row['case']:22} {kind:9} {row['outcome']} closes at {row['closing'] or 0:.2f} {angles(row['released'])}",
                flush=True,
            )
        base = of["as it is"]
        for kind in ("steps", "mesh"):
            if kind in of:
                pairs[kind].append((base["released"], of[kind]["released"]))
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
    for shear, k in shares.items():
        print(
            f"G {shear:.2f}: k {statistics.mean(k):.2f} +- {statistics.stdev(k) if len(k) > 1 else 0.0:.2f}, {min(k):.2f} to {max(k):.2f}"
        )


if __name__ == "__main__":
    main()
