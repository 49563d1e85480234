"""Where a flute may not lie along a run: rivets with their edge distance, notches, steps of joggles, ends of the flange."""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.features.part import Part, along_of
from ribwright.stages.flute_rules import FluteRules
from ribwright.stages.gather import Gather
from ribwright.stages.run_line import RunLine

FAR = 1e6  # mm beyond an end of the flange
SAME = 1e-6


@dataclass(frozen=True)
class Zone:
    """A stretch of a run's line [mm] that no part of a flute may touch. `kind` rivet, notch, joggle or end; `index` its number, from 1;
    `at` its middle on the line; `edge` and `row` where it stands."""

    kind: str
    low: float
    high: float
    at: float
    edge: str = ""
    index: int = 0
    row: int = 0

    def words(self) -> str:
        """What it is, in a sentence."""
        return {
            "rivet": f"rivet {self.index} of {self.edge}",
            "notch": f"notch {self.index}",
            "joggle": f"a step of joggle {self.index}",
            "end": f"the flange's end on {self.edge}",
        }[self.kind]


def zones_of(part: Part, gather: Gather, rules: FluteRules) -> tuple[Zone, ...]:
    """Every zone of a run, in rising place. Rows of rivets in the web are left out: a flute runs out at the bend."""
    line = gather.line
    out = [*_rivets(part, line), *_notches(part, line, rules), *_joggles(part, line, rules)]
    if not line.closed:
        first, last = float(gather.x[0]), float(gather.x[-1])
        out.append(Zone("end", -FAR, first + rules.end, first, line.place(first)[0]))
        out.append(Zone("end", last - rules.end, FAR, last, line.place(last - SAME)[0]))
    return tuple(sorted(out, key=lambda z: (z.low, z.high)))


def _rivets(part: Part, line: RunLine) -> list[Zone]:
    out = []
    for row, r in enumerate(part.rivets, 1):
        if r.on != "flange" or r.edge not in line.names:
            continue
        for i in range(r.count):
            x = line.x_of(r.edge, r.first + i * r.pitch)
            out.append(Zone("rivet", x - r.edge_distance, x + r.edge_distance, x, r.edge, i + 1, row))
    return out


def _notches(part: Part, line: RunLine, rules: FluteRules) -> list[Zone]:
    out = []
    for i, n in enumerate(part.notches, 1):
        if n.edge in line.names:
            x = line.x_of(n.edge, along_of(n.at, line.lengths[line.names.index(n.edge)]))
            half = n.width / 2 + n.flange_gap + rules.end
            out.append(Zone("notch", x - half, x + half, x, n.edge, i))
    return out


def _joggles(part: Part, line: RunLine, rules: FluteRules) -> list[Zone]:
    """The steps themselves; between them a flange is as good as any."""
    out = []
    for i, j in enumerate(part.joggles, 1):
        if j.edge not in line.names:
            continue
        length = line.lengths[line.names.index(j.edge)]
        low, high = sorted((along_of(j.start, length), along_of(j.end, length)))
        steps = [(low, low + j.length)] if low > SAME else []
        steps += [(high - j.length, high)] if high < length - SAME else []
        for a, b in steps:
            a, b = line.x_of(j.edge, a), line.x_of(j.edge, b)
            out.append(Zone("joggle", a - rules.end, b + rules.end, (a + b) / 2, j.edge, i))
    return out
