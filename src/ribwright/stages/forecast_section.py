"""One place by the section model: which walks it takes, what is read off them, and the band.

Under a fluid the sheet sees the whole pressure. A pad takes a share for itself that grows with the angle while it is drawn into the
corner under an open flange, k G where the flange closes; once it lies on the wall the pressure over the bend is soon the ram's
(`mechanics.pad.felt_pressure`, which has no step there). So the flange is first taken to the ram's pressure without letting it go,
what it feels is read off that ramp, and a second run is let go there, and at what both ends of k G's band would have it feel.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import astuple, dataclass, replace
from math import exp, hypot, log
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import pad
from ribwright.stages.finding import Predicted
from ribwright.stages.forecast_ask import Acting
from ribwright.stages.learning import Asked, Correction, by_kind, corrected_words
from ribwright.stages.one_section import WITHIN_DEG, let_go_under_pad
from ribwright.stages.stack import MODEL as STACK_MODEL
from ribwright.stages.stack import PIECE, TOOLING
from ribwright.stages.undercut import Z90

if TYPE_CHECKING:
    from ribwright.mechanics.section.formed import Again, Formed
    from ribwright.mechanics.section.model import Flange, Point, Pressed

Array = NDArray[np.float64]
MODEL = "layered strip over the block under pressure, released, the block taken away"
RING = MODEL + ", with hoop strain about the part's axis"
YIELDS_AGAIN = 1e-3  # plastic strain added by the release, from which on it is said
YIELDS_AGAIN_SAID = (
    "the sheet yields again as it is let go, by more than 0.1 % strain somewhere: what it gives back is not elastic there and hangs on "
    "its reversed hardening, of which no test was found"
)
LEAST_BENT = 0.1  # of the wall's angle: a flange that comes off at less has no bend to measure
# of the radius: under load the strip reads 0.5 to 2.2 % under continuum sections of R/t 3, 4 % at 1.5; released: not compared
RADIUS_SD = 0.02
CLOSED_SD = (
    0.1  # deg: a closed flange lies on its wall; continuum sections stood within 0.05 deg of the strip under load
)
STRAIN_SD = 0.01  # of the hoop strain: a continuum ring read within 0.1 %, its thickness within 0.3 %


@dataclass(frozen=True)
class Walk:
    """One flange over its block taken through rising pressures [MPa], released at each: the last is the one that acts. Under a pad that
    keeps `share` [MPa], 0 under a fluid, until the flange is closed, it is released at what the flange feels; `told`: the shares whose ends
    it tells, `share` among them; none: the pressures alone."""

    flange: Flange
    pressures: tuple[float, ...]
    share: float = 0.0
    told: tuple[float, ...] = ()

    def done(self, on_step: Callable[[float], bool] | None = None) -> Pressed:
        """The walk, walked; under a pad the points are those of `told`, in its order. `on_step(share done)` may answer False to stop:
        then its outcome is CANCELLED."""
        from ribwright.mechanics.section.model import CANCELLED, press_through

        if not self.told:
            return press_through(self.flange, self.pressures, on_step=on_step)
        whole = press_through(self.flange, self.pressures, release=False, on_step=on_step)
        if whole.outcome == CANCELLED:
            return whole
        points = let_go_under_pad(self.flange, whole.ramp, self.pressures[-1], self.told)
        return whole if points is None else replace(whole, points=points)


def walk_of(flange: Flange, acting: Acting, shares: tuple[float, ...] = ()) -> Walk:
    """The walk of a flange under the pressure that acts; it also tells what other `shares` [MPa] of the pad would come to."""
    kg = acting.share.mpa
    told = tuple(dict.fromkeys((kg, *shares)))
    return Walk(flange, (acting.mpa,), kg, told) if any(told) else Walk(flange, (acting.mpa,))


def under_share(walk: Walk, share: float) -> Walk:
    """The same walk as a pad would have it that keeps another share [MPa], one of those it tells."""
    return replace(walk, share=share)


def end_of(walk: Walk, pressed: Pressed | None) -> Point | None:
    """The section that is the answer; None: the walk did not come so far, or was not begun."""
    if pressed is None or not pressed.points:
        return None
    if walk.told:
        i = walk.told.index(walk.share)
        return pressed.points[min(i, len(pressed.points) - 1)]
    return dict(zip(walk.pressures, pressed.points, strict=False)).get(walk.pressures[-1])


def open_sd(walk: Walk) -> float:
    """Standard deviation [deg] that the angles of an open flange have besides under a pad: how the pad keeps its share."""
    return pad.OPEN_SD if walk.share > 0.0 else 0.0


def is_closed(loaded: Formed, flange: Flange) -> bool:
    """Whether a section stands within half a degree of the block's wall."""
    return loaded.angle >= flange.wall - WITHIN_DEG


