"""An inspection under its JSON keys. mm and degrees; every uncertainty expanded, coverage factor 2."""

from __future__ import annotations

from typing import Any

from ribwright.stages.found import CANNOT_TELL, INSIDE, OUTSIDE, Found, Judged, worst_verdict
from ribwright.stages.inspection import Inspection

STATION = ("contour", "flange_angle")
SAME = 0.05  # results at places nearer than this are of one station [mm]


def inspect_answer(done: Inspection, handwork: list[dict[str, Any]], unmeasured: list[str]) -> dict[str, Any]:
    """The key `inspect`: fit, stations along the edges, every result, hand work, who accepts it."""
    said, fit = done.said, done.found.fit
    return {
        "of": {
            "what": said.what, "serial": said.serial, "lot": said.lot, "by": said.by, "date": said.date, "gauges": list(said.gauges),
            "block": said.block, "press": said.press,
        },
        "fit": {
            "x_mm": fit.x, "y_mm": fit.y, "rotation_deg": fit.rotation_deg, "rms_mm": fit.rms, "by": fit.by,
        },
        "stations": _stations(done.judged),
        "results": [_result(j) for j in done.judged],
        "drifts": [
            {"hole": d.hole, "x_mm": d.dx, "y_mm": d.dy, "uncertainty_mm": d.u, "carried_fit": d.used} for d in fit.drifts
        ],
        "counts": {v.replace("-", "_"): sum(j.verdict == v for j in done.judged) for v in (INSIDE, OUTSIDE, CANNOT_TELL)}
        | {"not_measured": len(unmeasured)},
        "not_measured": unmeasured,
        "notes": list(done.found.notes),
        "handwork": handwork,
        "accepted_by": done.accepted_by,
        "refused": list(done.refused),
    }  # fmt: skip


def _stations(judged: tuple[Judged, ...]) -> list[dict[str, Any]]:
    """Deviation and angle by place of an edge: the verdict is the worse of both. `uncertainty` is the deviation's [mm] where there is
    one, else the angle's [deg]."""
    places: dict[tuple[str, float], dict[str, Judged]] = {}
    for j in judged:
        f = j.found
        if f.quantity not in STATION or "along_mm" not in f.where:
            continue
        key = _near(places, f)
        places.setdefault(key, {}).setdefault(f.quantity, j)
    rows = []
    for (edge, along), here in places.items():
        off, angle = here.get("contour"), here.get("flange_angle")
        both = [j for j in (off, angle) if j is not None]
        rows.append({
            "edge": edge,
            "along_mm": along,
            "deviation_mm": off.found.value if off else None,
            "angle_deg": angle.found.value if angle else None,
            "uncertainty": both[0].found.u,
            "angle_uncertainty_deg": angle.found.u if angle else None,
            "verdict": worst_verdict(j.verdict for j in both),
        })  # fmt: skip
    return rows


def _near(places: dict[tuple[str, float], dict[str, Judged]], f: Found) -> tuple[str, float]:
    edge, along = f.where["edge"], float(f.where["along_mm"])
    return next(
        (k for k in places if k[0] == edge and abs(k[1] - along) <= SAME and f.quantity not in places[k]), (edge, along)
    )


def _result(j: Judged) -> dict[str, Any]:
    f = j.found
    return {
        "quantity": f.quantity, "where": f.where, "balloon": f.balloon, "value": f.value, "nominal": f.nominal, "deviation": f.off,
        "unit": f.unit, "uncertainty": f.u, "limits": None if j.limits is None else {"low": j.limits[0], "high": j.limits[1]},
        "verdict": j.verdict, "reason": j.reason, "by": f.by, "gauge": f.gauge, "readings": f.readings, "note": f.note,
    }  # fmt: skip
