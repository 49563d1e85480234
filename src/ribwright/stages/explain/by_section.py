"""Numbers that the section model gave, told: what it solves, what it takes, what its band is made of."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot, sqrt

import numpy as np

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.causes import World
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, between, constant
from ribwright.stages.one_section import MOST_MPA
from ribwright.stages.sections import Solved
from ribwright.stages.springback import solved_of
from ribwright.stages.undercut import Z90

SOURCE = "section model: a layered strip over a rounded edge under a pressure that follows it, docs/SECTION.md"
COMPARED = "a continuum solver on straight flanges under uniform pressure; nothing else, and no formed part"
VALID = "uniform pressure, one section: ends of flanges, corners and the bow of the part are left out"
UNDERCUT = (
    "the least u with which the strip, pressed over the block's edge at p and let go, stands at a against the web beside it; the "
    "block keeps the bend's arc; by secant, straight between the places where it was solved"
)
SLOPE = "how the released angle moves with the undercut, from the model's own runs"
BAND = (
    "90 %: 1.645 sd, sd^2 the sum over all causes: each cause of scatter a step off in a run of its own, at the flange's most "
    "undercut place and elsewhere in the share of the undercut; and the model's own miss; of an edge that flutes or wrinkles a whole "
    "ring's angle on the open side; about the answer moved by what lies to one side of it alone, which is friction"
)
MEAN = "how far friction, 0 in the answer and 0 to 0.2 on the block, moves the mean of the released angle"
CLOSES = (
    "least uniform pressure at which the strip stands within 0.5 deg of the wall under load, on the block as solved"
)
REACHES = (
    "the strip's angle a under load at q = p - kG a/(w - 0.5 deg), that of the strip itself; at p once it is closed"
)
SHORTEST = "straight part that p - kG closes: pC(s) ~ s^-m through the last two lengths run, until two agree to 1 %"


def solved_there(case: Case, owner: str) -> Solved | None:
    """The flange as the model answered it; None where the closed form did."""
    return solved_of(case.plan.job, owner)


def keys(world: World) -> Keys:
    """What the section model's answers depend on besides what a closed form does."""
    if world.inputs.get("model") != "section":
        return ()
    return (
        "model",
        *on.SHAPE,
        *on.DEVELOPED,
        *on.R_VALUE,
        "part.holes*",
        "part.block_undercut",
        "*materials[*].hardening.kinematic_share",
        "*materials[*].facts[yield_mpa].value",
        "practice.radius_gauge_step.value",
        *on.RELIEVED,
        *on.press(world, "kind", "pad.*"),
        *on.rating(world),
    )


def valid(s: Solved) -> tuple[str, bool]:
    """Where it holds, and whether this flange lies inside."""
    return (f"{VALID}; here unverified: {s.unverified}", False) if s.unverified else (VALID, True)


def what_it_takes(case: Case, sheet: tuple[Input, ...], radius: Input, angle: Input) -> tuple[Input, ...]:
    """Pressure, sheet and bend of a flange."""
    h = case.plan.job.formed.hardening if case.plan.job.formed else None
    assert h is not None
    where = case.material_path("hardening")
    return (
        case.number("p", "pressure that the block is cut for", "block.undercut_pressure_mpa", "MPa"),
        *sheet,
        Input("e0", "prestrain", h.prestrain, "", "the same record", f"inputs.{where}.prestrain"),
        case.r_value(),
        Input("share", "kinematic share of the hardening", h.kinematic_share, "", "the same record", f"inputs.{where}.kinematic_share"),
        radius,
        case.thickness,
        angle,
    )  # fmt: skip


def undercut(case: Case, s: Solved, inputs: tuple[Input, ...], mode: str, what: str) -> Told:
    """The undercut as cut; of an edge with one undercut, how that one follows."""
    words, inside = valid(s)
    formula = UNDERCUT
    if mode == "constant-per-edge":
        formula = (
            f"the one u' for the edge that leaves the least largest |slope (u' - u)| over its places; u {formula[10:]}"
        )
    rows = (*inputs, between("places", "places where it was solved", len(s.along), "", "ends, extremes and between"))
    return Told(what, "solved", formula, rows, SOURCE, words, inside, BAND, COMPARED)


def causes(s: Solved, along: float, opens: bool) -> tuple[Input, ...]:
    """Every cause of scatter that counts toward this end of a band, with its standard deviation here [deg]."""
    rows = [
        between(f"s{i}", m.name, float(s.at(m.sd, np.array([along]))[0]), "deg", m.source)
        for i, m in enumerate(s.causes(opens))
    ]
    return (*rows, constant("z", "90 % of a normal law", Z90))


def mean_at(s: Solved, along: float) -> Input:
    """How far what lies to one side alone moves the mean here."""
    return between("mean", MEAN, float(s.mean(np.array([along]))[0]), "deg", "the run with friction 0.1, the middle")


