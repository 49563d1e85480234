"""Measured circles under their JSON keys, and what is found of them."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.shop.circles import CircleRecord
from ribwright.stages.finding import Finding
from ribwright.stages.measured_circles import AGREES, APART, Compared

SAYS = "a forecast held against circles that somebody measured on one part; no other part was compared with it"
HOLDS = (
    "as the strain map: one step from flat to formed, web held, no wrinkles; a circle agrees where both strains are within the reading and "
    "what its face differs from the middle of the sheet; over a bend and at a held corner nothing is compared"
)
SOURCE = "measured circles against the strain map of mechanics/inverse"


def circle_answer(record: CircleRecord, rows: tuple[Compared, ...]) -> dict[str, Any]:
    """The contract's `circles`."""
    return {
        "file": record.file,
        "part": record.part,
        "measured_by": record.measured_by,
        "date": record.date,
        "diameter_mm": record.diameter,
        "gauge_mm": record.gauge,
        "gauge_typed": record.gauge_typed,
        "summary": _summary(rows),
        "rows": [_row(c) for c in rows],
        "holds": HOLDS,
        "says": SAYS,
    }


def circle_findings(record: CircleRecord, rows: tuple[Compared, ...]) -> tuple[Finding, ...]:
    """One finding where circles are apart from the forecast, at the one that is furthest."""
    apart = [c for c in rows if c.outcome == APART]
    if not apart:
        return ()
    worst = max(apart, key=_beyond)
    off, left = _largest(worst)
    known = sum(c.compared for c in rows)
    return (
        Finding(
            "circles-apart",
            "warn",
            f"{len(apart)} of {known} measured circles are apart from the forecast by more than their reading; furthest is "
            f"{worst.reading.called}, {100 * off:+.1f} % strain where the reading leaves {100 * left:.1f} %.",
            "Measure that circle again, and one beside it before forming; then trust the circle, not the forecast, and say what was apart.",
            _where(worst),
            abs(off),
            left,
            (left - abs(off)) / left if left > 0.0 else None,
            "",
            SOURCE,
        ),
    )


def _where(c: Compared) -> dict[str, Any]:
    place = {} if c.place[0] == "web" else {c.place[0]: c.place[1]}
    return {**place, "at_mm": [c.at[0], c.at[1]]}


def _largest(c: Compared) -> tuple[float, float]:
    """Difference of major or minor strain that is furthest beyond what the reading leaves, and what that is."""
    both = ((c.major_off, c.major_reading + c.faces), (c.minor_off, c.minor_reading + c.faces))
    return max(both, key=lambda x: abs(x[0]) - x[1])


def _beyond(c: Compared) -> float:
    off, left = _largest(c)
    return abs(off) - left


def _summary(rows: tuple[Compared, ...]) -> dict[str, Any]:
    known = [c for c in rows if c.compared]
    return {
        "circles": len(rows),
        "compared": len(known),
        "agree": sum(c.outcome == AGREES for c in known),
        "telling": sum(c.telling for c in known),
        "telling_agree": sum(c.telling and c.outcome == AGREES for c in known),
        "major": _spread([c.major_off for c in known]),
        "minor": _spread([c.minor_off for c in known]),
    }


def _spread(off: list[float]) -> dict[str, float] | None:
    """Measured less forecast: mean, root mean square, and the one furthest from nought; None of none."""
    if not off:
        return None
    values = np.array(off)
    return {
        "mean": float(values.mean()),
        "rms": float(np.sqrt(np.mean(values**2))),
        "furthest": float(values[np.abs(values).argmax()]),
    }


def _row(c: Compared) -> dict[str, Any]:
    r = c.reading
    return {
        "circle": r.name,
        "at_mm": [c.at[0], c.at[1]],
        "place": " ".join(w for w in c.place if w) if c.place[0] != "edge" else c.place[1],
        "major_mm": r.major,
        "minor_mm": r.minor,
        "major": _strain(c.major, c.forecast_major, c.major_reading),
        "minor": _strain(c.minor, c.forecast_minor, c.minor_reading),
        "faces": c.faces,
        "thickness_mm": {"measured": r.thickness, "by_diameters": c.thickness, "forecast": c.forecast_thickness},
        "outcome": c.outcome,
    }


def _strain(measured: float, forecast: float, reading: float) -> dict[str, float]:
    return {"measured": measured, "reading": reading, "forecast": forecast, "off": measured - forecast}
