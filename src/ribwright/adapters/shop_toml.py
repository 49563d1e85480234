"""The shop file (`shop.toml`, see docs/PART_FILE.md) read into a `Shop`, or refused with every fault at once."""

from __future__ import annotations

from pathlib import Path

from ribwright import units as u
from ribwright.adapters.facts_toml import read_material
from ribwright.adapters.heat_treat_toml import read_heat_treat
from ribwright.adapters.part_checks import check_names
from ribwright.adapters.press_toml import PRESSURE_WORDS, read_press, read_routine
from ribwright.adapters.reading import MOST_FAULTS, Notebook, Reader, shown
from ribwright.adapters.toml_text import parse_toml, plain, read_text
from ribwright.errors import Fault, InputError, UnitError, capped
from ribwright.shop.hand_times import HAND_TIMES
from ribwright.shop.sheet import BlockMaterial, Material
from ribwright.shop.shop import BEND_RULES, BLANK_AGREEMENT_MM, UNDERCUT_MODELS, MeasuringGauge, Rules, Shop, Stock

SHOP_FILE = "shop.toml"
HAND_TIME_WORDS = 'a time like "1.5 min" or "40 s"'


def find_shop(part_path: Path) -> Path | None:
    """The nearest shop.toml beside or above the part file, or None."""
    folders = Path(part_path).resolve().parents
    return next((f / SHOP_FILE for f in folders if (f / SHOP_FILE).is_file()), None)


def read_shop(path: Path) -> Shop:
    """The shop of a file. InputError with all faults when it is missing, unreadable or wrong."""
    path = Path(path)
    return parse_shop(read_text(path, "a shop file"), str(path))


def parse_shop(text: str, file: str = "the shop") -> Shop:
    """The shop of a text. `file` names it in the faults.

    Raises
    ------
    InputError
        With every fault of the text, each with its key and what is allowed there.
    """
    top = Reader(Notebook(file), parse_toml(text, file, "a shop file"))
    word = top.choice("units", ("in", "mm"))
    if top.table.get("units") == word:
        top.book.units = "in" if word == "in" else "mm"
    routine = read_routine(top.table_at("setup"))
    shop = Shop(
        name=top.text("name"),
        units=word,
        rules=_rules(top.table_at("rules")),
        presses=tuple(read_press(r, routine) for r in top.tables("press")),
        block_materials=tuple(_block_material(r) for r in top.tables("block_material")),
        stock=tuple(_stock(r) for r in top.tables("stock")),
        gauges=tuple(_measuring_gauge(r) for r in top.tables("gauge")),
        materials=_materials(top),
        heat_treat=read_heat_treat(top),
        hand_times=_hand_times(top.table_at("times")),
        given=True,
        file=file,
    )
    top.unknown_keys()
    _check_ids(shop, top.book)
    if top.book.faults:
        raise InputError(capped(top.book.faults, MOST_FAULTS))
    return shop


def _rules(table: Reader | None) -> Rules:
    if table is None:
        return Rules()
    rule = table.choice("bend_allowance", BEND_RULES, BEND_RULES[0])
    k_factor = None
    if rule == "k-factor":
        k_factor = table.number("k_factor", over=0.0, most=1.0)
    elif table.has("k_factor"):
        table.fault(
            "k_factor", f'k_factor with bend_allowance = "{rule}"', 'k_factor with bend_allowance = "k-factor" only'
        )
    radius_table, *then = _radius_tables(table)
    rules = Rules(
        rule,
        k_factor,
        radius_table,
        table.text("corner_relief", ""),
        table.choice("decision", ("guarded", "simple"), "guarded"),
        table.choice("undercut", UNDERCUT_MODELS, ""),
        table.length("blank_agreement", BLANK_AGREEMENT_MM, positive=True),
        tuple(then),
        table.text("rework_by", ""),
    )
    table.unknown_keys()
    return rules


