"""Mold lines and free edge of the formed part are where an independent reckoning by polygons puts them."""

from __future__ import annotations

from math import cos, radians, sin, tan

import numpy as np
import pytest
import shapely

from building import RandomPart, box, job_of
from documents.sample import sample_identity
from ribwright.documents.check_content import check_content
from ribwright.stages.blank import make_blank
from ribwright.stages.formed_lines import FormedLines, formed_lines
from ribwright.stages.plan import make_plan

LINES = ("outside-mold-line", "inside-mold-line", "bend-tangent-line")


def formed(text: str) -> FormedLines:
    job = job_of(text)
    return formed_lines(job, make_blank(job))


def from_line(line: str, a: float, r: float, t: float) -> tuple[float, float]:
    """Drawn line to outside and to inside mold line, outward [mm]: (R + t) tan(a/2) and R tan(a/2) from the tangent line."""
    k = tan(radians(a) / 2)
    drawn = {"outside-mold-line": (r + t) * k, "inside-mold-line": r * k, "bend-tangent-line": 0.0}[line]
    return (r + t) * k - drawn, r * k - drawn


def drawn_sides(part: RandomPart, chord: float = 2e-4) -> list[shapely.LineString]:
    """The drawn edges, bulged ones as fine chords of the circle through three points."""
    out = []
    n = len(part.points)
    for i in range(n):
        p, q = np.array(part.points[i]), np.array(part.points[(i + 1) % n])
        h, points = part.bulge[i], [p]
        if h:
            c = float(np.hypot(*(q - p)))
            u, v = (q - p) / c, np.array([(q - p)[1], -(q - p)[0]]) / c
            radius = (c * c / 4 + h * h) / (2 * h)
            half = np.arcsin(c / 2 / radius)
            steps = max(4, int(np.ceil(half / np.sqrt(2 * chord / radius))))
            for s in np.linspace(-half, half, 2 * steps + 1)[1:-1]:
                points.append((p + q) / 2 + u * radius * sin(s) + v * (radius * cos(s) - radius + h))
        out.append(shapely.LineString([*points, q]))
    return out


def drawn_polygon(part: RandomPart) -> shapely.Polygon:
    return shapely.Polygon([xy for side in drawn_sides(part) for xy in side.coords[:-1]])


def moved(polygon: shapely.Polygon, out: float) -> shapely.Polygon:
    """Every side moved outward, corners mitred. Fattening keeps every vertex of what is fattened: shrinking is fattening
    the outside."""
    if out >= 0:
        return polygon.buffer(out, join_style="mitre", mitre_limit=50)
    frame = polygon.envelope.buffer(50, join_style="mitre")
    return frame.difference(frame.difference(polygon).buffer(-out, join_style="mitre", mitre_limit=50))


@pytest.mark.parametrize("line", LINES)
@pytest.mark.parametrize("seed", range(8))
def test_mold_lines_are_the_drawn_line_set_over_within_two_hundredths(seed: int, line: str) -> None:
    part = RandomPart(seed)
    part.flanged = [True] * len(part.points)
    text = part.text().replace("outside-mold-line", line)
    polygon = drawn_polygon(part)
    lines = formed(text)
    assert lines.good
    outside, inside = from_line(line, part.angle, part.radius, part.t)
    ring = shapely.Polygon(np.concatenate(lines.outside[0]))
    assert ring.hausdorff_distance(moved(polygon, outside)) < 0.02
    within = shapely.Polygon(np.concatenate([p for _, p in lines.inside]))
    assert within.hausdorff_distance(moved(polygon, inside)) < 0.02
    # and the same of what is printed
    plan = make_plan(job_of(text))
    printed = check_content(plan, sample_identity(plan)).outline
    assert shapely.Polygon(printed.chords(1e-3)).hausdorff_distance(moved(polygon, outside)) < 0.02


def off_side(points: np.ndarray, side: shapely.LineString) -> np.ndarray:
    """Distance of those points that stand abreast of a drawn edge, not past its ends."""
    at = shapely.points(points)
    along = shapely.line_locate_point(side, at)
    abreast = (along > 1e-3) & (along < side.length - 1e-3)
    return np.asarray(shapely.distance(at[abreast], side))


