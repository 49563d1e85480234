"""Numbers of a place under the pad: what the model is given, what it answers, what follows from it."""

from __future__ import annotations

from math import radians, tan

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between, constant
from ribwright.stages.explain.forecast_place import OPTIONS, on_forecast
from ribwright.stages.explain.setup_pressure import GENT, OWN_G
from ribwright.stages.forecast_answer import SAYS
from ribwright.stages.pad_place import ROOM
from ribwright.stages.pads import layers_near, shear_of
from ribwright.stages.places import SHARPEST
from ribwright.stages.under_pad import MODEL, SHARES

HELD = (
    "exact deformations of a rubber block and published compression of bonded blocks for the rubber, a continuum section for the sheet; "
    "both together were held against nothing. " + SAYS
)
VALID = "straight flange, plane section, no friction, rubber slow and cold; the section the same on both sides of the block's middle"
BAND = "none is known"
OWN = (*OPTIONS, "forecast.place")


def on_pad(place: Place) -> Keys:
    """Everything that can move a number that the pad model gave."""
    return (*on_forecast(place), *on.placed(place.world), *on.press(place.world, "pad.*", "kind"), *OWN)


def _on_section(place: Place) -> Keys:
    return (*on_forecast(place), *on.placed(place.world), *OWN)


def _on_rubber(place: Place) -> Keys:
    return (*on.rubber(place.world), *on.press(place.world, "pad.*"), *OWN)


def _on_where(place: Place) -> Keys:
    """Which place is taken hangs on what all of them ask for."""
    return (*on_forecast(place), *on.placed(place.world), "part.holes*", *OWN)


def _of(case: Case, symbol: str, name: str, key: str, unit: str = "") -> Input:
    return case.number(symbol, name, f"under_pad.{key}", unit)


def takes(case: Case) -> tuple[Input, ...]:
    """What the model is given besides the sheet's law."""
    return (
        _of(case, "w", "wall of the block", "wall_angle_deg", "deg"),
        _of(case, "s", "straight part of the flange", "straight_mm", "mm"),
        case.thickness,
        _of(case, "b", "half the block", "block_half_mm", "mm"),
        _of(case, "c", "room beside the block, as counted", "room_counted_mm", "mm"),
        _of(case, "H", "height of the block", "block_height_mm", "mm"),
        _of(case, "T", "thickness of the pad", "pad.thickness_mm", "mm"),
        _of(case, "G", "shear modulus of the rubber", "pad.shear_modulus_mpa", "MPa"),
    )


SOLVED = {
    "closing_pressure_mpa": "Pressure at the ram at which the flange comes within 0.5 deg of the wall, straight between two steps.",
    "reached_mpa": "The last ram pressure that the model came to.",
    "rubber_folds_mpa": "The last ram pressure at which the rubber lies whole: after it a corner of an element is inside out.",
    "within_strain_limit_mpa": "The last ram pressure of the run at which the pad is squeezed over the block by no more than it may be.",
    "stroke_mm": "How far the ram has come down since the pad touched the sheet, in this half section.",
    "pressure_mpa": "Pressure at the ram: force over all the pad.",
    "on_flange_mpa": "Mean pressure of the rubber on the straight part of the flange.",
    "angle_deg": "Angle of the flange under load, from flat.",
    "largest_stretch": "Largest principal stretch anywhere in the rubber.",
    "angle_loaded_deg": "Angle of the flange under load, from flat, of the line from one thickness past the bend to the free edge.",
    "angle_on_block_deg": "Angle when the ram is up and the part still sits on its block.",
    "angle_released_deg": "Angle of the flange in the hand: ram up, part off the block.",
}


def _solved(case: Case) -> Told:
    what = SOLVED[case.path.rpartition(".")[2].partition("[")[0]]
    return Told(what, "solved", MODEL, takes(case), "mechanics/pad_model", VALID, band=BAND, compared=HELD)


