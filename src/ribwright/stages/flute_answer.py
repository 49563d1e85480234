"""Flutes and what must be gathered, under their JSON keys; planned flutes as tables of the part file, ready to be pasted."""

from __future__ import annotations

from typing import Any

from ribwright.stages.flute_room import Zone
from ribwright.stages.flutes import PLAN, FlutedRun, Fluting, PlacedFlute
from ribwright.units import MM_PER_IN


def flutes_answer(fluting: Fluting) -> list[dict[str, Any]]:
    """`blank.flutes`, a row a flute, run by run along each."""
    return [_flute(run, f) for run in fluting.runs for f in run.flutes]


def gather_answer(fluting: Fluting, units: str) -> list[dict[str, Any]]:
    """`blank.gather`, a row a run of flange. `units` of the part file, for the tables to paste."""
    return [
        {
            "edges": list(run.edges),
            "flange": run.flange,
            "outcome": run.outcome,
            "least_mm": run.least,
            "aim_mm": float(run.gather.aim[-1]),
            "most_mm": run.most,
            "taken_mm": run.taken,
            "travels_mm": run.miss,
            "room_mm": run.room,
            "toml": flute_tables(run, units),
        }
        for run in fluting.runs
    ]


def nearest_rivet(run: FlutedRun, flute: PlacedFlute) -> tuple[float, Zone] | None:
    """Distance along the line from a flute's middle to the nearest rivet of its flange [mm], and that rivet."""
    rows = [(abs(z.at - flute.x), z) for z in run.zones if z.kind == "rivet"]
    return min(rows, key=lambda r: r[0]) if rows else None


def _flute(run: FlutedRun, f: PlacedFlute) -> dict[str, Any]:
    rivet = nearest_rivet(run, f)
    return {
        "edge": f.edge,
        "along_mm": f.along,
        "at_mm": list(f.point),
        "width_mm": f.width,
        "depth_mm": f.depth,
        "turn": f.turn,
        "by": f.by,
        "gather_mm": f.gather,
        "gather_vee_mm": f.vee,
        "share_mm": f.share,
        "rivet_mm": None if rivet is None else rivet[0],
    }


def flute_tables(run: FlutedRun, units: str) -> str:
    """The planned flutes of a run as [[flute]] tables in the part file's unit; "" where none are planned."""
    size = MM_PER_IN if units == "in" else 1.0
    return "\n".join(
        f'[[flute]]\nedge = "{_escaped(f.edge)}"\nat = {_plain(f.along / size)}\nwidth = {_plain(f.width / size)}\n'
        f'depth = {_plain(f.depth / size)}\nturn = "{f.turn}"\n'
        for f in run.flutes
        if f.by == PLAN
    )


def _plain(value: float) -> str:
    """A decimal number, rounded to 1e-6."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _escaped(name: str) -> str:
    return name.replace("\\", "\\\\").replace('"', '\\"')
