"""Measured circles against the forecast, and the slip of the web, as lines for a terminal."""

from __future__ import annotations

from typing import Any

from ribwright.units import Unit, show_length, show_pressure

HEAD = (
    "circle",
    "place",
    "major measured",
    "forecast",
    "off",
    "minor measured",
    "forecast",
    "off",
    "thickness",
    "forecast",
    "",
)
WORDS = {"agrees": "agrees", "apart": "APART", "over-a-bend": "over a bend", "at-a-held-corner": "at a held corner"}
MOST = 60  # circles listed; the answer has them all


def circle_lines(c: dict[str, Any], first: Unit) -> list[str]:
    """Text of the contract's `circles`."""
    s = c["summary"]
    gauge = "as typed" if c["gauge_typed"] else "the usual one, none was typed"
    out = [
        f"Measured circles, {show_length(c['diameter_mm'], first)} as printed, read to {show_length(c['gauge_mm'], first)} ({gauge}).",
        f"  {s['agree']} of {s['compared']} compared agree with the forecast within their reading and what a face differs by; "
        f"{s['circles'] - s['compared']} of {s['circles']} not compared.",
        f"  {s['telling']} of the compared are strained by more than that and tell something; {s['telling_agree']} of these agree.",
    ]
    for key in ("major", "minor"):
        if s[key] is not None:
            m = s[key]
            out.append(
                f"  {key} strain, measured less forecast: mean {_percent(m['mean'])}, root mean square {_percent(m['rms'])[1:]}, furthest "
                f"{_percent(m['furthest'])}"
            )
    rows = [HEAD, *(_row(r, first) for r in _worst_first(c["rows"])[:MOST])]
    wide = [max(len(r[k]) for r in rows) for k in range(len(HEAD))]
    out += ["", *("  " + "  ".join(x.ljust(w) for x, w in zip(r, wide, strict=True)).rstrip() for r in rows), ""]
    if len(c["rows"]) > MOST:
        out.append(f"  {len(c['rows']) - MOST} more stand in the answer (--json).")
    return [
        *out,
        "  Strains are true strains; a thickness with * is reckoned from both diameters.",
        f"  {c['holds']}",
        f"  {c['says']}",
    ]


def _worst_first(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Those that are apart, furthest first; then as they stand in the file."""
    apart = [r for r in rows if r["outcome"] == "apart"]
    apart.sort(key=lambda r: -max(abs(r[k]["off"]) - r[k]["reading"] for k in ("major", "minor")))
    return [*apart, *(r for r in rows if r["outcome"] != "apart")]


def _row(r: dict[str, Any], first: Unit) -> tuple[str, ...]:
    t = r["thickness_mm"]
    thick = f"{show_length(t['by_diameters'], first)}*" if t["measured"] is None else show_length(t["measured"], first)
    strains = [w for k in ("major", "minor") for w in _strain(r[k])]
    name = r["circle"] or f"{r['at_mm'][0]:g}, {r['at_mm'][1]:g}"
    return (name, r["place"], *strains, thick, show_length(t["forecast"], first), WORDS[r["outcome"]])


def _strain(s: dict[str, float]) -> tuple[str, str, str]:
    return f"{_percent(s['measured'])} ± {100 * s['reading']:.1f}", _percent(s["forecast"]), _percent(s["off"])


def _percent(strain: float) -> str:
    return f"{100 * strain:+.1f} %"


def slip_lines(s: dict[str, Any], first: Unit) -> list[str]:
    """Text of the contract's `web_slip`."""
    head = f"Web rubbed at {show_pressure(s['pressure_mpa'], first)} ({show_pressure(s['traction_mpa'], first)} over both faces)."
    if s["largest_mm"] is None:
        return [head, f"  {s['words']}"]
    slid, half, moved = (show_length(s[k], first) for k in ("largest_mm", "half_of_web_mm", "blank_moves_mm"))
    x, y = (show_length(v, first) for v in s["at_mm"])
    return [
        head,
        f"  It slides by up to {slid}, at x {x}, y {y}; half of it by at most {half}. The flat moves by up to {moved}.",
        f"  {s['holds']}",
    ]