def _fluid(case: Case) -> Told:
    key = case.path.rpartition(".")[2]
    what = {
        "closing_fluid_mpa": "Pressure of a fluid that brings the same flange within 0.5 deg of the same wall.",
        "fluid_loaded_deg": "Angle under load where a fluid presses with the ram's pressure.",
        "fluid_released_deg": "Released angle where a fluid presses with the ram's pressure.",
    }[key]
    return Told(
        what,
        "solved",
        "section model: layered strip over the block under a pressure that is the same everywhere, docs/SECTION.md",
        takes(case)[:3],
        "mechanics/section",
        "one section, even pressure",
        band="not given here: the forecast without --pad has it",
        compared="a continuum solver on straight flanges. " + SAYS,
    )


def _along_at(case: Case) -> Told:
    arc = case.path.startswith("under_pad.along.from")
    what = (
        "Arc length on the flat sheet from the bend's beginning; negative on the web."
        if arc
        else "Pressure of the rubber on the sheet there at the last ram pressure looked at, over about one element of the rubber."
    )
    return Told(what, "solved", MODEL, takes(case), "mechanics/pad_model", VALID, band=BAND, compared=HELD)


def _where(case: Case) -> Told:
    return Told(
        "Where the section is taken: arc length along the edge as typed.",
        "geometry",
        "the place asked for, or of the straight ones the one whose flange asks for most pressure",
        (_of(case, "a", "bend angle here", "bend_angle_deg", "deg"),),
        "choice of this project",
    )


def _angle(case: Case) -> Told:
    a = between("a", "bend angle", case.value, "deg", "part file: the flange's bend_angle")
    return Told(
        "Bend angle of the drawing at this place, from flat.", "geometry", "bend_angle there", (a,), "part file"
    )


def _undercut(case: Case) -> Told:
    if case.world.inputs.get("forecast.undercut_deg") is not None:
        u = case.typed("u", "undercut as given", "forecast.undercut_deg", "deg")
        return Told("Undercut of the block, as given on the command line.", "typed", inputs=(u,))
    u = between("u", "the block's undercut", case.value, "deg", "block.undercut")
    return Told("Undercut that the block has here.", "geometry", "linear between the block's places", (u,), "the block")


def _wall(case: Case) -> Told:
    rows = (_of(case, "a", "bend angle", "bend_angle_deg", "deg"), _of(case, "u", "undercut", "undercut_deg", "deg"))
    again = evaluated(lambda a, u: a + u, rows)
    return Told("Angle of the block's wall from flat.", "formula", "w = a + u", rows, "definition", again=again)


def _straight(case: Case) -> Told:
    s = between(
        "s", "flat mid-surface past the bend", case.value, "mm", "flat width + shift - arc, in steps of 0.01 mm"
    )
    return Told(
        "Straight part of the flange, on the flat mid-surface.", "geometry", "s", (s,), "the blank's development"
    )


def _radius(case: Case) -> Told:
    edge = case.plan.job.part.edge(str(case.world.answer["under_pad"]["edge"]))
    flange = case.plan.job.part.flanges[edge.flange or ""]
    rows = (
        between("R", "inside bend radius", flange.bend_radius, "mm", "part file: bend_radius"),
        case.thickness,
        _of(case, "a", "bend angle", "bend_angle_deg", "deg"),
        _of(case, "w", "wall", "wall_angle_deg", "deg"),
    )
    again = evaluated(lambda R, t, a, w: max((R + t / 2) * a / w - t / 2, SHARPEST * t), rows)
    return Told(
        "Radius of the block's edge: it keeps the arc that is left after springback.",
        "formula",
        "(R + t/2) a/w - t/2, no sharper than a thousandth of t",
        rows,
        "the sheet's mid-surface keeps its length",
        again=again,
    )


def _shear(case: Case) -> Told:
    s = case.plan.setup
    assert s is not None
    rows = []
    for i, (layer, share) in enumerate(layers_near(s.press.pad, s.block_height), 1):
        why = OWN_G if layer.shear_modulus_mpa is not None else f"from {layer.shore_a:g} Shore A: {GENT}"
        rows.append(between(f"G{i}", "shear modulus of the layer, next to the work first", shear_of(layer), "MPa", why))
        rows.append(between(f"f{i}", "its share of one block height", share, "", "thicknesses of the layers"))
    again = 1.0 / sum(float(f.value) / float(g.value) for g, f in zip(rows[::2], rows[1::2], strict=True))
    return Told(
        "Shear modulus of the rubber at small strain.",
        "formula",
        "1/G = sum of f_i/G_i over the layers within one block height of the work; one pad: its own",
        tuple(rows),
        "Gent, Rubber Chem. Technol. 31 (1958) 896, from memory, or the shop file",
        "20 to 80 Shore A",
        band="not known: a pad of the same hardness may differ by a tenth or more, from memory",
        compared="nothing",
        again=again,
    )


