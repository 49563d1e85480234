"""How much room is left at flutes, beads and steps of joggles: the numbers of their findings, also where nothing is wrong."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.bead_room import rooms
from ribwright.stages.checks.beads import STRETCH_SOURCE
from ribwright.stages.checks.context import Looked, margin
from ribwright.stages.flute_room import Zone
from ribwright.stages.flutes import PlacedFlute
from ribwright.stages.joggles import steps
from ribwright.stages.margins import Margin
from ribwright.stages.pressure import within


def detail_margins(looked: Looked) -> Iterator[Margin]:
    """Rows of every bead and step; of flutes those with the least room on each edge."""
    yield from _flutes(looked)
    yield from _beads(looked)
    yield from _joggles(looked)


def _flutes(looked: Looked) -> Iterator[Margin]:
    """How far flutes stand from rivets and from what else is cut or bent beside them."""
    rows = [_beside(looked, flute, zone) for run in looked.fluting.runs for flute in run.flutes for zone in run.zones]
    least: dict[tuple[str, str], Margin] = {}
    for row in rows:
        key = row.quantity, str(row.where["edge"])
        if row.margin is not None and (key not in least or row.margin < (least[key].margin or 0.0)):
            least[key] = row
    yield from least.values()


def _beside(looked: Looked, flute: PlacedFlute, zone: Zone) -> Margin:
    where = {"edge": flute.edge, "along_mm": flute.along}
    if zone.kind == "rivet":
        value, limit = abs(flute.x - zone.at), flute.width / 2 + (zone.high - zone.low) / 2
        quantity, source = "flute_to_rivet", "rivet row of the part file"
    else:
        low, high = flute.reach()
        limit = looked.fluting.rules.end
        value = limit + max(low - zone.high, zone.low - high)
        fact = looked.job.catalogue.practice["flute_end"]
        quantity, source = "flute_to_detail", f"{fact.source} ({fact.standing()})"
    return Margin(quantity, where, value, limit, margin(value, limit, least=True), "mm", source)


def _beads(looked: Looked) -> Iterator[Margin]:
    """Stretch across a bead; the pressure it asks for (the top of its band as long as its value is given)."""
    formed = looked.job.formed
    fact = formed.facts.get("stretch_limit") if formed else None
    for room in rooms(looked.job, looked.blank):
        mid = room.shape.mid
        if mid is not None and fact is not None and not room.shape.why_not:
            value = mid.length / mid.width - 1
            where = {"bead": str(room.shape.number)}
            source = f"{fact.source}; {STRETCH_SOURCE}"
            yield Margin(
                "bead_stretch", where, value, fact.value, margin(value, fact.value), "engineering strain", source
            )
    setup = looked.setup
    for b in setup.beads if setup else ():
        have = setup.available if setup else 0.0
        value = b.need.high if within(b.need.value, have) else b.need.value
        yield Margin("bead_pressure", b.where, value, have, margin(value, have), "MPa", b.need.model)


def _joggles(looked: Looked) -> Iterator[Margin]:
    """Run-out of a step, and what sets it against what is pumped to (the low end of its band where not even that is there)."""
    fact, setup = looked.job.catalogue.practice["joggle_runout_depths"], looked.setup
    for s in steps(looked.job, looked.blank):
        least = fact.value * s.depth
        found = margin(s.length, least, least=True)
        room = 0.0 if found is not None and abs(found) <= 1e-9 else found
        yield Margin("joggle_runout", s.where, s.length, least, room, "mm", f"{fact.source} ({fact.standing()})")
        need = None if setup is None else s.needs(setup.share)
        if setup is not None and need is not None:
            have = setup.available if setup.pump_pressure is None else setup.pump_pressure
            value = need.low if need.low > have else need.value
            yield Margin("joggle_pressure", s.where, value, have, margin(value, have), "MPa", need.model)
