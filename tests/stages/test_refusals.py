"""Every refusal of the mesh and of the blank by balance, and every part that is not refused, against brute force on the layout."""

from __future__ import annotations

import pytest

from building import RandomPart, job_of
from claimed_twice import CLAIMED_MM2, judged
from random_blocks import RandomBlock
from relieved_parts import RelievedPart
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.flat_faults import flat_faults
from ribwright.stages.formed_faults import formed_faults
from ribwright.stages.job import Job

KINDS = {"part": RandomPart, "block": RandomBlock, "relieved": RelievedPart}
# two refused flat and formed, two formed alone, two that are not refused
FEW = ["block 2", "block 4", "relieved 33", "relieved 43", "block 8", "relieved 3"]
MANY = (
    [f"block {k}" for k in range(10, 30)] + [f"relieved {k}" for k in range(30, 50)] + [f"part {k}" for k in range(10)]
)


def laid(name: str) -> tuple[Job, Blank]:
    kind, seed = name.split()
    job = job_of(KINDS[kind](int(seed)).text())
    return job, make_blank(job)


@pytest.mark.parametrize("name", [*FEW, *(pytest.param(n, marks=pytest.mark.slow) for n in MANY)])
def test_brute_force_comes_to_the_same_verdict(name: str) -> None:
    job, blank = laid(name)
    codes = {f.code for f in (*flat_faults(blank), *formed_faults(job, blank)) if f.severity == "stop"}
    j = judged(job, blank)
    assert ("blank-crosses-itself" in codes) == j.crosses
    assert ("flat-overlap" in codes) == (j.twice > CLAIMED_MM2)
    assert ("formed-overlap" in codes) == j.through


def test_the_few_hold_both_verdicts_of_each_kind() -> None:
    seen = [judged(*laid(name)) for name in FEW]
    for verdicts in ([j.crosses for j in seen], [j.twice > CLAIMED_MM2 for j in seen], [j.through for j in seen]):
        assert True in verdicts
        assert False in verdicts
