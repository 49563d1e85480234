"""The command line: words in, words out. Everything heavy is imported inside the commands."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ribwright.adapters.command_line import Commands, guarded, say
from ribwright.adapters.command_options import METHOD, MODEL, PAPER, PLACE, PRESS, TAKE, common, hand_asked
from ribwright.adapters.family_command import family_command
from ribwright.adapters.import_command import import_command
from ribwright.adapters.inspect_command import inspect_command
from ribwright.adapters.learn_command import learn_command
from ribwright.adapters.packet_command import PacketTools, packet_command
from ribwright.errors import Fault, InputError
from ribwright.version import __version__

if TYPE_CHECKING:
    from ribwright.work.asking import Answer, Request
    from ribwright.work.forecasting import Order
    from ribwright.work.jobs import Made
    from ribwright.work.jobs.shared import Shared

EPILOG = (
    "Exit status: 0 answered; 1 answered, with a finding that stops the job; 2 the input is wrong; "
    "3 the computation did not converge, or was cancelled (Ctrl-C)."
)


@click.group(cls=Commands, epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="ribwright")
def main() -> None:
    """Plan rubber-pad formed airframe sheet parts from one part file: flat blank and template, form block, press
    set-up, packet of documents. Works offline; calls nothing airworthy and drives no press."""


@main.command(epilog="Example: ribwright check examples/dabchick/Q7-2102-1.part.toml --press P2")
@common
@PRESS
@MODEL
@METHOD
@TAKE
@guarded
def check(part: Path, shop: Path | None, press: str, model: str, method: str, as_json: bool, **taking: Any) -> int:
    """Every finding of PART at its place: value, limit, margin, source, what to try."""
    from ribwright.work import proposing

    request = _request(part, shop, press, method, model)
    answer, copy = proposing.checked(_files(), request, _keeper(), _progress, **taking)
    return _show(answer, as_json, copy)


@main.command(epilog="Example: ribwright blank examples/dabchick/Q7-2102-1.part.toml --out blank.dxf")
@common
@METHOD
@click.option("--out", type=click.Path(path_type=Path), help="Write the cut lines: .dxf or .svg.")
@guarded
def blank(part: Path, shop: Path | None, method: str, out: Path | None, as_json: bool) -> int:
    """The flat blank of PART."""
    from ribwright.work import planning, targets, writing

    targets.check_file(out, targets.BLANK, _keeper())
    answer = planning.blank(_files(), _request(part, shop, "", method), _progress)
    if out is not None:
        writing.write_blank(answer, out, _writers(), _keeper())
    return _show(answer, as_json, out)


@main.command(
    epilog="Example: ribwright template examples/dabchick/Q7-2102-1.part.toml --kind blank --press P2 --paper a4 --out t.pdf"
)
@common
@PRESS
@MODEL
@METHOD
@click.option("--kind", default="blank", show_default=True, help="blank, check, block, drill, or bevel (gauge cards).")
@PAPER
@click.option(
    "--router",
    default="",
    help='Set the edge over for routing: "0.500 in bushing, 0.250 in cutter". Kinds blank and block.',
)
@click.option("--units", default="mm", show_default=True, help="Unit of a .dxf: mm or in.")
@click.option(
    "--circles", default="", help='Strain circles over the blank, of this diameter: "5 mm". Kind blank; default: none.'
)
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Write the template: .pdf or .dxf.")
@guarded
def template(
    part: Path,
    shop: Path | None,
    press: str,
    model: str,
    method: str,
    kind: str,
    paper: str,
    router: str,
    units: str,
    circles: str,
    out: Path,
    as_json: bool,
) -> int:
    """The 1:1 templates of PART with proof of scale: blank, check, block, drill, bevel gauge cards. With the packet's
    --press it bears the packet's fingerprint."""
    from ribwright import wiring
    from ribwright.work import templates

    order = templates.TemplateOrder(kind, paper, router, units, _typed("paper", "units"), circles)
    answer = templates.template(
        _files(), _request(part, shop, press, method, model), order, out, wiring.DiskKeeper(), _progress
    )
    templates.write_template(answer, order, out, wiring.PaperWriters(), wiring.DiskKeeper())
    return _show(answer, as_json, out)


