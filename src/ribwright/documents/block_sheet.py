"""The block drawing: view from above, undercut of every edge, sections, pins, material, label and proof boxes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ribwright.documents.bead_pieces import bead_pieces
from ribwright.documents.block_cover_plate import plate_pieces
from ribwright.documents.block_joggles import joggle_pieces
from ribwright.documents.block_label import both_words, label_pieces
from ribwright.documents.block_plan_view import plan_view, ring_box
from ribwright.documents.block_proof import formulas, hand_words, material, pins, proof
from ribwright.documents.block_section import RecessSection, WallSection, recess_picture, wall_picture
from ribwright.documents.block_undercut import rounded_setback, signed, undercut_table
from ribwright.documents.block_zones import zone_pieces
from ribwright.documents.edge_start import varying_edges
from ribwright.documents.entry_table import all_or_named, fine_length, named, span
from ribwright.documents.flute_pieces import flute_pieces
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    NumberBox,
    Piece,
    content_height,
    content_width,
    gap,
    heading,
    heading_lines,
    listed,
    number_boxes,
    prose,
    sheet_document,
    small,
    split_units,
    stacked,
)
from ribwright.documents.lean_words import fine_foot, foot_lean, from_end, lean_words, sawn_lean
from ribwright.documents.lift_words import off_words
from ribwright.documents.notch_marks import notch_pieces
from ribwright.documents.page import Document
from ribwright.features.laid import LaidEdge, neighbours_at_start
from ribwright.stages.answers import BLOCK_ANGLE_STEP, round_to
from ribwright.stages.as_pressed import as_pressed
from ribwright.stages.block import BlockEdge, Recess
from ribwright.stages.plan import Plan
from ribwright.stages.solid import Loft, ring_bodies
from ribwright.units import Unit, show_angle, show_length

LIFT = {
    "lifts": "The released part lifts straight off.",
    "slides": "The released part does not lift straight off: {}.",
    "trapped": "The released part is TRAPPED: no straight motion takes it off this block.",
}


@dataclass(frozen=True)
class _Wall:
    """Edges whose walls are alike at their most undercut station."""

    edges: tuple[str, ...]
    section: WallSection
    known: bool
    says: str
    """What stands under the undercut: its band, or what a fixed one leaves."""


def document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The block drawing on `paper` ("letter" or "a4")."""
    width = content_width(paper)
    pieces = [
        *_first_page(plan, identity, width, content_height(paper)),
        *undercut_table(plan, identity.first, width),
        *zone_pieces(plan, identity.first, width),
        *joggle_pieces(plan, identity.first, width),
        *(p for wall in _walls(plan, identity.first) for p in _wall_pieces(wall, plan, identity.first, width)),
        *(
            p
            for alike in _recesses(plan, plan.block.recesses)
            for p in _recess_pieces(alike, plan, identity.first, width)
        ),
        *_rings(plan, identity.first, width),
        *bead_pieces(plan, identity.first, width),
        *flute_pieces(plan, identity.first, width),
        *notch_pieces(plan, identity.first, width),
        *pins(plan, identity.first, width),
        *material(plan, identity.first, width),
        *plate_pieces(plan, identity.first, width),
        *_both_hands(plan, width),
        *proof(plan, identity.first, width),
        *formulas(plan, identity.first, width),
        *label_pieces(plan, identity, width, content_height(paper)),
    ]
    return sheet_document("block-drawing", identity, "Block drawing", paper, pieces)


def laid_edge(plan: Plan, name: str) -> LaidEdge:
    """The laid-out edge of that name."""
    return next(e for loop in plan.blank.laid for e in loop.edges if e.edge.name == name)


def _first_page(plan: Plan, identity: Identity, width: float, high: float) -> list[Piece]:
    block, first = plan.block, identity.first
    face = ring_box(block.outlines[0])
    view = plan_view(plan, width, 0.44 * high, first)
    x0, y0, _, _ = face
    side = (
        "down: the block is seen as it stands on the table"
        if _turn(plan) == "down"
        else ("UP towards the viewer: the block as it stands on the table is the MIRROR IMAGE of this view")
    )
    lift = LIFT[block.lift.how].format(off_words(plan))
    corner = f"x = {show_length(x0, first)}, y = {show_length(y0, first)}"
    notes = [
        f"Web face seen from above, scale {view.scale}; do not measure the paper. Full line: outline where web face and "
        f"wall meet, before rounding. Dashed: foot, at the table. Lower left corner of the web face's extent: {corner} "
        f"in part coordinates.",
        f"{hand_words(identity)}; opposite hand: {both_words(plan)}. Flanges turn {side}. Up side of the blank: {identity.side_up}.",
        f"Comes off: {block.lift.how.upper()}. {lift}",
    ]
    names = ("Length of web face", "Width of web face")
    boxes = [_box(n, mm, first) for n, mm in zip(names, block.face_size, strict=True)]
    boxes += [_box("Height", block.height, first, f"needed {fine_length(block.height_unrounded, first)}")]
    starts = neighbours_at_start(plan.blank.laid)
    for e in varying_edges(plan):
        name = e.edge.name
        notes.append(
            f"Dot with 0 and arrow: lengths along {name} are taken {from_end(starts[name])}, the way of the arrow."
        )
    if not block.closed_up:
        notes.append("The outline does not close up at every corner: see the findings before cutting.")
    return [number_boxes(boxes, width, 16.0), view.piece, *(p for n in notes for p in prose(n, width)), gap()]


