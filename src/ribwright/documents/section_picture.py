"""The section of one place as sheets: under load, in the hand, panel by panel, its moment, the bend closer, angle over pressure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ribwright.documents.entry_table import fine_length
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    MARGIN,
    Piece,
    content_width,
    flow,
    gap,
    heading,
    picture,
    prose,
    sheet,
    shifted,
    small,
    stacked,
)
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Circle, Item, Line, Page, Pair, Stroke, Text, paper_size
from ribwright.documents.section_curve import AngleBand, PressureMark, curve_picture
from ribwright.documents.section_drawn import (
    BESIDE,
    GHOST,
    LONG,
    View,
    angle_items,
    block_items,
    pressure_items,
    push_items,
    run,
    sheet_items,
    spread,
    springback_items,
    view_of,
)
from ribwright.documents.section_panels import closer, panels
from ribwright.documents.section_shape import (
    LOADED,
    RELEASED,
    Seen,
    farthest,
    from_left,
    middle_of_bend,
    point,
    seen,
    wall_point,
    zones,
)
from ribwright.documents.section_words import (
    NOT_COMPARED,
    WHY_NOT,
    past_words,
    pressure_words,
    radius_words,
    stress_words,
    what_it_is,
)
from ribwright.units import Unit, plain, show_angle

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed

__all__ = ["AngleBand", "Marks", "PressureMark", "panel_pressures", "section_pages", "section_pieces"]

NOTES, NOTE, PITCH, LEADER = (
    45.0,
    9.0,
    10.4,
    Stroke(0.2),
)  # column of the notes [mm], print [pt], distance [mm], their lines
LEFT, RIGHT = NOTES + 12.0, 44.0  # of a section, between its notes and the words at its angle [mm]
UNDER, FREE, CURVE = 82.0, 56.0, 100.0  # heights of the pictures, at most [mm]
LEAST, LEAST_FREE = 63.0, 48.0  # so that the notes have room [mm]
FREE_ARC, STEEP = (
    0.62,
    60.0,
)  # where the arc of the released angle runs, of the flange's length; from which angle on [deg]
FOOT = NOT_COMPARED + "\nNot an airworthiness approval: the shop's approved data and authorised people decide."
Note = tuple[Pair, str, str]  # point on paper, what, number


@dataclass(frozen=True)
class Marks:
    """What else is known of the place. `asked_deg` the drawing's angle; `sheet` words for the stuff; `pushes`: "pad" or "fluid";
    `pressures` upright lines of the chart; `released` the chart's band; `unverified` in words, where the model was not tried;
    `loaded_90`, `released_90` ends of the answer's bands [deg]."""

    asked_deg: float | None = None
    sheet: str = ""
    pushes: str = "pad"
    pressures: tuple[PressureMark, ...] = ()
    released: AngleBand | None = None
    unverified: str = ""
    loaded_90: Pair | None = None
    released_90: Pair | None = None


def panel_pressures(closing: float, full: float) -> tuple[float, ...]:
    """Pressures [MPa] to press through, so that the panels tell the story: half way to closing, nearly, closing, full."""
    return (*(p for p in (0.55 * closing, 0.85 * closing, 1.02 * closing) if p < 0.97 * full), full)


def section_pages(
    place: str,
    pressed: Pressed,
    first: Unit,
    marks: Marks = Marks(),
    paper: str = "letter",
    identity: Identity | None = None,
) -> tuple[Page, ...]:
    """The sheets of one place. With an identity they carry the heading and foot of the packet."""
    pieces = section_pieces(place, pressed, first, marks, content_width(paper))
    if identity is not None:
        return sheet(identity, "Section", paper, pieces, FOOT)
    w, h = paper_size(paper)
    groups = flow(pieces, h - 2 * MARGIN)
    return tuple(
        Page(w, h, shifted(stacked(group).items, MARGIN, h - MARGIN), f"{place} {k + 1}")
        for k, group in enumerate(groups)
    )


def section_pieces(place: str, pressed: Pressed, first: Unit, marks: Marks, width: float) -> list[Piece]:
    """The pictures of one place, each with its words. A run that settled nowhere answers with a sentence."""
    pieces = [heading(place, width), *small(what_it_is(pressed, marks.sheet, first), width)]
    if marks.unverified:
        pieces += prose(f"Unverified: {marks.unverified}.", width, font="bold")
    if pressed.outcome in WHY_NOT:
        pieces += prose(WHY_NOT[pressed.outcome], width, font="bold")
    if not pressed.points:
        return [*pieces, *prose("No pressure was reached: there is nothing to draw.", width)]
    pieces += [gap(1.0), under_load(pressed, first, marks, width)]
    if pressed.points[-1].released is not None:
        pieces += [gap(2.0), in_the_hand(pressed, first, marks, width)]
    pieces += [gap(1.0), *small(_sheet_says(pressed, first), width), gap(1.0), panels(pressed, first, width)]
    title, chart = heading("Angle against pressure", width), (marks.asked_deg, marks.pressures, marks.released)
    # the second page's three stay together
    near = replace(closer(pressed, first, width), keep=True)
    if not np.any(pressed.ramp[:, 0] > 0.0):
        return [*pieces, gap(2.0), near]
    return [*pieces, gap(2.0), near, title, curve_picture(pressed, first, width, CURVE, *chart)]


def _sheet_says(pressed: Pressed, first: Unit) -> str:
    last = pressed.points[-1]
    words = (
        past_words(pressed.flange, last.loaded)
        + f"Thinnest over the bend {fine_length(last.loaded.thickness, first)} of {fine_length(pressed.flange.t, first)}. "
    )
    if last.released is not None:
        words += f"Largest stress left in the part {stress_words(last.released.stress, first)}. "
    return f"{words}To scale; the pad's arrows are all one pressure, the block's are as long as its push is large. {NOT_COMPARED}"


