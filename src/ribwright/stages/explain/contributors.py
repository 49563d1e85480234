"""What moves a characteristic of `tolerances`: the standard deviation of each contributor, by its name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, radians, sin, sqrt, tan

from ribwright.mechanics import bending
from ribwright.stages.bend_scatter import SEATING, Bend, bend
from ribwright.stages.block import BlockEdge
from ribwright.stages.explain import by_section
from ribwright.stages.explain.blank_edges import BEND_RULES, FAA, bend_allowance, rule_inputs
from ribwright.stages.explain.block_undercut import COMPARED as SPRINGBACK_COMPARED
from ribwright.stages.explain.block_undercut import SOURCE as SPRINGBACK
from ribwright.stages.explain.block_undercut import sheet_inputs
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, between, constant
from ribwright.stages.springback import hole_bends, solved_of
from ribwright.stages.stack import MODEL, PIECE, TOOLING
from ribwright.stages.tolerances import DEVELOPMENT_MM, bend_at, lever_of, worst_place
from ribwright.stages.undercut import BLOCK_ANGLE_STEP, DEFAULT_K_COV, FORMULA_SD_DEG, MODULUS_COV, THICKNESS_COV

RECTANGULAR = "JCGM 100:2008, 4.3.7: anywhere in the interval with the same chance, from memory"
GEOMETRY = "geometry of the bend, its arc kept"
SPRINGS = "u ~ K t^(n-1)/E"
MOVED_BY_A_BEND = ("flange_angle", "flange_width", "contour", "bend_radius", "hole_diameter")
KINDS = {
    MODEL: "the same on every piece; goes with a correction",
    TOOLING: "comes back once, with the new cut",
    PIECE: "differs from piece to piece",
}
LEVERS = {
    "bend_radius": "-(R + t/2)/a [mm/deg]",
    "flange_width": "(R + t)/(2 cos^2(a/2)) - tan(a/2) (R + t/2)/a, per deg",
    "contour": "(R + s)/(2 cos^2(a/2)) - tan(a/2) (R + t/2)/a, per deg, s = t for an outside mold line, 0 for an inside one",
}


@dataclass(frozen=True)
class Bent:
    """The bend a row of `tolerances` hangs on: its numbers as inputs, `mean` among them how far what lies to one side alone moves the
    mean; `owner` the path of its flange or hole in `inputs`;
    `lever` how the characteristic moves per degree that the bend turns further."""

    bend: Bend
    radius: Input
    angle: Input
    left: Input
    lever: Input
    mean: Input
    owner: str
    along: float = 0.0


def bent(case: Case) -> Bent | None:
    """The bend of the row's edge or flanged hole; None where none moves it, as a hole's place or an edge without flange."""
    where = case.row["where"]
    if case.row["quantity"] not in MOVED_BY_A_BEND:
        return None
    if "hole" in where:
        return _of_hole(case, str(where["hole"]))
    rows = [e for e in case.plan.block.edges if e.edge == where.get("edge")]
    return _of_edge(case, rows[0]) if rows else None


def _of_edge(case: Case, e: BlockEdge) -> Bent:
    job, j = case.plan.job, worst_place(e)
    before = 0
    for other in case.plan.block.edges:
        if other is e:
            break
        before += len(other.along)
    owner = f"part.flanges[{case.world.flange_of(e.edge)}]"
    radius = case.typed("R", "inside bend radius", f"{owner}.bend_radius", "mm")
    b = bend(job, bend_at(job, e, j), float(e.remaining[j]), job.part.block_undercut != "none")
    angle = case.along("a", "bend angle there", b.angle, f"{owner}.bend_angle", "deg")
    left = case.number("left", "angle left", f"block.undercut[{before + j}].remaining_angle_deg", "deg")
    return Bent(b, radius, angle, left, _lever(case, b), _mean(b), owner, float(e.along[j]))


def _mean(b: Bend) -> Input:
    return between("mean", by_section.MEAN, b.mean, "deg", "runs of the section model; 0 by the closed form")


def _of_hole(case: Case, name: str) -> Bent | None:
    """Only a hole flange that came out has a recess, or a ring, to be formed into."""
    job, block, owner = case.plan.job, case.plan.block, f"part.holes[{name}]"
    places = [(k, i, r) for k, rs in (("recesses", block.recesses), ("rings", block.rings)) for i, r in enumerate(rs)]
    found = next(((k, i, r) for k, i, r in places if r.name == name), None)
    if found is None:
        return None
    key, i, recess = found
    radius = case.typed("R", "inside bend radius", f"{owner}.bend_radius", "mm")
    angle = case.typed("a", "bend angle", f"{owner}.bend_angle", "deg")
    left = case.number("left", "angle left", f"block.{key}[{i}].remaining_angle_deg", "deg")
    stepped = job.part.block_undercut != "none"
    hole = next(h for h in job.part.holes if h.name == name)
    b = bend(job, hole_bends(hole), recess.remaining, stepped)
    return Bent(b, radius, angle, left, _lever(case, b), _mean(b), owner)


def _lever(case: Case, b: Bend) -> Input:
    """How the row's characteristic moves per degree."""
    quantity, where, plan = str(case.row["quantity"]), case.row["where"], case.plan
    hole = next((h for h in plan.blank.holes if h.hole.name == where.get("hole")), None)
    if quantity == "flange_angle":
        return constant("lever", "the angle itself", 1.0)
    line = "outside-mold-line" if quantity == "flange_width" else _line_of(case)
    value = lever_of(plan.job, quantity, b, line, hole)
    words = LEVERS.get(quantity, "")
    if hole is not None and quantity != "bend_radius":
        words = "half the difference of the rim's section with the bend 1 deg further and 1 deg less, its arc kept"
    return between("lever", f"how it moves with the bend, {words}", value, "mm/deg", GEOMETRY)


