"""The press set-up: pressure needed and given, gauge reading and limit, pad, daylight, block strength, lay-up.

container pad   pressure = ram force / opening of the container, whatever lies under it, at most the rated pressure
loose pad       pressure = ram force / the area it bears on, so that a small block sees more
fluid           the same pressure everywhere, at most the rated pressure
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribwright.shop.shop import Press
from ribwright.stages.blank import Blank
from ribwright.stages.block import Block
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.pressure import Demand, demands, governing


@dataclass(frozen=True)
class Layer:
    """One thing of the lay-up between table and platen, bottom first. thickness [mm] or None where it is not known."""

    what: str
    thickness: float | None
    note: str = ""


@dataclass(frozen=True)
class Setup:
    """The set-up on one press. Pressures MPa, forces N, lengths mm.

    needed None: the flow curve of this temper is not known. `gauge_mpa` None: no gauge in the shop file, or the press
    cannot give what is needed within its ratings. `at_force`: ram force at the needed pressure; `pump_force`: at the top
    of the band, never past the limit, None where the press cannot.
    """

    press: Press
    area: float
    area_is: str
    demands: tuple[Demand, ...]
    governed: Demand | None
    needed: Predicted | None
    available: float
    limit_force: float
    limit_by: str
    at_force: float | None
    pump_force: float | None
    gauge_mpa: float | None
    gauge_limit_mpa: float | None
    gauge_limit_by: str
    pump_gauge_mpa: float | None
    turned_deg: float
    pad_margin: float
    table_margin: float
    daylight_margin: float
    stack: float
    block_limit: float | None
    lay_up: tuple[Layer, ...]

    @property
    def pump_pressure(self) -> float | None:
        """Pressure at the pump-to force [MPa]."""
        return None if self.pump_force is None else self.pump_force / self.area


def make_setup(job: Job, blank: Blank, block: Block, press: Press) -> Setup:
    """Set the job up on a press. Refusals are findings of `check`, made from these numbers."""
    fluid = press.kind == "fluid"
    opening = press.pad.size_mm[0] * press.pad.size_mm[1]
    loose = press.pad.held == "loose" and not fluid
    area = min(block.bearing_area, opening) if loose else opening
    limit_force, limit_by = _limit(press, area)
    all_demands = demands(job, blank, None if fluid else press.pad.shore_a)
    worst = governing(all_demands)
    at = None if worst is None else worst.need.value * area
    # a press that cannot close the flange gets no reading to pump to: a rating is never overridable
    reaches = at is not None and at <= limit_force * (1 + 1e-9)
    pump = min(worst.need.high * area, limit_force) if worst is not None and reaches else None
    ram = press.gauge.ram_area_mm2 if press.gauge else None
    gauge_limit, gauge_by = _gauge_limit(press, area)
    turned, pad_margin = _placed(block, press.pad.size_mm)
    stack = block.height + job.t + press.pad.thickness_mm
    return Setup(
        press,
        area,
        "area the loose pad bears on" if loose else "opening of the container",
        all_demands,
        worst,
        worst.need if worst else None,
        limit_force / area,
        limit_force,
        limit_by,
        at,
        pump,
        at / ram if at is not None and ram and reaches else None,
        gauge_limit,
        gauge_by,
        min(pump / ram, gauge_limit) if pump is not None and ram and gauge_limit else None,
        turned,
        pad_margin,
        _placed(block, press.table_mm)[1],
        press.daylight_mm - stack,
        stack,
        block.material.pressure_limit_mpa if block.material else None,
        _lay_up(job, block, press),
    )


def _limit(press: Press, area: float) -> tuple[float, str]:
    """Largest ram force allowed [N] and what sets it."""
    limits = [(press.force_n, "rated force"), (press.rated_pressure_mpa * area, "rated pressure")]
    if press.gauge:
        limits.append((press.gauge.limit_mpa * press.gauge.ram_area_mm2, "gauge limit"))
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


def _placed(block: Block, size: tuple[float, float]) -> tuple[float, float]:
    """Least margin from the block's extent to a rectangle's edge, centred, best of 0 and 90 deg: (turn, margin)."""
    p = np.concatenate([block.outlines[0], block.feet[0]])
    w, h = np.ptp(p[:, 0]), np.ptp(p[:, 1])
    rows = [
        (min((size[0] - w) / 2, (size[1] - h) / 2), 0.0),
        (min((size[0] - h) / 2, (size[1] - w) / 2), 90.0),
    ]
    margin, turn = max(rows, key=lambda r: (round(float(r[0]), 9), -r[1]))
    return turn, float(margin)


def _lay_up(job: Job, block: Block, press: Press) -> tuple[Layer, ...]:
    what = block.material.name if block.material else "material not chosen"
    rows = [
        Layer("press table", None, "clean, nothing loose on it"),
        Layer("form block", block.height, f"{what}; pins up, seated full-area"),
        Layer("blank", job.t, f"{job.part.sheet.material}, on all pins, marked side up"),
    ]
    rows += [Layer(f"loose ring {r.name}", None, "over the hole flange that turns up") for r in block.rings]
    if press.kind == "fluid":
        return (*rows, Layer("diaphragm", None, "fluid pressure, the same everywhere"))
    held = "in its container" if press.pad.held == "container" else "loose"
    return (
        *rows,
        Layer("pad", press.pad.thickness_mm, f"{press.pad.shore_a:g} Shore A, {held}"),
        Layer("platen", None, f"press {press.id}"),
    )
