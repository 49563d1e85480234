"""What stands in a picture of a section: block, sheet, arrows of pad and block, moment, angle. To scale, arrows square on the sheet.

Everything is placed by a `Fit`, which moves and enlarges and never turns: directions of the model are directions on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.layout import Fit
from ribwright.documents.lettering import MM_PER_POINT
from ribwright.documents.page import Arc, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.documents.section_shape import (
    Seen,
    block_area,
    block_surface,
    corner_of,
    from_left,
    hatched,
    sheet_area,
    upward,
)

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Flange

Array = NDArray[np.float64]
SHEET = 0.75
EDGE, SKIN, THIN, ARROW = Stroke(0.5), Stroke(0.25), Stroke(0.2, 0.4), Stroke(0.3)
HATCH, COMB = Stroke(0.12, 0.5), Stroke(0.12, 0.3)
AXIS, GHOST = Stroke(0.15, 0.0, (3.0, 0.8, 0.6, 0.8)), Stroke(0.3, 0.0, (1.6, 0.9))
LONG, HEAD, EVERY = 7.0, (1.9, 0.6), 4.5  # of the pad's arrows: length, head (long, half wide), distance on paper [mm]
PUSH, LEAST_PUSH, PUSH_EVERY = 13.0, 0.03, 2.3  # longest arrow of the block; share of it not drawn any more; distance
MOMENT, MOMENT_EVERY = 15.0, 1.6  # height of the largest moment, distance of its ribs on paper [mm]
PAST = 1.08  # of the flange's straight part: how far the wall is drawn
BESIDE = LONG + 4.0  # where the angle's arc runs outside the cut edge [mm on paper]

Arrow = tuple[Pair, Pair]


@dataclass(frozen=True)
class View:
    """A window on the section: where its left end is cut, how far down the wall is drawn [mm], and the fit on paper."""

    left: float
    down: float
    fit: Fit

    def surface(self, f: Flange) -> list[Pair]:
        """The block's surface as far as it is drawn [mm]."""
        return block_surface(f, self.left, self.down)


def view_of(
    f: Flange, states: Sequence[Seen], x: float, top: float, w: float, h: float, arc_share: float = 0.0
) -> tuple[View, float]:
    """The window into which all `states` fit, from y = `top` on paper down by at most `h`, in x to x + w; and the height that
    it takes [mm]. `arc_share` of the flange's length is kept free for the arc of the angle."""
    reach = f.straight + f.arc()
    left = -max(2.2 * (f.radius + f.t), 0.45 * reach)
    left = max([left, *(float(s.outer[0, 0]) for s in states)])
    down = PAST * f.straight
    rings = [block_surface(f, left, down), *(sheet_area(s, left) for s in states)]
    for s in states if arc_share else ():
        c = corner_of(s)
        turned, far = np.radians(np.linspace(0.0, s.angle, 12)), arc_share * c.reach
        rings.append([(float(c.at[0] + far * np.cos(a)), float(c.at[1] - far * np.sin(a))) for a in turned])
    points = np.vstack([np.asarray(r) for r in rings])
    (x0, y0), (x1, y1) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    scale = min(w / (x1 - x0), h / (y1 - y0))
    return View(left, down, Fit(scale, x - scale * x0, top - scale * y1)), scale * (y1 - y0)


def ring(points: Sequence[Pair], fit: Fit, stroke: Stroke | None, fill: float | None = None) -> Polyline:
    """A closed area."""
    return Polyline(tuple(fit(x, y) for x, y in points), True, stroke, fill)


def run(points: Sequence[Pair] | Array, fit: Fit, stroke: Stroke) -> Polyline:
    """An open line."""
    return Polyline(tuple(fit(float(x), float(y)) for x, y in points), False, stroke)


def block_items(
    f: Flange, view: View, low: float, pitch: float = 2.0, hatch: bool = True, skin: Stroke = EDGE
) -> list[Item]:
    """The block hatched under its surface; cut off, without a line, to the left and at y = `low` [mm]."""
    surface = view.surface(f)
    on_paper = [view.fit(*p) for p in block_area(surface, low)]
    lines: list[Item] = [Line(*a, *b, HATCH) for a, b in hatched(on_paper, pitch)] if hatch else []
    return [*lines, run(surface, view.fit, skin if hatch else THIN)]


def sheet_items(s: Seen, view: View, fill: float = SHEET, skin: Stroke = SKIN) -> list[Item]:
    """The sheet's section."""
    return [ring(sheet_area(s, view.left), view.fit, skin, fill)]


