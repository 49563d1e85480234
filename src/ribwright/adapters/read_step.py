"""A STEP file, AP203, AP214 or AP242, read by the solid kernel in a process of its own; what cannot be read is refused with its reason.

The kernel turns the file's own unit into millimetres. A file that makes it fall, or keeps it longer than LIMIT_S, is refused and nothing
of ours falls with it.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from ribwright.adapters.kernel_process import READING
from ribwright.adapters.kernel_there import COMPLAINTS, kernel_installed, last_line, missing
from ribwright.errors import Fault, InputError
from ribwright.features.solid_faces import SolidEdge, SolidFace, SolidFile
from ribwright.units import LENGTHS

LARGEST_BYTES = 100_000_000
LIMIT_S = 120.0
MOST_FACES, ARRAYS = 3000, "faces.npz"  # a formed part has some hundreds at most
# chords of the triangles: how far they may stray and turn before `curved_mesh` rounds them again
CHORD_MM, TURN_RAD = 0.05, 0.3
ALLOWED = "one formed part saved as STEP: AP203, AP214 or AP242"
# names the kernel gives to units of length
UNITS = {
    "millimetre": "mm",
    "millimeter": "mm",
    "inch": "in",
    "foot": "ft",
    "centimetre": "cm",
    "metre": "m",
    "meter": "m",
}


def read_step(path: Path, limit_s: float = LIMIT_S) -> SolidFile:
    """The faces and edges of a file. InputError when it is missing, no STEP, too large, or the kernel cannot read it."""
    path = Path(path)
    _check(path)
    if not kernel_installed():
        raise missing("to read .step and .stp")
    with tempfile.TemporaryDirectory(prefix="ribwright-", ignore_cleanup_errors=True) as folder:
        report, why = _asked(path, Path(folder), limit_s)
        if report is None:
            raise _refused(path, why)
        return solid_file(path, report, Path(folder) / ARRAYS)


def solid_file(path: Path, report: dict[str, Any], arrays: Path) -> SolidFile:
    """What the kernel's report and its arrays say of a file. InputError where it could not read it."""
    if report.get("error"):
        raise _refused(path, f"a file at which the solid kernel failed: {report['error'][:200]}")
    if report.get("refused"):
        raise _refused(path, str(report["refused"]))
    with np.load(arrays) as held:
        return _file(path, report, dict(held))


def _check(path: Path) -> None:
    """InputError for what is no STEP file at first sight."""
    try:
        if not path.is_file():
            raise _refused(path, "a folder" if path.is_dir() else "no such file")
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise _refused(path, f"{size / 1e6:.0f} MB", f"a file of at most {LARGEST_BYTES / 1e6:.0f} MB")
        with path.open("rb") as file:
            head = file.read(2000)
            file.seek(max(0, size - 2000))
            tail = file.read()
    except (OSError, ValueError) as error:
        raise _refused(path, getattr(error, "strerror", None) or "a file that cannot be opened") from None
    if not head.strip():
        raise _refused(path, "an empty file")
    if b"ISO-10303-21" not in head:
        raise _refused(path, "no STEP: it does not begin with ISO-10303-21")
    if b"END-ISO-10303-21" not in tail:
        raise _refused(
            path, "a file cut short: it ends without END-ISO-10303-21", "the whole file, saved or sent again"
        )


def _asked(path: Path, folder: Path, limit_s: float) -> tuple[dict[str, Any] | None, str]:
    """(the kernel's report, or None and why there is none). Its process is ended when we are cut off."""
    request = {
        "read": str(path.resolve()), "out": str(folder / ARRAYS), "chord_mm": CHORD_MM, "turn_rad": TURN_RAD,
        "most_faces": MOST_FACES, "report": str(folder / "report.json"),
    }  # fmt: skip
    asked = folder / READING
    asked.write_text(json.dumps(request), encoding="utf-8")
    with (folder / COMPLAINTS).open("wb") as complaints:
        process = subprocess.Popen(
            [sys.executable, "-m", "ribwright.adapters.kernel_process", str(asked)],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=complaints,
        )
    try:
        process.wait(limit_s)
    except subprocess.TimeoutExpired:
        return None, f"a file that the solid kernel did not read within {limit_s:g} s"
    finally:
        if process.poll() is None:
            process.kill()
        process.wait()
        if process.stdin is not None:
            process.stdin.close()
    report = folder / "report.json"
    if report.exists():
        return json.loads(report.read_text(encoding="utf-8")), ""
    last = last_line(folder / COMPLAINTS)
    return None, f"a file at which the solid kernel fell (status {process.returncode}){f': {last}' if last else ''}"


def _file(path: Path, report: dict[str, Any], a: dict[str, Any]) -> SolidFile:
    p_at, t_at, b_at, q_at = a["p_at"], a["t_at"], a["b_at"], a["q_at"]
    faces = tuple(
        SolidFace(
            k,
            f["kind"],
            f["area"],
            a["p"][p_at[k] : p_at[k + 1]],
            a["n"][p_at[k] : p_at[k + 1]],
            a["t"][t_at[k] : t_at[k + 1]],
            a["b"][b_at[k] : b_at[k + 1]],
        )
        for k, f in enumerate(report["faces"])
    )
    edges = tuple(
        SolidEdge(
            k,
            tuple(e["faces"]),
            (e["ends"][0], e["ends"][1]),
            e["kind"],
            a["q"][q_at[k] : q_at[k + 1]],
            a["v"][q_at[k] : q_at[k + 1]],
        )
        for k, e in enumerate(report["edges"])
    )
    names = report["unit"].lower().split(",")
    unit = ",".join(UNITS.get(n.strip(), n.strip()) for n in names if n.strip())
    if len([u for u in unit.split(",") if u in LENGTHS]) > 1:
        raise _refused(path, f"lengths in several units: {unit}", "a file in one unit")
    bodies = report["solids"] or report["shells"]
    return SolidFile(str(path), report["schema"], unit, report["closed"], bodies, report["volume_mm3"], faces, edges)


def _refused(path: Path, found: str, allowed: str = ALLOWED) -> InputError:
    return InputError([Fault(str(path), "the file", found, allowed)])
