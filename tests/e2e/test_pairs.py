"""A part that makes a pair: both hands' papers in one go, each with its own number, and one block or two with the reason."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box, quick
from documents.sample import outside, texts_of
from ribwright.cli import main
from ribwright.documents.identity import Identity
from ribwright.documents.pair_sheet import pair_sheet
from ribwright.documents.pair_words import folders_of, pair_lines
from ribwright.stages.pair import pair_of
from ribwright.stages.plan import Plan
from ribwright.wiring import DiskFiles, DiskKeeper, PaperWriters
from ribwright.work.asking import Request, plan_of
from ribwright.work.pairs import Packets, packet_of

TIP = str(EXAMPLES / "Q7-2105-1.part.toml")
CENTRE = str(EXAMPLES / "Q7-2102-1.part.toml")
PAIR = ('hand = "none"', 'hand = "left"\nopposite = "T-2"')


def run(*words: str) -> Result:
    return CliRunner().invoke(main, quick(words))


def packet(part: str, out: Path, hand: str = "", press: str = "") -> Packets:
    """A packet without solids and without a second blank to hold the first beside: quick."""
    request = Request(Path(part), None, press, "strain-corrected", "closed-form")
    return packet_of(DiskFiles(), request, hand, out, "letter", PaperWriters(), DiskKeeper())


def small_pair(folder: Path, **how: object) -> str:
    """A box that makes a pair, as a part file."""
    path = folder / "T.part.toml"
    path.write_text(box(**how).replace(*PAIR))  # type: ignore[arg-type]
    return str(path)


@pytest.fixture(scope="module")
def lopsided(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, Packets]:
    """Both hands of a box that is flanged on two neighbours: no mirror image of itself."""
    folder = tmp_path_factory.mktemp("lopsided")
    part = small_pair(folder, flanges=(True, True, False, False))
    return folder / "p", part, packet(part, folder / "p")


@pytest.fixture(scope="module")
def tips() -> list[tuple[Plan, Identity]]:
    """The plans of both hands of the tip rib."""
    return [plan_of(DiskFiles(), Request(Path(TIP), None, "P2", opposite=o)) for o in (False, True)]


def test_the_packet_of_a_pair_is_a_folder_for_each_number_and_a_sheet_that_says_which(
    lopsided: tuple[Path, str, Packets],
) -> None:
    out, _, done = lopsided
    names = {p.name for p in out.iterdir()}
    assert names == {"T-1", "T-2", "pair.pdf", "pair.json"}
    left, right = ({p.name for p in (out / f"T-{k}").iterdir()} for k in (1, 2))
    assert left == right
    assert {"job-card.pdf", "block-drawing.pdf", "blank.dxf", "answers.json"} <= left
    told = json.loads((out / "pair.json").read_text())["pair"]
    assert [(p["number"], p["hand"], p["drawn"]) for p in told["parts"]] == [
        ("T-1", "left", True),
        ("T-2", "right", False),
    ]
    assert pair_lines(done.answer.json["pair"])[3] == "  TWO BLOCKS, one for each hand:"


def test_two_blocks_are_said_with_the_place_and_the_number_that_ask_for_them(tips: list[tuple[Plan, Identity]]) -> None:
    pair = pair_of(tips[0][0], tips[1][0])
    assert not pair.one_block
    assert any(w.startswith("Edge upper: the wall leans IN") for w in pair.why)
    assert any(w.startswith("Recess L1 is cut into one face only") for w in pair.why)


def test_each_folder_speaks_of_its_own_number_and_hand_alone(lopsided: tuple[Path, str, Packets]) -> None:
    out, _, _ = lopsided
    for number, hand in (("T-1", "left"), ("T-2", "right")):
        kept = json.loads((out / number / "answers.json").read_text())
        assert kept["part"] == {"number": number, "revision": "A", "hand": hand}
        assert number in (out / number / "blank.dxf").read_text()
    prints = [json.loads((out / f"T-{k}" / "answers.json").read_text())["fingerprint"] for k in (1, 2)]
    assert prints[0] != prints[1]


@pytest.mark.parametrize(
    ("drawn", "other", "folders"),
    [
        ("A-1", "A-2", ("A-1", "A-2")),
        ("A/1", "A-1", ("A-1-as-drawn", "A-1-mirrored")),
        ("A-1", "a-1", ("A-1-as-drawn", "a-1-mirrored")),
        ("A.", "A", ("A-as-drawn", "A-mirrored")),
        ("Pair.pdf", "A", ("Pair.pdf-as-drawn", "A-mirrored")),
        ("..", "/", ("as-drawn", "mirrored")),
        ("mirrored", "..", ("mirrored-as-drawn", "mirrored-mirrored")),
    ],
)
def test_two_hands_never_share_a_folder(drawn: str, other: str, folders: tuple[str, str]) -> None:
    assert folders_of(drawn, other) == folders


def test_numbers_that_make_one_name_have_a_whole_packet_each(tmp_path: Path) -> None:
    part = tmp_path / "A.part.toml"
    text = box(flanges=(True, True, False, False)).replace(PAIR[0], 'hand = "left"\nopposite = "T/1"')
    part.write_text(text)
    made = packet(str(part), tmp_path / "p")
    rows = made.answer.json["pair"]["parts"]
    assert [r["folder"] for r in rows] == ["T-1-as-drawn", "T-1-mirrored"]
    for row in rows:
        told = json.loads((tmp_path / "p" / row["folder"] / "answers.json").read_text())
        assert (told["part"]["number"], told["fingerprint"]) == (row["number"], row["fingerprint"])


def test_the_folder_of_the_opposite_is_what_its_own_packet_is_and_one_hand_takes_the_sheet_of_the_pair_away(
    lopsided: tuple[Path, str, Packets], tmp_path: Path
) -> None:
    out, part, _ = lopsided
    (tmp_path / "pair.pdf").write_bytes(b"of an earlier packet")
    assert packet(part, tmp_path, "opposite").pair is None
    for name in ("answers.json", "blank.dxf", "job-card.pdf"):
        assert (tmp_path / name).read_bytes() == (out / "T-2" / name).read_bytes()
    assert not (tmp_path / "pair.pdf").exists()


def test_the_opposite_of_the_left_tip_rib_answers_as_the_right_one_drawn_by_itself() -> None:
    """All numbers of the blank to 1e-6 mm; the fingerprints differ, for one of them is a mirror."""
    mirror = ribwright.blank(TIP, opposite=True, method="strain-corrected")
    drawn = ribwright.blank(EXAMPLES / "Q7-2105-2.part.toml", method="strain-corrected")
    assert mirror["part"] == drawn["part"]
    assert mirror["fingerprint"] != drawn["fingerprint"]
    for key in ("size_mm", "area_mm2"):
        assert mirror["blank"][key] == pytest.approx(drawn["blank"][key], abs=1e-6)
    for a, b in zip(mirror["blank"]["outline_mm"], drawn["blank"]["outline_mm"], strict=True):
        assert a == pytest.approx(b, abs=1e-6)


def test_a_block_that_is_its_own_mirror_image_is_one_for_both_hands_and_old_papers_do_not_stay(tmp_path: Path) -> None:
    part, out = small_pair(tmp_path), tmp_path / "p"
    out.mkdir()
    (out / "job-card.pdf").write_bytes(b"of one hand alone")
    done = run("packet", part, "--method", "handbook", "--out", str(out))
    assert "ONE BLOCK for both hands, as it stands" in done.output
    assert json.loads((out / "pair.json").read_text())["pair"]["one_block"]
    assert {p.name for p in out.iterdir()} == {"T-1", "T-2", "pair.pdf", "pair.json"}


@pytest.mark.parametrize("command", ["check", "blank", "block"])
def test_every_command_answers_for_the_opposite_hand(command: str, tmp_path: Path) -> None:
    part = small_pair(tmp_path, flanges=(True, True, False, False))
    done = run(command, part, "--hand", "opposite", "--method", "handbook", "--json")
    told = json.loads(done.output)
    assert told["part"] == {"number": "T-2", "revision": "A", "hand": "right"}
    say = next(f["say"] for f in told["findings"] if f["code"] == "opposite-mirrored")
    assert say == "T-2, right hand, is not drawn: it is the mirror, x to -x, of T-1, which the part file draws."


def test_the_opposite_of_a_part_without_one_is_refused_with_the_key_to_fill_in() -> None:
    done = run("blank", CENTRE, "--hand", "opposite")
    assert done.exit_code == 2
    assert "part.opposite: found nothing" in done.output
    both = run("packet", CENTRE, "--hand", "both")
    assert both.exit_code == 2
    assert "part.opposite: found nothing" in both.output


def test_both_hands_at_once_are_a_matter_of_the_packet_and_a_wrong_word_is_told() -> None:
    assert "one of drawn, opposite" in run("blank", TIP, "--hand", "both").output
    wrong = run("blank", TIP, "--hand", "oposite")
    assert wrong.exit_code == 2
    assert "did you mean 'opposite'" in wrong.output


def test_pins_that_also_take_the_blank_the_wrong_way_round_stop_both_hands(tmp_path: Path) -> None:
    """Two equal pins on the blank's own line of symmetry: so are they on the mirrored one."""
    pin = '[[hole]]\nname = "{}"\nkind = "tooling"\nat = {}\ndiameter = 5\npin_fit = 0.08\n'
    part = small_pair(tmp_path, extra=pin.format("P1", [50, 50]) + pin.format("P2", [150, 50]))
    for hand in ("drawn", "opposite"):
        done = run("check", part, "--hand", hand, "--json")
        assert "wrong-laying" in {f["code"] for f in json.loads(done.output)["findings"]}
        assert done.exit_code == 1


def test_the_sheet_of_the_pair_fits_its_paper_and_names_every_reason(tips: list[tuple[Plan, Identity]]) -> None:
    (one, first), (two, second) = tips
    pair = pair_of(one, two)
    sheet = pair_sheet(pair, first, second, "a4")
    assert [line for page in sheet.pages for line in outside(page)] == []
    text = " ".join(texts_of(sheet))
    assert all(w.split(":")[0] in text for w in pair.why)
    assert {"LEFT", "RIGHT", "Q7-2105-1", "Q7-2105-2"} <= set(texts_of(sheet))
