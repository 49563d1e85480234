"""Bend radius against the minimum of the shop's named table, for the temper it is formed in."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.shop.least_radius import radii_of
from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.job import Job


def findings(looked: Looked) -> Iterator[Finding]:
    """One finding a flange or hole whose radius is below the table, or for which no table has an entry."""
    job, row = looked.job, looked.job.bend_row
    table = job.radius_table_of(row)
    known = radii_of(table, row, job.t)
    source = f"{table.title}: {table.source} ({table.row_status.get(row, table.status)})"
    for where, radius in _radii(looked):
        what = " ".join(f"{k} {v}" for k, v in where.items())
        if known is None:
            yield Finding(
                "bend-radius-unknown",
                "warn",
                f"{_named(job)} no entry for {row} at {looked.length(job.t)}: the bend radius of {what} is not judged.",
                "Bend a strip of the lot over the drawing's radius, or name another table in shop.toml.",
                where,
                radius,
                unit="mm",
                source=source,
            )
            continue
        meet, least = known
        if radius < least * (1 - 1e-6):
            yield Finding(
                "bend-radius",
                "stop",
                f"Bend radius {looked.length(radius)} of {what} is under the minimum {looked.length(least)} "
                f"for {row} {looked.length(job.t)} (table {table.name!r}): it will crack.",
                "Form in a softer temper, ask for a larger radius, or name the table your data allows.",
                where,
                radius,
                least,
                margin(radius, least, least=True),
                "mm",
                source,
            )
        elif radius < meet * (1 - 1e-6):
            yield Finding(
                "bend-radius-in-range",
                "warn",
                f"Bend radius {looked.length(radius)} of {what} lies in the table's range {looked.length(least)} to "
                f"{looked.length(meet)} for {row} {looked.length(job.t)}: some lots crack.",
                "Bend a strip of the lot first, or name in shop.toml the table your data goes by.",
                where,
                radius,
                meet,
                margin(radius, meet, least=True),
                "mm",
                source,
            )


def _radii(looked: Looked) -> list[tuple[dict[str, object], float]]:
    part = looked.job.part
    used = sorted({e.flange for loop in part.loops for e in loop.edges if e.flange})
    rows: list[tuple[dict[str, object], float]] = [({"flange": n}, part.flanges[n].bend_radius) for n in used]
    return rows + [({"hole": h.name}, h.bend_radius) for h in part.holes if h.kind == "lightening"]


def _named(job: Job) -> str:
    """'Table 'A' has', 'Tables 'A', 'B' have'."""
    names = [repr(t.name) for t in (job.radius_table, *job.then_radius_tables)]
    return f"Table {names[0]} has" if len(names) == 1 else f"Tables {', '.join(names)} have"
