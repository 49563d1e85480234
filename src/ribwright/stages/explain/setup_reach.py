"""Numbers of what the pressure does to each flange: how far it turns, what stays open, the shortest flange it closes."""

from __future__ import annotations

from math import degrees, inf, radians, sqrt, tan

import numpy as np

from ribwright.mechanics.closing import HALVINGS
from ribwright.mechanics.pad import OPEN_SD
from ribwright.stages.explain import by_section
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.block_undercut import UNDERCUT
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told, evaluated
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.explain.setup_pressure import COMPARED, SOURCE, on_closing, own, pad_input, reach, typed_radius
from ribwright.stages.reach import MODEL as QUICK
from ribwright.stages.reach import WITHIN_DEG
from ribwright.stages.springback import Bends, released_of, undercut_of
from ribwright.stages.undercut import Released, Undercut

TURNS = (
    "q = (p - kG phi/w)/pC, c = (n + 2)/2 s/sqrt(q), L = rho w + s; phi = (L - 2 c/(n + 2))/rho while c <= L, else "
    "n L/((n + 2) rho) (L/c)^(2/n); the one phi that fits both, w from p = pC + kG on"
)
OWN = "rigid-plastic strip over the block's edge, a derivation of this project, anchored at the closing pressure"
STRIP = (
    "a numerical strip of the same law with exact chord; no formed part and no section model below the closing pressure"
)
BOW = (
    "where the flange stays open its free part is bowed and straightens by bow = (1 - a_r/w) min(c, L)/rho (m^2/3 - n/(n + 2) "
    "m^(2/n)), m = min(L/c, 1), c and L as for the angle under load"
)
RELEASED = f"max(phi a_r/w - bow, 0); {BOW}"
OUTSIDE = "straight flange; elastic bending of the free part and lift of the web left out"
OWN_MISS = f"of an open flange under a pad 1.645 x {OPEN_SD:g} deg, how the pad's share grows with the angle"
SPREAD = "scatter of the closing pressure and of the pad's share, one after the other, squares added"


def _turned(p: float, kG: float, pC: float, s: float, rho: float, n: float, w: float) -> float:
    """phi [deg]."""
    if p - kG >= (1.0 - 1e-9) * pC:
        return w
    low, high = 0.0, w
    for _ in range(HALVINGS):
        phi = (low + high) / 2
        low, high = (phi, high) if _under((p - kG * phi / w) / pC, s, rho, n, w) >= phi else (low, phi)
    return low


def _under(q: float, s: float, rho: float, n: float, w: float) -> float:
    """phi [deg] at q."""
    length = rho * radians(w) + s
    c = (n + 2) / 2 * s / sqrt(q) if q > 0 else inf
    phi = (length - 2 * c / (n + 2)) / rho if c <= length else n * length / ((n + 2) * rho) * (length / c) ** (2 / n)
    return min(max(degrees(phi), 0.0), w)


def _strip(case: Case) -> tuple[Input, ...]:
    """p, kG, pC, s, rho, n and w of the flange."""
    r, row = reach(case)
    d = r.demand
    assert d is not None
    return (
        case.number("p", "pressure on the pad", f"{row}.at_pressure_mpa", "MPa"),
        pad_input(case),
        case.number("pC", "closing pressure", f"{row}.closing_pressure_mpa", "MPa"),
        case.number("s", "straight part", f"{row}.straight_mm", "mm"),
        between("rho", "mid-surface radius of the block's edge", d.mid_radius, "mm", "block radius + t/2"),
        between("n", "hardening exponent", d.n, "", "the sheet's record, as formed"),
        case.number("w", "loaded limit, angle of the block's wall", f"{row}.loaded_limit_deg", "deg"),
    )


def _solved(case: Case) -> Undercut:
    """The undercut that the flange's hardest place asks for."""
    f = reach(case)[0].flange
    return undercut_of(case.plan.job, _bends(case), f.fixed)


def _bends(case: Case) -> Bends:
    f = reach(case)[0].flange
    return Bends(f.owner, f.radius, np.array([f.angle]), np.array([f.along]))


def _by_model(case: Case, what: str, formula: str, inputs: tuple[Input, ...]) -> Told | None:
    """The number as the section model's; None where the quick formulas gave it."""
    r, _ = reach(case)
    solved = by_section.solved_there(case, r.flange.owner)
    if (
        solved is None
        or r.demand is None
        or not r.demand.by_model
        or r.under_load is None
        or r.under_load.model == QUICK
    ):
        return None
    words, inside = by_section.valid(solved)
    source, band, compared = by_section.SOURCE, by_section.BAND, by_section.COMPARED
    return Told(what, "solved", formula, inputs, source, words, inside, band, compared)


