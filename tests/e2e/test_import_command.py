"""`ribwright import`: a table in, a part file out that says what it lacks; nothing changed unasked, nothing lost, nothing half written."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import ribwright
from building import EXAMPLES
from drawn_rib import filled as filled_in
from ribwright.adapters.part_toml import read_part
from ribwright.cli import main
from ribwright.documents.part_text import MISSING
from ribwright.errors import InputError
from ribwright.features.part import Part
from ribwright.geometry.curve import curve_from_points, samples

TABLE = EXAMPLES.parent / "ordinates" / "Q7-2102.csv"
IN = 25.4
CUT = ("--from", "5", "--to", "36")


def run(*words: object) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["import", *map(str, words)])
    return done.exit_code, done.output


def answer(*words: object) -> dict[str, Any]:
    status, said = run(TABLE, *words, "--json")
    assert status == 0, said
    return dict(json.loads(said))


def filled(path: Path) -> Part:
    """The part of a written file once the open keys are filled in."""
    text = path.read_text(encoding="utf-8")
    assert text.count("fill in") == 1 + 1 + len(MISSING)  # the head, the line of its flanges, which it has none of
    path.write_text(filled_in(text), encoding="utf-8")
    return read_part(path)


def test_the_wrong_ordinate_of_the_example_is_told_with_what_would_fit_and_kept() -> None:
    told = answer("--length", "50 in=chord")
    (o,) = told["import"]["suspects"]
    assert (o["line"], o["side"], o["axis"], o["typed"], o["taken_mm"]) == (12, "upper", "y", "4.037", None)
    assert o["would_fit_mm"] / IN == pytest.approx(3.937, abs=o["uncertainty_mm"] / IN)
    assert o["uncertainty_mm"] / IN < 0.005
    assert [f["code"] for f in told["findings"]] == ["ordinate-suspect"]


def test_the_clean_twin_of_the_example_accuses_nothing(tmp_path: Path) -> None:
    clean = tmp_path / "clean.csv"
    clean.write_text(TABLE.read_text(encoding="utf-8").replace("4.037", "3.937"), encoding="utf-8")
    status, said = run(clean, "--length", "50 in=chord")
    assert (status, "no ordinate is suspect" in said, "No findings." in said) == (0, True, True)


def test_the_file_written_is_refused_for_what_it_lacks_alone_and_says_so(tmp_path: Path) -> None:
    out = tmp_path / "Q7-1.part.toml"
    status, _ = run(TABLE, *CUT, "--out", out)
    assert status == 0
    assert {p.name for p in tmp_path.iterdir()} == {out.name, "Q7-1-lower.csv", "Q7-1-upper.csv"}
    with pytest.raises(InputError) as refused:
        read_part(out)
    assert {f.key for f in refused.value.faults} == set(MISSING)
    text = out.read_text(encoding="utf-8")
    for key in MISSING:
        assert re.search(rf"^(# )?{key.split('.')[1]} .*# fill in", text, re.MULTILINE), key
    assert "# Suspect, kept as typed: line 12, y upper 4.037." in text


def test_filled_in_it_plans_and_typed_ordinates_stand_in_it_to_the_last_digit(tmp_path: Path) -> None:
    out = tmp_path / "Q7-1.part.toml"
    run(TABLE, *CUT, "--out", out)
    part = filled(out)
    assert [e.name for e in part.outer.edges] == ["lower", "rear", "upper", "front"]
    upper = [tuple(round(c / IN, 6) for c in p) for p in part.outer.edges[2].points]
    assert (14.925, 4.037) in upper
    assert upper[0][0] == 36.0
    assert upper[-1][0] == 5.0
    assert ribwright.blank(out)["blank"]["area_mm2"] > 0


@pytest.mark.parametrize(
    ("words", "at"),
    [(("--take", "1"), None), (("--take", "1=3.937"), 3.937), (("--take", "1=100.0 mm"), 100.0 / IN)],
)
def test_another_value_is_taken_only_when_a_person_says_so(
    words: tuple[str, ...], at: float | None, tmp_path: Path
) -> None:
    out = tmp_path / "Q7-1.part.toml"
    status, said = run(TABLE, *words, "--out", out)
    assert status == 0, said
    assert "[ordinate-taken]" in said
    table = (tmp_path / "Q7-1-contour.csv").read_text(encoding="utf-8")
    assert "4.037" not in table
    row = next(line for line in table.splitlines() if line.startswith("14.925,"))
    assert float(row.split(",")[1]) == pytest.approx(3.937 if at is None else at, abs=0.003 if at is None else 1e-6)
    assert "# Taken in place of what was typed: line 12, y upper, typed 4.037." in out.read_text(encoding="utf-8")


@pytest.mark.parametrize("curve", ["typed", "faired", "arcs"])
def test_what_is_read_back_lies_where_the_import_says(curve: str, tmp_path: Path) -> None:
    out = tmp_path / "Q7-1.part.toml"
    status, said = run(TABLE, "--take", "1=3.937", "--curve", curve, *CUT, "--out", out, "--json")
    assert status == 0, said
    told = json.loads(said)["import"]["curve"]
    part = filled(out)
    import numpy as np

    typed = np.array([p for e in filled_typed(tmp_path).outer.edges if e.name == "upper" for p in e.points])[1:-1]
    pieces = [
        curve_from_points(e.kind, e.points, e.start_dir, e.end_dir)
        for e in part.outer.edges
        if e.name.startswith("upper")
    ]
    dense = np.concatenate([c.point(samples(c, 1e-4)) for c in pieces])
    away = np.array([np.hypot(*(dense - p).T).min() for p in typed])
    # the chords between dense points leave some hundredths of a millimetre along the curve
    step = np.hypot(*np.diff(dense, axis=0).T).max()
    assert np.sqrt(np.maximum(away**2 - (step / 2) ** 2, 0.0)).max() <= told["written_off_ordinates_mm"] + 1e-4
    if curve == "arcs":
        assert told["arcs"] == sum(e.kind == "arc" for e in part.outer.edges)


def filled_typed(folder: Path) -> Part:
    out = folder / "typed" / "Q7-1.part.toml"
    run(TABLE, "--take", "1=3.937", *CUT, "--out", out)
    return filled(out)


def test_a_skin_is_taken_off_and_its_error_told(tmp_path: Path) -> None:
    out = tmp_path / "Q7-1.part.toml"
    status, said = run(TABLE, "--take", "1=3.937", "--skin", "0.025", *CUT, "--out", out)
    assert status == 0, said
    assert "skin taken off: 0.0250 in" in said
    bare = tmp_path / "bare" / "Q7-1.part.toml"
    run(TABLE, "--take", "1=3.937", "--curve", "faired", *CUT, "--out", bare)
    tops = [max(y for e in filled(f).outer.edges for _, y in e.points) / IN for f in (bare, out)]
    assert tops[0] - tops[1] == pytest.approx(0.025, abs=0.0005)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--length", "1270 in=chord"), "25.4 is inches for millimetres"),
        (("--length", "50 in=span"), '"50 in=chord"'),
        (("--length", "50=chord"), "without a unit"),
        (("--length", "3 in=upper at 80 in"), "no upper at x"),
        (("--take", "2"), "a number from 1 to 1"),
        (("--take", "one"), "1=3.937"),
        (("--curve", "fared"), "did you mean 'faired'?"),
        (("--curve", "typed", "--skin", "0.02"), "typed with --skin"),
        (("--skin", "1"), "--skin"),
        (("--within", "-1"), "--within"),
        (("--from", "60"), "passes not"),
        (("--out", "part.toml"), "a name like Q7-2102-1.part.toml"),
    ],
)
def test_what_is_wrong_is_refused_in_a_sentence_and_nothing_is_written(
    words: tuple[str, ...], sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    given = words if "--out" in words else (*words, "--out", "a.part.toml")
    status, said = run(TABLE, *given)
    assert status == 2
    assert sentence in said
    assert list(tmp_path.iterdir()) == []


def test_wrong_options_are_told_all_at_once() -> None:
    status, said = run(TABLE, "--take", "x", "--curve", "round", "--within", "9 in")
    assert (status, said.count("ribwright: command line:")) == (2, 3)


def test_a_file_of_another_kind_is_refused_with_the_endings_that_are_read(tmp_path: Path) -> None:
    status, said = run(tmp_path / "drawing.xyz")
    assert status == 2
    assert ".csv" in said


def test_a_part_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    out = tmp_path / "Q7-1.part.toml"
    out.write_text("filled in by hand", encoding="utf-8")
    status, said = run(TABLE, "--out", out)
    assert (status, "there already" in said) == (2, True)
    assert out.read_text(encoding="utf-8") == "filled in by hand"


def test_percent_of_a_chord_do_not_prove_the_chord(tmp_path: Path) -> None:
    table = tmp_path / "p.csv"
    rows = "".join(
        f"{x}, {10 * (x / 100) ** 0.5 - x / 10:.3f}, {-4 * (x / 100) ** 0.5 + x / 25:.3f}\n" for x in range(0, 101, 5)
    )
    table.write_text("% chord, upper %, lower %\n" + rows, encoding="utf-8")
    status, said = run(table, "--length", "50 in=chord")
    assert status == 0, said
    assert "[scale-unproved]" in said
    told = ribwright.import_file(table, length=["50 in=chord", "1.25 in=upper at 12.5 in"])["import"]
    assert [k["agrees"] for k in told["lengths"]] == [True]
