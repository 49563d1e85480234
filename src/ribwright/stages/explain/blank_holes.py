"""Numbers of a hole in the blank: place, cut, tangent circle, rim, height, strain of the rim."""

from __future__ import annotations

from math import cos, exp, log, radians, sin, tan

from ribwright.stages.develop import hill_k
from ribwright.stages.explain import by_balance
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.blank_edges import ANNULUS, FAA
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.flat_holes import FlatHole

GEOMETRY = "geometry of a flange round a circle"
DEVELOPED = (
    "d((1 + kappa off) t sig_s)/ds = t sig_th kappa off' with kappa = -2/tangent circle, the flange's straight "
    "part L moved until the size that was typed comes out"
)
HELD = "the same size typed in any of its four ways gives the same hole; no formed part was compared"


def flat(case: Case) -> FlatHole:
    """The hole of the number's row."""
    return case.plan.blank.holes[case.index]


def _key(case: Case, name: str) -> str:
    return f"part.holes[{flat(case).hole.name}].{name}"


def _typed(case: Case, what: str, symbol: str, key: str, unit: str = "mm") -> Told:
    return Told(what, "typed", inputs=(case.typed(symbol, what.rstrip("."), _key(case, key), unit),))


def section(case: Case) -> tuple[Input, ...]:
    """Tangent circle, R, t, a and the straight part of the hole's flange."""
    h = flat(case)
    why = "solved from the size that was typed" if h.hole.given else "solved"
    base = f"blank.holes[{case.index}]"
    return (
        case.number("dt", "tangent circle", f"{base}.tangent_diameter_mm", "mm"),
        case.typed("R", "inside bend radius", _key(case, "bend_radius"), "mm"),
        case.thickness,
        case.typed("a", "bend angle", _key(case, "bend_angle"), "deg"),
        between("L", "straight part of the flange", float(h.straight or 0.0), "mm", why),
    )


def _at(case: Case) -> Told:
    place = flat(case).hole.at
    axis = "xy"[int(case.caught[1])]
    x = Input(
        axis, f"{axis} of the hole", place[int(case.caught[1])], "mm", f"part file: hole[{flat(case).hole.name}].at", ""
    )
    return Told(f"{axis} of the hole's centre; flat web does not move when the flanges turn.", "typed", inputs=(x,))


def _cut(case: Case) -> Told:
    h = flat(case)
    what = "Diameter of the hole as cut in the blank."
    name, size = h.hole.given or ("", 0.0)
    if h.hole.kind != "lightening":
        return _typed(case, what, "D", "diameter")
    given = Input(name, f"the size that was typed, {name}", size, "mm", f"part file: hole[{h.hole.name}].{name}", "")
    if h.flat_width is None:
        words = (
            f"The flange could not be developed ({h.outcome}): this is the size that was typed, or the tangent circle."
        )
        return Told(what, "typed", words, (given,), validity="see the findings", inside=False)
    if name == "cut_diameter":
        return Told(what, "typed", inputs=(given,))
    if by_balance.by_balance(case) and name != "flat_height":
        return by_balance.cut_diameter(case, h, (*section(case), given), what)
    base = f"blank.holes[{case.index}]"
    inputs = (
        case.number("dt", "tangent circle", f"{base}.tangent_diameter_mm", "mm"),
        case.number("w", "flat height", f"{base}.flat_height_mm", "mm"),
    )
    return Told(what, "formula", "cut = dt - 2 w", inputs, GEOMETRY, again=evaluated(lambda dt, w: dt - 2 * w, inputs))


def _tangent(case: Case) -> Told:
    what = "Circle where the hole's flange leaves the flat web."
    if flat(case).hole.line != "outside-mold-line":
        return _typed(case, what, "dt", "diameter")
    d = case.typed("D", "diameter on the outside mold line", _key(case, "diameter"), "mm")
    inputs = (d, *section(case)[1:4])
    return Told(
        what,
        "formula",
        "dt = D + 2 (R + t) tan(a/2)",
        inputs,
        FAA,
        "bends under 180 deg",
        again=evaluated(lambda D, R, t, a: D + 2 * (R + t) * tan(radians(a) / 2), inputs),
    )


def _rim(case: Case) -> Told:
    inputs = section(case)

    def rim(dt: float, R: float, t: float, a: float, L: float) -> float:
        q = radians(a)
        return dt - 2 * ((R + t / 2) * sin(q) + L * cos(q)) - t * sin(q)

    formula = "rim = dt - 2 ((R + t/2) sin a + L cos a) - t sin a"
    return Told(
        "Smallest finished opening of the flanged hole.",
        "formula",
        formula,
        inputs,
        GEOMETRY,
        "a rim cut square to the flange",
        compared=HELD,
        again=evaluated(rim, inputs),
    )


def _height(case: Case) -> Told:
    up = flat(case).hole.turn == "up"
    inputs = section(case)[1:]

    def height(R: float, t: float, a: float, L: float) -> float:
        q = radians(a)
        return t / 2 + (R + t / 2) * (1 - cos(q)) + L * sin(q) + t / 2 * abs(cos(q)) - (t if up else 0.0)

    formula = "H = t/2 + (R + t/2)(1 - cos a) + L sin a + (t/2)|cos a|" + (" - t (it turns up)" if up else "")
    return Told(
        "From the web's heel face to the farthest point of the rim, square to the web, as formed.",
        "formula",
        formula,
        inputs,
        GEOMETRY,
        "a rim cut square to the flange",
        compared=HELD,
        again=evaluated(height, inputs),
    )


