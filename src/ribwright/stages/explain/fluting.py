"""Numbers of flutes and of the length that an edge must lose."""

from __future__ import annotations

import numpy as np

from ribwright.mechanics import flute
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, always, between
from ribwright.stages.flutes import DRAWN, FlutedRun, PlacedFlute

SOURCE = "geometry: the section of a flute in circular arcs"
EVEN = "least of all ways: the largest length of edge that has to travel past any place to reach its flute"
LEAST = "Integral of max(e - e_pad, 0) along the flat free edge, e the engineering strain it must shrink by"
MOST = "Integral of e along the flat free edge wherever e is past the yield strain Fty/E"
STRAIN = "strain of the free edge as blank.edges has it; no formed part was compared"
ON_GATHER, ON_ROOM, ON_PLAN = on.GATHER, on.FLUTE_ROOM, on.FLUTES


def _flute(case: Case) -> PlacedFlute:
    return case.plan.fluting.flutes[case.index]


def _run(case: Case) -> FlutedRun:
    return case.plan.fluting.runs[case.index]


def _on_flute(place: Place) -> Keys:
    """A drawn flute hangs on its own table, on the curve that it lies on and on which run that is; a planned one on the plan."""
    return ("part.flutes*", *on.SHAPE, "part.flanges[*].flutes") if place.row["by"] == DRAWN else ON_PLAN


def _on_share(place: Place) -> Keys:
    return (*ON_PLAN, "part.flutes*")


def _drawn(case: Case, key: str, what: str) -> Told:
    f = _flute(case)
    own = Input(key, key, case.value, "mm", f"part file: flute[{f.index}].{key}")
    return Told(what, "typed", inputs=(own,))


def _aim(case: Case) -> Input:
    run = case.plan.fluting.run_of(_flute(case).edge)
    assert run is not None
    return between("aim", "length that the plan's flutes take", float(run.gather.aim[-1]), "mm", "blank.gather")


def _along(case: Case) -> Told:
    what = "Middle of the flute, arc length along its edge from the edge's start as typed."
    if _flute(case).by == DRAWN:
        return _drawn(case, "at", what)
    return Told(
        what,
        "solved",
        EVEN,
        (_aim(case),),
        "geometry",
        "clear of rivets, details and ends",
        compared="every way on a grid over small cases: none is more even",
    )


def _at(case: Case) -> Told:
    f, name = _flute(case), "xy"[int(case.caught[1])]
    own = between("along", f"place along {f.edge}", f.along, "mm", "along_mm of the same flute")
    return Told(
        f"{name} of the flute's middle on the drawn line.",
        "geometry",
        "the drawn curve at that length",
        (own,),
        "geometry",
    )


def _size(case: Case) -> Told:
    f, key = _flute(case), case.caught[1]
    what = {
        "width": "Width of the flute at the free edge.",
        "depth": "Depth of the flute at the free edge; it fades to nothing where the bend begins.",
    }[key]
    if f.by == DRAWN:
        return _drawn(case, key, what)
    practice = case.plan.job.catalogue.practice
    if key == "width":
        fact = practice["flute_width"]
        own = case.fact("w", "usual width", fact, "practice.flute_width", fact.unit)
        words = "the usual width; narrower only where rivets leave less room"
        return Told(what, "fact", words, (own,), f"{fact.source} ({fact.standing()})")
    width = between("w", "width of the flute", f.width, "mm", "width_mm of the same flute")
    each = between("g", "length that each flute takes", f.gather, "mm", "aim over the number of flutes")
    return Told(
        what, "formula", "g = w (theta/sin theta - 1), theta = 2 atan(2 d/w), solved for d; no shallower than two thicknesses",
        (width, each), SOURCE, "depth up to half the width", again=flute.depth_for(f.width, f.gather),
    )  # fmt: skip


def _gathers(case: Case) -> Told:
    f = _flute(case)
    inputs = (
        between("w", "width of the flute", f.width, "mm", "width_mm of the same flute"),
        between("d", "depth of the flute", f.depth, "mm", "depth_mm of the same flute"),
    )
    if case.caught[1] == "gather_vee":
        again = evaluated(lambda w, d: float(flute.vee_gather(w, d)), inputs)
        what = "Length the flute gathers at the free edge by the handbook's figure of two straight lines."
        return Told(what, "formula", "2 sqrt((w/2)^2 + d^2) - w", inputs, "geometry, rule FLUTE1", "a vee", again=again)
    again = evaluated(lambda w, d: float(flute.gather(w, d)), inputs)
    return Told(
        "Length the flute gathers at the free edge: true length of its section less its width.",
        "formula", "w (theta/sin theta - 1), theta = 2 atan(2 d/w)", inputs, SOURCE, "depth up to half the width", again=again,
    )  # fmt: skip


