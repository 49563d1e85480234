"""A traced outline held against its drawing: what was put into a simulated piece is found again, within what is stated.

The pieces are the drawn outline moved by a known deviation (tests/traced_pieces.py), the pictures are made by tests/pictures.py. No real
piece and no real photo was compared.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from building import box, job_of
from ribwright.adapters.read_trace import read_trace
from ribwright.errors import InputError
from ribwright.features.inspected import BLANK, INNER, PART, Measured, Said
from ribwright.stages.found import FoundSet
from ribwright.stages.found_rings import found_rings
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.seen_lines import SeenLines, seen_lines
from traced_pieces import Piece, Sheet, piece, some_sheet, write

HOLES = """
[[hole]]
name = "A"
kind = "tooling"
at = [20, 20]
diameter = 6
[[hole]]
name = "B"
kind = "tooling"
at = [170, 60]
diameter = 6
slot = 3
slot_angle = 20
[[hole]]
name = "C"
kind = "plain"
at = [90, 60]
diameter = 12
"""
TOLERANCE = "[tolerance]\nflange_angle = 1.0\ncontour = 0.5\n"
FLANGED = (True, False, True, False)
LEG = 15.0 - 4.0  # straight part of the flange of the box [mm]
U = 0.06


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(job_of(box(w=180, h=80, flanges=FLANGED, extra=HOLES + TOLERANCE)))


def _measured(
    made: Piece, what: str = BLANK, turn: float = 0.3, mirrored: bool = False, face: str = "outer", k: float = 1.0
) -> Measured:  # fmt: skip
    """The piece's own outlines, as if traced without any error, lying somewhere."""
    c, s = np.cos(turn), np.sin(turn)
    flip = np.array([-1.0, 1.0]) if mirrored else np.ones(2)
    rings = tuple(k * ((r * flip) @ np.array([[c, s], [-s, c]]) + (210.0, -40.0)) for r in made.rings)
    return Measured("m.csv", Said("mm", "T-1", what=what, face=face, uncertainty=U), rings=rings)


def _misses(found: FoundSet, made: Piece, lines: SeenLines) -> list[tuple[float, float]]:
    """(found less put in, stated uncertainty) of every place."""
    edges = {e.name: e for e in lines.edges}
    out = []
    for f in found.found:
        if f.quantity == "contour":
            at, _ = edges[f.where["edge"]].at(f.where["along_mm"])
            out.append((f.value - float(made.off(at[None])[0]), f.u))
    return out


def _holes(found: FoundSet, made: Piece) -> list[tuple[float, float]]:
    """The same of both axes of every round hole, and of its diameter."""
    rows = [f for f in found.found if f.quantity == "hole_position" and f.where["hole"] != "B"]
    sizes = [(f.value - f.nominal, f.u) for f in found.found if f.quantity == "hole_diameter"]
    return [(f.value - made.drift[f.where["hole"]]["xy".index(f.where["axis"])], f.u) for f in rows] + sizes


# ---------------------------------------------------------------- the fit, without a picture


@pytest.mark.parametrize("what", [BLANK, PART])
@pytest.mark.parametrize("turn", [0.0, 2.0, -3.0])
def test_a_piece_lying_anyhow_gives_back_what_was_put_into_it(what: str, turn: float, plan: Plan) -> None:
    lines = seen_lines(plan, what)
    made = piece(lines, np.random.default_rng(1))
    found = found_rings(plan, _measured(made, what, turn))
    off = np.array([m for m, _ in _misses(found, made, lines)])
    assert len(off) > 40
    # a mean over 5 mm of a wave, and chords of 1 mm that end in the drawn corner
    assert np.abs(off).max() < 0.02
    assert np.abs([m for m, _ in _holes(found, made)]).max() < 2e-3
    assert found.fit.by == "pins"
    assert found.fit.rms < 1e-3
    assert {p.edge for p in found.profiles} == {"south", "east", "north", "west"}


def test_a_slot_carries_only_across_its_long_axis(plan: Plan) -> None:
    lines = seen_lines(plan, BLANK)
    made = piece(lines, np.random.default_rng(2))
    along = np.array([np.cos(np.radians(20)), np.sin(np.radians(20))])
    # pins stand first, slot second, in the order of the drawing; rings of holes follow the outlines
    rings = [*made.rings]
    rings[len(lines.rings) + 1] = rings[len(lines.rings) + 1] + 0.8 * along
    slid = found_rings(plan, _measured(replace(made, rings=tuple(rings))))
    assert np.abs([m for m, _ in _misses(slid, made, lines)]).max() < 0.01
    drift = next(d for d in slid.fit.drifts if d.hole == "B")
    assert (drift.dx, drift.dy) == pytest.approx(tuple(0.8 * along), abs=0.01)