def half(s: Solved, opens: bool) -> Callable[..., float]:
    """z times the root of the sum of squares of what `causes` lists."""
    names = [f"s{i}" for i in range(len(s.causes(opens)))]
    return lambda z, **sd: z * hypot(*(sd[n] for n in names))


def slope_at(s: Solved, along: float) -> Input:
    """The slope here."""
    return between("slope", SLOPE, float(s.at(s.slope, np.array([along]))[0]))


def free_at(s: Solved, along: float) -> Input:
    """The undercut solved here."""
    return between("u_solved", "undercut solved", float(s.at(s.deg, np.array([along]))[0]), "deg", UNDERCUT)


def undercut_band(s: Solved, along: float, u: float, low: bool, what: str) -> Told:
    """One end of the undercut's band."""
    words, inside = valid(s)
    inputs = (
        between("u", "undercut cut", u, "deg", "deg.value of this place"),
        slope_at(s, along),
        mean_at(s, along),
        *causes(s, along, not low),
    )
    wide = half(s, not low)

    def end(u: float, slope: float, mean: float, z: float, **sd: float) -> float:
        middle, h = u - mean / slope, wide(z, **sd) / slope
        return max(min(middle - h, u), min(u, 0.0)) if low else max(middle + h, u)

    formula = "u - mean/slope " + ("- z sd/slope, at least 0" if low else "+ z sd/slope")
    again = evaluated(end, inputs)
    return Told(what, "formula", f"{formula}, sd^2 = sum of s^2", inputs, SOURCE, words, inside, BAND, COMPARED, again)


def left(s: Solved, along: float, u: Input, what: str) -> Told:
    """Released angle less the drawing's."""
    words, inside = valid(s)
    inputs = (u, free_at(s, along), slope_at(s, along))
    again = evaluated(lambda u, u_solved, slope: slope * (u - u_solved), inputs)
    return Told(what, "formula", "slope (u - u_solved)", inputs, SOURCE, words, inside, BAND, COMPARED, again)


def released(s: Solved, along: float, a: Input, u: Input, which: str, what: str) -> Told:
    """Released angle, or an end of its band."""
    words, inside = valid(s)
    inputs: tuple[Input, ...] = (a, u, free_at(s, along), slope_at(s, along))
    if which == "value":
        again = evaluated(lambda a, u, u_solved, slope: a + slope * (u - u_solved), inputs)
        formula = "a + slope (u - u_solved)"
    else:
        inputs = (*inputs, mean_at(s, along), *causes(s, along, which == "low"))
        wide = half(s, which == "low")

        def end(a: float, u: float, u_solved: float, slope: float, mean: float, z: float, **sd: float) -> float:
            value, h = a + slope * (u - u_solved), wide(z, **sd)
            middle = value + mean
            return min(middle - h, value) if which == "low" else min(max(middle + h, value), max(a + u, value))

        again = evaluated(end, inputs)
        formula = "a + slope (u - u_solved) + mean " + (
            "- z sd" if which == "low" else "+ z sd, at most the loaded angle a + u"
        )
    return Told(what, "formula", formula, inputs, SOURCE, words, inside, BAND, COMPARED, again)


def contributor(case: Case, s: Solved, name: str, along: float, what: str) -> Told:
    """One cause of a flange's scatter."""
    m = next(m for m in s.moved if m.name == name)
    own = between("u", "undercut solved here", float(s.at(s.deg, np.array([along]))[0]), "deg", UNDERCUT)
    formula = "change of the released angle when this alone is a step off, over the step's standard deviations, as a share of the undercut"
    if m.opens:
        formula = (
            "how much more open a whole ring, neither fluted nor wrinkled, stands on the block as cut, over 1.645; it counts on that "
            "side of a band alone"
        )
    elif m.mean is not None:
        formula = (
            "change of the released angle by the middle of what it may be, over sqrt(3), as a share of the undercut; that change also "
            "moves the mean, for it can only lie to one side"
        )
    elif float(np.ptp(m.sd)) == 0.0 and m.kind == "model":
        formula = "what the model may be off, whatever the undercut"
    return Told(what, "solved", formula, (own,), m.source, valid(s)[0], compared=COMPARED)


def closing(case: Case, s: Solved, inputs: tuple[Input, ...]) -> Told:
    """The uniform pressure that closes a flange."""
    words, inside = valid(s)
    what = "Uniform pressure on the flange that closes it to within 0.5 deg."
    wide = f"4 %, as of the closed form; over {MOST_MPA:g} MPa none is looked for"
    return Told(what, "solved", CLOSES, inputs, SOURCE, words, inside, wide, COMPARED)


def root(values: list[float]) -> float:
    """Root of the sum of squares."""
    return sqrt(sum(v * v for v in values))
