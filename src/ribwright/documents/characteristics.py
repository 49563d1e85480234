"""Every characteristic of the drawing with what was found of it: requirement, result, uncertainty, gauge, verdict; or that it was not
measured.

A measurement belongs to the characteristic of its quantity and owner at its place; one between the places of the inspection sheet is
kept in a row of its own behind those of the sheet. Where several belong to one, the worst speaks for all.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ribwright.documents.entry_table import in_cell
from ribwright.documents.measures import CANNOT, Measure, limit_lines, measures, tolerance_of, tolerance_words
from ribwright.documents.verdict_marks import NOT_MEASURED
from ribwright.features.inspected import ANGLE
from ribwright.features.part import Part
from ribwright.shop.shop import MeasuringGauge
from ribwright.stages.found import FOUND, THICKNESS, Found, Judged, Where, worst_verdict
from ribwright.stages.plan import Plan
from ribwright.stages.tolerances import allowed
from ribwright.units import MM_PER_IN, Unit, plain, show_angle, show_length

FELT_SHARE, FELT_MM = 0.25, 50.0  # of an edge, at most so much between two places where its contour was measured
NEAR = 1.0  # mm along an edge: the same place
SAME = {ANGLE: 0.05, "mm": 0.02}  # nominals that differ by less are one
NOMINAL_ZERO = ("contour", "web_flatness", "hole_position")  # found as a deviation
WORDS = {
    "flange_angle": "bend angle",
    "flange_width": "flange width",
    "bend_radius": "bend radius, inside",
    "contour": "contour",
    "web_flatness": "flatness",
    "hole_position": "position",
    "hole_diameter": "diameter",
    THICKNESS: "sheet thickness",
}


@dataclass(frozen=True)
class Row:
    """One characteristic. `nominal` and `tolerance` in words, as the inspection sheet has them; `value` the nominal and `limits` (least,
    most) in `unit`.

    number   running number, as on the inspection sheet; what was found between its places counts on
    judged   what speaks for it, None: not measured; `every` all that was found of it, that one first
    gauges   of the shop, that measured it
    """

    number: int
    balloon: str
    what: str
    nominal: str
    tolerance: str
    quantity: str
    where: Where
    value: float | None
    unit: str
    limits: tuple[float, float] | None = None
    judged: Judged | None = None
    every: tuple[Judged, ...] = ()
    gauges: tuple[MeasuringGauge, ...] = ()

    @property
    def verdict(self) -> str:
        """Of stages.found, or NOT_MEASURED."""
        return NOT_MEASURED if self.judged is None else worst_verdict(j.verdict for j in self.every)

    @property
    def reason(self) -> str:
        """Why nobody can tell; "" else."""
        return "" if self.judged is None else self.judged.reason

    @property
    def name(self) -> str:
        """What it is on one line."""
        return self.what.replace("\n", ", ")


def characteristics(plan: Plan, judged: Sequence[Judged], first: Unit | None = None) -> tuple[Row, ...]:
    """The rows of the inspection sheet in its order, then one for each owner and quantity found besides. `first` the unit that stands
    first, None: the shop's."""
    unit = first or first_unit(plan)
    part = plan.job.part
    asked = measures(plan, unit)
    mine: list[list[Judged]] = [[] for _ in asked]
    besides: dict[tuple[str, str], list[Judged]] = {}
    for j in judged:
        at = _at(part, asked, j.found)
        for i in at:
            mine[i].append(j)
        if not at:
            besides.setdefault((j.found.quantity, owner_words(j.found.where)), []).append(j)
    rows = [_row(plan, i, m, found, unit) for i, (m, found) in enumerate(zip(asked, mine, strict=True), 1)]
    order = sorted(besides, key=lambda k: FOUND.index(k[0]))
    rows += [_besides(plan, len(asked) + i, besides[k], unit) for i, k in enumerate(order, 1)]
    return tuple(rows)


def unmeasured(plan: Plan, judged: Sequence[Judged], first: Unit | None = None) -> tuple[str, ...]:
    """What the drawing gives a tolerance and nobody measured, in words of one line each."""
    rows = characteristics(plan, judged, first)
    lost = tuple(r.name for r in rows if r.verdict == NOT_MEASURED and r.tolerance != CANNOT)
    return (*lost, *_bare_contours(plan, judged, first or first_unit(plan)))


def without_reading(plan: Plan, first: Unit | None = None) -> tuple[str, ...]:
    """What the drawing asks and no reading of a file has a name for (sizes of notches, flutes, beads, joggles): judged on paper."""
    return tuple(r.name for r in characteristics(plan, (), first) if not r.quantity)


