"""Numbers of measured circles and of a rubbed web: what is read off a file, what follows from it, what is solved."""

from __future__ import annotations

from math import log

import numpy as np

from ribwright.stages.circle_answer import SAYS
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, always, between
from ribwright.stages.explain.finding_codes_circles import ON_MAP
from ribwright.stages.web_slip import HOLDS

MAP = "strain map of the blank by balance (mechanics/inverse)"
READ = "file of measured circles"
PAPER = "nothing: it is what somebody measured"
SOLVED = "membrane in balance in the formed shape, its web rubbed: mechanics/inverse, Friction"
ON_SLIP = (*ON_MAP, "practice.web_friction.value", "press", "shop.presses*")


def _of(case: Case, key: str, symbol: str, name: str, unit: str = "") -> Input:
    return case.number(symbol, name, f"circles.rows[{case.index}].{key}", unit)


def _read(what: str) -> Family:
    """Numbers of the file, as typed or put into mm."""
    said = {
        "diameter_mm": "Diameter of the circles as printed.",
        "gauge_mm": "A diameter was read to within this, either way; 0.1 mm where the file does not say.",
    }
    return Family(f"circles.{what}", always(), lambda c: Told(said[what], "typed", source=READ, compared=PAPER))


def _reading(case: Case) -> Told:
    what = {
        "major_mm": "Longest diameter of the circle after forming.",
        "minor_mm": "Shortest diameter of the circle after forming.",
    }
    key = case.path.rsplit(".", 1)[1]
    return Told(
        what.get(key, "Thickness of the sheet at the circle, as measured."), "typed", source=READ, compared=PAPER
    )


def _at(case: Case) -> Told:
    return Told(
        "Centre of the circle in the flat blank, x or y.", "geometry",
        "first corner of the grid + (column or row - 1/2) x pitch along the rows, or as typed", source="stages/circles",
    )  # fmt: skip


def _measured(case: Case) -> Told:
    which = case.caught[1]
    d = case.number("d", "diameter as printed", "circles.diameter_mm", "mm")
    inputs = (_of(case, f"{which}_mm", "D", f"{which} diameter after forming", "mm"), d)
    return Told(
        f"Measured {which} true strain.", "formula", "ln(D/d)", inputs, "definition of true strain", compared=PAPER,
        again=evaluated(lambda D, d: log(D / d), inputs),
    )  # fmt: skip


def _uncertain(case: Case) -> Told:
    which = case.caught[1]
    inputs = (
        _of(case, f"{which}_mm", "D", f"{which} diameter after forming", "mm"),
        case.number("g", "how finely it was read", "circles.gauge_mm", "mm"),
    )
    return Told(
        f"How far the reading leaves the {which} strain open, either way.", "formula", "ln(D/(D - g))", inputs, "definition of true strain",
        again=evaluated(lambda D, g: log(D / (D - g)), inputs),
    )  # fmt: skip


def _forecast(case: Case) -> Told:
    disc = between("disc", "points over the circle's disc", 65, "", "centre and four rings of sixteen")
    return Told(
        f"{case.caught[1].capitalize()} true strain of the strain map there.", "solved",
        "mean of the strain tensor over the circle's disc by area, then principal", (disc,), MAP, "one step, web held, no wrinkles",
        compared=SAYS,
    )  # fmt: skip


def _off(case: Case) -> Told:
    which = case.caught[1]
    inputs = (_of(case, f"{which}.measured", "m", "measured"), _of(case, f"{which}.forecast", "f", "forecast"))
    return Told(
        f"Measured less forecast, {which} strain.",
        "formula",
        "m - f",
        inputs,
        again=evaluated(lambda m, f: m - f, inputs),
        compared=SAYS,
    )


def _faces(case: Case) -> Told:
    return Told(
        "How far the strain of either face of the sheet is from its middle's at the circle, at the most.", "geometry",
        "largest principal value of 1/2 ln(F^T F) half a thickness out along the normals, less the middle's; F the linear map of least "
        "squares from the circle's points in the flat to the formed part", source=MAP, validity="a face that bends without slip",
    )  # fmt: skip


def _thick(case: Case) -> Told:
    if case.caught[1] == "forecast":
        return Told(
            "Thickness of the strain map there.",
            "solved",
            "t exp(-(e11 + e22)) of the mean strain",
            source=MAP,
            compared=SAYS,
        )
    inputs = (
        case.thickness,
        case.number("d", "diameter as printed", "circles.diameter_mm", "mm"),
        _of(case, "major_mm", "D", "longest diameter after forming", "mm"),
        _of(case, "minor_mm", "m", "shortest diameter after forming", "mm"),
    )
    return Told(
        "Thickness from both diameters.", "formula", "t d^2/(D m)", inputs, "the sheet keeps its volume",
        again=evaluated(lambda t, d, D, m: t * d * d / (D * m), inputs),
    )  # fmt: skip


