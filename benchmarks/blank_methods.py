"""The cut lines of the three methods over each other, part by part, and where they lie furthest apart.

    python benchmarks/blank_methods.py                  every example part: docs/blank_methods/*.svg and docs/blank_methods.md
    python benchmarks/blank_methods.py PART.part.toml ... --factor 20 --out DIR    pictures of these parts, differences 20 times
    python benchmarks/blank_methods.py --png DIR        the pictures as PNG besides

Distance of two cut lines: of the points of one, a quarter of a millimetre apart and its corners, the farthest from the other, both ways
round; whole lines with their ends and reliefs, and the edges of holes. To be run when a method's numbers move; a test holds the table
against the code. Nothing drawn was compared with a real formed part.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.adapters.shop_toml import find_shop, read_shop
from ribwright.adapters.write_picture_svg import write_picture_svg
from ribwright.adapters.write_png import write_png
from ribwright.documents.page import Circle, Document, Item, Line, Page, Polyline, Stroke, Text, paragraph
from ribwright.shop.shop import Shop
from ribwright.stages.blank import Blank, RunStrip, make_blank
from ribwright.stages.inverse_cut import by_balance
from ribwright.stages.job import Job, take_in

Array = NDArray[np.float64]
ROOT = Path(__file__).parents[1]
EXAMPLES, PICTURES, TABLE = (
    ROOT / "examples" / "dabchick",
    ROOT / "docs" / "blank_methods",
    ROOT / "docs" / "blank_methods.md",
)
HANDBOOK, CORRECTED, INVERSE = "handbook", "strain-corrected", "inverse"
PAIRS = (("A", HANDBOOK, CORRECTED), ("B", CORRECTED, INVERSE), ("C", HANDBOOK, INVERSE))
STEP, CHORD = 0.25, 0.002  # between points; chords of arcs [mm]
SAME = 0.001  # nearer than that two lines are one [mm]
STRAIGHT = 10000.0  # radius from which a line is called straight [mm]
ENDS = 2.0  # flange widths from a free end within which the end is named
WIDE, MARGIN, GAP, CLOSE = 260.0, 6.0, 6.0, 66.0  # page, its margin, between boxes, height of a close-up [mm]
FACTORS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)  # more would show what lines and arcs are fitted within
SHOWN = 6.0  # largest difference as shown, at the most, where the factor is not asked [mm on the page]
LOOKS = {
    HANDBOOK: Stroke(0.3, 0.0, (0.4, 0.9)),
    CORRECTED: Stroke(0.3),
    INVERSE: Stroke(0.6, 0.0, (3.0, 1.2)),
}
TANGENT, FRAME, ARROW = Stroke(0.15, 0.6), Stroke(0.15, 0.55), Stroke(0.25)


@dataclass(frozen=True)
class Apart:
    """Where the cut lines of two methods lie furthest apart: mark, methods, distance [mm], a point of one and the nearest of the
    other [mm], where that is and why, in words."""

    mark: str
    first: str
    second: str
    mm: float
    at: tuple[float, float]
    to: tuple[float, float]
    where: str
    why: str


@dataclass(frozen=True, eq=False)
class Compared:
    """One part by three methods."""

    name: str
    job: Job
    blanks: dict[str, Blank]
    apart: tuple[Apart, ...]


def compared(file: Path) -> Compared:
    """The part of a file, its shop's rules held."""
    shop = find_shop(file)
    job = take_in(read_part(file), read_shop(shop) if shop else Shop(), load_catalogue(), file.name)
    corrected = make_blank(job, CORRECTED)
    blanks = {HANDBOOK: make_blank(job, HANDBOOK), CORRECTED: corrected, INVERSE: by_balance(job, corrected)[0]}
    assert blanks[INVERSE].method == INVERSE, f"{file.name}: no blank by balance"
    apart = tuple(_apart(mark, blanks[a], blanks[b]) for mark, a, b in PAIRS)
    return Compared(file.name.removesuffix(".part.toml"), job, blanks, apart)


def rings(blank: Blank) -> list[shapely.LinearRing]:
    """Outline, cutouts, round holes, as closed lines [mm]."""
    out = [shapely.LinearRing(loop.path.chords(CHORD)) for loop in blank.loops]
    turn = np.linspace(0.0, 2.0 * np.pi, 721)[:-1]
    for h in blank.holes:
        r = h.cut_diameter / 2.0
        out.append(shapely.LinearRing(np.array(h.hole.at) + r * np.stack([np.cos(turn), np.sin(turn)], axis=1)))
    return out


