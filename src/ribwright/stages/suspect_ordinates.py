"""Typed ordinates that the curve through the others does not pass: found, told, and changed only when a person says so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import floor

import numpy as np

from ribwright.features.ordinate_table import OrdinateTable
from ribwright.geometry.fit_error import LEAST_POINTS, THRESHOLD, fit_error
from ribwright.geometry.suspects import RUN_THRESHOLDS, suspects
from ribwright.stages.finding import Finding
from ribwright.stages.table_lines import TableLine
from ribwright.units import Unit, show_length

COVERED = 2.0
"""Uncertainty of a value that would fit, in local fit errors: held the true value in 97 of 100 planted errors
(benchmarks/ordinates.py)."""
SOURCE = "geometry/fit_error: each point against the curve through all the others"


@dataclass(frozen=True)
class SuspectOrdinate:
    """Number `number` of the list, on `line` of the file: column `axis` of `side` says `found`, and `fits` would, give or take
    `uncertain`; `local` fit error there, `share` the miss over it. All [mm]. `taken` [mm]: what a person puts in its place. `together`:
    with how many side by side it was judged, itself included."""

    number: int
    side: str
    axis: str
    line: int
    x: float
    typed: str
    found: float
    fits: float
    uncertain: float
    local: float
    share: float
    taken: float | None = None
    together: int = 1


def suspect_ordinates(table: OrdinateTable, lines: tuple[TableLine, ...]) -> tuple[SuspectOrdinate, ...]:
    """Every suspect of every line, in the order of the file."""
    rows = {(s.name, i): o for s in table.sides for i, o in enumerate(s.ordinates)}
    found = []
    for line in lines:
        for s in suspects(line.points, line.step):
            side, index = line.source[s.index]
            # the column in which the miss is put right with the smaller change
            axis = 1 if abs(s.normal[1]) >= abs(s.normal[0]) else 0
            ordinate, across = rows[side, index], s.normal[axis]
            value = ordinate.point[axis]
            found.append(
                SuspectOrdinate(
                    0,
                    side,
                    "xy"[axis],
                    ordinate.line,
                    ordinate.x,
                    ordinate.typed[axis],
                    value,
                    _to_step(value - s.miss / across, line.step),
                    COVERED * s.local / abs(across),
                    s.local,
                    abs(s.miss) / s.local,
                    together=s.together,
                )
            )
    found.sort(key=lambda o: (o.side, o.line))
    return tuple(replace(o, number=n) for n, o in enumerate(found, 1))


def with_taken(
    lines: tuple[TableLine, ...],
    found: tuple[SuspectOrdinate, ...],
    table: OrdinateTable,
    takes: Mapping[int, float | None],
) -> tuple[tuple[TableLine, ...], tuple[SuspectOrdinate, ...]]:
    """The lines with the values that a person takes: by number of the list, its own value [mm] or None for the one that would fit."""
    told = tuple(
        replace(o, taken=o.fits if takes[o.number] is None else takes[o.number]) if o.number in takes else o
        for o in found
    )
    rows = {(s.name, i): o.line for s in table.sides for i, o in enumerate(s.ordinates)}
    out = []
    for line in lines:
        points = line.points.copy()
        for k, (side, index) in enumerate(line.source):
            for o in told:
                if o.taken is not None and (o.side, o.line) == (side, rows[side, index]):
                    points[k, "xy".index(o.axis)] = o.taken
        out.append(replace(line, points=points))
    return tuple(out), told


def not_judged(lines: tuple[TableLine, ...]) -> dict[str, int]:
    """How many points of each line are not judged: ends, and where the curve turns too far from one to the next."""
    return {line.name: int(np.sum(~fit_error(line.points, line.step).judged)) for line in lines}


def ordinate_findings(found: tuple[SuspectOrdinate, ...], lines: tuple[TableLine, ...], first: Unit) -> list[Finding]:
    """A warning each suspect that stays as typed, a note each that was taken, a note on lines too short to be judged."""
    out = [_suspect(o, first) if o.taken is None else _taken(o, first) for o in found]
    short = [line.name for line in lines if len(line.points) < LEAST_POINTS]
    if short:
        out.append(
            Finding(
                "ordinates-too-few",
                "note",
                f"{', '.join(short)}: fewer than {LEAST_POINTS} points, so none of them is judged by the others.",
                "Compare each typed value with the drawing.",
                {"line": short[0]},
                source=SOURCE,
            )
        )
    return out


def _place(o: SuspectOrdinate, first: Unit) -> str:
    return f"line {o.line}, {o.axis} {o.side} at x = {show_length(o.x, first)}"


def _suspect(o: SuspectOrdinate, first: Unit) -> Finding:
    n, limit = o.number, RUN_THRESHOLDS.get(o.together, THRESHOLD)
    beside = f", judged together with {o.together - 1} beside it" if o.together > 1 else ""
    return Finding(
        "ordinate-suspect",
        "warn",
        f"{n}: {_place(o, first)}: typed {o.typed}, {show_length(abs(o.found - o.fits), first)} off the curve through the others{beside}; "
        f"{show_length(o.fits, first)} would fit, give or take {show_length(o.uncertain, first)}. It is kept as typed.",
        f"Look at the drawing; then --take {n} for the value that would fit, --take {n}=VALUE for the drawing's, or leave it.",
        {"side": o.side, "line": o.line},
        o.share,
        limit,
        (limit - o.share) / limit,
        "local fit errors",
        SOURCE,
    )


def _taken(o: SuspectOrdinate, first: Unit) -> Finding:
    assert o.taken is not None  # asked of those alone
    return Finding(
        "ordinate-taken",
        "note",
        f"{o.number}: {_place(o, first)}: typed {o.typed}, {show_length(o.taken, first)} taken in its place, as you said.",
        "Have the drawing corrected.",
        {"side": o.side, "line": o.line},
        o.taken,
        unit="mm",
        source="--take",
    )


def _to_step(value: float, step: float) -> float:
    """The nearest value that can be typed with the table's digits."""
    return floor(value / step + 0.5) * step if step > 0 else value
