"""A STEP file read by the solid kernel, in the kernel's own process: faces as points, normals and triangles, edges as dense points.

Started by `kernel_process`, never imported by the rest. Nothing here knows of webs and flanges.

Request (JSON): {"read": path, "out": path of an .npz, "chord_mm", "turn_rad", "most_faces", "report": path}. Report (JSON):
{"schema", "unit", "solids", "shells", "closed", "volume_mm3", "faces": [{"kind", "area"}], "edges": [{"faces", "ends", "kind"}],
"peak_mb", "error", "refused"}. The .npz: `p`, `n`, `t`, `b`, `p_at`, `t_at`, `b_at` of the faces, `q`, `v`, `q_at` of the edges, stacked.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.collections import (
    IndexedDataMap_TopoDS_Shape_List_TopoDS_Shape_TopTools_ShapeMapHasher as Ancestors,
)
from OCP.collections import IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher as Shapes
from OCP.collections import Sequence_TCollection_AsciiString as Names
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Cylinder, GeomAbs_Line, GeomAbs_Plane
from OCP.gp import gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED, TopAbs_SHELL, TopAbs_SOLID, TopAbs_VERTEX
from OCP.TopExp import TopExp
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

from ribwright.adapters.solid_kernel import parts, peak_mb, volume

SEWN_MM = 0.005  # faces of a surface that lie this near each other are neighbours
SAMPLES = {"line": 9, "circle": 129, "curve": 257}


def read_and_report(asked: Path) -> int:
    """Read the request in the file `asked`, read the STEP file, write arrays and report."""
    request = json.loads(asked.read_text(encoding="utf-8"))
    try:
        report = answer(request)
    except Exception as broken:  # the kernel raises many kinds: each is a refusal with its text
        report = {"error": f"{type(broken).__name__}: {broken}"}
    report["peak_mb"] = peak_mb()
    Path(request["report"]).write_text(json.dumps(report), encoding="utf-8")
    return 0


def answer(request: dict[str, Any]) -> dict[str, Any]:
    """The report; the arrays are written to `out`."""
    path = Path(request["read"])
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        return {"refused": "broken: the kernel cannot read it as STEP"}
    unit = _unit(reader)
    if not reader.TransferRoots() or not reader.NbShapes():
        return {"refused": "no shape in it"}
    shape, solids, shells = _body(reader.OneShape())
    report: dict[str, Any] = {"schema": _schema(path), "unit": unit, "solids": solids, "shells": shells}
    faces = Shapes()
    TopExp.MapShapes_s(shape, TopAbs_FACE, faces)
    if not faces.Extent():
        return {"refused": "no faces in it"}
    if faces.Extent() > request["most_faces"]:
        return {"refused": f"{faces.Extent()} faces, over the {request['most_faces']} that are read"}
    size = volume(shape) if solids else 0.0
    turned = size < 0
    report |= {"closed": bool(solids), "volume_mm3": abs(size)}
    BRepMesh_IncrementalMesh(shape, request["chord_mm"], False, request["turn_rad"], False)
    made = [_face(TopoDS.Face(faces.FindKey(k + 1)), turned) for k in range(faces.Extent())]
    report["faces"] = [{"kind": kind, "area": area} for kind, area, *_ in made]
    edges = _edges(shape, faces)
    report["edges"] = [{"faces": f, "ends": e, "kind": kind} for f, e, kind, *_ in edges]
    arrays = {
        "p": [m[2] for m in made],
        "n": [m[3] for m in made],
        "t": [m[4] for m in made],
        "b": [m[5] for m in made],
        "q": [e[3] for e in edges],
        "v": [e[4] for e in edges],
    }
    starts = {f"{k}_at": np.cumsum([0, *(len(x) for x in arrays[k])]) for k in ("p", "t", "b", "q")}
    stacked: dict[str, Any] = {k: np.concatenate(v) for k, v in arrays.items()}
    np.savez(request["out"], **(stacked | starts))
    return report


def _body(shape: Any) -> tuple[Any, int, int]:
    """(shape, solids, shells): loose faces sewn, a shell that closes made a solid."""
    solids = len(list(parts(shape, TopAbs_SOLID)))
    if solids:
        return shape, solids, len(list(parts(shape, TopAbs_SHELL)))
    sewing = BRepBuilderAPI_Sewing(SEWN_MM)
    for face in parts(shape, TopAbs_FACE):
        sewing.Add(face)
    sewing.Perform()
    sewn = sewing.SewedShape()
    shells = list(parts(sewn, TopAbs_SHELL))
    if len(shells) == 1 and not sewing.NbFreeEdges():
        solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shells[0])).Solid()
        if BRepLib.OrientClosedSolid_s(solid):
            return solid, 1, 1
    return sewn, 0, max(len(shells), 1)


def _unit(reader: Any) -> str:
    """The unit of lengths that the file names, as the kernel calls it; several are joined by commas."""
    lengths, angles, solid_angles = Names(), Names(), Names()
    reader.FileUnits(lengths, angles, solid_angles)
    found = [lengths.Value(k + 1).ToCString() for k in range(lengths.Length())]
    return ",".join(dict.fromkeys(found))


def _schema(path: Path) -> str:
    """What FILE_SCHEMA in the head of the file names."""
    with path.open("rb") as file:
        head = file.read(20_000).decode("ascii", "replace")
    found = re.search(r"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", head)
    return found[1].split("{")[0].strip() if found else ""


def _face(face: Any, turned: bool) -> tuple[str, float, Any, Any, Any, Any]:
    """(kind, area, points, normals, triangles, points between)."""
    place = TopLoc_Location()
    mesh = BRep_Tool.Triangulation_s(face, place)
    surface = BRepAdaptor_Surface(face)
    kind = {GeomAbs_Plane: "plane", GeomAbs_Cylinder: "cylinder"}.get(surface.GetType(), "other")
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, props, 1e-6)
    if mesh is None:
        return (
            kind,
            float(props.Mass()),
            np.zeros((0, 3)),
            np.zeros((0, 3)),
            np.zeros((0, 3), np.int64),
            np.zeros((0, 3)),
        )
    move = place.Transformation()
    flip = (face.Orientation() == TopAbs_REVERSED) != turned
    p, u, v = gp_Pnt(), gp_Vec(), gp_Vec()
    points, normals, places = [], [], []
    for k in range(1, mesh.NbNodes() + 1):
        node = mesh.Node(k).Transformed(move)
        points.append((node.X(), node.Y(), node.Z()))
        uv = mesh.UVNode(k)
        places.append((uv.X(), uv.Y()))
        surface.D1(uv.X(), uv.Y(), p, u, v)
        n = u.Crossed(v)
        normals.append((n.X(), n.Y(), n.Z()))
    rows = np.array([mesh.Triangle(k).Get() for k in range(1, mesh.NbTriangles() + 1)], dtype=np.int64) - 1
    at, normal = np.array(points), np.array(normals) * (-1.0 if flip else 1.0)
    rows = rows[:, ::-1] if flip else rows
    return (
        kind,
        float(props.Mass()),
        at,
        _unit_normals(at, normal, rows),
        rows,
        _between(surface, np.array(places), rows),
    )


def _between(surface: Any, places: Any, triangles: Any) -> Any:
    """Points on the surface at the middles of triangles and of the sides that two of them share, in the plane of its parameters: the
    middle of another side may lie past the face's edge."""
    sides, count = np.unique(
        np.sort(triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1), axis=0, return_counts=True
    )
    p, out = gp_Pnt(), []
    shared = places[sides[count == 2]].mean(axis=1)
    for u, v in np.concatenate([shared, places[triangles].mean(axis=1)]).tolist():
        surface.D0(u, v, p)
        out.append((p.X(), p.Y(), p.Z()))
    return np.array(out).reshape(-1, 3)


