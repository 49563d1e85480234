"""One place under the pad as a sheet: the press in section with the rubber's elements, the bend closer, what happens over pressure."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.documents import pad_chart as charts
from ribwright.documents.entry_table import fine_length
from ribwright.documents.forecast_screen import place_words
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    Fit,
    NumberBox,
    Piece,
    beside,
    content_width,
    gap,
    heading,
    number_boxes,
    picture,
    prose,
    sheet,
    shifted,
    small,
    split_units,
)
from ribwright.documents.pad_shape import (
    block_ring,
    faces,
    grid_lines,
    near_window,
    one_state,
    pad_ring,
    thinned,
    whole_window,
)
from ribwright.documents.page import Clip, Item, Line, Page, Polyline, Stroke, Text
from ribwright.documents.section_shape import hatched
from ribwright.stages.forecast_answer import SAYS
from ribwright.units import MM_PER_IN, MPA_PER_PSI, N_PER_SHORT_TON, Unit, plain, show_angle, show_length, show_pressure

if TYPE_CHECKING:
    from ribwright.mechanics.pad_model.answer import PadRun
    from ribwright.mechanics.pad_model.press import PadPress
    from ribwright.mechanics.section.model import Flange
    from ribwright.stages.under_pad import UnderPad

Array = NDArray[np.float64]
RUBBER, SHEET = 0.92, 0.25
MESH, SKIN, SOLID, AXIS = Stroke(0.08, 0.5), Stroke(0.25), Stroke(0.5), Stroke(0.15, 0.0, (3.0, 0.8, 0.6, 0.8))
HATCH, GHOST, WINDOW = Stroke(0.12, 0.5), Stroke(0.3, 0.0, (1.6, 0.9)), Stroke(0.2)
APART = 1.3  # of the rubber's lines in the whole picture [mm on paper]
TALL, WALL = 118.0, 3.0  # height of the pictures at most, of what stands for table, ram and container [mm]
CHART = 78.0
NOT_COMPARED = "Computed by the pad model. " + SAYS
FOOT = NOT_COMPARED + "\nNot an airworthiness approval: the shop's approved data and authorised people decide."
WAVES = "Pressure along the sheet is taken over about one element of the rubber: waves as long as that are the model's own. "
WHY_NOT = {
    "not-converged": "The pad model stopped here; what is drawn is how far it came.",
    "cancelled": "Stopped by hand; what is drawn is how far it came.",
}


def pad_pages(u: UnderPad, identity: Identity, paper: str = "letter") -> tuple[Page, ...]:
    """The sheets of one place under the pad."""
    return sheet(identity, "Under the pad", paper, pad_pieces(u, identity, content_width(paper)), FOOT)


def pad_pieces(u: UnderPad, identity: Identity, width: float) -> list[Piece]:
    """Everything that is said and drawn of it."""
    laid, first, run = u.laid, identity.first, u.run
    assert laid.plan.setup is not None
    assert laid.flange is not None
    assert laid.press is not None
    assert run is not None
    where = place_words(laid.chosen.place.where, first)
    pieces = [heading(f"{where}, press {laid.plan.setup.press.id}", width)]
    pieces += small(_what_it_is(u, identity), width)
    if u.outcome in WHY_NOT:
        pieces += prose(WHY_NOT[u.outcome], width, font="bold")
    pieces += [gap(1.5), number_boxes(_boxes(u, first), width, 15.0)]
    half = width / 2.0 - 2.0
    pieces += [gap(1.0), beside((0.0, [_whole(run, laid.flange, laid.press, half)]), (width - half, [_near(u, half)]))]
    pieces += [*small(_drawn_words(u, first), width), *small(_taken(u, first), width), gap(2.0)]
    if len(run.path) > 2:
        pieces.append(beside((0.0, [_stroke(u, first, half)]), (width - half, [_on_flange(u, first, half)])))
        pieces.append(gap(2.0))
        rest = [(0.0, [_angle(u, first, half)])]
        if run.points:
            rest.append((width - half, [_along(u, first, half)]))
        pieces.append(beside(*rest))
    return pieces


def _what_it_is(u: UnderPad, identity: Identity) -> str:
    laid, first = u.laid, identity.first
    f, p = laid.flange, laid.press
    assert f is not None
    assert p is not None
    return (
        f"{identity.material} {identity.thickness}; straight edge; block edge radius {show_length(f.radius, first)}, wall "
        f"{show_angle(f.wall, 2)} from flat, straight part {show_length(f.straight, first)}; "
        f"block {show_length(p.block_height, first)} high, half of it {show_length(p.block_half, first)}; "
        f"pad {show_length(p.thickness, first)} thick, "
        f"{'in a container' if p.contained else 'loose'}, shear modulus {plain(laid.pad.shear, 2)} MPa ({laid.pad.shear_is})."
    )


def _boxes(u: UnderPad, first: Unit) -> list[NumberBox]:
    """What closes it, what stays in the rubber, what comes off."""
    run = u.run
    assert run is not None
    boxes: list[NumberBox] = []
    if run.closing is not None:
        value, other = split_units(show_pressure(run.closing, first))
        boxes.append(NumberBox("closes at, at the ram", value, other, loud=True))
    elif u.left_open is not None and run.lost is None:
        boxes.append(NumberBox("stays open by", show_angle(u.left_open), "under the last pressure reached", loud=True))
    if u.fluid_closing is not None:
        value, other = split_units(show_pressure(u.fluid_closing, first))
        boxes.append(NumberBox("a fluid closes it at", value, other))
    if u.lost is not None:
        value, other = split_units(show_pressure(u.lost, first))
        boxes.append(NumberBox("stays in the rubber", value, other))
    last = run.points[-1] if run.points else None
    if last is not None and last.released is not None:
        at = show_pressure(u.laid.pressures[len(run.points) - 1], first)
        boxes.append(NumberBox("released, in the hand", show_angle(last.released.angle), f"after {at}"))
    return boxes


# ---------------------------------------------------------------- sections


def _line(points: Array | list[tuple[float, float]], fit: Fit, stroke: Stroke) -> Polyline:
    return Polyline(tuple(fit(float(x), float(y)) for x, y in points), False, stroke)


def _area(points: list[tuple[float, float]], fit: Fit, stroke: Stroke | None, fill: float | None) -> Polyline:
    return Polyline(tuple(fit(x, y) for x, y in points), True, stroke, fill)


def _section(
    run: PadRun, f: Flange, p: PadPress, fit: Fit, least: float, hatch: float, sheet_shown: bool
) -> list[Item]:
    """Pad with its elements, block and sheet. `least`: lines of elements closer than that are left out [mm on paper]."""
    items: list[Item] = [_area(pad_ring(run), fit, SKIN, RUBBER)]
    for lines in grid_lines(run):
        items += [_line(line, fit, MESH) for line in thinned(lines, least / fit.scale)]
    ring = block_ring(f, p)
    items.append(_area(ring, fit, None, 1.0))
    items += [Line(*a, *b, HATCH) for a, b in hatched([fit(x, y) for x, y in ring], hatch)]
    items.append(_line(ring[1:], fit, SOLID))
    if sheet_shown:
        inner, outer = faces(run.points[-1].loaded, f, p)
        # the web goes on to the middle of the block as it lies there
        rows = [
            (0.0, float(inner[0, 1])),
            *map(tuple, inner.tolist()),
            *map(tuple, outer[::-1].tolist()),
            (0.0, float(outer[0, 1])),
        ]
        items.append(_area(rows, fit, Stroke(0.15), SHEET))
    return items


def _solid(x0: float, y0: float, x1: float, y1: float) -> list[Item]:
    """Something that does not give: a hatched bar on paper."""
    ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    return [*(Line(*a, *b, HATCH) for a, b in hatched(ring, 1.2, 135.0))]


def _whole(run: PadRun, f: Flange, p: PadPress, width: float) -> Piece:
    """The press in half section: ram, pad, block, sheet, table, container."""
    box, top = whole_window(p, run), 6.5
    scale = min((width - WALL - 1.0) / box.size[0], (TALL - top - 2 * WALL) / box.size[1])
    wide, tall = scale * box.size[0], scale * box.size[1]
    low = -top - WALL - tall
    fit = Fit(scale, -scale * box.x0, low - scale * box.y0)
    drawn = _section(run, f, p, fit, APART, 1.6, one_state(run))
    items: list[Item] = [Text(0.0, -4.0, "The press in half section", 9.5, "bold")]
    items.append(Clip(0.0, low, wide, tall, tuple(drawn)))
    items += [*_solid(0.0, low + tall, wide, low + tall + WALL), Line(0.0, low + tall, wide, low + tall, SOLID)]
    items += [*_solid(0.0, low - WALL, wide, low), Line(0.0, low, wide, low, SOLID)]
    if p.contained and box.x1 >= p.half_width - 1e-9:
        items += [*_solid(wide, low - WALL, wide + WALL, low + tall + WALL), Line(wide, low, wide, low + tall, SOLID)]
    if box.x0 <= 1e-9:
        items.append(Line(0.0, low - WALL, 0.0, low + tall + WALL, AXIS))
    return picture(items, -low + WALL + 1.0)


def _near(u: UnderPad, width: float) -> Piece:
    """The bend and the flange larger, the rubber's elements as they are; dashed the part in the hand."""
    run, f, p = u.run, u.laid.flange, u.laid.press
    assert run is not None
    assert f is not None
    assert p is not None
    shown = [np.array(block_ring(f, p)[1:])]
    released = None
    if run.points:
        shown += list(faces(run.points[-1].loaded, f, p))
        if run.points[-1].released is not None and one_state(run):
            released = faces(run.points[-1].released, f, p)
            shown += list(released)
    box, top = near_window(f, p, shown), 6.5
    scale = min(width / box.size[0], (TALL - top) / box.size[1])
    wide, tall = scale * box.size[0], scale * box.size[1]
    fit = Fit(scale, -scale * box.x0, -top - tall - scale * box.y0)
    drawn = _section(run, f, p, fit, 0.0, 3.0, one_state(run))
    if released is not None:
        inner, outer = released
        drawn.append(_line([*map(tuple, outer.tolist()), *map(tuple, inner[::-1].tolist())], fit, GHOST))
    if box.y0 < 0.0:
        drawn += _solid(*fit(box.x0, box.y0), *fit(box.x1, 0.0))
        drawn.append(Line(*fit(box.x0, 0.0), *fit(box.x1, 0.0), SOLID))
    ring = ((0.0, -top - tall), (wide, -top - tall), (wide, -top), (0.0, -top))
    words = f"The flange, {plain(scale, 1)} times as large as the part"
    return picture(
        [
            Text(0.0, -4.0, words, 9.5, "bold"),
            Clip(0.0, -top - tall, wide, tall, tuple(drawn)),
            Polyline(ring, True, WINDOW),
        ],
        top + tall + 1.0,
    )


