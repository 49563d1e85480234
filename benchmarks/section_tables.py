"""The tables of docs/SECTION.md: springback by pressure with and without what the model adds, and the undercut for 90 deg.

    python benchmarks/section_tables.py

Study sheets, isotropic, flange 16 mm wide, walls at 90 deg; the springback is 90 deg less the released angle, block taken away. Nothing
here was compared with a real part.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

PRESSURES = (3.5, 7.0, 14.0, 35.0, 70.0)
SHEETS = {  # E, nu, K, n, yield [MPa]: study values
    "2024-O": (73800.0, 0.33, 330.0, 0.2, 76.0),
    "2024-T3": (73800.0, 0.33, 690.0, 0.16, 345.0),
    "6061-T4": (68900.0, 0.33, 410.0, 0.21, 145.0),
}
ROWS = (
    ("2024-O", 0.8, 1.5), ("2024-O", 0.8, 3.0), ("2024-O", 1.6, 1.5), ("2024-O", 1.6, 3.0), ("2024-T3", 0.8, 1.5), ("2024-T3", 0.8, 3.0),
    ("2024-T3", 1.6, 3.0), ("6061-T4", 0.8, 3.0), ("6061-T4", 1.6, 3.0),
)  # fmt: skip
UNDERCUT = (("2024-O", 0.8, 2.4), ("2024-O", 1.6, 4.8), ("2024-T3", 1.0, 3.0), ("6061-T4", 1.0, 3.0))


def flange(sheet: str, t: float, radius: float) -> Any:
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.section.model import Flange
    from ribwright.mechanics.sheet_law import sheet_law

    e, nu, k, n, y = SHEETS[sheet]
    return Flange(sheet_law(e, nu, Swift(k, n, (y / k) ** (1.0 / n))), t, radius, 90.0, 16.0 - radius - t)


def springback(f: Any, **how: Any) -> str:
    from ribwright.mechanics.section.model import press_through

    out = []
    for p in press_through(f, PRESSURES, **how).points:
        if p.released is None:
            out.append("stopped")
        else:
            out.append(f"{90.0 - p.released.angle:.1f}" if p.loaded.angle > 89.5 else "open")
    return " / ".join(out)


def undercuts(f: Any) -> str:
    from ribwright.mechanics.section.model import CONVERGED, solve_undercut

    out, first = [], 3.0
    for p in PRESSURES:
        found = solve_undercut(lambda u: replace(f, wall=90.0 + u), 90.0, p, first)
        first = found.deg
        out.append(f"{found.deg:.2f}" + ("" if found.outcome == CONVERGED else "?"))
    return " / ".join(out)


def main() -> None:
    print("| sheet, t, R/t | ours | no edge pressure | nor stress through |")
    print("|---|---|---|---|")
    for sheet, t, ratio in ROWS:
        f = flange(sheet, t, ratio * t)
        cells = [springback(f), springback(f, edge=False), springback(f, edge=False, through=False)]
        print(f"| {sheet} {t:g}, {ratio:g} | " + " | ".join(cells) + " |", flush=True)
    print("\n| sheet | undercut |\n|---|---|")
    for sheet, t, radius in UNDERCUT:
        print(f"| {sheet} {t:g} R{radius:g} | {undercuts(flange(sheet, t, radius))} |", flush=True)


if __name__ == "__main__":
    main()