def _line_of(case: Case) -> str:
    edge = case.row["where"].get("edge")
    return next((e.line for loop in case.plan.blank.laid for e in loop.edges if e.edge.name == edge), "")


def by_model(case: Case, name: str) -> Told | None:
    """A cause that the section model brought, told; None for every other contributor."""
    where, b = case.row["where"], bent(case)
    solved = solved_of(case.plan.job, str(where.get("edge", where.get("hole"))))
    if b is None or solved is None or name not in {m.name for m in solved.moved}:
        return None
    row = case.row["contributors"][int(case.caught[1])]
    what = f"Standard deviation that {name} adds; {KINDS[row['kind']]}."
    return by_section.contributor(case, solved, name, b.along, what)


def _told(case: Case, words: str, inputs: tuple[Input, ...], source: str, again: float, compared: str = "") -> Told:
    row = case.row["contributors"][int(case.caught[1])]
    what = f"Standard deviation that {row['name']} adds; {KINDS[row['kind']]}."
    return Told(what, "formula", words, inputs, source, str(row["source"]), compared=compared, again=again)


def _bend(case: Case) -> Bent:
    b = bent(case)
    assert b is not None
    return b


def _undercut(case: Case) -> Input:
    b = _bend(case).bend
    return between(
        "u",
        "springback solved for this bend",
        b.undercut,
        "deg",
        "block.undercut: solved, as deg.value where it varies",
    )


def _formula(case: Case) -> Told:
    own = constant("s_f", "miss of the closed form", FORMULA_SD_DEG, "deg", "rms over 945 points of a section model")
    return _told(case, "s_f", (own,), SPRINGBACK, FORMULA_SD_DEG, SPRINGBACK_COMPARED)


def _strength(case: Case) -> Told:
    m = case.plan.job.formed
    assert m is not None
    k = m.facts.get("k_cov")
    cov = (
        case.fact("k_cov", "scatter of the strength", k, case.material_path("facts[k_cov]"))
        if k
        else constant("k_cov", "scatter of the strength, not known", DEFAULT_K_COV)
    )
    inputs = (_undercut(case), cov)
    return _told(case, f"u k_cov, for {SPRINGS}", inputs, SPRINGBACK, evaluated(lambda u, k_cov: u * k_cov, inputs))


