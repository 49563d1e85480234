"""Why this pressure: the formula or the section model with its numbers, and what each flange asks for."""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.documents.layout import Column, Piece, gap, heading, prose, small, table
from ribwright.documents.readings import band_words, face, reading
from ribwright.documents.what_closes import named_flanges
from ribwright.mechanics import pad
from ribwright.stages.bead_demand import BeadDemand
from ribwright.stages.pads import layers_near, near_the_work, outside_of, rubber_of
from ribwright.stages.plan import Plan
from ribwright.stages.pressure import Demand, governing
from ribwright.stages.setup import Setup
from ribwright.units import Unit, show_length, show_pressure

COLUMNS = (
    Column("flange", 1.1),
    Column("straight part s", 1.15),
    Column("closing pressure, on the sheet", 1.15),
    Column("needed on the pad, 90 % band", 1.95),
    Column("unverified", 1.1),
)
FITTED = "1.71 and k are fits to section models of straight 90 deg flanges; no formed part was compared."
MODELLED = (
    "Closing pressure: the uniform pressure at which the section model stands within half a degree of the wall; k is a fit to section "
    "models of straight 90 deg flanges; no formed part was compared."
)
MODELLED_FLUID = (
    "Closing pressure: the uniform pressure at which the section model stands within half a degree of the wall; "
    "no formed part was compared."
)
GENT = " G from Shore A: Gent, Rubber Chem. Technol. 31 (1958) 896, from memory."


def where_words(where: dict[str, object], first: Unit) -> str:
    """'edge upper at 1.250 in (31.75 mm)' or 'hole L1'."""
    along = where.get("along_mm")
    named = ", ".join(f"{k} {v}" for k, v in where.items() if k != "along_mm")
    return f"{named} at {show_length(along, first)}" if isinstance(along, float) else named


def pressure_reason(plan: Plan, s: Setup, first: Unit, width: float) -> list[Piece]:
    """Formula, numbers filled in for the flange that closes last, then the table of all flanges, hardest first."""
    pieces = [heading("Why this pressure", width)]
    if s.governed is None or s.needed is None:
        name = plan.job.formed_name
        return [*pieces, *prose(f"I do not know for this temper: no flow curve for {name}.", width)]
    last = flange_last(s)
    words = [] if last is None else [f"{where_words(last.where, first)} closes last: {formula(s, last)}"]
    if isinstance(s.governed, BeadDemand):
        words.insert(0, bead_words(s.governed, first))
    elif s.governed.unverified:
        lacks = (
            "too little was checked for a flange like this"
            if s.governed.by_model
            else "the formula was not fitted for this flange"
        )
        words.append(f"unverified: {lacks} ({s.governed.unverified}).")
    words += [*_stack(s), _ram(s), *_by_block(s, first)]
    for text in words:
        pieces += prose(text, width)
    pieces += [*small(_source(s) + _hardness(s), width), gap(1.5)]
    rows = sorted(s.demands, key=lambda d: (-d.need.value, str(d.where)))
    return [*pieces, *table(COLUMNS, _rows(rows, first), width, 9.0)]


def flange_last(s: Setup) -> Demand | None:
    """The flange that closes last."""
    return governing(s.demands)


def bead_words(b: BeadDemand, first: Unit) -> str:
    """Why a bead governs, with its numbers."""
    held, loose, rim, rubber, need = (
        show_pressure(p, first) for p in (b.form.held, b.form.loose, b.form.rim, b.rubber, b.need.value)
    )
    return (
        f"bead {b.shape.number} asks most: a strip of sheet over its groove needs {held}, {loose} where the web gives more, {rim} where it "
        f"gives nothing; + the rubber that follows it, pi G d/w = {rubber}; together {need}. No bead was compared."
    )


