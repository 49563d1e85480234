"""The strain pictures of a part: thickness, major and minor strain over the blank and the formed part, and the strain diagram.

Greys run from light to dark as the quantity gets more serious; each band also bears a letter, which the legend gives in numbers. The ring
stands where the value is greatest; the close-up is drawn round it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.identity import Identity
from ribwright.documents.lettering import MM_PER_POINT, fitted, wrap
from ribwright.documents.page import Item, Page, Polyline, Stroke, Text, moved
from ribwright.documents.strain_diagram import strain_diagram
from ribwright.documents.strain_scale import Scale, scale_of
from ribwright.documents.strain_view import Eye, flat_eye, formed_eye, formed_turned, mark, near_eye, picture_of
from ribwright.mechanics.inverse.model import WOULD_NECK
from ribwright.stages.strain_answer import HOLDS, SAYS
from ribwright.stages.strain_limit import FREE_EDGE, LINE, LimitLine, NoLine
from ribwright.stages.strain_map import StrainMap, principal
from ribwright.stages.strain_margins import SplitMargin
from ribwright.units import MM_PER_IN

Array = NDArray[np.float64]
WIDTH, TALL = 279.4, 215.9
LEFT, PANEL, RIGHT, COLUMN = 10.0, 186.0, 203.0, 67.0
UPPER, LOWER, CLOSE = (108.0, 78.0), (22.0, 78.0), (24.0, 67.0)  # low side and height of each panel
TITLE_PT, HEAD_PT, PT, SMALL_PT = 15.0, 10.5, 10.0, 8.5
REACH = 9.0  # thicknesses round the greatest value that the close-up shows
NECKS = "WOULD NECK: strain as if the sheet kept its thickness; a real one necks first."
SMALL = 2e-4  # strain, or share of the thickness: less is all one


@dataclass(frozen=True, eq=False)
class Quantity:
    """A quantity over the map: title, unit in words, values at triangles' corners (T, 3), scale, its most serious value where one may be
    read, where that is on blank and formed part, and how it is written."""

    title: str
    corners: Array
    scale: Scale
    worst: float
    flat: Array
    formed: Array
    where: str
    digits: int


def strain_pages(
    m: StrainMap, line: LimitLine | NoLine, rows: tuple[SplitMargin, ...], identity: Identity
) -> tuple[Page, ...]:
    """One page a quantity and one for the diagram, each letter size across."""
    drawn = [_page(m, q, identity) for q in quantities(m, identity.first)]
    return (*drawn, _diagram_page(m, line, rows, identity))


def quantities(m: StrainMap, first: str) -> tuple[Quantity, ...]:
    """Thickness in the shop's unit, major and minor true strain."""
    major, minor, _ = principal(m.at_corners.reshape(-1, 3))
    unit = MM_PER_IN if first == "in" else 1.0
    thickness = m.sheet * np.exp(-(major + minor)) / unit
    shapes = [a.reshape(-1, 3) for a in (thickness, major, minor)]
    titles = (
        f"Thickness, {first}; the sheet has {m.sheet / unit:.{4 if first == 'in' else 3}f}",
        "Major true strain",
        "Minor true strain",
    )
    middles = (m.thickness / unit, m.major, m.minor)
    return tuple(
        _quantity(
            m,
            title,
            at,
            middle,
            title.startswith("M") and title[1] == "a",
            4 if title[0] == "T" and first == "in" else 3,
        )
        for title, at, middle in zip(titles, shapes, middles, strict=True)
    )


def _quantity(m: StrainMap, title: str, corners: Array, middle: Array, up: bool, digits: int) -> Quantity:
    """Bands over what may be read; the most serious value of the triangles and, of strain along it, the free edges."""
    sign = 1.0 if up else -1.0
    may = np.flatnonzero(m.counted)
    k = int(may[int(np.argmax(sign * middle[may]))])
    best = (float(middle[k]), m.flat[m.triangles[k]].mean(axis=0), m.formed[m.triangles[k]].mean(axis=0), m.place_of(k))
    for r in m.rims if "strain" in title else ():
        s = np.where(r.counted, sign * r.strain, -np.inf)
        j = int(np.argmax(s))
        if s[j] > sign * best[0]:
            best = (float(r.strain[j]), r.flat[j], r.formed[j], (r.kind, r.name))
    low, high = float(min(middle[may].min(), best[0])), float(max(middle[may].max(), best[0]))
    strain = "strain" in title
    rest = 0.0 if strain else float(middle[m.web].mean()) if m.web.any() else 0.0
    scale = scale_of(low, high, not up, SMALL if strain else SMALL * rest, rest)
    kind, name = best[3]
    where = f"hole {name}" if kind == "hole" else name or "web"
    return Quantity(title, corners, scale, best[0], best[1], best[2], where, digits)


