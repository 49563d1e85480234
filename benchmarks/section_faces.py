"""What it is worth that the faces of the bent sheet lie where its kept volume puts them: springback with and without.

    python benchmarks/section_faces.py

Without: both faces half a flat thickness from the mid-surface, whatever the bend. The compiled model is made anew with that one function
exchanged, in a folder of its own, so that nothing kept on disk is touched: half a minute. Springback by pressure is 90 deg less the
released angle, on the block and with the block taken away, without and with the stress through the sheet. Nothing here was compared with
a real part.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from typing import Any

PRESSURES = (3.5, 7.0, 14.0, 35.0, 70.0)
CASES = (("2024-T3", 0.8, 2.4), ("2024-T3", 1.0, 3.0))  # sheet, t, R


def half_thickness() -> None:
    """The model's faces put at half the thickness; to be called before anything of it is compiled."""
    from ribwright.mechanics.compiled import compiled
    from ribwright.mechanics.section import balance, faces

    @compiled
    def face(case: Any, arc: Any, q: Any, i: int, side: float, by: Any, twice: Any) -> float:
        by[:] = 0.0
        twice[:] = 0.0
        return side * 0.5 * case[0]

    for module in (balance, faces):
        vars(module)["face"] = face


def show(words: str) -> None:
    from section_tables import flange

    from ribwright.mechanics.section.model import press_through

    for sheet, t, radius in CASES:
        for through in (True, False):
            points = press_through(flange(sheet, t, radius), PRESSURES, through=through).points
            on, away = (
                " / ".join("stopped" if s is None else f"{90.0 - s.angle:.2f}" for s in states)
                for states in ([p.on_block for p in points], [p.released for p in points])
            )
            lift, gap = points[2].loaded.lift, points[2].loaded.wall_gap
            inside = "in" if through else "left out"
            print(
                f"| {sheet} {t:g} R{radius:g} | {words} | {inside} | {on} | {away} | {lift:.3f} | {gap:.3f} |",
                flush=True,
            )


def main() -> None:
    if "--left-out" in sys.argv:
        half_thickness()
        show("half the thickness")
        return
    print(
        "| sheet, t, R | faces | stress through | on the block, deg | block away, deg | web lift and wall gap at 14 MPa, mm | |"
    )
    print("|---|---|---|---|---|---|---|", flush=True)
    show("kept volume")
    with tempfile.TemporaryDirectory() as folder:
        env = os.environ | {"NUMBA_CACHE_DIR": folder}
        subprocess.run([sys.executable, __file__, "--left-out"], env=env, check=True)


if __name__ == "__main__":
    main()