def arrow(tail: Pair, head: Pair, stroke: Stroke = ARROW) -> list[Item]:
    """A line with a filled head whose point is at `head`; a very short one is its head alone, made smaller."""
    d = np.subtract(head, tail)
    long = float(np.hypot(*d))
    if long < 1e-6:
        return []
    point, half = min(HEAD[0], long), HEAD[1] * min(1.0, long / HEAD[0])
    u = d / long
    base, side = np.asarray(head) - point * u, half * np.array([-u[1], u[0]])
    corners = tuple((float(p[0]), float(p[1])) for p in (np.asarray(head), base + side, base - side))
    shaft: list[Item] = [Line(*tail, float(base[0]), float(base[1]), stroke)] if long > point else []
    return [*shaft, Polyline(corners, True, None, 0.0)]


def pressure_arrows(s: Seen, view: View, long: float = LONG, every: float = EVERY) -> list[Arrow]:
    """(tail, head) on paper of the pad's arrows: evenly along the outer face, square on it, all as long: it pushes evenly."""
    outer = from_left(s.outer, view.left)
    ups = upward(s)[-len(outer) :]
    steps = np.hypot(*np.diff(outer, axis=0).T)
    at = np.concatenate([[0.0], np.cumsum(steps)]) * view.fit.scale
    n = max(2, round(float(at[-1]) / every))
    places = (np.arange(n) + 0.5) / n * at[-1]
    arrows: list[Arrow] = []
    for place in places:
        x, y = (float(np.interp(place, at, outer[:, k])) for k in (0, 1))
        up = np.array([np.interp(place, at, ups[:, k]) for k in (0, 1)])
        up /= np.hypot(*up)
        head = view.fit(x, y)
        arrows.append(((head[0] + long * float(up[0]), head[1] + long * float(up[1])), head))
    return arrows


def pressure_items(s: Seen, view: View, long: float = LONG, every: float = EVERY) -> list[Item]:
    """The pad's arrows, their tails joined by the line that stands for the evenly pressing rubber or fluid."""
    outer = from_left(s.outer, view.left)
    ups = upward(s)[-len(outer) :]
    tails = [view.fit(float(x), float(y)) for x, y in outer]
    line = tuple((x + long * float(u[0]), y + long * float(u[1])) for (x, y), u in zip(tails, ups, strict=True))
    items: list[Item] = [Polyline(line, False, Stroke(0.25))]
    for tail, head in pressure_arrows(s, view, long, every):
        items += arrow(tail, head)
    return items


def push_arrows(s: Seen, view: View, longest: float = PUSH) -> list[Arrow]:
    """(tail, head) on paper of the block's push: at the sheet's inner face, square on it, as long as the push is large. Of
    nodes that lie closer together than arrows can, the one with the largest push is drawn."""
    if s.formed is None:
        return []
    push, ups = s.formed.push, upward(s)
    most = float(push.max(initial=0.0))
    shown = (push > LEAST_PUSH * most) & (s.inner[:, 0] >= view.left)
    shown[0] = False  # where the web is held
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(s.inner, axis=0).T))]) * view.fit.scale
    best: dict[int, int] = {}
    for k in np.flatnonzero(shown).tolist():
        cell = int(along[k] / PUSH_EVERY)
        if cell not in best or push[k] > push[best[cell]]:
            best[cell] = k
    arrows: list[Arrow] = []
    for k in best.values():
        head = view.fit(float(s.inner[k, 0]), float(s.inner[k, 1]))
        long = longest * float(push[k]) / most
        arrows.append(((head[0] - long * float(ups[k, 0]), head[1] - long * float(ups[k, 1])), head))
    return arrows


def push_items(s: Seen, view: View, longest: float = PUSH) -> list[Item]:
    """The block's push drawn."""
    return [item for tail, head in push_arrows(s, view, longest) for item in arrow(tail, head)]


def moment_line(s: Seen, view: View, high: float = MOMENT) -> tuple[list[Pair], list[Pair]]:
    """On paper, at the middle of each element: the sheet's middle, and the moment off it on the side that it stretches."""
    if s.formed is None:
        return [], []
    f = s.formed
    x, y = (np.asarray((v[1:] + v[:-1]) / 2) for v in (f.x, f.y))
    ups = upward(s)
    up = ups[1:] + ups[:-1]
    up /= np.hypot(up[:, 0], up[:, 1])[:, None]
    most = max(float(np.abs(f.moment).max(initial=0.0)), 1e-12)
    foot, top = [], []
    for k in np.flatnonzero(x >= view.left).tolist():
        a = view.fit(float(x[k]), float(y[k]))
        off = high * float(f.moment[k]) / most
        foot.append(a)
        top.append((a[0] + off * float(up[k, 0]), a[1] + off * float(up[k, 1])))
    return foot, top


