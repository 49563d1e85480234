"""Why two answers differ, as lines of text for a terminal of 100 columns."""

from __future__ import annotations

import json
from textwrap import wrap
from typing import Any

from ribwright.documents.explain_text import plain

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
        out += [_number(n) for n in rows[:MOST]]
        out += [f"  and {len(rows) - MOST} more that changed less: --json lists all"] if len(rows) > MOST else []
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
    return f"{c['key']} {_short(c['old'])} -> {_short(c['new'])} {c['unit']}".rstrip() + f" ({c['file']})"


def _short(value: Any) -> str:
    if isinstance(value, float | int) and not isinstance(value, bool):
        return plain(value)
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return f"'{text}'" if text == "" or " " in text and isinstance(value, str) else text if len(text) <= 44 else text[:41] + "..."


def _because(because: tuple[int, ...], causes: list[dict[str, Any]]) -> str:
    named = [cause_words(causes[i]) for i in because]
    if not named:
        return "Changed with no changed input they are known to depend on; look at the version of ribwright:"
    if len(named) == 1:
        return f"Because of {named[0]}:"
    return f"Because of one or several of: {'; '.join(named)}:"


def _number(n: dict[str, Any]) -> str:
    unit = f" {n['unit']}" if n["unit"] else ""
    if n["old"] is None:
        return f"  {n['path']}: moved by up to {plain(n['difference'])}{unit}"
    share = f"{100 * n['relative']:.3g} %"
    sign = "+" if n["difference"] > 0 else ""
    return f"  {n['path']}: {plain(n['old'])} -> {plain(n['new'])}{unit}  ({sign}{plain(n['difference'])}, {share})"
