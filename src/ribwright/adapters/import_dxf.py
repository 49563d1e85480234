"""`ribwright import FILE.dxf`: the options that a drawing needs, and what is told when it is read."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from ribwright.adapters.command_line import Asking, guarded
from ribwright.ports import Drawings, Keeper

OPTIONS = (
    click.option(
        "--length",
        multiple=True,
        help='DXF: one length you know, which confirms the unit: "36 in = width" (height, outline), "36 in = 0,0 to 36,0" (two drawn '
        'points), "0.25 in = circle 4,2" (a diameter). May be given again.',
    ),
    click.option(
        "--role",
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


def import_command(files: Callable[[], Drawings], keeper: Callable[[], Keeper]) -> click.Command:
    """The command; `files` and `keeper` are made when it runs."""

    @click.command(
        "import",
        cls=Asking,
        epilog='Example: ribwright import RIB.dxf --length "36 in = width" --role 0=web --out RIB.part.toml',
    )
    @click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
    @dxf_options
    @click.option(
        "--out", type=click.Path(path_type=Path), help="Write a new part file NAME.part.toml; default: only look."
    )
    @click.option("--json", "as_json", is_flag=True, help="Answer as JSON on standard output.")
    @guarded
    def command(file: Path, out: Path | None, as_json: bool, **options: Any) -> int:
        """A part file from a drawing FILE.dxf: outline, cutouts and holes as they are drawn, once a known length confirms the unit
        and layers have roles. What a flat outline does not say is left to be filled in."""
        return import_dxf(files(), keeper(), file, out, as_json, options)

    return command


def import_dxf(
    files: Drawings, keeper: Keeper, file: Path, out: Path | None, as_json: bool, options: dict[str, Any]
) -> int:
    """Reads the drawing, writes the part file where there is to be one, tells both; `options` are those above. The exit status."""
    from ribwright.work import asking
    from ribwright.work.import_dxf import check_out, imported_drawing, part_number, write

    check_out(out, keeper)
    done = imported_drawing(files, file, part_number(file, out), options)
    if out is not None:
        write(done, out, keeper)
    if as_json:
        sys.stdout.buffer.write(asking.as_text(done.json).encode())
        return 0
    for line in done.lines:
        click.echo(line)
    if out is not None:
        click.echo(f"\nWrote {out}")
    return 0
