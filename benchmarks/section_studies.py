"""What the section model's defaults are worth: released angles of eight flanges under other meshes, layers, ramps, webs and the rest.

    python benchmarks/section_studies.py [--json]

Every row changes one choice and gives the largest and the root mean square change of the released angle [deg] against the finest of its
kind, and the work in Newton steps and CPU seconds over all eight. docs/SECTION.md keeps the table. Nothing here was compared with a real
part.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import numpy as np

SHEETS = {  # E, nu, K, n, yield [MPa]: study values
    "2024-O": (73800.0, 0.33, 330.0, 0.2, 76.0),
    "2024-T3": (73800.0, 0.33, 690.0, 0.16, 345.0),
    "6061-T4": (68900.0, 0.33, 410.0, 0.21, 145.0),
}
CASES = (  # sheet, t, R, width of the flange [mm], axis [mm], sign, pressure [MPa]
    ("2024-T3", 1.0, 3.0, 16.0, None, 1.0, 14.0),
    ("2024-O", 0.8, 2.4, 16.0, None, 1.0, 14.0),
    ("6061-T4", 1.0, 3.0, 16.0, None, 1.0, 14.0),
    ("2024-T3", 1.6, 4.8, 16.0, None, 1.0, 14.0),
    ("2024-T3", 0.8, 1.2, 16.0, None, 1.0, 14.0),
    ("2024-O", 0.8, 2.4, 16.0, None, 1.0, 35.0),
    ("2024-O", 0.8, 2.4, 16.0, 40.0, 1.0, 14.0),
    ("2024-O", 0.8, 2.4, 16.0, 100.0, -1.0, 14.0),
)

RAMPS = ((0.2, 2.0, 2.0), (0.1, 1.3, 1.7), (0.05, 1.12, 1.35), (0.05, 1.03, 1.06))


def flange(case: tuple[Any, ...], share: float = 0.0, **changes: Any) -> Any:
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.section.model import Flange
    from ribwright.mechanics.sheet_law import sheet_law

    sheet, t, radius, width, axis, sign, _ = case
    e, nu, k, n, y = SHEETS[sheet]
    law = sheet_law(e, nu, Swift(k, n, (y / k) ** (1.0 / n)), share=share)
    return replace(Flange(law, t, radius, 90.0, width - radius - t, axis, sign), **changes)


@contextmanager
def changed(module: Any, **values: Any) -> Iterator[None]:
    kept = {name: getattr(module, name) for name in values}
    for name, value in values.items():
        setattr(module, name, value)
    try:
        yield
    finally:
        for name, value in kept.items():
            setattr(module, name, value)


def over_cases(run: Callable[[tuple[Any, ...]], Any]) -> tuple[np.ndarray, int, float]:
    """Released angles [deg], Newton steps, CPU seconds."""
    start, newtons, angles = time.process_time(), 0, []
    for case in CASES:
        done = run(case)
        newtons += done.newtons
        end = done.points[-1].released
        angles.append(end.angle if end is not None else np.nan)
    return np.array(angles), newtons, time.process_time() - start


def stiffer(block: float) -> Callable[[tuple[Any, ...]], Any]:
    """The block's penalty `block` times E/t."""
    from ribwright.mechanics.section import model
    from ribwright.mechanics.section.balance import STIFF

    def run(case: tuple[Any, ...]) -> Any:
        def harder(s: Any, state: Any, pressure: float) -> Any:
            return press(s, state, pressure, block / STIFF)

        press = model.press
        with changed(model, press=harder):
            return model.press_through(flange(case), (case[-1],))

    return run


def at_gauss(layers: int) -> Callable[[tuple[Any, ...]], Any]:
    """Layers at Gauss points instead of equal ones."""
    from ribwright.mechanics.section import model
    from ribwright.mechanics.section.strip import Strip

    def rule(strip: Any) -> tuple[np.ndarray, np.ndarray]:
        x, w = np.polynomial.legendre.leggauss(strip.layers)
        return x / 2.0, w / 2.0

    def run(case: tuple[Any, ...]) -> Any:
        with changed(Strip, layer_rule=rule):
            return model.press_through(flange(case), (case[-1],), layers=layers)

    return run


