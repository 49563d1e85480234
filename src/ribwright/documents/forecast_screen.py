"""The forecast as lines for a terminal: a table a press hand reads, then what it rests on."""

from __future__ import annotations

from math import expm1
from typing import Any

from ribwright.documents.section_words import SHOWN_PAST, WHY_PAST
from ribwright.documents.strain_screen import place_name
from ribwright.stages.forecast_section import LEAST_BENT
from ribwright.units import MM_PER_IN, Unit, plain, show_pressure

SAME_DEG = 0.05
HEAD = ("place", "wall", "loaded", "released", "90 %", "of drawing", "back", "radius", "gap", "quick")
MODELS = {"section": "the section model", "closed-form": "the quick formula"}
OUTCOMES = {
    "converged": "",
    "not-converged": "UNFINISHED: the model found no balance at some places.",
    "cancelled": "CANCELLED: what had been computed is shown.",
    "would-neck": "An edge is stretched past where this sheet begins to neck.",
    "folds": "A flange folds over itself: see the findings.",
    "not-known": "I do not know for this temper.",
}
LEGEND = (
    "Angles in degrees from flat. wall: the block's; loaded: under pressure; released: in the hand, off the block,",
    "with its 90 % band; back: springback; radius: inside, released; gap: largest at the block's wall, under load;",
    "quick: released, by the quick formula.",
)
LEANS = "The bands lean to where friction between sheet and block, 0 in the values and 0 to 0.2 in the bands, moves them: mostly open."
NO_BEND = "not bent"
QUICK_HEAD = "The quick formula says:"


def forecast_lines(f: dict[str, Any], first: Unit) -> list[str]:
    """Text of the contract's `forecast`."""
    out = [f"Forecast by {MODELS[f['model']]} at {show_pressure(f['pressure_mpa'], first)}, {f['pressure_is']}"]
    if f["pad_share_mpa"]:
        out.append(
            f"  of which the pad keeps {show_pressure(f['pad_share_mpa'], first)} where a flange closes, less while it is turned less"
        )
    out += [f"  {OUTCOMES[f['outcome']]}"] if OUTCOMES[f["outcome"]] else []
    if f["stations"]:
        out += [
            "",
            *_table(_rows(f, first)),
            "",
            *(f"  {line}" for line in (*LEGEND, *_friction(f), *_past(f), *_quick(f), *_edges(f), *_split(f))),
        ]
    else:
        out.append("  No flange of the part can be forecast.")
    out += [f"  left out: {line}" for line in f["left_out"]]
    out += [f"  taken: {', '.join(f['assumed'])}"] if f["assumed"] else []
    out += [*_measured(f["measured"]), f"  {f['says']}"]
    return out


def quick_lines(f: dict[str, Any], first: Unit) -> list[str]:
    """The quick formula's table alone, while the section model is still at work."""
    return [QUICK_HEAD, *_table(_rows(f, first))]


def place_words(where: dict[str, Any], first: Unit) -> str:
    """'upper at 12.5 in', 'hole L1'."""
    if "hole" in where:
        return f"hole {where['hole']}"
    return f"{where['edge']} at {_length(where['along_mm'], first, 1)}"


def _length(mm: float, first: Unit, digits: int = 3) -> str:
    return f"{plain(mm / MM_PER_IN, digits)} in" if first == "in" else f"{plain(mm, max(digits - 1, 0))} mm"


def _rows(f: dict[str, Any], first: Unit) -> list[tuple[str, ...]]:
    return [HEAD, *(_row(s, first) for s in f["stations"])]


def _row(s: dict[str, Any], first: Unit) -> tuple[str, ...]:
    wall = f"{s['wall_angle_deg']:.1f}"
    out, loaded = s["angle_released_deg"], s["angle_loaded_deg"]
    quick = s["closed_form_released_deg"]
    said = "-" if quick is None else f"{quick['value']:.1f}"
    if out is None or loaded is None:
        return (place_words(s, first), wall, "-", "-", s["outcome"], "-", "-", "-", "-", said)
    radius, gap = s["formed_radius_mm"], s["wall_gap_mm"]
    return (
        place_words(s, first),
        wall,
        f"{loaded['value']:.1f}" + ("" if s["closes"] else " OPEN"),
        f"{out['value']:.1f}",
        f"{out['low']:.1f} to {out['high']:.1f}",
        _off(s["off_drawing_deg"]),
        f"{s['springback_deg']['value']:.1f}",
        (NO_BEND if _flat(s) else "-") if radius is None else _length(radius["value"], first),
        "-" if gap is None else _length(gap, first),
        said,
    )


