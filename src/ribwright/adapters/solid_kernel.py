"""The solid kernel's own process: a description of bodies in a file, files and a report out.

Started by `kernel_process`; never imported by the rest: the kernel takes 300 MB and can fall over.
Nothing here knows of blocks: it builds lofts of level curves, bores turned about vertical axes, grooves in the upper plane, planes
between them, and cuts cones out of the walls.

Request (JSON): {"height", "outside": loft or {"radius"}, "openings": [loft], "bores": [profile], "face_grooves", "wall_grooves",
"names": {...},
"step": path or null, "stl": path or null, "chord_mm", "report": path}. Report (JSON, into that file: the kernel chats on
standard output): {"valid", "volume_mm3", "faces", "corners", "read_back_valid", "read_back_volume_mm3", "peak_mb", "error"}.
"""

from __future__ import annotations

import json
import re
import struct
from pathlib import Path
from typing import Any

from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeSolid,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Sewing,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepFill import BRepFill
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections
from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
from OCP.collections import Array1_double, Array1_gp_Pnt, Array1_int, List_TopoDS_Shape
from OCP.GC import GC_MakeArcOfCircle
from OCP.Geom import Geom_BezierCurve, Geom_BSplineCurve
from OCP.gp import gp_Ax1, gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.ShapeFix import ShapeFix_Face
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Reader, STEPControl_Writer
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED, TopAbs_SHELL, TopAbs_SOLID, TopAbs_VERTEX
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Compound

SEWN_MM = 1e-5


def build_and_report(asked: Path) -> int:
    """Read the request in the file `asked`, build, write, report. The exit status is 0 whenever a report was written."""
    request = json.loads(asked.read_text(encoding="utf-8"))
    try:
        report = answer(request)
    except Exception as broken:  # the kernel raises many kinds: each is a refusal with its text
        report = {"error": f"{type(broken).__name__}: {broken}"}
    report["peak_mb"] = peak_mb()
    Path(request["report"]).write_text(json.dumps(report), encoding="utf-8")
    return 0


def peak_mb() -> float | None:
    """Largest memory this process has held [MB], where the system tells (Linux)."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")
    except OSError:
        return None
    return next((int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("VmHWM:")), None)


def answer(request: dict[str, Any]) -> dict[str, Any]:
    """Build the body, write what was asked for, read the STEP file back."""
    solid = build(request)
    report: dict[str, Any] = {
        "valid": BRepCheck_Analyzer(solid).IsValid(),
        "volume_mm3": volume(solid),
        "faces": sum(1 for _ in parts(solid, TopAbs_FACE)),
        "corners": corners(solid),
    }
    if request["step"]:
        write_step(solid, Path(request["step"]), request["names"])
        back = read_step(Path(request["step"]))
        report["read_back_valid"] = BRepCheck_Analyzer(back).IsValid() and len(list(parts(back, TopAbs_SOLID))) == 1
        report["read_back_volume_mm3"] = volume(back)
        report["corners"] += corners(back)
    if request["stl"]:
        write_stl(solid, Path(request["stl"]), request["names"]["stl"], request["chord_mm"])
    return report


# ------------------------------------------------------------- building


def build(request: dict[str, Any]) -> Any:
    """One closed solid: side faces, bores, and the two planes between them, sewn together."""
    height = float(request["height"])
    sewing = BRepBuilderAPI_Sewing(SEWN_MM)
    rims: tuple[list[Any], list[Any]] = ([], [])
    outside = request["outside"]
    sides = [*([outside] if "levels" in outside else []), *request["openings"]]
    if "radius" in outside:
        r = float(outside["radius"])
        plain = {"at": [0.0, 0.0], "start": [r, 0.0], "rim": None, "wall": [r, 0.0], "vent": r}
        sewing.Add(turned(plain, height))
        for rim, z in zip(rims, (0.0, -height), strict=True):
            rim.append(circle(0.0, 0.0, z, r))
    for side in sides:
        sewing.Add(loft(side))
        for rim, level in zip(rims, (side["levels"][0], side["levels"][-1]), strict=True):
            rim.append(wire(side["knots"], level))
    for bore in request["bores"]:
        sewing.Add(turned(bore, height))
        x, y = bore["at"]
        rims[0].append(circle(x, y, 0.0, bore["start"][0]))
        rims[1].append(circle(x, y, -height, bore["vent"]))
    for groove in request["face_grooves"]:
        sewing.Add(groove_faces(groove))
        rims[0].append(groove_rim(groove))
    for rim, z in zip(rims, (0.0, -height), strict=True):
        sewing.Add(plane(z, rim))
    sewing.Perform()
    shells = list(parts(sewing.SewedShape(), TopAbs_SHELL))
    if len(shells) != 1 or sewing.NbFreeEdges():
        raise ValueError(f"the faces do not close: {len(shells)} shells, {sewing.NbFreeEdges()} open edges")
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shells[0])).Solid()
    if not BRepLib.OrientClosedSolid_s(solid):
        raise ValueError("the shell is not closed")
    return cut(solid, [cone(g) for g in request["wall_grooves"]])


def piece(poles: list[list[float]], weights: list[float]) -> Any:
    """A line, or an arc as a rational quadratic."""
    a, b = gp_Pnt(*poles[0]), gp_Pnt(*poles[-1])
    if len(poles) == 2:
        return BRepBuilderAPI_MakeEdge(a, b).Edge()
    points, shares = Array1_gp_Pnt(1, len(poles)), Array1_double(1, len(poles))
    for i, (p, w) in enumerate(zip(poles, weights, strict=True)):
        points.SetValue(i + 1, gp_Pnt(*p))
        shares.SetValue(i + 1, w)
    return BRepBuilderAPI_MakeEdge(Geom_BezierCurve(points, shares)).Edge()


def groove_faces(groove: dict[str, Any]) -> Any:
    """The faces of a groove in the plane z = 0: ruled between the sections at its seams, and turned about its path's points."""
    builder, out = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(out)
    for start, end in groove["runs"]:
        for a, b, w in zip(start, end, groove["weights"], strict=True):
            builder.Add(out, BRepFill.Face_s(piece(a, w), piece(b, w)))
    for cap in groove["caps"]:
        axis = gp_Ax1(gp_Pnt(*cap["at"], 0.0), gp_Dir(0.0, 0.0, 1.0))
        for poles, w in zip(cap["poles"], groove["weights"], strict=True):
            builder.Add(out, BRepPrimAPI_MakeRevol(piece(poles, w), axis, cap["turn"]).Shape())
    return out


