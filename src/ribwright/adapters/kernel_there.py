"""Whether the solid kernel is installed, what to do when it is not, and what its process said before it fell."""

from __future__ import annotations

import importlib.util
from pathlib import Path

from ribwright.errors import Fault, InputError

COMPLAINTS = "complaints.txt"  # what the kernel's process says on standard error


def kernel_installed() -> bool:
    """Whether the extra is there; nothing is loaded."""
    return importlib.util.find_spec("OCP") is not None


def missing(what: str = "for .step and .stl") -> InputError:
    """What to do when it is not; `what` it is wanted for."""
    allowed = f"pip install 'ribwright[step]' {what}"
    return InputError([Fault("this installation", "solid kernel", "not installed", allowed)])


def last_line(file: Path) -> str:
    """The last thing the kernel's process said before it fell, at most 200 characters of it."""
    lines = file.read_text(encoding="utf-8", errors="replace").split("\n")
    return next(("".join(c for c in x.strip() if c.isprintable())[:200] for x in reversed(lines) if x.strip()), "")
