"""A job: the part together with what the shop and the catalogue know about it, every name resolved."""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.errors import Fault, InputError, nearest
from ribwright.features.part import Part
from ribwright.shop.least_radius import radii_of
from ribwright.shop.sheet import Catalogue, Material, RadiusTable, ReliefRule
from ribwright.shop.shop import Shop
from ribwright.shop.springback_book import Book
from ribwright.stages.learning import Learned, learned_of
from ribwright.stages.sections import Sections

DEFAULT_RADIUS_TABLE = "AC 43.13-1B table 4-6"
SAME_SHEET = 1e-4  # mm: sheets of one nominal thickness
DEFAULT_RELIEF_RULE = "FAA-H-8083-31 relief hole"


@dataclass(frozen=True)
class Job:
    """`bought` is the sheet as bought, `formed` the record that strain and springback use (None: not known).

    `formed_name` is the name that was looked for. `then_radius_tables` are asked, in their order, where `radius_table` has no
    entry. `radius_table_by`, `relief_rule_by`: "shop" or "default". `sections`: what the
    section model answered for this job at the pressure it is pumped to; None: the closed form answers. `learned`: what the shop's
    springback book teaches; None: nothing was measured.
    """

    part: Part
    shop: Shop
    catalogue: Catalogue
    bought: Material
    formed: Material | None
    formed_name: str
    radius_table: RadiusTable
    radius_table_by: str
    relief_rule: ReliefRule
    relief_rule_by: str
    sections: Sections | None = None
    then_radius_tables: tuple[RadiusTable, ...] = ()
    learned: Learned | None = None

    @property
    def t(self) -> float:
        """Sheet thickness [mm]."""
        return self.part.sheet.thickness

    @property
    def bend_row(self) -> str:
        """The row of the radius tables that the temper it is formed in goes by."""
        return self.formed.bend_row if self.formed else self.formed_name

    def radius_table_of(self, row: str) -> RadiusTable:
        """The first of the shop's tables, in its order, that has an entry for this row and sheet; the first of all where none has."""
        tables = (self.radius_table, *self.then_radius_tables)
        return next((t for t in tables if radii_of(t, row, self.t) is not None), tables[0])


def take_in(part: Part, shop: Shop, catalogue: Catalogue, part_file: str, book: Book | None = None) -> Job:
    """Resolve the names a part and a shop use; `book` is the shop's springback book. InputError lists every name that is not known."""
    faults: list[Fault] = []
    materials = {**catalogue.materials, **shop.materials}
    bought = _named(materials, part.sheet.material)
    if bought is None:
        faults.append(
            _unknown(part_file, "sheet.material", part.sheet.material, sorted({m.name for m in materials.values()}))
        )
    table_name = shop.rules.minimum_radius or DEFAULT_RADIUS_TABLE
    rule_name = shop.rules.corner_relief or DEFAULT_RELIEF_RULE
    table, rule = catalogue.radius_tables.get(table_name), catalogue.relief_rules.get(rule_name)
    then = [catalogue.radius_tables.get(name) for name in shop.rules.then_radius]
    for name, found in zip((table_name, *shop.rules.then_radius), (table, *then), strict=True):
        if found is None:
            faults.append(_unknown(shop.file, "rules.minimum_radius", name, list(catalogue.radius_tables)))
    if rule is None:
        faults.append(_unknown(shop.file, "rules.corner_relief", rule_name, list(catalogue.relief_rules)))
    final = part.sheet.final
    known = {"": "", **{t: t for t in (*catalogue.tempers, *(m.temper for m in materials.values()))}}
    if final not in known:
        allowed = (
            f"a temper of {bought.alloy}'s records, of the list of tempers or of the shop's own"
            if bought
            else "a known temper"
        )
        faults.append(
            Fault(part_file, "sheet.final", repr(final), allowed, _temper_near(final, bought, materials, list(known)))
        )
    if bought is None or table is None or rule is None or faults:
        raise InputError(faults)
    formed_name = _formed_name(bought, part.sheet.formed_in)
    return Job(
        part,
        shop,
        catalogue,
        bought,
        bought if formed_name == bought.name else _named(materials, formed_name),
        formed_name,
        table,
        "shop" if shop.rules.minimum_radius else "default",
        rule,
        "shop" if shop.rules.corner_relief else "default",
        then_radius_tables=tuple(t for t in then if t is not None),
        learned=None if book is None else learned_of(book, formed_name, part.number, lot_of(part, shop, bought)),
    )


def lot_of(part: Part, shop: Shop, bought: Material) -> str:
    """The lot that a part will be made of, where the shop has one alone of its sheet; "": nobody knows."""
    names = (bought.name, *bought.aliases)
    lots = {
        s.lot for s in shop.stock if s.material in names and abs(s.thickness_mm - part.sheet.thickness) < SAME_SHEET
    }
    return lots.pop() if len(lots) == 1 else ""


def _formed_name(bought: Material, formed_in: str) -> str:
    """Name of the record for the temper the sheet is formed in: alloy and cladding stay, the temper changes."""
    if formed_in in ("", "as bought") or formed_in == bought.temper:
        return bought.name
    return f"{bought.alloy}-{formed_in}" + (" clad" if bought.clad else "")


def _temper_near(final: str, bought: Material | None, materials: dict[str, Material], known: list[str]) -> str:
    """The temper most like it, first among those of the same alloy."""
    own = [m.temper for m in materials.values() if bought is not None and m.alloy == bought.alloy]
    return nearest(final, own) or nearest(final, known)


def _named(materials: dict[str, Material], name: str) -> Material | None:
    if name in materials:
        return materials[name]
    return next((m for m in materials.values() if name in m.aliases), None)


def _unknown(file: str, key: str, found: str, allowed: list[str]) -> Fault:
    listed = ", ".join(sorted(allowed))
    return Fault(file or "shop.toml", key, repr(found), f"one of {listed}", nearest(found, allowed))
