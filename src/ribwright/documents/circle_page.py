"""Measured circles as a page: where they lie on the blank, and measured strain over forecast strain with what the reading leaves open."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.identity import Identity
from ribwright.documents.lettering import MM_PER_POINT, fitted, wrap
from ribwright.documents.page import Circle, Item, Line, Page, Polyline, Stroke, Text, moved
from ribwright.shop.circles import CircleRecord
from ribwright.stages.blank import Blank
from ribwright.stages.circle_answer import HOLDS, SAYS
from ribwright.stages.measured_circles import AGREES, APART, Compared

Array = NDArray[np.float64]
WIDTH, TALL = 279.4, 215.9
MARGIN, TITLE_PT, PT, SMALL_PT = 10.0, 15.0, 10.0, 8.5
BLANK_BOX, PLOT = (12.0, 40.0, 128.0, 130.0), (170.0, 46.0, 98.0)  # left, low, width, height; left, low, side [mm]
EDGE, TANGENT, GRID, AXIS, BAR = Stroke(0.3), Stroke(0.15, 0.55), Stroke(0.1, 0.75), Stroke(0.25), Stroke(0.2)
DOT = 0.9
NAMED = 6  # circles apart whose names are printed
LEGEND = (
    ("agrees", "agrees with the forecast"),
    ("apart", "apart: further off than the bars reach"),
    ("else", "over a bend or at a held corner: not compared"),
)


def circle_page(blank: Blank, record: CircleRecord, rows: tuple[Compared, ...], identity: Identity) -> Page:
    """A letter size sheet across."""
    known = [c for c in rows if c.compared]
    title = f"{identity.line}: measured strain circles against the forecast"
    agree = sum(c.outcome == AGREES for c in known)
    sheet = f"{agree} of {len(known)} compared agree; Ø {record.diameter:g} mm, read to ±{record.gauge:g} mm"
    by = ", ".join(w for w in (record.measured_by, record.date) if w)
    items: list[Item] = [
        Text(MARGIN, TALL - 19.0, fitted(title, TITLE_PT, WIDTH - 2 * MARGIN, "bold"), TITLE_PT, "bold"),
        Text(MARGIN, TALL - 26.0, fitted(f"{sheet}{f'; measured by {by}' if by else ''}", PT, WIDTH - 2 * MARGIN), PT),
        *_blank(blank, record, rows),
        *_plot(known),
        *_legend(),
    ]
    words = wrap(f"{HOLDS[0].upper()}{HOLDS[1:]}. {SAYS[0].upper()}{SAYS[1:]}.", SMALL_PT, WIDTH - 2 * MARGIN)
    items += [Text(MARGIN, 16.0 - 1.3 * SMALL_PT * MM_PER_POINT * k, line, SMALL_PT) for k, line in enumerate(words)]
    return Page(WIDTH, TALL, tuple(items), "Circles")


def _blank(blank: Blank, record: CircleRecord, rows: tuple[Compared, ...]) -> list[Item]:
    """Cut lines and bend tangent lines with the circles that were measured; those apart by name."""
    left, low, wide, tall = BLANK_BOX
    every = np.array(blank.outline.points)
    least, size = every.min(axis=0), np.ptp(every, axis=0)
    scale = min(wide / size[0], tall / size[1])
    shift = np.array([left + (wide - scale * size[0]) / 2, low + (tall - scale * size[1]) / 2]) - scale * least

    def at(p: Array) -> tuple[tuple[float, float], ...]:
        q = np.atleast_2d(p) * scale + shift
        return tuple((float(x), float(y)) for x, y in q)

    out: list[Item] = [Polyline(at(np.array(loop.points)), True, EDGE) for loop in blank.loops]
    for h in blank.holes:
        out.append(Circle(*at(np.array(h.hole.at))[0], scale * h.cut_diameter / 2, EDGE))
    out += [Polyline(at(np.array(line)), False, TANGENT) for _, line in blank.tangents]
    for c in rows:
        out += _sign(*at(np.array(c.at))[0], c.outcome, max(DOT, scale * record.diameter / 2))
    apart = sorted((c for c in rows if c.outcome == APART), key=lambda c: -abs(c.major_off))[:NAMED]
    for c in apart:
        x, y = at(np.array(c.at))[0]
        out.append(Text(x + 1.6, y + 1.6, c.reading.called, SMALL_PT, "bold"))
    return [*out, Text(left, low + tall + 5.0, "Where they lie on the flat blank", PT, "bold")]


def _sign(x: float, y: float, outcome: str, r: float = DOT) -> list[Item]:
    """Full: agrees; open and heavy: apart; a cross: not compared."""
    if outcome == AGREES:
        return [Circle(x, y, r, None, 0.0)]
    if outcome == APART:
        return [Circle(x, y, r + 0.3, Stroke(0.5), 1.0)]
    return [Line(x - r, y - r, x + r, y + r, BAR), Line(x - r, y + r, x + r, y - r, BAR)]


def _plot(known: list[Compared]) -> list[Item]:
    """Measured strain up, forecast across, both strains of each circle; on the line they are the same."""
    left, low, side = PLOT
    values = [v for c in known for v in (c.major, c.minor, c.forecast_major, c.forecast_minor)]
    least, most = min([*values, -0.02]), max([*values, 0.02])
    room = 0.06 * (most - least)
    least, most = least - room, most + room
    scale = side / (most - least)

    def at(x: float, y: float) -> tuple[float, float]:
        return left + (x - least) * scale, low + (y - least) * scale

    step = next(s for s in (0.01, 0.02, 0.05, 0.1, 0.2, 0.5) if (most - least) / s <= 8)
    out: list[Item] = []
    for k in range(int(np.ceil(least / step)), int(most / step) + 1):
        (x, _), (_, y) = at(k * step, 0.0), at(0.0, k * step)
        out += [Line(x, low, x, low + side, GRID), Line(left, y, left + side, y, GRID)]
        out += [Text(x, low - 4.5, f"{round(k * step, 6):g}", 9.0, anchor="middle")]
        out += [Text(left - 1.5, y - 1.1, f"{round(k * step, 6):g}", 9.0, anchor="end")]
    out += [Polyline(((left, low), (left + side, low), (left + side, low + side), (left, low + side)), True, AXIS)]
    out.append(Line(*at(least, least), *at(most, most), Stroke(0.35)))
    for c in known:
        for measured, forecast, reading in (
            (c.major, c.forecast_major, c.major_reading),
            (c.minor, c.forecast_minor, c.minor_reading),
        ):
            x, y = at(forecast, measured)
            half = scale * (reading + c.faces)
            off = abs(measured - forecast) > reading + c.faces
            out += [Line(x, y - half, x, y + half, BAR), *_sign(x, y, APART if off else AGREES)]
    out.append(Text(left + side / 2, low - 10.5, "forecast true strain", PT, "bold", "middle"))
    out.append(Text(left - 11.0, low + side / 2, "measured true strain", PT, "bold", "middle", 90.0))
    head = "Both strains of each; a bar: what reading and face leave open"
    return [*out, Text(left - 11.0, low + side + 7.0, fitted(head, PT, WIDTH - left + 1.0, "bold"), PT, "bold")]


def _legend() -> list[Item]:
    out: list[Item] = []
    for k, (outcome, words) in enumerate(LEGEND):
        x, y = MARGIN + 2.0 + 86.0 * k, 27.0
        out += [moved(i, 0.0, 1.2) for i in _sign(x, y, outcome)]
        out.append(Text(x + 3.0, y, words, PT))
    return out
