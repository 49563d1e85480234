"""The strip beside the recorded continuum: the table of docs/SECTION.md, and what one choice at a time does to the strip.

    cd tests && python -m reference.continuum_beside [NAME...]            rows of the table
    cd tests && python -m reference.continuum_beside --switch NAME...     the strip with one choice changed

Springback in degrees under the pressure of the case, on the block and with the block taken away; "open": the flange did not close.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from reference.continuum_case import CASES, Case
from reference.continuum_record import recorded
from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section import model
from ribwright.mechanics.section.balance import STIFF
from ribwright.mechanics.section.model import WITHIN_DEG, Flange, Point, press_through
from ribwright.mechanics.sheet_law import sheet_law

CONTINUUM_BLOCK = 2.8  # E/t: 2e5 N/mm3 on 1 mm of aluminium
HEAD = "| case | continuum | strip | closing, MPa | thinnest, mm | web lift, mm | wall gap, mm | formed radius, mm |"
SWITCHES: tuple[tuple[str, dict[str, Any]], ...] = (
    ("as it is", {}),
    ("block 0.1 E/t", {"block": 0.1}),
    ("block 1 E/t", {"block": 1.0}),
    ("block 2.8 E/t", {"block": CONTINUUM_BLOCK}),
    ("block 7 E/t", {"block": 7.0}),
    ("elements twice as many", {"fine": 2.0}),
    ("elements twice as many, block 2.8 E/t", {"fine": 2.0, "block": CONTINUUM_BLOCK}),
    ("20 layers", {"layers": 20}),
    ("no stress through the sheet", {"through": False}),
    ("edge pressure the other way", {"other_edge": True}),
)


def flange(case: Case) -> Flange:
    """The strip's flange that stands for a case."""
    s = case.sheet
    law = sheet_law(s.youngs, s.poisson, Swift(s.strength, s.exponent, s.first))
    wall = 90 + case.undercut
    straight = case.developed - math.radians(wall) * (case.radius + case.thickness / 2)
    axis = case.origin if case.around else None
    web = None if case.around == "disc" else case.web
    return Flange(law, case.thickness, case.radius, wall, straight, axis, float(case.sign), web, case.friction)


@contextmanager
def penalty(times: float | None) -> Iterator[None]:
    """The strip on a block of so many E/t."""
    kept = model.press

    def press(s: Any, state: Any, pressure: float, block: float = 1.0) -> Any:
        return kept(s, state, pressure, block * (times or STIFF) / STIFF)

    model.press = press
    try:
        yield
    finally:
        model.press = kept


def pressed(case: Case, block: float | None = None, other_edge: bool = False, **how: Any) -> Point:
    """The case by the strip, at its pressure; pressure on the cut edge where the case has it."""
    with penalty(block):
        return press_through(flange(case), (case.pressure,), edge=case.end_face != other_edge, **how).points[-1]


def figures(case: Case, **how: Any) -> dict[str, float]:
    """A case by the strip, in the words of the continuum's table; nan where it stopped."""
    point = pressed(case, **how)
    loaded, nan = point.loaded, math.nan
    out = {
        "loaded_deg": loaded.angle,
        "springback_deg": loaded.angle - point.on_block.angle if point.on_block else nan,
        "springback_block_away_deg": loaded.angle - point.released.angle if point.released else nan,
        "web_lift_mm": loaded.lift,
        "wall_gap_mm": loaded.wall_gap,
        "formed_inside_radius_mm": loaded.inside_radius or nan,
        "thinnest_mm": loaded.thickness,
    }
    f = flange(case)
    if f.axis is not None:
        rim = f.axis + f.sign * loaded.x[-1]
        out["edge_hoop_strain"] = math.log(rim / (f.axis + f.sign * (f.arc() + f.straight)))
    return out


def closing(case: Case) -> float | None:
    """Least pressure [MPa] at which the strip stands within half a degree of the wall, as `continuum_section.closing` reads it."""
    f = flange(case)
    found, asked = None, (case.pressure,)
    for _ in range(2):  # the second time through eight steps between the two that it lay between
        ramp = press_through(f, asked, release=False, edge=case.end_face).ramp
        there = np.flatnonzero(ramp[:, 1] >= f.wall - WITHIN_DEG)
        if not len(there):
            return None
        (p0, a0), (p1, a1) = ramp[there[0] - 1], ramp[there[0]]
        found = float(p0 + (f.wall - WITHIN_DEG - a0) / (a1 - a0) * (p1 - p0))
        asked = tuple(np.linspace(p0, p1, 9)[1:])
    return found


def line(name: str, kept: dict[str, float]) -> str:
    """One row of the table: continuum and strip."""
    case = CASES[name]
    ours = figures(case) | {"closing_mpa": closing(case) or math.nan}

    def both(key: str, digits: int) -> str:
        return f"{kept[key]:.{digits}f} / {ours[key]:.{digits}f}" if key in kept else "open"

    turned = [
        f"{a['loaded_deg']:.2f}, {a['springback_deg']:.2f} / {a['springback_block_away_deg']:.2f}" for a in (kept, ours)
    ]
    rest = [("closing_mpa", 3), *((k, 3) for k in ("thinnest_mm", "web_lift_mm", "wall_gap_mm"))]
    cells = [both(key, digits) for key, digits in [*rest, ("formed_inside_radius_mm", 2)]]
    return f"| {name} | " + " | ".join([*turned, *cells]) + " |"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--switch", action="store_true")
    asked = parser.parse_args()
    kept = recorded()
    names = asked.names or list(kept)
    if not asked.switch:
        print(HEAD + "\n" + "|---" * HEAD.count(" | ") + "|---|")
        for name in names:
            print(line(name, kept[name]), flush=True)
        return
    for name in names:
        print(
            f"\n| {name} | loaded, deg | on the block | block away | thinnest, mm |\n|---|---|---|---|---|", flush=True
        )
        keys = ("loaded_deg", "springback_deg", "springback_block_away_deg", "thinnest_mm")
        if name in kept:
            print("| continuum | " + " | ".join(f"{kept[name][k]:.3f}" for k in keys) + " |")
        for words, how in SWITCHES:
            row = figures(CASES[name], **how)
            print(f"| {words} | " + " | ".join(f"{row[k]:.3f}" for k in keys) + " |", flush=True)


if __name__ == "__main__":
    main()