def under_load(pressed: Pressed, first: Unit, marks: Marks, width: float) -> Piece:
    """The section under the last pressure: block, sheet, arrows, angle, and notes to the left."""
    f, last = pressed.flange, pressed.points[-1]
    s = seen(LOADED, last.pressure, last.loaded)
    above = LONG + 7.0
    view, tall = view_of(f, [s], LEFT, -above, width - LEFT - RIGHT, UNDER - above - BESIDE, 1.0)
    height = max(above + tall + BESIDE, LEAST)
    items = block_items(f, view, min(y for _, y in view.surface(f)))
    items += [*sheet_items(s, view), *pressure_items(s, view), *push_items(s, view)]
    words = [(show_angle(s.angle, 1), 13.0, "bold"), *_band_line(marks.loaded_90), ("under load", NOTE, "regular")]
    items += angle_items(s, view, words)
    x, y = view.fit(view.left, float(s.outer[0, 1]))
    said = f"{marks.pushes.upper()}: {pressure_words(last.pressure, first)} on the sheet"
    items.append(Text(x, y + LONG + 2.0, said, 10.0, "bold"))
    return picture([*items, *_notes(_loaded_notes(pressed, s, view, first), height)], height)


def _band_line(ends: Pair | None) -> list[tuple[str, float, str]]:
    """'90 %: 86.7 to 92.0' as a line of words beside an angle."""
    return [] if ends is None else [(f"90 %: {plain(ends[0], 1)} to {plain(ends[1], 1)}", NOTE, "bold")]


def _loaded_notes(pressed: Pressed, s: Seen, view: View, first: Unit) -> list[Note]:
    f, formed = pressed.flange, pressed.points[-1].loaded
    web, _, wall = zones(f, s.inner)
    seen_here = s.inner[:, 0] >= view.left
    web &= seen_here
    notes: list[Note] = []
    if formed.lift > 0.0 and web.any():
        notes.append((view.fit(*farthest(f, s, web)), "web lifted by up to", fine_length(formed.lift, first)))
    radius = radius_words(f, formed, first)
    if radius is not None:
        notes.append((view.fit(*middle_of_bend(s)), "inside radius, pressed", radius))
    most = int(np.argmax(np.where(seen_here, formed.push, 0.0)))
    said = stress_words(float(formed.push[most]), first)
    notes.append((view.fit(*point(s.inner[most])), "largest push of the block", said))
    if formed.wall_gap > 0.0 and wall.any():
        notes.append(
            (view.fit(*farthest(f, s, wall)), "gap beside the wall, up to", fine_length(formed.wall_gap, first))
        )
    notes.append((view.fit(*wall_point(f, f.straight)), "block's wall", f"{show_angle(f.wall, 2)} from flat"))
    return notes


def in_the_hand(pressed: Pressed, first: Unit, marks: Marks, width: float) -> Piece:
    """The part with pressure and block gone, over the outline it had under load."""
    f, last = pressed.flange, pressed.points[-1]
    assert last.released is not None
    s, before = seen(RELEASED, 0.0, last.released), seen(LOADED, last.pressure, last.loaded)
    # beside a flange that hangs steeply the arc has room within it, else it runs past the cut edge
    share, beside = (FREE_ARC, 0.0) if s.angle > STEEP else (1.0, 8.0)
    view, tall = view_of(f, [s, before], LEFT, -2.0, width - LEFT - RIGHT - beside, FREE - 9.0, share)
    height = max(tall + 9.0, LEAST_FREE)
    items = block_items(f, view, min(y for _, y in view.surface(f)), hatch=False)
    items += sheet_items(s, view)
    ghost = [point(row) for row in from_left(before.outer, view.left)]
    items.append(run([*ghost, point(before.inner[-1])], view.fit, GHOST))
    words = [(show_angle(s.angle, 1), 13.0, "bold"), *_band_line(marks.released_90)]
    words.append(("released, in the hand", NOTE, "regular"))
    if marks.asked_deg is not None:
        words.append((f"drawing asks {show_angle(marks.asked_deg, 1)}", NOTE, "regular"))
    items += angle_items(s, view, words, share, beside)
    notes: list[Note] = []
    radius = radius_words(f, last.released, first)
    if radius is not None:
        notes.append((view.fit(*middle_of_bend(s)), "inside radius, released", radius))
    drawn, at = springback_items(s, before, view)
    items += drawn
    wall = view.fit(*wall_point(f, 0.5 * f.straight))
    notes.append((wall, "thin: the block, taken away", f"wall {show_angle(f.wall, 2)}"))
    notes.append((view.fit(*point(before.outer[-1])), "dashed: under load", show_angle(before.angle, 1)))
    notes.append((at, "springback", show_angle(last.loaded.angle - last.released.angle, 1)))
    return picture([*items, *_notes(notes, height)], height)


def _notes(notes: Sequence[Note], height: float) -> list[Item]:
    """Two lines of words each in a column to the left, with a thin line to the point on paper, top first."""
    ranked = sorted(notes, key=lambda n: -n[0][1])
    at = spread([p[1] for p, _, _ in ranked], PITCH, -height + 5.0, -6.0)
    items: list[Item] = []
    for ((px, py), what, number), y in zip(ranked, at, strict=True):
        x = max(text_width(what, NOTE), text_width(number, NOTE, "bold")) + 1.5
        items += [Text(0.0, y + 0.9, what, NOTE), Text(0.0, y - 3.3, number, NOTE, "bold")]
        items += [
            Line(x, y, NOTES + 2.0, y, LEADER),
            Line(NOTES + 2.0, y, px, py, LEADER),
            Circle(px, py, 0.6, None, 0.0),
        ]
    return items
