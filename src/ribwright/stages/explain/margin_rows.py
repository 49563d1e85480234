"""A row for each quantity of `margins`: what value and limit are. Most are those of a code of finding, said where nothing is
wrong too."""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

import numpy as np

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place
from ribwright.stages.explain.finding_codes import CODES
from ribwright.stages.explain.finding_codes_press import PRESS_CODES, alike
from ribwright.stages.explain.judged import Judged, same
from ribwright.stages.explain.strain_judged import STRAIN_CODES
from ribwright.stages.pressure import within


def _owner(place: Place) -> str:
    """Path in `inputs` of the flange or hole that the row is of."""
    where = place.row["where"]
    if "edge" in where and "hole" not in where:
        return f"part.flanges[{place.world.flange_of(where['edge'])}]"
    return f"part.holes[{where['hole']}]"


def _radius(case: Case) -> tuple[Input, ...]:
    return (case.typed("R", "inside bend radius", f"{_owner(case)}.bend_radius", "mm"),)


def _on_radius(place: Place) -> Keys:
    return (f"{_owner(place)}.*", *on.DRAWN)


def _section(case: Case) -> tuple[Input, ...]:
    """R, t and a where the straight part is shortest."""
    strip, i = case.plan.blank.strip_of(str(case.row["where"]["edge"]))
    mine = np.flatnonzero(strip.at.edge == i)
    j = int(mine[int(np.argmin(strip.at.leg[mine]))])
    angle = case.along("a", "bend angle there", float(strip.at.angle[j]), f"{_owner(case)}.bend_angle", "deg")
    return (*_radius(case), case.thickness, angle)


def _width(case: Case) -> tuple[Input, ...]:
    return (case.along("b", "flange width there", case.value, f"{_owner(case)}.width", "mm"),)


def _needed(case: Case) -> tuple[Input, ...]:
    """What the flange asks for: its value where the press gives less, else the upper end of its band."""
    s = case.plan.setup
    assert s is not None
    i, r = next((i, r) for i, r in enumerate(s.reached) if alike(r.flange.where, case.row["where"]))
    assert r.demand is not None
    end = "high" if within(r.demand.need.value, s.available) else "value"
    path = f"setup.flanges[{i}].needed_pressure_mpa.{end}"
    return (case.number("p", "pressure this flange asks for", path, "MPa"),)


def _bead_needs(case: Case) -> tuple[Input, ...]:
    """What the bead asks for: its value where the press gives less, else the upper end of its band."""
    s = case.plan.setup
    assert s is not None
    i, b = next((i, b) for i, b in enumerate(s.beads) if b.where == case.row["where"])
    end = "high" if within(b.need.value, s.available) else "value"
    return (case.number("p", "pressure this bead asks for", f"setup.beads[{i}].needed_pressure_mpa.{end}", "MPa"),)


def _step_needs(case: Case) -> tuple[Input, ...]:
    """What the step asks for: its value, or the lower end of its band where that is past what is pumped to."""
    rows, where = case.world.answer["setup"]["joggles"], case.row["where"]
    same_step = (i for i, r in enumerate(rows) if all(r[k] == where[k] for k in ("joggle", "along_mm")))
    i = next(same_step)
    end = "low" if case.row["limit"] < rows[i]["needed_pressure_mpa"]["low"] else "value"
    return (case.number("p", "pressure that sets the step", f"setup.joggles[{i}].needed_pressure_mpa.{end}", "MPa"),)


def _on_pressure(place: Place) -> Keys:
    return on.reached(place.world)


_radii = CODES["bend-radius-in-range"]
MARGINS: dict[str, Judged] = {
    "bend_radius": replace(
        _radii,
        limit=_radii.limit + "; under the least the table goes to, that",
        on_value=_on_radius,
        on_limit=lambda p: (*_radii.on_limit(p), *_on_radius(p)),
        inputs=_radius,
        snapped=1e-6,
    ),
    "flange_width": replace(
        CODES["flange-too-short"],
        inputs=_width,
        limit_formula="(R + t) tan(a/2), where the straight part is shortest",
        limit_inputs=_section,
        limit_again=lambda r, t, a: (r + t) * tan(radians(a) / 2),
    ),
    "edge_stretch": CODES["stretch-limit"],
    "edge_shrink": replace(
        CODES["shrink-limit"],
        limit="gather that pad and metal take without flutes; past what flutes side by side take up, that",
        on_limit=lambda p: (
            *CODES["shrink-limit"].on_limit(p),
            *CODES["shrink-wrinkles"].on_limit(p),
            *CODES["shrink-limit"].on_value(p),
        ),
    ),
    "hole_edge_stretch": CODES["hole-edge-limit"],
    "sheet_stretch": STRAIN_CODES["strain-past-limit-line"],
    "hole_to_bend": CODES["hole-near-bend"],
    "flute_to_rivet": CODES["flute-on-rivet"],
    "flute_to_detail": CODES["flute-near-detail"],
    "bead_stretch": CODES["bead-stretch"],
    "bead_pressure": replace(
        CODES["bead-may-not-fill"],
        value="Pressure this bead asks for: the upper end of its band, or the value itself where the press gives less",
        inputs=_bead_needs,
    ),
    "joggle_runout": replace(CODES["joggle-short"], snapped=1e-9),
    "joggle_pressure": replace(
        CODES["joggle-may-not-set"],
        value="Pressure that sets the step: told, or the lower end of its band where not even that is pumped to",
        inputs=_step_needs,
    ),
    "pressure": replace(
        PRESS_CODES["pressure-marginal"],
        value="Pressure this flange asks for: the upper end of its band, or the value itself where the press gives less",
        on_value=_on_pressure,
        formula="p + 1.645 sd, or p where the press gives less",
        inputs=_needed,
        again=same,
    ),
    "pad_margin": PRESS_CODES["pad-margin-small"],
    "daylight": PRESS_CODES["daylight-short"],
    "block_pressure": replace(PRESS_CODES["block-crush"], snapped=1e-9),
}
