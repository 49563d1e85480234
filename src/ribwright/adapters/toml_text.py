"""A TOML file as a plain dict, and every way that can fail as one sentence.

Decimal numbers keep the text they were typed with (`TypedFloat.text`), so that documents print back
0.0250 and not 0.025.
"""

from __future__ import annotations

import codecs
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from ribwright.adapters.toml_bounds import MOST_BYTES, too_long, too_much
from ribwright.errors import Fault, InputError

LONGEST = 50_000_000  # bytes; the answers of a packet have some hundred thousand
# those that people write by hand, and that a parser of TOML reads
SHORT = ("a part file", "a shop file")
_PLACE = re.compile(
    r"^(?P<what>.*?) \(at (?:line (?P<line>[0-9]+), column (?P<column>[0-9]+)|end of document)\)$", re.S
)


class TypedFloat(float):
    """A float that remembers how it was typed."""

    text: str

    def __new__(cls, text: str) -> TypedFloat:
        number = super().__new__(cls, text.replace("_", ""))
        number.text = text
        return number


def plain(value: Any) -> Any:
    """The same value with ordinary floats, for whoever does not care how it was typed."""
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [plain(v) for v in value]
    return float(value) if isinstance(value, TypedFloat) else value


def read_text(path: Path, kind: str) -> str:
    """The text of a file. `kind` ("a part file") is used in the sentences; InputError when it cannot be read, when it is
    no plain file (a pipe may never end) or longer than LONGEST, a part or shop file than `toml_bounds` allows."""
    try:
        state = path.stat()
        if stat.S_ISDIR(state.st_mode):
            raise _unreadable(path, "a folder", f"{kind} that can be read")
        if not stat.S_ISREG(state.st_mode):
            raise _unreadable(path, "not a regular file", f"{kind} that can be read")
        if kind in SHORT and state.st_size > MOST_BYTES:
            raise InputError([too_long(state.st_size, str(path), kind)])
        if state.st_size > LONGEST:
            raise _unreadable(path, f"{state.st_size / 1e6:.0f} MB", f"{kind} of at most {LONGEST / 1e6:.0f} MB")
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        raise _unreadable(path, _why(error), f"{kind} that can be read") from None
    return _decoded(raw, str(path), kind)


def parse_toml(text: str, file: str, kind: str) -> dict[str, Any]:
    """The tables of a TOML text. InputError with the line when it is not TOML, or when it says nothing."""
    table = load_toml(text, file, kind)
    if not table:
        raise InputError([Fault(file, "the file", "an empty file", f'{kind} that begins with units = "in" or "mm"')])
    return table


def load_toml(text: str, file: str, kind: str) -> dict[str, Any]:
    """The same of a text that may say nothing yet. A text that is too much for a parser is refused before it is parsed."""
    if fault := too_much(text, file, kind):
        raise InputError([fault])
    try:
        return tomllib.loads(text.removeprefix("\ufeff"), parse_float=TypedFloat)
    except tomllib.TOMLDecodeError as error:
        raise InputError([_syntax_fault(str(error), text, file)]) from None
    except (RecursionError, ValueError) as error:
        what = "brackets nested too deeply" if isinstance(error, RecursionError) else str(error)
        raise InputError([Fault(file, "the file", what, f"{kind} in TOML")]) from None


def _unreadable(path: Path, found: str, allowed: str) -> InputError:
    return InputError([Fault(str(path), "the file", found, allowed)])


def _why(error: Exception) -> str:
    if isinstance(error, FileNotFoundError):
        return "no such file"
    return getattr(error, "strerror", None) or "a file that cannot be opened"


def _decoded(raw: bytes, file: str, kind: str) -> str:
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise InputError([Fault(file, "the file", "UTF-16 text", f"{kind} saved as UTF-8")])
    try:
        # utf-8-sig: some editors put a byte order mark in front; it carries no meaning
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        found = f"a byte that is not UTF-8 ({raw[error.start]:#04x})"
        raise InputError([Fault(file, f"line {line}", found, f"{kind} saved as UTF-8")]) from None


def _syntax_fault(message: str, text: str, file: str) -> Fault:
    hit = _PLACE.match(message)
    what, line = (hit["what"], hit["line"]) if hit else (message, None)
    lines = text.splitlines()
    key = f"line {line}, column {hit['column']}" if hit and line else "the end of the file"
    found = lines[int(line) - 1].strip()[:80] if line and int(line) <= len(lines) else "an unfinished value"
    hint = "; in a path write / or use single quotes" if re.search("escape|hex", what) else ""
    return Fault(file, key, repr(found), f"TOML, key = value ({what[:1].lower()}{what[1:]}{hint})")
