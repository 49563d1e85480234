"""Relief notches proposed where a free edge shrinks past what flutes side by side take, or stretches past its limit.

Everything follows from the part and the shop's rules; the part is not changed by it:

    width, corners  the shop's relief hole: drilled at the floor, two saw cuts down to it; corner radius half of that
    depth           the round floor begins the rule's set-back inside the bend tangent line, rounded up to 1/64 in or 0.5 mm
    number          the least with which every piece between the cuts strains within the limit, by the same development with the
                    notches in it (`develop`, `mechanics.free_end`)
    places          evenly spaced about the middle of the stretch that is past its limit, or of the edge that strains most where the
                    two lie near each other; clear of ends of edges, of rivets by their edge distance, of what else is cut or bent

A piece keeps at least half the flange's width between two cuts (common practice, from memory): with less there is nothing to hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Notch
from ribwright.geometry.notch import cut_notch
from ribwright.mechanics.free_end import kept_between
from ribwright.shop.sheet import Fact
from ribwright.stages.blank import Blank, RunStrip, make_blank
from ribwright.stages.corners import rule_diameter
from ribwright.stages.develop import STRAIN_CORRECTED, felt_by_ring, strained
from ribwright.stages.job import Job
from ribwright.stages.notch_faults import notch_faults
from ribwright.units import MM_PER_IN

Array = NDArray[np.float64]
SHRINK, STRETCH = "shrink", "stretch"
LIMITS = {SHRINK: "shrink_fluted_limit", STRETCH: "stretch_limit"}
MOST, SPACINGS, TRIES = 12, 24, 4
SHARES = np.linspace(0.0, 1.0, 9)  # shares of the ring's curvature at which strain is asked, straight lines between
LEAST_PIECE = 0.5  # of the flange's width
APART = 2.0  # widths between two stretches that are relieved each by itself
NEAR_MIDDLE = 0.15  # of a stretch: so near the middle of an edge it is taken as that
CLEAR_OF_END = 1.0  # mm between a cut and an end of its edge


@dataclass(frozen=True)
class Proposal:
    """Notches for one stretch of a run of flange. `kind` shrink or stretch; engineering strain at the worst place `before`, `after` and
    `fewer` (with one notch less; None: there is none less), `limit` with its source; `spacing` between middles along the bend tangent
    line and `piece` the longest between two cuts [mm], 0 of one notch; `rule` the relief rule."""

    kind: str
    edge: str
    notches: tuple[Notch, ...]
    before: float
    after: float
    fewer: float | None
    limit: float
    source: str
    spacing: float
    piece: float
    set_back: float
    rule: str
    heals: tuple[str, ...] = ()
    """Edges that are past the limit without the notches, in travel order."""


@dataclass(frozen=True)
class NoneWorks:
    """A stretch for which no number of notches is enough, or has room. `best` strain reached [engineering]; None: no place at all."""

    kind: str
    edge: str
    along: float
    limit: float
    source: str
    best: float | None


@dataclass(frozen=True, eq=False)
class _Run:
    """What the search knows of a run: strain (n, k) at shares of the ring's curvature, signed so that more is worse."""

    job: Job
    blank: Blank
    strip: RunStrip
    kind: str
    limit: Fact
    table: Array
    flat: Array
    width: float
    depth: float
    radius: float

    def strain(self, centres: Array) -> Array:
        """Engineering strain at every station with notches about these places of the run's tangent line [mm]."""
        at = self.strip.at
        gaps = [(float(at.arc[a]), float(at.arc[b])) for a, b in at.gaps]
        gaps += [(float(c) - self.width / 2, float(c) + self.width / 2) for c in centres]
        share = kept_between(at.arc, self.flat, tuple(sorted(gaps)), at.total, at.closed)
        k = np.clip(np.searchsorted(SHARES, share) - 1, 0, len(SHARES) - 2)
        rows = np.arange(len(share))
        low, high = self.table[rows, k], self.table[rows, k + 1]
        return np.asarray(low + (share - SHARES[k]) / (SHARES[k + 1] - SHARES[k]) * (high - low))