def _hand_times(table: Reader | None) -> dict[str, float]:
    """`[times]`: how long a move of finishing by hand takes the shop [s]; only what it says."""
    if table is None:
        return {}
    times = {key: table.quantity(key, u.time_s, HAND_TIME_WORDS) for key in HAND_TIMES if table.has(key)}
    table.unknown_keys()
    return times


def _radius_tables(table: Reader) -> list[str]:
    """One name, or several in the order they are asked; [""] without any."""
    key = "minimum_radius"
    if not table.has(key) or isinstance(table.table[key], str):
        return [table.text(key, "")]
    names = table.table[key]
    listed = isinstance(names, list) and names and all(isinstance(n, str) and n.strip() for n in names)
    if not listed or len(set(names)) < len(names):
        table.fault(
            key,
            shown(names),
            "the name of a bend-radius table, or a list of different names in the order they are asked",
        )
        return [""]
    return list(names)


def _block_material(table: Reader) -> BlockMaterial:
    pressure = table.quantity("pressure_limit", u.pressure_mpa, PRESSURE_WORDS)
    board, allowance, density = "board_thickness", "allowance", "density"
    material = BlockMaterial(
        table.text("id"),
        table.text("name"),
        pressure,
        table.text("source"),
        board_thickness_mm=table.length(board, positive=True) if table.has(board) else None,
        allowance_mm=table.length(allowance, least=0.0) if table.has(allowance) else None,
        density_kg_m3=table.quantity(density, u.density_kg_m3, u.DENSITY_WORDS) if table.has(density) else None,
    )
    table.unknown_keys()
    return material


def _stock(table: Reader) -> Stock:
    stock = Stock(
        lot=table.text("lot"),
        material=table.text("material"),
        thickness_mm=table.length("thickness", positive=True),
        sheet_mm=table.size("sheet"),
        grain=table.choice("grain", ("length", "width", "any")),
        count=table.count("count", least=0),
        certificate=table.flag("certificate"),
    )
    table.unknown_keys()
    return stock


def _measuring_gauge(table: Reader) -> MeasuringGauge:
    gauge = MeasuringGauge(table.text("id"), table.text("kind"), table.text("uncertainty"), table.date("due"))
    if gauge.uncertainty and not _is_quantity(gauge.uncertainty):
        table.fault(
            "uncertainty", f'"{gauge.uncertainty}"', 'an angle or a length with its unit: "0.1 deg", "0.001 in"'
        )
    table.unknown_keys()
    return gauge


def _is_quantity(text: str) -> bool:
    for read in (u.length_mm, u.angle_deg):
        # a bare number in quotes would pass as degrees, and a gauge for lengths would be ten thousandfold wrong
        try:
            read(text)
            return not text.strip()[-1].isdigit() or "ft-in-8ths" in text
        except UnitError:
            continue
    return False


def record_faults(text: str, file: str) -> list[Fault]:
    """What is wrong with the `[material."NAME"]` tables of a text that is to go into a shop file."""
    top = Reader(Notebook(file), parse_toml(text, file, "a material's record"))
    _materials(top)
    return top.book.faults


def _materials(top: Reader) -> dict[str, Material]:
    materials = {}
    for name, table in top.named("material").items():
        material, faults = read_material(plain(table.table), name=name, file=top.book.file, origin="shop")
        top.book.faults.extend(faults)
        if material is not None:
            materials[name] = material
    return materials


def _check_ids(shop: Shop, book: Notebook) -> None:
    """No two presses, block materials, gauges or lots go by one name."""
    ids: dict[str, list[str]] = {
        "press": [p.id for p in shop.presses],
        "block_material": [m.id for m in shop.block_materials],
        "gauge": [g.id for g in shop.gauges],
        "stock": [s.lot for s in shop.stock],
    }
    for kind, names in ids.items():
        key = "lot" if kind == "stock" else "id"
        check_names(book, kind, [(f"{kind}[{i}].{key}", name) for i, name in enumerate(names, 1)])
