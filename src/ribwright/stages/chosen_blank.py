"""Which blank a plan goes by: the method named.

handbook, strain-corrected   `blank`
inverse                      `inverse_cut`; where that has no answer the strain-corrected one stands and its name says so
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.develop import DEFAULT, INVERSE, STRAIN_CORRECTED
from ribwright.stages.finding import Finding
from ribwright.stages.job import Job

if TYPE_CHECKING:
    from ribwright.stages.blank_inverse import InverseBlank


@dataclass(frozen=True, eq=False)
class Chosen:
    """The blank, what the inverse method answered (None: not asked), and what was found in asking it."""

    blank: Blank
    inverse: InverseBlank | None = None
    findings: tuple[Finding, ...] = ()


def named(job: Job, method: str) -> Chosen:
    """The blank by the method named. ValueError for an unknown one."""
    if method != INVERSE:
        return Chosen(make_blank(job, STRAIN_CORRECTED if method == DEFAULT else method))
    # compiled code: only who asks for it loads it
    from ribwright.stages.inverse_cut import by_balance

    blank, made = by_balance(job, make_blank(job, STRAIN_CORRECTED))
    return Chosen(blank, made, made.findings)
