"""The block on the screen: the saw table in the words of the paper, each stretch with its ends."""

from documents.sample import sample_identity, sample_plan
from ribwright.documents.screen import lines
from ribwright.stages.making_answers import whole_block_answer
from ribwright.work.asking import answered


def on_screen(part: str) -> list[str]:
    plan = sample_plan(part)
    return lines(answered(plan, sample_identity(plan), block=whole_block_answer(plan)).json, "in")


def test_each_stretch_of_a_changing_wall_has_its_ends_and_the_end_they_are_taken_from():
    rows = [r for r in on_screen("Q7-2105-1") if "saw table" in r and "upper" in r]
    zones = [z for z in sample_plan("Q7-2105-1").making.zones if "upper" in z.edges]
    assert len(rows) == len(zones) > 5
    for row, zone in zip(rows, zones, strict=True):
        (s,) = (s for s in zone.stretches if s.edge == "upper")
        assert f"upper {s.start / 25.4:.3f} in to {s.end / 25.4:.3f} in from the REAR end" in row
        assert f"IN {zone.tilt:.1f} deg" in row


def test_all_edges_at_one_tilt_are_one_word_and_the_way_is_that_of_the_paper():
    rows = [r for r in on_screen("Q7-4410-1") if "saw table" in r]
    assert rows == ["  saw table OUT 8.0 deg: all 10 flanged edges"]
