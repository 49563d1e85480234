"""Numbers of the cover plate and of whether one block serves both hands: inset, outline, openings, pin holes; the mirror line."""

from __future__ import annotations

from math import ceil, radians, tan

import numpy as np

from ribwright.shop.sheet import Fact
from ribwright.stages.cover_plate import CHORD_MM, INSET_STEP_MM
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_recess import on_recess
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between, constant

MARGIN, PIN_ROOM, MIRROR = "cover_plate_margin", "cover_plate_pin_clearance", "mirror_equal"
INSET = "block.cover_plate.inset_mm"
WAYS = "geometry of polygons: the web face set inward, openings taken out"


def _practice(case: Case, symbol: str, name: str, key: str) -> tuple[Input, Fact]:
    fact = case.plan.job.catalogue.practice[key]
    return case.fact(symbol, name, fact, f"practice.{key}", "mm"), fact


def _deepest(case: Case) -> tuple[Input, ...]:
    """Radius and wall where a bend tangent line lies deepest inside the web face; nothing without a bend."""
    block = case.world.answer["block"]
    rows = [f"block.{k}[{i}]" for k in ("undercut", "recesses", "rings") for i in range(len(block[k]))]
    flat = [r for k in ("undercut", "recesses", "rings") for r in block[k]]
    reach = [r["edge_radius_mm"] * tan(radians(r["wall_angle_deg"]) / 2) for r in flat]
    if not reach:
        return ()
    row = rows[int(np.argmax(reach))]
    return (
        case.number("R_block", "block radius of the bend that reaches farthest in", f"{row}.edge_radius_mm", "mm"),
        case.number("w", "its wall angle", f"{row}.wall_angle_deg", "deg"),
    )


def _inset(case: Case) -> Told:
    margin, fact = _practice(case, "m", "usual margin", MARGIN)
    bend = _deepest(case)
    inputs = (margin, *bend, constant("step", "1/32 in", INSET_STEP_MM, "mm", "project decision"))

    def inset(m: float, step: float, R_block: float = 0.0, w: float = 0.0) -> float:
        reach = R_block * tan(radians(w) / 2)
        return ceil(reach / step - 1e-9) * step if reach > m + 1e-9 else m

    return Told(
        "How far the cover plate lies inside the web face before rounding, all round.",
        "formula",
        "m, or where a bend tangent line lies deeper inside, R_block tan(w/2), that up to the next step",
        inputs,
        f"{fact.source} ({fact.standing()}); that it clears the bends is geometry",
        "a plate that lies on the flat of the web",
        again=evaluated(inset, inputs),
    )


def _point(case: Case) -> Told:
    axis = "xy"[int(case.caught[-1])]
    inputs = (
        case.number("i", "inset", INSET, "mm"),
        between("n", "points of the web face", sum(len(p) for p in case.plan.block.outlines), "", "block.outline_mm"),
        _practice(case, "c", "room for a pin, on the diameter", PIN_ROOM)[0],
    )
    cut = "cutouts" in case.path
    if cut and case.row["name"]:
        around = case.number("d", "diameter of the opening", f"{_row(case)}.diameter_mm", "mm")
        return Told(
            f"{axis} of a point of the round opening about {case.row['name']}, for a drawing of straight lines.",
            "geometry",
            f"corners of an even polygon round the true circle; its chords lie outside it by at most {CHORD_MM:g} mm",
            (around,),
            "geometry of a circle",
        )
    return Told(
        f"{axis} of a point of {'an opening' if cut else 'the outline'} of the cover plate.",
        "geometry",
        "the web face set inward by i, less the openings round recesses, rings and pins; convex corners stay sharp, what "
        "runs together is one line",
        inputs,
        WAYS,
        "chords within 0.02 mm",
    )


def _row(case: Case) -> str:
    return case.path[: case.path.index("]") + 1]


def _opening(case: Case) -> Told:
    name, block = str(case.row["name"]), case.world.answer["block"]
    found = [f"block.{k}[{i}]" for k in ("recesses", "rings") for i, r in enumerate(block[k]) if r["name"] == name]
    inputs = (
        case.number("d", "recess or ring at its working face", f"{found[0]}.diameter_mm", "mm"),
        case.number("i", "inset", INSET, "mm"),
    )
    return Told(
        "Diameter of the plate's opening: it stays clear of the hole flange's bend as it does of the edges.",
        "formula",
        "d + 2 i",
        inputs,
        "common practice, from memory",
        again=evaluated(lambda d, i: d + 2 * i, inputs),
    )


def _pin_hole(case: Case) -> Told:
    name = str(case.row["name"])
    k = next(i for i, p in enumerate(case.world.answer["block"]["pins"]) if p["name"] == name)
    room, fact = _practice(case, "c", "room on the diameter", PIN_ROOM)
    inputs = (case.number("d", "locating pin", f"block.pins[{k}].diameter_mm", "mm"), room)
    return Told(
        "Diameter of the plate's hole for a locating pin.",
        "formula",
        "d + c",
        inputs,
        f"{fact.source} ({fact.standing()})",
        again=evaluated(lambda d, c: d + c, inputs),
    )


def _axis(case: Case) -> Told:
    limit, _ = _practice(case, "e", "equal within", MIRROR)
    rows = (limit, case.number("A", "web face", "block.face_area_mm2", "mm2"))
    return Told(
        "Direction of the line about which the block is its own mirror image, from +x.",
        "geometry",
        "a line through the middle of A along a principal axis of it, or through a corner or the middle of an edge, about "
        "which outline, foot, bend tangent lines, recesses and pins come to lie on themselves within e",
        rows,
        "geometry of a mirror image",
        "the first such line; a block may have more",
    )


def on_inset(place: Place) -> Keys:
    """The margin, and every bend that may reach deeper."""
    return (f"practice.{MARGIN}.value", *on.walls(place.world), "part.holes*")


def _on_plate(place: Place) -> Keys:
    return (*on.BLOCK, *on_inset(place), f"practice.{PIN_ROOM}.value", "part.beads*")


PLATE = "block.cover_plate"
FAMILIES = (
    Family(INSET, on_inset, _inset),
    Family(f"{PLATE}.outline_mm[*][*]", _on_plate, _point),
    Family(f"{PLATE}.cutouts[*].outline_mm[*][*]", _on_plate, _point),
    Family(f"{PLATE}.cutouts[*].diameter_mm", lambda p: (*on_recess(p), *on_inset(p)), _opening),
    Family(
        f"{PLATE}.pin_holes[*].diameter_mm",
        lambda p: (f"part.holes[{p.row['name']}].*", f"practice.{PIN_ROOM}.value"),
        _pin_hole,
    ),
    Family("block.reversible.axis_deg", lambda _: (*on.BLOCK, f"practice.{MIRROR}.value"), _axis),
)