def _share(case: Case) -> Told:
    return Told(
        "What of the aim lies nearer to this flute than to its neighbours.",
        "geometry", "aim summed up between the middles to its neighbours", (_aim(case),), "geometry", STRAIN,
    )  # fmt: skip


def _rivet(case: Case) -> Told:
    own = between("along", "the flute's place along its edge", _flute(case).along, "mm", "along_mm of the same flute")
    return Told("From the flute's middle to the nearest rivet of its flange, along the drawn line.", "geometry",
                "least distance to first + i pitch of the rows on the flange", (own,), "rivet rows of the part file")  # fmt: skip


def _total(case: Case) -> Told:
    run, which = _run(case), case.caught[1]
    worst = between(
        "e", "largest strain that the edge must shrink by", float(np.max(run.gather.strain)), "", "strip of the run"
    )
    if which == "aim":
        inputs = (
            case.number("least", "least", f"{_base(case)}.least_mm", "mm"),
            case.number("most", "most", f"{_base(case)}.most_mm", "mm"),
        )
        again = evaluated(lambda least, most: (least + most) / 2, inputs)
        what = "Length that planned flutes take: half of what is needed by the one bound and by the other."
        return Told(
            what,
            "formula",
            "(least + most)/2",
            inputs,
            "project decision: it misses neither bound by more than half of what lies between",
            again=again,
        )
    limit = _pad(case)
    what, formula = {
        "least": ("Length of the free edge that wrinkles unless it is gathered: past what pad and metal take.", LEAST),
        "most": ("All length that the free edge must lose and that does not spring back.", MOST),
    }[which]
    return Told(
        what,
        "geometry",
        formula,
        (worst, *limit),
        "trapezoids over the stations of the run",
        STRAIN,
        compared="no formed part was compared",
    )


def _pad(case: Case) -> tuple[Input, ...]:
    m = case.plan.job.formed
    fact = m.facts.get("shrink_limit") if m else None
    if fact is None:
        return (Input("e_pad", "what pad and metal take: not known, 0", 0.0, "", "constant of this tool"),)
    return (
        case.fact("e_pad", "what pad and metal take by themselves", fact, case.material_path("facts[shrink_limit]")),
    )


def _base(case: Case) -> str:
    return case.path.rpartition(".")[0]


def _taken(case: Case) -> Told:
    rows = _run(case).flutes
    inputs = (
        between("n", "flutes on these edges", len(rows), "", "blank.flutes"),
        between(
            "g",
            "length that they take on average",
            sum(f.gather for f in rows) / max(len(rows), 1),
            "mm",
            "blank.flutes",
        ),
    )
    again = evaluated(lambda n, g: n * g, inputs)
    return Told("Length that the flutes of these edges take together.", "formula", "n g", inputs, SOURCE, again=again)


def _travels(case: Case) -> Told:
    own = case.number("aim", "length to be taken", f"{_base(case)}.aim_mm", "mm")
    what = "Largest length of edge that has to travel past a place to reach its flute; without flutes all of it."
    return Told(
        what,
        "geometry",
        "largest |aim up to a place - what flutes before it take, scaled to the aim|",
        (own,),
        "geometry",
        STRAIN,
    )


def _room(case: Case) -> Told:
    run = _run(case)
    own = between("zones", "rivets, notches, steps of joggles, ends of the flange", len(run.zones), "", "part file")
    return Told("Longest stretch of these edges that is clear of rivets, details and ends.", "geometry",
                "longest gap between them, each with its distance", (own,), "part file and practice")  # fmt: skip


def _index(case: Case) -> Told:
    what = {
        "flute": "Which [[flute]] table of the part file is meant, counted from 1.",
        "rivet": "Which rivet of the row, counted from its first.",
    }
    own = Input(case.caught[1], case.caught[1], case.value, "", "part file")
    return Told(what[case.caught[1]], "typed", inputs=(own,))


FAMILIES = (
    Family("blank.flutes[*].along_mm", _on_flute, _along),
    Family("blank.flutes[*].at_mm[*]", _on_flute, _at),
    Family("blank.flutes[*].(width|depth)_mm", _on_flute, _size),
    Family("blank.flutes[*].(gather|gather_vee)_mm", _on_flute, _gathers),
    Family("blank.flutes[*].share_mm", _on_share, _share),
    Family("blank.flutes[*].rivet_mm", lambda p: (*_on_flute(p), "part.rivets*"), _rivet),
    Family("blank.gather[*].(least|aim|most)_mm", always(*ON_GATHER), _total),
    Family("blank.gather[*].taken_mm", always(*ON_PLAN), _taken),
    Family("blank.gather[*].travels_mm", always(*ON_PLAN), _travels),
    Family("blank.gather[*].room_mm", always(*ON_ROOM), _room),
    Family("findings[*].where.(flute|rivet)", always(*ON_PLAN), _index),
)
