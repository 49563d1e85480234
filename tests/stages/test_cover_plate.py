"""The cover plate: inside the web face by the inset, clear of bends, recesses and pins; or a reason why there is none."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from building import RandomPart, box, job_of
from ribwright.stages.blank import make_blank
from ribwright.stages.block import Block, make_block
from ribwright.stages.cover_plate import CoverPlate, cover_plate

RECESS = (
    '[[hole]]\nname = "{name}"\nkind = "lightening"\nat = {at}\ndiameter = {d}\nflat_height = 7\nbend_angle = 40\n'
    "bend_radius = 3\n"
)
PIN = '[[hole]]\nname = "{name}"\nkind = "tooling"\nat = {at}\ndiameter = 4.76\npin_fit = 0.08\n'


def plated(text: str) -> tuple[Block, CoverPlate]:
    job = job_of(text)
    block = make_block(job, make_blank(job))
    return block, cover_plate(job, block)


def metal(plate: CoverPlate) -> shapely.Polygon:
    """The plate with round openings cut as true circles, to 1e-3 mm."""
    body = shapely.Polygon(plate.outline, list(plate.windows))
    rounds = [shapely.Point(o.at).buffer(o.diameter / 2, quad_segs=200) for o in (*plate.openings, *plate.pin_holes)]
    return body.difference(shapely.union_all(rounds))


def open_corner(block: Block, plate: CoverPlate) -> bool:
    """A block whose walls do not meet (a stop of its own) has no plate and says so; every other one of these has one."""
    assert ("does not close up" in plate.why_none) == (not block.closed_up)
    return not block.closed_up


@pytest.mark.parametrize("seed", range(30))
def test_the_plate_lies_inside_the_web_face_by_exactly_the_inset(seed: int) -> None:
    """Wherever the plate's edge is not that of an opening, it is the inset away from the web face's outline."""
    part = RandomPart(seed)
    part.lightening = False
    block, plate = plated(part.text())
    if open_corner(block, plate):
        return
    face, body = shapely.Polygon(block.outlines[0]), shapely.Polygon(plate.outline)
    assert not plate.why_none
    assert face.contains(body)
    away = shapely.distance(shapely.points(plate.outline), face.exterior)
    assert away == pytest.approx(plate.inset, abs=5e-3)


@pytest.mark.parametrize("seed", range(30))
def test_the_plate_never_lies_over_a_bend_a_recess_or_a_pin(seed: int) -> None:
    part = RandomPart(seed)
    part.lightening = True
    block, plate = plated(part.text() + PIN.format(name="P1", at=[-40, 10]) + PIN.format(name="P2", at=[40, -30]))
    if open_corner(block, plate):
        return
    assert not plate.why_none
    sheet = metal(plate)
    assert {o.name for o in plate.pin_holes} == {"P1", "P2"}
    for r in block.recesses:
        rim = shapely.Point(r.at).buffer(r.diameter / 2)
        assert sheet.distance(rim) >= plate.inset - 0.01
        assert plate.inset >= r.edge_radius * np.tan(np.radians(r.wall_angle / 2))
    for p in block.pins:
        assert sheet.distance(shapely.Point(p.at)) > p.diameter / 2
    for e in block.edges:
        assert plate.inset >= float(np.max(e.under.radius * np.tan(np.radians(e.under.wall / 2)))) - 1e-9


def test_the_inset_is_the_practices_and_grows_for_a_large_bend() -> None:
    small, large = (plated(box(radius=r, width=25.0))[1] for r in (2.0, 6.0))
    assert small.inset == pytest.approx(3.175)
    assert not small.grown
    assert large.grown
    assert large.inset > 6.0
    assert large.inset / (25.4 / 32) == pytest.approx(round(large.inset / (25.4 / 32)))


def test_a_narrow_web_has_no_plate_and_a_reason() -> None:
    rows = ((8.0, "nothing"), (11.0, "strip"), (30.0, ""))
    for high, reason in rows:
        _, plate = plated(box(h=high, width=8.0, radius=2.0, flanges=(True, False, True, False)))
        assert reason in plate.why_none
        assert bool(reason) == bool(plate.why_none)
        assert (len(plate.outline) == 0) == bool(reason)


def test_a_recess_across_the_web_parts_the_plate_and_there_is_none() -> None:
    _, plate = plated(box(h=60.0) + RECESS.format(name="L", at=[100, 30], d=52))
    assert "2 pieces" in plate.why_none


def test_a_recess_near_an_edge_notches_the_outline() -> None:
    block, plate = plated(box() + RECESS.format(name="L", at=[100, 18], d=30))
    assert not plate.why_none
    assert plate.openings == ()
    rim = shapely.Point(block.recesses[0].at).buffer(block.recesses[0].diameter / 2)
    assert metal(plate).distance(rim) >= plate.inset - 0.01


def test_two_recesses_close_together_are_one_window() -> None:
    _, plate = plated(
        box(h=140.0) + RECESS.format(name="A", at=[80, 70], d=30) + RECESS.format(name="B", at=[112, 70], d=30)
    )
    assert plate.openings == ()
    assert len(plate.windows) == 1


def test_the_plate_is_open_over_every_bead_and_the_inset_round_it() -> None:
    """A plate over a bead would bridge its groove: checked by distances from its middle line alone."""
    bead = '[[bead]]\npoints = [[60, 50], [140, 50], [150, 60]]\nsection = "round"\nwidth = 16\ndepth = 1.5\nedge_radius = 3.2\n'
    _, closed = plated(box(w=220, h=110, t=0.8, radius=4.0))
    _, plate = plated(box(w=220, h=110, t=0.8, radius=4.0, extra=bead))
    assert closed.beads == ()
    assert plate.beads == ("bead 1",)
    assert len(plate.windows) == 1
    window, line = shapely.Polygon(plate.windows[0]), shapely.LineString([(60, 50), (140, 50), (150, 60)])
    away = shapely.distance(shapely.points(np.array(window.exterior.coords)), line)
    assert away == pytest.approx(8.0 + plate.inset, abs=0.05)
    assert metal(plate).distance(line) == pytest.approx(8.0 + plate.inset, abs=0.05)


def test_a_bead_that_parts_the_web_face_leaves_no_plate() -> None:
    """From end to end of the face: two strips, held by nothing."""
    bead = '[[bead]]\npoints = [[4, 50], [216, 50]]\nsection = "round"\nwidth = 16\ndepth = 1.5\nedge_radius = 3.2\n'
    _, plate = plated(box(w=220, h=110, t=0.8, radius=4.0, extra=bead))
    assert "part the web face" in plate.why_none


@pytest.mark.parametrize("seed", range(6))
def test_the_mirrored_part_has_the_mirrored_plate(seed: int) -> None:
    a, b = (plated(RandomPart(seed).text(mirror=m))[1] for m in (False, True))
    assert shapely.Polygon(a.outline).area == pytest.approx(shapely.Polygon(b.outline).area, rel=1e-6)
    assert shapely.Polygon(a.outline * [-1, 1]).symmetric_difference(shapely.Polygon(b.outline)).area < 0.5
