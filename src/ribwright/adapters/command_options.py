"""Options that several commands take, worded once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

HAND = "ribwright.hand"


def hand_asked() -> str:
    """The hand that was asked for on the command line: "drawn", "opposite", "both", or "" where nothing was said."""
    return str(click.get_current_context().meta.get(HAND, ""))


def _keep_hand(ctx: click.Context, _: click.Parameter, value: str) -> None:
    """Only packet makes both hands; any other answer is one part's."""
    from ribwright.adapters.command_line import Refused
    from ribwright.work.asking import DRAWN, HANDS, OPPOSITE, choice

    allowed = HANDS if ctx.command.name == "packet" else (DRAWN, OPPOSITE)
    if value and value not in allowed:
        raise Refused(choice("--hand", value, allowed))
    ctx.meta[HAND] = value


def common(command: Callable[..., None]) -> Callable[..., None]:
    """PART, --shop, --hand and --json, which every command takes."""
    command = click.option("--json", "as_json", is_flag=True, help="Answer as JSON on standard output.")(command)
    command = click.option(
        "--shop",
        type=click.Path(path_type=Path),
        help="Shop file; default: the nearest shop.toml beside or above PART.",
    )(command)
    return click.argument("part", type=click.Path(path_type=Path), metavar="PART")(HANDED(command))


HANDED = click.option(
    "--hand",
    default="",
    expose_value=False,
    callback=_keep_hand,
    help="drawn, or opposite: the mirrored part that the part file names; packet also both. Default: drawn; packet of a pair: both.",
)


PLACE = click.option(
    "--place",
    default="",
    help="With --pad: edge, or 'EDGE at 2 in'; default: the straight place that asks for most pressure.",
)
METHOD = click.option(
    "--method",
    default="default",
    help="How the blank is developed: handbook, strain-corrected, or inverse (balance of the formed mid-surface; a second or some). "
    "Default: strain-corrected; blank, template, packet and explain hold it beside the inverse one and take that where they disagree.",
)
PRESS = click.option("--press", default="", help="Id of a press in the shop file.")
MODEL = click.option(
    "--model",
    default="",
    help="What gives undercut, springback and pressure: closed-form (at once) or section (some seconds; needs --press). "
    "Default: [rules] undercut of the shop file, else section where a press is named.",
)
PAPER = click.option("--paper", default="letter", show_default=True, help="letter, a4 or roll.")


def TAKE(command: Callable[..., None]) -> Callable[..., None]:
    """--take-proposals, --by and --out of a copy."""
    command = click.option("--out", type=click.Path(path_type=Path), help="The copy to write, NAME.part.toml.")(command)
    command = click.option("--by", default="", help="Who takes the proposals; the copy says so.")(command)
    return click.option(
        "--take-proposals", is_flag=True, help="Write a copy of PART with what is proposed in it; PART stays as it is."
    )(command)