def propose(job: Job, blank: Blank) -> tuple[Proposal | NoneWorks, ...]:
    """One row for each stretch of a flange that strains past its limit; none where nothing does."""
    out: list[Proposal | NoneWorks] = []
    for strip in blank.strips:
        for kind, key in LIMITS.items():
            limit = job.formed.facts.get(key) if job.formed else None
            sign = -1.0 if kind == SHRINK else 1.0
            strain = sign * np.expm1(strip.strip.edge_strain)
            if limit is None or not strip.strip.good.all() or strain.max() <= limit.value:
                continue
            run = _run(job, blank, strip, kind, limit)
            out += [_relieved(run, *stretch, strain) for stretch in _stretches(strip, strain > limit.value)]
    return tuple(out)


def _run(job: Job, blank: Blank, strip: RunStrip, kind: str, limit: Fact) -> _Run:
    flange = strip.run.flange
    assert flange is not None
    felt, sign = felt_by_ring(job, strip.at, flange), -1.0 if kind == SHRINK else 1.0
    table = np.stack(
        [sign * np.expm1(np.nan_to_num(strained(job, strip.at, flange, s * felt).edge_strain)) for s in SHARES], axis=1
    )
    step = MM_PER_IN / 64 if job.part.units == "in" else 0.5
    width = ceil(rule_diameter(job.relief_rule, flange.bend_radius, job.t) / step - 1e-6) * step
    flat = np.maximum(strip.strip.allowance + strip.at.leg, 1e-3)
    return _Run(job, blank, strip, kind, limit, table, flat, width, step, width / 2)


def _stretches(strip: RunStrip, bad: NDArray[np.bool_]) -> Iterator[tuple[float, float]]:
    """(from, to) along the run of what is past its limit; stretches near each other are one, if no notch parts them [mm]."""
    at = strip.at
    places = at.arc[bad]
    first = float(places[0])
    cuts = [float(at.arc[a]) for a, _ in at.gaps]
    for a, b in zip(places, [*places[1:], np.inf], strict=True):
        if b - a > APART * float(at.width.max()) or any(a < cut < b for cut in cuts):
            yield first, float(a)
            first = float(b)


def _relieved(run: _Run, low: float, high: float, strain: Array) -> Proposal | NoneWorks:
    at = run.strip.at
    here = (at.arc >= low - 1e-9) & (at.arc <= high + 1e-9)
    worst = int(np.flatnonzero(here)[np.argmax(strain[here])])
    first = max([low - 2 * at.width.max(), *(at.arc[b] for _, b in at.gaps if at.arc[b] <= low)])
    last = min([high + 2 * at.width.max(), *(at.arc[a] for a, _ in at.gaps if at.arc[a] >= high)])
    near = (at.arc >= first) & (at.arc <= last)
    middle, least = _middle(run, low, high, worst), run.width + LEAST_PIECE * float(at.width[worst])
    edge = run.blank.laid[run.strip.loop].edges[int(at.edge[worst])].edge.name
    best: float | None = None
    for number in range(1, MOST + 1):
        # as the outermost ones go apart
        widest = (high - low + 2 * float(at.width.max())) / max(number - 1, 1)
        spacings = np.linspace(least, widest, SPACINGS) if number > 1 else np.zeros(1)
        if number > 1 and widest < least:
            break
        rows = []
        for p in spacings:
            centres = np.asarray(
                middle + (np.arange(number, dtype=np.float64) - (number - 1) / 2) * float(p), np.float64
            )
            if _clear(run, centres):
                rows.append((float(run.strain(centres)[near].max()), float(p), centres))
        rows.sort(key=lambda r: r[0])
        fewer = best
        if rows:
            best = rows[0][0] if best is None else min(best, rows[0][0])
        for found, p, centres in rows[:TRIES]:
            if found > run.limit.value:
                break
            made = _proved(run, centres, near, edge, float(strain[worst]), fewer, p)
            if made is not None:
                edges = run.blank.laid[run.strip.loop].edges
                bad = at.edge[here & (strain > run.limit.value)]
                return replace(made, heals=tuple(dict.fromkeys(edges[i].edge.name for i in bad)))
    return NoneWorks(run.kind, edge, float(at.along[worst]), run.limit.value, _source(run.limit), best)


def _source(limit: Fact) -> str:
    return f"{limit.source} ({limit.standing()})"