def _modulus(case: Case) -> Told:
    inputs = (_undercut(case), constant("c_E", "scatter of the modulus", MODULUS_COV, why="spread of published moduli"))
    return _told(case, f"u c_E, for {SPRINGS}", inputs, SPRINGBACK, evaluated(lambda u, c_E: u * c_E, inputs))


def _scatter() -> Input:
    return constant(
        "c_t", "scatter of the thickness", THICKNESS_COV, why="tolerance of thin sheet over two, from memory"
    )


def _thickness(case: Case) -> Told:
    quantity = str(case.row["quantity"])
    if quantity == "flange_angle":
        springs = (_undercut(case), sheet_inputs(case)[1], _scatter())
        again = evaluated(lambda u, n, c_t: u * (1 - n) * c_t, springs)
        return _told(case, f"u (1 - n) c_t, for {SPRINGS}", springs, SPRINGBACK, again)
    angle, t = _bend(case).angle, case.thickness
    if quantity == "contour":
        shell = (angle, t, _scatter())
        again = evaluated(lambda a, t, c_t: tan(radians(a) / 2) * c_t * t, shell)
        return _told(case, "tan(a/2) c_t t: an outside mold line moves with the sheet", shell, GEOMETRY, again)
    rules, b = case.plan.job.shop.rules, _bend(case).bend
    kf = float(bending.effective_k_factor(rules.bend_allowance, b.radius, case.plan.job.t, rules.k_factor))
    flat = (angle, t, between("Kf", "K-factor that the bend rule amounts to", kf, "", "shop file: rules"), _scatter())
    again = evaluated(lambda a, t, Kf, c_t: abs(tan(radians(a) / 2) - radians(a) * Kf) * c_t * t, flat)
    return _told(case, "|tan(a/2) - a Kf| c_t t: setback and bend allowance both move", flat, FAA, again)


def _wall(case: Case) -> Told:
    return _half_of(case, "block_angle_accuracy", "how exactly a wall is cut", "deg")


def _half_of(case: Case, key: str, name: str, unit: str = "mm") -> Told:
    own = _practice(case, key, name, unit)
    return _told(case, "acc/2, taken as two standard deviations", (own,), own.come_from, float(own.value) / 2)


def _practice(case: Case, key: str, name: str, unit: str = "mm") -> Input:
    return case.fact("acc", name, case.plan.job.catalogue.practice[key], f"practice.{key}", unit)


def _stepped(case: Case) -> Told:
    step = constant("step", "step of the bench", BLOCK_ANGLE_STEP, "deg", "project decision")
    return _told(case, "(step/2)/sqrt 3", (step,), RECTANGULAR, BLOCK_ANGLE_STEP / 2 / sqrt(3))


def _through(case: Case) -> Told:
    """The angle's own contributors of one kind, seen through the lever."""
    answer, row = case.world.answer, case.row
    kind = row["contributors"][int(case.caught[1])]["kind"]
    mine = [
        i for i, r in enumerate(answer["tolerances"]) if r["quantity"] == "flange_angle" and r["where"] == row["where"]
    ]
    rows = tuple(
        case.number(f"s{k}", c["name"], f"tolerances[{i}].contributors[{k}].sd", "deg")
        for i in mine
        for k, c in enumerate(answer["tolerances"][i]["contributors"])
        if c["kind"] == kind
    )
    lever = _bend(case).lever
    again = abs(float(lever.value)) * sqrt(sum(float(r.value) ** 2 for r in rows))
    return _told(case, "|lever| sqrt(sum of s^2), s of the angle", (lever, *rows), GEOMETRY, again)


def _opened(case: Case) -> tuple[Input, Input]:
    b = _bend(case)
    return b.angle, _undercut(case)


def _filed(case: Case) -> Told:
    step = _practice(case, "radius_gauge_step", "step of radius gauges")
    inputs = (*_opened(case), step)
    again = evaluated(lambda a, u, acc: (a + u) / a * acc / 2 / sqrt(3), inputs)
    return _told(case, "(a + u)/a (acc/2)/sqrt 3: the radius opens as the bend springs", inputs, RECTANGULAR, again)


