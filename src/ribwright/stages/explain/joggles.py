"""Numbers of joggles: where a step runs, its arcs, what it strains, what pressure sets it; and the findings that speak of them."""

from __future__ import annotations

from math import atan, degrees

from ribwright.mechanics.joggle import BETWEEN, HELD, SLIDES
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.blank_edges import ANNULUS
from ribwright.stages.explain.block_undercut import MOMENT, moment, sheet_inputs
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.explain.judged import Judged, keys, same
from ribwright.stages.joggles import Step, steps

OWN: Keys = ("part.joggles*",)
ON_PLACE: Keys = (*OWN, *on.DRAWN)
ON_STRAIN: Keys = (*on.SHAPE, *on.DEVELOPED)
ARCS = "two equal arcs that meet the flange on both sides and each other without a kink"
PLANE = "geometry of two tangent arcs"
STRIP = "limit analysis of a strip across the step, Neal, The Plastic Methods of Structural Analysis (1956), ch. 2, recalled, not seen"
NOT_COMPARED = "an estimate: the web and the bend beside the step are left out, and no formed part was compared"


def _step(case: Case) -> Step:
    """The step of the row, or of the finding, that the number stands in."""
    row = case.row
    where = row.get("where", row)
    found = [s for s in steps(case.plan.job, case.plan.blank) if s.number == where["joggle"]]
    if "from_mm" in row:
        return min(found, key=lambda s: abs(s.start - row["from_mm"]))
    return min(found, key=lambda s: abs((s.start + s.end) / 2 - where["along_mm"]))


def _depth(s: Step) -> Input:
    return between("h", "depth of the joggle", s.depth, "mm", f"part file: joggle[{s.number}].depth")


def _length(s: Step) -> Input:
    return between("L", "length of its step", s.length, "mm", f"part file: joggle[{s.number}].length")


def _place(case: Case) -> Told:
    s = _step(case)
    own = between("joggle", "which joggle of the part file", s.number, "", f"part file: joggle[{s.number}].from, .to")
    what = "Where a step of the joggle begins or ends, along the edge from its start as typed; the step lies inside the stretch."
    return Told(what, "geometry", "an end of the stretch, and its length further in", (own, _length(s)), PLANE)


def _number(case: Case) -> Told:
    return Told("Which joggle of the part file, from 1.", "typed", inputs=(_depth(_step(case)),))


def _typed(case: Case) -> Told:
    s = _step(case)
    if case.caught[-1] == "depth_mm":
        return Told("How far the flange is set in.", "typed", inputs=(_depth(s),), again=s.depth)
    return Told("Length over which a step runs out.", "typed", inputs=(_length(s),), again=s.length)


def _radius(case: Case) -> Told:
    s = _step(case)
    inputs = (_depth(s), _length(s))
    again = evaluated(lambda h, L: (L * L + h * h) / (4 * h), inputs)
    return Told("Plan radius of both arcs of a step.", "formula", "(L^2 + h^2)/(4 h)", inputs, PLANE, ARCS, again=again)


def _slope(case: Case) -> Told:
    s = _step(case)
    inputs = (_depth(s), _length(s))
    again = evaluated(lambda h, L: 2 * degrees(atan(h / L)), inputs)
    what = "How far the middle of a step leans from the edge in plan."
    return Told(what, "formula", "2 arctan(h/L)", inputs, PLANE, ARCS, again=again)


def _stretch(case: Case) -> Told:
    s = _step(case)
    inputs = (_depth(s), _length(s))
    again = evaluated(lambda h, L: (L * L + h * h) / (2 * h) * 2 * atan(h / L) / L - 1, inputs)
    return Told(
        "How much longer the step is than the line it replaces: what it stretches where no metal draws in from beside it.",
        "formula",
        "2 rho theta/L - 1, rho = (L^2 + h^2)/(4 h), theta = 2 arctan(h/L)",
        inputs,
        PLANE,
        ARCS,
        compared=NOT_COMPARED,
        again=again,
    )


