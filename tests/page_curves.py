"""Makes js/curves.json, what the page's curves are held against: python tests/page_curves.py"""

from __future__ import annotations

import json
from math import cos, sin
from pathlib import Path

import numpy as np

from ribwright.geometry.curve import curve_from_points

HERE = Path(__file__).parent / "web" / "js" / "curves.json"
LOFT = [(25.0 * i, 12.0 * sin(0.6 * i) + 0.1 * i * i) for i in range(9)]
NOSE = [(0.0, 0.0), (-4.0, 6.0), (-6.5, 14.0), (-3.0, 24.0), (8.0, 31.0)]
RING = [(200 + 80 * cos(t), 50 * sin(t)) for t in np.linspace(0.0, 5.8, 400)]
CASES = [
    ("A straight edge", "line", [(0.0, 0.0), (508.0, 12.5)], None, None),
    ("An arc to the left", "arc", [(508.0, 101.6), (254.0, 127.0), (0.0, 101.6)], None, None),
    ("An arc to the right", "arc", [(0.0, 0.0), (30.0, 40.0), (90.0, 10.0)], None, None),
    ("An arc over more than half a turn", "arc", [(10.0, 0.0), (-10.0, 0.5), (8.0, -6.0)], None, None),
    ("A natural spline", "spline", LOFT, None, None),
    ("A spline that takes its neighbour's direction at its start", "spline", NOSE, (-0.6, 0.8), None),
    ("A spline that takes both directions", "spline", NOSE, (-0.6, 0.8), (0.8, 0.6)),
    ("A spline of two points", "spline", [(0.0, 0.0), (10.0, 5.0)], (0.0, 1.0), None),
    ("A spline of 400 points", "spline", RING, None, None),
]


def curves() -> dict[str, object]:
    """Every case with length [mm], places along it [mm] and the directions at its ends."""
    rows = []
    for name, kind, points, start, end in CASES:
        curve = curve_from_points(kind, points, start, end)
        ends = curve.tangent(np.array([0.0, curve.length]))
        rows.append(
            {
                "name": name, "kind": kind, "points": [list(map(float, p)) for p in points], "start_dir": start, "end_dir": end,
                "length": curve.length, "at": curve.point(np.linspace(0.0, curve.length, 23)).tolist(),
                "knots": [list(map(float, p)) for p in (points if kind == "spline" else (points[0], points[-1]))],
                "tangent_start": ends[0].tolist(), "tangent_end": ends[1].tolist(),
            }
        )  # fmt: skip
    return {"made_by": "tests/page_curves.py", "curves": rows}


if __name__ == "__main__":
    HERE.write_text(json.dumps(curves()) + "\n")
