"""Drawings of the known rib of `drawn_rib` in the ways that drawings come; each says what must come of it: read within so much, or
refused with these words."""

from __future__ import annotations

import io
import re
from math import atan, atan2, cos, degrees, pi, sin, tan

import ezdxf
import numpy as np

from drawn_blocks import Variant, blocks
from drawn_rib import (
    CAMBER,
    CUTOUT,
    HOLES,
    OUTER,
    QUARTER,
    VERSIONS,
    Drawn,
    Vertex,
    ball,
    loose,
    mirrored,
    pairs,
    turned,
    whole,
)
from drawn_rib import on_segment as _on


def variants() -> list[Variant]:
    """All of them."""
    return [*_formats(), *_polylines(), *_curves(), *blocks(), *_slips(), *_units(), *_broken(), *_layers()]


def _formats() -> list[Variant]:
    return [Variant(f"lines and arcs in no order, {v}", loose(Drawn(v), i).text()) for i, v in enumerate(VERSIONS)]


def _polylines() -> list[Variant]:
    back = whole(Drawn(), turned(OUTER)).text()
    behind = Drawn()
    # seen from behind: the drawing's own x runs the other way, every bulge with it
    for vertices, layer in ((OUTER, "WEB"), (CUTOUT, "HOLE")):
        behind.polyline(mirrored(vertices), layer, extrusion=(0, 0, -1))
    for x, y, d in HOLES:
        behind.circle(-x, y, d, extrusion=(0, 0, -1))
    again = Drawn()
    again.polyline((*OUTER, (*OUTER[0][:2], 0.0)))
    again.polyline(CUTOUT, "HOLE")
    for hole in HOLES:
        again.circle(*hole)
    arcs = Drawn()
    for a, b in pairs(mirrored(OUTER)):
        _behind(arcs, a, b, "WEB")
    for a, b in pairs(mirrored(CUTOUT)):
        _behind(arcs, a, b, "HOLE")
    for x, y, d in HOLES:
        arcs.circle(-x, y, d, extrusion=(0, 0, -1))
    high = Drawn()
    high.polyline(OUTER, elevation=12.7)
    high.polyline(CUTOUT, "HOLE", elevation=12.7)
    for hole in HOLES:
        high.circle(*hole)
    return [
        Variant("R12 polylines with bulges", whole(Drawn("R12")).text()),
        Variant("light polylines", whole(Drawn()).text()),
        Variant("polylines the other way round", back),
        Variant("polylines seen from behind: extrusion along -z, bulges inverted with it", behind.text()),
        Variant("arcs and circles seen from behind", arcs.text()),
        Variant("a closed polyline that repeats its first point", again.text(), says=("drawing-without-length",)),
        Variant("all of it at one height", high.text()),
    ]


def _behind(d: Drawn, a: Vertex, b: Vertex, layer: str) -> None:
    if a[2] == 0:
        d.line((-a[0], a[1]), (-b[0], b[1]), layer)
        return
    centre, radius = ball(a, b)
    t0, t1 = (degrees(atan2(p[1] - centre[1], p[0] - centre[0])) for p in (a, b))
    first, last = (t0, t1) if a[2] > 0 else (t1, t0)
    d.space.add_arc(centre, radius, first, last, dxfattribs={"layer": layer, "extrusion": (0, 0, -1)})


def _nurbs(d: Drawn, a: Vertex, b: Vertex, layer: str) -> None:
    """A segment as a spline: a line of degree 1 to 3, an arc as the rational quadratic that it is, in two halves."""
    if a[2] == 0:
        s = d.space.add_spline(dxfattribs={"layer": layer})
        p = _on(a, b, np.array([0.0, 0.25, 0.6, 1.0])) * d.k
        s.control_points = [(*row, 0.0) for row in p]
        s.knots = [0, 0, 0, 0, 1, 1, 1, 1]
        return
    centre, _ = ball(a, b)
    half = atan(a[2])  # a quarter of the sweep: half the angle of each of the two pieces
    mids = _on(a, b, np.array([0.0, 0.25, 0.5, 0.75, 1.0]))
    poles = [mids[0], np.array(centre) + (mids[1] - centre) / cos(half), mids[2]]
    poles += [np.array(centre) + (mids[3] - centre) / cos(half), mids[4]]
    s = d.space.add_spline(degree=2, dxfattribs={"layer": layer})
    s.control_points = [(*(p * d.k), 0.0) for p in poles]
    s.knots = [0, 0, 0, 1, 1, 2, 2, 2]
    s.weights = [1, cos(half), 1, cos(half), 1]