def _page(m: StrainMap, q: Quantity, identity: Identity) -> Page:
    flat, formed = flat_eye(m, PANEL, UPPER[1]), formed_eye(m, PANEL, LOWER[1])
    reach = REACH * m.sheet + 2.0 * m.size
    near = near_eye(m, (float(q.flat[0]), float(q.flat[1])), reach, COLUMN, CLOSE[1])
    turned = "seen from below, turned over" if formed_turned(m) else "seen from above"
    items = [*_heading(q.title, m, identity)]
    items += _panel(m, q, flat, LEFT, UPPER[0], f"flat blank, {_size(flat.scale)}", q.flat)
    items += _panel(m, q, formed, LEFT, LOWER[0], f"formed, {turned}; parallel view", q.formed)
    items += _panel(m, q, near, RIGHT, CLOSE[0], f"flat blank near the ring, {_size(near.scale)}", q.flat, framed=True)
    items += _legend(q)
    return Page(WIDTH, TALL, (*items, *_foot()), q.title)


def _size(scale: float) -> str:
    """How large it is drawn: '0.26 of its size', '2.4 times its size'."""
    return f"{scale:.2g} of its size" if scale < 1.0 else f"{scale:.2g} times its size"


def _heading(title: str, m: StrainMap, identity: Identity) -> list[Item]:
    line = f"{identity.line}   {identity.material}, {identity.thickness}"
    return [
        Text(LEFT, 197.0, fitted(line, HEAD_PT, WIDTH - 2 * LEFT, "regular"), HEAD_PT),
        Text(LEFT, 189.0, title, TITLE_PT, "bold"),
        *([Text(LEFT + 100.0, 189.0, NECKS, HEAD_PT, "bold")] if m.outcome == WOULD_NECK else []),
    ]


def _foot() -> list[Item]:
    """What the picture does not say, on every page."""
    lines = wrap(f"Computed, {SAYS}. {HOLDS[0].upper()}{HOLDS[1:]}.", SMALL_PT, WIDTH - 2 * LEFT, "regular")
    return [Text(LEFT, 12.5 - k * 1.25 * SMALL_PT * MM_PER_POINT, text, SMALL_PT) for k, text in enumerate(lines)]


def _panel(
    m: StrainMap, q: Quantity, eye: Eye, x: float, y: float, caption: str, ring: Array, framed: bool = False
) -> list[Item]:
    drawn = [*picture_of(m, eye, q.corners, q.scale)]
    if q.scale.bands > 1:
        at = eye(ring[None])[0]
        drawn += mark(float(at[0]), float(at[1]))
    items: list[Item] = drawn
    if framed:
        w, h = eye.width, eye.tall
        items.append(Polyline(((0.0, 0.0), (w, 0.0), (w, h), (0.0, h)), True, Stroke(0.2, 0.3)))
    items.append(Text(0.0, -4.2, caption, PT))
    return [moved(i, x, y) for i in items]


def _legend(q: Quantity) -> list[Item]:
    """Swatch, letter and numbers of each band, the most serious on top, and the greatest value."""
    items: list[Item] = []
    y = 180.0
    for k in reversed(range(q.scale.bands)):
        items.append(
            Polyline(
                ((RIGHT, y), (RIGHT + 9, y), (RIGHT + 9, y + 5.5), (RIGHT, y + 5.5)), True, Stroke(0.2), q.scale.grey(k)
            )
        )
        if q.scale.bands > 1:
            items.append(Text(RIGHT + 11.5, y + 1.3, q.scale.letter(k), PT, "bold"))
        items.append(Text(RIGHT + 17.0, y + 1.3, q.scale.words(k), PT))
        y -= 6.6
    if q.scale.bands > 1:
        which = "least" if q.scale.down else "greatest"
        items += [*mark(RIGHT + 4.5, y - 1.0)]
        items.append(Text(RIGHT + 11.5, y - 2.3, f"{which} {q.worst:.{q.digits}f}", PT, "bold"))
        items.append(Text(RIGHT + 11.5, y - 7.3, fitted(q.where, PT, COLUMN - 12.0, "regular"), PT))
    return items


def _diagram_page(m: StrainMap, line: LimitLine | NoLine, rows: tuple[SplitMargin, ...], identity: Identity) -> Page:
    items = [*_heading("Strain diagram", m, identity)]
    items += [moved(i, LEFT + 14.0, 34.0) for i in strain_diagram(m, line, rows, PANEL - 24.0, 148.0)]
    y = 182.0
    words = (
        f"Limit line, heavy: major + minor = {line.e0:.3f} left of minor 0, major = {line.e0:.3f} right of it. {line.source}."
        if isinstance(line, LimitLine)
        else f"No limit line: {line.why}."
    )
    told = [*wrap(words, PT, COLUMN, "regular"), ""]
    told += [*wrap("A point: some of the sheet is strained so, near held corners left out.", PT, COLUMN, "regular"), ""]
    for by, head in ((LINE, "Room to the line"), (FREE_EDGE, "Room at free edges, by their own limit")):
        told += [*wrap(head, PT, COLUMN, "bold")]
        told += [_row(r, identity.first) for r in rows if r.by == by][:9] or ["none is stretched"]
        told += [""]
    for text in told:
        items.append(
            Text(
                RIGHT,
                y,
                fitted(text, PT, COLUMN, "regular") if text else "",
                PT,
                "bold" if text.startswith("Room") else "regular",
            )
        )
        y -= 4.7
    return Page(WIDTH, TALL, (*items, *_foot()), "Strain diagram")


def _row(r: SplitMargin, first: str) -> str:
    name = f"hole {r.name}" if r.kind == "hole" else r.name
    return f"{name}: " + ("no limit known" if r.margin is None else f"{100 * r.margin:.0f} %")
