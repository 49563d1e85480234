"""One server for a data folder: two would write over each other's drafts. The system lets go of the lock when its process ends."""

from __future__ import annotations

import os
from pathlib import Path
from typing import IO, Any

from ribwright.errors import Clash, Fault

LOCK = ".lock"


class DataLock:
    """Held from `take` until `close`, or the end of the process."""

    def __init__(self, file: IO[bytes]):
        self._file = file

    def close(self) -> None:
        """Lets go."""
        self._file.close()


def take(data: Path) -> DataLock:
    """The lock of a data folder. Clash where another process holds it."""
    file = (data / LOCK).open("a+b")
    try:
        _lock(file)
    except OSError:
        file.close()
        found = f"{str(data)!r}, which another ribwright serve has open"
        raise Clash([Fault("command line", "--data", found, "its page, or another folder")]) from None
    return DataLock(file)


def _lock(file: IO[bytes]) -> None:
    """OSError where another process holds it. The two systems have a module each for this."""
    if os.name == "nt":
        import msvcrt

        locking: Any = msvcrt
        file.seek(0)
        locking.locking(file.fileno(), locking.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
