"""Numbers of what the block is sawn from: sizes, boards, weight, pins to cut, rough cover plate, ring."""

from __future__ import annotations

from math import ceil

from ribwright.stages.block_stock import METRIC_STEP_MM
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_body import TRADE, on_limit
from ribwright.stages.explain.block_plate import MARGIN, PIN_ROOM
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, constant
from ribwright.stages.recess import RECESS_FLOOR_MM
from ribwright.units import MM_PER_IN

STOCK = "block.stock"
ALLOWANCE = "practice.block_saw_allowance"
SAWN = "saw allowance and step are the shop's habit: screws, dowels and glue are not in it"


def _material_key(case: Case, key: str) -> str:
    """Path in `inputs` of a key of the chosen block material: the shop's, else the catalogue's."""
    m = case.plan.block.material
    assert m is not None
    own = f"shop.block_materials[{m.id}].{key}"
    return own if own in case.world.inputs else f"block_materials[{m.id}].{key}"


def _extreme(case: Case, axis: int, largest: bool) -> str:
    """Path of the point of outline or foot that lies farthest out."""
    block = case.world.answer["block"]
    points = [(p[axis], f"block.{k}[{i}][{axis}]") for k in ("outline_mm", "foot_mm") for i, p in enumerate(block[k])]
    return (max if largest else min)(points, key=lambda row: row[0])[1]


def _finished(case: Case) -> Told:
    axis = int(case.caught[-1])
    if axis == 2:
        height = case.number("H", "block height", "block.height_mm", "mm")
        return Told(
            "Height of the finished block.", "formula", "H", (height,), "project decision", again=float(height.value)
        )
    inputs = (
        case.number("g", f"greatest {'xy'[axis]} of outline and foot", _extreme(case, axis, True), "mm"),
        case.number("l", f"least {'xy'[axis]} of outline and foot", _extreme(case, axis, False), "mm"),
    )
    return Told(
        f"Size of the finished block along {'xy'[axis]} of the part, web face and foot together.",
        "formula",
        "g - l",
        inputs,
        "geometry of plane and ruled walls",
        "chords within 0.02 mm",
        again=evaluated(lambda g, l: g - l, inputs),  # noqa: E741
    )


def _allowance(case: Case) -> Told:
    m = case.plan.block.material
    what = "What is added to a finished size before sawing, both sides together."
    if m is not None and m.allowance_mm is not None:
        own = case.typed("s", f"saw allowance of {m.name}", _material_key(case, "allowance_mm"), "mm")
        return Told(what, "typed", inputs=(own,))
    fact = case.plan.job.catalogue.practice["block_saw_allowance"]
    own = case.fact("s", "saw allowance; the block material has none of its own", fact, ALLOWANCE, "mm")
    return Told(what, "fact", inputs=(own,), source=f"{fact.source} ({fact.standing()})")


def _step(case: Case) -> Input:
    job = case.plan.job
    where = "shop file: units" if job.shop.units else "part file: units, as the shop file says none"
    if (job.shop.units or job.part.units) == "in":
        return constant("step", "1/4 in, where inches are read first", MM_PER_IN / 4, "mm", where)
    return constant("step", "5 mm, where mm are read first", METRIC_STEP_MM, "mm", where)


def _rough(case: Case) -> Told:
    axis = int(case.caught[-1])
    plate = "cover_plate" in case.path
    if plate:
        ring = case.world.answer["block"]["cover_plate"]["outline_mm"]
        rows = [(p[axis], f"block.cover_plate.outline_mm[{i}][{axis}]") for i, p in enumerate(ring)]
        size: tuple[Input, ...] = (
            case.number("g", f"greatest {'xy'[axis]} of the plate", max(rows)[1], "mm"),
            case.number("l", f"least {'xy'[axis]} of the plate", min(rows)[1], "mm"),
        )
    else:
        size = (case.number("f", "finished size", f"{STOCK}.finished_mm[{axis}]", "mm"),)
    inputs = (*size, case.number("s", "saw allowance", f"{STOCK}.saw_allowance_mm", "mm"), _step(case))

    def rough(s: float, step: float, f: float = 0.0, g: float = 0.0, l: float = 0.0) -> float:  # noqa: E741
        return ceil((f + g - l + s) / step - 1e-9) * step

    return Told(
        f"Size along {'xy'[axis]} to saw the {'cover plate' if plate else 'slab'} to before it is worked.",
        "rounded",
        f"{'g - l' if plate else 'f'} + s, up to the next step",
        inputs,
        TRADE,
        SAWN,
        again=evaluated(rough, inputs),
    )


def _board(case: Case) -> Told:
    m = case.plan.block.material
    assert m is not None
    own = case.typed("b", f"board of {m.name}", _material_key(case, "board_thickness_mm"), "mm")
    return Told("Thickness of the boards that the block is laminated from.", "typed", inputs=(own,))


def _boards(case: Case) -> Told:
    inputs = (
        case.number("H", "block height", "block.height_mm", "mm"),
        case.number("b", "board thickness", f"{STOCK}.board_thickness_mm", "mm"),
    )
    again = evaluated(lambda H, b: ceil(H / b - 1e-9), inputs)
    return Told(
        "Boards to laminate; the stack is planed to the height.", "formula", "H/b, up to a whole board", inputs, TRADE,
        SAWN, again=float(again),
    )  # fmt: skip


