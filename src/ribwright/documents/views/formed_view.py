"""The formed part's mid-surface and the same sheet laid flat, as triangles for a picture in three dimensions.

z = 0 is the web's mid-surface; flanges turned down go to z < 0. `flat` is where each node lies in the strain-corrected blank.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.documents.views.plain import number, rounded
from ribwright.stages.formed_mesh import Meshed


def formed_view(meshed: Meshed, thickness: float) -> dict[str, Any]:
    """The mesh as lists; without one, `why_not` says in sentences what stops it. `thickness` of the sheet [mm]."""
    m = meshed.mesh
    why = [f.say for f in meshed.findings]
    if m is None:
        return {
            "nodes": [],
            "flat": [],
            "triangles": [],
            "part_of": [],
            "loops": [],
            "thickness": number(thickness),
            "why_not": why,
        }
    return {
        "nodes": rounded(m.nodes),
        "flat": rounded(m.start),
        "triangles": m.triangles.tolist(),
        "part_of": np.asarray(m.part_of).tolist(),
        "loops": [c.nodes.tolist() for c in m.loops],
        "thickness": number(thickness),
        "size": number(m.size),
        "box": rounded(np.concatenate([m.nodes.min(axis=0), m.nodes.max(axis=0)])),
        "why_not": [],
    }
