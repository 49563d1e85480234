"""STEP and STL files of a solid, made by the solid kernel in a process of its own and taken only when they are sound.

Taken when the kernel's analyser calls the solid valid, its volume and the volume of the STEP file read back agree with
our own integral within VOLUME_SHARE, every corner of both lies on a corner of our sections, and an STL file is closed:
everything else is a refusal with its reason.
"""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.solid_model import MadeSolid, SolidModel
from ribwright.errors import Fault, InputError
from ribwright.geometry.mesh import enclosed, read_stl
from ribwright.stages.solid import Body, Bore, Loft

VOLUME_SHARE = 1e-4
STL_SHARE = 1e-3  # chords of 0.02 mm on top
CORNER_MM = 1e-3
CHORD_MM = 0.02
LIMIT_S = 180.0
COMPLAINTS = "complaints.txt"  # what the kernel's process says on standard error


def kernel_installed() -> bool:
    """Whether the extra is there; nothing is loaded."""
    return importlib.util.find_spec("OCP") is not None


def missing(what: str = "for .step and .stl") -> InputError:
    """What to do when it is not; `what` it is wanted for."""
    allowed = f"pip install 'ribwright[step]' {what}"
    return InputError([Fault("this installation", "solid kernel", "not installed", allowed)])


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


def last_line(file: Path) -> str:
    """The last thing the kernel's process said before it fell, at most 200 characters of it."""
    lines = file.read_text(encoding="utf-8", errors="replace").split("\n")
    return next(("".join(c for c in x.strip() if c.isprintable())[:200] for x in reversed(lines) if x.strip()), "")


def judged(body: Body, report: dict[str, Any], file: Path, kind: str) -> MadeSolid:
    """The kernel's report held against our own volume."""
    if report.get("error"):
        return _refused(body, report, f"the solid kernel failed: {report['error']}")
    if not report["valid"]:
        return _refused(body, report, "the kernel's analyser calls the solid invalid")
    off = abs(report["volume_mm3"] / body.volume - 1)
    if off > VOLUME_SHARE:
        return _refused(body, report, f"its volume is off our own integral by {off:.1e} of it")
    if _farthest(np.array(report["corners"], float).reshape(-1, 3), corners_of(body)) > CORNER_MM:
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
    return np.array(rows, float)


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
