"""A flange pressed over a block as a plane-strain or axisymmetric continuum: the independent check of the strip.

The sheet is quadratic elements with isotropic Swift hardening; the block is a fixed mesh with an edge radius and a
wall; the pad is a uniform pressure that follows the outer face. The program `ccx` (CalculiX, GPL-2) is run as a
separate program; nothing of it is part of this project. Lengths in mm, stresses in MPa, angles in degrees.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import tempfile
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from reference.continuum_case import Case
from reference.continuum_deck import deck, sheet_mesh
from reference.continuum_read import displacements, moments, shape, stresses

CCX = shutil.which("ccx")
MISSING = "the program ccx (CalculiX, Debian package calculix-ccx) is not installed: this check runs it as a reference"


def run_deck(text: str, folder: Path, timeout: float = 900) -> float:
    """Runs ccx in the folder; seconds it took. Raises RuntimeError with the end of its log where it stopped early."""
    (folder / "job.inp").write_text(text)
    begun = time.monotonic()
    with (folder / "job.log").open("w") as log:
        subprocess.run(
            [CCX or "ccx", "job"],
            cwd=folder,
            stdout=log,
            stderr=subprocess.STDOUT,
            timeout=timeout,
            check=False,
            env={**os.environ, "OMP_NUM_THREADS": os.environ.get("OMP_NUM_THREADS", "1")},
        )
    said = (folder / "job.log").read_text()
    if "Job finished" not in said[-2000:]:
        raise RuntimeError("ccx stopped: " + said[-600:])
    return time.monotonic() - begun


def solve(case: Case, keep: Path | None = None, timeout: float = 900) -> dict[str, Any]:
    """The case's answer: history of loading and the three states loaded, released on the block, block away."""
    with tempfile.TemporaryDirectory() as temp:
        folder = keep or Path(temp)
        return read(case, folder, run_deck(deck(case), folder, timeout))


def read(case: Case, folder: Path, seconds: float) -> dict[str, Any]:
    """The answer of a finished run; springback is the angle loaded less the angle released."""
    sheet = sheet_mesh(case)
    tables = stresses(folder / "job.dat")
    history: list[dict[str, Any]] = []
    states: dict[str, dict[str, Any]] = {}
    for when, moved in displacements(folder / "job.frd"):
        nodes = sheet.nodes + case.sign * moved[: len(sheet.nodes)]
        state = shape(case, nodes, sheet.nodes, sheet.grid)
        if when <= 1 + 1e-9:
            short = {k: v for k, v in state.items() if not isinstance(v, list)}
            history.append({"pressure_mpa": float(np.interp(when, *case.pressures())), **short})
        for k, name in enumerate(("loaded", "released", "block_away")):
            if abs(when - k - 1) < 1e-9:
                found = moments(tables[k], nodes, sheet.grid, case.layers)
                at = np.interp([f[0] for f in found], np.arange(len(sheet.grid[::2])), case.stations[::2])
                state["moment_station_mm"] = at.tolist()
                state["moment_n"], state["force_n_mm"], state["hoop_n_mm"] = ([f[k] for f in found] for k in (1, 2, 3))
                states[name] = state
    loaded, released, away = (states[k]["angle_deg"] for k in ("loaded", "released", "block_away"))
    return {
        "case": json.loads(json.dumps(case, default=lambda o: o.__dict__)),
        "seconds": seconds,
        "springback_deg": loaded - released,
        "springback_block_away_deg": loaded - away,
        "closing_mpa": closing(history, 89.5 + case.undercut),
        "history": history,
        **states,
    }


def closing(history: list[dict[str, Any]], angle: float) -> float | None:
    """The pressure at which the flange first stands at the angle; None where it never does."""
    for before, after in pairwise(history):
        if after["angle_deg"] >= angle:
            part = (angle - before["angle_deg"]) / (after["angle_deg"] - before["angle_deg"])
            return float(before["pressure_mpa"] + part * (after["pressure_mpa"] - before["pressure_mpa"]))
    return None
