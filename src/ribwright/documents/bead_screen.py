"""Beads as lines of text for a terminal."""

from __future__ import annotations

from typing import Any

from ribwright.units import show_length, show_pressure


def bead_lines(blank: dict[str, Any], first: Any) -> list[str]:
    """Sizes and stretch of each bead."""
    out = []
    for b in blank["beads"]:
        width, depth = (show_length(b[k], first).partition(" (")[0] for k in ("width_mm", "depth_mm"))
        own = "" if b["stretch_own_width"] is None else f", at most {100 * b['stretch_own_width']:.1f} % longer across"
        given = "" if b["stretch"] is None else f", {100 * b['stretch']:.1f} % with what the web gives"
        out.append(
            f"  bead {b['bead']} ({b['section']}, {b['turn']}): {width} x {depth}, {show_length(b['length_mm'], first)} long{own}{given}"
        )
    return out


def filling_lines(setup: dict[str, Any], first: Any) -> list[str]:
    """What each bead asks for, and whether it is filled."""
    out = []
    for b in setup["beads"]:
        need = b["needed_pressure_mpa"]
        band = f"90 %: {show_pressure(need['low'], first)} to {show_pressure(need['high'], first)}"
        word = "filled" if b["fills"] else "NOT filled"
        out.append(f"  bead {b['bead']}: {word}; asks {show_pressure(need['value'], first)} ({band})")
    return out
