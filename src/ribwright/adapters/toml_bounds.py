"""How much a part or shop file may hold. Asked of the text before it is parsed: parsers take minutes over what no person writes.

A part of nine edges of 2000 points, a line a point, stays below every one of these.
"""

from __future__ import annotations

import re
from itertools import islice

from ribwright.errors import Fault

MOST_BYTES = 1_000_000
MOST_LINES = 20_000
MOST_HEADERS = 5_000
MOST_DOTS = 20
# all through a text, wherever they stand: each is a key, a number or an item at most
MOST_SIGNS = {"=": 20_000, ".": 100_000, ",": 100_000}

# every repeat is possessive: none of these goes back over what it has read
_WORD = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\[^\n])*+"|'[^'\n]*+')"""
_HEADER = re.compile(r"""^[ \t]*+\[\[?+(?:"(?:[^"\\\n]|\\[^\n])*+"|'[^'\n]*+'|[^\[\],"'\n])*+\]""", re.M)
_PIECE = re.compile(
    r'(?P<text>"""(?:[^"\\]++|\\.|"(?!""))*+"""(?:"{0,2})' + r"|'''(?:[^']++|'(?!''))*+'''(?:'{0,2})|#[^\n]*+)"
    rf"|(?P<long>(?:{_WORD}[ \t]*+\.[ \t]*+){{{MOST_DOTS + 1}}})|{_WORD}|(?P<open>[\"'])",
    re.S,
)


def too_much(text: str, file: str, kind: str) -> Fault | None:
    """What there is too much of in a text, as one fault; None where it may be parsed."""
    size = len(text) if len(text) > MOST_BYTES else len(text.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        return too_long(size, file, kind)
    if (lines := text.count("\n")) > MOST_LINES:
        return Fault(file, "the file", f"{lines} lines", f"{kind} of at most {MOST_LINES} lines")
    for sign, most in MOST_SIGNS.items():
        if (count := text.count(sign)) > most:
            return Fault(file, "the file", f"{count} signs {sign!r}", f"{kind} with at most {most}")
    headers = sum(1 for _ in islice(_HEADER.finditer(text), MOST_LINES))
    if headers > MOST_HEADERS:
        return Fault(file, "the file", f"{headers} tables", f"{kind} of at most {MOST_HEADERS} tables")
    return _deep_key(text, file, kind) if text.count(".") > MOST_DOTS else None


def too_long(size: int, file: str, kind: str) -> Fault:
    """The fault of a file of so many bytes."""
    found = f"{size / 1e6:.0f} MB" if size > 10 * MOST_BYTES else f"{size / 1e6:.2f} MB"
    return Fault(file, "the file", found, f"{kind} of at most {MOST_BYTES / 1e6:g} MB")


def _deep_key(text: str, file: str, kind: str) -> Fault | None:
    """The fault of the first key with too many dots. Texts and comments may have as many as they like."""
    for hit in _PIECE.finditer(text):
        if hit["open"]:
            return None  # a text without its end: the parser stops here, too
        if hit["long"]:
            line = text.count("\n", 0, hit.start()) + 1
            return Fault(file, f"line {line}", f"a key of more than {MOST_DOTS} dots", f"{kind} with shorter keys")
    return None
