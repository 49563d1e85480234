"""Plan rubber-pad formed airframe sheet parts: the commands of the shell as functions.

    import ribwright
    answer = ribwright.blank("rib.part.toml")["blank"]

Each function takes the part file and the command's options as keywords and returns the same answer as `--json`.
Wrong input raises `ribwright.InputError` with every fault.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ribwright.errors import FactError, Fault, InputError, NotConverged, RibwrightError
from ribwright.version import __version__

if TYPE_CHECKING:
    from ribwright.work import Answer

__all__ = [
    "FactError",
    "Fault",
    "InputError",
    "NotConverged",
    "RibwrightError",
    "__version__",
    "blank",
    "block",
    "check",
    "explain",
    "packet",
    "setup",
    "template",
    "why",
]


def check(part: str | Path, *, shop: str | Path | None = None, press: str = "") -> dict[str, Any]:
    """Every finding of the part at its place."""
    return _ask("check", part, shop, press=press).json


def blank(
    part: str | Path, *, shop: str | Path | None = None, method: str = "strain-corrected", out: str | Path | None = None
) -> dict[str, Any]:
    """The flat blank; `out` also writes its cut lines (.dxf, .svg)."""
    from ribwright import wiring, work

    answer = _ask("blank", part, shop, method=method)
    if out is not None:
        work.write_blank(answer, Path(out), wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def template(
    part: str | Path, *, out: str | Path, shop: str | Path | None = None, paper: str = "letter"
) -> dict[str, Any]:
    """The blank template at 1:1 with proof of scale, written to `out` (.pdf, .dxf)."""
    from ribwright import wiring, work

    answer = _ask("blank", part, shop)
    work.write_template(answer, Path(out), paper, wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def block(part: str | Path, *, shop: str | Path | None = None, out: str | Path | None = None) -> dict[str, Any]:
    """The form block; `out` also writes it (.dxf web face and foot, .pdf drawing)."""
    from ribwright import wiring, work

    answer = _ask("block", part, shop)
    if out is not None:
        work.write_block(answer, Path(out), wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def setup(part: str | Path, *, press: str, shop: str | Path | None = None) -> dict[str, Any]:
    """The press set-up on a press of the shop file."""
    return _ask("setup", part, shop, press=press).json


def packet(
    part: str | Path, *, out: str | Path, press: str = "", shop: str | Path | None = None, paper: str = "letter"
) -> dict[str, Any]:
    """All documents of the job, written into the folder `out`."""
    from ribwright import wiring, work

    request = work.Request(Path(part), Path(shop) if shop else None, press)
    answer, _ = work.packet(wiring.DiskFiles(), request, Path(out), paper, wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def explain(
    part: str | Path,
    number: str = "",
    *,
    shop: str | Path | None = None,
    press: str = "",
    method: str = "strain-corrected",
) -> dict[str, Any]:
    """One number opened by its path, under `explanation`; without a path every number that opens, under `numbers`."""
    from ribwright import wiring, work

    request = work.Request(Path(part), Path(shop) if shop else None, press, method)
    return work.explain(wiring.DiskFiles(), request, number).json


def why(old: str | Path, new: str | Path) -> dict[str, Any]:
    """Which numbers differ between two kept answers, and which changed input each is put down to."""
    from ribwright import wiring, work

    return work.why(wiring.DiskFiles(), Path(old), Path(new))


def _ask(
    question: str, part: str | Path, shop: str | Path | None, press: str = "", method: str = "strain-corrected"
) -> Answer:
    from ribwright import wiring, work

    request = work.Request(Path(part), Path(shop) if shop else None, press, method)
    answer: Answer = getattr(work, question)(wiring.DiskFiles(), request)
    return answer
