"""Values as a person would write them in a TOML file: numbers plain and without noise, points [x, y], keys in their order."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

MOST_DECIMALS = 6
LONGEST_LINE = 110
DEEPEST = 6
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SHORT = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}
_TYPED_NUMBER = re.compile(
    r"(?P<sign>[-+]?)(?P<whole>[0-9]*)(?:(?P<point>\.)(?P<rest>[0-9]*))?(?P<power>[eE][-+]?[0-9]+)?"
)
Order = Callable[[list[str]], list[str]]


class Raw(str):
    """A value that is TOML text already, as somebody typed it."""


def as_given(names: list[str]) -> list[str]:
    """The keys in the order given."""
    return names


def value_text(value: Any, order: Order = as_given, depth: int = 0) -> str:
    """The value as TOML on one line. ValueError says what cannot be written."""
    if isinstance(value, Raw):
        return str(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return number_text(value)
    if isinstance(value, str):
        return string_text(value)
    if depth >= DEEPEST or not isinstance(value, list | dict):
        raise ValueError("nothing" if value is None else f"brackets {DEEPEST} deep")
    if isinstance(value, list):
        return f"[{', '.join(value_text(v, order, depth + 1) for v in value)}]"
    pairs = [f"{key_text(k)} = {value_text(value[k], order, depth + 1)}" for k in order(list(value))]
    return f"{{ {', '.join(pairs)} }}" if pairs else "{}"


def block_text(value: Any, order: Order = as_given) -> str:
    """The same; a list too long for one line, or one of tables, an item a line."""
    line = value_text(value, order)
    if not isinstance(value, list) or not value or (len(line) <= LONGEST_LINE and not isinstance(value[0], dict)):
        return line
    return "[\n" + "".join(f"  {value_text(v, order, 1)},\n" for v in value) + "]"


def number_text(number: float) -> str:
    """A number without exponent and with at most six decimals; a float keeps its point (12.0)."""
    if isinstance(number, int):
        if abs(number) >= 2**63:
            raise ValueError("a number of more than 18 digits")
        return str(number)
    if not math.isfinite(number) or abs(number) >= 1e15:
        raise ValueError(f"{number:g}")
    text = f"{number:.{MOST_DECIMALS}f}".rstrip("0")
    text = text + "0" if text.endswith(".") else text
    return "0.0" if text == "-0.0" else text


def string_text(text: str) -> str:
    """A string in double quotes."""
    try:
        text.encode()
    except UnicodeEncodeError:
        raise ValueError("half a character") from None
    return '"' + "".join(_escaped(c) for c in text) + '"'


def key_text(key: str) -> str:
    """A key, in quotes where it has to be."""
    return key if _BARE.fullmatch(key) else string_text(key)


def typed_text(typed: str) -> str:
    """What a person typed into a field as TOML: a number with its digits, true or false, else a text."""
    text = typed.strip()
    return number_typed(text) or (text if text in ("true", "false") else string_text(typed))


def number_typed(text: str) -> str:
    """A typed number as TOML takes it, its digits kept (`.5` is 0.5, `5.` is 5.0, `007` is 7); "" for what is none."""
    hit = _TYPED_NUMBER.fullmatch(text)
    if hit is None or not (hit["whole"] or hit["rest"]) or len(text) > 60:
        return ""
    whole = hit["whole"].lstrip("0") or "0"
    rest = f".{hit['rest'] or '0'}" if hit["point"] else ""
    if not rest and not hit["power"] and len(whole) > 18:
        return ""
    number = hit["sign"] + whole + rest + (hit["power"] or "")
    return number if math.isfinite(float(number)) else ""


def _escaped(c: str) -> str:
    if c in _SHORT:
        return _SHORT[c]
    return f"\\u{ord(c):04x}" if ord(c) < 32 or ord(c) == 127 else c
