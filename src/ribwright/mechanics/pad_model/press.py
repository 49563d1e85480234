"""A flange formed by a rubber pad: pressed from the first touch through the ram pressures asked for, and let go at each.

While the rubber still flows down beside the block the ram is moved by strokes: pressure hardly rises there, and a flange that goes
over is followed. Once the pad is full the ram pushes with pressures. A step is judged by how far it turns the sheet: small as the
flange comes to the wall, where the released angle is decided (docs/section_pad.md has the studies). Nothing here was compared
with a real formed part.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model import answer
from ribwright.mechanics.pad_model.answer import PadPoint, PadRun
from ribwright.mechanics.pad_model.mesh import Zones, pad_mesh
from ribwright.mechanics.pad_model.newton import settle
from ribwright.mechanics.pad_model.profile import press_profile
from ribwright.mechanics.pad_model.release import let_go
from ribwright.mechanics.pad_model.rubber import Rubber, corners, stretches
from ribwright.mechanics.pad_model.sheet import PressedStrip, laid_flat
from ribwright.mechanics.pad_model.system import RAM_SPRING, System, system_of
from ribwright.mechanics.section.formed import fitted_angle, look
from ribwright.mechanics.section.model import WITHIN_DEG, Flange, closing_pressure, strip_of
from ribwright.mechanics.section.strip import Strip

Array = NDArray[np.float64]

FILLET = 3.0  # [mm] at the block's foot and in the container's corner: rubber never quite fills a sharp one
SINK = 0.05  # [mm] the depth at which a soft wall pushes with the ram's pressure
TURN = 0.25  # a step turns the sheet by so much of what an element of the bend has to turn
TURN_MOST = 2.4  # times that: taken again with less
SLOW, FAST, SLOW_TO = 1.12, 1.3, 1.6  # growth of pressure a step; until so many times the closing pressure
FULL = 4.0  # times G: from here on, the pad being full, the ram pushes
STROKE_FIRST, STROKE_MOST = 0.1, 1.0  # [mm]
TOLERANCE = 2e-3  # of the ram's pressure, on 1 mm
FIRST_LOOK = 10.0  # times that: where it is looked for twice, the first only says where pushes and faces will be
STEPS, HALVINGS, HALVINGS_BEFORE_DRAG = 70, 7, 2  # a search that has not ended by then does not end: it is cut instead
# times the ram's pressure for 1 mm: where a sheet goes over by itself; so often in a row it is made larger before that is given up
DRAG_FIRST, DRAG_LAST, DRAGS, HELD = 3.0, 0.02, 60, 4
PATH_MOST = 800  # steps of a whole run; 30 to 150 are usual
STRAIN_MOST = 0.6  # share of the pad's thickness: no pad is squeezed by more


@dataclass(frozen=True)
class PadPress:
    """Press, pad and block in half section, the block's middle at x = 0. Lengths mm.

    rubber; thickness of the pad; half_width of the container, or of a loose pad (contained False); block_half: from the middle of the
    block to where the planes of its web face and its wall meet; block_height over the table; allowed_strain: share of its
    thickness by which the pad may be squeezed, None: not known. bend_size, rest_size: elements of the rubber, None: chosen.
    """

    rubber: Rubber
    thickness: float
    half_width: float
    block_half: float
    block_height: float
    contained: bool = True
    allowed_strain: float | None = None
    bend_size: float | None = None
    rest_size: float | None = None


def faults(f: Flange, p: PadPress) -> tuple[str, ...]:
    """What forbids pressing, or speaks against it, before anything is pressed."""
    out = []
    wall = np.radians(f.wall)
    tangent = p.block_half - f.radius * np.tan(wall / 2.0)
    if f.axis is not None or f.friction:
        out.append(answer.NOT_MODELLED)
    if not 0.0 < p.rubber.shear < np.inf:
        out.append(answer.NO_MODULUS)
    if p.contained and tangent + f.arc() + f.straight > p.half_width - f.t:
        out.append(answer.FOULS)
    depth = (f.radius + f.t) * (1.0 - np.cos(wall)) + f.straight * np.sin(wall)
    if depth > p.block_height:
        out.append(answer.ON_TABLE)
    fill = p.block_height * (1.0 - p.block_half / p.half_width) if p.contained else 0.0
    if fill > (p.allowed_strain or STRAIN_MOST) * p.thickness:
        out.append(answer.TOO_TALL)
    return tuple(out)


def sizes(f: Flange, p: PadPress) -> tuple[float, float]:
    """Elements of the rubber over the bend and elsewhere [mm]."""
    bend = p.bend_size or float(np.clip((f.radius + f.t) / 4.0, 0.5, 1.25))
    return bend, p.rest_size or max(bend, 1.4)


def system_for(f: Flange, p: PadPress) -> System:
    """The section before it is pressed: flat blank on the block, the pad just touching it."""
    tangent = p.block_half - f.radius * float(np.tan(np.radians(f.wall) / 2.0))
    web = min(max(4.0 * (f.radius + f.t), f.straight + f.arc()), max(tangent - 0.5, 2.0 * f.t))
    strip = strip_of(replace(f, web=web))
    profile = press_profile(
        p.block_half, p.block_height, f.radius, f.wall, p.half_width if p.contained else None, FILLET, FILLET
    )
    bend, rest = sizes(f, p)
    zones = Zones(tangent - max(0.5 * p.block_height, 8.0), tangent + 2.0, bend, rest)
    mesh = pad_mesh(p.half_width, p.thickness, p.block_height + f.t, zones)
    return system_of(mesh, p.rubber, profile, laid_flat(strip, np.array([tangent, p.block_height])), p.half_width)


@dataclass(frozen=True, eq=False)
class _At:
    """Where the pressing has come to."""

    system: System
    x: Array
    pressure: float
    slope: float = 0.0  # of pressure over stroke [MPa/mm]
    turned: float = 0.0  # rad, by the last step
    gone: Array | None = None  # the move of the last step
    # [MPa] of the ram's pressure that could be gone at once: tried again from there, not from the whole
    rise: float = np.inf

    @property
    def stroke(self) -> float:
        return -float(self.x[self.system.ram])

    @property
    def angle(self) -> float:
        sheet = self.system.sheet
        return fitted_angle(sheet.strip, sheet.state)


def outer_pressure(system: System, x: Array, size: float) -> Array:
    """What the rubber pushes on the sheet's outer face with (m,) [MPa], element by element, over about `size` [mm]."""
    t = system.touching(x)
    arc = system.sheet.strip.arc
    middle = 0.5 * (arc[1:] + arc[:-1])
    on = t.segment > 0  # the first segment is the web before the strip
    seg = t.segment[on] - 1
    at = arc[seg] + t.along[on] * np.diff(arc)[seg]
    near = np.exp(-0.5 * ((middle[:, None] - at) / (0.6 * size)) ** 2) * t.span[on]
    total = near.sum(1)
    return np.where(total > 1e-6, (near * t.on_sheet[on]).sum(1) / np.maximum(total, 1e-12), 0.0)


