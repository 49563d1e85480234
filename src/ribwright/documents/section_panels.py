"""Smaller pictures of a section: the strip of panels, the bending moment along the sheet, the bend many times as large."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ribwright.documents.entry_table import fine_length
from ribwright.documents.layout import Fit, Piece, picture, shifted
from ribwright.documents.page import Circle, Clip, Item, Line, Polyline, Stroke, Text
from ribwright.documents.section_drawn import (
    MOMENT,
    PAST,
    THIN,
    View,
    block_items,
    moment_items,
    moment_line,
    pressure_items,
    push_items,
    run,
    sheet_items,
    view_of,
)
from ribwright.documents.section_shape import LOADED, RELEASED, Seen, farthest, seen, story, wall_point, zones
from ribwright.documents.section_words import moment_words, one, pressure_words, state_words
from ribwright.units import Unit, plain, show_angle

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed

MOST = 6  # panels in a row
STRIP, CLOSER = 44.0, 84.0  # heights, at most [mm]
PT, SMALL = 9.0, 8.0


def panels(pressed: Pressed, first: Unit, width: float) -> Piece:
    """Small sections side by side on one scale: flat, under rising pressure, released."""
    told = story(pressed)
    under = [s for s in told if s.kind == LOADED]
    shown = [told[0], *under[-(MOST - 2) :], *(s for s in told if s.kind == RELEASED)]
    f, each = pressed.flange, width / len(shown)
    above, below = 5.0, 14.5
    view, tall = view_of(f, shown, 3.0, -above, each - 6.0, STRIP - above - below)
    height, low = above + tall + below, min(y for _, y in view.surface(f))
    items: list[Item] = []
    for i, s in enumerate(shown):
        drawn = block_items(f, view, low, 1.6, hatch=s.kind != RELEASED)
        drawn += sheet_items(s, view, 0.0)
        name, at = s.kind, ""
        if s.kind == LOADED:
            drawn += pressure_items(s, view, 3.2, 4.0)
            name, at = state_words(pressed, under.index(s)), one(pressure_words(s.pressure, first))
        lines = ((9.2, name, "bold"), (5.0, show_angle(s.angle, 1), "regular"), (0.8, at, "regular"))
        drawn += [Text(each / 2, -height + y, words, PT, font, "middle") for y, words, font in lines]
        items += shifted(drawn, i * each, 0.0)
        if i:
            items.append(Line(i * each, -height + 1.0, i * each, -2.0, Stroke(0.1, 0.6)))
    return picture(items, height)


def closer(pressed: Pressed, first: Unit, width: float) -> Piece:
    """To the left the bending moment along the sheet, to the right the bend many times as large, both under load."""
    last = pressed.points[-1]
    s = seen(LOADED, last.pressure, last.loaded)
    half = width / 2 - 3.0
    left, right = _moment(s, pressed, first, half), _bend(s, pressed, first, half)
    return picture([*left.items, *shifted(right.items, width - half, 0.0)], max(left.height, right.height))


def _moment(s: Seen, pressed: Pressed, first: Unit, width: float) -> Piece:
    f, above = pressed.flange, 13.0 + MOMENT
    view, tall = view_of(f, [s], 0.0, -above, width - MOMENT - 4.0, CLOSER - above - 2.0)
    foot, ends = moment_line(s, view)
    assert s.formed is not None
    drawn = s.formed.moment[-len(foot) :]
    k = int(np.argmax(drawn))
    items: list[Item] = [
        *_title(
            "Bending moment along the sheet, under load",
            "Drawn on the side of the sheet that it stretches. Thin: the block.",
        ),
        Text(0.0, -12.2, f"Dot: largest, {moment_words(float(drawn[k]), first)}", SMALL),
        run(view.surface(f), view.fit, THIN),
        *moment_items(s, view),
        Circle(*ends[k], 0.9, None, 0.0),
    ]
    return picture(items, above + tall + 2.0)


def _bend(s: Seen, pressed: Pressed, first: Unit, width: float) -> Piece:
    """The bend closer: where the sheet lies on the block and where it does not, true to scale."""
    f, above = pressed.flange, 14.5
    assert s.formed is not None
    foot = wall_point(f, 1.2 * f.t)
    wall = np.radians(min(f.wall, 90.0))
    x0, y0 = -3.0 * f.t - 0.3 * f.radius, foot[1]
    x1 = (f.radius + f.t) * float(np.sin(wall)) + 0.4 * f.t
    y1 = f.t + s.formed.lift + 0.4 * f.t
    scale = min(width / (x1 - x0), (CLOSER - above) / (y1 - y0))
    wide, tall = scale * (x1 - x0), scale * (y1 - y0)
    view = View(x0 - f.t, PAST * f.straight, Fit(scale, -x0 * scale, -above - scale * y1))
    drawn = block_items(f, view, min(y for _, y in view.surface(f)), 3.0, skin=Stroke(0.15))
    drawn += [*sheet_items(s, view, skin=Stroke(0.12)), *push_items(s, view, 11.0)]
    _, edge, _ = zones(f, s.inner)
    said: list[Item] = []
    if s.formed.crown_gap > 0.0 and edge.any():
        drawn.append(Circle(*view.fit(*farthest(f, s, edge)), 0.9, None, 0.0))
        said = [Text(0.0, -12.2, f"Dot: largest gap over the edge, {fine_length(s.formed.crown_gap, first)}", SMALL)]
    low = -above - tall
    frame = Polyline(((0.0, low), (wide, low), (wide, -above), (0.0, -above)), True, Stroke(0.2))
    title = f"The bend, {plain(scale, 0)} times as large as the part"
    words = _title(title, "White between block and sheet: they do not touch.")
    return picture([*words, *said, Clip(0.0, low, wide, tall, tuple(drawn)), frame], above + tall + 1.0)


def _title(words: str, under: str) -> list[Item]:
    return [Text(0.0, -4.0, words, 9.5, "bold"), Text(0.0, -8.2, under, SMALL)]
