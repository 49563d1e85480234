"""Solids that are no formed part, and cuts and bumps that a part file does not say; by the kernel alone."""

from __future__ import annotations

from typing import Any

from step_solids import pnt


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