def _typed_pad(case: Case) -> Told:
    key = case.path.rpartition(".")[2]
    name = {
        "thickness_mm": "thickness of the pad, all its layers",
        "strain_limit": "share of it that it may be squeezed by",
    }[key]
    own = case.typed("x", name, f"{case.world.press}.pad.{key}", "mm" if key == "thickness_mm" else "")
    return Told(f"{name[0].upper()}{name[1:]}.", "typed", inputs=(own,))


def _area(case: Case) -> Told:
    s = case.plan.setup
    assert s is not None
    sides = tuple(
        between(k, "side of the pad", v, "mm", "shop file: pad.size")
        for k, v in zip("xy", s.press.pad.size_mm, strict=True)
    )
    again = evaluated(lambda x, y: x * y, sides)
    return Told("Plan area of the pad, of a container its opening.", "formula", "x y", sides, "geometry", again=again)


def _force_limit(case: Case) -> Input:
    s = case.plan.setup
    assert s is not None
    return between(
        "F", f"largest force allowed: {s.limit_by}", s.limit_force, "N", "shop file: ratings and gauge of the press"
    )


def _rated(case: Case) -> Told:
    rows = (_force_limit(case), _of(case, "A", "plan area of the pad", "pad.area_mm2", "mm2"))
    again = evaluated(lambda F, A: F / A, rows)
    return Told("Most pressure that the press gives on all the pad.", "formula", "F/A", rows, "statics", again=again)


def _last(case: Case) -> Told:
    if case.world.inputs.get("forecast.pressure_mpa") is not None:
        p = case.typed("p", "pressure as given", "forecast.pressure_mpa", "MPa")
        return Told("Last ram pressure, as given on the command line.", "typed", inputs=(p,))
    rows = (_of(case, "p", "most that the press gives", "pad.rated_pressure_mpa", "MPa"),)
    return Told(
        "Last ram pressure: the most the press gives.",
        "formula",
        "p",
        rows,
        "choice of this tool",
        again=float(rows[0].value),
    )


def _measured(case: Case) -> Told:
    """Lengths of the block and of the room about it."""
    key = case.path.rpartition(".")[2]
    what, how = {
        "block_across_mm": (
            "The block square to the edge at this place.",
            "from the edge straight across to the first other edge",
        ),
        "block_narrow_mm": (
            "Least width of the block in plan.",
            "least distance of two parallel lines about it, every degree",
        ),
        "beside_block_mm": (
            "From the block's edge, square to it, to the container's wall, of a loose pad to its edge; negative: the block hangs over.",
            "block as the set-up places it, pad about the middle of the table",
        ),
        "block_height_mm": ("Height of the block, table to web face.", "block.height_mm"),
    }[key]
    own = between("x", "length", case.value, "mm", "outline of the block, place on the table, size of the pad")
    return Told(what, "geometry", how, (own,), "stages/pad_place.py")


def _half(case: Case) -> Told:
    rows = (
        _of(case, "x", "block across", "block_across_mm", "mm"),
        _of(case, "y", "least width", "block_narrow_mm", "mm"),
    )
    again = evaluated(lambda x, y: min(x, y) / 2.0, rows)
    words = "min(x, y)/2: the rubber over a long block flows out the shorter way"
    return Told("Half the block in the section.", "formula", words, rows, "assumption of this project", again=again)


def _room(case: Case) -> Told:
    rows: tuple[Input, ...] = (
        _of(case, "d", "room beside the block", "beside_block_mm", "mm"),
        _of(case, "b", "half the block", "block_half_mm", "mm"),
        _of(case, "T", "thickness of the pad", "pad.thickness_mm", "mm"),
        constant("n", "room that is counted, in half blocks", ROOM),
    )
    again = evaluated(lambda d, b, T, n: min(d, max(n * b, T)), rows)
    if case.world.answer["under_pad"]["pad"]["held"] == "loose":
        rows, again = rows[:1], float(rows[0].value)
    words = "min(d, max(n b, T)) in a container; d, to its edge, of a loose pad"
    what = "Room beside the block as it is counted."
    return Told(what, "formula", words, rows, "assumption of this project", again=again)


