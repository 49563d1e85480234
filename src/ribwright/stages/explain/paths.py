"""Paths into an answer: `block.undercut[3].deg.value`, or by name `block.undercut[upper][1].deg`.

A segment is a key, `[3]` an index, `[upper]` the item of that name; where several items share a name, as the places of one
edge do, a further index counts among them.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

from ribwright.errors import Fault, InputError, nearest

NAMES = ("id", "name", "edge", "hole", "what", "lot")
SEGMENT = re.compile(r"\.?([^.\[\]]+)|\[([^\]]*)\]")
PLAIN = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
# numbers that stand in the unit their row names
IN_ROW_UNIT = re.compile(
    r"((?:findings|margins|tolerances|route\.ways\[\d+\]\.held)\[\d+\])\.(?:value|limit|stations\[\d+\]\.(?:value|limit)|nominal|gauge_uncertainty"
    r"|(?:tolerance|forecast|known_part)\.\w+|contributors\[\d+\]\.sd)"
)
UNITS = {"mm": "mm", "mm2": "mm2", "mm3": "mm3", "mpa": "MPa", "psi": "psi", "n": "N", "deg": "deg", "s": "s", "c": "C"}


def is_number(value: Any) -> bool:
    """A number of JSON; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """(path, value) of everything that is neither object nor list; paths by index."""
    if isinstance(value, dict):
        for k, v in value.items():
            yield from leaves(v, joined(path, k))
    elif isinstance(value, list):
        for i, v in enumerate(value):
            yield from leaves(v, f"{path}[{i}]")
    else:
        yield path, value


def joined(path: str, key: str) -> str:
    """The path one key further; a key that is no plain word goes into brackets."""
    if not PLAIN.fullmatch(key):
        return f"{path}[{key}]"
    return f"{path}.{key}" if path else key


def numbers(answer: dict[str, Any]) -> dict[str, float]:
    """Every number of an answer by its path."""
    return {p: v for p, v in leaves(answer) if is_number(v)}


def at(answer: Any, path: str) -> Any:
    """What stands at a path by index. KeyError or IndexError where nothing does."""
    for key, index in SEGMENT.findall(path):
        if isinstance(answer, list):
            answer = answer[int(index)]
        else:
            answer = answer[key or index]
    return answer


def label(item: Any) -> str:
    """The name a person calls an item of a list by; "" when it has none. A finding is called by code and place."""
    if not isinstance(item, dict):
        return ""
    for key, between in (("at", "/"), ("edges", "+")):
        words = item.get(key)
        if isinstance(words, list) and words and all(isinstance(w, str) for w in words):
            return between.join(words)
    if "quantity" in item and isinstance(item.get("where"), dict):
        # a margin or a tolerance is called by quantity and the one thing it belongs to
        return ", ".join([str(item["quantity"]), *(f"{k} {v}" for k, v in [*item["where"].items()][:1])])
    if "code" in item and isinstance(item.get("where"), dict):
        places = (f"{k} {_place(v)}" for k, v in item["where"].items() if k not in ("along_mm", "at_mm", "at"))
        return ", ".join([str(item["code"]), *places])
    return next((str(item[k]) for k in NAMES if isinstance(item.get(k), str)), "")


def _place(value: Any) -> str:
    return "/".join(map(str, value)) if isinstance(value, list) else str(value)


def named(answer: Any, path: str, known: dict[int, list[str]] | None = None) -> str:
    """The path with names instead of indexes wherever items have them. `known` keeps what was worked out for the lists of
    this answer: whoever names many of its numbers passes the same one."""
    out, known = "", {} if known is None else known
    for key, index in SEGMENT.findall(path):
        if isinstance(answer, list):
            if id(answer) not in known:
                known[id(answer)] = _names(answer)
            out += known[id(answer)][int(index)]
            answer = answer[int(index)]
        else:
            out = joined(out, key or index)
            answer = answer[key or index]
    return out


