"""Does the rubbed web hold what a curved flange pulls with, as the blank takes it to?

A flange whose edge is strained by e along a contour of radius R pulls on the web with sigma(e) t w/R a millimetre of its length, w its
flat width. The rubber rubs the web over both faces with tau = p mu. Solved with a rubbed web (`mechanics/inverse`, Friction; decision
0034), open arcs slide by 1 to 3 mm where tau times the web's width is that pull; where it is five times that, only the corner at a
free end slides, by 0.3 to 0.9 mm. What rubs is the pressure as the flange closes. A run that closes on itself holds itself and is not
asked: there the web moves by less than 0.003 mm however weakly it is rubbed. Places lie 1.5 flange widths clear of free ends, where a
ray inward would meet the neighbour. A nose is judged too hard by this: its two sides hold each other; `web_slip` solves it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ribwright.geometry.curve import samples
from ribwright.mechanics.sheet_law import SheetLaw
from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.job import Job
from ribwright.stages.sheet_laws import law_of

Array = NDArray[np.float64]
CHORD = 0.02  # of the lines a web ends at [mm]
INSIDE = 0.5  # a ray starts this far inside its own line, whose chords stay nearer [mm]
FAR = 1e5  # [mm]
SLIGHT = 0.001  # edge strain under which nothing pulls


@dataclass(frozen=True)
class WebHold:
    """The place of an edge where its web holds least.

    edge, along      name, arc length as typed [mm]
    radius           of the bend tangent line over a flat width either way [mm]
    flat_width, strain, stress   of the flange there [mm, true, MPa]
    pull             sigma t w/R, as a width of web has to hold it [N/mm]
    web              width of the web behind the bend tangent line, holes off [mm]
    pressure         that rubs it: as the flange closes, no more than the set-up gives [MPa]
    traction         tau, that pressure times friction over both faces [MPa]
    needed           web that would hold it: ratio pull/tau [mm]
    """

    edge: str
    along: float
    radius: float
    flat_width: float
    strain: float
    stress: float
    pull: float
    web: float
    pressure: float
    traction: float
    needed: float

    @property
    def holds(self) -> bool:
        """The web is wide enough to be taken as held."""
        return self.web >= self.needed


def web_holds(
    job: Job, blank: Blank, pressure: float, closing: Mapping[str, float] | None = None
) -> tuple[WebHold, ...]:
    """One row a curved flanged edge of an open run, under a pressure [MPa]; none where the sheet's law is not known. `closing` [MPa]: the
    least at which an edge closes, by name. A flange pulls while it closes, so no more than that rubs its web then."""
    law = law_of(job).law
    if law is None or pressure <= 0.0:
        return ()
    friction = job.catalogue.practice["web_friction"].value
    ratio = job.catalogue.practice["web_hold_ratio"].value
    ends, holes = _lines(blank), _holes(blank)
    out = []
    for s in blank.strips:
        if s.at.closed:
            continue
        for i in s.run.edges:
            name = blank.laid[s.loop].edges[i].edge.name
            rubs = min(pressure, (closing or {}).get(name, pressure))
            rows = _places(job, law, s, i, name, rubs, friction, ratio, ends, holes)
            out += [min(rows, key=lambda r: r.web / r.needed)] if rows else []
    return tuple(out)


def _places(
    job: Job, law: SheetLaw, s: RunStrip, i: int, name: str, pressure: float, friction: float, ratio: float,
    ends: shapely.Geometry, holes: shapely.Geometry,
) -> list[WebHold]:  # fmt: skip
    mine = np.flatnonzero(s.at.edge == i)
    strain = np.abs(s.strip.edge_strain[mine])
    kappa = np.abs(_curvature(s)[mine])
    arc, rows = s.at.arc[mine], s.at.interiors()
    pulls = np.isfinite(strain) & (strain > SLIGHT) & (kappa > 0.0)
    # a run shorter than four widths has no station between: the ones nearest to its middle stand for it
    away = np.min([np.maximum(low - arc, arc - high) for low, high in rows], axis=0)
    pulls &= away <= max(float(away.min()), 0.0)
    out, traction = [], pressure * friction
    for k in np.flatnonzero(pulls):
        j = mine[k]
        e, w = float(strain[k]), float(s.strip.flat_width[j])
        stress = min(law.e * e, float(law.curve.stress(np.array(e))))
        pull = stress * job.t * w * float(kappa[k])
        web = _width(s.at.tangent[j], s.at.normal[j], ends, holes)
        out.append(
            WebHold(
                name,
                float(s.at.along[j]),
                1.0 / float(kappa[k]),
                w,
                e,
                stress,
                pull,
                web,
                pressure,
                traction,
                ratio * pull / traction,
            )
        )
    return out


def _curvature(s: RunStrip) -> Array:
    """Mean curvature of the bend tangent line, steps of joggles aside, over a flat width either way of every station [1/mm]."""
    arc, cells = s.at.arc, s.at.plain
    turned = np.concatenate([[0.0], np.cumsum(cells * np.diff(arc))])
    low, high = (np.clip(arc + side * s.strip.flat_width, arc[0], arc[-1]) for side in (-1.0, 1.0))
    span = np.maximum(high - low, 1e-9)
    return np.asarray((np.interp(high, arc, turned) - np.interp(low, arc, turned)) / span)


def _lines(blank: Blank) -> shapely.Geometry:
    """Where the web ends: bend tangent lines, and drawn lines of edges without a flange."""
    out = []
    for loop in blank.laid:
        for e in loop.edges:
            at = samples(e.curve, CHORD)
            out.append(shapely.LineString(e.tangent_line.point(at)))
    return shapely.union_all(out)


def _holes(blank: Blank) -> shapely.Geometry:
    """What is missing of the web in holes, to the circle where a hole's flange leaves it."""
    rounds = [shapely.Point(h.hole.at).buffer((h.tangent_diameter or h.cut_diameter) / 2.0) for h in blank.holes]
    return shapely.union_all(rounds)


def _width(at: Array, outward: Array, ends: shapely.Geometry, holes: shapely.Geometry) -> float:
    """Straight inward from a place of the bend tangent line to where the web ends, less what holes take [mm]."""
    start = at - INSIDE * outward
    ray = shapely.LineString([start, at - FAR * outward])
    hit = shapely.intersection(ray, ends)
    far = FAR if hit.is_empty else float(shapely.distance(shapely.Point(start), hit)) + INSIDE
    whole = shapely.LineString([at, at - far * outward])
    return far - float(shapely.length(shapely.intersection(whole, holes)))
