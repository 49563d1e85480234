"""Numbers of room: where the block stands, what is left round it, container, bolster, and the lay-up's heights."""

from __future__ import annotations

from math import hypot, inf

import numpy as np

from ribwright.shop.shop import PadLayer
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.explain.setup_press import press_key, setup

GEOMETRY = "geometry"
LOADED = "the load is taken through the middle of the web face less its recesses"
STANDS = (
    "0 while the load is within the press's off-centre limit; else moved by -load, which puts the load under the ram, if pad "
    "and table still reach; else by -load (1 - limit/|load|), just to the limit"
)


def _size(case: Case, size: tuple[float, float], key: str, name: str, mark: str = "") -> tuple[Input, Input]:
    where = f"shop file: press[{setup(case).press.id}].{key}"
    return (
        Input(f"X{mark}", f"length of the {name}", size[0], "mm", where),
        Input(f"Y{mark}", f"width of the {name}", size[1], "mm", where),
    )


def _extent(case: Case, turned: bool) -> tuple[Input, Input]:
    """Extent of the block in x and y, as drawn or as it stands on the table."""
    p = np.concatenate([case.plan.block.outlines[0], case.plan.block.feet[0]])
    w, h = setup(case).place.extent if turned else np.ptp(p, axis=0)
    why = "block.outline_mm and block.foot_mm" + (", turned by setup.turned_deg" if turned else "")
    return (
        between("w", "extent of the block in x", float(w), "mm", why),
        between("h", "extent of the block in y", float(h), "mm", why),
    )


def _stands(case: Case) -> tuple[Input, Input]:
    return (
        case.number("x", "place of the block, x", "setup.place_mm[0]", "mm"),
        case.number("y", "place of the block, y", "setup.place_mm[1]", "mm"),
    )


def _room(X: float, Y: float, w: float, h: float, x: float, y: float, X_b: float = inf, Y_b: float = inf) -> float:
    return min(min(X, X_b) / 2 - abs(x) - w / 2, min(Y, Y_b) / 2 - abs(y) - h / 2)


def _margin(case: Case) -> Told:
    press, pad = setup(case).press, "pad" in case.path
    own = _size(case, press.pad.size_mm, "pad.size", "pad") if pad else _size(case, press.table_mm, "table", "table")
    more: tuple[Input, ...] = ()
    if not pad and press.bolster:
        more = _size(case, press.bolster.size_mm, "bolster.size", "bolster", "_b")
    inputs = (*own, *_extent(case, True), *_stands(case), *more)
    words = "min(X/2 - |x| - w/2, Y/2 - |y| - h/2)" + ("; the bolster's X_b, Y_b where less" if more else "")
    on_what = "pad" if pad else "table, or of the bolster" if more else "table"
    return Told(
        f"Least distance from the block to the edge of the {on_what}; negative is overhang.",
        "formula",
        words,
        inputs,
        GEOMETRY,
        "table and pad centred under the ram",
        again=evaluated(_room, inputs),
    )


def _turned(case: Case) -> Told:
    inputs = (*_size(case, setup(case).press.pad.size_mm, "pad.size", "pad"), *_extent(case, False))

    def turn(X: float, Y: float, w: float, h: float) -> float:
        straight, turned = min((X - w) / 2, (Y - h) / 2), min((X - h) / 2, (Y - w) / 2)
        return 90.0 if turned > straight + 5e-10 else 0.0

    words = "90 where min((X - h)/2, (Y - w)/2) is more than min((X - w)/2, (Y - h)/2), else 0"
    what = "Turn of the block on the table that leaves most pad round it."
    return Told(what, "formula", words, inputs, GEOMETRY, again=evaluated(turn, inputs))


def _limit(case: Case) -> tuple[Input, ...]:
    limit = setup(case).press.off_centre_limit_mm
    key = f"{case.world.press}.off_centre_limit_mm"
    return () if limit is None else (case.typed("limit", "off-centre limit of the press", key, "mm"),)


def _load_inputs(case: Case) -> tuple[Input, Input]:
    return (
        case.number("lx", "middle of the load, x", "setup.load_centre_mm[0]", "mm"),
        case.number("ly", "middle of the load, y", "setup.load_centre_mm[1]", "mm"),
    )


