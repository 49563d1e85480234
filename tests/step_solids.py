"""Formed parts as solids, by the kernel alone and arithmetic of their own: nothing of ours is imported here.

Heel face of the web in z = 0, sheet below it. A flange's profile square to its drawn (outside mold) line, x outward from that line, a the
bend angle, R the inside radius, W the width, d = (R + t) tan(a/2):

    heel   (-d, 0), arc about (-d, -(R + t)) to (-d + (R + t) sin a, -(R + t)(1 - cos a)), line to (W cos a, -W sin a)
    inner  the same t inside of it, rim square to the flange; a flange turned up is the profile mirrored in z = -t/2

Straight edges are prisms and arcs turned, so planes, cylinders and tori; splines and what varies are lofts through many profiles.
Faces are sewn together into one solid.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, pi, radians, sin, tan
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import brentq, fsolve

from step_curves import Arc, Line, Pair
from step_shapes import Shape, arc, circle, edge_between, flat, loft, parts, pnt, prism, revol, segment, wire

LOFT = 41  # profiles in a loft
SEWN = 2e-4


# ---- the part


@dataclass
class Flange:
    """`width` and `angle` at the start and at the end of the drawn edge, linear in between."""

    width: tuple[float, float]
    angle: tuple[float, float]
    radius: float
    up: bool = False

    @property
    def varies(self) -> bool:
        return self.width[0] != self.width[1] or self.angle[0] != self.angle[1]


@dataclass
class Side:
    """A drawn edge. `gap`: how much the strip's ends are drawn back (start, end) from where it would end."""

    curve: Any
    flange: Flange | None = None
    begin: float = 0.0
    end: float = 0.0


@dataclass
class Relief:
    """Of the corner after side `i`: circle about the meeting of the bend tangent lines, moved inward along the bisector by `set_back`;
    flange ends stand where it meets the tangent lines, so `gap` follows."""

    i: int
    diameter: float
    set_back: float = 0.0
    gap: float = 0.0
    centre: Pair = (0.0, 0.0)


@dataclass
class FlangedHole:
    """`diameter` where the flange leaves the web, `straight` part of the flange past its bend."""

    at: Pair
    diameter: float
    angle: float
    radius: float
    straight: float
    up: bool = False

    def rim(self, t: float) -> float:
        """Opening at the rim: of the heel's edge and the inner one the narrower."""
        a = radians(self.angle)
        heel = self.diameter / 2 - (self.radius + t) * sin(a) - self.straight * cos(a)
        return 2 * min(heel, heel + t * sin(a))


@dataclass
class Model:
    name: str
    t: float
    loops: list[list[Side]]
    reliefs: list[Relief] = field(default_factory=list)
    holes: list[tuple[Pair, float]] = field(default_factory=list)
    flanged: list[FlangedHole] = field(default_factory=list)
    slots: list[tuple[Pair, float, float, float]] = field(default_factory=list)
    # of flanges that end beside a free edge: (side, diameter, whether at its end); a circle about the foot of the drawn corner
    ends: list[tuple[int, float, bool]] = field(default_factory=list)
    cut: float = 0.0  # of a drill through every outer corner without relief, after sewing
    turn: tuple[float, float, float] = (0.0, 0.0, 0.0)  # about x, y, z [deg]
    move: tuple[float, float, float] = (0.0, 0.0, 0.0)
    unit: str = "MM"
    schema: str = "AP214IS"


# ---- profiles and strips


def profile(t: float, angle: float, width: float, radius: float, up: bool) -> dict[str, np.ndarray]:
    """Points (x, z) of a profile: heel 0, m, 1, 2 and inner 0, m, 1, 2."""
    a, r = radians(angle), radius + t
    d = r * tan(a / 2)

    def bend(rr: float, f: float) -> tuple[float, float]:
        return -d + rr * sin(f), -r + rr * cos(f)

    heel = [bend(r, 0), bend(r, a / 2), bend(r, a), (width * cos(a), -width * sin(a))]
    inner = [bend(radius, 0), bend(radius, a / 2), bend(radius, a), (heel[3][0] - t * sin(a), heel[3][1] - t * cos(a))]
    out = np.array([*heel, *inner])
    if up:
        out[:, 1] = -t - out[:, 1]
    return dict(zip(("h0", "hm", "h1", "h2", "i0", "im", "i1", "i2"), out, strict=True))