def _bend(case: Case) -> Told:
    s = _step(case)
    inputs = (_depth(s), _length(s), case.thickness)
    again = evaluated(lambda h, L, t: t / 2 / ((L * L + h * h) / (4 * h)), inputs)
    return Told(
        "Strain of the sheet's outer face where the wall is bent over an arc of the step.",
        "formula",
        "t/(2 rho), rho = (L^2 + h^2)/(4 h)",
        inputs,
        PLANE,
        ARCS,
        compared=NOT_COMPARED,
        again=again,
    )


def _edge_strain(case: Case) -> Told:
    s = _step(case)
    own = between("eps", "true strain of the free edge there", s.number, "", "strip of the edge, as blank.edges")
    return Told(
        "Most that the free edge shrinks or stretches within a flange width of the step, engineering strain.",
        "solved",
        "1 - exp(eps) or exp(eps) - 1, eps by the blank's method, its curvature with what the free edge feels of the step",
        (own,),
        f"{ANNULUS}; the step: strip in plane stress, Timoshenko & Goodier, Theory of Elasticity (1951), art. 23",
        "small strain of one step; strain gathers more than this where the sheet hardens little",
        compared="the blank by balance strains the edge up to twice as much at its worst place, over a shorter stretch",
    )


def setting(K: float, n: float, t: float, rho: float, L: float, kG: float, c: float = BETWEEN) -> float:
    """c M/L^2 + k G [MPa]."""
    return c * moment(K, n, t, max(rho - t / 2, 0.0)) / L**2 + kG


def _pressure(case: Case) -> Told:
    s = _step(case)
    which = case.path.rpartition(".")[2]
    c = {"low": SLIDES, "value": BETWEEN, "high": HELD}[which]
    k, n, _, _ = sheet_inputs(case)
    share = case.plan.setup.share if case.plan.setup else None
    assert share is not None
    kg = {"low": share.least, "value": share.mpa, "high": share.most}[which]
    inputs = (
        k,
        n,
        case.thickness,
        between("rho", "plan radius of the arcs", s.radius, "mm", "blank.joggles: radius_mm"),
        _length(s),
        between(
            "kG", "what the pad itself takes", kg, "MPa", "setup.pad_share_mpa; of a stack its softest or hardest layer"
        ),
    )
    again = evaluated(lambda K, n, t, rho, L, kG: setting(K, n, t, rho, L, kG, c), inputs)
    return Told(
        "Pressure on the pad that lays the wall into the step; its band is one end sliding freely to both ends held.",
        "formula",
        f"p = {c:g} M/L^2 + kG; {MOMENT}, R_block = rho - t/2",
        inputs,
        STRIP,
        "a strip of the wall across the step, fully plastic",
        compared=NOT_COMPARED,
        again=again,
    )


def _on_pressure(place: Place) -> Keys:
    return (*OWN, *on.SPRING, *on.THICKNESS, *on.rubber(place.world))


FAMILIES = (
    Family("blank.joggles[*].(from_mm|to_mm)", lambda p: ON_PLACE, _place),
    Family("(blank|setup).joggles[*].joggle", lambda p: OWN, _number),
    Family("blank.joggles[*].(depth_mm|length_mm)", lambda p: ON_PLACE, _typed),
    Family("blank.joggles[*].radius_mm", lambda p: ON_PLACE, _radius),
    Family("blank.joggles[*].slope_deg", lambda p: ON_PLACE, _slope),
    Family("blank.joggles[*].stretch", lambda p: ON_PLACE, _stretch),
    Family("blank.joggles[*].bend_strain", lambda p: (*ON_PLACE, *on.THICKNESS), _bend),
    Family("blank.joggles[*].(edge_shrinks|edge_stretches)", lambda p: ON_STRAIN, _edge_strain),
    Family("setup.joggles[*].along_mm", lambda p: ON_PLACE, _place),
    Family("setup.joggles[*].needed_pressure_mpa.(value|low|high)", _on_pressure, _pressure),
)


def _row(case: Case) -> int:
    rows = case.world.answer["blank"]["joggles"]
    s = _step(case)
    return next(i for i, r in enumerate(rows) if r["joggle"] == s.number and abs(r["from_mm"] - s.start) < 1e-6)