def furthest(a: shapely.LinearRing, b: shapely.LinearRing) -> tuple[float, Array, Array]:
    """Largest distance between two closed lines [mm], the point of one where it is, the nearest point of the other."""
    found = (0.0, np.zeros(2), np.zeros(2))
    for one, other in ((a, b), (b, a)):
        p = shapely.points(shapely.get_coordinates(shapely.segmentize(one, STEP)))
        away = shapely.distance(p, other)
        k = int(np.argmax(away))
        if away[k] > found[0]:
            near = shapely.get_coordinates(shapely.shortest_line(p[k], other))[1]
            found = (float(away[k]), shapely.get_coordinates(p[k])[0], near)
    return found


def _apart(mark: str, a: Blank, b: Blank) -> Apart:
    every = [furthest(p, q) for p, q in zip(rings(a), rings(b), strict=True)]
    k = max(range(len(every)), key=lambda i: every[i][0])
    mm, at, to = every[k]
    where, why = _told(a, b, at, mm) if k < len(a.loops) else _told_hole(a, k - len(a.loops))
    return Apart(mark, a.method, b.method, mm, (float(at[0]), float(at[1])), (float(to[0]), float(to[1])), where, why)


def _told_hole(a: Blank, k: int) -> tuple[str, str]:
    return f"hole {a.holes[k].hole.name}", "the rim's strain is reckoned otherwise"


def _told(a: Blank, b: Blank, at: Array, mm: float) -> tuple[str, str]:
    """Where a place is, by the strip whose cut edge is nearest, and what parts two methods there."""
    if mm < SAME:
        return "nowhere", "the lines are one"
    s, k = min(
        ((s, int(np.hypot(*(s.flat - at).T).argmin())) for s in b.strips),
        key=lambda x: float(np.hypot(*(x[0].flat[x[1]] - at))),
    )
    edge = b.laid[s.loop].edges[int(s.at.edge[k])].edge.name
    width = float(s.strip.flat_width[k])
    to_end = min(s.at.arc[k] - s.at.arc[0], s.at.arc[-1] - s.at.arc[k])
    near_end = not s.at.closed and to_end < ENDS * width
    place = "at its free end" if to_end < width / 4 else f"{to_end:.0f} mm from its free end"
    where = f"edge {edge}, {place if near_end else 'clear of free ends'}"
    radius, strain = _radius(s, k), 100.0 * float(s.strip.edge_strain[k])
    if near_end and INVERSE in (a.method, b.method):
        if abs(radius) > STRAIGHT:
            return where, "straight here, curved beside it: strain reaches over from there"
        lean = width * width / abs(radius)
        return (
            where,
            f"R {abs(radius):.0f} mm: a free end leans in the flat by about w2/R, {lean:.2f} mm; the other method cuts it square",
        )
    if abs(radius) > STRAIGHT:
        return where, "straight here, curved beside it: strain reaches over from there"
    flange = f"{'stretch' if radius < 0 else 'shrink'} flange, R {abs(radius):.0f} mm, edge strain {strain:+.1f} %"
    if HANDBOOK in (a.method, b.method):
        return where, f"{flange}: the handbook keeps the flange's width, strained metal does not"
    return (
        where,
        f"{flange}: curvature changes along the edge, and the one smooths it over 0.35 widths, the other solves it",
    )


def _radius(s: RunStrip, k: int) -> float:
    """Radius of the bend tangent line over one flange width each way of a station [mm]; inf where it is straight."""
    middle = (s.at.arc[1:] + s.at.arc[:-1]) / 2.0
    near = np.abs(middle - s.at.arc[k]) <= float(s.strip.flat_width[k])
    kappa = s.at.cells[near] if near.any() else s.at.cells[[min(k, len(s.at.cells) - 1)]]
    most = float(kappa[np.abs(kappa).argmax()])
    return 1.0 / most if abs(most) > 1e-9 else float("inf")


# ---------------------------------------------------------------- picture


@dataclass(frozen=True)
class View:
    """Part's coordinates onto the page: scale, shift, and the box that is seen (left, bottom, right, top) [mm on the page]."""

    scale: float
    dx: float
    dy: float
    box: tuple[float, float, float, float]

    def __call__(self, p: Array) -> Array:
        return p * self.scale + np.array([self.dx, self.dy])