class Strip:
    """The faces of one flange between two stations, and what the web shares with it."""

    def __init__(self, model: Model, side: Side):
        self.side, self.t = side, model.t
        self.low, self.high = side.begin, side.curve.length - side.end
        flange = side.flange
        assert flange is not None
        names = (("h0", "hm", "h1"), ("h1", "h2"), ("h2", "i2"), ("i1", "i2"), ("i0", "im", "i1"))
        curve = side.curve
        even = not flange.varies
        self.faces: list[Shape] = []
        if even and isinstance(curve, Line):
            way = np.array([*(curve.at(self.high)[0] - curve.at(self.low)[0]), 0.0])
            self.faces = [prism(self.edge(n, self.low), way) for n in names]
        elif even and isinstance(curve, Arc):
            turn = (self.high - self.low) / curve.radius * np.sign(curve.sweep)
            self.faces = [revol(self.edge(n, self.low), curve.centre, turn) for n in names]
        else:
            at = np.linspace(self.low, self.high, LOFT)
            self.faces = [loft([self.edge(n, s) for s in at]) for n in names]
        top, bottom = ("i0", "h0") if flange.up else ("h0", "i0")
        face = {"h0": self.faces[0], "i0": self.faces[4]}
        self.rim = {
            0: edge_between(face[top], self.point(top, self.low), self.point(top, self.high)),
            1: edge_between(face[bottom], self.point(bottom, self.low), self.point(bottom, self.high)),
        }

    def section(self, s: float) -> tuple[float, float]:
        f, u = self.side.flange, s / self.side.curve.length
        return f.angle[0] + u * (f.angle[1] - f.angle[0]), f.width[0] + u * (f.width[1] - f.width[0])

    def point(self, name: str, s: float) -> np.ndarray:
        p, u = self.side.curve.at(s)
        angle, width = self.section(s)
        x, z = profile(self.t, angle, width, self.side.flange.radius, self.side.flange.up)[name]
        return np.array([*(p + x * np.array([u[1], -u[0]])), z])

    def edge(self, names: tuple[str, ...], s: float) -> Shape:
        p = [self.point(n, s) for n in names]
        return segment(*p) if len(p) == 2 else arc(*p)

    def tangent(self, s: float) -> np.ndarray:
        return self.point("h0", s)[:2]

    def cap(self, s: float) -> Shape:
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

        edges = [
            self.edge(("h0", "hm", "h1"), s),
            self.edge(("h1", "h2"), s),
            segment(self.point("h2", s), self.point("i2", s)),
            segment(self.point("i2", s), self.point("i1", s)),
            self.edge(("i1", "im", "i0"), s),
            segment(self.point("i0", s), self.point("h0", s)),
        ]
        return BRepBuilderAPI_MakeFace(wire(edges), True).Face()


def tangent_at(model: Model, side: Side, s: float) -> np.ndarray:
    """Bend tangent line at s, beyond the ends as well; the drawn line where there is no flange."""
    p, u = side.curve.at(s)
    f = side.flange
    if f is None:
        return p
    w = min(max(s / side.curve.length, 0.0), 1.0)
    a = radians(f.angle[0] + w * (f.angle[1] - f.angle[0]))
    return p - (f.radius + model.t) * tan(a / 2) * np.array([u[1], -u[0]])