@main.command(epilog="Example: ribwright block examples/dabchick/Q7-2102-1.part.toml --press P2 --out block.pdf")
@common
@PRESS
@MODEL
@METHOD
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Write the block: .dxf (web face and foot), .pdf (drawing), .step or .stl (solid, needs the extra [step]).",
)
@guarded
def block(part: Path, shop: Path | None, press: str, model: str, method: str, out: Path | None, as_json: bool) -> int:
    """The form block of PART: undercut along the contour, edge radius, pins, recesses. With the packet's --press it bears
    the packet's fingerprint, and its material is one that stands the pressure."""
    from ribwright import wiring
    from ribwright.work import planning, targets, writing

    targets.check_file(out, targets.BLOCK, wiring.DiskKeeper())
    answer = planning.block(_files(), _request(part, shop, press, method, model), _progress)
    if out is not None and out.suffix.lower() in writing.SOLIDS:
        answer = writing.write_solid(answer, out, wiring.KernelSolids(), wiring.DiskKeeper())
        out = None if answer.json["solid"]["refused"] else out
    elif out is not None:
        writing.write_block(answer, out, wiring.PaperWriters(), wiring.DiskKeeper())
    return _show(answer, as_json, out)


@main.command(epilog="Example: ribwright setup examples/dabchick/Q7-2102-1.part.toml --press P2")
@common
@PRESS
@MODEL
@METHOD
@guarded
def setup(part: Path, shop: Path | None, press: str, model: str, method: str, as_json: bool) -> int:
    """The press set-up for PART: pressure needed and available, gauge reading and limit, pad, lay-up."""
    from ribwright.work import planning

    return _show(planning.setup(_files(), _request(part, shop, press, method, model), _progress), as_json)


@main.command(epilog="Example: ribwright route examples/dabchick/Q7-3205-1-rev-B.part.toml")
@common
@PRESS
@MODEL
@METHOD
@guarded
def route(part: Path, shop: Path | None, press: str, model: str, method: str, as_json: bool) -> int:
    """The ways to the finished PART by temper: formed as bought, annealed then heat treated, or as quenched. Which hold, with
    their margins, what each adds, which is proposed. With the packet's --press it bears the packet's fingerprint."""
    from ribwright.work import planning

    return _show(planning.route(_files(), _request(part, shop, press, method, model), _progress), as_json)


@main.command(epilog="Example: ribwright forecast examples/dabchick/Q7-2102-1.part.toml --press P2")
@common
@PRESS
@METHOD
@click.option("--model", default="section", show_default=True, help="closed-form (at once) or section.")
@click.option("--pressure", default="", help='Pressure like "7 MPa" or "1000 psi"; without --press it acts as a fluid.')
@click.option("--undercut", default="", help="Undercut of the block in degrees, everywhere; default: the block's own.")
@click.option(
    "--pad",
    "pad",
    is_flag=True,
    help="One place under the rubber itself, not under an even pressure: force, stroke, pressure along the flange. Needs --press.",
)
@PLACE
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Draw the section: .svg or .png of the place that comes out worst, .pdf of the worst of each edge; with --pad its place.",
)
@guarded
def forecast(
    part: Path, shop: Path | None, press: str, method: str, pad: bool, out: Path | None, as_json: bool, **typed: str
) -> int:
    """What comes off the block: at each place the angle under load and after release with its band, radius, strain and
    thickness of the free edge. The quick formula answers first, then the section model. With --pad one place under the pad."""
    from ribwright import wiring
    from ribwright.work import forecasting, targets
    from ribwright.work.jobs import Made

    targets.check_file(out, targets.PICTURE, wiring.DiskKeeper())
    request, order = _request(part, shop, press, method), forecasting.Order(**typed)
    if pad:
        return _under_pad(request, order, out, as_json)
    kept = _kept_forecast(request, order)
    known = kept.found() if kept and out is None else None
    if known is not None:
        say("ribwright: computed before and kept in the data folder; taken from there")
        return _show(known, as_json)
    done = forecasting.made(_files(), request, order, _progress, _early(as_json))
    if done.answer.json["forecast"]["outcome"] == forecasting.CANCELLED:
        say("ribwright: cancelled; what had been computed is in the answer")
        out = None
    elif kept:
        kept.keep(Made(done.answer.json, done.answer.status, first=done.answer.identity.first))
    if out is not None:
        from ribwright.work.forecast_pictures import write_pictures

        write_pictures(done, out, wiring.PaperWriters(), wiring.DiskKeeper(), _progress)
    return _show(done.answer, as_json, out)


@main.command(epilog="Example: ribwright strain examples/dabchick/Q7-2101-1.part.toml --out nose-strain.svg")
@common
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Write pictures (.svg, .png, .pdf) or the table of every triangle (.csv); a folder gets all of them.",
)
@click.option(
    "--circles",
    type=click.Path(path_type=Path),
    help="Strain circles measured on a formed part: .csv of name, longest and shortest diameter; held against the map.",
)
@PRESS
@click.option(
    "--pressure", default="", help='Pressure like "7 MPa", without --press: how far the web slides that it rubs.'
)
@guarded
def strain(
    part: Path, shop: Path | None, out: Path | None, circles: Path | None, press: str, pressure: str, as_json: bool
) -> int:
    """What is strained where on PART: thickness, major and minor strain over blank and formed part by balance of the formed
    mid-surface, and the room left before each place splits. A second or some."""
    from ribwright import wiring
    from ribwright.work import straining

    straining.check_target(out, wiring.DiskKeeper())
    done = straining.made(_files(), _request(part, shop, press), _progress, circles, pressure)
    if out is not None:
        straining.write_strain(done, out, wiring.PaperWriters(), wiring.DiskKeeper())
    return _show(done.answer, as_json, out)


