"""Numbers of the strain map: what is strained where, the limit line, and the room left before a place splits."""

from __future__ import annotations

from math import exp, expm1
from typing import Any

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.by_balance import BALANCE, COMPARED, SOURCE, VALID, keys, sheet
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.explain.paths import at
from ribwright.stages.strain_limit import LINE, LimitLine, limit_line

HILL_SWIFT = (
    "left of plane strain Hill (1952), major + minor = constant; right of it level, under Swift's (1952) diffuse neck"
)
F1 = "rule F1, plane-strain Considere of a Swift curve: an estimate, untested"
WHAT = {
    "major": "True major strain of the middle of the sheet",
    "minor": "True minor strain of the middle of the sheet",
    "thickness_mm": "Thickness of the formed sheet",
    "edge_strain": "True strain of the free edge along itself",
}
HOW = {
    "major": "greater principal value of h = -1/2 ln(G G^T), G from formed to flat",
    "minor": "smaller principal value of h = -1/2 ln(G G^T), G from formed to flat",
    "thickness_mm": "t exp(-major - minor)",
    "edge_strain": "ln(formed/flat) of each stretch between nodes of the free edge",
}
SHARE = "practice.limit_line_share.value"
LINE_KEYS: Keys = (*on.FLOW, SHARE)
EDGE_KEYS: Keys = (
    *on.SHEET,
    "*materials[*].facts[stretch_limit].value",
    "*materials[*].facts[hole_edge_limit].value",
)
ROW = "(strain.places[*].split[*]|strain.least|forecast.split_by_balance[*])"


def on_strain(place: Place) -> Keys:
    """Everything is in balance together."""
    return keys(place.world)


def _on_limit(place: Place) -> Keys:
    return (*on_strain(place), *LINE_KEYS, *EDGE_KEYS)


def _row(place: Place) -> tuple[str, dict[str, Any]]:
    """Path of the row that a number of `split` stands in, and the row."""
    path = place.path.rpartition(".")[0]
    return path, at(place.world.answer, path)


def _range(case: Case) -> Told:
    name, end = case.caught[-2], case.caught[-1]
    which = {"min": "least", "max": "greatest"}[end]
    return Told(
        f"{WHAT[name]} at this place, the {which} where one may be read.",
        "solved",
        f"{BALANCE}; {HOW[name]}",
        sheet(case),
        SOURCE,
        VALID,
        compared=COMPARED,
    )


def _strain(case: Case) -> Told:
    path, row = _row(case)
    name = case.caught[-1]
    if name == "thickness_mm":
        inputs = (
            case.thickness,
            case.number("major", "major strain there", f"{path}.major"),
            case.number("minor", "minor strain there", f"{path}.minor"),
        )
        again = evaluated(lambda t, major, minor: t * exp(-major - minor), inputs)
        return Told(f"{WHAT[name]} there.", "formula", HOW[name], inputs, SOURCE, VALID, compared=COMPARED, again=again)
    how = HOW["edge_strain"] if name == "major" and row["by"] != LINE else HOW[name]
    return Told(f"{WHAT[name]} there.", "solved", f"{BALANCE}; {how}", sheet(case), SOURCE, VALID, compared=COMPARED)


def _value(case: Case) -> Told:
    path, row = _row(case)
    major = case.number("major", "major strain there", f"{path}.major")
    if row["by"] == LINE:
        what = "Strain that is held against the limit line: the major one, where there is least room."
        return Told(what, "formula", "major", (major,), SOURCE, VALID, compared=COMPARED, again=float(major.value))
    what = "Engineering strain of the free edge along itself where it stretches most."
    again = expm1(float(major.value))
    return Told(what, "formula", "exp(major) - 1", (major,), SOURCE, VALID, compared=COMPARED, again=again)


def _limit(case: Case) -> Told:
    path, row = _row(case)
    if row["by"] != LINE:
        limit = Input("limit", "what the record says an edge stands", case.value, row["unit"], row["source"])
        return Told(
            "Engineering strain at which the edge is taken to split.", "fact", inputs=(limit,), source=row["source"]
        )
    inputs = (
        _e0(case),
        case.number("major", "major strain there", f"{path}.major"),
        case.number("minor", "minor strain there", f"{path}.minor"),
    )
    return Told(
        "Major true strain of the limit line at the same ratio of minor to major.",
        "formula",
        "e0/(1 + min(minor/major, 0))",
        inputs,
        HILL_SWIFT,
        "straight strain paths, membrane; not where a bend adds to it",
        compared="nothing: no forming limit of these alloys was found",
        again=evaluated(lambda e0, major, minor: e0 / (1.0 + min(minor / major, 0.0)), inputs),
    )


