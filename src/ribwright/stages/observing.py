"""From a measured piece to entries of the springback book: each bend angle with what is forecast for it on the block as it was cut.

A place gives none, and the reason is said, where what was measured does not tell what a closed bend gives back: a flange that the press
leaves open, a metal without a flow curve, a gauge whose uncertainty nobody knows, a block of which nobody says how it was cut. The
forecast is the model's own, without the book; what the book made of it then stands beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.features.inspected import PART, Said
from ribwright.shop.springback_book import CLOSED_FORM, SECTION, Foretold, Observation
from ribwright.stages.bend_scatter import block_scatter
from ribwright.stages.block import Block
from ribwright.stages.found import Found
from ribwright.stages.learning import by_kind
from ribwright.stages.plan import Plan
from ribwright.stages.scatter import PRESSURE, PRESSURE_COV
from ribwright.stages.springback import (
    Bends,
    correction_at,
    hole_bends,
    released_of,
    scatter_of,
    solved_of,
    undercut_of,
)
from ribwright.stages.stack import MODEL, PIECE, TOOLING
from ribwright.stages.taught import curvature_of, without_book
from ribwright.units import show_pressure
from ribwright.version import __version__

Array = NDArray[np.float64]
MOST_OFF = 0.2  # share of the pressure by which a piece may have been formed off what the forecast is for
NOT_FORMED = "a blank has no bends"
NO_PRESS = "no press is named, so nobody knows whether the flange closed"
OPEN = "the press leaves this flange open: what it comes out at says nothing of a bend that lies on its block"
NO_CURVE = "no flow curve for this temper: there is no forecast to hold it against"
NO_U = "the gauge's uncertainty is not known"
LATE = "the gauge {} was past its due date, {}"
NO_UNDERCUT = (
    "nobody says how the block was cut: give undercut = DEGREES in the head of the file where it is one for all of it, or the "
    "answers.json of its packet (--cut-from)"
)
OTHER_PACKET = (
    "nobody says how the block was cut: packet {} is not this plan, which is {} today, nor was it with an earlier state of the book: give "
    "the answers.json of that packet (--cut-from), or undercut = DEGREES in the head of the file where it is one for all of the block"
)
NO_PRESSURE = "the pressure on the pad that it was formed at is not said (# pressure = ...)"
OFF_PRESSURE = (
    "formed at {}, and the forecast is for {}: more than a fifth apart (# pressure is that on the pad, not what the pump's "
    "gauge shows)"
)
SCANNED, MOST_OF_SCAN = "points", 5
THINNED = "{} places of a scan: {} of them, evenly along, are kept, for neighbours say the same"
FAR_CUT = 10.0  # deg: a block further from the plan's own undercut, or from none, is asked about
ODD_CUT = (
    "the block is said to be cut to {:.4g} deg of undercut, where this plan cuts {:.4g}: is it the right block, and "
    "the sign right?"
)
NO_FLANGE = "no flange there"
NO_PLACE = "the block as cut has no undercut written down there"


@dataclass(frozen=True, eq=False)
class Cut:
    """The block as it was cut: `all` [deg] where it is one, else (along, deg) of each edge, and of each hole, by name. `name` of the
    block."""

    name: str
    all: float | None = None
    edges: Mapping[str, tuple[Array, Array]] = field(default_factory=dict)
    holes: Mapping[str, float] = field(default_factory=dict)

    def at(self, place: str, hole: bool, along: float) -> float | None:
        """Undercut at a place [deg]; None where it is not written down."""
        if self.all is not None:
            return self.all
        if hole:
            return self.holes.get(place)
        if place not in self.edges:
            return None
        s, deg = self.edges[place]
        return float(np.interp(along, s, deg))


@dataclass(frozen=True)
class Left:
    """A measured angle that goes into no book, and why."""

    where: dict[str, Any]
    reason: str


@dataclass(frozen=True)
class Observed:
    """What a piece gives."""

    kept: tuple[Observation, ...]
    left: tuple[Left, ...]


def cut_of_block(block: Block, name: str) -> Cut:
    """The block of a plan as cut."""
    edges = {e.edge: _sorted(e.along, e.under.deg) for e in block.edges}
    holes = {r.name: float(r.undercut[0]) for r in (*block.recesses, *block.rings)}
    return Cut(name, edges=edges, holes=holes)


def cut_of_answer(answer: Mapping[str, Any], name: str) -> Cut | None:
    """The block of a kept answer; None where the answer has no block, or not as this version writes one."""
    try:
        rows = answer["block"]["undercut"]
        by_edge: dict[str, list[tuple[float, float]]] = {}
        for r in rows:
            by_edge.setdefault(str(r["edge"]), []).append((float(r["along_mm"]), float(r["deg"]["value"])))
        edges = {k: _sorted(*np.array(v, float).T) for k, v in by_edge.items()}
        holes = {
            str(r["name"]): float(r["undercut_deg"]["value"])
            for key in ("recesses", "rings")
            for r in answer["block"].get(key, [])
        }
    except (KeyError, TypeError, ValueError):
        return None
    return Cut(name, edges=edges, holes=holes) if edges or holes else None


def observe(plan: Plan, fingerprint: str, said: Said, found: Iterable[Found], cut: Cut | None) -> Observed:
    """Entries of one piece. `plan` as it is made today, with the book; `fingerprint` its name."""
    rows, left = _thinned([f for f in found if f.quantity == "flange_angle"])
    kept = list[Observation]()
    for f in rows:
        made = _one(plan, fingerprint, said, f, cut)
        if isinstance(made, str):
            left.append(Left(f.where, made))
        else:
            kept.append(made)
    return Observed(tuple(kept), tuple(left))


def _thinned(found: list[Found]) -> tuple[list[Found], list[Left]]:
    """At most MOST_OF_SCAN places of a scan for each flange, evenly along: places near each other say the same."""
    rows, left = [f for f in found if f.by != SCANNED], list[Left]()
    scanned = [f for f in found if f.by == SCANNED]
    for edge in dict.fromkeys(f.where.get("edge") for f in scanned):
        mine = sorted(
            (f for f in scanned if f.where.get("edge") == edge), key=lambda f: float(f.where.get("along_mm", 0.0))
        )
        if edge is None or len(mine) <= MOST_OF_SCAN:
            rows += mine
            continue
        rows += [mine[round(i)] for i in np.linspace(0, len(mine) - 1, MOST_OF_SCAN)]
        left.append(Left({"edge": edge}, THINNED.format(len(mine), MOST_OF_SCAN)))
    return rows, left


def _one(plan: Plan, fingerprint: str, said: Said, f: Found, cut: Cut | None) -> Observation | str:
    """The entry, or why there is none."""
    bends = bends_of(plan, f.where)
    if said.what != PART or bends is None:
        return NOT_FORMED if said.what != PART else NO_FLANGE
    hole, along = "hole" in f.where, float(bends.along[0])
    reason = (
        _closes(plan, bends)
        or ("" if f.u is not None else NO_U)
        or _late(plan, said, f)
        or ("" if cut is not None else OTHER_PACKET.format(said.packet, fingerprint) if said.packet else NO_UNDERCUT)
    )
    if reason or cut is None or f.u is None:
        return reason
    deg = cut.at(bends.owner, hole, along)
    if deg is None:
        return NO_PLACE
    job, base = plan.job, without_book(plan.job)
    own = undercut_of(base, bends)
    if not own.known:
        return NO_CURVE
    if _odd(deg, float(own.deg[0]), float(bends.angle[0])):
        return ODD_CUT.format(deg, float(own.deg[0]))
    solved = solved_of(base, bends.owner)
    family = CLOSED_FORM if solved is None else SECTION
    sds = {k: float(v[0]) for k, v in scatter_of(base, bends).items()}
    if family == SECTION:
        assert base.sections is not None
        off = _pressure(said, base.sections.pressure, job.shop.units or job.part.units)
        if isinstance(off, str):
            return off
        assert solved is not None
        feels = [float(solved.at(m.sd, bends.along)[0]) for m in solved.moved if m.name == PRESSURE]
        sds[PIECE] = float(np.hypot(sds[PIECE], off / PRESSURE_COV * (feels[0] if feels else 0.0)))
    tooling = by_kind((c.kind, c.sd) for c in block_scatter(job))[TOOLING]
    at = np.array([deg])
    out, told = released_of(base, bends, at), released_of(job, bends, at)
    correction = correction_at(job, bends)
    value = float(out.angle[0])
    foretold = Foretold(
        value, float(out.low[0]), float(out.high[0]), float(bends.angle[0]) + deg - value, sds[MODEL], sds[PIECE],
        float(np.hypot(sds[TOOLING], tooling)), family, out.model,
        (float(told.angle[0]), float(told.low[0]), float(told.high[0])), 0 if correction is None else correction.pieces,
        fingerprint, __version__,
    )  # fmt: skip
    press = plan.setup.press if plan.setup is not None else None
    part, name = job.part, said.block or cut.name
    return Observation(
        part.number, part.revision, part.hand, said.serial, said.lot, job.formed_name, job.t, bends.owner, hole, along,
        bends.radius, float(bends.angle[0]), curvature_of(job, bends.owner), said.press or (press.id if press else ""),
        said.pressure_mpa, press.pad.stack[0].shore_a if press else None, press.pad.thickness_mm if press else None, name,
        deg, f.value, f.u, f.gauge, f.readings, said.date, said.by, foretold,
    )  # fmt: skip


def bends_of(plan: Plan, where: Mapping[str, Any]) -> Bends | None:
    """The bend at a place where an angle was measured; of an edge without a place its middle. None where there is none."""
    part = plan.job.part
    if "hole" in where:
        hole = next((h for h in part.holes if h.name == where["hole"] and h.kind == "lightening"), None)
        return None if hole is None else hole_bends(hole)
    e = next((e for e in plan.block.edges if e.edge == where.get("edge")), None)
    if e is None:
        return None
    s, angle = _sorted(e.along, e.angle)
    along = np.array([float(where.get("along_mm", (s[0] + s[-1]) / 2))])
    flange = part.flanges[part.edge(e.edge).flange or ""]
    return Bends(e.edge, flange.bend_radius, np.interp(along, s, angle), along)


def _closes(plan: Plan, bends: Bends) -> str:
    if plan.setup is None:
        return NO_PRESS
    row = next((r for r in plan.setup.reached if r.flange.owner == bends.owner), None)
    if row is None or row.closes is None:
        return NO_CURVE
    return "" if row.closes else OPEN


def _odd(deg: float, own: float, angle: float) -> bool:
    """Whether nobody would cut a block so: far from the plan's `own` undercut and from none, or with a wall that leans the other way."""
    return not min(own, 0.0) - FAR_CUT <= deg <= max(own, 0.0) + FAR_CUT or angle + deg <= 0.0


def _late(plan: Plan, said: Said, f: Found) -> str:
    """What is wrong with the gauge's date on the day of measuring; "" where nothing is, or nobody knows one of the two."""
    gauge = next((g for g in plan.job.shop.gauges if g.id == f.gauge), None)
    late = gauge is not None and bool(gauge.due) and bool(said.date) and gauge.due < said.date
    return LATE.format(gauge.id, gauge.due) if gauge is not None and late else ""


def _pressure(said: Said, forecast_for: float, first: Any) -> float | str:
    """How far off the forecast's pressure it was formed, as a share; or why that is too far."""
    if said.pressure_mpa is None:
        return NO_PRESSURE
    off = abs(said.pressure_mpa / forecast_for - 1.0)
    if off > MOST_OFF:
        return OFF_PRESSURE.format(show_pressure(said.pressure_mpa, first), show_pressure(forecast_for, first))
    return off


def _sorted(along: Array, values: Array) -> tuple[Array, Array]:
    order = np.argsort(along, kind="stable")
    return np.asarray(along, float)[order], np.asarray(values, float)[order]
