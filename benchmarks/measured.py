"""The section model beside what others measured or reported: over every plausible value of what is not known about each.

    python benchmarks/measured.py [--json] [--quick]

A row's springback is what the flange lacks to the block's wall once it is in the hand. Where the process was not pressure (a hammer, a
lever, a brake), the pressures stand in for how well the sheet was laid on its block, from just closed to pressed hard. --quick runs
the ends of each range only.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from itertools import product
from statistics import median
from typing import Any

from ribwright.adapters.facts_toml import load_catalogue
from ribwright.mechanics.section.many import run_all
from ribwright.mechanics.section.model import Flange, closing_estimate, press_through
from ribwright.mechanics.sheet_law import scaled
from ribwright.stages.sheet_laws import law_of_material

JUST_CLOSED = 1.2  # of the quick formula's closing pressure
HARD = 35.0  # MPa
SHARES = (0.3, 0.7)
INCH = 25.4


@dataclass(frozen=True)
class Range:
    """Plausible values of what a report does not say: sheets (record, factor on its strength), thickness and radius over it (or
    radius in mm), straight part [mm], pressures [MPa], 0 for just closed."""

    id: str
    sheets: tuple[tuple[str, float], ...]
    thickness: tuple[float, ...]
    radius: tuple[float, ...]
    radius_in_t: bool
    straight: tuple[float, ...]
    pressures: tuple[float, ...]
    note: str


RANGES = (
    Range("pressed-2024-o", (("2024-O", 0.92), ("2024-O", 1.08)), (0.5, 0.8, 1.0), (1.5, 3.0, 4.0), True, (12.0, 18.0),
          (5.0, 10.0, HARD), "gauges of light ribs; pad area of a 6,000 t press from 1.7 m2 down to 12 m2 gives 5 to 35 MPa"),
    Range("hammered-2024-t3", (("2024-T3", 0.96), ("2024-T3", 1.04)), (0.025 * INCH,), (INCH / 16, INCH * 3 / 32, INCH / 8), False,
          (10.0, 14.0), (0.0, 7.0, 14.0), "edge radii a builder files; the hammer stands between just closed and 14 MPa"),
    Range("lever-2024-first", (("2024-O", 1.0), ("2024-T3", 1.0)), (0.016 * INCH, 0.032 * INCH), (INCH / 16, INCH / 8), False,
          (10.0, 14.0), (0.0,), "a lever lays the flange on a sharp tool and nothing presses it: just closed"),
    Range("one-t-6013-t4", (("6061-T4", 1.0), ("6061-T4", 1.25)), (0.065 * INCH,), (1.0,), True, (15.0, 25.0), (0.0, 14.0),
          "no record of 6013: 6061-T4, and the same a quarter stronger; a brake, not a pad"),
    Range("air-bend-r-equal-t", (("2024-O", 1.0), ("3003-O", 1.0), ("5052-O", 1.0), ("6061-O", 1.0), ("5052-H32", 1.0)), (0.8, 1.6),
          (1.0,), True, (15.0,), (0.0, 14.0), "soft sheets of the catalogue"),
    Range("air-bend-general", (("5052-H32", 1.0), ("6061-T4", 1.0), ("3003-H14", 1.0)), (0.8, 1.6), (1.0, 2.0, 3.0), True, (15.0,),
          (0.0, 14.0), "middling sheets of the catalogue"),
    Range("v-bend-5052-h32", (("5052-H32", 0.9), ("5052-H32", 1.1)), (1.6,), (1.0,), True, (12.0, 20.0), (0.0, 14.0),
          "an expectation, not a measurement"),
)  # fmt: skip


def flanges(r: Range, quick: bool) -> list[tuple[Flange, float]]:
    """Every flange of a range with its pressure [MPa]."""
    records = load_catalogue().materials
    out = []
    ends = [(v[0], v[-1]) if quick else v for v in (r.thickness, r.radius, r.straight, r.pressures)]
    for (name, factor), share, t, radius, s, p in product(r.sheets, SHARES, *ends):
        law = law_of_material(records[name], share).law
        assert law is not None, name
        f = Flange(scaled(law, factor), t, radius * t if r.radius_in_t else radius, 90.0, s)
        out.append((f, p or JUST_CLOSED * closing_estimate(f)))
    return out


def springback(f: Flange, pressure: float) -> float | None:
    """What the flange lacks to the wall in the hand [deg]; None: no balance, or left open."""
    run = press_through(f, (pressure,))
    if not run.points or run.points[0].released is None or run.points[0].loaded.angle < f.wall - 1.0:
        return None
    return f.wall - run.points[0].released.angle


def placed(r: Range, quick: bool) -> dict[str, Any]:
    """One report beside the model's range."""
    row = next(m for m in load_catalogue().measured if m.id == r.id)
    runs = flanges(r, quick)
    found = [x for x in run_all([lambda f=f, p=p: springback(f, p) for f, p in runs]) if x is not None]
    inside = max(0.0, min(row.high, max(found)) - max(row.low, min(found))) > 0 or min(found) <= row.low <= max(found)
    return {
        "id": row.id, "kind": row.kind, "said": row.said, "reported_deg": [row.low, row.high],
        "model_deg": {"least": min(found), "middle": median(found), "most": max(found)},
        "share_below_report": sum(x < row.low for x in found) / len(found),
        "runs": len(runs), "not_closed": len(runs) - len(found), "inside": inside, "ranges": r.note,
    }  # fmt: skip


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--json", action="store_true")
    words.add_argument("--quick", action="store_true")
    asked = words.parse_args()
    rows = [placed(r, asked.quick) for r in RANGES]
    if asked.json:
        print(json.dumps(rows, indent=1))
        return
    for r in rows:
        m, (low, high) = r["model_deg"], r["reported_deg"]
        print(f"{r['id']:20} reported {low:g} to {high:g}, model {m['least']:.1f} to {m['most']:.1f}, middle {m['middle']:.1f}; "
              f"{r['runs']} runs, {r['not_closed']} not closed; {'inside' if r['inside'] else 'OUTSIDE'}")  # fmt: skip


if __name__ == "__main__":
    main()
