"""Points from an arm or a scanner: a table of x, y, z, plain rows of three numbers, or PLY, with a head that says whose they are.

    # units = mm                        the head of every file of measurements (adapters/measured_head.py); in PLY `comment units = mm`
    # part = Q7-2301-1
    x, y, z                             or x [mm], y [mm], z [mm]: then the head needs no units; columns beside them are passed over
    12.31, -4.02, 0.01
A file without names of columns is taken for plain rows, x y z first, parted by blanks, tabs, commas or semicolons. A file of measurements
whose head says `# points = scan.ply` takes its points from that file beside it, in its own units. All is refused at once, nothing guessed.
"""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ribwright.adapters.csv_table import COLUMN, SEPARATORS
from ribwright.adapters.measured_head import read_head
from ribwright.adapters.ply_points import PlyError, read_ply
from ribwright.errors import Fault, InputError
from ribwright.features.inspected import Measured
from ribwright.units import MM_PER_IN

Array = NDArray[np.float64]
LEAST, MOST = 50, 5_000_000  # points of a file
MOST_BYTES = 500_000_000
MOST_HEAD = 200  # lines of a head
LONGEST_LINE = 10_000
FARTHEST = 1e6  # from the origin [mm]
LENGTHS = {"mm": 1.0, "in": MM_PER_IN}
ENOUGH = f"{LEAST} to {MOST} points: a face takes a dozen, a part some hundred"
ROWS = 'rows of three numbers, or a row of names "x, y, z" and then one point a row; a number has a point as its decimal sign'
PLAIN_NAME = re.compile(r"[^/\\\0:]+")
_NUMBER = re.compile(rb"\s*[-+]?(?:\d|\.\d|nan|inf)", re.IGNORECASE)


def read_points(path: Path, part: str = "") -> Measured:
    """The points of a file in mm, with what its head says. `part`: the number they must be of, "" any. InputError with what is wrong."""
    file = str(path)
    content = _bytes(path)
    if content.startswith(b"ply"):
        head, points = _of_ply(content, file)
        return _measured(path, head, points, {}, part)
    head, body, names = _of_text(content, file)
    beside = _beside(path, head)
    if beside is not None:
        if body is not None:
            raise InputError(
                [Fault(file, "points", f"rows of points and the file {beside.name}", "the one or the other")]
            )
        more = _bytes(beside)
        if more.startswith(b"ply"):
            return _measured(path, head, _of_ply(more, str(beside))[1], {}, part)
        _, rows, names = _of_text(more, str(beside))
        return _measured(path, head, _numbers(beside, rows, names), names, part)
    return _measured(path, head, _numbers(path, body, names), names, part)


# ---- the file


