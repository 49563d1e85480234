"""Bytes from outside as the text of a file."""

from __future__ import annotations

from ribwright.errors import Fault, InputError


def as_text_of(content: bytes, file: str) -> str:
    """The text, line ends as they are, without a byte order mark. InputError where it is no UTF-8."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as broken:
        line = content[: broken.start].count(b"\n") + 1
        found = f"a byte that is not UTF-8 ({content[broken.start]:#04x})"
        raise InputError([Fault(file, f"line {line}", found, "a text saved as UTF-8")]) from None
