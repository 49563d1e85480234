"""The process this tool runs in: streams that may be closed, signals that ask it to end, an answer nobody can take."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType

# what a closed terminal, an ending session and `kill` send; those the system does not know are passed over
ENDING = ("SIGTERM", "SIGHUP")


def open_streams() -> None:
    """Put the null device in place of each standard stream that was closed before we started.

    In the order of their numbers: the lowest free number is taken, so no file of ours opens as number 1 and is written
    over by what a library prints there.
    """
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115


def give_up_stdout() -> None:
    """Send what still waits to be printed nowhere, so that nothing fails again when the process ends."""
    with suppress(OSError, ValueError):
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, sys.stdout.fileno())
        os.close(null)
        return
    sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115


@contextmanager
def ending_is_cancelling() -> Iterator[None]:
    """Within, a signal that asks to end raises KeyboardInterrupt, so that everything on the way out is cleaned up.

    A signal the person had ignored (nohup) stays ignored. Outside the main thread nothing is changed: only there may
    signals be taken.
    """
    numbers = [getattr(signal, name) for name in ENDING if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        numbers = []
    before = {n: signal.getsignal(n) for n in numbers}
    taken = [n for n, handler in before.items() if handler is signal.SIG_DFL]
    for n in taken:
        signal.signal(n, _cancel)
    try:
        yield
    finally:
        for n in taken:
            signal.signal(n, before[n])


def _cancel(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt
