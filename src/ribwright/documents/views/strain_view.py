"""A strain map for a screen: its triangles flat and formed, what each is strained, bands as on the papers, and the eyes that the papers
look with."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.documents.strain_pages import Quantity, quantities
from ribwright.documents.strain_view import flat_eye, formed_eye, formed_turned
from ribwright.documents.views.rounding import listed, number
from ribwright.stages.strain_limit import LimitLine, NoLine
from ribwright.stages.strain_map import StrainMap

NAMES = ("thickness", "major", "minor")


def strain_view(m: StrainMap, line: LimitLine | NoLine) -> dict[str, Any]:
    """N nodes, T triangles.

    triangles (3 T) node numbers; flat_mm (2 N), formed_mm (3 N); cycles: node numbers of each boundary
    major, minor, thickness_mm (T); place (T) number in `places`, -1 the web; counted (T) 1 where a maximum may be read
    eyes      flat and formed: 3 x 3, rows across, up and towards the eye, of length 1
    quantities  thickness in mm and in inches, major, minor: {name, unit, levels, down, bands: [{grey, letter, words}], worst, where,
                flat_mm}
    """
    flat, formed = (eye.turn / eye.scale for eye in (flat_eye(m, 100.0, 100.0), formed_eye(m, 100.0, 100.0)))
    scales = [
        *(_quantity(q, n, u) for q, n, u in zip(quantities(m, "mm"), NAMES, ("mm", "", ""), strict=True)),
        _quantity(quantities(m, "in")[0], "thickness", "in"),
    ]
    return {
        "triangles": m.triangles.ravel().tolist(),
        "flat_mm": listed(m.flat.ravel(), 3),
        "formed_mm": listed(m.formed.ravel(), 3),
        "cycles": [c.tolist() for c in m.cycles],
        "major": listed(m.major),
        "minor": listed(m.minor),
        "thickness_mm": listed(m.thickness),
        "place": m.place.tolist(),
        "places": [{"kind": kind, "name": name} for kind, name in m.places],
        "counted": m.counted.astype(int).tolist(),
        "sheet_mm": number(m.sheet),
        "eyes": {"flat": listed(flat, 6), "formed": listed(formed, 6), "formed_turned_over": formed_turned(m)},
        "quantities": scales,
        "limit_line": {"e0": number(line.e0), "words": line.source}
        if isinstance(line, LimitLine)
        else {"e0": None, "words": line.why},
        "outcome": m.outcome,
        "words": m.words,
    }


def _quantity(q: Quantity, name: str, unit: str) -> dict[str, Any]:
    s = q.scale
    return {
        "name": name,
        "unit": unit,
        "levels": [round(x, 9) for x in s.levels],
        "down": s.down,
        "bands": [{"grey": number(s.grey(k)), "letter": s.letter(k), "words": s.words(k)} for k in range(s.bands)],
        "worst": number(q.worst),
        "digits": q.digits,
        "where": q.where,
        "flat_mm": listed(np.asarray(q.flat), 3),
    }
