"""Numbers of `tolerances`: nominal, forecast band, room over the band, chances to be inside and to be proved inside.

What moves a characteristic is told in `contributors`.
"""

from __future__ import annotations

from collections.abc import Callable
from math import erf, hypot, inf, sqrt
from typing import Any

from ribwright.mechanics.tolerance import COVERAGE, Z90
from ribwright.stages.explain import by_book
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.contributors import CONTRIBUTORS, Bent, bent, by_model, untold
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.family import Case, Family, Place, constant
from ribwright.stages.stack import PIECE, TOOLING

CHANCE = "JCGM 106:2012 (chance to conform, guard band), from memory"
COMBINED = "JCGM 100:2008, 5.1.2, from memory"
NORMAL = "contributors independent, their sum normal: it says little of rare tails"
COMPARED = "no formed part was compared"
DEFINED = {"contour": "the drawn line itself", "web_flatness": "a flat web", "hole_position": "the drawn place itself"}


def base(case: Case) -> str:
    """Path of the row."""
    return f"tolerances[{case.index}]"


def _own(case: Case, key: str, symbol: str, name: str) -> Input:
    return case.number(symbol, name, f"{base(case)}.{key}", str(case.row["unit"]))


def sds(case: Case, *kinds: str) -> tuple[Input, ...]:
    """Standard deviation of each contributor of these kinds, of all when none is named."""
    return tuple(
        _own(case, f"contributors[{i}].sd", f"s{i}", f"{row['name']} ({row['kind']})")
        for i, row in enumerate(case.row["contributors"])
        if not kinds or row["kind"] in kinds
    )


def root(inputs: tuple[Input, ...]) -> float:
    """Root of the sum of squares."""
    return sqrt(sum(float(i.value) ** 2 for i in inputs))


def _shift(case: Case) -> tuple[tuple[Input, ...], float, str]:
    """Lever, angle left and mean of what leans, and what they make; nothing where no bend moves it."""
    b = bent(case)
    if b is None or not b.bend.known:
        return (), 0.0, ""
    moved = float(b.left.value) + float(b.mean.value)
    return (b.lever, b.left, b.mean), float(b.lever.value) * moved, " + lever (left + mean)"


def _nominal(case: Case) -> Told:
    quantity, unit = str(case.row["quantity"]), str(case.row["unit"])
    what = "What the drawing asks for."
    if quantity in DEFINED:
        return Told(what, "constant", inputs=(constant("nominal", f"{DEFINED[quantity]}: by definition", 0.0, unit),))
    hole = case.row["where"].get("hole")
    if hole is not None:
        own, typed = _hole_nominal(case, str(hole), quantity)
        return Told(
            what,
            "typed" if typed else "formula",
            "" if typed else "the same number",
            (own,),
            "geometry",
            again=float(own.value),
        )
    b = bent(case)
    assert b is not None
    own = {"flange_angle": b.angle, "bend_radius": b.radius}.get(quantity) or _width(case, b)
    return Told(what, "typed", inputs=(own,))


def _width(case: Case, b: Bent) -> Input:
    return case.along("b", "flange width there", case.value, f"{b.owner}.width", "mm")


def _hole_nominal(case: Case, name: str, quantity: str) -> tuple[Input, bool]:
    """The nominal of a hole's row, and whether it was typed."""
    i = next(i for i, h in enumerate(case.plan.blank.holes) if h.hole.name == name)
    hole, key = case.plan.blank.holes[i].hole, f"part.holes[{name}]"
    if quantity == "flange_angle":
        return case.typed("a", "bend angle", f"{key}.bend_angle", "deg"), True
    if quantity == "bend_radius":
        return case.typed("R", "inside bend radius", f"{key}.bend_radius", "mm"), True
    if quantity == "flange_width":
        return case.number("H", "height of its flange", f"blank.holes[{i}].flange_height_mm", "mm"), False
    if hole.kind == "lightening":
        return case.number("rim", "finished opening", f"blank.holes[{i}].rim_diameter_mm", "mm"), False
    return case.typed("D", "diameter", f"{key}.diameter", "mm"), True


