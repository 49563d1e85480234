"""What was read of a solid, as lines of text for a terminal."""

from __future__ import annotations

from typing import Any

from ribwright.errors import Fault
from ribwright.units import Unit, plain, show_length


def solid_lines(read: dict[str, Any], missing: tuple[Fault, ...]) -> list[str]:
    """What was read, by its keys in the answer, and what the part file still needs."""
    first: Unit = "in" if read["unit"] in ("in", "ft") else "mm"
    width, height = (show_length(v, first) for v in read["contour_mm"])
    kind = "solid" if read["solid"] else "surface"
    edges = ", ".join(f"{n} {word}{'s' if n > 1 else ''}" for word, n in read["edges"].items() if n)
    out = [f"{read['file']} ({read['format']}), a {kind} in {read['unit']}, {read['faces']} faces"]
    out += [
        f"Sheet {show_length(read['thickness_mm'], first)} thick; outline {width} by {height}, cutouts included {edges}"
    ]
    for f in read["flanges"]:
        angle = _span(f["bend_angle_deg"], lambda v: f"{plain(v, 2)}") + " deg"
        wide = _span(f["width_mm"], lambda v: show_length(v, first))
        out.append(
            f"Flange {f['name']}: {wide} wide, {angle}, inside radius {show_length(f['bend_radius_mm'], first)}, turned {f['turn']}"
        )
    holes = [f"{n} {word}" for word, n in read["holes"].items() if n]
    out += [
        f"Holes: {', '.join(holes) or 'none'}; cutouts: {read['cutouts'] or 'none'}; corner reliefs: {read['reliefs'] or 'none'}"
    ]
    if read["left_out"]:
        out.append(f"NOT THE WHOLE PART: {len(read['left_out'])} things were not understood, see below")
    out.append("")
    if missing:
        out.append("A part file still needs, from the drawing's notes:")
        out += [f"  {f.key}: {f.allowed}" for f in missing]
    return out


def _span(values: dict[str, float], show: Any) -> str:
    low, high = show(values["min"]), show(values["max"])
    return low if low == high else f"{low} to {high}"
