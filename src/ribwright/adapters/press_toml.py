"""A `[[press]]` of the shop file with its pads, gauge, bolster and routine; `[setup]` gives the routine of all presses."""

from __future__ import annotations

from dataclasses import replace

from ribwright import units as u
from ribwright.adapters.reading import Reader, shown
from ribwright.errors import nearest
from ribwright.shop.shop import Bolster, ForceGauge, Pad, PadLayer, Press, PressureGauge, Routine

PRESS_KINDS = ("manual", "power", "fluid")
FORCE_WORDS = 'a force like "400 short ton" or "3600 kN"'
PRESSURE_WORDS = 'a pressure like "781 psi" or "7 MPa"'
AREA_WORDS = 'an area like "60 in2" or "387 cm2"'
TIME_WORDS = 'a time like "5 s" or "1 min"'
FACES = (*u.PRESSURES, *u.FORCES)
MOST_SHORE_A = 99.0  # Gent's relation has no value at 100
MOST_HITS = 20
MOST_LAYERS = 10
MOST_STRAIN = 0.6  # no pad is squeezed by more of its thickness
SHORE_D = {
    "shore_d": "hardness on the Shore A scale, shore_a: how a pad resists is known from Shore A only, not from Shore D"
}


def read_press(table: Reader, routine: Routine) -> Press:
    """One press. `routine` is the shop's, for what the press itself does not say."""
    limit, depth = "off_centre_limit", "container_depth"
    kind = table.choice("kind", PRESS_KINDS)
    gauge, force_gauge = _gauge(table.table_at("gauge"))
    press = Press(
        id=table.text("id"),
        kind=kind,
        force_n=table.quantity("force", u.force_n, FORCE_WORDS),
        rated_pressure_mpa=table.quantity("rated_pressure", u.pressure_mpa, PRESSURE_WORDS),
        source=table.text("source"),
        table_mm=table.size("table"),
        tables=table.count("tables", 1),
        daylight_mm=table.length("daylight", positive=True),
        stroke_mm=table.length("stroke", positive=True),
        off_centre_limit_mm=table.length(limit, least=0.0) if table.has(limit) else None,
        pad=_pads(table, kind == "fluid"),
        gauge=gauge,
        container_depth_mm=table.length(depth, positive=True) if table.has(depth) else None,
        name=table.text("name", ""),
        force_gauge=force_gauge,
        bolster=_bolster(table.table_at("bolster")),
        routine=_said(table, routine),
    )
    _lies_on_the_table(table, press)
    table.unknown_keys()
    own = f"{table.path}."
    typed = {k.removeprefix(own): v for k, v in table.book.typed.items() if k.startswith(own)}
    return replace(press, typed=typed)


def _lies_on_the_table(table: Reader, press: Press) -> None:
    """A pad in its container and a bolster end within the table, either way round."""
    laid = [("bolster.size", press.bolster.size_mm)] if press.bolster else []
    if press.pad.held == "container":
        laid.append(("pads" if "pads" in table.table else "pad.size", press.pad.size_mm))
    for key, size in laid:
        over = [a > b + 0.01 for a, b in zip(sorted(size), sorted(press.table_mm), strict=True)]
        if any(over):
            table.fault(key, _by(table, size), f"no larger than the press's table, {_by(table, press.table_mm)}")


def _by(table: Reader, size: tuple[float, float]) -> str:
    return " by ".join(table.book.show(side) for side in size)


def read_routine(table: Reader | None) -> Routine:
    """`[setup]`: dwell, hits, lubricant, cover plate of every press that does not say its own."""
    if table is None:
        return Routine()
    routine = _said(table, Routine())
    table.unknown_keys()
    return routine


def _said(table: Reader, other: Routine) -> Routine:
    return Routine(
        table.quantity("dwell", u.time_s, TIME_WORDS) if table.has("dwell") else other.dwell_s,
        table.count("hits", most=MOST_HITS) if table.has("hits") else other.hits,
        table.text("lubricant") if table.has("lubricant") else other.lubricant,
        table.text("cover_plate") if table.has("cover_plate") else other.cover_plate,
    )


