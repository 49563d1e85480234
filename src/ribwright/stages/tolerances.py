"""The drawing's tolerances against what the forecast leaves: one stack a characteristic and place.

What is not forecast is said: such a row carries the contributors that are known and no chance. A tolerance that nobody
typed in is never replaced by a custom of the trade.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import cos, radians, tan
from typing import Any

import numpy as np

from ribwright.features.laid import LaidEdge
from ribwright.features.part import Hole, Part
from ribwright.mechanics import bending, hole
from ribwright.mechanics import tolerance as law
from ribwright.shop.sheet import Fact
from ribwright.stages.as_pressed import STAYS_OPEN, Pressed, as_pressed
from ribwright.stages.bend_scatter import NO_CURVE, Bend, bend, mold_line_lever, released_radius, through
from ribwright.stages.blank import Blank
from ribwright.stages.block import Block, BlockEdge
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.gauges import best_gauge
from ribwright.stages.job import Job
from ribwright.stages.sections import MODEL as SECTION
from ribwright.stages.setup import Setup
from ribwright.stages.springback import Bends, hole_bends, solved_of
from ribwright.stages.stack import LEFT_OPEN, MODEL, NO_UNDERCUT, PIECE, QUANTITIES, TOOLING, Contributor, Stack
from ribwright.stages.undercut import MODEL as SPRINGBACK
from ribwright.stages.undercut import THICKNESS_COV

CURVED = 1e-6  # 1/mm
EVEN_DEG = 0.05  # an undercut that changes by less along an edge has no place to name
DEVELOPMENT_MM = 0.16  # largest miss of the strain-corrected blank of one rib against a finite-element blank
STACK_MODEL = "stack of independent contributors"
NO_DRIFT = "drift of holes in forming is not forecast yet"
NO_RELEASE = "what a curved flange does to the contour when it is let go is not forecast yet"
RULES_DIFFER = "faa, din-6935 and K-factor 0.5 differ by this"
Where = dict[str, Any]


def tolerances(job: Job, blank: Blank, block: Block, setup: Setup | None = None) -> tuple[Stack, ...]:
    """Every characteristic that a tolerance of the part file can name, at each of its places, by quantity. With a set-up at the angle
    that its press reaches; without one every flange is taken to close."""
    rows = [*_edges(job, blank, block, setup), *_plain_edges(job, blank), *_holes(job, blank, block, setup)]
    rows.append(
        _row(
            job,
            "web_flatness",
            {"loop": "web"},
            0.0,
            (),
            left_out="web bow, twist and oil-canning are not forecast yet",
        )
    )
    return tuple(sorted(rows, key=lambda r: QUANTITIES.index(r.quantity)))


def allowed(part: Part, quantity: str, *owners: str, general: bool = True) -> tuple[float, float] | None:
    """(minus, plus) of the drawing: the first owner's own ("edge.upper"), else the general one; None where missing."""
    own = next((part.tolerance[k] for k in (f"{o}.{quantity}" for o in owners) if k in part.tolerance), None)
    return own if own is not None or not general else part.tolerance.get(quantity)


def general_counts(hole: Hole, quantity: str) -> bool:
    """Whether the drawing's general tolerance is meant for this size of a flanged hole. A size that the drawing does not give has
    none of the drawing's; a general flange width is measured along the flange, not square to the web."""
    if quantity == "hole_diameter" and hole.kind == "lightening":
        return hole.given is not None and hole.given[0] == "rim_diameter"
    return quantity != "flange_width"


def worst(rows: tuple[Stack, ...]) -> dict[str, Stack]:
    """Of each quantity the place with the least chance, else with the least room, else the widest band."""

    def rank(r: Stack) -> tuple[float, float, float]:
        chance = 2.0 if r.chance_first is None else r.chance_first
        return chance, 1e9 if r.reserve is None else r.reserve, -(r.half or 0.0)

    return {q: min(mine, key=rank) for q in QUANTITIES if (mine := [r for r in rows if r.quantity == q])}


def _row(
    job: Job, quantity: str, where: Where, nominal: float, contributors: tuple[Contributor, ...], shift: float = 0.0,
    left_out: str = "", owners: tuple[str, ...] = (), general: bool = True, model: str = STACK_MODEL, noted: str = "",
    pressed: Pressed | None = None,
) -> Stack:  # fmt: skip
    """`left_out` makes the row a part of the truth only; `noted` is said beside a row that is whole."""
    gauge, u = best_gauge(job.shop, quantity)
    unit = "deg" if quantity == "flange_angle" else "mm"
    limits = allowed(job.part, quantity, *owners, general=general)
    return Stack(
        quantity, where, nominal, unit, limits, shift, contributors, not left_out, left_out or noted, gauge, u,
        job.shop.rules.decision, model, _fixed(job, shift, pressed),
    )  # fmt: skip


