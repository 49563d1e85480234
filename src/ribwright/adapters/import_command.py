"""`ribwright import`: its options, for every kind of file that it reads, and what it does with them."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from ribwright.adapters.command_line import Asking, guarded
from ribwright.adapters.import_dxf import DRAWING_OPTIONS
from ribwright.adapters.import_solid import PATIENCE, SOLID_OPTIONS, SOLIDS

EPILOG = (
    'Example: ribwright import examples/ordinates/Q7-2102.csv --length "50 in=chord" --from 5 --to 36 '
    "--out Q7-2102-1.part.toml"
)
OPTIONS = (
    click.argument("file", type=click.Path(path_type=Path), metavar="FILE"),
    click.option(
        "--out",
        type=click.Path(path_type=Path),
        help="Write NAME.part.toml and the tables beside it; default: only look.",
    ),
    click.option(
        "--length",
        multiple=True,
        help='A length that you know. Table: "50 in=chord", "7.9 in=height", "3.937 in=upper at 15 in"; drawing: "36 in = width" (height, '
        'outline), "36 in = 0,0 to 36,0" (two drawn points), "0.25 in = circle 4,2" (a diameter); a solid: the same. Several.',
    ),
    click.option(
        "--take",
        multiple=True,
        help="Change a suspect ordinate: its number, for the value that would fit, or NUMBER=VALUE. Several.",
    ),
    click.option(
        "--curve",
        default="",
        help="typed, faired, or arcs (tangent lines and arcs). Default: typed, with --skin faired.",
    ),
    click.option("--within", default="", help="How far the faired curve may pass an ordinate by; default 0.05 mm."),
    click.option("--deviation", default="", help="How far lines and arcs may leave the faired curve; default 0.05 mm."),
    click.option(
        "--skin", default="", help="Thickness of the skin that the table's surface includes: it is taken off, inward."
    ),
    click.option(
        "--from", "first", default="", help="Station at which the part begins; default: where the table does."
    ),
    click.option("--to", "last", default="", help="Station at which the part ends; default: where the table does."),
    click.option("--json", "as_json", is_flag=True, help="Answer as JSON on standard output."),
)


def import_command(files: Callable[[], Any], keeper: Callable[[], Any]) -> click.Command:
    """The command; `files` and `keeper` make what it reads and writes with."""

    @guarded
    def run(file: Path, out: Path | None, as_json: bool, **options: Any) -> int:
        from ribwright.documents.import_screen import import_lines
        from ribwright.work import asking, importing

        importing.check_target(out, keeper())
        if file.suffix.lower() in SOLIDS and sys.stderr.isatty():
            click.echo(PATIENCE, err=True)
        made = importing.imported(files(), file, out, options)
        written = importing.write_import(made, out, keeper()) if out is not None else ()
        if as_json:
            sys.stdout.buffer.write(asking.as_text(made.json).encode())
        else:
            click.echo("\n".join(import_lines(made.lines, made.json["findings"], written)))
        return 0

    what = (
        "A part file from the drawing's table of ordinates (.csv, .tsv, .txt), from its lines (.dxf: outline, cutouts and holes, once a "
        "known length confirms the unit and layers have roles), or from a solid or surface of the formed part (.step, .stp: flanges, "
        "holes and reliefs are recognised, and the part made from them is held against the solid). Ordinates that the curve through the "
        "others does not pass are told and kept as typed; what the file does not say is left to be filled in, and named."
    )
    for option in reversed((*OPTIONS[:-1], *DRAWING_OPTIONS, *SOLID_OPTIONS, OPTIONS[-1])):
        option(run)
    return click.command("import", cls=Asking, help=what, epilog=EPILOG)(run)