def studies() -> list[tuple[str, list[tuple[str, Callable[[tuple[Any, ...]], Any]]]]]:
    """Choice, its values from the default of the tool to the finest, which is last."""
    from ribwright.mechanics.section import model

    def plain(
        share: float = 0.0, inside: dict[str, Any] | None = None, changes: dict[str, Any] | None = None, **how: Any
    ) -> Any:
        def run(case: tuple[Any, ...]) -> Any:
            with changed(model, **(inside or {})):
                return model.press_through(flange(case, share, **(changes or {})), (case[-1],), **how)

        return run

    def web(times: float) -> Any:
        def run(case: tuple[Any, ...]) -> Any:
            f = flange(case)
            far = times * 1.5 * max(4.0 * (f.radius + f.t), f.straight + f.arc())
            return model.press_through(
                replace(f, web=min(far, 0.9 * f.axis) if f.axis and f.sign > 0 else far), (case[-1],)
            )

        return run

    def ramp(first: float, slow: float, fast: float) -> Any:
        return plain(inside={"FIRST": first, "SLOW": slow, "FAST": fast})

    return [
        ("elements", [(f"{round(78 * x)}", plain(fine=x)) for x in (0.5, 0.75, 1.0, 4.0 / 3.0, 2.0, 4.0)]),
        (
            "layers",
            [(f"{n} Gauss points", at_gauss(n)) for n in (10, 16)]
            + [(f"{n}", plain(layers=n)) for n in (8, 10, 12, 14, 16, 20)]
            + [("12, in a sharp bend 16", plain()), ("60", plain(layers=60))],
        ),
        ("ramp: first step, growth until 1.6 pC, after", [(f"{a:g} {b:g} {c:g}", ramp(a, b, c)) for a, b, c in RAMPS]),
        ("web, times the default", [(f"{x:g}", web(x)) for x in (0.5, 1.0, 1.5, 2.0)]),
        ("block's penalty, times E/t", [(f"{x:g}", stiffer(x)) for x in (10.0, 3.0, 1.0, 0.1, 0.3)]),
        (
            "steps of the release",
            [
                (f"{n}", plain(inside={"RELEASE": tuple(np.linspace(1.0, 0.0, n + 1)[1:])}))
                for n in (1, 3)
            ]
            + [("9, closer to the end", plain()), ("30", plain(inside={"RELEASE": (*np.geomspace(0.9, 0.002, 29), 0.0)}))],
        ),
        ("friction", [(f"{x:g}", plain(changes={"friction": x})) for x in (0.3, 0.1, 0.0)]),
        ("kinematic share", [(f"{x:g}", plain(share=x)) for x in (0.0, 1.0, 0.5)]),
        ("stress through the sheet", [("left out", plain(through=False)), ("in", plain())]),
        ("pressure on the cut edge", [("left out", plain(edge=False)), ("in", plain())]),
    ]  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args()
    rows = []
    for choice, values in studies():
        got = [(name, *over_cases(run)) for name, run in values]
        finest = got[-1][1]
        for name, angles, newtons, seconds in got:
            d = angles - finest
            most, rms = float(np.abs(d).max()), float(np.sqrt((d**2).mean()))
            each = [round(float(x), 3) for x in d]
            rows.append([choice, name, most, rms, newtons, seconds, each])
            if not asked.json:
                print(
                    f"{choice:45s} {name:22s} max {most:6.3f}  rms {rms:6.3f}  {newtons:6d} steps {seconds:6.2f} s  {each}"
                )
    if asked.json:
        print(json.dumps(rows))


if __name__ == "__main__":
    main()
