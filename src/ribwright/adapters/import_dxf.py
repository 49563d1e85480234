"""The options of `ribwright import` that a drawing needs besides those of every file."""

from __future__ import annotations

import click

DRAWING_OPTIONS = (
    click.option(
        "--role",
        multiple=True,
        help='DXF: what a layer draws: LAYER=web, "LAYER=flange NAME", "LAYER=tangent NAME", hole, tooling, lightening, ignore. '
        "May be given again.",
    ),
    click.option("--join", default="", help="DXF: how far apart two ends may lie to be joined; default 0.01 mm."),
    click.option(
        "--fit",
        default="",
        help="DXF, STEP: how far a spline through points may lie from its curve; default 0.005 mm, STEP 0.002 mm.",
    ),
    click.option(
        "--line",
        default="",
        help="DXF: what the edges of role flange are drawn at: outside-mold-line or inside-mold-line.",
    ),
    click.option("--curves", is_flag=True, help="DXF: take runs of short lines as the curves that they are chords of."),
    click.option("--as-drawn", "as_drawn", is_flag=True, help="DXF: take arcs that look drawn inside out as they are."),
)
