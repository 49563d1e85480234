"""The strain map under its JSON keys: what every place is strained, what it is held against, and where the least room is."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.strain_limit import LimitLine, NoLine
from ribwright.stages.strain_map import StrainMap
from ribwright.stages.strain_margins import SplitMargin, least

Array = NDArray[np.float64]
SAYS = "not compared with a real formed part"
HOLDS = (
    "strain of the middle of the sheet, one step from flat to formed: without what a bend adds on its outside, without wrinkles, without "
    "the way it came; the web is held; within four thicknesses of a held corner no maximum is read"
)


def strain_answer(m: StrainMap, line: LimitLine | NoLine, rows: tuple[SplitMargin, ...]) -> dict[str, Any]:
    """The contract's `strain`."""
    worst = least(rows)
    return {
        "outcome": m.outcome,
        "words": m.words,
        "triangles": len(m.triangles),
        "element_mm": m.size,
        "sheet_thickness_mm": m.sheet,
        "limit_line": _line(line),
        "places": [_place(m, k, rows) for k in range(len(m.places)) if _mine(m, k).any()],
        "least": None if worst is None else worst.as_json(),
        "holds": HOLDS,
        "says": SAYS,
    }


def no_strain_answer(outcome: str, words: str) -> dict[str, Any]:
    """The same where there is no blank by balance to read strain from."""
    nothing = dict.fromkeys(("triangles", "element_mm", "sheet_thickness_mm", "limit_line", "least"))
    return {"outcome": outcome, "words": words, **nothing, "places": [], "holds": HOLDS, "says": SAYS}


def _line(line: LimitLine | NoLine) -> dict[str, Any]:
    if isinstance(line, NoLine):
        return {"plane_strain_major": None, "n": None, "prestrain": None, "share": None, "source": line.why}
    return {
        "plane_strain_major": line.e0,
        "n": line.n,
        "prestrain": line.prestrain,
        "share": line.share,
        "source": line.source,
    }


def _mine(m: StrainMap, place: int) -> NDArray[np.bool_]:
    return np.asarray((m.place == place) & m.counted & ~m.web)


def _place(m: StrainMap, place: int, rows: tuple[SplitMargin, ...]) -> dict[str, Any]:
    kind, name = m.places[place]
    mine = _mine(m, place)
    rims = [r for r in m.rims if (r.kind, r.name) == (kind, name) and r.counted.any()]
    edge = np.concatenate([r.strain[r.counted] for r in rims]) if rims else np.zeros(0)
    return {
        kind: name,
        "major": _range(m.major[mine]),
        "minor": _range(m.minor[mine]),
        "thickness_mm": _range(m.thickness[mine]),
        "edge_strain": _range(edge) if len(edge) else None,
        "split": [r.as_json() for r in rows if (r.kind, r.name) == (kind, name)],
    }


def _range(values: Array) -> dict[str, float]:
    return {"min": float(values.min()), "max": float(values.max())}
