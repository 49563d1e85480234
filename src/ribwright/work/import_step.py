"""A part file from a solid or a surface of the formed part: its faces read, the part recognised in them, and made again as a proof."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ribwright.documents.part_text import Outlined, part_text
from ribwright.documents.solid_screen import solid_lines
from ribwright.errors import Fault, InputError, UnitError, nearest
from ribwright.features.drawn_lines import CIRCLE, CURVE, DrawnFile, Piece
from ribwright.features.part import Hole
from ribwright.features.solid_faces import SolidFile
from ribwright.ports import SolidFiles
from ribwright.shop.shop import Shop
from ribwright.stages import answers
from ribwright.stages.blank import make_blank
from ribwright.stages.drawn_unit import confirmed
from ribwright.stages.finding import ranked
from ribwright.stages.job import take_in
from ribwright.stages.solid_left import Left, left_finding, left_over
from ribwright.stages.solid_part import DrawnPart, curve_findings, part_of_rings
from ribwright.stages.solid_proof import Proof, Worst, off_words, proof_findings, proved
from ribwright.stages.solid_ring import HEEL, INNER, MID, Seen, rings_of_web
from ribwright.stages.solid_view import looked_at
from ribwright.stages.solid_web import LEAST_T, MOST_T, web_of
from ribwright.units import LENGTH_WORDS, LENGTHS, Unit, length_mm, show_length
from ribwright.version import __version__
from ribwright.work.imported import Imported

SOLID_OPTIONS = ("length", "fit", "thickness", "face", "tooling")
FACES = (HEEL, INNER, MID)
LINE = "outside-mold-line"
FIT_MM, MOST_FIT_MM = 0.002, 1.0
SAME_HOLE_MM = 0.02
ONE_PART = "one formed part: a flat web of sheet metal with its flanges, in one thickness"
STAND_IN = "-"  # for what a person fills in, while the part is made again


@dataclass(frozen=True)
class SolidOptions:
    """What a person says about the solid: `lengths` that they know; `fit`: how far splines may lie from its curves [mm]; of a surface the
    sheet's `thickness` [mm] and which `face` of it the surface is; `tooling`: diameters of holes that take pins [mm]."""

    lengths: tuple[str, ...] = ()
    fit: float = FIT_MM
    thickness: float | None = None
    face: str = ""
    tooling: tuple[float, ...] = ()


def imported_solid(files: SolidFiles, path: Path, number: str, options: dict[str, Any]) -> Imported:
    """The part file of a solid for the part `number`; options by their names on the command line: `length`, `tooling` (several), `fit`,
    `thickness`, `face`. InputError with the reason why the solid is no such part."""
    order = _order(options)
    solid = files.solid(path)
    _check(solid, order)
    view, part = _recognised(solid, order)
    _confirmed(solid, part, order.lengths)
    part.holes = _pinned(part.holes, order.tooling)
    unit: Unit = "in" if solid.unit in ("in", "ft") else "mm"
    left = left_over(view, part)
    known = Outlined(
        number, unit, part.outer, tuple(part.cutouts), tuple(part.holes), tuple(part.flanges), LINE, part.tangents, part.flanges,
        view.web.thickness, tuple(part.corners), "a solid" if solid.closed else "a surface",
    )  # fmt: skip
    text = part_text(known, _remarks(solid, view, left))
    missing = tuple(files.part_faults(text, path.name))
    wrong = [f for f in missing if f.key not in FILLED_IN]
    if wrong:
        raise InputError([Fault(solid.file, f.key, f.found, f.allowed, f.nearest) for f in wrong])
    proof = _proof(files, view, replace(known, number=number or STAND_IN), left)
    if not proof.why and (words := off_words(proof, unit)):
        raise InputError([Fault(solid.file, "the solid", words, ONE_PART)])
    findings = ranked([*left_finding(left, unit), *proof_findings(proof, unit), *curve_findings(part, order.fit)])
    told = _told(solid, view, part, left, proof, missing)
    return Imported(text, findings, {}, told, tuple(solid_lines(told, missing)), unit)


# ---- inside

# keys of the part file that no solid says
FILLED_IN = ("part.revision", "part.number", "sheet.material")


