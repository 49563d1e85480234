"""`ribwright inspect` as the shop uses it: the first flap rib as pressed, set by hand, accepted; and what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES
from ribwright.cli import main

PART = EXAMPLES / "Q7-2301-1.part.toml"
PRESSED, SET, OVERDUE = (EXAMPLES / f"Q7-2301-1-001{x}.measured.csv" for x in ("", "-set", "-overdue"))


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(w) for w in words])


def asked(*words: str | Path) -> tuple[int, dict]:
    done = run("inspect", PART, *words, "--json")
    return done.exit_code, json.loads(done.stdout)


def test_the_first_piece_stands_open_and_its_flanges_are_to_be_set() -> None:
    status, answer = asked(PRESSED)
    assert status == 0
    inspect = answer["inspect"]
    outside = {(r["where"].get("edge"), r["quantity"]) for r in inspect["results"] if r["verdict"] == "outside"}
    assert outside == {(e, "flange_angle") for e in ("lower", "rear", "upper", "front")}
    assert {m["edge"] for m in inspect["handwork"]} == {"lower", "rear", "upper", "front"}
    assert [m["order"] for m in inspect["handwork"]] == list(range(1, len(inspect["handwork"]) + 1))
    for m in inspect["handwork"]:
        assert m["stands"] + m["amount"] == pytest.approx(m["stop_at"])
    assert inspect["not_measured"] == []
    assert inspect["accepted_by"] is None


def test_the_terminal_says_what_is_outside_what_nobody_can_tell_what_is_next_and_what_to_set() -> None:
    told = run("inspect", PART, PRESSED).stdout
    for words in (
        "Characteristics of the drawing: 43 inside, 10 outside, 2 cannot tell.",
        "  !  upper: bend angle at 0.824 in (20.93 mm)",
        "the drawing's tolerance is not in the part file: hole L1: diameter; hole L2: diameter",
        "Set what is outside by the hand-finishing list",
        "Hand-finishing list: 4 moves",
    ):
        assert words in told


def test_stations_carry_deviation_and_angle_with_their_uncertainty() -> None:
    rows = asked(PRESSED)[1]["inspect"]["stations"]
    gap = next(r for r in rows if r["edge"] == "lower" and r["deviation_mm"] not in (None, 0.0))
    assert gap["deviation_mm"] == pytest.approx(-0.006 * 25.4)
    assert gap["verdict"] == "inside"
    angle = next(r for r in rows if r["edge"] == "rear" and r["angle_deg"] is not None)
    assert (angle["angle_deg"], angle["angle_uncertainty_deg"], angle["verdict"]) == (88.5, 0.1, "outside")


def test_a_piece_that_stands_outside_is_accepted_by_nobody() -> None:
    status, answer = asked(PRESSED, "--accept", "M. Avocet")
    assert status == 1
    assert answer["inspect"]["accepted_by"] is None
    stop = next(f for f in answer["findings"] if f["code"] == "acceptance-refused")
    assert "flange angle of lower (3 places)" in stop["say"]


def test_set_by_hand_and_measured_again_a_person_accepts_it() -> None:
    status, answer = asked(SET, "--accept", "M. Avocet")
    assert status == 0
    assert answer["inspect"]["accepted_by"] == "M. Avocet"
    assert answer["inspect"]["counts"]["outside"] == 0
    assert answer["inspect"]["handwork"] == []
    assert "airworthy" not in json.dumps(answer).lower()


def test_a_radius_gauge_past_its_due_date_accepts_nothing_and_the_gauge_swapped_does(tmp_path: Path) -> None:
    status, answer = asked(OVERDUE, "--accept", "M. Avocet")
    assert status == 1
    assert {f["code"] for f in answer["findings"] if f["severity"] == "stop"} == {"gauge-overdue", "acceptance-refused"}
    late = PRESSED.read_text().replace("2031-03-12", "2031-03-21")  # the protractor was due the day before
    (tmp_path / "late.csv").write_text(late)
    assert asked(tmp_path / "late.csv")[1]["inspect"]["handwork"] == [], "what it read moves no hand"
    assert "2031-02-28" in next(f["say"] for f in answer["findings"] if f["code"] == "gauge-overdue")
    assert asked(OVERDUE)[0] == 1, "it stops the job whether or not somebody wants to accept"
    swapped = asked(SET, "--accept", "M. Avocet")[1]
    assert not [f for f in swapped["findings"] if f["severity"] == "stop"]


@pytest.mark.parametrize("lost", ["date", "by", "serial", "revision", "gauge"])
def test_what_the_file_does_not_say_stands_against_its_acceptance(lost: str, tmp_path: Path) -> None:
    lines = [line for line in SET.read_text().splitlines() if not line.startswith(f"# {lost} =")]
    less = tmp_path / "m.csv"
    less.write_text("\n".join(lines) + "\n")
    status, answer = asked(less, "--accept", "M. Avocet")
    assert status == 1
    assert answer["inspect"]["accepted_by"] is None


def test_one_characteristic_that_was_not_measured_stands_against_its_acceptance(tmp_path: Path) -> None:
    lines = [line for line in SET.read_text().splitlines() if not line.startswith("hole_diameter, rear/upper")]
    less = tmp_path / "m.csv"
    less.write_text("\n".join(lines) + "\n")
    status, answer = asked(less, "--accept", "M. Avocet")
    assert status == 1
    assert len(answer["inspect"]["not_measured"]) == 1
    assert "relief" in answer["inspect"]["refused"][0]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("# part = Q7-2301-1", "# part = Q7-2103-1", "Q7-2301-1, the part asked for"),
        ("# revision = A", "# revision = B", "A, the revision of the part file"),
        ("# serial = 001", "# hand = left", "the hand of the part file"),
        ("# units = in\n", "", '"# units = in"'),
        ("0.506", "nan", "'nan'"),
        ("# units = in", "# units = mm", "25.4 times off"),
    ],
)
def test_wrong_data_is_told_in_sentences_and_nothing_is_written(old: str, new: str, words: str, tmp_path: Path) -> None:
    wrong = tmp_path / "m.csv"
    wrong.write_text(PRESSED.read_text().replace(old, new))
    done = run("inspect", PART, wrong, "--out", tmp_path / "papers")
    assert done.exit_code == 2
    assert words in done.stderr
    assert not (tmp_path / "papers").exists()


def test_the_papers_of_an_inspection_lie_in_one_folder_and_python_writes_the_same(tmp_path: Path) -> None:
    done = run("inspect", PART, PRESSED, "--out", tmp_path / "a")
    assert done.exit_code == 0
    names = {p.name for p in (tmp_path / "a").iterdir()}
    assert names == {
        "deviation-sheet.pdf",
        "deviation-sheet.svg",
        "inspection-sheet.pdf",
        "first-article.pdf",
        "first-article.csv",
        "first-article.json",
        "hand-finishing-measured.pdf",
        "inspection.json",
    }
    answer = ribwright.inspect(PART, PRESSED, out=tmp_path / "b")
    assert json.loads((tmp_path / "a" / "inspection.json").read_text()) == answer
    assert {p.name for p in (tmp_path / "b").iterdir()} == names


def test_before_anything_is_measured_it_writes_the_form_and_says_what_hand_work_to_expect(tmp_path: Path) -> None:
    form = tmp_path / "form.csv"
    done = run("inspect", PART, "--form", form, "--json")
    assert done.exit_code == 0
    body = json.loads(done.stdout)["inspect"]
    assert body["hand_finishing"]["expected"] is True
    assert body["counts"]["not_measured"] == len(body["not_measured"]) > 40
    empty = run("inspect", PART, form)
    assert empty.exit_code == 2
    assert "a form without a value" in empty.stderr


def test_a_form_is_never_written_over_what_is_there(tmp_path: Path) -> None:
    form = tmp_path / "form.csv"
    form.write_text("readings")
    done = run("inspect", PART, "--form", form)
    assert done.exit_code == 2
    assert "there already" in done.stderr
    assert form.read_text() == "readings"
    assert "--form" in run("inspect", PART, "--form", tmp_path / "form.txt").stderr


def test_each_place_of_a_bevel_is_set_to_its_own_angle(tmp_path: Path) -> None:
    """The tip rib's upper flange runs from 84 to 97 deg; all of it stands 2 deg open."""
    part, form = EXAMPLES / "Q7-2105-1.part.toml", tmp_path / "form.csv"
    run("inspect", part, "--form", form)
    rows = [line.split(", ") for line in form.read_text().splitlines() if line.startswith("flange_angle, upper")]
    nominal = [float(r[6].partition("nominal ")[2].split()[0]) for r in rows]
    assert max(nominal) - min(nominal) > 10
    text = "# units = in\n# part = Q7-2105-1\n# gauge = G-02\nkind, edge, along, value\n"
    text += "".join(f"flange_angle, upper, {r[2]}, {n - 2:.2f}\n" for r, n in zip(rows, nominal, strict=True))
    (tmp_path / "m.csv").write_text(text)
    done = run("inspect", part, tmp_path / "m.csv")
    (move,) = json.loads(run("inspect", part, tmp_path / "m.csv", "--json").stdout)["inspect"]["handwork"]
    assert [p["stop_at"] for p in move["places"]] == pytest.approx(nominal, abs=0.01)
    for p, n in zip(move["places"], nominal, strict=True):
        assert p["stands"] + p["amount"] == pytest.approx(p["stop_at"])
        assert p["stop_low"] < n < p["stop_high"]
    for n in nominal:
        assert f"it stands at {n - 2:.1f}, stop at {n:.1f} deg" in done.stdout
    assert "Stop at each place at its own angle." in done.stdout
    assert "past the target" not in done.stdout


