"""`ribwright inspect`: a formed part held against its drawing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ribwright.adapters.command_line import Asking, guarded
from ribwright.adapters.command_options import METHOD, MODEL, PRESS, common
from ribwright.adapters.packet_command import PacketTools
from ribwright.errors import Fault, InputError

EPILOG = "Example: ribwright inspect examples/dabchick/Q7-2301-1.part.toml examples/dabchick/Q7-2301-1-001.measured.csv"
WHAT = (
    "The formed PART held against its drawing by what was MEASURED: readings of gauges, points of an arm or scanner, an outline traced "
    "from a picture. Deviation and angle at each place with their uncertainty, a verdict a characteristic, what to set by hand. Without "
    "MEASURED the hand work that the forecast lets expect. The tool accepts nothing: a person does, and calls nothing airworthy."
)


def inspect_command(tools: PacketTools) -> click.Command:
    """The command."""

    @common
    @click.argument("measured", nargs=-1, type=click.Path(path_type=Path), metavar="[MEASURED]...")
    @PRESS
    @MODEL
    @METHOD
    @click.option(
        "--fit",
        default="pins",
        show_default=True,
        help="What lays measured points on the drawing: pins, or places (means of places along the edges, and the pins).",
    )
    @click.option(
        "--accept", default=None, metavar="NAME", help="The person who accepts the piece, if nothing stands against it."
    )
    @click.option(
        "--keep",
        is_flag=True,
        help="Put the bend angles, measured before any hand work, into the springback book, springback.jsonl beside the shop file.",
    )
    @click.option(
        "--cut-from",
        type=click.Path(path_type=Path),
        help="With --keep: answers.json of the packet that the block was cut from, where the measurements say no undercut.",
    )
    @click.option(
        "--form",
        type=click.Path(path_type=Path),
        help="Without MEASURED: write the file of measurements as a form to fill in, .csv.",
    )
    @click.option("--paper", default="letter", show_default=True, help="With --out: letter or a4.")
    @click.option(
        "--out",
        type=click.Path(path_type=Path),
        help="Folder for the papers: deviations, inspection sheet, first article, hand work.",
    )
    @guarded
    def run(
        part: Path, measured: tuple[Path, ...], shop: Path | None, press: str, model: str, method: str, fit: str, accept: str | None,
        keep: bool, cut_from: Path | None, form: Path | None, paper: str, out: Path | None, as_json: bool,
    ) -> int:  # fmt: skip
        from ribwright.documents import handwork_screen, inspect_screen
        from ribwright.documents.edge_ends import ends_of
        from ribwright.documents.learn_screen import kept_lines
        from ribwright.work import inspect_papers, inspecting

        if not measured:
            _only_measured(accept=accept is not None, keep=keep, cut_from=cut_from is not None)
            return _before(tools, tools.request(part, shop, press, method, model), form, out, as_json)
        if form is not None:
            raise InputError(
                [Fault("command line", "--form", "with MEASURED", "one of them: a form is for what is to be measured")]
            )
        inspect_papers.check_target(out, paper, tools.keeper())
        request = tools.request(part, shop, press, method, model)
        if cut_from is not None and not keep:
            raise InputError(
                [
                    Fault(
                        "command line",
                        "--cut-from",
                        str(cut_from),
                        "--keep with it: it says what the angles are held against",
                    )
                ]
            )
        kept = inspecting.Keeping(tools.books(), cut_from) if keep else None
        done = inspecting.made(tools.files(), request, measured, tools.say, fit, accept, kept, out)
        written = (
            ()
            if out is None
            else inspect_papers.write_inspection(done, out, paper, tools.writers(), tools.keeper(), tools.say)
        )
        tools.show(done.answer, as_json)
        if not as_json:
            identity = done.answer.identity
            told = inspect_screen.lines(done.answer.plan, done.inspection, identity.first)
            ends = ends_of(done.answer.plan)
            told += ["", *handwork_screen.lines(done.hands, identity.first, ends)] if done.hands else []
            click.echo("".join(f"\n{line}" for line in told))
        if not as_json and keep:
            click.echo("".join(f"\n{line}" for line in kept_lines(done.answer.json["kept"])))
        if not as_json and out is not None:
            click.echo(f"\nPapers: {out.resolve()}")
            for path in written:
                click.echo(f"  {path.name}")
        return done.answer.status

    return click.command("inspect", cls=Asking, help=WHAT, epilog=EPILOG)(run)


def _only_measured(**given: bool) -> None:
    """InputError for options that are about a measured piece, where none is given."""
    faults = [
        Fault("command line", f"--{key.replace('_', '-')}", "without MEASURED", "MEASURED with it")
        for key, is_there in given.items()
        if is_there
    ]
    if faults:
        raise InputError(faults)


def _before(tools: PacketTools, request: Any, form: Path | None, out: Path | None, as_json: bool) -> int:
    """Nothing measured yet: the hand work to expect, and the form."""
    from ribwright.work import inspecting, targets

    if out is not None:
        raise InputError([Fault("command line", "--out", "without MEASURED", "--form FILE.csv, or MEASURED with it")])
    if form is not None and form.suffix.lower() != ".csv":
        raise InputError([Fault("command line", "--form", form.name, "a name that ends in .csv")])
    if form is not None and form.exists():
        raise InputError(
            [Fault("command line", "--form", f"{form}, which is there already", "a new name: readings may stand in it")]
        )
    targets.check_file(form, (".csv",), tools.keeper())
    done = inspecting.expected(tools.files(), request, tools.say)
    if form is not None:
        inspecting.form_of(done, form, tools.keeper())
    tools.show(done.answer, as_json)
    if form is not None and not as_json:
        click.echo(f"\nWrote {form}")
    return done.answer.status
