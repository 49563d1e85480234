"""Numbers of beads: section, path, room, stretch, the groove in the block, and the pressure that fills it."""

from __future__ import annotations

from math import hypot, pi

from ribwright.stages.bead_demand import BeadDemand, BeadForm, formed, rubber_modulus, sheet_cov
from ribwright.stages.bead_room import Room, rooms
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.causes import World
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.undercut import Z90

SOURCE = "a strip of sheet over its groove, least work of plane strain, bending and pressure (mechanics/bead_fill)"
VALID = "long beads; even pressure; no friction in the groove; sheet that is not unloaded on the way"
COMPARED = "a clamped plate's sag and a thin sheet's p = sigma t/rho, within 1 %; no bead was compared"
JOHNSON = "K. L. Johnson, Contact Mechanics (1985), 13.2, recalled: wave pressed into an incompressible half space"
BAND = "90 %: how much web gives, scatter of the sheet, half to twice the pad's term"
TYPED = ("width", "depth", "radius", "edge_radius")
ON_RADII: Keys = ("radius_table.*", "shop.rules.minimum_radius", *on.SHEET, "*materials[*].bend_row", *on.THICKNESS)
ON_BEADS: Keys = ("part.beads*", *ON_RADII)
ON_ROOM: Keys = (*ON_BEADS, *on.SHAPE, "part.holes*")
ON_FORM: Keys = (*ON_ROOM, *on.SPRING, *on.R_VALUE, "practice.bead_filled_gap.value", "practice.web_friction.value")


def demand_keys(world: World) -> Keys:
    """What a bead's pressure at the ram hangs on."""
    return ON_FORM + on.rubber(world)


def _room(case: Case) -> Room:
    return rooms(case.plan.job, case.plan.blank)[case.index]


def _form(case: Case) -> BeadForm:
    form = formed(case.plan.job, _room(case))
    assert form is not None
    return form


def _typed(case: Case) -> Told:
    which, s = case.caught[1], _room(case).shape
    name = which.removesuffix("_mm")
    what = {
        "width": "Width of the bead across where it leaves the flat web.",
        "depth": "Depth of the bead, from the web's face to the same face at its bottom.",
        "radius": "Radius of the bead's bottom, inside the sheet.",
        "edge_radius": "Radius where the bead leaves the web, inside the sheet.",
    }[name]
    if name in s.left_open:
        taken = (
            "the largest that width and depth hold"
            if (name, s.bead.section) == ("radius", "round")
            else "least bend radius of the table"
        )
        why = f"not typed: {taken}"
        return Told(what, "solved", why, (between("x", "taken", case.value, "mm", why),), "geometry of the section")
    row = between(name, what.rstrip("."), case.value, "mm", f"part file: bead {s.number}, {name}")
    return Told(what, "typed", inputs=(row,))


def _place(case: Case) -> Told:
    s = _room(case).shape if case.path.startswith("blank") else None
    which = f"bead {s.number}" if s else "the bead"
    row = between("xy", "point of the path", case.value, "mm", f"part file: {which}, points")
    return Told("A point of the bead's middle line; the web does not move when it is formed.", "typed", inputs=(row,))


def _across(case: Case) -> Told:
    mid = _room(case).shape.mid
    assert mid is not None
    rows = (
        between(
            "S",
            "radii of the sheet's middle at edge and bottom, together",
            mid.edge + mid.bottom,
            "mm",
            "radii and one thickness",
        ),
        between(
            "theta",
            "what each arc turns",
            mid.turn,
            "rad",
            "width/2 = S sin theta + f cos theta, depth = S (1 - cos theta) + f sin theta",
        ),
        between("f", "straight flank", mid.flank, "mm", "the same two equations"),
    )
    what = "Length of the sheet's middle across the bead, rim to rim."
    return Told(
        what,
        "formula",
        "2 (S theta + f)",
        rows,
        "geometry of the section",
        again=evaluated(lambda S, theta, f: 2 * (S * theta + f), rows),
    )


def _length(case: Case) -> Told:
    s = _room(case).shape
    rows = (
        between("L", "length of the middle line", s.length - s.bead.width, "mm", "points of the part file"),
        case.number("w", "width", f"blank.beads[{case.index}].width_mm", "mm"),
    )
    return Told(
        "Overall length of the bead along its middle, round ends included.",
        "formula",
        "L + w",
        rows,
        "geometry",
        again=evaluated(lambda L, w: L + w, rows),
    )


