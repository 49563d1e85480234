"""Numbers of the cut line: its points, its extent and area, its lines and arcs, and the corners cut out of it."""

from __future__ import annotations

from math import hypot

import numpy as np

from ribwright.stages.blank import FIT
from ribwright.stages.corners import Join
from ribwright.stages.explain import by_balance
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, always, between

GEOMETRY = "geometry of the drawn lines"
CHORD = f"chords within 0.02 mm of the computed edge; the DXF has true lines and arcs within {FIT:g} mm of it, `blank.cut_line.fit_mm`"


def _point(case: Case) -> Told:
    """A place of a strip, of a relief circle, or of a drawn line."""
    loop = int(case.caught[0]) + 1 if len(case.caught) == 3 else 0
    point, axis = case.plan.blank.loops[loop].points[int(case.caught[-2])], int(case.caught[-1])
    name = "xy"[axis]
    what = f"{name} of a point of the cut line."
    if by_balance.by_balance(case):
        return by_balance.point(case, what, CHORD)
    for strip in case.plan.blank.strips:
        far = np.hypot(*(strip.flat - np.array(point)).T)
        k = int(np.argmin(far))
        if far[k] < 1e-6:
            edge = case.plan.blank.laid[strip.loop].edges[int(strip.at.edge[k])].edge.name
            inputs = (
                between(
                    "line",
                    f"{name} of the drawn line, {strip.at.along[k]:.3f} mm along {edge}",
                    float(strip.at.point[k, axis]),
                    "mm",
                    f"part file: web.edge[{edge}]",
                ),
                between(
                    "w",
                    "flat width there",
                    float(strip.strip.flat_width[k]),
                    "mm",
                    f"blank.edges[{edge}].flat_width_mm",
                ),
                case.typed("trim", "trim", "part.trim", "mm"),
                between(
                    "inset",
                    "drawn line to bend tangent line",
                    float(strip.at.inset[k]),
                    "mm",
                    "web.line and the flange's section",
                ),
                between("n", f"{name} of the outward normal", float(strip.at.normal[k, axis]), "", "drawn line"),
            )
            again = evaluated(lambda line, w, trim, inset, n: line + (w + trim - inset) * n, inputs)
            return Told(what, "formula", "line + (w + trim - inset) n", inputs, GEOMETRY, CHORD, again=again)
    for j in (j for joins in case.plan.blank.joins for j in joins if j.diameter > 0):
        if abs(hypot(point[0] - j.centre[0], point[1] - j.centre[1]) - j.diameter / 2) < 0.02:
            return Told(
                what,
                "geometry",
                f"On the relief circle at {j.before}/{j.after}: centre and half the diameter.",
                (
                    between("centre", f"{name} of the circle", j.centre[axis], "mm", "blank.corners"),
                    between("d", "diameter", j.diameter, "mm", "blank.corners"),
                ),
                GEOMETRY,
                CHORD,
            )
    count = (
        Input(
            "points",
            "drawn lines, flange ends and corners",
            len(case.plan.blank.loops[loop].points),
            "",
            "part file: web",
        ),
    )
    words = "On a drawn edge without flange, or where a flange is cut off square at a corner."
    return Told(what, "geometry", words, count, GEOMETRY, CHORD)


def _size(case: Case) -> Told:
    axis = int(case.caught[0])
    points = np.array(case.plan.blank.outline.points)[:, axis]
    name = "xy"[axis]
    inputs = (
        between(f"{name}_max", f"largest {name} of the outline", float(points.max()), "mm", "blank.outline_mm"),
        between(f"{name}_min", f"least {name} of the outline", float(points.min()), "mm", "blank.outline_mm"),
    )
    again = float(inputs[0].value) - float(inputs[1].value)
    return Told(
        f"Extent of the blank in {name}, hand trim not added.",
        "formula",
        f"{name}_max - {name}_min",
        inputs,
        GEOMETRY,
        CHORD,
        again=again,
    )


def _area(case: Case) -> Told:
    blank = case.plan.blank
    inputs = (
        between(
            "A",
            "area inside the cut lines, cutouts taken off",
            sum(loop.path.area() for loop in blank.loops),
            "mm2",
            "true lines and arcs",
        ),
        between(
            "A_holes",
            "area of the cut holes",
            sum(h.cut_area for h in blank.holes),
            "mm2",
            "blank.holes: pi d^2/4 + slot d",
        ),
    )
    again = evaluated(lambda A, A_holes: A - A_holes, inputs)
    return Told(
        "Area of the blank, net of cutouts and holes.", "formula", "A - A_holes", inputs, GEOMETRY, CHORD, again=again
    )


