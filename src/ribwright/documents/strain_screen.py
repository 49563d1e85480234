"""The strain map as lines for a terminal: what every place is strained, and the room left before it splits."""

from __future__ import annotations

from math import expm1
from typing import Any

from ribwright.units import Unit, show_length

HEAD = ("place", "major", "minor", "thickness", "edge along itself", "room to split", "by")


def strain_lines(s: dict[str, Any], first: Unit) -> list[str]:
    """Text of the contract's `strain`."""
    out = [f"Strain by balance in the formed shape. {s['words']}"]
    if not s["places"]:
        return out
    rows = [HEAD, *(_row(p, first) for p in s["places"])]
    wide = [max(len(r[k]) for r in rows) for k in range(len(HEAD))]
    out += ["", *("  " + "  ".join(c.ljust(w) for c, w in zip(r, wide, strict=True)).rstrip() for r in rows), ""]
    out.append(f"  {_least(s['least'], first)}")
    line = s["limit_line"]
    e0 = line["plane_strain_major"]
    if e0 is None:
        out.append(f"  limit line: {line['source']}")
    else:
        said = f"major + minor = {e0:.3f} left of plane strain, major = {e0:.3f} right of it"
        out += [f"  limit line: {said};", f"    {line['source']}"]
    out += [
        "  major, minor: largest and smallest true strain of the sheet; edge: engineering strain.",
        f"  {s['holds']}",
    ]
    return [*out, f"  {s['says']}"]


def place_name(row: dict[str, Any]) -> str:
    """'upper', 'hole L1'."""
    return f"hole {row['hole']}" if "hole" in row else str(row["edge"])


def _row(p: dict[str, Any], first: Unit) -> tuple[str, ...]:
    edge, thin = p["edge_strain"], p["thickness_mm"]
    known = [r for r in p["split"] if r["margin"] is not None]
    worst = min(known, key=lambda r: r["margin"], default=None)
    room = f"{100 * worst['margin']:.0f} %" if worst else "not known" if p["split"] else "not stretched"
    return (
        place_name(p),
        f"{p['major']['max']:+.3f}",
        f"{p['minor']['min']:+.3f}",
        _span(thin, first),
        "-" if edge is None else _edge(edge),
        room,
        worst["by"] if worst else "",
    )


def _span(pair: dict[str, float], first: Unit) -> str:
    low, high = show_length(pair["min"], first), show_length(pair["max"], first)
    return low if low == high else f"{low} to {high}"


def _edge(pair: dict[str, float]) -> str:
    low, high = (100 * expm1(pair[k]) for k in ("min", "max"))
    return f"{high:+.1f} %" if abs(high - low) < 0.05 else f"{low:+.1f} to {high:+.1f} %"


def _least(r: dict[str, Any] | None, first: Unit) -> str:
    if r is None:
        return "No place has a margin: no limit is known for this temper, or nothing is stretched."
    x, y = (show_length(v, first) for v in r["at_flat_mm"])
    return (
        f"Least room: {place_name(r)}, {100 * r['margin']:.0f} % to its {'edge limit' if r['by'] == 'free edge' else 'limit line'}, at "
        f"x {x}, y {y} of the blank."
    )
