"""Numbers of the ways to the finished part: what each is held by, design values, re-heats, the limits that the shop entered."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.family import Case, Family, Place, always, between
from ribwright.stages.explain.finding_codes import ON_TABLE
from ribwright.stages.route import Held, Way
from ribwright.stages.route_answer import design_of

FACTS = tuple(
    f"*materials[*].facts[{k}].value"
    for k in ("stretch_limit", "hole_edge_limit", "shrink_limit", "shrink_fluted_limit")
)
ENTERED: Keys = ("shop.heat_treat*",)
CALLED: Keys = (*on.SHEET, *on.THICKNESS, "part.sheet.final")
RECORDS: Keys = ("shop.materials*",)


def _on_held(place: Place) -> Keys:
    """Which place is the worst hangs on all of them."""
    return (*on.BLANK, *ON_TABLE(place), *FACTS, *RECORDS, "part.sheet.final")


def _way(case: Case) -> Way:
    return case.plan.route.ways[int(case.caught[0])]


def _held(case: Case) -> Held:
    return _way(case).held[int(case.caught[1])]


def _value(case: Case) -> Told:
    h, way = _held(case), _way(case)
    words = next(f"{k} {v}" for k, v in h.row.where.items())
    record = Input("record", "record that the part is developed with", way.held_by, "", "route: held_by")
    if h.row.unit == "mm":
        own = Input("R", f"inside bend radius of {words}", h.row.value, "mm", "part file: bend_radius")
        return Told("Smallest bend radius against its limit, of this way.", "typed", inputs=(own, record))
    what = "Engineering strain of the free edge, at the place that has the least room by this way."
    return Told(
        what,
        "solved",
        "the part developed by the strain-corrected method with R-value and flow curve of that record; exp(eps) - 1, or 1 - exp(eps)",
        (record, Input("place", "place", words, "", "part file")),
        "mechanics/annulus.py",
        "as the blank's edge strains",
        compared="kinematics of the edge; no formed part was compared",
    )


def _limit(case: Case) -> Told:
    h, way = _held(case), _way(case)
    assert h.row.limit is not None
    own = Input(
        "limit", "limit of the record, or of its row of the radius table", h.row.limit, h.row.unit, h.row.source
    )
    return Told(f"What {way.held_by} takes there.", "fact", inputs=(own,), source=h.row.source)


def _margin(case: Case) -> Told:
    row = _held(case).row
    assert row.limit is not None
    inputs = (
        between("value", "value of this way, before rounding", row.value, row.unit),
        between("limit", "limit beside it", row.limit, row.unit, row.source),
    )
    lower = row.unit == "mm"
    again = (row.value - row.limit if lower else row.limit - row.value) / row.limit
    return Told(
        "Share of the limit that is left; negative is past it.",
        "formula",
        (
            "(value - limit)/limit, the limit being a lower one; 0 where they are equal"
            if lower
            else "(limit - value)/limit"
        ),
        inputs,
        "definition",
        again=0.0 if lower and abs(again) <= 1e-6 else again,
    )


def _reheats(case: Case) -> Told:
    facts = case.plan.job.catalogue.heat_treat
    if case.path.endswith("count"):
        bought = Input("temper", "temper as bought", case.plan.job.bought.temper, "", "part file: sheet.material")
        what = "Re-heats of clad sheet that this way counts."
        return Told(
            what,
            "formula",
            "1 where it is bought heat treated, else 0",
            (bought,),
            f"{facts.reheat} {facts.reheat_source}",
        )
    return _entered(case, "clad_reheats")


def _design(case: Case) -> Told:
    temper = case.plan.route.wanted if "wanted" in case.path else _way(case).course.delivers
    d = design_of(case.plan.job, temper)
    assert d is not None
    fact = d.strength if case.path.endswith("strength_mpa") else d.yielding
    own = Input(
        "F", f"{d.basis} basis, {d.direction}, {fact.note}", fact.value, "MPa", f"{fact.source} ({fact.standing()})"
    )
    return Told(
        f"Design value of {d.material} as it is printed; no statement on this part.",
        "fact",
        inputs=(own,),
        source=fact.source,
    )


def _clock(case: Case) -> Told:
    return _entered(case, case.caught[0])


def _entered(case: Case, key: str) -> Told:
    limits = case.plan.route.limits
    assert limits is not None
    word = "cold_storage_at" if key == "cold_storage_c" else key.removesuffix("_s")
    where = f'shop file: heat_treat."{limits.alloy}".{word}, from {limits.specification}'
    own = Input("limit", word.replace("_", " "), case.value, "s" if key.endswith("_s") else "", where)
    return Told(
        "Entered by the shop from its specification, for this thickness; not a figure of this tool.",
        "typed",
        inputs=(own,),
    )


FAMILIES = (
    Family("route.ways[*].held[*].value", _on_held, _value),
    Family("route.ways[*].held[*].limit", _on_held, _limit),
    Family("route.ways[*].held[*].margin", _on_held, _margin),
    Family("route.ways[*].reheats.(count|allowed)", always(*CALLED, *ENTERED), _reheats),
    Family("route.ways[*].design.(strength_mpa|yield_mpa)", always(*CALLED), _design),
    Family("route.wanted_design.(strength_mpa|yield_mpa)", always(*CALLED), _design),
    Family("route.clock.(\\w+)", always(*CALLED, *ENTERED), _clock),
)