def _drawn_words(u: UnderPad, first: Unit) -> str:
    run, p = u.run, u.laid.press
    assert run is not None
    assert p is not None
    stroke, pressure = float(run.path[-1, 0]), float(run.path[-1, 1])
    words = (
        f"Drawn at {show_pressure(pressure, first)} at the ram, which has come down {show_length(stroke, first)} since "
        "the pad touched the sheet. "
        "Grey: the rubber with the edges of its elements (in the whole picture some of them only). Hatched: block, table, ram"
        f"{', container' if p.contained else ''}. "
    )
    if run.points and run.points[-1].released is not None and one_state(run):
        words += "Dashed: the part in the hand, laid on the block's web face. "
    if not one_state(run):
        words += "The sheet is left out: the run ended between two pressures at which it was looked at. "
    if not p.contained:
        words += "The pad is loose: there is no container's wall. "
    return words + "True to scale."


def _taken(u: UnderPad, first: Unit) -> str:
    s = u.laid.section
    assert s is not None
    what = "container's wall" if not u.laid.pad.loose else "edge of the pad"
    counted = f", {show_length(s.room, first)} of it counted" if s.room < s.beside else ""
    return (
        f"Taken: a plane section, the same on both sides of the block's middle; half the block {show_length(s.half, first)} (half of "
        f"{show_length(s.across, first)} across there, no more than half its least width {show_length(s.narrow, first)}); "
        f"{show_length(s.beside, first)} from its edge to the {what}{counted}; no friction. {WAVES}"
        f"Not known: how far the numbers may be off. {NOT_COMPARED}"
    )


