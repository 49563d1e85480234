"""springback.jsonl: what goes in comes out, lines are only added, and what is wrong with a line is said with its number."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.adapters.data_folder import DataFolder
from ribwright.adapters.draft_files import DraftFiles
from ribwright.adapters.springback_book import append, id_of, observation_line, parse_book, read_book, withdraw
from ribwright.errors import Clash, InputError
from ribwright.shop.springback_book import Observation, Withdrawn, pieces
from taught_books import observation


def faults(text: str) -> list[str]:
    with pytest.raises(InputError) as wrong:
        parse_book(text, "springback.jsonl")
    return [f.sentence() for f in wrong.value.faults]


def test_no_file_is_an_empty_book(tmp_path: Path) -> None:
    assert read_book(tmp_path / "springback.jsonl").observations == ()


# what a word may hold: all but control codes, marks that nobody sees, halves of a character and line ends
WORDS = st.characters(exclude_categories=("C", "Zl", "Zp"))


@settings(max_examples=60, deadline=None)
@given(
    off=st.floats(-9.0, 9.0),
    serial=st.text(WORDS, min_size=1, max_size=12),
    lot=st.text(WORDS, max_size=12),
    along=st.floats(-100.0, 1000.0),
    hole=st.booleans(),
    pressure=st.none() | st.floats(0.1, 60.0),
)
def test_an_observation_comes_back_as_it_went_in(
    off: float, serial: str, lot: str, along: float, hole: bool, pressure: float | None
) -> None:
    o = replace(observation(off, serial, lot=lot, hole=hole, along=along), pressure=pressure)
    o = replace(o, id=id_of(o))
    line = observation_line(o)
    assert "\n" not in line
    assert parse_book(line + "\n", "b").observations == (o,)


def test_adding_leaves_every_byte_that_was_there(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    append(path, (observation(serial="1"),))
    before = path.read_bytes()
    append(path, (observation(serial="2"), observation(serial="3")))
    withdraw(path, Withdrawn(read_book(path).observations[1].id, "W. Heron", "read off the wrong flange"))
    assert path.read_bytes().startswith(before)
    book = read_book(path)
    assert [o.serial for o in book.observations] == ["1", "2", "3"]
    assert [o.serial for o in book.standing] == ["1", "3"]
    assert pieces(book.standing) == 2


def test_the_same_measurement_twice_is_refused_and_nothing_of_that_call_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    append(path, (observation(),))
    before = path.read_bytes()
    with pytest.raises(Clash, match="kept already"):
        append(path, (observation(serial="9"), observation(off=-2.0)))
    assert path.read_bytes() == before
    # another day, another place along the edge or another piece is another measurement
    append(path, (observation(date="2031-03-11"), observation(along=40.0), observation(serial="9")))
    assert len(read_book(path).observations) == 4


def test_one_call_with_the_same_measurement_twice_leaves_no_file(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    with pytest.raises(Clash):
        append(path, (observation(off=-1.0), observation(off=-2.0)))
    assert not path.exists()


def test_what_was_withdrawn_may_be_measured_and_kept_again(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    (first,) = append(path, (observation(),))
    withdraw(path, Withdrawn(first.id, "W. Heron", "wrong serial"))
    (again,) = append(path, (observation(),))
    assert again.id != first.id
    assert read_book(path).standing == (again,)


def test_only_an_observation_that_stands_can_be_withdrawn(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    (kept,) = append(path, (observation(),))
    for row in ("000000000000", kept.id):
        if row == kept.id:
            withdraw(path, Withdrawn(row, "A", "b"))
        before = path.read_bytes()
        with pytest.raises(InputError, match="that stands in it") as refused:
            withdraw(path, Withdrawn(row, "A", "c"))
        assert ("withdrawn already by A (b)" in str(refused.value)) == (row == kept.id)
        assert path.read_bytes() == before


def test_a_half_written_last_line_is_told_and_nothing_is_added_behind_it(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    append(path, (observation(serial="1"),))
    torn = path.read_bytes() + observation_line(observation(serial="2")).encode()[:200]
    path.write_bytes(torn)
    with pytest.raises(InputError, match=r"line 2, the last one.*cut off"):
        read_book(path)
    with pytest.raises(InputError, match="cut off"):
        append(path, (observation(serial="3"),))
    assert path.read_bytes() == torn


def changed(**values: object) -> str:
    """A good line with keys changed; None takes one out."""
    item = json.loads(observation_line(observation()))
    item |= values
    return json.dumps({k: v for k, v in item.items() if v != "gone"}) + "\n"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("{oops\n", "line 1: found no JSON"),
        ("[1]\n", "line 1: found a JSON list"),
        (changed(springback_book=2), "springback_book: found 2"),
        (changed(springback_book="gone"), "springback_book: found 'nothing'"),
        (changed(angle_deg=float("nan")), "the number NaN"),
        (changed(measured_deg="88"), "measured_deg: found '88'"),
        (changed(measured_deg=True), "measured_deg: found True"),
        (changed(u_deg=0.0), "u_deg: found 0.0"),
        (changed(radius_mm="gone"), "radius_mm: found nothing"),
        (changed(serial=""), "serial: found ''"),
        (changed(date="10.3.2031"), "date: found '10.3.2031'"),
        (changed(foretold="gone"), "foretold: found nothing"),
        (changed(radius_m=3.0), "radius_m: found an unknown key"),
        (changed(hole=1), "hole: found 1"),
        (changed(thickness_mm=10**400), "thickness_mm: found 1000"),
        (changed(readings=10**4000), "readings: found 1000"),
        (changed(undercut_deg=-(10**4000)), "undercut_deg: found -1000"),
        (changed().replace('"readings": 1', '"readings": 1e999'), "readings: found inf"),
        (changed().replace('"readings": 1', '"readings": ' + "9" * 5000), "line 1: found no JSON"),
        (changed(lot="\ud800x"), "lot: found '\\ud800x'"),
        (changed(lot="\x1b[31mred"), "without line breaks, control codes"),
        (changed(material="\x1b]0;own\x07AL"), "material: found"),
        (changed(lot="a\n\n  3. a line of its own"), "lot: found 'a\\n"),
        (changed(by="\u202egnorw"), "by: found"),
        (changed().replace('"lot": "L1"', '"lot": "L1", "lot": "L2"'), "the key 'lot' twice"),
        (changed().replace('"family":', '"family": "section", "family":'), "the key 'family' twice"),
        ('{"springback_book": 1, "withdraw": "abc", "by": "A", "why": "b"}\n', "of an observation of a line above"),
        ('{"springback_book": 1, "withdraw": "abc"}\n', "why: found nothing"),
    ],
)
def test_a_line_that_is_wrong_is_told_with_its_number(line: str, said: str) -> None:
    assert said in "\n".join(faults(line))


def test_all_faults_come_at_once() -> None:
    told = faults(changed(u_deg=-1.0) + changed() + "nonsense\n" + changed(place=""))
    assert [t.split(": ")[1].split(",")[0] for t in told] == ["line 1", "line 3", "line 4"]


def test_two_lines_with_one_id_are_told() -> None:
    assert any("line 1 has it" in t for t in faults(changed() + changed()))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"lot": "\x1b[31mred"}, "lot: found"),
        ({"serial": "7\n8"}, "serial: found"),
        ({"by": "W" * 201}, "by: found"),
        ({"place": "\udcff"}, "place: found"),
        ({"angle": 179.5}, "angle_deg: found 179.5"),
        ({"measured": float("nan")}, "measured_deg: found nan"),
        ({"measured": 10**400}, "measured_deg: found 1000"),
    ],
)
def test_nothing_is_added_that_could_not_be_read_again(tmp_path: Path, wrong: dict[str, Any], said: str) -> None:
    path = tmp_path / "springback.jsonl"
    append(path, (observation(serial="0"),))
    before = path.read_bytes()
    with pytest.raises(InputError) as refused:
        append(path, (observation(), replace(observation(serial="2"), **wrong)))
    assert [said in f.sentence() for f in refused.value.faults] == [True]
    assert path.read_bytes() == before


@pytest.mark.parametrize("why", ["w" * 201, "two\nlines", "\x1b[2J", "\udcff", ""])
def test_nothing_is_withdrawn_by_a_line_that_could_not_be_read_again(tmp_path: Path, why: str) -> None:
    path = tmp_path / "springback.jsonl"
    (kept,) = append(path, (observation(),))
    before = path.read_bytes()
    with pytest.raises(InputError, match="why: found"):
        withdraw(path, Withdrawn(kept.id, "W. Heron", why))
    assert path.read_bytes() == before


@pytest.mark.skipif(sys.platform == "win32", reason="no limit of a file's size there")
def test_a_disk_that_fills_up_within_a_line_leaves_the_book_as_it_was(tmp_path: Path) -> None:
    import resource

    path = tmp_path / "springback.jsonl"
    append(path, (observation(serial="0"),))
    before = path.read_bytes()
    was = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) + 300, was[1]))
    try:
        with pytest.raises(OSError, match="too large") as full:
            append(path, (observation(serial="1"),))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, was)
    assert full.value.filename == str(path)
    assert path.read_bytes() == before
    append(path, (observation(serial="1"),))
    assert len(read_book(path).observations) == 2


def test_a_book_never_grows_past_what_can_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "springback.jsonl"
    append(path, (observation(serial="0"),))
    before = path.read_bytes()
    monkeypatch.setattr("ribwright.adapters.springback_book.LONGEST", len(before) + 300)
    with pytest.raises(InputError, match="which is what can be read"):
        append(path, (observation(serial="1"),))
    assert path.read_bytes() == before


def test_a_place_is_the_same_to_the_tenth_of_a_millimetre(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    append(path, (observation(along=177.8),))
    with pytest.raises(Clash, match="kept already"):
        append(path, (observation(along=7.001 * 25.4),))


def test_a_byte_order_mark_before_a_book_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    path.write_bytes(b"\xef\xbb\xbf" + changed().encode())
    append(path, (observation(serial="2"),))
    assert [o.serial for o in read_book(path).observations] == ["1", "2"]


WRITER = """
import sys
sys.path.insert(0, {tests!r})
from pathlib import Path
from ribwright.adapters.springback_book import append
from taught_books import observation
for i in range({n}):
    append(Path({path!r}), (observation(serial=f"{who}-{{i}}"),))
