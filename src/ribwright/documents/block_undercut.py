"""The undercut table of the block drawing: one row an edge, or one a station where the wall changes along it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.documents.entry_table import fine_length, in_cell, span, whole
from ribwright.documents.layout import Column, Piece, gap, heading, prose, small, table
from ribwright.documents.lean_words import foot_lean, from_end, sawn_lean
from ribwright.documents.model_words import closed_form_said, undercut_by, unverified
from ribwright.features.laid import neighbours_at_start
from ribwright.stages.answers import BLOCK_SETBACK_STEP_IN, round_to
from ribwright.stages.block import BlockEdge
from ribwright.stages.plan import Plan
from ribwright.stages.springback import how_cut
from ribwright.units import MM_PER_IN, Unit, show_angle, show_length

WIDEST = "Of a whole edge it is the band at the place where it is widest."
UNKNOWN = "not known for this temper"
LEAN = "WALL from square, to saw"
FOOT = "foot from outline, to 0.005 in"


def rounded_setback(mm: float, first: Unit) -> str:
    """The setback rounded to 0.005 in, in both units."""
    return show_length(round_to(mm / MM_PER_IN, BLOCK_SETBACK_STEP_IN) * MM_PER_IN, first)


def signed(deg: float) -> str:
    """'+0.2' (closed) or '-1.3' (open), '0.0' without a sign."""
    shown = f"{deg:+.1f}"
    return "0.0" if shown in ("+0.0", "-0.0") else shown


def undercut_table(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """The table; with an undercut that does not follow the angle, what it leaves and what the part comes out as too."""
    mode = plan.job.part.block_undercut
    starts = neighbours_at_start(plan.blank.laid)
    rows = [row for e in plan.block.edges for row in _rows(e, first, mode, starts[e.edge])]
    if not rows:
        return [heading("Undercut", width), *prose("This part has no flange on an edge.", width)]
    by = (
        "Saw to the lean from square: IN, the foot is smaller than the web face; OUT, the foot is larger. Undercut: wall angle "
        f"less bend angle. Solved {undercut_by(plan, first)}; more under 'Where the numbers come from'."
    )
    out = [heading(_title(plan), width), *(replace(p, keep=True) for p in small(by, width))]
    out += whole(table(_columns(mode), rows, width, 9.0))
    if mode == "varying" and any(not varies(e) and band_varies(e) for e in plan.block.edges):
        out += small(WIDEST, width)
    for words in (closed_form_said(plan.block.edges), unverified(plan.block.edges)):
        out += small(words, width) if words else []
    if mode != "varying":
        out += small(
            "Error left: the part's angle less the drawing's, + closed, - open; the 90 % band is that of the springback.",
            width,
        )
    for e in plan.block.edges:
        low, high = float(np.min(e.remaining)), float(np.max(e.remaining))
        if max(abs(low), abs(high)) > 0.005:
            left = signed(low) if signed(low) == signed(high) else f"{signed(low)} to {signed(high)}"
            out += prose(f"{e.edge}: this undercut leaves an angle error of {left} deg to be dressed by hand.", width)
    return [*out, gap()]


def varies(e: BlockEdge) -> bool:
    """Whether wall or edge radius changes along the edge."""
    return not (float(np.ptp(e.under.wall)) < 1e-6 and float(np.ptp(e.under.radius)) < 1e-6)


def band_varies(e: BlockEdge) -> bool:
    """Whether the band of the undercut is another at other places of the edge, as where it curves."""
    return e.under.known and max(float(np.ptp(e.under.low)), float(np.ptp(e.under.high))) >= 0.05


def _title(plan: Plan) -> str:
    mode = plan.job.part.block_undercut
    if mode == "varying" and not any(varies(e) for e in plan.block.edges):
        return "Undercut by edge"
    words = how_cut(plan.job)
    return f"{words[0].upper()}{words[1:]}"


def _columns(mode: str) -> list[Column]:
    heads = [("edge", 1.5), ("at, along the edge", 1.25), ("bend angle", 0.95), (LEAN, 1.5), ("under- cut", 0.95)]
    if mode == "varying":
        heads += [("its 90 % band, deg", 1.2)]
    else:
        heads = [("edge", 1.1), ("at, along the edge", 1.25), *heads[2:]]
        heads += [("error left, deg", 0.75), ("part comes out, deg", 1.4)]
    heads += [("wall from web face", 1.1), (FOOT, 1.55), ("foot, un- rounded", 1.15), ("edge radius", 1.0)]
    bold = (LEAN, FOOT, "error left, deg")
    return [Column(h, share, font="bold" if h in bold else "regular") for h, share in heads]


def _rows(e: BlockEdge, first: Unit, mode: str, neighbour: str) -> list[list[str]]:
    """One row for each station; one for the whole edge where its wall does not change."""
    u, out = e.under, []
    for i in range(len(e.along) if varies(e) else 1):
        name, at = e.edge, "whole edge"
        if varies(e):
            name, at = f"{e.edge}, {from_end(neighbour)}", in_cell(show_length(float(e.along[i]), first))
        sizes = [
            show_angle(float(u.wall[i]), 2),
            in_cell(foot_lean(float(e.setback[i]), first)),
            in_cell(fine_length(abs(float(e.setback[i])), first)),
            in_cell(show_length(float(u.radius[i]), first)),
        ]
        out.append([name, at, show_angle(float(e.angle[i])), *_lean(e, i), *_result(e, i, mode), *sizes])
    return out


def _lean(e: BlockEdge, i: int) -> list[str]:
    """The lean to saw to, and the undercut that it holds."""
    u = e.under
    if not u.known:
        return ["not known", UNKNOWN]
    return [sawn_lean(float(u.wall[i])) if u.good[i] else "no solution", show_angle(float(u.deg[i]), 2)]


def _result(e: BlockEdge, i: int, mode: str) -> list[str]:
    """The band of a solved undercut; of any other what it leaves and what the part comes out as, with its band."""
    u, out = e.under, e.out
    if mode == "varying":
        low, high = (u.low[i], u.high[i]) if varies(e) else (np.min(u.low), np.max(u.high))
        return [span(float(low), float(high)) if u.known else "none"]
    if not u.known:
        return ["none", UNKNOWN]
    return [signed(float(out.left[i])), f"{out.angle[i]:.1f}\n{span(float(out.low[i]), float(out.high[i]))}"]