def settle(model: Model) -> None:
    """Where strips end: at a corner of two flanges at the meeting of the tangent lines, drawn back to the relief's circle."""
    loop = model.loops[0]
    for i, a in enumerate(loop):
        b = loop[(i + 1) % len(loop)]
        if a.flange is None or b.flange is None:
            continue

        def off(x: np.ndarray, a: Side = a, b: Side = b) -> np.ndarray:
            return tangent_at(model, a, a.curve.length - x[0]) - tangent_at(model, b, x[1])

        x = fsolve(off, [3.0, 3.0], xtol=1e-11, full_output=True)[0]
        assert np.max(np.abs(off(x))) < 1e-8
        a.end, b.begin = float(x[0]), float(x[1])
        relief = next((r for r in model.reliefs if r.i == i), None)
        if relief is None:
            continue
        meeting = tangent_at(model, b, b.begin)
        ua, ub = a.curve.at(a.curve.length - a.end)[1], b.curve.at(b.begin)[1]
        inward = -(np.array([ua[1], -ua[0]]) + np.array([ub[1], -ub[0]]))
        centre = meeting + relief.set_back * inward / np.hypot(*inward)
        relief.centre = (float(centre[0]), float(centre[1]))
        r = relief.diameter / 2

        def back_a(g: float, a: Side = a, c: np.ndarray = centre, r: float = r) -> float:
            return float(np.hypot(*(tangent_at(model, a, a.curve.length - a.end - g) - c))) - r

        def back_b(g: float, b: Side = b, c: np.ndarray = centre, r: float = r) -> float:
            return float(np.hypot(*(tangent_at(model, b, b.begin + g) - c))) - r

        ga, gb = brentq(back_a, 0, 3 * r, xtol=1e-12), brentq(back_b, 0, 3 * r, xtol=1e-12)
        assert abs(ga - gb) < 0.02, (ga, gb)
        relief.gap = 2 * (ga + gb) / 2
        a.end, b.begin = a.end + ga, b.begin + gb
    for i, diameter, at_end in model.ends:
        if at_end:
            loop[i].end = diameter / 2
        else:
            loop[i].begin = diameter / 2
    if model.cut:
        for i, a in enumerate(loop):
            if a.flange and loop[(i + 1) % len(loop)].flange:
                a.end, loop[(i + 1) % len(loop)].begin = a.end + 0.5, loop[(i + 1) % len(loop)].begin + 0.5


def plain_edge(curve: Any, a: np.ndarray, b: np.ndarray, z: float) -> Shape:
    """A piece of a drawn curve from a to b on it, at height z."""
    if isinstance(curve, Line):
        return segment((*a, z), (*b, z))
    angle = [np.arctan2(*(p - np.array(curve.centre))[::-1]) for p in (a, b)]
    w = np.sign(curve.sweep)
    turn = (w * (angle[1] - angle[0])) % (2 * pi)
    f = angle[0] + w * turn / 2
    m = np.array(curve.centre) + curve.radius * np.array([cos(f), sin(f)])
    return arc((*a, z), (*m, z), (*b, z))


