"""Bend radius against the minimum of the shop's named table, for the temper it is formed in."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.shop.sheet import RadiusTable
from ribwright.stages.checks.context import Finding, Looked, margin


def least_radius(table: RadiusTable, row: str, thickness: float) -> float | None:
    """Minimum inside radius [mm]: the first entry at least as thick as the sheet; None when the table has none."""
    for t, radius in table.rows.get(row, ()):
        if thickness <= t * (1 + 1e-6):
            return radius * thickness if table.multiples else radius
    return None


def findings(looked: Looked) -> Iterator[Finding]:
    """One finding a flange or hole whose radius is below the table, or for which the table has no entry."""
    job, table = looked.job, looked.job.radius_table
    row = job.formed.bend_row if job.formed else job.formed_name
    least = least_radius(table, row, job.t)
    source = f"{table.title}: {table.source} ({table.row_status.get(row, table.status)})"
    for where, radius in _radii(looked):
        if least is None:
            yield Finding(
                "bend-radius-unknown",
                "warn",
                f"Table {table.name!r} has no entry for {row} at {looked.length(job.t)}: the bend radius is not judged.",
                "Bend a strip of the lot over the drawing's radius, or name another table in shop.toml.",
                where,
                radius,
                unit="mm",
                source=source,
            )
        elif radius < least * (1 - 1e-6):
            yield Finding(
                "bend-radius",
                "stop",
                f"Bend radius {looked.length(radius)} is under the minimum {looked.length(least)} "
                f"for {row} {looked.length(job.t)}: it will crack.",
                "Form in a softer temper, ask for a larger radius, or name the table your data allows.",
                where,
                radius,
                least,
                margin(radius, least, least=True),
                "mm",
                source,
            )


def _radii(looked: Looked) -> list[tuple[dict[str, object], float]]:
    part = looked.job.part
    used = sorted({e.flange for loop in part.loops for e in loop.edges if e.flange})
    rows: list[tuple[dict[str, object], float]] = [({"flange": n}, part.flanges[n].bend_radius) for n in used]
    return rows + [({"hole": h.name}, h.bend_radius) for h in part.holes if h.kind == "lightening"]