def _both_hands(plan: Plan, width: float) -> list[Piece]:
    """Whether this block also forms the opposite hand, with every reason."""
    both = plan.making.reversible
    answer = {
        "mirror-image": "YES, as it stands",
        "turned-over": "YES, turned over",
        "": "NO",
    }[both.how]
    reasons = [p for why in both.why for p in listed("-", why, width, indent=4.0)]
    return [heading(f"This block for the opposite hand too? {answer}", width), *reasons, gap()]


def _turn(plan: Plan) -> str:
    """The way the outer flanges turn; with none there is nothing to mirror."""
    flanges = (plan.job.part.flanges[e.flange] for e in plan.job.part.outer.edges if e.flange)
    return next((f.turn for f in flanges), "down")


def _box(label: str, mm: float, first: Unit, more: str = "") -> NumberBox:
    big, other = split_units(show_length(mm, first))
    return NumberBox(label, big, other, more)


def _sections(plan: Plan, first: Unit) -> list[tuple[BlockEdge, int, str]]:
    """(edge, station, words) of every section to draw."""
    out = []
    for e in plan.block.edges:
        if float(np.ptp(e.under.wall)) < 0.05:
            out.append((e, int(np.argmax(e.under.deg)), e.edge))
            continue
        for i in (int(np.argmin(e.under.wall)), int(np.argmax(e.under.wall))):
            start = from_end(neighbours_at_start(plan.blank.laid)[e.edge])
            out.append((e, i, f"{e.edge} at {show_length(float(e.along[i]), first)} {start} only"))
    return out


def _walls(plan: Plan, first: Unit) -> list[_Wall]:
    """One section for each kind of wall; of an edge whose wall changes along it, one at its least and one at its most
    turned station, named with the place, so that neither is taken for the whole edge."""
    found: dict[tuple[float, ...], list[tuple[str, WallSection, BlockEdge, int]]] = {}
    for e, i, name in _sections(plan, first):
        laid = laid_edge(plan, e.edge)
        assert laid.flange is not None
        leg = float(laid.leg(laid.at(e.along[i : i + 1]))[0])
        off, held = _as_held(plan, e.edge)
        section = WallSection(
            float(e.angle[i]), float(e.under.deg[i]), laid.flange.bend_radius, float(e.under.radius[i]), max(leg, 0.0),
            plan.job.t, plan.block.height, float(e.setback[i]), float(np.nan_to_num(e.out.left[i])) if held is None else off, held,
        )  # fmt: skip
        sizes = (section.angle, section.undercut, section.part_radius, section.leg, section.loaded)
        key = tuple(round(v, 4) for v in sizes)
        found.setdefault((*key, name != e.edge), []).append((name, section, e, i))
    return [
        _Wall(
            tuple(name for name, *_ in alike),
            alike[0][1],
            alike[0][2].under.known,
            _under_says(plan, alike[0][2], alike[0][3]),
        )
        for alike in found.values()
    ]


def _as_held(plan: Plan, owner: str) -> tuple[float, float | None]:
    """(released angle less the drawing's, angle under load) [deg] of a flange that the press leaves open; (0, None) of any other.
    The angles are those of its hardest place."""
    pressed = as_pressed(plan.setup, owner)
    if pressed is None or not pressed.open or pressed.reach.under_load is None:
        return 0.0, None
    return pressed.off, pressed.reach.under_load.value


def _open_says(held: float | None) -> str:
    return (
        ""
        if held is None
        else " The press named leaves this flange open: it does not come down to the wall, or barely."
    )


def _under_says(plan: Plan, e: BlockEdge, i: int) -> str:
    """'8.36 deg; 90 % band 5.8 to 10.9 deg', or what comes off where the undercut is fixed."""
    u, out = e.under, e.out
    quick = "" if e.quick is None else f"; the closed form said {show_angle(float(e.quick[i]), 2)}"
    if plan.job.part.block_undercut == "varying":
        band = span(float(u.low[i]), float(u.high[i]))
        return f"{show_angle(float(u.deg[i]), 2)}; 90 % band {band} deg{quick}"
    band = span(float(out.low[i]), float(out.high[i]))
    return f"{show_angle(float(u.deg[i]), 2)}; the part comes out {out.angle[i]:.1f} ({band}) deg{quick}"


