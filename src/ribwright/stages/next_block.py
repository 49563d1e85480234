"""The next block of a part: its undercut before and after the book, edge by edge, and whether the old block can be filed to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ribwright.shop.springback_book import Book, Observation
from ribwright.stages.block import Block, BlockEdge, make_block
from ribwright.stages.learning import Correction, Mover
from ribwright.stages.observing import Cut
from ribwright.stages.plan import Plan
from ribwright.stages.reworking import Rework, rework, worst
from ribwright.stages.springback import Bends, correction_at, hole_bends
from ribwright.stages.taught import without_book

MOST_MOVERS = 5
SAME_CUT = 0.1  # deg: one block, told twice


@dataclass(frozen=True, eq=False)
class NextPlace:
    """One place: undercut with its band before and after [deg]; what the book shifted the released angle by, None where it has nothing of
    it; the pieces that moved it most; how the old block is brought there, None where no old block is known."""

    place: str
    hole: bool
    along: float
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    shift: float | None
    movers: tuple[Mover, ...]
    rework: Rework | None


@dataclass(frozen=True, eq=False)
class NextBlock:
    """Every place; `old` the block that was measured last, None where none is known; `verdict` what it needs, "" without one."""

    places: tuple[NextPlace, ...]
    old: Cut | None
    verdict: str


def next_block(plan: Plan, old: Cut | None) -> NextBlock:
    """The block of `plan` beside the one that would have been cut had nothing been measured, and beside the `old` one."""
    was = make_block(without_book(plan.job), plan.blank)
    rows = [*_edges(plan, was, old), *_holes(plan, was, old)]
    found = [p.rework for p in rows if p.rework is not None]
    return NextBlock(tuple(rows), old if found else None, worst(found) if found else "")


def last_block(book: Book, part: str, hand: str) -> Cut | None:
    """The block that the part's last measured piece was formed on, as far as its places say: what earlier pieces of that block say of
    other places counts back to the piece before which it was cut anew. None where none was measured, or the last piece is withdrawn: its
    block may be another than the one before."""
    standing = {o.id for o in book.standing}
    every = sorted((o for o in book.observations if (o.part, o.hand) == (part, hand)), key=lambda o: o.date)
    rows = [o for o in every if o.id in standing]
    if not rows or every[-1].piece not in {o.piece for o in rows if o.date == every[-1].date}:
        return None
    return block_as_told(rows, rows[-1].block)


def block_as_told(rows: list[Observation], name: str) -> Cut:
    """The block `name` as the last of a part's pieces say, in the order that they were measured; without a place where none says."""
    cut = Cut(name)
    for piece in dict.fromkeys((o.date, o.piece) for o in reversed(rows) if o.block == name):
        mine = _cut_by([o for o in rows if (o.date, o.piece) == piece and o.block == name], name)
        if not _agree(cut, mine):
            break
        cut = Cut(name, edges={**mine.edges, **cut.edges}, holes={**mine.holes, **cut.holes})
    return cut


def _cut_by(rows: list[Observation], name: str) -> Cut:
    """The block as the places of one piece say."""
    edges = {}
    for place in dict.fromkeys(o.place for o in rows if not o.hole):
        at = {o.along: o.undercut for o in rows if o.place == place and not o.hole}
        edges[place] = (np.array(sorted(at)), np.array([at[s] for s in sorted(at)]))
    return Cut(name, edges=edges, holes={o.place: o.undercut for o in rows if o.hole})


def _agree(later: Cut, before: Cut) -> bool:
    """Whether a block was the same at two times, wherever both say how it was cut."""
    holes = [(later.holes[h], deg) for h, deg in before.holes.items() if h in later.holes]
    edges = [
        (later.at(e, False, float(s)), float(d))
        for e in before.edges
        if e in later.edges
        for s, d in zip(*before.edges[e], strict=True)
    ]
    return all(a is not None and abs(a - b) <= SAME_CUT for a, b in (*holes, *edges))


def next_answer(n: NextBlock) -> dict[str, Any]:
    """The next block under its JSON keys."""
    return {
        "places": [
            {
                **({"hole": p.place} if p.hole else {"edge": p.place, "along_mm": p.along}),
                "before_deg": dict(zip(("value", "low", "high"), p.before, strict=True)),
                "after_deg": dict(zip(("value", "low", "high"), p.after, strict=True)),
                "shift_deg": p.shift,
                "moved_by": [
                    {"piece": m.piece, "date": m.date, "lot": m.lot, "off_deg": m.off, "moved_deg": m.moved, "weight": m.weight}
                    for m in p.movers
                ],
                "rework": None if p.rework is None else {
                    "cut_to_deg": p.rework.old, "off_at_foot_mm": p.rework.off_foot, "off_most_mm": p.rework.off_most,
                    "depth_mm": p.rework.depth, "what": p.rework.what,
                },
            }
            for p in n.places
        ],
        "old_block": None if n.old is None else n.old.name,
        "verdict": n.verdict or None,
    }  # fmt: skip


def _edges(plan: Plan, was: Block, old: Cut | None) -> list[NextPlace]:
    rows: list[NextPlace] = []
    for e in plan.block.edges:
        before = next(b for b in was.edges if b.edge == e.edge)
        flange = plan.job.part.flanges[plan.job.part.edge(e.edge).flange or ""]
        for i in _told(e):
            at = Bends(e.edge, flange.bend_radius, e.angle[i : i + 1], e.along[i : i + 1])
            cut = None if old is None else old.at(e.edge, False, float(e.along[i]))
            done = (
                None
                if cut is None
                else rework(
                    flange.bend_radius, plan.job.t, float(e.angle[i]), cut, float(e.under.deg[i]), plan.block.height
                )
            )
            c = correction_at(plan.job, at)
            rows.append(
                NextPlace(
                    e.edge, False, float(e.along[i]), _band(before, float(e.along[i])), _band(e, float(e.along[i])),
                    *_moved(c), done,
                )
            )  # fmt: skip
    return rows


def _told(e: BlockEdge) -> list[int]:
    """Places to tell: both ends and the greatest undercut where it varies, else one."""
    if float(np.ptp(e.under.deg)) < 0.005:
        return [0]
    return sorted({0, len(e.along) - 1, int(np.argmax(e.under.deg)), int(np.argmin(e.under.deg))})


def _band(e: BlockEdge, along: float) -> tuple[float, float, float]:
    order = np.argsort(e.along)
    deg, low, high = (
        float(np.interp(along, e.along[order], v[order])) for v in (e.under.deg, e.under.low, e.under.high)
    )
    return deg, low, high


def _holes(plan: Plan, was: Block, old: Cut | None) -> list[NextPlace]:
    before = {r.name: r for r in (*was.recesses, *was.rings)}
    rows = []
    for r in (*plan.block.recesses, *plan.block.rings):
        hole = next(h for h in plan.job.part.holes if h.name == r.name)
        cut = None if old is None else old.at(r.name, True, 0.0)
        done = (
            None if cut is None else rework(hole.bend_radius, plan.job.t, hole.bend_angle, cut, r.undercut[0], r.depth)
        )
        c = correction_at(plan.job, hole_bends(hole))
        rows.append(NextPlace(r.name, True, 0.0, before[r.name].undercut, r.undercut, *_moved(c), done))
    return rows


def _moved(c: Correction | None) -> tuple[float | None, tuple[Mover, ...]]:
    return (None, ()) if c is None else (float(c.shift[0]), c.movers(0)[:MOST_MOVERS])
