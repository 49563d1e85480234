"""The corners of a notch on a flanged edge against the shop's rule for relief holes: a sharp one starts a crack."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.corners import rule_diameter


def findings(looked: Looked) -> Iterator[Finding]:
    """A notch whose corners are rounded by less than half the relief hole that the rule asks for."""
    for n in looked.blank.notches:
        flange = looked.blank.laid[n.loop].edges[n.edge].flange
        if flange is None or not n.stands:
            continue
        rule = looked.job.relief_rule
        least = rule_diameter(rule, flange.bend_radius, looked.job.t) / 2
        radius = n.notch.corner_radius
        if radius < least - 1e-6 and radius < n.notch.width / 2 - 1e-6:
            yield Finding(
                "notch-corner-small",
                "warn",
                f"The corners of notch {n.number} on edge {n.notch.edge} are rounded by {looked.length(radius)}; a relief hole by rule "
                f"'{rule.name}' is round by {looked.length(least)}.",
                "Ask for the larger radius, or polish the corners and look for cracks.",
                n.where, radius, least, margin(radius, least, least=True), "mm", f"relief rule {rule.name}",
            )  # fmt: skip
