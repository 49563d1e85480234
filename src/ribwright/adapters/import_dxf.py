"""`ribwright import FILE.dxf`: the options that a drawing needs, and what is told when it is read."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from ribwright.ports import Files, Keeper

OPTIONS = (
    click.option(
        "--length",
        "lengths",
        multiple=True,
        help='DXF: one length you know, which confirms the unit: "36 in = width" (height, outline), "36 in = 0,0 to 36,0" (two drawn '
        'points), "0.25 in = circle 4,2" (a diameter). May be given again.',
    ),
    click.option(
        "--role",
        "roles",
        multiple=True,
        help='DXF: what a layer draws: LAYER=web, "LAYER=flange NAME", "LAYER=tangent NAME", hole, tooling, lightening, ignore. '
        "May be given again.",
    ),
    click.option(
        "--join", default="0.01 mm", show_default=True, help="DXF: how far apart two ends may lie to be joined."
    ),
    click.option(
        "--fit",
        default="0.005 mm",
        show_default=True,
        help="DXF: how far a spline through points may lie from its curve.",
    ),
    click.option(
        "--line",
        default="",
        help="DXF: what the edges of role flange are drawn at: outside-mold-line or inside-mold-line.",
    ),
    click.option("--curves", is_flag=True, help="DXF: take runs of short lines as the curves that they are chords of."),
    click.option("--as-drawn", "as_drawn", is_flag=True, help="DXF: take arcs that look drawn inside out as they are."),
)


def dxf_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The command with these options."""
    for option in reversed(OPTIONS):
        command = option(command)
    return command


def import_dxf(files: Files, keeper: Keeper, file: Path, out: Path, as_json: bool, typed: dict[str, Any]) -> int:
    """Reads the drawing, writes the part file, tells both; `typed` are the options above. The exit status."""
    from ribwright.documents.import_screen import import_lines
    from ribwright.work import asking
    from ribwright.work.import_dxf import DxfOptions, check_out, imported, write

    check_out(out, keeper)
    done = imported(files, file, DxfOptions(**typed))
    write(done, out, keeper)
    if as_json:
        sys.stdout.buffer.write(asking.as_text(done.json).encode())
        return 0
    for line in import_lines(done.json, done.missing):
        click.echo(line)
    click.echo(f"\nWrote {out}")
    return 0