def test_without_pin_holes_it_is_laid_by_places_and_that_is_said(plan: Plan) -> None:
    lines = seen_lines(plan, BLANK)
    made = piece(lines, np.random.default_rng(3), size=0.2)
    bare = found_rings(plan, _measured(replace(made, rings=made.rings[: len(lines.rings)])))
    assert bare.fit.by == "places"
    assert any("too few are seen" in n for n in bare.notes)
    assert any("Not seen" in n and "A, B, C" in n for n in bare.notes)
    both = found_rings(plan, _measured(made), "places")
    assert both.fit.by == "places and pins"


def test_many_places_take_part_of_a_deviation_away_and_the_pins_do_not(plan: Plan) -> None:
    lines = seen_lines(plan, BLANK)
    made = piece(lines, np.random.default_rng(4), size=1e-9)
    ring = made.rings[0]
    # the north side stands 0.6 mm out, nothing else
    up = np.where((ring[:, 1] > 70.0)[:, None], [0.0, 0.6], 0.0)
    made = replace(made, rings=(ring + up, *made.rings[1:]))

    def north(fit: str) -> float:
        found = found_rings(plan, _measured(made), fit).found
        return float(np.mean([f.value for f in found if f.quantity == "contour" and f.where["edge"] == "north"]))

    assert north("pins") == pytest.approx(0.6, abs=0.01)
    assert north("places") == pytest.approx(0.50, abs=0.01)


def test_the_extent_of_a_blank_and_strange_openings_are_told(plan: Plan) -> None:
    lines = seen_lines(plan, BLANK)
    made = piece(lines, np.random.default_rng(5))
    a = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    strange = np.array([140.0, 30.0]) + 3.0 * np.column_stack([np.cos(a), np.sin(a)])
    found = found_rings(plan, _measured(replace(made, rings=(*made.rings, strange))))
    assert any("Extent of the blank" in n for n in found.notes)
    assert any("does not have" in n and "x 140" in n for n in found.notes)


def test_an_angle_that_nobody_measured_is_in_the_uncertainty_of_a_part(plan: Plan) -> None:
    lines = seen_lines(plan, PART)
    made = piece(lines, np.random.default_rng(6))
    rows = [f for f in found_rings(plan, _measured(made, PART)).found if f.quantity == "contour"]
    flanged = [f.u for f in rows if f.where["edge"] == "south"]
    plain = [f.u for f in rows if f.where["edge"] == "east"]
    # 1 degree of a straight part of 11 mm, rectangular: 2 x 11 sin(1 deg)/sqrt 3
    more = 2.0 * LEG * np.sin(np.radians(1.0)) / np.sqrt(3.0)
    assert np.hypot(min(plain), more) == pytest.approx(np.median(flanged), rel=0.12)
    bare = make_plan(job_of(box(w=180, h=80, flanges=FLANGED, extra=HOLES)))
    rows = [f for f in found_rings(bare, _measured(made, PART)).found if f.quantity == "contour"]
    assert all((f.u is None) == (f.where["edge"] in ("south", "north")) for f in rows)


# ---------------------------------------------------------------- questions


def _asked(plan: Plan, measured: Measured) -> str:
    with pytest.raises(InputError) as caught:
        found_rings(plan, measured)
    return str(caught.value)


@pytest.mark.parametrize("what", [BLANK, PART])
def test_another_part_a_mirror_image_and_a_slip_of_units_are_asked_about(what: str, plan: Plan) -> None:
    made = piece(seen_lines(plan, what), np.random.default_rng(7))
    assert "mirror image" in _asked(plan, _measured(made, what, mirrored=True))
    assert "25.4 times too large" in _asked(plan, _measured(made, what, k=25.4))
    assert "25.4 times too small" in _asked(plan, _measured(made, what, k=1 / 25.4))
    other = make_plan(job_of(box(w=180, h=110, flanges=FLANGED, extra=HOLES)))
    assert "another part" in _asked(other, _measured(made, what))
    narrow = make_plan(job_of(box(w=150, h=100, flanges=FLANGED, extra=HOLES.replace("170", "140"))))
    assert "another part" in _asked(narrow, _measured(made, what))


def test_a_blank_given_as_a_part_and_the_other_way_round_is_asked_about(plan: Plan) -> None:
    flat, formed = (piece(seen_lines(plan, what), np.random.default_rng(7)) for what in (BLANK, PART))
    assert "what = blank" in _asked(plan, _measured(flat, PART))
    assert "what = part" in _asked(plan, _measured(formed, BLANK))


def test_a_piece_pictured_from_its_inner_face_says_so_and_is_mirrored(plan: Plan) -> None:
    lines = seen_lines(plan, BLANK)
    made = piece(lines, np.random.default_rng(8))
    found = found_rings(plan, _measured(made, mirrored=True, face=INNER))
    assert np.abs([m for m, _ in _misses(found, made, lines)]).max() < 0.01
    assert any("inner face" in n for n in found.notes)
    assert "face = outer" in _asked(plan, _measured(made, face=INNER))


