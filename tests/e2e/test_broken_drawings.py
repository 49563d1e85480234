"""A drawing file that is damaged anywhere ends in a reading or in sentences, never in anything else."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from drawn_judged import read
from drawn_variants import Variant, variants
from ribwright.errors import InputError

WORDS = ("0", "-1", "1e308", "nan", "inf", "abc", "", "7", "LINE", "ENDSEC", "SPLINE", "999999999999", "  70")
TEXTS = [v for v in variants() if isinstance(v.text, str) and len(v.text) > 1000]


def damaged(text: str, rng: random.Random) -> str:
    """The text with one to three lines changed, lost, put in or swapped, most of them among the entities."""
    lines = text.split("\n")
    first = lines.index("ENTITIES") if "ENTITIES" in lines and rng.random() < 0.8 else 0
    for _ in range(rng.randint(1, 3)):
        at, other = rng.randrange(first, len(lines)), rng.randrange(first, len(lines))
        match rng.randrange(5):
            case 0:
                lines[at] = rng.choice(WORDS)
            case 1:
                lines.insert(at, rng.choice(WORDS))
            case 2:
                del lines[at : at + rng.choice((1, 2, 20))]
                lines.append("")
            case 3:
                lines[at] = lines[other]
            case _:
                lines[at], lines[other] = lines[other], lines[at]
    return "\n".join(lines)


def _ends_in_words(seed: int, folder: Path) -> str:
    rng = random.Random(seed)
    variant = rng.choice(TEXTS)
    assert isinstance(variant.text, str)
    harmed = Variant(variant.name, damaged(variant.text, rng), variant.lengths, variant.roles, options=variant.options)
    try:
        return "read" if read(harmed, folder).text else "nothing"
    except InputError as refusal:
        return "refused" if all(f.found for f in refusal.faults) else "no words"


def test_damaged_files_are_read_or_refused(tmp_path: Path) -> None:
    assert {_ends_in_words(seed, tmp_path) for seed in range(40)} == {"read", "refused"}


@pytest.mark.slow
def test_a_thousand_damaged_files_are_read_or_refused(tmp_path: Path) -> None:
    assert {_ends_in_words(seed, tmp_path) for seed in range(40, 1040)} == {"read", "refused"}
