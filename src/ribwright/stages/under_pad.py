"""One place of a part pressed by the pad itself: rubber, container and sheet together, not a pressure that is the same everywhere.

`lay` puts part, block and press into the numbers that the pad model takes, the two runs (under the pad, and under the same pressure of
a fluid) are then made by whoever holds threads and clock, and `told` puts together what they gave. Nothing here was compared with
a real formed part, and no band is known.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, isfinite, radians, sin, tan
from typing import TYPE_CHECKING

from ribwright.shop.shop import Press
from ribwright.stages.forecast import CANCELLED, CONVERGED, STUCK, UNKNOWN, undercut_of_block
from ribwright.stages.one_section import closes_at
from ribwright.stages.pad_place import Chosen, HalfSection, choose, half_section
from ribwright.stages.pads import is_loose, layers_near, pad_area, rubber_of, shear_of
from ribwright.stages.places import flange_on
from ribwright.stages.plan import Plan
from ribwright.stages.sheet_laws import JobLaw, law_of

if TYPE_CHECKING:
    from ribwright.mechanics.pad_model.answer import PadRun
    from ribwright.mechanics.pad_model.press import PadPress
    from ribwright.mechanics.section.model import Flange, Pressed

PAD = "pad"
REFUSED = "refused"
OUTCOMES = (CONVERGED, STUCK, CANCELLED, REFUSED, UNKNOWN)
MODEL = (
    "plane section of pad, container, block and sheet: the rubber by its energy (neo-Hookean, nearly incompressible) in four-node "
    "elements, the sheet as layered strip with its law, contact without friction; every node in balance (Newton), the ram moved by "
    "strokes until the pad is full and by pressure after that, then let go and the block taken away"
)
SPENT = "pad-spent"  # the pad model's word for a pad squeezed by as much as any stands
STEPS_MOST = 900  # of one run: one that needs more creeps towards something that it cannot reach
SHARES = (0.25, 0.5)  # of the last pressure: released there too
OnStep = Callable[[float], bool]


@dataclass(frozen=True)
class PadAsk:
    """The command's own options. `place` "": the one that governs; `pressure` at the ram [MPa] None: what the press is rated for;
    `undercut` [deg] None: the block's."""

    place: str = ""
    pressure: float | None = None
    undercut: float | None = None

    def as_input(self) -> dict[str, object]:
        """What goes into the fingerprint and under `inputs.forecast`."""
        return {"model": PAD, "pressure_mpa": self.pressure, "undercut_deg": self.undercut, "place": self.place}


@dataclass(frozen=True)
class PadFacts:
    """The rubber as the model takes it: shear modulus [MPa] and in words where it is from, thickness [mm], the share of it by which
    it may be squeezed (None: not known), `rated` the most pressure that the press gives on all the pad [MPa]."""

    shear: float
    shear_is: str
    thickness: float
    strain_limit: float | None
    loose: bool
    rated: float


@dataclass(frozen=True, eq=False)
class Laid:
    """What is to be pressed. `flange` and `press` None: there is nothing to run, and `refused` or the law of the sheet says why."""

    plan: Plan
    ask: PadAsk
    law: JobLaw
    chosen: Chosen
    undercut: float
    section: HalfSection | None
    pad: PadFacts
    pressures: tuple[float, ...]
    flange: Flange | None
    press: PadPress | None
    refused: tuple[str, ...]

    @property
    def wall(self) -> float:
        """Angle of the block's wall from flat [deg]."""
        return self.chosen.place.angle + self.undercut

    def pressed(self, on_step: OnStep | None = None) -> PadRun:
        """The run under the pad. `on_step(share done)` may answer False to stop."""
        from ribwright.mechanics.pad_model.press import press_pad

        assert self.flange is not None
        assert self.press is not None
        pressures = tuple(there_and_back(p, self.press.half_width) for p in self.pressures)
        return press_pad(self.flange, self.press, pressures, on_step=on_step)

    def by_fluid(self, on_step: OnStep | None = None) -> Pressed:
        """The same flange under the same pressures of a fluid."""
        from ribwright.mechanics.section.model import press_through

        assert self.flange is not None
        return press_through(self.flange, self.pressures, on_step=on_step)

    def fluid_closes(self) -> float | None:
        """Pressure of a fluid that closes the flange [MPa]; None: more than the last one asked for."""
        assert self.flange is not None
        found = closes_at(self.flange, self.pressures[-1])
        return found if isfinite(found) else None


@dataclass(frozen=True, eq=False)
class UnderPad:
    """What was found. `run`, `fluid` None: not run. `gave_up`: the run crept and was ended after STEPS_MOST steps."""

    laid: Laid
    run: PadRun | None
    fluid: Pressed | None
    fluid_closing: float | None
    outcome: str
    gave_up: bool = False

    @property
    def lost(self) -> float | None:
        """What the rubber keeps for itself: closing pressure at the ram less that of a fluid [MPa]."""
        if self.run is None or self.run.closing is None or self.fluid_closing is None:
            return None
        return self.run.closing - self.fluid_closing

    @property
    def left_open(self) -> float | None:
        """Wall less angle under the last pressure reached [deg]."""
        if self.run is None or not len(self.run.path):
            return None
        return self.laid.wall - float(self.run.path[-1, 3])


