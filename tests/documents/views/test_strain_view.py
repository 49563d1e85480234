"""A strain map for the page: the map's own triangles and numbers, seen as the papers see them."""

from __future__ import annotations

import json
from functools import cache

import numpy as np
import pytest

from building import box, job_of
from ribwright.documents.strain_pages import quantities
from ribwright.documents.strain_view import formed_eye
from ribwright.documents.views.strain_view import strain_view
from ribwright.stages.plan import make_plan
from ribwright.stages.strain_limit import limit_line
from ribwright.stages.strain_map import StrainMap, strain_map


@cache
def mapped() -> tuple[StrainMap, dict]:
    """A small box with two flanges, one about a hole."""
    hole = '[[hole]]\nname = "L1"\nkind = "lightening"\nat = [40, 30]\ndiameter = 24'
    hole += "\nflange_height = 5\nbend_radius = 2.5\nbend_angle = 45\n"
    job = job_of(box(w=80, h=60, width=9, radius=2.5, flanges=(True, False, False, False), extra=hole))
    plan = make_plan(job, method="inverse")
    assert plan.inverse is not None
    m = strain_map(job, plan.inverse)
    assert m is not None
    return m, strain_view(m, limit_line(job))


def test_counts_are_the_maps():
    m, view = mapped()
    t, n = len(m.triangles), len(m.flat)
    assert len(view["triangles"]) == 3 * t
    assert len(view["flat_mm"]) == 2 * n
    assert len(view["formed_mm"]) == 3 * n
    assert all(len(view[k]) == t for k in ("major", "minor", "thickness_mm", "place", "counted"))
    assert sum(view["counted"]) == int(m.counted.sum())
    assert [len(c) for c in view["cycles"]] == [len(c) for c in m.cycles]


def test_the_numbers_are_the_maps_and_go_through_json():
    m, view = mapped()
    assert view["major"] == pytest.approx(m.major, abs=1e-4)
    assert view["thickness_mm"] == pytest.approx(m.thickness, abs=1e-4)
    assert json.loads(json.dumps(view, allow_nan=False)) == view


def test_the_bands_are_drawn_from_the_papers_smoothed_values():
    m, view = mapped()
    (page,) = [q for q in quantities(m, "mm") if q.title.startswith("Major")]
    mine = np.array(view["smooth"]["major"])[m.triangles]
    mine[m.web] = 0.0
    assert mine == pytest.approx(page.corners, abs=1e-4)
    assert [i for i, held in enumerate(view["held"]) if held] == np.flatnonzero(m.web).tolist()


def test_the_formed_part_is_seen_as_on_the_papers():
    m, view = mapped()
    eye = np.array(view["eyes"]["formed"])
    assert eye @ eye.T == pytest.approx(np.eye(3), abs=1e-5)
    mine, theirs = m.formed @ eye.T, formed_eye(m, 100.0, 100.0)
    assert np.ptp(mine, axis=0) * theirs.scale == pytest.approx(np.ptp(theirs.of(m), axis=0), rel=1e-4)


def test_every_quantity_bears_the_papers_bands_thickness_in_both_units():
    _, view = mapped()
    assert [(q["name"], q["unit"]) for q in view["quantities"]] == [
        ("thickness", "mm"), ("major", ""), ("minor", ""), ("thickness", "in"),
    ]  # fmt: skip
    for q in view["quantities"]:
        assert len(q["bands"]) == len(q["levels"]) + 1
        assert q["levels"] == sorted(q["levels"])
    mm, inches = view["quantities"][0], view["quantities"][3]
    assert mm["worst"] == pytest.approx(25.4 * inches["worst"], abs=3e-3)
    assert view["limit_line"]["e0"] is None or "not" not in view["limit_line"]["words"][:3]