def _bare_contours(plan: Plan, judged: Sequence[Judged], first: Unit) -> Iterator[str]:
    """Edges whose contour was measured somewhere and not all along, where the loop's contour has a tolerance."""
    felt: dict[str, list[float]] = {}
    for j in judged:
        if j.found.quantity == "contour" and j.limits is not None and "along_mm" in j.found.where:
            felt.setdefault(j.found.where["edge"], []).append(float(j.found.where["along_mm"]))
    if not felt:
        return  # told as a whole
    for e in (e for loop in plan.blank.laid for e in loop.edges):
        if not allowed(plan.job.part, "contour", f"edge.{e.edge.name}"):
            continue
        length = e.drawn.length
        at = [0.0, *sorted(felt.get(e.edge.name, [])), length]
        low, high = max(itertools.pairwise(at), key=lambda p: p[1] - p[0])
        if high - low > max(FELT_SHARE * length, FELT_MM):
            yield f"{e.edge.name}: contour between {show_length(low, first)} and {show_length(high, first)} along"


def first_unit(plan: Plan) -> Unit:
    """The unit that the shop reads first."""
    return "in" if (plan.job.shop.units or plan.job.part.units) == "in" else "mm"


def worst_first(judged: Iterable[Judged]) -> list[Judged]:
    """By verdict (outside, cannot tell, inside), then the one furthest over its limit, or with the least room to it."""
    order = {"outside": 0, "cannot-tell": 1, "inside": 2}
    return sorted(judged, key=lambda j: (order[j.verdict], -strain_on_limits(j)))


def strain_on_limits(j: Judged) -> float:
    """How far off nominal, in shares of the tolerance on that side: 1 on its limit; its size where no tolerance was typed in."""
    if j.limits is None:
        return abs(j.found.off)
    room = j.limits[1] - j.found.nominal if j.found.off > 0 else j.found.nominal - j.limits[0]
    return abs(j.found.off) / max(room, 1e-9)


def worst_of(judged: Sequence[Judged], most: int | None = None) -> list[Judged]:
    """The worst (`most` of them), of each characteristic of an edge or hole the worst place alone: a bump must not fill the table."""
    seen: dict[tuple[str, str, str], Judged] = {}
    for j in worst_first(judged):
        seen.setdefault(_thing(j), j)
    # without a tolerance nobody can say how bad it is
    return sorted(seen.values(), key=lambda j: j.limits is None)[:most]


def _thing(j: Judged) -> tuple[str, str, str]:
    return j.found.quantity, owner_words(j.found.where), j.found.where.get("axis", "")


def owner_words(where: Where) -> str:
    """'upper', 'hole L1', 'relief at rear/upper', 'web', 'cutout C1'."""
    if "hole" in where:
        return f"hole {where['hole']}"
    if "corner" in where:
        return f"relief at {'/'.join(where['corner'])}"
    if "edge" in where:
        return str(where["edge"])
    loop = where.get("loop", "web")
    return "web" if loop == "web" else f"cutout {loop}"


def called(found: Found, first: Unit) -> str:
    """'upper: bend angle at 6.781 in (172.23 mm)'."""
    where = found.where
    axis = f" {where['axis']}" if "axis" in where else ""
    along = where.get("along_mm")
    at = "" if along is None else f" at {show_length(along, first)}"
    return f"{owner_words(where)}: {WORDS[found.quantity]}{axis}{at}"


def result_lines(found: Found, first: Unit) -> str:
    """'89.20 deg' or '0.512 in' above '13.00 mm', with a sign where it is a deviation from nominal."""
    if found.quantity in NOMINAL_ZERO:
        return in_cell(signed(found.off, first, found.u))
    if found.unit == ANGLE:
        return show_angle(found.value, 2)
    return in_cell(_length(found, found.value, first))


def position_lines(row: Row, found: Found, first: Unit) -> str:
    """A hole's place as it was found, from where the requirement counts, and how far that is off: '4.818 in' above '122.38 mm' above
    'off +0.018 in'."""
    off = f"off {signed(found.off, first, found.u).partition(' (')[0]}"
    if row.value is None:
        return off
    return f"{in_cell(_length(found, row.value + found.off, first))}\n{off}"


def _length(found: Found, mm: float, first: Unit) -> str:
    """A length with as many digits as its uncertainty asks for; a hole's diameter with the fine ones in any case."""
    inches, mms = (4, 3) if found.quantity == "hole_diameter" else _digits(found.u)
    inch, metric = f"{plain(mm / MM_PER_IN, inches)} in", f"{plain(mm, mms)} mm"
    return f"{inch} ({metric})" if first == "in" else f"{metric} ({inch})"


def _digits(u: float | None) -> tuple[int, int]:
    """Digits behind the point of inches and of mm: as a shop reads them, one more where the last of those is coarser than half the
    uncertainty `u` [mm]."""
    coarse = [u is not None and step > u / 2.0 + 1e-9 for step in (0.001 * MM_PER_IN, 0.01)]
    return 3 + coarse[0], 2 + coarse[1]