def _web(case: Case) -> Told:
    side = "wider" if "wider" in case.path else "closer"
    return Told(
        f"Flat web that stretches with the bead on its {side} side: to the bend of a flange, or half way to the next bead.",
        "geometry", "least distance square to the path, the rim taken off",
        (between("x", "distance", case.value, "mm", "bend tangent lines and other beads"),), "geometry",
    )  # fmt: skip


def _gap(case: Case) -> Told:
    near = _room(case).near[int(case.caught[1])]
    row = between("g", "distance of the middle line less half the width", case.value, "mm", f"{near.kind} {near.name}")
    return Told(
        "Flat web between the bead's rim and what lies near it; negative: it runs in.",
        "geometry",
        "least distance",
        (row,),
        "geometry",
    )


def _own(case: Case) -> Told:
    rows = (
        case.number("C", "length across", f"blank.beads[{case.index}].across_mm", "mm"),
        case.number("w", "width", f"blank.beads[{case.index}].width_mm", "mm"),
    )
    return Told(
        "Stretch across the bead where all of its length comes out of its own width: the most it can be, engineering strain.",
        "formula", "C/w - 1", rows, "geometry of the section", "the web beside the bead locked at its rims",
        None, "", "no bead was compared", evaluated(lambda C, w: C / w - 1, rows),
    )  # fmt: skip


def _solved(case: Case) -> Told:
    what = {
        "stretch": "Stretch across the bead with what the web beside it gives, mean over its width, engineering strain.",
        "thickness_mm": "Thickness of the sheet in the bead, mean over its width.",
        "drawn_in_mm": "How far the web comes in over each rim of the bead.",
        "even_pressure_mpa": "Even pressure on the sheet that fills the bead, the web stretching with it on its closer side.",
        "even_pressure_own_width_mpa": "The same where all of its length comes out of its own width.",
        "even_pressure_loose_mpa": "The same where both sides give as the wider one does.",
    }[case.caught[1]]
    room, mid = _room(case), _room(case).shape.mid
    assert mid is not None
    rows = (
        between("d", "depth", mid.depth, "mm", "part file: bead, depth"),
        between("rho", "radius of the sheet's middle at the bottom", mid.bottom, "mm", "radius and half the thickness"),
        case.thickness,
        between("w_c", "web on the closer side", room.web, "mm", f"blank.beads[{case.index}].web_beside_mm"),
        case.fact(
            "g",
            "gap within which it is filled",
            case.plan.job.catalogue.practice["bead_filled_gap"],
            "practice.bead_filled_gap",
            "mm",
        ),
    )
    return Told(
        what,
        "solved",
        "least work of the strip at each pressure, until the gap is g",
        rows,
        SOURCE,
        VALID,
        None,
        BAND,
        COMPARED,
    )


def _bead(case: Case) -> BeadDemand:
    s = case.plan.setup
    assert s is not None
    if "beads[" in case.path:
        return s.beads[case.index]
    assert isinstance(s.governed, BeadDemand)
    return s.governed


def _row(case: Case) -> str:
    s = case.plan.setup
    assert s is not None
    return f"setup.beads[{next(i for i, b in enumerate(s.beads) if b is _bead(case))}]"


def _rubber(case: Case) -> Told:
    s, b = case.plan.setup, _bead(case).shape.bead
    assert s is not None
    what = "What the rubber takes of the pressure to follow the sheet into the bead."
    rows = (
        between(
            "G",
            "shear modulus of the rubber next to the work",
            rubber_modulus(s.press, s.block_height),
            "MPa",
            "as setup.pad_share_mpa; 0 of a fluid",
        ),
        between("d", "depth", b.depth, "mm", "part file: bead, depth"),
        between("w", "width", b.width, "mm", "part file: bead, width"),
    )
    return Told(
        what,
        "formula",
        "pi G d/w",
        rows,
        JOHNSON,
        "a bead taken as half a wave",
        None,
        "half to twice",
        "nothing",
        evaluated(lambda G, d, w: pi * G * d / w, rows),
    )


