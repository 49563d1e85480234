"""Open arcs of web with one curved flange, as part files: what pulls on its web while nothing closes the ring."""

from __future__ import annotations

from math import cos, radians, sin

from building import HEAD


def sector(
    radius: float, web: float, span: float, inside: bool = True, width: float = 18.0, t: float = 1.0, material: str = "2024-O"
) -> str:  # fmt: skip
    """A flange down along an arc of that radius (bend tangent line) over `span` [deg]: on the inner edge of a web so wide (stretch), else
    on the outer one (shrink)."""
    low, high = (radius, radius + web) if inside else (radius - web, radius)
    first, last = 90 - span / 2, 90 + span / 2

    def at(r: float, degrees: float) -> list[float]:
        return [round(r * cos(radians(degrees)), 6), round(r * sin(radians(degrees)), 6)]

    edges = (
        ("outer", f"through = {at(high, 90)}\nto = {at(high, last)}\n", not inside),
        ("left", f"to = {at(low, last)}\n", False),
        ("inner", f"through = {at(low, 90)}\nto = {at(low, first)}\n", inside),
        ("right", f"to = {at(high, first)}\n", False),
    )
    text = HEAD.format(units="mm", material=material, t=t, line="bend-tangent-line", start=at(high, first))
    for name, where, flanged in edges:
        text += f'[[web.edge]]\nname = "{name}"\n{where}' + ('flange = "f"\n' if flanged else "")
    return text + f"[flange.f]\nwidth = {width}\nbend_angle = 90\nbend_radius = 3\n"