def _at(case: Case) -> Told:
    axis, limits = case.index, _limit(case)
    x, y = _load_inputs(case)
    whole = hypot(float(x.value), float(y.value))
    left = setup(case).place.off_centre
    limit = float(limits[0].value) if limits else inf
    share = 0.0 if whole <= limit or left > limit * (1 + 1e-9) else 1.0 if left < 1e-9 else 1 - limit / whole
    why = "0, 1 or 1 - limit/|load|, as the rule says"
    moved = between("share", "share of the way that brings the load under the ram", share, "", why)
    return Told(
        f"{'xy'[axis]} of the middle of the block's extent, from the middle of the table.",
        "formula",
        f"-load share; {STANDS}",
        (x, y, *limits, moved),
        GEOMETRY,
        LOADED,
        again=-float((x, y)[axis].value) * share,
    )


def _load(case: Case) -> Told:
    inputs = (
        case.number("A", "web face that the pad bears on", "block.bearing_area_mm2", "mm2"),
        case.number("turn", "turn of the block", "setup.turned_deg", "deg"),
    )
    return Told(
        f"{'xy'[case.index]} of the middle of the area the block bears with, from the middle of its extent, as it stands.",
        "geometry",
        "first moment over area of the closed outline, (1/6A) sum (x_i + x_j)(x_i y_j - x_j y_i), recesses taken off, turned",
        inputs,
        GEOMETRY,
        LOADED + "; in a container that the rubber has filled the middle is that of the opening instead",
    )


def _off(case: Case) -> Told:
    inputs = (*_load_inputs(case), *_stands(case))
    return Told(
        "Distance of the load from the ram's axis.",
        "formula",
        "sqrt((lx + x)^2 + (ly + y)^2)",
        inputs,
        GEOMETRY,
        LOADED,
        again=evaluated(lambda lx, ly, x, y: hypot(lx + x, ly + y), inputs),
    )


def _off_limit(case: Case) -> Told:
    what = "Distance from the ram's axis that the press allows its load to stand."
    return Told(
        what, "typed", inputs=_limit(case), source=setup(case).press.source, validity="a rating is never passed"
    )


def _bolster(case: Case) -> Told:
    own = press_key(case, "B", "thickness of the bolster", "bolster.thickness_mm", "mm")
    return Told("Thickness of the plate under the block.", "typed", inputs=(own,))


def _held(case: Case) -> tuple[Input, ...]:
    """Thickness of each layer that the container holds."""
    layers = setup(case).press.pad.layers
    if not layers:
        return (press_key(case, "P", "thickness of the pad", "pad.thickness_mm", "mm"),)
    return tuple(
        press_key(case, f"P{i}", f"thickness of held layer {i}", f"pad.layers[{i - 1}].thickness_mm", "mm")
        for i, x in enumerate(layers, 1)
        if x.role == "pad"
    )


def _depth(case: Case) -> Told:
    own = press_key(case, "C", "depth of the container", "container_depth_mm", "mm")
    return Told("Depth of the container that holds the pad.", "typed", inputs=(own,))


def _proud(case: Case) -> Told:
    depth = case.number("C", "depth of the container", "setup.container.depth_mm", "mm")
    held = _held(case)
    return Told(
        "How far the pad stands out of its container; negative: it lies back in it.",
        "formula",
        "thickness of the held pad - C",
        (*held, depth),
        GEOMETRY,
        again=sum(float(i.value) for i in held) - float(depth.value),
    )


def _rim(case: Case) -> Told:
    press = setup(case).press
    lands_on_bolster = press.bolster and any(
        a > b for a, b in zip(press.bolster.size_mm, press.pad.size_mm, strict=True)
    )
    base = (
        press_key(case, "B", "bolster, which is wider than the opening", "bolster.thickness_mm", "mm")
        if lands_on_bolster
        else between("B", "the rim comes down on the table", 0.0, "mm", "no bolster wider than the opening")
    )
    inputs = (
        case.number("stack", "stack", "setup.stack_mm", "mm"),
        base,
        case.number("C", "depth of the container", "setup.container.depth_mm", "mm"),
    )
    return Told(
        "Rim of the container above what it comes down on when the pad touches the blank; negative: it lands first.",
        "formula",
        "stack - B - C",
        inputs,
        GEOMETRY,
        again=evaluated(lambda stack, B, C: stack - B - C, inputs),
    )