def needed(case: Case) -> Told:
    """Pressure at the ram that a bead asks for, and the ends of its band."""
    d, row = _bead(case), _row(case)
    held = case.number("p", "even pressure", f"{row}.even_pressure_mpa", "MPa")
    rubber = case.number("p_r", "what the rubber takes", f"{row}.pad_follows_mpa", "MPa")
    if case.path.endswith("value"):
        return Told(
            f"Pressure at the ram that fills bead {d.shape.number} to within the gap.", "formula", "p + p_r", (held, rubber),
            f"{SOURCE}; {JOHNSON}", VALID, None, BAND, COMPARED, evaluated(lambda p, p_r: p + p_r, (held, rubber)),
        )  # fmt: skip
    low = case.path.endswith("low")
    name = "even_pressure_loose_mpa" if low else "even_pressure_own_width_mpa"
    rows = (
        held,
        rubber,
        case.number(
            "p_e", "even pressure where the web gives " + ("most" if low else "nothing"), f"{row}.{name}", "MPa"
        ),
        between(
            "c",
            "scatter of the sheet, of K and t",
            sheet_cov(case.plan.job),
            "",
            "k_cov of the record (0.06 where unknown) and 2 %",
        ),
    )

    def end(p: float, p_r: float, p_e: float, c: float) -> float:
        if low:
            return max(p + p_r - hypot(p - p_e * (1 - Z90 * c), p_r / 2), 0.0)
        return p + p_r + hypot(p_e * (1 + Z90 * c) - p, p_r)

    words = "p + p_r - hypot(p - p_e (1 - 1.645 c), p_r/2)" if low else "p + p_r + hypot(p_e (1 + 1.645 c) - p, p_r)"
    return Told(
        f"{'Lower' if low else 'Upper'} end of the band of the pressure that fills the bead.",
        "formula",
        words,
        rows,
        SOURCE,
        VALID,
        None,
        BAND,
        COMPARED,
        evaluated(end, rows),
    )


def _acting(case: Case) -> Told:
    s = case.plan.setup
    assert s is not None
    name = "pump_to_pressure_mpa" if s.pump_pressure else "available_pressure_mpa"
    row = case.number("p", "pressure on the pad", f"setup.{name}", "MPa")
    what = "Pressure that acts: the one pumped to, else what the press gives."
    return Told(what, "formula", "p", (row,), "the press's own row of the shop file", again=float(row.value))


def _groove(case: Case) -> Told:
    g = case.plan.block.grooves[case.index]
    which = case.caught[1]
    if which == "volume_mm3":
        taken = between("V", "integral", g.volume, "mm3", "section along the path, turned at its ends and bends")
        return Told(
            "What the groove takes off the block.",
            "formula",
            "A sum(L) + 2 pi m + m sum(|a| - 2 tan(|a|/2))",
            (taken,),
            "Pappus",
        )
    what = {
        "width_mm": ("Width of the groove at the web face.", "the bead's"),
        "depth_mm": ("Depth of the groove.", "the bead's"),
        "edge_radius_mm": ("Radius of the groove's edge.", "the bead's edge radius, inside the sheet"),
        "bottom_radius_mm": ("Radius of the groove's bottom.", "the bead's radius and one thickness"),
    }[which]
    row: Input = between("x", what[1], case.value, "mm", f"{g.name} of the part file")
    return Told(what[0], "formula", what[1], (row,), "surface parallel to the sheet's")


def _on_acting(place: Place) -> Keys:
    return (*on.reached(place.world), *demand_keys(place.world))


FAMILIES = (
    Family("blank.beads[*].(width_mm|depth_mm|radius_mm|edge_radius_mm)", lambda _: ON_BEADS, _typed),
    Family("blank.beads[*].path_mm[*][*]", lambda _: ("part.beads*",), _place),
    Family("block.grooves[*].path_mm[*][*]", lambda _: ("part.beads*",), _place),
    Family("blank.beads[*].across_mm", lambda _: ON_BEADS, _across),
    Family("blank.beads[*].length_mm", lambda _: ON_BEADS, _length),
    Family("blank.beads[*].(web_beside_mm|web_wider_side_mm)", lambda _: ON_ROOM, _web),
    Family("blank.beads[*].near[*].gap_mm", lambda _: ON_ROOM, _gap),
    Family("blank.beads[*].stretch_own_width", lambda _: ON_BEADS, _own),
    Family("blank.beads[*].(stretch|thickness_mm|drawn_in_mm)", lambda _: ON_FORM, _solved),
    Family(
        "block.grooves[*].(width_mm|depth_mm|edge_radius_mm|bottom_radius_mm|volume_mm3)", lambda _: ON_BEADS, _groove
    ),
    Family(
        "setup.beads[*].(even_pressure_mpa|even_pressure_own_width_mpa|even_pressure_loose_mpa)",
        lambda _: ON_FORM,
        _solved,
    ),
    Family("setup.beads[*].pad_follows_mpa", lambda p: demand_keys(p.world), _rubber),
    Family("setup.beads[*].needed_pressure_mpa.(value|low|high)", lambda p: demand_keys(p.world), needed),
    Family("setup.beads[*].at_pressure_mpa", _on_acting, _acting),
)