def _own_length(case: Case) -> tuple[Input, ...]:
    return (case.number("L", "length of the step", f"blank.joggles[{_row(case)}].length_mm", "mm"),)


def _least(case: Case) -> tuple[Input, ...]:
    fact = case.plan.job.catalogue.practice["joggle_runout_depths"]
    return (
        case.fact("c", "depths that a step runs out over at least", fact, "practice.joggle_runout_depths"),
        _depth(_step(case)),
    )


def _faces(case: Case) -> tuple[Input, ...]:
    i = _row(case)
    return (
        case.number("e", "how much longer the step is", f"blank.joggles[{i}].stretch"),
        case.number("b", "strain of the outer face by bending", f"blank.joggles[{i}].bend_strain"),
    )


def _rivet(case: Case) -> tuple[Input, ...]:
    s = _step(case)
    at = case.row["where"]["along_mm"]
    return (
        between("x", "place of the rivet along the edge", at, "mm", "part file: rivets, first + k pitch"),
        between("a", "where the step begins", s.start, "mm", f"part file: joggle[{s.number}]"),
        between("b", "where it ends", s.end, "mm", f"part file: joggle[{s.number}]"),
    )


def _edge_distance(case: Case) -> tuple[Input, ...]:
    own = between("e", "edge distance of the row", case.row["limit"], "mm", "part file: rivets.edge_distance")
    return (own,)


def _need(end: str) -> object:
    def inputs(case: Case) -> tuple[Input, ...]:
        s, rows = _step(case), case.world.answer["setup"]["joggles"]
        middle = (s.start + s.end) / 2
        i = next(i for i, r in enumerate(rows) if r["joggle"] == s.number and abs(r["along_mm"] - middle) < 1e-6)
        return (
            case.number("p", "pressure that sets the step", f"setup.joggles[{i}].needed_pressure_mpa.{end}", "MPa"),
        )

    return inputs


def _have(case: Case) -> tuple[Input, ...]:
    pumped = case.world.answer["setup"]["pump_to_pressure_mpa"] is not None
    path = "setup.pump_to_pressure_mpa" if pumped else "setup.available_pressure_mpa"
    return (case.number("p", "pressure pumped to" if pumped else "pressure available", path, "MPa"),)


def _pressed(end: str, what: str) -> Judged:
    return Judged(
        what,
        "pressure that the set-up pumps to, or all that the press gives where that closes no flange",
        _on_pressure,
        lambda p: on.reached(p.world),
        formula="p = c M/L^2 + kG",
        inputs=_need(end),  # type: ignore[arg-type]
        again=same,
        limit_origin="formula",
        limit_formula="what the last flange or bead needs with its band, at most limit force over pressure area",
        limit_inputs=_have,
        limit_again=same,
    )


JOGGLE_CODES: dict[str, Judged] = {
    "joggle-short": Judged(
        "Length over which the step runs out",
        "least length for its depth",
        keys(*ON_PLACE),
        keys(*OWN, "practice.joggle_runout_depths.value"),
        least=True,
        origin="typed",
        inputs=_own_length,
        again=same,
        limit_origin="formula",
        limit_formula="c h",
        limit_inputs=_least,
        limit_again=lambda c, h: c * h,
    ),
    "joggle-stretch": Judged(
        "Strain of the sheet's outer face in the step",
        "stretch limit of the temper",
        keys(*ON_PLACE, *on.THICKNESS),
        keys(*on.SHEET, "*materials[*].facts[stretch_limit].value"),
        formula="e + b",
        inputs=_faces,
        again=lambda e, b: e + b,
    ),
    "joggle-near-rivet": Judged(
        "From the rivet to the step, along the edge; negative inside it",
        "edge distance of the row",
        keys(*ON_PLACE, "part.rivets*"),
        keys("part.rivets*"),
        least=True,
        formula="max(a - x, x - b)",
        inputs=_rivet,
        again=lambda x, a, b: max(a - x, x - b),
        limit_origin="typed",
        limit_inputs=_edge_distance,
        limit_again=same,
    ),
    "joggle-not-set": _pressed("low", "Lower end of the band of the pressure that sets the step"),
    "joggle-may-not-set": _pressed("value", "Pressure that sets the step"),
}