def _go(at: _At, to: System, size: float, counts: list[int]) -> _At | None:
    """To a stroke or a pressure; None: no balance was found, or the sheet turned too far at once."""
    g = to.rubber.shear
    x, thetas = _ahead(at, to), to.sheet_ids[:, 2]
    for again in (True, False):  # the second time with the pushes and faces that the first one found
        near = TOLERANCE * (FIRST_LOOK if again else 1.0) * max(at.pressure, 0.3 * g)
        found = settle(to, x, near, *to.measures(), STEPS)
        counts[0] += found.steps
        counts[1] += found.factors
        if not found.settled:
            return None
        x = found.x
        turned = float(np.abs((x - at.x)[thetas[thetas >= 0]]).max())
        if turned > TURN_MOST * _turn_wanted(at.system.sheet.strip):
            return None
        if again:
            to = replace(to, sheet=to.sheet.seen(to.sheet_at(x), outer_pressure(to, x, size)))
    pressure = to.ram_pressure(found.x)
    sheet = to.sheet.commit(to.sheet_at(found.x), outer_pressure(to, found.x, size), pressure)
    moved = -float(found.x[to.ram]) - at.stroke
    slope = (pressure - at.pressure) / moved if moved > 1e-9 else at.slope
    return _At(replace(to, sheet=sheet), found.x, pressure, slope, turned, found.x - at.x)


def _ahead(at: _At, to: System) -> Array:
    """A guess where the step ends: on as the last one went, where that leaves the rubber whole and on its side of the sheet."""
    if at.gone is None or to.stroke is None or at.system.stroke is None:
        return at.x
    last = -float(at.gone[to.ram])
    part = (to.stroke - at.stroke) / last if last > 1e-6 else 0.0
    if not 0.0 < part < 2.0:
        return at.x
    there = at.x + part * at.gone
    return there if to.sound(at.x, there) else at.x