def _fixed(job: Job, shift: float, pressed: Pressed | None) -> str:
    """Why no corrected block moves the mean; "" where one does."""
    if pressed is not None and pressed.open:
        return LEFT_OPEN
    return NO_UNDERCUT if shift != 0.0 and job.part.block_undercut == "none" else ""


def bend_of(job: Job, at: Bends, remaining: float, pressed: Pressed | None) -> Bend:
    """A bend as it comes off this press. `remaining` [deg]: what the block as cut leaves, where the flange lies on it."""
    left = pressed.off if pressed is not None and pressed.open else remaining
    b = bend(job, at, left, job.part.block_undercut != "none")
    moved = None if pressed is None or not b.known else pressed.moved
    return b if moved is None else replace(b, moved_by=(*b.moved_by, moved))


def beside(b: Bend, pressed: Pressed | None) -> tuple[Bend, str]:
    """(bend, what is left out) for what hangs on the angle: of a flange that stays open it is not forecast."""
    if pressed is None or not pressed.open:
        return b, "" if pressed is None else pressed.left_out
    closed = tuple(c for c in b.moved_by if c is not pressed.moved)
    return replace(b, remaining=0.0, mean=0.0, moved_by=closed), STAYS_OPEN


# ---------------------------------------------------------------- edges


def _edges(job: Job, blank: Blank, block: Block, setup: Setup | None) -> Iterator[Stack]:
    for e in block.edges:
        strip, i = blank.strip_of(e.edge)
        laid = blank.laid[e.loop].edges[i]
        assert laid.flange is not None
        curved = bool(np.max(np.abs(strip.strip.curvature[strip.at.edge == i])) > CURVED)
        pressed = as_pressed(setup, e.edge)
        j = worst_place(e, pressed)
        varies = laid.flange.bend_angle.varies or laid.flange.width.varies or float(np.ptp(e.under.deg)) > EVEN_DEG
        where: Where = {"edge": e.edge, **({"along_mm": float(e.along[j])} if varies else {})}
        b = bend_of(job, bend_at(job, e, j), float(e.remaining[j]), pressed)
        owners = (f"edge.{e.edge}", f"flange.{laid.flange.name}")
        yield from _angle_and_radius(job, where, b, owners, pressed=pressed)
        b, lost = beside(b, pressed)
        yield _width(job, blank, where, b, laid, e, j, curved, owners, lost)
        yield _contour(job, where, b, laid, curved, owners, lost)


def bend_at(job: Job, e: BlockEdge, j: int) -> Bends:
    """The bend of an edge of the block at one of its places."""
    flange = job.part.flanges[job.part.edge(e.edge).flange or ""]
    return Bends(e.edge, flange.bend_radius, e.angle[j : j + 1], e.along[j : j + 1])


def worst_place(e: BlockEdge, pressed: Pressed | None = None) -> int:
    """Which of an edge's places comes out worst: of a flange that stays open its hardest one, else most angle left, then most
    springback."""
    if pressed is not None and pressed.open:
        return int(np.argmin(np.abs(e.along - pressed.along)))
    return int(np.argmax(np.abs(e.remaining) + 0.1 * np.abs(e.under.deg)))


def lever_of(job: Job, quantity: str, b: Bend, line: str, flat: FlatHole | None = None) -> float:
    """How a characteristic moves per degree that its bend turns further, arc kept [mm/deg; deg/deg for the angle itself].
    `line`: the web line a contour is drawn on; `flat`: the flanged hole whose rim or height is meant."""
    if quantity == "flange_angle":
        return 1.0
    if quantity == "bend_radius":
        return law.radius_per_degree(b.radius, job.t, b.angle)
    if flat is not None:
        more, less = _rim(job, flat, 1.0), _rim(job, flat, -1.0)
        i = 0 if quantity == "hole_diameter" else 1
        return (more[i] - less[i]) / 2
    if line == "bend-tangent-line":
        return 0.0
    return mold_line_lever(b, job.t, job.t if line == "outside-mold-line" else 0.0)


