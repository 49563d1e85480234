"""Blank and block as files: cut lines, drawing, solid."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from ribwright.documents.drawings import blank_drawing, block_drawing
from ribwright.documents.solid_model import MadeSolid, SolidModel, solid_answer, solid_models
from ribwright.ports import Keeper, Making, Solids, Writers
from ribwright.stages import answers
from ribwright.work.asking import Answer, choice

SOLIDS = (".step", ".stl")
UNFINISHED = 3


def write_blank(answer: Answer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The blank's cut lines as .dxf or .svg."""
    drawing = blank_drawing(answer.plan, answer.identity)
    keeper.keep({out: _drawn(drawing, out, writers)})


def write_block(answer: Answer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The block as .dxf (web face and foot) or .pdf (drawing with sections)."""
    # the sheets are many files: only what prints them loads them
    from ribwright.documents.sheets import block_sheet

    if out.suffix.lower() == ".pdf":
        keeper.keep({out: writers.pdf(block_sheet(answer.plan, answer.identity))})
        return
    keeper.keep(
        {out: _drawn(block_drawing(answer.plan, answer.identity), out, writers, (".dxf", ".svg", ".pdf", *SOLIDS))}
    )


def write_solid(answer: Answer, out: Path, solids: Solids, keeper: Keeper) -> Answer:
    """The block as .step or .stl, each loose ring as a file of its own beside it; the answer gains `solid`.

    A refused solid writes nothing: the answer says why and its status is 3.
    """
    made = made_solids(solid_models(answer.plan, answer.identity, out.stem), out, solids)
    refused = any(m.refused for m in made.values())
    if not refused:
        keeper.keep({path: m.content for path, m in made.items() if m.content is not None})
    whole = answer.json | answers.tidy({"solid": solid_answer(by_name(made))})
    return replace(answer, json=whole, status=UNFINISHED if refused else answer.status)


def made_solids(
    models: dict[str, SolidModel], out: Path, solids: Solids, first: Making | None = None
) -> dict[Path, MadeSolid]:
    """Each model made for its file beside `out`, one after the other: the kernel is large. `first`: already on its way."""
    made: dict[Path, MadeSolid] = {}
    for stem, model in models.items():
        making, first = first or solids.start(model, out.suffix.lower()[1:]), None
        try:
            made[out.with_name(stem + out.suffix)] = making.finish()
        finally:
            making.cancel()
    return made


def by_name(made: dict[Path, MadeSolid]) -> dict[str, MadeSolid]:
    return {path.name: m for path, m in made.items()}


def _drawn(drawing: Any, out: Path, writers: Writers, allowed: tuple[str, ...] = (".dxf", ".svg")) -> bytes:
    if out.suffix.lower() == ".dxf":
        return writers.dxf(drawing)
    if out.suffix.lower() == ".svg":
        return writers.svg(drawing)
    raise choice("--out", out.name, allowed)