def _turn_wanted(strip: Strip) -> float:
    """[rad] The place where the sheet leaves the block must not go past an element of the bend in one step: what it leaves behind
    would be bent in lumps. A short flange has smaller elements than its bend; they do not count, no bend passes over them."""
    mid_radius = strip.radius + 0.5 * strip.t
    middle, long = 0.5 * (strip.arc[1:] + strip.arc[:-1]), np.diff(strip.arc)
    return TURN * float(long[(middle > 0.0) & (middle < mid_radius * strip.wall)].min()) / mid_radius


def press_pad(
    f: Flange,
    p: PadPress,
    pressures: tuple[float, ...],
    release: bool = True,
    on_step: Callable[[float], bool] | None = None,
) -> PadRun:
    """Press the flange through rising ram `pressures` [MPa] > 0, each force over the width of the pad, and release at each.

    `on_step(share done)` may answer False to stop. Whatever happens is a value: see `PadRun`.
    """
    wrong = faults(f, p)
    if set(wrong) - {answer.TOO_TALL}:
        return PadRun(
            f,
            (),
            np.zeros((0, 5)),
            None,
            answer.REFUSED,
            wrong,
            0.0,
            0,
            0,
            np.zeros((0, 2)),
            np.zeros((0, 4), np.int64),
        )
    system = system_for(f, p)
    size = float(system.mesh.quads.area.min() ** 0.5)
    at = _At(system, np.zeros(system.size), 0.0)
    path, points, counts = [_row(at, 0.0)], [], [0, 0]
    closing: float | None = None
    folded: float | None = None
    outcome, stride, past = answer.REACHED, STROKE_FIRST, 0.0
    for goal in pressures:
        while at.pressure < goal * (1.0 - 1e-9) and outcome == answer.REACHED:
            if on_step is not None and not on_step(_share(at, pressures[-1], f.wall)):
                outcome = answer.CANCELLED
                break
            growth = SLOW if closing is None or at.pressure < SLOW_TO * closing else FAST
            new = _step(at, goal, growth, stride, size, counts)
            if new is None or len(path) > PATH_MOST:
                outcome = answer.STOPPED if folded is None else answer.FOLDS
                break
            if new.stroke > STRAIN_MOST * p.thickness:
                outcome = answer.SPENT
                break
            if new.system.stroke is not None:
                wanted = _turn_wanted(new.system.sheet.strip) / max(new.turned, 1e-6)
                stride = float(np.clip((new.stroke - at.stroke) * np.clip(wanted, 0.4, 1.6), 0.01, STROKE_MOST))
            if closing is None and new.angle >= f.wall - WITHIN_DEG:
                part = (f.wall - WITHIN_DEG - at.angle) / max(new.angle - at.angle, 1e-12)
                closing = at.pressure + part * (new.pressure - at.pressure)
            before, at = at.pressure, new
            path.append(_row(at, _on_flange(f, at)))
            if folded is None and corners(at.system.mesh.quads, at.system.rubber_at(at.x)).min() <= 0.0:
                folded = before
            if p.allowed_strain is not None and at.stroke <= p.allowed_strain * p.thickness:
                past = at.pressure
        if outcome != answer.REACHED:
            break
        points.append(_point(f, p, at, release))
    found = list(wrong)
    if outcome == answer.SPENT or (p.allowed_strain is not None and at.stroke > p.allowed_strain * p.thickness):
        found.append(answer.TOO_SHALLOW)
    if outcome == answer.REACHED and not points[-1].closed and closing_pressure(f, pressures[-1]) is not None:
        found.append(answer.TOO_HARD)
    if folded is not None:
        found.append(answer.FOLDED)
        if closing is not None and folded < closing:
            closing = None  # of a fold: no forecast
    return PadRun(
        f, tuple(points), np.array(path), closing, outcome, tuple(found), at.pressure, counts[0], counts[1],
        at.system.rubber_at(at.x), at.system.mesh.quads.quads, past if answer.TOO_SHALLOW in found else None,
        folded,
    )  # fmt: skip


