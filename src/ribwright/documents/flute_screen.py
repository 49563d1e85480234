"""Flutes as lines of text for a terminal."""

from __future__ import annotations

from typing import Any

from ribwright.documents.entry_table import fine_length
from ribwright.units import show_length


def flute_lines(blank: dict[str, Any], first: Any) -> list[str]:
    """What each run of edges must lose and which flutes take it; the places of each edge in a line of their own."""
    out = []
    for run in blank["gather"]:
        mine = [f for f in blank["flutes"] if f["edge"] in run["edges"]]
        if not mine:
            continue
        sizes = {(f["width_mm"], f["depth_mm"]) for f in mine}
        size = (
            " x ".join(show_length(v, first).partition(" (")[0] for v in min(sizes))
            if len(sizes) == 1
            else "of several sizes"
        )
        bounds = " to ".join(fine_length(run[k], first).partition(" (")[0] for k in ("least_mm", "most_mm"))
        out.append(
            f"  flutes on {', '.join(run['edges'])}: {len(mine)} {run['outcome']}, {size}, gather {fine_length(run['taken_mm'], first)}; "
            f"the edge must lose {bounds}"
        )
        for name in run["edges"]:
            places = [show_length(f["along_mm"], first).partition(" (")[0] for f in mine if f["edge"] == name]
            if places:
                out.append(f"    along {name}: {', '.join(places)}")
    return out
