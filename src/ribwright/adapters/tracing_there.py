"""Whether the library that traces pictures is installed, and what to do when it is not."""

from __future__ import annotations

import importlib.util

from ribwright.errors import Fault, InputError


def tracing_installed() -> bool:
    """Whether the extra is there; nothing is loaded."""
    return importlib.util.find_spec("skimage") is not None


def missing() -> InputError:
    """What to do when it is not."""
    allowed = "pip install 'ribwright[trace]' for outlines of pictures; readings and points need none of it"
    return InputError([Fault("this installation", "tracing of pictures", "not installed", allowed)])
