"""The grid of circles on a blank template: the circles, the names beside some of them, and how they are used at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import cos, radians, sin

import shapely

from ribwright.documents.drawing import CIRCLES, Label, Ring, Shape
from ribwright.documents.layout import Column
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Circle, Item, Pair, Stroke, Text
from ribwright.documents.template_kinds import with_rows
from ribwright.documents.template_looks import LOOKS
from ribwright.documents.template_values import TemplateContent, TemplateTable
from ribwright.documents.template_words import text_room
from ribwright.stages.circles import NAMED, CircleGrid, GridCircle
from ribwright.units import show_length

MOST_PT, CAPITAL = 8.0, 0.716  # largest print of a name; height of a capital over the size of print
SIZE = "Ø"  # in print that tells a drill
PART_OF_GAP = 0.6  # of the room between two rows that a name's capitals take

CAUTION = "CAUTION: do not scribe the circles where a scratch is not allowed; see the page on strain circles."
SCRATCH = (
    "Circles are printed, stamped or etched as the shop's procedure says. Do not scribe them where a scratch is not allowed: on clad "
    "sheet and on structure that flies a scratch is where a crack starts, and it cuts the cladding through. Where no procedure allows "
    "marking, mark a trial blank only."
)
MARK = (
    "On the flat blank, before forming, at 1:1, on the face that THIS SIDE UP shows, clean and dry, with ink or resist that forming does "
    "not wipe off; for film or a stencil take layer CIRCLES of the drawing file. Measure some circles before forming: what they are out by "
    "is the marking's."
)
MEASURE = (
    "After forming a circle is an ellipse. Measure its longest diameter (major) and its shortest (minor) along the surface, on a curved "
    "flange with a bent rule of paper or film, through a magnifier with a scale. Not over a bend: its outer face is longer. A circle that "
    "has split, or whose edge cannot be seen, is left out."
)
READ = (
    "Major strain is ln(major/d), minor strain ln(minor/d), d the diameter as printed. The sheet keeps its volume: thickness is the "
    "sheet's times d x d/(major x minor). Read to 0.1 mm a strain is known to {least:.1f} %."
)
WRITE = (
    "A .csv file, one circle a line. First what it is: # circle = {typed}   and how finely it was read: # gauge = 0.1 mm   then the names "
    "of the columns: circle, major [mm], minor [mm], and thickness [mm] where it was measured. A circle is called by its name, or by "
    "x [mm], y [mm] in the flat. `ribwright strain PART --circles FILE.csv` holds it against the forecast."
)
NAMED_STROKE = Stroke(0.25)


def with_circles(content: TemplateContent, grid: CircleGrid) -> TemplateContent:
    """The blank's template with the circles over it, their line in the legend, the caution, and a page on their use."""
    row = ("circle", "strain circle: no hole, see its page")
    return replace(
        content,
        kind=with_rows(content.kind, row),
        circles=grid,
        lay=(*content.lay, CAUTION),
        tables=(*content.tables, _table(content, grid)),
    )


def circle_items(grid: CircleGrid | None, words: Sequence[Text] = ()) -> tuple[Item, ...]:
    """The circles and the names of some in print: no circle over a drill size among `words`, which would be drilled wrong if it could not
    be read, and no name over any of them."""
    if grid is None:
        return ()
    print_ = shapely.union_all([text_room(w) for w in words])
    sizes = shapely.union_all([text_room(w) for w in words if SIZE in w.text])
    stroke, r, size = LOOKS["circle"].stroke, grid.diameter / 2, _size(grid)
    out: list[Item] = []
    for c in grid.circles:
        if shapely.intersects(sizes, shapely.Point(c.x, c.y).buffer(r)):
            continue
        out.append(Circle(c.x, c.y, r, NAMED_STROKE if c.named else stroke))
        if c.named:
            (x, y), angle = _under(grid, c, size)
            name = Text(x, y, c.name, size, "regular", "middle", angle)
            if not shapely.intersects(print_, text_room(name)):
                out.append(name)
    return tuple(out)


def circle_shapes(grid: CircleGrid | None) -> list[Shape]:
    """The same for a drawing file, all on layer CIRCLES."""
    if grid is None:
        return []
    size = _size(grid)
    out: list[Shape] = [Ring(CIRCLES, c.x, c.y, grid.diameter / 2) for c in grid.circles]
    for c in grid.circles:
        if c.named:
            (x, y), angle = _under(grid, c, size)
            half, a = text_width(c.name, size) / 2, radians(angle)
            height = CAPITAL * size * MM_PER_POINT
            out.append(Label(CIRCLES, x - half * cos(a), y - half * sin(a), c.name, height, angle))
    return out


def _size(grid: CircleGrid) -> float:
    """Size of the names [pt]: they stand between two rows."""
    return min(MOST_PT, PART_OF_GAP * (grid.pitch - grid.diameter) / (CAPITAL * MM_PER_POINT))


def _under(grid: CircleGrid, c: GridCircle, size: float) -> tuple[Pair, float]:
    """Middle of the base line of a name in the room between its row and the next one, and its angle [deg]; never on its head."""
    angle = 90.0 - (90.0 - grid.angle) % 180.0
    high = CAPITAL * size * MM_PER_POINT
    down = grid.pitch / 2 + high / 2
    a = radians(angle)
    return (c.x + down * sin(a), c.y - down * cos(a)), angle


def _table(content: TemplateContent, grid: CircleGrid) -> TemplateTable:
    rows = "the grain" if grid.along_grain else "x of the drawing (no grain is drawn)"
    d = show_length(grid.diameter, content.units)
    facts = (
        ("Diameter d, to the middle of the line", d),
        ("Centre to centre, both ways", show_length(grid.pitch, content.units)),
        ("Rows run along", f"{rows}, {grid.angle:g} deg from x"),
        ("Circles", f"{len(grid.circles)}, none over a cut line, a hole, a pin or trim"),
        (
            "Names",
            f"C column, R row. Printed at heavy circles: every {NAMED}th of every {NAMED}th row, and where none would be near; "
            "count on from there. None is printed over a drill size; layer CIRCLES of the drawing file has all",
        ),
        ("CAUTION", SCRATCH),
        ("1  Mark", MARK),
        ("2  Form, then measure", MEASURE),
        ("3  What it says", READ.format(least=100 * 0.1 / grid.diameter)),
        ("4  Write down", WRITE.format(typed=f"{grid.diameter:g} mm")),
    )
    columns = (Column("", 0.3, "start", "bold"), Column("", 0.7))
    return TemplateTable("Strain circles: what they are and how they are read", columns, facts)