@pytest.mark.parametrize("seed", range(12))
def test_each_edge_stands_off_its_drawn_line_by_its_own_section(seed: int) -> None:
    part = RandomPart(seed)
    lines, sides = formed(part.text()), {f"e{i}": side for i, side in enumerate(drawn_sides(part))}
    _, inside = from_line("outside-mold-line", part.angle, part.radius, part.t)
    for pieces, side in zip(lines.outside[0], sides.values(), strict=True):
        assert off_side(pieces, side) == pytest.approx(0.0, abs=0.02)
    assert [name for name, _ in lines.inside] == [f"e{i}" for i, on in enumerate(part.flanged) if on]
    for name, p in lines.inside:
        assert off_side(p, sides[name]) == pytest.approx(abs(inside), abs=0.02)
    lean = part.width * cos(radians(part.angle))
    assert bool(lines.free) == (any(part.flanged) and abs(lean) > 0.05)
    for name, p in lines.free:
        assert off_side(p, sides[name]) == pytest.approx(abs(lean), abs=0.02)


@pytest.mark.parametrize("angle", [60.0, 84.0, 90.0, 97.0, 120.0])
def test_the_section_is_that_of_a_bent_strip(angle: float) -> None:
    """Walked along the heel: flat web, arc of R + t, straight leg. No formula of mold lines enters."""
    r, t, w = 3.0, 1.0, 15.0
    lines = formed(box(angle=angle, width=w, radius=r, t=t))
    a = radians(angle)
    phi = np.linspace(0, a, 20001)
    heel = np.column_stack([(r + t) * np.sin(phi), (r + t) * (1 - np.cos(phi))])
    leg = w - (r + t) * tan(a / 2)
    tip = heel[-1] + leg * np.array([cos(a), sin(a)])
    meeting = heel[-1, 0] - heel[-1, 1] / tan(a)  # the leg's plane back up to the web's
    e = lines.edges[0]
    assert e.free[0] == pytest.approx(tip[0] - meeting, abs=1e-9)
    assert e.depth[0] == pytest.approx(tip[1], abs=1e-9)
    assert e.outermost[0] == pytest.approx(max(heel[:, 0].max(), tip[0]) - meeting, abs=1e-6)


def test_a_varying_bevel_moves_the_free_edge_through_the_mold_line() -> None:
    lines = formed(box(angle="[[0, 84], ['end', 97]]", flanges=(True, False, False, False)))
    ((name, p),) = lines.free
    assert name == "south"
    assert p[0, 1] == pytest.approx(-15 * cos(radians(84)), abs=1e-6)
    assert p[-1, 1] == pytest.approx(-15 * cos(radians(97)), abs=1e-6)
    assert len(lines.ends) == 2


def test_a_square_flange_has_no_free_edge_of_its_own_and_ends_at_the_meeting_of_the_tangent_lines() -> None:
    lines = formed(box())
    assert lines.free == ()
    assert len(lines.ends) == 8
    # (R + t) tan 45 = 4: strips end where the tangent lines meet, 4 mm in from each corner
    assert {tuple(round(v, 6) for v in a) for a, _ in lines.ends} == {(4, 4), (196, 4), (196, 96), (4, 96)}


def test_cutouts_have_their_lines_too() -> None:
    arcs = [("c1", [100, 70], [120, 50]), ("c2", [100, 30], [80, 50])]
    rows = ", ".join(f'{{name = "{n}", through = {p}, to = {q}, flange = "f"}}' for n, p, q in arcs)
    cut = f'[[cutout]]\nname = "c"\nstart = [80, 50]\nedge = [{rows}]\n'
    lines = formed(box(extra=cut))
    ring = np.concatenate(lines.outside[1])
    assert np.hypot(ring[:, 0] - 100, ring[:, 1] - 50) == pytest.approx(20.0, abs=0.01)
    within = np.concatenate([p for name, p in lines.inside if name.startswith("c")])
    # metal lies outside the opening: the inner face stands t further out
    assert np.hypot(within[:, 0] - 100, within[:, 1] - 50) == pytest.approx(21.0, abs=0.01)