def _wall_pieces(wall: _Wall, plan: Plan, first: Unit, width: float) -> list[Piece]:
    s = wall.section
    whole = s.angle + s.undercut
    foot = split_units(foot_lean(s.setback, first))
    unknown = NumberBox("Wall from square, to saw", "not known", "no flow curve", share=1.3)
    lean = f"computed {lean_words(whole - 90.0, 2)}; {show_angle(whole, 2)} from the web face"
    boxes = (
        NumberBox("Wall from square, to saw", sawn_lean(whole), lean, share=1.3) if wall.known else unknown,
        NumberBox("Foot from the outline", foot[0], foot[1], f"unrounded {fine_foot(s.setback, first)}", share=1.2),
        _box("Block edge radius", s.block_radius, first),
    )
    says = f"Grey: sheet loaded; dashed: released. Every number is true.{_open_says(s.held)}"
    if s.exaggeration > 1:
        says += f" The undercut alone is drawn {s.exaggeration} times as large: never take the lean from the picture."
    body = [
        number_boxes(boxes, width, 16.0),
        *(prose(f"Undercut past the bend angle of {show_angle(s.angle)}: {wall.says}.", width) if wall.known else ()),
        wall_picture(s, width, 60.0, first),
        *small(says, width),
        gap(2.0),
    ]
    edges = all_or_named(wall.edges, [e.edge for e in plan.block.edges])
    return [*heading_lines(f"Section: {edges}", width), stacked(body)]


def _recesses(plan: Plan, recesses: Sequence[Recess]) -> list[list[Recess]]:
    """Recesses that are cut and filled alike, together."""
    found: dict[tuple[float, ...], list[Recess]] = {}
    for r in recesses:
        found.setdefault(
            tuple(
                round(v, 4)
                for v in (r.diameter, r.depth, r.wall_angle, r.edge_radius, _as_held(plan, r.name)[1] or 0.0)
            ),
            [],
        ).append(r)
    return list(found.values())


def _recess_pieces(alike: Sequence[Recess], plan: Plan, first: Unit, width: float, word: str = "Recess") -> list[Piece]:
    r = alike[0]
    floor = plan.block.height - r.depth if word == "Recess" else 6.0
    straight = next((h.straight for h in plan.blank.holes if h.hole.name == r.name and h.straight is not None), 0.0)
    section = RecessSection(
        r.diameter, r.bottom_diameter, r.depth, r.wall_angle, r.edge_radius, straight, plan.job.t, floor,
        _as_held(plan, r.name)[1],
    )  # fmt: skip
    value, low, high = r.undercut
    says = f"undercut {show_angle(value, 2)}; band {span(low, high)} deg"
    says += "" if r.quick is None else f"; closed form {show_angle(r.quick, 2)}"
    if abs(r.remaining) >= 0.05:
        comes, least, most = r.released
        says = f"undercut {show_angle(value, 2)}; comes out {comes:.1f} ({span(least, most)}), error left "
        says += f"{signed(r.remaining)} deg"
    boxes = (
        _box("Diameter at web face", r.diameter, first),
        _box("Depth", r.depth, first),
        _box("Rim radius", r.edge_radius, first),
        NumberBox("Wall from web face", show_angle(round_to(r.wall_angle, BLOCK_ANGLE_STEP)), says, share=1.3),
    )
    both = f"Floor Ø {fine_length(r.bottom_diameter, first)}; wall {show_angle(r.wall_angle, 2)} from the web face, drawn true."
    held = () if section.held is None else prose(_open_says(section.held).strip(), width, 9.5, "bold")
    if section.held is not None:
        both += f" Grey: the sheet under load, at {show_angle(section.held, 1)}."
    vent = (
        f"Drill a vent Ø {show_length(r.vent_diameter, first)} through the middle of the floor (not drawn), so that neither "
        "trapped air nor the pad's suction holds the part: common practice."
    )
    body = [
        number_boxes(boxes, width, 14.0),
        recess_picture(section, width, 46.0, first),
        *small(both, width),
        *held,
        *prose(vent, width),
        gap(2.0),
    ]
    return [heading(f"{word}: {named([x.name for x in alike])}", width), stacked(body)]


def _rings(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Upper rings: items of their own, since their hole flanges turn against the others."""
    out: list[Piece] = []
    for alike in _recesses(plan, plan.block.rings):
        out += _recess_pieces(alike, plan, first, width, "Loose upper ring, drawn working face up")
        out += prose("An item of its own: it lies on the sheet; these hole flanges turn against the others.", width)
        ring = dict(ring_bodies(plan.block))[alike[0].name]
        if not isinstance(ring.outside, Loft):
            across, high = show_length(2 * ring.outside, first), show_length(ring.height, first)
            out += prose(f"As a solid it is made Ø {across} outside and {high} high; other stock does as well.", width)
    return out


__all__ = ["document", "laid_edge", "rounded_setback"]