def drawn(c: Compared, factor: float | None = None) -> Document:
    """One page: all three cut lines with their differences exaggerated, and close-ups, to scale, of where each pair is furthest apart."""
    whole = shapely.union_all([r for blank in c.blanks.values() for r in rings(blank)]).bounds
    room = WIDE - 2 * MARGIN - 2 * SHOWN
    scale = min(room / (whole[2] - whole[0]), 200.0 / (whole[3] - whole[1]))
    deep = scale * (whole[3] - whole[1]) + 2 * SHOWN
    most = max(a.mm for a in c.apart)
    shown = factor or max((f for f in FACTORS if f * most * scale <= SHOWN), default=1.0)
    low = 2 * MARGIN + CLOSE + 16.0
    view = View(
        scale,
        WIDE / 2 - scale * (whole[0] + whole[2]) / 2,
        low + deep / 2 - scale * (whole[1] + whole[3]) / 2,
        (0, 0, 0, 0),
    )
    top = low + deep + 31.0
    items = [*_head(c, shown, top), *_overall(c, view, shown)]
    wide = (WIDE - 2 * MARGIN - 2 * GAP) / 3
    for k, a in enumerate(c.apart):
        items += _close_up(c, a, (MARGIN + k * (wide + GAP), MARGIN, wide, CLOSE))
    title = f"{c.name}: cut lines by three methods, differences {shown:g} times"
    return Document(c.name, title, (Page(WIDE, top, tuple(items), c.name),))


def _head(c: Compared, factor: float, top: float) -> list[Item]:
    words = f"Above: differences from the strain-corrected line shown {factor:g} times. Below: as they are, where two are furthest apart."
    out: list[Item] = [
        Text(MARGIN, top - 10.0, f"{c.name}: the cut line by three methods", 18, "bold"),
        Text(MARGIN, top - 17.0, words, 10),
        Text(MARGIN, top - 27.5, "Not compared with a real formed part.", 10),
    ]
    for k, (name, stroke) in enumerate(LOOKS.items()):
        x = MARGIN + 62.0 * k
        out += [Line(x, top - 21.5, x + 18.0, top - 21.5, stroke), Text(x + 20.0, top - 22.7, name, 11)]
    x = MARGIN + 186.0
    return [
        *out,
        Line(x, top - 21.5, x + 18.0, top - 21.5, TANGENT),
        Text(x + 20.0, top - 22.7, "bend tangent line", 11),
    ]


def _overall(c: Compared, view: View, factor: float) -> list[Item]:
    out: list[Item] = [
        Polyline(_thin(view(np.array(line))), False, TANGENT) for _, line in c.blanks[CORRECTED].tangents
    ]
    base = rings(c.blanks[CORRECTED])
    for name, stroke in LOOKS.items():
        for k, ring in enumerate(rings(c.blanks[name])):
            if k >= len(c.blanks[name].loops) and name != CORRECTED and furthest(ring, base[k])[0] < SAME:
                continue  # a hole of one size by all methods is drawn once
            p = shapely.get_coordinates(shapely.segmentize(ring, 1.0))
            near = shapely.get_coordinates(shapely.shortest_line(shapely.points(p), base[k])).reshape(-1, 2, 2)[:, 1]
            out.append(Polyline(_thin(view(near + factor * (p - near))), True, stroke))
    middle = np.array([WIDE / 2, np.mean([view(np.array(a.at))[1] for a in c.apart])])
    places: dict[tuple[float, float], str] = {}
    for a in (a for a in c.apart if a.mm >= SAME):
        at = next((p for p in places if np.hypot(p[0] - a.at[0], p[1] - a.at[1]) * view.scale < 3.0), a.at)
        places[at] = f"{places[at]}, {a.mark}" if at in places else a.mark
    for at, letters in places.items():
        out += _mark(view(np.array(at)), letters, middle)
    return out


def _mark(p: Array, letters: str, middle: Array) -> list[Item]:
    """A ring round the place, its letters towards the middle of the picture where nothing is drawn."""
    u = (middle - p) / max(float(np.hypot(*(middle - p))), 1e-9)
    x, y = p + 8.5 * u
    return [Circle(float(p[0]), float(p[1]), 3.5, ARROW), Text(float(x), float(y) - 1.5, letters, 12, "bold", "middle")]


