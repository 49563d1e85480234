"""The section of a forecast's places as pictures: .svg and .png of the place that comes out worst, .pdf of the worst of each edge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.forecast_screen import place_words
from ribwright.documents.page import Document, Page, crossed_document
from ribwright.documents.section_curve import AngleBand, PressureMark, closing_mark
from ribwright.documents.section_picture import Marks, panel_pressures, section_pages
from ribwright.errors import Fault, InputError
from ribwright.ports import Keeper, Writers
from ribwright.stages.forecast import Forecast, Station, off_drawing
from ribwright.stages.forecast_curve import band_walks, bands_over
from ribwright.stages.forecast_section import Walk, end_of
from ribwright.stages.one_section import closes_at
from ribwright.work.asking import Progress, silent
from ribwright.work.forecasting import Forecasted, walked

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed

CURVE_POINTS = 3  # of the curve's band between closing and full pressure, besides the panels'


def write_pictures(made: Forecasted, out: Path, writers: Writers, keeper: Keeper, say: Progress = silent) -> None:
    """Draw and keep. InputError where there is no section to draw."""
    places = worst_of_each(made.forecast)
    if not places:
        allowed = "a forecast by the section model of a sheet whose law is known"
        raise InputError([Fault("command line", "--out", f"{out.name!r}, nothing to draw", allowed)])
    if out.suffix.lower() != ".pdf":
        places = (max(places, key=lambda s: abs(off_drawing(s))),)
    pages: list[Page] = []
    for k, s in enumerate(places):
        say(f"picture {k + 1} of {len(places)}")
        pages += pages_of(made, s)
    document = Document(out.stem, f"{made.answer.identity.number} sections", tuple(pages))
    stops = made.answer.identity.stops
    document = crossed_document(document, stops[0]) if stops else document
    write = {".pdf": writers.pdf, ".svg": writers.picture, ".png": writers.png}[out.suffix.lower()]
    keeper.keep({out: write(document)})


def worst_of_each(f: Forecast) -> tuple[Station, ...]:
    """Of each edge and hole the place farthest from its drawn angle, of those with a section."""
    found: dict[str, Station] = {}
    for s in f.stations:
        best = found.get(s.place.owner)
        if s.shape is not None and (best is None or abs(off_drawing(s)) > abs(off_drawing(best))):
            found[s.place.owner] = s
    return tuple(found.values())


def pages_of(made: Forecasted, s: Station) -> tuple[Page, ...]:
    """The sheets of one place."""
    seen, p, identity = looked_at(made, s), made.prepared, made.answer.identity
    name = "pad presses with" if p.acting.share.mpa > 0 else "acts"
    acts = PressureMark(seen.full, "left of the pad's" if seen.kept and p.acting.share.mpa > 0 else name)
    marks = [m for m in (closing_mark(seen.answer, seen.full, seen.closing), acts) if m is not None]
    where = place_words(s.place.where, identity.first)
    loaded, out = ((x.low, x.high) if x is not None else None for x in (s.loaded, s.released))
    return section_pages(
        where, seen.pressed, identity.first,
        Marks(s.place.angle, f"{identity.material} {identity.thickness}", "pad" if p.acting.share.mpa > 0 else "fluid",
              tuple(marks), seen.band, ", ".join(s.unverified), loaded, out),
        identity=identity,
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Looked:
    """One place looked at for a picture.

    pressed   through the pressures of the picture, ended as the answer's own run `answer`; released angles as a protractor reads them
    full      pressure on the sheet at the end [MPa]; `kept` whether the pad keeps some of the one that acts
    closing   what closes the flange [MPa]; infinite: nothing up to `full`
    band      of the released angle over pressure; None where none is known
    """

    pressed: Pressed
    answer: Pressed
    full: float
    kept: bool
    closing: float
    band: AngleBand | None


Pressures = Callable[[NDArray[np.float64], tuple[float, ...]], tuple[float, ...]]


def looked_at(made: Forecasted, s: Station, more: Pressures | None = None) -> Looked:
    """The runs that a picture of a place takes. `more`: from the ramp and the panels' pressures those to press through instead."""
    from ribwright.mechanics.section.standing import against_web

    walk = made.prepared.walks[s.seated.seat, ""]
    answer = made.pressed[s.seated.seat, ""]
    end = end_of(walk, answer)
    assert end is not None  # a place with a shape has one
    full = end.pressure
    closing = closes_at(walk.flange, full)
    panels = panel_pressures(closing if isfinite(closing) else answer.closing, full)
    found = walked({"panels": Walk(walk.flange, panels if more is None else more(answer.ramp, panels))})
    pressed = ended_as(against_web(found["panels"]), against_web(replace(answer, points=(end,))))
    return Looked(pressed, answer, full, full < walk.pressures[-1], closing, band_over(made, s, panels, closing))


def ended_as(pressed: Pressed, answer: Pressed) -> Pressed:
    """The run of a picture with its end taken from the answer's own run: by another way of steps it ends a few hundredths of a degree
    off, which can be the last digit that is printed."""
    (end,) = answer.points
    if not pressed.points or pressed.points[-1].pressure != end.pressure:
        return pressed
    ramp = pressed.ramp.copy()
    ramp[-1, 1] = end.loaded.angle
    return replace(pressed, points=(*pressed.points[:-1], end), ramp=ramp)


def band_over(made: Forecasted, s: Station, panels: tuple[float, ...], closing: float) -> AngleBand | None:
    """The released angle's band over the pressure on the sheet: at the last of the panels' pressures the answer's own, below it from runs;
    None where there is nothing below. What the pad keeps is in the answer's alone: the pressure on the sheet is what it leaves."""
    full = panels[-1]
    more = np.geomspace(1.4 * closing, full, CURVE_POINTS + 1)[:-1].tolist() if full > 2.0 * closing else []
    below = tuple(sorted({*panels[:-1], *more}))
    if s.released is None or not below:
        return None
    found = walked(band_walks(made.prepared, s.seated, below))
    rows = [(q, b.released) for q, b in bands_over(made.prepared, s.seated, below, found)]
    if not rows:
        return None
    pressures, predicted = zip(*rows, (full, s.released), strict=True)
    return AngleBand(pressures, *([getattr(x, k) for x in predicted] for k in ("low", "value", "high")))
