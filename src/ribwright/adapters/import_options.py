"""The options of `ribwright import`, for every kind of file that it reads."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

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
        help='A length that you know: "50 in=chord", "7.9 in=height", "3.937 in=upper at 15 in". Several.',
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


def import_options(command: Callable[..., None]) -> Callable[..., None]:
    """FILE, --out, --json and what each kind of file can be asked."""
    for option in reversed(OPTIONS):
        command = option(command)
    return command