def _seated(case: Case) -> Told:
    inputs = (
        *_opened(case),
        between("R_block", "block radius", _bend(case).bend.block_radius, "mm", "(R + t/2) a/(a + u) - t/2"),
        constant("c_s", "share of the block's radius", SEATING, why="one case of a finer model: 4 to 7 %"),
    )
    again = evaluated(lambda a, u, R_block, c_s: (a + u) / a * c_s * R_block / sqrt(3), inputs)
    return _told(case, "(a + u)/a c_s R_block/sqrt 3", inputs, RECTANGULAR, again)


def _rule(case: Case) -> Told:
    b, t = _bend(case), case.thickness
    inputs = (*rule_inputs(case), b.radius, t, b.angle)
    rule, kf = str(inputs[0].value), float(inputs[1].value) if len(inputs) == 5 else 0.0
    section = (float(b.radius.value), float(t.value), float(b.angle.value))
    others = (
        bend_allowance("faa", *section),
        bend_allowance("din-6935", *section),
        bend_allowance("k-factor", *section, 0.5),
    )
    used = bend_allowance(rule, *section, kf)
    words = "largest difference of BA by faa, din-6935 and Kf 0.5 from the one used, over sqrt 3; " + "; ".join(
        f"{k}: {v[0]}" for k, v in BEND_RULES.items()
    )
    return _told(case, words, inputs, RECTANGULAR, max(abs(x - used) for x in others) / sqrt(3))


def _cut_blank(case: Case) -> Told:
    return _half_of(case, "line_accuracy", "how exactly a line is cut")


def _cut_hole(case: Case) -> Told:
    acc, a = _practice(case, "line_accuracy", "how exactly a line is cut"), _bend(case).angle
    across = str(case.row["quantity"]) == "hole_diameter"
    q = radians(float(a.value))
    factor = 2 * abs(cos(q)) if across else abs(sin(q))
    words = ("2 |cos a|" if across else "sin a") + " acc/2: the cut edge goes along with the flange"
    return _told(case, words, (acc, a), GEOMETRY, factor * float(acc.value) / 2)


def _recess(case: Case) -> Told:
    own = _practice(case, "line_accuracy", "how exactly a line is cut")
    return _told(case, "acc, on the diameter", (own,), own.come_from, float(own.value))


def _developed(case: Case) -> Told:
    own = constant("miss", "largest miss of one rib", DEVELOPMENT_MM, "mm", "one rib against a finite-element blank")
    return _told(case, "miss/sqrt 3", (own,), RECTANGULAR, DEVELOPMENT_MM / sqrt(3), "one rib; no formed part")


def _located(case: Case) -> Told:
    return _half_of(case, "hole_location", "how exactly a hole is located")


def _play(case: Case) -> Told:
    fits = {h.name: h.pin_fit for h in case.plan.job.part.holes if h.kind == "tooling" and h.pin_fit is not None}
    inputs = tuple(case.typed(f"fit_{n}", f"fit of {n}", f"part.holes[{n}].pin_fit", "mm") for n in fits)
    return _told(case, "(largest fit/2)/sqrt 3", inputs, RECTANGULAR, max(fits.values()) / 2 / sqrt(3))


def untold(case: Case) -> Told:
    """A contributor that has no row in CONTRIBUTORS yet."""
    return Told("No explanation is written for this number yet.", "formula")


CONTRIBUTORS: dict[str, Callable[[Case], Told]] = {
    "springback formula": _formula,
    "strength K of the sheet": _strength,
    "thickness of the sheet": _thickness,
    "modulus of the sheet": _modulus,
    "wall angle as cut": _wall,
    "undercut rounded": _stepped,
    "angle, by the formula": _through,
    "angle, by the block as cut": _through,
    "angle, by the sheet": _through,
    "block's edge as filed": _filed,
    "sheet not lying on the edge": _seated,
    "bend allowance rule": _rule,
    "blank as cut": _cut_blank,
    "hole as cut": _cut_hole,
    "recess of the block as made": _recess,
    "flat of a curved flange": _developed,
    "block's outline as made": lambda case: _half_of(case, "line_accuracy", "how exactly a line is cut"),
    "hole as located": _located,
    "tooling holes and pins in place": _located,
    "play on the pins": _play,
}
