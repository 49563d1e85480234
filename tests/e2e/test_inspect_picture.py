"""`ribwright inspect` with the picture of a blank: from the file of its marks to results, and what is asked."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from building import EXAMPLES, example_shop
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.cli import main
from ribwright.stages.job import take_in
from ribwright.stages.plan import make_plan
from ribwright.stages.seen_lines import seen_lines
from traced_pieces import Piece, Sheet, piece, write

pytest.importorskip("skimage", reason="the extra `trace` is not installed")
PART = EXAMPLES / "Q7-2301-1.part.toml"
HEAD = (
    "# units = in\n# part = Q7-2301-1\n# what = blank\n# uncertainty = 0.05 mm\n# by = W. Heron\n# date = 2031-03-10\n"
)


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(w) for w in words])


@pytest.fixture(scope="module")
def cut() -> Piece:
    plan = make_plan(take_in(read_part(PART), example_shop(), load_catalogue(), "x"))
    return piece(seen_lines(plan, "blank"), np.random.default_rng(5), size=0.3)


def test_a_picture_of_the_blank_gives_contour_holes_and_extent(cut: Piece, tmp_path: Path) -> None:
    file = write(tmp_path, cut, Sheet(mm=0.3, marks=5), 1, HEAD, units=25.4)
    done = run("inspect", PART, file, "--json")
    assert done.exit_code == 0, done.output
    inspect = json.loads(done.stdout)["inspect"]
    assert inspect["fit"]["by"] == "pins"
    assert inspect["of"]["what"] == "blank"
    contour = [r for r in inspect["results"] if r["quantity"] == "contour"]
    assert {r["where"]["edge"] for r in contour} == {"lower", "rear", "upper", "front"}
    assert max(abs(r["value"]) for r in contour) < 0.6
    assert any("Extent of the blank" in n for n in inspect["notes"])
    for d in inspect["drifts"]:
        drift = cut.drift[d["hole"]]
        assert (d["x_mm"], d["y_mm"]) == pytest.approx(tuple(drift), abs=d["uncertainty_mm"])


def test_a_mirrored_piece_wrong_units_and_a_missing_picture_are_one_sentence_each(cut: Piece, tmp_path: Path) -> None:
    mirrored = run("inspect", PART, write(tmp_path, cut, Sheet(mm=0.4, mirrored=True), 1, HEAD, units=25.4))
    assert mirrored.exit_code == 2
    assert "mirror image" in mirrored.output
    slipped = run("inspect", PART, write(tmp_path, cut, Sheet(mm=0.4), 1, HEAD))
    assert slipped.exit_code == 2
    assert "25.4 times too large" in slipped.output
    (tmp_path / "piece.png").unlink()
    bare = run("inspect", PART, tmp_path / "marks.csv")
    assert bare.exit_code == 2
    assert "no such file" in bare.output
    alone = run("inspect", PART, tmp_path / "photo.jpg")
    assert alone.exit_code == 2
    assert "a picture alone" in alone.output
