"""STEP and STL files of a solid, made by the solid kernel in a process of its own and taken only when they are sound.

Taken when the kernel's analyser calls the solid valid, its volume and the volume of the STEP file read back agree with
our own integral within VOLUME_SHARE, every corner of both lies on a corner of our sections, and an STL file is closed:
everything else is a refusal with its reason.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.adapters.kernel_there import COMPLAINTS, last_line
from ribwright.documents.solid_model import MadeSolid, SolidModel
from ribwright.geometry.groove_profile import GrooveProfile
from ribwright.geometry.grooved_path import seams, turns
from ribwright.geometry.mesh import enclosed, read_stl
from ribwright.stages.groove import OUTSIDE, FaceGroove, WallGroove
from ribwright.stages.solid import Body, Bore, Loft

VOLUME_SHARE = 1e-4
STL_SHARE = 1e-3  # chords of 0.02 mm on top
CORNER_MM = 1e-3
CHORD_MM = 0.02
LIMIT_S = 180.0


class Making:
    """A solid on its way. `finish` waits for it; leaving it otherwise ends the kernel's process."""

    def __init__(self, model: SolidModel, kind: str):
        self._model, self._kind = model, kind
        self._process: subprocess.Popen[bytes] | None = None
        if model.body.why_not:
            return
        self._folder = tempfile.TemporaryDirectory(prefix="ribwright-", ignore_cleanup_errors=True)
        text = json.dumps(request(model, kind, Path(self._folder.name)))
        asked = Path(self._folder.name) / "request.json"
        asked.write_text(text, encoding="utf-8")
        # the pipe says nothing; its end tells the kernel's process that this one is gone, however it went
        with (Path(self._folder.name) / COMPLAINTS).open("wb") as complaints:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "ribwright.adapters.kernel_process", str(asked)],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=complaints,
            )

    def finish(self) -> MadeSolid:
        """The made solid, or the refusal."""
        body = self._model.body
        if self._process is None:
            return MadeSolid(None, body.volume, refused="; ".join(body.why_not))
        try:
            self._process.wait(LIMIT_S)
            folder = Path(self._folder.name)
            report = folder / "report.json"
            if not report.exists():
                why = f"the solid kernel ended without an answer (status {self._process.returncode})"
                last = last_line(folder / COMPLAINTS)
                return replace(_refused(body, {}, f"{why}: {last}" if last else why), passing=True)
            file = folder / f"solid.{self._kind}"
            return judged(body, json.loads(report.read_text(encoding="utf-8")), file, self._kind)
        except subprocess.TimeoutExpired:
            refused = _refused(body, {}, f"the solid kernel did not end within {LIMIT_S:g} s")
            return replace(refused, passing=True)
        finally:
            self.cancel()

    def cancel(self) -> None:
        """End the kernel's process and remove its files."""
        if self._process is not None:
            if self._process.poll() is None:
                self._process.kill()
            self._process.wait()
            if self._process.stdin is not None:
                self._process.stdin.close()
            self._process = None
            self._folder.cleanup()


def judged(body: Body, report: dict[str, Any], file: Path, kind: str) -> MadeSolid:
    """The kernel's report held against our own volume."""
    if report.get("error"):
        return _refused(body, report, f"the solid kernel failed: {report['error']}")
    if not report["valid"]:
        return _refused(body, report, "the kernel's analyser calls the solid invalid")
    off = abs(report["volume_mm3"] / body.volume - 1)
    if off > VOLUME_SHARE:
        return _refused(body, report, f"its volume is off our own integral by {off:.1e} of it")
    found = np.array(report["corners"], float).reshape(-1, 3)
    if _farthest(found[~_in_wall_groove(body, found)], corners_of(body)) > CORNER_MM:
        return _refused(body, report, "a corner of the solid lies off our own level sections")
    if kind == "step":
        back = abs(report["read_back_volume_mm3"] / body.volume - 1)
        if not report["read_back_valid"] or back > VOLUME_SHARE:
            return _refused(body, report, "the STEP file read back is not the same valid solid")
    content = file.read_bytes()
    if kind == "stl":
        triangles = read_stl(content)
        closed, volume = enclosed(triangles)
        if not closed:
            return _refused(body, report, "the triangles do not close: an edge is not used exactly twice")
        if abs(volume / body.volume - 1) > STL_SHARE:
            return _refused(body, report, "the volume inside the triangles is off our own integral")
    return MadeSolid(
        content, body.volume, report["volume_mm3"], True, report["faces"], body.levels, "", report.get("peak_mb")
    )


def corners_of(body: Body) -> NDArray[np.float64]:
    """Where the solid may have corners (n, 3) [mm]: ends of the level curves, and the seams of what is turned."""
    rows: list[tuple[float, float, float]] = []
    lofts = [*([body.outside] if isinstance(body.outside, Loft) else []), *body.openings]
    for loft in lofts:
        rows += [(*p[0], -z) for z, level in zip(loft.depths, loft.poles, strict=True) for p in level]
    if not isinstance(body.outside, Loft):
        rows += [(body.outside, 0.0, -z) for z in (0.0, body.height)]
    for bore in body.bores:
        p = bore.profile
        meridian = (p.start, p.rim, p.wall, (p.vent, p.wall[1]), (p.vent, p.height))
        rows += [(bore.at[0] + r, bore.at[1], -z) for r, z in meridian]
    return np.concatenate([np.array(rows, float), *(g.corners for g in body.face_grooves)])


