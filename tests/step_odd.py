"""Solids that are no formed part, and cuts and bumps that a part file does not say; by the kernel alone."""

from __future__ import annotations

from typing import Any

from step_shapes import pnt


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox

    return BRepPrimAPI_MakeBox(pnt(low), pnt(high)).Shape()


def fused(a: Any, b: Any) -> Any:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse

    return BRepAlgoAPI_Fuse(a, b).Shape()


def bar() -> Any:
    """A block of metal 100 x 50 x 25 mm."""
    return box((0, 0, 0), (100, 50, 25))


def tube() -> Any:
    """A tube 40 mm across, wall 2 mm, 60 mm long."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

    return BRepAlgoAPI_Cut(
        BRepPrimAPI_MakeCylinder(20.0, 60.0).Shape(), BRepPrimAPI_MakeCylinder(18.0, 60.0).Shape()
    ).Shape()


def plates() -> Any:
    """Two parallel plates, 2 and 3 mm thick, side by side."""
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    both, build = TopoDS_Compound(), BRep_Builder()
    build.MakeCompound(both)
    build.Add(both, box((0, 0, 0), (100, 50, 2)))
    build.Add(both, box((0, 0, 20), (100, 50, 23)))
    return both


def ribbed() -> Any:
    """A machined plate 3 mm thick with two ribs 5 mm thick on it."""
    whole = box((0, 0, 0), (100, 60, 3))
    for x in (20, 70):
        whole = fused(whole, box((x, 0, 3), (x + 5, 60, 25)))
    return whole


def pierced(solid: Any, at: tuple[float, float, float], radius: float) -> Any:
    """A hole drilled along y, from `at` 4 mm on: through a flange that stands there."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir

    x, y, z = at
    tool = BRepPrimAPI_MakeCylinder(gp_Ax2(pnt((x, y - 2, z)), gp_Dir(0, 1, 0)), radius, 6.0).Shape()
    return BRepAlgoAPI_Cut(solid, tool).Shape()


def dimpled(solid: Any, at: tuple[float, float], radius: float) -> Any:
    """A shallow dimple in a web 1 mm thick: a cap of a sphere of `radius` on its heel face, hollow to the same thickness below."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeSphere

    low = pnt((*at, 1.0 - radius))
    outer = BRepPrimAPI_MakeSphere(low, radius).Shape()
    inner = BRepPrimAPI_MakeSphere(low, radius - 1.0).Shape()
    cap = BRepAlgoAPI_Cut(outer, box((at[0] - 50, at[1] - 50, -50), (at[0] + 50, at[1] + 50, -0.5))).Shape()
    return BRepAlgoAPI_Cut(fused(solid, cap), inner).Shape()


def extruded(outline: list[tuple[float, float]], length: float) -> Any:
    """A closed outline in x, z drawn out along y."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

    from step_shapes import prism, segment, wire

    n = len(outline)
    edges = [
        segment((x, 0.0, z), (*outline[(k + 1) % n][:1], 0.0, outline[(k + 1) % n][1]))
        for k, (x, z) in enumerate(outline)
    ]
    return prism(BRepBuilderAPI_MakeFace(wire(edges)).Face(), (0.0, length, 0.0))


def channel(lip: float = 0.0) -> Any:
    """A channel 60 wide, 20 high, 100 long, of a sheet 1 mm thick: a sharp profile drawn out, its bends rounded by the kernel's own
    fillets, 2.5 mm inside, 3.5 mm outside. With `lip` its flanges turn inward again by so much."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopoDS import TopoDS

    from step_shapes import parts

    ends = [(60.0 - lip, -20.0), (60.0 - lip, -19.0), (59.0, -19.0)] if lip else [(59.0, -20.0)]
    starts = [(1.0, -19.0), (lip, -19.0), (lip, -20.0)] if lip else [(1.0, -20.0)]
    outline = [(0.0, -20.0), (0.0, 0.0), (60.0, 0.0), (60.0, -20.0), *ends, (59.0, -1.0), (1.0, -1.0), *starts]
    solid = extruded(outline, 100.0)
    fillet = BRepFilletAPI_MakeFillet(solid)
    outer = {(0.0, 0.0), (60.0, 0.0)} | ({(0.0, -20.0), (60.0, -20.0)} if lip else set())
    inner = {(1.0, -1.0), (59.0, -1.0)} | ({(1.0, -19.0), (59.0, -19.0)} if lip else set())
    seen = set()
    for e in parts(solid, TopAbs_EDGE):
        edge = TopoDS.Edge(e)
        curve = BRepAdaptor_Curve(edge)
        a, b = (curve.Value(u) for u in (curve.FirstParameter(), curve.LastParameter()))
        key = (round(a.X(), 6), round(a.Z(), 6))
        if abs(a.Y() - b.Y()) > 1 and key in outer | inner and key not in seen:
            seen.add(key)
            fillet.Add(3.5 if key in outer else 2.5, edge)
    return fillet.Shape()


def pan() -> Any:
    """A drawn pan 120 x 80 x 15 mm of a sheet 1 mm thick: its corners are closed round, no flat sheet bends into it."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopoDS import TopoDS

    from step_shapes import parts

    def rounded(low: tuple[float, float, float], high: tuple[float, float, float], radius: float) -> Any:
        solid = box(low, high)
        fillet = BRepFilletAPI_MakeFillet(solid)
        seen = []
        for e in parts(solid, TopAbs_EDGE):
            curve = BRepAdaptor_Curve(TopoDS.Edge(e))
            a, b = (curve.Value(u) for u in (curve.FirstParameter(), curve.LastParameter()))
            key = sorted([(round(p.X(), 3), round(p.Y(), 3), round(p.Z(), 3)) for p in (a, b)])
            if (key not in seen and max(a.Z(), b.Z()) > high[2] - 1e-6) or (key not in seen and abs(a.Z() - b.Z()) > 1):
                seen.append(key)
                fillet.Add(radius, TopoDS.Edge(e))
        return fillet.Shape()

    return BRepAlgoAPI_Cut(rounded((0, 0, -15), (120, 80, 0), 6.0), rounded((1, 1, -15), (119, 79, -1), 5.0)).Shape()
