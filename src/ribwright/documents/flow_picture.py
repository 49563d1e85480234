"""A flow curve drawn: true stress over true plastic strain, its 90 % band, yield, uniform strain and elongation marked."""

from __future__ import annotations

from math import floor, log1p, log10

import numpy as np

from ribwright.documents.layout import Piece, picture
from ribwright.documents.material_words import KSI
from ribwright.documents.page import Item, Line, Polyline, Stroke, Text
from ribwright.mechanics.hardening import flow_stress
from ribwright.stages.material import Z90, Card
from ribwright.units import Unit

LEFT, BOTTOM, TOP, RIGHT = 11.0, 9.0, 4.0, 3.0
POINTS = 60
CURVE, BAND, GRID, MARK = (
    Stroke(0.5),
    Stroke(0.2, 0.3, (1.2, 1.0)),
    Stroke(0.1, 0.7),
    Stroke(0.25, 0.0, (2.0, 0.8, 0.4, 0.8)),
)
PT = 7.0


def flow_picture(card: Card, first: Unit, width: float, height: float) -> Piece:
    """The curve in a frame of the given size [mm]. The card's material must have a flow curve."""
    h = card.material.hardening
    assert h is not None
    uniform = card.derived.uniform_strain or 0.0
    elongation = card.material.number("elongation")
    total = log1p(elongation) if elongation is not None else 0.0
    end = 1.15 * max(uniform, total, 0.02)
    unit, scale = ("ksi", KSI) if first == "in" else ("MPa", 1.0)
    strain = np.linspace(0.0, end, POINTS)
    stress = flow_stress(h.k_mpa, h.n, h.prestrain, strain) / scale
    cov = card.material.number("k_cov") or 0.0
    top = 1.05 * float(stress[-1]) * (1 + Z90 * cov)
    wide, tall = width - LEFT - RIGHT, height - BOTTOM - TOP

    def at(e: float, s: float) -> tuple[float, float]:
        return LEFT + e / end * wide, -height + BOTTOM + s / top * tall

    items: list[Item] = list(_grid(end, top, unit, at))
    # beyond the uniform strain the sheet necks: the law goes on, the test does not
    inside = strain <= uniform
    items.append(Polyline(tuple(at(e, s) for e, s in zip(strain[inside], stress[inside], strict=True)), False, CURVE))
    items.append(
        Polyline(
            tuple(at(e, s) for e, s in zip(strain[~inside], stress[~inside], strict=True)), False, Stroke(0.25, 0.5)
        )
    )
    for side in (1 - Z90 * cov, 1 + Z90 * cov) if cov else ():
        points = tuple(at(e, s * side) for e, s in zip(strain[inside], stress[inside], strict=True))
        items.append(Polyline(points, False, BAND))
    # each label on the side away from the other line
    items += _mark(uniform, f"uniform strain {uniform:.3f}", at, top, uniform < total)
    if elongation is not None:
        items += _mark(total, f"elongation {100 * elongation:.3g} %: {total:.3f}", at, top, total <= uniform)
    return picture(items, height)


def _mark(strain: float, words: str, at: object, top: float, left: bool) -> list[Item]:
    """An upright line at a strain, its words along it."""
    assert callable(at)
    (x, y0), (_, y1) = at(strain, 0.0), at(strain, top)
    return [Line(x, y0, x, y1, MARK), Text(x - 0.9 if left else x + 2.7, y0 + 2.0, words, PT, "bold", angle_deg=90.0)]


def _grid(end: float, top: float, unit: str, at: object) -> list[Item]:
    assert callable(at)
    items: list[Item] = []
    (x0, y0), (x1, y1) = at(0.0, 0.0), at(end, top)
    for s in _ticks(top):
        _, y = at(0.0, s)
        items += [Line(x0, y, x1, y, GRID), Text(x0 - 1.0, y - 0.9, f"{s:g}", PT, anchor="end")]
    for e in _ticks(end):
        x, _ = at(e, 0.0)
        items += [Line(x, y0, x, y1, GRID), Text(x, y0 - 3.2, f"{e:g}", PT, anchor="middle")]
    axes = [Line(x0, y0, x1, y0), Line(x0, y0, x0, y1)]
    names = [
        Text((x0 + x1) / 2, y0 - 7.0, "true plastic strain", PT, anchor="middle"),
        Text(x0 + 1.0, y1 + 1.0, f"true stress, {unit}", PT),
    ]
    return [*items, *axes, *names]


def _ticks(end: float) -> list[float]:
    """Round numbers from 0 up to the end, four to eight of them."""
    step = 10.0 ** floor(log10(end))
    for share in (1.0, 0.5, 0.2, 0.1):
        if end / (step * share) >= 4:
            step *= share
            break
    return [round(k * step, 10) for k in range(int(end / step + 1e-9) + 1)]