def _stack(case: Case) -> Told:
    rows = case.world.answer["setup"]["lay_up"]
    layers = tuple(
        case.number(f"h{i}", row["what"], f"setup.lay_up[{i}].thickness_mm", "mm")
        for i, row in enumerate(rows)
        if row["thickness_mm"] is not None
    )
    return Told(
        "All that lies between table and platen, stacked.",
        "formula",
        "sum of the layers' thicknesses",
        layers,
        GEOMETRY,
        "shims, rings and cover plate not counted",
        again=sum(float(i.value) for i in layers),
    )


def _daylight(case: Case) -> Told:
    inputs = (
        press_key(case, "D", "daylight", "daylight_mm", "mm"),
        case.number("stack", "stack", "setup.stack_mm", "mm"),
    )
    again = evaluated(lambda D, stack: D - stack, inputs)
    what = "Daylight left over the stack: what the ram comes down."
    return Told(what, "formula", "D - stack", inputs, GEOMETRY, again=again)


def _layer(case: Case) -> Told:
    rows = case.world.answer["setup"]["lay_up"]
    what = str(case.row["what"])
    if what == "form block":
        own = case.number("H", "block height", "block.height_mm", "mm")
    elif what == "blank":
        own = case.thickness
    elif what == "bolster":
        own = case.number("B", "bolster", "setup.bolster_mm", "mm")
    else:
        pads = [i for i, r in enumerate(rows) if r["what"].startswith(("pad", "throw pad", "diaphragm"))]
        own = case.number("P", what, f"setup.pad.layers[{pads.index(case.index)}].thickness_mm", "mm")
    words = "the same number"
    return Told(f"Thickness of the {what} in the lay-up.", "formula", words, (own,), GEOMETRY, again=float(own.value))


def _pad_key(case: Case, key: str) -> str:
    """Key of a layer of the pad: of a single pad its own, of a stack the layer's."""
    layers = setup(case).press.pad.layers
    return f"pad.layers[{case.index}].{key}" if layers else f"pad.{key}"


def _pad_layer(case: Case) -> Told:
    key = case.path.partition("].")[2].split("[")[0]
    layer: PadLayer = setup(case).press.pad.stack[case.index]
    role = {"pad": "held pad", "throw": "throw pad"}[layer.role]
    if key == "size_mm":
        which = "Length" if case.caught[-1] == "0" else "Width"
        where = f"shop file: press[{setup(case).press.id}].{'pads' if setup(case).press.pad.layers else 'pad'}.size"
        return Told(
            f"{which} of this {role} in plan.", "typed", inputs=(Input("size", "plan size", case.value, "mm", where),)
        )
    name, unit = {"thickness_mm": ("thickness", "mm"), "shore_a": ("hardness, Shore A", "")}[key]
    own = press_key(case, key[0], f"{name} of this {role}", _pad_key(case, key), unit)
    return Told(f"{name[0].upper() + name[1:]} of this {role}, layers counted from the work.", "typed", inputs=(own,))


def _on_pad(place: Place) -> Keys:
    return on.press(place.world, "pad.*")


def _on_container(place: Place) -> Keys:
    return (*on.laid_up(place.world), *on.press(place.world, "container_depth_mm", "table_mm"))


def _on_place(place: Place) -> Keys:
    return on.placed(place.world)


def _on_stack(place: Place) -> Keys:
    return on.laid_up(place.world)


FAMILIES = (
    Family("setup.turned_deg", _on_place, _turned),
    Family("setup.place_mm[*]", _on_place, _at),
    Family("setup.load_centre_mm[*]", _on_place, _load),
    Family("setup.off_centre_mm", _on_place, _off),
    Family("setup.press.off_centre_limit_mm", lambda p: on.press(p.world, "off_centre_limit_mm"), _off_limit),
    Family("setup.(pad|table)_margin_mm", _on_place, _margin),
    Family("setup.bolster_mm", lambda p: on.press(p.world, "bolster*"), _bolster),
    Family("setup.container.depth_mm", _on_container, _depth),
    Family("setup.container.pad_proud_mm", _on_container, _proud),
    Family("setup.container.rim_above_mm", _on_container, _rim),
    Family("setup.daylight_margin_mm", _on_stack, _daylight),
    Family("setup.stack_mm", _on_stack, _stack),
    Family("setup.lay_up[*].thickness_mm", _on_stack, _layer),
    Family("setup.pad.layers[*].(thickness_mm|shore_a)", _on_pad, _pad_layer),
    Family("setup.pad.layers[*].size_mm[*]", _on_pad, _pad_layer),
)
