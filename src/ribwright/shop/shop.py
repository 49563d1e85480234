"""What the shop owns and decides: presses, rules, block materials, stock, gauges, its own materials."""

from __future__ import annotations

from dataclasses import dataclass, field

from ribwright.shop.heat_treat import HeatTreat
from ribwright.shop.sheet import BlockMaterial, Material

UNDERCUT_MODELS = ("closed-form", "section")
BEND_RULES = ("faa", "din-6935", "k-factor")
BLANK_AGREEMENT_MM = 0.25  # 0.010 in: what a line cut by hand may be off (practice `line_accuracy`, the larger end)


@dataclass(frozen=True)
class Rules:
    """The shop's choices. Empty names mean: not chosen, the catalogue's default is used and said. `undercut`: the model for
    springback, one of UNDERCUT_MODELS, where the command line does not say; "" = the section model where a press is named.
    `blank_agreement_mm`: how
    far [mm] the cut line of the strain-corrected blank may lie from that of the blank by balance and still be taken.
    `then_radius`: radius tables that are asked, in this order, where `minimum_radius` has no entry.
    `rework_by`: who allows rework of a part that was measured outside; "": nobody is named."""

    bend_allowance: str = "faa"
    k_factor: float | None = None
    minimum_radius: str = ""
    corner_relief: str = ""
    decision: str = "guarded"
    undercut: str = ""
    blank_agreement_mm: float = BLANK_AGREEMENT_MM
    then_radius: tuple[str, ...] = ()
    rework_by: str = ""


@dataclass(frozen=True)
class PadLayer:
    """One sheet of rubber of a stack: thickness [mm], Shore A, role `pad` (held) or `throw` (a loose sheet laid on the
    blank), plan size [mm]. `shear_modulus_mpa`: the shop's own, measured; None: told from the hardness."""

    thickness_mm: float
    shore_a: float
    role: str
    size_mm: tuple[float, float]
    shear_modulus_mpa: float | None = None


@dataclass(frozen=True)
class Pad:
    """The rubber: plan size [mm] of the held pad, thickness [mm] of all layers, Shore A of the layer next to the work,
    how it is held (`container` or `loose`). `layers`: of a stack, next to the work first; empty for one pad.
    `shear_modulus_mpa`: of one pad the shop's own, None: told from the hardness. `strain_limit`: share of its thickness by which
    the pad may be squeezed over the block, None: not known."""

    size_mm: tuple[float, float]
    thickness_mm: float
    shore_a: float
    held: str
    layers: tuple[PadLayer, ...] = ()
    shear_modulus_mpa: float | None = None
    strain_limit: float | None = None

    @property
    def stack(self) -> tuple[PadLayer, ...]:
        """Its layers, next to the work first; a single pad is one layer."""
        if self.layers:
            return self.layers
        return (PadLayer(self.thickness_mm, self.shore_a, "pad", self.size_mm, self.shear_modulus_mpa),)

    @property
    def held_mm(self) -> float:
        """Thickness of the layers that are held, throw pads not among them [mm]."""
        return sum(x.thickness_mm for x in self.stack if x.role == "pad")


@dataclass(frozen=True)
class Bolster:
    """A plate under the block, fastened to the table: plan size and thickness [mm]."""

    size_mm: tuple[float, float]
    thickness_mm: float


@dataclass(frozen=True)
class ForceGauge:
    """A gauge that reads the ram's force: its own limit [N], the unit on its face, next check due."""

    limit_n: float
    reads: str
    due: str


@dataclass(frozen=True)
class Routine:
    """How this shop presses, as far as it says: dwell [s], hits, lubricant, cover plate. Never invented: None or "" where
    the shop file is silent."""

    dwell_s: float | None = None
    hits: int | None = None
    lubricant: str = ""
    cover_plate: str = ""


@dataclass(frozen=True)
class PressureGauge:
    """The gauge in the ram line: area behind it [mm2], its own limit [MPa], the unit on its face, next check due."""

    ram_area_mm2: float
    limit_mpa: float
    reads: str
    due: str


@dataclass(frozen=True)
class Press:
    """A press as its plate, manual or proof sheet says. Lengths mm, force N, pressure MPa. At most one of `gauge` and
    `force_gauge` is there; `routine` is the shop's, the press's own words before those of [setup]."""

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
    force_gauge: ForceGauge | None = None
    bolster: Bolster | None = None
    routine: Routine = Routine()
    typed: dict[str, str] = field(default_factory=dict, compare=False)

    @property
    def gauge_due(self) -> str:
        """When its gauge is due; "" without a gauge or a date."""
        gauge = self.gauge or self.force_gauge
        return gauge.due if gauge else ""


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
    """All of shop.toml. `heat_treat`: limits that the shop entered, by alloy. `hand_times`: how long a move of finishing by hand takes
    it [s], by the names of `shop.hand_times`; what is not there is not known.
    `given` is False when no shop file was found and the catalogue's defaults answer."""

    name: str = ""
    units: str = ""
    rules: Rules = Rules()
    presses: tuple[Press, ...] = ()
    block_materials: tuple[BlockMaterial, ...] = ()
    stock: tuple[Stock, ...] = ()
    gauges: tuple[MeasuringGauge, ...] = ()
    materials: dict[str, Material] = field(default_factory=dict)
    heat_treat: dict[str, HeatTreat] = field(default_factory=dict)
    hand_times: dict[str, float] = field(default_factory=dict)
    given: bool = False
    file: str = ""

    def press(self, press_id: str) -> Press | None:
        """The press of that id, or None."""
        return next((p for p in self.presses if p.id == press_id), None)
