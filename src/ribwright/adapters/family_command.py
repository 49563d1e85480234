"""`ribwright family`: its words, and what it does with them."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from ribwright.adapters.command_line import Asking, guarded
from ribwright.adapters.command_options import METHOD, MODEL, PRESS

EPILOG = "Example: ribwright family examples/dabchick/Q7-2102.family.csv --out wing-ribs"
WHAT = (
    "The parts of a family from one part file and a table (NAME.family.csv: a row a part, a column a key that differs): a part file for "
    "each, their blanks, flat widths, undercuts and findings side by side, and one pattern of locating pins for all where there is one."
)


def family_command(files: Callable[[], Any], keeper: Callable[[], Any], say: Callable[[str], None]) -> click.Command:
    """The command; `files` and `keeper` make what it reads and writes with, `say` shows how far it is."""

    @click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
    @click.option(
        "--shop",
        type=click.Path(path_type=Path),
        help="Shop file; default: the nearest shop.toml beside or above the base part.",
    )
    @PRESS
    @MODEL
    @METHOD
    @click.option(
        "--out", type=click.Path(path_type=Path), help="Folder of the part files; default: NAME-family beside FILE."
    )
    @click.option("--json", "as_json", is_flag=True, help="Answer as JSON on standard output.")
    @guarded
    def run(file: Path, shop: Path | None, press: str, model: str, method: str, out: Path | None, as_json: bool) -> int:
        from ribwright.documents.family_screen import family_lines
        from ribwright.work import asking, families

        request = asking.Request(file, shop, press, method, model)
        made = families.family(files(), file, request, out or families.default_folder(file), keeper(), say)
        if sys.stderr.isatty():
            click.echo("\r\033[K", nl=False, err=True)
        if as_json:
            sys.stdout.buffer.write(asking.as_text(made.json).encode())
        else:
            click.echo(
                "\n".join([*family_lines(made.json["family"], made.first), "", *(f"Wrote {p}" for p in made.written)])
            )
        return made.status

    return click.command("family", cls=Asking, help=WHAT, epilog=EPILOG)(run)
