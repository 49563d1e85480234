"""Gaps felt under a template: how the template lay, and what that leaves open.

On the pins it lies as the pins let it: what their play leaves open, shift and turn, is in the uncertainty (`hung`). Held by hand it is laid
where it fits best, and so is the drawing here: the move (x, y, turn) that leaves the least sum of squares of the gaps is taken out, its
covariance is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

import numpy as np

from ribwright.features.inspected import BY_HAND, Said
from ribwright.features.laid import LaidEdge
from ribwright.geometry.offset import outward
from ribwright.geometry.register import register
from ribwright.mechanics.tolerance import COVERAGE
from ribwright.stages.found import NO_FIT, Fit, Found
from ribwright.stages.hung import hung
from ribwright.stages.plan import Plan

LEAST_BY_HAND = 6  # gaps that a template held by hand is fitted to: three of them carry the fit
ORIGIN = "origin"


def laid(plan: Plan, name: str) -> LaidEdge:
    """The edge of that name, laid out; KeyError where there is none."""
    return next(e for loop in plan.blank.laid for e in loop.edges if e.edge.name == name)


def under_template(plan: Plan, said: Said, found: list[Found]) -> tuple[list[Found], Fit, list[str]]:
    """The contour as the template's place leaves it known."""
    gaps = [f for f in found if f.quantity == "contour"]
    if said.template != BY_HAND:
        return _on_pins(plan, said, found)
    fit = _best_laid(plan, gaps)
    if fit is None:
        note = f"a template held by hand is laid by {LEAST_BY_HAND} gaps or more on sides that face different ways; these do not tell"
        loose = {id(f): replace(f, u=None, note=note) for f in gaps}
        return [loose.get(id(f), f) for f in found], NO_FIT, [note]
    at, normal = _places(plan, gaps)
    moved = _g(at, normal, fit.about) @ np.array([fit.x, fit.y, np.radians(fit.rotation_deg)])
    sd = fit.sd(at, normal)
    laid_ = {
        id(f): replace(f, value=f.value + float(m), u=None if f.u is None else hypot(f.u, COVERAGE * float(s)))
        for f, m, s in zip(gaps, moved, sd, strict=True)
    }
    return [laid_.get(id(f), f) for f in found], fit, []


def _on_pins(plan: Plan, said: Said, found: list[Found]) -> tuple[list[Found], Fit, list[str]]:
    """Gaps under a template that hangs on the pins, with what their play leaves open; not known where the pin holes themselves were found
    further off one another than their play lets them hang."""
    gaps = [f for f in found if f.quantity == "contour"]
    fit, off = hung(plan.job.part), _off_the_pins(plan, said, found)
    if off or isinstance(fit, str):
        note = off or str(fit)
        loose = {id(f): replace(f, u=None, note=note) for f in gaps}
        return [loose.get(id(f), f) for f in found], NO_FIT, [note]
    sd = fit.sd(*_places(plan, gaps))
    wider = {
        id(f): replace(f, u=None if f.u is None else hypot(f.u, COVERAGE * float(s)))
        for f, s in zip(gaps, sd, strict=True)
    }
    return [wider.get(id(f), f) for f in found], NO_FIT, []


def _off_the_pins(plan: Plan, said: Said, found: Sequence[Found]) -> str:
    """Which pin holes lie further off the others than their play lets a template hang on all; "" where none is known to. How the axes lay
    that the holes were measured in is taken out."""
    pins = {h.name: h for h in plan.job.part.holes if h.kind == "tooling" and h.pin_fit is not None}
    zero = "" if said.holes_from == ORIGIN else said.holes_from or next(iter(pins), "")
    rows = [(zero, i, 0.0, 0.0) for i in (0, 1) if zero in pins]
    for f in (f for f in found if f.quantity == "hole_position" and f.u is not None):
        name = f.where["hole"]
        if name in pins and name != zero:
            rows.append((name, "xy".index(f.where["axis"]), f.value, f.u or 0.0))
    if len(rows) < 4:
        return ""
    at = np.array([pins[n].at for n, *_ in rows])
    ways = np.eye(2)[[i for _, i, *_ in rows]]
    off = np.array([v for *_, v, _ in rows])
    move = register(at + off[:, None] * ways, at, ways, np.ones(len(rows)))
    far = [
        n for (n, _, _, u), left in zip(rows, move.left, strict=True) if abs(left) > (pins[n].pin_fit or 0.0) / 2 + u
    ]
    if not move.held or not far:
        return ""
    return f"pin holes, {', '.join(dict.fromkeys(far))}, lie off one another by more than their play: the template cannot have hung on all"


def _places(plan: Plan, gaps: Sequence[Found]) -> tuple[np.ndarray, np.ndarray]:
    """Where the gaps were felt, and outward there: (n, 2), (n, 2)."""
    at, normal = [], []
    for f in gaps:
        edge = laid(plan, f.where["edge"])
        s = edge.at(np.array([f.where["along_mm"]]))
        at.append(edge.curve.point(s)[0])
        normal.append(outward(edge.curve.tangent(s))[0])
    return np.array(at), np.array(normal)


def _g(at: np.ndarray, normal: np.ndarray, about: tuple[float, float]) -> np.ndarray:
    """What a unit move in x, y and a turn about `about` does along the normals (n, 3)."""
    arm = at - about
    return np.column_stack([normal, normal[:, 1] * arm[:, 0] - normal[:, 0] * arm[:, 1]])


def _best_laid(plan: Plan, gaps: Sequence[Found]) -> Fit | None:
    """The small move of the part that leaves the least sum of squared deviations; None where the gaps do not tell one."""
    if len(gaps) < LEAST_BY_HAND:
        return None
    at, normal = _places(plan, gaps)
    about = (float(at[:, 0].mean()), float(at[:, 1].mean()))
    g = _g(at, normal, about)
    size = np.array([1.0, 1.0, max(float(np.ptp(at)), 1.0) / 2])
    if np.linalg.cond(g / size) > 100.0:
        return None
    d = np.array([f.value for f in gaps])
    move = -np.linalg.lstsq(g, d, rcond=None)[0]
    left = d + g @ move
    sd = max(float(np.sqrt(np.sum(left**2) / (len(d) - 3))), max(f.u or 0.0 for f in gaps) / COVERAGE)
    cov = sd**2 * np.linalg.inv(g.T @ g)
    rms = float(np.sqrt(np.mean(left**2)))
    return Fit(float(move[0]), float(move[1]), float(np.degrees(move[2])), rms, "places", cov, about)