def _unit_normals(points: Any, normals: Any, triangles: Any) -> Any:
    """Unit normals; where the surface's own vanishes (a pole), the mean of the triangles about the point."""
    size = np.linalg.norm(normals, axis=1)
    poor = size < 1e-9 * max(float(size.max(initial=0.0)), 1e-300)
    if poor.any():
        a, b, c = (points[triangles[:, k]] for k in range(3))
        mean = np.zeros_like(points)
        for k in range(3):
            np.add.at(mean, triangles[:, k], np.cross(b - a, c - a))
        normals = np.where(poor[:, None], mean, normals)
        size = np.linalg.norm(normals, axis=1)
    return normals / np.maximum(size, 1e-300)[:, None]


def _edges(shape: Any, faces: Any) -> list[tuple[list[int], list[int], str, Any, Any]]:
    """(faces, end vertices, kind, points, slopes) of every edge that has a length."""
    owners, vertices = Ancestors(), Shapes()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_EDGE, TopAbs_FACE, owners)
    TopExp.MapShapes_s(shape, TopAbs_VERTEX, vertices)
    out = []
    for k in range(1, owners.Extent() + 1):
        edge = TopoDS.Edge(owners.FindKey(k))
        if BRep_Tool.Degenerated_s(edge):
            continue
        mine = sorted({faces.FindIndex(f) - 1 for f in owners.FindFromIndex(k)})
        ends = [vertices.FindIndex(x) - 1 for x in (TopExp.FirstVertex_s(edge), TopExp.LastVertex_s(edge))]
        curve = BRepAdaptor_Curve(edge)
        kind = {GeomAbs_Line: "line", GeomAbs_Circle: "circle"}.get(curve.GetType(), "curve")
        at = np.linspace(curve.FirstParameter(), curve.LastParameter(), SAMPLES[kind])
        points, slopes, p, d = [], [], gp_Pnt(), gp_Vec()
        for u in at:
            curve.D1(float(u), p, d)
            points.append((p.X(), p.Y(), p.Z()))
            slopes.append((d.X(), d.Y(), d.Z()))
        out.append((mine, ends, kind, np.array(points), np.array(slopes) * (at[1] - at[0])))
    return out
