"""How long a scan of a part takes from its file to what was found, by its number of points, and what it takes in memory.

    python benchmarks/points.py [--points 1000000] [--runs 3] [--json]

The part is the example's flap rib, made up with known deviations (tests/scanned.py). Beside it, in the same run, a plain peer that finds
distances alone: the nearest of places every 0.25 mm of the drawn lines by scipy's cKDTree (two workers), then the exact distance to
three segments of the line on either side. The first run of a process is told apart.
"""

from __future__ import annotations

import argparse
import json
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from scipy.spatial import cKDTree  # noqa: E402

from building import EXAMPLES, example_shop  # noqa: E402
from ribwright.adapters.facts_toml import load_catalogue  # noqa: E402
from ribwright.adapters.part_toml import read_part  # noqa: E402
from ribwright.adapters.read_points import read_points  # noqa: E402
from ribwright.stages.found_points import found_points  # noqa: E402
from ribwright.stages.job import take_in  # noqa: E402
from ribwright.stages.plan import Plan, make_plan  # noqa: E402
from scanned import Scan, Truth, scanned, wave  # noqa: E402

AREA = 33_500.0  # of the part's outer face, about [mm2]
SIZES = (10_000, 100_000)


def plan_of_rib() -> Plan:
    file = EXAMPLES / "Q7-2301-1.part.toml"
    return make_plan(take_in(read_part(file), example_shop(), load_catalogue(), str(file)))


def file_of(plan: Plan, n: int, folder: Path, kind: str) -> Path:
    """A scan of about n points."""
    rng = np.random.default_rng(1)
    names = [e.edge.name for loop in plan.blank.laid for e in loop.edges]
    truth = Truth({k: wave(rng, 0.1) for k in names}, {k: wave(rng, 1.0) for k in names}, bow=0.3)
    points = scanned(plan, truth, Scan(density=n / AREA), rng)
    head = {"units": "mm", "part": "Q7-2301-1", "uncertainty": "0.06 mm"}
    path = folder / f"{n}.{kind}"
    if kind == "ply":
        lines = "".join(f"comment {k} = {v}\n" for k, v in head.items())
        axes = "".join(f"property float {a}\n" for a in "xyz")
        top = f"ply\nformat binary_little_endian 1.0\n{lines}element vertex {len(points)}\n{axes}end_header\n"
        path.write_bytes(top.encode() + points.astype("<f4").tobytes())
        return path
    with path.open("w") as out:
        out.write("".join(f"# {k} = {v}\n" for k, v in head.items()) + "x, y, z\n")
        np.savetxt(out, points, fmt="%.4f", delimiter=", ")
    return path


def peer(plan: Plan, points: np.ndarray) -> np.ndarray:
    """Distance of points (n, 2) to the drawn lines."""
    lines = [
        e.curve.point(np.linspace(0, e.curve.length, int(e.curve.length * 4) + 2)) for e in plan.blank.laid[0].edges
    ]
    ring = np.concatenate([p[:-1] for p in lines])
    near = cKDTree(ring).query(points, workers=2)[1]
    best = np.full(len(points), np.inf)
    for step in (-2, -1, 0, 1):
        a, b = ring[(near + step) % len(ring)], ring[(near + step + 1) % len(ring)]
        u = b - a
        share = np.clip(np.einsum("ni,ni->n", points - a, u) / np.einsum("ni,ni->n", u, u), 0, 1)
        off = points - a - share[:, None] * u
        best = np.minimum(best, np.hypot(off[:, 0], off[:, 1]))
    return best


def timed(work: Callable[[], Any]) -> tuple[Any, dict[str, float]]:
    wall, own = time.perf_counter(), time.process_time()
    got = work()
    return got, {"wall_s": time.perf_counter() - wall, "cpu_s": time.process_time() - own}


def one(plan: Plan, path: Path) -> dict[str, Any]:
    measured, reading = timed(lambda: read_points(path))
    got, finding = timed(lambda: found_points(plan, measured))
    assert measured.points is not None
    return {"points": len(measured.points), "reading": reading, "finding": finding, "found": len(got.found)}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--points", type=int, default=1_000_000)
    options.add_argument("--runs", type=int, default=3)
    options.add_argument("--json", action="store_true")
    asked = options.parse_args()
    plan = plan_of_rib()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        first = one(plan, file_of(plan, SIZES[0], folder, "csv"))
        rows = [one(plan, file_of(plan, n, folder, "csv")) for n in SIZES]
        for kind in ("csv", "ply"):
            path = file_of(plan, asked.points, folder, kind)
            rows += [one(plan, path) | {"file": kind} for _ in range(asked.runs)]
        points = read_points(path).points
        assert points is not None
        _, beside = timed(lambda: peer(plan, np.ascontiguousarray(points[:, :2])))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    result = {"first_run": first, "runs": rows, "peer_distances_alone": beside, "peak_mb": peak}
    if asked.json:
        print(json.dumps(result, indent=1))
        return
    for row in [first | {"file": "csv, first run"}, *rows]:
        read, find = row["reading"], row["finding"]
        print(
            f"{row['points']:8d} {row.get('file', 'csv'):14s} read {read['wall_s']:.2f} s ({read['cpu_s']:.2f} cpu), "
            f"found {find['wall_s']:.2f} s ({find['cpu_s']:.2f} cpu), {row['found']} results"
        )
    print(f"peer, distances alone: {beside['wall_s']:.2f} s ({beside['cpu_s']:.2f} cpu); most memory {peak:.0f} MB")


if __name__ == "__main__":
    main()
