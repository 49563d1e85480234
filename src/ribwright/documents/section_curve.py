"""Angle against pressure: under load and released with its band, the wall, the drawing's angle, the pressures that count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ribwright.documents.layout import Piece, picture
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.documents.section_drawn import spread
from ribwright.documents.section_words import CLOSED_WITHIN, pressure_words
from ribwright.units import MPA_PER_PSI, Unit, plain, show_angle

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed

Array = NDArray[np.float64]
LEFT, BOTTOM, TOP, RIGHT = 14.0, 13.0, 5.0, 52.0
LOAD, FREE, BAND, GRID = Stroke(0.6), Stroke(0.6, 0.0, (3.2, 1.2)), Stroke(0.2, 0.2), Stroke(0.1, 0.7)
WALL, MARK, THIN = Stroke(0.25, 0.0, (0.5, 1.0)), Stroke(0.3, 0.0, (5.0, 1.0, 1.0, 1.0)), Stroke(0.15, 0.2)
FILL = 0.9
PT, PITCH = 8.5, 8.6
Label = tuple[float, float, str, str]  # (x, y) on paper where a line ends, what it is, its number
SAME = 1e-3  # of a pressure
LEAST_SHARE = 0.2  # of the closing pressure: what happens below is hardly a bend
FAR = 3.0  # of the full pressure: an estimate of what would close a flange is not drawn farther off


@dataclass(frozen=True)
class PressureMark:
    """An upright line at a pressure on the sheet [MPa] and what it is: 'needed', 'there is'."""

    mpa: float
    words: str


@dataclass(frozen=True, eq=False)
class AngleBand:
    """Released angle [deg] over pressure on the sheet [MPa] with its 90 % band: four arrays of one length, p rising."""

    p: ArrayLike
    low: ArrayLike
    value: ArrayLike
    high: ArrayLike

    def rows(self) -> tuple[Array, Array, Array, Array]:
        """(p, low, value, high) as arrays."""
        p, low, value, high = (np.asarray(v, float) for v in (self.p, self.low, self.value, self.high))
        return p, low, value, high


@dataclass(frozen=True)
class Chart:
    """Place on paper of a pressure [MPa] and an angle [deg]; the ends of both scales."""

    p: Pair
    a: Pair
    size: Pair

    def __call__(self, mpa: float, deg: float) -> Pair:
        """Pressure by its logarithm, angle straight and no further than the frame; y from 0 down to -height."""
        wide, tall = self.size[0] - LEFT - RIGHT, self.size[1] - BOTTOM - TOP
        deg = min(max(deg, self.a[0]), self.a[1])
        share = log10(mpa / self.p[0]) / log10(self.p[1] / self.p[0])
        return LEFT + share * wide, -self.size[1] + BOTTOM + (deg - self.a[0]) / (self.a[1] - self.a[0]) * tall


def closing_mark(pressed: Pressed, full: float, closing: float) -> PressureMark | None:
    """The line of the pressure `closing` that closes the flange [MPa], where it lies under `full` [MPa]; infinite: none up to there. Of a
    straight flange that stays open: the formula's estimate, said to be one, where it lies over `full` and not far off; under it the
    model has just shown the estimate wrong, and a curved flange it was never fitted for."""
    if isfinite(closing):
        return PressureMark(closing, "closes") if closing < full else None
    if pressed.flange.axis is None and full < pressed.closing <= FAR * full:
        return PressureMark(pressed.closing, "would close, an estimate:")
    return None


def curve_picture(
    pressed: Pressed,
    first: Unit,
    width: float,
    height: float,
    asked: float | None = None,
    marks: Sequence[PressureMark] = (),
    band: AngleBand | None = None,
) -> Piece:
    """The curve in a frame of the given size [mm]. `asked`: the drawing's angle [deg]."""
    at = chart_of(pressed, width, height, asked, marks, band)
    free, load = released_of(pressed, band), loaded_of(pressed, at.p[0])
    items = _grid(at, first)
    if band is not None:
        items += _band(pressed, band, at)
    labels: list[Label] = []
    lines = [(pressed.flange.wall, "block's wall"), (pressed.flange.wall - CLOSED_WITHIN, "closed from here")]
    for deg, what in [*lines, *([(asked, "drawing asks")] if asked is not None else [])]:
        end = at(at.p[1], deg)
        items.append(Line(*at(at.p[0], deg), *end, WALL))
        labels.append((*end, what, show_angle(deg, 1)))
    items.append(_curve(load, at, LOAD))
    labels.append((*at(*load[-1]), "UNDER LOAD, full line", show_angle(load[-1][1], 1)))
    if free:
        items.append(_curve(_from(between(pressed, free), at.p[0]), at, FREE))
        rings = [q for q in released_of(pressed, None) if q[0] >= at.p[0]]
        items += [Circle(*at(*q), 0.9, Stroke(0.3), 1.0) for q in rings]
        labels.append((*at(*free[-1]), "RELEASED, dashed", show_angle(free[-1][1], 1) + _span(band)))
    items += [*_labels(labels, at), *_marks(marks, at, first)]
    words = "Rings: computed; between them the springback is drawn straight."
    if band is not None:
        words += " Grey: 90 %, at the pressure that acts the forecast's own."
    if band is None and free:
        words += " No band is known here: nothing says how far the numbers may be off."
    items.append(Text(0.0, -height + 0.6, words, 8.0))
    return picture(items, height)