def _reach(points: list[tuple[float, float]]) -> float:
    return max(x for x, _ in points) - min(x for x, _ in points)


def _curves() -> list[Variant]:
    only = Drawn()
    for a, b in pairs(OUTER):
        _nurbs(only, a, b, "WEB")
    for a, b in pairs(CUTOUT):
        _nurbs(only, a, b, "HOLE")
    for x, y, d in HOLES:
        for a, b in pairs(((x + d / 2, y, 1.0), (x - d / 2, y, 1.0))):
            _nurbs(only, a, b, "HOLE")
    # a crown that is no arc: a cubic through points of a sine, from corner to corner
    xs = np.linspace(500.0, 0.0, 15)
    crown = [(float(x), float(90 + (500 - x) / 50 + 30 * sin(pi * x / 500))) for x in xs]
    free = Drawn()
    spline = free.space.add_spline(dxfattribs={"layer": "WEB"})
    spline.apply_construction_tool(ezdxf.math.global_bspline_interpolation([(*p, 0.0) for p in crown], degree=3))
    for a, b in pairs(OUTER):
        if a[2] != CAMBER:
            free.segment(a, b)
    fine = [(p.x, p.y) for p in spline.construction_tool().approximate(1200)]
    # the crown as chords, as a program without curves writes it
    chords = Drawn("R12")
    for a, b in pairs(OUTER):
        if a[2] == CAMBER:
            chords.polyline(tuple((*p, 0.0) for p in _on(a, b, np.linspace(0, 1, 201)).tolist()), closed=False)
        else:
            chords.segment(a, b)
    chords.polyline(CUTOUT, "HOLE")
    for hole in HOLES:
        chords.circle(*hole)
    # a spline of the oldest format: points on the curve, and the frame that it was made from beside them
    framed = Drawn("R12")
    for a, b in pairs(OUTER):
        if a[2] == CAMBER:
            p2 = framed.space.add_polyline2d([], dxfattribs={"layer": "WEB", "flags": 4})
            for p in _on(a, b, np.linspace(0, 1, 201)).tolist():
                p2.append_vertex(p, dxfattribs={"flags": 8})
            for p in ((500, 90), (250, 190), (0, 100)):
                p2.append_vertex(p, dxfattribs={"flags": 16})
        else:
            framed.segment(a, b)
    framed.polyline(CUTOUT, "HOLE")
    for hole in HOLES:
        framed.circle(*hole)
    # a nose that is half an ellipse
    nose = Drawn()
    nose.line((0, -40), (300, -40))
    nose.line((300, -40), (300, 40))
    nose.line((300, 40), (0, 40))
    nose.space.add_ellipse((0, 0), (-80, 0), 0.5, -pi / 2, pi / 2, dxfattribs={"layer": "WEB"})
    half = [(-80 * sin(t), 40 * cos(t)) for t in np.linspace(0.0, pi, 1001)]
    around = [*half, (300.0, -40.0), (300.0, 40.0)]
    # a periodic spline: each span of the uniform cubic through its four poles
    poles = np.array([(0, 0, 0), (100, 0, 0), (130, 60, 0), (60, 90, 0), (-20, 50, 0)], float)
    periodic = Drawn()
    periodic.space.add_spline(dxfattribs={"layer": "WEB"}).set_closed(poles.tolist())
    u = np.linspace(0, 1, 241)[:-1, None]
    spans = [np.roll(poles[:, :2], -i, axis=0)[:4] for i in range(5)]
    basis = np.hstack([(1 - u) ** 3, 3 * u**3 - 6 * u**2 + 4, -3 * u**3 + 3 * u**2 + 3 * u + 1, u**3]) / 6
    round_trip = [(float(x), float(y)) for p in spans for x, y in basis @ p]
    fitted = Drawn()
    fitted.space.add_spline(
        fit_points=[(0, 0), (50, 20), (100, 0), (50, -30)], dxfattribs={"layer": "WEB"}
    ).closed = True
    # an oval cutout and nothing else but a box
    oval = [(200 + 60 * cos(t), 50 + 20 * sin(t)) for t in np.linspace(0.0, 2 * pi, 1601)[:-1]]
    disc = Drawn()
    disc.space.add_ellipse((200, 50), (60, 0), 1 / 3, dxfattribs={"layer": "WEB"})
    ring = Drawn()
    ring.circle(50, 50, 200, "WEB")
    corner = Drawn()
    s = corner.space.add_spline(degree=1, dxfattribs={"layer": "WEB"})
    s.control_points = [(x, y, 0.0) for x, y in ((0, 0), (300, 0), (300, 80), (0, 60), (0, 0))]
    s.knots = [0, 0, 1, 2, 3, 4, 4]
    return [
        Variant("splines only, lines and arcs among them", only.text()),
        Variant(
            "a free spline as the upper edge", free.text(), within=0.0055, says=("drawing-curves",),
            other_line=tuple(fine), open_line=True,
        ),
        Variant("an arc as 200 chords", chords.text(), within=0.005, says=("drawing-many-lines",)),
        Variant(
            "an arc as 200 chords, taken as a curve", chords.text(), within=0.005, says=("drawing-chords",), options={"curves": True},
        ),
        Variant(
            "a spline of R12, with its frame", framed.text(), within=0.005, says=("drawing-chords",), options={"curves": True},
        ),
        Variant(
            "half an ellipse as the nose", nose.text(), ("380 mm = width",), within=0.0055, other_line=tuple(around),
            says=("drawing-curves",),
        ),
        Variant(
            "a periodic spline", periodic.text(), (f"{_reach(round_trip):.3f} mm = width",), within=0.0055, other_line=tuple(round_trip),
        ),
        Variant(
            "a closed spline of fit points alone", fitted.text(), ("100 mm = 0,0 to 100,0",), refused=("fit points alone",),
        ),
        Variant("one whole ellipse", disc.text(), ("120 mm = width",), within=0.0055, other_line=tuple(oval)),
        Variant(
            "one circle", ring.text(), ("200 mm = height",), outer=((150.0, 50.0, 1.0), (-50.0, 50.0, 1.0)),
        ),
        Variant(
            "a spline of degree one with four corners", corner.text(), ("300 mm = width",),
            outer=((0.0, 0.0, 0.0), (300.0, 0.0, 0.0), (300.0, 80.0, 0.0), (0.0, 60.0, 0.0)),
        ),
    ]  # fmt: skip


