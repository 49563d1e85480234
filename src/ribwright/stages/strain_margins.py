"""How much strain is left before the sheet splits, place by place, from the strain map.

    margin = (limit - strain)/limit

At the free edge along the edge, in engineering strain as the record's limits are; over the rest of the place along the ray of strain to the
limit line, in true strain. Only where a maximum may be read (`counted`). A place that stretches by less than 1e-4 has no row; one that
thickens everywhere has nothing to split.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import forming_limit
from ribwright.stages.job import Job
from ribwright.stages.strain_limit import (
    ENGINEERING,
    FREE_EDGE,
    LINE,
    NO_EDGE,
    TRUE,
    LimitLine,
    NoLine,
    edge_limit,
    limit_line,
)
from ribwright.stages.strain_map import Rim, StrainMap

Array = NDArray[np.float64]
STRAINED = 1e-4


@dataclass(frozen=True)
class SplitMargin:
    """The least room of one place against one limit.

    kind, name    "edge" or "hole", as drawn
    by            "free edge" or "limit line"
    value, limit, margin   strain, what it is held against, room left; limit and margin None: not known, `source` says why
    unit          of value and limit
    major, minor, thickness   there; true strain, mm
    flat, formed  the place on the blank and on the formed part [mm]
    """

    kind: str
    name: str
    by: str
    value: float
    limit: float | None
    margin: float | None
    unit: str
    source: str
    major: float
    minor: float
    thickness: float
    flat: tuple[float, float]
    formed: tuple[float, float, float]

    def as_json(self) -> dict[str, Any]:
        """The row under its JSON keys."""
        plain = ("by", "value", "limit", "margin", "unit", "source", "major", "minor")
        return {
            self.kind: self.name,
            **{k: getattr(self, k) for k in plain},
            "thickness_mm": self.thickness,
            "at_flat_mm": list(self.flat),
            "at_formed_mm": list(self.formed),
        }


def split_margins(job: Job, m: StrainMap) -> tuple[SplitMargin, ...]:
    """Every place's rows, the least margin first, those without one last."""
    line = limit_line(job)
    rows = [r for rim in m.rims if (r := _at_edge(job, m, rim)) is not None]
    rows += [r for k in range(len(m.places)) if (r := _inside(m, k, line)) is not None]
    return tuple(sorted(rows, key=lambda r: (r.margin is None, r.margin or 0.0, r.kind, r.name, r.by)))


def least(rows: tuple[SplitMargin, ...]) -> SplitMargin | None:
    """The row with the least margin; None where no limit is known."""
    return next((r for r in rows if r.margin is not None), None)


def _at_edge(job: Job, m: StrainMap, rim: Rim) -> SplitMargin | None:
    strain = np.where(rim.counted, rim.strain, -np.inf)
    k = int(np.argmax(strain))
    if strain[k] < STRAINED:
        return None
    value, limit = float(np.expm1(strain[k])), edge_limit(job, rim.kind)
    room = None if limit is None or limit.value <= 0.0 else (limit.value - value) / limit.value
    source = NO_EDGE if limit is None else f"{limit.source} ({limit.standing()})"
    t = int(rim.triangle[k])
    # along the edge it is pulled alone: the strain across it is that of the triangle behind
    across = float(m.minor[t])
    thickness = m.sheet * float(np.exp(-strain[k] - across))
    return SplitMargin(
        rim.kind, rim.name, FREE_EDGE, value, limit.value if limit else None, room, ENGINEERING, source, float(strain[k]), across,
        thickness, _pair(rim.flat[k]), _triple(rim.formed[k]),
    )  # fmt: skip


def _inside(m: StrainMap, place: int, line: LimitLine | NoLine) -> SplitMargin | None:
    mine = np.flatnonzero((m.place == place) & m.counted & ~m.web)
    if not len(mine):
        return None
    used = forming_limit.used(m.major[mine], m.minor[mine])
    k = int(mine[int(np.argmax(used))])
    if used.max() < STRAINED:
        return None
    corners = m.triangles[k]
    flat, formed = _pair(m.flat[corners].mean(axis=0)), _triple(m.formed[corners].mean(axis=0))
    major, minor = m.major[k : k + 1], m.minor[k : k + 1]
    limit = room = None
    if isinstance(line, LimitLine):
        limit = float(forming_limit.limit_major(line.e0, major, minor)[0])
        room = float(forming_limit.margin(line.e0, major, minor)[0])
    source = line.source if isinstance(line, LimitLine) else line.why
    return SplitMargin(
        *m.places[place], LINE, float(major[0]), limit, room, TRUE, source, float(major[0]), float(minor[0]),
        float(m.thickness[k]), flat, formed,
    )  # fmt: skip


def _pair(p: Array) -> tuple[float, float]:
    return float(p[0]), float(p[1])


def _triple(p: Array) -> tuple[float, float, float]:
    return float(p[0]), float(p[1]), float(p[2])
