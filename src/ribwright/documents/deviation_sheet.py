"""The deviation sheet: the part's outline with what was found along it, bend angles as bars, holes, the worst ten, how it was laid on the
drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ribwright.documents import filled_sheet
from ribwright.documents.angle_strips import LEGEND as ANGLES_LEGEND
from ribwright.documents.angle_strips import angle_strips
from ribwright.documents.characteristics import called, result_lines, signed, uncertainty_words, worst_first, worst_of
from ribwright.documents.deviation_picture import deviation_picture
from ribwright.documents.entry_table import fine_length, whole
from ribwright.documents.identity import Identity
from ribwright.documents.judged_words import limit_words
from ribwright.documents.layout import (
    Column,
    Piece,
    content_height,
    content_width,
    gap,
    heading,
    prose,
    sheet_document,
    small,
    table,
)
from ribwright.documents.outline_names import START_WORDS
from ribwright.documents.page import Document
from ribwright.documents.verdict_marks import VERDICTS
from ribwright.features.inspected import ANGLE, BLANK
from ribwright.stages.found import Found, Judged
from ribwright.stages.inspection import Inspection
from ribwright.stages.plan import Plan
from ribwright.units import Unit, plain, show_length

TITLE = "Deviation sheet"
WORST = 10
FEW = 8  # edges
LOW = 0.55  # of the page, for a picture that shares it with the table
PRINT = 9.0
LAID_BY = {
    "pins": "by its pin holes",
    "places and pins": "by means of places along its edges and by its pin holes",
    "places": "by places along its edges",
}
LEGEND = (
    "Heavy line: the outline as drawn. Dashed pair beside it: the tolerance. A tick stands square to the edge, outside where metal lies "
    "outside nominal; its mark says the verdict (ring: inside, filled disc: outside, crossed ring: cannot tell; where ticks stand close "
    "those inside bear none), the short bars about it the uncertainty. A line at a hole goes from its drawn to its found middle, its "
    "frame is the tolerance. Numbers: the table below. "
    f"{START_WORDS}"
)


def document(plan: Plan, identity: Identity, paper: str, result: Inspection) -> Document:
    """The sheet on `paper` ("letter" or "a4")."""
    width, first = content_width(paper), identity.first
    worst = worst_of(result.judged, WORST)
    head, legend, numbers = filled_sheet.head(result, width), small(LEGEND, width), _worst(worst, first, width)
    room = content_height(paper) - _high([*head, *legend]) - 4.0
    low = deviation_picture(plan, result, worst, width, LOW * room, first)
    # with the table on one page where both go on it and its edges are few enough to be named there, else as large as the page
    few = sum(len(loop.edges) for loop in plan.blank.laid) <= FEW
    both = few and low.piece.height + _high(numbers) <= room
    drawn = low if both else deviation_picture(plan, result, worst, width, room, first)
    strips = [] if result.said.what == BLANK else angle_strips(plan, result.judged, width, first)
    pieces: list[Piece] = [
        *head,
        drawn.piece,
        *legend,
        gap(2.0),
        *numbers,
        *_angles(strips, width),
        *_holes(result, first, width),
        *_fit(result, first, width),
        *_more(result, width),
    ]
    return sheet_document("deviation-sheet", identity, TITLE, paper, pieces)


def _high(pieces: Sequence[Piece]) -> float:
    return sum(p.height for p in pieces)


def _worst(worst: Sequence[Judged], first: Unit, width: float) -> list[Piece]:
    if not worst:
        return [heading("The worst", width), *prose("Nothing was found that has a place on the drawing.", width), gap()]
    columns = [Column("no.", 0.45, font="bold"), Column("characteristic", 3.5), Column("measured", 1.05)]
    columns += [Column("off nominal", 1.15, font="bold"), Column("uncertainty", 1.15), Column("tolerance", 1.3)]
    columns += [Column("verdict", 1.1)]
    rows = [_row(k, j, first) for k, j in enumerate(worst, 1)]
    done = filled_sheet.marked_at_end(table(columns, rows, width, PRINT), [j.verdict for j in worst], width)
    says = "The worst place of each characteristic, outside first, then by the share of the tolerance used; without a tolerance last."
    under = [replace(p, keep=True) for p in small(says, width)]
    return [
        heading("The worst ten" if len(worst) == WORST else "The worst", width),
        *under,
        *whole(done),
        gap(),
    ]


def _row(number: int, j: Judged, first: Unit) -> list[str]:
    f = j.found
    limits = (
        "not given"
        if j.limits is None
        else limit_words(round(f.nominal - j.limits[0], 9), round(j.limits[1] - f.nominal, 9), f.unit, first)
    )
    measured = result_lines(f, first).split("\n")[0]
    return [
        str(number),
        called(f, first),
        measured,
        off_words(f, first),
        uncertainty_words(f, first),
        limits,
        VERDICTS[j.verdict],
    ]


def off_words(found: Found, first: Unit) -> str:
    """'-2.47 deg', '+0.022 in' in the unit that the shop reads first."""
    if found.unit != ANGLE:
        return signed(found.off, first, found.u).partition(" (")[0]
    shown = plain(found.off, 2)
    return f"{shown if shown.startswith('-') else f'+{shown}'} deg"


def _angles(strips: Sequence[Piece], width: float) -> list[Piece]:
    if not strips:
        return []
    under = [replace(p, keep=True) for p in small(ANGLES_LEGEND, width)]
    return [heading("Bend angles along the edges", width), *under, *strips, gap()]


def _holes(result: Inspection, first: Unit, width: float) -> list[Piece]:
    """What the fit left at each hole."""
    drifts = result.found.fit.drifts
    if not drifts:
        return []
    columns = [Column("hole", 1.0, font="bold"), Column("x off", 1.7), Column("y off", 1.7), Column("uncertainty", 1.2)]
    columns += [Column("carried the fit", 1.2), Column("verdict", 1.2)]
    by: dict[str, list[Judged]] = {}
    for j in result.judged:
        if j.found.quantity == "hole_position":
            by.setdefault(j.found.where["hole"], []).append(j)
    rows = []
    for d in drifts:
        worst = worst_first(by.get(d.hole, []))
        u = "not known" if d.u is None else f"± {fine_length(d.u, first).partition(' (')[0]}"
        verdict = VERDICTS[worst[0].verdict] if worst else "not judged"
        rows.append([d.hole, signed(d.dx, first, d.u), signed(d.dy, first, d.u), u, "yes" if d.used else "no", verdict])
    return [heading("Holes, found less drawn", width), *whole(table(columns, rows, width, PRINT), 20), gap()]


def fit_words(result: Inspection, first: Unit) -> str:
    """How the data was laid on the drawing, and what the uncertainties are."""
    fit = result.found.fit
    of = "the gauge (of a gap the template's play with it)" if fit.by == "none" else "fit and gauge together"
    means = f"After ±: the expanded uncertainty of {of}, coverage factor 2 (about 95 in 100 true values lie within it)."
    if fit.by == "none" and any(f.by == "points" for f in result.found.found):
        return (
            "Neither pin holes nor places tell how the points lie on the drawing: they lie there roughly, and how far contour and holes "
            f"are off is not known. {means}"
        )
    if fit.by == "none":
        return f"Each reading was taken at a place of the drawing, so no data had to be moved onto it. {means}"
    sd = 2.0 * np.sqrt(np.maximum(np.diag(fit.cov), 0.0))
    by = LAID_BY.get(fit.by, f"by {fit.by}")
    move = (
        f"moved x {show_length(fit.x, first)}, y {show_length(fit.y, first)}, turned {plain(fit.rotation_deg, 3)} deg"
    )
    sure = f"x ± {fine_length(float(sd[0]), first)}, y ± {fine_length(float(sd[1]), first)}, turn ± {np.degrees(sd[2]):.3f} deg"
    left = f"What it was fitted to lies {fine_length(fit.rms, first)} rms from the drawing after the move."
    return f"The data was laid on the drawing {by}: {move} ({sure}). {left} {means}"


def _fit(result: Inspection, first: Unit, width: float) -> list[Piece]:
    """How the data lies on the drawing; the web's bow; what a reader should know."""
    out = [heading("How it lies on the drawing", width), *prose(fit_words(result, first), width)]
    for j in result.judged:
        if j.found.quantity == "web_flatness":
            bow = signed(j.found.value, first, j.found.u)
            out += prose(
                f"Web bow: {bow}, {uncertainty_words(j.found, first)}: {VERDICTS[j.verdict]}.", width, 9.5, "bold"
            )
    for words in result.found.notes:
        out += small(f"Note: {words}", width)
    return [*out, gap()]


def _more(result: Inspection, width: float) -> list[Piece]:
    says = (
        "Marks and numbers are what was measured on this one piece. This sheet releases nothing: a person whom the shop authorises "
        "decides. Do not measure on it."
    )
    return [*small(f"{filled_sheet.counts([j.verdict for j in result.judged])}. {says}", width)]