def _run_inputs(case: Case) -> tuple[Input, ...]:
    p, kG, pC, s, *_, w = _strip(case)
    return p, kG, pC, s, w


def _valid(case: Case) -> tuple[str, bool]:
    d = reach(case)[0].demand
    assert d is not None
    return OUTSIDE + (f"; here outside: {d.unverified}" if d.unverified else ""), not d.unverified


def _at_pressure(case: Case) -> Told:
    s = case.plan.setup
    assert s is not None
    pumped = s.pump_force is not None
    path, name = (
        ("setup.pump_to_pressure_mpa", "pressure pumped to")
        if pumped
        else ("setup.available_pressure_mpa", "all the press gives")
    )
    what = "Pressure on the pad that this row tells of" + (
        ": the one pumped to." if pumped else ", all the press gives."
    )
    row = case.number("p", name, path, "MPa")
    return Told(what, "formula", "the same number", (row,), "statics", again=float(row.value))


def _wall(case: Case) -> Told:
    r, _ = reach(case)
    angle, u = r.flange.angle, float(_solved(case).deg[0])
    inputs = (
        between(
            "a", "bend angle where the flange is shortest", angle, "deg", "part file: the flange's or hole's bend_angle"
        ),
        between("u", "undercut as cut", u, "deg", UNDERCUT.partition(";")[0]),
    )
    return Told(
        "Angle of the flange under load when it lies on the block's wall.",
        "formula",
        "w = a + u",
        inputs,
        SOURCE,
        "the block as `[block] undercut` asks for it",
        again=evaluated(lambda a, u: a + u, inputs),
    )


def _reaches(case: Case) -> Told:
    told = _by_model(case, "Angle of the flange under load at this pressure.", by_section.REACHES, _run_inputs(case))
    if told is not None:
        return told
    inputs, (valid, inside) = _strip(case), _valid(case)
    return Told(
        "Angle of the flange under load at this pressure.",
        "formula",
        TURNS,
        inputs,
        OWN,
        valid,
        inside,
        SPREAD,
        STRIP,
        evaluated(_turned, inputs),
    )


def _reach_band(case: Case) -> Told:
    low, (valid, inside) = case.path.endswith("low"), _valid(case)
    _, row = reach(case)
    value = case.number("phi", "angle under load", f"{row}.reaches_deg.value", "deg")
    what = f"{'Lower' if low else 'Upper'} end of the 90 % band of the angle under load."
    moved = (
        f"phi {'-' if low else '+'} root of the sum of squares of what moves it on the run's own ramp: pC and the pad's share at the "
        f"ends of their 90 % bands, {OWN_MISS}{f', and {WITHIN_DEG:g} deg' if low else '; a closed flange turns no further'}"
    )
    told = _by_model(case, what, moved, (value, *_run_inputs(case)))
    if told is not None:
        return told
    words = (
        f"phi - sqrt(d1^2 + d2^2 + d3^2 + ({WITHIN_DEG:g} deg)^2), d1 with pC at the top of its 90 % band, d2 with the pad's share at its"
        if low
        else "phi + sqrt(d1^2 + d2^2 + d3^2), at most w; d1 with pC at the foot of its 90 % band, d2 with the pad's share at its"
    )
    tail = f" {'top' if low else 'foot'}, d3 {OWN_MISS}{'; a loose pad that spreads counts' if low else ''}"
    return Told(
        what,
        "solved",
        f"{words}{tail}; {TURNS}",
        (value, *_strip(case)),
        OWN,
        valid,
        inside,
        SPREAD,
        STRIP,
    )


def _left_open(case: Case) -> Told:
    _, row = reach(case)
    end = case.path.rpartition(".")[2]
    of = {"value": "value", "low": "high", "high": "low"}[end]
    inputs = (
        case.number("w", "loaded limit", f"{row}.loaded_limit_deg", "deg"),
        case.number("phi", "angle under load", f"{row}.reaches_deg.{of}", "deg"),
    )
    valid, inside = _valid(case)
    what = {"value": "How far the flange stays off the wall under load.", "low": "Least", "high": "Most"}[end]
    what = what if end == "value" else f"{what} that it may stay off the wall under load, 90 %."
    again = evaluated(lambda w, phi: w - phi, inputs)
    return Told(what, "formula", "w - phi", inputs, OWN, valid, inside, SPREAD, STRIP, again)


