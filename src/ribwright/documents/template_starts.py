"""Where an edge's values count from, and where the saw's tilt changes: a dot with 0, an arrow, ticks with their lean."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.edge_spots import label_at, one_label
from ribwright.documents.lean_words import sawn_lean
from ribwright.documents.template_values import EdgeLabel, TemplateLine
from ribwright.features.laid import LaidEdge
from ribwright.geometry.path import Path
from ribwright.stages.zones import Zone

Array = NDArray[np.float64]
INSIDE, SHAFT, HEAD, DOT = 3.0, 12.0, 2.5, 0.6  # from the bend tangent line inward; the arrow; radius of the dot [mm]
WORDS_AT = (6.0, 12.0, 18.0)  # of a lean, from the bend tangent line inward [mm]
SIGNS = ("sign", "0 and arrow: where 'along the edge' starts")
TICKS = ("tick", "tick: here the saw's tilt changes")


def start_sign(edge: LaidEdge) -> tuple[tuple[TemplateLine, ...], EdgeLabel]:
    """A dot where the edge starts as typed, an arrow along it, and the 0 beside the dot."""
    s = edge.at(np.zeros(1))
    p, t, n = _frame(edge, s)
    along = -t if edge.edge.turned else t
    dot = p - INSIDE * n
    tip = dot + SHAFT * along
    wings = [tip - HEAD * along + side * 0.35 * HEAD * n for side in (1.0, -1.0)]
    ring = Path(tuple((float(dot[0] + d), float(dot[1]), 1.0) for d in (-DOT, DOT)))
    paths = (ring, _open(dot + DOT * along, tip), _open(wings[0], tip, wings[1]))
    spots = [label_at("0", dot + a * along - b * n, t) for b in (3.5, 5.5, 8.0, 11.0) for a in (0.0, 2.0, 4.0, 8.0)]
    return tuple(TemplateLine(path, "sign") for path in paths), one_label(spots)


def tilt_ticks(edge: LaidEdge, zones: tuple[Zone, ...]) -> tuple[tuple[TemplateLine, ...], tuple[EdgeLabel, ...]]:
    """A tick across the edge at each limit of its saw zones, and in each zone how the saw leans. Nothing where one tilt
    serves the whole edge."""
    mine = sorted(
        (x.start, x.end, z.tilt) for z in zones for x in z.stretches if x.edge == edge.edge.name and not x.whole
    )
    ticks, words = [], []
    for start, end, tilt in mine:
        if start > 1e-6:
            (p, _, n) = _frame(edge, edge.at(np.array([start])))
            ticks.append(TemplateLine(_open(p - 4.0 * n, p + 4.0 * n), "tick"))
        spots = []
        for away in WORDS_AT:
            for share in (0.5, 0.4, 0.6, 0.3, 0.7):
                p, t, n = _frame(edge, edge.at(np.array([start + share * (end - start)])))
                spots.append(label_at(sawn_lean(90.0 + tilt), p - away * n, t))
        words.append(one_label(spots))
    return tuple(ticks), tuple(words)


def _frame(edge: LaidEdge, s: Array) -> tuple[Array, Array, Array]:
    """Place on the bend tangent line, way along the edge as laid, way outward, at one s."""
    p, t, n = edge.tangent_line.frame(s)
    return p[0] - edge.tangent_inset(s)[0] * n[0], t[0], n[0]


def _open(*points: Array) -> Path:
    return Path(tuple((float(p[0]), float(p[1]), 0.0) for p in points), False)