def _along(case: Case) -> Told:
    edge = str(case.row["where"]["edge"])
    return Told(
        "Where on the edge the released angle is forecast to be worst, arc length from its start as typed.",
        "geometry",
        "place of the largest |angle left| + |undercut|/10",
        (Input("edge", "edge", edge, "", f"part file: web.edge[{edge}]"),),
        "places of block.undercut",
    )


def _tolerance(case: Case) -> Told:
    quantity, where, tolerance = str(case.row["quantity"]), case.row["where"], case.plan.job.part.tolerance
    owners = [f"{k}.{where[k]}" for k in ("edge", "hole") if k in where]
    if "edge" in where and quantity != "contour":
        owners.append(f"flange.{case.world.flange_of(where['edge'])}")
    key = next((k for k in (f"{o}.{quantity}" for o in owners) if k in tolerance), quantity)
    side = case.caught[-1]
    own = Input(side, f"tolerance, {side}", case.value, str(case.row["unit"]), f"part file: tolerance.{key}")
    return Told(f"How far {'under' if side == 'minus' else 'over'} nominal the drawing allows.", "typed", inputs=(own,))


def _forecast(case: Case) -> Told:
    inputs, shift, words = _shift(case)
    nominal = _own(case, "nominal", "nominal", "nominal")
    return Told(
        "Mean of the first pieces off the block.",
        "formula",
        f"nominal{words}",
        (nominal, *inputs),
        COMBINED,
        NORMAL,
        compared=COMPARED,
        again=float(nominal.value) + shift,
    )


def _band(case: Case) -> Told:
    inputs, shift, words = _shift(case)
    nominal, moved = _own(case, "nominal", "nominal", "nominal"), sds(case)
    low, part = case.path.endswith("low"), "known_part" in case.path
    half = Z90 * root(moved)
    what = f"{'Lower' if low else 'Upper'} end of the band that holds 90 % of first pieces"
    left = str(case.row["left_out"])
    return Told(
        f"{what}, by the part of it that is known: the true band is at least as wide." if part else f"{what}.",
        "formula",
        f"nominal{words} {'-' if low else '+'} 1.645 sqrt(sum of s^2)",
        (nominal, *inputs, *moved),
        COMBINED,
        NORMAL + (f"; left out: {left}" if left else ""),
        False if part else None,
        compared=COMPARED,
        again=float(nominal.value) + shift + (-half if low else half),
    )


def _limits(case: Case) -> tuple[Input, Input]:
    return _own(case, "tolerance.minus", "minus", "tolerance under nominal"), _own(
        case, "tolerance.plus", "plus", "tolerance over nominal"
    )


def _ratio(case: Case) -> Told:
    (minus, plus), (levers, shift, _), moved = _limits(case), _shift(case), sds(case)
    room, sd = min(float(plus.value) - shift, shift + float(minus.value)), root(moved)
    return Told(
        "Room on the nearer side over half the band: under 1 the band reaches past the tolerance.",
        "formula",
        "min(plus - shift, minus + shift)/(1.645 sqrt(sum of s^2)), shift = lever (left + mean)",
        (minus, plus, *levers, *moved),
        COMBINED,
        NORMAL,
        compared=COMPARED,
        again=room / (Z90 * sd) if sd > 0 else inf,
    )


def _inside(lo: float, hi: float, mu: float, sd: float) -> float:
    def below(x: float) -> float:
        return (1 + erf((x - mu) / sd / sqrt(2))) / 2

    if hi < lo:
        return 0.0
    return float(lo <= mu <= hi) if sd <= 0 else max(below(hi) - below(lo), 0.0)