def _angle_and_radius(
    job: Job, where: Where, b: Bend, owners: tuple[str, ...], noted: str = "", pressed: Pressed | None = None
) -> Iterator[Stack]:
    lost = "" if b.known else NO_CURVE
    solved = solved_of(job, str(where.get("edge", where.get("hole"))))
    noted = noted if solved is None else solved.unverified
    model = SPRINGBACK if solved is None else SECTION
    if pressed is not None and pressed.open and pressed.reach.released is not None:
        model = pressed.reach.released.model
    yield _row(
        job, "flange_angle", where, b.angle, b.moved_by, b.shift, _and([lost, pressed.left_out if pressed else ""]), owners,
        model=model, noted=noted, pressed=pressed,
    )  # fmt: skip
    b, open_ = beside(b, pressed)
    shift, rows = released_radius(job, b) if b.known else (0.0, ())
    yield _row(job, "bend_radius", where, b.radius, rows, shift, _and([lost, open_]), owners, noted=noted)


def _width(
    job: Job, blank: Blank, where: Where, b: Bend, laid: LaidEdge, e: BlockEdge, j: int, curved: bool, owners: tuple[str, ...],
    open_: str,
) -> Stack:  # fmt: skip
    """Outside mold line to free edge: the blank's flat width less bend allowance, plus the setback."""
    s = laid.at(e.along[j : j + 1])
    a, laying, lost = radians(b.angle), *_laying(job)
    kf = float(bending.effective_k_factor(job.shop.rules.bend_allowance, b.radius, job.t, job.shop.rules.k_factor))
    rows = [
        Contributor("bend allowance rule", law.rectangular_sd(_rule_spread(job, b)), MODEL, RULES_DIFFER),
        _cut(job),
        Contributor("thickness of the sheet", abs(tan(a / 2) - a * kf) * THICKNESS_COV * job.t, PIECE, "2 % (memory)"),
        *laying,
    ]  # fmt: skip
    if curved and blank.method != "handbook":
        rows.append(
            Contributor(
                "flat of a curved flange",
                law.rectangular_sd(DEVELOPMENT_MM),
                MODEL,
                "one rib against a finite-element blank",
            )
        )
    left = [lost, "" if b.known else NO_CURVE, open_]
    left.append("the handbook's flat leaves out hoop strain" if curved and blank.method == "handbook" else "")
    lever = lever_of(job, "flange_width", b, "outside-mold-line")
    rows += through(b, lever) if b.known else ()
    return _row(job, "flange_width", where, float(laid.width(s)[0]), tuple(rows), lever * b.shift, _and(left), owners)


def _rule_spread(job: Job, b: Bend) -> float:
    """Largest difference of another rule's bend allowance from the one used [mm]."""
    rules = job.shop.rules
    used = float(bending.bend_allowance(rules.bend_allowance, b.radius, job.t, b.angle, rules.k_factor))
    others = [("faa", None), ("din-6935", None), ("k-factor", 0.5)]
    return max(abs(float(bending.bend_allowance(r, b.radius, job.t, b.angle, k)) - used) for r, k in others)


def _contour(
    job: Job, where: Where, b: Bend, laid: LaidEdge, curved: bool, owners: tuple[str, ...], open_: str
) -> Stack:
    """The drawn line of the web: where the block's outline puts it, moved by the angle's error and the laying."""
    line, (laying, lost) = _practice(job, "line_accuracy"), _laying(job)
    rows = [Contributor("block's outline as made", line.value / 2, TOOLING, _standing(line)), *laying]
    lever = lever_of(job, "contour", b, laid.line)
    if laid.line != "bend-tangent-line":
        outside = laid.line == "outside-mold-line"
        rows += through(b, lever) if b.known else ()
        if outside:
            rows.append(
                Contributor(
                    "thickness of the sheet", tan(radians(b.angle) / 2) * THICKNESS_COV * job.t, PIECE, "2 % (memory)"
                )
            )
    left = [lost, NO_RELEASE if curved else "", "" if b.known else NO_CURVE, open_]
    return _row(job, "contour", where, 0.0, tuple(rows), lever * b.shift, _and(left), owners[:1])


def _plain_edges(job: Job, blank: Blank) -> Iterator[Stack]:
    for loop in blank.laid:
        for e in loop.edges:
            if e.flange is None:
                name = e.edge.name
                yield _row(job, "contour", {"edge": name}, 0.0, (_cut(job),), owners=(f"edge.{name}",))


# ---------------------------------------------------------------- holes