def _order(options: dict[str, Any]) -> SolidOptions:
    faults: list[Fault] = []
    fit = _length("--fit", options.get("fit", ""), (0.0, MOST_FIT_MM), faults)
    thickness = _length("--thickness", options.get("thickness", ""), (LEAST_T, MOST_T), faults)
    face = options.get("face", "")
    if face and face not in FACES:
        faults.append(Fault("command line", "--face", repr(face), f"one of {', '.join(FACES)}", nearest(face, FACES)))
    tooling = [_length("--tooling", text, (0.0, 1000.0), faults) for text in options.get("tooling", ())]
    if faults:
        raise InputError(faults)
    pins = tuple(d for d in tooling if d is not None)
    return SolidOptions(tuple(options.get("length", ())), FIT_MM if fit is None else fit, thickness, face, pins)


def _length(key: str, text: str, allowed: tuple[float, float], faults: list[Fault]) -> float | None:
    if not text:
        return None
    try:
        mm = length_mm(text)
    except UnitError as error:
        faults.append(Fault("command line", key, error.found, f"{LENGTH_WORDS}, with its unit"))
        return None
    low, high = allowed
    if not (low <= mm <= high and mm > 0):
        faults.append(Fault("command line", key, repr(text), f"a length above {low:g} and up to {high:g} mm"))
    return mm


def _check(solid: SolidFile, order: SolidOptions) -> None:
    """InputError where a surface lacks what a solid says, or a solid is told what it says itself."""
    faults = []
    if solid.closed:
        for key, given in (("--thickness", order.thickness), ("--face", order.face)):
            if given:
                faults.append(Fault("command line", key, "with a solid", "with a surface only: a solid says it itself"))
    else:
        if order.thickness is None:
            faults.append(
                Fault(
                    solid.file,
                    "the thickness",
                    "a surface, which has none",
                    'how thick the sheet is: --thickness "0.025 in"',
                )
            )
        if not order.face:
            words = "--face heel (the side away from which the flanges turn), --face inner, or --face mid (half way)"
            faults.append(Fault(solid.file, "the face", "a surface", f"which face of the sheet it is: {words}"))
    if solid.unit not in LENGTHS and not order.lengths:
        found = f"lengths in {solid.unit!r}" if solid.unit else "no unit of length"
        faults.append(Fault(solid.file, "the unit", found, 'a length that you know: --length "36 in = width"'))
    if faults:
        raise InputError(faults)


def _recognised(solid: SolidFile, order: SolidOptions) -> tuple[Seen, DrawnPart]:
    web, why = web_of(solid, order.thickness)
    if web is None:
        raise _no_part(solid, why)
    view = looked_at(solid, web, order.face or HEEL)
    rings, why = rings_of_web(view)
    if why:
        raise _no_part(solid, why)
    part = part_of_rings(view, rings, order.fit)
    if part.why:
        raise _no_part(solid, part.why)
    return view, part


def _no_part(solid: SolidFile, why: str) -> InputError:
    return InputError([Fault(solid.file, "the solid", why, ONE_PART)])


def _confirmed(solid: SolidFile, part: DrawnPart, lengths: tuple[str, ...]) -> None:
    """InputError where a length that a person knows is not that of the solid: the part is taken in the file's unit."""
    if not lengths:
        return
    name = solid.unit if solid.unit in LENGTHS else "mm"
    each = LENGTHS[name]
    contour = [_piece(e.kind, e.points, each) for e in part.outer.edges]
    circles = [_piece(CIRCLE, (h.at, (h.at[0] + h.diameter / 2, h.at[1])), each) for h in part.holes]
    drawn = DrawnFile(solid.file, solid.schema, solid.unit, tuple(contour + circles))
    unit, faults = confirmed(drawn, contour, circles, lengths)
    if unit is not None and unit.name != name:
        found = (
            f"{'; '.join(repr(x) for x in lengths)}, by which its numbers would be {unit.name}; the file says {name}"
        )
        faults = [Fault(solid.file, "the unit", found, "a length of the part as the file has it")]
    if faults:
        raise InputError(faults)


def _piece(kind: str, points: tuple[tuple[float, float], ...], each: float) -> Piece:
    return Piece(CURVE if kind == "spline" else kind, tuple((x / each, y / each) for x, y in points), "")


def _pinned(holes: list[Hole], tooling: tuple[float, ...]) -> list[Hole]:
    """The holes, those of the diameters that take pins as tooling holes. InputError for a diameter that no round hole has."""
    plain = [h.diameter for h in holes if h.kind == "plain"]
    faults = [
        Fault(
            "command line",
            "--tooling",
            show_length(d, "mm"),
            f"a diameter of its round holes: {_sizes(plain) or 'it has none'}",
        )
        for d in tooling
        if all(abs(x - d) > SAME_HOLE_MM for x in plain)
    ]
    if faults:
        raise InputError(faults)
    return [
        replace(h, kind="tooling")
        if h.kind == "plain" and any(abs(h.diameter - d) <= SAME_HOLE_MM for d in tooling)
        else h
        for h in holes
    ]


