"""What a process of jobs is given to do in the tests: it imports this file by its name."""

from __future__ import annotations

import os
import time
from collections.abc import Callable

from ribwright.errors import Fault, InputError, NotConverged
from ribwright.ports import JobAsk, JobEnd


def warm() -> None:
    """Nothing to load."""


def do(ask: JobAsk, tell: Callable[..., None]) -> JobEnd:
    """What `ask.kind` says."""
    tell("begun", 1, 2, {"soon": True})
    match ask.kind:
        case "answer":
            return JobEnd("made", "k" * 32, ask.text.encode(), 0, "mm", {"a.txt": b"x" * 3_000_000})
        case "wait":
            return _waits()
        case "deaf":
            return _deaf()
        case "die":
            os._exit(7)
        case "wrong":
            raise InputError([Fault("part", "key", "found", "allowed")])
        case "unfinished":
            raise NotConverged("no balance")
        case _:
            raise ZeroDivisionError("nobody foresaw this")


def _waits() -> JobEnd:
    """Stops when asked and hands over what it had."""
    try:
        for _ in range(600):
            time.sleep(0.1)
    except KeyboardInterrupt:
        return JobEnd("cancelled", answer=b'{"half":true}')
    return JobEnd("made")


def _deaf() -> JobEnd:
    """Does not stop."""
    for _ in range(600):
        try:
            time.sleep(0.1)
        except KeyboardInterrupt:
            continue
    return JobEnd("made")