@main.command(
    epilog='Example: ribwright material "2024-T3 clad"; '
    'ribwright material "Lot 0232" --tensile pull.csv --like 2024-O --out lot.toml'
)
@click.argument("name", default="", metavar="[NAME]")
@click.option(
    "--shop",
    type=click.Path(path_type=Path),
    help="Shop file, whose own records stand before the catalogue's; default: the nearest shop.toml here or above.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON on standard output.")
@click.option("--paper", default="letter", show_default=True, help="letter or a4.")
@click.option(
    "--tensile", type=click.Path(path_type=Path), help="Make a record from a tensile test: .csv of strain, stress."
)
@click.option("--like", default="", help="Material that gives what a tensile test does not say (with --tensile).")
@click.option("--out", type=click.Path(path_type=Path), help="Write the card: .pdf; with --tensile the record: .toml.")
@guarded
def material(
    name: str, shop: Path | None, as_json: bool, paper: str, tensile: Path | None, like: str, out: Path | None
) -> int:
    """What is known of the material NAME, from where, and what it is used for; without NAME the list of all."""
    from ribwright import wiring
    from ribwright.work import asking, materials, targets

    if like and tensile is None:
        raise InputError([Fault("command line", "--like", repr(like), "--like together with --tensile FILE.csv")])
    if name:
        targets.check_file(out, targets.RECORD if tensile is not None else targets.CARD, wiring.DiskKeeper())
    if tensile is not None:
        answer = materials.tensile(_files(), name, tensile, shop, like)
    else:
        printed = out is not None
        answer = (
            materials.material(_files(), name, shop, paper, printed)
            if name
            else materials.material_list(_files(), shop)
        )
    if out is not None:
        materials.write_material(answer, out, wiring.PaperWriters(), wiring.DiskKeeper())
    if as_json:
        sys.stdout.buffer.write(asking.as_text(answer.json).encode())
        return 0
    for line in answer.lines:
        click.echo(line)
    if answer.record and out is None:
        click.echo(f"\nFor shop.toml:\n\n{answer.record}", nl=False)
    if out is not None:
        click.echo(f"\nWrote {out}")
    return 0


@main.command(
    epilog="Example: ribwright explain examples/dabchick/Q7-2102-1.part.toml --number 'block.undercut[upper][0].deg'"
)
@common
@click.option(
    "--number", default="", help="Path of a number in the JSON answers, like blank.edges[upper].flat_width_mm.max."
)
@PRESS
@MODEL
@METHOD
@click.option("--pressure", default="", help="Of a number of the forecast: as of forecast.")
@click.option("--undercut", default="", help="Of a number of the forecast: as of forecast.")
@click.option("--place", default="", help="Of a number under_pad...: as of forecast --pad.")
@click.option("--circles", type=click.Path(path_type=Path), help="Of a number circles...: as of strain --circles.")
@click.option("--measured", type=click.Path(path_type=Path), help="Of a number inspect...: MEASURED of inspect.")
@guarded
def explain(
    part: Path,
    shop: Path | None,
    number: str,
    press: str,
    model: str,
    method: str,
    circles: Path | None,
    measured: Path | None,
    as_json: bool,
    **typed: str,
) -> int:
    """One number of PART's answers opened: formula, inputs, source, where it holds, band, which key of which file changes it.
    Without --number: every number that opens, but those of a forecast and of the strain map."""
    from ribwright.documents.explain_text import lines
    from ribwright.work import opening
    from ribwright.work.forecasting import Order

    order = Order(model or "section", **typed) if any(typed.values()) else None
    request = _request(part, shop, press, method, model)
    answer = opening.explain(_files(), request, number, order, _progress, circles, measured)
    if as_json:
        return _show(answer, as_json)
    for line in lines(answer.json, answer.identity.first):
        click.echo(line)
    return answer.status


@main.command(epilog="Example: ribwright why old-packet/answers.json packet/answers.json")
@click.argument("old", type=click.Path(path_type=Path), metavar="OLD.json")
@click.argument("new", type=click.Path(path_type=Path), metavar="NEW.json")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON on standard output.")
@guarded
def why(old: Path, new: Path, as_json: bool) -> int:
    """Which numbers differ between two kept answers, and which changed key of which file each is put down to."""
    from ribwright.documents.why_text import lines
    from ribwright.work import asking, opening

    told = opening.why(_files(), old, new)
    if as_json:
        sys.stdout.buffer.write(asking.as_text(told).encode())
    else:
        for line in lines(told):
            click.echo(line)
    return 0


