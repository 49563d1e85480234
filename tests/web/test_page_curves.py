"""The page draws the curves that the calculation computes: what its JavaScript is held against is what Python says today."""

from __future__ import annotations

import json

import numpy as np

from page_curves import HERE, curves


def test_the_numbers_that_the_pages_curves_are_held_against_are_those_of_the_calculation():
    kept, now = json.loads(HERE.read_text())["curves"], curves()["curves"]
    assert [row["name"] for row in kept] == [row["name"] for row in now]
    for before, row in zip(kept, now, strict=True):
        for key in ("length", "points", "at", "knots", "tangent_start", "tangent_end"):
            assert np.allclose(before[key], row[key], rtol=0, atol=1e-9), (row["name"], key)
