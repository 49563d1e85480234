"""One place of a flange in section, to be played: its states in order, the block, and its angle over pressure with all that counts there.

Nothing here was compared with a real formed part.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.section_curve import FAR, AngleBand, between, loaded_of, released_of
from ribwright.documents.section_frames import block_frame, frames
from ribwright.documents.views.plain import number, rounded
from ribwright.stages.forecast import Station
from ribwright.stages.forecast_ask import Acting
from ribwright.stages.setup import Setup

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed

Array = NDArray[np.float64]
TURNS = 12  # states under load between flat and pressed, evenly in angle
APART = 1.03  # of a pressure: closer ones are one state
LEAST_SHARE = 0.2  # of the closing pressure: what happens below is hardly a bend
FACES = {"outward_mm": "outer_mm", "inward_mm": "inner_mm"}
NODES = ("x_mm", "y_mm", "slope_deg")
SAYS = "not compared with a real formed part"


@dataclass(frozen=True, eq=False)
class Place:
    """What stands round the section of one place: what acts and what gives it, the pressure that stays on the sheet and what closes the
    flange [MPa] (infinite: nothing up to there), the drawing's tolerance (minus, plus) [deg] if it gives one."""

    station: Station
    acting: Acting
    setup: Setup | None
    full: float
    closing: float
    tolerance: tuple[float, float] | None


def play_pressures(ramp: Array, panels: tuple[float, ...]) -> tuple[float, ...]:
    """Pressures [MPa] to press through so that the flange turns evenly from state to state; the panels' among them, the last of them the
    last. ramp (m, 2): pressure, angle under load."""
    full = panels[-1]
    rows = ramp[(ramp[:, 0] > 0.0) & (ramp[:, 0] < full)]
    if len(rows) < 2:
        return panels
    angle = np.maximum.accumulate(rows[:, 1])
    want = np.linspace(0.0, float(angle[-1]), TURNS + 1)[1:]
    rising = np.concatenate([[True], np.diff(angle) > 0.0])
    even = np.exp(np.interp(want, angle[rising], np.log(rows[rising, 0])))
    found = list(panels)
    for p in even.tolist():
        if p < full and all(max(p / q, q / p) > APART for q in found):
            found.append(p)
    return tuple(sorted(found))


def section_view(place: Place, pressed: Pressed, band: AngleBand | None) -> dict[str, Any]:
    """The section as plain numbers.

    block     {radius_mm, wall_deg, surface_mm}
    frames    as `section_frames` has them: x_mm, y_mm, slope_deg of the sheet's middle; outward_mm, inward_mm how far the outer and the
              inner face lie off it, square to it
    curve     {loaded, released (computed points), between (the released line as it is drawn): [[MPa, deg]], band or None}
    """
    s = place.station
    return {
        "place": dict(s.place.where),
        "block": _rounded_block(pressed),
        "thickness_mm": number(pressed.flange.t),
        "drawn_deg": number(s.place.angle),
        "tolerance_deg": None if place.tolerance is None else list(place.tolerance),
        "closes": s.closes,
        "angles": {"loaded": _predicted(s, "loaded"), "released": _predicted(s, "released")},
        "frames": [_frame(f) for f in frames(pressed)],
        "curve": _curve(pressed, band),
        "pressures": _pressures(place, pressed),
        "unverified": list(s.unverified),
        "outcome": s.outcome,
        "says": SAYS,
    }


def _rounded_block(pressed: Pressed) -> dict[str, Any]:
    b = block_frame(pressed.flange)
    return {
        "radius_mm": number(b["radius_mm"]),
        "wall_deg": number(b["wall_deg"]),
        "surface_mm": rounded(b["surface_mm"]),
    }


def _predicted(s: Station, which: str) -> dict[str, Any] | None:
    p = getattr(s, which)
    return None if p is None else {k: number(getattr(p, k)) for k in ("value", "low", "high")}


def _frame(f: dict[str, Any]) -> dict[str, Any]:
    """A state with its faces as distances from the middle, so that they can be drawn between two states too."""
    middle = np.stack([f["x_mm"], f["y_mm"]], axis=1)
    off = {k: rounded(np.hypot(*(np.asarray(f[face]) - middle).T)) for k, face in FACES.items()}
    out: dict[str, Any] = {k: number(v) for k, v in f.items() if isinstance(v, float)}
    out |= {k: None for k, v in f.items() if v is None}
    out |= {"state": f["state"], **{k: rounded(f[k]) for k in NODES}, **off}
    return out


def _curve(pressed: Pressed, band: AngleBand | None) -> dict[str, Any]:
    ramp = pressed.ramp[pressed.ramp[:, 0] > 0.0]
    least = min(LEAST_SHARE * pressed.closing, 0.5 * float(ramp[-1, 0])) if len(ramp) else 0.0
    points = released_of(pressed, band)
    rows = None
    if band is not None:
        names = ("pressure_mpa", "low", "value", "high")
        rows = {k: rounded(v) for k, v in zip(names, band.rows(), strict=True)}
    return {
        "loaded": rounded(loaded_of(pressed, least)) if len(ramp) else [],
        "released": rounded(released_of(pressed, None)),
        "between": rounded([q for q in between(pressed, points) if q[0] >= least]) if points else [],
        "band": rows,
    }


def _pressures(place: Place, pressed: Pressed) -> dict[str, Any]:
    """What counts on the pressure scale [MPa]."""
    a, s = place.acting, place.setup
    closes = place.closing if np.isfinite(place.closing) else None
    straight = pressed.flange.axis is None
    far = place.full < pressed.closing <= FAR * place.full
    return {
        "acts_mpa": number(a.mpa),
        "acts_is": a.comes_from,
        "on_sheet_mpa": number(place.full),
        "pad_keeps_mpa": number(a.mpa - place.full),
        "by": "pad" if a.share.mpa > 0 else "fluid",
        "closes_mpa": number(closes),
        "would_close_estimate_mpa": number(pressed.closing) if closes is None and straight and far else None,
        "available_mpa": None if s is None else number(s.available),
        "available_by": None if s is None else s.limit_by,
        "press": None if s is None else s.press.id,
    }