def _curve(points: Sequence[Pair], at: Chart, stroke: Stroke) -> Polyline:
    return Polyline(tuple(at(p, a) for p, a in points), False, stroke)


def _span(band: AngleBand | None) -> str:
    if band is None:
        return ""
    _, low, _, high = band.rows()
    return f", 90 %: {plain(float(low[-1]), 1)} to {plain(float(high[-1]), 1)}"


def chart_of(
    pressed: Pressed,
    width: float,
    height: float,
    asked: float | None,
    marks: Sequence[PressureMark],
    band: AngleBand | None,
) -> Chart:
    """Scales that hold every curve and mark: pressures from a fifth of the closing pressure."""
    ramp = pressed.ramp[pressed.ramp[:, 0] > 0.0]
    free = released_of(pressed, band)
    most = max([float(ramp[-1, 0]), *(m.mpa for m in marks), *(p for p, _ in free)])
    least = min([LEAST_SHARE * pressed.closing, *(0.8 * m.mpa for m in marks), 0.5 * most])
    angles = [pressed.flange.wall, *ramp[:, 1].tolist(), *(a for _, a in free), *([asked] if asked is not None else [])]
    if band is not None:
        angles += [float(np.min(band.rows()[1])), float(np.max(band.rows()[3]))]
    top = 10.0 * ceil((max(angles) + 2.0) / 10.0)
    low = 0.0 if min(angles) > -5.0 else 10.0 * floor(min(angles) / 10.0)
    return Chart((least, 1.25 * most), (low, top), (width, height))


def loaded_of(pressed: Pressed, least: float) -> list[Pair]:
    """(pressure, angle under load) from the pressure `least` on, there by straight interpolation in log pressure."""
    return _from([(float(p), float(a)) for p, a in pressed.ramp if p > 0.0], least)


def _from(points: Sequence[Pair], least: float) -> list[Pair]:
    """The part of a curve from the pressure `least` on."""
    p, a = np.array(points, float).T
    rows = [q for q in points if q[0] > least]
    return [(least, float(np.interp(np.log(least), np.log(p), a))), *rows] if p[0] <= least and len(p) > 1 else rows


def released_of(pressed: Pressed, band: AngleBand | None) -> list[Pair]:
    """(pressure, released angle) of the model's own points and of the band's middle line, which counts where both are."""
    own = [(p.pressure, p.released.angle) for p in pressed.points if p.released is not None]
    if band is None:
        return own
    p, _, value, _ = band.rows()
    others = [q for q in own if not np.any(np.abs(p - q[0]) < SAME * q[0])]
    return sorted([*others, *zip(p.tolist(), value.tolist(), strict=True)])


def between(pressed: Pressed, points: Sequence[Pair]) -> list[Pair]:
    """The points joined as the flange bends: between two of them it is the distance to the angle under load that is drawn
    straight over log pressure, not the angle, which turns quickly just before the flange closes."""
    ramp = pressed.ramp[pressed.ramp[:, 0] > 0.0]
    p, a = np.array(points, float).T
    every = np.union1d(p, ramp[(ramp[:, 0] > p[0]) & (ramp[:, 0] < p[-1]), 0])
    loaded = np.interp(np.log(every), np.log(ramp[:, 0]), ramp[:, 1])
    off = np.interp(np.log(every), np.log(p), a - np.interp(np.log(p), np.log(ramp[:, 0]), ramp[:, 1]))
    return list(zip(every.tolist(), (loaded + off).tolist(), strict=True))


def _band(pressed: Pressed, band: AngleBand, at: Chart) -> list[Item]:
    """The band about the line as it is drawn, from the band's first pressure to its last; its width straight between them."""
    p, low, value, high = band.rows()
    line = [q for q in _from(between(pressed, released_of(pressed, band)), at.p[0]) if p[0] <= q[0] <= p[-1]]
    below, above = (
        [at(x, a + float(np.interp(np.log(x), np.log(p), off))) for x, a in line] for off in (low - value, high - value)
    )
    area = Polyline((*below, *reversed(above)), True, None, FILL)
    return [area, Polyline(tuple(below), False, BAND), Polyline(tuple(above), False, BAND)]


