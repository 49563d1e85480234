"""Findings of beads that carry a number: section, radii, room, stretch, pressure."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.beads import ON_BEADS, ON_ROOM, demand_keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place
from ribwright.stages.explain.judged import NOTHING, Inputs, Judged, keys, same


def _index(place: Place) -> int:
    return int(place.row["where"]["bead"]) - 1


def _of_bead(key: str, symbol: str, name: str, unit: str = "mm") -> Inputs:
    return lambda case: (case.number(symbol, name, f"blank.beads[{_index(case)}].{key}", unit),)


def _share(case: Case) -> tuple[Input, ...]:
    i = _index(case)
    return (
        case.number("d", "depth", f"blank.beads[{i}].depth_mm", "mm"),
        case.number("w", "width", f"blank.beads[{i}].width_mm", "mm"),
    )


def _radius(case: Case) -> tuple[Input, ...]:
    key = "edge_radius_mm" if case.row["where"]["at"] == "edge" else "radius_mm"
    return _of_bead(key, "R", "radius, inside the sheet")(case)


def _need(end: str) -> Inputs:
    def inputs(case: Case) -> tuple[Input, ...]:
        path = f"setup.beads[{_row(case)}].needed_pressure_mpa.{end}"
        return (case.number("p", "pressure this bead asks for", path, "MPa"),)

    return inputs


def _row(case: Case) -> int:
    s = case.plan.setup
    assert s is not None
    return next(i for i, b in enumerate(s.beads) if b.where == case.row["where"])


def _available(case: Case) -> tuple[Input, ...]:
    return (case.number("p", "pressure available", "setup.available_pressure_mpa", "MPa"),)


def _judged_pressure(value: str, end: str) -> Judged:
    return Judged(
        value, "pressure this press gives", lambda p: demand_keys(p.world), lambda p: on.rating(p.world),
        formula="p", inputs=_need(end), again=same, limit_origin="formula",
        limit_formula="limit force over pressure area", limit_inputs=_available, limit_again=same,
    )  # fmt: skip


ON_NEAR = keys("practice.bead_to_*", "part.beads*", *on.THICKNESS)
ON_LIMIT = keys(*on.SHEET, "*materials[*].facts[stretch_limit].value")
STRETCH = ("Stretch across the bead where all of its length comes out of its own width", "stretch this temper takes")
BEAD_CODES: dict[str, Judged] = {
    "bead-deep": Judged(
        "Depth of the bead over its width", "most that is common practice", keys("part.beads*"),
        keys("practice.bead_depth_to_width.value"), formula="d/w", inputs=_share, again=lambda d, w: d / w,
    ),
    "bead-radius": Judged(
        "Radius of the bead there, inside the sheet", "least bend radius of the table", keys(*ON_BEADS), keys(*ON_BEADS), True,
        formula="R", inputs=_radius, again=same,
    ),
    "bead-runs-in": Judged(
        "Flat web between the bead's rim and what it runs into, negative", "nothing", keys(*ON_ROOM), NOTHING, True,
        origin="geometry",
        formula="distance from the bead's middle line less half its width", limit_origin="constant",
    ),
    "bead-near": Judged(
        "Flat web between the bead's rim and what lies near it", "least that is common practice", keys(*ON_ROOM), ON_NEAR, True,
        origin="geometry",
        formula="distance from the bead's middle line less half its width",
    ),
    "bead-stretch": Judged(
        *STRETCH, keys(*ON_BEADS), ON_LIMIT, formula="C/w - 1",
        inputs=_of_bead("stretch_own_width", "e", "stretch where its length comes out of its own width", ""), again=same,
    ),
    "bead-near-stretch": Judged(
        *STRETCH, keys(*ON_BEADS), ON_LIMIT, formula="C/w - 1",
        inputs=_of_bead("stretch_own_width", "e", "stretch where its length comes out of its own width", ""), again=same,
    ),
    "bead-not-filled": _judged_pressure("Pressure this bead asks for", "value"),
    "bead-may-not-fill": _judged_pressure("Upper end of the band of the pressure this bead asks for", "high"),
}  # fmt: skip
