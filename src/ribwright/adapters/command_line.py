"""What every command shares: refusing empty words, offering the nearest command, turning errors into sentences and statuses."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import suppress
from functools import wraps
from typing import Any

import click

from ribwright.errors import Fault, InputError, NotConverged, nearest

WRONG_INPUT, UNFINISHED = 2, 3
CANCELLED = "ribwright: cancelled; nothing was written"
GIVEN = "something in it, or leave it out"


class Refused(click.ClickException):
    """Words of the command line that are wrong before any command runs, told as all our faults are."""

    exit_code = WRONG_INPUT

    def __init__(self, wrong: InputError):
        super().__init__("\n".join(f"ribwright: {fault.sentence()}" for fault in wrong.faults))

    def show(self, file: Any = None) -> None:
        say(self.message)


class Asking(click.Command):
    """A command that refuses what was given but left empty: Path("") would be the folder one stands in."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        given, _, _ = self.make_parser(ctx).parse_args(list(args))
        empty = [p for p in self.params if isinstance(given.get(p.name or ""), str) and not given[p.name or ""].strip()]
        if empty:
            raise Refused(InputError([Fault("command line", _called(p), "nothing", GIVEN) for p in empty]))
        return super().parse_args(ctx, args)


def _called(param: click.Parameter) -> str:
    return param.opts[0] if isinstance(param, click.Option) else str(param.name).upper()


class Commands(click.Group):
    """A group that offers the nearest command for a word it does not know."""

    command_class = Asking

    def main(self, *args: Any, **kwargs: Any) -> Any:
        from ribwright.adapters.terminal import open_streams

        open_streams()
        return super().main(*args, **kwargs)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            # before or after a command's own guard; the library would say "Aborted!" and end with 1, which means a stop here
            say(CANCELLED)
            ctx.exit(UNFINISHED)

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        if args and self.get_command(ctx, args[0]) is None and not args[0].startswith("-"):
            names = self.list_commands(ctx)
            hint = nearest(args[0], names)
            raise click.UsageError(
                f"no command {args[0]!r}; there are {', '.join(names)}" + (f"; did you mean {hint!r}?" if hint else "")
            )
        return super().resolve_command(ctx, args)


def guarded(command: Callable[..., int]) -> Callable[..., None]:
    """Turn our errors into sentences on stderr and exit statuses."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> None:
        from ribwright.adapters.terminal import ending_is_cancelling, give_up_stdout

        try:
            with ending_is_cancelling():
                status = command(*args, **kwargs)
                sys.stdout.flush()
        except InputError as wrong:
            for fault in wrong.faults:
                say(f"ribwright: {fault.sentence()}")
            status = WRONG_INPUT
        except NotConverged as unfinished:
            say(f"ribwright: did not converge: {unfinished}")
            status = UNFINISHED
        except BrokenPipeError:
            # the reader, a pager or head, has seen enough; nothing more can be said to it
            give_up_stdout()
            status = 0
        except OSError as broken:
            why = broken.strerror or str(broken)
            if broken.filename is None:
                # files of ours fail with their name: what has none is standard output
                give_up_stdout()
                say(f"ribwright: the answer could not be written: {why}")
                status = UNFINISHED
            else:
                fault = Fault(str(broken.filename), "the file", why, "a place that can be written and read")
                say(f"ribwright: {fault.sentence()}")
                status = WRONG_INPUT
        except KeyboardInterrupt:
            say(CANCELLED)
            status = UNFINISHED
        sys.exit(status)

    return run


def say(text: str) -> None:
    """A line to the person; a terminal that is gone is no further fault."""
    with suppress(OSError):
        click.echo(text, err=True)