@pytest.mark.parametrize("number", ["Q7-2301-1", "Q7-2105-1", "Q7-3205-1"])
def test_a_form_filled_in_with_the_drawings_own_sizes_has_nothing_outside(number: str, tmp_path: Path) -> None:
    part, form = EXAMPLES / f"{number}.part.toml", tmp_path / "form.csv"
    assert run("inspect", part, "--form", form).exit_code == 0
    filled = []
    for line in form.read_text().splitlines():
        cells = line.split(", ")
        nominal = line.partition("nominal ")[2].partition(" ")[0]
        if line.startswith(("template_gap", "web_bow")):
            nominal = "0"
        if nominal and not line.startswith("#"):
            cells[3] = nominal
        filled.append(", ".join(cells))
    form.write_text("\n".join(filled).replace("# gauge =", "# gauge = G-02, G-04, G-05, G-07") + "\n")
    body = json.loads(run("inspect", part, form, "--json").stdout)["inspect"]
    assert body["counts"]["inside"] > 40
    assert body["counts"]["outside"] == 0
    assert body["not_measured"] == []
    assert body["handwork"] == []


def test_an_overdue_gauge_that_only_a_reading_names_proves_nothing_either(tmp_path: Path) -> None:
    lines = SET.read_text().replace("kind, edge, along, value", "kind, edge, along, value, gauge").splitlines()
    for name, text in (
        ("all", "\n".join(f"{x}, G-03" if x.startswith("bend_radius") else x for x in lines)),
        ("second", "\n".join([*lines, *(f"{x}, G-03" for x in lines if x.startswith("bend_radius, rear"))])),
    ):
        wrong = tmp_path / f"{name}.csv"
        wrong.write_text(text + "\n")
        status, answer = asked(wrong, "--accept", "M. Avocet")
        assert status == 1, name
        assert answer["inspect"]["accepted_by"] is None
        assert "gauge-overdue" in {f["code"] for f in answer["findings"]}


