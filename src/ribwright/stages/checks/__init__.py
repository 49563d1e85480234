"""Every check, one subject a file. A check is a function (Looked) -> iterable of findings; `CHECKS` lists them."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from ribwright.stages.checks import (
    approval,
    beads,
    bend_radius,
    block_making,
    corner_relief,
    development,
    edge_strain,
    flange_width,
    fluting,
    formed_shape,
    hole_place,
    joggle,
    knowledge,
    left_open,
    lift,
    locating,
    notch_corners,
    one_hit,
    pad_limits,
    pair,
    press_limits,
    section_model,
    tolerance,
    undercut_left,
    web_width,
)
from ribwright.stages.checks.context import Looked
from ribwright.stages.finding import Finding, ranked

Check = Callable[[Looked], Iterable[Finding]]

CHECKS: tuple[Check, ...] = (
    approval.findings,
    one_hit.findings,
    pair.findings,
    knowledge.findings,
    bend_radius.findings,
    edge_strain.findings,
    fluting.findings,
    flange_width.findings,
    hole_place.findings,
    joggle.findings,
    beads.findings,
    corner_relief.findings,
    notch_corners.findings,
    development.findings,
    formed_shape.findings,
    locating.findings,
    lift.findings,
    undercut_left.findings,
    section_model.findings,
    tolerance.findings,
    left_open.findings,
    block_making.findings,
    press_limits.findings,
    pad_limits.findings,
    web_width.findings,
)


def check(looked: Looked) -> tuple[Finding, ...]:
    """All findings, the worst first."""
    return ranked([f for one in CHECKS for f in one(looked)])
