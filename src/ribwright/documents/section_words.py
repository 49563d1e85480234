"""Numbers of a section in the shop's words and units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ribwright.documents.entry_table import fine_length
from ribwright.stages.forecast_section import LEAST_BENT
from ribwright.units import MPA_PER_PSI, N_PER_LBF, Unit, plain, show_angle, show_length, show_pressure

if TYPE_CHECKING:
    from ribwright.mechanics.section.formed import Formed
    from ribwright.mechanics.section.model import Flange, Pressed

CLOSED_WITHIN = 0.5  # deg off the wall: closed, as in the section model
SHOWN_PAST = 0.05  # deg
WHY_PAST = (
    "it stands off the wall beside the bend and lies on it at its foot, and the angle is that of the line between"
)
NOT_COMPARED = "Computed by the section model. Nothing here was compared with a real formed part."
PAST = "just past closing"
NOT_BENT = "not bent"
WHY_NOT = {
    "not-converged": "The model stopped here; what is drawn is the last state it settled at.",
    "cancelled": "Stopped by hand; what is drawn is the last pressure that was done.",
}


def moment_words(newton: float, first: Unit) -> str:
    """Moment per width: '8.65 lbf·in per in (38.5 N·mm per mm)'; both are a force."""
    digits = 1 if abs(newton) < 1000 else 0
    imperial = f"{plain(newton / N_PER_LBF, digits)} lbf·in per in"
    metric = f"{plain(newton, digits)} N·mm per mm"
    return f"{imperial} ({metric})" if first == "in" else f"{metric} ({imperial})"


def stress_words(mpa: float, first: Unit) -> str:
    """'46.5 ksi (321 MPa)'."""
    imperial, metric = f"{plain(mpa / MPA_PER_PSI / 1000, 1)} ksi", f"{plain(mpa, 0)} MPa"
    return f"{imperial} ({metric})" if first == "in" else f"{metric} ({imperial})"


def one(shown: str) -> str:
    """The first of the two units."""
    return shown.partition(" (")[0]


def closed(f: Flange, angle: float) -> bool:
    """A flange within half a degree of the wall counts as closed."""
    return angle >= f.wall - CLOSED_WITHIN


def bent(f: Flange, angle: float) -> bool:
    """Whether a flange at this angle [deg] has a bend to measure."""
    return angle >= LEAST_BENT * f.wall


def radius_words(f: Flange, formed: Formed, first: Unit) -> str | None:
    """Inside radius of a bend, "not bent" of a flange that has none; None: too few points lie there."""
    if not bent(f, formed.angle):
        return NOT_BENT
    return None if formed.inside_radius is None else fine_length(formed.inside_radius, first)


def past_words(f: Flange, loaded: Formed) -> str:
    """Why the angle under load is greater than the wall's; "" where it is not."""
    past = loaded.angle - f.wall
    if past < SHOWN_PAST:
        return ""
    return f"Under load the flange reads {past:.1f} deg past the wall: {WHY_PAST}. "


def state_words(pressed: Pressed, k: int) -> str:
    """What the sheet does at point `k`: 'bending', 'just past closing', 'closed', 'full pressure', 'full pressure: open'."""
    points, f = pressed.points, pressed.flange
    done = closed(f, points[k].loaded.angle)
    if k == len(points) - 1:
        return "full pressure" if done else "full pressure: open"
    if not done:
        return "bending"
    return "closed" if k and closed(f, points[k - 1].loaded.angle) else PAST


def what_it_is(pressed: Pressed, sheet: str, first: Unit) -> str:
    """The sentence under a place's name: sheet, radius, wall, straight part, and whether the edge is straight."""
    f = pressed.flange
    plan = "straight edge"
    if f.axis is not None:
        kind = "shrinks: the edge is convex" if f.sign > 0 else "stretches: a hole or a concave edge"
        plan = f"plan radius of the bend's beginning {show_length(f.axis, first)}, the flange {kind}"
    stuff = sheet or f"sheet {fine_length(f.t, first)}"
    return (
        f"{stuff}; block edge radius {show_length(f.radius, first)}, wall {show_angle(f.wall, 2)} from flat; "
        f"straight part {show_length(f.straight, first)}; {plan}."
    )


def pressure_words(mpa: float, first: Unit) -> str:
    """Both units; one digit more where the pressure is small."""
    if mpa / MPA_PER_PSI >= 100.0:
        return show_pressure(mpa, first)
    imperial, metric = f"{plain(mpa / MPA_PER_PSI, 1)} psi", f"{plain(mpa, 3)} MPa"
    return f"{imperial} ({metric})" if first == "in" else f"{metric} ({imperial})"
