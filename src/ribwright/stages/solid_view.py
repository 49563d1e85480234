"""Which side of a solid's web is its heel face, and all of the solid seen from there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.features.solid_faces import SolidFile
from ribwright.stages.solid_ring import Seen, bends, seen
from ribwright.stages.solid_web import Frame, Web, frame_of

EVEN_MM = 1e-6


def looked_at(solid: SolidFile, web: Web, face: str) -> Seen:
    """The solid in the frame of the side from which the greater length of bends turns away; where neither does, of the side that looks
    along an axis of the file. `face`: of a surface, which face of the sheet it is: "heel", "inner" or "mid"."""
    sides = [seen(solid, web, frame_of(solid, web.top), face)]
    if web.under:
        turned = replace(web, top=web.under, under=web.top)
        sides.append(seen(solid, turned, frame_of(solid, turned.top), face))
    else:
        sides.append(seen(solid, web, _from_below(sides[0].frame), face))
    lengths = [_turned_away(view) for view in sides]
    if abs(lengths[0] - lengths[1]) <= EVEN_MM:
        z = sides[0].frame.axes[2]
        return sides[0] if z[int(np.argmax(np.abs(np.round(z, 6))))] > 0 else sides[1]
    return sides[int(np.argmax(lengths))]


def _from_below(frame: Frame) -> Frame:
    x, y, z = frame.axes
    return Frame(frame.origin, np.array([x, -y, -z]))


def _turned_away(view: Seen) -> float:
    """Length of bends that turn down less that of those that turn up [mm]."""
    return sum(
        (-1.0 if up else 1.0) * float(np.sum(np.linalg.norm(np.diff(edge.points, axis=0), axis=1)))
        for edge, _, up in bends(view)
    )
