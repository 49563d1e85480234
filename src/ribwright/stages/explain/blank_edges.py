"""Numbers of a flanged edge in the flat: bend allowance, setback, flat width, edge strain, thickness of the edge."""

from __future__ import annotations

from math import exp, log, log10, radians, tan

import numpy as np

from ribwright.stages.develop import hill_k
from ribwright.stages.explain import by_balance
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.at_station import PLACE, Spot, spot
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between

ANNULUS = "Hill, The Mathematical Theory of Plasticity (1950), ch. XII; Marciniak, Duncan & Hu, Mechanics of Sheet Metal Forming (2002)"
FAA = "FAA-H-8083-31A, vol. 1, ch. 4"
BEND_RULES = {
    "faa": (
        "BA = (0.01743 R + 0.0078 t) N",
        FAA,
        "straight bends; N in degrees, the first constant is a rounded pi/180",
    ),
    "din-6935": (
        "BA = a (R + (k/2) t), k = 0.65 + 0.5 log10(R/t), at most 1",
        "DIN 6935",
        "R/t up to 5; above it k = 1",
    ),
    "k-factor": ("BA = a (R + Kf t)", "the shop's own K-factor", "bends like those the shop took Kf from"),
}
SETBACK = "setback = (R + t) tan(a/2)"
HANDBOOK = "flat width = BA + L"
STRAIN_CORRECTED = (
    "d((1 + kappa off) t sig_s)/ds = t sig_th kappa off', eps_th = ln((1 + kappa off)/(1 + kappa y)), dy/ds = exp(-eps_s), "
    "y(0) = 0; flat width = y - (0.5 - Kf) t a"
)
SQUARE = "(1 + kappa y)^(1+k) = 1 + (1+k) kappa Integral (1 + kappa off)^k ds; flat width = y - (0.5 - Kf) t a"
FLAT = "The edge is straight in plan, so no metal is stretched or gathered along it and the two methods agree: "


def section_inputs(case: Case, s: Spot) -> tuple[Input, Input, Input]:
    """R, t and a of the flange here."""
    key = f"part.flanges[{s.flange.name}]"
    return (
        case.typed("R", "inside bend radius, as released", f"{key}.bend_radius", "mm"),
        case.thickness,
        case.along("a", "bend angle here", s.of(s.strip.at.angle), f"{key}.bend_angle", "deg"),
    )


def straight_part(case: Case, s: Spot) -> Input:
    """L: width less setback."""
    why = f"flange width {s.of(s.strip.at.width):.6g} mm (part file: flange.{s.flange.name}.width) less the setback"
    return between("L", "straight part of the flange", s.of(s.strip.at.leg), "mm", why)


def bend_allowance(rule: str, R: float, t: float, a: float, Kf: float = 0.0) -> float:
    """BA [mm] in plain numbers, a in degrees."""
    if rule == "faa":
        return (0.01743 * R + 0.0078 * t) * a
    if rule == "k-factor":
        return radians(a) * (R + Kf * t)
    return radians(a) * (R + min(max(0.65 + 0.5 * log10(max(R / t, 10**-1.3)), 0.0), 1.0) / 2 * t)


def rule_inputs(case: Case) -> tuple[Input, ...]:
    """The shop's rule, and its K-factor where it has one."""
    rule = case.typed("rule", "bend allowance rule", "shop.rules.bend_allowance")
    if rule.value != "k-factor":
        return (rule,)
    return rule, case.typed("Kf", "K-factor", "shop.rules.k_factor")


def _bend_allowance(case: Case) -> Told:
    s, _ = spot(case, lambda r: r.strip.allowance)
    inputs = (*rule_inputs(case), *section_inputs(case, s))
    rule = str(inputs[0].value)
    formula, source, validity = BEND_RULES[rule]
    ratio = s.flange.bend_radius / case.plan.job.t
    inside = ratio <= 5 if rule == "din-6935" else None
    return Told(
        "Length of the bend in the flat, from bend tangent line to bend tangent line.",
        "formula",
        formula,
        inputs,
        source,
        f"{validity}. {PLACE}",
        inside,
        again=evaluated(bend_allowance, inputs),
    )


def _setback(case: Case) -> Told:
    s, _ = spot(case, lambda r: r.at.setback)
    inputs = section_inputs(case, s)
    again = evaluated(lambda R, t, a: (R + t) * tan(radians(a) / 2), inputs) if s.even else None
    return Told(
        "Outside mold line to bend tangent line, square to the drawn line.",
        "formula",
        SETBACK,
        inputs,
        FAA,
        f"bends under 180 deg. {PLACE}",
        again=again,
    )