def _middle(run: _Run, low: float, high: float, worst: int) -> float:
    """Place on the run about which the notches stand."""
    at, middle = run.strip.at, (low + high) / 2
    own = at.arc[at.edge == at.edge[worst]]
    of_edge = float(own[0] + own[-1]) / 2
    return of_edge if abs(of_edge - middle) <= NEAR_MIDDLE * (high - low) else middle


def _clear(run: _Run, centres: Array) -> bool:
    """Whether each cut keeps clear of the ends of its edge, of rivets and of notches that are there already."""
    at, half = run.strip.at, run.width / 2
    for c in centres:
        k = int(np.argmin(np.abs(at.arc - c)))
        own = at.arc[at.edge == at.edge[k]]
        if not own[0] + half + CLEAR_OF_END < c < own[-1] - half - CLEAR_OF_END:
            return False
        name = run.blank.laid[run.strip.loop].edges[int(at.edge[k])].edge.name
        along = _along(run, float(c))[1]
        for r in run.job.part.rivets:
            if r.edge == name and any(
                abs(r.first + i * r.pitch - along) < half + r.edge_distance for i in range(r.count)
            ):
                return False
        for a, b in at.gaps:
            if at.arc[a] - LEAST_PIECE * at.width[k] - half < c < at.arc[b] + LEAST_PIECE * at.width[k] + half:
                return False
    return True


def _along(run: _Run, c: float) -> tuple[int, float]:
    """(edge, arc length as typed) of a place of the run's tangent line."""
    at = run.strip.at
    i = int(at.edge[np.argmin(np.abs(at.arc - c))])
    mine = at.edge == i
    return i, float(np.interp(c, at.arc[mine], at.along[mine]))


def _proved(
    run: _Run, centres: Array, near: NDArray[np.bool_], edge: str, before: float, fewer: float | None, spacing: float
) -> Proposal | None:
    """The notches in round numbers, held against the development of the part that has them; None where that is past the limit."""
    job, laid = run.job, run.blank.laid[run.strip.loop]
    grid = MM_PER_IN / 100 if job.part.units == "in" else 0.1
    places = [(i, round(along / grid) * grid) for i, along in (_along(run, float(c)) for c in centres)]
    depths = [_depth(run, i, along) for i, along in places]
    if any(d is None for d in depths):
        return None
    depth = max(d for d in depths if d is not None)
    notches = tuple(Notch(laid.edges[i].edge.name, ("mm", along), run.width, depth, run.radius) for i, along in places)
    part = replace(job.part, notches=(*job.part.notches, *notches))
    blank = make_blank(replace(job, part=part), STRAIN_CORRECTED)
    first = len(job.part.notches)
    if any(int(f.where["notch"]) > first for f in notch_faults(blank)):
        return None
    strip = next(s for s in blank.strips if s.loop == run.strip.loop and s.run.edges == run.strip.run.edges)
    low, high = (float(run.strip.at.arc[near][k]) for k in (0, -1))
    there = (strip.at.arc >= low) & (strip.at.arc <= high)
    sign = -1.0 if run.kind == SHRINK else 1.0
    after = float(np.max(sign * np.expm1(strip.strip.edge_strain[there])))
    if after > run.limit.value or not strip.strip.good.all():
        return None
    return Proposal(
        run.kind,
        edge,
        notches,
        before,
        after,
        fewer,
        run.limit.value,
        _source(run.limit),
        spacing,
        max(spacing - run.width, 0.0),
        job.relief_rule.set_back_mm,
        job.relief_rule.name,
    )


def _depth(run: _Run, i: int, along: float) -> float | None:
    """Least depth in the steps of a rule at which the floor's rounding begins the set-back inside the web [mm]."""
    laid = run.blank.laid[run.strip.loop].edges[i]
    middle = float(laid.at(np.array([along]))[0])
    cut = cut_notch(laid.tangent_line, middle, run.width, 1.0, run.radius, 0.0)
    if cut is None:
        return None
    step = run.depth
    return ceil((cut.least_depth + run.job.relief_rule.set_back_mm) / step - 1e-6) * step


def with_proposals(job: Job, proposals: tuple[Proposal | NoneWorks, ...]) -> Job:
    """The job as it would be with every notch proposed."""
    more = tuple(n for p in proposals if isinstance(p, Proposal) for n in p.notches)
    return replace(job, part=replace(job.part, notches=(*job.part.notches, *more)))


__all__ = ["NoneWorks", "Proposal", "propose", "with_proposals"]
