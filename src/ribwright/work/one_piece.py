"""Several files of measurements of one piece taken as one: a scan, and beside it what only gauges read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ribwright.errors import Fault, InputError
from ribwright.features.inspected import Measured, Said
from ribwright.stages.found import FoundSet

ALIKE = ("serial", "lot", "what", "state", "block", "press", "packet")


def one_piece(taken: Sequence[Measured]) -> Said:
    """The head of all files together: what one says holds for all, people and gauges are added, the day is the last one and "" where a
    file says none. InputError where two files say different pieces."""
    faults, merged = [], taken[0].said
    for key in ALIKE:
        said = [(m.file, getattr(m.said, key)) for m in taken if getattr(m.said, key)]
        first = next(iter(said), None)
        for file, value in said[1:]:
            if first is not None and value != first[1]:
                faults.append(Fault(file, key, value, f"{first[1]}, as {first[0]} says: all files are of one piece"))
        if first is not None:
            merged = replace(merged, **{key: first[1]})
    if len(taken) > 1 and not all(m.said.serial for m in taken):
        bare = next(m.file for m in taken if not m.said.serial)
        faults.append(Fault(bare, "serial", "nothing", "the piece's serial in every file, where several are given"))
    if faults:
        raise InputError(faults)
    days = [m.said.date for m in taken]
    return replace(
        merged,
        gauges=tuple(dict.fromkeys(g for m in taken for g in m.said.gauges)),
        by=", ".join(dict.fromkeys(m.said.by for m in taken if m.said.by)),
        date=max(days) if all(days) else "",
        undercut_deg=next((m.said.undercut_deg for m in taken if m.said.undercut_deg is not None), None),
        pressure_mpa=next((m.said.pressure_mpa for m in taken if m.said.pressure_mpa is not None), None),
    )


def together(found: Sequence[FoundSet]) -> FoundSet:
    """All that the files gave. The fit is that of the first that was fitted, its drifts those of all."""
    fitted = next((f.fit for f in found if f.fit.by != "none"), found[0].fit)
    return FoundSet(
        tuple(x for f in found for x in f.found),
        replace(fitted, drifts=tuple(d for f in found for d in f.fit.drifts)),
        tuple(p for f in found for p in f.profiles),
        tuple(x for f in found for x in f.findings),
        tuple(n for f in found for n in f.notes),
    )
