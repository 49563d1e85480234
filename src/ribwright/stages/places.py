"""Places along the contour where the section is taken: what the section model is asked about, each unlike section once.

A flanged edge has a place at both ends of its interior, in the middle, and wherever its straight part, bend angle or curve runs
off the straight lines between the places taken so far, 7 at most; one where nothing varies. The steps of joggles are kept clear
of. A flanged hole is one place. Of each the model takes

    straight  flat mid-surface length past the bend: flat width + (0.5 - Kf) t a - (R + t/2) a; on a straight edge the leg itself
    axis      radius in plan of the line where the bend begins on the web; sign +1 convex (shrinks), -1 concave or hole (stretches)

Where an edge that shrinks gathers in flutes or notches, or shrinks past what pad and metal take and wrinkles, the hoop compression
that makes a whole ring spring open is let out of it. There the section is taken as straight, axis None, and `ring` keeps the
section of the whole ring: the far end of the band.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Flange as PartFlange
from ribwright.mechanics.sheet_law import SheetLaw
from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.develop import shift
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.job import Job
from ribwright.stages.undercut import kept_arc_radius

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Flange

Array = NDArray[np.float64]
Key = tuple[float, float, float, float]
MOST = 7  # places on an edge
MISS = (1.0, 2.0, 0.06)  # mm of straight part, deg, felt hoop strain: what straight lines between places may miss
STRAIN, YIELDING = 2, 0.005  # the third of those; hoop strain at which sheet has yielded
SAME = (0.05, 0.05, 5e-4)  # mm of straight part, deg, hoop strain at the free edge: less does not count as varying
STEP_MM, STEP_DEG, STEP_CURVATURE = 0.01, 0.01, 2e-6  # sections that agree to half of these are one
STRAIGHT = 2e-4  # hoop strain at the free edge under which an edge is taken as straight
SHARPEST = 1e-3  # of the thickness: no block edge is modelled sharper


@dataclass(frozen=True)
class Place:
    """One place. `where` {edge, along_mm} or {hole}; `along` as typed [mm] (0 of a hole); bend `angle` [deg], inside `radius`,
    `leg` (straight part of the drawing) and flat `straight` part [mm], `axis` [mm] or None, `sign`; `unlike` the rounded
    section that equal places share. `relieved`: why a convex edge is taken as straight, and `ring` the section that it is as a whole
    ring; "" and None elsewhere."""

    where: dict[str, Any]
    along: float
    angle: float
    radius: float
    leg: float
    straight: float
    axis: float | None
    sign: float
    unlike: Key
    relieved: str = ""
    ring: Key | None = None

    @property
    def curved(self) -> bool:
        """Whether its edge is curved in plan, however its section is taken."""
        return self.axis is not None or self.ring is not None

    @property
    def owner(self) -> str:
        """Name of the edge or hole."""
        return str(self.where.get("edge", self.where.get("hole")))


def places_of(job: Job, blank: Blank) -> tuple[Place, ...]:
    """Every place of every flanged edge, in rising along, then every flanged hole. A flange with next to no straight part, or
    one that cannot be developed, has none."""
    rows = [p for s in blank.strips for i in s.run.edges for p in _edge_places(job, blank, s, i)]
    return (*rows, *(p for h in blank.holes for p in _hole_place(job, h)))


def unlike(places: tuple[Place, ...]) -> dict[Key, Place]:
    """One place for each unlike section, the first that has it."""
    found: dict[Key, Place] = {}
    for p in places:
        found.setdefault(p.unlike, p)
    return found


def flange_on(law: SheetLaw, t: float, place: Place, undercut_deg: float) -> Flange:
    """The place's flange on a block that leans `undercut_deg` past its angle and keeps the released arc.

    The section is built from the rounded numbers, so that equal places give equal answers. An edge that would be sharper than
    a thousandth of the thickness is modelled as sharp as that; who asks must look at `kept_arc_radius` for it.
    """
    from ribwright.mechanics.section.model import Flange

    angle, radius, straight, curvature = place.unlike
    block = float(kept_arc_radius(radius, t, np.array(angle), np.array(undercut_deg)))
    axis, sign = (None, 1.0) if curvature == 0.0 else (1.0 / abs(curvature), float(np.sign(curvature)))
    return Flange(law, t, max(block, SHARPEST * t), angle + undercut_deg, straight, axis, sign)


def whole_ring(place: Place) -> Place:
    """A place that is taken as straight, as the whole ring that it would be without flutes and wrinkles."""
    assert place.ring is not None
    return replace(
        place,
        unlike=place.ring,
        straight=place.ring[2],
        axis=1.0 / abs(place.ring[3]),
        sign=float(np.sign(place.ring[3])),
        relieved="",
        ring=None,
    )


def at_length(place: Place, straight: float) -> Place:
    """The same place with another flat straight part [mm]."""
    angle, radius, _, curvature = place.unlike
    leg = place.leg * straight / place.straight
    return replace(place, straight=straight, leg=leg, unlike=(angle, radius, straight, curvature))


@dataclass(frozen=True)
class _Section:
    """Angle [deg], radius, leg, flat straight part, curvature [1/mm] of one section."""

    angle: float
    radius: float
    leg: float
    straight: float
    curvature: float
    relieved: str = ""

    def at(self, where: dict[str, Any], along: float, arc: float) -> Place:
        bent = 0.0 if abs(self.curvature) * (arc + self.straight) < STRAIGHT else self.curvature
        key = (
            round(self.angle / STEP_DEG) * STEP_DEG,
            round(self.radius, 6),
            round(self.straight / STEP_MM) * STEP_MM,
            round(bent / STEP_CURVATURE) * STEP_CURVATURE,
        )
        if self.relieved and key[3] > 0.0:
            plain = (key[0], key[1], round(self.leg / STEP_MM) * STEP_MM, 0.0)
            return Place(
                where, along, self.angle, self.radius, self.leg, self.leg, None, 1.0, plain, self.relieved, key
            )
        axis, sign = (None, 1.0) if key[3] == 0.0 else (1.0 / abs(bent), float(np.sign(bent)))
        return Place(where, along, self.angle, self.radius, self.leg, self.straight, axis, sign, key)


def _edge_places(job: Job, blank: Blank, s: RunStrip, i: int) -> list[Place]:
    assert s.run.flange is not None
    radius = s.run.flange.bend_radius
    mine = np.flatnonzero((s.at.edge == i) & s.strip.good & (s.at.leg > 0.0))
    if not len(mine):
        return []
    mine = _clear_of_steps(s, mine[np.argsort(s.at.along[mine], kind="stable")])
    angle, leg, curvature = s.at.angle[mine], s.at.leg[mine], s.strip.curvature[mine]
    arc = (radius + job.t / 2) * np.radians(angle)
    straight = s.strip.flat_width[mine] + shift(job, radius, angle) - arc
    inside = _interior(s, mine)
    picked = _picked(s.at.along[mine], inside, (leg, angle, curvature * (arc + straight)))
    name, along = blank.laid[s.loop].edges[i].edge.name, s.at.along[mine]
    relieved = relieved_by(job, s.run.flange, name, float(-np.expm1(np.min(s.strip.edge_strain[mine]))))
    return [
        _Section(float(angle[k]), radius, float(leg[k]), float(straight[k]), float(curvature[k]), relieved).at(
            {"edge": name, "along_mm": float(along[k])}, float(along[k]), float(arc[k])
        )
        for k in picked
        if straight[k] >= STEP_MM
    ]


def relieved_by(job: Job, flange: PartFlange, edge: str, shrinks: float) -> str:
    """Why hoop compression does not stay in an edge that shrinks by `shrinks` at its worst place (engineering strain); "" where it
    does."""
    cut = _fluted(job, edge) | {"notch" for n in job.part.notches if n.edge == edge}
    if cut:
        return f"{' and '.join(sorted(cut))} on it"
    if flange.flutes != "none":
        return {"plan": "flutes are to be planned on it", "drawn": "flutes are drawn on it"}[flange.flutes]
    limit = job.formed.number("shrink_limit") if job.formed else None
    if limit is not None and shrinks > limit:
        return f"it shrinks past the {100 * limit:.1f} % that pad and metal take by themselves"
    return ""


def _clear_of_steps(s: RunStrip, mine: NDArray[np.int64]) -> NDArray[np.int64]:
    """Which of an edge's stations lie a flange width clear of the steps of joggles, where a section knows nothing of its neighbours; all
    where none does."""
    clear = np.ones(len(mine), bool)
    for middle, _, length in s.at.steps:
        away = np.abs(s.at.arc[mine] - middle)
        away = np.minimum(away, s.at.total - away) if s.at.closed else away
        clear &= away >= length / 2 + s.at.width[mine] - 1e-9
    return mine[clear] if clear.any() else mine


def _fluted(job: Job, edge: str) -> set[str]:
    return {"flute"} if any(f.edge == edge for f in job.part.flutes) else set()


def _interior(s: RunStrip, mine: NDArray[np.int64]) -> NDArray[np.int64]:
    """Which of an edge's stations lie clear of the run's free ends; the nearest one where none does."""
    rows, arc = s.at.interiors(), s.at.arc[mine]
    inside = np.flatnonzero(np.any([(arc >= a - 1e-9) & (arc <= b + 1e-9) for a, b in rows], axis=0))
    if len(inside):
        return inside
    middles = [float(np.clip((a + b) / 2, arc.min(), arc.max())) for a, b in rows]
    return np.array([int(np.argmin(np.min([np.abs(arc - m) for m in middles], axis=0)))])


def _picked(along: Array, inside: NDArray[np.int64], values: tuple[Array, ...]) -> list[int]:
    """Indices of the stations taken, in rising along: ends, the middle, then always the one that the straight lines between
    those taken miss most, until they miss nothing that matters."""
    here, rows = along[inside], [v[inside] for v in values]
    scaled = [
        felt(row) / miss if k == STRAIN else row / miss for k, (row, miss) in enumerate(zip(rows, MISS, strict=True))
    ]
    middle = _first_least(np.abs(here - (here[0] + here[-1]) / 2))
    if all(np.ptp(row) <= same for row, same in zip(rows, SAME, strict=True)):
        return [int(inside[middle])]
    taken = sorted({0, middle, len(here) - 1})
    while len(taken) < MOST:
        missed = np.max([np.abs(v - np.interp(here, here[taken], v[taken])) for v in scaled], axis=0)
        worst = _first_least(-missed)
        if missed[worst] <= 1.0:
            break
        taken = sorted({*taken, worst})
    return [int(inside[k]) for k in taken]


def felt(strain: Array) -> Array:
    """Hoop strain as springback feels it, 0 to 1: hardly while it is elastic, all of it once the sheet has yielded along the edge
    (T3, 0.64 mm: undercut 5.3 deg straight, 5.5 at 0.2 %, 7.1 at 0.5 %, 8.7 at 1 %, 8.9 at 1.4 %)."""
    x = (strain / YIELDING) ** 3
    return np.asarray(x / (1.0 + np.abs(x)))


def felt_by(job: Job, p: Place) -> float:
    """The same of a place's section, positive where it shrinks."""
    arc = (p.radius + job.t / 2.0) * float(np.radians(p.angle))
    return 0.0 if p.axis is None else float(felt(np.array(p.sign * (arc + p.straight) / p.axis)))


def _first_least(values: Array) -> int:
    """The least; of those that differ by the last bits only the first as typed, so that both hands of a part name the same places."""
    return int(np.argmin(np.round(values, 6)))


def _hole_place(job: Job, flat: FlatHole) -> list[Place]:
    h = flat.hole
    if flat.outcome != "good" or flat.straight is None or flat.flat_width is None or flat.tangent_diameter is None:
        return []
    angle = np.array([h.bend_angle])
    arc = float((h.bend_radius + job.t / 2) * np.radians(h.bend_angle))
    straight = flat.flat_width + float(shift(job, h.bend_radius, angle)[0]) - arc
    if straight < STEP_MM:
        return []
    section = _Section(h.bend_angle, h.bend_radius, flat.straight, straight, -2.0 / flat.tangent_diameter)
    return [section.at({"hole": h.name}, 0.0, arc)]
