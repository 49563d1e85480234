"""What a process of jobs is given to do in the tests: it imports this file by its name."""

from __future__ import annotations

import gc
import os
import time
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection

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
        case "talk":
            return _talks(tell)
        case "garble":
            _garbles()
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


def _talks(tell: Callable[..., None]) -> JobEnd:
    """Tells far more than a pipe holds at once, again and again, until it is stopped."""
    try:
        for n in range(100_000):
            tell("much", n, 100_000, {"all": "x" * 2_000_000})
    except KeyboardInterrupt:
        return JobEnd("cancelled", answer=b'{"half":true}')
    return JobEnd("made")


def _garbles() -> None:
    """Says what is no message, and is still there."""
    for found in gc.get_objects():
        if isinstance(found, Connection) and not found.closed and found.writable:
            with suppress(OSError):
                found.send_bytes(b"\x80\x05no message")
    time.sleep(60.0)


def _deaf() -> JobEnd:
    """Does not stop."""
    for _ in range(600):
        try:
            time.sleep(0.1)
        except KeyboardInterrupt:
            continue
    return JobEnd("made")
