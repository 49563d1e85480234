"""The block's part of the cut list: slab or boards, pins, recess tools, rings, cover plate."""

from __future__ import annotations

from ribwright.documents.entry_table import fine_length, in_cell, whole
from ribwright.documents.layout import (
    Column,
    NumberBox,
    Piece,
    gap,
    heading,
    number_boxes,
    prose,
    small,
    split_units,
    table,
)
from ribwright.stages.block import Recess
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_angle, show_length, show_mass, show_pressure

PRACTICE = "common practice"
HUNDREDTH = MM_PER_IN / 100


def size_box(label: str, mm: float, first: Unit, by: str = "") -> NumberBox:
    """A length in a frame, the shop's unit large."""
    big, other = split_units(show_length(mm, first))
    return NumberBox(label, big, other, by)


def block_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """The slab to saw, boards to laminate, weight, grain."""
    stock, m = plan.making.stock, plan.block.material
    words = " x ".join(show_length(v, first) for v in stock.finished)
    boxes = [size_box(f"{n}, rough", v, first) for n, v in zip(("Length", "Width"), stock.rough, strict=True)]
    boxes.append(size_box("Height, finished", plan.block.height, first))
    if stock.boards is not None and stock.board is not None:
        boxes.append(NumberBox("Boards", str(stock.boards), f"of {show_length(stock.board, first)}"))
    what = (
        "Material not known: name one in shop.toml."
        if m is None
        else f"{m.name} ({m.id}), stands {show_pressure(m.pressure_limit_mpa, first)}; by: {m.source}."
    )
    step = "1/4 in" if first == "in" else "5 mm"
    says = f"Finished length x width x height: {words}; length is along x of the part, width along y. Rough: finished plus "
    says += f"{show_length(stock.allowance, first)}, up to the next {step}; by: {stock.allowance_by}."
    lines = [*prose(_height_words(plan, first), width)]
    grain = f"Where the material has a grain or a rolling direction, lay it along {stock.grain_along} of the part, the longer side"
    grain += ", in every board." if stock.boards is not None and stock.boards > 1 else "."
    lines += prose(grain + _weight_words(plan, first), width)
    out = [heading("Form block", width), *prose(what, width, 10.5, "bold"), number_boxes(boxes, width, 16.0)]
    return [*out, *lines, *small(f"{says} Glue, screws and dowels are the shop's.", width), gap(0.6)]


def _height_words(plan: Plan, first: Unit) -> str:
    stock = plan.making.stock
    if stock.stack is None or stock.boards is None:
        return "Stock thicker than the height is brought down to it. No board thickness is in shop.toml: boards are not counted."
    laid = "1 board" if stock.boards == 1 else f"{stock.boards} boards glued face to face"
    more = stock.stack - plan.block.height
    brought = (
        f", brought to height by taking off {show_length(more, first)}"
        if more > 0.005
        else ", as thick as the block is high"
    )
    return f"{laid}: {show_length(stock.stack, first)}{brought}."


def _weight_words(plan: Plan, first: Unit) -> str:
    kg = plan.making.stock.weight
    if kg is None:
        return ""
    return (
        f" The finished block weighs about {show_mass(kg, first)}, by the density in shop.toml, without pins and plate."
    )


def pin_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Pins by diameter, with what their length is made of."""
    pins = plan.making.stock.pins
    if not pins:
        return [heading("Pins: none", width), *prose("No tooling hole is drawn.", width), gap(0.6)]
    columns = [Column("count", 0.5, font="bold"), Column("diameter", 1.6, font="bold"), Column("length", 1.5)]
    columns += [Column("in the block", 1.0), Column("through the web", 1.0), Column("standing proud", 1.1)]
    columns += [Column("pins", 1.4)]
    rows = [
        [
            str(len(p.names)),
            fine_length(p.diameter, first),
            # a length to saw to: no finer than a hundredth of an inch
            show_length(round(p.length / HUNDREDTH) * HUNDREDTH, first),
            *(in_cell(show_length(v, first)) for v in (p.below, p.web, p.above)),
            ", ".join(p.names),
        ]
        for p in pins
    ]
    says = "Length: through the block's height, standing proud of it by the sheet and one diameter, its end rounded "
    says += f"({PRACTICE}; the pad must not be cut)."
    return [
        heading(f"Pins: {len(plan.block.pins)}", width),
        *whole([*table(columns, rows, width, 9.0), *small(says, width)]),
        gap(0.6),
    ]


def plate_stock(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """The piece a cover plate is cut from; nothing where there is none."""
    size = plan.making.stock.plate
    if size is None:
        return []
    says = f"Rough {' x '.join(show_length(v, first) for v in size)}; thickness and material are the shop's. Outline: layer "
    says += "COVER_PLATE of block.dxf."
    says += f" Open over {', '.join(plan.making.plate.beads)}." if plan.making.plate.beads else ""
    says += "".join(f" {words}" for words in plate_over_pins(plan, first))
    return [heading("Cover plate", width), *prose(says, width), gap(0.6)]


def plate_over_pins(plan: Plan, first: Unit) -> list[str]:
    """How thick a cover plate must be so that no pin stands out of it into the pad; nothing where there are no pins."""
    tallest = max((p.above for p in plan.making.stock.pins), default=0.0)
    if tallest <= 0:
        return []
    return [
        f"Cover plate at least {show_length(tallest, first)} thick, or shorten the pins: the tallest stands that far above the "
        "web, and a pin that stands out of the plate cuts the pad."
    ]


def recess_tools(says: str, recesses: tuple[Recess, ...], first: Unit, width: float) -> list[Piece]:
    """What recesses or rings are cut with."""
    if not recesses:
        return []
    columns = [
        Column("name", 0.8, font="bold"),
        Column("Ø at face", 1.1),
        Column("Ø at floor", 1.1),
        Column("depth", 1.1),
    ]
    columns += [Column("wall from face", 1.1), Column("cutter, included angle", 1.3), Column("rim radius", 1.1)]
    rows = [
        [
            r.name,
            *(in_cell(show_length(v, first)) for v in (r.diameter, r.bottom_diameter, r.depth)),
            show_angle(r.wall_angle, 2),
            # a cone whose side leans w from the face is 90 - w from its axis
            show_angle(180.0 - 2.0 * r.wall_angle, 2) if r.wall_angle < 90.0 else "straight or undercut: bore",
            in_cell(show_length(r.edge_radius, first)),
        ]
        for r in recesses
    ]
    return [heading(says, width), *whole(table(columns, rows, width, 9.0)), gap(0.6)]


def ring_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Loose upper rings: their tools and the least thickness of their stock."""
    rings, thickness = plan.block.rings, plan.making.stock.ring
    if thickness is None:
        return []
    count = "1 loose upper ring" if len(rings) == 1 else f"{len(rings)} loose upper rings"
    says = (
        f"{count}, stock at least {show_length(thickness, first)} thick: deepest recess plus the floor left under it "
    )
    says += f"({PRACTICE}). Its outer size is the shop's."
    return [*recess_tools("Loose upper rings", rings, first, width), *prose(says, width), gap(0.6)]