def _sizes(diameters: list[float]) -> str:
    return ", ".join(show_length(d, "mm") for d in sorted({round(d, 3) for d in diameters}))


def _proof(files: SolidFiles, view: Seen, known: Outlined, left: tuple[Left, ...]) -> Proof:
    """The part made again from its file. The formed part does not depend on the metal: any record stands in for the one to be named."""
    catalogue = files.catalogue()
    name = next(iter(sorted(catalogue.materials)))
    file = "the part file"
    try:
        part = files.part_of_text(part_text(replace(known, material=name, revision=STAND_IN), ()), file)
        job = take_in(part, Shop(), catalogue, file)
        blank = make_blank(job)
    except InputError as wrong:
        return Proof(why="; ".join(f.sentence() for f in wrong.faults))
    return proved(view, job, blank, left)


def _remarks(solid: SolidFile, view: Seen, left: tuple[Left, ...]) -> tuple[str, ...]:
    name = "".join(c if c.isprintable() else "?" for c in Path(solid.file).name)
    each = LENGTHS.get(solid.unit, 1.0)
    x, y, z = view.frame.axes
    origin = ", ".join(f"{round(v, 6) + 0.0:.9g}" for v in (view.frame.origin / each).tolist())

    def way(v: Any) -> str:
        return f"({', '.join(f'{round(c, 9) + 0.0:.9g}' for c in v.tolist())})"

    kind = "solid" if solid.closed else "surface"
    said = [
        f"Read by ribwright {__version__} from the {kind} {name} ({solid.schema}, {solid.unit or 'mm'}).",
        f"Its origin is ({origin}) there, x runs along {way(x)}, y along {way(y)}; it looks along {way(-z)}, down on the heel face.",
    ]
    if left:
        said.append("NOT THE WHOLE PART: not understood and left out, middles in mm of this file:")
        said += [f"  {v.what} at ({v.middle[0]:.2f}, {v.middle[1]:.2f})" for v in left[:20]]
    return tuple(said)


def _told(
    solid: SolidFile, view: Seen, part: DrawnPart, left: tuple[Left, ...], proof: Proof, missing: tuple[Fault, ...]
) -> dict[str, Any]:
    kinds = [e.kind for loop in (part.outer, *part.cutouts) for e in loop.edges]
    ends = [p for e in part.outer.edges for p in e.points]
    told = {
        "file": Path(solid.file).name,
        "format": solid.schema,
        "unit": solid.unit or "mm",
        "solid": solid.closed,
        "faces": len(solid.faces),
        "thickness_mm": view.web.thickness,
        "contour_mm": [max(p[k] for p in ends) - min(p[k] for p in ends) for k in (0, 1)],
        "frame": {"origin_mm": view.frame.origin.tolist(), "axes": view.frame.axes.tolist()},
        "edges": {kind: kinds.count(kind) for kind in ("line", "arc", "spline")},
        "cutouts": len(part.cutouts),
        "holes": {kind: sum(h.kind == kind for h in part.holes) for kind in ("plain", "tooling", "lightening")},
        "flanges": [
            {
                "name": f.name,
                "turn": f.turn,
                "bend_radius_mm": f.bend_radius,
                "bend_angle_deg": {"min": min(f.bend_angle.values), "max": max(f.bend_angle.values)},
                "width_mm": {"min": min(f.width.values), "max": max(f.width.values)},
            }
            for f in part.flanges.values()
        ],
        "reliefs": len([c for c in part.corners if c.relief != "none"]),
        "left_out": [
            {"what": x.what, "at_mm": list(x.middle), "size_mm": (x.high - x.low).tolist(), "faces": len(x.faces)}
            for x in left
        ],
        "proof": {
            "solid_on_part": _worst(proof.solid),
            "part_on_solid": _worst(proof.part),
            "corners": _worst(proof.corners),
            "why_not": proof.why,
        },
        "missing": [f.key for f in missing],
    }
    return dict(answers.tidy(told))


def _worst(w: Worst | None) -> dict[str, Any] | None:
    return None if w is None else {"most_mm": w.mm, "at_mm": list(w.at), "place": w.place, "points": w.points}