def yields_again_of(point: Point) -> Again | None:
    """What yields between a section's load and the part in the hand; None where it was not let go."""
    from ribwright.mechanics.section.formed import yields_again

    return None if point.released is None else yields_again(point.loaded, point.released)


@dataclass(frozen=True)
class Read:
    """What is read off a section: angle under load, released angle, springback [deg], released inside radius [mm] (NaN: no bend
    to measure), hoop strain and thickness [mm] of the free edge."""

    loaded: float
    released: float
    springback: float
    radius: float
    strain: float
    thickness: float


def read(flange: Flange, point: Point) -> Read | None:
    """The numbers of a section; None where it was not released."""
    if point.released is None:
        return None
    out, inside = point.released, point.released.inside_radius
    e, angle = _rim(flange, out), in_the_hand(flange, out)
    return Read(
        point.loaded.angle,
        angle,
        point.loaded.angle - angle,
        float("nan") if inside is None or angle < LEAST_BENT * flange.wall else inside,
        e,
        flange.t * exp(-e / (1.0 + flange.law.r)),
    )


def in_the_hand(flange: Flange, out: Formed) -> float:
    """Angle of a flange that is let go [deg], against the web beside its bend: hoop stress of a curved flange dishes the web, and
    how far is a matter of the whole part."""
    from ribwright.mechanics.section.standing import stands

    return stands(flange, out)


def _rim(flange: Flange, out: Formed) -> float:
    rim = flange.rim_radius()
    if flange.axis is None or rim is None:
        return 0.0
    return log((flange.axis + flange.sign * float(out.x[-1])) / rim)


def shuts(walk: Walk, pressed: Pressed | None) -> bool | None:
    """Whether the flange closes; None where the walk did not arrive."""
    point = end_of(walk, pressed)
    return None if point is None else is_closed(point.loaded, walk.flange)


def closed_read(walk: Walk, pressed: Pressed | None) -> Read | None:
    """What is read where the pad keeps nothing; None where that does not close the flange, is not told or was not reached."""
    whole = under_share(walk, 0.0) if walk.told else walk
    if walk.told and 0.0 not in walk.told:
        return None
    return read_walk(whole, pressed) if shuts(whole, pressed) else None


def read_walk(walk: Walk, pressed: Pressed | None) -> Read | None:
    """The numbers of a walk; None where it did not arrive."""
    point = end_of(walk, pressed)
    return None if point is None else read(walk.flange, point)


def less(moved: Read, middle: Read) -> Read:
    """What a change adds to what is read."""
    return Read(*(a - b for a, b in zip(astuple(moved), astuple(middle), strict=True)))


def lever(point: Point | None, flange: Flange) -> float:
    """Hoop strain of the free edge per degree that the flange turns [1/deg]: its drop over its plan radius."""
    rim = flange.rim_radius()
    if point is None or point.released is None or rim is None:
        return 0.0
    drop = float(point.released.y[0] - point.released.y[-1])
    return abs(float(np.radians(drop)) / rim)


@dataclass(frozen=True)
class Effect:
    """One thing changed: what that adds to what is read, by how many standard deviations it was changed, and whether it can only be read
    one way (the pad: a flange that closes under more of it is not opened by less). `leans`: it may lie to
    one side of the value alone (friction), the change is that of the middle of where, and moves the band's middle. `kind` of
    `stages.stack`."""

    name: str
    adds: Read
    sds: float
    one_way: bool = False
    leans: bool = False
    kind: str = STACK_MODEL


