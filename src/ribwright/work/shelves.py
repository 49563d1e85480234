"""Shops and their parts as a list to choose from, new ones, files brought in and taken out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ribwright.errors import Clash, Fault, InputError
from ribwright.ports import Files, PartTexts, Shelf
from ribwright.shop.shop import Shop
from ribwright.work.texts import as_text_of

SHOP_FILE, PART_END = "shop.toml", ".part.toml"
UNITS = ("in", "mm")


def shops(shelf: Shelf, texts: PartTexts) -> list[dict[str, Any]]:
    """Every shop."""
    return [shop(shelf, texts, name) for name in shelf.shops()]


def shop(shelf: Shelf, texts: PartTexts, name: str) -> dict[str, Any]:
    """A shop: its presses, its parts, and what is wrong with its file. A part that cannot be read is listed by its name, with why in place
    of its title."""
    found, faults = shop_of(shelf, texts, name)
    return {
        "name": name,
        "units": found.units or "mm",
        "title": found.name,
        "parts": [_part(shelf, texts, name, part) for part in shelf.parts(name)],
        "presses": presses_of(found),
        "faults": [told(f) for f in faults],
    }


def shop_of(shelf: Shelf, texts: PartTexts, name: str) -> tuple[Shop, tuple[Fault, ...]]:
    """The shop's file as read; with faults a shop of nothing."""
    try:
        return texts.files("", shelf.folder(name)).shop(Path(SHOP_FILE)), ()
    except InputError as wrong:
        return Shop(), wrong.faults


def presses_of(found: Shop) -> list[dict[str, str]]:
    """The presses to choose from."""
    return [{"id": p.id, "kind": p.kind, "words": p.name or f"{p.kind} press"} for p in found.presses]


def _part(shelf: Shelf, texts: PartTexts, shop_name: str, part: str) -> dict[str, Any]:
    row = {"name": part, "number": "", "revision": "", "title": "", "draft": False}
    try:
        kept = shelf.draft(shop_name, part)
        disk = as_text_of(shelf.read(shop_name, part + PART_END), part + PART_END)
        text = str(kept["text"]) if kept and isinstance(kept.get("text"), str) else disk
        row["draft"] = text != disk
        head = texts.head(text)
        row |= {key: head.get(key, "") for key in ("number", "revision", "title")}
    except InputError as wrong:
        row["title"] = f"(not read: {wrong.faults[0].found}; allowed: {wrong.faults[0].allowed})"
    return row


def new_shop(shelf: Shelf, texts: PartTexts, name: str, units: str, example: dict[str, bytes] | None) -> dict[str, Any]:
    """A new shop: a copy of the example, or a shop file that says its name and its unit."""
    if units not in UNITS:
        raise InputError([Fault("the shop", "units", repr(units), "in or mm")])
    own = f'units = "{units}"\nname = "{name}"\n'.encode("utf-8", "replace")
    shelf.make_shop(name, example if example is not None else {SHOP_FILE: own})
    return shop(shelf, texts, name)


def choices(shelf: Shelf, texts: PartTexts, name: str) -> dict[str, Any]:
    """Every name that a part of this shop may use."""
    found, faults = shop_of(shelf, texts, name)
    catalogue = texts.files("", shelf.folder(name)).catalogue()
    materials = {m.name for m in catalogue.materials.values()} | set(found.materials)
    tempers = {*catalogue.tempers, *(m.temper for m in found.materials.values())}
    blocks = {b.id: b.name for b in found.block_materials} or {b.id: b.name for b in catalogue.block_materials.values()}
    return {
        "units": found.units or "mm",
        "presses": presses_of(found),
        "materials": sorted(materials),
        "block_materials": [{"id": i, "name": n} for i, n in blocks.items()],
        "radius_tables": list(catalogue.radius_tables),
        "relief_rules": list(catalogue.relief_rules),
        "tempers": [t for t in (*catalogue.tempers, *sorted(tempers - set(catalogue.tempers))) if t],
        "faults": [told(f) for f in faults],
    }


def bring(
    shelf: Shelf, texts: PartTexts, shop_name: str, file: str, content: bytes, over: bool = False
) -> dict[str, Any]:
    """A file brought into a shop. A shop file must be one without faults; a part may have faults, which its draft then shows. Clash where
    one of that name is there, unless `over`."""
    text = as_text_of(content, file)
    if file == SHOP_FILE:
        texts.check_shop(text, file)
    if not over and shelf.has(shop_name, file):
        raise Clash(
            [
                Fault(
                    "the shop",
                    "file",
                    f"{file!r}, which is there already",
                    "a name of its own, or to say that it is written over",
                )
            ]
        )
    shelf.write(shop_name, file, content, new=not over)
    return {"name": file, "bytes": len(content)}


def told(fault: Fault) -> dict[str, Any]:
    """A fault as the page takes it."""
    return {
        "file": fault.file,
        "key": fault.key,
        "found": fault.found,
        "allowed": fault.allowed,
        "nearest": fault.nearest,
        "say": fault.sentence(),
    }


def take_names(files: Files, part: Any, shop: Shop, part_file: str) -> tuple[Fault, ...]:
    """The names of a part that neither its shop nor the catalogue knows."""
    from ribwright.stages.job import take_in

    try:
        take_in(part, shop, files.catalogue(), part_file)
    except InputError as wrong:
        return wrong.faults
    return ()
