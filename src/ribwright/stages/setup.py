"""The press set-up: pressure needed and given, what it closes, gauge reading and limit, room, block strength, lay-up.

container pad   pressure = ram force / opening of the container, whatever lies under it, at most the rated pressure
loose pad       pressure = ram force / the area it bears on, so that a small block sees more; a loose pad that spreads until
                it bears on the table too gives as little as ram force / its whole area
fluid           the same pressure everywhere, at most the rated pressure
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ribwright.shop.shop import Press
from ribwright.stages.bead_demand import BeadDemand, bead_demands
from ribwright.stages.blank import Blank
from ribwright.stages.block import Block
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.joggles import Step, steps
from ribwright.stages.lay_up import Container, Layer, container_of, height_of, lay_up
from ribwright.stages.pads import PadShare, is_loose, pad_area, pad_share
from ribwright.stages.placing import Place, place_block
from ribwright.stages.pressure import Demand, demands, flanges, within
from ribwright.stages.reach import Reach, reach


@dataclass(frozen=True)
class Setup:
    """The set-up on one press. Pressures MPa, forces N, lengths mm.

    needed None: the flow curve of this temper is not known. `gauge_mpa` None: no gauge in the shop file that reads a
    pressure, or the press cannot give what is needed within its ratings; `gauge_force`, `gauge_limit_force` and
    `pump_gauge_force` likewise for one that reads the force. `at_force`: ram force at the needed pressure; `pump_force`: at
    the top of the band, never past the limit, None where the press cannot. `spread_pressure`: least pressure under a loose
    pad that spreads, None for all others.
    """

    press: Press
    area: float
    area_is: str
    share: PadShare
    demands: tuple[Demand, ...]
    reached: tuple[Reach, ...]
    governed: Demand | BeadDemand | None
    needed: Predicted | None
    available: float
    spread_pressure: float | None
    limit_force: float
    limit_by: str
    at_force: float | None
    pump_force: float | None
    gauge_mpa: float | None
    gauge_limit_mpa: float | None
    gauge_limit_by: str
    pump_gauge_mpa: float | None
    gauge_force: float | None
    gauge_limit_force: float | None
    pump_gauge_force: float | None
    never_past_mpa: float | None
    never_past_force: float | None
    never_past_by: str
    place: Place
    daylight_margin: float
    stack: float
    block_height: float
    block_limit: float | None
    lay_up: tuple[Layer, ...]
    container: Container | None
    beads: tuple[BeadDemand, ...] = ()
    joggles: tuple[Step, ...] = ()

    @property
    def closes_at_least(self) -> dict[str, float]:
        """Ram pressure [MPa] at the low end of the band that closes an edge, by its name."""
        lows = [(str(d.where["edge"]), d.need.low) for d in self.demands if "edge" in d.where]
        return {name: min(low for n, low in lows if n == name) for name, _ in lows}

    @property
    def pump_pressure(self) -> float | None:
        """Pressure at the pump-to force [MPa]."""
        return None if self.pump_force is None else self.pump_force / self.area

    @property
    def turned_deg(self) -> float:
        """Turn of the block on the table [deg]."""
        return self.place.turned_deg

    @property
    def pad_margin(self) -> float:
        """Least room from block to pad edge [mm]; negative: overhang."""
        return self.place.pad_margin

    @property
    def table_margin(self) -> float:
        """Least room from block to the edge of the table, or of the bolster [mm]; negative: overhang."""
        return self.place.table_margin


def pump_to(press: Press, area: float, need: Predicted) -> float | None:
    """Pressure on the pad to pump to [MPa]: the top of the needed pressure's band, as far as the press goes. None: it cannot give
    what is needed, and a press that cannot close the flange gets no reading to pump to: a rating is never overridable."""
    limit, _ = _limit(press, area)
    return min(need.high * area, limit) / area if within(need.value * area, limit) else None


def area_under(press: Press, block: Block) -> float:
    """Area that the ram's force acts over [mm2]."""
    opening = pad_area(press)
    return min(block.bearing_area, opening) if is_loose(press) else opening