def groove_rim(groove: dict[str, Any]) -> Any:
    """Its outline in the plane z = 0."""
    edges = List_TopoDS_Shape()
    for start, end in groove["runs"]:
        edges.Append(BRepBuilderAPI_MakeEdge(gp_Pnt(*start[-1][-1]), gp_Pnt(*end[-1][-1])).Edge())
    for cap in groove["caps"]:
        rim = BRepBuilderAPI_MakeVertex(gp_Pnt(*cap["poles"][-1][-1])).Vertex()
        axis = gp_Ax1(gp_Pnt(*cap["at"], 0.0), gp_Dir(0.0, 0.0, 1.0))
        edges.Append(next(parts(BRepPrimAPI_MakeRevol(rim, axis, cap["turn"]).Shape(), TopAbs_EDGE)))
    made = BRepBuilderAPI_MakeWire()
    made.Add(edges)
    if not made.IsDone():
        raise ValueError("the rim of a groove is not one closed line")
    return made.Wire()


def cone(groove: dict[str, Any]) -> Any:
    """The solid from an apex to a level section: both sides of its curve, closed outside the wall."""
    wire = BRepBuilderAPI_MakeWire()
    left, right = groove["sides"]
    pieces = [*zip(left, groove["weights"], strict=True), *zip(right, groove["weights"], strict=True)]
    for poles, weights in pieces[: len(left)][::-1] + pieces[len(left) :]:
        wire.Add(piece(poles, weights))
    rims = [gp_Pnt(*side[-1][-1]) for side in (right, left)]
    out = [gp_Pnt(*p) for p in groove["outside"][::-1]]
    for a, b in ((rims[0], out[0]), (out[0], out[1]), (out[1], rims[1])):
        wire.Add(BRepBuilderAPI_MakeEdge(a, b).Edge())
    if not wire.IsDone():
        raise ValueError("the section of a wall groove is not one closed line")
    made = BRepOffsetAPI_ThruSections(True, True, 1e-6)
    made.CheckCompatibility(False)
    made.AddVertex(BRepBuilderAPI_MakeVertex(gp_Pnt(*groove["apex"])).Vertex())
    made.AddWire(wire.Wire())
    made.Build()
    if not made.IsDone():
        raise ValueError("no cone through the section of a wall groove")
    return made.Shape()