def _part_of(a: Vertex, b: Vertex, first: float, last: float) -> tuple[Vertex, Vertex]:
    """A part of an arc, from one share of its length to another."""
    p, q = _on(a, b, np.array([first, last])).tolist()
    return (p[0], p[1], tan(atan(a[2]) * (last - first))), (q[0], q[1], 0.0)


def _gap(size: float) -> Drawn:
    """The lower line too short by `size` at its right end."""
    d = Drawn()
    for a, b in pairs(OUTER):
        d.segment(a, (b[0] - size, b[1], b[2]) if b is OUTER[1] else b)
    d.polyline(CUTOUT, "HOLE")
    for hole in HOLES:
        d.circle(*hole)
    return d


def _slips() -> list[Variant]:
    out = [
        Variant(f"a gap of {size:g} mm", _gap(size).text(), refused=("a gap of", f"{size:.2f} mm", "(480, 0) mm"))
        for size in (0.02, 0.05, 0.1, 0.5, 1.0)
    ]
    out += [
        Variant("a gap of 0.01 mm", _gap(0.01).text(), within=0.006, says=("drawing-gap-joined",)),
        Variant(
            "a gap of 1 mm, joined on request", _gap(1.0).text(), within=0.51, says=("drawing-gap-joined",),
            options={"join": "1.2 mm"},
        ),
    ]  # fmt: skip
    twice = loose(loose(Drawn(), 3), 4)
    near = loose(Drawn())
    near.line((480.004, 0.003), (15.0, 0.004))
    near.segment((500.0, 90.003, CAMBER), (0.0, 100.004, 0.0))
    over = Drawn()
    for a, b in pairs(OUTER):
        if b is not OUTER[1]:
            over.segment(a, b)
    over.line((15, 0), (300, 0))
    over.line((480, 0), (200, 0))
    over.line((310, 0), (330, 0))
    over.polyline(CUTOUT, "HOLE")
    for hole in HOLES:
        over.circle(*hole)
    arcs = loose(Drawn())
    arcs.segment(*_part_of((500.0, 90.0, CAMBER), (0.0, 100.0, 0.0), 0.2, 0.6))
    points = loose(Drawn())
    points.line((100, 0), (100, 0))
    points.space.add_point((30, 30), dxfattribs={"layer": "WEB"})
    branch = loose(Drawn())
    branch.line((500, 90), (530, 95))
    across = Drawn()
    across.polyline(((0, 0, 0), (300, 0, 0), (0, 100, 0), (300, 100, 0)))
    flipped = list(OUTER)
    flipped[1] = (*flipped[1][:2], -QUARTER)
    flipped[5] = (*flipped[5][:2], -QUARTER)
    inverted = whole(Drawn(), tuple(flipped)).text()
    strayed = loose(Drawn())
    strayed.line((-20, 50), (520, 50))
    noted = loose(Drawn())
    noted.doc.layers.add("CENTER")
    noted.line((-20, 50), (520, 50), "CENTER")
    return [
        *out,
        Variant("everything drawn twice, some of it backwards", twice.text(), says=("drawing-drawn-twice",)),
        Variant("two edges drawn again a few thousandths off", near.text(), says=("drawing-drawn-twice",)),
        Variant("lines that overlap along an edge", over.text(), says=("drawing-overlap",)),
        Variant("arcs that overlap along an edge", arcs.text(), refused=("of an arc drawn twice at (301",)),
        Variant("a line without length and a point", points.text(), says=("drawing-without-length", "drawing-left-out")),
        Variant(
            "a line that branches off at a corner",
            branch.text(),
            ("465 mm = 15,0 to 480,0",),
            refused=("3 lines that meet at (500, 90) mm",),
        ),
        Variant("an outline that crosses itself", across.text(), ("300 mm = width",), refused=("crosses or touches itself",)),
        Variant("two fillets with inverted bulges", inverted, refused=("2 arcs that would run smoothly", "--as-drawn")),
        Variant(
            "the same, taken as drawn", inverted, options={"as_drawn": True}, outer=tuple(flipped),
            says=("drawing-inside-out",),
        ),
        Variant("a centre line on the contour's layer", strayed.text(), ("465 mm = 15,0 to 480,0",), refused=("closes nowhere",)),
        Variant("a centre line on a layer without a role", noted.text(), says=("drawing-no-role",)),
    ]  # fmt: skip


