"""The whole chain for one part: blank, block, set-up, findings. The only place that orders the stages."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ribwright.shop.shop import Press
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.block import Block, choose_material, make_block
from ribwright.stages.checks import check
from ribwright.stages.checks.context import Looked
from ribwright.stages.finding import Finding
from ribwright.stages.job import Job
from ribwright.stages.making import Making, making_of
from ribwright.stages.setup import Setup, make_setup


@dataclass(frozen=True, eq=False)
class Plan:
    """A job with everything the stages made of it. `setup` None: no press was named."""

    job: Job
    blank: Blank
    block: Block
    setup: Setup | None
    findings: tuple[Finding, ...]
    making: Making


def make_plan(job: Job, press: Press | None = None, method: str = "strain-corrected") -> Plan:
    """Plan the job. With a press the block's material is chosen for the pressure it will see."""
    blank = make_blank(job, method)
    block = make_block(job, blank)
    setup = None
    if press is not None:
        setup = make_setup(job, blank, block, press)
        block = replace(block, material=choose_material(job, setup.pump_pressure))
        setup = make_setup(job, blank, block, press)
    making = making_of(job, blank, block)
    return Plan(job, blank, block, setup, check(Looked(job, blank, block, setup, making)), making)
