"""Which model gave undercut, springback and pressure, in words; and what the closed form said beside it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ribwright.shop.springback_book import CLOSED_FORM, pieces
from ribwright.shop.springback_book import SECTION as BY_SECTION
from ribwright.stages.block import BlockEdge
from ribwright.stages.learning import corrected_words
from ribwright.stages.plan import Plan
from ribwright.stages.sections import MODEL as SECTION
from ribwright.units import Unit, show_angle, show_pressure

NOT_COMPARED = "not compared with a real formed part"


def by_section(plan: Plan) -> bool:
    """Whether the section model was asked and answered."""
    return plan.job.sections is not None


def undercut_by(plan: Plan, first: Unit) -> str:
    """'by the section model at 1850 psi (12.76 MPa) on the pad', or 'by the closed form, pure bending: pressure does not enter'."""
    if plan.job.sections is None:
        return "by the closed form, pure bending: pressure does not enter" + measured_words(plan, CLOSED_FORM)
    left = [name for name, _ in plan.job.sections.left]
    rest = f"; {', '.join(left)} by the closed form" if left else ""
    return f"by the section model at {show_pressure(plan.job.sections.pressure, first)} on the pad{rest}{measured_words(plan, BY_SECTION)}"


def measured_words(plan: Plan, family: str) -> str:
    """', corrected by 3 measured pieces'; "" where nothing was measured of that family of models."""
    learned = plan.job.learned
    return "" if learned is None else corrected_words("", pieces(learned.book.of(family)))


def predicted_how(plan: Plan) -> str:
    """'by a section model' or 'in closed form'."""
    return "by a section model" if by_section(plan) else "in closed form"


def closed_form_said(edges: Sequence[BlockEdge]) -> str:
    """'The closed form said: lower 8.36, upper 8.36 to 9.02 deg.'; "" where it answered itself."""
    said = [f"{e.edge} {_span(e)}" for e in edges if e.quick is not None]
    return f"The closed form said: {', '.join(said)} deg." if said else ""


def _span(e: BlockEdge) -> str:
    assert e.quick is not None
    ends = [show_angle(float(f(e.quick)), 2).removesuffix(" deg") for f in (np.min, np.max)]
    return " to ".join(dict.fromkeys(ends))


def unverified(edges: Sequence[BlockEdge]) -> str:
    """'Unverified: curved flange (upper, lower).'; "" where nothing is."""
    found: dict[str, list[str]] = {}
    for e in edges:
        if e.unverified and e.under.model.startswith(SECTION):
            found.setdefault(e.unverified, []).append(e.edge)
    words = "; ".join(f"{why} ({', '.join(names)})" for why, names in found.items())
    return f"Unverified: {words}." if found else ""