"""


def test_two_processes_that_add_at_once_both_keep_theirs(tmp_path: Path) -> None:
    path, n = tmp_path / "springback.jsonl", 25
    tests = str(Path(__file__).parents[1])
    code = [WRITER.format(tests=tests, n=n, path=str(path), who=who) for who in ("a", "b")]
    running = [subprocess.Popen([sys.executable, "-c", c]) for c in code]
    assert [p.wait(60) for p in running] == [0, 0]
    found = [o.serial for o in read_book(path).observations]
    assert sorted(found) == sorted(f"{who}-{i}" for who in ("a", "b") for i in range(n))


def test_of_two_that_add_the_same_measurement_at_once_one_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "springback.jsonl"
    code = WRITER.format(tests=str(Path(__file__).parents[1]), n=1, path=str(path), who="same")
    running = [subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.DEVNULL) for _ in range(2)]
    assert sorted(p.wait(60) for p in running) == [0, 1]
    assert len(read_book(path).observations) == 1


def test_a_draft_reads_the_book_of_its_shops_folder_and_no_link_out_of_it(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    assert DraftFiles("", folder).springback_book(Path("shop.toml")).standing == ()
    append(folder / "springback.jsonl", (observation(),))
    book = DraftFiles("", folder).springback_book(Path("shop.toml"))
    assert (len(book.standing), book.file) == (1, "springback.jsonl")
    (folder / "springback.jsonl").rename(tmp_path / "out.jsonl")
    (folder / "springback.jsonl").symlink_to(tmp_path / "out.jsonl")
    with pytest.raises(InputError, match="a link") as wrong:
        DraftFiles("", folder).springback_book(Path("shop.toml"))
    assert str(tmp_path) not in str(wrong.value)


def test_the_page_sees_that_something_was_kept(tmp_path: Path) -> None:
    data = DataFolder(tmp_path)
    data.make_shop("s", {"shop.toml": b"x"})
    before = data.beside("s")
    append(data.folder("s") / "springback.jsonl", (observation(),))
    assert data.beside("s") != before


def test_an_observation_says_how_far_off_it_came() -> None:
    o: Observation = observation(-1.5)
    assert o.off == pytest.approx(-1.5)
    assert o.inside_told
    assert not observation(-3.0).inside_told
    # the gauge's uncertainty widens the band that a measured angle is held against
    assert observation(-3.0, u=4.0).inside_told
