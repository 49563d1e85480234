"""Flanges and plain edges in a scan: at each place the face's line in the section, its angle, where it meets the web, where it ends.

Points of a stretch of an edge are put into the section there (stages/scan_faces.py). The flange's face is a line through those beyond the
bend, q = A + B l; the web's face goes on from the bend's start with the height and slope that the web's surface has there. Then
    angle of the bend   a - atan B - atan m                     m slope of the web, outward
    mold line           where both meet: l* (sin a - B cos a - m cos a - m B sin a) = h0 + A cos a + m A sin a,
                        moved outward by l* cos a + (A + B l*) sin a        h0 the web's height at the drawn mold line
    width               from there to where the face's points end, along the face
Errors are carried through by the derivatives of these (JCGM 100:2008, 5.1.2). A stretch is straight in the fit; what a curve of deviation
along the edge does to a mean over it, f'' w^2/6 for half a stretch w, is estimated from the neighbours and added to the uncertainty.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.features.inspected import OUTER
from ribwright.geometry.end_of_points import End, end_of, line_of
from ribwright.geometry.section_line import SectionLine, section_line
from ribwright.geometry.smooth_face import SmoothFace
from ribwright.stages.measured_places import cut_away, pressed_in, stations_of
from ribwright.stages.scan_faces import ScanFaces, Section

Array = NDArray[np.float64]
EVERY = 10.0  # places along an edge [mm]
HALF = 5.0  # half the stretch that a place is found from [mm]
MOST_EVERY, WANTED = 40.0, 15  # places of a thinly measured edge lie farther apart, that so many points tell of each
FREE_END = 2.0  # of a flange's ends kept clear [mm]
PAST_BEND, BEFORE_EDGE = 1.0, 0.75  # of the flange kept clear, less where it is short [mm]
LEAST_SPAN = 1.5  # of l that a line is found from [mm]
NEAREST, FARTHEST = (
    1.5,
    0.18,
)  # points so far off the drawn face are looked at: [mm], and more by this for each mm along it
EDGE_REACH = 2.0  # how far off its drawn place an edge is looked for [mm]
PLAIN_FACE = 3.5  # of the web inside a plain edge; points are kept so far and EDGE_REACH more [mm]
IN_THE_SHEET = 0.2  # deeper than its face a point lies on the sheet's cut face [mm]
TRIMMED = (
    1.003  # a normal scatter without what lies beyond 3.5 of its standard deviations is so much wider than it looks
)
STEP = 1e-6  # for slopes by differences


@dataclass(frozen=True, eq=False)
class Place:
    """What one place of a flanged edge shows. `s` in travel, `along` as typed; at `point` the drawn line runs, `normal` outward there.

    moved    the scanned face's mold line less the drawn one, outward [mm];  angle  of the bend as found, `drawn` as drawn [rad]
    width    mold line to free edge along the face, None where points do not tell; `end` what says so
    lean     of the web, outward, where the bend leaves it [rad]
    met      l where web and flange meet [mm];  by  slopes of `moved` by A, B, the web's height and its slope (4,)
    """

    edge: int
    s: float
    along: float
    point: Array
    normal: Array
    line: SectionLine
    moved: float
    angle: float
    drawn: float
    lean: float
    met: float
    by: Array
    web_sd: tuple[float, float]
    width: float | None = None
    width_sd: float = 0.0
    asked: bool = False

    def moved_sd(self, sd: float) -> float:
        """Standard uncertainty of `moved` for points of standard deviation sd [mm]."""
        own = sd * sd * float(self.by[:2] @ self.line.unit @ self.by[:2])
        return float(np.sqrt(own + (self.by[2] * self.web_sd[0]) ** 2 + (self.by[3] * self.web_sd[1]) ** 2))

    def angle_sd(self, sd: float) -> float:
        """Standard uncertainty of `angle` likewise [rad]."""
        return float(np.hypot(sd * np.sqrt(self.line.unit[1, 1]) / (1.0 + self.line.b**2), self.web_sd[1]))


@dataclass(frozen=True, eq=False)
class CutPlace:
    """A place of an edge without flange: its contour less the drawn line, outward [mm]."""

    edge: int
    s: float
    along: float
    point: Array
    normal: Array
    end: End
    asked: bool = False


def pooled_sd(places: tuple[Place, ...]) -> float | None:
    """Standard deviation of a point square to the flanges, from how they scatter about their own lines; None where few do."""
    free = sum(p.line.free for p in places)
    return TRIMMED * float(np.sqrt(sum(p.line.squares for p in places) / free)) if free >= 3 else None


class EdgePoints:
    """Points x, y, h of a scan by the edge they are nearest to, in order along it; laid on the drawing once, asked many times."""

    def __init__(self, faces: ScanFaces, local: Array, line: NDArray[np.int32], s: Array, u: Array, web: SmoothFace):
        self.faces, self.web = faces, web
        low = np.array([_nearest_kept(faces, k) for k in range(len(faces.edges))])
        rows = np.flatnonzero((u > low[line]) & (u < 40.0))
        self._rows: list[tuple[Array, Array, Array]] = []
        for k in range(len(faces.edges)):
            mine = rows[line[rows] == k]
            mine = mine[np.argsort(s[mine])]
            self._rows.append((s[mine], u[mine], local[mine, 2]))

    def places(self, sd: float | None, own: bool = True) -> tuple[Place, ...]:
        """Every place of every flanged edge that points tell of; `own`: also those of the inspection sheet."""
        out: list[Place] = []
        for k, e in enumerate(self.faces.edges):
            if e.flange is not None:
                half = self._half(k)
                at = grid(self.faces, k, 2 * half)
                asked = self._asked(k) if own else ()
                out += [p for s in at if (p := self._place(k, s, half, sd)) is not None]
                out += [replace(p, asked=True) for s in asked if (p := self._place(k, s, half, sd)) is not None]
        return tuple(out)

    def cut_places(self, sd: float) -> tuple[CutPlace, ...]:
        """Every place of every edge without flange that points tell of."""
        out = []
        for k, e in enumerate(self.faces.edges):
            if e.flange is not None:
                continue
            n = max(1, int(e.curve.length // EVERY))
            half = min(HALF, e.curve.length / n / 2)
            for s in (np.arange(n) + 0.5) * e.curve.length / n:
                if _clear(self.faces, k, s, half):
                    _, u, h = self._stretch(k, s, half)
                    end = self._cut_end(u, h, sd)
                    if end is not None:
                        out.append(CutPlace(k, float(s), *self._where(k, s), end))
        return tuple(out)

    def _cut_end(self, u: Array, h: Array, sd: float) -> End | None:
        """Where the sheet ends: by points of its cut face, which lie deeper than its own, else by where those of its face end."""
        deep = (1.0 if self.faces.face == OUTER else -1.0) * h > IN_THE_SHEET
        return line_of(u[deep], 0.0, sd, EDGE_REACH) or end_of(u[~deep], 0.0, sd, EDGE_REACH, PLAIN_FACE)

    def _asked(self, k: int) -> tuple[float, ...]:
        e = self.faces.edges[k]
        return tuple(float(e.at(np.array([x]))[0]) for _, x in stations_of(self.faces.plan, e))

    def _where(self, k: int, s: float) -> tuple[float, Array, Array]:
        e, at = self.faces.edges[k], np.array([s])
        t = e.curve.tangent(at)[0]
        return float(e.along(at)[0]), e.curve.point(at)[0], np.array([t[1], -t[0]])

    def _stretch(self, k: int, s: float, half: float) -> tuple[Array, Array, Array]:
        at, u, h = self._rows[k]
        i, j = np.searchsorted(at, [s - half, s + half])
        return at[i:j], u[i:j], h[i:j]

    def _half(self, k: int) -> float:
        """Half the stretch of an edge's places: wider where its flange has few points."""
        at, _, h = self._rows[k]
        low, high = flange_ends(self.faces, k)
        up = h if self.faces.with_most(k) else -h
        on = int(np.count_nonzero(up > self.faces.bend_high(k)))
        return float(np.clip(WANTED / 2 * (high - low) / max(on, 1), HALF, MOST_EVERY / 2)) if len(at) else HALF

    def _place(self, k: int, s: float, half: float, sd: float | None) -> Place | None:
        at, u, h = self._stretch(k, s, half)
        if len(at) < 4:
            return None
        if not self.faces.with_most(k):
            h = -h
        x = self.faces.section(k, at)
        here = self.faces.section(k, np.array([s]))
        up = u + x.mold
        l, q = up * np.cos(x.angle) + h * np.sin(x.angle), up * np.sin(x.angle) - h * np.cos(x.angle)  # noqa: E741
        leg = float(here.width[0] - here.setback[0])
        share = min(1.0, max(leg - LEAST_SPAN, 0.0) / (PAST_BEND + BEFORE_EDGE + 1.0))
        low, high = float(here.setback[0]) + share * PAST_BEND, float(here.width[0]) - share * BEFORE_EDGE
        near = np.abs(q) < NEAREST + FARTHEST * np.abs(l)
        on = near & (l > low) & (l < high)
        line = section_line(l[on], q[on], at[on] - s, min(LEAST_SPAN, 0.6 * (high - low)), sd or 0.005)
        if line is None:
            return None
        along, point, normal = self._where(k, s)
        met = self._meet(k, here, line, point, normal)
        p = Place(k, s, along, point, normal, line, *met)
        one = sd if sd is not None else float(np.sqrt(line.squares / line.free))
        return self._with_width(p, here, l[near], q[near], one)

    def _meet(
        self, k: int, here: Section, line: SectionLine, point: Array, normal: Array
    ) -> tuple[float, float, float, float, float, Array, tuple[float, float]]:
        """(moved, angle, drawn, lean, met, by, the web's uncertainties) where the web's face goes on to the flange's."""
        a, back = float(here.angle[0]), float(here.setback[0])
        at = (point - (here.mold[0] + back) * normal)[None]
        (h,), (h_sd,), (m,), (m_sd,) = self.web.near(at, normal[None])
        if not self.faces.with_most(k):
            h, m = -h, -m
        start = np.array([line.a, line.b, h + m * back, m])
        value = _mold(start, a)
        by = np.array([(_mold(start + e, a) - _mold(start - e, a)) / (2 * STEP) for e in STEP * np.eye(4)])
        lean = float(np.arctan(m))
        return value, a - float(np.arctan(line.b)) - lean, a, lean, _met_at(start, a), by, (float(h_sd), float(m_sd))

    def _with_width(self, p: Place, here: Section, l: Array, q: Array, sd: float) -> Place:  # noqa: E741
        """The place with its width, where points reach the free edge."""
        off = q - (p.line.a + p.line.b * l)
        # the cut face lies behind the flange's: within the sheet
        t, behind = self.faces.plan.job.t, -off if self.faces.outside(p.edge) else off
        deep = (behind > IN_THE_SHEET) & (behind < t + 4.0 * sd)
        reach, face = float(here.width[0]), np.abs(off) < 4.0 * max(sd, 0.01)
        flat = max(float(here.width[0] - here.setback[0]) - PAST_BEND, 1.5)
        end = line_of(l[deep & (l > reach - EDGE_REACH)], reach, sd, EDGE_REACH)
        end = end or end_of(l[face], reach, sd, EDGE_REACH, flat)
        if end is None:
            return p
        return replace(
            p, width=(end.at - p.met) * float(np.sqrt(1.0 + p.line.b**2)), width_sd=float(np.hypot(end.sd, p.web_sd[0]))
        )


