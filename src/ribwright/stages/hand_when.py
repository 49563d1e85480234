"""When a part may be set by hand: by the temper it stands in, and by the clock where it is quenched.

What the sentences say is common practice but for the windows, which the shop copied from its specification, and what AC 43.13-1B
(chapter 4 section 4, pages 4-26 and 4-27, read as excerpts) says: 7075-T6 takes only minor cold straightening, and straightened members
are looked at with a magnifying glass. How much is minor it does not say, and nothing here does.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.stages.job import Job
from ribwright.stages.route_ways import ANNEALED, AS_QUENCHED, drawn_course, formed_temper
from ribwright.units import show_time

ASK = "not entered: ask the specification"
AGED = ("T5", "T6", "T7", "T8")
MINOR_ALLOYS = ("7075", "7178")
AC = "AC 43.13-1B ch. 4 sec. 4, pages 4-26 and 4-27; read as excerpts"
GLASS = f"After each move look at the bend with a magnifying glass; a crack ends the work ({AC})."
AFTER_AGEING = "Straighten before ageing, not after: aged metal may crack."


@dataclass(frozen=True)
class When:
    """Sentences in the order they are read, and the shop's straightening window [s]; `asked`: whether the way has such a window."""

    say: tuple[str, ...]
    window_s: float | None
    asked: bool


def when_of(job: Job) -> When:
    """When this job's part may be set."""
    course, limits = drawn_course(job), job.shop.heat_treat.get(job.bought.alloy)
    window = None if limits is None else limits.straighten_window_s
    if course == AS_QUENCHED and limits is not None and window is None:
        window = limits.forming_window_s
    told = ASK if window is None or limits is None else f"{show_time(window)} from the quench ({limits.specification})"
    say: tuple[str, ...]
    if course == ANNEALED:
        say = (
            f"As formed it is soft ({job.formed_name}): set it now. What is left goes through the quench and moves.",
            f"After the quench only inside the straightening window, {told}; past it the metal has aged: stop. "
            "What springs back as quenched, and what it then stands, is not known here: strains below are those of soft metal.",
            AFTER_AGEING,
        )
    elif course == AS_QUENCHED:
        say = (
            f"Set it inside the same window as it is formed in, {told}; past it: stop. What springs back as quenched is not known here.",
            AFTER_AGEING,
        )
    else:
        say = (f"It is set in the temper it was formed in, {job.formed_name}.",)
        if job.part.sheet.final.startswith(AGED) and not formed_temper(job).startswith(AGED):
            say = (*say, AFTER_AGEING)
    treated = course in (ANNEALED, AS_QUENCHED)
    return When((*say, *_minor(job), GLASS), window if treated else None, treated)


def _minor(job: Job) -> tuple[str, ...]:
    """What is said of metal that is aged hard, as formed or as delivered."""
    formed, final = formed_temper(job).startswith(AGED), job.part.sheet.final.startswith(AGED)
    if not (formed or final):
        return ()
    hard = "Aged hard" if formed else "Once aged hard"
    if job.bought.alloy in MINOR_ALLOYS:
        return (
            f"{hard}, {job.bought.alloy} takes only minor cold straightening ({AC}, of 7075-T6). What is minor the shop's procedure says; "
            "where it does not, a person decides.",
        )
    return (f"{hard} it takes little: by the shop's procedure, in small moves.",)
