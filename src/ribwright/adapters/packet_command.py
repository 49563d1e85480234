"""`ribwright packet`: one hand's documents into a folder, or both hands of a pair."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from ribwright.adapters.command_line import Asking, guarded
from ribwright.adapters.command_options import METHOD, MODEL, PAPER, PRESS, common, hand_asked

EPILOG = "Example: ribwright packet examples/dabchick/Q7-2102-1.part.toml --press P2 --out packet"
WHAT = (
    "All documents of the job: job card, findings, block drawing, set-up card, inspection sheet, cut list, 1:1 templates, DXF. Of a part "
    "that makes a pair, those of both hands, each in a folder called by its number, with a sheet that says which is which."
)


@dataclass(frozen=True, eq=False)
class PacketTools:
    """What the command works with: makers of files, keeper, writers, solids and springback books, the request from its words, progress,
    and who shows the answer and gives the exit status."""

    files: Callable[[], Any]
    keeper: Callable[[], Any]
    writers: Callable[[], Any]
    solids: Callable[[], Any]
    request: Callable[..., Any]
    say: Callable[[str], None]
    show: Callable[[Any, bool], int]
    books: Callable[[], Any]


def packet_command(tools: PacketTools) -> click.Command:
    """The command."""

    @common
    @PRESS
    @MODEL
    @METHOD
    @PAPER
    @click.option(
        "--out", type=click.Path(path_type=Path), help="Folder to write into; default: NAME-packet beside PART."
    )
    @guarded
    def run(
        part: Path, shop: Path | None, press: str, model: str, method: str, paper: str, out: Path | None, as_json: bool
    ) -> int:
        from ribwright.documents.pair_words import pair_lines
        from ribwright.work import pairs

        folder = out or part.with_name(part.name.removesuffix(".toml").removesuffix(".part") + "-packet")
        made = pairs.packet_of(
            tools.files(),
            tools.request(part, shop, press, method, model),
            hand_asked(),
            folder,
            paper,
            tools.writers(),
            tools.keeper(),
            tools.say,
            tools.solids(),
        )
        tools.show(made.answer, as_json)
        if not as_json:
            click.echo("".join(f"\n{line}" for line in pair_lines(made.answer.json.get("pair"))))
            click.echo(f"\nPacket: {folder.resolve()}")
            for path in made.written:
                click.echo(f"  {path.relative_to(folder).as_posix()}")
            if made.answer.json["solid"]["refused"]:
                click.echo(f"  no block.step: {made.answer.json['solid']['refused']}")
        return made.answer.status

    return click.command("packet", cls=Asking, help=WHAT, epilog=EPILOG)(run)