def test_straight_edges_that_are_all_bowed_one_way_ask_about_the_lens(plan: Plan) -> None:
    made = piece(seen_lines(plan, BLANK), np.random.default_rng(10), size=1e-9)
    middle = np.array([90.0, 40.0])

    def pulled(share: float) -> Piece:
        """A barrel: what lies further from the middle is pulled in by the square of its distance."""
        rings = tuple(r - (r - middle) * share * ((r - middle) ** 2).sum(axis=1)[:, None] / 1e4 for r in made.rings)
        return replace(made, rings=rings)

    assert not any("lens" in n for n in found_rings(plan, _measured(made)).notes)
    assert any("bowed out" in n and "lens" in n for n in found_rings(plan, _measured(pulled(0.005))).notes)
    assert any("bowed in" in n for n in found_rings(plan, _measured(pulled(-0.005))).notes)


def test_an_outline_that_goes_on_two_ways_is_said_to() -> None:
    plain = make_plan(job_of(box(w=180, h=80)))
    made = piece(seen_lines(plain, BLANK), np.random.default_rng(9), size=0.05)
    found = found_rings(plain, _measured(made, turn=0.2))
    assert any("2 ways as well" in n for n in found.notes)
    assert abs(found.fit.rotation_deg) == pytest.approx(np.degrees(0.2), abs=0.3)


# ---------------------------------------------------------------- pictures


@dataclass
class Tally:
    """Of many trials: places and holes within what was stated, and how far off."""

    within: int = 0
    of: int = 0
    holes: int = 0
    of_holes: int = 0
    squares: float = 0.0
    trials_within: int = 0

    def add(self, places: Sequence[tuple[float, float]], holes: Sequence[tuple[float, float]]) -> None:
        inside = [abs(m) <= u for m, u in places]
        self.within, self.of = self.within + sum(inside), self.of + len(inside)
        self.squares += sum(m * m for m, _ in places)
        self.holes, self.of_holes = self.holes + sum(abs(m) <= u for m, u in holes), self.of_holes + len(holes)
        self.trials_within += np.mean(inside) >= 0.95


def _trials(plan: Plan, what: str, fit: str, seeds: Sequence[int], folder: Path) -> Tally:
    """Pictures of pieces with any of the faults that a shop's pictures have."""
    pytest.importorskip("skimage", reason="the extra `trace` is not installed")
    lines, tally = seen_lines(plan, what), Tally()
    head = f"# units = mm\n# part = T-1\n# what = {what}\n# uncertainty = 0.05 mm\n"
    for seed in seeds:
        rng = np.random.default_rng(seed)
        # a flange open by up to a degree leans out, one closed by as much does not show
        open_by = rng.uniform(-1.0, 1.0, 2)
        lean = (
            dict(zip(("south", "north"), LEG * np.sin(np.radians(np.maximum(open_by, 0.0))), strict=True))
            if what == PART
            else {}
        )
        made = piece(lines, rng, lean=lean)
        found = found_rings(plan, read_trace(write(folder, made, some_sheet(rng), seed, head)), fit)
        tally.add(_misses(found, made, lines), _holes(found, made))
    return tally


@pytest.mark.parametrize("what", [BLANK, PART])
def test_what_was_put_into_a_piece_is_found_in_its_picture_within_the_stated_uncertainty(
    what: str, plan: Plan, tmp_path: Path
) -> None:
    tally = _trials(plan, what, "pins", range(900, 904), tmp_path)
    assert tally.within >= 0.95 * tally.of
    assert tally.holes >= 0.95 * tally.of_holes
    assert tally.of > 4 * 40


@pytest.mark.slow
@pytest.mark.parametrize(("what", "pictures"), [(BLANK, 500), (PART, 500)])
def test_in_hundreds_of_pictures_95_percent_lie_within_the_stated_uncertainty(
    what: str, pictures: int, plan: Plan, tmp_path: Path
) -> None:
    tally = _trials(plan, what, "pins", range(pictures), tmp_path)
    print(what, tally, "rms", np.sqrt(tally.squares / tally.of))
    assert tally.within >= 0.95 * tally.of
    assert tally.holes >= 0.95 * tally.of_holes
    assert tally.trials_within >= 0.95 * pictures


def test_a_picture_gives_the_same_whatever_the_marks_frame(plan: Plan, tmp_path: Path) -> None:
    pytest.importorskip("skimage", reason="the extra `trace` is not installed")
    lines = seen_lines(plan, BLANK)
    made = piece(lines, np.random.default_rng(11))
    head = "# units = mm\n# part = T-1\n# what = blank\n# uncertainty = 0.05 mm\n"
    file = write(tmp_path, made, Sheet(), 1, head)
    first = found_rings(plan, read_trace(file))
    rows = file.read_text().splitlines()
    # the places of the marks told in another frame, turned a quarter and moved
    moved = [c.split(", ") for c in rows if c.startswith("M")]
    told = [", ".join([*c[:3], f"{-float(c[4]) + 1000:.5f}", f"{float(c[3]) - 300:.5f}"]) for c in moved]
    file.write_text("\n".join([*(r for r in rows if not r.startswith("M")), *told]) + "\n")
    second = found_rings(plan, read_trace(file))
    assert [f.value for f in second.found] == pytest.approx([f.value for f in first.found], abs=2e-3)
