"""The section of a forecast's places as pictures: .svg and .png of the place that comes out worst, .pdf of the worst of each edge."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from ribwright.documents.forecast_screen import place_words
from ribwright.documents.page import Document, Page, crossed_document
from ribwright.documents.section_curve import AngleBand, PressureMark, closing_mark, reached_closing
from ribwright.documents.section_picture import Marks, panel_pressures, section_pages
from ribwright.errors import Fault, InputError
from ribwright.ports import Keeper, Writers
from ribwright.stages.forecast import Forecast, Station, off_drawing
from ribwright.stages.forecast_curve import band_walks, bands_over
from ribwright.stages.forecast_section import Walk
from ribwright.work.asking import Progress, silent
from ribwright.work.forecasting import Forecasted, walked

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
    from ribwright.mechanics.section.standing import against_web

    p, identity = made.prepared, made.answer.identity
    walk = p.walks[s.seated.seat, ""]
    full = walk.pressures[-1] if s.closes or walk.left is None else walk.left
    pressed = made.pressed[s.seated.seat, ""]
    closing = reached_closing(pressed) or pressed.closing  # the estimate only says where to take panels
    panels = panel_pressures(closing, full)
    more = np.geomspace(1.4 * closing, full, CURVE_POINTS + 1)[:-1].tolist() if full > 2.0 * closing else []
    curve = tuple(sorted({*panels, *more}))
    walks = {"panels": Walk(walk.flange, panels)} | band_walks(p, s.seated, curve)
    found = walked(walks)
    bands = [(q, b.released) for q, b in bands_over(p, s.seated, curve, found)]
    band = None
    if len(bands) > 1:
        pressures, predicted = zip(*bands, strict=True)
        band = AngleBand(pressures, *([getattr(x, k) for x in predicted] for k in ("low", "value", "high")))
    name = "pad presses with" if p.acting.share.mpa > 0 else "acts"
    acts = PressureMark(full, name if s.closes else "left of the pad's" if p.acting.share.mpa > 0 else name)
    marks = [m for m in (closing_mark(pressed, full), acts) if m is not None]
    where = place_words(s.place.where, identity.first)
    return section_pages(
        where, against_web(found["panels"]), identity.first,
        Marks(s.place.angle, f"{identity.material} {identity.thickness}", "pad" if p.acting.share.mpa > 0 else "fluid",
              tuple(marks), band, ", ".join(s.unverified)),
        identity=identity,
    )  # fmt: skip
