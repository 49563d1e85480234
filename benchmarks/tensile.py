"""Fits a public raw tensile record and prints the constants beside those fitted to it before, with scipy as the peer.

    python benchmarks/tensile.py FILE [--kind engineering] [--json]

FILE: columns strain and stress with their units in the heading, comma or tab separated; `--kind` is put in front where the file
itself does not say it. The reference is the 2024-T351 record of the public repository GWB2025/stress-strain-plotter (Swift 771.8,
0.2051, 0.0226 and Voce 361.1, 223.7, 10.17 over plastic strain 0.002 to 0.162; yield 359.9, strength 459.1 MPa, modulus 73.5 GPa).
The record itself is not part of this project.
"""

from __future__ import annotations

import argparse
import json
import time
from pathlib import Path
from typing import Any

import numpy as np

from ribwright.adapters.tensile_csv import parse_tensile
from ribwright.mechanics import tensile_fit as tf
from ribwright.mechanics.flow_estimate import swift_by_rule_s1
from ribwright.mechanics.hardening import flow_stress
from ribwright.stages.tensile import evaluate

REFERENCE = {
    "yield_mpa": 359.9, "strength_mpa": 459.1, "modulus_mpa": 73500.0, "uniform_strain": 0.169,
    "swift": [771.8, 0.2051, 0.0226], "voce": [361.1, 223.7, 10.17], "swift_rms": 0.0023, "voce_rms": 0.0016,
}  # fmt: skip


def peer(law: str, x: np.ndarray, y: np.ndarray, start: tuple[float, float, float]) -> list[float]:
    """The same fit by scipy; [] where it is not installed."""
    try:
        from scipy.optimize import curve_fit
    except ImportError:
        return []

    def swift(e: np.ndarray, k: float, n: float, e0: float) -> np.ndarray:
        return k * (e0 + e) ** n

    def voce(e: np.ndarray, s0: float, q: float, b: float) -> np.ndarray:
        return s0 + q * (1 - np.exp(-b * e))

    found, _ = curve_fit(swift if law == "swift" else voce, x, y, p0=start, maxfev=10000)
    return [float(v) for v in found]


def run(path: Path, kind: str) -> dict[str, Any]:
    """Everything measured on the record, ours and the peer's."""
    text = path.read_text(encoding="utf-8")
    start = time.perf_counter()
    record = parse_tensile(text if "kind" in text.split("\n", 1)[0] else f"# kind = {kind}\n{text}", str(path))
    tested = evaluate(record)
    seconds = time.perf_counter() - start
    e, s = np.array(record.strain), np.array(record.stress_mpa)
    out: dict[str, Any] = {
        "yield_mpa": tested.elastic.yield_stress,
        "strength_mpa": tested.greatest.strength,
        "modulus_mpa": tested.elastic.modulus,
        "modulus_standard_error_mpa": tested.elastic.modulus_error,
        "uniform_strain": tested.greatest.true_strain,
        "uniform_strain_flat": tested.greatest.flat,
        "seconds": seconds,
    }
    x, y = tf.flow_points(e, s, tested.elastic, tested.greatest.true_strain)
    for fit in (tested.swift, tested.voce):
        if fit is not None:
            out[fit.law], out[f"{fit.law}_rms"] = list(fit.constants), fit.rms
            out[f"{fit.law}_scipy"] = peer(fit.law, x, y, fit.constants)
    s1 = swift_by_rule_s1(tested.elastic.yield_stress, tested.greatest.strength, float(e.max()), "aluminium")
    inside = (x >= 0.01) & (x <= 0.16)
    miss = flow_stress(s1.k, s1.n, s1.e0, x[inside]) / y[inside] - 1
    out["rule_s1"] = [s1.k, s1.n, s1.e0]
    out["rule_s1_rms"], out["rule_s1_worst"] = float(np.sqrt(np.mean(miss**2))), float(np.abs(miss).max())
    return out


def main() -> None:
    """Reads the arguments, prints a table or JSON."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", type=Path)
    parser.add_argument("--kind", default="engineering")
    parser.add_argument("--json", action="store_true")
    wanted = parser.parse_args()
    found = run(wanted.file, wanted.kind)
    if wanted.json:
        print(json.dumps({"found": found, "reference_2024_T351": REFERENCE}, indent=1))
        return
    for key, value in found.items():
        print(f"{key:28}{value!s:62}reference {REFERENCE.get(key, '-')}")


if __name__ == "__main__":
    main()
