"""What is known of the heat treatment of sheet: how an alloy answers to it (facts), and the limits that a shop entered.

No furnace temperature and no bath stands here: those are in the specification that the shop works to. Limits of time are the
shop's own, copied from that specification; None: not entered.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ribwright.shop.sheet import Fact

ByThickness = tuple[
    tuple[float | None, float], ...
]  # (up to this thickness [mm], None: any; the value), thinnest first


@dataclass(frozen=True)
class Response:
    """How an alloy answers to heat treatment by the shop. `natural`: the temper it then ages to by itself ("" where none is
    stable), `aged` the one by artificial ageing; `ages`: (temper as bought or formed, temper that ageing alone makes of it)."""

    alloy: str
    natural: str
    aged: str
    ages: tuple[tuple[str, str], ...]
    source: str
    status: str


@dataclass(frozen=True)
class DesignValue:
    """Design values of a record for a range of thickness [mm]: strength and yield of its `basis` (A, B, S), in `direction`."""

    material: str
    from_mm: float
    to_mm: float
    basis: str
    direction: str
    strength: Fact
    yielding: Fact


@dataclass(frozen=True)
class HeatTreatFacts:
    """The catalogue's facts. `not_treatable`: alloy -> source of its being so; `reheat`: how treatments of clad sheet are
    counted, in words, with its source."""

    responses: dict[str, Response] = field(default_factory=dict)
    not_treatable: dict[str, str] = field(default_factory=dict)
    design: tuple[DesignValue, ...] = ()
    reheat: str = ""
    reheat_source: str = ""

    def design_value(self, material: str, thickness_mm: float) -> DesignValue | None:
        """The values of a record for a sheet; None where none are known."""
        return next(
            (d for d in self.design if d.material == material and d.from_mm - 1e-6 <= thickness_mm <= d.to_mm + 1e-6),
            None,
        )


@dataclass(frozen=True)
class HeatTreat:
    """What the shop entered for an alloy from its `specification`. Times in s, `cold_storage_c` in degrees Celsius.

    quench_delay, soak, clad_reheats   by thickness: furnace door to the last of the part in the quench; time at heat; how often
                                       clad sheet may be heat treated again
    forming_window_s, straighten_window_s   from the quench on, at room temperature
    cold_storage_s, cold_storage_c     how long the quenched state is held, at this temperature or colder
    natural_ageing_s                   until it counts as aged
    """

    alloy: str
    specification: str
    quench_delay: ByThickness = ()
    soak: ByThickness = ()
    forming_window_s: float | None = None
    straighten_window_s: float | None = None
    cold_storage_s: float | None = None
    cold_storage_c: float | None = None
    natural_ageing_s: float | None = None
    clad_reheats: ByThickness = ()


def at_thickness(rows: ByThickness, thickness_mm: float) -> float | None:
    """The value of the first row that reaches this thickness; None where none does."""
    return next((v for up_to, v in rows if up_to is None or thickness_mm <= up_to + 1e-6), None)