def _bytes(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise InputError([Fault(str(path), "the file", "no such file", "a file of points: CSV, XYZ or PLY")])
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise InputError([Fault(str(path), "the file", f"{size} bytes", f"at most {MOST_BYTES} bytes")])
        content = path.read_bytes()
    except OSError as wrong:
        raise InputError(
            [Fault(str(path), "the file", f"one that cannot be read ({wrong.strerror})", "a file of points")]
        ) from wrong
    if not content.strip():
        raise InputError([Fault(str(path), "the file", "nothing in it", ENOUGH)])
    return content.removeprefix(b"\xef\xbb\xbf")


def _of_ply(content: bytes, file: str) -> tuple[str, Array]:
    """(the head as lines "# key = value", points as they stand)."""
    try:
        ply = read_ply(content, MOST)
    except PlyError as wrong:
        raise InputError([Fault(file, wrong.key, wrong.found, wrong.allowed)]) from wrong
    return "\n".join(f"# {c}" for c in ply.comments), ply.points


Body = tuple[int, str]  # lines before the first point, what parts its numbers


def _of_text(content: bytes, file: str) -> tuple[str, Body | None, dict[str, str]]:
    """(head, where the points begin or None where there are none, name of a column -> its unit or "" in their order)."""
    if b"\0" in content[:4096]:
        raise InputError([Fault(file, "the file", "binary data that is no PLY", "a text of points, or PLY")])
    head: list[str] = []
    at = before = 0
    while at < len(content) and before < MOST_HEAD:
        end = content.find(b"\n", at)
        line = content[at : end if end >= 0 else len(content)].strip()
        if len(line) > LONGEST_LINE:
            found = f"{len(line)} characters"
            raise InputError([Fault(file, f"line {before + 1}", found, f"at most {LONGEST_LINE}: one point a row")])
        if line and not line.startswith(b"#"):
            break
        head.append(line.decode("utf-8", "replace"))
        at, before = (end + 1 if end >= 0 else len(content)), before + 1
    else:
        return "\n".join(head), None, {}
    sign = next((s for s in SEPARATORS if s.encode() in line), "")
    if _NUMBER.match(line):
        return "\n".join(head), (before, sign), {}
    names = {}
    for cell in line.decode("utf-8", "replace").split(sign or None):
        hit = COLUMN.fullmatch(cell.strip().strip('"'))
        names[hit["name"].lower() if hit else f"{cell.strip()} "] = (hit["unit"] or "") if hit else ""
    missing = [a for a in "xyz" if a not in names]
    if missing:
        found = f"no column {', '.join(missing)} in {line[:80].decode('utf-8', 'replace')!r}"
        raise InputError([Fault(file, f"line {before + 1}", found, ROWS)])
    return "\n".join(head), (before + 1, sign), names


def _beside(path: Path, head: str) -> Path | None:
    """The file that a head names for its points."""
    hit = re.search(r"^#\s*points\s*=\s*(.*?)\s*$", head, re.MULTILINE | re.IGNORECASE)
    if hit is None:
        return None
    name = hit[1].strip('"')
    if not PLAIN_NAME.fullmatch(name) or name in (".", ".."):
        raise InputError([Fault(str(path), "points", repr(name), "the plain name of a file that lies beside this one")])
    return path.parent / name


def _numbers(path: Path, body: Body | None, names: dict[str, str]) -> Array:
    """Points (n, 3) as they stand."""
    if body is None:
        raise InputError([Fault(str(path), "the file", "no points", ROWS)])
    skip, sign = body
    columns = [list(names).index(a) for a in "xyz"] if names else [0, 1, 2]
    _check_cells(path, skip, sign, len(names) or 3)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of a file without rows: it is told below
            return np.loadtxt(
                path,
                delimiter=sign or None,
                skiprows=skip,
                usecols=columns,
                ndmin=2,
                encoding="utf-8",
                max_rows=MOST + 1,
            )
    except (ValueError, IndexError, UnicodeDecodeError):
        raise InputError([_bad_row(path, skip, sign, columns)]) from None


def _check_cells(path: Path, skip: int, sign: str, wanted: int) -> None:
    """Of the first point: a comma within numbers would shift every column unseen."""
    with path.open(encoding="utf-8", errors="replace") as lines:
        for n, line in enumerate(lines, 1):
            if n > skip and line.strip() and not line.startswith("#"):
                cells = line.strip().split(sign or None)
                if len(cells) != wanted and not (sign == "" and len(cells) > wanted):
                    found = f"{len(cells)} numbers in {line.strip()[:60]!r}"
                    raise InputError([Fault(str(path), f"line {n}", found, f"{wanted} a row: {ROWS}")])
                return


def _bad_row(path: Path, skip: int, sign: str, columns: list[int]) -> Fault:
    """The first row that is no point."""
    with path.open(encoding="utf-8", errors="replace") as lines:
        for n, line in enumerate(lines, 1):
            cells = line.split("#")[0].strip().split(sign or None)
            if n <= skip or not line.split("#")[0].strip():
                continue
            try:
                _ = [float(cells[i]) for i in columns]
            except (ValueError, IndexError):
                return Fault(str(path), f"line {n}", repr(line.strip()[:80]), ROWS)
    return Fault(str(path), "the file", "rows that cannot be read", ROWS)


# ---- what it says


def _measured(path: Path, head: str, points: Array, names: dict[str, str], part: str) -> Measured:
    file, faults = str(path), list[Fault]()
    units = {names[a] for a in "xyz"} if names else set()
    if units - {""}:
        if len(units) != 1 or not units <= set(LENGTHS):
            raise InputError(
                [Fault(file, "units", ", ".join(sorted(map(repr, units))), 'the same of "mm" and "in" at x, y and z')]
            )
        if not re.search(r"^#\s*units\s*=", head, re.MULTILINE | re.IGNORECASE):
            head = f"# units = {next(iter(units))}\n{head}"
    said = read_head(head, file, faults)
    if said is not None and part and said.part != part:
        faults.append(Fault(file, "part", repr(said.part), f"{part!r}: these are points of another part"))
    faults += _faults_of(file, points)
    if faults or said is None:
        raise InputError(faults)
    factor = LENGTHS[next(iter(units)) if units - {""} else said.units]
    far = float(np.max(np.abs(points))) * factor
    if far > FARTHEST:
        raise InputError(
            [
                Fault(
                    file,
                    "the points",
                    f"one {far:.3g} mm from the origin",
                    f"within {FARTHEST:g} mm of it: is the unit right?",
                )
            ]
        )
    return Measured(file, said, points=points * factor)


def _faults_of(file: str, points: Array) -> list[Fault]:
    if not LEAST <= len(points) <= MOST:
        many = f"more than {MOST}" if len(points) > MOST else f"{len(points)}"
        return [Fault(file, "the points", f"{many} points", ENOUGH)]
    odd = ~np.isfinite(points).all(axis=1)
    if odd.any():
        said = (
            f"{int(odd.sum())} points with a coordinate that is no number, the first is point {int(np.argmax(odd)) + 1}"
        )
        return [Fault(file, "the points", said, "finite numbers; leave out what was not measured")]
    return []
