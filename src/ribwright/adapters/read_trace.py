"""The outline of a part or a blank traced from a scan or a photo: a separated file of the marks, whose head names the picture.

    # units = mm
    # part = Q7-2301-1
    # what = blank               or part
    # image = blank.png          beside this file
    # uncertainty = 0.05 mm      how well the places of the marks are known, expanded; without it 0.1 mm
    mark, px, py, x, y
    A, 212, 1804, 0, 0

`px, py` is the pixel where a mark is seen, roughly, column and row from the picture's upper left; `x, y` its true place, in the head's
units or those of the column (`x [mm]`), y upward. Four marks or more, round the part, no three of four in line. The mark's middle is found
near the typed pixel, perspective and unequal scale are removed by all of them together; more than four must agree. A lens bends lines and
is not removed.

What comes back: the outlines in mm in the marks' frame, and in `said.uncertainty` the expanded uncertainty of one of their points, of

    marks    covariance of the map, from the places typed and the middles found (0.1 pixel, standard)
    edge     0.1 pixel, 0.15 of the blur for the picture's own light curve (an exponent of 1.8 in place of 2.2 moves the edge by 0.09
             to 0.14 of it, reckoned), the noise of one point

as independent; the marks' share is common to neighbouring points and does not average out, so all of it is kept (coverage factor 2).
Where the file says that a camera took it and fewer than six marks could show its lens, 0.3 % of half the field's diagonal is added.
What makes every edge stand off alike (0.1 pixel, the blur's share) is in `alike` too: it moves no middle of a hole.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ribwright.adapters.csv_table import COLUMN, MOST_TOLD, Row, number_in, table
from ribwright.adapters.measured_head import read_head
from ribwright.adapters.picture import Picture, read_picture
from ribwright.adapters.picture_marks import find_mark
from ribwright.adapters.toml_text import read_text
from ribwright.adapters.tracing_there import missing, tracing_installed
from ribwright.errors import Fault, InputError, nearest
from ribwright.features.inspected import Measured, Said
from ribwright.geometry.homography import IN_LINE, Homography, best_four, fit_homography
from ribwright.units import MM_PER_IN

Array = NDArray[np.float64]
NEEDED = ("mark", "px", "py", "x", "y")
COLUMNS = (*NEEDED, "note")
LENGTHS = {"mm": 1.0, "in": MM_PER_IN}
LEAST_MARKS, MOST_MARKS = 4, 20
LONGEST_MM = 1e5
USUAL = 0.1  # expanded uncertainty of a mark's place where the head does not say [mm]
MIDDLE = 0.1  # standard uncertainty of a mark's middle in the picture [pixel]
EDGE, OF_BLUR = 0.1, 0.15  # of an edge: [pixel], share of its blur
FAR_OFF = 5.0  # times what marks are known to: one that stands so far off does not agree
LEAST_OFF = 0.5  # mm: a mark that stands off by less is borne, and widens the uncertainty
LENS_MARKS = 6  # from so many on a lens shows in how they agree
OF_FIELD = 0.003  # of half the field's diagonal that a camera's lens may move an edge, expanded (estimate, untested)
OBLIQUE = 2.0  # pixels are this much finer one way than the other: asked about
LEAST_OPENING = 1.5  # mm across
LEAST_OPENING_PIXELS = 6.0
EXAMPLE = ", ".join(NEEDED)


@dataclass(frozen=True)
class Mark:
    """A row: name, pixel as typed, true place [mm]."""

    line: int
    name: str
    pixel: tuple[float, float]
    place: tuple[float, float]


def read_trace(path: Path) -> Measured:
    """The outlines of the picture that a file names. InputError with every fault of the file; then of its marks; then of the picture."""
    text = read_text(path, "a file of measurements")
    said, marks = parse_marks(text, str(path))
    if not tracing_installed():
        raise missing()
    picture = read_picture(path.parent / said.image)
    return traced(picture, said, marks, str(path))


def parse_marks(text: str, file: str = "the measurements") -> tuple[Said, tuple[Mark, ...]]:
    """Head and marks from the text itself."""
    faults: list[Fault] = []
    said = read_head(text, file, faults)
    rows = table(text, file, faults)
    columns = _columns(rows, said, file, faults)
    if said is not None and (not said.image or "/" in said.image or "\\" in said.image or said.image.startswith(".")):
        allowed = 'a line "# image = photo.png": a picture beside this file'
        faults.append(Fault(file, "image", repr(said.image) if said.image else "nothing", allowed))
    marks = [m for row in rows[1 : MOST_MARKS + 1] if columns and (m := _mark(row, columns, file, faults)) is not None]
    if columns and not LEAST_MARKS <= len(rows) - 1 <= MOST_MARKS:
        allowed = f"{LEAST_MARKS} to {MOST_MARKS}, one line a mark under the names of the columns"
        faults.append(Fault(file, "the file", f"{len(rows) - 1} marks", allowed))
    first: dict[str, int] = {}
    for m in marks:
        if m.name in first:
            faults.append(
                Fault(
                    file, f"line {m.line}, mark", f"{m.name} again", f"a mark once; it stands in line {first[m.name]}"
                )
            )
        first.setdefault(m.name, m.line)
    if faults or said is None:
        raise InputError(faults[:MOST_TOLD])
    return said, tuple(marks)


def _columns(rows: list[Row], said: Said | None, file: str, faults: list[Fault]) -> dict[str, tuple[int, float]]:
    """name -> (column, factor); empty after a fault."""
    if not rows:
        if not faults:
            faults.append(Fault(file, "the file", "no marks", f'a row of names like "{EXAMPLE}", then one line a mark'))
        return {}
    n, head = rows[0]
    before, out = len(faults), dict[str, tuple[int, float]]()
    bare = LENGTHS[said.units] if said is not None else 1.0
    for i, cell in enumerate(head):
        hit = COLUMN.fullmatch(cell)
        name, unit = (hit["name"].lower(), hit["unit"]) if hit else (cell, None)
        if name not in COLUMNS:
            faults.append(
                Fault(file, f"line {n}", f"a column {cell!r}", "columns " + ", ".join(COLUMNS), nearest(name, COLUMNS))
            )
        elif name in out:
            faults.append(Fault(file, f"line {n}", f"two columns {name}", f"one column {name}"))
        elif name in ("x", "y") and unit is not None and unit not in LENGTHS:
            faults.append(Fault(file, f"line {n}", f"unit {unit!r}", f'"mm" or "in", as in "{name} [mm]"'))
        else:
            out[name] = (i, (LENGTHS[unit] if unit else bare) if name in ("x", "y") else 1.0)
    faults += [Fault(file, f"line {n}", f"no column {c}", f"columns like {EXAMPLE}") for c in NEEDED if c not in out]
    return out if len(faults) == before else {}


def _mark(row: Row, columns: dict[str, tuple[int, float]], file: str, faults: list[Fault]) -> Mark | None:
    n, cells = row
    typed = {k: cells[i] if i < len(cells) else "" for k, (i, _) in columns.items()}
    values: dict[str, float] = {}
    for key in NEEDED[1:]:
        value = number_in(typed[key])
        most = LONGEST_MM / (columns[key][1] if key in ("x", "y") else 1.0)
        if value is None or not abs(value) <= most or (value < 0 and key in ("px", "py")):
            what = "a pixel, counted from the upper left" if key in ("px", "py") else "a length, a number with a point"
            faults.append(Fault(file, f"line {n}, {key}", repr(typed[key]) if typed[key] else "nothing", what))
        else:
            values[key] = value * columns[key][1]
    if not typed["mark"]:
        faults.append(Fault(file, f"line {n}, mark", "nothing", "a name for the mark, such as A"))
    if len(values) < 4 or not typed["mark"]:
        return None
    return Mark(n, typed["mark"], (values["px"], values["py"]), (values["x"], values["y"]))


def traced(picture: Picture, said: Said, marks: tuple[Mark, ...], file: str) -> Measured:
    """Outlines of a picture by its marks. InputError where a mark is not found, marks do not agree, or there is no part."""
    from ribwright.adapters.picture_outline import NotTraced, trace

    image = f"{file}, {said.image}"
    seen = _seen(picture, marks, file)
    true = np.array([m.place for m in marks])
    sd_place = (said.uncertainty if said.uncertainty is not None else USUAL) / 2.0
    map_, agree = _map(seen, true, sd_place, marks, file)
    size = np.linalg.svd(map_.slopes(seen.mean(axis=0)[None])[0], compute_uv=False)
    if size[0] > OBLIQUE * size[1]:
        found = f"a picture {size[0] / size[1]:.1f} times finer one way than the other"
        allowed = "a look from nearly square above: are the marks typed in their order, and their places right?"
        raise InputError([Fault(file, "the marks", found, allowed)])
    mm = float(np.sqrt(size[0] * size[1]))
    try:
        got = trace(picture.light, seen, max(LEAST_OPENING / mm, LEAST_OPENING_PIXELS))
    except NotTraced as why:
        raise InputError([Fault(image, "the picture", why.found, why.allowed)]) from None
    rings = tuple(map_.moved(r) for r in got.rings)
    outer = got.rings[0]
    few = outer[:: max(1, len(outer) // 400)]
    scale = np.linalg.svd(map_.slopes(few), compute_uv=False)[:, 0]
    edge = np.sqrt(EDGE**2 + (OF_BLUR * got.blur) ** 2 + got.noise**2)
    lens = OF_FIELD * float(np.hypot(*np.ptp(true, axis=0))) / 2.0 if picture.lens and len(marks) < LENS_MARKS else 0.0
    sd = float(np.hypot(np.percentile(np.hypot(map_.sd(few), edge * scale), 95.0), lens / 2.0))
    alike = float(np.percentile(np.hypot(EDGE, OF_BLUR * got.blur) * scale, 95.0))
    note = (
        f"outline of {said.image}: {mm:.3f} mm a pixel, {len(outer)} points, edge blur {got.blur * mm:.3f} mm; {agree}; "
        f"uncertainty of a point {2.0 * sd:.3f} mm. The lens's own distortion and the height of an edge over the marks are not removed."
    )
    if said.uncertainty is None:
        note += f" How well the marks' places are known was not said: {USUAL:g} mm is taken."
    if lens:
        note += f" Taken by a camera, and {len(marks)} marks do not show what its lens bends: {lens:.2f} mm are allowed for it."
    if got.passed_over:
        note += f" {got.passed_over} openings or specks were passed over as too small or too dim."
    if got.lost > 0.02:
        note += f" {100.0 * got.lost:.0f} % of the outline showed no clear edge and was left out."
    return Measured(file, replace(said, uncertainty=2.0 * sd), rings=rings, note=note, alike=2.0 * alike)


def _seen(picture: Picture, marks: tuple[Mark, ...], file: str) -> Array:
    """Middles of the marks (n, 2) [pixel]."""
    faults: list[Fault] = []
    rows, columns = picture.light.shape
    out = np.zeros((len(marks), 2))
    for k, m in enumerate(marks):
        at = np.array(m.pixel)
        if not (at[0] < columns and at[1] < rows):
            found = f"pixel {at[0]:g}, {at[1]:g} of a picture {columns} wide and {rows} high"
            faults.append(
                Fault(file, f"line {m.line}, mark {m.name}", found, "a pixel of the picture, column then row")
            )
            continue
        mark = find_mark(picture.light, at)
        if mark is None:
            found = f"no mark near pixel {at[0]:g}, {at[1]:g}"
            allowed = "a disc or a cross with equal arms, standing clear, dark on light or light on dark: is the pixel typed column first?"
            faults.append(Fault(file, f"line {m.line}, mark {m.name}", found, allowed))
            continue
        out[k] = mark.at
        for j in range(k):
            if np.hypot(*(out[j] - mark.at)) < 1.0:
                found = f"the mark that {marks[j].name} is too"
                faults.append(Fault(file, f"line {m.line}, mark {m.name}", found, "a mark of its own"))
    if faults:
        raise InputError(faults)
    return out


def _map(seen: Array, true: Array, sd_place: float, marks: tuple[Mark, ...], file: str) -> tuple[Homography, str]:
    """The map of the picture, and a sentence on how well the marks agree. InputError where they do not."""
    four, worth = best_four(true)
    if worth < IN_LINE:
        found = f"{marks[four[0]].name} to {marks[four[3]].name}, three of them nearly in line"
        raise InputError([Fault(file, "the marks", found, "four marks round the part of which no three lie in line")])
    up = seen * (1.0, -1.0)
    same = [np.sign(_turn(up[list(t)])) == np.sign(_turn(true[list(t)])) for t in _threes(four)]
    if not any(same):
        allowed = "is the picture mirrored, or are places typed with y downward? A piece seen from its inner face has face = inner"
        raise InputError([Fault(file, "the marks", "marks that run round the other way in the picture", allowed)])
    order = "marks typed in the order in which they stand: two of them look exchanged"
    if not all(same):
        raise InputError([Fault(file, "the marks", "marks that stand in another order in the picture", order)])
    try:
        map_ = fit_homography(seen, true, MIDDLE, sd_place)
    except ValueError:
        raise InputError([Fault(file, "the marks", "marks that no picture can show so", order)]) from None
    left = np.hypot(*(map_.moved(seen) - true).T)
    if len(marks) == LEAST_MARKS:
        return map_, "four marks, which always agree: a fifth would prove them"
    size = np.linalg.svd(map_.slopes(seen), compute_uv=False)[:, 0]
    usual = np.sqrt(2.0 * (sd_place**2 + (MIDDLE * size) ** 2))
    k = int(np.argmax(left / usual))
    if left[k] > max(FAR_OFF * usual[k], LEAST_OFF):
        found = f"{marks[k].name} {left[k]:.2f} mm away from where the others put it"
        allowed = "marks that agree: a place mistyped, a sheet that is not flat, or a lens that bends straight lines"
        raise InputError([Fault(file, f"line {marks[k].line}, mark {marks[k].name}", found, allowed)])
    worse = np.sqrt(float((left**2 / usual**2).sum()) * 2.0 / (2 * len(marks) - 8))
    if worse > 1.0:
        map_ = replace(map_, cov=map_.cov * worse**2)
    rms = float(np.sqrt((left**2).mean()))
    more = (
        " (more than they are known to, so the uncertainty is widened: the sheet may not be flat, or the lens bends lines)"
        if worse > 2.0
        else ""
    )
    return map_, f"{len(marks)} marks agree within {left.max():.3f} mm, {rms:.3f} mm rms{more}"


def _turn(p: Array) -> float:
    return float((p[1, 0] - p[0, 0]) * (p[2, 1] - p[0, 1]) - (p[1, 1] - p[0, 1]) * (p[2, 0] - p[0, 0]))


def _threes(four: tuple[int, ...]) -> list[tuple[int, int, int]]:
    a, b, c, d = four
    return [(a, b, c), (a, b, d), (a, c, d), (b, c, d)]