def _flat_width(case: Case) -> Told:
    s, edge = spot(case, lambda r: r.strip.flat_width)
    what = (
        "From the bend tangent line on the web's side to the cut edge in the flat, square to that line; bend allowance "
        "included, trim not."
    )
    if by_balance.by_balance(case):
        return by_balance.flat_width(case, (*section_inputs(case, s), straight_part(case, s)), what)
    kappa = s.of(s.strip.strip.curvature)
    ba = between("BA", "bend allowance", s.of(s.strip.strip.allowance), "mm", f"blank.edges[{edge}].bend_allowance_mm")
    leg = straight_part(case, s)
    plain = case.plan.blank.method == "handbook" or float(np.max(np.abs(s.strip.strip.curvature))) < 1e-12
    if plain:
        why = "" if case.plan.blank.method == "handbook" else FLAT
        held = "" if why else "No hoop strain enters: on a curved edge the handbook's width is short or long."
        parts = (ba, leg, *_stepped(s))
        again = evaluated(lambda BA, L, step=0.0: BA + L + step, parts) if s.exact or len(parts) == 2 else None
        return Told(
            what,
            "formula",
            why + HANDBOOK + (" + step" if len(parts) > 2 else ""),
            parts,
            FAA,
            f"straight edges. {PLACE}",
            not _curved(s),
            compared=held,
            again=again,
        )
    square = abs(s.of(s.strip.at.angle) - 90.0) < 1e-9
    inputs = (
        *section_inputs(case, s),
        leg,
        between(
            "kappa",
            "curvature of the bend tangent line, smoothed",
            kappa,
            "1/mm",
            "drawn curve of the run, smoothed over 0.35 of the handbook's flat width; beside a notch what its free cut leaves of it",
        ),
        between("k", "Hill's k = R_value/(1 + R_value)", hill_k(case.plan.job), "", "the sheet's R-value"),
        case.r_value(),
        ba,
    )
    lost = (s.flange.bend_radius + case.plan.job.t / 2) * radians(s.of(s.strip.at.angle)) - float(ba.value)
    shift = between("(0.5 - Kf) t a", "shift of the neutral axis", lost, "mm", "(R + t/2) a less the bend allowance")
    good = bool(np.all(s.strip.strip.good))
    return Told(
        what,
        "solved",
        SQUARE if square else STRAIN_CORRECTED,
        (*inputs, shift, *_stepped(s)),
        ANNULUS,
        f"a flange on a held web, away from free ends and jumps of curvature. {PLACE}",
        good,
        compared="The equation's steps against eight times as many (3e-5 mm); the smoothing length is fitted to trials "
        "of whole rings. No formed part was compared.",
    )


def _stepped(s: Spot) -> tuple[Input, ...]:
    """What the steps of joggles add here; none on a run without."""
    if not s.strip.at.steps:
        return ()
    why = "the cut edge steps in less sharply than the line (strip in plane stress); square to a ramp that line lies less deep"
    return (between("step", "what the step of a joggle adds here", s.of(s.strip.strip.stepped), "mm", why),)


def _curved(s: Spot) -> bool:
    return float(np.max(np.abs(s.strip.strip.curvature))) > 1e-9


def _edge_strain(case: Case) -> Told:
    s, edge = spot(case, lambda r: r.strip.edge_strain)
    if by_balance.by_balance(case):
        return by_balance.edge_strain(case, s, edge)
    strip, at = s.strip.strip, s.strip.at
    rm, a = s.flange.bend_radius + case.plan.job.t / 2, np.radians(at.angle)
    off = rm * np.sin(a) + np.maximum(at.leg, 0.0) * np.cos(a)
    inputs = (
        between(
            "kappa",
            "curvature of the bend tangent line, + convex",
            s.of(strip.curvature + strip.felt),
            "1/mm",
            "drawn curve of the run" + (", with what the free edge feels of the steps" if at.steps else ""),
        ),
        between("off", "reach of the formed edge, (R + t/2) sin a + L cos a", s.of(off), "mm", "section of the flange"),
        between(
            "w", "flat width here", s.of(strip.flat_width - strip.stepped), "mm", f"blank.edges[{edge}].flat_width_mm"
        ),
    )
    closed = s.exact and bool(np.all(strip.good)) and not at.steps
    flat = lambda kappa, off, w: log((1 + kappa * off) / (1 + kappa * w))  # noqa: E731
    return Told(
        "True hoop strain of the free edge's mid-surface: + stretched, - gathered.",
        "formula",
        "edge strain = ln((1 + kappa off)/(1 + kappa w))",
        inputs,
        ANNULUS,
        f"a complete ring, which the smoothed curvature stands for. {PLACE}",
        bool(np.all(strip.good)),
        compared="kinematics of the edge; no formed part was compared",
        again=evaluated(flat, inputs) if closed else None,
    )


def _thickness(case: Case) -> Told:
    s, _ = spot(case, lambda r: r.strip.thickness)
    strain = between(
        "eps", "true hoop strain of the edge here", s.of(s.strip.strip.edge_strain), "", "the edge strain at this place"
    )
    inputs = (case.thickness, case.r_value(), strain)
    thin = lambda t, R_value, eps: t * exp(-eps / (1 + R_value))  # noqa: E731
    return Told(
        "Thickness of the formed free edge.",
        "formula",
        "t_edge = t exp(-eps/(1 + R_value))",
        inputs,
        ANNULUS,
        f"a free edge, pulled or pressed only along itself. {PLACE}",
        again=evaluated(thin, inputs) if s.exact else None,
        compared="no formed part was compared",
    )


def _edge_of(place: Place) -> str:
    return str(place.row["name"])


def _on_section(place: Place) -> Keys:
    return on.section(place.world, _edge_of(place))


def _on_allowance(place: Place) -> Keys:
    return (*_on_section(place), *on.BEND_RULE)


def _on_development(place: Place) -> Keys:
    """A straight edge has its own section only; a curved one feels its neighbours and where its strip ends."""
    row = place.row["edge_strain"]
    straight = row["min"] == row["max"] == 0
    if straight and not place.world.varies(_edge_of(place)):
        return (*_on_allowance(place), "method", f"{place.world.edge_path(_edge_of(place))}.*", "part.joggles*")
    return (*on.SHAPE, *on.DEVELOPED)


FAMILIES = (
    Family("blank.edges[*].bend_allowance_mm.(min|max)", _on_allowance, _bend_allowance),
    Family("blank.edges[*].setback_mm.(min|max)", _on_section, _setback),
    Family("blank.edges[*].flat_width_mm.(min|max)", _on_development, _flat_width),
    Family("blank.edges[*].edge_strain.(min|max)", _on_development, _edge_strain),
    Family(
        "blank.edges[*].thickness_mm.(min|max)", lambda p: (*_on_development(p), *on.R_VALUE, *on.THICKNESS), _thickness
    ),
)