def ring_edges(model: Model, k: int, strips: dict[int, Strip], z: float, level: int) -> tuple[list[Shape], list[Shape]]:
    """(edges of the web's ring, those of them that stand free) at one of the two faces."""
    loop = model.loops[k]
    ring, free = [], []
    ends = []
    for i, side in enumerate(loop):
        if side.flange:
            s = strips[i]
            ends.append((s.tangent(s.low), s.tangent(s.high)))
        else:
            # a plain edge runs between the tangent lines of its neighbours: it stands square to them in these models
            before, after = loop[i - 1], loop[(i + 1) % len(loop)]
            a, b = side.curve.at(0)[0], side.curve.at(side.curve.length)[0]
            if before.flange:
                a = strips[(i - 1) % len(loop)].tangent(before.curve.length)
            if after.flange:
                b = strips[(i + 1) % len(loop)].tangent(0.0)
            ends.append((a, b))
    beside: dict[int, tuple[np.ndarray, float]] = {}
    for i, diameter, at_end in model.ends if k == 0 else []:
        side = loop[i]
        c = tangent_at(model, side, side.curve.length if at_end else 0.0)
        j = (i + (1 if at_end else -1)) % len(loop)
        # the free edge leaves the circle where it runs on in the web
        p, u = loop[j].curve.at(0.0 if at_end else loop[j].curve.length)
        u = u if at_end else -u
        b, q = (p - c) @ u, (p - c) @ (p - c) - diameter**2 / 4
        leaves = p + (-b + np.sqrt(b * b - q)) * u
        ends[j] = (leaves, ends[j][1]) if at_end else (ends[j][0], leaves)
        beside[i if at_end else j] = (c, diameter / 2)
    for i, side in enumerate(loop):
        if side.flange:
            ring.append(strips[i].rim[level])
        else:
            e = plain_edge(side.curve, *ends[i], z)
            ring.append(e)
            free.append(e)
        j = (i + 1) % len(loop)
        a, b = ends[i][1], ends[j][0]
        if np.hypot(*(b - a)) < 1e-6:
            continue
        relief = next((r for r in model.reliefs if k == 0 and r.i == i), None)
        if i in beside:
            c, r = beside[i]
            flanged = side if side.flange else loop[j]
            u = flanged.curve.at(0.0)[1]
            way = (a - c) + (b - c)
            way = way if way @ np.array([-u[1], u[0]]) > 0 else -way
            made = [arc((*a, z), (*(c + r * way / np.hypot(*way)), z), (*b, z))]
        elif relief is not None:
            c = np.array(relief.centre)
            way = c - (a + b) / 2
            inward = -(np.array(side.curve.at(side.curve.length)[1])[[1, 0]] * [1, -1])
            way = way if np.hypot(*way) > 1e-6 and way @ inward > 0 else inward
            # the far side of the circle
            u = (b - a) / np.hypot(*(b - a))
            n = np.array([-u[1], u[0]])
            n = n if n @ inward > 0 else -n
            made = [arc((*a, z), (*(c + relief.diameter / 2 * n), z), (*b, z))]
        else:
            x = tangent_at(model, loop[j], loop[j].begin - 0.5)
            made = [segment((*a, z), (*x, z)), segment((*x, z), (*b, z))]
        ring += made
        free += made
    return ring, free


