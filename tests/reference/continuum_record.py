"""Runs cases of the continuum and writes their rows into continuum.csv: `python -m reference.continuum_record NAME...`."""

from __future__ import annotations

import csv
import sys
from pathlib import Path
from typing import Any

from reference.continuum_case import CASES
from reference.continuum_section import solve

TABLE = Path(__file__).with_name("continuum.csv")
STATE = (
    "web_lift_mm",
    "wall_gap_mm",
    "formed_inside_radius_mm",
    "thinnest_mm",
    "edge_hoop_strain",
    "edge_thickness_mm",
)
COLUMNS = ("name", "loaded_deg", "springback_deg", "springback_block_away_deg", "closing_mpa", *STATE)
DIGITS = {"_deg": 2, "_mpa": 3, "_mm": 4, "_strain": 4}


def row(name: str, answer: dict[str, Any]) -> dict[str, str]:
    """One line of the table; empty where a case has no such figure."""
    figures = {"loaded_deg": answer["loaded"]["angle_deg"]} | {k: answer["loaded"].get(k) for k in STATE}
    figures |= {k: answer[k] for k in ("springback_deg", "springback_block_away_deg", "closing_mpa")}
    out = {"name": name}
    for key, value in figures.items():
        digits = next(d for end, d in DIGITS.items() if key.endswith(end))
        out[key] = "" if value is None else f"{value:.{digits}f}"
    return out


def recorded() -> dict[str, dict[str, float]]:
    """The table: figures by case."""
    with TABLE.open(newline="") as lines:
        return {r.pop("name"): {k: float(v) for k, v in r.items() if v} for r in csv.DictReader(lines)}


def record(rows: dict[str, dict[str, str]]) -> None:
    """The rows replace those of their names; the order is that of the cases."""
    known: dict[str, dict[str, str]] = {}
    if TABLE.exists():
        with TABLE.open(newline="") as lines:
            known = {r["name"]: r for r in csv.DictReader(lines)}
    known |= rows
    with TABLE.open("w", newline="") as out:
        writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(known[name] for name in CASES if name in known)


if __name__ == "__main__":
    for asked in sys.argv[1:]:
        record({asked: row(asked, solve(CASES[asked], timeout=7200))})
