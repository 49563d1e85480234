"""A body of the block with the names its files carry: what a maker of solids gets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ribwright.documents.identity import Identity
from ribwright.stages.plan import Plan
from ribwright.stages.solid import Body, block_body, ring_bodies

STL_NAME = 80


@dataclass(frozen=True, eq=False)
class SolidModel:
    """`product` stands at the top of a part tree; `lines` say what the solid is, how it lies and what speaks against it;
    `stl` is the product in the 80 characters an STL file has."""

    body: Body
    number: str
    product: str
    lines: tuple[str, ...]
    shop: str
    program: str
    stl: str


@dataclass(frozen=True)
class MadeSolid:
    """What a kernel made of a model. `content` None: refused, and `refused` says why; `passing`: for a reason that lies in the moment
    (too slow, the kernel fell), so that asked once more it may be made. Volumes mm3."""

    content: bytes | None
    volume: float
    kernel_volume: float | None = None
    valid: bool = False
    faces: int = 0
    levels: int = 0
    refused: str = ""
    peak_mb: float | None = None
    passing: bool = False


def solid_models(plan: Plan, identity: Identity, stem: str) -> dict[str, SolidModel]:
    """The bodies of a job by the names of their files, without the ending: the block first, then each loose ring. A ring
    has a file of its own: it is cut from other stock in another set-up, and an STL file holds one closed surface."""
    rings = {f"{stem}-ring-{file_word(hole)}": model for hole, model in ring_models(plan, identity)}
    return {stem: block_model(plan, identity), **rings}


def file_word(name: str) -> str:
    """A name as part of a file's name: letters, digits, dots, dashes."""
    return "".join(c if c.isalnum() or c in ".-_" else "-" for c in name)


def solid_answer(made: dict[str, MadeSolid]) -> dict[str, Any]:
    """The answer's `solid` from what was made for each file: the block's keys, and the rings with their files."""
    block, *rings = made.items()
    refused = next((f"{file}: {m.refused}" for file, m in made.items() if m.refused), "")
    return {
        **_answer(block[1]),
        "refused": refused or None,
        "rings": [{"file": file, **_answer(m)} for file, m in rings],
    }


def _answer(made: MadeSolid) -> dict[str, Any]:
    return {
        "volume_mm3": made.volume,
        "kernel_volume_mm3": made.kernel_volume,
        "valid": made.valid,
        "faces": made.faces,
        "levels": made.levels,
        "bytes": len(made.content) if made.content is not None else 0,
        "refused": made.refused or None,
    }


def block_model(plan: Plan, identity: Identity) -> SolidModel:
    """The form block."""
    body = block_body(plan.job, plan.block)
    where = (
        "x is MINUS x of the part (mirror image of the drawing's view: the flanges turn up in it), y of the part"
        if body.mirrored
        else "x and y of the part"
    )
    lies = f"Stands as on the press table: {where}, z up, web face at z = 0, foot at z = {-body.height:g} mm."
    return _model(body, identity, lies)


def ring_models(plan: Plan, identity: Identity) -> tuple[tuple[str, SolidModel], ...]:
    """(hole, model) of each loose upper ring."""
    lies = "Lies working face up: axis of the hole at x = y = 0, working face at z = 0; turn it over onto the sheet."
    return tuple((name, _model(body, identity, lies)) for name, body in ring_bodies(plan.block))


def _model(body: Body, identity: Identity, lies: str) -> SolidModel:
    stop = f"STOP: {identity.stops[0]}" if identity.stops else ""
    what = f"{body.name} for {identity.line}"
    state = "" if identity.released else "NOT RELEASED"
    product = " - ".join(words for words in (stop, what, state) if words)
    lines = tuple(line for line in (what, stop, state, lies, "Rounded edges are polylines of the levels.") if line)
    short = f"{'STOP ' if stop else ''}{identity.line} {body.name} mm"
    return SolidModel(
        body, identity.number, product, lines, identity.shop, f"ribwright {identity.version}", short[:STL_NAME]
    )
