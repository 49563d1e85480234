"""Which blank a plan goes by: the method named, or by default the strain-corrected one unless the one by balance says otherwise.

handbook, strain-corrected   `blank`
inverse                      `inverse_cut`; where that has no answer the strain-corrected one stands and its name says so
default                      strain-corrected; held beside the inverse one it stands where their cut lines lie within the shop's
                             `blank_agreement` of each other everywhere, else the inverse one is taken for the whole part
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ribwright.stages.agreement import HOLE, Apart, apart, straight
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.develop import DEFAULT, INVERSE, STRAIN_CORRECTED
from ribwright.stages.finding import Finding
from ribwright.stages.job import Job
from ribwright.units import show_length

if TYPE_CHECKING:
    from ribwright.stages.blank_inverse import InverseBlank


@dataclass(frozen=True, eq=False)
class Agreement:
    """The strain-corrected blank beside the one by balance.

    outcome    "exact": no run is needed (`agreement.straight`); "agrees", "differs"; "no-answer" of the inverse method
    within     farthest apart [mm]: 0 where exact, None without an answer
    tolerance  the shop's [mm]
    apart      every edge and hole, the farthest first
    """

    outcome: str
    within: float | None
    tolerance: float
    apart: tuple[Apart, ...] = ()


@dataclass(frozen=True, eq=False)
class Chosen:
    """The blank, what the inverse method answered (None: not asked), what was found in asking it, and by default how the two agree
    (None: they were not held beside each other)."""

    blank: Blank
    inverse: InverseBlank | None = None
    findings: tuple[Finding, ...] = ()
    agreement: Agreement | None = None


EXACT, AGREES, DIFFERS, NO_ANSWER = "exact", "agrees", "differs", "no-answer"
Say = Callable[[str], None]


def silent(_: str) -> None:
    """Nobody hears of progress."""


def named(job: Job, method: str, say: Say = silent) -> Chosen:
    """The blank by the method named; by default the strain-corrected one, not held beside anything yet. ValueError for an unknown
    method."""
    if method != INVERSE:
        return Chosen(make_blank(job, STRAIN_CORRECTED if method == DEFAULT else method))
    # compiled code: only who asks for it loads it
    from ribwright.stages.inverse_cut import by_balance

    blank, made = by_balance(job, make_blank(job, STRAIN_CORRECTED), say=say)
    return Chosen(blank, made, made.findings)


def held_beside(job: Job, quick: Blank, say: Say = silent) -> Chosen:
    """The strain-corrected blank `quick`, or the one by balance where the two disagree."""
    tolerance = job.shop.rules.blank_agreement_mm
    if straight(quick, job.part.trim):
        return Chosen(quick, agreement=Agreement(EXACT, 0.0, tolerance))
    from ribwright.stages.inverse_cut import by_balance

    other, made = by_balance(job, quick, say=say)
    if not made.answered:
        none = Agreement(NO_ANSWER, None, tolerance)
        return Chosen(quick, made, (*made.findings, _no_answer(made)), none)
    rows = apart(quick, other)
    within = rows[0].mm
    if within <= tolerance:
        return Chosen(quick, made, made.findings, Agreement(AGREES, within, tolerance, rows))
    differs = Agreement(DIFFERS, within, tolerance, rows)
    return Chosen(other, made, (*made.findings, _differs(job, differs)), differs)


def quick_note(job: Job, blank: Blank) -> tuple[Finding, ...]:
    """What an answer that must be quick says of its blank, where that might have been the other one."""
    if straight(blank, job.part.trim):
        return ()
    return (
        Finding(
            "blank-not-compared",
            "note",
            "Flat widths and edge strains here are the strain-corrected ones, not held beside the blank by balance.",
            "blank, template and packet hold them beside each other and say where they differ; --method inverse goes by balance alone.",
            source="docs/INVERSE.md",
        ),
    )


def _no_answer(made: InverseBlank) -> Finding:
    why = "it cannot be meshed" if made.flat is None else f"its search ended as {made.flat.outcome}"
    return Finding(
        "blank-unchecked",
        "warn",
        f"The blank by balance has no answer ({why}), so the strain-corrected blank stands without having been held beside it.",
        "Put right what stops the part first; else cut one blank, form it and measure its flanges.",
        source="docs/INVERSE.md",
    )


def _differs(job: Job, a: Agreement) -> Finding:
    first: Any = job.shop.units or job.part.units
    over = [x for x in a.apart if x.mm > a.tolerance]
    at = ", ".join(f"{'hole ' if x.kind == HOLE else ''}{x.name} {show_length(x.mm, first)}" for x in over)
    worst = over[0]
    where: dict[str, object] = {worst.kind: worst.name, "at_mm": list(worst.at)}
    return Finding(
        "blank-by-balance",
        "note",
        f"The blank by balance was taken for the whole part: the quick, strain-corrected cut line lies farther from it than "
        f"{show_length(a.tolerance, first)} at {at}.",
        "Nothing to do: all sheets go by it. Free ends of curved flanges lean in the flat, which the quick form leaves square.",
        where,
        worst.mm,
        a.tolerance,
        (a.tolerance - worst.mm) / a.tolerance,
        "mm",
        "docs/INVERSE.md; the limit: [rules] blank_agreement",
    )
