"""Plan rubber-pad formed airframe sheet parts: the commands of the shell as functions.

    import ribwright
    answer = ribwright.blank("rib.part.toml")["blank"]

Each function takes the part file and the command's options as keywords and returns the same answer as `--json`; so the section
model answers where a press is named, unless `model="closed-form"` is given. `opposite=True` asks for the mirrored hand of a pair.
Wrong input raises `ribwright.InputError` with every fault.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ribwright.errors import FactError, Fault, InputError, NotConverged, RibwrightError
from ribwright.version import __version__

if TYPE_CHECKING:
    from ribwright.work.asking import Answer

__all__ = [
    "FactError",
    "Fault",
    "InputError",
    "NotConverged",
    "RibwrightError",
    "__version__",
    "blank",
    "block",
    "check",
    "explain",
    "family",
    "forecast",
    "import_file",
    "inspect",
    "learn",
    "material",
    "materials",
    "packet",
    "route",
    "setup",
    "strain",
    "template",
    "tensile",
    "why",
]


def check(
    part: str | Path,
    *,
    shop: str | Path | None = None,
    press: str = "",
    model: str = "",
    method: str = "default",
    opposite: bool = False,
) -> dict[str, Any]:
    """Every finding of the part at its place."""
    return _ask("check", part, shop, press, method, model, opposite).json


def blank(
    part: str | Path,
    *,
    shop: str | Path | None = None,
    method: str = "default",
    out: str | Path | None = None,
    opposite: bool = False,
) -> dict[str, Any]:
    """The flat blank; `out` also writes its cut lines (.dxf, .svg)."""
    from ribwright import wiring
    from ribwright.work import targets, writing

    targets.check_file(Path(out) if out is not None else None, targets.BLANK, wiring.DiskKeeper())
    answer = _ask("blank", part, shop, method=method, opposite=opposite)
    if out is not None:
        writing.write_blank(answer, Path(out), wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def template(
    part: str | Path,
    *,
    out: str | Path,
    kind: str = "blank",
    shop: str | Path | None = None,
    paper: str = "letter",
    router: str = "",
    units: str = "mm",
    circles: str = "",
    press: str = "",
    model: str = "",
    method: str = "default",
    opposite: bool = False,
) -> dict[str, Any]:
    """A 1:1 template (blank, check, block, drill, bevel) with proof of scale, written to `out` (.pdf, .dxf); `circles` ("5 mm")
    prints strain circles over a blank. With the packet's `press` it bears the packet's fingerprint."""
    from ribwright import wiring
    from ribwright.work import asking, templates

    order = templates.TemplateOrder(kind, paper, router, units, circles=circles)
    request = asking.Request(Path(part), Path(shop) if shop else None, press, method, model, opposite)
    answer = templates.template(wiring.DiskFiles(), request, order, Path(out), wiring.DiskKeeper())
    templates.write_template(answer, order, Path(out), wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def block(
    part: str | Path,
    *,
    shop: str | Path | None = None,
    press: str = "",
    model: str = "",
    method: str = "default",
    out: str | Path | None = None,
    opposite: bool = False,
) -> dict[str, Any]:
    """The form block, with the packet's `press` under its fingerprint; `out` also writes it (.dxf web face and foot, .pdf
    drawing, .step or .stl solid: the answer's `solid` then says whether it was made or refused)."""
    from ribwright import wiring
    from ribwright.work import targets, writing

    targets.check_file(Path(out) if out is not None else None, targets.BLOCK, wiring.DiskKeeper())
    answer = _ask("block", part, shop, press, method, model, opposite)
    if out is not None and Path(out).suffix.lower() in writing.SOLIDS:
        return writing.write_solid(answer, Path(out), wiring.KernelSolids(), wiring.DiskKeeper()).json
    if out is not None:
        writing.write_block(answer, Path(out), wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def setup(
    part: str | Path,
    *,
    press: str,
    shop: str | Path | None = None,
    model: str = "",
    method: str = "default",
    opposite: bool = False,
) -> dict[str, Any]:
    """The press set-up on a press of the shop file."""
    return _ask("setup", part, shop, press, method, model, opposite).json


def route(
    part: str | Path, *, shop: str | Path | None = None, press: str = "", model: str = "", method: str = "default"
) -> dict[str, Any]:
    """The ways to the finished part by the temper it is formed in, which hold and which is proposed, under `route`."""
    return _ask("route", part, shop, press, method, model).json


def forecast(
    part: str | Path,
    *,
    press: str = "",
    shop: str | Path | None = None,
    model: str = "section",
    pressure: str = "",
    undercut: float | str = "",
    pad: bool = False,
    place: str = "",
    method: str = "default",
    out: str | Path | None = None,
    opposite: bool = False,
) -> dict[str, Any]:
    """What comes off the block, place by place: on a press of the shop file, or under `pressure` ("7 MPa") acting as a
    fluid. `model` "closed-form" answers at once; `undercut` [deg] stands in for the block's own. `pad` takes one `place` under
    the rubber itself (key `under_pad`). `out` also draws the section (.svg, .png the place that comes out worst, .pdf the
    worst of each edge)."""
    from ribwright import wiring
    from ribwright.work import asking, forecasting, targets, under_padding
    from ribwright.work.forecast_pictures import write_pictures
    from ribwright.work.pad_pictures import write_pad_picture

    target = None if out is None else Path(out)
    targets.check_file(target, targets.PICTURE, wiring.DiskKeeper())
    request = asking.Request(Path(part), Path(shop) if shop else None, press, method, opposite=opposite)
    order = forecasting.Order(model, pressure, str(undercut), place)
    if pad:
        padded = under_padding.made(wiring.DiskFiles(), request, order)
        if target is not None:
            write_pad_picture(padded, target, wiring.PaperWriters(), wiring.DiskKeeper())
        return padded.answer.json
    done = forecasting.made(wiring.DiskFiles(), request, order)
    if target is not None:
        write_pictures(done, target, wiring.PaperWriters(), wiring.DiskKeeper())
    return done.answer.json


def strain(
    part: str | Path,
    *,
    shop: str | Path | None = None,
    out: str | Path | None = None,
    circles: str | Path | None = None,
    press: str = "",
    pressure: str = "",
    opposite: bool = False,
) -> dict[str, Any]:
    """What is strained where, by balance of the formed mid-surface; `out` also writes pictures (.svg, .png, .pdf), the table
    of every triangle (.csv), or into a folder all of them. `circles`: a file of measured ones, held against it (key `circles`).
    `press`, or `pressure` ("7 MPa"): how far the web slides that it rubs (key `web_slip`)."""
    from ribwright import wiring
    from ribwright.work import asking, straining

    target = None if out is None else Path(out)
    straining.check_target(target, wiring.DiskKeeper())
    request = asking.Request(Path(part), Path(shop) if shop else None, press, opposite=opposite)
    measured = None if circles is None else Path(circles)
    done = straining.made(wiring.DiskFiles(), request, circles=measured, pressure=pressure)
    if target is not None:
        straining.write_strain(done, target, wiring.PaperWriters(), wiring.DiskKeeper())
    return done.answer.json


def packet(
    part: str | Path,
    *,
    out: str | Path,
    press: str = "",
    model: str = "",
    shop: str | Path | None = None,
    paper: str = "letter",
    method: str = "default",
    hand: str = "",
) -> dict[str, Any]:
    """All documents of the job, written into the folder `out`. Of a part that makes a pair those of both hands, each in a folder of its
    own, and `pair` in the answer says which and whether one block does; `hand` "drawn" or "opposite" asks for one."""
    from ribwright import wiring
    from ribwright.work import asking, pairs

    request = asking.Request(Path(part), Path(shop) if shop else None, press, method, model)
    if hand not in ("", *asking.HANDS):
        raise asking.choice("hand", hand, asking.HANDS)
    made = pairs.packet_of(
        wiring.DiskFiles(), request, hand, Path(out), paper, wiring.PaperWriters(), wiring.DiskKeeper(),
        solids=wiring.KernelSolids(),
    )  # fmt: skip
    return made.answer.json


def family(
    file: str | Path,
    *,
    out: str | Path | None = None,
    press: str = "",
    model: str = "",
    shop: str | Path | None = None,
    method: str = "default",
) -> dict[str, Any]:
    """The members of a family (NAME.family.csv) as part files in the folder `out` (default NAME-family beside the table), what each comes
    out as, and one pattern of locating pins for all, proposed."""
    from ribwright import wiring
    from ribwright.work import asking, families

    path = Path(file)
    request = asking.Request(path, Path(shop) if shop else None, press, method, model)
    folder = Path(out) if out is not None else families.default_folder(path)
    return families.family(wiring.DiskFiles(), path, request, folder, wiring.DiskKeeper()).json


def materials(*, shop: str | Path | None = None) -> dict[str, Any]:
    """Every material of the catalogue and of the shop file, with its temper and whether a flow curve is known."""
    from ribwright import wiring
    from ribwright.work import materials

    return materials.material_list(wiring.DiskFiles(), Path(shop) if shop else None).json


def inspect(
    part: str | Path,
    *measured: str | Path,
    shop: str | Path | None = None,
    press: str = "",
    method: str = "default",
    model: str = "",
    fit: str = "pins",
    accept: str | None = None,
    keep: bool = False,
    cut_from: str | Path | None = None,
    out: str | Path | None = None,
    opposite: bool = False,
) -> dict[str, Any]:
    """A formed part held against its drawing by one or more files of measurements of one piece; `out` a folder for its papers. `keep`
    puts its bend angles into the springback book; `cut_from`: the answer that its block was cut from."""
    from ribwright import wiring
    from ribwright.work import asking, inspect_papers, inspecting

    folder = Path(out) if out is not None else None
    inspect_papers.check_target(folder, "letter", wiring.DiskKeeper())
    request = asking.Request(Path(part), Path(shop) if shop else None, press, method, model, opposite)
    books = inspecting.Keeping(wiring.DiskBooks(), Path(cut_from) if cut_from else None) if keep else None
    done = inspecting.made(
        wiring.DiskFiles(), request, [Path(m) for m in measured], fit=fit, accept=accept, keep=books, out=folder
    )
    if folder is not None:
        inspect_papers.write_inspection(done, folder, "letter", wiring.PaperWriters(), wiring.DiskKeeper())
    return done.answer.json


def learn(
    part: str | Path | None = None,
    *,
    shop: str | Path | None = None,
    press: str = "",
    method: str = "default",
    model: str = "",
    cut_from: str | Path | None = None,
    opposite: bool = False,
) -> dict[str, Any]:
    """The springback book read out; with a part the next block's undercut before and after, and whether the old block, `cut_from` an
    answer or the last one measured, can be filed to it."""
    from ribwright import wiring
    from ribwright.work import asking, teaching

    place = Path(shop) if shop else None
    request = None if part is None else asking.Request(Path(part), place, press, method, model, opposite)
    return teaching.learn(wiring.DiskFiles(), place, request, Path(cut_from) if cut_from else None).json


def material(
    name: str, *, shop: str | Path | None = None, out: str | Path | None = None, paper: str = "letter"
) -> dict[str, Any]:
    """The card of one material: every number with source, standing and use; `out` also writes it (.pdf)."""
    from ribwright import wiring
    from ribwright.work import materials

    answer = materials.material(wiring.DiskFiles(), name, Path(shop) if shop else None, paper, out is not None)
    if out is not None:
        materials.write_material(answer, Path(out), wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def tensile(
    name: str, record: str | Path, *, like: str = "", shop: str | Path | None = None, out: str | Path | None = None
) -> dict[str, Any]:
    """A record for shop.toml from a tensile test (.csv); `out` also writes it (.toml)."""
    from ribwright import wiring
    from ribwright.work import materials

    answer = materials.tensile(wiring.DiskFiles(), name, Path(record), Path(shop) if shop else None, like)
    if out is not None:
        materials.write_material(answer, Path(out), wiring.PaperWriters(), wiring.DiskKeeper())
    return answer.json


def import_file(file: str | Path, out: str | Path | None = None, **options: object) -> dict[str, Any]:
    """What a drawing's file gives, as `ribwright import`; `out` writes NAME.part.toml and the tables beside it. Options by their names:
    of a table `length` and `take` (lists), `curve`, `within`, `deviation`, `skin`, `first`, `last`; of a drawing `length` and `role`
    (lists), `join`, `fit`, `line`, `curves`, `as_drawn`; of a solid `length` and `tooling` (lists), `fit`, `thickness`, `face`."""
    from ribwright import wiring
    from ribwright.work import importing

    target = None if out is None else Path(out)
    importing.check_target(target, wiring.DiskKeeper())
    made = importing.imported(wiring.DiskFiles(), Path(file), target, dict(options))
    if target is not None:
        importing.write_import(made, target, wiring.DiskKeeper())
    return made.json


def explain(
    part: str | Path,
    number: str = "",
    *,
    shop: str | Path | None = None,
    press: str = "",
    model: str = "",
    method: str = "default",
    opposite: bool = False,
) -> dict[str, Any]:
    """One number opened by its path, under `explanation`; without a path every number that opens, under `numbers`."""
    from ribwright import wiring
    from ribwright.work import asking, opening

    request = asking.Request(Path(part), Path(shop) if shop else None, press, method, model, opposite)
    return opening.explain(wiring.DiskFiles(), request, number).json


def why(old: str | Path, new: str | Path) -> dict[str, Any]:
    """Which numbers differ between two kept answers, and which changed input each is put down to."""
    from ribwright import wiring
    from ribwright.work import opening

    return opening.why(wiring.DiskFiles(), Path(old), Path(new))


def _ask(
    question: str,
    part: str | Path,
    shop: str | Path | None,
    press: str = "",
    method: str = "default",
    model: str = "",
    opposite: bool = False,
) -> Answer:
    from ribwright import wiring
    from ribwright.work import asking, planning

    request = asking.Request(Path(part), Path(shop) if shop else None, press, method, model, opposite)
    answer: Answer = getattr(planning, question)(wiring.DiskFiles(), request)
    return answer