def _released(case: Case) -> Told:
    _, row = reach(case)
    let_go = "the run of the angle under load, let go: its angle against the web beside the bend"
    told = _by_model(case, "Angle of the flange once it is let go.", let_go, _run_inputs(case))
    if told is not None:
        return told
    inputs = (
        case.number("phi", "angle under load", f"{row}.reaches_deg.value", "deg"),
        _closed(case),
        case.number("w", "loaded limit, a + u", f"{row}.loaded_limit_deg", "deg"),
        *_free_part(case),
    )
    valid, inside = _valid(case)
    return Told(
        "Angle of the flange once it is let go.",
        "formula",
        RELEASED,
        inputs,
        OWN,
        valid,
        inside,
        "the band under load, with that of springback",
        STRIP,
        evaluated(_released_value, inputs),
    )


def _released_band(case: Case) -> Told:
    r, row = reach(case)
    low = case.path.endswith("low")
    what = f"{'Lower' if low else 'Upper'} end of the 90 % band of the released angle."
    moved = "the released angle, by the root of the squares of springback's own band and of the band under load"
    told = _by_model(case, what, moved, _run_inputs(case))
    if told is not None:
        return told
    loaded, whole = r.under_load, r.wall
    assert loaded is not None
    assert whole is not None
    off = _springback_band(case)
    phi = case.number("phi_end", "end of the band under load", f"{row}.reaches_deg.{'low' if low else 'high'}", "deg")
    inputs: tuple[Input, ...] = (
        phi,
        case.number("phi", "angle under load", f"{row}.reaches_deg.value", "deg"),
        _closed(case),
        case.number("w", "loaded limit, a + u", f"{row}.loaded_limit_deg", "deg"),
        off,
    )
    valid, inside = _valid(case)
    if not low:
        again = evaluated(lambda phi_end, phi, a_r, w, off: a_r / w * phi_end + off * phi / w, inputs)
        words = "(a_r/w) phi_high + off phi/w"
    else:
        inputs = (*inputs, *_free_part(case))
        words = f"max((a_r/w) phi_low - off phi/w - bow, 0); {BOW}"
        again = evaluated(_released_low, inputs)
    return Told(
        what,
        "formula",
        words,
        inputs,
        OWN,
        valid,
        inside,
        "the band under load, with that of springback",
        STRIP,
        again,
    )


def _out(case: Case) -> Released:
    """What a bend that closes comes out as on this block."""
    r, _ = reach(case)
    assert r.wall is not None
    return released_of(case.plan.job, _bends(case), np.array([r.wall - r.flange.angle]))


def _closed(case: Case) -> Input:
    angle = float(_out(case).angle[0])
    where = "block.undercut: released_angle_deg, of a hole block.recesses or block.rings"
    return between("a_r", "angle that a closed bend comes out with on this block", angle, "deg", where)


def _springback_band(case: Case) -> Input:
    """What springback's own 90 % band gives to this end [deg]."""
    out = _out(case)
    off = float((out.angle - out.low if case.path.endswith("low") else out.high - out.angle)[0])
    return between(
        "off", "springback's own 90 % band, on this side", off, "deg", "block.undercut: deg.low and deg.high"
    )


def _free_part(case: Case) -> tuple[Input, ...]:
    _, kG, pC, s, rho, n, _ = _strip(case)
    return _strip(case)[0], kG, pC, s, rho, n


def _bow(
    phi: float, a_r: float, w: float, p: float, kG: float, pC: float, s: float, rho: float, n: float
) -> float:  # fmt: skip
    q = (p - kG * phi / w) / pC
    if phi >= w or q <= 0:
        return 0.0
    c, length = (n + 2) / 2 * s / sqrt(q), rho * radians(w) + s
    m = min(length / c, 1.0)
    return (1 - a_r / w) * degrees(min(c, length) / rho * (m**2 / 3 - n / (n + 2) * m ** (2 / n)))


def _released_value(
    phi: float, a_r: float, w: float, p: float, kG: float, pC: float, s: float, rho: float, n: float
) -> float:  # fmt: skip
    return max(a_r / w * phi - _bow(phi, a_r, w, p, kG, pC, s, rho, n), 0.0)


