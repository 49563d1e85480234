"""What strain a sheet is taken to stand: at a free edge what the material record says of edges, elsewhere the limit line.

    free edge    engineering strain along it against `stretch_limit`, of a hole `hole_edge_limit`
    elsewhere    the line of `mechanics/forming_limit` with e0 = share (n - 0.866 prestrain), rule F1

n and prestrain from the record of the temper the sheet is formed in. The share of it that a shop takes is `limit_line_share` of the
practice. No forming limit of these alloys was found to hold rule F1 against: an estimate, untested.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.mechanics.flow_estimate import plane_strain_limit
from ribwright.shop.sheet import Fact
from ribwright.stages.job import Job

NO_CURVE = "no limit is known for this temper: its record has no flow curve"
NO_ROOM = "no limit is known for this temper: rule F1 leaves no strain at its n and prestrain"
NO_EDGE = "no limit is known for this temper"
FREE_EDGE, LINE = "free edge", "limit line"  # what a place is held against
TRUE, ENGINEERING = "true strain", "engineering strain"
EDGE_KEYS = {"edge": "stretch_limit", "hole": "hole_edge_limit"}


@dataclass(frozen=True)
class LimitLine:
    """e0: major true strain of the line in plane strain [-], > 0; n, prestrain, share: what it is made of."""

    e0: float
    n: float
    prestrain: float
    share: float
    source: str


@dataclass(frozen=True)
class NoLine:
    """Why there is no limit line, in words."""

    why: str


def limit_line(job: Job) -> LimitLine | NoLine:
    """The limit line of the sheet as formed."""
    h = job.formed.hardening if job.formed else None
    if h is None:
        return NoLine(NO_CURVE)
    share = job.catalogue.practice["limit_line_share"]
    e0 = share.value * plane_strain_limit(h.n, h.prestrain)
    if e0 <= 0.0:
        return NoLine(NO_ROOM)
    curve = f"estimated by {h.rule}" if h.status == "estimated" else h.status
    source = (
        f"{share.value:g} of rule F1 (estimated, untested); n {h.n:g} and prestrain {h.prestrain:g} of the flow curve of "
        f"{job.formed_name} ({curve})"
    )
    return LimitLine(e0, h.n, h.prestrain, share.value, source)


def edge_limit(job: Job, kind: str) -> Fact | None:
    """What the record says that the free edge of an "edge" or a "hole" stands, engineering strain; None: not known."""
    return job.formed.facts.get(EDGE_KEYS[kind]) if job.formed else None