def _holes(job: Job, blank: Blank, block: Block, setup: Setup | None) -> Iterator[Stack]:
    left = {r.name: r.remaining for r in (*block.recesses, *block.rings)}
    place = _practice(job, "hole_location")
    laying, lost = _laying(job)
    for flat in blank.holes:
        h, where, owners = flat.hole, {"hole": flat.hole.name}, (f"hole.{flat.hole.name}",)
        rows = (Contributor("hole as located", place.value / 2, PIECE, _standing(place)), *laying)
        yield _row(job, "hole_position", where, 0.0, rows, left_out=_and([lost, NO_DRIFT]), owners=owners)
        if h.kind != "lightening":
            yield _row(
                job,
                "hole_diameter",
                where,
                h.diameter,
                (),
                left_out="how far a hole is cut over size is not known",
                owners=owners,
            )
        elif flat.outcome == "good" and flat.straight is not None and flat.rim_diameter and flat.flange_height:
            yield from _hole_flange(job, flat, left.get(h.name, 0.0), where, owners, as_pressed(setup, h.name))


def _hole_flange(
    job: Job, flat: FlatHole, remaining: float, where: Where, owners: tuple[str, ...], pressed: Pressed | None
) -> Iterator[Stack]:
    """`remaining` [deg]: the angle error that its recess or ring leaves."""
    h = flat.hole
    assert flat.rim_diameter is not None
    assert flat.flange_height is not None
    b = bend_of(job, hole_bends(h), remaining, pressed)
    noted = "" if solved_of(job, h.name) else "springback is that of a straight bend of the same section"
    yield from _angle_and_radius(job, where, b, owners, noted, pressed)
    b, open_ = beside(b, pressed)
    lost, line = _and(["" if b.known else NO_CURVE, open_]), _practice(job, "line_accuracy")
    a = radians(h.bend_angle)
    for quantity, nominal, cut in (
        ("hole_diameter", flat.rim_diameter, 2 * abs(cos(a))),
        ("flange_width", flat.flange_height, abs(np.sin(a))),
    ):
        general = general_counts(h, quantity)
        lever = lever_of(job, quantity, b, "", flat)
        rows = [_cut(job).times(cut, "hole as cut"), *(through(b, lever) if b.known else ())]
        if quantity == "hole_diameter":
            rows.append(Contributor("recess of the block as made", line.value, TOOLING, _standing(line)))
        yield _row(job, quantity, where, nominal, tuple(rows), lever * b.shift, lost, owners, general, noted=noted)


def _rim(job: Job, flat: FlatHole, more_deg: float) -> tuple[float, float]:
    """(rim diameter, flange height) with the bend turned further and its arc kept [mm]."""
    h: Hole = flat.hole
    turned = h.bend_angle + more_deg
    radius = (h.bend_radius + job.t / 2) * h.bend_angle / turned - job.t / 2
    return (
        float(hole.rim_diameter(flat.tangent_diameter or 0.0, radius, job.t, turned, flat.straight or 0.0)),
        float(hole.flange_height(radius, job.t, turned, flat.straight or 0.0)),
    )


# ---------------------------------------------------------------- shared contributors


def _cut(job: Job) -> Contributor:
    line = _practice(job, "line_accuracy")
    return Contributor("blank as cut", line.value / 2, PIECE, _standing(line))


def _laying(job: Job) -> tuple[tuple[Contributor, ...], str]:
    """How the blank lies on the block: play and place of the pins; and what is not known of it."""
    pins = [h for h in job.part.holes if h.kind == "tooling"]
    if not pins:
        return (), "no tooling hole says how the blank lies on the block"
    place = _practice(job, "hole_location")
    rows = [Contributor("tooling holes and pins in place", place.value / 2, TOOLING, _standing(place))]
    fits = [h.pin_fit for h in pins if h.pin_fit is not None]
    if fits:
        rows.append(
            Contributor("play on the pins", law.rectangular_sd(max(fits) / 2), PIECE, "pin_fit of the part file")
        )
    missing = [h.name for h in pins if h.pin_fit is None]
    return tuple(rows), f"pin fit of {', '.join(missing)} is not given" if missing else ""


def _practice(job: Job, key: str) -> Fact:
    return job.catalogue.practice[key]


def _standing(fact: Fact) -> str:
    return f"{fact.source} ({fact.standing()})"


def _and(reasons: list[str]) -> str:
    return "; ".join(dict.fromkeys(r for r in reasons if r))
