"""A family on the screen and as a separated table: a row a part, the worst finding first, then the pins that are proposed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ribwright.documents.screen import MARKS
from ribwright.units import MM_PER_IN, show_length

HEAD = ("part", "rev", "blank", "flat width", "undercut", "findings")
NOTHING = "nothing that stops or warns"
RULE = "hole clear of bends and of other holes by 2 thicknesses each, and no wrong way to lay the blank"


def family_lines(family: Mapping[str, Any], first: str) -> list[str]:
    """The table, the findings of each part, the pins."""
    members = family["members"]
    rows = [HEAD, *(_cells(m, first) for m in members)]
    wide = [max(len(r[i]) for r in rows) for i in range(len(HEAD))]
    out = ["  ".join(c.ljust(w) for c, w in zip(r, wide, strict=True)).rstrip() for r in rows]
    for m in members:
        told = [f for f in m["findings"] if f["severity"] != "note"]
        if told:
            out += ["", f"{m['number']}:", *(f"  {MARKS[f['severity']]}  {f['say']}  [{f['code']}]" for f in told)]
    return [*out, "", *_pins(family["pins"], first)]


def table_csv(family: Mapping[str, Any], first: str) -> str:
    """The same rows for a spreadsheet: lengths in the shop's unit, angles in degrees."""
    scale = MM_PER_IN if first == "in" else 1.0
    flanges = list(dict.fromkeys(w["flange"] for m in family["members"] for w in m["flat_widths"]))
    head = ["number", "revision", f"blank x {first}", f"blank y {first}"]
    head += [f"flat width {end} {name} {first}" for name in flanges for end in ("least", "largest")]
    head += ["undercut least deg", "undercut largest deg", "stops", "warnings", "notes", "worst", "fingerprint"]
    rows = [head]
    for m in family["members"]:
        widths = {w["flange"]: w for w in m["flat_widths"]}
        row = [_as_text(m["number"]), _as_text(m["revision"]), *(f"{v / scale:.4f}" for v in m["blank_mm"])]
        row += [f"{widths[n][k] / scale:.4f}" if n in widths else "" for n in flanges for k in ("min_mm", "max_mm")]
        under = m["undercut_deg"]
        row += ["", ""] if under is None else [f"{under['min']:.2f}", f"{under['max']:.2f}"]
        rows.append([*row, *(m["counts"][s] for s in ("stop", "warn", "note")), " ".join(m["worst"]), m["fingerprint"]])
    return "".join(",".join(map(_quoted, row)) + "\n" for row in rows)


def _as_text(word: str) -> str:
    """A word that a spreadsheet shows and does not work out, as it would "=A1": a quote before it says that it is text."""
    return f"'{word}" if word.startswith(("=", "+", "-", "@")) else word


def _quoted(cell: object) -> str:
    """A cell of a separated table, in quotes where it holds a comma or quotes."""
    text = str(cell)
    return '"' + text.replace('"', '""') + '"' if set(text) & set(',"\n') else text


def _cells(m: Mapping[str, Any], first: str) -> tuple[str, ...]:
    widths = ", ".join(f"{w['flange']} {_range(w['min_mm'], w['max_mm'], first)}" for w in m["flat_widths"])
    under = m["undercut_deg"]
    counts = [
        f"{n} {word}{'s' if n > 1 else ''}"
        for k, word in (("stop", "STOP"), ("warn", "warning"))
        if (n := m["counts"][k])
    ]
    worst = f": {m['worst'][0]}" if m["worst"] else ""
    return (
        m["number"] + (" (base)" if m["base"] else ""),
        m["revision"],
        " x ".join(_plain(v, first) for v in m["blank_mm"]) + f" {first}",
        widths or "no flange",
        "not known" if under is None else _degrees(under),
        (", ".join(counts) + worst) if counts else NOTHING,
    )


def _plain(mm: float, first: str) -> str:
    return f"{mm / MM_PER_IN:.3f}" if first == "in" else f"{mm:.2f}"


def _range(low: float, high: float, first: str) -> str:
    a, b = _plain(low, first), _plain(high, first)
    return f"{a} {first}" if a == b else f"{a} to {b} {first}"


def _degrees(under: Mapping[str, float]) -> str:
    a, b = f"{under['min']:.1f}", f"{under['max']:.1f}"
    return f"{a} deg" if a == b else f"{a} to {b} deg"


def _pins(pins: Mapping[str, Any], first: Any) -> list[str]:
    """The proposal of common pins, or why there is none."""
    if pins["outcome"] == "none":
        return ["Common pins: none; no part of the family has two tooling holes."]
    whole = {"all": "every part takes them", "some": "not every part takes them"}[pins["outcome"]]
    nearer = "" if pins["drawn_nearer"] == 1.0 else f", drawn together to {100 * pins['drawn_nearer']:.0f} %"
    out = [f"Common pins, a proposal ({whole}): the holes of {pins['drawn_on']}{nearer}.", f"  Rule: {RULE}."]
    name = pins["holes"][0]["name"]
    for h in pins["holes"]:
        dx, dy = (show_length(v, first) for v in h["from_first_mm"])
        at = "the first" if h is pins["holes"][0] else f"x {dx}, y {dy} from {name}"
        out.append(f"  {h['name']}: hole {show_length(h['diameter_mm'], first)}, {at}")
    out += [f"  {p['number']}: {_where(p, name, first)}" for p in pins["parts"]]
    return [
        *out,
        "  No part file is changed by this: what differs from a drawing is for whoever owns the drawing to take.",
    ]


def _where(part: Mapping[str, Any], name: str, first: Any) -> str:
    if part["as_drawn"]:
        return "has them as drawn"
    if not part["takes"]:
        return f"does not take them: {part['why']}"
    x, y = (show_length(v, first) for v in part["first_at_mm"])
    return f"takes them, {name} at x {x}, y {y}" + (f"; {part['look']}" if part["look"] else "")