def uncertainty_words(found: Found, first: Unit) -> str:
    """'± 0.10 deg', '± 0.0010 in'; 'not known'."""
    if found.u is None:
        return "not known"
    if found.unit == ANGLE:
        return f"± {plain(found.u, 2)} deg"
    return f"± {plain(found.u / MM_PER_IN, 4)} in" if first == "in" else f"± {plain(found.u, 3)} mm"


def signed(mm: float, first: Unit, u: float | None = None) -> str:
    """'+0.012 in (+0.30 mm)'; never rounded coarser than the uncertainty `u` [mm]."""
    inches, mms = _digits(u)
    inch, metric = f"{_plus(mm / MM_PER_IN, inches)} in", f"{_plus(mm, mms)} mm"
    return f"{inch} ({metric})" if first == "in" else f"{metric} ({inch})"


def _plus(value: float, digits: int) -> str:
    shown = plain(value, digits)
    return shown if shown.startswith("-") or not float(shown) else f"+{shown}"


def _at(part: Part, asked: Sequence[Measure], found: Found) -> list[int]:
    """Which of what was asked a measurement belongs to. Along an edge the nearest place alone; a contour the loop's row, and the
    edge's where it has one; only the edge's where it has a tolerance of its own."""
    same = [i for i, m in enumerate(asked) if m.quantity == found.quantity]
    if found.quantity == "contour":
        return [i for i in same if _holds_contour(part, asked[i].where, found.where)]
    along = found.where.get("along_mm")
    if along is None or "edge" not in found.where:
        return [i for i in same if _one_owner(asked[i].where, found.where)][:1]
    there = [i for i in same if asked[i].where.get("edge") == found.where["edge"]]
    near = min(there, key=lambda i: abs(asked[i].where["along_mm"] - along), default=None)
    if near is not None and abs(asked[near].where["along_mm"] - along) <= NEAR:
        return [near]
    return [i for i in there if _told_by(asked[i], along, found)][:1]


def _told_by(m: Measure, along: float, found: Found) -> bool:
    """Whether the place is one that the sheet's place stands for, and the drawing asks for the same there."""
    same = m.value is not None and abs(m.value - found.nominal) <= SAME[m.unit]
    return same and any(abs(along - x) <= NEAR for x in m.stands_for)


def _one_owner(a: Where, b: Where) -> bool:
    """The same hole (and axis), corner, loop or edge."""
    if "corner" in a:
        return "corner" in b and set(a["corner"]) == set(b["corner"])
    return all(a.get(k) == b.get(k) for k in ("hole", "axis", "of", "loop", "edge", "corner"))


def _holds_contour(part: Part, asked: Where, found: Where) -> bool:
    name = found.get("edge")
    if "edge" in asked:
        return bool(asked["edge"] == name)
    loop = next((p.name for p in part.loops for e in p.edges if e.name == name), found.get("loop"))
    return asked.get("loop") == loop and f"edge.{name}.contour" not in part.tolerance


def _row(plan: Plan, number: int, m: Measure, found: Sequence[Judged], first: Unit) -> Row:
    every = tuple(worst_first(found))
    words, allowed = tolerance_words(plan.job.part, m, first), tolerance_of(plan.job.part, m)
    where = {k: v for k, v in m.where.items() if k != "of"}
    return Row(
        number,
        m.balloon,
        m.what,
        m.nominal,
        words,
        m.quantity,
        where,
        m.value,
        m.unit,
        None if allowed is None or m.value is None else (m.value - allowed[0], m.value + allowed[1]),
        every[0] if every else None,
        every,
        _gauges(plan, every),
    )


def _besides(plan: Plan, number: int, found: Sequence[Judged], first: Unit) -> Row:
    every = tuple(worst_first(found))
    worst = every[0]
    f = worst.found
    what = f"{owner_words(f.where)}: {WORDS[f.quantity]}{_place(f, len(every), first)}"
    nominal = show_angle(f.nominal, 2) if f.unit == ANGLE else in_cell(show_length(f.nominal, first))
    tolerance = CANNOT
    if worst.limits is not None:
        low, high = f.nominal - worst.limits[0], worst.limits[1] - f.nominal
        tolerance = limit_lines(round(low, 9), round(high, 9), f.unit, first)
    return Row(
        number,
        f.balloon,
        what,
        nominal,
        tolerance,
        f.quantity,
        dict(f.where),
        f.nominal,
        f.unit,
        worst.limits,
        worst,
        every,
        _gauges(plan, every),
    )


def _place(f: Found, count: int, first: Unit) -> str:
    along = f.where.get("along_mm")
    if along is None:
        return f"\nworst of {count}" if count > 1 else ""
    at = show_length(along, first)
    return f"\nanother place, {at}" if count == 1 else f"\n{count} other places, the worst at {at}"


def _gauges(plan: Plan, every: Sequence[Judged]) -> tuple[MeasuringGauge, ...]:
    used = {j.found.gauge for j in every}
    return tuple(g for g in plan.job.shop.gauges if g.id in used)
