"""Where the section is taken, and the law of the sheet that it is made of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import EXAMPLES, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.features.part import Part
from ribwright.stages.blank import make_blank
from ribwright.stages.job import Job, take_in
from ribwright.stages.places import Place, flange_on, places_of, unlike, whole_ring
from ribwright.stages.sheet_laws import law_of

R_VALUES = ("r_value", "r0", "r45", "r90")
BULGED = """
units = "mm"
[part]
number = "T-2"
revision = "A"
title = "test"
hand = "none"
[sheet]
material = "2024-O"
thickness = 1.0
[web]
line = "outside-mold-line"
start = [0.0, 0.0]
[[web.edge]]
name = "south"
to = [200.0, 0.0]
flange = "f"
[[web.edge]]
name = "east"
to = [200.0, 100.0]
flange = "g"
[[web.edge]]
name = "north"
through = [100.0, {middle}]
to = [0.0, 100.0]
flange = "f"
[[web.edge]]
name = "west"
to = [0.0, 0.0]
[flange.f]
width = 15.0
bend_angle = 90
bend_radius = 3.0
[flange.g]
width = 15.0
bend_angle = [[0, 84], ["end", 97]]
bend_radius = 3.0
"""


def _of(places: tuple[Place, ...], owner: str) -> list[Place]:
    return [p for p in places if p.owner == owner]


def _places(job: Job) -> tuple[Place, ...]:
    return places_of(job, make_blank(job))


def test_an_edge_where_nothing_varies_has_one_place_and_like_edges_share_their_section() -> None:
    places = _places(job_of(box()))
    assert [p.owner for p in places] == ["south", "east", "north", "west"]
    assert len(unlike(places)) == 1


def test_on_a_straight_edge_the_flat_straight_part_is_the_leg() -> None:
    for p in _places(job_of(box(angle=75, width=17.0))):
        assert p.axis is None
        assert p.straight == pytest.approx(p.leg, abs=1e-9)


@pytest.mark.parametrize(("middle", "sign"), [(104.0, 1.0), (96.0, -1.0)])
def test_an_arc_is_a_ring_of_its_bend_tangent_line_and_a_concave_one_stretches(middle: float, sign: float) -> None:
    job = job_of(BULGED.format(middle=middle))
    arc = _of(_places(job), "north")
    drawn = (100.0**2 + 4.0**2) / 8.0
    inset = 4.0  # (R + t) tan 45
    for p in arc:
        assert p.sign == sign
        assert p.axis is not None
        assert p.axis == pytest.approx(drawn - sign * inset, rel=0.02)
        # a shrunk flange is cut shorter in the flat than its leg, a stretched one longer
        assert (p.leg - p.straight) * sign > 0


NOTCH = """
[[notch]]
edge = "north"
at = 100.0
width = 5.0
depth = 5.0
corner_radius = 1.0
"""


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (BULGED.format(middle=104.0).replace("bend_radius = 3.0\n[flange.g]", 'bend_radius = 3.0\nflutes = "plan"\n[flange.g]'),
         "flutes are to be planned on it"),
        (BULGED.format(middle=104.0) + NOTCH, "notch on it"),
        (BULGED.format(middle=122.0), "it shrinks past the 2.5 % that pad and metal take by themselves"),
    ],
)  # fmt: skip
def test_a_convex_edge_that_flutes_is_notched_or_wrinkles_is_taken_as_straight_and_keeps_its_ring(
    text: str, why: str
) -> None:
    job = job_of(text)
    for p in _of(_places(job), "north"):
        assert (p.axis, p.relieved, p.curved) == (None, why, True)
        assert p.unlike[3] == 0.0
        assert p.straight == p.leg
        ring = whole_ring(p)
        assert ring.axis is not None
        assert (ring.sign, ring.unlike) == (1.0, p.ring)
        assert ring.straight < ring.leg  # cut shorter in the flat
    assert not any(p.relieved for p in _of(_places(job), "south"))


def test_flutes_on_a_concave_edge_leave_it_a_ring() -> None:
    text = BULGED.format(middle=96.0).replace(
        "bend_radius = 3.0\n[flange.g]", 'bend_radius = 3.0\nflutes = "plan"\n[flange.g]'
    )
    for p in _of(_places(job_of(text)), "north"):
        assert p.axis is not None
        assert not p.relieved


def test_a_bevel_is_taken_at_its_ends_and_between() -> None:
    bevel = _of(_places(job_of(BULGED.format(middle=104.0))), "east")
    angles = [p.angle for p in bevel]
    assert 3 <= len(bevel) <= 7
    assert angles == sorted(angles)
    assert max(np.diff(angles)) < 6.0


def _felt(curvature):  # type: ignore[no-untyped-def]
    """What springback feels of the curve: the hoop strain at the free edge, hardly any of it until the sheet yields."""
    x = (16.5 * curvature / 0.005) ** 3
    return x / (1 + np.abs(x))


def test_between_its_places_an_edge_runs_as_straight_as_the_model_can_tell() -> None:
    """The nose of a rib curves sharply and flattens out: the places crowd where it does."""
    part = read_part(EXAMPLES / "Q7-2102-1.part.toml")
    part = replace(part, flanges={k: replace(f, flutes="none") for k, f in part.flanges.items()})
    rib = take_in(part, example_shop(), load_catalogue(), "rib")
    blank = make_blank(rib)
    places = places_of(rib, blank)
    for edge in ("lower", "upper"):
        mine = _of(places, edge)
        strip, i = blank.strip_of(edge)
        on = strip.at.edge == i
        along, curvature = strip.at.along[on], strip.strip.curvature[on]
        inside = (along >= mine[0].along) & (along <= mine[-1].along)
        felt = [_felt(0.0 if p.axis is None else p.sign / p.axis) for p in mine]
        missed = np.abs(np.interp(along, [p.along for p in mine], felt) - _felt(curvature))
        assert 3 <= len(mine) <= 7
        assert float(np.max(missed[inside])) < 0.15


def test_places_of_the_mirrored_part_have_the_same_sections() -> None:
    job = job_of(BULGED.format(middle=104.0))
    mirrored = replace(job, part=_mirror(job.part))
    a, b = _places(job), _places(mirrored)
    assert sorted(p.unlike for p in a) == sorted(p.unlike for p in b)


def _mirror(part: Part) -> Part:
    """x -> -x, the loop drawn the other way round."""
    edges = tuple(
        replace(e, points=tuple((-x, y) for x, y in reversed(e.points)), turned=not e.turned)
        for e in reversed(part.outer.edges)
    )
    return replace(part, outer=replace(part.outer, edges=edges))


def test_a_flanged_hole_is_a_stretched_ring_of_its_tangent_circle() -> None:
    hole = (
        '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100.0, 50.0]\ndiameter = 40.0\n'
        "flat_height = 9.0\nbend_angle = 45\nbend_radius = 3.0\n"
    )
    (p,) = _of(_places(job_of(box(extra=hole))), "L")
    assert p.axis == pytest.approx(20.0)
    assert p.sign == -1.0
    assert p.where == {"hole": "L"}


def test_a_flange_without_straight_part_has_no_place() -> None:
    assert not _places(job_of(box(width=4.0)))


def test_the_block_keeps_the_arc_whatever_its_undercut() -> None:
    job = job_of(box())
    law = law_of(job).law
    assert law is not None
    place = _places(job)[0]
    arcs = [flange_on(law, job.t, place, u).arc() for u in (0.0, 2.0, 9.0)]
    assert arcs == pytest.approx([(3.0 + 0.5) * np.pi / 2] * 3, abs=1e-9)


def test_the_law_takes_the_record_the_secondary_modulus_and_says_what_is_a_default() -> None:
    clad = law_of(job_of(box(material="2024-T3 clad")))
    bare = law_of(job_of(box(material="2024-T3")))
    assert clad.law is not None
    assert bare.law is not None
    assert clad.law.e < bare.law.e
    assert bare.law.back <= bare.limit == 35.0
    # a record without share or R-value
    job = job_of(box(material="2024-O"))
    assert job.formed is not None
    assert job.formed.hardening is not None
    bald = replace(job.formed, facts={k: v for k, v in job.formed.facts.items() if k not in R_VALUES})
    bald = replace(bald, hardening=replace(job.formed.hardening, prestrain=0.0, source="kinematic share: rule B1"))
    law = law_of(replace(job, formed=bald))
    assert law.law is not None
    assert len(law.defaults) == 3
    assert float(law.law.curve.stress(np.zeros(()))) == pytest.approx(job.formed.number("yield_mpa"))


def test_a_temper_without_a_flow_curve_has_no_law_and_says_why() -> None:
    law = law_of(job_of(box(material="2024-T3").replace("thickness", 'formed_in = "W"\nthickness')))
    assert law.law is None
    assert "W" in law.why_not
