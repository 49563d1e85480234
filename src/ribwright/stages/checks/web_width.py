"""A web too narrow to be held by the rubber while a curved flange pulls on it.

A quick rule, too hard on a nose whose sides hold each other: so it notes, and the slip that `strain` solves warns (`web-slides`).
"""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.web_hold import web_holds
from ribwright.units import show_pressure


def findings(looked: Looked) -> Iterator[Finding]:
    """Nothing without a press: what rubs is the least pressure that closes that flange, never more than the set-up pumps to."""
    s = looked.setup
    if s is None:
        return
    fact = looked.job.catalogue.practice["web_hold_ratio"]
    for h in web_holds(looked.job, looked.blank, s.pump_pressure or s.available, s.closes_at_least):
        if h.holds:
            continue
        slides = h.web * h.traction < h.pull
        yield Finding(
            "web-narrow-may-slide",
            "note",
            f"Beside {h.edge} the web is {looked.length(h.web)} wide; rubbed at {show_pressure(h.pressure, looked.first)}, "
            f"as the flange closes, it takes "
            f"{looked.length(h.needed)} to hold the flange's pull (R {looked.length(h.radius)}, edge strain {100 * h.strain:.1f} %)"
            + (": by this rule it slides and bows" if slides else ": it may slide a little at the flange's ends")
            + ", and the blank is worked out for a web held.",
            "Hold the web: a cover plate with screws or more pins near that edge, or more pressure; or a wider web that is cut off "
            "afterwards. `ribwright strain` with this press solves how far it slides.",
            {"edge": h.edge, "along_mm": h.along},
            h.web,
            h.needed,
            margin(h.web, h.needed, least=True),
            "mm",
            f"{fact.source} ({fact.standing()})",
        )
