"""Compiled functions, kept on disk until anything they were made of changes.

numba keeps machine code beside the source and throws it away when that one file changes, not when a function it calls, or a
constant it took from another file, does. `compiled` adds those to the mark that the kept code carries. If numba should not let
itself be marked any more, code is compiled afresh in every run: slow, never stale.
"""

from __future__ import annotations

import hashlib
import inspect
import sys
from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import config, njit

F = TypeVar("F", bound=Callable[..., Any])
PLAIN = (bool, int, float, str, tuple)
_marks: dict[int, str] = {}


def compiled(function: F) -> F:
    """`function` as machine code that runs beside other threads (no global lock); kept on disk. With NUMBA_DISABLE_JIT=1, numba's
    own switch for looking for faults, the function as it is."""
    if getattr(config, "DISABLE_JIT", 0):
        return function
    mark = _mark_of(function)
    machine: Any = njit(nogil=True, error_model="numpy")(function)
    machine.enable_caching()
    try:
        kept = machine._cache._cache_file
        kept._source_stamp = (kept._source_stamp, mark)
    except AttributeError:
        machine = njit(nogil=True, error_model="numpy")(function)
    _marks[id(machine)] = mark
    return cast(F, machine)


def _mark_of(function: Callable[..., Any]) -> str:
    """Digest of the function's file, the constants it sees and the marks of compiled functions from other files."""
    seen = sorted(
        f"{name}={_marks.get(id(value), repr(value) if isinstance(value, PLAIN) else '')}"
        for name, value in function.__globals__.items()
        if not name.startswith("__")
    )
    source = inspect.getsource(sys.modules[function.__module__])
    return hashlib.sha256("\n".join([source, *seen]).encode()).hexdigest()
