"""The press set-up under the JSON key `setup`. mm, MPa, N, degrees."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.stages.bead_demand import BeadDemand
from ribwright.stages.finding import Predicted
from ribwright.stages.joggles import setting_answer
from ribwright.stages.pressure import within
from ribwright.stages.reach import Reach
from ribwright.stages.setup import Setup
from ribwright.units import MPA_PER_PSI


def setup_answer(s: Setup) -> dict[str, Any]:
    """The contract's `setup`."""
    return {
        "press": _press(s),
        "needed_pressure_mpa": _predicted(s.needed),
        "available_pressure_mpa": s.available,
        "available_by": s.limit_by,
        "available_if_pad_spreads_mpa": s.spread_pressure,
        "pad_share_mpa": s.share.mpa,
        "pressure_area_mm2": s.area,
        "pressure_area_is": s.area_is,
        "ram_force_n": s.at_force,
        **_gauge(s),
        "pump_to_force_n": s.pump_force,
        "pump_to_pressure_mpa": s.pump_pressure,
        "governed_by": s.governed.where if s.governed else None,
        "unverified": s.governed.unverified if s.governed else "",
        "flanges": [_flange(r) for r in s.reached],
        "joggles": setting_answer(s.joggles, s.share),
        "beads": [_bead(b, s.pump_pressure or s.available) for b in s.beads],
        **_place(s),
        "daylight_margin_mm": s.daylight_margin,
        "stack_mm": s.stack,
        "pad": _pad(s),
        "container": _container(s),
        "bolster_mm": s.press.bolster.thickness_mm if s.press.bolster else None,
        "block_pressure_limit_mpa": s.block_limit,
        "lay_up": [{"what": x.what, "thickness_mm": x.thickness, "note": x.note} for x in s.lay_up],
        "dwell_s": s.press.routine.dwell_s,
        "hits": s.press.routine.hits,
        "lubricant": s.press.routine.lubricant or None,
        "cover_plate": s.press.routine.cover_plate or None,
    }


def _predicted(p: Predicted | None) -> dict[str, Any] | None:
    return None if p is None else p.as_json()


def _press(s: Setup) -> dict[str, Any]:
    gauge = s.press.gauge or s.press.force_gauge
    return {
        "id": s.press.id,
        "name": s.press.name,
        "kind": s.press.kind,
        "source": s.press.source,
        "rated_force_n": s.press.force_n,
        "rated_pressure_mpa": s.press.rated_pressure_mpa,
        "gauge_due": gauge.due if gauge else None,
        "gauge_reads": gauge.reads if gauge else None,
        "off_centre_limit_mm": s.press.off_centre_limit_mm,
    }


def _gauge(s: Setup) -> dict[str, Any]:
    """Readings. Of a gauge that reads the force the pressures are null, and the other way round."""

    def psi(mpa: float | None) -> float | None:
        return None if mpa is None else mpa / MPA_PER_PSI

    return {
        "gauge_mpa": s.gauge_mpa,
        "gauge_psi": psi(s.gauge_mpa),
        "gauge_force_n": s.gauge_force,
        "gauge_limit_mpa": s.gauge_limit_mpa,
        "gauge_limit_psi": psi(s.gauge_limit_mpa),
        "gauge_limit_force_n": s.gauge_limit_force,
        "gauge_limit_by": s.gauge_limit_by,
        "never_past_gauge_mpa": s.never_past_mpa,
        "never_past_gauge_psi": psi(s.never_past_mpa),
        "never_past_force_n": s.never_past_force,
        "never_past_by": s.never_past_by,
        "pump_to_gauge_mpa": s.pump_gauge_mpa,
        "pump_to_gauge_psi": psi(s.pump_gauge_mpa),
        "pump_to_gauge_force_n": s.pump_gauge_force,
    }


def _flange(r: Reach) -> dict[str, Any]:
    d = r.demand
    return {
        **r.flange.where,
        "straight_mm": r.flange.straight,
        "closing_pressure_mpa": d.pc if d else None,
        "closed_form_closing_mpa": d.quick if d else None,
        "needed_pressure_mpa": _predicted(d.need if d else None),
        "unverified": d.unverified if d else "",
        "at_pressure_mpa": r.pressure,
        "closes": r.closes,
        "loaded_limit_deg": r.wall,
        "reaches_deg": _predicted(r.under_load),
        "left_open_deg": _predicted(r.left_open),
        "released_deg": _predicted(r.released),
        "shortest_straight_mm": _finite(r.shortest_straight),
        "closed_form_shortest_mm": _finite(r.quick_shortest),
        "shortest_flange_mm": _finite(r.shortest_flange),
        "margin": r.margin,
    }


def _bead(b: BeadDemand, acting: float) -> dict[str, Any]:
    f = b.form
    return {
        **b.where,
        "even_pressure_mpa": f.held,
        "even_pressure_own_width_mpa": f.rim,
        "even_pressure_loose_mpa": f.loose,
        "pad_follows_mpa": b.rubber,
        "needed_pressure_mpa": _predicted(b.need),
        "at_pressure_mpa": acting,
        "fills": within(b.need.value, acting),
        "unverified": b.unverified,
    }


def _finite(value: float | None) -> float | None:
    return value if value is not None and np.isfinite(value) else None


def _place(s: Setup) -> dict[str, Any]:
    return {
        "turned_deg": s.place.turned_deg,
        "place_mm": list(s.place.at),
        "load_centre_mm": list(s.place.load),
        "off_centre_mm": s.place.off_centre,
        "pad_margin_mm": s.place.pad_margin,
        "table_margin_mm": s.place.table_margin,
    }


def _pad(s: Setup) -> dict[str, Any]:
    pad = s.press.pad
    return {
        "size_mm": list(pad.size_mm),
        "thickness_mm": pad.thickness_mm,
        "shore_a": pad.shore_a,
        "held": pad.held,
        "layers": [
            {"role": x.role, "thickness_mm": x.thickness_mm, "shore_a": x.shore_a, "size_mm": list(x.size_mm)}
            for x in pad.stack
        ],
    }


def _container(s: Setup) -> dict[str, Any] | None:
    c = s.container
    return None if c is None else {"depth_mm": c.depth, "pad_proud_mm": c.proud, "rim_above_mm": c.rim_above}
