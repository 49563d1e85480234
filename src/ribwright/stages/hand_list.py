"""The hand-finishing list as values: moves in their order, what hands cannot put right, what to look at first, and when it may be done.

Order: what gathers an edge and flattens the web first, since the web is what every angle is measured from; then the steps of joggles,
then the angles and roots of the bends, then the edges; measured again after each move, and once more from the top after the last.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Any

from ribwright.shop.hand_times import HAND_TIMES
from ribwright.stages.hand_room import Room
from ribwright.stages.job import Job

Where = dict[str, Any]

WRINKLES, WEB, STEP, CLOSE, OPEN, ROOT, BRING, TRIM, HOLE = (
    "dress the wrinkles",
    "flatten the web",
    "set the step",
    "set the flange closed",
    "set the flange open",
    "work the root down",
    "bring the edge in",
    "trim the edge to its line",
    "open the hole to size",
)
# one phase a row, in the order of the work; key of [times]
PHASES: tuple[dict[str, str], ...] = (
    {WRINKLES: "dress_wrinkles", WEB: "flatten_web"},
    {STEP: "set_joggle"},
    {CLOSE: "set_angle", OPEN: "set_angle", ROOT: "work_root"},
    {BRING: "bring_edge", TRIM: "trim_edge", HOLE: "open_hole"},
)
MOVES = tuple(m for phase in PHASES for m in phase)
TIME_OF = {m: key for phase in PHASES for m, key in phase.items()}
_PHASE = {m: i for i, phase in enumerate(PHASES) for m in phase}

ORDER_RULE = (
    "The web first, by flutes on the high side, then the flanges, then their edges; measure, and begin again from the web. "
    "Flanges are set with the web held on the block: set with the web free, they bow it."
)
ORDER_SOURCE = (
    "common practice, from builders' logs of ribs; hand correction of formed parts is an element of its own in the Australian "
    "training unit MEA421"
)
NOBODY = "a person authorised by the shop: not named in shop.toml"
DECIDES = "scrap, or a person decides"


REACH_MM = 75.0  # of one setting of a seamer or mallet along an edge: our estimate
VARIES_DEG = 0.1  # targets further apart than this are told place by place


@dataclass(frozen=True)
class Target:
    """One place of a move: where it stands and where to stop [unit of the move], what the gauge must read there, and the angle to push it
    to so that it comes back to the target; None: not known."""

    along: float
    stands: float
    target: float
    low: float | None
    high: float | None
    push_to: float | None


@dataclass(frozen=True)
class Move:
    """One move. `amount` + `stands` = `target`, in `unit`; of an angle + closes the flange further. None: not known.

    order     from 1; `where` {"edge"}, {"hole"}, {"corner"} or {"loop"}; `start`, `end`, `along` as typed [mm], None where a place says
              nothing; `places` (along, amount) of each place it stands for, `along` being that of the largest amount
    targets   of a flange's angle: each place with its own numbers; the single ones are those of `along`
    low, high what the gauge must read to stop, the guard band of the shop's rule taken off; None where nobody can say
    past      how far past the target the flange must be pushed so that it comes back to it [deg], None: not known; `past_most` at most
              so far where that is all that is known
    room      accumulated strain against its limit; None where the move strains nothing that counts
    minutes   of the shop's own times, None: not known
    gather    length that an edge must lose, flutes that take it [mm, count]; None where none is meant
    """

    what: str
    where: Where
    amount: float | None
    unit: str
    stands: float | None
    target: float | None
    tool: str
    stop: str
    why: str
    source: str
    recheck: tuple[str, ...]
    along: float | None = None
    start: float | None = None
    end: float | None = None
    places: tuple[tuple[float, float], ...] = ()
    low: float | None = None
    high: float | None = None
    gauge: str = ""
    past: float | None = None
    past_most: float | None = None
    past_why: str = ""
    room: Room | None = None
    gather: tuple[float, int] | None = None
    cautions: tuple[str, ...] = ()
    order: int = 0
    minutes: float | None = None
    allowed_by: str = ""
    targets: tuple[Target, ...] = ()


def varies(move: Move) -> bool:
    """Whether its places have targets of their own: a bevel."""
    found = [t.target for t in move.targets]
    return bool(found) and max(found) - min(found) > VARIES_DEG


@dataclass(frozen=True)
class Beyond:
    """What hands do not put right: the value where it is worst, at `along` between `start` and `end`, how far it is `off` the drawing's,
    why not, and what becomes of it."""

    quantity: str
    where: Where
    along: float | None
    value: float | None
    unit: str
    why: str
    then: str = DECIDES
    off: float | None = None
    start: float | None = None
    end: float | None = None


@dataclass(frozen=True)
class Look:
    """What to look at or measure before a hand is laid on it, at `along` or from `start` to `end`. `chance`: share of first pieces that
    need no move, of a forecast."""

    quantity: str
    where: Where
    along: float | None
    say: str
    chance: float | None = None
    start: float | None = None
    end: float | None = None


@dataclass(frozen=True)
class HandList:
    """The whole list. `expected`: from the forecast, before the press; `when`: sentences on temper and window, with `window_s` the
    straightening window that the shop entered (None: not entered, or none is asked); `minutes` of all moves with measuring
    again after each, None where one is not known."""

    moves: tuple[Move, ...]
    beyond: tuple[Beyond, ...]
    look: tuple[Look, ...]
    when: tuple[str, ...]
    window_s: float | None
    minutes: float | None
    allowed_by: str
    expected: bool

    @property
    def empty(self) -> bool:
        """Nothing to do, to decide or to look at."""
        return not (self.moves or self.beyond or self.look)


def in_order(job: Job, moves: Iterable[Move]) -> tuple[Move, ...]:
    """The moves by phase, within one in the order given, numbered, with the shop's times and who allows them."""
    rows = sorted(moves, key=lambda m: _PHASE[m.what])
    by = job.shop.rules.rework_by or NOBODY
    return tuple(replace(m, order=i, minutes=_minutes(job, m), allowed_by=by) for i, m in enumerate(rows, 1))


def all_minutes(job: Job, moves: Sequence[Move]) -> float | None:
    """Of every move, measured again after each; None where a time is not known."""
    again = job.shop.hand_times.get("reinspect")
    own = [m.minutes for m in moves]
    if not moves:
        return 0.0
    if again is None or any(m is None for m in own):
        return None
    return sum(m for m in own if m is not None) + len(moves) * again / 60.0


def _minutes(job: Job, move: Move) -> float | None:
    key = TIME_OF[move.what]
    assert key in HAND_TIMES
    seconds = job.shop.hand_times.get(key)
    return None if seconds is None else seconds / 60.0 * _settings(move.places)


def _settings(places: Sequence[tuple[float, float]]) -> int:
    """How often a tool is set: places nearer one another than its reach are one, however many points were measured there."""
    count, last = 0, -inf
    for at, _ in sorted(places):
        if at - last >= REACH_MM:
            count, last = count + 1, at
    return max(count, 1)
