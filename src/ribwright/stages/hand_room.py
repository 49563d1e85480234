"""How much setting by hand a bend or an edge still stands: accumulated strain against its limit.

Of a bend the outer fibre is counted (`mechanics.hand_bend`): its own strain at the angle where it stands, and each pass on top, to and fro
alike. The limit is the own strain of the least radius that the shop's bend-radius table gives this temper and thickness, the radius to
meet where the table prints a range. Of an edge that is shrunk or stretched the limit is the record's for edges. Where neither is known
there is no limit, and nobody can count the passes. Strain that a piece took earlier, and nobody wrote down, is not in it.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.mechanics import hand_bend
from ribwright.shop.least_radius import radii_of
from ribwright.stages.job import Job

ROUNDING = 1e-9


@dataclass(frozen=True)
class Room:
    """Strain `now`, `after` the move, what one pass `each` adds, the `limit` [-] and `by` what it is; `passes` of this size that are left
    after the move. None: no limit is known."""

    now: float
    after: float
    each: float
    limit: float | None
    passes: int | None
    by: str

    @property
    def over(self) -> bool:
        """Whether the move would go past the limit."""
        return self.limit is not None and self.after > self.limit * (1 + ROUNDING)


def room(now: float, each: float, limit: float | None, by: str) -> Room:
    """What is left of a limit when a pass that adds `each` was made."""
    after = now + each
    left = None if limit is None else hand_bend.passes_within(limit, after, each)
    return Room(now, after, each, limit, left, by)


def bend_limit(job: Job) -> tuple[float | None, str]:
    """(limit of the outer fibre [-], what it is) for the temper it is formed in."""
    row = job.bend_row
    table = job.radius_table_of(row)
    known = radii_of(table, row, job.t)
    if known is None:
        return None, f"no entry for {row} at this thickness in {table.title}"
    standing = table.row_status.get(row, table.status)
    meet = known[0]
    by = f"strain of the least bend radius of {row}, table {table.name!r} ({standing})"
    return float(hand_bend.limit_strain(meet, job.t)), by


def bend_room(job: Job, radius: float, angle: float, stands: float, turned: float) -> Room:
    """A bend of the drawing's radius [mm] and angle that stands at another [deg] and is turned for good by `turned` [deg]."""
    now = float(hand_bend.strain_at(radius, job.t, angle, stands))
    return room(now, float(hand_bend.pass_strain(radius, job.t, angle, turned)), *bend_limit(job))


def moved_bend_room(job: Job, radius: float, angle: float) -> Room:
    """A bend whose line is moved: what leaves the bend is straightened again, and counts its own strain twice."""
    own = float(hand_bend.strain_at(radius, job.t, angle, angle))
    return room(own, own, *bend_limit(job))


def edge_room(job: Job, key: str, now: float, more: float) -> Room:
    """An edge that has shrunk or stretched by `now` [-] and does so by `more`; `key` of the record, such as "shrink_fluted_limit"."""
    fact = job.formed.facts.get(key) if job.formed else None
    if fact is None:
        return room(now, more, None, f"no {key} is known for {job.formed_name}")
    return room(now, more, fact.value, f"{key} of {job.formed_name} ({fact.standing()})")
