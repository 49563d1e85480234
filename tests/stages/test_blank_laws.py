"""Laws of the blank that hold for every valid part, whatever its shape."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from building import RandomPart, box, job_of
from ribwright.geometry.path import Path
from ribwright.stages.blank import Blank, make_blank

SEEDS = range(24)
METHODS = ("handbook", "strain-corrected")


def rings(blank: Blank) -> list[np.ndarray]:
    return [np.array(loop.points) for loop in blank.loops]


def apart(a: np.ndarray, b: np.ndarray) -> float:
    """Largest distance between two rings that have the same points in some order."""
    assert len(a) == len(b)
    d = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    return float(max(d.min(axis=0).max(), d.min(axis=1).max()))


def numbers(blank: Blank) -> np.ndarray:
    return np.concatenate([s.strip.flat_width for s in blank.strips] + [[h.cut_diameter for h in blank.holes]])


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("method", METHODS)
def test_writing_the_part_in_inches_gives_the_same_blank(seed: int, method: str) -> None:
    part = RandomPart(seed)
    mm = make_blank(job_of(part.text()), method)
    inch = make_blank(job_of(part.text(25.4, "in")), method)
    assert apart(rings(mm)[0], rings(inch)[0]) < 1e-6
    assert np.abs(numbers(mm) - numbers(inch)).max() < 1e-6
    assert abs(mm.area - inch.area) < 1e-3


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("method", METHODS)
def test_turning_the_part_turns_the_blank(seed: int, method: str) -> None:
    part, angle = RandomPart(seed), radians(37.0 + seed)
    straight = rings(make_blank(job_of(part.text()), method))[0]
    turned = rings(make_blank(job_of(part.text(turn=angle)), method))[0]
    c, s = np.cos(angle), np.sin(angle)
    assert apart(straight @ np.array([[c, s], [-s, c]]), turned) < 1e-6


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("method", METHODS)
def test_mirroring_the_part_mirrors_the_blank(seed: int, method: str) -> None:
    part = RandomPart(seed)
    plain = rings(make_blank(job_of(part.text()), method))[0]
    mirrored = rings(make_blank(job_of(part.text(mirror=True)), method))[0]
    assert apart(plain * [-1, 1], mirrored) < 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_a_part_without_flanges_is_its_own_blank(seed: int) -> None:
    part = RandomPart(seed)
    part.flanged = [False] * len(part.points)
    blank = make_blank(job_of(part.text()))
    drawn = [e.curve for loop in blank.laid for e in loop.edges]
    corners = np.array([c.point(np.array([0.0]))[0] for c in drawn])
    outline = rings(blank)[0]
    assert all(np.hypot(*(outline - c).T).min() < 1e-9 for c in corners)
    exact = Path(tuple(blank.outline.path.vertices)).area()
    bulged = sum(_segment_area(a, b, h) for a, b, h in _sides(part))
    polygon = Path(tuple((x, y, 0.0) for x, y in part.points)).area()
    assert exact == pytest.approx(polygon + bulged, rel=1e-6)


def _sides(part: RandomPart) -> list[tuple[tuple[float, float], tuple[float, float], float]]:
    n = len(part.points)
    return [(part.points[i], part.points[(i + 1) % n], part.bulge[i]) for i in range(n)]


def _segment_area(a: tuple[float, float], b: tuple[float, float], rise: float) -> float:
    """Circular segment over a chord with that rise."""
    if rise == 0:
        return 0.0
    half = np.hypot(b[0] - a[0], b[1] - a[1]) / 2
    radius = (half**2 + rise**2) / (2 * rise)
    angle = 2 * np.arcsin(half / radius)
    return float(radius**2 / 2 * (angle - np.sin(angle)))


@pytest.mark.parametrize("method", METHODS)
def test_a_straight_flange_adds_allowance_and_leg_and_nothing_else(method: str) -> None:
    blank = make_blank(job_of(box(w=200, h=100, width=15, radius=3, t=1, flanges=(True, False, False, False))), method)
    allowance = (0.01743 * 3 + 0.0078 * 1) * 90
    flat = allowance + 15 - 4
    y = np.array(blank.outline.points)[:, 1]
    assert y.min() == pytest.approx(4 - flat, abs=1e-9)
    assert y.max() == pytest.approx(100, abs=1e-9)


def test_a_steeper_flange_moves_the_tangent_line_and_the_drawn_line_stays() -> None:
    text = box(angle="[[0, 84], [200, 97]]", flanges=(True, False, False, False))
    strip = make_blank(job_of(text)).strips[0]
    inset = strip.at.inset
    assert inset[0] == pytest.approx(4 * np.tan(radians(42)))
    assert inset[-1] == pytest.approx(4 * np.tan(radians(48.5)))
    assert np.allclose(strip.at.tangent[:, 1], inset)


def test_the_three_drawn_lines_give_blanks_that_differ_by_their_distance() -> None:
    lines = ("outside-mold-line", "inside-mold-line", "bend-tangent-line")
    low = [
        np.array(make_blank(job_of(box(line=line, flanges=(True, False, False, False)))).outline.points)[:, 1].min()
        for line in lines
    ]
    assert low[0] - low[1] == pytest.approx(1.0)
    assert low[0] - low[2] == pytest.approx(4.0)


def test_true_lines_and_arcs_stay_within_a_hundredth_of_the_computed_edge() -> None:
    from shapely import LinearRing, hausdorff_distance

    for seed in range(6):
        blank = make_blank(job_of(RandomPart(seed).text()))
        fitted = LinearRing(blank.outline.path.chords(0.0005))
        assert hausdorff_distance(LinearRing(blank.outline.points), fitted) < 0.012


def test_along_counts_from_the_end_that_was_typed_first() -> None:
    """A loop typed clockwise is turned by the reader; a bevel typed at its start stays at its start."""
    forward = job_of(box(angle="[[0, 84], [200, 96]]", flanges=(True, False, False, False)))
    south = make_blank(forward).strip_of("south")[0].at
    assert south.angle[np.argmin(south.point[:, 0])] == pytest.approx(84, abs=0.3)
    text = box(angle="[[0, 84], [200, 96]]", flanges=(False, False, False, False))
    head, _ = text.split("[[web.edge]]", 1)
    tail = text[text.index("[flange.f]") :]
    edges = [("west", [0.0, 100.0]), ("north", [200.0, 100.0]), ("east", [200.0, 0.0]), ("south", [0.0, 0.0])]
    body = "".join(
        f'[[web.edge]]\nname = "{n}"\nto = {p}\n' + ('flange = "f"\n' if n == "south" else "") for n, p in edges
    )
    turned = make_blank(job_of(head + body + tail)).strip_of("south")[0].at
    assert turned.angle[np.argmax(turned.point[:, 0])] == pytest.approx(84, abs=0.3)


def test_trim_is_cut_but_is_not_part_of_the_flat_width() -> None:
    net, trimmed = (make_blank(job_of(box(extra=e))) for e in ("", "[blank]\ntrim = 6\n"))
    assert trimmed.size[0] - net.size[0] == pytest.approx(12)
    assert np.allclose(trimmed.strips[0].strip.flat_width, net.strips[0].strip.flat_width)


HOLE = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\n{given}\nbend_angle = {a}\nbend_radius = 3\n'


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("angle", [30, 45, 60, 75])
def test_each_way_to_size_a_hole_flange_gives_the_same_hole(method: str, angle: int) -> None:
    """From the cut hole come rim, height and flat height; each typed alone brings the same cut hole back."""
    first = make_blank(job_of(box() + HOLE.format(given="cut_diameter = 30", a=angle)), method).holes[0]
    assert first.cut_diameter == 30
    sizes = {"rim_diameter": first.rim_diameter, "flange_height": first.flange_height, "flat_height": first.flat_width}
    for name, size in sizes.items():
        again = make_blank(job_of(box() + HOLE.format(given=f"{name} = {size!r}", a=angle)), method).holes[0]
        assert again.cut_diameter == pytest.approx(30, abs=1e-6), name


def test_a_square_hole_flange_is_not_fixed_by_its_opening() -> None:
    flat = make_blank(job_of(box() + HOLE.format(given="rim_diameter = 32", a=90))).holes[0]
    assert flat.outcome == "undetermined"


def test_a_hole_strained_edge_stretches_by_rim_over_cut() -> None:
    """ln(mid-surface rim diameter / cut diameter); rim_diameter is the mid-surface rim less t sin(a)."""
    flat = make_blank(job_of(box() + HOLE.format(given="cut_diameter = 30", a=45))).holes[0]
    rim_mid = flat.rim_diameter + 1.0 * np.sin(radians(45))
    assert flat.edge_strain == pytest.approx(np.log(rim_mid / 30))