def _fill(case: Case) -> Told:
    rows = (
        _of(case, "H", "height of the block", "block_height_mm", "mm"),
        between("B", "area of the block's web face less recesses", case.plan.block.bearing_area, "mm2", "block"),
        _of(case, "A", "opening of the container", "pad.area_mm2", "mm2"),
    )
    again = evaluated(lambda H, B, A: H * (1.0 - B / A), rows)
    return Told(
        "How far the ram comes down until the rubber has filled the container beside the whole block.",
        "formula",
        "H (1 - B/A)",
        rows,
        "rubber keeps its volume; wall taken upright, sheet left out",
        again=again,
    )


def _fill_strain(case: Case) -> Told:
    rows = takes(case)[3:7]
    again = evaluated(lambda b, c, H, T: H * (1.0 - b / (b + c)) / T, rows)
    return Told(
        "Share of its thickness by which the pad is squeezed when it has filled the space beside the block, in this half section.",
        "formula",
        "H (1 - b/(b + c))/T",
        rows,
        "rubber keeps its volume",
        again=again,
    )


def _force(case: Case) -> Told:
    """Ram force of a pressure: the one beside it."""
    path = case.path.replace("closing_force_n", "closing_pressure_mpa").replace("ram_force_n", "pressure_mpa")
    rows = (
        case.number("p", "ram pressure", path, "MPa"),
        _of(case, "A", "plan area of the pad", "pad.area_mm2", "mm2"),
    )
    again = evaluated(lambda p, A: p * A, rows)
    return Told("Force of the ram at that pressure on all the pad.", "formula", "p A", rows, "statics", again=again)


def _keeps(case: Case) -> Told:
    rows = (
        _of(case, "p", "closing pressure at the ram", "closing_pressure_mpa", "MPa"),
        _of(case, "pC", "closing pressure of a fluid", "closing_fluid_mpa", "MPa"),
    )
    again = evaluated(lambda p, pC: p - pC, rows)
    what = "What stays in the rubber when the flange closes: the set-up counts k G for it."
    return Told(what, "formula", "p - pC", rows, "definition", band=BAND, compared=SAYS, again=again)


def _share(case: Case) -> Told:
    kg = between("kG", "what the set-up counts for the pad", case.value, "MPa", "setup.pad_share_mpa")
    return Told(
        "What the set-up counts for the pad's own share.", "formula", "k G", (kg,), "mechanics/pad.py", again=case.value
    )


def _open(case: Case) -> Told:
    last = len(case.world.answer["under_pad"]["path"]["angle_deg"]) - 1
    rows = (
        _of(case, "w", "wall of the block", "wall_angle_deg", "deg"),
        _of(case, "phi", "angle under the last pressure", f"path.angle_deg[{last}]", "deg"),
    )
    again = evaluated(lambda w, phi: w - phi, rows)
    what = "What is missing to the wall under the last pressure reached; negative: turned past it."
    return Told(what, "formula", "w - phi", rows, "definition", band=BAND, again=again)


def _stop(case: Case) -> Told:
    rows = (
        _of(case, "p", "last ram pressure", "last_pressure_mpa", "MPa"),
        *(constant(f"k{i}", "share", x) for i, x in enumerate(SHARES)),
    )
    words = "p, shares of it, and what the set-up pumps to where that lies between"
    return Told(
        "Ram pressure at which the flange is looked at and let go.", "geometry", words, rows, "choice of this tool"
    )


def _strain(case: Case) -> Told:
    row = case.path.rpartition(".")[0]
    rows = (
        case.number("x", "stroke", f"{row}.stroke_mm", "mm"),
        _of(case, "T", "thickness of the pad", "pad.thickness_mm", "mm"),
    )
    again = evaluated(lambda x, T: x / T, rows)
    what = "Share of its thickness by which the pad is squeezed over the block."
    return Told(what, "formula", "x/T", rows, "definition", band=BAND, again=again)


