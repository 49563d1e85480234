"""The quick formula of the closing pressure, pC = c M(R)/s^2, fitted to the section model again.

    python benchmarks/closing_fit.py [--json]

Straight 90 deg flanges: three sheets, three thicknesses, R/t 1.5, 3 and 5, straight part 3 to 24 t. The model's pressure is the least at
which the flange stands within 0.5 deg of the wall under uniform pressure. Nothing here was compared with a real part.
"""

from __future__ import annotations

import argparse
import json

import numpy as np

SHEETS = {  # E, nu, K, n, yield [MPa]: study values
    "2024-O": (73800.0, 0.33, 330.0, 0.2, 76.0),
    "2024-T3": (73800.0, 0.33, 690.0, 0.16, 345.0),
    "6061-T4": (68900.0, 0.33, 410.0, 0.21, 145.0),
}
THICK, RATIOS, STRAIGHT = (0.6, 1.0, 1.6), (1.5, 3.0, 5.0), (3.0, 4.5, 6.0, 9.0, 12.0, 18.0, 24.0)


def cases() -> list[tuple[str, float, float, float, float]]:
    """Sheet, t [mm], R/t, s/t, the model's pressure over M/s^2 (NaN: it did not close, or the model stopped)."""
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.section.model import Flange, closing_pressure, plastic_moment
    from ribwright.mechanics.sheet_law import sheet_law

    out = []
    for name, (e, nu, k, n, y) in SHEETS.items():
        law = sheet_law(e, nu, Swift(k, n, (y / k) ** (1.0 / n)))
        for t in THICK:
            for ratio in RATIOS:
                for long in STRAIGHT:
                    f = Flange(law, t, ratio * t, 90.0, long * t)
                    found = closing_pressure(f, 12.0 * plastic_moment(f) / f.straight**2)
                    c = found * f.straight**2 / plastic_moment(f) if found is not None else np.nan
                    out.append((name, t, ratio, long, float(c)))
    return out


def spread(c: np.ndarray) -> tuple[float, float, float, float]:
    """Constant of least relative error, its scatter, smallest and largest over it."""
    c = c[np.isfinite(c)]
    fit = float(np.exp(np.log(c).mean()))
    return fit, float(np.sqrt(np.mean((c / fit - 1.0) ** 2))), float(c.min() / fit - 1.0), float(c.max() / fit - 1.0)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args()
    rows = cases()
    if asked.json:
        print(json.dumps(rows))
        return
    c, long, ratio = np.array([r[4] for r in rows]), np.array([r[3] for r in rows]), np.array([r[2] for r in rows])
    print(f"{len(rows)} flanges, {int(np.isfinite(c).sum())} closed")
    sheet = np.array([r[0] for r in rows])
    groups = (
        [("all", long > 0)]
        + [(f"s = {x:g} t", long == x) for x in STRAIGHT]
        + [(f"R = {x:g} t", ratio == x) for x in RATIOS]
    )
    for what, m in groups + [(name, sheet == name) for name in SHEETS]:
        fit, scatter, low, high = spread(c[m])
        print(f"  {what:10s} c = {fit:.3f}, scatter {scatter:.1%}, worst {low:+.0%} {high:+.0%}")


if __name__ == "__main__":
    main()