def _pads(table: Reader, fluid: bool) -> Pad:
    """`pad`, or a stack `pads` with the layer next to the work first."""
    if not table.has("pads"):
        return _pad(table.table_at("pad", required=True), fluid)
    if table.has("pad"):
        table.fault("pads", "pad and pads", "one of them: pad for one pad, pads for a stack")
    if fluid:
        table.fault("pads", "pads", 'pad for the diaphragm: kind = "fluid" has no stack of pads')
    rows = table.tables("pads")
    if not rows:
        if table.table["pads"] == []:
            table.fault("pads", "an empty list", "the layers of the stack, next to the work first")
        return Pad((0.0, 0.0), 0.0, 0.0, "container")
    if len(rows) > MOST_LAYERS:
        table.fault("pads", f"{len(rows)} layers", f"a stack of at most {MOST_LAYERS} layers")
    layers = [_layer(r) for r in rows]
    held = {str(r.table.get("held")) for r, x in zip(rows, layers, strict=True) if x.role == "pad"}
    sizes = {x.size_mm for x in layers if x.role == "pad"}
    roles = [x.role for x in layers]
    if "pad" not in roles:
        table.fault("pads", "no layer that is held", 'at least one layer without role = "throw"')
        return Pad((0.0, 0.0), 0.0, 0.0, "container")
    if "throw" in roles[roles.index("pad") :]:
        table.fault(
            "pads", "a throw pad behind a held pad", "the layer next to the work first: throw pads before all others"
        )
    if len(sizes) > 1 and not any(x != x for s in sizes for x in s):
        table.fault("pads", "held pads of different size", "held pads of one size: together they fill one opening")
    if len(held) > 1:
        table.fault("pads", "some loose, some in the container", "held pads that are all held the same way")
    whole = sum(x.thickness_mm for x in layers)
    return Pad(min(sizes), whole, layers[0].shore_a, min(held), tuple(layers))


def _shear(table: Reader) -> float | None:
    """The shop's own shear modulus of a pad [MPa]; None: not given."""
    key = "shear_modulus"
    return table.quantity(key, u.pressure_mpa, PRESSURE_WORDS) if table.has(key) else None


def _layer(table: Reader) -> PadLayer:
    role = table.choice("role", ("pad", "throw"), "pad")
    layer = PadLayer(
        table.length("thickness", positive=True),
        table.number("shore_a", over=0.0, most=MOST_SHORE_A),
        role,
        table.size("size"),
        _shear(table),
    )
    if role == "pad":
        table.choice("held", ("container", "loose"))
    elif table.has("held"):
        table.fault("held", shown(table.table["held"]), "no held with a throw pad: it lies loose on the blank")
    table.unknown_keys(SHORE_D)
    return layer


def _pad(table: Reader | None, fluid: bool) -> Pad:
    if table is None:
        return Pad((0.0, 0.0), 0.0, 0.0, "container")
    pad = Pad(
        table.size("size"),
        table.length("thickness", positive=True),
        table.number("shore_a", 0.0 if fluid else None, over=0.0, most=MOST_SHORE_A),
        table.choice("held", ("container", "loose"), "container" if fluid else None),
        shear_modulus_mpa=_shear(table),
        strain_limit=table.number("strain_limit", over=0.0, most=MOST_STRAIN) if table.has("strain_limit") else None,
    )
    table.unknown_keys(SHORE_D)
    return pad


def _gauge(table: Reader | None) -> tuple[PressureGauge | None, ForceGauge | None]:
    """A gauge by what its face reads: a pressure, for which the area behind it is needed, or the ram's force."""
    if table is None:
        return None, None
    reads = _face(table)
    pressure, force = None, None
    if not reads:
        # what else must stand here hangs on the face: one slip is one fault
        table.asked += ["ram_area", "limit", "due"]
    elif reads in u.FORCES:
        force = ForceGauge(table.quantity("limit", u.force_n, FORCE_WORDS), reads, table.date("due"))
        if table.has("ram_area"):
            table.fault(
                "ram_area", f'ram_area with reads = "{reads}"', "no ram_area: a gauge that reads force needs none"
            )
    else:
        pressure = PressureGauge(
            table.quantity("ram_area", u.area_mm2, AREA_WORDS),
            table.quantity("limit", u.pressure_mpa, PRESSURE_WORDS),
            reads,
            table.date("due"),
        )
    table.unknown_keys()
    return pressure, force


def _face(table: Reader) -> str:
    """What the gauge's face reads; "" after a fault."""
    word = table.table.get("reads")
    if not isinstance(word, str) or word in FACES:
        return table.choice("reads", FACES)
    table.asked.append("reads")
    tons = ", ".join(f'"{f}"' for f in u.FORCES if "ton" in f)
    if word.strip().lower() in ("ton", "tons", "tonf"):
        table.fault("reads", shown(word), f"which ton: {tons}")
        return ""
    spelt = {k.lower(): v for k, v in u.SPELLINGS.items() if v in FACES}
    hint = spelt.get(word.strip().lower()) or nearest(word, FACES)
    table.fault("reads", shown(word), ", ".join(f'"{f}"' for f in FACES), hint)
    return ""


def _bolster(table: Reader | None) -> Bolster | None:
    if table is None:
        return None
    bolster = Bolster(table.size("size"), table.length("thickness", positive=True))
    table.unknown_keys()
    return bolster