def _off(case: Case) -> Told:
    row = case.path.rpartition(".")[0]
    rows = (
        case.number("phi", "released angle", f"{row}.angle_released_deg", "deg"),
        _of(case, "a", "bend angle of the drawing", "bend_angle_deg", "deg"),
    )
    again = evaluated(lambda phi, a: phi - a, rows)
    return Told(
        "Released angle less the drawing's: negative is open.", "formula", "phi - a", rows, "definition", again=again
    )


def _elapsed(case: Case) -> Told:
    return Told(
        "Time this took on this machine: the one number that differs when the same is asked again.",
        "solved",
        "clock at the end less clock at the start",
        (between("s", "seconds", case.value, "s", "this machine's clock"),),
        "this machine",
        compared="nothing",
    )


def past_edge(case: Case) -> float:
    """How far the flat blank reaches past the block's edge [mm]."""
    u = case.world.answer["under_pad"]
    w = radians(u["wall_angle_deg"])
    arc = (u["edge_radius_mm"] + case.plan.job.t / 2.0) * w
    return float(u["straight_mm"] + arc - u["edge_radius_mm"] * tan(w / 2.0))


POINT = "under_pad.points[*]"
FAMILIES = (
    Family("under_pad.along_mm", _on_where, _where),
    Family("under_pad.bend_angle_deg", _on_where, _angle),
    Family("under_pad.undercut_deg", _on_where, _undercut),
    Family("under_pad.wall_angle_deg", _on_where, _wall),
    Family("under_pad.straight_mm", _on_where, _straight),
    Family("under_pad.edge_radius_mm", _on_where, _radius),
    Family("under_pad.pad.shear_modulus_mpa", _on_rubber, _shear),
    Family("under_pad.pad.(thickness_mm|strain_limit)", _on_rubber, _typed_pad),
    Family("under_pad.pad.area_mm2", _on_rubber, _area),
    Family("under_pad.pad.rated_pressure_mpa", lambda p: (*on.rating(p.world), *OWN), _rated),
    Family("under_pad.(block_across_mm|block_narrow_mm|beside_block_mm|block_height_mm)", _on_section, _measured),
    Family("under_pad.block_half_mm", _on_section, _half),
    Family("under_pad.room_counted_mm", _on_section, _room),
    Family("under_pad.fill_stroke_mm", _on_section, _fill),
    Family("under_pad.fill_strain", on_pad, _fill_strain),
    Family("under_pad.last_pressure_mpa", lambda p: (*on.rating(p.world), *OWN), _last),
    Family("under_pad.(closing_pressure_mpa|reached_mpa|within_strain_limit_mpa|rubber_folds_mpa)", on_pad, _solved),
    Family("under_pad.closing_force_n", on_pad, _force),
    Family("under_pad.closing_fluid_mpa", on_pad, _fluid),
    Family("under_pad.pad_keeps_mpa", on_pad, _keeps),
    Family("under_pad.pad_share_mpa", lambda p: (*on.rubber(p.world), "press"), _share),
    Family("under_pad.left_open_deg", on_pad, _open),
    Family("under_pad.elapsed_s", on_pad, _elapsed),
    Family(f"{POINT}.pressure_mpa", on_pad, _stop),
    Family(f"{POINT}.ram_force_n", on_pad, _force),
    Family(f"{POINT}.pad_strain", on_pad, _strain),
    Family(f"{POINT}.off_drawing_deg", on_pad, _off),
    Family(f"{POINT}.(fluid_loaded_deg|fluid_released_deg)", on_pad, _fluid),
    Family(f"{POINT}.(stroke_mm|largest_stretch|on_flange_mpa|angle_loaded_deg|angle_on_block_deg|angle_released_deg)", on_pad, _solved),
    Family("under_pad.path.ram_force_n[*]", on_pad, _force),
    Family("under_pad.path.(stroke_mm|pressure_mpa|on_flange_mpa|angle_deg|largest_stretch)[*]", on_pad, _solved),
    Family("under_pad.along.(from_bend_mm|pressure_mpa)[*]", on_pad, _along_at),
)  # fmt: skip