def _flat_height(case: Case) -> Told:
    h = flat(case)
    what = "From the tangent circle to the cut edge in the flat."
    name = (h.hole.given or ("", 0.0))[0]
    base = f"blank.holes[{case.index}]"
    if name == "cut_diameter" or (by_balance.by_balance(case) and name != "flat_height"):
        both = (
            case.number("dt", "tangent circle", f"{base}.tangent_diameter_mm", "mm"),
            case.number("cut", "cut diameter", f"{base}.cut_diameter_mm", "mm"),
        )
        return Told(
            what, "formula", "w = (dt - cut)/2", both, GEOMETRY, again=evaluated(lambda dt, cut: (dt - cut) / 2, both)
        )
    if name == "flat_height":
        return Told(what, "typed", inputs=(_given(case),))
    k = between("k", "Hill's k = R_value/(1 + R_value)", hill_k(case.plan.job), "", "the sheet's R-value")
    inputs = (*section(case), _given(case), k)
    if case.plan.blank.method == "handbook":
        return Told(what, "formula", "w = BA + L", inputs, FAA, "no hoop strain enters", False, compared=HELD)
    return Told(
        what,
        "solved",
        DEVELOPED,
        inputs,
        ANNULUS,
        "short of folding and of necking",
        h.outcome == "good",
        compared=HELD,
    )


def _given(case: Case) -> Input:
    name, size = flat(case).hole.given or ("", 0.0)
    return Input(
        name, f"the size that was typed, {name}", size, "mm", f"part file: hole[{flat(case).hole.name}].{name}", ""
    )


def _strain(case: Case) -> Told:
    dt, r, t, a, length = section(case)
    q = radians(float(a.value))
    rim = float(dt.value) - 2 * ((float(r.value) + float(t.value) / 2) * sin(q) + float(length.value) * cos(q))
    inputs = (
        between(
            "rim_mid",
            "rim on the mid-surface, dt - 2 ((R + t/2) sin a + L cos a)",
            rim,
            "mm",
            "section of the hole's flange",
        ),
        case.number("cut", "cut diameter", f"blank.holes[{case.index}].cut_diameter_mm", "mm"),
    )
    return Told(
        "True hoop strain of the rim's mid-surface.",
        "formula",
        "edge strain = ln(rim_mid/cut)",
        inputs,
        "kinematics of a circle; no material law enters",
        "any hole flange",
        None,
        compared="no formed part was compared",
        again=evaluated(lambda rim_mid, cut: log(rim_mid / cut), inputs),
    )


def _thickness(case: Case) -> Told:
    strain = case.number("eps", "strain of the rim", f"blank.holes[{case.index}].edge_strain")
    inputs = (case.thickness, case.r_value(), strain)
    return Told(
        "Thickness of the formed rim.",
        "formula",
        "t_rim = t exp(-eps/(1 + R_value))",
        inputs,
        ANNULUS,
        "a free rim, pulled only along itself",
        compared="no formed part was compared",
        again=evaluated(lambda t, R_value, eps: t * exp(-eps / (1 + R_value)), inputs),
    )


def keys_of(place: Place, *names: str) -> Keys:
    """Keys of the hole in the place's row."""
    return tuple(f"part.holes[{place.row['name']}].{n}" for n in names)


def _flanged(place: Place) -> Keys:
    return (*keys_of(place, "*"), *on.THICKNESS, *on.DEVELOPED)


def _cut_keys(place: Place) -> Keys:
    """A hole cut as typed depends on nothing else."""
    given = place.world.inputs.get(f"part.holes[{place.row['name']}].given")
    return keys_of(place, "*") if not given or given[0] == "cut_diameter" else _flanged(place)


FAMILIES = (
    Family("blank.holes[*].at_mm[*]", lambda p: keys_of(p, "at"), _at),
    Family("blank.holes[*].cut_diameter_mm", _cut_keys, _cut),
    Family("blank.holes[*].tangent_diameter_mm", lambda p: (*keys_of(p, "*"), *on.THICKNESS), _tangent),
    Family("blank.holes[*].rim_diameter_mm", _flanged, _rim),
    Family("blank.holes[*].flange_height_mm", _flanged, _height),
    Family("blank.holes[*].flat_height_mm", _flanged, _flat_height),
    Family("blank.holes[*].edge_strain", _flanged, _strain),
    Family("blank.holes[*].thickness_mm", _flanged, _thickness),
    Family(
        "blank.holes[*].slot_mm",
        lambda p: keys_of(p, "slot"),
        lambda c: _typed(c, "Length of the slot beyond its diameter.", "slot", "slot"),
    ),
    Family(
        "blank.holes[*].slot_angle_deg",
        lambda p: keys_of(p, "slot_angle"),
        lambda c: _typed(c, "Direction of the slot from +x.", "angle", "slot_angle", "deg"),
    ),
)
