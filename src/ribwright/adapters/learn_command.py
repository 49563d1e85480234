"""`ribwright learn`: the springback book, and what it does to the next block of a part."""

from __future__ import annotations

from pathlib import Path

import click

from ribwright.adapters.command_line import Asking, guarded
from ribwright.adapters.command_options import HANDED, METHOD, MODEL, PRESS
from ribwright.adapters.packet_command import PacketTools
from ribwright.errors import Fault, InputError

EPILOG = "Example: ribwright learn examples/dabchick/Q7-2301-1.part.toml --press P2"
WHAT = (
    "What the shop's measured pieces teach: the springback book (springback.jsonl beside shop.toml) read out, how good the last forecasts "
    "were, what stands apart. With PART its next block's undercut before and after, and whether the old block can be filed to it."
)


def learn_command(tools: PacketTools) -> click.Command:
    """The command."""

    @click.argument("part", type=click.Path(path_type=Path), metavar="[PART]", required=False)
    @click.option(
        "--shop", type=click.Path(path_type=Path), help="Shop file; default: the nearest shop.toml above PART."
    )
    @HANDED
    @PRESS
    @MODEL
    @METHOD
    @click.option(
        "--cut-from",
        type=click.Path(path_type=Path),
        help="answers.json of the packet that the old block was cut from; default: the block of the part's last measured piece.",
    )
    @click.option(
        "--withdraw", default="", metavar="ID", help="Take this observation out of the reckoning; its line stays."
    )
    @click.option("--by", default="", help="With --withdraw: who does.")
    @click.option("--why", default="", help="With --withdraw: why.")
    @click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
    @guarded
    def run(
        part: Path | None, shop: Path | None, press: str, model: str, method: str, cut_from: Path | None, withdraw: str,
        by: str, why: str, as_json: bool,
    ) -> int:  # fmt: skip
        from ribwright.work import teaching
        from ribwright.work.asking import as_text

        files = tools.files()
        if withdraw:
            if part is not None:
                raise InputError(
                    [
                        Fault(
                            "command line", "--withdraw", f"with {part.name}", "without a PART: it is of the whole book"
                        )
                    ]
                )
            done = teaching.withdraw(files, tools.books(), shop, withdraw, by, why)
        else:
            request = None if part is None else tools.request(part, shop, press, method, model)
            done = teaching.learn(files, shop, request, cut_from, tools.say)
        click.echo(as_text(done.json) if as_json else "\n".join(done.lines), nl=not as_json)
        return done.status

    return click.command("learn", cls=Asking, help=WHAT, epilog=EPILOG)(run)