def make_setup(job: Job, blank: Blank, block: Block, press: Press) -> Setup:
    """Set the job up on a press. Refusals are findings of `check`, made from these numbers."""
    loose, opening, area = is_loose(press), pad_area(press), area_under(press, block)
    limit_force, limit_by = _limit(press, area)
    share = pad_share(press, block.height)
    all_demands = demands(job, blank, share)
    beads = bead_demands(job, blank, press, block.height) if all_demands or not blank.strips else ()
    worst = last_of((*all_demands, *beads))
    at = None if worst is None else worst.need.value * area
    pump = None if worst is None else pump_to(press, area, worst.need)
    reaches = pump is not None
    if pump is not None and job.sections is not None:
        pump = min(job.sections.pressure, limit_force / area)  # what the block was cut for
    pump = None if pump is None else pump * area
    ram = press.gauge.ram_area_mm2 if press.gauge else None
    gauge_limit, gauge_by = _gauge_limit(press, area)
    gauge_by = gauge_by if press.gauge else (limit_by if press.force_gauge else "")
    force_limit = limit_force if press.force_gauge else None
    layers = lay_up(job, block, press)
    stack = height_of(layers)
    never_mpa, never_force, never_by = _never_past(block, area, ram, gauge_limit, force_limit, gauge_by)
    available, acting = limit_force / area, (pump or limit_force) / area
    return Setup(
        press,
        area,
        _area_is(press, loose),
        share,
        all_demands,
        _reached(job, blank, all_demands, share, acting, area / opening if loose else 1.0),
        worst,
        worst.need if worst else None,
        available,
        limit_force / opening if loose else None,
        limit_force,
        limit_by,
        at,
        pump,
        at / ram if at is not None and ram and reaches else None,
        gauge_limit,
        gauge_by,
        _reading(pump, ram, gauge_limit, never_mpa),
        at if press.force_gauge and reaches else None,
        force_limit,
        _at_most(pump if press.force_gauge else None, never_force),
        never_mpa,
        never_force,
        never_by,
        place_block(block, press),
        press.daylight_mm - stack,
        stack,
        block.height,
        block.material.pressure_limit_mpa if block.material else None,
        layers,
        container_of(press, layers),
        beads,
        steps(job, blank),
    )


def last_of(asked: Sequence[Demand | BeadDemand]) -> Demand | BeadDemand | None:
    """What asks for the most pressure: of flanges and beads alike the first."""
    return max(asked, key=lambda d: d.need.value) if asked else None


def on_material(job: Job, s: Setup, block: Block) -> Setup:
    """The same set-up with a block whose material was chosen for it: what the block stands and is called is all that changes, and the
    reading to pump to, which is never past it."""
    ram = s.press.gauge.ram_area_mm2 if s.press.gauge else None
    mpa, force, by = _never_past(block, s.area, ram, s.gauge_limit_mpa, s.gauge_limit_force, s.gauge_limit_by)
    layers = lay_up(job, block, s.press)
    return replace(
        s,
        never_past_mpa=mpa,
        never_past_force=force,
        never_past_by=by,
        pump_gauge_mpa=_reading(s.pump_force, ram, s.gauge_limit_mpa, mpa),
        pump_gauge_force=_at_most(s.pump_force if s.press.force_gauge else None, force),
        block_limit=block.material.pressure_limit_mpa if block.material else None,
        lay_up=layers,
        container=container_of(s.press, layers),
    )


def _reading(pump: float | None, ram: float | None, limit: float | None, never: float | None) -> float | None:
    """The gauge at the force pumped to [MPa], no further than its own limit and the block's."""
    return _at_most(min(pump / ram, limit), never) if pump is not None and ram and limit else None


def _at_most(reading: float | None, limit: float | None) -> float | None:
    return reading if reading is None or limit is None else min(reading, limit)


def _area_is(press: Press, loose: bool) -> str:
    if press.kind == "fluid":
        return "area of the diaphragm"
    return "area the loose pad bears on" if loose else "opening of the container"


def _reached(
    job: Job, blank: Blank, all_demands: tuple[Demand, ...], share: PadShare, pressure: float, spread: float
) -> tuple[Reach, ...]:
    """Every flange at the pressure on the pad; `spread`: share of it that is left if a loose pad spreads."""
    asked = {str(d.where): d for d in all_demands}
    return tuple(
        reach(job, f, asked.get(str(f.where)), share, pressure, pressure * spread) for f in flanges(job, blank)
    )


def _limit(press: Press, area: float) -> tuple[float, str]:
    """Largest ram force allowed [N] and what sets it."""
    limits = [(press.force_n, "rated force"), (press.rated_pressure_mpa * area, "rated pressure")]
    if press.gauge:
        limits.append((press.gauge.limit_mpa * press.gauge.ram_area_mm2, "gauge limit"))
    if press.force_gauge:
        limits.append((press.force_gauge.limit_n, "gauge limit"))
    return min(limits)


def _gauge_limit(press: Press, area: float) -> tuple[float | None, str]:
    """Reading not to pump past: least of gauge limit, rated pressure x area / ram area, rated force / ram area [MPa]."""
    if press.gauge is None:
        return None, ""
    ram = press.gauge.ram_area_mm2
    rows = [
        (press.gauge.limit_mpa, "gauge limit"),
        (press.rated_pressure_mpa * area / ram, "rated pressure of the pad"),
        (press.force_n / ram, "rated force of the press"),
    ]
    return min(rows)


def _never_past(
    block: Block, area: float, ram: float | None, gauge: float | None, force: float | None, by: str
) -> tuple[float | None, float | None, str]:
    """Reading never to pass: gauge limit, or what the block stands x area (/ ram area) where that is less. (MPa of a gauge
    that reads pressure, N of one that reads force, what sets it)."""
    material = block.material
    if material is None:
        return gauge, force, by
    stands = material.pressure_limit_mpa * area
    name = f"block, {material.name}"
    if gauge is not None and ram and stands / ram < gauge * (1 - 1e-9):
        return stands / ram, force, name
    if force is not None and stands < force * (1 - 1e-9):
        return gauge, stands, name
    return gauge, force, by