def moment_items(s: Seen, view: View, high: float = MOMENT) -> list[Item]:
    """The bending moment as ribs off the sheet's middle and a line over their ends."""
    foot, top = moment_line(s, view, high)
    if not foot:
        return []
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(np.asarray(foot), axis=0).T))])
    items: list[Item] = []
    next_at = 0.0
    for a, b, at in zip(foot, top, along.tolist(), strict=True):
        if at >= next_at:
            items.append(Line(*a, *b, COMB))
            next_at = at + MOMENT_EVERY
    return [*items, Polyline(tuple(foot), False, SKIN), Polyline(tuple(top), False, EDGE)]


def angle_items(
    s: Seen, view: View, words: Sequence[tuple[str, float, str]], share: float = 1.0, beside: float = BESIDE
) -> list[Item]:
    """The bend's angle: web and flange drawn on from their corner, an arc between them `share` of the flange's length and
    `beside` mm from the corner, `words` (text, size, font) one under the other outside its middle."""
    c = corner_of(s)
    (x, y), a = view.fit(*c.at), s.angle
    r = share * c.reach * view.fit.scale + beside
    tip = (c.reach * view.fit.scale + 1.2, r + 2.5)
    items: list[Item] = [Line(x, y, x + r + 2.5, y, AXIS), Arc(x, y, r, min(-a, 0.0), max(-a, 0.0), Stroke(0.3))]
    if tip[1] > tip[0]:
        items.append(Line(*_from((x, y), tip[0], a), *_from((x, y), tip[1], a), AXIS))
    steps = [1.35 * size * MM_PER_POINT for _, size, _ in words]
    tall = sum(steps)
    middle = _from((x, y), r, a / 2)[1]
    top = min(middle + tall / 2, y - 3.0)  # clear of the web's line
    # outside the arc over the whole height of the words
    near = min(abs(top - y), abs(top - tall - y)) if top < y else 0.0
    px = x + max(r**2 - near**2, 0.0) ** 0.5 + 2.5
    for (text, size, font), step in zip(words, steps, strict=True):
        top -= step
        items.append(Text(px, top + 0.25 * step, text, size, font))
    return items


def _from(at: Pair, far: float, deg: float) -> Pair:
    """The point `far` mm off on paper, along a flange that stands at `deg`."""
    return at[0] + far * float(np.cos(np.radians(deg))), at[1] - far * float(np.sin(np.radians(deg)))


def springback_items(s: Seen, before: Seen, view: View, beside: float = 4.0) -> tuple[list[Item], Pair]:
    """Past the cut edges, the arc from where the flange stood under load to where it stands; and the arc's middle."""
    tip = view.fit(*corner_of(s).tip)
    way, was = (np.array(_from((0.0, 0.0), 1.0, a)) for a in (s.angle, before.angle))
    across = float(way[0] * was[1] - way[1] * was[0])
    if abs(across) < np.radians(0.2):
        return [], tip
    # about the point where the flange's line crosses the one that it had
    d = np.subtract(view.fit(*corner_of(before).tip), tip)
    back = float(d[0] * was[1] - d[1] * was[0]) / across
    at = (tip[0] + back * float(way[0]), tip[1] + back * float(way[1]))
    r = -back + beside
    if r <= beside:
        return [], tip
    lines: list[Item] = [
        Line(*_from(at, r - beside + 1.0, a), *_from(at, r + 2.0, a), AXIS) for a in (s.angle, before.angle)
    ]
    low, high = sorted((-s.angle, -before.angle))
    return [*lines, Arc(*at, r, low, high, Stroke(0.4))], _from(at, r, (s.angle + before.angle) / 2)


def spread(wanted: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Heights at least `pitch` apart between `low` and `high`, in the order given (falling), each near what is wanted."""
    at = [min(max(y, low), high) for y in wanted]
    for i in range(1, len(at)):
        at[i] = min(at[i], at[i - 1] - pitch)
    if at and at[-1] < low:
        at[-1] = low
        for i in range(len(at) - 2, -1, -1):
            at[i] = max(at[i], at[i + 1] + pitch)
    return at