def pad_facts(press: Press, most_force: float, block_height: float) -> PadFacts:
    """The rubber of a press. Of a stack the layers within one block height of the work, loaded one after the other, stand for all."""
    layers = layers_near(press.pad, block_height)
    shear = 1.0 / sum(share / shear_of(layer) for layer, share in layers)
    if len({rubber_of(layer) for layer, _ in layers}) > 1:
        words = "stack of pads: the layers within one block height of the work, in series, stand for all"
    elif layers[0][0].shear_modulus_mpa is not None:
        words = "the shop's own"
    else:
        words = f"told from {layers[0][0].shore_a:g} Shore A"
    limit = None if press.pad.layers else press.pad.strain_limit
    return PadFacts(shear, words, press.pad.thickness_mm, limit, is_loose(press), most_force / pad_area(press))


def lay(plan: Plan, ask: PadAsk) -> Laid:
    """Everything that the model takes. InputError for a place that is not there."""
    from ribwright.mechanics.pad_model import answer

    assert plan.setup is not None
    chosen, law = choose(plan, ask.place), law_of(plan.job)
    place, setup = chosen.place, plan.setup
    undercut = undercut_of_block(plan, place) if ask.undercut is None else ask.undercut
    facts = pad_facts(setup.press, setup.limit_force, plan.block.height)
    pump = None if setup.pump_force is None else setup.pump_force / pad_area(setup.press)
    pressures = stops(ask.pressure or facts.rated, pump)
    if chosen.why_not:
        return Laid(plan, ask, law, chosen, undercut, None, facts, pressures, None, None, (answer.NOT_MODELLED,))
    section = half_section(plan, place, undercut)
    if law.law is None:
        return Laid(plan, ask, law, chosen, undercut, section, facts, pressures, None, None, ())
    flange = flange_on(law.law, plan.job.t, place, undercut)
    if section.beside <= 0.0:  # the block itself reaches past the wall: there is no half section to press
        return Laid(plan, ask, law, chosen, undercut, section, facts, pressures, flange, None, (answer.FOULS,))
    return Laid(plan, ask, law, chosen, undercut, section, facts, pressures, flange, _press(facts, section), ())


def _press(facts: PadFacts, section: HalfSection) -> PadPress:
    from ribwright.mechanics.pad_model.press import PadPress
    from ribwright.mechanics.pad_model.rubber import neo_hookean

    return PadPress(
        neo_hookean(facts.shear), facts.thickness, section.half_width, section.half, section.height, not facts.loose,
        facts.strain_limit,
    )  # fmt: skip


def there_and_back(pressure: float, width: float) -> float:
    """The pressure [MPa], by the last bit smaller where as a force on `width` [mm] and back it would come out smaller than it was:
    the run goes on until the pressure that it reads off the ram is the one asked for."""
    back = pressure * width / width
    while back < pressure:
        pressure, back = back, back * width / width
    return pressure


def stops(last: float, pump: float | None) -> tuple[float, ...]:
    """Rising ram pressures at which the flange is looked at and let go [MPa]: shares of the last, what the set-up pumps to, the last."""
    rows = {share * last for share in SHARES} | {last}
    if pump is not None and all(abs(pump - p) > 0.02 * last for p in rows) and pump < last:
        rows.add(pump)
    return tuple(sorted(rows))


def told(
    laid: Laid, run: PadRun | None, fluid: Pressed | None, fluid_closing: float | None, cancelled: bool, gave_up: bool
) -> UnderPad:
    """The answer from what was run."""
    from ribwright.mechanics.pad_model import answer

    if laid.refused or (run is not None and run.outcome == answer.REFUSED):
        outcome = REFUSED
    elif laid.law.law is None:
        outcome = UNKNOWN
    elif cancelled or run is None:
        outcome = CANCELLED
    elif gave_up or run.outcome != answer.REACHED:
        outcome = STUCK
    else:
        outcome = CONVERGED
    return UnderPad(laid, run, fluid, fluid_closing, outcome, gave_up)


def past_edge(laid: Laid) -> float:
    """From the block's edge, where the planes of web face and wall meet, to the cut edge of the flat blank [mm]."""
    assert laid.flange is not None
    f = laid.flange
    return f.straight + f.arc() - f.radius * tan(radians(f.wall) / 2.0)


def depth_of_flange(laid: Laid) -> float:
    """How far the formed flange hangs below the block's web face [mm]."""
    assert laid.flange is not None
    f, w = laid.flange, radians(laid.flange.wall)
    return (f.radius + f.t) * (1.0 - cos(w)) + f.straight * sin(w)


def fill_strain(laid: Laid) -> float | None:
    """Share of its thickness by which the pad is squeezed when it has filled the space beside the block, in the half section; None
    under a loose pad."""
    if laid.section is None or laid.pad.loose:
        return None
    return laid.section.height * (1.0 - laid.section.half / laid.section.half_width) / laid.pad.thickness
