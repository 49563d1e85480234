"""What friction and the R-value do to released angles, and a block as hard as the continuum's: why `stages/scatter.py` and
`stages/section_miss.py` have what they have.

    python benchmarks/band_causes.py

Sheets of `section_studies.py`, kinematic share 0.5, undercut 0, flange 16 mm wide; each flange is pressed through its pressures in one run.
Changes are of the released angle [deg], negative: more open. Nothing here was compared with a real part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from section_studies import SHEETS, changed, flange

from ribwright.mechanics.section import model
from ribwright.mechanics.section.balance import STIFF
from ribwright.mechanics.section.model import Flange, press_through
from ribwright.mechanics.section.standing import stands, with_web
from ribwright.stages.scatter import MOST_FRICTION

PRESSURES = (7.0, 14.0, 35.0, 70.0)
R_ENDS = (0.6, 1.0)  # of aluminium sheet in forming literature 0.6 to 0.9; 1 where a record has none
CURVED = (("2024-O", 0.8, 2.4, 40.0, 1.0), ("2024-O", 0.8, 2.4, 100.0, -1.0), ("2024-T3", 1.0, 3.0, 300.0, -1.0))
CONTINUUM_BLOCK = 2.8  # E/t, of the continuum's contact


def flanges() -> Iterator[tuple[str, Flange]]:
    straight = [(s, t, q * t, None, 1.0) for s in SHEETS for t in (0.8, 1.6) for q in (1.5, 3.0)]
    for sheet, t, radius, axis, sign in (*straight, *CURVED):
        f = flange((sheet, t, radius, 16.0, axis, sign, 0.0), share=0.5)
        name = f"{sheet} {t:g} R {radius:g}" + (f" axis {sign * axis:g}" if axis else "")
        yield name, with_web(replace(f, law=replace(f.law, r=0.7)))


def released(f: Flange, pressures: tuple[float, ...] = PRESSURES) -> np.ndarray:
    """Released angle at each pressure [deg]; NaN where the run did not come so far."""
    points = press_through(f, pressures).points
    angles = [np.nan if p.released is None else stands(f, p.released) for p in points]
    return np.array([*angles, *[np.nan] * (len(pressures) - len(angles))])


def hard_block(f: Flange, pressure: float) -> float:
    """What a block as hard as the continuum's adds to the springback [deg]; no pressure on the cut edge, as run there."""

    press = model.press

    def harder(s: object, state: object, p: float) -> object:
        return press(s, state, p, CONTINUUM_BLOCK / STIFF)  # type: ignore[arg-type]

    plain = press_through(f, (pressure,), edge=False).points[-1]
    with changed(model, press=harder):
        hard = press_through(f, (pressure,), edge=False).points[-1]
    assert plain.released is not None
    assert hard.released is not None
    return float(hard.loaded.angle - hard.released.angle - plain.loaded.angle + plain.released.angle)


def main() -> None:
    steps = np.linspace(0.0, MOST_FRICTION, 5)
    print(
        f"at {PRESSURES} MPa: released; R-value {R_ENDS[0]} to {R_ENDS[1]}; friction at the middle of its span, mean over it"
    )
    for name, f in flanges():
        base = released(f)
        low, high = (released(replace(f, law=replace(f.law, r=r))) for r in R_ENDS)
        by_friction = np.array([base, *(released(replace(f, friction=float(mu))) for mu in steps[1:])]) - base
        mean = np.trapezoid(by_friction, steps, axis=0) / MOST_FRICTION
        for what, row in (("", base), ("R-value", high - low), ("friction", by_friction[2]), ("its mean", mean)):
            print(f"{name if not what else '':24s} {what:9s}", " ".join(f"{x:7.2f}" for x in row), flush=True)
    for sheet in SHEETS:
        f = flange((sheet, 1.0, 3.0, 16.0, None, 1.0, 0.0))
        print(
            f"{sheet} 1 R 3, block as hard as the continuum's:",
            " ".join(f"{hard_block(f, p):.2f}" for p in PRESSURES[1:]),
            flush=True,
        )


if __name__ == "__main__":
    main()