# ---------------------------------------------------------------- charts


def _pressure_unit(first: Unit) -> tuple[float, str]:
    return (MPA_PER_PSI, "psi") if first == "in" else (1.0, "MPa")


def _ram_scale(u: UnderPad, first: Unit) -> tuple[Array, tuple[float, float], str]:
    """Ram pressures of the path in the shop's unit, the ends of their scale, the unit."""
    assert u.run is not None
    size, name = _pressure_unit(first)
    p = u.run.path[:, 1] / size
    rising = p[p > 0.0]
    return p, (max(float(rising.min()), float(rising.max()) / 200.0), 1.1 * float(rising.max())), name


def _stroke(u: UnderPad, first: Unit, width: float) -> Piece:
    assert u.run is not None
    assert u.laid.plan.setup is not None
    p, ends, name = _ram_scale(u, first)
    length = MM_PER_IN if first == "in" else 1.0
    stroke = u.run.path[:, 0] / length
    size, press = _pressure_unit(first)[0], u.laid.plan.setup.press
    area = press.pad.size_mm[0] * press.pad.size_mm[1]
    force, tons = (N_PER_SHORT_TON, "short ton") if first == "in" else (1000.0, "kN")
    axes = charts.Axes(ends, (0.0, charts.round_top(float(stroke.max()))), (width, CHART), bottom=16.5)
    unit = "in" if first == "in" else "mm"
    items = charts.frame(
        axes,
        "Stroke and force of the ram",
        f"ram pressure, {name}",
        f"stroke, {unit}",
        (size * area / force, f"ram force, {tons}"),
    )
    items += charts.curve(axes, p, stroke)
    rows = [("full", "stroke since the pad touched")]
    if u.run.closing is not None:
        items += charts.upright(axes, u.run.closing / size)
        rows.append(("dotted", "flange closed"))
    return _with_key(items, rows, width)