@dataclass(frozen=True)
class Bands:
    """The numbers of a place as predicted values; None where there is nothing to measure."""

    loaded: Predicted
    released: Predicted
    springback: Predicted
    radius: Predicted | None
    strain: Predicted
    thickness: Predicted


def bands(
    middle: Read,
    closed: bool,
    effects: Iterable[Effect],
    angle_sd: float,
    per_degree: float,
    ring: bool,
    shut: Read | None = None,
    open_sd: float = 0.0,
) -> Bands:
    """90 % bands: the effects as independent, and the model's own error: `angle_sd` [deg] of angles (a `closed` flange lies
    on its wall under load), a share of radius and strain,
    and what the angle's error moves the free edge by, `per_degree` [1/deg] of strain. `shut`: of an open flange what it is once closed,
    past which its angles do not reach but by the model's error; `open_sd` [deg]: what an open flange's angles have besides."""
    rows = list(effects)
    turned_sd = angle_sd if closed else hypot(angle_sd, open_sd)
    thin = middle.thickness
    own = Read(
        CLOSED_SD if closed else turned_sd,
        turned_sd,
        turned_sd,
        RADIUS_SD * middle.radius,
        hypot(STRAIN_SD * middle.strain, per_degree * turned_sd) if ring else 0.0,
        0.0,
    )
    model = RING if ring else MODEL
    made = [
        _band(m, [(astuple(e.adds)[k], e) for e in rows], astuple(own)[k], model) for k, m in enumerate(astuple(middle))
    ]
    loaded, released, spring, radius, strain, thickness = made
    if shut is not None and not closed:
        loaded = _to(loaded, shut.loaded + Z90 * CLOSED_SD)
        released = _to(released, shut.released + Z90 * angle_sd)
    return Bands(
        _floor(loaded),
        _floor(released),
        _floor(spring),
        None if np.isnan(middle.radius) else _floor(radius),
        strain,
        thickness if np.isfinite(thin) else Predicted(thin, thin, thin, model),
    )


def asked_of(
    owner: str, ratio: float, curvature: float, middle: Read, effects: Iterable[Effect], angle_sd: float
) -> Asked:
    """What the shop's book is asked about a place whose flange closes: its springback, with the standard deviations by kind."""
    rows = [(e.kind, e.adds.released / e.sds) for e in effects if np.isfinite(e.adds.released)]
    sds = by_kind([*rows, (STACK_MODEL, angle_sd)])
    back, model, tooling, piece = (
        np.array([x]) for x in (middle.springback, sds[STACK_MODEL], sds[TOOLING], sds[PIECE])
    )
    return Asked(owner, back, model, tooling, piece, ratio, curvature)


def corrected(b: Bands, c: Correction) -> Bands:
    """The bands with released angle and springback shifted and narrowed by what the shop measured; `c` of this one place."""
    shift, narrow = float(c.shift[0]), float(c.sd[0] / c.prior[0])

    def moved(p: Predicted, by: float) -> Predicted:
        value = p.value + by
        low, high = value - narrow * (p.value - p.low), value + narrow * (p.high - p.value)
        return Predicted(value, low, high, corrected_words(p.model, c.pieces))

    return replace(b, released=_floor(moved(b.released, shift)), springback=moved(b.springback, -shift))


def _band(middle: float, moved: list[tuple[float, Effect]], own: float, model: str) -> Predicted:
    """About the value moved by what leans; the value itself never lies outside."""
    down, up, mean = own * own, own * own, middle
    for delta, e in moved:
        if not np.isfinite(delta):
            continue
        sq = (delta / e.sds) ** 2
        down += sq if delta < 0 or not e.one_way else 0.0
        up += sq if delta > 0 or not e.one_way else 0.0
        mean += delta if e.leans else 0.0
    return Predicted(middle, min(mean - Z90 * down**0.5, middle), max(mean + Z90 * up**0.5, middle), model)


def _to(p: Predicted, most: float) -> Predicted:
    """No band over `most`, and none that leaves its value out."""
    return replace(p, high=max(min(p.high, most), p.value))


def _floor(p: Predicted) -> Predicted:
    """No band below 0."""
    return replace(p, low=max(p.low, 0.0))
