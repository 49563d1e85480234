"""A blank or block template turned into a template for routing by a guide bushing: its edge set over, its corners told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import hypot

import numpy as np
import shapely

from ribwright.documents.blank_content import DRILL_RELIEFS
from ribwright.documents.block_content import circle
from ribwright.documents.entry_table import in_cell
from ribwright.documents.layout import Column
from ribwright.documents.page import Pair
from ribwright.documents.template_kinds import for_router
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole, TemplateLine, TemplateTable
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.path import Path
from ribwright.stages.blank import FIT
from ribwright.stages.router import Router, RouterTemplate, TightCorner, router_template
from ribwright.units import show_length

CHORD = 0.002  # of the two outlines of a block where they cross [mm]
CORNER = np.radians(3.0)


def router_content(content: TemplateContent, router: Router) -> TemplateContent:
    """The template set over into the metal by half of bushing less cutter. Openings that the cutter enters are routed
    too; pin holes and plain holes stay drilled at their size. InputError when the template is eaten up."""
    own = _part_edges(content)
    routed = [h for h in content.holes if h.kind == "lightening" and h.diameter > router.cutter]
    openings = [circle(h.x, h.y, h.diameter, clockwise=True) for h in routed]
    made = router_template([*own, *openings], router)
    n = len(own)
    lines = [line for line in content.lines if line.look != "part"]
    # only what is hidden by the new outline is drawn again as the part's own edge
    lines += [TemplateLine(path, "part") for path in (*own, *openings)]
    return replace(
        content,
        kind=for_router(content.kind),
        outline=made.loops[0],
        cutouts=made.loops[1:n],
        holes=tuple(_set_over(h, router) if h in routed else h for h in content.holes),
        lines=tuple(lines),
        banner=_banner(content, router),
        lay=(
            content.lay[0],
            *((DRILL_RELIEFS,) if content.reliefs else ()),
            f"Check both diameters with a calliper before use: bushing {show_length(router.bushing, content.units)}, "
            f"cutter {show_length(router.cutter, content.units)}.",
            "Pin the template to the work and clamp both. Guard on, hands clear of the cutter; no climb cut by hand.",
        ),
        tables=(_corner_table(content, made, router), *content.tables),
        size=None,
    )


def _banner(content: TemplateContent, router: Router) -> str:
    bushing, cutter, over = (show_length(v, content.units) for v in (router.bushing, router.cutter, router.set_over))
    cut = "blank" if content.kind.name == "blank" else "block"
    return (
        f"ROUTER TEMPLATE: only for bushing {bushing} with cutter {cutter}. The cut edge of the {cut} comes out {over} "
        "outside this line, in openings inside it."
    )


def _set_over(h: TemplateHole, router: Router) -> TemplateHole:
    return replace(h, diameter=h.diameter + 2 * router.set_over, true_diameter=h.diameter)


def _part_edges(content: TemplateContent) -> list[Path]:
    """The edges to be routed: the cut lines of a blank; of a block the larger of web face and foot, so that there is
    wood left to lean the walls in."""
    edges = [content.outline, *content.cutouts]
    if content.kind.name != "block":
        return edges
    feet = [line.path for line in content.lines if line.look == "foot"][: len(edges)]
    return [_larger(face, foot) for face, foot in zip(edges, feet, strict=True)]


def _larger(face: Path, foot: Path) -> Path:
    """The outline that encloses the metal of both; for an opening (clockwise) the one that both leave open."""
    a, b = (shapely.Polygon(p.chords(CHORD)) for p in (face, foot))
    opening = face.area() < 0
    for mine, other, path in ((a, b, face), (b, a, foot)):
        outer, inner = (other, mine) if opening else (mine, other)
        if outer.buffer(2 * CHORD).contains(inner):
            return path
    both = shapely.intersection(a, b) if opening else shapely.union(a, b)
    ring = shapely.get_coordinates(shapely.get_exterior_ring(shapely.orient_polygons(both, exterior_cw=opening)))
    return _fitted(ring[:-1])


def _fitted(ring: np.ndarray) -> Path:
    """True lines and arcs through a ring of points, its corners kept."""
    step = np.roll(ring, -1, axis=0) - ring
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
    corners = np.flatnonzero(np.abs(turn) > CORNER)
    if len(corners) == 0:
        return Path(lines_and_arcs(np.concatenate([ring, ring[:1]]), FIT)[:-1], True)
    ring = np.roll(ring, -corners[0], axis=0)
    at = [*(int(c - corners[0]) for c in corners), len(ring)]
    closed = np.concatenate([ring, ring[:1]])
    vertices = [v for i, j in pairwise(at) for v in lines_and_arcs(closed[i : j + 1], FIT)[:-1]]
    return Path(tuple(vertices), True)


def _corner_table(content: TemplateContent, made: RouterTemplate, router: Router) -> TemplateTable:
    columns = (
        Column("corner", 1.2, font="bold"),
        Column("x", 1.3),
        Column("y", 1.3),
        Column("near edge", 1.2),
        Column("radius drawn", 1.3),
        Column("deepest", 1.3, font="bold"),
        Column("do", 2.2),
    )
    rows = tuple(_corner_row(c, content) for c in made.corners)
    least, most = (show_length(v, content.units) for v in (router.cutter / 2, router.set_over))
    under = [
        f"Inside corners under {least} are not reached by the cutter: metal is left. Outside corners under {most} are "
        f"rounded to {most} as the bushing rolls round the template: metal is lost there that the drawing keeps.",
    ]
    if not rows:
        under.insert(0, "None: this cutter and bushing make every corner as drawn.")
    return TemplateTable("Corners that do not come out as drawn", columns, rows, tuple(under))


def _corner_row(c: TightCorner, content: TemplateContent) -> tuple[str, ...]:
    depth = "does not enter" if c.depth is None else show_length(c.depth, content.units)
    do = "stop short; finish by hand" if not c.inside else "finish by hand"
    if c.inside and c.radius > 0:
        do = "drill it first, as drawn"
    radius = "sharp" if c.radius == 0 else show_length(c.radius, content.units)
    what = "inside, left standing" if c.inside else "outside, lost"
    return (
        what,
        *(in_cell(show_length(v, content.units)) for v in c.at),
        _near(c.at, content.edge_labels),
        in_cell(radius),
        in_cell(depth),
        do,
    )


def _near(at: Pair, labels: Sequence[EdgeLabel]) -> str:
    """Name of the edge whose words may stand nearest."""
    spots = [(hypot(s.x - at[0], s.y - at[1]), one.text) for one in labels for s in (one, *one.others)]
    return min(spots)[1].partition(":")[0] if spots else ""