def _on_flange(u: UnderPad, first: Unit, width: float) -> Piece:
    assert u.run is not None
    p, ends, name = _ram_scale(u, first)
    size = _pressure_unit(first)[0]
    on = u.run.path[:, 2] / size
    shown = np.concatenate([p[p >= ends[0]], on[(p >= ends[0]) & (on > 0.2 * ends[0])]])
    high = (0.95 * float(shown.min()), 1.1 * float(shown.max()))
    axes = charts.Axes(ends, high, (width, CHART), bottom=16.5, log_y=True)
    items = charts.frame(
        axes, "What of it comes to the flange", f"ram pressure, {name}", f"pressure on the straight part, {name}"
    )
    items += charts.curve(axes, p, p, charts.DASHED)
    items += charts.curve(axes, p, on)
    rows = [("full", "mean on the straight part"), ("dashed", "a fluid's: the ram's own")]
    return _with_key(items, rows, width)


def _angle(u: UnderPad, first: Unit, width: float) -> Piece:
    run = u.run
    assert run is not None
    p, ends, name = _ram_scale(u, first)
    size = _pressure_unit(first)[0]
    wall, asked = u.laid.wall, u.laid.chosen.place.angle
    axes = charts.Axes(ends, (0.0, 20.0 * np.ceil((max(wall, asked) + 1.0) / 20.0)), (width, CHART))
    items = charts.frame(axes, "Angle of the flange", f"ram pressure, {name}", "angle from flat, deg")
    items += [*charts.level(axes, wall), *charts.curve(axes, p, run.path[:, 3])]
    rows = [("full", "under load"), ("dotted", "wall")]
    if u.fluid is not None and len(u.fluid.ramp) > 2:
        items += charts.curve(axes, u.fluid.ramp[:, 0] / size, u.fluid.ramp[:, 1], charts.DASHED)
        rows.append(("dashed", "under a fluid"))
    for points, kind, words in (
        (run.points, "ring", "released"),
        (u.fluid.points if u.fluid is not None else (), "dot", "released from a fluid"),
    ):
        off = [(q.pressure / size, q.released.angle) for q in points if q.released is not None]
        items += charts.rings(axes, off, kind == "dot")
        rows += [(kind, words)] if off else []
    return _with_key(items, rows, width)


def _along(u: UnderPad, first: Unit, width: float) -> Piece:
    run, f = u.run, u.laid.flange
    assert run is not None
    assert f is not None
    last = run.points[-1]
    size, name = _pressure_unit(first)
    length, unit = (MM_PER_IN, "in") if first == "in" else (1.0, "mm")
    x, y = last.along / length, last.pressure_along / size
    start = max(float(x.min()), -0.6 * float(x.max()))
    top = charts.round_top(1.02 * max(float(y[x >= start].max(initial=0.0)), last.pressure / size))
    axes = charts.Axes((start, float(x.max())), (0.0, top), (width, CHART), log=False)
    title = f"Pressure along the sheet at {show_pressure(u.laid.pressures[len(run.points) - 1], first)}"
    items = charts.frame(
        axes, title, f"along the sheet from the bend's beginning, {unit}", f"pressure of the rubber, {name}"
    )
    items += charts.upright(axes, 0.0) + charts.upright(axes, f.arc() / length)
    items += charts.curve(axes, [axes.x[0], axes.x[1]], [last.pressure / size] * 2, charts.DASHED)
    items += charts.curve(axes, x, y)
    rows = [
        ("full", "rubber on the sheet"),
        ("dashed", "ram"),
        ("dotted", f"bend, {fine_length(f.arc(), first).partition(' (')[0]} long"),
    ]
    return _with_key(items, rows, width)


def _with_key(items: list[Item], rows: list[tuple[str, str]], width: float) -> Piece:
    key = charts.key_lines(rows, width)
    return picture([*items, *shifted(key.items, 0.0, -CHART)], CHART + key.height)