def refused(tmp_path: Path, change: dict[str, str]) -> str:
    """Why the piece that was set by hand is not accepted once its file is changed."""
    text = SET.read_text()
    for old, new in change.items():
        assert old in text, old
        text = text.replace(old, new)
    (tmp_path / "m.csv").write_text(text)
    status, answer = asked(tmp_path / "m.csv", "--accept", "M. Avocet")
    assert status == 1
    assert answer["inspect"]["accepted_by"] is None
    return " ".join(answer["inspect"]["refused"])


def test_a_contour_felt_at_one_end_is_not_a_contour_measured(tmp_path: Path) -> None:
    lines = [line for line in SET.read_text().splitlines() if line.startswith("template_gap, upper")]
    assert "upper: contour between" in refused(tmp_path, {
        f"{line}\n": "" for line in lines[1:]
    })  # fmt: skip


def test_a_piece_measured_before_its_data_was_approved_is_not_accepted(tmp_path: Path) -> None:
    assert "before the part's data was approved" in refused(tmp_path, {"# date = 2031-03-13": "# date = 2030-03-13"})


def test_the_drawings_own_numbers_are_no_measurement(tmp_path: Path) -> None:
    form = tmp_path / "form.csv"
    run("inspect", PART, "--form", form)
    filled = []
    for line in form.read_text().splitlines():
        cells, nominal = line.split(", "), line.partition("nominal ")[2].partition(" ")[0]
        if not line.startswith("#"):
            cells[3:4] = ["0" if line.startswith(("template_gap", "web_bow")) else nominal or cells[3]]
        filled.append(", ".join(cells))
    text = "\n".join(filled)
    for key, value in (
        ("gauge", "G-02, G-04, G-05, G-07"),
        ("serial", "1"),
        ("by", "W. Heron"),
        ("date", "2031-03-13"),
    ):
        text = text.replace(f"# {key} =", f"# {key} = {value}")
    form.write_text(text + "\n")
    status, answer = asked(form, "--accept", "M. Avocet")
    assert status == 1
    assert "measured-as-drawn" in {f["code"] for f in answer["findings"]}