def cut(solid: Any, cutters: list[Any]) -> Any:
    """The solid less the cutters, still one solid."""
    if not cutters:
        return solid
    tools, things = List_TopoDS_Shape(), List_TopoDS_Shape()
    things.Append(solid)
    for c in cutters:
        tools.Append(c)
    work = BRepAlgoAPI_Cut()
    work.SetArguments(things)
    work.SetTools(tools)
    work.Build()
    if not work.IsDone():
        raise ValueError("the wall grooves could not be cut")
    left = list(parts(work.Shape(), TopAbs_SOLID))
    if len(left) != 1:
        raise ValueError(f"cutting the wall grooves left {len(left)} bodies")
    return left[0]


def point(p: list[float], z: float) -> gp_Pnt:
    """(x, y) at height z."""
    return gp_Pnt(float(p[0]), float(p[1]), z)


def curve_edge(knots: list[float] | None, poles: list[list[float]], z: float) -> Any:
    """A straight edge, or a cubic B-spline with simple inner knots."""
    if knots is None:
        return BRepBuilderAPI_MakeEdge(point(poles[0], z), point(poles[-1], z)).Edge()
    points = Array1_gp_Pnt(1, len(poles))
    for i, p in enumerate(poles):
        points.SetValue(i + 1, point(p, z))
    at, times = Array1_double(1, len(knots)), Array1_int(1, len(knots))
    for i, u in enumerate(knots):
        at.SetValue(i + 1, float(u))
        times.SetValue(i + 1, 4 if i in (0, len(knots) - 1) else 1)
    return BRepBuilderAPI_MakeEdge(Geom_BSplineCurve(points, at, times, 3)).Edge()


def wire(knots: list[Any], level: dict[str, Any]) -> Any:
    """One closed level."""
    made = BRepBuilderAPI_MakeWire()
    for k, poles in zip(knots, level["poles"], strict=True):
        made.Add(curve_edge(k, poles, -float(level["depth"])))
    if not made.IsDone():
        raise ValueError(f"the outline at a depth of {level['depth']:.2f} mm is not one closed line")
    return made.Wire()


def loft(side: dict[str, Any]) -> Any:
    """The ruled faces between the levels of one loop, open at both ends."""
    made = BRepOffsetAPI_ThruSections(False, True, 1e-6)
    made.CheckCompatibility(False)
    for level in side["levels"]:
        made.AddWire(wire(side["knots"], level))
    made.Build()
    if not made.IsDone():
        raise ValueError("no ruled faces through the levels")
    return made.Shape()


def turned(bore: dict[str, Any], height: float) -> Any:
    """The faces of a bore: rim arc, wall, floor, vent turned about its axis."""
    x, y = bore["at"]

    def at(rz: list[float]) -> gp_Pnt:
        return gp_Pnt(x + rz[0], y, -rz[1])

    made = BRepBuilderAPI_MakeWire()
    last = bore["start"]
    if bore["rim"]:
        middle, end = bore["rim"]
        made.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(at(last), at(middle), at(end)).Value()).Edge())
        last = end
    for rz in (bore["wall"], [bore["vent"], bore["wall"][1]], [bore["vent"], height]):
        if abs(rz[0] - last[0]) + abs(rz[1] - last[1]) > 1e-6:
            made.Add(BRepBuilderAPI_MakeEdge(at(last), at(rz)).Edge())
            last = rz
    axis = gp_Ax1(gp_Pnt(x, y, 0.0), gp_Dir(0.0, 0.0, 1.0))
    return BRepPrimAPI_MakeRevol(made.Wire(), axis).Shape()


def circle(x: float, y: float, z: float, radius: float) -> Any:
    """A circle that starts where a turned face has its seam."""
    axes = gp_Ax2(gp_Pnt(x, y, z), gp_Dir(0.0, 0.0, 1.0), gp_Dir(1.0, 0.0, 0.0))
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(axes, radius)).Edge()).Wire()


def plane(z: float, rims: list[Any]) -> Any:
    """The plane at height z inside the first rim and outside the others."""
    made = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0.0, 0.0, z), gp_Dir(0.0, 0.0, 1.0)), rims[0])
    for rim in rims[1:]:
        made.Add(rim)
    fix = ShapeFix_Face(made.Face())
    fix.FixOrientation()
    return fix.Face()


# ------------------------------------------------------------- measuring, writing


