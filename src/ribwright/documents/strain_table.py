"""The strain map as a table of comma-separated values, one row a triangle: for a spreadsheet or somebody's own picture."""

from __future__ import annotations

import numpy as np

from ribwright.documents.identity import Identity
from ribwright.stages.strain_answer import SAYS
from ribwright.stages.strain_map import StrainMap

COLUMNS = (
    "kind,name,flat_x_mm,flat_y_mm,formed_x_mm,formed_y_mm,formed_z_mm,major_true_strain,minor_true_strain,"
    "major_direction_deg,thickness_mm,maximum_may_be_read"
)


def strain_table(m: StrainMap, identity: Identity) -> str:
    """The text of the file. Places are the middles of triangles; the direction is that of the major strain in the flat blank from +x; a
    line that begins with # is no row."""
    head = [f"# {identity.line}", f"# {m.outcome}: {m.words}", f"# {SAYS}"]
    head += [f"# STOP: {s}" for s in identity.stops]
    flat, formed = m.flat[m.triangles].mean(axis=1), m.formed[m.triangles].mean(axis=1)
    numbers = np.column_stack([flat, formed, m.major, m.minor, np.degrees(m.direction), m.thickness])
    names = [f"{kind},{_cell(name)}" for kind, name in (("web", ""), *m.places)]
    places = [names[k + 1] for k in m.place.tolist()]
    form = ("%.4f",) * 5 + ("%.6f",) * 2 + ("%.2f", "%.5f")
    rows = [
        ",".join([where, *(f % (v + 0.0) for f, v in zip(form, row, strict=True)), "yes" if read else "no"])
        for where, row, read in zip(places, numbers.tolist(), m.counted.tolist(), strict=True)
    ]
    return "\n".join([*head, COLUMNS, *rows]) + "\n"


def _cell(text: str) -> str:
    """A name as one cell."""
    return '"' + text.replace('"', '""') + '"' if any(c in text for c in ',"\n') else text