@main.command(epilog="Example: ribwright serve --data parts")
@click.option(
    "--data",
    type=click.Path(path_type=Path),
    help="Folder of the shops, made where it is not there; default: RIBWRIGHT_DATA, else ribwright in the home folder.",
)
@click.option("--port", type=click.IntRange(0, 65535), help="Port; default: 8357, or a free one where that is taken.")
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address to listen at; another than this machine's own needs the token that is then printed.",
)
@click.option("--no-open", is_flag=True, help="Do not open the page in a browser.")
@guarded
def serve(data: Path | None, port: int | None, host: str, no_open: bool) -> int:
    """The workbench in a browser, from this machine and without any other: parts drawn and written, plans, forecasts, packets."""
    from ribwright import wiring
    from ribwright.web import serving

    place = serving.Place(host, port, not no_open)
    with serving.bench_over(data or wiring.data_root()) as bench:
        serving.serve(bench, place, click.echo)
    return 0


def _under_pad(request: Request, order: Order, out: Path | None, as_json: bool) -> int:
    """One place under the pad, answered and drawn."""
    from ribwright import wiring
    from ribwright.work import under_padding

    done = under_padding.made(_files(), request, order, _progress)
    if done.answer.json["under_pad"]["outcome"] == under_padding.CANCELLED:
        say("ribwright: cancelled; what had been computed is in the answer")
        out = None
    if out is not None:
        from ribwright.work.pad_pictures import write_pad_picture

        write_pad_picture(done, out, wiring.PaperWriters(), wiring.DiskKeeper())
    return _show(done.answer, as_json, out)


def _kept_forecast(request: Request, order: Order) -> Shared | None:
    """The forecast among the results of the page's data folder; None where there is no such folder."""
    from ribwright import wiring
    from ribwright.work import jobs
    from ribwright.work.asking import DRAWN, OPPOSITE
    from ribwright.work.jobs.shared import shared

    data = wiring.data_root()
    if not data.is_dir():
        return None
    hand = OPPOSITE if request.opposite else DRAWN
    typed = {"hand": hand, "pressure": order.pressure, "undercut": order.undercut, "forecast_model": order.model}
    asked = jobs.Order(request.part, request.shop, {"press": request.press, "method": request.method, **typed})
    return shared(_files(), wiring.results_of(data), "forecast", asked)


def _wired(name: str) -> Callable[[], Any]:
    """A maker of one of the adapters that `wiring` picks, which is loaded when it is first called."""

    def make() -> Any:
        from ribwright import wiring

        return getattr(wiring, name)()

    return make


_files, _keeper = _wired("DiskFiles"), _wired("DiskKeeper")
_writers, _solids = _wired("PaperWriters"), _wired("KernelSolids")
main.add_command(import_command(_files, _keeper))


def _typed(*names: str) -> tuple[str, ...]:
    """Those of the named options that stand on the command line."""
    from click.core import ParameterSource

    source = click.get_current_context().get_parameter_source
    return tuple(f"--{name}" for name in names if source(name) is ParameterSource.COMMANDLINE)


def _request(part: Path, shop: Path | None, press: str = "", method: str = "default", model: str = "") -> Request:
    from ribwright.work.asking import OPPOSITE, Request

    return Request(part, shop, press, method, model, hand_asked() == OPPOSITE)


def _progress(what: str) -> None:
    """One line that overwrites itself, only for a person at a screen."""
    if sys.stderr.isatty():
        click.echo(f"\r\033[K{what} ...", nl=False, err=True)


def _early(as_json: bool) -> Any:
    """Shows the quick formula's numbers while the section model is at work, only to a person at a screen."""
    from ribwright.documents.forecast_screen import quick_lines

    if as_json or not sys.stderr.isatty():
        return None
    return lambda quick, first: say("\n".join([*quick_lines(quick, first), ""]))


def _show(answer: Answer | Made, as_json: bool, out: Path | None = None) -> int:
    from ribwright.documents.screen import lines
    from ribwright.work.asking import as_text

    if sys.stderr.isatty():
        click.echo("\r\033[K", nl=False, err=True)
    if as_json:
        sys.stdout.buffer.write(as_text(answer.json).encode())
    else:
        for line in lines(answer.json, answer.first):
            click.echo(line)
        if out is not None:
            click.echo(f"\nWrote {out}")
    return answer.status


_TOOLS = PacketTools(_files, _keeper, _writers, _solids, _request, _progress, _show, _wired("DiskBooks"))
main.add_command(packet_command(_TOOLS))
main.add_command(inspect_command(_TOOLS))
main.add_command(learn_command(_TOOLS))
main.add_command(family_command(_files, _keeper, _progress))
