"""What was read of a drawing, as lines of text for a terminal."""

from __future__ import annotations

from typing import Any

from ribwright.errors import Fault
from ribwright.stages.drawn_file import UNIT_WORDS
from ribwright.units import Unit, show_length


def drawing_lines(read: dict[str, Any], missing: tuple[Fault, ...]) -> list[str]:
    """What was read, by its keys in the answer, and what the part file still needs."""
    first: Unit = "in" if read["unit"] in ("in", "ft") else "mm"
    width, height = (show_length(v, first) for v in read["contour_mm"])
    edges = ", ".join(f"{n} {kind}{'s' if n > 1 else ''}" for kind, n in read["edges"].items() if n)
    out = [f"{read['file']} ({read['format']}), in {UNIT_WORDS[read['unit']]}, as confirmed"]
    out += [f"Outline {width} by {height}: {edges}"]
    holes = [f"{n} {kind}" for kind, n in read["holes"].items() if n]
    out += [f"Holes: {', '.join(holes) or 'none'}; cutouts: {read['cutouts'] or 'none'}"]
    out += [f"Flanges: {', '.join(read['flanges']) or 'none'}"]
    out += ["Layers: " + ", ".join(f"{layer} as {role}" for layer, role in read["roles"].items()), ""]
    if missing:
        out.append("A part file still needs, from the drawing's notes:")
        out += [f"  {f.key}: {f.allowed}" for f in missing]
    return out
