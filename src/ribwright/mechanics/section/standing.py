"""The angle a released flange stands at against the web beside it, as a protractor laid on the web would read it.

A flange bent along a curve keeps hoop stress. Let go, that leaves a moment at the root of the bend which the web takes up by
dishing, over as much web as there is: bow of the whole part, not angle of the flange. Its slope grows evenly towards the bend, so
it is read where nothing else bends the web, beyond the protractor's foot, and carried on to the middle of the foot. Measured from
there the angle hardly depends on how much web is modelled. A straight flange balances itself and its web stays flat: its angle is
the fitted one.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.mechanics.section.formed import Formed
from ribwright.mechanics.section.model import Flange, Pressed

CLEAR = 2.5  # thicknesses of web beside the bend that the protractor's foot leaves free
FOOT = 4.0  # (R + t) of the foot's length
RING_WEB = (
    2.5  # times the far end of the foot: web modelled under a curved flange, so that its clamp is far from the foot
)


def with_web(f: Flange) -> Flange:
    """The flange with web enough for the protractor's foot."""
    return f if f.axis is None else replace(f, web=max(RING_WEB * _foot(f)[1], f.arc() + f.straight))


def stands(f: Flange, formed: Formed) -> float:
    """Angle [deg] from the web under the middle of the foot to the flange's fitted line."""
    if f.axis is None:
        return formed.angle
    near, far = _foot(f)
    most = -float(formed.x[0])
    middle = (near + far) / 2.0
    if most < 1.5 * far:  # a small disc: hardly any web beyond the foot; its chord then
        low, high = np.interp([-min(far, most), -min(near, 0.5 * most)], formed.x, formed.y)
        return formed.angle + float(np.degrees(np.arctan2(high - low, min(far, most) - min(near, 0.5 * most))))
    at = np.linspace(-min(most, RING_WEB * far), -far, 25)
    slope = np.polynomial.polynomial.polyfit(at, np.interp(at, formed.x, formed.slope), 1)
    return formed.angle - float(np.degrees(np.polynomial.polynomial.polyval(-middle, slope)))


def against_web(pressed: Pressed) -> Pressed:
    """The same run with its released angles as `stands` reads them."""
    shown = tuple(
        p if p.released is None else replace(p, released=replace(p.released, angle=stands(pressed.flange, p.released)))
        for p in pressed.points
    )
    return replace(pressed, points=shown)


def _foot(f: Flange) -> tuple[float, float]:
    """Where on the web the foot begins and ends, from the bend's beginning [mm]."""
    near = CLEAR * f.t
    return near, near + FOOT * (f.radius + f.t)