def _flat(s: dict[str, Any]) -> bool:
    """Whether a flange comes off without a bend to measure."""
    return bool(s["angle_released_deg"]["value"] < LEAST_BENT * s["wall_angle_deg"])


def _past(f: dict[str, Any]) -> list[str]:
    """Why some angles under load are greater than the wall's."""
    rows = [s for s in f["stations"] if s["angle_loaded_deg"] is not None]
    past = any(s["angle_loaded_deg"]["value"] >= s["wall_angle_deg"] + SHOWN_PAST for s in rows)
    return [f"loaded over wall: {WHY_PAST}."] if past else []


def _friction(f: dict[str, Any]) -> list[str]:
    return [LEANS] if f["model"] == "section" else []


def _split(f: dict[str, Any]) -> list[str]:
    """Room to split by balance, each place at its least, where the blank is by balance."""
    least: dict[str, dict[str, Any]] = {}
    for r in f["split_by_balance"]:
        if r["margin"] is not None:
            least.setdefault(place_name(r), r)  # the least come first
    said = [f"{name} {100 * r['margin']:.0f} % to its {r['by']}'s limit" for name, r in least.items()]
    said = [w.replace("limit line's limit", "limit line") for w in said]
    return [f"Room to split, by balance: {', '.join(said)}."] if said else []


def _off(deg: float) -> str:
    """'on it', '2.1 open', '0.4 closed': released angle against the drawing's."""
    if abs(deg) < SAME_DEG:
        return "on it"
    return f"{plain(abs(deg), 1)} {'closed' if deg > 0 else 'open'}"


def _table(rows: list[tuple[str, ...]]) -> list[str]:
    wide = [max(len(r[k]) for r in rows) for k in range(len(HEAD))]
    return ["  " + "  ".join(c.ljust(w) for c, w in zip(r, wide, strict=True)).rstrip() for r in rows]


def _quick(f: dict[str, Any]) -> list[str]:
    out, off, other = [], f["quick_formula_off_deg"], f["quick_formula_closes_else"]
    if other:
        out.append(f"The quick formula is wrong about what closes: {', '.join(other)}.")
    if off is not None:
        words = "agrees to 0.1 deg" if abs(off) < SAME_DEG else f"was off by up to {abs(off):.1f} deg, {_way(off)}"
        out.append(f"The quick formula {words}{', on the others' if other else ''}.")
    return out


def _way(off: float) -> str:
    return "too far closed" if off > 0 else "too far open"


def _edges(f: dict[str, Any]) -> list[str]:
    """Free edges that stretch or shrink, each edge at its worst place."""
    worst: dict[str, dict[str, Any]] = {}
    for s in f["stations"]:
        name = f"hole {s['hole']}" if "hole" in s else s["edge"]
        if s["edge_strain"] is not None and abs(s["edge_strain"]["value"]) >= 5e-4:
            before = worst.get(name)
            if before is None or abs(s["edge_strain"]["value"]) > abs(before["edge_strain"]["value"]):
                worst[name] = s
    return [_edge(name, s) for name, s in worst.items()]


def _edge(name: str, s: dict[str, Any]) -> str:
    e, margin = s["edge_strain"]["value"], s["split_margin"]
    words = f"{name}: free edge {'stretches' if e > 0 else 'shrinks'} {100 * abs(expm1(e)):.1f} %"
    if margin is not None:
        words += f", room to the split limit {100 * margin['value']:.0f} %"
    return words + (", expect wrinkles" if s["wrinkle"]["likely"] else "")


def _measured(rows: list[dict[str, Any]]) -> list[str]:
    out = []
    for r in rows:
        out.append(f"  reported elsewhere, {r['process']}: {r['said']} [{r['source']}]")
        out.append(f"    not known about it: {', '.join(r['unknown'])}")
    return out
