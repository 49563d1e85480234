"""How far the web slides under the rubber while the flanges are pressed: the blank by balance once more, its web rubbed instead of held.

The traction is pressure times friction over both faces, against sliding, and nothing else holds the web: pins, cover plates and the block's
edge do not. So it is the worst that friction alone leaves. Valid as `mechanics/inverse`: one step, a membrane, no bow out of the plane.
Which way: a web that slides by u stood at its place less u in the flat, so the blank that gives the drawn part is moved by as much there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.inverse import model
from ribwright.stages.blank_inverse import InverseBlank, anisotropy_for, law_for
from ribwright.stages.finding import Finding
from ribwright.stages.job import Job
from ribwright.units import show_length, show_pressure

Array = NDArray[np.float64]
HOLDS = "friction alone holds the web: pins, a cover plate and the block's edge are not in it; no bow out of the plane"
SOURCE = "mechanics/inverse with a rubbed web"


@dataclass(frozen=True)
class WebSlip:
    """pressure, traction [MPa]; outcome and words of the search; largest: how far the web slides at the most [mm], at that place of the web
    [mm]; half: what half of the web slides by at the most [mm]; moved, moved_at: how far the flat is from that of a held web at the most,
    and where in the flat [mm]. The lengths are None where there is no answer."""

    pressure: float
    traction: float
    outcome: str
    words: str
    largest: float | None = None
    at: tuple[float, float] | None = None
    half: float | None = None
    moved: float | None = None
    moved_at: tuple[float, float] | None = None


def web_slip(job: Job, made: InverseBlank, pressure: float) -> WebSlip | None:
    """The slip of a part whose blank by balance, with the web held, is there; None without it."""
    m, held = made.meshed.mesh, made.flat
    if m is None or held is None or not made.answered:
        return None
    traction = pressure * job.catalogue.practice["web_friction"].value
    formed = model.FormedSheet(m.nodes, m.normals, m.triangles, m.along, m.allowance, m.held, m.start)
    sheet = model.Blank(law_for(job), job.t, anisotropy_for(job))
    found = model.flat_of(formed, sheet, model.Friction(traction), thinning=held.thinned)
    if found.outcome in (model.STOPPED, model.FOLDED):
        return WebSlip(pressure, traction, found.outcome, found.words)
    slid = np.hypot(*(found.places - m.nodes[:, :2])[m.held].T)
    moved = np.hypot(*(found.places - held.places).T)
    k, j = int(slid.argmax()), int(moved.argmax())
    at, flat = m.nodes[m.held][k, :2], held.places[j]
    return WebSlip(
        pressure, traction, found.outcome, found.words, float(slid[k]), (float(at[0]), float(at[1])), float(np.median(slid)),
        float(moved[j]), (float(flat[0]), float(flat[1])),
    )  # fmt: skip


def slip_answer(s: WebSlip) -> dict[str, Any]:
    """The contract's `web_slip`."""
    return {
        "pressure_mpa": s.pressure,
        "traction_mpa": s.traction,
        "outcome": s.outcome,
        "words": s.words,
        "largest_mm": s.largest,
        "at_mm": None if s.at is None else list(s.at),
        "half_of_web_mm": s.half,
        "blank_moves_mm": s.moved,
        "blank_moves_at_mm": None if s.moved_at is None else list(s.moved_at),
        "holds": HOLDS,
    }


def slip_findings(job: Job, s: WebSlip) -> tuple[Finding, ...]:
    """One finding where the blank of a rubbed web is further from that of a held one than two blanks may differ."""
    limit = job.shop.rules.blank_agreement_mm
    if s.moved is None or s.moved_at is None or s.largest is None or s.moved <= limit:
        return ()
    first: Any = job.shop.units or job.part.units
    return (
        Finding(
            "web-slides",
            "warn",
            f"Held by friction alone at {show_pressure(s.pressure, first)} the web slides by up to {show_length(s.largest, first)}; the "
            f"blank would be cut {show_length(s.moved, first)} otherwise. It is worked out for a web held.",
            "Hold the web: a cover plate with screws or more pins near there, or more pressure; or form it with a wider web and cut it off "
            "afterwards. Form a trial piece and measure it.",
            {"at_mm": list(s.moved_at)},
            s.moved,
            limit,
            (limit - s.moved) / limit if limit > 0.0 else None,
            "mm",
            SOURCE,
        ),
    )
