"""How right solids are read, how long it takes and how much memory: the parts of the tests, each in the command's own way.

    python benchmarks/step_in.py [--json]

The solids are made by the kernel alone (`tests/step_models.py`); what is read back is held against what they were made from. `kernel_s` is
the kernel's process from start to end, with the time it takes to load; `bare_s` the peer: the same process that loads the kernel alone.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from ribwright.adapters import read_step  # noqa: E402
from ribwright.features.solid_faces import SolidFile  # noqa: E402
from ribwright.wiring import DiskFiles  # noqa: E402
from ribwright.work.import_step import imported_solid  # noqa: E402
from step_judged import Judge, filled  # noqa: E402
from step_models import MODELS  # noqa: E402
from step_solids import step_of  # noqa: E402


class Timed(DiskFiles):
    """The files of the command; how long reading took, and the memory that the kernel's process held."""

    kernel_s = 0.0
    peak_mb: float | None = None

    def solid(self, path: Path) -> SolidFile:
        begun = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder:
            report, why = read_step._asked(path, Path(folder), read_step.LIMIT_S)
            assert report is not None, why
            self.kernel_s, self.peak_mb = time.perf_counter() - begun, report["peak_mb"]
            return read_step.solid_file(path, report, Path(folder) / read_step.ARRAYS)


def bare_s() -> float:
    """Loading the kernel in a process of its own, and nothing else."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import ribwright.adapters.step_kernel"], check=True)
    return time.perf_counter() - begun


def row(name: str, folder: Path) -> dict[str, Any]:
    model = MODELS[name]()
    path = step_of(model, folder)
    files = Timed()
    begun = time.perf_counter()
    made = imported_solid(files, path, "B-1", {})
    whole = time.perf_counter() - begun
    judge = Judge(filled(made.text), model)
    proof = made.told["proof"]
    return {
        "part": name,
        "faces": made.told["faces"],
        "file_kb": path.stat().st_size / 1000,
        "kernel_s": files.kernel_s,
        "ours_s": whole - files.kernel_s,
        "kernel_peak_mb": files.peak_mb,
        "worst_mm": float(judge.worst["mm"]),
        "worst_deg": float(judge.worst["deg"]),
        "wrong": judge.wrong,
        "proved_mm": max(proof["solid_on_part"]["most_mm"], proof["part_on_solid"]["most_mm"]),
        "corners_mm": proof["corners"]["most_mm"] if proof["corners"] else None,
    }


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--json", action="store_true")
    as_json = ask.parse_args().json
    with tempfile.TemporaryDirectory() as folder:
        bare = bare_s()
        rows = [row(name, Path(folder)) for name in MODELS]
    if as_json:
        sys.stdout.write(json.dumps({"bare_s": bare, "parts": rows}, indent=1) + "\n")
        return
    lines = [f"the kernel loaded alone: {bare:.1f} s"]
    for r in rows:
        corners = "" if r["corners_mm"] is None else f", corners {r['corners_mm']:.4f}"
        cost = f"kernel {r['kernel_s']:4.1f} s {r['kernel_peak_mb'] or 0:4.0f} MB  ours {r['ours_s']:4.1f} s"
        off = f"off {r['worst_mm']:.6f} mm {r['worst_deg']:.6f} deg  proof {r['proved_mm']:.4f} mm{corners}"
        lines.append(f"{r['part']:18} {r['faces']:3} faces  {cost}  {off} {r['wrong'] or ''}")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
