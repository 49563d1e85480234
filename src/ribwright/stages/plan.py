"""The whole chain for one part: blank, block, set-up, findings. The only place that orders the stages."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from ribwright.shop.shop import UNDERCUT_MODELS, Press
from ribwright.stages.bead_demand import bead_demands, solve_beads
from ribwright.stages.blank import Blank
from ribwright.stages.block import Block, choose_material, make_block
from ribwright.stages.checks import check
from ribwright.stages.checks.context import Looked
from ribwright.stages.chosen_blank import Agreement, Chosen, held_beside, named, quick_note
from ribwright.stages.crew import Crew
from ribwright.stages.develop import DEFAULT, STRAIN_CORRECTED
from ribwright.stages.finding import Finding, ranked
from ribwright.stages.flute_grooves import with_grooves
from ribwright.stages.flutes import Fluting, fluting_of
from ribwright.stages.job import Job
from ribwright.stages.making import Making, making_of
from ribwright.stages.pads import pad_share
from ribwright.stages.places import places_of
from ribwright.stages.pressing import reached_by_model
from ribwright.stages.pressure import closing_cov, needed
from ribwright.stages.proposal_answer import proposal_findings
from ribwright.stages.relief_notches import NoneWorks, Proposal, propose
from ribwright.stages.route import Route, find_route
from ribwright.stages.setup import Setup, area_under, make_setup, on_material, pump_to
from ribwright.stages.sheet_laws import law_of
from ribwright.stages.solve_sections import solve_sections
from ribwright.stages.taught import taught_sections

if TYPE_CHECKING:
    from ribwright.stages.blank_inverse import InverseBlank

CLOSED_FORM, SECTION = UNDERCUT_MODELS


@dataclass(frozen=True, eq=False)
class Plan:
    """A job with everything the stages made of it. `setup` None: no press was named. `model`: which one was asked for
    springback; `job.sections` is what the section model answered; `fluting`: its flutes, by the
    blank that the block is made for. `asked`: the method asked for, `blank.method` the one that
    the blank is by; `inverse` what the inverse method answered, None where it was not asked; `agreement` how the two agree, by
    default where they were held beside each other. Then block and set-up are those of the strain-corrected blank whichever was
    taken, so that they are the same wherever they are asked for. `proposals`: what would bring a strained edge within its limit."""

    job: Job
    blank: Blank
    block: Block
    setup: Setup | None
    findings: tuple[Finding, ...]
    making: Making
    fluting: Fluting
    model: str = CLOSED_FORM
    asked: str = STRAIN_CORRECTED
    inverse: InverseBlank | None = None
    agreement: Agreement | None = None
    proposals: tuple[Proposal | NoneWorks, ...] = ()

    @cached_property
    def route(self) -> Route:
        """The ways to the finished part, judged when they are first asked for: each develops the part once more."""
        return find_route(self.job, self.blank, self.block)


def make_plan(
    job: Job,
    press: Press | None = None,
    method: str = STRAIN_CORRECTED,
    model: str = CLOSED_FORM,
    crew: Crew | None = None,
    compare: bool = False,
) -> Plan:
    """Plan the job. With a press the block's material is chosen for the pressure it will see. `model` "section" has the section
    model solve the undercut at the pressure that this press is pumped to; without a press the closed form answers. `compare`: by the
    default method hold the blank beside the one by balance."""
    crew = crew or Crew()
    chosen = named(job, method, crew.say)
    blank = chosen.blank
    solve_beads(job, blank, crew.say)
    if model == SECTION and press is not None:
        job = _with_sections(job, blank, press, crew)
    fluting = fluting_of(job, blank)
    block = with_grooves(make_block(job, blank), fluting)
    setup = None
    if press is not None:
        setup = make_setup(job, blank, block, press)
        block = replace(block, material=choose_material(job, setup.pump_pressure))
        setup = _reached(job, blank, on_material(job, setup, block), crew)
    making = making_of(job, blank, block)
    if method == DEFAULT:
        chosen = held_beside(job, blank, crew.say) if compare else Chosen(blank, findings=quick_note(job, blank))
    proposals = propose(job, blank)
    more = (*chosen.findings, *proposal_findings(proposals, job.shop.units or job.part.units))
    found = _with(check(Looked(job, chosen.blank, block, setup, making, fluting)), more)
    return Plan(
        job,
        chosen.blank,
        block,
        setup,
        found,
        making,
        fluting,
        model,
        method,
        chosen.inverse,
        chosen.agreement,
        proposals,
    )


def _with(findings: tuple[Finding, ...], more: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings with what was found in choosing the blank; faults of the shape are there already."""
    return ranked([*findings, *(f for f in more if f not in findings)])


def _with_sections(job: Job, blank: Blank, press: Press, crew: Crew) -> Job:
    """The job with what the section model answers for it on a press; as it was where the law of the sheet is not known."""
    known, places = law_of(job), places_of(job, blank)
    if known.law is None or not places:
        return job
    first = make_block(job, blank)
    area, share = area_under(press, first), pad_share(press, first.height)
    cov = closing_cov(job)

    beads = bead_demands(job, blank, press, first.height)

    def pressure(closing: float) -> float:
        asked = [needed(closing, cov, share), *(b.need for b in beads)]
        need = max(asked, key=lambda n: n.value)
        return pump_to(press, area, need) or need.value

    return replace(job, sections=taught_sections(job, solve_sections(job, known, places, press, pressure, crew)))


def _reached(job: Job, blank: Blank, setup: Setup, crew: Crew) -> Setup:
    """The set-up with the section model's angles, where it was asked."""
    if job.sections is None:
        return setup
    spread = 1.0 if setup.spread_pressure is None else setup.spread_pressure / setup.available
    rows = reached_by_model(job, law_of(job), blank, setup.reached, setup.share, spread, crew)
    return replace(setup, reached=rows)