def _met_at(x: Array, a: float) -> float:
    """l* for x = (A, B, h0, m)."""
    own, b, h, m = x
    return float(
        (h + own * np.cos(a) + m * own * np.sin(a)) / (np.sin(a) - b * np.cos(a) - m * np.cos(a) - m * b * np.sin(a))
    )


def _mold(x: Array, a: float) -> float:
    """How far outward the mold line lies for x = (A, B, h0, m)."""
    at = _met_at(x, a)
    return at * float(np.cos(a)) + (float(x[0]) + float(x[1]) * at) * float(np.sin(a))


def _nearest_kept(faces: ScanFaces, k: int) -> float:
    """Least u that a point of edge k can have that is asked for."""
    e = faces.edges[k]
    if e.flange is None:
        return -6.0
    table = faces.tables[k]
    assert table is not None
    x = table[1]
    inner = -x.mold + np.minimum(x.width * np.cos(x.angle), 0.0)
    return float(np.min(inner)) - 4.0


def grid(faces: ScanFaces, k: int, every: float = EVERY) -> tuple[float, ...]:
    """Places s every so many mm of a flanged edge, clear of its ends and of what is cut into it or pressed."""
    low, high = flange_ends(faces, k)
    span = high - low - 2 * FREE_END
    n = max(1, int(span // every))
    at = low + FREE_END + (np.arange(n) + 0.5) * span / n
    return tuple(float(s) for s in at if span > 2.0 and _clear(faces, k, float(s), min(every / 2, span / n / 2)))


def flange_ends(faces: ScanFaces, k: int) -> tuple[float, float]:
    """From where to where edge k has its flange, in travel [mm]."""
    strip, i = faces.plan.blank.strip_of(faces.edges[k].edge.name)
    s = strip.at.s[strip.at.edge == i]
    return float(np.min(s)), float(np.max(s))


def _clear(faces: ScanFaces, k: int, s: float, half: float) -> bool:
    e = faces.edges[k]
    a, b = np.sort(e.along(np.clip([s - half, s + half], 0.0, e.curve.length)))
    flanged = e.flange is not None
    taken = [*cut_away(faces.plan, e.edge.name), *(pressed_in(faces.plan, e.edge.name) if flanged else [])]
    return all(b < low or a > high for low, high in taken)


def curved_by(values: list[float]) -> Array:
    """What a curve of values along evenly spaced places does to a mean over a stretch, f'' w^2/6 (n,), w half their
    distance: the neighbours' second difference over 24."""
    f = np.asarray(values)
    out = np.zeros(len(f))
    if len(f) >= 3:
        bent = np.abs(f[2:] - 2 * f[1:-1] + f[:-2]) / 24.0
        out[1:-1], out[0], out[-1] = bent, bent[0], bent[-1]
    return out
