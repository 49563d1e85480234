"""The start of the solid kernel's own process, which never outlives whoever asked for it.

Run as `python -m ribwright.adapters.kernel_process REQUEST`; a request called READING reads a file, any other builds a body. Standard
input is a pipe that says nothing: when it ends, the asker is gone, however it went, and this process removes the folder of its request
and ends itself.
"""

from __future__ import annotations

import os
import shutil
import sys
import threading
from pathlib import Path

READING = "reading.json"


def main(asked: Path) -> int:
    """Watch the asker while the kernel loads and does what the request describes."""
    threading.Thread(target=end_with_the_asker, args=(asked.parent,), daemon=True).start()
    # the kernel takes a second to load: the watch has begun before
    if asked.name == READING:
        from ribwright.adapters.step_kernel import read_and_report

        return read_and_report(asked)
    from ribwright.adapters.solid_kernel import build_and_report

    return build_and_report(asked)


def end_with_the_asker(folder: Path) -> None:
    """Wait for the end of standard input, then remove `folder` and end. Never returns."""
    # os.read: a buffered read would hold a lock that the interpreter wants when it ends
    while os.read(0, 1024):
        pass
    shutil.rmtree(folder, ignore_errors=True)
    os._exit(1)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
