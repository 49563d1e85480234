"""Which way to the finished part holds: each judged by bend radius and edge strains of the record it is formed in, the best proposed.

Each way is developed anew with its own record by the strain-corrected method and held against the same limits as `checks` holds the
drawing's. Sheet as quenched has hardly a record: where its own says nothing, the limits of its naturally aged temper stand in for it,
which is harder, so what holds there holds as quenched; what does not is not known. The proposal is the way that holds, delivers the
final temper, and adds the fewest operations, of equals the one that distorts least; nothing of the part changes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ribwright.shop.heat_treat import HeatTreat, at_thickness
from ribwright.shop.sheet import Material
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.block import Block
from ribwright.stages.checks import bend_radius, edge_strain
from ribwright.stages.checks.context import Looked
from ribwright.stages.develop import STRAIN_CORRECTED
from ribwright.stages.job import Job
from ribwright.stages.margins import Margin, margins
from ribwright.stages.route_ways import (
    AS_QUENCHED,
    LEAST_DISTORTED,
    QUENCHED,
    Course,
    courses,
    drawn_course,
    not_treatable,
    record_name,
    record_of,
    response_of,
    wanted_temper,
)

FEASIBLE, NOT_FEASIBLE, NOT_KNOWN = "feasible", "not-feasible", "not-known"
QUANTITIES = ("bend_radius", "edge_stretch", "edge_shrink", "hole_edge_stretch")
LIMITS = {"stretch_limit", "shrink_limit", "shrink_fluted_limit", "hole_edge_limit"}
SMALL_STRAIN = 0.01  # an unknown limit matters from here on, as in `checks.edge_strain`
ASK = "not entered: ask the specification"


@dataclass(frozen=True)
class Held:
    """The worst place of one quantity under one record. `holds`: "yes", "with-care" (a warning), "no", "not-known"."""

    row: Margin
    holds: str


@dataclass(frozen=True)
class Way:
    """A course with its judgement.

    formed_in   name of the record it forms in; `held_by` of the record whose limits were taken
    outcome     of forming: FEASIBLE, NOT_FEASIBLE, NOT_KNOWN
    reaches     whether it delivers the final temper of the drawing; None: the drawing names none
    missing     what keeps it from being offered although it may form: limits not entered, re-heats used up
    because     sentences: what stops it, what is not known
    """

    course: Course
    formed_in: str
    held_by: str
    outcome: str
    reaches: bool | None
    held: tuple[Held, ...]
    missing: tuple[str, ...]
    because: tuple[str, ...]

    @property
    def offered(self) -> bool:
        """Whether it may be proposed."""
        return self.outcome == FEASIBLE and not self.missing


@dataclass(frozen=True)
class Route:
    """Every way. `drawn`, `proposed`: names of ways, "" for none; `wanted`: the final temper asked for; `treatable`: None where the
    catalogue does not know the alloy; `limits`: what the shop entered for it."""

    ways: tuple[Way, ...]
    drawn: str
    proposed: str
    wanted: str
    treatable: bool | None
    limits: HeatTreat | None

    def way(self, name: str) -> Way | None:
        """The way of that name."""
        return next((w for w in self.ways if w.course.way == name), None)


def find_route(job: Job, blank: Blank, block: Block) -> Route:
    """The ways of a job, judged. `blank` spares developing the drawing's own temper again where it is strain-corrected."""
    known: dict[str, _Judged] = {}
    wanted = wanted_temper(job)

    def judged(name: str, record: Material | None) -> _Judged:
        if name not in known:
            known[name] = _judged(job, name, record, blank, block)
        return known[name]

    ways = tuple(_way(job, c, wanted, judged) for c in courses(job))
    best = sorted((w for w in ways if w.offered), key=_rank)
    treatable = False if not_treatable(job) else True if response_of(job) is not None else None
    proposed = best[0].course.way if best else ""
    return Route(ways, drawn_course(job), proposed, wanted, treatable, job.shop.heat_treat.get(job.bought.alloy))


def _rank(w: Way) -> tuple[bool, int, int]:
    """What delivers the final temper first, then the fewest operations added, then the one that a quench distorts least."""
    return (w.reaches is False, len(w.course.adds), LEAST_DISTORTED.index(w.course.way))


# ---------------------------------------------------------------- one way


@dataclass(frozen=True)
class _Judged:
    outcome: str
    held: tuple[Held, ...]
    stops: tuple[str, ...]


_Judge = Callable[[str, Material | None], _Judged]