def _in_wall_groove(body: Body, found: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Corners (n,) that lie on the rim of a wall groove: where its cone cuts the wall we list none, the volume judges it."""
    out = np.zeros(len(found), bool)
    for g in body.grooves:
        if isinstance(g, WallGroove):
            for k, p in enumerate(found):
                if -p[2] >= -g.apex[2] - CORNER_MM:
                    reach = g.profile.width / 2 * (g.apex[2] - p[2]) / (g.apex[2] - g.end[2]) + CORNER_MM
                    centre = g.apex + (g.end - g.apex) * (g.apex[2] - p[2]) / (g.apex[2] - g.end[2])
                    out[k] |= abs((p - centre)[:2] @ g.along) <= reach and abs((p - centre)[:2] @ g.inward) <= reach
    return out


def _farthest(found: NDArray[np.float64], ours: NDArray[np.float64]) -> float:
    """Largest distance of a found corner from the nearest of ours [mm]."""
    return max((float(np.min(np.linalg.norm(ours - p, axis=1))) for p in found), default=0.0)


def _refused(body: Body, report: dict[str, Any], why: str) -> MadeSolid:
    return MadeSolid(
        None, body.volume, report.get("volume_mm3"), bool(report.get("valid", False)), report.get("faces", 0), body.levels,
        why, report.get("peak_mb"),
    )  # fmt: skip


def request(model: SolidModel, kind: str, folder: Path) -> dict[str, Any]:
    """The description the kernel's process reads."""
    body = model.body
    out = str(folder / f"solid.{kind}")
    return {
        "height": body.height,
        "outside": _loft(body.outside) if isinstance(body.outside, Loft) else {"radius": body.outside},
        "openings": [_loft(loft) for loft in body.openings],
        "bores": [_bore(b) for b in body.bores],
        "face_grooves": [_face_groove(g) for g in body.face_grooves],
        "wall_grooves": [_wall_groove(g) for g in body.grooves if isinstance(g, WallGroove)],
        "names": {
            "number": model.number,
            "product": model.product,
            "description": model.lines[0],
            "lines": list(model.lines),
            "shop": model.shop,
            "program": model.program,
            "stl": model.stl,
        },
        "step": out if kind == "step" else None,
        "stl": out if kind == "stl" else None,
        "chord_mm": CHORD_MM,
        "report": str(folder / "report.json"),
    }


def _loft(loft: Loft) -> dict[str, Any]:
    levels = [
        {"depth": z, "poles": [p.tolist() for p in level]} for z, level in zip(loft.depths, loft.poles, strict=True)
    ]
    return {"knots": [None if k is None else k.tolist() for k in loft.knots], "levels": levels}


def _bore(bore: Bore) -> dict[str, Any]:
    p = bore.profile
    rim = [list(p.middle), list(p.rim)] if p.turned > 0 else None
    return {"at": list(bore.at), "start": list(p.start), "rim": rim, "wall": list(p.wall), "vent": p.vent}


def _face_groove(groove: FaceGroove) -> dict[str, Any]:
    """The half section as pieces (rational poles and weights) placed at every seam, and how far the section is turned about each
    path point between two of them."""
    profile, path = groove.profile, groove.path
    pieces = _pieces(profile)
    runs, caps = [], []
    four = seams(path)
    for k, (a, b, c, d) in enumerate(four):
        for start, end in ((a, c), (b, d)):
            runs.append([[s.placed(path[s.at], poles).tolist() for poles, _ in pieces] for s in (start, end)])
        if k == 0:
            caps.append((a, b.at, np.pi))
        if k == len(four) - 1:
            caps.append((d, d.at, np.pi))
    for k, turn in enumerate(turns(path)):
        # on the outer side the section is turned about the point, from the piece before to the one after
        if abs(turn) > 1e-9:
            outer = four[k][3] if turn > 0 else four[k + 1][0]
            caps.append((outer, k + 1, abs(float(turn))))
    return {
        "weights": [w.tolist() for _, w in pieces],
        "runs": runs,
        "caps": [
            {"at": path[at].tolist(), "poles": [s.placed(path[at], p).tolist() for p, _ in pieces], "turn": turn}
            for s, at, turn in caps
        ],
    }


def _pieces(profile: GrooveProfile) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Poles (n, 2) in (x, f) and weights (n,) of the half section from its bottom to the rim: arcs as rational quadratics."""
    knots, turn, out = profile.knots, profile.turn, []
    corner = {
        0: np.array([profile.bottom * np.tan(turn / 2), profile.depth]),
        2: np.array([profile.width / 2 - profile.edge * np.tan(turn / 2), 0.0]),
    }
    for i in range(3):
        if np.linalg.norm(knots[i + 1] - knots[i]) > 1e-6:
            middle = [corner[i]] if i in corner else []
            weights = np.array([1.0, np.cos(turn / 2), 1.0] if middle else [1.0, 1.0])
            out.append((np.array([knots[i], *middle, knots[i + 1]]), weights))
    return out


def _wall_groove(groove: WallGroove) -> dict[str, Any]:
    """Apex and the section at the foot: its curve as in `_pieces`, both sides, and the two corners outside the wall."""
    deep = groove.profile

    def placed(flat: NDArray[np.float64], side: int) -> list[list[float]]:
        level = groove.end[:2] + side * flat[:, :1] * groove.along + flat[:, 1:] * groove.inward
        return np.column_stack([level, np.full(len(level), groove.end[2])]).tolist()

    pieces = _pieces(deep)
    out = np.array([[deep.width / 2, -OUTSIDE * deep.depth]])
    return {
        "apex": groove.apex.tolist(),
        "weights": [w.tolist() for _, w in pieces],
        "sides": [[placed(p, side) for p, _ in pieces] for side in (-1, 1)],
        "outside": [placed(out, -1)[0], placed(out, 1)[0]],
    }