def _spread(case: Case) -> tuple[tuple[Input, ...], float, str]:
    """Contributors, standard deviation and its formula: of the first piece, or once corrected by a measured piece."""
    if case.path.endswith("first_piece"):
        moved = sds(case)
        return moved, root(moved), "sd^2 = sum of s^2"
    tooling, piece, gauge = sds(case, TOOLING), sds(case, PIECE), _gauge_input(case)
    sd = sqrt(root(tooling) ** 2 + 2 * root(piece) ** 2 + (float(gauge.value) / COVERAGE) ** 2)
    words = "sd^2 = tooling^2 + 2 piece^2 + (U/2)^2: the formula's error goes with the correction"
    return (*tooling, *piece, gauge), sd, words


def _gauge_input(case: Case) -> Input:
    return _own(case, "gauge_uncertainty", "U", "expanded uncertainty of the gauge")


def _chance(case: Case) -> Told:
    (minus, plus), (levers, shift, _) = _limits(case), _shift(case)
    moved, sd, words = _spread(case)
    first = case.path.endswith("first_piece")
    inputs: tuple[Input, ...] = (minus, plus, *levers, *moved)
    lo, hi = -float(minus.value), float(plus.value)
    what = "first piece" if first else "piece off the block (or blank) corrected by a measured one"
    if "chance_proved" not in case.path:
        text = f"Phi((plus - shift)/sd) - Phi((-minus - shift)/sd), shift = lever (left + mean); {words}"
        said = f"Chance that the {what} lies inside the tolerance."
    else:
        gauge = _gauge_input(case)
        guarded = str(case.row["decision"]) == "guarded"
        inputs = inputs if gauge in inputs else (*inputs, gauge)
        inputs = (*inputs, case.typed("rule", "decision rule", "shop.rules.decision"))
        by = float(gauge.value) if guarded else 0.0
        lo, hi, sd = lo + by, hi - by, hypot(sd, float(gauge.value) / COVERAGE)
        drawn = "both limits drawn in by U" if guarded else "the limits as they are"
        text = f"as chance_inside with {drawn} and sd^2 + (U/2)^2; {words}"
        said = f"Chance that the gauge proves the {what} inside, by the shop's decision rule."
    return Told(said, "formula", text, inputs, CHANCE, NORMAL, compared=COMPARED, again=_inside(lo, hi, shift, sd))


def _gauge(case: Case) -> Told:
    own = Input(
        "U", "uncertainty as typed", case.value, str(case.row["unit"]), f"shop file: gauge[{case.row['gauge']}]"
    )
    what = "Expanded uncertainty (coverage factor 2) of the shop's best gauge for this."
    return Told(what, "typed", inputs=(own,), validity="a gauge in date")


def _contributor(case: Case) -> Told:
    row: dict[str, Any] = case.row["contributors"][int(case.caught[1])]
    if (told := by_book.contributor(case, str(row["name"]))) is not None:
        return told
    if case.row["quantity"] == "flange_angle" and (told := by_model(case, str(row["name"]))) is not None:
        return told
    tell: Callable[[Case], Told] = CONTRIBUTORS.get(str(row["name"]), untold)
    return tell(case)


def _on_row(place: Place) -> Keys:
    return on.forecast(str(place.row["quantity"]), place.world)


def _on_tolerance(place: Place) -> Keys:
    return (f"part.tolerance.*{place.row['quantity']}",)


ROW = "tolerances[*]"
FAMILIES = (
    Family(f"{ROW}.nominal", _on_row, _nominal),
    Family(f"{ROW}.where.along_mm", _on_row, _along),
    Family(f"{ROW}.tolerance.(minus|plus)", _on_tolerance, _tolerance),
    Family(f"{ROW}.forecast.value", _on_row, _forecast),
    Family(f"{ROW}.(forecast|known_part).(low|high)", _on_row, _band),
    Family(f"{ROW}.contributors[*].sd", _on_row, _contributor),
    Family(f"{ROW}.ratio", _on_row, _ratio),
    Family(f"{ROW}.(chance_inside|chance_proved).(first_piece|corrected)", _on_row, _chance),
    Family(f"{ROW}.gauge_uncertainty", lambda p: ("shop.gauges*",), _gauge),
)
