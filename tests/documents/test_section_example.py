"""The picture in docs/section_pictures.md is the section model's own, not an older one's."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def test_the_picture_of_the_docs_has_the_numbers_that_the_model_gives_now() -> None:
    """Within what another machine may add; where it fails the model has moved, and `python benchmarks/section_example.py` draws anew."""
    kept, now = (_said(text) for text in ((ROOT / "docs" / "section_example.svg").read_text("utf-8"), _drawn()))
    assert [NUMBER.sub("#", words) for words in kept] == [NUMBER.sub("#", words) for words in now]
    for a, b in zip(kept, now, strict=True):
        for x, y in zip(NUMBER.findall(a), NUMBER.findall(b), strict=True):
            assert float(x) == pytest.approx(float(y), rel=0.05, abs=0.15 if "deg" in a else 0.003), (a, b)


def _drawn() -> str:
    return str(runpy.run_path(str(ROOT / "benchmarks" / "section_example.py"))["drawn"]())


def _said(svg: str) -> list[str]:
    return re.findall(r">([^<>]+)</text>", svg)