def parts(shape: Any, kind: Any) -> Any:
    """Sub-shapes of a kind."""
    walk = TopExp_Explorer(shape, kind)
    while walk.More():
        yield walk.Current()
        walk.Next()


def corners(shape: Any) -> list[tuple[float, float, float]]:
    """Every vertex once [mm], to 1e-6."""
    points = (BRep_Tool.Pnt_s(TopoDS.Vertex(v)) for v in parts(shape, TopAbs_VERTEX))
    return sorted({(round(p.X(), 6), round(p.Y(), 6), round(p.Z(), 6)) for p in points})


def volume(shape: Any) -> float:
    """Volume [mm3], by the kernel's integral over the faces."""
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-7)
    return float(props.Mass())


def write_step(shape: Any, path: Path, names: dict[str, Any]) -> None:
    """A STEP file (AP214, mm) that carries our names and no time, so that equal solids are equal bytes."""
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    if writer.Transfer(shape, STEPControl_AsIs) != IFSelect_RetDone or writer.Write(str(path)) != IFSelect_RetDone:
        raise ValueError("the STEP file could not be written")
    text = path.read_text(encoding="ascii")
    product = quoted(names["product"])
    text = re.sub(
        r"PRODUCT\('(?:[^']|'')*'\s*,\s*'(?:[^']|'')*'\s*,\s*'(?:[^']|'')*'",
        lambda _: f"PRODUCT({quoted(names['number'])},{product},{quoted(names['description'])}",
        text,
        count=1,
    )
    lines = ",\n  ".join(quoted(line) for line in names["lines"])
    header = (
        f"FILE_DESCRIPTION((\n  {lines}),'2;1');\n"
        f"FILE_NAME({product},'',(''),({quoted(names['shop'])}),\n"
        f"  {quoted(names['program'])},{quoted(names['program'])},'');\n"
    )
    text = re.sub(r"FILE_DESCRIPTION.*?(?=FILE_SCHEMA)", lambda _: header, text, count=1, flags=re.DOTALL)
    path.write_text(text, encoding="ascii")


def quoted(text: str) -> str:
    """A string of ISO 10303-21: apostrophes and backslashes doubled, what is not ASCII as \\X2\\ codes."""
    out = ""
    for c in text:
        if c in "'\\":
            out += c * 2
        elif " " <= c <= "~":
            out += c
        else:
            out += f"\\X2\\{c.encode('utf-16-be').hex().upper()}\\X0\\"
    return f"'{out}'"


def read_step(path: Path) -> Any:
    """The shape of a STEP file."""
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise ValueError("the STEP file could not be read back")
    reader.TransferRoots()
    return reader.OneShape()


def write_stl(shape: Any, path: Path, name: str, chord: float) -> None:
    """A binary STL file [mm]: triangles within `chord` of the faces, 80 bytes of name."""
    BRepMesh_IncrementalMesh(shape, chord, False, 0.35, False)
    out = bytearray()
    count = 0
    for face in parts(shape, TopAbs_FACE):
        place = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(TopoDS.Face(face), place)
        if mesh is None:
            raise ValueError("a face has no triangles")
        move = place.Transformation()
        nodes = []
        for i in range(1, mesh.NbNodes() + 1):
            p = mesh.Node(i).Transformed(move)
            nodes.append((p.X(), p.Y(), p.Z()))
        for i in range(1, mesh.NbTriangles() + 1):
            a, b, c = mesh.Triangle(i).Get()
            if face.Orientation() == TopAbs_REVERSED:
                b, c = c, b
            p, q, r = nodes[a - 1], nodes[b - 1], nodes[c - 1]
            if len({struct.pack("<3f", *x) for x in (p, q, r)}) < 3:
                continue  # on the axis of a turned face all nodes of a row are one
            out += struct.pack("<12fH", *normal(p, q, r), *p, *q, *r, 0)
            count += 1
    head = name.encode("ascii", "replace")[:80].ljust(80)
    path.write_bytes(head + struct.pack("<I", count) + out)


def normal(p: tuple[float, ...], q: tuple[float, ...], r: tuple[float, ...]) -> tuple[float, float, float]:
    """Unit normal of a triangle; zero where it has no area."""
    u, v = [q[i] - p[i] for i in range(3)], [r[i] - p[i] for i in range(3)]
    n = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    size = sum(x * x for x in n) ** 0.5
    return (n[0] / size, n[1] / size, n[2] / size) if size > 0 else (0.0, 0.0, 0.0)
