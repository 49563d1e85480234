"""A strain map for a screen: its triangles flat and formed, what each is strained, bands as on the papers, and the eyes that the papers
look with."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.documents.strain_pages import Quantity, quantities
from ribwright.documents.strain_view import flat_eye, formed_eye, formed_turned
from ribwright.documents.views.plain import number, rounded
from ribwright.stages.strain_limit import LimitLine, NoLine
from ribwright.stages.strain_map import StrainMap, principal

NAMES = ("thickness", "major", "minor")


def strain_view(m: StrainMap, line: LimitLine | NoLine) -> dict[str, Any]:
    """N nodes, T triangles.

    triangles (3 T) node numbers; flat_mm (2 N), formed_mm (3 N); cycles: node numbers of each boundary
    major, minor, thickness_mm (T); place (T) number in `places`, -1 the web; counted (T) 1 where a maximum may be read; held (T) 1 for the
    web, which keeps strain 0 and the sheet's thickness up to the tangent lines
    smooth    {thickness_mm, major, minor} (N): the same smoothed over what is not held, as the papers' bands are
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
        "flat_mm": rounded(m.flat.ravel(), 3),
        "formed_mm": rounded(m.formed.ravel(), 3),
        "cycles": [c.tolist() for c in m.cycles],
        "major": rounded(m.major),
        "minor": rounded(m.minor),
        "thickness_mm": rounded(m.thickness),
        "place": m.place.tolist(),
        "places": [{"kind": kind, "name": name} for kind, name in m.places],
        "counted": m.counted.astype(int).tolist(),
        "held": m.web.astype(int).tolist(),
        "smooth": _smooth(m),
        "sheet_mm": number(m.sheet),
        "eyes": {"flat": rounded(flat, 6), "formed": rounded(formed, 6), "formed_turned_over": formed_turned(m)},
        "quantities": scales,
        "limit_line": {"e0": number(line.e0), "words": line.source}
        if isinstance(line, LimitLine)
        else {"e0": None, "words": line.why},
        "outcome": m.outcome,
        "words": m.words,
    }


def _smooth(m: StrainMap) -> dict[str, Any]:
    """Values at the nodes that are not held alone; the others' are those of the sheet as bought."""
    major, minor, _ = principal(m.at_corners[~m.web].reshape(-1, 3))
    nodes = m.triangles[~m.web].ravel()
    out: dict[str, Any] = {}
    for name, rest, values in (
        ("thickness_mm", m.sheet, m.sheet * np.exp(-(major + minor))), ("major", 0.0, major), ("minor", 0.0, minor),
    ):  # fmt: skip
        all_nodes = np.full(len(m.flat), rest)
        all_nodes[nodes] = values
        out[name] = rounded(all_nodes)
    return out


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
        "flat_mm": rounded(np.asarray(q.flat), 3),
    }