def _step(at: _At, goal: float, growth: float, stride: float, size: float, counts: list[int]) -> _At | None:
    """One step towards the pressure `goal`; None: none was found however small."""
    g = at.system.rubber.shear
    full = at.pressure > FULL * g
    aim = min(goal, growth * at.pressure, at.pressure + 2.0 * at.rise) if full else goal
    if at.slope > 0.0 and not full:
        stride = min(stride, max((growth - 1.0) * max(at.pressure, 0.3 * g) / at.slope, 1e-3))
    least, follows = (growth - 1.0) * at.pressure * 0.5**HALVINGS, True
    for tries in range(HALVINGS):
        wall = max(at.pressure, g) / SINK
        if full:
            if aim - at.pressure < min(least, goal - at.pressure):
                return None
            sheet = replace(at.system.sheet, outer=at.system.sheet.outer * (aim / at.pressure))
            to = replace(at.system, sheet=sheet).pushed(aim, wall * aim / at.pressure)
            new = _go(at, to, size, counts)
            aim = at.pressure + 0.5 * (aim - at.pressure)
        else:
            give = at.pressure * at.system.width / RAM_SPRING  # what the spring that draws the ram gives already
            to = at.system.drawn(at.stroke + give + stride, wall)
            new = _go(at, to, size, counts)
            if new is not None and new.pressure > goal:
                there = _go(at, at.system.pushed(goal, wall), size, counts)
                new = there if there is not None else None
            stride *= 0.5
        if new is not None:
            return replace(new, rise=new.pressure - at.pressure if full and tries else 2.0 * at.rise)
        if follows and tries >= HALVINGS_BEFORE_DRAG:
            new = _followed(at, to, size, counts)
            if new is not None:
                return replace(new, rise=np.inf)
            follows = False
    return None


def _followed(at: _At, to: System, size: float, counts: list[int]) -> _At | None:
    """A sheet that goes over by itself, however small the step: let go a little way, remembered, let go again.

    What holds it back fades to nothing; so it is followed, not jumped. Where a sheet held fast does not help it is the rubber that
    folds, and there is nothing to follow.
    """
    unit = max(at.pressure, to.rubber.shear)
    drag, here, held = DRAG_FIRST * unit, at, 0
    for _ in range(DRAGS):
        new = _go(here, replace(to, sheet=here.system.sheet).dragged(drag, here.x), size, counts)
        if new is None:
            drag, held = 4.0 * drag, held + 1
            if held > HELD:
                return None
            continue
        held = 0
        here = replace(new, system=new.system.dragged(0.0, new.x), gone=None)
        if drag < DRAG_LAST * unit:
            free = _go(here, replace(to, sheet=here.system.sheet), size, counts)
            if free is not None:
                return replace(free, gone=None, slope=0.0)
        drag *= 0.7 if new.turned > 0.5 * _turn_wanted(to.sheet.strip) else 0.25
    return None


def _row(at: _At, on_flange: float) -> tuple[float, float, float, float, float]:
    largest = float(stretches(at.system.mesh.quads, at.system.rubber_at(at.x)).max())
    return at.stroke, at.pressure, on_flange, at.angle, largest


def _share(at: _At, last: float, wall: float) -> float:
    """How much is done: half of it the bending, half the rise of pressure after it."""
    g = at.system.rubber.shear
    rise = np.log(max(at.pressure / g, 1.0)) / max(np.log(last / g), 1e-9)
    return float(min(0.5 * min(at.angle / wall, 1.0) + 0.5 * rise, 1.0))


def _straight(f: Flange, strip: Strip) -> NDArray[np.bool_]:
    middle = 0.5 * (strip.arc[1:] + strip.arc[:-1])
    return np.asarray(middle > f.arc())


def _on_flange(f: Flange, at: _At) -> float:
    sheet = at.system.sheet
    on = _straight(f, sheet.strip)
    return float(np.average(sheet.outer[on], weights=sheet.lengths[on]))


def _point(f: Flange, p: PadPress, at: _At, release: bool) -> PadPoint:
    sheet: PressedStrip = at.system.sheet
    on_block, released = let_go(sheet, at.system.sheet_at(at.x)) if release else (None, None)
    middle = 0.5 * (sheet.strip.arc[1:] + sheet.strip.arc[:-1])
    largest = float(stretches(at.system.mesh.quads, at.system.rubber_at(at.x)).max())
    return PadPoint(
        at.pressure, at.stroke, at.pressure * p.half_width, look(sheet.strip, sheet.state), on_block, released, middle, sheet.outer,
        _on_flange(f, at), largest, at.stroke / p.thickness, at.angle >= f.wall - WITHIN_DEG,
    )  # fmt: skip
