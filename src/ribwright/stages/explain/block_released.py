"""What comes off the block: released angle with its band, and the error that a fixed undercut leaves, of edges and recesses."""

from __future__ import annotations

from math import radians, sin, tan

from ribwright.stages.explain import by_section
from ribwright.stages.explain.block_recess import on_recess, recess_bend
from ribwright.stages.explain.block_undercut import (
    BACK_BAND,
    COMPARED,
    SCATTER,
    SOURCE,
    SPRINGBACK,
    VALID,
    Bend,
    edge_bend,
    half_band,
    on_undercut,
    scatter_inputs,
    sheet_inputs,
    springback,
)
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between

LEFT = f"u - sb; {SPRINGBACK}"
RELEASED = f"a + u - sb; {SPRINGBACK}"


def _bend(case: Case) -> Bend:
    return recess_bend(case) if case.caught[0] in ("recesses", "rings") else edge_bend(case)


def _row(case: Case) -> str:
    """Path of the row of the block that the number stands in."""
    return case.path[: case.path.index("]") + 1]


def _turned(case: Case) -> tuple[tuple[Input, ...], Input]:
    """What the springback on this block is evaluated from, and the undercut it is cut to."""
    bend, row = _bend(case), _row(case)
    own = "deg.value" if row.startswith("block.undercut") else "undercut_deg.value"
    inputs = (
        *sheet_inputs(case),
        bend.radius,
        case.thickness,
        bend.angle,
        case.number("R_block", "block radius", bend.radius_path, "mm"),
    )
    return inputs, case.number("u", "undercut as cut", f"{row}.{own}", "deg")


def left_open(K: float, n: float, E: float, nu: float, R: float, t: float, a: float, R_block: float, u: float) -> float:
    """Released angle less the drawing's [deg]."""
    return u - springback(K, n, E, nu, R, t, a, R_block)


def _remaining(case: Case) -> Told:
    inputs, u = _turned(case)
    closed = float(inputs[-1].value) > 0
    what = (
        "Angle error that the undercut leaves: released angle less the drawing's. Positive is closed, negative open; none "
        "where the undercut is the solved one."
    )
    solved = by_section.solved_there(case, _bend(case).owner)
    if solved is not None:
        return by_section.left(solved, _bend(case).along, u, what)
    return Told(
        what,
        "formula",
        LEFT,
        (*inputs, u),
        SOURCE,
        VALID,
        closed,
        BACK_BAND,
        COMPARED,
        evaluated(left_open, (*inputs, u)) if closed else None,
    )


def _released(case: Case) -> Told:
    inputs, u = _turned(case)
    which = case.path.rpartition(".")[2]
    closed = float(inputs[-1].value) > 0
    what = "Angle that the flange comes out with, from flat, on this block."
    solved = by_section.solved_there(case, _bend(case).owner)
    if solved is not None:
        ends = {"value": what, "low": "Lower", "high": "Upper"}[which]
        said = what if which == "value" else f"{ends} end of the 90 % band of the released angle."
        return by_section.released(solved, _bend(case).along, inputs[6], u, which, said)
    if which == "value":
        again = evaluated(lambda **x: x["a"] + left_open(**x), (*inputs, u)) if closed else None
        return Told(what, "formula", RELEASED, (*inputs, u), SOURCE, VALID, closed, BACK_BAND, COMPARED, again)
    low = which == "low"
    rows = (
        inputs[6],
        u,
        between("sb", "springback on this block", evaluated(springback, inputs), "deg", SPRINGBACK),
        *scatter_inputs(case),
    )

    def end(a: float, u: float, sb: float, **scatter: float) -> float:
        half = half_band(sb, **scatter)
        return a + u - sb - half if low else a + u - max(sb - half, 0.0)

    words = "a + u - sb - z sd" if low else "a + u - max(sb - z sd, 0): a bend does not spring further closed"
    return Told(
        f"{'Lower' if low else 'Upper'} end of the 90 % band of the released angle.",
        "formula",
        f"{words}; sd^2 = (c sb)^2 + s_f^2, {SCATTER}",
        rows,
        SOURCE,
        VALID,
        closed,
        BACK_BAND,
        COMPARED,
        evaluated(end, rows) if closed else None,
    )


def _vent(case: Case) -> Told:
    row, fact = _row(case), case.plan.job.catalogue.practice["recess_vent"]
    inputs = (
        case.fact("d_v", "usual vent", fact, "practice.recess_vent", "mm"),
        case.number("d", "diameter at the web face", f"{row}.diameter_mm", "mm"),
        case.number("R_block", "radius of the recess's rim", f"{row}.edge_radius_mm", "mm"),
        case.number("w", "wall angle", f"{row}.wall_angle_deg", "deg"),
    )

    def vent(d_v: float, d: float, R_block: float, w: float) -> float:
        throat = d / 2 + R_block * tan(radians(w) / 2) - R_block * sin(radians(min(w, 90.0)))
        return max(min(d_v, throat), 0.0)

    return Told(
        "Bore through the floor of the recess: neither trapped air nor the pad's suction holds the part.",
        "formula",
        "the usual vent, or half the throat where that is less: d/2 + R_block tan(w/2) - R_block sin(min(w, 90 deg))",
        inputs,
        f"{fact.source} ({fact.standing()}); half the throat is a project decision",
        "a bore along the recess's axis",
        again=evaluated(vent, inputs),
    )


def _on_row(place: Place) -> Keys:
    return on_recess(place) if place.caught[0] in ("recesses", "rings") else on_undercut(place)


ROWS = "block.(undercut|recesses|rings)[*]"
FAMILIES = (
    Family(f"{ROWS}.remaining_angle_deg", _on_row, _remaining),
    Family(f"{ROWS}.released_angle_deg.(value|low|high)", _on_row, _released),
    Family(
        "block.(recesses|rings)[*].vent_diameter_mm", lambda p: (*on_recess(p), "practice.recess_vent.value"), _vent
    ),
)
