"""A forecast's places for the page: which one is meant, and its section with what a picture of it takes."""

from __future__ import annotations

from typing import Any

from ribwright.documents.views.section_view import Place, play_pressures, section_view
from ribwright.errors import Fault, InputError, UnitError, nearest
from ribwright.stages.forecast import Forecast, Station, off_drawing
from ribwright.stages.tolerances import allowed
from ribwright.units import length_mm
from ribwright.work.forecast_pictures import looked_at
from ribwright.work.forecasting import Forecasted


def section_of(made: Forecasted, edge: str = "", hole: str = "", along: str = "") -> dict[str, Any]:
    """The section of one place as `section_view` tells it. InputError where there is none."""
    s = station_of(made.forecast, edge, hole, along)
    seen = looked_at(made, s, play_pressures)
    part, owner = made.prepared.plan.job.part, s.place.owner
    on_hole = "hole" in s.place.where
    owners = [f"hole.{owner}"] if on_hole else [f"edge.{owner}", f"flange.{part.edge(owner).flange}"]
    limits = allowed(part, "flange_angle", *owners)
    place = Place(s, made.prepared.acting, made.prepared.plan.setup, seen.full, seen.closing, limits)
    return section_view(place, seen.pressed, seen.band)


def station_of(f: Forecast, edge: str, hole: str, along: str) -> Station:
    """The place of an edge nearest to `along` ("12.5 in"; "": its worst), or that of a hole; with neither the worst of all."""
    there = [s for s in f.stations if s.shape is not None]
    if not there:
        raise InputError(
            [Fault("job", "section", "no section", "a forecast by the section model of a sheet whose law is known")]
        )
    key, name = ("hole", hole) if hole else ("edge", edge)
    mine = [s for s in there if not name or s.place.where.get(key) == name]
    if not mine:
        names = list(dict.fromkeys(str(s.place.where[key]) for s in there if key in s.place.where))
        raise InputError(
            [
                Fault(
                    "job",
                    f"options.{key}",
                    repr(name),
                    f"one of {', '.join(names) or 'none here'}",
                    nearest(name, names),
                )
            ]
        )
    if along and not hole:
        at = _length(along)
        return min(mine, key=lambda s: abs(s.place.along - at))
    return max(mine, key=lambda s: abs(off_drawing(s)))


def _length(text: str) -> float:
    try:
        return length_mm(text)
    except UnitError as wrong:
        raise InputError([Fault("job", "options.along", wrong.found, wrong.allowed)]) from wrong