def solid_of(model: Model, skin: bool = False) -> Shape:
    """The solid; with `skin` its heel face alone, of a model whose flanges all turn down."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepLib import BRepLib
    from OCP.TopAbs import TopAbs_SHELL
    from OCP.TopoDS import TopoDS

    settle(model)
    sewing = BRepBuilderAPI_Sewing(SEWN)
    t = model.t
    rings: tuple[list[Shape], list[Shape]] = ([], [])
    for k, loop in enumerate(model.loops):
        strips = {i: Strip(model, side) for i, side in enumerate(loop) if side.flange}
        for i, s in strips.items():
            for f in s.faces[:2] if skin else s.faces:
                sewing.Add(f)
            if skin:
                continue
            for place, other in ((s.low, loop[i - 1]), (s.high, loop[(i + 1) % len(loop)])):
                # a closed run of one flange needs no ends
                if not (k > 0 and other.flange):
                    sewing.Add(s.cap(place))
        for level, z in ((0, 0.0), (1, -t)):
            ring, free = ring_edges(model, k, strips, z, level)
            rings[level].append(wire(ring))
            if level == 0 and not skin:
                for e in free:
                    sewing.Add(prism(e, (0, 0, -t)))
    for at, d in model.holes:
        for level, z in ((0, 0.0), (1, -t)):
            rings[level].append(wire([circle(at, z, d / 2)]))
        if not skin:
            sewing.Add(prism(circle(at, 0.0, d / 2), (0, 0, -t)))
    for (x, y), d, length, angle in model.slots:
        u = np.array([cos(radians(angle)), sin(radians(angle))])
        n = np.array([-u[1], u[0]]) * d / 2
        a, b = np.array([x, y]) - u * length / 2, np.array([x, y]) + u * length / 2
        for level, z in ((0, 0.0), (1, -t)):
            edges = [
                segment((*(a - n), z), (*(b - n), z)),
                arc((*(b - n), z), (*(b + u * d / 2), z), (*(b + n), z)),
                segment((*(b + n), z), (*(a + n), z)),
                arc((*(a + n), z), (*(a - u * d / 2), z), (*(a - n), z)),
            ]
            rings[level].append(wire(edges))
            if level == 0:
                for e in edges:
                    sewing.Add(prism(e, (0, 0, -t)))
    for h in model.flanged:
        p = profile(t, h.angle, h.straight + (h.radius + t) * tan(radians(h.angle) / 2), h.radius, h.up)
        d = (h.radius + t) * tan(radians(h.angle) / 2)

        def place(name: str, h: FlangedHole = h, p: dict[str, np.ndarray] = p, d: float = d) -> np.ndarray:
            return np.array([h.at[0] + h.diameter / 2 - (p[name][0] + d), h.at[1], p[name][1]])

        bounds = (("h0", "hm", "h1"), ("h1", "h2"), ("h2", "i2"), ("i1", "i2"), ("i0", "im", "i1"))
        for names in bounds[: 2 if skin else 5]:
            q = [place(n) for n in names]
            sewing.Add(revol(segment(*q) if len(q) == 2 else arc(*q), h.at))
        for level, z in ((0, 0.0), (1, -t)):
            rings[level].append(wire([circle(h.at, z, h.diameter / 2)]))
    for level, z in ((0, 0.0), (1, -t))[: 1 if skin else 2]:
        sewing.Add(flat(z, rings[level]))
    sewing.Perform()
    if skin:
        return sewing.SewedShape()
    shells = parts(sewing.SewedShape(), TopAbs_SHELL)
    assert (len(shells), sewing.NbFreeEdges()) == (1, 0), model.name
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shells[0])).Solid()
    BRepLib.OrientClosedSolid_s(solid)
    assert BRepCheck_Analyzer(solid).IsValid(), model.name
    return drilled(model, solid) if model.cut else solid


def drilled(model: Model, solid: Shape) -> Shape:
    """A drill of `cut` diameter straight through web and bends at the meeting of the tangent lines of every corner."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir

    for i, a in enumerate(model.loops[0]):
        b = model.loops[0][(i + 1) % len(model.loops[0])]
        if a.flange and b.flange:
            x = tangent_at(model, b, b.begin - 0.5)
            tool = BRepPrimAPI_MakeCylinder(gp_Ax2(pnt((*x, -60.0)), gp_Dir(0, 0, 1)), model.cut / 2, 120.0).Shape()
            solid = BRepAlgoAPI_Cut(solid, tool).Shape()
    return solid


def placed(model: Model, shape: Shape) -> Shape:
    """Turned and moved in space."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Ax1, gp_Dir, gp_Trsf, gp_Vec

    for k, way in enumerate(((1, 0, 0), (0, 1, 0), (0, 0, 1))):
        if model.turn[k]:
            move = gp_Trsf()
            move.SetRotation(gp_Ax1(pnt((0, 0, 0)), gp_Dir(*way)), radians(model.turn[k]))
            shape = BRepBuilderAPI_Transform(shape, move, True).Shape()
    if any(model.move):
        move = gp_Trsf()
        move.SetTranslation(gp_Vec(*model.move))
        shape = BRepBuilderAPI_Transform(shape, move, True).Shape()
    return shape


def write(shape: Shape, path: Path, unit: str = "MM", schema: str = "AP214IS") -> Path:
    """A STEP file; the kernel turns mm into the unit."""
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.schema", schema)
    Interface_Static.SetCVal_s("write.step.unit", unit)
    writer.Transfer(shape, STEPControl_AsIs)
    writer.Write(str(path))
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    return path


def step_of(model: Model, folder: Path) -> Path:
    """The model as a STEP file."""
    return write(placed(model, solid_of(model)), folder / f"{model.name}.step", model.unit, model.schema)
