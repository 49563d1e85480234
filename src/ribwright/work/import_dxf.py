"""A part file from a drawing file: its lines read, its unit confirmed by a known length, its layers given their roles."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ribwright.documents.drawing_screen import drawing_lines
from ribwright.documents.part_text import Outlined, part_text
from ribwright.errors import Fault, InputError, UnitError
from ribwright.features.drawn_lines import CIRCLE, DrawnFile
from ribwright.ports import Drawings
from ribwright.stages import answers
from ribwright.stages.drawn_file import file_findings, lost_faults, mended_words
from ribwright.stages.drawn_part import Drawing, Order, drawing_of, file_unit
from ribwright.stages.drawn_roles import CONTOUR, Role, outline_faults, roles_of
from ribwright.stages.drawn_unit import Confirmed, confirmed, extents
from ribwright.stages.finding import ranked
from ribwright.units import LENGTH_WORDS, length_mm
from ribwright.version import __version__
from ribwright.work.imported import Imported

DRAWING_OPTIONS = ("length", "role", "join", "fit", "line", "curves", "as_drawn")
LINES = ("outside-mold-line", "inside-mold-line")
MOST_JOIN_MM, MOST_FIT_MM = 5.0, 1.0
# keys of the part file whose faults are the drawing's geometry, not something that is still to be filled in
GEOMETRY = ("web.edge", "web.start", "cutout", "web.tangent")


@dataclass(frozen=True)
class DxfOptions:
    """What a person says about the drawing. `lengths` like "36 in = width"; `roles` like "A1=flange skin"; `join` and `fit` lengths:
    how far ends may lie apart, how well splines are to lie; `line`: which mold line flanged edges are drawn at; `as_drawn`: arcs that
    look inside out are meant so; `curves`: runs of short lines are chords of curves."""

    lengths: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    join: str = "0.01 mm"
    fit: str = "0.005 mm"
    line: str = ""
    as_drawn: bool = False
    curves: bool = False


def imported_drawing(files: Drawings, path: Path, number: str, options: dict[str, Any]) -> Imported:
    """The part file of a drawing for the part `number`; options by their names on the command line: `length` and `role` (several),
    `join`, `fit`, `line`, `as_drawn`, `curves`."""
    typed = {k: options[k] for k in DRAWING_OPTIONS[2:] if k in options}
    lengths, roles = (tuple(options.get(key, ())) for key in ("length", "role"))
    return imported(files, path, DxfOptions(lengths, roles, **typed), number)


def imported(files: Drawings, path: Path, options: DxfOptions, number: str = "") -> Imported:
    """The part file of a drawing. InputError with every reason why the drawing does not say what the part is."""
    order, faults = _order(options)
    drawn = files.drawing(path)
    roles, wrong = roles_of(drawn, options.roles)
    faults += wrong + outline_faults(drawn, roles)
    contour = [p for p in drawn.pieces if p.layer in roles and roles[p.layer].word in CONTOUR]
    circles = [p for p in drawn.pieces if p.kind == CIRCLE]
    unit: Confirmed | None = None
    wrong = []
    # without a contour nothing can be measured yet; how large all of it would be can be said
    if contour or (drawn.pieces and not options.lengths):
        unit, wrong = confirmed(drawn, contour or list(drawn.pieces), circles, options.lengths)
    faults += wrong + lost_faults(drawn, roles)
    if faults or unit is None:
        raise _refused(drawn, faults)
    made = drawing_of(drawn, roles, unit, order)
    if made.faults:
        raise _refused(drawn, made.faults)
    line = made.line or options.line
    known = Outlined(
        number,
        file_unit(unit.name),
        made.outer,
        tuple(made.cutouts),
        tuple(made.holes),
        made.flanges,
        line,
        made.tangents,
    )
    text = part_text(known, _remarks(drawn, unit))
    missing, wrong = _judged(files.part_faults(text, path.name), drawn.file)
    if wrong:
        raise _refused(drawn, wrong)
    findings = ranked([*file_findings(drawn, roles, unit), *made.findings])
    told = _told(drawn, unit, roles, made, missing)
    lines = drawing_lines(told, missing)
    return Imported(text, findings, {}, told, tuple(lines), file_unit(unit.name))


# ---- inside


def _refused(drawn: DrawnFile, faults: list[Fault]) -> InputError:
    """The faults; of a file that was broken that comes first, for it may be the reason of the others."""
    broken = mended_words(drawn)
    first = [Fault(drawn.file, "the file", broken, "a drawing saved whole")] if broken else []
    return InputError([*first, *faults])


def _order(options: DxfOptions) -> tuple[Order, list[Fault]]:
    faults: list[Fault] = []
    join = _length("--join", options.join, MOST_JOIN_MM, faults)
    fit = _length("--fit", options.fit, MOST_FIT_MM, faults)
    if options.line not in ("", *LINES):
        faults.append(Fault("command line", "--line", repr(options.line), f"one of {', '.join(LINES)}"))
    return Order(join, fit, options.as_drawn, options.curves), faults


def _length(key: str, text: str, most: float, faults: list[Fault]) -> float:
    try:
        mm = length_mm(text)
    except UnitError as error:
        faults.append(Fault("command line", key, error.found, f"{LENGTH_WORDS}, with its unit"))
        return most
    if not 0 < mm <= most:
        faults.append(Fault("command line", key, repr(text), f"a length above 0 and up to {most:g} mm"))
    return mm


def _judged(faults: list[Fault], file: str) -> tuple[tuple[Fault, ...], list[Fault]]:
    """(what is still to be filled in, what is wrong with the drawing's geometry) of what the reader of part files found."""
    wrong = [
        f for f in faults if f.found != "nothing" and (f.key.startswith(GEOMETRY) or f.key == "web" or ".at" in f.key)
    ]
    missing = tuple(f for f in faults if f not in wrong)
    return missing, [Fault(file, f.key, f.found, f.allowed, f.nearest) for f in wrong]


def _remarks(drawn: DrawnFile, unit: Confirmed) -> tuple[str, ...]:
    lengths = "; ".join(repr(x.typed) for x in unit.lengths)
    name = _printable(Path(drawn.file).name)
    return (
        f"Read by ribwright {__version__} from the drawing {name} ({drawn.version}).",
        f"Its numbers are {unit.name}, as confirmed by {_printable(lengths)}.",
    )


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text)


def _told(
    drawn: DrawnFile, unit: Confirmed, roles: dict[str, Role], made: Drawing, missing: tuple[Fault, ...]
) -> dict[str, Any]:
    kinds = [e.kind for e in made.outer.edges]
    contour = [p for p in drawn.pieces if p.layer in roles and roles[p.layer].word in CONTOUR]
    (left, right), (bottom, top) = extents(contour)
    told = {
        "file": Path(drawn.file).name,
        "format": drawn.version,
        "header_unit": drawn.unit,
        "unit": unit.name,
        "lengths": [
            {"typed": x.typed, "said_mm": x.mm, "drawn_mm": x.drawn * unit.mm, "off_mm": unit.off(x)}
            for x in unit.lengths
        ],
        "roles": {layer: f"{r.word} {r.flange}".strip() for layer, r in roles.items()},
        "contour_mm": [(right - left) * unit.mm, (top - bottom) * unit.mm],
        "edges": {kind: kinds.count(kind) for kind in ("line", "arc", "spline")},
        "cutouts": len(made.cutouts),
        "holes": {kind: sum(h.kind == kind for h in made.holes) for kind in ("plain", "tooling", "lightening")},
        "flanges": list(made.flanges),
        "missing": [f.key for f in missing],
    }
    return dict(answers.tidy(told))
