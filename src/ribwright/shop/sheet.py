"""What is known of a sheet material: numbers, each with where it came from.

`Material` is the record of one alloy and temper. Every number that is not given is None, and an
answer that needs it says "I do not know for this temper" instead of guessing.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ribwright.shop.heat_treat import HeatTreatFacts
from ribwright.shop.measured import Measured

STATUSES = ("published", "memory", "estimated", "shop")
FAMILIES = ("aluminium", "titanium", "ferritic", "austenitic", "nickel")


@dataclass(frozen=True)
class Fact:
    """A number with its source. `status` is one of STATUSES; `rule` names the rule of an estimate."""

    value: float
    unit: str
    source: str
    status: str
    rule: str = ""
    note: str = ""

    def standing(self) -> str:
        """`published`, `memory`, `shop`, or `estimated by RULE`, as the documents print it."""
        return f"estimated by {self.rule}" if self.status == "estimated" else self.status


@dataclass(frozen=True)
class Hardening:
    """Flow curve sigma = k (prestrain + eps_p)^n, true stress [MPa] against true plastic strain."""

    law: str
    k_mpa: float
    n: float
    prestrain: float
    kinematic_share: float
    source: str
    status: str
    rule: str = ""


@dataclass(frozen=True)
class Rival:
    """One side of a conflict. Where the quantity is a flow curve, the fact is K [MPa] and n and prestrain go with it."""

    fact: Fact
    n: float | None = None
    prestrain: float | None = None


@dataclass(frozen=True)
class Conflict:
    """What sources print differently for one quantity. `trusted` counts from 1; 0: none of them is trusted."""

    quantity: str
    rivals: tuple[Rival, ...]
    trusted: int
    why: str


@dataclass(frozen=True)
class Material:
    """One alloy and temper. Keys of `facts` (absent = unknown):

    youngs_modulus_mpa, secondary_modulus_mpa (clad: use it for springback), poisson, density_kg_m3,
    yield_mpa, strength_mpa, elongation (engineering, total, -), r_value (or r0, r45, r90),
    yield_cov, k_cov (standard deviation over mean, -),
    stretch_limit, hole_edge_limit, shrink_limit, shrink_fluted_limit (engineering strain, -, positive).

    `bend_row` is the name of this temper in the minimum-bend-radius tables. `family` picks the estimate rule's numbers
    (one of FAMILIES, "" = not known).
    """

    name: str
    alloy: str
    temper: str
    clad: bool
    bend_row: str
    facts: dict[str, Fact]
    hardening: Hardening | None
    notes: tuple[str, ...] = ()
    origin: str = "catalogue"
    aliases: tuple[str, ...] = field(default=())
    family: str = ""
    conflicts: tuple[Conflict, ...] = ()

    def number(self, key: str) -> float | None:
        """The value of a fact, or None when it is not known."""
        fact = self.facts.get(key)
        return None if fact is None else fact.value

    def springback_modulus(self) -> float | None:
        """E for unloading [MPa]: the secondary modulus of clad sheet, else Young's modulus."""
        return self.number("secondary_modulus_mpa") or self.number("youngs_modulus_mpa")

    def r_bar(self) -> float:
        """Mean plastic strain ratio R = (r0 + 2 r45 + r90)/4, or r_value; 1 (isotropic) when unknown."""
        r0, r45, r90 = (self.number(k) for k in ("r0", "r45", "r90"))
        if r0 is not None and r45 is not None and r90 is not None:
            return (r0 + 2 * r45 + r90) / 4
        return self.number("r_value") or 1.0


@dataclass(frozen=True)
class RadiusTable:
    """A minimum-bend-radius table: rows by temper, radii by thickness.

    `rows[bend_row]` is a tuple of (thickness_mm, radius_mm) in rising thickness. The entry for a sheet is the
    first one whose thickness is at least the sheet's; thicker than the last entry is unknown. With `multiples` the
    second number is a factor of the sheet's thickness. Where the source prints a range, `rows` has its larger end, the
    radius to meet, and `least` the smaller one, under which the source does not go.
    """

    name: str
    title: str
    source: str
    status: str
    rows: dict[str, tuple[tuple[float, float], ...]]
    row_status: dict[str, str] = field(default_factory=dict)
    multiples: bool = False
    note: str = ""
    least: dict[str, tuple[tuple[float, float], ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class ReliefRule:
    """Diameter of a corner relief hole: max(radius_factor R, least diameter for the thickness), and its set-back."""

    name: str
    title: str
    radius_factor: float
    least: tuple[tuple[float, float], ...]
    set_back_mm: float
    source: str
    status: str


@dataclass(frozen=True)
class BlockMaterial:
    """What a form block is made of and the pressure it stands [MPa]. Where the shop says so: thickness of the boards it
    is laminated from, what is added to length and width for sawing [mm], density [kg/m3]; None: not said."""

    id: str
    name: str
    pressure_limit_mpa: float
    source: str
    status: str = "shop"
    board_thickness_mm: float | None = None
    allowance_mm: float | None = None
    density_kg_m3: float | None = None


@dataclass(frozen=True)
class Catalogue:
    """All facts that ship with the tool, by name. `tempers`: designations that a drawing may name besides those of the records;
    `heat_treat`: how alloys answer
    to it; `build`: a short name of the program and facts that it came with."""

    materials: dict[str, Material]
    radius_tables: dict[str, RadiusTable]
    relief_rules: dict[str, ReliefRule]
    block_materials: dict[str, BlockMaterial]
    gauges_mm: tuple[tuple[float, str], ...]
    practice: dict[str, Fact]
    measured: tuple[Measured, ...] = ()
    tempers: tuple[str, ...] = ()
    build: str = ""
    heat_treat: HeatTreatFacts = field(default_factory=HeatTreatFacts)