def _released_low(
    phi_end: float, phi: float, a_r: float, w: float, off: float, p: float, kG: float, pC: float, s: float, rho: float,
    n: float,
) -> float:  # fmt: skip
    return max(a_r / w * phi_end - off * phi / w - _bow(phi, a_r, w, p, kG, pC, s, rho, n), 0.0)


def _shortest(case: Case) -> Told:
    p, kG, pC, s, *_ = _strip(case)
    what = "Shortest straight part that this pressure closes, with this flange's section and sheet."
    told = _by_model(case, what, by_section.SHORTEST, (p, kG, pC, s))
    if told is not None:
        return told
    valid, inside = _valid(case)
    return Told(
        what,
        "formula",
        "sqrt(1.71 M/(p - kG)) = s sqrt(pC/(p - kG))",
        (p, kG, pC, s),
        SOURCE,
        valid,
        inside,
        "as the needed pressure's",
        COMPARED,
        evaluated(lambda p, kG, pC, s: s * sqrt(pC / (p - kG)), (p, kG, pC, s)),
    )


def _quick_shortest(case: Case) -> Told:
    """The quick formula's, beside the section model's."""
    p, kG, *_ = _strip(case)
    r, row = reach(case)
    assert r.demand is not None
    m = between("M", "moment of the bend", r.demand.moment, "N", "power law, at the block's radius")
    quick = case.number("pC_quick", "closing pressure of the closed form", f"{row}.closed_form_closing_mpa", "MPa")
    inputs = (p, kG, quick, m)
    return Told(
        "What the closed form says of the shortest straight part: the quick answer beside the section model's.",
        "formula",
        "sqrt(1.71 M/(p - kG))",
        inputs,
        SOURCE,
        OUTSIDE,
        None,
        "as the closed form's closing pressure",
        COMPARED,
        evaluated(lambda p, kG, pC_quick, M: sqrt(1.71 * M / (p - kG)), inputs),
    )


def _shortest_flange(case: Case) -> Told:
    r, row = reach(case)
    inputs = (
        typed_radius(case),
        case.thickness,
        between(
            "a", "bend angle where the flange is shortest", r.flange.angle, "deg", "part file: the flange's bend_angle"
        ),
        case.number("s", "shortest straight part", f"{row}.shortest_straight_mm", "mm"),
    )
    valid, inside = _valid(case)
    return Told(
        "Shortest flange, outside mold line to edge, that this pressure closes.",
        "formula",
        "(R + t) tan(a/2) + s",
        inputs,
        SOURCE,
        valid,
        inside,
        "as the needed pressure's",
        COMPARED,
        evaluated(lambda R, t, a, s: (R + t) * tan(radians(a) / 2) + s, inputs),
    )


def _margin(case: Case) -> Told:
    _, row = reach(case)
    inputs = (
        case.number("p", "pressure on the pad", f"{row}.at_pressure_mpa", "MPa"),
        case.number("need", "needed pressure", f"{row}.needed_pressure_mpa.value", "MPa"),
    )
    again = evaluated(lambda p, need: (p - need) / p, inputs)
    return Told(
        "Share of the pressure on the pad that is more than needed; negative: it stays open.",
        "formula",
        "(p - need)/p",
        inputs,
        "definition",
        again=again,
    )


def _on_reach(place: Place) -> Keys:
    return (*on.reached(place.world), *own(place))


def _on_wall(place: Place) -> Keys:
    return on_closing(place)


ROW = "setup.flanges[*]"
FAMILIES = (
    Family(f"{ROW}.at_pressure_mpa", lambda p: on.reached(p.world), _at_pressure),
    Family(f"{ROW}.loaded_limit_deg", _on_wall, _wall),
    Family(f"{ROW}.reaches_deg.value", _on_reach, _reaches),
    Family(f"{ROW}.reaches_deg.(low|high)", _on_reach, _reach_band),
    Family(f"{ROW}.left_open_deg.(value|low|high)", _on_reach, _left_open),
    Family(f"{ROW}.released_deg.value", _on_reach, _released),
    Family(f"{ROW}.released_deg.(low|high)", _on_reach, _released_band),
    Family(f"{ROW}.shortest_straight_mm", _on_reach, _shortest),
    Family(f"{ROW}.shortest_flange_mm", _on_reach, _shortest_flange),
    Family(f"{ROW}.closed_form_shortest_mm", _on_reach, _quick_shortest),
    Family(f"{ROW}.margin", _on_reach, _margin),
)
