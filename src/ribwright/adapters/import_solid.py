"""The options of `ribwright import` that a solid or a surface needs besides those of every file."""

from __future__ import annotations

import click

SOLID_OPTIONS = (
    click.option("--thickness", default="", help='STEP: of a surface: how thick the sheet is, "0.025 in".'),
    click.option(
        "--face",
        default="",
        help="STEP: of a surface: which face of the sheet it is: heel (away from which the flanges turn), inner, or mid.",
    ),
    click.option(
        "--tooling", multiple=True, help='STEP: a diameter of holes that take pins, "3/16 in". May be given again.'
    ),
)
SOLIDS = (".step", ".stp")
PATIENCE = "The solid kernel reads the file; Ctrl-C ends it ..."