def _units() -> list[Variant]:
    inches = loose(Drawn(unit=1, k=1 / 25.4)).text()
    claims = loose(Drawn(unit=4, k=1 / 25.4)).text()
    silent = loose(Drawn(unit=0, k=1 / 25.4)).text()
    mixed = whole(Drawn(unit=1, k=1 / 25.4))
    mixed.circle(200 * 25.4, 60 * 25.4, 6.0 * 25.4)
    small = Drawn(unit=4, k=25.4)
    loose(small)
    width = "19.685 in = width"
    return [
        Variant("in inches, and says so", inches, (width,), within=2e-6),
        Variant("in inches, and its header says mm", claims, (width,), within=2e-6, says=("drawing-unit-header",)),
        Variant("in inches, its header silent", silent, ("1 in = circle 15.748,1.7716535",), within=2e-6),
        Variant("in mm, its header says inches", loose(Drawn(unit=1)).text(), says=("drawing-unit-header",)),
        Variant("in centimetres", loose(Drawn(unit=5, k=0.1)).text(), within=2e-6),
        Variant(
            "two points confirm it",
            loose(Drawn()).text(),
            ("500 mm = 0,100 to 500,100",),
            refused=("nothing is drawn",),
        ),
        Variant("two drawn points confirm it", loose(Drawn()).text(), ("465 mm = 15,0 to 480,0",)),
        Variant("no length is confirmed", inches, (), refused=("19.685 x 4.9", "500.0 x 12", "19.69 x 4.9")),
        Variant(
            "a length that fits no unit",
            loose(Drawn()).text(),
            ("19 in = width",),
            refused=("one number would be 0.9652 mm",),
        ),
        Variant("25.4 off twice", small.text(), ("500 mm = width",), refused=("25.4 times too large",)),
        Variant("a length 0.2 % off", loose(Drawn()).text(), ("501 mm = width",), says=("drawing-length-off",)),
        Variant("two lengths that disagree", inches, (width, "4 mm = height"), refused=("--length",)),
        Variant(
            "holes in another unit than the outline",
            mixed.text(),
            (width,),
            refused=("outside the outline", "another unit"),
        ),
    ]


