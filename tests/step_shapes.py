"""Edges, wires and faces of the solid kernel, in few words; nothing of ours is imported here."""

from __future__ import annotations

from typing import Any

import numpy as np

Pair = tuple[float, float]
Shape = Any


def pnt(p: Any) -> Any:
    from OCP.gp import gp_Pnt

    return gp_Pnt(float(p[0]), float(p[1]), float(p[2]))


def segment(a: Any, b: Any) -> Shape:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge

    return BRepBuilderAPI_MakeEdge(pnt(a), pnt(b)).Edge()


def arc(a: Any, m: Any, b: Any) -> Shape:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.GC import GC_MakeArcOfCircle

    return BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(pnt(a), pnt(m), pnt(b)).Value()).Edge()


def circle(at: Pair, z: float, radius: float) -> Shape:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir

    axes = gp_Ax2(pnt((*at, z)), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
    return BRepBuilderAPI_MakeEdge(gp_Circ(axes, radius)).Edge()


def wire(edges: list[Shape]) -> Shape:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeWire

    made = BRepBuilderAPI_MakeWire()
    for e in edges:
        made.Add(e)
    assert made.IsDone(), made.Error()
    return made.Wire()


def flat(z: float, rings: list[Shape]) -> Shape:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.gp import gp_Dir, gp_Pln
    from OCP.ShapeFix import ShapeFix_Face

    made = BRepBuilderAPI_MakeFace(gp_Pln(pnt((0, 0, z)), gp_Dir(0, 0, 1)), rings[0])
    for ring in rings[1:]:
        made.Add(ring)
    fix = ShapeFix_Face(made.Face())
    fix.FixOrientation()
    return fix.Face()


def prism(edge: Shape, way: Any) -> Shape:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Vec

    return BRepPrimAPI_MakePrism(edge, gp_Vec(*[float(x) for x in way])).Shape()


def revol(edge: Shape, centre: Pair, turn: float | None = None) -> Shape:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Dir

    axis = gp_Ax1(pnt((*centre, 0)), gp_Dir(0, 0, 1 if turn is None or turn > 0 else -1))
    made = BRepPrimAPI_MakeRevol(edge, axis) if turn is None else BRepPrimAPI_MakeRevol(edge, axis, abs(turn))
    return made.Shape()


def loft(edges: list[Shape]) -> Shape:
    from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections

    made = BRepOffsetAPI_ThruSections(False, False, 1e-6)
    made.CheckCompatibility(False)
    for e in edges:
        made.AddWire(wire([e]))
    made.Build()
    return made.Shape()


def parts(shape: Shape, kind: Any) -> list[Shape]:
    from OCP.TopExp import TopExp_Explorer

    walk, out = TopExp_Explorer(shape, kind), []
    while walk.More():
        out.append(walk.Current())
        walk.Next()
    return out


def edge_between(shape: Shape, a: Any, b: Any) -> Shape:
    """The edge of a face that joins two points."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS

    for e in parts(shape, TopAbs_EDGE):
        edge = TopoDS.Edge(e)
        ends = [BRep_Tool.Pnt_s(f(edge)) for f in (TopExp.FirstVertex_s, TopExp.LastVertex_s)]
        p, q = (np.array([x.X(), x.Y(), x.Z()]) for x in ends)
        for u, v in ((p, q), (q, p)):
            if np.linalg.norm(u - a) < 1e-4 and np.linalg.norm(v - b) < 1e-4:
                return edge
    raise AssertionError("no such edge")
