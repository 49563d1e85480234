"""Why two answers differ, as lines of text for a terminal of 100 columns."""

from __future__ import annotations

import json
import re
from textwrap import wrap
from typing import Any

from ribwright.documents.explain_text import both, other_unit, plain

WIDTH, MOST = 100, 25


def lines(told: dict[str, Any]) -> list[str]:
    """Causes first, then the numbers grouped by what they are put down to, largest relative change first."""
    old, new, w = told["old"], told["new"], told["why"]
    part = new["part"]
    out = [f"{part['number']} rev {part['revision']}   fingerprint {old['fingerprint']} -> {new['fingerprint']}"]
    for sentence in w["cannot_tell"]:
        out += _wrapped(sentence)
    if not (w["numbers"] or w["causes"] or w["appeared"] or w["gone"] or w["words"]):
        return [*out, "", "Nothing changed: the same numbers from the same inputs."]
    out += _causes(w["causes"])
    if not w["numbers"]:
        out += ["", "No number changed."]
    groups: dict[tuple[int, ...], list[dict[str, Any]]] = {}
    for n in w["numbers"]:
        groups.setdefault(tuple(n["because"]), []).append(n)
    for because, rows in groups.items():
        out += ["", *_wrapped(_because(because, w["causes"]), "")]
        alike = _alike(rows)
        for n, more in alike[:MOST]:
            out += _wrapped(_number(n, more))
        hidden = sum(1 + more for _, more in alike[MOST:])
        out += [f"  and {hidden} more that changed less: --json lists all"] if hidden else []
    for title, paths in (("Only in the new answer:", w["appeared"]), ("Only in the old answer:", w["gone"])):
        out += ["", title, *(f"  {p}" for p in paths)] if paths else []
    if w["words"]:
        out += ["", "Words that changed:"]
        for row in w["words"]:
            out += _wrapped(f"{row['path']}: {row['old'] or 'nothing'} -> {row['new'] or 'nothing'}")
    return out


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    return wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def _causes(causes: list[dict[str, Any]]) -> list[str]:
    if not causes:
        return ["", "No input changed that the two answers carry."]
    out = ["", "What changed in the files:"]
    for c in causes:
        out += _wrapped(cause_words(c))
    return out


def cause_words(c: dict[str, Any]) -> str:
    """'sheet.thickness 0.635 -> 0.8128 mm (part file)'."""
    if c["old"] is None or c["new"] is None:
        return f"{c['key']} is {'new' if c['old'] is None else 'gone'} ({c['file']})"
    numbers = isinstance(c["old"], float | int) and isinstance(c["new"], float | int)
    change = _change(c["old"], c["new"], c["unit"]) if numbers else f"{_short(c['old'])} -> {_short(c['new'])}"
    return f"{c['key']} {change} ({c['file']})"


def _change(old: float, new: float, unit: str) -> str:
    """'0.635 -> 0.8128 mm (0.025 -> 0.032 in)'."""
    factor, other = other_unit(unit)
    here = f"{plain(old)} -> {plain(new)} {unit}".rstrip()
    return f"{here} ({plain(old / factor)} -> {plain(new / factor)} {other})" if other else here


def _short(value: Any) -> str:
    if isinstance(value, float | int) and not isinstance(value, bool):
        return plain(value)
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return (
        f"'{text}'"
        if text == "" or (" " in text and isinstance(value, str))
        else text
        if len(text) <= 44
        else text[:41] + "..."
    )


def _because(because: tuple[int, ...], causes: list[dict[str, Any]]) -> str:
    named = [cause_words(causes[i]) for i in because]
    if not named:
        return "Changed with no changed input they are known to depend on; look at the version of ribwright:"
    if len(named) == 1:
        return f"Because of {named[0]}:"
    return f"Because of one or several of: {'; '.join(named)}:"


def _alike(rows: list[dict[str, Any]]) -> list[tuple[dict[str, Any], int]]:
    """Numbers of one kind that made the same change, the first with how many more."""
    kinds: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    for n in rows:
        kinds.setdefault((re.sub(r"\[.*?\]", "", n["path"]), n["old"], n["new"], n["difference"]), []).append(n)
    return [(same[0], len(same) - 1) for same in kinds.values()]


def _number(n: dict[str, Any], more: int) -> str:
    path = n["path"] + (f" and {more} like it" if more else "")
    if n["old"] is None:
        return f"{path}: moved by up to {both(n['difference'], n['unit'], 'mm')}"
    return f"{path}: {_change(n['old'], n['new'], n['unit'])}, {100 * n['relative']:.3g} %"
