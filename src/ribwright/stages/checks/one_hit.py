"""Combinations that no single hit can form."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked

MOST_TURNED = 120.0  # deg from flat; beyond it the flange folds back under the web


def findings(looked: Looked) -> Iterator[Finding]:
    """Mixed turns: two hits, or a loose ring. Flanges turned back under the web."""
    part = looked.job.part
    used = {e.flange for loop in part.loops for e in loop.edges if e.flange}
    turned = {part.flanges[e.flange].turn for loop in part.cutouts for e in loop.edges if e.flange}
    outer = {part.flanges[e.flange].turn for e in part.outer.edges if e.flange}
    if turned - (outer or turned) or len(turned) > 1:
        yield Finding(
            "cutout-turned-against",
            "stop",
            "A cutout's flange turns against the other flanges: it needs a loose upper ring, which is not yet modelled.",
            "Plan the part without that flange only if the drawing allows it.",
            {"loop": "cutout"},
        )
    for name in sorted(used):
        if max(part.flanges[name].bend_angle.values) > MOST_TURNED:
            yield Finding(
                "closed-section",
                "stop",
                f"Flange {name} turns past {MOST_TURNED:g} deg: a closed section is not yet modelled.",
                "Form it in a second operation, planned by hand.",
                {"flange": name},
                max(part.flanges[name].bend_angle.values),
                MOST_TURNED,
                unit="deg",
            )
    turns = {part.flanges[e.flange].turn for e in part.outer.edges if e.flange}
    if len(turns) > 1:
        yield Finding(
            "two-hits",
            "stop",
            "Outer flanges turn both up and down: one block and one hit cannot form them.",
            "Split the job into two hits with a block for each, or ask for a drawing with flanges turned one way.",
            {"loop": "web"},
        )
