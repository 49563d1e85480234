"""The angle a released flange stands at against the web beside it, as a protractor laid on the web would read it.

A flange bent along a curve keeps hoop stress. Let go, that leaves a moment at the root of the bend which the web takes up by
dishing, over as much web as there is: bow of the whole part, not angle of the flange. Against the web beside the bend the angle
hardly depends on how much web is modelled (T3, 0.64 mm, axis 1.76 m: 0.8 deg from 17 to 120 mm of web, 5.8 deg against the far end).
A straight flange balances itself, its web stays flat, and both readings agree to 0.05 deg.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.mechanics.section.formed import Formed
from ribwright.mechanics.section.model import Flange

CLEAR = 2.5  # thicknesses of web beside the bend that the protractor's foot leaves free
FOOT = 4.0  # (R + t) of the foot's length
RING_WEB = (
    2.5  # times the far end of the foot: web modelled under a curved flange, so that its clamp is far from the foot
)


def with_web(f: Flange) -> Flange:
    """The flange with web enough for the protractor's foot."""
    return f if f.axis is None else replace(f, web=max(RING_WEB * _foot(f)[1], f.arc() + f.straight))


def stands(f: Flange, formed: Formed) -> float:
    """Angle [deg] from the web's chord under the foot to the flange's fitted line."""
    near, far = _foot(f)
    far = min(far, -float(formed.x[0]))
    low, high = np.interp([-far, -near], formed.x, formed.y)
    return formed.angle + float(np.degrees(np.arctan2(high - low, far - near)))


def _foot(f: Flange) -> tuple[float, float]:
    """Where on the web the foot begins and ends, from the bend's beginning [mm]."""
    near = CLEAR * f.t
    return near, near + FOOT * (f.radius + f.t)