def _bare(a: Vertex, b: Vertex) -> str:
    """A segment as a small program writes it."""
    if a[2] == 0:
        return f"0\nLINE\n8\nWEB\n10\n{a[0]}\n20\n{a[1]}\n11\n{b[0]}\n21\n{b[1]}\n"
    (x, y), r = ball(a, b)
    t0, t1 = (degrees(atan2(p[1] - y, p[0] - x)) for p in (a, b))
    return f"0\nARC\n8\nWEB\n10\n{x}\n20\n{y}\n40\n{r}\n50\n{t0}\n51\n{t1}\n"


def _broken() -> list[Variant]:
    text = loose(Drawn()).text()
    unknown = text.replace("  8\nWEB\n", "  8\nWEB\n  6\nNO_SUCH_LINETYPE\n", 1)
    bad_code = re.sub(r"(ENDSEC\r?\n)", r"\1  0\nSECTION\n  2\nGARBAGE\n  0\nENDSEC\n", text, count=1)
    no_end = text.replace("  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n", "  0\nSECTION\n  2\nENTITIES\n", 1)
    assert no_end != text
    assert unknown != text
    binary = Drawn()
    loose(binary)
    raw = io.BytesIO()
    binary.doc.write(raw, fmt="bin") if _binary_writes(binary) else raw.write(b"")
    behind = text.rstrip() + "\n\x1a\nleft over by a program\n"
    bare = "0\nSECTION\n2\nENTITIES\n" + "".join(_bare(a, b) for a, b in pairs(OUTER)) + "0\nENDSEC\n0\nEOF\n"
    misspelt = text.replace("\nCIRCLE\n", "\nCIRCEL\n", 1)
    nan = loose(Drawn()).text().replace("480.0\n", "nan\n", 1)
    out = [
        Variant("cut short in the middle", text[: len(text) * 2 // 3], refused=("cut short", "without EOF")),
        Variant("cut short by its last lines", text.rstrip()[:-12], refused=("cut short",)),
        Variant("a line type that is not there", unknown, says=("drawing-mended",)),
        Variant("an extra section", bad_code),
        Variant("a section that is not closed", no_end, says=("drawing-mended",)),
        Variant("a circle that is spelt wrong", misspelt, refused=("1 CIRCEL on layer 'HOLE'",)),
        Variant("a coordinate that is no number", nan, refused=("no number",)),
        Variant("something behind its end", behind),
        Variant("line ends of another system", text.replace("\n", "\r\n")),
        Variant("nothing but entities", bare, outer=OUTER),
        Variant("no drawing at all", "# a text\n" * 50, refused=("no sections",)),
        Variant("an empty file", "", refused=("an empty file",)),
        Variant("another program's binary", b"AC1027" + bytes(range(256)) * 20, refused=("own binary file",)),
    ]
    if raw.getvalue():
        out.append(Variant("a binary DXF", raw.getvalue()))
    return out


def _binary_writes(d: Drawn) -> bool:
    try:
        d.doc.write(io.BytesIO(), fmt="bin")
    except (TypeError, AttributeError, ValueError):
        return False
    return True


def _layers() -> list[Variant]:
    words = loose(Drawn())
    words.space.add_text("TRIM TO LINE", dxfattribs={"layer": "WEB"})
    words.space.add_mtext("BEND UP 90", dxfattribs={"layer": "NOTES"})
    words.space.add_linear_dim(base=(0, -30), p1=(0, 0), p2=(500, 0)).render()
    sheet = words.doc.layout("Layout1")
    sheet.add_line((0, 0), (400, 0))
    hidden = loose(Drawn())
    hidden.doc.layers.add("WEB")
    hidden.doc.layers.add("HOLE")
    hidden.doc.layers.add("OLD").off()
    hidden.line((0, 0), (600, 600), "OLD")
    plain = Drawn(layer="0", holes="0")
    loose(plain)
    odd = Drawn(layer="A-7", holes="B 2")
    loose(odd)
    tilted = loose(Drawn())
    tilted.space.add_circle((50, 50), 10, dxfattribs={"layer": "WEB", "extrusion": (0, 0.6, 0.8)})
    climbing = Drawn()
    for a, b in pairs(OUTER):
        climbing.segment(a, b)
    climbing.space.add_line((100, 20, 0), (150, 20, 30), dxfattribs={"layer": "WEB"})
    frame = loose(Drawn(layer="0", holes="0"))
    frame.polyline(((-50, -50, 0), (600, -50, 0), (600, 300, 0), (-50, 300, 0)), "FRAME")
    second = whole(Drawn())
    second.polyline(tuple((x + 800, y, b) for x, y, b in OUTER))
    flanged = Drawn()
    names = ("FLANGE_SKIN", "WEB", "FLANGE_SPAR", "FLANGE_SKIN", "FLANGE_SPAR", "WEB")
    for (a, b), layer in zip(pairs(OUTER), names, strict=True):
        flanged.segment(a, b, layer)
    flanged.polyline(CUTOUT, "HOLE")
    for hole in HOLES:
        flanged.circle(*hole)
    far_out = Drawn()
    far_out.polyline(tuple((x + 4.2e6, y + 1e6, b) for x, y, b in OUTER))
    return [
        Variant("texts, a dimension and a sheet around it", words.text(), says=("drawing-left-out",)),
        Variant("lines on a layer that is off", hidden.text(), says=("drawing-lines-left-out",)),
        Variant(
            "all on layer 0, which has no role", plain.text(), refused=("nothing that draws the web's contour", "'0'")
        ),
        Variant("all on layer 0, given its role", plain.text(), roles=("0=web",)),
        Variant("layers of somebody's own", odd.text(), roles=("a-7=web", "B 2=hole")),
        Variant(
            "a role for a layer that is not there", odd.text(), roles=("A7=web",), refused=("the layer 'A7'", "A-7")
        ),
        Variant("a tilted circle on the contour's layer", tilted.text(), refused=("tilted plane",)),
        Variant("a line that climbs, on the contour's layer", climbing.text(), refused=("not level",)),
        Variant("a frame around it, kept out", frame.text(), roles=("0=web", "FRAME=ignore")),
        Variant("two ribs side by side", second.text(), ("1300 mm = width",), refused=("2 outlines",)),
        Variant("flanges by the names of layers", flanged.text()),
        Variant("a part drawn four kilometres away", far_out.text(), refused=("from the origin",)),
    ]