def _way(job: Job, course: Course, wanted: str, judged: _Judge) -> Way:
    name = held_by = record_name(job, course.temper)
    found = judged(name, record_of(job, course.temper))
    because = found.stops
    if course.way == AS_QUENCHED and found.outcome == NOT_KNOWN:
        found, held_by, because = _as_quenched(job, found, name, judged)
    elif found.outcome == NOT_KNOWN:
        because = (f"Limits of {name} are not all known here: form a trial piece.",)
    reaches = None if not wanted else course.delivers == wanted
    return Way(course, name, held_by, found.outcome, reaches, found.held, missing_of(job, course), because)


def _as_quenched(job: Job, own: _Judged, name: str, judged: _Judge) -> tuple[_Judged, str, tuple[str, ...]]:
    """Held by the naturally aged temper where that keeps its limits; else not known."""
    for temper in ("T42", "T4"):
        record = record_of(job, temper)
        if record is None:
            continue
        aged = judged(record.name, record)
        if aged.outcome == FEASIBLE:
            told = f"No limits are known for {name}: it keeps those of {record.name}, which is harder."
            return aged, record.name, (told,)
        told = f"No limits are known for {name}, and {record.name}, which is harder, does not keep its own: form a trial piece."
        held = tuple(replace(h, holds="not-known") if h.holds == "no" else h for h in aged.held)
        return _Judged(NOT_KNOWN, held, ()), record.name, (told,)
    return own, name, (f"No limits are known for {name}: form a trial piece.",)


def missing_of(job: Job, course: Course) -> tuple[str, ...]:
    """What the shop has not entered, or does not allow, for a course that heat treats."""
    if not course.treated:
        return ()
    out: list[str] = []
    limits = job.shop.heat_treat.get(job.bought.alloy)
    if course.temper == QUENCHED:
        if limits is None or at_thickness(limits.quench_delay, job.t) is None:
            out.append(f"quench delay {ASK}")
        if limits is None or limits.forming_window_s is None:
            out.append(f"forming window as quenched {ASK}")
    again = course.reheats
    if again is not None and again.count and again.allowed is None:
        out.append(f"re-heats allowed for clad sheet {ASK}")
    elif again is not None and again.allowed is not None and again.count > again.allowed:
        out.append(
            f"clad sheet: this is re-heat {again.count}, {again.allowed} allowed by {limits.specification if limits else ''}"
        )
    return tuple(out)


def _judged(job: Job, name: str, record: Material | None, blank: Blank, block: Block) -> _Judged:
    """Forming in a record: the part developed with it and held against its limits and its row of the radius tables."""
    if record is None or not (record.facts.keys() & LIMITS):
        return _Judged(NOT_KNOWN, (), ())
    own = name == job.formed_name and blank.method == STRAIN_CORRECTED
    mine = replace(job, formed=record, formed_name=name, sections=None)
    looked = Looked(mine, blank if own else make_blank(mine, STRAIN_CORRECTED), block)
    found = [*bend_radius.findings(looked), *edge_strain.findings(looked)]
    rows = [m for m in margins(looked) if m.quantity in QUANTITIES]
    worst_last = sorted(found, key=lambda f: 0.0 if f.margin is None else -f.margin)
    stops = {f.code: f.say for f in worst_last if f.severity == "stop"}
    warned = {_quantity_of(f.code) for f in found if f.severity == "warn"}
    stopped = {_quantity_of(code) for code in stops}
    held = []
    for quantity in QUANTITIES:
        mine_rows = [m for m in rows if m.quantity == quantity]
        if not mine_rows:
            continue
        open_ = [m for m in mine_rows if m.limit is None and (m.unit == "mm" or m.value > SMALL_STRAIN)]
        worst = (open_ or mine_rows)[0]
        holds = "no" if quantity in stopped else "not-known" if open_ else "with-care" if quantity in warned else "yes"
        held.append(Held(replace(worst, stations=()), holds))
    outcome = NOT_FEASIBLE if stops else NOT_KNOWN if any(h.holds == "not-known" for h in held) else FEASIBLE
    return _Judged(outcome, tuple(held), tuple(stops.values()))


def _quantity_of(code: str) -> str:
    """The quantity that a finding of the two checks is about."""
    starts = {
        "bend-radius": "bend_radius",
        "stretch": "edge_stretch",
        "shrink": "edge_shrink",
        "hole-edge": "hole_edge_stretch",
    }
    return next((q for start, q in starts.items() if code.startswith(start)), "")
