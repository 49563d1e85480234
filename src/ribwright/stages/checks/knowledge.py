"""What is not known, and which defaults stood in for it."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked


def findings(looked: Looked) -> Iterator[Finding]:
    """Unknown temper, estimated flow curve, defaults used, tolerances nobody typed."""
    job = looked.job
    if job.formed is None or job.formed.hardening is None or job.formed.springback_modulus() is None:
        yield Finding(
            "temper-unknown",
            "stop",
            f"I do not know for this temper: no flow curve for {job.formed_name!r}, so springback and pressure are open.",
            'Add [material."..."] to shop.toml from a tensile test, or form in a temper of the catalogue.',
            {"key": "sheet.formed_in"},
        )
    elif job.formed.hardening.status == "estimated":
        h = job.formed.hardening
        yield Finding(
            "flow-curve-estimated",
            "note",
            f"The flow curve of {job.formed.name} is estimated by {h.rule}, not measured on this lot.",
            "A tensile test of the lot, entered in shop.toml, narrows pressure and springback.",
            {"material": job.formed.name},
            source=h.source,
        )
    if job.formed is not None and not any(k in job.formed.facts for k in ("r_value", "r0")):
        yield Finding(
            "r-value-unknown",
            "note",
            f"No R-value is known for {job.formed.name}: the flat of curved flanges takes R = 1.",
            "Enter r_value in shop.toml when it is measured.",
            {"material": job.formed.name},
        )
    if job.catalogue.gauges_mm and not any(abs(job.t - mm) < 0.01 * mm for mm, _ in job.catalogue.gauges_mm):
        near = min(job.catalogue.gauges_mm, key=lambda g: abs(g[0] - job.t))
        yield Finding(
            "sheet-not-standard",
            "note",
            f"{looked.length(job.t)} is not a standard sheet; the nearest is {near[1]}.",
            "Check the thickness against the drawing and the rack.",
            {"key": "sheet.thickness"},
            job.t,
            near[0],
            unit="mm",
        )
    final = job.part.sheet.final
    if job.formed is not None and job.formed.temper == "O" and final in ("T3", "T4", "T6", "T351"):
        yield Finding(
            "final-temper-not-reached",
            "warn",
            f"Formed annealed, the sheet does not become {final}: heat treated by the user it is T42 or T62, weaker than the "
            "mill's temper.",
            "Check the drawing's final temper with whoever owns the data.",
            {"key": "sheet.final"},
            source="common practice; temper designations of the Aluminum Association, from memory",
        )
    if job.radius_table_by == "default":
        yield _default("minimum_radius", job.radius_table.name)
    if not job.part.tolerance:
        yield Finding(
            "tolerance-missing",
            "note",
            "The part file has no [tolerance]: the inspection sheet can list what to measure but cannot judge it.",
            "Copy the drawing's tolerance block into [tolerance].",
            {"key": "tolerance"},
        )


def _default(key: str, name: str) -> Finding:
    return Finding(
        "default-rule",
        "note",
        f"shop.toml names no {key}: {name!r} of the catalogue was used.",
        f"Name the shop's own choice under [rules] {key}.",
        {"key": f"rules.{key}"},
    )
