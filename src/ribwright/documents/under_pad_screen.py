"""One place under the pad as lines for a terminal: what closes it, what is left in the rubber, a row a pressure."""

from __future__ import annotations

from typing import Any

from ribwright.documents.forecast_screen import place_words
from ribwright.units import MM_PER_IN, MPA_PER_PSI, Unit, plain, show_force, show_length, show_pressure

HEAD = ("pressure", "ram force", "stroke", "pad", "stretch", "on flange", "loaded", "released", "of drawing", "fluid")
OUTCOMES = {
    "converged": "",
    "not-converged": "UNFINISHED: see the findings; what had been computed is shown.",
    "cancelled": "CANCELLED: what had been computed is shown.",
    "refused": "Not pressed: see the findings.",
    "not-known": "I do not know for this temper.",
}
LEGEND = (
    "pressure: at the ram, on all the pad; stroke: of the ram from the first touch, of this half section; pad: squeezed over the",
    "block, share of its thickness; stretch: largest in the rubber; on flange: mean pressure on its straight part; angles in degrees",
    "from flat; released: in the hand; fluid: released, the same pressure everywhere.",
)


def under_pad_lines(u: dict[str, Any], first: Unit) -> list[str]:
    """Text of `under_pad`."""
    out = [f"Under the pad of press {u['press']}: {place_words(u, first)} ({u['chosen']})"]
    out += [f"  {OUTCOMES[u['outcome']]}"] if OUTCOMES[u["outcome"]] else []
    if u["why_not"]:
        return [*out, f"  {u['why_not']}.", f"  {u['says']}"]
    out += [f"  {line}" for line in (*_seat(u, first), *_closing(u, first))]
    if u["points"]:
        out += ["", *_table([HEAD, *(_row(p, first) for p in u["points"])]), "", *(f"  {line}" for line in LEGEND)]
    out += [f"  not known: {line}" for line in u["unknown"]]
    out += [f"  taken: {line}" for line in u["assumed"]]
    out += [f"  left out: {line}" for line in u["left_out"]]
    return [*out, f"  {u['says']}"]


def _seat(u: dict[str, Any], first: Unit) -> list[str]:
    pad = u["pad"]
    out = [
        f"wall {u['wall_angle_deg']:.1f} deg, undercut {u['undercut_deg']:.1f} deg, {u['undercut_is']}; block "
        f"{show_length(u['block_height_mm'], first)} high",
        f"pad {show_length(pad['thickness_mm'], first)} thick, {pad['held'] if pad['held'] == 'loose' else 'in a container'}, shear "
        f"modulus {pad['shear_modulus_mpa']:.2f} MPa, {pad['shear_modulus_is']}",
    ]
    if u["block_half_mm"] is not None:
        less = u["room_counted_mm"] < u["beside_block_mm"]
        counted = f", {show_length(u['room_counted_mm'], first)} of it counted" if less else ""
        beside = "room beside it" if u["beside_block_mm"] >= 0 else "it hangs over the pad by"
        out.append(
            f"half block {show_length(u['block_half_mm'], first)}, {beside} {show_length(abs(u['beside_block_mm']), first)}{counted}"
        )
    if u["fill_stroke_mm"] is not None:
        out.append(
            f"ram's stroke until the rubber has filled the container beside the whole block, by volume: "
            f"{show_length(u['fill_stroke_mm'], first)}"
        )
    return out


def _closing(u: dict[str, Any], first: Unit) -> list[str]:
    if u["closes"] is None:
        return []
    fluid = u["closing_fluid_mpa"]
    beside = "" if fluid is None else f"; a fluid closes it at {show_pressure(fluid, first)}"
    if not u["closes"]:
        left = "" if u["left_open_deg"] is None else f", {u['left_open_deg']:.1f} deg are missing"
        return [f"stays OPEN up to {show_pressure(u['reached_mpa'], first)} at the ram{left}{beside}"]
    out = [
        f"closes at {show_pressure(u['closing_pressure_mpa'], first)} at the ram, {show_force(u['closing_force_n'], first)}{beside}"
    ]
    if u["pad_keeps_mpa"] is not None:
        out.append(
            f"so the rubber keeps {show_pressure(u['pad_keeps_mpa'], first)}; the set-up counts "
            f"{show_pressure(u['pad_share_mpa'], first)} (k G)"
        )
    return out


def _row(p: dict[str, Any], first: Unit) -> tuple[str, ...]:
    inch = first == "in"
    pressure, force, stroke, on = p["pressure_mpa"], p["ram_force_n"], p["stroke_mm"], p["on_flange_mpa"]

    def shown(mpa: float) -> str:
        return f"{plain(mpa / MPA_PER_PSI, 0)} psi" if inch else f"{plain(mpa, 2)} MPa"

    off = p["off_drawing_deg"]
    return (
        shown(pressure),
        show_force(force, first).partition(" (")[0],
        f"{plain(stroke / MM_PER_IN, 3)} in" if inch else f"{plain(stroke, 1)} mm",
        f"{100 * p['pad_strain']:.0f} %",
        f"{p['largest_stretch']:.2f}",
        shown(on),
        f"{p['angle_loaded_deg']:.1f}" + ("" if p["closed"] else " OPEN"),
        _deg(p["angle_released_deg"]) + ("?" if p["folded"] else ""),
        "-"
        if off is None or p["folded"]
        else "on it"
        if abs(off) < 0.05
        else f"{abs(off):.1f} {'closed' if off > 0 else 'open'}",
        _deg(p["fluid_released_deg"]),
    )


def _deg(value: float | None) -> str:
    return "-" if value is None else f"{value:.1f}"


def _table(rows: list[tuple[str, ...]]) -> list[str]:
    wide = [max(len(r[k]) for r in rows) for k in range(len(HEAD))]
    return ["  " + "  ".join(c.ljust(w) for c, w in zip(r, wide, strict=True)).rstrip() for r in rows]