def test_files_of_one_piece_are_taken_as_one(tmp_path: Path) -> None:
    """The radii read by one hand, all else by another: accepted together, neither alone."""
    lines = SET.read_text().splitlines()
    radii = [x for x in lines if x.startswith(("#", "kind", "bend_radius"))]
    rest = [x for x in lines if not x.startswith("bend_radius")]
    a, b = tmp_path / "a.csv", tmp_path / "b.csv"
    a.write_text("\n".join(radii).replace("W. Heron", "K. Teal") + "\n")
    b.write_text("\n".join(rest) + "\n")
    for one in (a, b):
        assert asked(one, "--accept", "M. Avocet")[0] == 1
    status, answer = asked(a, b, "--accept", "M. Avocet")
    assert status == 0
    assert answer["inspect"]["accepted_by"] == "M. Avocet"
    assert answer["inspect"]["of"]["by"] == "K. Teal, W. Heron"
    b.write_text(b.read_text().replace("# serial = 001", "# serial = 002"))
    done = run("inspect", PART, a, b)
    assert done.exit_code == 2
    assert "all files are of one piece" in done.stderr


def test_papers_of_another_piece_are_never_written_over(tmp_path: Path) -> None:
    assert run("inspect", PART, PRESSED, "--out", tmp_path / "p").exit_code == 0
    assert run("inspect", PART, SET, "--out", tmp_path / "p").exit_code == 0, "the same piece again"
    other = tmp_path / "m.csv"
    other.write_text(SET.read_text().replace("# serial = 001", "# serial = 002"))
    before = (tmp_path / "p" / "inspection.json").read_bytes()
    done = run("inspect", PART, other, "--out", tmp_path / "p")
    assert done.exit_code == 2
    assert "serial 001" in done.stderr
    assert (tmp_path / "p" / "inspection.json").read_bytes() == before


@pytest.mark.parametrize("option", [("--accept", "M. Avocet"), ("--keep",), ("--cut-from", "answers.json")])
def test_what_is_about_a_measured_piece_is_refused_without_one(option: tuple[str, ...]) -> None:
    done = run("inspect", PART, *option)
    assert done.exit_code == 2
    assert option[0] in done.stderr
