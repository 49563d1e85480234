"""Sections made up by hand, in the shape that the section model answers with: for families too wide to press one by one."""

from __future__ import annotations

from functools import cache

import numpy as np

from ribwright.documents.section_picture import AngleBand, Marks, PressureMark
from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section.formed import Formed
from ribwright.mechanics.section.model import CONVERGED, Flange, Point, Pressed, press_through
from ribwright.mechanics.sheet_law import sheet_law
from ribwright.units import Unit

LAW = sheet_law(71700.0, 0.33, Swift(690.0, 0.16, (345.0 / 690.0) ** (1 / 0.16)), 1.0, 0.5, 35.0)


def made_formed(f: Flange, angle: float, push: float = 80.0, moment: float = 120.0) -> Formed:
    """A flange bent to `angle` [deg] about the block's edge, its flat parts straight; push and moment where the bend is."""
    a, arc, web = np.radians(angle), f.arc(), max(4.0 * (f.radius + f.t), f.straight + f.arc())
    s = np.concatenate(
        [np.linspace(-web, 0.0, 20)[:-1], np.linspace(0.0, arc, 40), np.linspace(arc, arc + f.straight, 25)[1:]]
    )
    slope = a * np.clip(s / arc, 0.0, 1.0)
    mean, step = (slope[1:] + slope[:-1]) / 2, np.diff(s)
    x = -web + np.concatenate([[0.0], np.cumsum(np.cos(mean) * step)])
    y = f.t / 2 - np.concatenate([[0.0], np.cumsum(np.sin(mean) * step)])
    up = np.stack([np.sin(slope), np.cos(slope)], axis=1)
    middle, bend = np.stack([x, y], axis=1), (s > 0.0) & (s < arc)
    pushed = np.where(bend, push * (0.2 + 0.8 * np.sin(np.linspace(0.0, 20.0, len(s))) ** 2), 0.0)
    moments = np.where(bend[1:] | bend[:-1], moment, -0.2 * moment * np.exp(-np.abs(s[1:]) / f.radius))
    inner, outer = middle - f.t / 2 * up, middle + f.t / 2 * up
    return Formed(
        angle, f.radius * 0.98, 0.03, 0.01, 0.04, 0.97 * f.t, 300.0, x, y, slope, inner, outer, moments, pushed
    )


def made_pressed(f: Flange, pressures: tuple[float, ...], angles: tuple[float, ...], back: float = 5.0) -> Pressed:
    """A run through `pressures` [MPa] with these angles under load [deg], each springing back by `back`, to 0 at most."""
    points = tuple(
        Point(p, made_formed(f, a), made_formed(f, max(a - back, 0.0)), made_formed(f, max(a - back, 0.0)), CONVERGED)
        for p, a in zip(pressures, angles, strict=True)
    )
    ramp = np.array([(0.0, 0.0), *zip(pressures, angles, strict=True)])
    return Pressed(f, points, ramp, 0.5 * pressures[-1], 100, CONVERGED)


def flange(
    t: float = 1.0, ratio: float = 3.0, wall: float = 97.0, straight: float = 12.0, axis: float | None = None
) -> Flange:
    """2024-T3 like sheet; `ratio` radius over thickness; with `axis` a hole."""
    return Flange(LAW, t, ratio * t, wall, straight, axis, -1.0 if axis is not None else 1.0)


def made_run(seed: int) -> tuple[Pressed, Unit, Marks]:
    """A run of any flange that the model takes: closed or open, edge or hole, one pressure or several, with and without what
    is known besides."""
    r = np.random.default_rng(seed)

    def between(low: float, high: float) -> float:
        return float(np.exp(r.uniform(np.log(low), np.log(high))))

    t, wall, full, n = (
        float(r.choice([0.4, 0.8, 1.6, 3.2])),
        float(r.uniform(30.0, 155.0)),
        between(0.3, 140.0),
        int(r.integers(1, 7)),
    )
    f = flange(t, float(r.choice([0.5, 1.5, 3.0, 10.0])), wall, t * between(2.0, 40.0), 20.0 if r.integers(2) else None)
    pressures = tuple((full * np.geomspace(0.05, 1.0, n)).tolist()) if n > 1 else (full,)
    angles = tuple((wall * np.minimum(np.sort(r.uniform(0.02, 1.1, n)), 1.02)).tolist())
    run = made_pressed(f, pressures, angles, float(r.uniform(0.0, 15.0)))
    free, half = np.array([p.released.angle for p in run.points if p.released is not None]), float(r.uniform(0.2, 6.0))
    marks = Marks(
        wall - 2.0 if r.integers(2) else None,
        "",
        str(r.choice(["pad", "fluid"])),
        (PressureMark(full * between(0.03, 3.0), "needed"), PressureMark(full, "there is")),
        AngleBand(pressures, free - half, free, free + half) if r.integers(2) else None,
        "R/t under 2" if r.integers(2) else "",
    )
    return run, "in" if r.integers(2) else "mm", marks


@cache
def pressed_by_the_model() -> Pressed:
    """2024-T3 1.0 mm over R3, wall 97 deg, pressed to closing and to 7 MPa by the section model itself."""
    return press_through(flange(), (1.0, 1.65, 7.0))
