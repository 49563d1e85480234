"""Places along an edge where its words may stand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.lettering import fitted, text_width
from ribwright.documents.template_values import EdgeLabel
from ribwright.features.laid import LaidEdge

Array = NDArray[np.float64]
LABEL_PT = 8.0  # size of print along an edge, as the template sets it
SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)
LONGEST = 40.0  # a name on a shorter edge may be this long [mm]
BEYOND = 3.5  # outside the outermost line [mm]
ON_WEB = 5.0  # from the bend tangent line or the cut edge inward [mm]


def web_spots(edge: LaidEdge, words: Sequence[str], away: Sequence[float] = (ON_WEB, 2 * ON_WEB)) -> list[EdgeLabel]:
    """Along the edge on the web, `away` [mm] inside its bend tangent line: the longest words first, near its middle
    first. Words longer than 0.7 of the edge are left out unless there are no shorter ones."""
    out = []
    for text in fitting(words, edge.curve.length):
        for d in away:
            p, t, n = edge.tangent_line.frame(np.array(SHARES) * edge.curve.length)
            inset = edge.tangent_inset(np.array(SHARES) * edge.curve.length)
            out += [label_at(text, a, b) for a, b in zip(p - (inset + d)[:, None] * n, t, strict=True)]
    return out


def outside_spots(edge: LaidEdge, reach: float) -> list[EdgeLabel]:
    """The edge's name beyond everything drawn: `reach` [mm] outside its bend tangent line, and a little more. For an edge
    with no room inside."""
    s = np.array(SHARES[:3]) * edge.curve.length
    p, t, n = edge.tangent_line.frame(s)
    out = reach + BEYOND - edge.tangent_inset(s)
    return [
        label_at(_cut(edge.edge.name, edge.curve.length), a, b) for a, b in zip(p + out[:, None] * n, t, strict=True)
    ]


def fitting(words: Sequence[str], length: float) -> list[str]:
    """The words no longer than 0.7 of an edge of this length; the last of them in any case, its end cut off where it is
    much longer than the edge."""
    return [w for w in words[:-1] if text_width(w, LABEL_PT) <= 0.7 * length] + [_cut(words[-1], length)]


def _cut(name: str, length: float) -> str:
    return fitted(name, LABEL_PT, max(length, LONGEST))


def one_label(spots: Sequence[EdgeLabel]) -> EdgeLabel:
    """The first spot, the others as what it may give way to."""
    first = spots[0]
    return EdgeLabel(first.text, first.x, first.y, first.angle, tuple(spots[1:]))


def label_at(words: str, middle: Array, along: Array) -> EdgeLabel:
    """Words with their own middle at a point, never on their head."""
    angle = float(np.degrees(np.arctan2(along[1], along[0])))
    angle = (angle + 90.0 - 1e-9) % 180.0 - 90.0 + 1e-9
    a = np.radians(angle)
    low = middle - 1.0 * np.array([-np.sin(a), np.cos(a)])  # half the height of a small letter
    return EdgeLabel(words, float(low[0]), float(low[1]), angle)
