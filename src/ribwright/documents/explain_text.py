"""A number opened, as lines of text for a terminal of 100 columns."""

from __future__ import annotations

import re
from textwrap import wrap
from typing import Any

from ribwright.documents.judged_words import cited
from ribwright.units import MM_PER_IN, MPA_PER_PSI, N_PER_SHORT_TON

WIDTH, MOST_KEYS = 100, 16
OTHER_UNITS = {
    "mm": (MM_PER_IN, "in"),
    "mm2": (MM_PER_IN**2, "in2"),
    "mm3": (MM_PER_IN**3, "in3"),
    "MPa": (MPA_PER_PSI, "psi"),
    "N": (N_PER_SHORT_TON, "short ton"),
}
BACK = {"in": (1 / MM_PER_IN, "mm"), "psi": (1 / MPA_PER_PSI, "MPa")}
ORIGINS = {
    "typed": "stands in a file",
    "fact": "a fact",
    "constant": "a constant of this tool",
    "rounded": "a number in steps",
    "geometry": "measured on computed curves",
    "solved": "solved numerically",
    "formula": "by a closed formula",
}


def plain(value: float) -> str:
    """Six figures; an exponent only for what is smaller than a millionth."""
    if abs(value) >= 1e6:
        return f"{value:.0f}"
    text = f"{value:.6g}"
    return f"{value:.9f}".rstrip("0").rstrip(".") if "e" in text and abs(value) >= 1e-6 else text


def other_unit(unit: str) -> tuple[float, str]:
    """What to divide by for the other unit of the pair, and its name; "" where there is none."""
    return {**OTHER_UNITS, **BACK}.get(unit, (1.0, ""))


def both(value: float | str, unit: str, first: Any = "in") -> str:
    """The number in its unit and the other one, the shop's first."""
    factor, other = other_unit(unit)
    here = f"{value if isinstance(value, str) else plain(value)} {unit}".strip()
    if isinstance(value, str) or not other:
        return here
    there = f"{plain(value / factor)} {other}"
    return f"{there} ({here})" if (first == "in") != (unit in BACK) else f"{here} ({there})"


def brief(value: float, unit: str, first: Any) -> str:
    """The number for a list: a share or chance, which has no unit of measure, to four figures."""
    whole = isinstance(value, str) or unit in OTHER_UNITS or unit in BACK or float(value).is_integer()
    return both(value if whole else float(f"{value:.4g}"), unit, first)


def lines(answer: dict[str, Any], first: Any) -> list[str]:
    """Text of `explain`: one number, or the list of those that open."""
    part = answer["part"]
    out = [f"{part['number']} rev {part['revision']}   fingerprint {answer['fingerprint']}"]
    stops = sum(f["severity"] == "stop" for f in answer["findings"])
    out += [f"STOP  {stops} finding{'s' if stops > 1 else ''} stop this job: see ribwright check"] if stops else []
    return out + [
        "",
        *(_one(answer["explanation"], first) if "explanation" in answer else _list(answer["numbers"], first)),
    ]


def _told(label: str, text: str) -> list[str]:
    """A labelled paragraph; nothing for no text."""
    return wrap(text, WIDTH, initial_indent=f"{label:<12}", subsequent_indent=" " * 12) if text else []


def _one(e: dict[str, Any], first: Any) -> list[str]:
    out = [f"{e['named']} = {both(e['value'], e['unit'], first)}", ""]
    out += _told("", e["what"]) + _told("how", ORIGINS[e["origin"]]) + _told("formula", e["formula"])
    out += _inputs(e["inputs"], first)
    out += _told("source", cited(e["source"]))
    inside = {True: " This case lies inside.", False: " This case lies OUTSIDE.", None: ""}[e["inside"]]
    out += _told("holds for", e["validity"] and f"{e['validity'].rstrip('.')}.{inside}")
    out += _told("band", e["band"]) + _told("compared", e["compared"])
    if e["again"] is not None and e["origin"] not in ("typed", "fact", "constant"):
        out += _told("again", f"the formula from these inputs gives {both(e['again'], e['unit'], first)}")
    return out + _changes(e["changes"])


def _inputs(inputs: list[dict[str, Any]], first: Any) -> list[str]:
    out = []
    for k, i in enumerate(inputs):
        opens = f"; opens as {i['path']}" if i["path"] and not i["path"].startswith("inputs.") else ""
        text = f"{i['symbol']} = {both(i['value'], i['unit'], first)}: {i['name']} [{i['from']}{opens}]"
        out += _told("with" if k == 0 else "", text)
    return out


def _changes(keys: list[dict[str, str]]) -> list[str]:
    """The keys file by file; a long list of one kind is cut short."""
    files: dict[str, list[str]] = {}
    for k in keys:
        files.setdefault(k["file"], []).append(k["key"])
    out: list[str] = []
    for i, (file, names) in enumerate(files.items()):
        if len(names) > MOST_KEYS:
            names = list(
                dict.fromkeys(re.sub(r"^(hole\[.*?\]|flange\.[^.]*|material \".*?\").*", r"\1", n) for n in names)
            )
        more = f" and {len(names) - MOST_KEYS} more: --json lists all" if len(names) > MOST_KEYS else ""
        out += _told("changed by" if i == 0 else "", f"{file}: {', '.join(names[:MOST_KEYS])}{more}")
    return out


def _list(numbers: list[dict[str, Any]], first: Any) -> list[str]:
    """A line a number; the points of a curve are one line."""
    out = ["Numbers that open with --number PATH (a name may stand for an index):", ""]
    curve = ""
    for n in numbers:
        found = re.fullmatch(r"(.*(?:outline|foot)_mm)\[\d+\]\[\d+\]", n["named"])
        if found and found[1] == curve:
            continue
        curve = found[1] if found else ""
        path = f"{curve}[point][0 for x, 1 for y]" if found else n["named"]
        out.append(f"  {path:<58} {'' if found else brief(n['value'], n['unit'], first)}".rstrip())
    return out
