"""A drawing as DXF R2010 in mm or inches: true arcs as bulges of light polylines, one layer each kind, the same bytes every time."""

from __future__ import annotations

import io
from typing import Any

from ribwright.documents.drawing import Contour, Drawing, Label, Ring, Shape
from ribwright.units import MM_PER_IN

# layer -> (colour number, line type, line weight [1/100 mm]); colour 7 is black on white and white on black
STYLES = {
    "OUTLINE": (7, "CONTINUOUS", 18),
    "TANGENT": (5, "DASHED", 18),
    "HOLE": (7, "CONTINUOUS", 18),
    "PIN": (3, "CONTINUOUS", 18),
    "TEXT": (8, "CONTINUOUS", 18),
    "WEB_FACE": (7, "CONTINUOUS", 18),
    "FOOT": (5, "DASHED", 18),
    "COVER_PLATE": (6, "CONTINUOUS", 18),
    "STOP": (1, "CONTINUOUS", 70),
    "INSIDE_MOLD": (5, "DASHDOT", 18),
    "FREE_EDGE": (4, "DASHED", 30),
    "PART_EDGE": (8, "DOT", 18),
    "DATUM": (6, "CENTER", 13),
    "PROOF": (2, "CONTINUOUS", 18),
    "CIRCLES": (4, "CONTINUOUS", 13),
    "FLUTES": (3, "CONTINUOUS", 13),
    "NOTCHES": (6, "DASHED", 18),
    "BEADS": (4, "CONTINUOUS", 13),
}
# unit -> ($INSUNITS, $MEASUREMENT)
UNITS = {"mm": (4, 1), "in": (1, 0)}


def write_dxf(drawing: Drawing) -> bytes:
    """The drawing as DXF. File numbers and times are fixed, so equal drawings give equal bytes."""
    import ezdxf

    # the only switch for fixed times and numbers is a global of the library: put back whatever happens
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        return _written(drawing)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _written(drawing: Drawing) -> bytes:
    import ezdxf

    doc = ezdxf.new("R2010", setup=["linetypes"])
    doc.header["$INSUNITS"], doc.header["$MEASUREMENT"] = UNITS[drawing.unit]
    # the library's line types are 12.7 mm of dash: in a drawing in inches they are as long on the bench
    doc.header["$LTSCALE"] = 1.0 if drawing.unit == "mm" else 1 / MM_PER_IN
    for layer in dict.fromkeys(item.layer for item in drawing.items):
        colour, line_type, weight = STYLES.get(layer, STYLES["OUTLINE"])
        doc.layers.add(layer, color=colour, linetype=line_type, lineweight=weight)
    # dashes of the library are 12.7 mm long: right for a template read from a bench
    space = doc.modelspace()
    for item in drawing.items:
        _add(space, item)
    x0, y0, x1, y1 = drawing.bounds()
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (x0, y0, 0), (x1, y1, 0)
    doc.set_modelspace_vport(height=1.1 * max(y1 - y0, 1.0), center=((x0 + x1) / 2, (y0 + y1) / 2))
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode(doc.output_encoding, errors="dxfreplace")


def _add(space: Any, item: Shape) -> None:
    on = {"layer": item.layer}
    match item:
        case Contour():
            space.add_lwpolyline(item.vertices, format="xyb", close=item.closed, dxfattribs=on)
        case Ring():
            space.add_circle((item.x, item.y), item.r, dxfattribs=on)
        case Label():
            space.add_text(_one_line(item.text), height=item.height, rotation=item.angle, dxfattribs=on).set_placement(
                (item.x, item.y)
            )


def _one_line(text: str) -> str:
    """No line ends; a caret starts a control character in DXF and a double percent sign a code, so each gets a blank."""
    clean = "".join(c if c.isprintable() else " " for c in text)
    return clean.replace("^", "^ ").replace("%%", "% %")