def _close_up(c: Compared, a: Apart, box: tuple[float, float, float, float]) -> list[Item]:
    """The lines to scale round the place, the distance between two of them marked."""
    x, y, w, h = box
    frame = Polyline(((x, y), (x + w, y), (x + w, y + h), (x, y + h)), True, FRAME)
    title, below = paragraph(x, y + h + 8.5, f"{a.mark}  {a.first} and {a.second}: {a.mm:.2f} mm", 10.5, w, "bold")
    if a.mm < SAME:
        return [frame, *title, Text(x + w / 2, y + h / 2, "The two lines are one.", 11, "regular", "middle")]
    scale = max(f for f in (1, 2, 5, 10, 20, 50, 100, 200, 500) if f * a.mm <= 18.0)
    note = Text(x, below - 0.3, f"{scale} : 1, {a.where}", 9)
    middle = (np.array(a.at) + np.array(a.to)) / 2
    view = View(scale, x + w / 2 - scale * middle[0], y + h / 2 - scale * middle[1], box)
    seen = shapely.box(x, y, x + w, y + h)
    out: list[Item] = [frame, *title, note]
    for _, line in c.blanks[CORRECTED].tangents:
        out += _within(view(np.array(line)), seen, TANGENT)
    for name, stroke in LOOKS.items():
        for ring in rings(c.blanks[name]):
            out += _within(view(shapely.get_coordinates(ring)), seen, stroke)
    p, q = view(np.array(a.at)), view(np.array(a.to))
    out += [Line(*p, *q, Stroke(0.9, 0.45)), Circle(*p, 0.9, None, 0.0), Circle(*q, 0.9, None, 0.0)]
    return out


def _within(p: Array, seen: shapely.Polygon, stroke: Stroke) -> list[Item]:
    cut = shapely.line_merge(shapely.intersection(shapely.LineString(p), seen))
    pieces = [g for g in shapely.get_parts(cut) if g.geom_type == "LineString" and not g.is_empty]
    return [Polyline(_thin(shapely.get_coordinates(g)), False, stroke) for g in pieces]


def _thin(p: Array) -> tuple[tuple[float, float], ...]:
    """Points of a line on the page without those that 0.02 mm would not show."""
    kept = shapely.get_coordinates(shapely.simplify(shapely.LineString(p), 0.02, preserve_topology=False))
    return tuple((round(float(x), 3), round(float(y), 3)) for x, y in kept)


# ---------------------------------------------------------------- table


HEAD = """# The cut line by three methods

`python benchmarks/blank_methods.py` puts the cut lines of handbook, strain-corrected and inverse over each other for every
example part. The table says where each pair lies furthest apart: whole cut lines with leaning ends, reliefs, cutouts and holes, not
stations alone. Holes of the examples have their cut diameter drawn, so all three cut them alike. The pictures show all three lines with
differences exaggerated (the factor stands on the picture), and close-ups to scale. **Nothing here was compared with a real formed part.**

| part | pair | furthest apart, mm | where | why |
|---|---|---|---|---|
"""


def rows(c: Compared) -> list[str]:
    """The table's rows of a part."""
    link = f"[{c.name}](blank_methods/{c.name}.svg)"
    return [
        f"| {link if k == 0 else ''} | {a.first}, {a.second} | {a.mm:.2f} | {a.where} | {a.why} |"
        for k, a in enumerate(c.apart)
    ]


def main() -> None:
    """Pictures, and the table where every example part is asked."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("parts", nargs="*", type=Path)
    asked.add_argument(
        "--factor", type=float, help="how many times differences are shown; default: what fits the picture"
    )
    asked.add_argument("--out", type=Path, default=PICTURES)
    asked.add_argument("--png", type=Path, help="folder for PNG besides")
    a = asked.parse_args()
    text = HEAD
    for file in a.parts or sorted(EXAMPLES.glob("*.part.toml")):
        c = compared(file)
        document = drawn(c, a.factor)
        a.out.mkdir(parents=True, exist_ok=True)
        (a.out / f"{c.name}.svg").write_text(write_picture_svg(document), encoding="utf-8")
        if a.png:
            a.png.mkdir(parents=True, exist_ok=True)
            (a.png / f"{c.name}.png").write_bytes(write_png(document))
        text += "\n".join(rows(c)) + "\n"
        print("\n".join(rows(c)))
    if not a.parts and a.factor is None and a.out == PICTURES:
        TABLE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
