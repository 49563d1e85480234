"""Lines of an ordinate table as cells, whatever parts them: commas, semicolons, tabs, or blanks as pasted from a drawing.

Blanks part cells and also stand within a mixed fraction ("1 1/16") and within a name ("x upper in"): a line is read the one way that
gives as many cells as it must; one that can be read in two ways is a fault.
"""

from __future__ import annotations

import itertools
import re

from ribwright.adapters.csv_table import MOST_TOLD, Row, table
from ribwright.adapters.table_columns import UNITS
from ribwright.errors import Fault

_FRACTION = re.compile(r"[0-9]+/[0-9]+")
_WHOLE = re.compile(r"[-+]?[0-9]+")
_WIDE = re.compile(r"\s{2,}|\t")


def cells(text: str, file: str, faults: list[Fault]) -> list[Row]:
    """(line number, cells) of every line that is no comment, the names first."""
    every = ((n, line.strip()) for n, line in enumerate(text.splitlines(), 1))
    lines = [(n, line) for n, line in every if line and not line.startswith("#")]
    if not lines:
        return []
    if any(sign in lines[0][1] for sign in (",", ";", "\t")):
        return table(text, file, faults)
    return _parted_by_blanks(lines, file, faults)


def _parted_by_blanks(lines: list[tuple[int, str]], file: str, faults: list[Fault]) -> list[Row]:
    n, head = lines[0]
    wide = [c for c in _WIDE.split(head) if c]
    names = wide if len(wide) > 1 else _with_units(head.split())
    out: list[Row] = [(n, names)]
    bad = []
    for n, line in lines[1:]:
        ways = [w for w in _ways(line) if len(w) == len(names)]
        if len(ways) != 1:
            found = f"{line!r}, " + ("to be read in two ways" if ways else f"{len(line.split())} words")
            bad.append(
                Fault(file, f"line {n}", found, f"{len(names)} cells parted by blanks, as in the line of the names")
            )
        out.append((n, ways[0] if ways else line.split()))
    faults += bad[:MOST_TOLD]
    if len(bad) > MOST_TOLD:
        faults.append(Fault(file, "the file", f"{len(bad) - MOST_TOLD} more such lines", "one way to read each"))
    return out


def _with_units(words: list[str]) -> list[str]:
    """Names with the unit that a blank parts from them: x in y in -> x in, y in."""
    out: list[str] = []
    for word in words:
        if out and word.strip("[]()").lower() in UNITS:
            out[-1] += " " + word
        else:
            out.append(word)
    return out


def _ways(line: str) -> list[list[str]]:
    """The ways to read a line: cells two blanks apart; else words, each whole number and fraction after it together or apart."""
    wide = [c for c in _WIDE.split(line) if c]
    words = line.split()
    if len(wide) == len(words):
        return [words]
    joints = [i for i, (a, b) in enumerate(itertools.pairwise(words)) if _WHOLE.fullmatch(a) and _FRACTION.fullmatch(b)]
    if len(wide) > 1:  # columns stand apart: what one blank parts belongs together
        return [wide]
    out = []
    for joined in itertools.product((False, True), repeat=min(len(joints), 8)):
        at = {i for i, yes in zip(joints, joined, strict=False) if yes}
        row: list[str] = []
        for i, word in enumerate(words):
            if i - 1 in at:
                row[-1] += " " + word
            else:
                row.append(word)
        out.append(row)
    return out