def formula(s: Setup, d: Demand) -> str:
    """'1.71 M/s² + k G = 1.71 x 60.5 N / (4.97 mm)² + 1.97 x 1.84 MPa = 4.18 + 3.62 = 7.80 MPa'."""
    if d.by_model:
        assert d.quick is not None
        of = "closing pressure of the section model, on the sheet"
        if s.press.kind == "fluid":
            return f"{of} (the closed form said {d.quick:.2f} MPa) = {d.pc:.2f} MPa (fluid pressure: no pad term)"
        quick = f"the closed form said {d.quick:.2f} MPa there, {d.quick + s.share.mpa:.2f} MPa on the pad"
        return f"{of} ({quick}) + pad term k G = {d.pc:.2f} + {s.share.mpa:.2f} = {d.need.value:.2f} MPa"
    first = f"{pad.CLOSING:g} x {d.moment:.1f} N / ({d.straight:.2f} mm)²"
    if s.press.kind == "fluid":
        return f"{pad.CLOSING:g} M/s² = {first} = {d.pc:.2f} MPa (fluid pressure: no pad term)"
    layers = {rubber_of(layer) for layer, _ in layers_near(s.press.pad, s.block_height)}
    if len(layers) > 1:
        return (
            f"{pad.CLOSING:g} M/s² + k G of the stack = {first} + {s.share.mpa:.2f} MPa "
            f"= {d.pc:.2f} + {s.share.mpa:.2f} = {d.need.value:.2f} MPa"
        )
    shore, g = min(layers)
    k = float(pad.pad_coefficient(shore).k)
    return (
        f"{pad.CLOSING:g} M/s² + k G = {first} + {k:.2f} x {g:.2f} MPa "
        f"= {d.pc:.2f} + {k * g:.2f} = {d.need.value:.2f} MPa"
    )


def _source(s: Setup) -> str:
    """Where the numbers come from; of flanges that the section model left to the formula, both are said."""
    fluid = s.press.kind == "fluid"
    models = [MODELLED_FLUID if fluid else MODELLED] if any(d.by_model for d in s.demands) else []
    formulas = [FITTED] if any(not d.by_model for d in s.demands) else []
    return " ".join((*models, *formulas)) + ("" if fluid else GENT)


def _stack(s: Setup) -> list[str]:
    """How the layers of a stack were put together, in words."""
    rows = near_the_work(s.press.pad, s.block_height)
    if s.press.kind == "fluid" or len({rubber_of(x) for x, _ in layers_near(s.press.pad, s.block_height)}) < 2:
        return []
    parts = ", ".join(f"{100 * share:.0f} % at {shore:g} Shore A" for shore, share in rows)
    return [
        f"Stack: {parts}, counted one block height deep from the work and loaded one after the other (an assumption, not "
        f"tried); alone they would take {s.share.least:.2f} to {s.share.most:.2f} MPa, and the band reaches to both."
    ]


def _ram(s: Setup) -> str:
    """From pressure to reading."""
    gauge, press = face(s), s.press.gauge
    area = f"{s.area / 100:.0f} cm² ({s.area / 645.16:.1f} in²), {s.area_is}"
    if gauge is None or s.pump_pressure is None or gauge.pump is None:
        return f"Ram force = pressure x {area}."
    assert s.pump_force is not None
    exact = (
        s.pump_force if press is None else s.pump_force / press.ram_area_mm2
    )  # the card's is never past what the block stands
    to = f"{reading(exact, gauge.reads)[0]}, on the card {reading(gauge.pump, gauge.reads)[0]}"
    if press is None:
        return f"Reading to pump to = {s.pump_pressure:.2f} MPa x {area} = {to}."
    ram = f"{press.ram_area_mm2 / 100:.0f} cm² ({press.ram_area_mm2 / 645.16:.1f} in²)"
    return f"Reading to pump to = {s.pump_pressure:.2f} MPa x {area} / ram area {ram} = {to}."


def _by_block(s: Setup, first: Unit) -> list[str]:
    """Where the block sets the reading never to pass: from what it stands to that reading."""
    gauge = face(s)
    if gauge is None or gauge.limit is None or s.block_limit is None or s.never_past_by == s.gauge_limit_by:
        return []
    stands = show_pressure(s.block_limit, first)
    over = " / ram area" if s.press.gauge else ""
    to = reading(gauge.limit, gauge.reads)[0]
    return [f"Never past = what the block stands on the pad, {stands}, x the same area{over}, rounded down to {to}."]


def _hardness(s: Setup) -> str:
    out = {f"{x.shore_a:g}" for x, _ in layers_near(s.press.pad, s.block_height) if outside_of(x)}
    if s.press.kind == "fluid" or not out:
        return ""
    return f" {' and '.join(sorted(out))} Shore A lies outside the range these were fitted on."


def _rows(rows: Sequence[Demand], first: Unit) -> list[tuple[str, ...]]:
    """A row for all flanges that ask for the same."""
    same: dict[tuple[str, ...], list[str]] = {}
    for d in rows:
        named = " ".join(f"{k} {v}" for k, v in d.where.items() if k != "along_mm")
        needed = f"{show_pressure(d.need.value, first)}\n{band_words(d.need.low, d.need.high, first)}"
        key = (show_length(d.straight, first), show_pressure(d.pc, first), needed, d.unverified or "-")
        same.setdefault(key, []).append(named)
    return [(named_flanges([d.where for d in rows], names), *key) for key, names in same.items()]
