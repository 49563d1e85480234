"""How much room is left, place by place, also where nothing is wrong: the margins that the findings are made of.

    margin = (limit - value)/limit, or its opposite for a lower limit: negative is bad
A row has no margin where the limit is not known (or is 0), and its `source` says so. The governing row of a place is the one
with the least margin.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import Point

from ribwright.shop.least_radius import radii_of
from ribwright.shop.sheet import Fact
from ribwright.stages.blank import RunStrip
from ribwright.stages.checks.context import Looked, margin
from ribwright.stages.checks.hole_place import web_lines
from ribwright.stages.pressure import within

MOST_STATIONS = 60
STRAINED = 1e-4
NO_LIMIT = "no limit is known for this temper"
Where = dict[str, Any]


@dataclass(frozen=True)
class Margin:
    """One quantity at one place. `stations`: (along as typed [mm], value, limit, margin) where the value varies along an
    edge, in travel order; `least` True: the limit is a lower one."""

    quantity: str
    where: Where
    value: float
    limit: float | None
    margin: float | None
    unit: str
    source: str
    stations: tuple[tuple[float, float, float | None, float | None], ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The row under its JSON keys."""
        keys = ("along_mm", "value", "limit", "margin")
        whole = {k: getattr(self, k) for k in ("quantity", "where", "value", "limit", "margin", "unit", "source")}
        return {**whole, "stations": [dict(zip(keys, s, strict=True)) for s in self.stations]}

    @property
    def place(self) -> tuple[str, str]:
        """('edge', 'upper'): what it is the margin of."""
        return next(
            ((k, str(v)) for k, v in self.where.items() if k in ("edge", "hole", "bead", "press")), ("part", "")
        )


def margins(looked: Looked) -> tuple[Margin, ...]:
    """Every margin of the part, the least first; rows without one last."""
    return ordered([*_edges(looked), *_holes(looked), *_pressures(looked), *_press(looked)])


def ordered(rows: Iterable[Margin]) -> tuple[Margin, ...]:
    """The least margin first; rows without one last."""
    return tuple(sorted(rows, key=lambda r: (r.margin is None, r.margin or 0.0, r.quantity, str(r.where))))


def governing(rows: tuple[Margin, ...]) -> tuple[Margin, ...]:
    """Of each place the row with the least margin, in the order of `rows`; of a place without any, its first row."""
    first: dict[tuple[str, str], Margin] = {}
    for row in rows:
        first.setdefault(row.place, row)
    return tuple(first.values())


def _upper(quantity: str, where: Where, value: float, limit: Fact | None, unit: str) -> Margin:
    if limit is None:
        return Margin(quantity, where, value, None, None, unit, NO_LIMIT)
    return Margin(quantity, where, value, limit.value, margin(value, limit.value), unit, _source(limit))


def _source(fact: Fact) -> str:
    return f"{fact.source} ({fact.standing()})"


# ---------------------------------------------------------------- edges


def _edges(looked: Looked) -> Iterator[Margin]:
    for strip in looked.blank.strips:
        assert strip.run.flange is not None
        for i in strip.run.edges:
            name = looked.blank.laid[strip.loop].edges[i].edge.name
            yield _radius(looked, {"edge": name}, strip.run.flange.bend_radius)
            yield _straight(strip, i, name)
            mine = np.flatnonzero((strip.at.edge == i) & strip.strip.good)
            if len(mine):
                yield from _strain(looked, strip, mine, name)


def _radius(looked: Looked, where: Where, radius: float) -> Margin:
    """Against the radius to meet; under the table's least one, against that."""
    job, row = looked.job, looked.job.bend_row
    table = job.radius_table_of(row)
    source = f"{table.title}: {table.source} ({table.row_status.get(row, table.status)})"
    known = radii_of(table, row, job.t)
    if known is None:
        return Margin("bend_radius", where, radius, None, None, "mm", f"no entry for {row} in {source}")
    meet, least = known
    limit = least if radius < least * (1 - 1e-6) else meet
    return Margin("bend_radius", where, radius, limit, _snapped(radius, limit), "mm", source)


def _snapped(value: float, limit: float) -> float | None:
    """Margin to a lower limit; a value that is the limit but for its rounding has the margin 0."""
    found = margin(value, limit, least=True)
    return 0.0 if found is not None and abs(found) <= 1e-6 else found


def _straight(strip: RunStrip, i: int, name: str) -> Margin:
    """The flange's width against what its bend takes, where the straight part is shortest."""
    mine = np.flatnonzero(strip.at.edge == i)
    j = int(mine[int(np.argmin(strip.at.leg[mine]))])
    width, setback = float(strip.at.width[j]), float(strip.at.setback[j])
    where: Where = {"edge": name, "along_mm": float(strip.at.along[j])}
    return Margin(
        "flange_width", where, width, setback, margin(width, setback, least=True), "mm", "geometry of the bend"
    )


