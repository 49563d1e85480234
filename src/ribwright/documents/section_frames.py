"""The states of a pressed flange as plain lists and numbers, for a screen that draws or plays them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.section_shape import FLAT, LOADED, ON_BLOCK, RELEASED, Seen, block_surface, flat_blank, seen

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Flange, Pressed

PLACES = 6  # of a number in mm, deg, N or MPa: far finer than the model


def frames(pressed: Pressed) -> list[dict[str, Any]]:
    """Every state in order: flat, then for each pressure under load, released on the block, in the hand (see
    docs/section_pictures.md for the keys). A state that the model did not reach is left out, not filled in."""
    told = [flat_blank(pressed)]
    for p in pressed.points:
        states = ((LOADED, p.pressure, p.loaded), (ON_BLOCK, 0.0, p.on_block), (RELEASED, 0.0, p.released))
        told += [seen(kind, pressure, formed) for kind, pressure, formed in states if formed is not None]
    from_pressure = [
        0.0,
        *(p.pressure for p in pressed.points for x in (p.loaded, p.on_block, p.released) if x is not None),
    ]
    return [_frame(s, p) for s, p in zip(told, from_pressure, strict=True)]


def block_frame(f: Flange) -> dict[str, Any]:
    """The block's surface to draw under the states: web face as far as 4 bend radii, rounded edge, wall past the flange."""
    line = block_surface(f, -4.0 * (f.radius + f.t), 1.2 * f.straight)
    return {
        "radius_mm": f.radius,
        "wall_deg": f.wall,
        "surface_mm": [[round(x, PLACES), round(y, PLACES)] for x, y in line],
    }


def _frame(s: Seen, reached: float) -> dict[str, Any]:
    """`reached` the pressure that the sheet had seen before [MPa]; gaps are to the block, so only while it is there."""
    f, here = s.formed, s.kind in (LOADED, ON_BLOCK)
    frame: dict[str, Any] = {
        "state": s.kind,
        "pressure_mpa": s.pressure,
        "pressed_to_mpa": reached,
        "angle_deg": s.angle,
        "inside_radius_mm": None if f is None else f.inside_radius,
        "web_lift_mm": f.lift if f is not None and here else None,
        "crown_gap_mm": f.crown_gap if f is not None and here else None,
        "wall_gap_mm": f.wall_gap if f is not None and here else None,
        "thickness_over_bend_mm": None if f is None else f.thickness,
        "stress_mpa": None if f is None else f.stress,
        "inner_mm": _listed(s.inner),
        "outer_mm": _listed(s.outer),
    }
    if f is not None:
        frame |= {"x_mm": _listed(f.x), "y_mm": _listed(f.y), "slope_deg": _listed(np.degrees(f.slope))}
        frame |= {"moment_n": _listed(f.moment), "push_mpa": _listed(f.push)}
    elif s.kind == FLAT:
        middle = (s.inner + s.outer) / 2
        nodes = np.zeros(len(middle))
        frame |= {"x_mm": _listed(middle[:, 0]), "y_mm": _listed(middle[:, 1]), "slope_deg": _listed(nodes)}
        frame |= {"moment_n": _listed(nodes[1:]), "push_mpa": _listed(nodes)}
    return {k: round(v, PLACES) if isinstance(v, float) else v for k, v in frame.items()}


def _listed(values: NDArray[np.float64]) -> list[Any]:
    # + 0.0 turns a minus zero into zero
    return list((np.round(values, PLACES) + 0.0).tolist())
