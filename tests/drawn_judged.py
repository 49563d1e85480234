"""A variant of the known rib imported, and what came of it held against what must come."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from drawn_rib import far, misses, pairs, part_of, sampled, segments
from drawn_variants import Variant
from ribwright.errors import InputError
from ribwright.wiring import DiskFiles
from ribwright.work.import_dxf import DxfOptions, imported
from ribwright.work.imported import Imported


@dataclass(frozen=True)
class Judged:
    """`wrong`: what is not as it must be, "" when all is. `miss`: how far the outline is off [mm], None of a refused drawing. `said`:
    the reason it was refused with, else the codes of the findings."""

    wrong: str
    miss: float | None
    said: str


def read(variant: Variant, folder: Path) -> Imported:
    """The variant written into a folder and imported. InputError where it is refused."""
    path = folder / "drawing.dxf"
    path.write_bytes(variant.text if isinstance(variant.text, bytes) else variant.text.encode())
    return imported(DiskFiles(), path, DxfOptions(variant.lengths, variant.roles, **variant.options))


def judged(variant: Variant, folder: Path) -> Judged:
    """What came of a variant."""
    try:
        done = read(variant, folder)
    except InputError as refusal:
        sentences = [f.sentence().replace(str(folder), "") for f in refusal.faults]
        meant = [s for s in sentences if variant.refused and all(word in s for word in variant.refused)]
        wrong = "" if meant else f"refused: {' | '.join(sentences)}"
        return Judged(wrong, None, (meant or sentences)[0])
    codes = sorted({f.code for f in done.findings})
    if variant.refused:
        return Judged("read, and was to be refused", None, ", ".join(codes))
    miss = _miss(variant, done.text)
    lacking = sorted(set(variant.says) - set(codes))
    wrong = f"off by {miss:.3g} mm" if miss > variant.within else ""
    return Judged(wrong or (f"does not say {lacking}" if lacking else ""), miss, ", ".join(codes))


def _miss(variant: Variant, text: str) -> float:
    part = part_of(text)
    if variant.other_line is None:
        return misses(part, pairs(variant.outer) if variant.outer else None)
    rows = segments(part.outer)
    known = [
        ((*a, 0.0), (*b, 0.0))
        for a, b in zip(variant.other_line, (*variant.other_line[1:], variant.other_line[0]), strict=True)
    ]
    there = far(np.array(variant.other_line), rows)
    # of a line that is only a part of the outline nothing else can be asked
    return there if variant.open_line else max(there, far(sampled(rows), known))