def _count(case: Case) -> Told:
    loops = tuple(
        between(
            loop.name, f"{case.caught[0]} of {loop.name}", loop.path.counts()[case.caught[0]], "", "fitted cut line"
        )
        for loop in case.plan.blank.loops
    )
    return Told(
        f"How many {case.caught[0]} the DXF's cut lines have.",
        "geometry",
        f"counted over all cut lines; the fit stays within {FIT:g} mm",
        loops,
        "fit of lines and arcs",
        again=float(sum(float(i.value) for i in loops)),
    )


def _fit(case: Case) -> Told:
    blank = case.plan.blank
    rows = [(f"d_{i}", f"cut line of {loop.name}", loop.fit) for i, loop in enumerate(blank.loops)]
    rows += [(f"r_{h.hole.name}", f"rim of hole {h.hole.name} from its circle", h.out_of_round) for h in blank.holes]
    inputs = tuple(between(s, words, d, "mm", "measured on the finished lines and arcs") for s, words, d in rows)
    return Told(
        "Farthest that the computed cut lines lie from the true lines and arcs that are cut.",
        "geometry",
        f"the largest; the fit takes the longest piece that stays within {FIT:g} mm of every point and of the middle of every chord",
        inputs,
        "fit of lines and arcs",
        again=max(float(i.value) for i in inputs),
    )


def corner(case: Case) -> Join:
    """The join that the number's row tells of."""
    rows = [j for loop in case.plan.blank.joins for j in loop if j.relief != "none" or j.kind == "corner"]
    return rows[case.index]


def _corner_number(case: Case) -> Told:
    j, rule, which = corner(case), case.plan.job.relief_rule, case.caught[1]
    what = {
        "diameter": "Diameter of the relief hole; 0 where there is none.",
        "set_back": "How far the relief hole's centre is moved inward from the meeting of the bend tangent lines.",
        "gap": "How much a notch draws the two flange ends apart.",
    }[which]
    value = {"diameter": j.diameter, "set_back": j.set_back, "gap": j.gap}[which]
    source = f"{rule.title}: {rule.source} ({rule.status})"
    if j.by == "drawing" or which == "gap" or j.relief == "none":
        words = "part file: corner" if j.by == "drawing" else "no [[corner]] in the part file"
        return Told(what, "typed", inputs=(Input(which, f"{which} at {j.before}/{j.after}", value, "mm", words),))
    if which == "set_back":
        own = Input(which, "set-back", value, "mm", f"relief rule or part file: corner[{j.before}/{j.after}]")
        return Told(what, "fact", inputs=(own,), source=source)
    factor = Input(
        "f",
        "factor of the rule",
        rule.radius_factor,
        "",
        f"relief rule {rule.name}",
        "inputs.relief_rule.radius_factor",
    )
    part = case.plan.job.part
    names = {e.edge.name: e.flange for loop in case.plan.blank.laid for e in loop.edges}
    radius = max(f.bend_radius for f in (names[j.before], names[j.after]) if f)
    least = next((d for t, d in rule.least if part.sheet.thickness <= t * (1 + 1e-9)), rule.least[-1][1])
    inputs = (
        factor,
        between("R", "larger bend radius of the two flanges", radius, "mm", "part file: flange"),
        between("d_least", "least drill for this thickness", least, "mm", f"relief rule {rule.name}"),
    )
    return Told(
        what,
        "formula",
        "max(f R, d_least)",
        inputs,
        source,
        "common practice",
        again=evaluated(lambda f, R, d_least: max(f * R, d_least), inputs),
    )


def _corner_place(case: Case) -> Told:
    j, axis = corner(case), int(case.caught[1])
    name = "xy"[axis]
    inputs = (
        between("X", f"{name} where the two bend tangent lines meet", j.meeting[axis], "mm", "drawn lines and insets"),
        between("set_back", "set-back", j.set_back, "mm", "blank.corners"),
    )
    words = "X moved by the set-back along the inward bisector of the two tangent lines"
    again = j.meeting[axis] if j.set_back == 0.0 or not j.diameter else None
    return Told(f"{name} of the relief's centre.", "geometry", words, inputs, GEOMETRY, again=again)


CORNER: Keys = (*on.RELIEF, *on.FLANGES)

FAMILIES = (
    Family("blank.outline_mm[*][*]", always(*on.BLANK), _point),
    Family("blank.cutouts[*].outline_mm[*][*]", always(*on.BLANK), _point),
    Family("blank.size_mm[*]", always(*on.BLANK), _size),
    Family("blank.area_mm2", always(*on.BLANK), _area),
    Family("blank.cut_line.(lines|arcs)", always(*on.BLANK), _count),
    Family("blank.cut_line.fit_mm", always(*on.BLANK), _fit),
    Family("blank.corners[*].(diameter|set_back|gap)_mm", always(*CORNER), _corner_number),
    Family("blank.corners[*].centre_mm[*]", always(*on.SHAPE), _corner_place),
)
