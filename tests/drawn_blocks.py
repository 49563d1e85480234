"""What a drawn variant of the known rib is; drawings of it in blocks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import cos, pi, sin
from typing import Any

import numpy as np
from ezdxf.math import Matrix44
from ezdxf.xclip import XClip

from drawn_rib import CUTOUT, HOLES, OUTER, WIDTH, Drawn, Vertex, loose, whole


@dataclass(frozen=True)
class Variant:
    """A drawing and what must come of it: `within` [mm] of the known rib, or `refused` with these words in one fault. `says`: codes
    of findings that must be there. `outer`: another contour than the rib's, `other_line` one of points (`open_line`: only a part of it)."""

    name: str
    text: str | bytes
    lengths: tuple[str, ...] = (WIDTH,)
    roles: tuple[str, ...] = ()
    within: float = 1e-6
    refused: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    options: dict[str, Any] = field(default_factory=dict)
    outer: tuple[Vertex, ...] | None = None
    other_line: tuple[tuple[float, float], ...] | None = None
    open_line: bool = False


def _in_block(d: Drawn, name: str, draw: Callable[[Drawn], Any], by: Matrix44) -> None:
    """The rib drawn into a block by way of `by`."""
    inner = Drawn(d.version, k=d.k, layer=d.layer, holes=d.holes)
    draw(inner)
    block = d.doc.blocks.new(name)
    for e in inner.space:
        copy = e.copy()
        copy.transform(by)
        block.add_foreign_entity(copy) if copy.doc is not None and copy.doc is not d.doc else block.add_entity(copy)


def blocks() -> list[Variant]:
    scaled_ = Drawn()
    _in_block(scaled_, "RIB", loose, Matrix44.scale(1 / 25.4, 1 / 25.4, 1 / 25.4))
    scaled_.space.add_blockref("RIB", (0, 0), dxfattribs={"xscale": 25.4, "yscale": 25.4, "zscale": 25.4, "layer": "X"})
    nested = Drawn()
    # mirrored inside, turned and mirrored back outside, half the size inside and twice outside
    _in_block(nested, "INNER", whole, Matrix44.scale(-0.5, 0.5, 0.5))
    outer = nested.doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (10, 20), dxfattribs={"xscale": -1, "yscale": 1, "rotation": 90})
    nested.space.add_blockref("OUTER", (-40, 20), dxfattribs={"xscale": 2, "yscale": 2, "rotation": -90})
    inherit = Drawn()
    inherit.layer = inherit.holes = "0"
    _in_block(inherit, "WEBBLOCK", lambda d: d.polyline(OUTER, "0"), Matrix44())
    _in_block(
        inherit, "HOLEBLOCK", lambda d: [d.polyline(CUTOUT, "0"), *(d.circle(*h, "0") for h in HOLES)], Matrix44()
    )
    inherit.space.add_blockref("WEBBLOCK", (0, 0), dxfattribs={"layer": "WEB"})
    inherit.space.add_blockref("HOLEBLOCK", (0, 0), dxfattribs={"layer": "HOLE"})
    rows = Drawn()
    _in_block(rows, "RIB", whole, Matrix44())
    rows.space.add_blockref("RIB", (0, 0), dxfattribs={"column_count": 2, "column_spacing": 700, "row_count": 1})
    squeezed = Drawn()
    _in_block(squeezed, "DISC", lambda d: d.circle(0, 0, 100, "WEB"), Matrix44())
    squeezed.space.add_blockref("DISC", (0, 0), dxfattribs={"xscale": 2.0, "yscale": 1.0})
    oval = [(100 * cos(t), 50 * sin(t)) for t in np.linspace(0.0, 2 * pi, 1601)[:-1]]
    looped = loose(Drawn())
    for name, other in (("A", "B"), ("B", "A")):
        block = looped.doc.blocks.new(name)
        block.add_line((0, 0), (1, 1), dxfattribs={"layer": "VIEWS"})
        block.add_blockref(other, (1, 0), dxfattribs={"layer": "VIEWS"})
        block.add_blockref(other, (2, 0), dxfattribs={"layer": "VIEWS"})
    looped.space.add_blockref("A", (0, 0), dxfattribs={"layer": "VIEWS"})
    squared = Drawn()
    _in_block(squared, "INNER", whole, Matrix44())
    outer = squared.doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (0, 0), dxfattribs={"xscale": 2, "yscale": 0.5})
    squared.space.add_blockref("OUTER", (0, 0), dxfattribs={"xscale": 0.5, "yscale": 2})
    tilted = loose(Drawn())
    tilted.doc.blocks.new("T").add_line((0, 0), (1, 1))
    tilted.space.add_blockref("T", (0, 0), dxfattribs={"layer": "WEB", "extrusion": (0, 0.6, 0.8)})
    behind = Drawn()
    _in_block(behind, "BACK", lambda d: whole(d), Matrix44.scale(-1, 1, 1))
    behind.space.add_blockref("BACK", (0, 0), dxfattribs={"extrusion": (0, 0, -1)})
    based = Drawn()
    _in_block(based, "BASED", loose, Matrix44())
    based.doc.blocks.get("BASED").block.dxf.base_point = (100, 50)
    based.space.add_blockref("BASED", (100, 50), dxfattribs={"rotation": 0})
    clipped = Drawn()
    _in_block(clipped, "CLIPPED", whole, Matrix44())
    XClip(clipped.space.add_blockref("CLIPPED", (0, 0), dxfattribs={"layer": "WEB"})).set_block_clipping_path(
        [(0, 0), (200, 200)]
    )
    lost = loose(Drawn())
    lost.space.add_blockref("NOWHERE", (0, 0), dxfattribs={"layer": "WEB"})
    few = loose(Drawn())
    spline = few.space.add_spline(degree=3, dxfattribs={"layer": "HOLE"})
    spline.control_points, spline.knots = [(30, 30, 0), (40, 30, 0), (40, 40, 0), (30, 40, 0)], [0, 0, 0, 1, 1, 1]
    return [
        Variant("a block at a 25.4th of its size, put in 25.4 times larger", scaled_.text()),
        Variant("a mirrored block in a turned, mirrored, scaled block", nested.text()),
        Variant("blocks on layer 0 that take their layer from where they are put", inherit.text()),
        Variant("a block put in twice side by side", rows.text(), refused=("2 outlines",), lengths=("1200 mm = width",)),
        Variant(
            "a circle in a block squeezed to an ellipse", squeezed.text(), ("200 mm = width",), within=0.0055,
            other_line=tuple(oval),
        ),
        Variant("a block seen from behind", behind.text()),
        Variant("a block with a base point of its own", based.text()),
        Variant("a block of which only a part is shown", clipped.text(), refused=("only a part is shown",)),
        Variant("blocks that hold each other", looped.text(), says=("drawing-mended",)),
        Variant("a block squeezed inside and stretched outside: circles again", squared.text(), within=1e-6),
        Variant("a block put in tilted", tilted.text(), refused=("put in tilted",)),
        Variant("a block that is not in the file, on the contour's layer", lost.text(), refused=("1 INSERT", "taken out")),
        Variant("a spline with too few knots on a layer of holes", few.text(), refused=("1 SPLINE", "taken out")),
    ]  # fmt: skip