def _strain(looked: Looked, strip: RunStrip, mine: NDArray[np.int64], name: str) -> Iterator[Margin]:
    """Stretch at its worst place, shrink at its worst place; an edge that does neither has no row."""
    facts = looked.job.formed.facts if looked.job.formed else {}
    strain = np.expm1(strip.strip.edge_strain[mine])
    stretch, smooth, fluted = (facts.get(k) for k in ("stretch_limit", "shrink_limit", "shrink_fluted_limit"))
    for quantity, values, limits in (
        ("edge_stretch", strain, (stretch, None)),
        ("edge_shrink", -strain, (smooth, fluted)),
    ):
        j = int(np.argmax(values))
        value = float(values[j])
        if value < STRAINED:
            continue
        where: Where = {"edge": name, "along_mm": float(strip.at.along[mine[j]])}
        row = _upper(quantity, where, value, _limit(value, *limits), "engineering strain")
        yield replace(row, stations=_stations(strip, mine, values, limits))


def _limit(value: float, first: Fact | None, last: Fact | None) -> Fact | None:
    """The limit that speaks: past the last one (flutes side by side) that, before it the first one."""
    return last if last is not None and value > last.value else first


def _stations(
    strip: RunStrip, mine: NDArray[np.int64], values: NDArray[np.float64], limits: tuple[Fact | None, Fact | None]
) -> tuple[tuple[float, float, float | None, float | None], ...]:
    """The strain along the edge, evenly thinned, its first, last and worst station kept."""
    keep = np.unique(
        np.append(np.round(np.linspace(0, len(mine) - 1, min(len(mine), MOST_STATIONS))).astype(int), np.argmax(values))
    )
    rows = []
    for k in keep:
        value = max(float(values[k]), 0.0)
        limit = _limit(value, *limits)
        found = margin(value, limit.value) if limit else None
        rows.append((float(strip.at.along[mine[k]]), value, limit.value if limit else None, found))
    return tuple(rows)


# ---------------------------------------------------------------- holes


def _holes(looked: Looked) -> Iterator[Margin]:
    facts = looked.job.formed.facts if looked.job.formed else {}
    fact = looked.job.catalogue.practice["hole_to_bend"]
    want, lines = fact.value * looked.job.t, web_lines(looked)
    for flat in looked.blank.holes:
        h = flat.hole
        if h.kind == "lightening":
            yield _radius(looked, {"hole": h.name}, h.bend_radius)
        if flat.edge_strain is not None:
            strain = float(np.expm1(flat.edge_strain))
            yield _upper(
                "hole_edge_stretch", {"hole": h.name}, strain, facts.get("hole_edge_limit"), "engineering strain"
            )
        radius = (flat.tangent_diameter or flat.cut_diameter) / 2 + h.slot / 2
        gap, edge = min((line.distance(Point(h.at)) - radius, name) for _, name, line in lines)
        where: Where = {"hole": h.name, "edge": edge}
        yield Margin("hole_to_bend", where, gap, want, margin(gap, want, least=True), "mm", _source(fact))


# ---------------------------------------------------------------- press


def _pressures(looked: Looked) -> Iterator[Margin]:
    """The pressure a flange needs (the top of its band as long as its value is given) against what the press gives."""
    if looked.setup is None:
        return
    have = looked.setup.available
    for d in looked.setup.demands:
        value = d.need.high if within(d.need.value, have) else d.need.value
        yield Margin("pressure", d.where, value, have, margin(value, have), "MPa", d.need.model)


def _press(looked: Looked) -> Iterator[Margin]:
    s = looked.setup
    if s is None:
        return
    where: Where = {"press": s.press.id}
    height = looked.block.height
    yield Margin(
        "pad_margin", where, s.pad_margin, height, margin(s.pad_margin, height, least=True), "mm", "common practice"
    )
    yield Margin(
        "daylight", where, s.stack, s.press.daylight_mm, margin(s.stack, s.press.daylight_mm), "mm", s.press.source
    )
    if s.block_limit is not None and s.pump_pressure is not None:
        value = margin(s.pump_pressure, s.block_limit)
        source = looked.block.material.source if looked.block.material else ""
        # a pump-to pressure that is the limit but for rounding is at the limit
        value = 0.0 if value is not None and abs(value) <= 1e-9 else value
        yield Margin("block_pressure", where, s.pump_pressure, s.block_limit, value, "MPa", source)