def _marks(marks: Sequence[PressureMark], at: Chart, first: Unit) -> list[Item]:
    """Upright lines with their words along them, to the right of the line, from the bottom up where the chart is empty; of two
    close together the left one has its words to the left."""
    items: list[Item] = []
    ranked = sorted(marks, key=lambda m: m.mpa)
    for k, m in enumerate(ranked):
        (x, y0), (_, y1) = at(m.mpa, at.a[0]), at(m.mpa, at.a[1])
        after = at(ranked[k + 1].mpa, at.a[0])[0] - x if k + 1 < len(ranked) else 99.0
        before = x - at(ranked[k - 1].mpa, at.a[0])[0] if k else 99.0
        words = f"{m.words} {pressure_words(m.mpa, first)}"
        left = after < 6.0 or (x > at(at.p[1], 0.0)[0] - 6.0 and before > 6.0)
        tall = text_width(words, PT, "bold")
        base = x - 1.2 if left else x + 3.6
        # white under the words, so that the grid and a curve do not run through them
        box = (
            (base - 3.0, y0 + 1.5),
            (base + 0.9, y0 + 1.5),
            (base + 0.9, y0 + 3.0 + tall),
            (base - 3.0, y0 + 3.0 + tall),
        )
        items += [
            Polyline(box, True, None, 1.0),
            Line(x, y0, x, y1, MARK),
            Text(base, y0 + 2.2, words, PT, "bold", angle_deg=90.0),
        ]
    return items


def _labels(labels: Sequence[Label], at: Chart) -> list[Item]:
    """Names of the lines in a column to the right, each with a thin line from where its line ends."""
    end = at(at.p[1], 0.0)[0]
    ranked = sorted(labels, key=lambda r: -r[1])
    heights = spread([r[1] for r in ranked], PITCH, -at.size[1] + BOTTOM, -TOP)
    items: list[Item] = []
    for (x, y, what, number), here in zip(ranked, heights, strict=True):
        items.append(Line(x, y, end + 1.5, y, THIN))
        items += [Line(end + 1.5, y, end + 6.0, here, THIN), Line(end + 6.0, here, end + 8.0, here, THIN)]
        items += [Text(end + 9.0, here + 0.5, what, 8.0), Text(end + 9.0, here - 3.1, number, PT, "bold")]
    return items


def _grid(at: Chart, first: Unit) -> list[Item]:
    items: list[Item] = []
    step = 10 if at.a[1] - at.a[0] <= 100 else 20
    for deg in range(int(at.a[0]), int(at.a[1]) + 1, step):
        (x0, y), (x1, _) = at(at.p[0], deg), at(at.p[1], deg)
        items += [Line(x0, y, x1, y, GRID), Text(x0 - 1.0, y - 1.0, f"{deg}", PT, anchor="end")]
    unit = MPA_PER_PSI if first == "in" else 1.0
    last = -99.0
    for value in round_values(at.p[0] / unit, at.p[1] / unit):
        (x, y0), (_, y1) = at(value * unit, at.a[0]), at(value * unit, at.a[1])
        items.append(Line(x, y0, x, y1, GRID))
        if x - last > 1.0 + text_width(f"{value:g}", PT):
            items.append(Text(x, y0 - 3.8, f"{value:g}", PT, anchor="middle"))
            last = x
    (x0, y0), (x1, y1) = at(at.p[0], at.a[0]), at(at.p[1], at.a[1])
    name = f"pressure on the sheet, {'psi' if first == 'in' else 'MPa'} (logarithmic)"
    turned = (y0 + y1) / 2
    words = [
        Text((x0 + x1) / 2, y0 - 8.2, name, PT, anchor="middle"),
        Text(x0 - 9.0, turned, "angle from flat, deg", PT, anchor="middle", angle_deg=90.0),
    ]
    return [*items, Line(x0, y0, x1, y0), Line(x0, y0, x0, y1), *words]


def round_values(low: float, high: float) -> list[float]:
    """1, 2, 5, 10, ... between the ends of a logarithmic scale; more of them where it is short."""
    of_ten = (1.0, 2.0, 5.0) if high > 12.0 * low else (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)
    powers = range(floor(log10(low)), ceil(log10(high)) + 1)
    return [m * 10.0**k for k in powers for m in of_ten if low <= m * 10.0**k <= high]