def _e0(case: Case) -> Input:
    """Of a strain answer its own number; a forecast does not print it."""
    words = "major strain of the line in plane strain"
    if "strain" in case.world.answer:
        return case.number("e0", words, "strain.limit_line.plane_strain_major")
    line = limit_line(case.plan.job)
    assert isinstance(line, LimitLine)  # else the row has no limit
    return between("e0", words, line.e0, "", line.source)


def _margin(case: Case) -> Told:
    path, row = _row(case)
    value, limit = (case.number(k, f"the {k} beside it", f"{path}.{k}", row["unit"]) for k in ("value", "limit"))
    inputs = (value, limit)
    again = evaluated(lambda value, limit: (limit - value) / limit, inputs)
    what = "Share of the limit that is left; negative is past it."
    return Told(what, "formula", "(limit - value)/limit", inputs, "definition", again=again)


def _where(case: Case) -> Told:
    on_blank = "flat" in case.caught[-2]
    what = "Where on the blank this is" if on_blank else "Where on the formed part's mid-surface this is"
    formula = f"{BALANCE}; middle of the triangle, or of the stretch of the free edge, with the least room"
    return Told(f"{what}.", "solved", formula, sheet(case), SOURCE, VALID)


def _plane(case: Case) -> Told:
    inputs = tuple(
        case.number(k, words, f"strain.limit_line.{k}")
        for k, words in (
            ("share", "share of rule F1"),
            ("n", "exponent of the flow curve"),
            ("prestrain", "its prestrain"),
        )
    )
    return Told(
        "Major true strain of the limit line in plane strain.",
        "formula",
        "share (n - sqrt(3)/2 prestrain)",
        inputs,
        F1,
        HILL_SWIFT,
        compared="nothing: no forming limit of these alloys was found",
        again=evaluated(lambda share, n, prestrain: share * (n - 3**0.5 / 2 * prestrain), inputs),
    )


def _line(case: Case) -> Told:
    name = case.caught[-1]
    if name == "share":
        fact = case.plan.job.catalogue.practice["limit_line_share"]
        return Told(
            "Share of rule F1 that the limit line is drawn at.",
            "fact",
            inputs=(case.fact("share", "share of rule F1", fact, SHARE.removesuffix(".value")),),
            source=fact.source,
        )
    h = case.plan.job.formed.hardening if case.plan.job.formed else None
    assert h is not None
    told = between(name, "of the flow curve", case.value, "", "material record: hardening")
    return Told(f"{name} of the flow curve of the sheet as formed.", "fact", inputs=(told,), source=h.source)


def _mesh(case: Case) -> Told:
    words = {
        "triangles": "Triangles of the mesh of the formed mid-surface.",
        "element_mm": "Size of the mesh's elements.",
    }
    return Told(words[case.caught[-1]], "geometry", "docs/MESH.md, element size", (case.thickness,), "docs/MESH.md")


def _thickness(case: Case) -> Told:
    return Told("Thickness of the sheet before forming.", "typed", inputs=(case.thickness,))


FAMILIES = (
    Family("strain.places[*].(major|minor|thickness_mm|edge_strain).(min|max)", on_strain, _range),
    Family(f"{ROW}.(major|minor|thickness_mm)", on_strain, _strain),
    Family(f"{ROW}.(value)", on_strain, _value),
    Family(f"{ROW}.(limit)", _on_limit, _limit),
    Family(f"{ROW}.(margin)", _on_limit, _margin),
    Family(f"{ROW}.(at_flat_mm|at_formed_mm)[*]", on_strain, _where),
    Family("strain.limit_line.plane_strain_major", lambda p: LINE_KEYS, _plane),
    Family("strain.limit_line.(n|prestrain|share)", lambda p: LINE_KEYS, _line),
    Family("strain.(triangles|element_mm)", on_strain, _mesh),
    Family("strain.sheet_thickness_mm", lambda p: on.THICKNESS, _thickness),
)