def _stack(case: Case) -> Told:
    inputs = (
        case.number("n", "boards", f"{STOCK}.boards"),
        case.number("b", "board thickness", f"{STOCK}.board_thickness_mm", "mm"),
    )
    again = evaluated(lambda n, b: n * b, inputs)
    return Told("Height of the laminated boards before planing.", "formula", "n b", inputs, TRADE, again=again)


def _weight(case: Case) -> Told:
    m = case.plan.block.material
    assert m is not None
    inputs = (
        case.typed("rho", f"density of {m.name}, kg/m3", _material_key(case, "density_kg_m3")),
        case.number("V", "volume of the block", "block.volume_mm3", "mm3"),
    )
    return Told(
        "Weight of the finished block in kg; pins, screws and cover plate are not in it.",
        "formula",
        "rho V 1e-9",
        inputs,
        f"{m.source} ({m.status})",
        "a block of one material without voids",
        again=evaluated(lambda rho, V: rho * V * 1e-9, inputs),
    )


def _pin(case: Case) -> Told:
    which, row = case.caught[-1], case.path[: case.path.index("]") + 1]
    names = list(case.row["names"])
    if which in ("diameter_mm", "count"):
        pins = case.world.answer["block"]["pins"]
        found = [f"block.pins[{i}].diameter_mm" for i, p in enumerate(pins) if p["name"] in names]
        inputs = tuple(case.number(f"d{k}", "locating pin", path, "mm") for k, path in enumerate(found, 1))
        if which == "count":
            words = "number of pins whose diameters agree within 0.0001 mm"
            return Told("How many pins of this diameter.", "formula", words, inputs, TRADE, again=float(len(inputs)))
        again = round(float(inputs[0].value), 4)
        return Told("Diameter of these pins.", "rounded", "d1 to 0.0001 mm", inputs, "project decision", again=again)
    if which == "length_mm":
        inputs = tuple(
            case.number(s, name, f"{row}.{key}_mm", "mm")
            for s, name, key in (
                ("b", "in the block", "below"),
                ("t", "through the web", "web"),
                ("p", "proud", "above"),
            )
        )
        again = evaluated(lambda b, t, p: b + t + p, inputs)
        return Told(
            "Length to cut the pins to, before rounding the end.", "formula", "b + t + p", inputs, TRADE, again=again
        )
    what, own = {
        "below_mm": ("In the block: all of its height.", case.number("H", "block height", "block.height_mm", "mm")),
        "web_mm": ("Through the web of the blank.", case.thickness),
        "above_mm": (
            "Proud of the web, rounded: one diameter.",
            case.number("d", "diameter of the pin", f"{row}.diameter_mm", "mm"),
        ),
    }[which]
    return Told(what, "formula", own.symbol, (own,), TRADE, again=float(own.value))


def _ring(case: Case) -> Told:
    rings = case.world.answer["block"]["rings"]
    deepest = max(range(len(rings)), key=lambda i: rings[i]["depth_mm"])
    inputs = (
        case.number("depth", "deepest recess of the rings", f"block.rings[{deepest}].depth_mm", "mm"),
        constant("floor", "wood left under a recess", RECESS_FLOOR_MM, "mm", TRADE),
    )
    again = evaluated(lambda depth, floor: depth + floor, inputs)
    return Told("Thickness of the loose rings.", "formula", "depth + floor", inputs, TRADE, again=again)


def _on_size(place: Place) -> Keys:
    plate = (f"practice.{MARGIN}.value", f"practice.{PIN_ROOM}.value") if "cover_plate" in place.path else ()
    return (*on.BLOCK, f"{ALLOWANCE}.value", *plate, *on_limit(place))


def _on_pins(place: Place) -> Keys:
    more = {"below_mm": on.BLOCK, "length_mm": (*on.BLOCK, *on.THICKNESS), "web_mm": on.THICKNESS}
    return ("part.holes*", *more.get(place.caught[-1], ()))


def _on_material(place: Place) -> Keys:
    return (*on.BLOCK, *on_limit(place))


FAMILIES = (
    Family(f"{STOCK}.finished_mm[*]", lambda _: on.BLOCK, _finished),
    Family(f"{STOCK}.(rough|cover_plate_rough)_mm[*]", _on_size, _rough),
    Family(f"{STOCK}.saw_allowance_mm", lambda p: (f"{ALLOWANCE}.value", *on_limit(p)), _allowance),
    Family(f"{STOCK}.board_thickness_mm", on_limit, _board),
    Family(f"{STOCK}.boards", _on_material, _boards),
    Family(f"{STOCK}.stack_mm", _on_material, _stack),
    Family(f"{STOCK}.weight_kg", lambda p: (*_on_material(p), *on.FLUTES, "practice.recess_vent.value"), _weight),
    Family(f"{STOCK}.pins[*].(count|diameter_mm|length_mm|below_mm|web_mm|above_mm)", _on_pins, _pin),
    Family(f"{STOCK}.ring_thickness_mm", lambda _: on.BLOCK, _ring),
)