def _names(items: list[Any]) -> list[str]:
    """How each item of a list is called: [name], [name][1] where several share it, [3] without one."""
    if not any(isinstance(x, dict) for x in items):
        return [f"[{i}]" for i in range(len(items))]
    labels = [label(x) for x in items]
    count, out = Counter(labels), []
    before: Counter[str] = Counter()
    for i, name in enumerate(labels):
        if not name or name.isdigit():
            out.append(f"[{i}]")
        else:
            out.append(f"[{name}]" if count[name] == 1 else f"[{name}][{before[name]}]")
            before[name] += 1
    return out


def unit_of(answer: dict[str, Any], path: str) -> str:
    """Unit of the number at a path, from its key; what a row's `unit` is for carries that."""
    found = IN_ROW_UNIT.fullmatch(path)
    if found:
        return str(at(answer, found[1]).get("unit", ""))
    for key, _ in reversed(SEGMENT.findall(path)):
        last = key.split("_")[-1]
        if last in UNITS and key != "n":
            return UNITS[last]
        if key in ("setback_in_rounded",):
            return "in"
        if key == "deg_rounded":
            return "deg"
    return ""


def resolved(answer: dict[str, Any], text: str) -> str:
    """The path by index of what a person typed. InputError with the nearest right path."""
    here: Any = answer
    path, group = "", None  # group: indexes of the items that share a typed name, until an index picks one
    for key, index in SEGMENT.findall(text):
        step = key or index
        try:
            if group is not None:
                pick = group[int(index)]
                path, here, group = f"{path}[{pick}]", here[pick], None
            elif isinstance(here, list):
                hits = [int(index)] if re.fullmatch(r"\d+", index) else _named(here, step)
                if len(hits) == 1:
                    path, here = f"{path}[{hits[0]}]", here[hits[0]]
                elif hits:
                    group = hits
                else:
                    raise KeyError(step)
            else:
                path, here = joined(path, step), here[step]
        except (KeyError, IndexError, ValueError, TypeError):
            raise _wrong(answer, text) from None
    if "".join(m[0] for m in SEGMENT.finditer(text)) != text or group is not None:
        raise _wrong(answer, text)
    return _to_number(answer, here, path, text)


def _named(items: list[Any], name: str) -> list[int]:
    """Indexes of the items of that name; a finding also goes by its code alone."""
    hits = [i for i, item in enumerate(items) if label(item) == name]
    return hits or [i for i, item in enumerate(items) if isinstance(item, dict) and item.get("code") == name]


# what a row of a list is about: `block.undercut[3]` opens the undercut of that row
CHIEF = {
    "block.undercut": "deg",
    "block.recesses": "undercut_deg",
    "block.rings": "undercut_deg",
    "setup.flanges": "needed_pressure_mpa",
    "margins": "margin",
    "tolerances": "forecast",
    "forecast.stations": "angle_released_deg",
}


def _to_number(answer: dict[str, Any], here: Any, path: str, text: str) -> str:
    """A row opens by the number it is about, a predicted value by its value, a least and largest by either when they are
    the same."""
    chief = CHIEF.get(path.rpartition("[")[0]) if path.endswith("]") else None
    if chief is not None and isinstance(here, dict) and here.get(chief) is not None:
        here, path = here[chief], joined(path, chief)
    if is_number(here):
        return path
    if isinstance(here, dict) and is_number(here.get("value")):
        return f"{path}.value"
    if isinstance(here, dict) and is_number(here.get("min")) and here.get("min") == here.get("max"):
        return f"{path}.min"
    raise _wrong(answer, text)


def _wrong(answer: dict[str, Any], text: str) -> InputError:
    """The fault of a path that leads to no number."""
    known = [p for p in numbers(answer) if not re.search(r"\]\[[01]\]$", p)]
    every = known + [named(answer, p) for p in known]
    short = [p.removesuffix(".value") for p in every]
    begins = [p for p in short if p.startswith(text)]
    hint = begins[0] if begins else nearest(text, every + short)
    allowed = "the path of a number of this answer; without --number all of them are listed"
    return InputError([Fault("command line", "--number", repr(text), allowed, hint)])