def _count(case: Case) -> Told:
    what = {
        "circles": "Circles of the file.",
        "compared": "Circles that are neither over a bend nor at a held corner.",
        "telling": "Of those, circles strained, by either, by more than reading and faces leave open: not every sheet would agree.",
        "telling_agree": "Of the telling ones, those of which both strains are within reading and faces of the forecast.",
        "agree": "Of those compared, circles of which both strains are within reading and faces of the forecast.",
    }
    return Told(what[case.caught[0]], "formula", "counted over circles.rows")


def _spread(case: Case) -> Told:
    which, how = case.caught
    rows = case.world.answer["circles"]["rows"]
    off = np.array([r[which]["off"] for r in rows if r["outcome"] in ("agrees", "apart")])
    again = {
        "mean": float(off.mean()),
        "rms": float(np.sqrt(np.mean(off**2))),
        "furthest": float(off[np.abs(off).argmax()]),
    }
    words = {"mean": "mean", "rms": "root mean square", "furthest": "furthest from nought"}[how]
    count = case.number("n", "circles compared", "circles.summary.compared")
    return Told(
        f"Measured less forecast, {which} strain of the circles compared: {words}.", "formula", f"{words} of circles.rows", (count,),
        again=again[how], compared=SAYS,
    )  # fmt: skip


def _rubbed(case: Case) -> Told:
    key = case.caught[0]
    p = case.number("p", "pressure", "web_slip.pressure_mpa", "MPa")
    if key == "pressure_mpa":
        words = "the least at which a curved flange closes, never more than the set-up pumps to or the press gives; or as typed"
        return Told("Pressure that rubs the web.", "formula", words, source="stages/setup")
    if key == "traction_mpa":
        mu = case.fact(
            "mu", "friction over both faces", case.plan.job.catalogue.practice["web_friction"], "practice.web_friction"
        )
        return Told(
            "What rubs a square millimetre of web, over both faces.",
            "formula",
            "p mu",
            (p, mu),
            again=evaluated(lambda p, mu: p * mu, (p, mu)),
        )
    what = {
        "largest_mm": "How far the web slides at the most.",
        "at_mm": "Where on the web that is, x or y.",
        "half_of_web_mm": "What half of the web's nodes slide by at the most.",
        "blank_moves_mm": "How far the flat is from that of a held web, at the most.",
        "blank_moves_at_mm": "Where in the flat that is, x or y.",
    }
    tau = case.number("tau", "what rubs the web", "web_slip.traction_mpa", "MPa")
    return Told(what[key], "solved", SOLVED, (tau,), "mechanics/inverse", HOLDS, compared="no formed part")


_ROW = "circles.rows[*]"
_STRAIN = always(*ON_MAP)
FAMILIES: tuple[Family, ...] = (
    _read("diameter_mm"),
    _read("gauge_mm"),
    Family(f"{_ROW}.(major_mm|minor_mm)", always(), _reading),
    Family(f"{_ROW}.thickness_mm.measured", always(), _reading),
    Family(f"{_ROW}.at_mm[*]", always(*on.DRAWN, *on.FLANGES, "part.sheet.grain", "part.trim"), _at),
    Family(f"{_ROW}.(major|minor).measured", always(), _measured),
    Family(f"{_ROW}.(major|minor).reading", always(), _uncertain),
    Family(f"{_ROW}.(major|minor).forecast", _STRAIN, _forecast),
    Family(f"{_ROW}.(major|minor).off", _STRAIN, _off),
    Family(f"{_ROW}.faces", _STRAIN, _faces),
    Family(f"{_ROW}.thickness_mm.(by_diameters|forecast)", _STRAIN, _thick),
    Family("circles.summary.(circles|compared|agree|telling|telling_agree)", _STRAIN, _count),
    Family("circles.summary.(major|minor).(mean|rms|furthest)", _STRAIN, _spread),
    Family("web_slip.(pressure_mpa|traction_mpa|largest_mm|half_of_web_mm|blank_moves_mm)", always(*ON_SLIP), _rubbed),
    Family("web_slip.(at_mm|blank_moves_at_mm)[*]", always(*ON_SLIP), _rubbed),
)
