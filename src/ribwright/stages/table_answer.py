"""The numbers of an import under their JSON keys."""

from __future__ import annotations

from math import isfinite
from typing import Any

from ribwright.features.ordinate_table import OrdinateTable
from ribwright.geometry.fair import Fair
from ribwright.geometry.fit_error import THRESHOLD
from ribwright.stages.known_length import Scale
from ribwright.stages.suspect_ordinates import SuspectOrdinate
from ribwright.stages.table_edges import TYPED, CurveOrder, TableEdge
from ribwright.stages.table_lines import TableLine


def table_answer(
    table: OrdinateTable,
    lines: tuple[TableLine, ...],
    curves: tuple[Fair, ...],
    found: tuple[SuspectOrdinate, ...],
    not_judged: dict[str, int],
    scales: list[Scale],
    edges: tuple[TableEdge, ...],
    order: CurveOrder,
) -> dict[str, Any]:
    """`table`, `lines`, `suspects`, `lengths`, `curve`, `edges`; all lengths mm."""
    furthest = max(float(f.off.max()) for f in curves)
    errors = [e.error for e in edges if isfinite(e.error)]
    arcs = [v for e in edges for v in e.vertices[:-1]]
    return {
        "table": {
            "file": table.file,
            "unit": table.unit,
            "chord_mm": table.chord,
            "sides": [{"name": s.name, "points": len(s.ordinates), "last_digit_mm": s.step} for s in table.sides],
        },
        "lines": [{"name": li.name, "points": len(li.points), "not_judged": not_judged[li.name]} for li in lines],
        "threshold": THRESHOLD,
        "suspects": [_suspect(o) for o in found],
        "lengths": [
            {
                "what": s.length.what,
                "at_mm": s.length.at,
                "known_mm": s.length.known,
                "measured_mm": s.measured,
                "ratio": s.ratio,
                "agrees": s.agrees,
            }
            for s in scales
        ],
        "curve": {
            "kind": order.kind,
            "within_mm": order.within,
            "furthest_ordinate_mm": furthest,
            "skin_mm": order.skin,
            "deviation_allowed_mm": order.deviation if order.kind == "arcs" else None,
            "written_off_faired_mm": None if order.kind == TYPED else max(errors, default=0.0),
            "written_off_ordinates_mm": 0.0 if order.kind == TYPED else furthest + max(errors, default=0.0),
            "arcs": sum(v[2] != 0.0 for v in arcs),
            "lines": sum(v[2] == 0.0 for v in arcs) + sum(e.kind == "line" for e in edges),
        },
        "edges": [
            {
                "name": e.name,
                "kind": e.kind,
                "points": len(e.points),
                "start_mm": e.points[0].tolist(),
                "end_mm": e.points[-1].tolist(),
            }
            for e in edges
        ],
    }


def _suspect(o: SuspectOrdinate) -> dict[str, Any]:
    return {
        "number": o.number,
        "side": o.side,
        "axis": o.axis,
        "line": o.line,
        "x_mm": o.x,
        "typed": o.typed,
        "found_mm": o.found,
        "would_fit_mm": o.fits,
        "uncertainty_mm": o.uncertain,
        "local_fit_error_mm": o.local,
        "times_local_fit_error": o.share,
        "taken_mm": o.taken,
    }
