"""The drawn outline with what was found along it: ticks square to the edge, metal outside on the outside, tolerance lines beside it,
arrows at holes, numbers of the worst. Verdicts by mark.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.badges import Placed, placed
from ribwright.documents.badges import drawn as badges_drawn
from ribwright.documents.block_plan_view import room_of
from ribwright.documents.characteristics import worst_first
from ribwright.documents.deviation_scale import Drawn, bars, drawn_of
from ribwright.documents.drawn_edges import DrawnEdge, lines_of
from ribwright.documents.layout import Fit, Piece, picture
from ribwright.documents.outline_names import edge_starts, meet, outline_names, points_on, round_it, spot_of
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.documents.verdict_marks import verdict_mark
from ribwright.stages.found import CANNOT_TELL, INSIDE, OUTSIDE, Found, Judged, Profile
from ribwright.stages.inspection import Inspection
from ribwright.stages.plan import Plan
from ribwright.stages.tolerances import allowed
from ribwright.units import MM_PER_IN, Unit

Array = NDArray[np.float64]
AROUND = 19.0  # room round the part for ticks, names and numbers [mm]
FOOT = 9.0
R = 0.85  # of a mark [mm]
APART = 2.0  # marks nearer than this to a worse one are left out [mm]
TICKS_APART, WHISKERS_APART, MARKS_APART = 0.7, 2.4, 3.4  # denser ones are left out: the run says them [mm]
LIMIT_DASH = (1.4, 0.9)
EDGE, LIMIT, TICK, WHISKER = Stroke(0.5), Stroke(0.15, 0.25, LIMIT_DASH), Stroke(0.25), Stroke(0.15)
RUN, FINE, FRAME = Stroke(0.15), Stroke(0.15), Stroke(0.13, 0.3)
SEVERITY = {OUTSIDE: "stop", CANNOT_TELL: "warn", INSIDE: "note"}
PRINT = 8.5


@dataclass(frozen=True)
class DeviationPicture:
    """The picture, how it is scaled, and which of the numbered results found no room for their number."""

    piece: Piece
    drawn: Drawn
    badges: tuple[Placed, ...]


def deviation_picture(
    plan: Plan, inspection: Inspection, numbered: Sequence[Judged], width: float, highest: float, first: Unit
) -> DeviationPicture:
    """The picture `width` wide, at most `highest` [mm]; `numbered` results get the numbers 1, 2, ... at their places."""
    lines = lines_of(plan, inspection.said.what)
    edges, (x0, y0, x1, y1) = lines.edges, lines.box
    contours = [j for j in inspection.judged if j.found.quantity == "contour" and j.found.where.get("edge") in edges]
    positions = [j for j in inspection.judged if j.found.quantity == "hole_position"]
    room = (width - 2 * AROUND, highest - 2 * AROUND - FOOT)
    drawn = drawn_of((x1 - x0, y1 - y0), lines.narrowest, room, [*contours, *positions], widest(plan, contours))
    high = (y1 - y0) / drawn.smaller + 2 * AROUND + FOOT
    fit = Fit(1 / drawn.smaller, width / 2 - (x0 + x1) / 2 / drawn.smaller, -AROUND - y1 / drawn.smaller)
    items: list[Item] = []
    for e in edges.values():
        items += _limits(_allowed(plan, e.name, contours), e, fit, drawn)
    items += [Polyline(tuple(fit(*map(float, p)) for p in line), closed, EDGE) for line, closed in lines.drawn]
    items += _runs(inspection.found.profiles, edges, fit, drawn)
    for name, e in edges.items():
        items += _ticks(e, [j for j in contours if j.found.where["edge"] == name], fit, drawn, first)
    items += _holes(plan, inspection, fit, drawn)
    over = points_on(items)
    taken = [room_of(t) for t in items if isinstance(t, Text)]
    tips = [round_it(c) for c in items if isinstance(c, Circle) and c.fill is not None]
    wanted = [
        (k, SEVERITY[j.verdict], fit(*at[0]), at[1])
        for k, j in enumerate(numbered, 1)
        if (at := spot_of(plan, edges, j.found.where))
    ]
    badges, _ = placed(wanted, taken, over, (0.0, -high + FOOT, width, 0.0))
    marks = badges_drawn(badges)
    items += marks
    room_left = [*taken, *tips, *(b.box for b in badges)]
    over = np.concatenate([over, points_on(marks)])
    names = outline_names(plan, edges, fit, drawn.longest, room_left, over)
    room_left += [room_of(t) for t in names if isinstance(t, Text)]
    items += [*edge_starts(edges.values(), fit, room_left, over), *names]
    items += bars(drawn, first, 2.0, -high + 6.0)
    return DeviationPicture(picture(items, high), drawn, tuple(badges))


def _off(e: DrawnEdge, along: Array, deviation: Array, fit: Fit, drawn: Drawn) -> Array:
    """Points on the page (n, 2) of deviations at places along an edge as typed, cut off a little past `longest`."""
    p, n = e.place(along)
    far = np.clip(deviation * drawn.times, -drawn.longest - 1.0, drawn.longest + 1.0)
    return np.array([fit(*q) for q in p]) + far[:, None] * n


def _allowed(plan: Plan, edge: str, contours: Sequence[Judged]) -> Pair | None:
    """(minus, plus) that an edge's contour is judged by, else the drawing's."""
    mine = next((j.limits for j in contours if j.found.where["edge"] == edge and j.limits), None)
    return allowed(plan.job.part, "contour", f"edge.{edge}") if mine is None else (-mine[0], mine[1])


def _limits(limits: Pair | None, e: DrawnEdge, fit: Fit, drawn: Drawn) -> list[Item]:
    if limits is None:
        return []
    both = [_off(e, e.along, np.full(len(e.along), d), fit, drawn) for d in (-limits[0], limits[1])]
    return [Polyline(tuple((float(x), float(y)) for x, y in p), False, LIMIT) for p in both]


def _runs(profiles: Sequence[Profile], edges: dict[str, DrawnEdge], fit: Fit, drawn: Drawn) -> list[Item]:
    """The run of the deviation where many points have it, broken where they have none."""
    items: list[Item] = []
    for p in profiles:
        if p.edge not in edges or len(p.along) < 2:
            continue
        order = np.argsort(p.along)
        along, deviation = p.along[order], p.deviation[order]
        page = _off(edges[p.edge], along, deviation, fit, drawn)
        step = np.diff(along)
        gaps = np.flatnonzero(step > max(4.0 * float(np.median(step)), 5.0)) + 1
        for run in np.split(page, gaps):
            if len(run) > 1:
                items.append(Polyline(tuple((float(x), float(y)) for x, y in run), False, RUN))
    return items


def _ticks(e: DrawnEdge, found: Sequence[Judged], fit: Fit, drawn: Drawn, first: Unit) -> list[Item]:
    if not found:
        return []
    along = np.array([j.found.where["along_mm"] for j in found], float)
    value = np.array([j.found.off for j in found])
    foot, tip = _off(e, along, np.zeros(len(along)), fit, drawn), _off(e, along, value, fit, drawn)
    # as most of them stand: places of the sheet between those of a scan make no difference
    apart = (float(np.median(np.diff(np.sort(along)))) if len(along) > 1 else np.inf) * fit.scale
    items: list[Item] = []
    if apart >= TICKS_APART:
        items += [_between(a, b, TICK) for a, b in zip(foot, tip, strict=True)]
    if apart >= WHISKERS_APART:
        u = np.array([j.found.u or 0.0 for j in found])
        low, high = (_off(e, along, value + d, fit, drawn) for d in (-u, u))
        items += [w for a, b in zip(low, high, strict=True) for w in _whisker(a, b)]
    tips = {id(j): (t, f) for j, t, f in zip(found, tip, foot, strict=True)}
    done: list[Array] = []
    for j in worst_first(found):
        at, foot_ = tips[id(j)]
        if j.verdict == INSIDE and apart < MARKS_APART:
            break
        if any(hypot(*(at - other)) < APART for other in done):
            continue
        done.append(at)
        items += verdict_mark(float(at[0]), float(at[1]), j.verdict, R)
        if abs(j.found.off) > drawn.reach:
            words = _cut_off(at, foot_, j.found, first)
            if not any(meet(room_of(words), room_of(t)) for t in items if isinstance(t, Text)):
                items.append(words)
    return items


def _between(a: Array, b: Array, stroke: Stroke) -> Line:
    return Line(float(a[0]), float(a[1]), float(b[0]), float(b[1]), stroke)


def _whisker(a: Array, b: Array) -> list[Item]:
    """A thin line over the uncertainty with a short bar at either end."""
    d = b - a
    size = hypot(*d)
    if size < 0.4:
        return []
    cx, cy = -d[1] / size * 0.55, d[0] / size * 0.55
    ends = [Line(float(p[0] - cx), float(p[1] - cy), float(p[0] + cx), float(p[1] + cy), WHISKER) for p in (a, b)]
    return [_between(a, b, WHISKER), *ends]


def _cut_off(tip: Array, foot: Array, found: Found, first: Unit) -> Text:
    """The number at the tip of a tick that is drawn too short."""
    d = tip - foot
    anchor = "start" if d[0] > 1.0 else "end" if d[0] < -1.0 else "middle"
    x, y = tip + d / max(hypot(*d), 1e-9) * (1.8 if anchor != "middle" or d[1] > 0 else 3.6)
    words = f"{found.off / MM_PER_IN:+.3f} in" if first == "in" else f"{found.off:+.2f} mm"
    return Text(float(x), float(y) - (1.0 if anchor != "middle" else 0.0), words, PRINT, "bold", anchor)


def _holes(plan: Plan, inspection: Inspection, fit: Fit, drawn: Drawn) -> list[Item]:
    """Each hole as drawn, and an arrow from its middle to where it was found, as large as the ticks; a frame for its tolerance."""
    drifts = {d.hole: d for d in inspection.found.fit.drifts}
    items: list[Item] = []
    for h in plan.blank.holes:
        x, y = fit(*h.hole.at)
        r = max((h.tangent_diameter or h.hole.diameter) / 2 * fit.scale, 0.6)
        items += [Circle(x, y, r, FINE), Line(x - 1.4, y, x + 1.4, y, FINE), Line(x, y - 1.4, x, y + 1.4, FINE)]
        limits = allowed(plan.job.part, "hole_position", f"hole.{h.hole.name}")
        mine = [
            j for j in inspection.judged if j.found.quantity == "hole_position" and j.found.where["hole"] == h.hole.name
        ]
        drift = drifts.get(h.hole.name)
        off = {j.found.where.get("axis"): j.found.off for j in mine}
        if drift is None and not {"x", "y"} <= set(off):
            continue
        dx, dy = (drift.dx, drift.dy) if drift is not None else (off["x"], off["y"])
        if limits is not None:
            a, b = (v * drawn.times for v in limits)
            items.append(Polyline(((x - a, y - a), (x + b, y - a), (x + b, y + b), (x - a, y + b)), True, FRAME))
        items += _drift((x, y), (dx * drawn.times, dy * drawn.times), drawn.longest)
        worst = worst_first(mine)
        if worst:
            far = min(1.0, drawn.longest / max(hypot(dx, dy) * drawn.times, 1e-9))
            items += verdict_mark(x + dx * drawn.times * far, y + dy * drawn.times * far, worst[0].verdict, R)
    return items


def _drift(at: Pair, move: Pair, longest: float) -> list[Item]:
    size = hypot(*move)
    if size < 0.5:
        return []
    far = min(size, longest) / size
    return [Line(*at, at[0] + move[0] * far, at[1] + move[1] * far, Stroke(0.4))]


def widest(plan: Plan, contours: Sequence[Judged]) -> float:
    """The widest tolerance that is drawn, of contours and of holes' places [mm]; 0 where the part file has none."""
    part = plan.job.part
    rows = [_allowed(plan, e.name, contours) for loop in part.loops for e in loop.edges]
    rows += [allowed(part, "hole_position", f"hole.{h.name}") for h in part.holes]
    return max((max(limits) for limits in rows if limits), default=0.0)
