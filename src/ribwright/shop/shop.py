"""What the shop owns and decides: presses, rules, block materials, stock, gauges, its own materials."""

from __future__ import annotations

from dataclasses import dataclass, field

from ribwright.shop.sheet import BlockMaterial, Material

BEND_RULES = ("faa", "din-6935", "k-factor")


@dataclass(frozen=True)
class Rules:
    """The shop's choices. Empty names mean: not chosen, the catalogue's default is used and said."""

    bend_allowance: str = "faa"
    k_factor: float | None = None
    minimum_radius: str = ""
    corner_relief: str = ""
    decision: str = "guarded"


@dataclass(frozen=True)
class Pad:
    """The rubber: plan size [mm], thickness [mm], Shore A, and how it is held (`container` or `loose`)."""

    size_mm: tuple[float, float]
    thickness_mm: float
    shore_a: float
    held: str


@dataclass(frozen=True)
class PressureGauge:
    """The gauge in the ram line: area behind it [mm2], its own limit [MPa], the unit on its face, next check due."""

    ram_area_mm2: float
    limit_mpa: float
    reads: str
    due: str


@dataclass(frozen=True)
class Press:
    """A press as its plate, manual or proof sheet says. Lengths mm, force N, pressure MPa."""

    id: str
    kind: str
    force_n: float
    rated_pressure_mpa: float
    source: str
    table_mm: tuple[float, float]
    tables: int
    daylight_mm: float
    stroke_mm: float
    off_centre_limit_mm: float | None
    pad: Pad
    gauge: PressureGauge | None
    container_depth_mm: float | None = None
    name: str = ""
    typed: dict[str, str] = field(default_factory=dict, compare=False)


@dataclass(frozen=True)
class Stock:
    """One lot of sheet on the rack."""

    lot: str
    material: str
    thickness_mm: float
    sheet_mm: tuple[float, float]
    grain: str
    count: int
    certificate: bool


@dataclass(frozen=True)
class MeasuringGauge:
    """A measuring tool of the shop, its uncertainty as typed, next calibration due."""

    id: str
    kind: str
    uncertainty: str
    due: str


@dataclass(frozen=True)
class Shop:
    """All of shop.toml. `given` is False when no shop file was found and the catalogue's defaults answer."""

    name: str = ""
    units: str = ""
    rules: Rules = Rules()
    presses: tuple[Press, ...] = ()
    block_materials: tuple[BlockMaterial, ...] = ()
    stock: tuple[Stock, ...] = ()
    gauges: tuple[MeasuringGauge, ...] = ()
    materials: dict[str, Material] = field(default_factory=dict)
    given: bool = False
    file: str = ""

    def press(self, press_id: str) -> Press | None:
        """The press of that id, or None."""
        return next((p for p in self.presses if p.id == press_id), None)
