"""Speed and memory of the commands as whole processes, and of one warm blank; beside each a plain import of numpy.

    python benchmarks/speed.py [--runs 5] [--json]

The peer is a process that only imports numpy and shapely, run in turn with ours: the ratio holds on a noisy machine where
a time does not. Growth: the warm blank of a rib whose contour has 10, 40, 160 ordinates.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RIB = ROOT / "examples" / "dabchick" / "Q7-2102-1.part.toml"
PEER = [sys.executable, "-c", "import numpy, shapely"]


def process(words: list[str]) -> tuple[float, float]:
    """(wall seconds, peak resident MB) of one run."""
    start = time.perf_counter()
    child = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT)
    if hasattr(os, "wait4"):
        _, _, usage = os.wait4(child.pid, 0)
        peak = usage.ru_maxrss / (1024 if sys.platform != "darwin" else 1024**2)
    else:
        child.wait()
        peak = float("nan")
    return time.perf_counter() - start, peak


def command(name: str, words: list[str], runs: int) -> dict[str, float | str]:
    """Median seconds, its ratio to the peer pair by pair, and peak memory of a command."""
    process(words)
    ours, ratios, peaks = [], [], []
    for _ in range(runs):
        seconds, peak = process(words)
        ours.append(seconds)
        peaks.append(peak)
        ratios.append(seconds / process(PEER)[0])
    return {
        "what": name,
        "seconds": statistics.median(ours),
        "ratio_to_import_numpy_shapely": statistics.median(ratios),
        "peak_mb": max(peaks),
    }


def warm(part: Path, runs: int) -> float:
    """Median seconds of `ribwright.blank` in a process that has done one before."""
    import ribwright

    ribwright.blank(part)
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        ribwright.blank(part)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def grown(points: int, folder: Path) -> Path:
    """The example rib with its upper contour given by that many ordinates of a smooth curve."""
    for csv in RIB.parent.glob("*.csv"):
        (folder / csv.name).write_text(csv.read_text())
    rows = [
        (36 - 31 * i / points, 2.456 + 0.358 * i / points + 1.2 * math.sin(math.pi * i / points))
        for i in range(1, points + 1)
    ]
    (folder / "Q7-2102-upper.csv").write_text("x,y\n" + "".join(f"{x:.6f},{y:.6f}\n" for x, y in rows))
    (folder / "shop.toml").write_text((RIB.parent / "shop.toml").read_text())
    part = folder / RIB.name
    part.write_text(RIB.read_text())
    return part


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--runs", type=int, default=5)
    options.add_argument("--json", action="store_true")
    asked = options.parse_args()
    me, press = [sys.executable, "-m", "ribwright"], [str(RIB), "--press", "P2"]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        rows = [
            command("--help", [*me, "--help"], asked.runs),
            command("blank", [*me, "blank", str(RIB)], asked.runs),
            command(
                "packet", [*me, "packet", *press, "--model", "closed-form", "--out", str(folder / "p")], asked.runs
            ),
            command("section", [*me, "block", *press, "--model", "section"], 1),
        ]
        growth = {n: warm(grown(n, folder), asked.runs) for n in (10, 40, 160)}
    result = {"commands": rows, "warm_blank_seconds": warm(RIB, asked.runs), "warm_blank_by_ordinates": growth}
    if asked.json:
        print(json.dumps(result, indent=1))
        return
    for row in rows:
        print(
            f"{row['what']:8} {row['seconds']:.2f} s, {row['ratio_to_import_numpy_shapely']:.1f} x peer, {row['peak_mb']:.0f} MB"
        )
    print(
        f"warm blank {result['warm_blank_seconds']:.3f} s; by ordinates "
        + ", ".join(f"{n}: {s:.3f} s" for n, s in growth.items())
    )


if __name__ == "__main__":
    main()
